//! The instrument is made ready: cleaned, what is stuck freed, taken apart by hand; tools are made; joints are opened and
//! overlays taken off.

use super::cautions::acts_of_making;
use super::draft::{Does, Setup, phase};
use super::{Builder, dents_words, each_further, slide_legs, step};
use crate::price;
use crate::standard_job::{Need, SameAs};
use crate::step_kind::StepKind;
use instrument::{DentId, FitState, MovingFit};
use reach::Opened;
use units::text;

impl Builder<'_, '_> {
    /// Clean, free, strip.
    pub(super) fn begin(&mut self) {
        let case = self.case;
        let cleaned = case.survey.cleaned == Some(true);
        let needs = |need: Need| self.asked().any(|(_, job)| job.needs(need));
        let asked_to_clean = self.asked().any(|(_, job)| job.same_as == Some(SameAs::Clean));
        if asked_to_clean || (!cleaned && (case.survey.has_damage() || needs(Need::Cleaned))) {
            let s = step(
                StepKind::Clean,
                "Flush and degrease inside and out".to_owned(),
                self.minutes(StepKind::Clean),
                "dirt hides creases and holds a ball; grease burns under the torch".to_owned(),
            );
            self.draft.add(s, Does::Cleans, (phase::CLEAN, 0), Setup::Hand);
        }
        for legs in self.slides_with(|f| f.state == Some(FitState::Stuck)) {
            let fits: Vec<&MovingFit> = legs.iter().map(|i| &case.instrument().fits[*i]).collect();
            let mut s = step(
                StepKind::Free,
                format!("Free {}", slide_legs::name(&fits)),
                self.minutes(StepKind::Free).times(each_further(fits.len())),
                "what is stuck keeps tools out; dents behind it were measured without taking it apart".to_owned(),
            );
            s.run = fits.first().map(|f| f.inner.clone());
            s.joint = slide_legs::joint(case.instrument(), &fits);
            self.draft.add(s, Does::Frees, (phase::FREE, 0), Setup::Hand);
        }
        if !self.taken_apart() {
            return;
        }
        let s = step(
            StepKind::Strip,
            "Take apart by hand: mouthpiece, slides, caps, valves".to_owned(),
            self.minutes(StepKind::Strip),
            "slides and valves out of the way of tools, flame and force".to_owned(),
        );
        self.draft.add(s, Does::Strips, (phase::STRIP, 0), Setup::Hand);
    }

    pub(super) fn make_tools(&mut self) {
        let tools = self.chosen.tools_to_make();
        let of_before = |n: usize| tools[..n].iter().filter(|(_, dents)| *dents == tools[n].1).count();
        let further: Vec<u32> = (0..tools.len()).map(|n| u32::try_from(of_before(n)).unwrap_or(u32::MAX)).collect();
        for ((tool, dents), further_tool) in tools.into_iter().zip(further) {
            let minutes = price::tool_minutes(self.case, &tool.body);
            let mut s = step(
                StepKind::MakeTool,
                text!("{}: {}", if tool.is_bought() { "Buy" } else { "Make" }, tool.words()),
                minutes,
                tool.because,
            );
            (s.dents, s.further_tool) = (dents.clone(), further_tool);
            self.draft.add(s, Does::MakesTool(dents), (phase::TOOL, 0), Setup::Bench).known.acts = acts_of_making(&tool.body);
        }
    }

    pub(super) fn open(&mut self) {
        let case = self.case;
        for what in &self.chosen.opened {
            let oc = case.standards.open_close(case.instrument(), what);
            let name = case.opened_name(what);
            let runs = self.touched(what);
            let for_dents: Vec<DentId> =
                self.chosen.worked.iter().filter(|w| w.method.opens.contains(what)).map(|w| w.dent.clone()).collect();
            let (kind, words) = match what {
                Opened::Joint(_) => (StepKind::OpenJoint, format!("Open {name}")),
                Opened::Overlay(_) => (StepKind::OverlayOff, format!("Take off {name}")),
            };
            let mut s = step(kind, words, oc.open, self.opens_because(what, &for_dents));
            s.run = runs.first().cloned();
            s.joint = if let Opened::Joint(id) = what { Some(id.clone()) } else { None };
            s.dents = for_dents;
            let setup = match (case.filler(what), self.model.heat_of(what)) {
                (Some(_), Some(h)) => {
                    self.heat(&mut s, self.solder_flame(what, h));
                    Setup::OpenHeat(h)
                }
                _ => Setup::Hand,
            };
            s.opened = Some(what.clone());
            self.draft.add(s, Does::Opens(what.clone()), (phase::OPEN, 0), setup).known.melts = case.filler(what);
        }
    }

    fn opens_because(&self, what: &Opened, dents: &[DentId]) -> String {
        let named: Vec<&str> = dents.iter().map(|d| d.0.as_str()).collect();
        if let Opened::Overlay(id) = what {
            let under: Vec<&str> = dents
                .iter()
                .filter(|d| self.case.dent(d).and_then(|x| self.case.survey.site(x)).is_some_and(|s| s.under.contains(id)))
                .map(|d| d.0.as_str())
                .collect();
            if !under.is_empty() {
                return format!("it lies over {}", dents_words(&under));
            }
        }
        if named.is_empty() {
            "it would let go in the heat beside it, or goes with what is opened here".to_owned()
        } else {
            format!("opened once, it lets the tool in to {}", dents_words(&named))
        }
    }
}
