//! The plan for a whole survey.

use crate::alternatives::alternatives;
use crate::asked;
use crate::assume::assumptions;
use crate::case::{Case, Flame};
use crate::choose::{MOST_NODES, Problem, Solution, Timed};
use crate::consequence;
use crate::heats::Heats;
use crate::level::Level;
use crate::mend;
use crate::model::{Ask, Model, Subject, Take};
use crate::numbered;
use crate::order;
use crate::outcome::{Asked, Certificate, Choice, Mending, NotDone, OrderCertificate, Plan};
use crate::overrule::{Decision, Overrules};
use crate::price;
use crate::replace;
use crate::shop::Standards;
use crate::step_kind::StepKind;
use crate::steps::chosen::{Chosen, Worked};
use crate::steps::{self, method_words};
use crate::tools;
use dent::{Advice, Assessment};
use instrument::{Condition, DentId, RunId, Survey};
use reach::{DentMethods, MethodKind, ToolChoice, ToolToMake};
use units::duration::show_minutes;
use units::money::show_about;
use units::{Text, ThreePoint, text};

/// The plan for a survey at [`Level::Good`]: what to open, a method for each dent, the steps in order. Never fails: what
/// cannot be done is listed with its reason.
pub fn plan(
    survey: &Survey,
    assessments: &[Assessment],
    methods: &[DentMethods],
    heats: &Heats,
    standards: &Standards,
    overrules: &Overrules,
) -> Plan {
    plan_at(Level::Good, survey, assessments, methods, heats, standards, overrules)
}

/// The plan for work that goes as far as `level`, with the next best plans beside it.
pub fn plan_at(
    level: Level,
    survey: &Survey,
    assessments: &[Assessment],
    methods: &[DentMethods],
    heats: &Heats,
    standards: &Standards,
    overrules: &Overrules,
) -> Plan {
    whole(&Case::new(survey, assessments, methods, heats, standards, overrules, level), true)
}

/// The plan for work that goes as far as `level`, without a search for alternatives.
pub fn plan_to(
    level: Level,
    survey: &Survey,
    assessments: &[Assessment],
    methods: &[DentMethods],
    heats: &Heats,
    standards: &Standards,
    overrules: &Overrules,
) -> Plan {
    whole(&Case::new(survey, assessments, methods, heats, standards, overrules, level), false)
}

/// The abstract choice behind [`plan`], so that another solver can be asked the same.
pub fn choice(
    survey: &Survey,
    assessments: &[Assessment],
    methods: &[DentMethods],
    heats: &Heats,
    standards: &Standards,
    overrules: &Overrules,
) -> Problem {
    let case = Case::new(survey, assessments, methods, heats, standards, overrules, Level::Good);
    let replaced: Vec<RunId> = replace::decide(&case).into_iter().filter(|r| r.replace).map(|r| r.run).collect();
    Model::new(
        &case,
        &Ask {
            dents: &|id| case.wants_dent(id),
            conditions: &|c| mend::wanted(&case, c),
            replaced: &replaced,
            may_replace: true,
            may_stay: false,
        },
    )
    .problem
}

fn whole(case: &Case, with_alternatives: bool) -> Plan {
    if !case.survey.has_work() {
        return Plan::nothing(case.level);
    }
    let mut replacements = replace::decide(case);
    let replaced: Vec<RunId> = replacements.iter().filter(|r| r.replace).map(|r| r.run.clone()).collect();
    let want = |id: &DentId| case.wants_dent(id);
    let model = Model::new(
        case,
        &Ask { dents: &want, conditions: &|c| mend::wanted(case, c), replaced: &replaced, may_replace: true, may_stay: false },
    );
    let solution = solve(case, &model);
    let first = put_together(case, &model, &solution, with_alternatives);
    let mut plan = match case.overrules.deadline_min() {
        Some(deadline) if first.minutes.mean() > deadline => within(case, &want, &replaced, deadline).unwrap_or(first),
        _ => first,
    };
    let weighed = |run: &RunId| replacements.iter().all(|r| r.run != *run);
    let others: Vec<RunId> =
        plan.steps.iter().filter(|s| s.kind == StepKind::ReplaceRun).filter_map(|s| s.run.clone()).filter(weighed).collect();
    replacements.extend(others.iter().map(|run| replace::chosen(case, run)));
    plan.replacements = replacements;
    plan
}

