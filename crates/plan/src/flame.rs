//! What a flame is lit for: which stretch it covers, how hot, for how long it is held. What it does to the metal is in
//! [`crate::heats`], what the step says of it in [`crate::heat`].

use crate::assembly::{Parts, Stretch};
use instrument::{Instrument, OverlayKind, RunId};
use metal::Filler;
use reach::Opened;
use units::Source;

/// Where the temperatures and times come from.
pub const PRACTICE: Source = Source::common_practice(
    "solder is worked 40 °C above its liquidus and held there 20 s (silver 30 s) until it has run; an anneal is held 40 s; lacquer browns from about 180 °C, plate discolors or lifts from about 400–500 °C; no source",
);

/// How long soft solder is held at its heat until it has run or the joint has come apart, s.
pub const SOFT_HOLD_S: f64 = 20.0;
/// How long silver is held at its heat, s.
pub const SILVER_HOLD_S: f64 = 30.0;
/// How long an anneal is held, and at what heat: the same that the forces after it are reckoned from.
pub use metal::anneal::{BENCH_HOLD_S as ANNEAL_HOLD_S, bench_degc as anneal_degc};
/// Least length of tube that a flame covers, mm. Common practice, no source.
const LEAST_MM: f64 = 15.0;
/// Longest that is soldered in one go, mm: what is longer is done stretch by stretch. Common practice, no source.
const SOLDER_MOST_MM: f64 = 60.0;
/// Longest that is annealed in one go, mm. Common practice, no source.
const ANNEAL_MOST_MM: f64 = 120.0;

/// What a flame covers at once.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    /// The stretches.
    pub on: Vec<Stretch>,
    /// Its breadth round the tube, mm; none where it is led all round.
    pub round_mm: Option<f64>,
}

/// A flame: what it covers, one stretch after another, and its heat.
#[derive(Clone, Debug, PartialEq)]
pub struct Flaming {
    /// The run that it is lit on first.
    pub run: RunId,
    /// Station of the first stretch's middle, mm.
    pub at_mm: f64,
    /// What it covers at once; one after another.
    pub zones: Vec<Zone>,
    /// Temperature wanted, °C.
    pub degc: f64,
    /// How long it is held there, s.
    pub hold_s: f64,
    /// What is meant to melt.
    pub aims: Vec<Opened>,
    /// What is off or apart by then: it carries no heat.
    pub off: Vec<Opened>,
}

/// How long a filler is held at its heat, s.
pub fn solder_hold_s(filler: Filler) -> f64 {
    if filler.is_soft() { SOFT_HOLD_S } else { SILVER_HOLD_S }
}

/// Where something lies on the runs: a joint on both ends, over half of its overlap each.
pub fn places_of(instrument: &Instrument, parts: &Parts, what: &Opened) -> Vec<Stretch> {
    match what {
        Opened::Joint(id) => instrument.joint(id).map_or_else(Vec::new, |j| {
            let half = 0.5 * j.overlap_mm.max(0.0);
            [&j.a, &j.b].into_iter().filter_map(|end| parts.at_end(end, half)).collect()
        }),
        Opened::Overlay(id) => instrument.overlay(id).map_or_else(Vec::new, |o| {
            o.covers.iter().filter_map(|c| parts.stretch(parts.run(&c.run)?, c.from_mm.min(c.to_mm), c.from_mm.max(c.to_mm))).collect()
        }),
    }
}

/// Ferrules that slide off over a joint: they are soldered with it, in its heat.
pub fn ferrules_of<'i>(instrument: &'i Instrument, joint: &'i Opened) -> impl Iterator<Item = Opened> + 'i {
    let own = move |o: &&instrument::Overlay| matches!(joint, Opened::Joint(id) if o.slides_off_at.as_ref() == Some(id));
    instrument.overlays.iter().filter(own).map(|o| Opened::Overlay(o.id.clone()))
}

