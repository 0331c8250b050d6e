//! What must be opened for an anneal or a new run, and what is opened in one heat.

use crate::case::Case;
use instrument::{DentId, RunId};
use reach::Opened;

/// Things nearer than this on one run can be opened in one heat, mm. Common practice, no source.
const ONE_HEAT_MM: f64 = 50.0;
/// A stretch of a run annealed in one heat.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// The run.
    pub run: RunId,
    /// First station, mm.
    pub from_mm: f64,
    /// Last station, mm.
    pub to_mm: f64,
    /// Dents in it that may be annealed.
    pub dents: Vec<DentId>,
}

/// What would fall off when a stretch is annealed: braces and guards on it or so near that no heat sink fits between. (A
/// ferrule or joint stays where it is and is held with binding wire; the heat of the step says so.)
pub fn melts_with(case: &Case, region: &Region) -> Vec<Opened> {
    let flame = 0.5 * (region.to_mm - region.from_mm).clamp(15.0, 120.0);
    let at = 0.5 * (region.from_mm + region.to_mm);
    let clearance = flame + metal::heat_sink::SINK_WIDTH_MM;
    case.instrument()
        .overlays
        .iter()
        .filter(|o| !case.survey.lacks(&o.id) && o.slides_off_at.is_none() && o.filler.is_some_and(metal::Filler::is_soft))
        .filter(|o| o.covers.iter().any(|c| c.run == region.run && c.from_mm - at < clearance && at - c.to_mm < clearance))
        .map(|o| Opened::Overlay(o.id.clone()))
        .collect()
}

/// Groups of things that are opened in one heat: each within reach of every other on one run.
pub fn heats(case: &Case, all: &[Opened]) -> Vec<Vec<Opened>> {
    let near = |a: &Opened, b: &Opened| {
        let (ta, tb) = (case.touches(a), case.touches(b));
        ta.iter().any(|x| tb.iter().any(|y| x.run == y.run && x.from_mm - y.to_mm < ONE_HEAT_MM && y.from_mm - x.to_mm < ONE_HEAT_MM))
    };
    let mut groups: Vec<Vec<Opened>> = Vec::new();
    for what in all.iter().filter(|o| case.filler(o).is_some()) {
        match groups.iter_mut().find(|g| g.iter().all(|other| near(what, other))) {
            Some(g) => g.push(what.clone()),
            None => groups.push(vec![what.clone()]),
        }
    }
    groups
}
