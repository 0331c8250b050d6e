//! What the decisions of a person change.

use crate::Job;
use plan::{Change, Heats, Overrules, plan_to, what_changed};

impl Job {
    /// What the overrules change against the plan without them; nothing where there are none.
    pub fn changes(&self) -> Vec<Change> {
        if self.overrules.all.is_empty() {
            return vec![];
        }
        let heats = Heats::new(&self.survey.instrument, &self.rack);
        let none = Overrules::default();
        let (free, now) = (none.constraints(&self.survey), self.overrules.constraints(&self.survey));
        // The methods are worked out again only where the decisions reach as far as them.
        let other = (free != now).then(|| reach::ways_within(&self.survey, &self.assessments, &self.rack, &free));
        let ways = other.as_ref().unwrap_or(&self.ways);
        let free = plan_to(self.plan.level, &self.survey, &self.assessments, ways, &heats, &self.shop.standards, &none);
        what_changed(&self.survey, &free, &self.plan)
    }

    /// That a deadline is not kept, in a sentence; none where it is.
    pub fn deadline_missed(&self) -> Option<String> {
        let takes = self.plan.minutes.mean();
        let deadline = self.overrules.deadline_min().filter(|d| takes > *d)?;
        Some(format!("The deadline of {deadline:.0} min cannot be kept: the least that must be done takes {takes:.0} min."))
    }
}
