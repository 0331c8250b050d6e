//! What is not sound is closed or replaced: patches over dents, cracks, holes and rot; new runs.

use super::draft::{Does, Setup, phase};
use super::{Builder, step};
use crate::mend;
use crate::price::{PATCH_FILLER, patch_flame};
use crate::step_kind::StepKind;
use instrument::{Condition, ConditionId, ConditionKind, DentId, RunId};
use units::text::mm;
use units::{Text, text};

/// A patch.
struct Patch {
    what: Text,
    because: Text,
    at_mm: f64,
    dents: Vec<DentId>,
    condition: Option<ConditionId>,
}

impl Builder<'_, '_> {
    /// Patches over dents, and unsound metal apart from dents.
    pub(super) fn patches(&mut self) {
        let case = self.case;
        for w in self.chosen.worked.iter().filter(|w| w.work.patch.most > 0.0) {
            let Some(dent) = case.dent(&w.dent) else { continue };
            let i = self.patch(
                &dent.run,
                Patch {
                    what: format!("Close {}: a thin patch over the crack, soldered on with tin-silver and feathered", w.dent).into(),
                    because: "a crack or hole that goes through leaks and runs on".to_owned().into(),
                    at_mm: case.station_mm(dent),
                    dents: vec![w.dent.clone()],
                    condition: None,
                },
            );
            i.needs_open.clone_from(&w.method.opens);
        }
        for id in &self.chosen.patched {
            let Some(dent) = case.dent(id) else { continue };
            let because = case.assessment(id).map(|a| a.advice_because.clone()).unwrap_or_default();
            let at_mm = case.station_mm(dent);
            let patch = Patch { what: format!("Patch over {id}").into(), because, at_mm, dents: vec![id.clone()], condition: None };
            self.patch(&dent.run, patch);
        }
        let patched: Vec<&Condition> = case.survey.conditions.iter().filter(|c| self.is_patched(c)).collect();
        for c in patched {
            let Some(run) = &c.run else { continue };
            let at_mm = case.condition_mm(c);
            let name = case.run_name(run);
            if c.kind == ConditionKind::Crack {
                let mut s = step(
                    StepKind::StabiliseCrack,
                    text!("Stop the crack of {} at {}: a small hole at each end", name, mm(at_mm, 0)),
                    self.minutes(StepKind::StabiliseCrack),
                    "a crack runs on as soon as the metal moves".to_owned(),
                );
                s.run = Some(run.clone());
                self.draft.add(s, Does::StopsCrack { dent: None, condition: Some(c.id.clone()) }, (phase::CRACK, 0), Setup::Hand);
            }
            let (what, because) = (text!("Patch {} at {}", name, mm(at_mm, 0)), text!("{}: it leaks", c.kind.words()));
            self.patch(run, Patch { what, because, at_mm, dents: vec![], condition: Some(c.id.clone()) });
        }
    }

    /// Whether a patch of its own goes over something that leaks: the choice says so; or it is the crack of a dent that stays after all,
    /// for want of time.
    fn is_patched(&self, c: &Condition) -> bool {
        let case = self.case;
        let chosen = |c: &Condition| self.chosen.mended.iter().any(|m| m.condition == c.id);
        let taken = self.chosen.worked.iter().map(|w| &w.dent).chain(&self.chosen.patched).chain(&self.chosen.gone);
        let with_its_dent = taken.filter_map(|id| case.dent(id)).any(|d| mend::is_of_dent(case, c, d));
        let asked = || mend::conditions(case).any(|x| x.id == c.id);
        let stays_open = || !asked() && !with_its_dent && mend::wanted(case, c) && !mend::ways(case, c).is_empty();
        mend::leaks(c) && !c.run.as_ref().is_some_and(|r| self.chosen.replaced.contains(r)) && (chosen(c) || stays_open())
    }

    fn patch(&mut self, run: &RunId, patch: Patch) -> &mut super::draft::Drafted {
        let case = self.case;
        let mut s = step(StepKind::Patch, patch.what, self.minutes(StepKind::Patch), patch.because);
        let does = Does::Patches { dent: patch.dents.first().cloned(), condition: patch.condition, at_mm: patch.at_mm };
        s.dents = patch.dents;
        s.run = Some(run.clone());
        self.heat(&mut s, self.with_off(patch_flame(case, run, patch.at_mm)));
        let d = self.draft.add(s, does, (phase::PATCH, 0), Setup::Heat(format!("patch {run} {:.0}", patch.at_mm)));
        d.known.melts = Some(PATCH_FILLER);
        d
    }

    pub(super) fn replace(&mut self) {
        let case = self.case;
        for run in &self.chosen.replaced {
            let mut s = step(
                StepKind::ReplaceRun,
                format!("Replace {}: fit a new one to length and bore", case.run_name(run)),
                crate::replaceable::fitting_minutes(case, run),
                "see the two prices: its metal, or its price, does not repay straightening".to_owned(),
            );
            s.dents = self.chosen.gone.iter().filter(|d| case.dent(d).is_some_and(|x| x.run == *run)).cloned().collect();
            s.run = Some(run.clone());
            let does = Does::Replaces(s.dents.clone());
            let opens = crate::holds::holds(case.survey, run);
            self.draft.add(s, does, (phase::REPLACE, 0), Setup::Fixture(run.clone(), "new".to_owned())).needs_open = opens;
        }
    }
}
