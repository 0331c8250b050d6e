//! What a guard that stays on saves, or one that comes off costs.

use crate::case::Case;
use crate::model::{Model, Take};
use instrument::OverlayId;
use reach::{Method, Opened};

/// What it would cost to take off what stays on over a dent, or to leave on what comes off: "; with the guard off it would cost 45 more".
/// `now`: cost of a way of the dent with what is open.
pub fn on_or_off(case: &Case, model: &Model, dent: usize, method: &Method, own: f64, now: impl Fn(usize) -> f64) -> Option<String> {
    let other = |v: usize| match &model.takes[dent][v] {
        Take::Work { method: m, .. } if m.stays_on() != method.stays_on() => Some((now(v), m.stays_on())),
        _ => None,
    };
    let others = (0..model.takes[dent].len()).filter_map(other).filter(|(cost, _)| cost.is_finite() && *cost >= own);
    let (cost, on) = others.min_by(|a, b| a.0.total_cmp(&b.0))?;
    let named = |all: &[OverlayId]| {
        let names: Vec<String> = all.iter().map(|o| case.opened_name(&Opened::Overlay(o.clone()))).collect();
        names.join(" and ")
    };
    let with = if on.is_empty() { format!("{} off", named(method.stays_on())) } else { format!("{} left on", named(on)) };
    Some(format!("; with {with} it would cost {:.0} more", cost - own))
}
