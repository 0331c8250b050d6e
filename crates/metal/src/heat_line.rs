//! Temperature along a run of tube whose bore, wall and neighbours change, steady and with time.
//!
//! The numbers are found by finite volumes (`heat_cells.rs`). Temperature is taken as even through the wall and round
//! the tube (the wall is thin; round the tube that is the state after the flame has been led about, as it should be).

use crate::{Alloy, heat, heat_cells::Cells};
use units::Source;

/// Source of [`steady_along`] and [`transient_along`].
pub const LINE: Source = Source::own_model("one-dimensional finite volumes along the tube, held to the infinite fin and the half space");

/// A stretch of tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Length, mm.
    pub length_mm: f64,
    /// Inside diameter at its start and at its end, mm.
    pub bore_mm: (f64, f64),
    /// Wall, mm.
    pub wall_mm: f64,
    /// Conductivity, W/(m K).
    pub conductivity_w_mk: f64,
    /// Density, kg/m³.
    pub density_kg_m3: f64,
    /// Specific heat, J/(kg K).
    pub specific_heat_j_kgk: f64,
    /// Whether the inside loses heat too (open ends, or air led through).
    pub inside_loses: bool,
}

impl Stretch {
    /// A stretch of an alloy, with still air inside.
    pub fn of(alloy: Alloy, length_mm: f64, bore_mm: (f64, f64), wall_mm: f64) -> Self {
        let p = alloy.physical();
        Self {
            length_mm,
            bore_mm,
            wall_mm,
            conductivity_w_mk: p.conductivity_w_mk.value,
            density_kg_m3: p.density_kg_m3.value,
            specific_heat_j_kgk: p.specific_heat_j_kgk.value,
            inside_loses: false,
        }
    }
}

/// What lies beyond an end of the line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Nothing: the tube ends.
    Free,
    /// The same tube goes on.
    Continues,
}

/// Something fixed to the tube that takes heat: a brace, a ferrule, another branch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Branch {
    /// Where, mm from the line's start.
    pub at_mm: f64,
    /// What it carries off to the air, W per degree; for a long branch √(h P k A) (see [`heat::fin_watts`] at 1 K).
    pub conductance_w_k: f64,
    /// Its heat capacity that must be warmed with the tube, J per degree.
    pub capacity_j_k: f64,
}

/// How the outside loses heat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Loss {
    /// The same everywhere, W/(m² K).
    Even(f64),
    /// To still air by convection and radiation (see [`heat::still_air_loss_w_m2k`]), with this emissivity.
    StillAir {
        /// Emissivity, 0 to 1.
        emissivity: f64,
    },
}

/// A run of tube, ready to be heated.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its stretches, in order.
    pub stretches: Vec<Stretch>,
    /// What lies beyond its start and its end.
    pub ends: (End, End),
    /// What is fixed to it.
    pub branches: Vec<Branch>,
    /// How it loses heat.
    pub loss: Loss,
    /// Temperature of the air, and of everything at the start, °C.
    pub air_degc: f64,
    /// Largest cell, mm.
    pub cell_mm: f64,
}

impl Line {
    /// A line in a room at 20 °C, losing heat to still air from an oxidised surface, in cells of 3 mm.
    pub fn new(stretches: Vec<Stretch>) -> Self {
        Self {
            stretches,
            ends: (End::Continues, End::Continues),
            branches: Vec::new(),
            loss: Loss::StillAir { emissivity: heat::EMISSIVITY_OXIDISED },
            air_degc: 20.0,
            cell_mm: 3.0,
        }
    }

    /// Length, mm.
    pub fn length_mm(&self) -> f64 {
        self.stretches.iter().map(|s| s.length_mm).sum()
    }
}

/// A flame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Torch {
    /// The person holds the spot at a temperature.
    Held {
        /// Middle of the flame, mm.
        at_mm: f64,
        /// Length of tube that it covers, mm.
        width_mm: f64,
        /// Temperature, °C.
        degc: f64,
    },
    /// The flame gives a heat.
    Flux {
        /// Middle of the flame, mm.
        at_mm: f64,
        /// Length of tube that it covers, mm.
        width_mm: f64,
        /// Heat that goes into the metal, W (not the burner's power: most of that goes past).
        watts: f64,
    },
}

impl Torch {
    /// Middle of the flame, mm.
    pub fn at_mm(self) -> f64 {
        match self {
            Self::Held { at_mm, .. } | Self::Flux { at_mm, .. } => at_mm,
        }
    }

    /// Length of tube that the flame covers, mm.
    pub fn width_mm(self) -> f64 {
        match self {
            Self::Held { width_mm, .. } | Self::Flux { width_mm, .. } => width_mm,
        }
    }
}