/// Every dent may stay, so there always is a solution; were there none, nothing would be chosen.
fn solve(case: &Case, model: &Model) -> Solution {
    model.problem.solve_knowing(MOST_NODES, f64::INFINITY, case.heats.solved()).unwrap_or_else(|| Solution {
        methods: vec![None; model.problem.dents.len()],
        opened: vec![],
        cost: 0.0,
        bound: 0.0,
        nodes: 0,
    })
}

/// Problems looked at for one deadline, and times that the minutes which no choice takes away are reckoned anew.
const MOST_PARTS: usize = 64;
const MOST_TURNS: usize = 6;

/// The best within a deadline: dents that are worth least for their time stay ([`Timed::within`]). What takes time besides the choice
/// (cleaning, checks, easing marks, assembling) is known when the steps stand: the limit of the choice follows it.
fn within(case: &Case, want: &dyn Fn(&DentId) -> bool, replaced: &[RunId], deadline: f64) -> Option<Plan> {
    let model = Model::new(case, &Ask { dents: want, conditions: &|c| mend::wanted(case, c), replaced, may_replace: true, may_stay: true });
    let timed = Timed { problem: &model.problem, openable_min: &model.item_min, method_min: &model.method_min };
    let drawn_up = |s: &Solution| put_together(case, &model, s, false);
    let free = solve(case, &model);
    let plan = drawn_up(&free);
    let mut besides = plan.minutes.mean() - model.minutes(&free);
    let mut tried: Vec<f64> = Vec::new();
    let (mut best, mut bound): (Option<(Plan, f64, f64)>, f64) = (None, f64::INFINITY);
    if plan.minutes.mean() <= deadline {
        best = Some((plan, free.cost, model.money(&free)));
        bound = free.bound;
    } else {
        for _ in 0..MOST_TURNS {
            let limit = deadline - besides;
            if tried.iter().any(|t| (t - limit).abs() < 0.5) {
                break;
            }
            tried.push(limit);
            let Some(found) = timed.within(limit, MOST_PARTS) else { break };
            let plan = drawn_up(&found.solution);
            let over = plan.minutes.mean() - deadline;
            besides = plan.minutes.mean() - found.minutes;
            // The widest limit that was looked at bounds what any choice can cost.
            bound = bound.min(found.bound);
            if over <= 0.0 && best.as_ref().is_none_or(|b| found.solution.cost < b.1) {
                best = Some((plan, found.solution.cost, model.money(&found.solution)));
            }
        }
    }
    let Some((mut plan, cost, money)) = best else {
        // The least that must be done: the quickest of all.
        let quickest = timed.quickest()?;
        let mut plan = drawn_up(&quickest);
        let takes = plan.minutes.mean();
        if takes > deadline {
            plan.assumptions.push(crate::Assumption {
                what: format!(
                    "The deadline of {} cannot be kept: the least that must be done takes {}.",
                    show_minutes(deadline),
                    show_minutes(takes)
                )
                .into(),
                would_change: "Give it more time, or decide what else is left undone.".into(),
            });
        }
        return Some(plan);
    };
    let gap = (cost - bound).max(0.0);
    plan.certificate.cost_money = money;
    plan.certificate.bound_money = money - gap;
    let proved = if gap < 0.5 {
        "nothing that fits is better".to_owned()
    } else {
        format!("the best possible plan is better by {} at most", show_about(gap, &case.standards.currency))
    };
    plan.assumptions.push(crate::Assumption {
        what: format!("Bench time is limited to {}. The dents worth least for their time stay.", show_minutes(deadline)).into(),
        would_change: format!(
            "Without the deadline more is done. Counting what each dent that stays is worth, and what its work alone would cost, {proved}. That is proved for the work, with checks and finish as they are here."
        )
        .into(),
    });
    Some(plan)
}

fn put_together(case: &Case, model: &Model, s: &Solution, with_alternatives: bool) -> Plan {
    // The search for alternatives takes about as long as all the rest.
    let (mut plan, alternatives) =
        rayon::join(|| without_alternatives(case, model, s), || if with_alternatives { alternatives(case, model, s) } else { vec![] });
    plan.alternatives = alternatives;
    plan
}

