//! What it costs to open something and to close it again.

use crate::case::Case;
use crate::heats::Moved;
use reach::Opened;

/// The shop's minutes for a heat hold this much of burning flame, s; what a large joint or a small torch asks beyond it comes
/// on top. Common practice, no source.
const USUAL_FLAME_S: f64 = 60.0;

/// A part that a heat softens although it must stay hard loses this share of its price. Common practice, no source.
pub const SOFTENED_PART: f64 = 0.05;

/// Minutes of flame beyond the usual.
pub fn flame_min(burned_s: f64) -> f64 {
    (burned_s - USUAL_FLAME_S).max(0.0) / 60.0
}

/// Minutes of opening and closing something, without setting up its two heats.
pub fn opening_min(case: &Case, what: &Opened) -> f64 {
    if case.by_hand(what) {
        return 0.0;
    }
    let oc = case.standards.open_close(case.instrument(), what);
    let setups = if case.filler(what).is_some() { 2.0 * case.standards.heat_setup.mean() } else { 0.0 };
    // Once to open, once to close.
    let flames = case.heats.solder_flame(what).map_or(0.0, |f| 2.0 * flame_min(case.heats.warm(&f, Moved::None).burned_s));
    (oc.open.mean() + oc.close.mean() - setups).max(0.0) + flames
}

/// Cost of opening and closing something: time, finish, heat risk; without setting up its heats.
pub fn opening_money(case: &Case, what: &Opened) -> f64 {
    let mut cost = opening_min(case, what) * case.per_minute();
    if let (Some(filler), Some(f)) = (case.filler(what), case.heats.solder_flame(what)) {
        cost += case.heats.warm(&f, Moved::None).spoiled_all_mm() * case.standards.finish_per_mm.max(0.0);
        for t in case.touches(what) {
            if let Some(run) = case.run(&t.run) {
                let hard = if !filler.is_soft() && run.role.must_stay_hard() { SOFTENED_PART } else { 0.0 };
                // Twice: to open and to close.
                cost += (2.0 * case.standards.heat_risk.clamp(0.0, 1.0) + hard) * case.part_price(&t.run);
            }
        }
    }
    cost
}
