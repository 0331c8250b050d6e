//! The label under which a dent appears in every drawing of a job: its own name in the survey, so that paper, screen and
//! what is pencilled on the metal agree. Where names are long, its number in the survey: a name that runs over its neighbors is no label.

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

impl Mark {
    /// Whether its label is not its name, which must then stand beside it somewhere.
    pub fn is_number(&self) -> bool {
        self.label != self.dent.0
    }
}

/// What goes into a balloon in type that can be read, letters.
const LONGEST: usize = 3;

/// The labels of a survey's dents: their names, or, where one of them is longer than a balloon, their numbers in the survey.
pub fn label(survey: &Survey, dent: &DentId) -> String {
    let long = survey.dents.iter().any(|d| d.id.0.chars().count() > LONGEST);
    let number = survey.dents.iter().position(|d| d.id == *dent).filter(|_| long);
    number.map_or_else(|| dent.0.clone(), |i| (i + 1).to_string())
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
    order.into_iter().enumerate().map(|(i, dent)| Mark { dent: dent.clone(), label: label(survey, dent), worked: i < worked }).collect()
}

#[cfg(test)]
#[allow(clippy::panic, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;
    use instrument::{Dent, Kind, patterns};

    #[test]
    fn short_names_are_labels_and_long_ones_go_by_number() {
        let mut survey = Survey::of(patterns::pattern(Kind::Trumpet).unwrap_or_else(|| panic!("a trumpet has a pattern")));
        survey.dents = ["d1", "d41"].map(|id| Dent::new(id, "leadpipe")).to_vec();
        assert_eq!(label(&survey, &"d41".into()), "d41");
        survey.dents.push(Dent::new("bell-flare-wave-near-rim", "leadpipe"));
        assert_eq!(["d1", "d41", "bell-flare-wave-near-rim"].map(|id| label(&survey, &id.into())), ["1", "2", "3"]);
        // One letter more than a balloon holds is too long.
        survey.dents = vec![Dent::new("d100", "leadpipe")];
        assert_eq!(label(&survey, &"d100".into()), "1");
    }
}
