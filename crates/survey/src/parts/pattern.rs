//! Another pattern for a survey that was begun on a wrong one.

use instrument::{DentId, Instrument, Survey};

/// The survey on another pattern: what is said of the instrument as a whole stays, dents and conditions stay as they are,
/// what was measured of the old pattern's tubes goes with them. With the dents whose tube the new pattern does not have:
/// they are kept, and each has to be moved.
pub fn with_pattern(survey: &Survey, mut pattern: Instrument) -> (Survey, Vec<DentId>) {
    let old = &survey.instrument;
    let coat = super::shown::coat(survey);
    let worn = super::shown::coat(&Survey::of(instrument::patterns::pattern(old.kind).unwrap_or_else(|| old.clone())));
    pattern.maker.clone_from(&old.maker);
    pattern.model.clone_from(&old.model);
    pattern.serial.clone_from(&old.serial);
    pattern.value_money = old.value_money;
    if let Some(finish) = coat.filter(|_| coat != worn) {
        pattern.coat(finish, |_| true);
    }
    let mut next = Survey { instrument: pattern, ..survey.clone() };
    next.wishes.keep_shut.retain(|id| next.instrument.joint(id).is_some());
    next.wishes.keep_on.retain(|id| next.instrument.overlay(id).is_some());
    for w in &mut next.work {
        w.run = w.run.take().filter(|id| next.instrument.run(id).is_some());
        w.joint = w.joint.take().filter(|id| next.instrument.joint(id).is_some());
    }
    let lost = next.dents.iter().filter(|d| next.instrument.run(&d.run).is_none()).map(|d| d.id.clone()).collect();
    (next, lost)
}