/// A wet cloth or a clamp that takes heat and gives none: it holds its place at or below a temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sink {
    /// Its middle, mm.
    pub at_mm: f64,
    /// Length of tube that it covers, mm.
    pub width_mm: f64,
    /// It holds the tube at or below this, °C.
    pub degc: f64,
}

impl Sink {
    /// A wet cloth: it cannot get hotter than boiling water as long as it is wet (closed form: boiling point at sea level).
    pub fn wet_cloth(at_mm: f64, width_mm: f64) -> Self {
        Self { at_mm, width_mm, degc: 100.0 }
    }
}

/// What is wrong with a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BadLine {
    /// No stretch, or a length, wall, bore or property that is not a positive number.
    Stretch(usize),
    /// A flame, sink or branch that does not lie on the line, or a number of theirs or of the air that is not usable.
    OffLine,
    /// A duration or a count of steps that is not positive.
    Duration,
    /// Heat goes in and none goes out: there is no steady state.
    NoLoss,
}

impl std::fmt::Display for BadLine {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Stretch(i) => write!(f, "stretch {i} of the heated line: length, wall, bore and properties must be positive numbers"),
            Self::OffLine => write!(f, "a flame, sink or branch lies off the heated line: give its place in mm from the line's start"),
            Self::Duration => write!(f, "the heating time must be a positive number of seconds"),
            Self::NoLoss => {
                write!(f, "the heated line loses no heat, so it never comes to rest: give a loss to the air, or a heating time")
            }
        }
    }
}

impl std::error::Error for BadLine {}

/// Temperatures along the line.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// Places, mm from the line's start, rising.
    pub at_mm: Vec<f64>,
    /// Temperatures there, °C.
    pub degc: Vec<f64>,
    /// Heat that the flame puts into the metal, W.
    pub torch_watts: f64,
}

impl Field {
    /// Temperature at a place, °C (straight between cells, the end cells' beyond).
    pub fn at(&self, at_mm: f64) -> f64 {
        between(&self.at_mm, &self.degc, at_mm)
    }
}

/// Temperatures along the line as time goes.
#[derive(Clone, Debug, PartialEq)]
pub struct History {
    /// Places, mm from the line's start, rising.
    pub at_mm: Vec<f64>,
    /// Times, s, from the first step on.
    pub times_s: Vec<f64>,
    /// Temperatures, °C, one row for each time.
    pub degc: Vec<Vec<f64>>,
    /// Heat that the flame puts into the metal at each time, W.
    pub torch_watts: Vec<f64>,
}

impl History {
    /// Temperature at a place at each time, °C.
    pub fn at(&self, at_mm: f64) -> Vec<f64> {
        self.degc.iter().map(|row| between(&self.at_mm, row, at_mm)).collect()
    }

    /// Hottest that a place gets, °C.
    pub fn peak_degc(&self, at_mm: f64) -> f64 {
        self.at(at_mm).into_iter().fold(f64::NEG_INFINITY, f64::max)
    }

    /// First time at which a place is at or above a temperature, s; none if it never is.
    pub fn reaches_s(&self, at_mm: f64, degc: f64) -> Option<f64> {
        self.at(at_mm).iter().position(|t| *t >= degc).map(|i| self.times_s[i])
    }

    /// The stretch about `from_mm` in which the peak is at or above a temperature: its two ends, mm; none where even that
    /// place stays below.
    pub fn hotter_than(&self, from_mm: f64, degc: f64) -> Option<(f64, f64)> {
        let peaks: Vec<f64> = (0..self.at_mm.len()).map(|i| self.degc.iter().map(|r| r[i]).fold(f64::NEG_INFINITY, f64::max)).collect();
        let start = nearest(&self.at_mm, from_mm);
        if peaks[start] < degc {
            return None;
        }
        let edge = |a: usize, b: usize| {
            // Between cell a (hot) and b (cooler).
            let t = (peaks[a] - degc) / (peaks[a] - peaks[b]);
            self.at_mm[a] + t * (self.at_mm[b] - self.at_mm[a])
        };
        let low = (0..start).rev().find(|i| peaks[*i] < degc).map_or(self.at_mm[0], |i| edge(i + 1, i));
        let high = (start + 1..peaks.len()).find(|i| peaks[*i] < degc).map_or(self.at_mm[peaks.len() - 1], |i| edge(i - 1, i));
        Some((low, high))
    }
}

