//! What the decisions of a person change.

use crate::Job;
use plan::{Change, what_changed};

impl Job {
    /// What the overrules change against the plan without them; nothing where there are none.
    pub fn changes(&self) -> Vec<Change> {
        self.not_overruled.as_ref().map_or_else(Vec::new, |free| what_changed(&self.survey, free, &self.plan))
    }

    /// That a deadline is not kept, in a sentence; none where it is.
    pub fn deadline_missed(&self) -> Option<String> {
        let takes = self.plan.minutes.mean();
        let deadline = self.overrules.deadline_min().filter(|d| takes > *d)?;
        Some(format!("The deadline of {deadline:.0} min cannot be kept: the least that must be done takes {takes:.0} min."))
    }
}
