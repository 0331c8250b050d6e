//! The acceptance checks: bores, fits, tightness, the whole. Each step carries what is checked as data.

use super::draft::{Does, Setup, phase};
use super::{Builder, each_further, slide_legs, step};
use crate::step::Check;
use crate::step_kind::StepKind;
use instrument::{DentId, FitKind, FitState, JointKind, MovingFit, OverlayId, RunId};
use reach::Opened;
use units::text::mm;
use units::{Text, text};

impl Builder<'_, '_> {
    /// The bores that were worked are checked together, the balls in hand, before anything is closed up.
    pub(super) fn check_bores(&mut self) {
        let case = self.case;
        let mut checks = super::ball_checks::of(case, &self.chosen.worked);
        let mut runs: Vec<RunId> = Vec::new();
        for c in &checks {
            if let Check::Bore { run, .. } = c
                && !runs.contains(run)
            {
                runs.push(run.clone());
            }
        }
        let names: Vec<String> = runs.iter().map(|r| case.run_name(r)).collect();
        let seams = self.seams(&mut runs);
        let mut what = match &names[..] {
            [] => String::new(),
            [one] => format!("Check {one}: the largest ball that passes, against what the work leaves open"),
            all => format!("Check the bores, each by the largest ball that passes: {}", all.join(", ")),
        };
        if !seams.is_empty() {
            let named: Vec<String> = seams.iter().map(|o| case.opened_name(&Opened::Overlay(o.clone()))).collect();
            what += if what.is_empty() { "Check the seam of " } else { ". Check the seam of " };
            what += &named.join(", ");
        }
        checks.extend(seams.into_iter().map(|overlay| Check::Holds { overlay }));
        if checks.is_empty() {
            return;
        }
        let mut s = step(
            StepKind::AcceptanceCheck,
            what,
            self.minutes(StepKind::AcceptanceCheck).times(each_further(checks.len())),
            "a dent that was missed is cheap now and dear after soldering".to_owned(),
        );
        // Seams alone name a tube, so that their step is told from that of what was mended.
        let one = matches!(runs[..], [_]) || !checks.iter().any(|c| matches!(c, Check::Bore { .. }));
        s.run = runs.first().filter(|_| one).cloned();
        s.checks = checks;
        self.draft.add(s, Does::ChecksBores(runs), (phase::CHECK, 0), Setup::Hand);
    }

    /// What stayed on over dents that were worked, each once; their runs with the others.
    fn seams(&self, runs: &mut Vec<RunId>) -> Vec<OverlayId> {
        let mut all: Vec<OverlayId> = Vec::new();
        for w in self.chosen.worked.iter().filter(|w| w.method.left_on.is_some()) {
            runs.extend(self.case.dent(&w.dent).map(|d| d.run.clone()).filter(|r| !runs.contains(r)));
            all.extend(w.method.stays_on().iter().filter(|o| !all.contains(o)).cloned().collect::<Vec<_>>());
        }
        all
    }

