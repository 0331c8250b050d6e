//! The heat of a step, in the words and figures of the bench: how long the flame burns and with what torch, what near it could
//! let go, how far the finish burns, what it does to the temper.

use crate::assembly::AIR_DEGC;
use crate::case::Case;
use crate::flame::{self, Flaming};
use crate::heats::{CONDUCTIVITY_SD, HOLD_SD, Moved, Near, Warm, course_at};
use crate::step::{COURSE_DEGC, Heat, HeatNeighbour, PeakAt};
use instrument::{Run, RunId};
use metal::heat_net::NET;
use metal::heat_sink::{self, Need};
use metal::{Temper, anneal};
use std::sync::Arc;
use units::text::{degc, mm};
use units::{Figure, Known, Origin, Text, Unit, text};

/// What a flame does with one input after another moved by one standard deviation.
struct Moves {
    middle: Arc<Warm>,
    moved: [Arc<Warm>; 3],
    inputs: [Known; 3],
}

impl Moves {
    fn new(case: &Case, f: &Flaming) -> Self {
        let heats = case.heats;
        let inputs = [
            heats.torch().known(),
            Known::new("holding time", f.hold_s, HOLD_SD * f.hold_s, Unit::S, Origin::Assumed),
            Known::new("conductivity of the hot metal, as a part of the usual", 1.0, CONDUCTIVITY_SD, Unit::One, Origin::Handbook),
        ];
        let moved = [Moved::Torch, Moved::Hold, Moved::Conductivity].map(|m| heats.warm(f, m));
        Self { middle: heats.warm(f, Moved::None), moved, inputs }
    }

    /// The same of what cannot be negative and grows out of all bounds as the torch gets too weak: straight in the logarithm.
    fn positive(&self, unit: Unit, what: &'static str, of: impl Fn(&Warm) -> f64) -> Figure {
        let middle = of(&self.middle).max(1e-9);
        let by_sd: Vec<f64> = self.moved.iter().map(|m| (of(m).max(1e-9) / middle).ln()).collect();
        Figure::derive_positive(unit, what, NET, &self.inputs, |x| {
            let moved = self.inputs.iter().zip(x).map(|(k, x)| if k.sd > 0.0 { (x - k.value) / k.sd } else { 0.0 });
            middle * moved.zip(&by_sd).map(|(z, d)| z * d).sum::<f64>().exp()
        })
    }

    /// A figure of what the flame does: straight in its inputs, from the four reckonings.
    fn figure(&self, unit: Unit, what: &'static str, of: impl Fn(&Warm) -> f64) -> Figure {
        let middle = of(&self.middle);
        let by_sd: Vec<f64> = self.moved.iter().map(|m| of(m) - middle).collect();
        Figure::derive(unit, what, NET, &self.inputs, |x| {
            let moved = self.inputs.iter().zip(x).map(|(k, x)| if k.sd > 0.0 { (x - k.value) / k.sd } else { 0.0 });
            middle + moved.zip(&by_sd).map(|(z, d)| z * d).sum::<f64>()
        })
    }
}

/// The heat of a flame.
pub fn heat(case: &Case, f: &Flaming) -> Option<Heat> {
    let run = case.run(&f.run)?;
    let moves = Moves::new(case, f);
    let warm = &moves.middle;
    let mut neighbours: Vec<HeatNeighbour> = warm.besides(&f.aims).map(|n| neighbour(case, f, &moves, n)).collect();
    // Whether a cloth is enough is reckoned with the cloths in place.
    let wants: Vec<_> = neighbours.iter().filter(|n| n.sink).map(|n| n.what.clone()).collect();
    if !wants.is_empty() {
        for (what, degc) in case.heats.with_cloths(f, &wants) {
            for n in neighbours.iter_mut().filter(|n| n.what == what) {
                n.with_sink_degc = Some(degc);
                n.too_close = degc >= n.melts_at_degc - heat_sink::MARGIN_DEGC;
            }
        }
    }
    let half = 0.5 * f.zones.first().and_then(|z| z.on.first()).map_or(0.0, |s| s.to_mm - s.from_mm);
    let sink_at_mm = neighbours.iter().find(|n| n.sink && !n.too_close).map(|n| n.distance_mm + half - 0.5 * heat_sink::SINK_WIDTH_MM);
    Some(Heat {
        run: f.run.clone(),
        at_mm: f.at_mm,
        target_degc: f.degc,
        along: course(&warm.along),
        neighbours,
        sink_at_mm,
        finish_burns_mm: burns_figure(run, &moves),
        finish_burns_beside: beside(case, f, warm),
        temper_note: temper_note(run, f, warm),
        flame_s: Some(moves.positive(Unit::S, "time until every stretch is at its heat, and held there", |w| w.burned_s)),
        torch: case.heats.torch().words(),
        too_weak: (!warm.reached).then(|| crate::step::TooWeak { got_degc: warm.got_degc, wants_w: case.heats.torch_wanted_w(f) }),
    })
}

