//! From a survey to everything that follows from it, in one call. The survey, the rack, the shop and the overrules are
//! the ground state; all else is derived, can be thrown away, and comes out the same again.

pub mod acceptance;
mod contradictions;
pub mod key;
pub mod played;
pub mod self_check;
mod what_if;
pub mod worth;

use dent::Assessment;
use instrument::Survey;
use plan::{Flames, Heats, Level, Overrules, Plan};
use played::Played;
use quote::{Quote, Shop, Statement};
use rayon::prelude::*;
use reach::{Constraints, DentMethods, Rack, Remembered, ToolBody};
use serde::Serialize;
use std::borrow::Cow;

/// A job: the ground state and all that follows from it.
#[derive(Clone, Debug, Serialize)]
pub struct Job {
    /// The instrument and its damage.
    pub survey: Survey,
    /// The shop's tools.
    pub rack: Rack,
    /// The shop's prices and times.
    pub shop: Shop,
    /// What a person decided against the plan.
    pub overrules: Overrules,
    /// An assessment of each dent.
    pub assessments: Vec<Assessment>,
    /// How it plays with its dents.
    #[serde(skip)]
    pub played: Played,
    /// The methods to each dent, and why others are rejected.
    pub methods: Vec<DentMethods>,
    /// The plan of the level that is looked at, or that was agreed.
    pub plan: Plan,
    /// The quote with its three offers.
    pub quote: Quote,
    /// The plan of that level that nobody overruled, without its alternatives; none where nobody overruled anything.
    #[serde(skip)]
    pub not_overruled: Option<Plan>,
    /// What the methods followed from: a decision has only those worked out again that it changes.
    #[serde(skip)]
    pub remembered: Remembered,
    /// What its flames did: a decision lights few anew.
    #[serde(skip)]
    pub flames: Flames,
}

impl Job {
    /// The cautions of the plan that is looked at, each once, with the steps that raise it.
    pub fn cautions(&self) -> Vec<plan::Raised> {
        self.plan.cautions()
    }
}

/// Works a job out, looking at the middle level: make it good.
pub fn work_out(survey: Survey, rack: Rack, shop: Shop, overrules: &Overrules) -> Job {
    work_out_after(None, Level::Good, survey, rack, shop, overrules)
}

/// Works a job out, looking at a level, and takes over from an earlier one what follows from the same: the assessments of the same survey, the
/// methods of the same survey, rack and constraints, the plan that nobody overruled.
pub fn work_out_after(earlier: Option<&Job>, level: Level, survey: Survey, rack: Rack, shop: Shop, overrules: &Overrules) -> Job {
    let same_survey = earlier.filter(|j| j.survey == survey);
    let (assessments, played) = same_survey.map_or_else(|| assessed(&survey), |j| (j.assessments.clone(), j.played.clone()));
    let constraints = overrules.constraints(&survey);
    let same_rack = same_survey.filter(|j| j.rack == rack);
    let known = same_rack.map(|j| (&j.methods[..], &j.remembered));
    let (methods, remembered) = reach::methods_after(known, &survey, &assessments, &rack, &constraints);
    let same_shop = same_rack.filter(|j| j.shop == shop && j.plan.level == level);
    let known = same_shop.and_then(|j| {
        if j.overrules.all.is_empty() { Some(Plan { alternatives: vec![], ..j.plan.clone() }) } else { j.not_overruled.clone() }
    });
    // One reckoning of what flames do serves all plans, and those of a job with other decisions.
    let heats = Heats::new(&survey.instrument, &at_hand(&rack, &constraints)).lacking(&survey);
    let heats = match same_survey {
        Some(j) => heats.knowing(&j.flames),
        None => heats,
    };
    let ((plan, others), not_overruled) = rayon::join(
        || plans(level, &survey, &assessments, &methods, &heats, &shop, overrules),
        || {
            (!overrules.all.is_empty())
                .then(|| known.unwrap_or_else(|| free_plan(level, &survey, &assessments, &methods, &heats, &shop, &constraints, &rack)))
        },
    );
    let mut quote = quote::quote(&survey, &plan, &others, &shop);
    let now = played.now().map(|n| n.sentence());
    // Where nothing is damaged nothing of how it plays is sold.
    for offer in quote.offers.iter_mut().filter(|_| survey.has_damage()) {
        let of = std::iter::once(&plan).chain(&others).find(|p| p.level == offer.level);
        if let (Some(now), Some(after)) = (&now, of.and_then(|p| played.after(p))) {
            offer.statements.push(Statement::Plays { now: now.clone(), after: after.sentence() });
        }
    }
    let flames = heats.flames();
    Job { survey, rack, shop, overrules: overrules.clone(), assessments, played, methods, plan, quote, not_overruled, remembered, flames }
}

/// The dents, and how the instrument plays with them; one that moves a note that players notice is in the way of function.
pub fn assessed(survey: &Survey) -> (Vec<Assessment>, Played) {
    let mut assessments = dent::assess_all(survey);
    let played = played::played(survey, &assessments);
    played::effects(&played, &mut assessments);
    (assessments, played)
}

/// The plan of a level, and those of the others for the quote.
pub fn plans(
    level: Level,
    survey: &Survey,
    assessments: &[Assessment],
    methods: &[DentMethods],
    heats: &Heats,
    shop: &Shop,
    overrules: &Overrules,
) -> (Plan, Vec<Plan>) {
    let others: Vec<Level> = Level::ALL.into_iter().filter(|l| *l != level).collect();
    let to = |level: &Level| plan::plan_to(*level, survey, assessments, methods, heats, &shop.standards, overrules);
    rayon::join(
        || plan::plan_at(level, survey, assessments, methods, heats, &shop.standards, overrules),
        || others.par_iter().map(to).collect(),
    )
}

/// Whether a torch of the rack is away.
fn torch_away(rack: &Rack, constraints: &Constraints) -> bool {
    rack.tools.iter().any(|t| matches!(t.body, ToolBody::Torch { .. }) && constraints.away.contains_key(&t.id))
}

/// The rack without the torches that are away: flames are reckoned for those that are there.
fn at_hand<'r>(rack: &'r Rack, constraints: &Constraints) -> Cow<'r, Rack> {
    if !torch_away(rack, constraints) {
        return Cow::Borrowed(rack);
    }
    let mut there = rack.clone();
    there.tools.retain(|t| !constraints.away.contains_key(&t.id));
    Cow::Owned(there)
}

/// The plan of the level that nobody overruled. The methods are worked out again only where the decisions reach as far
/// as them.
#[allow(clippy::too_many_arguments)]
fn free_plan(
    level: Level,
    survey: &Survey,
    assessments: &[Assessment],
    methods: &[DentMethods],
    heats: &Heats,
    shop: &Shop,
    constraints: &Constraints,
    rack: &Rack,
) -> Plan {
    let none = Overrules::default();
    let free = none.constraints(survey);
    let other = (free != *constraints).then(|| reach::methods_within(survey, assessments, rack, &free));
    // Its torch is back too.
    let own = torch_away(rack, constraints).then(|| Heats::new(&survey.instrument, rack).lacking(survey));
    let heats = own.as_ref().unwrap_or(heats);
    plan::plan_to(level, survey, assessments, other.as_deref().unwrap_or(methods), heats, &shop.standards, &none)
}
