//! What changed from one plan to another, by its consequences: for the person who overruled something and wants to see what it does to
//! each dent, not only to the steps and the sum.

use crate::outcome::{Choice, Plan};
use crate::step_kind::StepKind;
use crate::steps::{method_words, size};
use dent::Assessment;
use instrument::{DentId, Instrument, RunId, Survey};
use reach::Opened;
use serde::{Deserialize, Serialize};
use units::duration::show_minutes;
use units::likelihood::show_likelihood;
use units::money::show_about;
use units::text::newtons;
use units::{Text, text};

/// In what respect something changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Respect {
    /// How many dents are worked.
    Dents,
    /// The way of a dent, or that it is worked no longer, or now.
    Way,
    /// The likelihood that it cracks.
    CrackLikelihood,
    /// The force at the hand.
    Force,
    /// How true its surface is left, as a part of one.
    Trueness,
    /// Its minutes.
    Minutes,
    /// Its expected cost.
    Cost,
    /// What the customer pays.
    Price,
    /// The finish burnt on a run, mm.
    FinishBurnt,
    /// Whether something comes apart.
    Opened,
    /// Whether a run is replaced.
    Replaced,
    /// The tools to make.
    Tools,
}

/// One thing that changed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Change {
    /// What it is about ("dent d3", "bench time").
    pub about: String,
    /// The dent, where it is about one.
    pub dent: Option<DentId>,
    /// In what respect.
    pub respect: Respect,
    /// The figures before and after, where it is one: a part of one, N, min, money, mm.
    pub figures: Option<(f64, f64)>,
    /// How it was.
    pub before: Text,
    /// How it is.
    pub after: Text,
}

/// A plan with what it was made from.
#[derive(Clone, Copy)]
pub struct Side<'a> {
    /// The survey.
    pub survey: &'a Survey,
    /// The assessments of its dents.
    pub assessments: &'a [Assessment],
    /// The plan.
    pub plan: &'a Plan,
    /// Sign of the currency.
    pub currency: &'a str,
}

/// What is not told, because nobody would act on it. Common practice, no source.
mod least {
    /// A likelihood, as a part of one.
    pub const LIKELIHOOD: f64 = 0.01;
    /// A force, as a part of itself.
    pub const FORCE: f64 = 0.05;
    /// The trueness of a surface, as a part of one.
    pub const TRUENESS: f64 = 0.02;
    /// Minutes of one dent.
    pub const MINUTES: f64 = 1.0;
    /// Money of one dent.
    pub const MONEY: f64 = 1.0;
    /// Burnt finish, mm.
    pub const BURNT_MM: f64 = 1.0;
}

impl Side<'_> {
    fn choice(&self, dent: &DentId) -> Option<&Choice> {
        self.plan.choices.iter().find(|c| c.dent == *dent)
    }

    fn way(&self, dent: &DentId) -> Text {
        let why = || self.plan.not_done.iter().find(|n| n.dent.as_ref() == Some(dent)).map(|n| text!(": {}", n.because));
        let Some(choice) = self.choice(dent) else {
            let gone = self.plan.gone().any(|d| d == dent);
            return if gone { "gone with its tube, which is replaced".into() } else { text!("not worked{}", why().unwrap_or_default()) };
        };
        let on: Vec<&str> =
            choice.method.stays_on().iter().map(|o| self.survey.instrument.overlay(o).map_or(o.0.as_str(), |o| o.name.as_str())).collect();
        let on = if on.is_empty() { String::new() } else { format!(", {} left on", on.join(" and ")) };
        let way = text!("{}, {}{}", method_words(choice.method.kind), size(choice.method.size_mm), on);
        match &choice.instead_of {
            Some(asked) => text!("{}, because {} cannot be taken: {}", way, method_words(asked.method), asked.because),
            None => way,
        }
    }

    fn crack(&self, dent: &DentId) -> Option<f64> {
        self.choice(dent)?;
        let a = self.assessments.iter().find(|a| a.dent == *dent)?;
        Some(self.plan.crack_likelihood(a).value)
    }

    fn minutes(&self, dent: &DentId) -> Option<f64> {
        self.choice(dent)?;
        let own =
            |k: StepKind| matches!(k, StepKind::Dent | StepKind::Crease | StepKind::Anneal | StepKind::StabiliseCrack | StepKind::Patch);
        let steps = self.plan.steps.iter().filter(|s| own(s.kind) && s.dents.contains(dent));
        #[expect(clippy::cast_precision_loss, reason = "a step has a few dents")]
        Some(steps.map(|s| s.minutes.mean() / s.dents.len() as f64).sum())
    }

    fn burnt_mm(&self, run: &RunId) -> f64 {
        let heats = self.plan.steps.iter().filter_map(|s| s.heat.as_ref());
        heats.flat_map(crate::Heat::burnt_mm).filter(|(r, _)| *r == run).map(|(_, mm)| mm).sum()
    }
}

