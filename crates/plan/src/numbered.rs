//! The steps when their order stands: their numbers, their settings, and what is set up once.

use crate::order;
use crate::step::{Step, StepKind};
use crate::steps;
use crate::steps::chosen::Worked;
use reach::MethodKind;
use units::ThreePoint;

/// The steps in the order of a sequence, with their numbers and settings.
pub fn numbered(draft: &steps::Draft, sequence: &[usize], tasks: &[order::Task]) -> Vec<Step> {
    let mut number = vec![0_u32; draft.steps.len()];
    for (i, t) in (1..).zip(sequence) {
        number[*t] = i;
    }
    let (mut setting, mut setup) = (0, None);
    sequence
        .iter()
        .map(|t| {
            if setup != Some(tasks[*t].setup) {
                (setting, setup) = (setting + 1, Some(tasks[*t].setup));
            }
            let mut step = draft.steps[*t].step.clone();
            step.number = number[*t];
            step.setting = setting;
            step.after = draft.after[*t].iter().map(|a| number[*a]).collect();
            step.after.sort_unstable();
            for n in step.heat.iter_mut().flat_map(|h| &mut h.neighbours) {
                n.resoldered_by = n.resoldered_by.map(|a| number[a as usize]);
            }
            step
        })
        .collect()
}

/// A dent that is worked by the same kind of method in the same setting as one before it finds the tool set up. The choice counts each
/// dent's own setting up: what it saves here is known when the order stands.
pub fn set_up_once(steps: &mut [Step], worked: &[Worked]) {
    let mut ready: Vec<(u32, MethodKind)> = Vec::new();
    for s in steps.iter_mut().filter(|s| s.kind == StepKind::Dent) {
        let Some(w) = worked.iter().find(|w| s.dents.first() == Some(&w.dent)) else { continue };
        let here = (s.setting, w.method.kind);
        if ready.contains(&here) {
            let (m, up) = (s.minutes, w.method.set_up);
            let least = (m.least - up.least).max(0.25 * m.least);
            let likely = (m.likely - up.likely).max(least);
            s.minutes = ThreePoint::new(least, likely, (m.most - up.most).max(likely));
        } else {
            ready.push(here);
        }
    }
}