fn neighbour(case: &Case, f: &Flaming, moves: &Moves, n: &Near) -> HeatNeighbour {
    let of = |w: &Warm| w.near.iter().find(|m| m.what == n.what).map_or(n.hottest.degc, |m| m.hottest.degc);
    let mut temperature_degc = moves.figure(Unit::DegC, "peak temperature at the neighbor", of);
    temperature_degc.low = temperature_degc.low.max(AIR_DEGC).min(temperature_degc.value);
    temperature_degc.high = temperature_degc.high.min(f.degc).max(temperature_degc.value);
    let melts = n.filler.solidus_degc();
    let need = heat_sink::need(temperature_degc.value, temperature_degc.high, melts, n.hottest.away_mm);
    HeatNeighbour {
        what: n.what.clone(),
        on: Some(case.heats.parts().run_of(n.hottest.run).id.clone()),
        at_mm: n.hottest.at_mm,
        distance_mm: n.hottest.away_mm,
        temperature_degc,
        melts_at_degc: melts,
        sink: need == Need::Sink,
        with_sink_degc: None,
        too_close: need == Need::LetsGo,
        resoldered_by: None,
    }
}

/// The course along a run without the places that lie on the line between others.
fn course(along: &[(f64, f64)]) -> Vec<PeakAt> {
    let mut kept = Vec::new();
    let mut from = 0;
    while let Some(p) = along.get(from) {
        kept.push(PeakAt { at_mm: p.0, degc: p.1 });
        let straight = |to: &usize| {
            let ends = [*p, along[*to]];
            along[from + 1..*to].iter().all(|q| course_at(&ends, q.0).is_none_or(|t| (t - q.1).abs() <= COURSE_DEGC))
        };
        from = (from + 1..along.len()).take_while(straight).last().unwrap_or(along.len());
    }
    kept
}

fn at_least_zero(mut f: Figure) -> Figure {
    f.low = f.low.max(0.0);
    f
}

/// Less burnt finish than this on a neighbour is wiped over with the rest, mm. Common practice, no source.
const LEAST_BURNT_MM: f64 = 2.0;

/// Finish spoiled on other runs than the one that the flame is lit on.
fn beside(case: &Case, f: &Flaming, warm: &Warm) -> Vec<(RunId, f64)> {
    let on = |(run, mm): &(usize, f64)| (case.heats.parts().run_of(*run).id.clone(), *mm);
    warm.spoiled_mm.iter().map(on).filter(|(run, mm)| *run != f.run && *mm >= LEAST_BURNT_MM).collect()
}

fn burns_figure(run: &Run, moves: &Moves) -> Figure {
    if run.finish.spoiled_from_degc().is_none() {
        return Figure::stated(0.0, 0.0, 0.0, Unit::Mm, "bare metal has no finish to burn", flame::PRACTICE, &[]);
    }
    let what = "distance from the flame's edge to where the metal stays below what the finish bears";
    at_least_zero(moves.figure(Unit::Mm, what, |w| w.spoiled_from_flame_mm))
}

fn sentence_case(words: &str) -> String {
    words.chars().take(1).flat_map(char::to_uppercase).chain(words.chars().skip(1)).collect()
}