/// Steady temperatures with the flame on.
///
/// # Errors
/// [`BadLine`] where the line or what is on it is not usable.
pub fn steady_along(line: &Line, torch: Torch, sinks: &[Sink]) -> Result<Field, BadLine> {
    let cells = Cells::new(line, torch, sinks)?;
    if line.loss == Loss::Even(0.0) && matches!(torch, Torch::Flux { .. }) && line.branches.iter().all(|b| b.conductance_w_k == 0.0) {
        return Err(BadLine::NoLoss);
    }
    let mut degc = vec![line.air_degc; cells.len()];
    let mut watts = 0.0;
    // Losses depend on temperature, so the balance is found by going round; it settles because hotter metal loses more.
    for _ in 0..60 {
        let (next, w) = cells.step(&degc, None, true);
        let moved = next.iter().zip(&degc).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        degc = next;
        watts = w;
        if moved < 1e-3 {
            break;
        }
    }
    Ok(Field { at_mm: cells.at_mm, degc, torch_watts: watts })
}

/// Temperatures with time: the flame on for `heat_s`, then off for `cool_s` (may be 0), in steps of equal length.
///
/// # Errors
/// [`BadLine`] where the line, what is on it or the times are not usable.
pub fn transient_along(line: &Line, torch: Torch, sinks: &[Sink], heat_s: f64, cool_s: f64, steps: usize) -> Result<History, BadLine> {
    if !(heat_s > 0.0 && heat_s.is_finite() && cool_s >= 0.0 && cool_s.is_finite() && steps > 0) {
        return Err(BadLine::Duration);
    }
    let cells = Cells::new(line, torch, sinks)?;
    let dt = (heat_s + cool_s) / steps as f64;
    let mut degc = vec![line.air_degc; cells.len()];
    let (mut times_s, mut rows, mut watts) = (Vec::with_capacity(steps), Vec::with_capacity(steps), Vec::with_capacity(steps));
    for i in 0..steps {
        // The flame burns in every step that begins while it is on.
        let burning = i as f64 * dt < heat_s;
        let (next, w) = cells.step(&degc, Some(dt), burning);
        degc = next;
        times_s.push((i + 1) as f64 * dt);
        rows.push(degc.clone());
        watts.push(w);
    }
    Ok(History { at_mm: cells.at_mm, times_s, degc: rows, torch_watts: watts })
}

/// The cell whose middle is nearest to a place.
pub(crate) fn nearest(at_mm: &[f64], x: f64) -> usize {
    let i = at_mm.partition_point(|a| *a < x);
    if i == 0 {
        0
    } else if i == at_mm.len() || x - at_mm[i - 1] <= at_mm[i] - x {
        i - 1
    } else {
        i
    }
}

