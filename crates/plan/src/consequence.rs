//! What follows where the work starts a crack in a run or spoils it, reckoned in one place: the choice weighs it, the price of replacing
//! shows it, the quote tells it to the customer.

use crate::aftermath::{Aftermath, Aftermaths, Odds};
use crate::case::Case;
use crate::holds::holds;
use crate::opening_price::{opening_min, opening_money};
use crate::step_kind::StepKind;
use instrument::{Role, RunId};

/// What a crack costs that the work starts on a run, money: stopped and patched where a patch may lie on it, or the run replaced,
/// whichever is less.
pub fn crack_money(case: &Case, run: &RunId) -> f64 {
    of_run(case, run).crack.money(case.per_minute())
}

/// What a run costs that the work spoils, money: a new one, fitted, with what must be opened and closed for it.
pub fn replace_money(case: &Case, run: &RunId) -> f64 {
    of_run(case, run).replaced.money(case.per_minute())
}

/// What follows where a run cracks, and where it is spoiled.
pub fn of_run(case: &Case, run: &RunId) -> Aftermaths {
    case.kept_consequence(run, || {
        let replaced = replaced(case, run);
        let s = case.standards;
        let patch = Aftermath {
            patched: true,
            minutes: s.minutes_of(StepKind::StabiliseCrack).mean() + s.minutes_of(StepKind::Patch).mean(),
            part_money: 0.0,
            other_money: s.untrue_place.max(0.0),
        };
        let rate = case.per_minute();
        let patched = case.run(run).is_some_and(|r| may_be_patched(r.role)) && patch.money(rate) <= replaced.money(rate);
        Aftermaths { crack: if patched { patch } else { replaced }, replaced }
    })
}

/// What may go wrong in the work on a dent of a run: the likelihoods of a crack and of a spoiled part, and what follows, as they weigh in
/// the choice.
pub fn odds(case: &Case, run: &RunId, crack: f64, spoiled: f64) -> Odds {
    let then = of_run(case, run);
    Odds { crack, if_cracks: then.crack, spoiled: spoiled.clamp(0.0, 1.0), if_spoiled: then.replaced }
}

/// A new run in the place of one, with all that is opened and closed for it: the time, the part, and what else that costs (ordering and
/// finishing it, what the flames of the openings burn and risk).
fn replaced(case: &Case, run: &RunId) -> Aftermath {
    let fitting =
        case.run(run).map_or_else(|| case.standards.minutes_of(StepKind::ReplaceRun), |r| case.standards.minutes_of_replacing(r.role));
    let part_money = case.part_price(run);
    let (mut minutes, mut other_money) = (fitting.mean(), case.new_part_money(run) - part_money);
    for o in holds(case.survey, run) {
        let oc = case.standards.open_close(case.instrument(), &o);
        minutes += oc.open.mean() + oc.close.mean();
        other_money += opening_money(case, &o) - opening_min(case, &o) * case.per_minute();
    }
    Aftermath { patched: false, minutes, part_money, other_money }
}

/// Whether a crack may be closed with a patch: not where something slides or turns, nor on a rim. Common practice, no source.
pub fn may_be_patched(role: Role) -> bool {
    !matches!(
        role,
        Role::Casing
            | Role::Piston
            | Role::TuningSlideInner
            | Role::TuningSlideOuter
            | Role::HandSlideInner
            | Role::HandSlideOuter
            | Role::Rim
    )
}
