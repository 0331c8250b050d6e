//! What flames do to the metal of one instrument with one shop's torch: reckoned once each, asked for again and again (by the
//! choice, by the steps, by every level of the work).

use crate::assembly::{Assembly, Hottest, Parts, SOFT_WINDOW_MM, Stretch, Taken, WINDOW_MM};
use crate::choose::Solved;
use crate::flame::{self, Flaming, Zone};
use crate::kept::Kept;
use crate::torch::Torch;
use instrument::{Instrument, RunId, Survey};
use metal::heat_net::{Flame, GENTLE_S};
use metal::{Filler, heat, heat_sink, heat_torch};
use reach::{Opened, Rack};
use std::sync::Arc;

/// The time of holding is known no better than this part of itself. Common practice, no source.
pub const HOLD_SD: f64 = 0.3;
/// The conductivity of hot metal is known no better than this part of itself: 5 % of the table's, and as much for its gain
/// with heat. Common practice, no source.
pub const CONDUCTIVITY_SD: f64 = 0.07;
/// Below this a flame is for soft solder, °C: soft solder is worked up to 280 °C, silver and anneals from 510 °C up.
const HOT_DEGC: f64 = 400.0;
/// A torch is called large enough for a joint that brings it to its heat in this time, s. Common practice, no source.
const SOON_S: f64 = 180.0;

/// Which of a flame's inputs is moved by one standard deviation, towards the hotter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Moved {
    /// None.
    None,
    /// Less heat enters: it takes longer, and more of it spreads.
    Torch,
    /// It is held longer.
    Hold,
    /// The metal conducts better.
    Conductivity,
}

/// A soldered place that heat comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Near {
    /// What it is.
    pub what: Opened,
    /// What holds it.
    pub filler: Filler,
    /// Its hottest place.
    pub hottest: Hottest,
}

/// What a flame does.
#[derive(Clone, Debug, PartialEq)]
pub struct Warm {
    /// Whether every stretch came to its heat.
    pub reached: bool,
    /// Hottest that the coolest of its stretches got, °C.
    pub got_degc: f64,
    /// How long it burned in all, s. (What stands below is what it does where it is large enough, or what a larger one does.)
    pub burned_s: f64,
    /// Soldered places, those meant to melt too, hottest first.
    pub near: Vec<Near>,
    /// Length of each run on which the finish is spoiled, mm.
    pub spoiled_mm: Vec<(usize, f64)>,
    /// How far from the flame its own run's finish is spoiled, mm.
    pub spoiled_from_flame_mm: f64,
    /// How hot its own run gets along itself: stations, mm, with their peaks, °C.
    pub along: Vec<(f64, f64)>,
}

/// The flames of one instrument.
pub struct Heats<'a> {
    instrument: &'a Instrument,
    parts: Parts<'a>,
    torch: Torch,
    /// All that solder or braze holds, and where it lies.
    soldered: Vec<(Opened, Filler, Vec<Stretch>)>,
    /// What is not there any more: it carries no heat and cannot let go.
    missing: Vec<Opened>,
    known: Arc<Known>,
}

/// What the flames of one instrument with one torch did: kept with a job, so that a decision reckons only the flames that it lights
/// anew.
#[derive(Clone, Debug)]
pub struct Flames {
    torch: Torch,
    known: Arc<Known>,
}

/// What was reckoned of each flame.
#[derive(Debug, Default)]
struct Known {
    warm: Kept<(Key, Moved), Arc<Warm>>,
    cloths: Kept<(Key, Vec<Opened>), Heated>,
    torches: Kept<Key, f64>,
    solved: Solved,
}

/// How hot each of some soldered places gets, °C.
type Heated = Vec<(Opened, f64)>;

/// A zone's stretches by run, and its breadth, in bits.
type ZoneKey = (Vec<(usize, u64, u64)>, Option<u64>);

/// A flame by what makes it the same, to the last bit: where it is lit, its stretches, heat, and what is off.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Key {
    run: RunId,
    zones: Vec<ZoneKey>,
    degc: u64,
    hold_s: u64,
    off: Vec<Opened>,
}

