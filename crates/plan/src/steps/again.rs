//! What lets go in a heat beside it is soldered again: a step for each, a caution where the flame is lit.

use super::{Builder, Setup, phase, step};
use crate::caution::{self, Caution, sorted};
use crate::flame;
use crate::price;
use crate::step::{StepId, StepKind};
use instrument::RunId;
use reach::Opened;
use std::collections::BTreeMap;

impl Builder<'_, '_> {
    /// Walks over all heats, those of the new steps too. Nothing is soldered again twice, so it ends.
    pub(super) fn solder_again(&mut self) {
        let mut again: BTreeMap<Opened, usize> = BTreeMap::new();
        let mut at = 0;
        while at < self.draft.steps.len() {
            let going: Vec<Opened> = self.lets_go(at);
            if !going.is_empty() {
                self.draft.steps[at].cautions.push(Caution::LetsGo);
                self.draft.steps[at].cautions = sorted(std::mem::take(&mut self.draft.steps[at].cautions));
            }
            for what in going {
                let with = self.soldered_with(&what, &again, at);
                let by = match (self.closing(&with), again.get(&with)) {
                    (Some(closing), _) => {
                        // Closed after this heat where the order can have it so.
                        self.draft.rather_wait(closing, at);
                        closing
                    }
                    (None, Some(i)) => {
                        self.draft.rather_wait(*i, at);
                        *i
                    }
                    (None, None) => {
                        let i = self.add_again(&with, at);
                        again.insert(with, i);
                        i
                    }
                };
                let heat = self.draft.steps[at].heat.as_mut();
                for n in heat.into_iter().flat_map(|h| &mut h.neighbours).filter(|n| n.what == what) {
                    // The place in the draft; it becomes the step's number with the order.
                    n.again = StepId::try_from(by).ok();
                }
            }
            at += 1;
        }
    }

    fn lets_go(&self, at: usize) -> Vec<Opened> {
        let heat = self.draft.steps[at].heat.as_ref();
        heat.map_or_else(Vec::new, |h| h.neighbours.iter().filter(|n| n.too_close).map(|n| n.what.clone()).collect())
    }

    /// The step that closes something which is opened in this plan.
    fn closing(&self, what: &Opened) -> Option<usize> {
        let closes = |k: StepKind| matches!(k, StepKind::CloseJoint | StepKind::OverlayBack);
        let of = |i: &usize| closes(self.draft.steps[*i].kind) && self.draft.steps[*i].opened.as_ref() == Some(what);
        if self.chosen.opened.contains(what) { (0..self.draft.steps.len()).find(of) } else { None }
    }

    /// A ferrule is soldered with its joint where that is closed or soldered again anyway.
    fn soldered_with(&self, what: &Opened, again: &BTreeMap<Opened, usize>, at: usize) -> Opened {
        let Opened::Overlay(id) = what else { return what.clone() };
        if self.chosen.opened.contains(what) {
            return what.clone();
        }
        let joint = self.case.instrument().overlay(id).and_then(|o| o.slides_off_at.clone()).map(Opened::Joint);
        match joint {
            Some(j) if self.chosen.opened.contains(&j) || again.contains_key(&j) || self.lets_go(at).contains(&j) => j,
            _ => what.clone(),
        }
    }

    fn add_again(&mut self, what: &Opened, at: usize) -> usize {
        let case = self.case;
        let name = case.opened_name(what);
        let beside = self.draft.steps[at].what.clone();
        let runs: Vec<RunId> = case.touches(what).into_iter().map(|t| t.run).collect();
        let (kind, rank) = match what {
            Opened::Joint(_) => (StepKind::CloseJoint, phase::CLOSE),
            Opened::Overlay(_) => (StepKind::OverlayBack, phase::BRACE),
        };
        let mut s = step(
            kind,
            format!("Solder {name} again, held with binding wire or a clamp"),
            price::again_minutes(case, what),
            format!("it lets go in the heat of “{beside}”: there is no room for a heat sink, or one is not enough"),
        );
        s.run = runs.first().cloned();
        s.joint = if let Opened::Joint(id) = what { Some(id.clone()) } else { None };
        s.opened = Some(what.clone());
        s.cautions = sorted([s.cautions, caution::of_flame(case, case.filler(what), &runs)].concat());
        let flame = case.heats.solder_flame(what).map(|mut f| {
            f.aims.extend(flame::ferrules_of(case.instrument(), what));
            f
        });
        self.heat(&mut s, flame);
        // In the same heat where that one closes something.
        let setup = match &self.draft.setups[at] {
            Setup::OpenHeat(h) | Setup::CloseHeat(h) => Setup::CloseHeat(*h),
            _ => Setup::Heat(format!("again {what:?}")),
        };
        let i = self.draft.add(s, (rank, 1), setup);
        self.draft.wait(i, at);
        self.wait_ready(i);
        for run in &runs {
            for j in self.on_run(run) {
                self.draft.rather_wait(i, j);
            }
        }
        i
    }
}
