//! What the decisions of a person change.

use crate::Job;
use plan::{Change, Side, what_changed};

impl Job {
    /// What the overrules change against the plan without them; nothing where there are none.
    pub fn changes(&self) -> Vec<Change> {
        let Some(free) = &self.not_overruled else { return vec![] };
        what_changed(&Side { plan: free, ..self.side() }, &self.side())
    }

    /// Its plan with what that was made from, to be held against another.
    pub fn side(&self) -> Side<'_> {
        Side { survey: &self.survey, assessments: &self.assessments, plan: &self.plan }
    }

    /// That a deadline is not kept, in a sentence; none where it is.
    pub fn deadline_missed(&self) -> Option<String> {
        let takes = self.plan.minutes.mean();
        let deadline = self.overrules.deadline_min().filter(|d| takes > *d)?;
        Some(format!("The deadline of {deadline:.0} min cannot be kept: the least that must be done takes {takes:.0} min."))
    }
}
