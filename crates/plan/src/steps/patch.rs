//! What is not sound is closed or replaced: patches over dents, cracks, holes and rot; new runs.

use super::cautions;
use super::draft::{Does, Setup, phase};
use super::{Builder, PATCH_MM, step};
use crate::step::StepKind;
use instrument::{Condition, ConditionId, ConditionKind, DentId, RunId};
use units::text::mm;
use units::{Text, text};

/// A patch is soldered on with this.
const PATCH_FILLER: metal::Filler = metal::Filler::Sn96Ag4;

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
        for c in &case.survey.conditions {
            let Some(run) = c.run.as_ref().filter(|r| case.run(r).is_some() && !self.chosen.replaced.contains(r)) else { continue };
            let at_mm = case.condition_mm(c);
            let name = case.run_name(run);
            let rot = c.kind == ConditionKind::RedRot;
            let leaks = matches!(c.kind, ConditionKind::Crack | ConditionKind::Hole) || (rot && c.through == Some(true));
            // A crack that was surveyed with its dent and once more by itself is one crack.
            if c.kind == ConditionKind::Crack && self.in_a_dent(c, at_mm) {
                continue;
            }
            if !leaks || matches!(case.flame(run, PATCH_FILLER.worked_at_degc()), crate::case::Flame::Never(_)) {
                continue;
            }
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

    /// Whether a crack is that of a dent which is worked or patched: on its run, where it lies.
    fn in_a_dent(&self, c: &Condition, at_mm: f64) -> bool {
        let case = self.case;
        let taken = self.chosen.worked.iter().map(|w| &w.dent).chain(&self.chosen.patched);
        taken.filter_map(|id| case.dent(id)).filter(|d| c.is_on(&d.run) && d.crack.is_some()).any(|d| {
            let half = 0.5 * case.assessment(&d.id).map_or(0.0, |a| a.width_along_mm.value);
            let long = d.crack.as_ref().and_then(|x| x.length_mm.as_ref()).map_or(0.0, |l| l.value);
            (case.station_mm(d) - at_mm).abs() <= half.max(0.5 * long)
        })
    }

    fn patch(&mut self, run: &RunId, patch: Patch) -> &mut super::draft::Drafted {
        let case = self.case;
        let mut s = step(StepKind::Patch, patch.what, self.minutes(StepKind::Patch), patch.because);
        let does = Does::Patches { dent: patch.dents.first().cloned(), condition: patch.condition, at_mm: patch.at_mm };
        s.dents = patch.dents;
        s.run = Some(run.clone());
        s.cautions = cautions::of_flame(case, Some(PATCH_FILLER), std::slice::from_ref(run));
        self.heat(&mut s, self.with_off(case.heats.spot_flame(run, patch.at_mm, PATCH_MM, PATCH_FILLER)));
        self.draft.add(s, does, (phase::PATCH, 0), Setup::Heat(format!("patch {run} {:.0}", patch.at_mm)))
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