/// The flame that opens or closes something; none where it comes apart cold. A joint is heated over both tubes with its
/// ferrule, a brace foot by foot, a guard stretch by stretch.
pub fn solder_flame(instrument: &Instrument, parts: &Parts, what: &Opened) -> Option<Flaming> {
    let filler = reach::filler_of(instrument, what)?;
    let mut aims = vec![what.clone()];
    aims.extend(ferrules_of(instrument, what));
    let ferrule =
        |what: &Opened| matches!(what, Opened::Overlay(id) if instrument.overlay(id).is_some_and(|o| o.kind == OverlayKind::Ferrule));
    let zones = match what {
        Opened::Joint(id) => {
            let j = instrument.joint(id)?;
            let reach = |run: usize, end: &instrument::RunEnd| {
                let length = parts.run_of(run).length_mm();
                let of_ferrules = aims[1..].iter().flat_map(|f| places_of(instrument, parts, f)).filter(|s| s.run == run);
                let from_end = |s: Stretch| if end.end == instrument::End::Start { s.to_mm } else { length - s.from_mm };
                of_ferrules.map(from_end).fold(0.5 * j.overlap_mm.max(LEAST_MM), f64::max).min(0.5 * SOLDER_MOST_MM)
            };
            let on = [&j.a, &j.b].into_iter().filter_map(|end| parts.at_end(end, reach(parts.run(&end.run)?, end))).collect();
            vec![Zone { on, round_mm: None }]
        }
        Opened::Overlay(_) if ferrule(what) => vec![Zone { on: places_of(instrument, parts, what), round_mm: None }],
        Opened::Overlay(id) => {
            let mut zones = Vec::new();
            for c in &instrument.overlay(id)?.covers {
                let Some(run) = parts.run(&c.run) else { continue };
                let Some(s) = parts.stretch(run, c.from_mm.min(c.to_mm), c.from_mm.max(c.to_mm)) else { continue };
                let round = std::f64::consts::PI * parts.run_of(run).outside_diameter_at(0.5 * (s.from_mm + s.to_mm));
                let round_mm = c.clock_deg.map(|(from, to)| (to - from).rem_euclid(360.0) / 360.0 * round);
                zones.extend(tiles(parts, s, SOLDER_MOST_MM).into_iter().map(|s| Zone { on: vec![s], round_mm }));
            }
            zones
        }
    };
    flaming(parts, zones, filler.worked_at_degc(), solder_hold_s(filler), aims)
}

/// The flame of an anneal, about as broad as it is long; stretch by stretch where it is long.
pub fn anneal_flame(parts: &Parts, run: usize, from_mm: f64, to_mm: f64) -> Option<Flaming> {
    let whole = parts.stretch(run, from_mm, to_mm)?;
    let zone = |s: Stretch| Zone { on: vec![s], round_mm: Some(s.to_mm - s.from_mm) };
    let zones = tiles(parts, whole, ANNEAL_MOST_MM).into_iter().map(zone).collect();
    flaming(parts, zones, anneal_degc(parts.run_of(run).alloy), ANNEAL_HOLD_S, vec![])
}

/// The flame that solders something on at a place (a stud, a patch).
pub fn spot_flame(parts: &Parts, run: usize, at_mm: f64, width_mm: f64, filler: Filler) -> Option<Flaming> {
    let spot = parts.stretch(run, at_mm - 0.5 * width_mm, at_mm + 0.5 * width_mm)?;
    flaming(parts, vec![Zone { on: vec![spot], round_mm: Some(width_mm) }], filler.worked_at_degc(), solder_hold_s(filler), vec![])
}

fn flaming(parts: &Parts, zones: Vec<Zone>, degc: f64, hold_s: f64, aims: Vec<Opened>) -> Option<Flaming> {
    let zones: Vec<Zone> = zones.into_iter().filter(|z| !z.on.is_empty()).collect();
    let first = *zones.first()?.on.first()?;
    let at_mm = 0.5 * (first.from_mm + first.to_mm);
    Some(Flaming { run: parts.run_of(first.run).id.clone(), at_mm, zones, degc, hold_s, aims, off: vec![] })
}

