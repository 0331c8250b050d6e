//! `trueround check`: look a survey over; write nothing.

use crate::args::Check;
use crate::case;
use crate::fail::Done;

/// Runs it.
pub fn run(a: &Check) -> Done {
    let survey = case::survey(&a.case)?;
    anstream::println!(
        "{}: {} runs, {} joints, {} braces, ferrules, guards and patches, {} dents, {} conditions, {} other work. {}.",
        a.case.display(),
        survey.instrument.runs.len(),
        survey.instrument.joints.len(),
        survey.instrument.overlays.len(),
        survey.dents.len(),
        survey.conditions.len(),
        survey.work.len(),
        if survey.has_work() { "It can be planned" } else { "Nothing is damaged and no work asked for: there is nothing to plan" }
    );
    Ok(())
}
