//! Tool marks and burnt finish of all runs that were worked or heated, in one go.

use super::draft::{Does, Setup, phase};
use super::{Builder, each_further, step};
use crate::caution::Act;
use crate::level::Level;
use crate::step_kind::StepKind;
use instrument::{DentId, Finish, RunId};
use std::collections::{BTreeMap, BTreeSet};
use units::text::mm;
use units::{Text, ThreePoint, text};

/// A run that was worked from inside or only heated is wiped and looked at, as a part of the time that easing tool marks takes.
/// Common practice, no source.
const WIPED: f64 = 0.15;

impl Builder<'_, '_> {
    /// Places on a run that a tool has marked from outside, or that a patch lies on.
    fn marks_outside(&self, run: &RunId) -> usize {
        let on = |d: &DentId| self.case.dent(d).is_some_and(|d| d.run == *run);
        let worked = self.chosen.worked.iter().filter(|w| on(&w.dent) && w.method.marks_outside()).count();
        let patched = self.draft.steps.iter().filter(|d| d.step.kind == StepKind::Patch && d.step.run.as_ref() == Some(run)).count();
        worked + patched
    }

    pub(super) fn finish(&mut self) {
        let case = self.case;
        if case.level == Level::Play {
            return;
        }
        let best = case.level == Level::Beautiful;
        let mut runs: BTreeMap<RunId, (Vec<DentId>, f64)> = BTreeMap::new();
        for s in self.draft.steps.iter().map(|d| &d.step) {
            // The flame burns what it reaches, on whichever run: all of it is named.
            for (run, mm) in s.heat.iter().filter(|_| best).flat_map(|h| h.burnt_mm()) {
                let entry = runs.entry(run.clone()).or_default();
                entry.1 = entry.1.max(mm);
            }
            let Some(run) = &s.run else { continue };
            let new = s.kind == StepKind::ReplaceRun;
            let burnt = match case.run(run) {
                Some(r) if new && r.finish != Finish::Raw => r.length_mm(),
                _ => s.heat.as_ref().map_or(0.0, |h| 2.0 * h.finish_burns_mm.value),
            };
            if matches!(s.kind, StepKind::Dent | StepKind::Patch) || burnt > 0.0 {
                let entry = runs.entry(run.clone()).or_default();
                entry.1 = entry.1.max(burnt);
                if s.kind == StepKind::Dent {
                    entry.0.extend(s.dents.iter().cloned());
                }
            }
        }
        if runs.is_empty() {
            return;
        }
        let worked: BTreeSet<RunId> = self.draft.steps.iter().filter_map(|d| d.step.run.clone()).collect();
        let (mut minutes, mut names, mut burnt_words, mut dents, mut renewed) = (ThreePoint::ZERO, vec![], vec![], vec![], Vec::new());
        let (mut places, mut wiped) = (0, 0);
        for (run, (of_run, burnt)) in &runs {
            if best {
                let factor = if *burnt > 0.0 { 2.5 } else { 2.0 };
                // What only a neighbour's flame has burnt is made good in the same go.
                let pieces = if worked.contains(run) { each_further(of_run.len()) } else { each_further(2) - 1.0 };
                minutes = minutes.plus(self.minutes(StepKind::Finish).times(pieces * factor));
            } else {
                match self.marks_outside(run) {
                    0 => wiped += 1,
                    marked => places += marked,
                }
            }
            let name = case.run_name(run);
            if *burnt > 0.0 {
                burnt_words.push(text!("{} of {}", mm(*burnt, 0), name));
                renewed.extend(case.run(run).filter(|_| best).map(|r| r.finish));
            }
            names.push(name);
            dents.extend(of_run.iter().cloned());
        }
        if !best {
            // The wheel is set up once; places are eased one after the other, the rest is wiped over and looked at.
            let eased = if places > 0 { each_further(places) } else { 0.0 };
            minutes = self.minutes(StepKind::Finish).times(eased + WIPED * f64::from(wiped));
        }
        let names = names.join(", ");
        let what = match (best, burnt_words.is_empty()) {
            (true, false) => {
                text!("Finish: tool marks out, buff {}; make good the finish over about {}", names, Text::join(&burnt_words, ", "))
            }
            (true, true) => format!("Finish: tool marks out, buff and color {names}").into(),
            _ => format!("Ease the tool marks and wipe over: {names}").into(),
        };
        let mut s = step(StepKind::Finish, what, minutes, "last, so that nothing scratches or burns it again".to_owned());
        s.dents = dents;
        s.run = if runs.len() == 1 { runs.keys().next().cloned() } else { None };
        // What is only wiped over is not buffed.
        let buffed: Vec<RunId> = runs.into_keys().filter(|run| best || self.marks_outside(run) > 0).collect();
        let d = self.draft.add(s, Does::Finishes, (phase::FINISH, 0), Setup::Finish);
        if !buffed.is_empty() {
            d.known.acts.push(Act::Buffs);
        }
        d.known.on = buffed;
        d.known.renewed = renewed;
    }
}
