//! Decisions that cannot both hold: what their words show, and what only shows in the methods (a way that needs the very joint that is
//! to stay shut).

use crate::{Job, work_out_after};
use plan::{Contradiction, Decision, Overrule, Overrules};
use units::{Text, text};

impl Job {
    /// What of the decisions cannot hold together, the job's plan being worked out with them. Where a person asked for a way that is
    /// not taken, it is worked out again without the other decisions: were it taken then, it is they that are in its way.
    pub fn contradictions(&self) -> Vec<Contradiction> {
        let mut all = self.overrules.contradictions(&self.survey);
        if !all.is_empty() {
            return all;
        }
        for asked in &self.overrules.all {
            let Decision::UseMethod { dent, method } = &asked.decision else { continue };
            let taken = |job: &Job| job.plan.choices.iter().any(|c| c.dent == *dent && c.method.kind == *method);
            let barred = self.overrules.all.iter().filter(|o| bars(&o.decision)).collect::<Vec<_>>();
            if taken(self) || barred.is_empty() {
                continue;
            }
            let with = |others: &[&Overrule]| {
                let decisions = std::iter::once(asked).chain(others.iter().copied()).cloned().collect();
                self.again(&Overrules { all: decisions })
            };
            if !taken(&with(&[])) {
                continue;
            }
            let because = self.why_not(dent);
            // One of them alone may be enough; else it is all of them together, of which the last is named.
            let alone: Vec<&Overrule> = barred.iter().copied().filter(|o| !taken(&with(&[*o]))).collect();
            let named = if alone.is_empty() { barred.last().copied().into_iter().collect() } else { alone };
            for other in named {
                let because = because.clone();
                all.push(Contradiction { one: asked.decision.clone(), other: other.decision.clone(), because });
            }
        }
        all
    }

    /// The same with one decision more: what it would contradict, before it is taken.
    pub fn contradictions_with(&self, more: Overrule) -> Vec<Contradiction> {
        let mut overrules = self.overrules.clone();
        overrules.all.push(more);
        let stated = overrules.contradictions(&self.survey);
        if !stated.is_empty() || !overrules.all.iter().any(|o| matches!(o.decision, Decision::UseMethod { .. })) {
            return stated;
        }
        self.again(&overrules).contradictions()
    }

    fn again(&self, overrules: &Overrules) -> Job {
        work_out_after(Some(self), self.plan.level, self.survey.clone(), self.rack.clone(), self.shop.clone(), overrules)
    }

    /// Why the way that was asked for is not taken.
    fn why_not(&self, dent: &instrument::DentId) -> Text {
        let instead = self.plan.choices.iter().find(|c| c.dent == *dent).and_then(|c| c.instead_of.as_ref()).map(|a| a.because.clone());
        let stays = || self.plan.not_done.iter().find(|n| n.dent.as_ref() == Some(dent)).map(|n| n.because.clone());
        instead.or_else(stays).map_or_else(|| "the second is in the way of the first".into(), |why| text!("{}", why))
    }
}

/// Whether a decision takes something away that a method may need. A tool that is lent was decided by nobody.
fn bars(decision: &Decision) -> bool {
    matches!(
        decision,
        Decision::KeepShut { .. }
            | Decision::KeepOn { .. }
            | Decision::NoFlame { .. }
            | Decision::WithoutTool { .. }
            | Decision::MakeNoTools
            | Decision::LeaveDent { .. }
    )
}