impl<'a> Heats<'a> {
    /// The flames of an instrument with the torch of a rack.
    pub fn new(instrument: &'a Instrument, rack: &Rack) -> Self {
        let parts = Parts::new(instrument);
        let joints = instrument.joints.iter().map(|j| Opened::Joint(j.id.clone()));
        let overlays = instrument.overlays.iter().map(|o| Opened::Overlay(o.id.clone()));
        let soldered = joints
            .chain(overlays)
            .filter_map(|what| {
                let filler = reach::filler_of(instrument, &what)?;
                let on = flame::places_of(instrument, &parts, &what);
                Some((what, filler, on))
            })
            .collect();
        Self { instrument, parts, torch: Torch::of(rack), soldered, missing: vec![], known: Arc::default() }
    }

    /// The same, without the braces that a survey lacks.
    #[must_use]
    pub fn lacking(mut self, survey: &Survey) -> Self {
        let missing = self.instrument.overlays.iter().filter(|o| survey.lacks(&o.id));
        self.missing = missing.map(|o| Opened::Overlay(o.id.clone())).collect();
        self
    }

    fn off(&self, flame: Option<Flaming>) -> Option<Flaming> {
        let mut flame = flame?;
        flame.off = self.missing.iter().filter(|o| !flame.aims.contains(o)).cloned().collect();
        Some(flame)
    }

    /// The same, with what is known of this instrument's flames already; not where it was another torch that was lit.
    #[must_use]
    pub fn knowing(mut self, flames: &Flames) -> Self {
        if flames.torch == self.torch {
            self.known = Arc::clone(&flames.known);
        }
        self
    }

    /// What its flames did, for the next job with the same instrument.
    pub fn flames(&self) -> Flames {
        Flames { torch: self.torch.clone(), known: Arc::clone(&self.known) }
    }

    /// Parts of the choice that were solved for any of the plans.
    pub(crate) fn solved(&self) -> &Solved {
        &self.known.solved
    }

    /// The torch.
    pub(crate) fn torch(&self) -> &Torch {
        &self.torch
    }

