//! Replace a run, or straighten it: both prices and the reason.

use crate::case::Case;
use crate::holds::holds;
use crate::model::{Ask, Model, Take};
use crate::outcome::{Replacement, WhyReplaced};
use crate::replaceable::fitting_minutes;
use crate::step_kind::StepKind;
use dent::Advice;
use instrument::{Condition, ConditionKind, RunId};
use units::money::show_about;
use units::text::mm;
use units::{Figure, Known, Origin, Source, Text, ThreePoint, Unit, text};

/// Where the rule comes from.
pub const RULE: Source = Source::common_practice(
    "Where red rot goes through or runs over a quarter of the tube, the tube is replaced: what is left of its wall is copper sponge",
);

/// Red rot over more than this part of a run is not patched. Common practice, no source.
const LONG_ROT: f64 = 0.25;

/// Decides for each run whose metal is in doubt, or of which a person decided.
pub fn decide(case: &Case) -> Vec<Replacement> {
    let mut runs: Vec<RunId> = Vec::new();
    let doubtful = case.survey.conditions.iter().filter(|c| c.kind == ConditionKind::RedRot).filter_map(|c| c.run.clone());
    let advised =
        case.survey.dents.iter().filter(|d| case.assessment(&d.id).is_some_and(|a| a.advice == Advice::ReplaceRun)).map(|d| d.run.clone());
    let decided = case.instrument().runs.iter().filter(|r| case.overrules.replace(&r.id).is_some()).map(|r| r.id.clone());
    for run in doubtful.chain(advised).chain(decided) {
        if case.run(&run).is_some() && !runs.contains(&run) {
            runs.push(run);
        }
    }
    runs.iter().map(|r| one(case, r)).collect()
}

/// A run that the choice replaces: its dents worked would cost more, with all that they share with others.
pub fn chosen(case: &Case, run: &RunId) -> Replacement {
    let (straight, new) = (straighten(case, run, &[]), replace(case, run));
    let why = if straight.stays > 0 { WhyReplaced::NoWay } else { WhyReplaced::Price };
    let because = if straight.stays > 0 {
        text!("{} of its dents cannot be removed by any method on hand", straight.stays)
    } else {
        text!(
            "a new one costs less than repairing this one, with what is open for other dents anyway. The repair alone is {}, a new one alone {}. Time, finish and the risk of a crack are counted in both",
            show_about(straight.money.value, &case.standards.currency),
            show_about(new.value, &case.standards.currency)
        )
    };
    Replacement { run: run.clone(), straighten_money: straight.money, replace_money: new, replace: true, why, because }
}

fn one(case: &Case, run: &RunId) -> Replacement {
    let rot: Vec<&Condition> = case.survey.conditions.iter().filter(|c| c.is_on(run) && c.kind == ConditionKind::RedRot).collect();
    let straight = straighten(case, run, &rot);
    let new = replace(case, run);
    let name = case.run_name(run);
    let metal = metal_reason(case, run, &rot);
    let blocked: Vec<Text> =
        holds(case.survey, run).iter().filter_map(|o| case.barred(o).map(|why| text!("{}: {}", case.opened_name(o), why))).collect();
    let possible = blocked.is_empty();
    let prices = text!(
        "straighten {}, replace {}",
        show_about(straight.money.value, &case.standards.currency),
        show_about(new.value, &case.standards.currency)
    );
    let (replace, why, because) = match case.overrules.replace(run) {
        Some((true, o)) if possible => (true, WhyReplaced::Decided, text!("{} ({})", o.words(), prices)),
        Some((false, o)) => (false, WhyReplaced::Decided, text!("{} ({})", o.words(), prices)),
        _ if !possible => (
            false,
            WhyReplaced::CannotComeOut,
            text!(
                "{} cannot be taken out: {}{}",
                name,
                Text::join(&blocked, "; "),
                metal.map(|m| text!(". It ought to be replaced, because {}", m)).unwrap_or_default()
            ),
        ),
        _ => match metal {
            Some(m) => (true, WhyReplaced::Metal, text!("{} is replaced, not straightened: {} ({}). {}", name, m, prices, RULE.text)),
            None if straight.stays > 0 => (
                true,
                WhyReplaced::NoWay,
                text!("{} of the dents of {} cannot be removed by any method on hand ({})", straight.stays, name, prices),
            ),
            None if new.value < straight.money.value => {
                (true, WhyReplaced::Price, text!("a new one costs less than this one made good ({})", prices))
            }
            None if rot.is_empty() => (false, WhyReplaced::Price, text!("the old one made good costs less ({})", prices)),
            None => {
                (false, WhyReplaced::Metal, text!("the rot is short and not through: patched over where it is, and watched ({})", prices))
            }
        },
    };
    Replacement { run: run.clone(), straighten_money: straight.money, replace_money: new, replace, why, because }
}