/// What the bench calls it; a joint or an overlay without a name by the tubes that it holds.
fn opened_name(instrument: &Instrument, o: &Opened) -> String {
    let run = |id: &RunId| run_name(instrument, id);
    match o {
        Opened::Joint(id) => instrument.joint(id).map_or_else(
            || id.0.clone(),
            |j| if j.name.is_empty() { format!("joint of {} and {}", run(&j.a.run), run(&j.b.run)) } else { j.name.clone() },
        ),
        Opened::Overlay(id) => instrument.overlay(id).map_or_else(
            || id.0.clone(),
            |o| {
                let on = || Text::join(o.covers.iter().map(|c| run(&c.run).into()).collect::<Vec<Text>>(), " and ").metric();
                if o.name.is_empty() { format!("what lies over {}", on()) } else { o.name.clone() }
            },
        ),
    }
}

fn run_name(instrument: &Instrument, id: &RunId) -> String {
    instrument.run(id).map(|r| &r.name).filter(|n| !n.is_empty()).unwrap_or(&id.0).clone()
}

/// Both in order, each once.
fn both<'x, T: Ord>(before: impl Iterator<Item = &'x T>, after: impl Iterator<Item = &'x T>) -> Vec<&'x T> {
    let mut all: Vec<&T> = before.chain(after).collect();
    all.sort();
    all.dedup();
    all
}

struct Changes(Vec<Change>);

impl Changes {
    fn words(&mut self, about: String, dent: Option<&DentId>, respect: Respect, before: Text, after: Text) {
        if before != after {
            self.0.push(Change { about, dent: dent.cloned(), respect, figures: None, before, after });
        }
    }

    /// A figure that changed by at least so much.
    fn figure(
        &mut self,
        about: String,
        dent: Option<&DentId>,
        respect: Respect,
        (before, after): (f64, f64),
        least: f64,
        words: impl Fn(f64) -> Text,
    ) {
        if (before - after).abs() >= least {
            let (before_words, after_words) = (words(before), words(after));
            let figures = Some((before, after));
            // What is said alike differs by less than is said, and is told so.
            let after_words = if before_words == after_words {
                text!("{}, a little {}", after_words, if after > before { "more" } else { "less" })
            } else {
                after_words
            };
            self.0.push(Change { about, dent: dent.cloned(), respect, figures, before: before_words, after: after_words });
        }
    }
}

fn percent(part: f64) -> Text {
    show_likelihood(part).into()
}

fn minutes(min: f64) -> Text {
    show_minutes(min).into()
}

