//! Work that is asked for by name, from the shop's own list. Where a step of the plan does the same, that step does it: the instrument is
//! cleaned once, and a slide that the survey calls stuck is freed once, whoever asked for it. Else it has a step of its own.

use super::draft::{Does, Setup, phase};
use super::{Builder, step};
use crate::case::Case;
use crate::outcome::NotDone;
use crate::standard_job::{Need, PlannedWork, StandardJob, When};
use crate::step::{Step, StepKind};
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

impl<'a> Builder<'_, 'a> {
    /// Work that is done.
    pub(super) fn asked(&self) -> impl Iterator<Item = (&'a Work, &'a StandardJob)> {
        let left = &self.chosen.work_left;
        asked(self.case).filter(|(w, _)| !left.contains(&w.id))
    }

    /// Whether anything is taken apart by hand: for what is damaged always.
    pub(super) fn taken_apart(&self) -> bool {
        self.case.survey.has_damage() || self.asked().any(|(_, job)| job.taken_apart())
    }

    /// All work that is asked for.
    pub(super) fn other_work(&mut self) {
        let all: Vec<(&Work, &StandardJob)> = self.asked().collect();
        for (work, job) in all {
            match self.done_already(work, job) {
                Some(at) => self.merge(at, work, job),
                None => self.own_step(work, job),
            }
        }
    }

    /// The step that does the same at the same place.
    fn done_already(&self, work: &Work, job: &StandardJob) -> Option<usize> {
        let (same_as, instrument) = (job.same_as?, self.case.instrument());
        let there = |s: &Step| work.is_at(instrument, s.run.as_ref());
        self.draft.steps.iter().position(|d| same_as.is(&d.step, instrument) && there(&d.step))
    }

    /// The longer of the two times stands: a thorough cleaning that is asked for is the plan's cleaning, done thoroughly.
    fn merge(&mut self, at: usize, work: &Work, job: &StandardJob) {
        let minutes = job.minutes_for(work.count);
        let d = &mut self.draft.steps[at];
        let s = &mut d.step;
        if minutes.mean() > s.minutes.mean() {
            s.minutes = minutes;
        }
        if s.work.is_empty() {
            s.because += text!("; asked for as “{}”", job.name);
        }
        s.work.push(work.id.clone());
        s.standard_job.get_or_insert_with(|| job.key.clone());
        d.known.hazards.extend(&job.hazards);
    }

    fn own_step(&mut self, work: &Work, job: &StandardJob) {
        let case = self.case;
        let mut s = step(StepKind::OtherWork, words(case, work, job), job.minutes_for(work.count), because(work, job));
        s.run.clone_from(&work.run);
        s.work = vec![work.id.clone()];
        s.standard_job = Some(job.key.clone());
        let fixture = |name: &str| work.run.clone().map_or(Setup::Hand, |run| Setup::Fixture(run, name.to_owned()));
        let (does, rank, setup) = match job.when {
            When::First => (Does::Frees, (phase::FREE, 1), Setup::Hand),
            When::Metal => {
                let runs = work.run.clone().map_or_else(|| case.instrument().runs.iter().map(|r| r.id.clone()).collect(), |run| vec![run]);
                (Does::Straightens(runs), (phase::WORK, 0), fixture("line"))
            }
            When::Fits => (Does::WorksFits(work.run.clone()), (phase::FIT, 0), fixture("fit")),
            When::Finish => (Does::WorksFinish, (phase::FINISH, 1), Setup::Hand),
            When::Assembly => (Does::WorksAtAssembly, (phase::ASSEMBLE, 0), Setup::Hand),
        };
        let d = self.draft.add(s, does, rank, setup);
        d.needs_open.extend(joint_of(work, job));
        d.known.hazards.clone_from(&job.hazards);
    }
}

fn words(case: &Case, work: &Work, job: &StandardJob) -> Text {
    let mut what = job.name.clone();
    if work.count > 1 {
        what += &format!(", {} times", work.count);
    }
    if let Some(run) = &work.run {
        what += &format!(": {}", case.run_name(run));
    }
    if !work.note.is_empty() {
        what += &format!(" ({})", work.note);
    }
    what.into()
}

fn because(work: &Work, job: &StandardJob) -> Text {
    let mut why = format!("asked for; done {}", job.when.words());
    if !job.skill.is_empty() {
        why += &format!("; for somebody who knows {}", job.skill);
    }
    if let Some(days) = job.sent_out_days {
        why += &format!("; about {days} days away");
    }
    if work.optional {
        why += "; optional";
    }
    why.into()
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