/// Why the metal itself asks for a new run.
fn metal_reason(case: &Case, run: &RunId, rot: &[&Condition]) -> Option<Text> {
    let length = case.run(run).map_or(0.0, instrument::Run::length_mm);
    if rot.iter().any(|c| c.through == Some(true)) {
        return Some("red rot goes through its wall".to_owned().into());
    }
    let long: f64 = rot.iter().filter_map(|c| Some((c.to_mm? - c.from_mm?).max(0.0))).sum();
    if length > 0.0 && long > LONG_ROT * length {
        return Some(text!("red rot runs over {} of its {}", mm(long, 0), mm(length, 0)));
    }
    let dents: Vec<&str> = case
        .dents_on(run)
        .filter(|d| case.assessment(&d.id).is_some_and(|a| a.advice == Advice::ReplaceRun))
        .map(|d| d.id.0.as_str())
        .collect();
    let because =
        case.dents_on(run).find_map(|d| case.assessment(&d.id).filter(|a| a.advice == Advice::ReplaceRun)).map(|a| &a.advice_because);
    because.map(|b| text!("dent {}: {}", dents.join(", "), b))
}

struct Straight {
    money: Figure,
    stays: usize,
}

fn straighten(case: &Case, run: &RunId, rot: &[&Condition]) -> Straight {
    let on_run =
        |id: &instrument::DentId| case.dent(id).is_some_and(|d| d.run == *run) && case.assessment(id).is_some_and(|a| case.level.wants(a));
    let conditions = |c: &Condition| c.is_on(run) && crate::mend::wanted(case, c);
    let model = Model::new(case, &Ask { dents: &on_run, conditions: &conditions, replaced: &[], may_replace: false, may_stay: false });
    let (mut minutes, mut variance, mut other, mut stays) = (0.0, 0.0, 0.0, 0);
    if let Some(s) = model.problem.solve() {
        minutes = model.minutes(&s);
        other = model.money(&s) - minutes * case.per_minute();
        for (d, w) in s.methods.iter().enumerate() {
            match w.map(|w| &model.takes[d][w]) {
                Some(Take::Work { work, .. }) => {
                    variance += [work.dent, work.crease, work.patch].iter().map(|m| m.sd().powi(2)).sum::<f64>()
                }
                Some(Take::Leave) if matches!(&model.dents[d], crate::model::Subject::Dent(id) if on_run(id)) => stays += 1,
                _ => {}
            }
        }
    }
    // Rot that is kept is patched over; where it goes through it leaks, and its patch is in the choice.
    let patch = case.standards.minutes_of(StepKind::Patch);
    let patches = rot.iter().filter(|c| c.through.is_none()).count();
    minutes += patches as f64 * patch.mean();
    variance += patches as f64 * patch.sd().powi(2);
    Straight { money: figure(case, "straighten", minutes, variance.sqrt(), other, 0.0), stays }
}

/// The same as what a spoiled run costs in the choice, with its spread.
fn replace(case: &Case, run: &RunId) -> Figure {
    let cost = crate::consequence::of_run(case, run).replaced;
    let times = holds(case.survey, run).into_iter().map(|o| case.standards.open_close(case.instrument(), &o));
    let all = times.flat_map(|oc| [oc.open, oc.close]).chain([fitting_minutes(case, run)]);
    let sd = all.map(|m: ThreePoint| m.sd().powi(2)).sum::<f64>().sqrt();
    figure(case, "replace", cost.minutes, sd, cost.other_money, cost.part_money)
}

fn figure(case: &Case, what: &str, minutes: f64, sd: f64, other: f64, part: f64) -> Figure {
    let inputs = [
        Known::new("minutes", minutes, sd, Unit::Min, Origin::Computed),
        Known::new("labor per minute", case.per_minute(), 0.0, Unit::Money, Origin::Shop),
        Known::new("finish, heat risk, crack risk, traces", other, 0.0, Unit::Money, Origin::Computed),
        // A price asked by telephone moves: a tenth either way. Common practice, no source.
        Known::new("price of the part", part, 0.1 * part, Unit::Money, Origin::Shop),
    ];
    Figure::derive(
        Unit::Money,
        format!("{what}: minutes × labor per minute + finish and risks + price of the part"),
        Source::own_model("expected cost as in the plan's choice"),
        &inputs,
        |x| x[0] * x[1] + x[2] + x[3],
    )
}
