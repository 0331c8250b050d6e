//! Rows of the choice for work that is asked for by name and needs a joint apart: it is done, or it stays.

use super::{Model, STAYS, Subject, Take};
use crate::asked;
use crate::case::Case;
use crate::choose::MethodCost;

impl<'a> Model<'a> {
    /// Other work that needs a joint apart: its own minutes are the same in every choice, so only what is opened counts.
    pub(super) fn other_work(&mut self, case: &Case<'a>) {
        for (work, job) in asked::asked(case) {
            let Some(joint) = asked::joint_of(work, job).and_then(|o| self.by_opened.get(&o).copied()) else { continue };
            let of = |cost: f64, opens: Vec<usize>, works: bool| MethodCost { cost, opens, after: vec![], works };
            self.dents.push(Subject::Work(work.id.clone()));
            self.add_row(vec![(Take::Other, of(0.0, vec![joint], true), 0.0, 0.0), (Take::Leave, of(STAYS, vec![], false), 0.0, STAYS)]);
        }
    }
}
