//! By which balls the work on the dents of a run is told: no larger than what the planned work leaves open, nor than what gets there; and
//! larger than what passed before, so that the unrepaired tube fails. A dent of which no ball tells is looked at along the light alone.

use super::chosen::Worked;
use crate::case::Case;
use crate::step::Check;
use instrument::{DentId, Instrument, Role, Run, RunId};
use reach::{MAY_STAY_MM, Method};

/// What a ball needs to pass freely, mm. Common practice, no source.
pub const BALL_PLAY_MM: f64 = 0.1;
/// Balls are told to a tenth, and read off a gauge no better, mm. Common practice, no source.
const READ_MM: f64 = 0.1;

/// One dent as balls tell of it, mm.
struct Told {
    dent: DentId,
    /// What the work leaves open there, or what gets there, whichever is less.
    open_mm: f64,
    /// What passes it now.
    before_mm: f64,
}

/// What may stay of a dent after its work, mm.
pub fn may_stay_mm(method: &Method) -> f64 {
    method.stays_mm.max(0.0) + MAY_STAY_MM
}

/// The checks of all runs whose bore was worked, in the order in which they are worked.
pub fn of(case: &Case, worked: &[Worked]) -> Vec<Check> {
    let mut runs: Vec<(RunId, Vec<Told>)> = Vec::new();
    for w in worked {
        let Some(told) = told(case, worked, w) else { continue };
        let Some(run) = case.dent(&w.dent).map(|d| d.run.clone()) else { continue };
        match runs.iter_mut().find(|r| r.0 == run) {
            Some((_, all)) => all.push(told),
            None => runs.push((run, vec![told])),
        }
    }
    runs.into_iter().flat_map(|(run, told)| fewest(&run, told)).collect()
}

/// The fewest balls of a run, smallest first: one tells of every dent that it would not have passed before and passes now.
fn fewest(run: &RunId, mut told: Vec<Told>) -> Vec<Check> {
    told.sort_by(|a, b| a.open_mm.total_cmp(&b.open_mm));
    let mut checks = Vec::new();
    while let Some(least) = told.first().map(|t| t.open_mm) {
        let (with, rest): (Vec<Told>, Vec<Told>) = told.into_iter().partition(|t| tells(least, t.before_mm));
        let before_mm = with.iter().map(|t| t.before_mm).fold(f64::NEG_INFINITY, f64::max);
        checks.push(Check::Bore {
            run: run.clone(),
            bore_mm: least,
            dents: with.into_iter().map(|t| t.dent).collect(),
            before_mm: Some(before_mm),
        });
        told = rest;
    }
    checks
}

/// Whether the ball for so much open would not have passed before.
fn tells(open_mm: f64, before_mm: f64) -> bool {
    open_mm - BALL_PLAY_MM - READ_MM > before_mm
}

fn told(case: &Case, worked: &[Worked], w: &Worked) -> Option<Told> {
    let dent = case.dent(&w.dent).filter(|d| checked_by_ball(case.instrument(), &d.run))?;
    let (a, site) = (case.assessment(&w.dent)?, case.survey.site(dent)?);
    let left = site.bore_mm.value - w.method.stays_mm.max(0.0);
    let open_mm = left.min(gets_there_mm(case, worked, w, case.station_mm(dent)));
    let before_mm = a.passage_mm.value;
    (open_mm.is_finite() && tells(open_mm, before_mm)).then(|| Told { dent: w.dent.clone(), open_mm, before_mm })
}

/// The largest ball that gets to a dent after the work, mm: the way that its tool took, or where that came from outside, the wider of
/// the ways from its run's two ends; past dents as they are then.
fn gets_there_mm(case: &Case, worked: &[Worked], w: &Worked, at_mm: f64) -> f64 {
    let run_of = |id: &RunId| case.run(id);
    match &w.method.passage {
        Some(p) => p
            .parts
            .iter()
            .filter_map(|p| Some(narrowest_mm(case, worked, run_of(&p.run)?, p.from_mm, p.to_mm, &w.dent)))
            .fold(f64::INFINITY, f64::min),
        None => case.dent(&w.dent).and_then(|d| run_of(&d.run)).map_or(0.0, |run| {
            let from = |end: f64| narrowest_mm(case, worked, run, end, at_mm, &w.dent);
            from(0.0).max(from(run.length_mm()))
        }),
    }
}

/// The narrowest place of a stretch after the work, mm, but for one dent.
fn narrowest_mm(case: &Case, worked: &[Worked], run: &Run, from_mm: f64, to_mm: f64, but: &DentId) -> f64 {
    let (low, high) = (from_mm.min(to_mm), from_mm.max(to_mm));
    let within = |x: f64| (low..=high).contains(&x);
    let points = run.bore_mm.points.iter().map(|p| p.at_mm).filter(|x| within(*x)).chain([low, high]);
    let bore = points.map(|x| run.bore_at(x).value).fold(f64::INFINITY, f64::min);
    let dents = case.dents_on(&run.id).filter(|d| d.id != *but && within(case.station_mm(d))).filter_map(|d| {
        let a = case.assessment(&d.id)?;
        let open = case.survey.site(d)?.bore_mm.value;
        Some(match worked.iter().find(|w| w.dent == d.id) {
            Some(w) => open - w.method.stays_mm.max(0.0),
            None => a.passage_mm.value,
        })
    });
    dents.fold(bore, f64::min)
}

/// Whether the bore of a run is checked by the largest ball that passes: a bell is checked by the eye and a straight edge, and
/// a tube that something slides in by its fit.
pub fn checked_by_ball(instrument: &Instrument, run: &RunId) -> bool {
    let bell = |r: Role| matches!(r, Role::BellFlare | Role::BellStem | Role::Rim);
    instrument.run(run).is_some_and(|r| !bell(r.role)) && !instrument.fits.iter().any(|f| f.inner == *run || f.outer == *run)
}
