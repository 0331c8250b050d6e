//! What holds a run, by the survey alone.

use instrument::{Instrument, JointKind, RunId, Survey};
use reach::Opened;

/// Whether something is opened by hand, in no time.
pub fn by_hand(instrument: &Instrument, what: &Opened) -> bool {
    matches!(what, Opened::Joint(id) if instrument.joint(id).is_some_and(|j| matches!(j.kind, JointKind::SlidingFit | JointKind::Threaded)))
}

/// All that holds a run: the joints at its ends that do not come apart by hand, and what lies over it.
pub fn holds(survey: &Survey, run: &RunId) -> Vec<Opened> {
    let instrument = &survey.instrument;
    let joints = instrument.joints.iter().filter(|j| j.a.run == *run || j.b.run == *run).map(|j| Opened::Joint(j.id.clone()));
    let overlays = instrument
        .overlays
        .iter()
        .filter(|o| !survey.lacks(&o.id) && o.covers.iter().any(|c| c.run == *run))
        .filter(|o| o.filler.is_some() || o.slides_off_at.is_some())
        .map(|o| Opened::Overlay(o.id.clone()));
    joints.chain(overlays).filter(|o| !by_hand(instrument, o)).collect()
}
