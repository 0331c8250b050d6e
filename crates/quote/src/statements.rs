//! What the customer is told of the metal, of what may go wrong, of new parts and of waiting for them: typed, from the plan's own
//! figures. The words are in [`crate::words::said`].

use crate::bill::{decimal, priced};
use crate::place::place;
use crate::shop::Shop;
use instrument::{ConditionKind, Dent, Role, RunId, Survey};
use plan::{Aftermath, Odds, Plan, StepKind, WhyReplaced};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Something that the customer is told about an offer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "about")]
pub enum Statement {
    /// Metal that is not sound.
    Metal {
        /// What it is like.
        is: Unsound,
        /// Whether it goes through the wall.
        through: bool,
        /// Name of the tube.
        part: String,
        /// What the tube does.
        role: Role,
        /// What is done about it.
        done: Done,
    },
    /// A new part in the place of one.
    New {
        /// Name of the tube.
        part: String,
        /// What the tube does.
        role: Role,
        /// Why.
        why: WhyReplaced,
    },
    /// What may go wrong.
    Chance {
        /// What.
        mishap: Mishap,
        /// Where, by what the tubes do there; none: anywhere else.
        role: Option<Role>,
        /// In which part of such repairs.
        likelihood: f64,
        /// Whether a patch mends it; else a new part.
        patched: bool,
        /// What that adds to the price, tax and all, before the shop's rule.
        adds: Decimal,
        /// The part of it that the customer pays.
        charged: Decimal,
    },
    /// How it plays: the note that is off most, in a sentence.
    Plays {
        /// As it came in.
        now: String,
        /// After this work.
        after: String,
    },
    /// Work that another shop does.
    SentOut {
        /// What, in the customer's words.
        what: String,
        /// Days that the instrument is away.
        days: u32,
    },
    /// A part that is ordered.
    Ordered {
        /// Days until it is there.
        days: u32,
    },
    /// A tool is made or bought for it, which the customer's contract pays once.
    ToolByContract,
}

/// Metal that is not sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Unsound {
    /// Dezincified.
    RedRot,
    /// Cracks of age.
    SeasonCracks,
    /// A crack.
    Crack,
    /// A dent that is cracked.
    CrackedDent,
    /// A hole.
    Hole,
    /// Worn or buffed thin.
    Thin,
}

/// What is done about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Done {
    /// A new tube, and why.
    Replaced(WhyReplaced),
    /// A patch, or its crack stopped.
    Closed,
    /// It stays as it is.
    Stays,
}

/// What may go wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mishap {
    /// The metal cracks.
    Cracks,
    /// A part is spoiled.
    Spoiled,
}

/// Below this a likelihood is not worth a sentence, as a part of one. Common practice, no source.
pub const WORTH_A_SENTENCE: f64 = 0.02;

/// All that is said of a plan.
pub fn statements(survey: &Survey, plan: &Plan, shop: &Shop, stretch: f64) -> Vec<Statement> {
    let mut all = metal(survey, plan);
    all.extend(new_parts(survey, plan, &all));
    all.extend(chances(survey, plan, shop, stretch));
    if plan.steps.iter().any(|s| matches!(s.kind, StepKind::ReplaceRun | StepKind::NewBrace)) && shop.delivery_days > 0 {
        all.push(Statement::Ordered { days: shop.delivery_days });
    }
    let away = plan.work.iter().filter_map(|w| Some((w, w.sent_out_days.filter(|days| *days > 0)?)));
    all.extend(away.map(|(w, days)| Statement::SentOut { what: crate::work::work_done(w), days }));
    if shop.terms.tools_by_contract && !plan.tools_to_make.is_empty() {
        all.push(Statement::ToolByContract);
    }
    all
}

fn replaced(plan: &Plan, run: &RunId) -> Option<WhyReplaced> {
    plan.replacements.iter().find(|r| r.run == *run && r.replace).map(|r| r.why)
}

/// What the metal is like where it matters: the surveyed conditions of the metal, and cracked dents; each tube's kind once.
fn metal(survey: &Survey, plan: &Plan) -> Vec<Statement> {
    let mut all: Vec<Statement> = Vec::new();
    let mut say = |is: Unsound, through: bool, run: &RunId, closed: bool| {
        let Some(r) = survey.instrument.run(run) else { return };
        let done = match (replaced(plan, run), closed) {
            (Some(why), _) => Done::Replaced(why),
            (None, true) => Done::Closed,
            (None, false) => Done::Stays,
        };
        let said = all.iter_mut().find_map(|s| match s {
            Statement::Metal { is: i, part, through: t, done: d, .. } if *i == is && *part == r.name => Some((t, d)),
            _ => None,
        });
        match said {
            Some((t, d)) => {
                *t |= through;
                // What stays is told before what is closed.
                if done == Done::Stays {
                    *d = done;
                }
            }
            None => all.push(Statement::Metal { is, through, part: r.name.clone(), role: r.role, done }),
        }
    };
    let steps = |kinds: [StepKind; 2]| plan.steps.iter().filter(move |s| kinds.contains(&s.kind));
    for c in &survey.conditions {
        let is = match c.kind {
            ConditionKind::RedRot => Unsound::RedRot,
            ConditionKind::SeasonCracking => Unsound::SeasonCracks,
            ConditionKind::Crack => Unsound::Crack,
            ConditionKind::Hole => Unsound::Hole,
            ConditionKind::Thin => Unsound::Thin,
            _ => continue,
        };
        let Some(run) = &c.run else { continue };
        // A crack that was surveyed with its dent and once more by itself is one crack: the plan mends it with the dent.
        let dented = |d: &Dent| d.run == *run && d.crack.is_some();
        let by_itself = plan.mended.iter().any(|m| m.condition == c.id);
        if is == Unsound::Crack && !by_itself && survey.dents.iter().any(dented) {
            continue;
        }
        let patched = steps([StepKind::Patch; 2]).any(|s| s.run.as_ref() == Some(run) && s.dents.is_empty());
        let leaks = matches!(is, Unsound::Crack | Unsound::Hole) || c.through == Some(true);
        say(is, c.through == Some(true), run, leaks && patched);
    }
    for d in survey.dents.iter().filter(|d| d.crack.is_some()) {
        let closed = steps([StepKind::Patch, StepKind::StabiliseCrack]).any(|s| s.dents.contains(&d.id));
        say(Unsound::CrackedDent, false, &d.run, closed);
    }
    all
}