fn without_alternatives(case: &Case, model: &Model, s: &Solution) -> Plan {
    let chosen = Chosen::read(model, s);
    let draft = steps::draft(case, model, &chosen);
    let (tasks, costs, hot) = draft.tasks(case);
    let ordered = order::order(&tasks, &costs);
    // The precedences close no ring (test); were there one, the steps would stand as they were drawn up.
    let sequence = ordered.as_ref().map_or_else(|| (0..tasks.len()).collect(), |o| o.tasks.clone());
    let mut steps = numbered::numbered(&draft, &sequence, &tasks);
    numbered::set_up_once(&mut steps, &chosen.worked, case.standards);
    numbered::stamp(&mut steps, &chosen.worked, case.instrument(), case.standards);
    let order = ordered.map(|o| {
        let begun = sequence.iter().enumerate().filter(|(i, t)| *i == 0 || tasks[sequence[i - 1]].setup != tasks[**t].setup);
        let begun: Vec<usize> = begun.map(|(_, t)| tasks[*t].setup).collect();
        OrderCertificate {
            heats: begun.iter().filter(|s| hot[**s]).count(),
            fixtures: begun.iter().filter(|s| !hot[**s] && costs[**s] > 0.0).count(),
            setup_min: o.cost,
            bound_min: o.bound,
        }
    });
    let minutes = steps.iter().fold(ThreePoint::ZERO, |sum, s| sum.plus(s.minutes));
    let penalty = model.penalty(s);
    Plan {
        choices: choices(case, model, s, &chosen),
        mended: chosen
            .mended
            .iter()
            .map(|m| Mending { condition: m.condition.clone(), mend: m.way.mend, parts_money: m.way.parts })
            .collect(),
        work: asked::planned(case, &steps, &chosen.work_left),
        opened: chosen.opened.clone(),
        replacements: vec![],
        tools_to_make: chosen.tools_to_make(),
        not_done: not_done(case, model, &chosen),
        assumptions: assumptions(case, &chosen),
        minutes,
        certificate: Certificate { cost_money: s.cost - penalty, bound_money: s.bound - penalty, nodes: s.nodes },
        order,
        alternatives: vec![],
        level: case.level,
        steps,
    }
}

fn choices(case: &Case, model: &Model, s: &Solution, chosen: &Chosen) -> Vec<Choice> {
    chosen
        .worked
        .iter()
        .filter_map(|w| {
            let a = case.assessment(&w.dent)?;
            let method = tools::with_tools(w.method, &w.tools);
            Some(Choice {
                dent: w.dent.clone(),
                cost_money: price::method_figure(case, a, w.method, &w.work),
                odds: consequence::odds(case, &a.run, w.work.crack, w.method.risk),
                because: because(case, model, s, w),
                instead_of: instead_of(case, w),
                method,
            })
        })
        .collect()
}

/// What a person asked for, where it cannot be and another method stands in.
fn instead_of(case: &Case, w: &Worked) -> Option<Asked> {
    let method = asked_for(case, &w.dent).filter(|m| *m != w.method.kind)?;
    Some(Asked { method, because: cannot_be_taken(case, &w.dent, method) })
}

/// The method that a person wants for a dent.
fn asked_for(case: &Case, id: &DentId) -> Option<MethodKind> {
    case.overrules.of_dent(id).and_then(|o| if let Decision::UseMethod { method, .. } = o.decision { Some(method) } else { None })
}

/// Why a method that was asked for is not taken: its own reason where it was rejected, else what is in its way.
fn cannot_be_taken(case: &Case, id: &DentId, kind: MethodKind) -> Text {
    let methods: Vec<&reach::Method> = case.methods(id).into_iter().filter(|w| w.kind == kind).collect();
    let Some(reach) = case.reach(id) else { return "nothing is known of what reaches this dent".into() };
    if methods.is_empty() {
        if reach.methods.iter().chain(&reach.after_anneal).any(|w| w.kind == kind) {
            return "it passes under the dent without touching the metal".into();
        }
        let rejected = reach.rejected.iter().chain(&reach.rejected_after_anneal).find(|r| r.kind == kind);
        return rejected.map_or_else(|| "it is no way for this place".into(), |r| r.because.clone());
    }
    let run = case.dent(id).map(|d| d.run.clone()).unwrap_or_else(|| RunId(String::new()));
    let worth = |w: &reach::Method| tools::pieces(w).iter().all(|t| price::worth_making(case, &t.body, &run));
    let Some(first) = methods.iter().find(|w| worth(w)) else {
        let costs = methods.iter().map(|w| tools::pieces(w).iter().map(|t| price::tool_money(case, &t.body)).sum::<f64>());
        let least = costs.fold(f64::INFINITY, f64::min);
        return format!("its tool would cost {least:.0} to make, more than a new part").into();
    };
    if kind == MethodKind::PullOutside
        && let Flame::Never(why) = case.flame(&run, price::STUD_FILLER.worked_at_degc())
    {
        return format!("its stud is soldered on, and no flame may be lit there ({why})").into();
    }
    for o in &first.opens {
        if let Some(why) = case.barred(o) {
            return format!("{} must stay as it is ({why})", case.opened_name(o)).into();
        }
        if let Flame::Never(why) = case.flame_to_open(o) {
            return format!("{} is opened by a flame, which may not be lit ({why})", case.opened_name(o)).into();
        }
    }
    match first.after.first() {
        Some(other) => format!("dent {other} is in its way and stays").into(),
        None => "what it needs costs more than any harm it could do".into(),
    }
}

