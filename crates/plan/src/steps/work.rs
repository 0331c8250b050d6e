//! The metal is worked: stretches annealed, cracks stopped, creases eased, dents brought back.

use super::draft::{Does, Setup, phase};
use super::{Builder, fill, method_words, place_words, size, step};
use crate::case::Flame;
use crate::level::{Matters, matters};
use crate::price;
use crate::step_kind::StepKind;
use crate::steps::chosen::Worked;
use crate::tools;
use instrument::Dent;
use reach::{Method, MethodKind, Opened};
use units::likelihood::show_likelihood;
use units::text::{mm, newtons};
use units::{Text, ThreePoint, text};

impl Builder<'_, '_> {
    /// Anneals, each for all dents of its stretch that want it.
    pub(super) fn anneals(&mut self) {
        let case = self.case;
        for (r, region) in self.model.regions.iter().enumerate() {
            let mine: Vec<&Worked> = self.chosen.worked.iter().filter(|w| w.anneal == Some(r)).collect();
            let (Some(first), Some(run)) = (mine.first(), case.run(&region.run)) else { continue };
            let advised = case.assessment(&first.dent).map(|a| a.advice_because.clone()).unwrap_or_default();
            let said = mine.iter().find_map(|w| case.overrules.anneal(&w.dent));
            let why = match (said, run.role.why_hard()) {
                (Some(o), Some(hard)) => {
                    text!("{}: annealed all the same, and soft afterwards, although {}. Without the overrule: {}", o.words(), hard, advised)
                }
                (Some(o), None) => text!("{}: annealed. Without the overrule: {}", o.words(), advised),
                (None, _) => self.anneal_for_force(first).unwrap_or(advised),
            };
            let mut s = step(
                StepKind::Anneal,
                text!("Anneal {} from {} to {}, let it cool", run.name, mm(region.from_mm.max(0.0), 0).bare(), mm(region.to_mm, 0)),
                self.minutes(StepKind::Anneal),
                why,
            );
            s.dents = mine.iter().map(|w| w.dent.clone()).collect();
            s.run = Some(region.run.clone());
            self.heat(&mut s, self.with_off(case.heats.anneal_flame(&region.run, region.from_mm, region.to_mm)));
            let mut opens: Vec<Opened> = mine.iter().flat_map(|w| w.method.opens.clone()).collect();
            opens.extend(crate::openings::melts_with(case, region));
            let does = Does::Anneals(s.dents.clone());
            self.draft.add(s, does, (phase::ANNEAL, 0), Setup::Heat(format!("anneal {r}"))).needs_open = opens;
        }
    }

    /// Why a dent that the metal would bear cold is annealed all the same: cold the force is not to be had.
    fn anneal_for_force(&self, w: &Worked) -> Option<Text> {
        let a = self.case.assessment(&w.dent).filter(|a| !crate::softening::advised(self.case, a))?;
        let cold = self.case.reach(&w.dent)?.rejected.iter().find(|r| r.kind == w.method.kind);
        let because = cold.map_or_else(Text::default, |r| text!(" ({}: {})", method_words(r.kind), r.because));
        Some(text!(
            "the metal would bear it cold, but no tool on the rack removes {} that way{}. After the anneal the wall needs {} in place of {}",
            w.dent,
            because,
            newtons(a.force_inside(true).value),
            newtons(a.force_inside_n.value)
        ))
    }

    /// Why a dent is worked cold although an anneal is advised.
    fn cold_all_the_same(&self, w: &Worked, a: &dent::Assessment) -> Option<Text> {
        if w.anneal.is_some() || !crate::softening::advised(self.case, a) {
            return None;
        }
        let percent = |f: &units::Figure| show_likelihood(f.value);
        let odds = text!(
            "An anneal is advised: a crack starts with {} likelihood cold, {} after it",
            percent(&a.crack_likelihood),
            percent(&a.crack_likelihood_annealed)
        );
        Some(match self.case.flame_to_anneal(&a.run) {
            Flame::Never(why) | Flame::Unwanted(why) => text!("{}. But {}.", odds, why),
            Flame::Free => text!(
                "{}. But what the anneal burns and loosens, and its time, cost more than the crack that it saves. Where it feels hard or whitens, stop and anneal.",
                odds
            ),
        })
    }

    pub(super) fn work(&mut self) {
        let case = self.case;
        for w in &self.chosen.worked {
            let (Some(dent), Some(a)) = (case.dent(&w.dent), case.assessment(&w.dent)) else { continue };
            let entry = w.method.passage.as_ref().map_or_else(String::new, |p| format!("{:?}", p.opening.at));
            let fixture = Setup::Fixture(dent.run.clone(), entry);
            if w.work.stabilise.most > 0.0 {
                self.stop_crack(dent, w.work.stabilise);
            }
            let place = place_words(case, dent);
            if dent.crease.is_some() {
                let mut s = step(
                    StepKind::Crease,
                    eases(w, &place),
                    w.work.crease,
                    "the fold holds the field in; forced out with it, it cracks or stays as a ridge".to_owned(),
                );
                s.dents = vec![w.dent.clone()];
                s.run = Some(dent.run.clone());
                let d = self.draft.add(s, Does::Eases(w.dent.clone()), (phase::WORK, looks_last(a)), fixture.clone());
                d.needs_open.clone_from(&w.method.opens);
            }
            self.field(w, dent, a, &place, fixture);
        }
    }

