//! Work that is asked for by name, from the shop's own list. Where a step of the plan does the same, that step does it: the instrument is
//! cleaned once, and a slide that the survey calls stuck is freed once, whoever asked for it. Else it has a step of its own.

use super::draft::{Does, Setup, phase};
use super::{Builder, step};
use crate::asked::{asked, joint_of};
use crate::case::Case;
use crate::standard_job::{StandardJob, When};
use crate::step::Step;
use crate::step_kind::StepKind;
use instrument::Work;
use units::{Text, text};

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
        let there = |s: &Step| instrument.same_place(work.run.as_ref(), s.run.as_ref());
        self.draft.steps.iter().position(|d| same_as.is(&d.step, instrument) && there(&d.step))
    }

    /// The longer of the two times stands: a thorough cleaning that is asked for is the plan's cleaning, done thoroughly.
    fn merge(&mut self, at: usize, work: &Work, job: &StandardJob) {
        let d = &mut self.draft.steps[at];
        let s = &mut d.step;
        let minutes = self.case.standards.minutes_of_job(job, work.count, s.kind);
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
        let mut s = step(
            StepKind::OtherWork,
            words(case, work, job),
            case.standards.minutes_of_job(job, work.count, StepKind::OtherWork),
            because(work, job),
        );
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