/// Why this method and not the next best.
fn because(case: &Case, model: &Model, s: &Solution, w: &Worked) -> Text {
    if let Some(o) = case.overrules.of_dent(&w.dent)
        && matches!(o.decision, Decision::UseMethod { .. })
    {
        return match instead_of(case, w) {
            None => format!("{}.", o.words()).into(),
            Some(asked) => text!("{}, but {} cannot be taken: {}", o.words(), method_words(asked.method), asked.because).stopped(),
        };
    }
    let Some(d) = model.dents.iter().position(|x| *x == Subject::Dent(w.dent.clone())) else { return Text::default() };
    let Some(mine) = s.methods[d] else { return Text::default() };
    let closed = model.problem.closures();
    let now = |v: usize| model.problem.with_needs(&closed, &model.problem.dents[d][v], &s.opened);
    let own = model.problem.dents[d][mine].cost;
    let other_method = |v: usize| match &model.takes[d][v] {
        Take::Work { method, .. } if method.kind != w.method.kind => Some(method.kind),
        _ => None,
    };
    let next = (0..model.problem.dents[d].len())
        .filter_map(|v| Some((now(v), other_method(v)?)))
        .filter(|(c, _)| c.is_finite())
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let shared: Vec<String> = w
        .method
        .opens
        .iter()
        .filter(|o| model.dents.iter().zip(&s.methods).enumerate().any(|(i, (_, v))| i != d && uses(model, i, *v, o)))
        .map(|o| case.opened_name(o))
        .collect();
    let mut text = match next {
        None => Text::from("no other method reaches it"),
        Some((cost, method)) if cost >= own => {
            format!("the next best, {}, would cost {:.0} more with what it needs open", method_words(method), cost - own).into()
        }
        Some((_, method)) => {
            format!("{} alone would be cheaper here, but must wait for another dent that needs this one gone", method_words(method)).into()
        }
    };
    if let Some(other) = crate::left_on::on_or_off(case, model, d, w.method, own, now) {
        text += other;
    }
    if !shared.is_empty() {
        text += format!("; {} is opened for other dents too", shared.join(", "));
    }
    text.stopped()
}

fn uses(model: &Model, d: usize, method: Option<usize>, what: &reach::Opened) -> bool {
    matches!(method.map(|w| &model.takes[d][w]), Some(Take::Work { method, .. }) if method.opens.contains(what))
}

fn not_done(case: &Case, model: &Model, chosen: &Chosen) -> Vec<NotDone> {
    let mut all = Vec::new();
    for d in &case.survey.dents {
        if chosen.worked.iter().any(|w| w.dent == d.id) || chosen.patched.contains(&d.id) || chosen.gone.contains(&d.id) {
            continue;
        }
        let what = text!("dent {} on {}", d.id, case.run_name(&d.run));
        let (because, make) = stays_because(case, model, &d.id);
        all.push(NotDone { what, dent: Some(d.id.clone()), condition: None, work: None, because, make });
    }
    let mended = |c: &Condition| chosen.mended.iter().any(|m| m.condition == c.id);
    let gone = |c: &Condition| chosen.replaced.iter().any(|run| c.is_on(run));
    for c in mend::conditions(case).filter(|c| !mended(c) && !gone(c)) {
        let what = text!("{}: {} ({})", c.id.0, c.kind.words(), c.of_what(case.instrument()));
        all.push(NotDone {
            what,
            dent: None,
            condition: Some(c.id.clone()),
            work: None,
            because: mend::stays_because(case, c),
            make: None,
        });
    }
    all.extend(asked::not_done(case, &chosen.work_left));
    all
}

