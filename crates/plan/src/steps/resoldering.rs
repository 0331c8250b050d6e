//! What lets go in a heat beside it is soldered again: a step for each.

use super::draft::{Does, Resoldering, Setup, phase};
use super::{Builder, step};
use crate::flame;
use crate::price;
use crate::step::StepId;
use crate::step_kind::StepKind;
use reach::Opened;
use std::collections::BTreeMap;
use units::text;

impl Builder<'_, '_> {
    /// Walks over all heats, those of the new steps too. Nothing is soldered again twice, so it ends.
    pub(super) fn resolder(&mut self) {
        let mut resoldering: BTreeMap<Opened, usize> = BTreeMap::new();
        let mut at = 0;
        while at < self.draft.steps.len() {
            let going: Vec<Opened> = self.lets_go(at);
            for what in going {
                let with = self.soldered_with(&what, &resoldering, at);
                let by = match (self.closing(&with), resoldering.get(&with)) {
                    (Some(closing), _) => closing,
                    (None, Some(i)) => *i,
                    (None, None) => {
                        let i = self.add_resoldering(&with, at);
                        resoldering.insert(with, i);
                        i
                    }
                };
                self.draft.resoldering.push(Resoldering { heat: at, by });
                let heat = self.draft.steps[at].step.heat.as_mut();
                for n in heat.into_iter().flat_map(|h| &mut h.neighbours).filter(|n| n.what == what) {
                    // The place in the draft; it becomes the step's number with the order.
                    n.resoldered_by = StepId::try_from(by).ok();
                }
            }
            at += 1;
        }
    }

    fn lets_go(&self, at: usize) -> Vec<Opened> {
        let heat = self.draft.steps[at].step.heat.as_ref();
        heat.map_or_else(Vec::new, |h| h.neighbours.iter().filter(|n| n.too_close).map(|n| n.what.clone()).collect())
    }

    /// The step that closes something which is opened in this plan, or solders a brace in any case.
    fn closing(&self, what: &Opened) -> Option<usize> {
        self.draft.position(|does| matches!(does, Does::Closes(o) | Does::Resolders(o) if o == what))
    }

    /// A ferrule is soldered with its joint where that is closed or soldered again anyway.
    fn soldered_with(&self, what: &Opened, resoldering: &BTreeMap<Opened, usize>, at: usize) -> Opened {
        let Opened::Overlay(id) = what else { return what.clone() };
        if self.chosen.opened.contains(what) {
            return what.clone();
        }
        let joint = self.case.instrument().overlay(id).and_then(|o| o.slides_off_at.clone()).map(Opened::Joint);
        match joint {
            Some(j) if self.chosen.opened.contains(&j) || resoldering.contains_key(&j) || self.lets_go(at).contains(&j) => j,
            _ => what.clone(),
        }
    }

    fn add_resoldering(&mut self, what: &Opened, at: usize) -> usize {
        let case = self.case;
        let name = case.opened_name(what);
        let beside = &self.draft.steps[at].step.what;
        let runs = self.touched(what);
        let (kind, rank) = match what {
            Opened::Joint(_) => (StepKind::CloseJoint, phase::CLOSE),
            Opened::Overlay(_) => (StepKind::OverlayBack, phase::BRACE),
        };
        let mut s = step(
            kind,
            format!("Solder {name} again, held with binding wire or a clamp"),
            price::resoldering_minutes(case, what),
            text!("it lets go in the heat of “{}”: there is no room for a heat sink, or one is not enough", beside),
        );
        s.run = runs.first().cloned();
        s.joint = if let Opened::Joint(id) = what { Some(id.clone()) } else { None };
        s.opened = Some(what.clone());
        let flame = case.heats.solder_flame(what).map(|mut f| {
            f.aims.extend(flame::ferrules_of(case.instrument(), what));
            f
        });
        self.heat(&mut s, flame);
        // In the same heat where that one closes something.
        let setup = match &self.draft.steps[at].setup {
            Setup::OpenHeat(h) | Setup::CloseHeat(h) => Setup::CloseHeat(*h),
            _ => Setup::Heat(format!("again {what:?}")),
        };
        self.draft.add(s, Does::Resolders(what.clone()), (rank, 1), setup).known.melts = case.filler(what);
        self.draft.steps.len() - 1
    }
}