/// A stretch, at least as long as a flame is wide, cut into equal ones no longer than `most_mm`.
fn tiles(parts: &Parts, s: Stretch, most_mm: f64) -> Vec<Stretch> {
    let (middle, width) = (0.5 * (s.from_mm + s.to_mm), (s.to_mm - s.from_mm).max(LEAST_MM));
    let n = (width / most_mm).ceil().max(1.0);
    let each = width / n;
    (0..n as usize)
        .filter_map(|i| {
            let from = middle - 0.5 * width + i as f64 * each;
            parts.stretch(s.run, from, from + each)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use instrument::{Kind, patterns};

    #[test]
    fn solder_is_worked_forty_degrees_above_its_liquidus() {
        // ASTM B32: Sn60Pb40 190 °C; AWS A5.8: BAg-5 743 °C.
        assert_eq!(Filler::Sn60Pb40.worked_at_degc(), 230.0);
        assert_eq!(Filler::Bag5.worked_at_degc(), 783.0);
        assert_eq!((solder_hold_s(Filler::Sn60Pb40), solder_hold_s(Filler::Bag5)), (20.0, 30.0));
        // Yellow brass is annealed from 425 to 750 °C (ASM vol. 4): two fifths up is 555 °C.
        assert!((anneal_degc(metal::Alloy::YellowBrass) - 555.0).abs() < 1e-9);
        assert_eq!(ANNEAL_HOLD_S, 40.0);
    }

    #[test]
    fn finishes_bear_what_they_bear() {
        use instrument::Finish;
        let limits = [Finish::Raw, Finish::Lacquer, Finish::SilverPlate, Finish::GoldPlate, Finish::NickelPlate, Finish::ChromePlate]
            .map(Finish::spoiled_from_degc);
        assert_eq!(limits, [None, Some(180.0), Some(450.0), Some(450.0), Some(500.0), Some(400.0)]);
    }

    #[test]
    fn an_anneal_of_that_length_softens_hard_metal() {
        for alloy in metal::Alloy::ALL {
            let a = metal::anneal::anneal(alloy, metal::Temper::HARD, anneal_degc(alloy), ANNEAL_HOLD_S);
            // Nine tenths at the middle of the constants' doubt; half of that time leaves gold brass short of it.
            assert!(a.recrystallised > 0.9 && !a.overheated, "{alloy:?} {a:?}");
        }
    }

    #[test]
    fn a_joint_is_heated_over_both_tubes_with_its_ferrule() {
        let i = patterns::pattern(Kind::Tuba).unwrap();
        let parts = Parts::new(&i);
        let ferrule = i.overlays.iter().find(|o| o.kind == OverlayKind::Ferrule).unwrap();
        let joint = Opened::Joint(ferrule.slides_off_at.clone().unwrap());
        let f = solder_flame(&i, &parts, &joint).unwrap();
        assert_eq!(f.aims, [joint.clone(), Opened::Overlay(ferrule.id.clone())]);
        assert_eq!((f.zones.len(), f.zones[0].on.len(), f.zones[0].round_mm), (1, 2, None));
        for (s, c) in f.zones[0].on.iter().zip(&ferrule.covers) {
            let wide = (c.to_mm - c.from_mm).max(7.5);
            assert!((s.to_mm - s.from_mm - wide).abs() < 1e-6, "{s:?} {c:?}");
        }
        assert!((f.degc - 280.0).abs() < 1e-9 && f.hold_s == 20.0);
        // At the joint, on the first of the two runs.
        let first = parts.run_of(f.zones[0].on[0].run);
        assert!(f.run == first.id && f.at_mm > first.length_mm() - 30.0);
    }

    #[test]
    fn long_things_are_done_stretch_by_stretch() {
        let i = patterns::pattern(Kind::Tuba).unwrap();
        let parts = Parts::new(&i);
        let guard = i.overlays.iter().find(|o| o.kind == OverlayKind::Guard).unwrap();
        let length = guard.covers[0].to_mm - guard.covers[0].from_mm;
        let f = solder_flame(&i, &parts, &Opened::Overlay(guard.id.clone())).unwrap();
        assert_eq!(f.zones.len(), (length / 60.0).ceil() as usize);
        let covered: f64 = f.zones.iter().flat_map(|z| &z.on).map(|s| s.to_mm - s.from_mm).sum();
        assert!((covered - length).abs() < 1e-6);
        // 110° of the way round.
        let outside = parts.run_of(f.zones[0].on[0].run).outside_diameter_at(0.5 * (guard.covers[0].from_mm + guard.covers[0].to_mm));
        assert!((f.zones[0].round_mm.unwrap() - 110.0 / 360.0 * std::f64::consts::PI * outside).abs() < 1e-6);
        let run = parts.run(&"second-branch".into()).unwrap();
        let anneal = anneal_flame(&parts, run, 100.0, 340.0).unwrap();
        let zone = |from_mm: f64, to_mm: f64, round: f64| Zone { on: vec![Stretch { run, from_mm, to_mm }], round_mm: Some(round) };
        assert_eq!(anneal.zones, [zone(100.0, 220.0, 120.0), zone(220.0, 340.0, 120.0)]);
        // A short one is as wide as a flame.
        let short = anneal_flame(&parts, run, 100.0, 104.0).unwrap();
        assert_eq!(short.zones, [zone(94.5, 109.5, 15.0)]);
        let spot = spot_flame(&parts, run, 50.0, 20.0, Filler::Sn96Ag4).unwrap();
        assert_eq!(spot.zones, [zone(40.0, 60.0, 20.0)]);
        assert_eq!((spot.at_mm, spot.degc, spot.hold_s), (50.0, 261.0, 20.0));
    }

    #[test]
    fn a_flame_stays_on_its_run() {
        let i = patterns::pattern(Kind::Tuba).unwrap();
        let parts = Parts::new(&i);
        let run = parts.run(&"second-branch".into()).unwrap();
        assert_eq!(parts.stretch(run, -10.0, 5.0), Some(Stretch { run, from_mm: 0.0, to_mm: 5.0 }));
        let all = anneal_flame(&parts, run, f64::NAN, 5.0);
        assert!(all.is_none());
        assert!(spot_flame(&parts, run, f64::INFINITY, 20.0, Filler::Sn96Ag4).is_none());
    }
}
