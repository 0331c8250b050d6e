//! Runs that it could pay to replace.

use crate::case::Case;
use crate::holds::holds;
use crate::mend;
use crate::step_kind::StepKind;
use instrument::{Condition, Dent, RunId};
use reach::Opened;
use std::collections::HashMap;
use units::ThreePoint;

/// Minutes of fitting a new run.
pub fn fitting_minutes(case: &Case, run: &RunId) -> ThreePoint {
    let role = case.run(run).map(|r| r.role);
    role.map_or_else(|| case.standards.minutes_of(StepKind::ReplaceRun), |r| case.standards.minutes_of_replacing(r))
}

/// Runs that it could pay to replace: a price stands for them, nobody said no, all that holds them may be opened, and what is wrong with
/// them, dents and else, each worked or mended by itself, costs more than a new one fitted, without what is opened for it. Where it does
/// not, replacing can pay in no plan.
pub fn candidates(case: &Case, dents: &[&Dent], asked: &dyn Fn(&Condition) -> bool, already: &[RunId]) -> Vec<RunId> {
    let conditions: Vec<&Condition> = mend::conditions(case).filter(|c| c.run.is_some() && asked(c)).collect();
    let mut runs: Vec<&RunId> = dents.iter().map(|d| &d.run).chain(conditions.iter().filter_map(|c| c.run.as_ref())).collect();
    runs.sort();
    runs.dedup();
    let priced = |r: &&RunId| case.run(r).is_some_and(|r| case.standards.replacement_run.contains_key(<&str>::from(r.role)));
    let free = |r: &&RunId| {
        !already.contains(r) && case.overrules.replace(r).is_none() && holds(case.survey, r).iter().all(|o| case.barred(o).is_none())
    };
    let mended = |r: &RunId| conditions.iter().filter(|c| c.is_on(r)).map(|c| mend::alone_money(case, c)).sum::<f64>();
    // Every method of a tube opens the same few things.
    let mut opened: HashMap<&Opened, f64> = HashMap::new();
    let all = dents.iter().flat_map(|d| case.methods(&d.id)).flat_map(|m| &m.opens);
    for what in all {
        opened.entry(what).or_insert_with(|| crate::price::opening_money(case, what) + crate::price::heat_min(case) * case.per_minute());
    }
    let worked = |r: &RunId| dents.iter().filter(|d| d.run == *r).map(|d| alone_money(case, d, &opened)).sum::<f64>() + mended(r);
    let pays = |r: &&RunId| worked(r) > fitting_minutes(case, r).mean() * case.per_minute() + case.new_part_money(r);
    runs.into_iter().filter(priced).filter(free).filter(pays).cloned().collect()
}

/// What working a dent costs at most, by itself, money; `opened` holds what each thing costs that its methods open.
fn alone_money(case: &Case, d: &Dent, opened: &HashMap<&Opened, f64>) -> f64 {
    let Some(a) = case.assessment(&d.id) else { return 0.0 };
    let one = |method: &&reach::Method| {
        let work = crate::price::work(case, d, a, method, method.annealed);
        let opens: f64 = method.opens.iter().filter_map(|o| opened.get(o)).sum();
        let tools: f64 = crate::tools::pieces(method).iter().map(|t| crate::price::tool_share(case, &t.body)).sum();
        let anneal = if method.annealed { (crate::price::anneal_min(case) + 10.0) * case.per_minute() } else { 0.0 };
        crate::price::method_money(case, a, method, &work) + opens + tools + anneal
    };
    case.methods(&d.id).iter().map(one).fold(f64::INFINITY, f64::min)
}
