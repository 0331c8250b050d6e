//! The heat of a step: temperature along the tube, neighbours that could let go, finish that burns, what it does to the
//! temper.

use crate::case::Case;
use crate::flame;
use crate::step::{Heat, HeatNeighbour};
use instrument::{Run, RunId};
use metal::heat_line::{History, Line, Stretch, Torch, transient_along};
use metal::{Temper, anneal, heat, heat_sink};
use reach::Opened;
use units::{Figure, Known, Origin, Source, Unit};

/// What is heated.
#[derive(Clone, Debug, PartialEq)]
pub struct Flaming {
    /// The run.
    pub run: RunId,
    /// Station, mm.
    pub at_mm: f64,
    /// Length of tube that the flame covers, mm.
    pub width_mm: f64,
    /// Temperature wanted, °C.
    pub degc: f64,
    /// Time, s.
    pub seconds: f64,
}

/// How far along the tube neighbours are looked at, mm: beyond it a flame of these sizes leaves the metal below 60 °C.
const WINDOW_MM: f64 = 220.0;
/// Length of a stretch of even wall, mm.
const STRETCH_MM: f64 = 55.0;
/// The time of a flame is known no better than this part of itself. Common practice, no source.
const TIME_SD: f64 = 0.3;

/// Where the neighbours' temperatures come from.
pub const NEIGHBOURS: Source = Source::own_model(
    "finite volumes along the tube with time (metal::heat_line), flame held at its temperature; spread by conductivity and heating time through the half space's closed form",
);

/// How finely the tube and the time are cut. Three times as fine moves a neighbour's peak by under 6 % of its rise (test).
#[derive(Clone, Copy)]
struct Grid {
    cell_mm: f64,
    steps: usize,
}

const GRID: Grid = Grid { cell_mm: 5.0, steps: 32 };

fn line(run: &Run, from: f64, to: f64, grid: Grid) -> Line {
    let n = ((to - from) / STRETCH_MM).ceil().max(1.0) as usize;
    let step = (to - from) / n as f64;
    let stretches = (0..n)
        .map(|i| {
            let (a, b) = (from + i as f64 * step, from + (i + 1) as f64 * step);
            Stretch::of(run.alloy, step, (run.bore_at(a).value, run.bore_at(b).value), run.wall_at(0.5 * (a + b)).value)
        })
        .collect();
    Line { cell_mm: grid.cell_mm, ..Line::new(stretches) }
}

/// Temperatures along a stretch of a run while a flame at `at` burns and for as long after.
fn field(run: &Run, f: &Flaming, at: f64, (from, to): (f64, f64), grid: Grid) -> Option<History> {
    let torch = Torch::Held { at_mm: at - from, width_mm: f.width_mm.min(to - from), degc: f.degc };
    transient_along(&line(run, from, to, grid), torch, &[], f.seconds, f.seconds, grid.steps).ok()
}

/// The heat of a flame. `gone`: what is off or open by then, or is meant to melt, and so is no neighbour.
pub fn heat(case: &Case, f: &Flaming, gone: &[Opened]) -> Option<Heat> {
    let run = case.run(&f.run)?;
    let length = run.length_mm();
    if !(length > 1.0 && f.at_mm.is_finite()) {
        return None;
    }
    let at = f.at_mm.clamp(0.0, length);
    let (from, to) = ((at - WINDOW_MM).max(0.0), (at + WINDOW_MM).min(length));
    let history = field(run, f, at, (from, to), GRID)?;
    let half = 0.5 * f.width_mm;
    let mut neighbours = Vec::new();
    for (what, near_mm) in near(case, &f.run, at).into_iter().filter(|(what, _)| !gone.contains(what)) {
        let (Some(filler), true) = (case.filler(&what), near_mm >= from && near_mm <= to) else { continue };
        let distance = ((near_mm - at).abs() - half).max(0.0);
        let peak = history.peak_degc(near_mm - from);
        let melts = filler.solidus_degc();
        let hot = peak >= melts - heat_sink::MARGIN_DEGC;
        neighbours.push(HeatNeighbour {
            what,
            distance_mm: distance,
            temperature_degc: neighbour_figure(run, f, distance, peak),
            melts_at_degc: melts,
            sink: hot,
            too_close: hot && distance < heat_sink::SINK_WIDTH_MM,
        });
    }
    neighbours.sort_by(|a, b| b.temperature_degc.value.total_cmp(&a.temperature_degc.value));
    // The sink lies against the neighbour that is hottest of those that have room for one, on the flame's side.
    let sink_at_mm = neighbours.iter().find(|n| n.sink && !n.too_close).map(|n| n.distance_mm + half - 0.5 * heat_sink::SINK_WIDTH_MM);
    Some(Heat {
        run: f.run.clone(),
        at_mm: at,
        target_degc: f.degc,
        neighbours,
        sink_at_mm,
        finish_burns_mm: burns_figure(run, f, at),
        temper_note: temper_note(run, f, at),
    })
}

/// Joints at the run's ends and overlays over it, with the station nearest to the flame.
fn near(case: &Case, id: &RunId, at: f64) -> Vec<(Opened, f64)> {
    let instrument = case.instrument();
    let joints = instrument
        .joints
        .iter()
        .flat_map(|j| [&j.a, &j.b].map(|end| (j, end)))
        .filter(|(_, end)| end.run == *id)
        .map(|(j, end)| (Opened::Joint(j.id.clone()), case.end_mm(end)));
    let overlays = instrument.overlays.iter().flat_map(|o| {
        o.covers.iter().filter(|c| c.run == *id).map(|c| {
            let (low, high) = (c.from_mm.min(c.to_mm), c.from_mm.max(c.to_mm));
            (Opened::Overlay(o.id.clone()), if low <= high { at.clamp(low, high) } else { at })
        })
    });
    joints.chain(overlays).collect()
}