fn temper_note(run: &Run, f: &Flaming, warm: &Warm) -> Text {
    let before = Temper(run.temper_at(f.at_mm).value.max(0.0));
    let reached_degc = f.degc.min(warm.got_degc);
    let after = anneal::anneal(run.alloy, before, reached_degc, f.hold_s);
    let hard = run.role.must_stay_hard();
    let mut note: Text = if after.recrystallised < 0.05 {
        text!("{} for {} s leaves the temper as it is ({})", degc(reached_degc), format!("{:.0}", f.hold_s), before.name())
    } else {
        format!("softens it from {} to {} under the flame", before.name(), after.temper.name()).into()
    };
    if after.recrystallised >= 0.05 && hard {
        note += ". This part has to stay hard: keep the flame short and off the working surface, then burnish or draw it hard again";
    }
    if after.recrystallised >= 0.05 || after.between.1 >= 0.05 {
        // To a hundredth: it is known to half of itself.
        note += text!(". Grain about {}", mm(after.grain_mm, 2));
    }
    if let Some(doubt) = after.doubt_words() {
        note += ". ";
        note += sentence_case(&doubt);
    }
    if after.overheated {
        note += ". This is above its annealing range: the grain grows coarse";
    }
    note
}

#[cfg(test)]
mod tests {
    use super::*;
    use instrument::{Kind, Role, patterns};
    use metal::Filler;

    /// A place four degrees beside the line between its neighbors is left out of the course, one six beside it is kept.
    #[test]
    fn the_course_keeps_what_lies_beside_the_line() {
        let kept = |middle: f64| course(&[(0.0, 100.0), (10.0, middle), (20.0, 200.0)]).len();
        assert_eq!((kept(150.0), kept(146.0), kept(144.0), kept(156.0)), (2, 2, 3, 3));
        assert_eq!(course(&[]), []);
    }

    /// A run of hard yellow brass in this role, heated to so much for so long, by a torch that gets that far or not so far.
    fn note(role: Role, degc: f64, hold_s: f64, got_degc: f64) -> String {
        let mut run = patterns::pattern(Kind::Tuba).unwrap().runs[0].clone();
        (run.role, run.alloy, run.temper) = (role, metal::Alloy::YellowBrass, instrument::Profile::constant(4.0, 0.0, Origin::Measured));
        let f = Flaming { run: run.id.clone(), at_mm: 10.0, zones: vec![], degc, hold_s, aims: vec![], off: vec![] };
        let warm = Warm {
            reached: got_degc >= degc,
            got_degc,
            burned_s: 0.0,
            near: vec![],
            spoiled_mm: vec![],
            spoiled_from_flame_mm: 0.0,
            along: vec![],
        };
        temper_note(&run, &f, &warm).metric()
    }

    /// Soft solder at 230 °C leaves hard brass hard; 555 °C for 40 s softens it (recrystallises from about 325 °C in an hour: ASM vol. 2); brass
    /// is annealed up to 750 °C (ASM vol. 4), so BAg-5's 783 °C are too hot. Grain by hand: 0.042 mm · (40 s/1800 s)^¼ · e^(−0.318) = 0.0118
    /// at 555 °C (170 kJ/mol).
    #[test]
    fn what_a_heat_does_to_the_temper_is_said() {
        let soft = note(Role::Branch, Filler::Sn60Pb40.worked_at_degc(), 20.0, 230.0);
        assert_eq!(soft, "230 °C for 20 s leaves the temper as it is (hard)");
        let red = note(Role::Branch, 555.0, 40.0, 555.0);
        assert!(red.starts_with("softens it from hard to annealed under the flame. Grain about 0.01 mm"), "{red}");
        assert!(!red.contains("stay hard") && !red.contains("coarse"), "{red}");
        // The same on a part that must stay hard.
        let slide = note(Role::TuningSlideInner, 555.0, 40.0, 555.0);
        assert!(slide.contains("has to stay hard") && !note(Role::TuningSlideInner, 230.0, 20.0, 230.0).contains("stay hard"), "{slide}");
        let silver = note(Role::Branch, 783.0, 30.0, 783.0);
        assert!(silver.contains("above its annealing range") && silver.contains("coarse"), "{silver}");
        // A torch that only gets to 230 °C softens nothing, whatever was wanted.
        assert!(note(Role::Branch, 555.0, 40.0, 230.0).starts_with("230 °C for 40 s leaves the temper"));
        // In between it is not known, and that is said.
        let doubt = note(Role::Branch, 400.0, 90.0, 400.0);
        assert!(doubt.contains("not well known") && doubt.contains("Grain about"), "{doubt}");
    }
}
