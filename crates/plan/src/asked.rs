//! Work of the survey that a plan is asked for: which of it a level does, what it needs apart, and what becomes of it.

use crate::case::Case;
use crate::outcome::NotDone;
use crate::standard_job::{Need, PlannedWork, StandardJob};
use crate::step::Step;
use crate::step_kind::StepKind;
use instrument::{Work, WorkId};
use reach::Opened;
use units::{Text, text};

/// Work of the survey that this level does, with its job of the shop's list.
pub fn asked<'a>(case: &Case<'a>) -> impl Iterator<Item = (&'a Work, &'a StandardJob)> {
    let level = case.level;
    let wanted = case.survey.work.iter().filter(move |w| !w.optional || level == crate::Level::Beautiful);
    wanted.filter_map(|w| Some((w, case.standards.job(&w.job)?)))
}

/// The joint that a piece of work needs apart.
pub fn joint_of(work: &Work, job: &StandardJob) -> Option<Opened> {
    work.joint.clone().filter(|_| job.needs(Need::JointOpen)).map(Opened::Joint)
}

/// What a plan with these steps does of the work that is asked for.
pub fn planned(case: &Case, steps: &[Step], left: &[WorkId]) -> Vec<PlannedWork> {
    asked(case)
        .filter(|(w, _)| !left.contains(&w.id))
        .map(|(w, job)| PlannedWork {
            work: w.id.clone(),
            job: job.key.clone(),
            name: job.name.clone(),
            customer: job.customer.clone(),
            count: w.count,
            parts_money: job.parts_money.max(0.0) * f64::from(w.count),
            skill: job.skill.clone(),
            sent_out_days: job.sent_out_days,
            merged: steps.iter().any(|s| s.work.contains(&w.id) && (s.kind != StepKind::OtherWork || s.work.first() != Some(&w.id))),
        })
        .collect()
}

/// Work that is asked for and not done, with the reason.
pub fn not_done(case: &Case, left: &[WorkId]) -> Vec<NotDone> {
    let mut all = Vec::new();
    for w in &case.survey.work {
        let because: Text = match case.standards.job(&w.job) {
            None => format!("the shop's list has no job “{}”", w.job).into(),
            Some(job) if left.contains(&w.id) => {
                let joint = joint_of(w, job);
                let why = joint.and_then(|j| Some((case.opened_name(&j), case.barred(&j)?)));
                match why {
                    Some((name, why)) => format!("it needs {name} apart, which must stay as it is ({why})").into(),
                    None => "it needs a joint apart that no flame may open".into(),
                }
            }
            Some(_) => continue,
        };
        let name = case.standards.job(&w.job).map_or(w.job.as_str(), |j| j.name.as_str());
        all.push(NotDone {
            what: text!("{}: {}", w.id.0, name),
            dent: None,
            condition: None,
            work: Some(w.id.clone()),
            because,
            make: None,
        });
    }
    all
}