    /// Fits that somebody complained of, that were worked at, or that have a new part; the legs of one slide together.
    pub(super) fn fits(&mut self) {
        let case = self.case;
        let worked_on = |f: &MovingFit| -> Vec<DentId> {
            let on_it = |d: &DentId| case.dent(d).is_some_and(|d| d.run == f.inner || d.run == f.outer);
            self.chosen.worked.iter().filter(|w| on_it(&w.dent)).map(|w| w.dent.clone()).collect()
        };
        let concerned = |f: &MovingFit| {
            let complained = matches!(f.state, Some(FitState::Stiff | FitState::Binds | FitState::Stuck));
            complained || !worked_on(f).is_empty() || self.chosen.replaced.iter().any(|run| *run == f.inner || *run == f.outer)
        };
        let mut drafted = Vec::new();
        for legs in self.slides_with(concerned) {
            let fits: Vec<&MovingFit> = legs.iter().map(|i| &case.instrument().fits[*i]).collect();
            let [first, ..] = fits[..] else { continue };
            let (name, joint) = (slide_legs::name(&fits), slide_legs::joint(case.instrument(), &fits));
            let mut s = step(
                StepKind::TrueFit,
                format!("True {name}"),
                self.minutes(StepKind::TrueFit).times(each_further(fits.len())),
                match first.kind {
                    FitKind::PistonInCasing => clear("the piston must fall by its own weight", 0.04, 0.08),
                    FitKind::RotorInCasing => "the rotor must turn without a catch".into(),
                    FitKind::TuningSlide => clear("both legs parallel and round", 0.05, 0.1),
                    FitKind::HandSlide => clear("round, straight, parallel", 0.08, 0.15),
                },
            );
            s.dents = fits.iter().flat_map(|f| worked_on(f)).collect();
            s.run = Some(first.outer.clone());
            s.joint.clone_from(&joint);
            let fixture = Setup::Fixture(first.outer.clone(), "fit".to_owned());
            drafted.push((s, Does::TruesFits(legs.clone()), (phase::FIT, 0), fixture.clone()));
            let mut s = step(
                StepKind::AcceptanceCheck,
                format!("Check {name}: dry, then oiled, over its whole way"),
                self.minutes(StepKind::AcceptanceCheck),
                "a moving fit is checked before anything is assembled on it".to_owned(),
            );
            s.run = Some(first.outer.clone());
            s.joint = joint;
            s.checks = fits.iter().map(|f| Check::Fit { fit: f.id.clone() }).collect();
            drafted.push((s, Does::ChecksFits(legs), (phase::FIT, 1), fixture));
        }
        for (s, does, rank, setup) in drafted {
            self.draft.add(s, does, rank, setup);
        }
    }

    /// Where something was soldered or replaced.
    pub(super) fn check_tight(&mut self) {
        let closes = |k: StepKind| matches!(k, StepKind::CloseJoint | StepKind::Patch | StepKind::ReplaceRun);
        if !self.draft.steps.iter().any(|d| closes(d.step.kind)) {
            return;
        }
        let mut s = step(
            StepKind::AcceptanceCheck,
            "Check for leaks: bell stopped, every joint that was opened watched".to_owned(),
            self.minutes(StepKind::AcceptanceCheck),
            "a leak is found before the finish is made good over it".to_owned(),
        );
        s.checks = vec![Check::Tight];
        self.draft.add(s, Does::ChecksTight, (phase::TIGHT, 0), Setup::Hand);
    }

    /// Put together, and the whole checked.
    pub(super) fn assemble(&mut self) {
        if self.taken_apart() {
            let s = step(
                StepKind::Assemble,
                "Assemble, grease and oil".to_owned(),
                self.minutes(StepKind::Assemble),
                "all fits are checked, all heat is done".to_owned(),
            );
            self.draft.add(s, Does::Assembles, (phase::ASSEMBLE, 0), Setup::Hand);
        }
        let mut s = step(
            StepKind::AcceptanceCheck,
            "Check the whole: slides and valves, tightness, played over its range".to_owned(),
            self.minutes(StepKind::AcceptanceCheck),
            "the job closes when each check has a figure or a reason".to_owned(),
        );
        if self.case.instrument().joints.iter().any(|j| j.kind == JointKind::SlidingFit) {
            s.checks.push(Check::Pull);
        }
        let stay_mm = self.chosen.worked.iter().filter_map(|w| {
            let depth = self.case.assessment(&w.dent)?.depth_mm.value;
            let stays = super::ball_checks::may_stay_mm(w.method);
            (stays < depth).then(|| (w.dent.clone(), stays))
        });
        if !self.case.survey.has_damage() {
            s.checks.push(Check::Plays);
            self.draft.add(s, Does::ChecksWhole, (phase::LAST, 0), Setup::Hand);
            return;
        }
        s.checks.push(Check::Look { dents: u32::try_from(self.chosen.worked.len()).unwrap_or(u32::MAX), stay_mm: stay_mm.collect() });
        s.checks.push(Check::Plays);
        self.draft.add(s, Does::ChecksWhole, (phase::LAST, 0), Setup::Hand);
    }
}

/// What is wanted of a fit, with its clearance on the diameter between two sizes, mm. Common practice, no source.
fn clear(what: &str, least_mm: f64, most_mm: f64) -> Text {
    text!("{}; clearance {} to {} (common practice)", what, mm(least_mm, 2).bare(), mm(most_mm, 2))
}