    /// The instrument's metal.
    pub(crate) fn parts(&self) -> &Parts<'a> {
        &self.parts
    }

    /// The flame that opens or closes something; none where it comes apart cold.
    pub(crate) fn solder_flame(&self, what: &Opened) -> Option<Flaming> {
        self.off(flame::solder_flame(self.instrument, &self.parts, what))
    }

    /// The flame of an anneal.
    pub(crate) fn anneal_flame(&self, run: &RunId, from_mm: f64, to_mm: f64) -> Option<Flaming> {
        self.off(flame::anneal_flame(&self.parts, self.parts.run(run)?, from_mm, to_mm))
    }

    /// The flame that solders something on at a place.
    pub(crate) fn spot_flame(&self, run: &RunId, at_mm: f64, width_mm: f64, filler: Filler) -> Option<Flaming> {
        self.off(flame::spot_flame(&self.parts, self.parts.run(run)?, at_mm, width_mm, filler))
    }

    /// What a flame does.
    pub(crate) fn warm(&self, f: &Flaming, moved: Moved) -> Arc<Warm> {
        self.known.warm.get((key(f), moved), || Arc::new(self.reckon(f, moved)))
    }

    fn flame(&self, f: &Flaming, moved: Moved) -> (Flame, f64) {
        let (watts, log_sd) = self.torch.enters_w();
        let watts = if moved == Moved::Torch { watts * (-log_sd).exp() } else { watts };
        let hold_s = f.hold_s * if moved == Moved::Hold { 1.0 + HOLD_SD } else { 1.0 };
        let better = if moved == Moved::Conductivity { 1.0 + CONDUCTIVITY_SD } else { 1.0 };
        (Flame { watts, degc: f.degc, hold_s, gentle_s: GENTLE_S }, heat::hot_conductivity_part(f.degc) * better)
    }

    fn about(&self, f: &Flaming, zone: &Zone, conductivity: f64) -> Assembly {
        let window_mm = window_mm(f.degc);
        self.parts.about(&zone.on, &f.off, Taken { conductivity, round_mm: zone.round_mm, window_mm })
    }

    fn reckon(&self, f: &Flaming, moved: Moved) -> Warm {
        let (flame, conductivity) = self.flame(f, moved);
        let mut warm = Warm {
            reached: true,
            got_degc: f64::INFINITY,
            burned_s: 0.0,
            near: vec![],
            spoiled_mm: vec![],
            spoiled_from_flame_mm: 0.0,
            along: vec![],
        };
        let own = self.parts.run(&f.run);
        for zone in &f.zones {
            let assembly = self.about(f, zone, conductivity);
            let burn = assembly.net.burn(flame, &[]);
            warm.reached &= burn.reached_s.is_some();
            warm.got_degc = warm.got_degc.min(burn.peak_degc[0]);
            warm.burned_s += burn.burned_s;
            // A torch too weak is not what it will be done with: what a large enough one does to the rest is what counts.
            let peaks = if burn.reached_s.is_some() { burn.peak_degc } else { assembly.net.burn(able(flame), &[]).peak_degc };
            for near in self.near(f, &assembly, &peaks) {
                match warm.near.iter_mut().find(|n| n.what == near.what) {
                    Some(known) if known.hottest.degc >= near.hottest.degc => {}
                    Some(known) => *known = near,
                    None => warm.near.push(near),
                }
            }
            if let Some(run) = own {
                warm.along = hotter_of(&warm.along, &assembly.along_run(run, &peaks));
            }
            let limit = |run: usize| self.parts.run_of(run).finish.spoiled_from_degc();
            for (run, mm) in assembly.hotter_mm(&peaks, limit) {
                let covered: f64 = zone.on.iter().filter(|s| s.run == run).map(|s| s.to_mm - s.from_mm).sum();
                match warm.spoiled_mm.iter_mut().find(|s| s.0 == run) {
                    // Stretch by stretch along one run: the fringes of each lie on the others.
                    Some(known) => known.1 = (known.1 + covered).max(mm),
                    None => warm.spoiled_mm.push((run, mm)),
                }
            }
            if let Some((run, limit)) = own.and_then(|run| Some((run, limit(run)?))) {
                warm.spoiled_from_flame_mm = warm.spoiled_from_flame_mm.max(assembly.hot_from_flame_mm(run, &peaks, limit));
            }
        }
        warm.near.sort_by(|a, b| b.hottest.degc.total_cmp(&a.hottest.degc));
        warm
    }

    /// Soldered places that heat comes to, besides what is off.
    fn near(&self, f: &Flaming, assembly: &Assembly, peaks: &[f64]) -> Vec<Near> {
        self.soldered
            .iter()
            .filter(|(what, ..)| !f.off.contains(what))
            .filter_map(|(what, filler, on)| {
                let hottest = assembly.hottest(on, peaks)?;
                Some(Near { what: what.clone(), filler: *filler, hottest })
            })
            .collect()
    }

    /// How hot the soldered places get with wet cloths against those of them that `wants`, °C.
    pub(crate) fn with_cloths(&self, f: &Flaming, wants: &[Opened]) -> Heated {
        self.known.cloths.get((key(f), wants.to_vec()), || self.reckon_cloths(f, wants))
    }

    fn reckon_cloths(&self, f: &Flaming, wants: &[Opened]) -> Heated {
        let (flame, conductivity) = self.flame(f, Moved::None);
        let mut all: Heated = Vec::new();
        for zone in &f.zones {
            let assembly = self.about(f, zone, conductivity);
            let bare = assembly.net.burn(flame, &[]);
            let (flame, bare) = if bare.reached_s.is_some() { (flame, bare) } else { (able(flame), assembly.net.burn(able(flame), &[])) };
            let mut cloths = Vec::new();
            for n in self.near(f, &assembly, &bare.peak_degc).iter().filter(|n| wants.contains(&n.what)) {
                let limit = n.filler.solidus_degc() - heat_sink::MARGIN_DEGC;
                // On every tube by which the place would get too hot.
                for s in flame::places_of(self.instrument, &self.parts, &n.what) {
                    if let Some(h) = assembly.hottest(&[s], &bare.peak_degc).filter(|h| h.degc >= limit) {
                        cloths.extend(assembly.cloth(&h, heat_sink::SINK_WIDTH_MM));
                    }
                }
            }
            let wet = if cloths.is_empty() { bare } else { assembly.net.burn(flame, &cloths) };
            for n in self.near(f, &assembly, &wet.peak_degc).into_iter().filter(|n| wants.contains(&n.what)) {
                match all.iter_mut().find(|a| a.0 == n.what) {
                    Some(known) => known.1 = known.1.max(n.hottest.degc),
                    None => all.push((n.what, n.hottest.degc)),
                }
            }
        }
        all
    }

    /// Power of a torch that brings a flame's stretches to their heat soon, W, to the next hundred.
    pub(crate) fn torch_wanted_w(&self, f: &Flaming) -> f64 {
        self.known.torches.get(key(f), || self.reckon_torch_wanted_w(f))
    }

    fn reckon_torch_wanted_w(&self, f: &Flaming) -> f64 {
        let (flame, conductivity) = self.flame(f, Moved::None);
        let enough = |watts: f64| {
            f.zones.iter().all(|z| {
                let burn = self.about(f, z, conductivity).net.burn(Flame { watts, ..flame }, &[]);
                burn.reached_s.is_some_and(|s| s <= SOON_S)
            })
        };
        let (mut low, mut high) = (0.0, flame.watts.max(10.0));
        while !enough(high) && high < 1e5 {
            (low, high) = (high, 2.0 * high);
        }
        for _ in 0..6 {
            let middle = 0.5 * (low + high);
            if enough(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        100.0 * (high / heat_torch::ENTERS / 100.0).ceil()
    }
}

/// The hotter of two courses along one run: what is heated stretch by stretch keeps the peak of each place.
fn hotter_of(a: &[(f64, f64)], b: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut at: Vec<f64> = a.iter().chain(b).map(|p| p.0).collect();
    at.sort_by(f64::total_cmp);
    at.dedup_by(|x, y| (*x - *y).abs() < 1e-6);
    let peak = |x: f64| [a, b].into_iter().filter_map(|c| course_at(c, x)).fold(f64::NEG_INFINITY, f64::max);
    at.into_iter().map(|x| (x, peak(x))).collect()
}

/// A course at a station, straight between its points; none beyond them.
pub(crate) fn course_at(course: &[(f64, f64)], x: f64) -> Option<f64> {
    if let Some(at) = course.iter().find(|p| (p.0 - x).abs() < 1e-6) {
        return Some(at.1);
    }
    let pair = course.windows(2).find(|w| w[0].0 < x && x < w[1].0)?;
    Some(pair[0].1 + (pair[1].1 - pair[0].1) * (x - pair[0].0) / (pair[1].0 - pair[0].0))
}

/// How far along the metal the heat of a flame is followed, mm.
fn window_mm(degc: f64) -> f64 {
    if degc < HOT_DEGC { SOFT_WINDOW_MM } else { WINDOW_MM }
}

/// The same flame of a torch that is large enough.
fn able(flame: Flame) -> Flame {
    Flame { watts: f64::INFINITY, ..flame }
}

impl Warm {
    /// Soldered places besides those that a flame is meant to melt, hottest first.
    pub fn besides<'w>(&'w self, aims: &'w [Opened]) -> impl Iterator<Item = &'w Near> + 'w {
        self.near.iter().filter(|n| !aims.contains(&n.what))
    }

    /// What lets go although it is not meant to, by the middle of what is likely.
    pub fn lets_go<'w>(&'w self, aims: &'w [Opened]) -> impl Iterator<Item = &'w Opened> + 'w {
        let goes = |n: &&Near| {
            heat_sink::need(n.hottest.degc, n.hottest.degc, n.filler.solidus_degc(), n.hottest.away_mm) == heat_sink::Need::LetsGo
        };
        self.besides(aims).filter(goes).map(|n| &n.what)
    }

    /// Length of finish spoiled on all runs, mm.
    pub fn spoiled_all_mm(&self) -> f64 {
        self.spoiled_mm.iter().map(|s| s.1).sum()
    }
}

fn key(f: &Flaming) -> Key {
    let stretch = |s: &Stretch| (s.run, s.from_mm.to_bits(), s.to_mm.to_bits());
    let zones = f.zones.iter().map(|z| (z.on.iter().map(stretch).collect(), z.round_mm.map(f64::to_bits))).collect();
    Key { run: f.run.clone(), zones, degc: f.degc.to_bits(), hold_s: f.hold_s.to_bits(), off: f.off.clone() }
}

#[cfg(test)]
#[path = "heats_test.rs"]
mod tests;