fn stays_because(case: &Case, model: &Model, id: &DentId) -> (Text, Option<ToolToMake>) {
    let Some(a) = case.assessment(id) else { return ("it was not assessed".into(), None) };
    if let Some(o) = case.overrules.of_dent(id) {
        match &o.decision {
            Decision::LeaveDent { .. } => return (o.words().into(), None),
            // No other way stands in for it either.
            Decision::UseMethod { method, .. } => {
                let why = cannot_be_taken(case, id, *method);
                return (text!("{}: {} cannot be taken: {}", o.words(), method_words(*method), why), None);
            }
            _ => {}
        }
    }
    if !case.wants_dent(id) {
        let why = if a.advice == Advice::Leave {
            a.advice_because.clone()
        } else {
            "it is only seen, and looks are not part of this work".into()
        };
        return (why, None);
    }
    let reach = case.reach(id);
    // A tool that would do it, were it to be made.
    let make = reach.and_then(|r| {
        r.methods
            .iter()
            .chain(&r.after_anneal)
            .find_map(|w| if let ToolChoice::ToMake { make, .. } = &w.tool { Some(make.clone()) } else { None })
    });
    let methods = case.methods(id);
    let dear = |w: &&reach::Method| tools::pieces(w).iter().any(|t| !price::worth_making(case, &t.body, &a.run));
    if !methods.is_empty() && methods.iter().all(dear) {
        let costs = |w: &reach::Method| tools::pieces(w).iter().map(|t| price::tool_money(case, &t.body)).sum::<f64>();
        let cheapest = methods.iter().filter(|w| tools::to_make(w).is_some()).min_by(|x, y| costs(x).total_cmp(&costs(y)));
        return match cheapest {
            None => ("no tool on hand reaches it".into(), make),
            Some(w) => (
                format!(
                    "its tool costs {:.0} to make; spread over the jobs that it will serve that is {:.0} for this one, and a new part costs {:.0}. Ask the customer, or make it for the rack",
                    costs(w),
                    tools::pieces(w).iter().map(|t| price::tool_share(case, &t.body)).sum::<f64>(),
                    case.part_price(&a.run)
                ).into(),
                tools::to_make(w).cloned(),
            ),
        };
    }
    if methods.is_empty() {
        if reach.is_some_and(|r| !(r.methods.is_empty() && r.after_anneal.is_empty())) {
            return ("every way to it needs a tool that is not to be had".into(), make);
        }
        let mut why: Vec<(MethodKind, Text)> = Vec::new();
        for o in reach.iter().flat_map(|r| r.rejected_after_anneal.iter().chain(&r.rejected)) {
            // One reason for each method is enough.
            if why.len() < 3 && !why.iter().any(|w| w.0 == o.kind) {
                why.push((o.kind, text!("{}: {}", method_words(o.kind), o.because)));
            }
        }
        let why: Vec<Text> = why.into_iter().map(|w| w.1).collect();
        return (if why.is_empty() { "no way was found to it".into() } else { Text::join(&why, "; ") }, make);
    }
    let closed = model.problem.closures();
    let row = model.dents.iter().position(|x| *x == Subject::Dent(id.clone()));
    let possible = |d: usize| {
        let mut works = model.problem.dents[d].iter().filter(|w| w.works);
        works.any(|w| model.problem.with_needs(&closed, w, &[]).is_finite())
    };
    if case.overrules.deadline_min().is_some() && row.is_some_and(possible) {
        return ("there is no time for it before the deadline".into(), None);
    }
    let barred: Vec<String> = methods
        .iter()
        .flat_map(|w| &w.opens)
        .filter_map(|o| case.barred(o).map(|why| format!("{} must stay as it is ({why})", case.opened_name(o))))
        .take(2)
        .collect();
    let flame = methods.iter().any(|w| w.kind == MethodKind::PullOutside || w.opens.iter().any(|o| case.filler(o).is_some()));
    let why = match (barred.is_empty(), flame) {
        (false, _) => barred.join("; "),
        (true, true) => "every way to it needs a flame that may not be lit".to_owned(),
        (true, false) => "every way to it waits for a dent that stays".to_owned(),
    };
    (why.into(), None)
}