fn conductivity() -> Known {
    Known::new("conductivity, as a part of the table's", 1.0, 0.05, Unit::One, Origin::Handbook)
}

fn heating_time(f: &Flaming) -> Known {
    Known::new("heating time", f.seconds, TIME_SD * f.seconds, Unit::S, Origin::Assumed)
}

fn neighbour_figure(run: &Run, f: &Flaming, distance: f64, peak: f64) -> Figure {
    let p = run.alloy.physical();
    let share = |k: f64, seconds: f64| {
        let alpha = heat::diffusivity_mm2_s(p.conductivity_w_mk.value * k.max(0.05), p.density_kg_m3.value, p.specific_heat_j_kgk.value);
        heat::half_space_degc(distance, alpha, seconds.max(0.1), 0.0, 1.0)
    };
    let middle = share(1.0, f.seconds).max(1e-6);
    Figure::derive(Unit::DegC, "peak temperature at the neighbour", NEIGHBOURS, &[conductivity(), heating_time(f)], |x| {
        (20.0 + (peak - 20.0) * share(x[0], x[1]) / middle).min(f.degc.max(peak))
    })
}

fn burns_figure(run: &Run, f: &Flaming, at: f64) -> Figure {
    match flame::finish_limit_degc(run.finish) {
        None => Figure::stated(0.0, 0.0, 0.0, Unit::Mm, "bare metal has no finish to burn", flame::PRACTICE, &[]),
        Some(limit) => {
            let limit = Known::new("temperature at which the finish spoils", limit, 15.0, Unit::DegC, Origin::Handbook);
            Figure::derive_positive(
                Unit::Mm,
                "distance from the flame's edge to where the metal stays below what the finish bears",
                flame::BURN,
                &[conductivity(), heating_time(f), limit],
                |x| flame::reaches_mm(run, at, f.degc, x[1], x[2], x[0]),
            )
        }
    }
}

fn temper_note(run: &Run, f: &Flaming, at: f64) -> String {
    let before = Temper(run.temper_at(at).value.max(0.0));
    let after = anneal::anneal(run.alloy, before, f.degc, f.seconds);
    let hard = run.role.must_stay_hard();
    let mut note = if after.recrystallised < 0.05 {
        format!("{:.0} °C for {:.0} s leaves the temper as it is ({})", f.degc, f.seconds, before.name())
    } else {
        format!("softens it from {} to {} under the flame", before.name(), after.temper.name())
    };
    if after.recrystallised >= 0.05 && hard {
        note.push_str("; this part has to stay hard: keep the flame short and off the working surface, burnish or draw it hard again");
    }
    if after.recrystallised >= 0.05 || after.between.1 >= 0.05 {
        note.push_str(&format!("; grain about {:.3} mm, known to half of itself", after.grain_mm));
    }
    if let Some(doubt) = after.doubt_words() {
        note.push_str("; ");
        note.push_str(&doubt);
    }
    if after.overheated {
        note.push_str("; above its annealing range: the grain grows coarse");
    }
    note
}

/// The flame that opens or closes something, on the run that it touches first; none where it comes apart cold.
pub fn solder_flame(case: &Case, what: &Opened) -> Option<Flaming> {
    let filler = case.filler(what)?;
    let touch = case.touches(what).into_iter().find(|t| case.run(&t.run).is_some())?;
    let length = (touch.to_mm - touch.from_mm).abs();
    Some(Flaming {
        run: touch.run,
        at_mm: 0.5 * (touch.from_mm + touch.to_mm),
        width_mm: length.clamp(15.0, 60.0),
        degc: flame::solder_degc(filler),
        seconds: flame::solder_s(filler),
    })
}

/// The flame of an anneal.
pub fn anneal_flame(run: &Run, from_mm: f64, to_mm: f64) -> Flaming {
    Flaming {
        run: run.id.clone(),
        at_mm: 0.5 * (from_mm + to_mm),
        width_mm: (to_mm - from_mm).clamp(15.0, 120.0),
        degc: flame::anneal_degc(run.alloy),
        seconds: flame::ANNEAL_S,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_grid_is_fine_enough() {
        let tuba = instrument::patterns::pattern(instrument::Kind::Tuba).unwrap();
        let run = tuba.run(&"second-branch".into()).unwrap();
        for f in [
            Flaming { run: run.id.clone(), at_mm: 300.0, width_mm: 20.0, degc: 230.0, seconds: 40.0 },
            Flaming { run: run.id.clone(), at_mm: 300.0, width_mm: 30.0, degc: 560.0, seconds: 40.0 },
        ] {
            let peak = |grid: Grid, mm: f64| field(run, &f, 300.0, (80.0, 520.0), grid).unwrap().peak_degc(mm - 80.0) - 20.0;
            for distance in [25.0, 50.0, 80.0] {
                let (coarse, fine) = (peak(GRID, 300.0 + distance), peak(Grid { cell_mm: 1.7, steps: 96 }, 300.0 + distance));
                assert!((coarse - fine).abs() < 0.06 * fine.max(20.0), "{distance} mm: {coarse:.1} against {fine:.1}");
            }
        }
    }
}