    fn stop_crack(&mut self, dent: &Dent, minutes: ThreePoint) {
        let mut s = step(
            StepKind::StabiliseCrack,
            format!("Stop the crack of {}: a small hole at each of its ends", dent.id),
            minutes,
            "a crack runs on as soon as the metal moves".to_owned(),
        );
        s.dents = vec![dent.id.clone()];
        s.run = Some(dent.run.clone());
        let over = self.case.survey.site(dent).map_or_else(Vec::new, |site| site.under);
        let does = Does::StopsCrack { dent: Some(dent.id.clone()), condition: None };
        self.draft.add(s, does, (phase::CRACK, 0), Setup::Hand).needs_open = over.into_iter().map(Opened::Overlay).collect();
    }

    /// The field of a dent: what is left when its crease is eased.
    fn field(&mut self, w: &Worked, dent: &Dent, a: &dent::Assessment, place: &Text, fixture: Setup) {
        let filled = w.method.kind == MethodKind::FilledBend;
        let mut what = if filled {
            text!("Raise {} ({}) from inside until nothing is low: {}", w.dent, place, size(w.method.size_mm))
        } else {
            text!("Remove {} ({}): {}, {}", w.dent, place, worked_words(w.method), size(w.method.size_mm))
        };
        if let Some(p) = &w.method.passage {
            what += format!(". Enter from {}", p.opening.name);
        }
        if !w.method.stays_on().is_empty() {
            let names: Vec<String> = w.method.stays_on().iter().map(|o| self.case.opened_name(&Opened::Overlay(o.clone()))).collect();
            what += format!(
                ". {} {} on: look along {} {} afterward",
                names.join(" and "),
                if names.len() == 1 { "stays" } else { "stay" },
                if names.len() == 1 { "its" } else { "their" },
                if names.len() == 1 { "seam" } else { "seams" }
            );
        }
        if w.work.relit > 0 {
            what += ". Anneal between passes";
        }
        if dent.crease.is_some() {
            what += ". Now the field around it, from its rim inward";
        }
        let hard = self.case.run(&dent.run).is_some_and(|r| r.role.must_stay_hard());
        if w.anneal.is_none() && (hard || crate::softening::advised(self.case, a)) {
            what += ". Cold, in short passes; look between";
        }
        let mut method = tools::with_tools(w.method, &w.tools).because;
        // What must stay hard is not annealed: what is done instead, and why.
        if w.anneal.is_none() && hard && a.advice == dent::Advice::WorkCold {
            method = text!("{} {}", method.stopped(), a.advice_because);
        }
        if let Some(why) = self.cold_all_the_same(w, a).filter(|_| !hard) {
            method = text!("{} {}", method.stopped(), why);
        }
        let minutes = if filled { w.work.dent.times(fill::RAISED_IN) } else { w.work.dent };
        let mut s = step(StepKind::Dent, what, minutes.plus(w.work.between), method);
        s.dents = vec![w.dent.clone()];
        s.run = Some(dent.run.clone());
        s.relit = w.work.relit;
        if w.method.kind == MethodKind::PullOutside {
            self.heat(&mut s, self.with_off(price::stud_flame(self.case, dent)));
        }
        // Sharp before smooth.
        let sharp = 10 * (3 - a.form.min(dent::Form::VShaped) as u32);
        let d = self.draft.add(s, Does::Works(w.dent.clone()), (phase::WORK, looks_last(a) + 1 + sharp), fixture);
        d.needs_open.clone_from(&w.method.opens);
        d.known.melts = (w.method.kind == MethodKind::PullOutside).then_some(price::STUD_FILLER);
    }
}

/// How a method is said where it is worked: under what stays on nothing is rubbed down on a mandrel.
fn worked_words(method: &Method) -> &'static str {
    match method.kind {
        MethodKind::Mandrel if method.left_on.is_some() => "mandrel led in under it",
        kind => method_words(kind),
    }
}

/// Over what a crease is eased: what goes under it as it lies.
fn eases(w: &Worked, place: &Text) -> Text {
    let over = match (&w.method.contact, w.method.kind) {
        (Some(c), MethodKind::BallTrain) => text!("over the first ball ({}), led up until it lies against it", size(c.start.face_mm)),
        (Some(c), MethodKind::Mandrel | MethodKind::DrawRing) => {
            text!("over the mandrel's nose, {} thick where it goes under it", size(c.start.face_mm))
        }
        (Some(c), _) => text!("over a face of {} held under it", size(c.start.face_mm)),
        (None, _) => "by hand from outside".into(),
    };
    text!("Ease the crease of {} ({}) from its ends inward, {}", w.dent, place, over)
}

/// What is in the way of playing comes before what weakens, and that before what is only seen: should the time run out, the
/// instrument plays.
fn looks_last(a: &dent::Assessment) -> u32 {
    match matters(a) {
        Matters::Function => 0,
        Matters::Strength => 100,
        Matters::Looks => 200,
    }
}