/// What changed: the dents first, each with what it means for it, then what comes apart, then finish, tools, time and cost. Empty where
/// the plans are the same.
pub fn what_changed(before: &Side, after: &Side) -> Vec<Change> {
    let instrument = &after.survey.instrument;
    let mut all = Changes(Vec::new());
    let worked = |s: &Side| s.plan.choices.len();
    if worked(before) != worked(after) {
        let words = |s: &Side| Text::from(worked(s).to_string());
        all.words("dents worked".to_owned(), None, Respect::Dents, words(before), words(after));
    }
    let any = |d: &DentId| [before, after].iter().any(|s| s.choice(d).is_some() || s.plan.gone().any(|g| g == d));
    for d in both(before.survey.dents.iter().map(|d| &d.id), after.survey.dents.iter().map(|d| &d.id)).into_iter().filter(|d| any(d)) {
        one_dent(&mut all, before, after, d);
    }
    for o in both(before.plan.opened.iter(), after.plan.opened.iter()) {
        let state = |s: &Side| Text::from(if s.plan.opened.contains(o) { "comes apart" } else { "stays" });
        all.words(opened_name(instrument, o), None, Respect::Opened, state(before), state(after));
    }
    for r in both(before.plan.replacements.iter().map(|r| &r.run), after.plan.replacements.iter().map(|r| &r.run)) {
        let replaced = |s: &Side| s.plan.replacements.iter().any(|x| x.run == *r && x.replace);
        let state = |s: &Side| Text::from(if replaced(s) { "replaced" } else { "kept" });
        all.words(run_name(instrument, r), None, Respect::Replaced, state(before), state(after));
    }
    for run in &instrument.runs {
        let burnt = (before.burnt_mm(&run.id), after.burnt_mm(&run.id));
        let words = |length: f64| {
            if length > 0.0 { text!("burnt over {}", units::text::mm(length, 0)) } else { Text::from("stays") }
        };
        let about = format!("{} of {}", run.finish.words(), run.name);
        all.figure(about, None, Respect::FinishBurnt, burnt, least::BURNT_MM, words);
    }
    let tools = |s: &Side| {
        let mut words: Vec<Text> = s.plan.tools_to_make.iter().map(|(t, _)| t.words()).collect();
        words.sort_by_cached_key(Text::metric);
        if words.is_empty() { "none".into() } else { Text::join(&words, "; ") }
    };
    all.words("tools to make".to_owned(), None, Respect::Tools, tools(before), tools(after));
    let money = |amount: f64| Text::from(show_about(amount, after.currency));
    let both_of = |f: &dyn Fn(&Plan) -> f64| (f(before.plan), f(after.plan));
    all.figure("bench time".to_owned(), None, Respect::Minutes, both_of(&|p| p.minutes.mean()), 0.5, minutes);
    all.figure("expected cost to the shop".to_owned(), None, Respect::Cost, both_of(&|p| p.certificate.cost_money), 0.5, money);
    all.0
}

fn one_dent(all: &mut Changes, before: &Side, after: &Side, d: &DentId) {
    let about = |what: &str| format!("dent {d}{what}");
    all.words(about(""), Some(d), Respect::Way, before.way(d), after.way(d));
    let mut figure = |what: &str, respect, of: &dyn Fn(&Side) -> Option<f64>, least: &dyn Fn(f64) -> f64, words: &dyn Fn(f64) -> Text| {
        // A dent that is worked no longer has no figures any more: its way says so.
        if let (Some(b), Some(a)) = (of(before), of(after)) {
            all.figure(about(what), Some(d), respect, (b, a), least(b.max(a)), words);
        }
    };
    let money = |amount: f64| Text::from(show_about(amount, after.currency));
    let choice = |f: fn(&Choice) -> f64| move |s: &Side| s.choice(d).map(f);
    figure(", crack likelihood", Respect::CrackLikelihood, &|s| s.crack(d), &|_| least::LIKELIHOOD, &percent);
    figure(", force at the hand", Respect::Force, &choice(|c| c.method.force_hand_n.value), &|n| least::FORCE * n, &|n| {
        text!("{}", newtons(n))
    });
    figure(", surface left true", Respect::Trueness, &choice(|c| c.method.finish_quality), &|_| least::TRUENESS, &percent);
    figure(", its time", Respect::Minutes, &|s| s.minutes(d), &|_| least::MINUTES, &minutes);
    figure(", its cost", Respect::Cost, &choice(|c| c.cost_money.value), &|_| least::MONEY, &money);
}
