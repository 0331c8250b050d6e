//! The label under which a dent appears in every drawing of a job: its own name in the survey, so that paper, screen and
//! what is pencilled on the metal agree.

use instrument::{DentId, Survey};
use plan::{Plan, StepKind};

/// A dent's mark.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// The dent.
    pub dent: DentId,
    /// What stands in its balloon.
    pub label: String,
    /// Whether the plan works it; else it is drawn square.
    pub worked: bool,
}

/// Marks for every dent of a survey: first those that the plan works, in the order of working, then the rest in the
/// order of the survey.
pub fn marks(survey: &Survey, plan: &Plan) -> Vec<Mark> {
    let mut order: Vec<&DentId> = Vec::new();
    let works = |k: StepKind| matches!(k, StepKind::Dent | StepKind::Crease | StepKind::Patch | StepKind::ReplaceRun);
    for step in plan.steps.iter().filter(|s| works(s.kind)) {
        for dent in &step.dents {
            if !order.contains(&dent) && survey.dent(dent).is_some() {
                order.push(dent);
            }
        }
    }
    let worked = order.len();
    for dent in &survey.dents {
        if !order.contains(&&dent.id) {
            order.push(&dent.id);
        }
    }
    order.into_iter().enumerate().map(|(i, dent)| Mark { dent: dent.clone(), label: dent.0.clone(), worked: i < worked }).collect()
}