fn between(at_mm: &[f64], degc: &[f64], x: f64) -> f64 {
    let i = at_mm.partition_point(|a| *a < x);
    if i == 0 {
        return degc[0];
    }
    if i == at_mm.len() {
        return degc[i - 1];
    }
    let t = (x - at_mm[i - 1]) / (at_mm[i] - at_mm[i - 1]);
    degc[i - 1] + t * (degc[i] - degc[i - 1])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tube(length_mm: f64) -> Stretch {
        Stretch::of(Alloy::YellowBrass, length_mm, (12.0, 12.0), 0.5)
    }

    fn torch(at_mm: f64) -> Torch {
        Torch::Held { at_mm, width_mm: 10.0, degc: 650.0 }
    }

    #[test]
    fn heat_given_is_heat_stored_when_none_is_lost() {
        let mut line = Line::new(vec![tube(200.0)]);
        line.loss = Loss::Even(0.0);
        line.ends = (End::Free, End::Free);
        line.branches = vec![Branch { at_mm: 50.0, conductance_w_k: 0.0, capacity_j_k: 4.0 }];
        let history = transient_along(&line, Torch::Flux { at_mm: 100.0, width_mm: 10.0, watts: 80.0 }, &[], 30.0, 60.0, 90).unwrap();
        let cells = Cells::new(&line, torch(100.0), &[]).unwrap();
        let stored: f64 = cells.capacity.iter().zip(&history.degc[89]).map(|(c, t)| c * (t - 20.0)).sum();
        assert!((stored / (80.0 * 30.0) - 1.0).abs() < 1e-9, "{stored}");
    }

    #[test]
    fn a_long_time_comes_to_the_steady_state() {
        let line = Line::new(vec![tube(300.0), Stretch { wall_mm: 1.2, ..tube(30.0) }, tube(100.0)]);
        let steady = steady_along(&line, torch(200.0), &[]).unwrap();
        let history = transient_along(&line, torch(200.0), &[], 4000.0, 0.0, 400).unwrap();
        for (a, b) in steady.degc.iter().zip(&history.degc[399]) {
            assert!((a - b).abs() < 0.1, "{a} {b}");
        }
        assert!((steady.torch_watts / history.torch_watts[399] - 1.0).abs() < 1e-3);
    }

    #[test]
    fn an_end_that_continues_is_as_good_as_a_longer_line() {
        let mut short = Line::new(vec![tube(120.0)]);
        let mut long = Line::new(vec![tube(1200.0)]);
        for l in [&mut short, &mut long] {
            l.loss = Loss::Even(30.0);
            l.ends = (End::Free, End::Continues);
        }
        let (a, b) = (steady_along(&short, torch(20.0), &[]).unwrap(), steady_along(&long, torch(20.0), &[]).unwrap());
        for x in [30.0, 60.0, 110.0] {
            assert!((a.at(x) - b.at(x)).abs() < 1.0, "{x}: {} {}", a.at(x), b.at(x));
        }
    }

    #[test]
    fn a_sink_takes_heat_and_never_gives_it() {
        let line = Line::new(vec![tube(300.0)]);
        let sink = Sink::wet_cloth(200.0, 15.0);
        let with = transient_along(&line, torch(100.0), &[sink], 120.0, 0.0, 120).unwrap();
        let without = transient_along(&line, torch(100.0), &[], 120.0, 0.0, 120).unwrap();
        for (a, b) in with.degc.iter().flatten().zip(without.degc.iter().flatten()) {
            assert!(*a <= b + 1e-9 && *a >= 20.0 - 1e-9);
        }
        assert!(with.peak_degc(200.0) <= 100.0 + 1e-9 && without.peak_degc(200.0) > 110.0);
        assert!(with.torch_watts[119] > without.torch_watts[119]);
        // Steady too.
        let steady = steady_along(&line, torch(100.0), &[sink]).unwrap();
        assert!(steady.at(200.0) <= 100.0 + 1e-9 && steady.at(230.0) < 100.0);
    }

    #[test]
    fn a_thick_neighbour_or_a_brace_keeps_the_far_side_cooler() {
        let plain = Line::new(vec![tube(300.0)]);
        let mut braced = plain.clone();
        braced.branches.push(Branch { at_mm: 140.0, conductance_w_k: 0.05, capacity_j_k: 10.0 });
        let at = |l: &Line| transient_along(l, torch(100.0), &[], 60.0, 0.0, 60).unwrap().peak_degc(170.0);
        assert!(at(&braced) < at(&plain));
    }

    #[test]
    fn the_hot_stretch_lies_about_the_flame() {
        let line = Line::new(vec![tube(400.0)]);
        let history = transient_along(&line, torch(200.0), &[], 30.0, 30.0, 60).unwrap();
        let (low, high) = history.hotter_than(200.0, 183.0).unwrap();
        assert!(low < 190.0 && high > 210.0 && ((200.0 - low) - (high - 200.0)).abs() < 1.0);
        assert!((history.peak_degc(high) - 183.0).abs() < 5.0);
        assert!(history.reaches_s(high - 3.0, 183.0).is_some() && history.reaches_s(high + 5.0, 183.0).is_none());
        assert_eq!(history.hotter_than(20.0, 600.0), None);
    }

    #[test]
    fn bad_lines_are_refused() {
        let line = Line::new(vec![tube(100.0)]);
        assert_eq!(steady_along(&Line::new(vec![]), torch(0.0), &[]).unwrap_err(), BadLine::Stretch(0));
        assert_eq!(steady_along(&Line::new(vec![tube(100.0), tube(f64::NAN)]), torch(0.0), &[]).unwrap_err(), BadLine::Stretch(1));
        assert_eq!(steady_along(&line, torch(200.0), &[]).unwrap_err(), BadLine::OffLine);
        assert_eq!(steady_along(&line, torch(50.0), &[Sink::wet_cloth(f64::NAN, 10.0)]).unwrap_err(), BadLine::OffLine);
        assert_eq!(transient_along(&line, torch(50.0), &[], 0.0, 0.0, 10).unwrap_err(), BadLine::Duration);
        let flux = Torch::Flux { at_mm: 50.0, width_mm: 5.0, watts: 50.0 };
        let mut tight = line.clone();
        tight.loss = Loss::Even(0.0);
        assert_eq!(steady_along(&tight, flux, &[]).unwrap_err(), BadLine::NoLoss);
        tight.loss = Loss::Even(f64::NAN);
        assert_eq!(steady_along(&tight, flux, &[]).unwrap_err(), BadLine::OffLine);
    }
}