/// New parts that the metal has not told already.
fn new_parts(survey: &Survey, plan: &Plan, told: &[Statement]) -> Vec<Statement> {
    let by_metal = |name: &str| told.iter().any(|s| matches!(s, Statement::Metal { part, done: Done::Replaced(_), .. } if part == name));
    let new = plan.replacements.iter().filter(|r| r.replace).filter_map(|r| Some((r, survey.instrument.run(&r.run)?)));
    new.filter(|(_, run)| !by_metal(&run.name))
        .map(|(r, run)| Statement::New { part: run.name.clone(), role: run.role, why: r.why })
        .collect()
}

/// Likelihoods taken as independent, and what follows in the mean where one comes true.
#[derive(Default)]
struct Together {
    none: Option<f64>,
    weighted: f64,
    weights: f64,
    patches: f64,
    role: Option<Role>,
}

impl Together {
    fn add(&mut self, role: Role, likelihood: f64, then: &Aftermath, costs: f64) {
        self.none = Some(self.none.unwrap_or(1.0) * (1.0 - likelihood));
        self.weighted += likelihood * costs;
        self.weights += likelihood;
        self.patches += if then.patched { likelihood } else { 0.0 };
        self.role = Some(role);
    }

    fn likelihood(&self) -> f64 {
        1.0 - self.none.unwrap_or(1.0)
    }

    fn said(&self, mishap: Mishap, role: Option<Role>, charged: Decimal) -> Option<Statement> {
        let worth = self.likelihood() >= WORTH_A_SENTENCE && self.weights > 0.0;
        worth.then(|| Statement::Chance {
            mishap,
            role,
            likelihood: self.likelihood(),
            patched: self.patches > 0.5 * self.weights,
            adds: decimal(self.weighted / self.weights, 2),
            charged,
        })
    }
}

/// What may go wrong: the place that is likeliest to crack, all others together, and what the ways may spoil. Own model: the dents are
/// taken as independent of each other.
fn chances(survey: &Survey, plan: &Plan, shop: &Shop, stretch: f64) -> Vec<Statement> {
    let mut cracks: BTreeMap<&str, Together> = BTreeMap::new();
    let mut spoiled = Together::default();
    let worked = plan.choices.iter().filter_map(|c| {
        let run = survey.instrument.run(&survey.dent(&c.dent)?.run)?;
        Some((run.role, &c.odds))
    });
    for (role, Odds { crack, if_cracks, spoiled: part, if_spoiled }) in worked {
        let price = |a: &Aftermath| priced(a.minutes * stretch, a.part_money, shop);
        cracks.entry(place(role)).or_default().add(role, crack.clamp(0.0, 1.0), if_cracks, price(if_cracks));
        spoiled.add(role, part.clamp(0.0, 1.0), if_spoiled, price(if_spoiled));
    }
    let mut by_place: Vec<Together> = cracks.into_values().collect();
    by_place.sort_by(|a, b| b.likelihood().total_cmp(&a.likelihood()));
    let mut rest = Together::default();
    for t in by_place.iter().skip(1) {
        rest.none = Some(rest.none.unwrap_or(1.0) * t.none.unwrap_or(1.0));
        rest.weighted += t.weighted;
        rest.weights += t.weights;
        rest.patches += t.patches;
    }
    let first = by_place.first().and_then(|t| t.said(Mishap::Cracks, t.role, shop.crack_charged));
    let others = rest.said(Mishap::Cracks, None, shop.crack_charged);
    // That nothing much can happen is worth a sentence too.
    let all_safe = first.is_none() && others.is_none() && !by_place.is_empty();
    let likelihood = 1.0 - by_place.iter().filter_map(|t| t.none).product::<f64>();
    let safe = all_safe.then_some(Statement::Chance {
        mishap: Mishap::Cracks,
        role: None,
        likelihood,
        patched: true,
        adds: Decimal::ZERO,
        charged: shop.crack_charged,
    });
    let spoils = spoiled.said(Mishap::Spoiled, None, shop.spoiled_charged);
    first.into_iter().chain(others).chain(safe).chain(spoils).collect()
}
