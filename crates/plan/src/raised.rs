//! The cautions of a whole plan: each once, with the steps that raise it.

use crate::caution::{Caution, Limit};
use crate::outcome::Plan;
use crate::step::{Step, StepId};
use serde::Serialize;

/// A caution of a plan, and the steps beside which it stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Raised {
    /// Which.
    pub caution: Caution,
    /// In a word or two.
    pub name: &'static str,
    /// What to do.
    pub text: &'static str,
    /// A limit of the law that is quoted with it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<Limit>,
    /// The steps, rising.
    pub steps: Vec<StepId>,
}

impl Raised {
    /// The numbers of its steps, neighbors together: `4, 21–43, 85`.
    pub fn steps_words(&self) -> String {
        step_ranges(&self.steps)
    }

    /// The cautions of some steps, each once, in the order in which they are read: of a plan, of a setting, of a page.
    pub fn of<'s>(steps: impl IntoIterator<Item = &'s Step>) -> Vec<Self> {
        let mut all: Vec<Self> =
            Caution::ALL.iter().map(|c| Self { caution: *c, name: c.name(), text: c.text(), limit: c.limit(), steps: vec![] }).collect();
        for step in steps {
            for raised in all.iter_mut().filter(|r| step.cautions.contains(&r.caution)) {
                raised.steps.push(step.number);
            }
        }
        all.retain(|r| !r.steps.is_empty());
        for raised in &mut all {
            raised.steps.sort_unstable();
            raised.steps.dedup();
        }
        all
    }
}

impl Plan {
    /// The cautions of the plan, each once, with the steps that raise it.
    pub fn cautions(&self) -> Vec<Raised> {
        Raised::of(&self.steps)
    }
}

/// Rising numbers as ranges: `4, 21–43, 85`.
pub fn step_ranges(numbers: &[StepId]) -> String {
    let mut runs: Vec<(StepId, StepId)> = Vec::new();
    for n in numbers {
        match runs.last_mut() {
            Some((_, to)) if *to + 1 == *n => *to = *n,
            _ => runs.push((*n, *n)),
        }
    }
    let one = |(a, b): &(StepId, StepId)| if a == b { a.to_string() } else { format!("{a}–{b}") };
    runs.iter().map(one).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighboring_steps_stand_together() {
        assert_eq!(step_ranges(&[4, 21, 22, 23, 85]), "4, 21–23, 85");
        assert_eq!(step_ranges(&[1, 2]), "1–2");
        assert_eq!(step_ranges(&[]), "");
    }
}
