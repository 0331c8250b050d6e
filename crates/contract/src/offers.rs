//! The offers of a surveyed instrument: each level's own plan, with its time, its price, its tools to make and what the bench
//! must know.

use crate::model::{Offer, Skill, Tool};
use instrument::Survey;
use plan::standard_job::{Need, When};
use plan::{Heats, Level, Overrules, Plan, PlannedWork, StepKind};
use quote::Shop;
use reach::Rack;
use rust_decimal::Decimal;
use std::collections::BTreeSet;

/// What an instrument offers.
#[derive(Clone, Debug, PartialEq)]
pub struct Offered {
    /// Its offers, the least work first.
    pub offers: Vec<Offer>,
    /// The tools to make that they name.
    pub tools: Vec<Tool>,
    /// Whether it plays as it was found: nothing of its damage is in the way of that, or weakens it.
    pub plays: bool,
}

/// What a bench must know for a step.
fn skill(kind: StepKind) -> Option<Skill> {
    match kind {
        StepKind::Clean
        | StepKind::Free
        | StepKind::Strip
        | StepKind::Assemble
        | StepKind::AcceptanceCheck
        | StepKind::MakeTool
        | StepKind::OtherWork => None,
        StepKind::Dent | StepKind::Crease | StepKind::OverFill | StepKind::RoundOut | StepKind::Straighten => Some(Skill::Dents),
        StepKind::StabiliseCrack
        | StepKind::OpenJoint
        | StepKind::OverlayOff
        | StepKind::Anneal
        | StepKind::Fill
        | StepKind::MeltOut
        | StepKind::Patch
        | StepKind::ReplaceRun
        | StepKind::OverlayBack
        | StepKind::CloseJoint
        | StepKind::BrazeBrace
        | StepKind::NewBrace
        | StepKind::MakeBrace
        | StepKind::Align => Some(Skill::Soldering),
        StepKind::StraightenSlide | StepKind::TrueFit => Some(Skill::Valves),
        StepKind::Finish => Some(Skill::Finish),
    }
}

/// Steps that are taken whatever is mended.
fn of_every_job(kind: StepKind) -> bool {
    skill(kind).is_none() && kind != StepKind::OtherWork
}

/// What a bench must know for other work: by when it is done, what it needs, and the skill that the shop's list asks for by a name that
/// contracts know too. What is sent out asks for none.
fn skills_of(shop: &Shop, work: &PlannedWork) -> Vec<Skill> {
    let Some(job) = shop.standards.jobs.iter().find(|j| j.key == work.job).filter(|j| j.sent_out_days.is_none()) else { return vec![] };
    let by_when = match job.when {
        When::Fits => Some(Skill::Valves),
        When::Finish => Some(Skill::Finish),
        When::First | When::Metal | When::Assembly => None,
    };
    let solders = job.needs(Need::JointOpen).then_some(Skill::Soldering);
    [by_when, solders, Skill::read(job.skill.trim())].into_iter().flatten().collect()
}

/// Works the offers of an instrument out.
pub fn offers(survey: &Survey, rack: &Rack, shop: &Shop) -> Offered {
    let mut offered = Offered { offers: vec![], tools: vec![], plays: true };
    if !survey.has_work() {
        return offered;
    }
    // The contract pays a tool once, over all its instruments.
    let shop = Shop { tools_charged: Decimal::ZERO, ..shop.clone() };
    let none = Overrules::default();
    let (assessments, _) = job::assessed(survey);
    let (methods, _) = reach::methods_after(None, survey, &assessments, rack, &none.constraints(survey));
    let heats = Heats::new(&survey.instrument, rack).lacking(survey);
    let (good, others) = job::plans(Level::Good, survey, &assessments, &methods, &heats, &shop, &none);
    for level in Level::ALL {
        let Some(plan) = std::iter::once(&good).chain(&others).find(|p| p.level == level) else { continue };
        // Other work is bought with every offer: it says nothing of whether the instrument plays, and alone it is one offer.
        let mends = plan.steps.iter().any(|s| !of_every_job(s.kind) && s.kind != StepKind::OtherWork);
        if level == Level::Play {
            offered.plays = !mends;
        }
        let works = !plan.work.is_empty() && (survey.has_damage() || level == Level::Good);
        if mends || works {
            offered.take(survey, plan, &shop);
        }
    }
    offered
}

impl Offered {
    fn take(&mut self, survey: &Survey, plan: &Plan, shop: &Shop) {
        let q = quote::offer::offer(survey, plan, shop, None);
        let mut tools = Vec::new();
        for (piece, step) in plan::tool_steps(&plan.tools_to_make, &plan.steps) {
            let words = piece.words();
            let id = words.metric();
            let mean_min = if piece.body.is_bought() { 0.0 } else { step.minutes.mean() };
            if !self.tools.iter().any(|t| t.id == id) {
                let bill = quote::bill::of_tool(&id, mean_min, plan::tool_price(&shop.standards, &piece.body), shop);
                self.tools.push(Tool { id: id.clone(), words, cost: bill.total, bill: Some(bill), mean_min, there: false });
            }
            tools.push(id);
        }
        tools.sort();
        tools.dedup();
        self.offers.push(Offer {
            level: plan.level,
            cost: q.bill.total,
            mean_min: q.times.mean_min,
            sd_min: q.times.sd_min,
            tools,
            name: if survey.has_damage() { String::new() } else { q.name.clone() },
            work: plan.work.iter().map(quote::work::work_done).collect(),
            skills: plan
                .steps
                .iter()
                .filter_map(|s| skill(s.kind))
                .chain(plan.work.iter().flat_map(|w| skills_of(shop, w)))
                .chain([Skill::Dents])
                .collect::<BTreeSet<_>>(),
            dents: q.dents.len(),
            left: q.left.len(),
        });
    }
}
