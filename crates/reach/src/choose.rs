//! Which ways are worth showing: those that no other way of the same kind beats in everything, best first.

use crate::Method;
use crate::bench::tool_minutes;
use crate::openings::usual_minutes;
use crate::way::{RuledOut, ToolChoice, Way};
use instrument::Instrument;

/// Ways per dent at most; the plan chooses among these.
pub const MOST_WAYS: usize = 24;

/// Minutes that a spoilt part and an untrue result are taken for, so that ways can be put in an order. Common
/// practice, no source; the plan uses the shop's own prices.
const SPOILT_MIN: f64 = 240.0;
const UNTRUE_MIN: f64 = 60.0;

/// Expected minutes of a way with all that it opens, for the order.
pub fn score(way: &Way, instrument: &Instrument) -> f64 {
    let opens: f64 = way.opens.iter().map(|o| usual_minutes(o, instrument)).sum();
    way.minutes.mean() + tool_minutes(&way.tool).mean() + opens + SPOILT_MIN * way.risk + UNTRUE_MIN * (1.0 - way.truth)
}

fn from_rack(way: &Way) -> bool {
    matches!(way.tool, ToolChoice::Rack { .. })
}

/// Whether a is at least as good as b in everything that the plan weighs.
fn beats(a: &Way, b: &Way) -> bool {
    (from_rack(a) || !from_rack(b))
        && a.opens.iter().all(|o| b.opens.contains(o))
        && a.after.iter().all(|d| b.after.contains(d))
        && a.minutes.mean() <= b.minutes.mean() + 1e-9
        && a.risk <= b.risk + 1e-9
        && a.truth >= b.truth - 1e-9
}

/// The ways that are not beaten, best first.
pub fn best_first(ways: Vec<Way>, instrument: &Instrument) -> Vec<Way> {
    let mut kept: Vec<Way> = Vec::new();
    for way in ways {
        if kept.iter().any(|k| k.method == way.method && beats(k, &way)) {
            continue;
        }
        kept.retain(|k| k.method != way.method || !beats(&way, k));
        kept.push(way);
    }
    let mut scored: Vec<(f64, Way)> = kept.into_iter().map(|w| (score(&w, instrument), w)).collect();
    scored.sort_by(|a, b| a.0.total_cmp(&b.0));
    // The best of each method stays in the list to be chosen by hand; for its others nothing more is opened than for a
    // way of another method that is as good.
    let mut all: Vec<Way> = Vec::with_capacity(scored.len());
    for (_, way) in scored {
        let first = all.iter().all(|k| k.method != way.method);
        if first || !all.iter().any(|k| k.opens.len() < way.opens.len() && beats(k, &way)) {
            all.push(way);
        }
    }
    if all.len() > MOST_WAYS {
        // The last resort stays in the list whatever its place.
        let last = all.iter().position(|w| w.method == Method::PullOutside).filter(|i| *i >= MOST_WAYS).map(|i| all.remove(i));
        all.truncate(MOST_WAYS - last.iter().count());
        all.extend(last);
    }
    all
}

/// Reasons shown per way at most: the nearest openings; how many further ones there are is said.
const MOST_REASONS: usize = 3;

/// The reasons worth reading: per method the nearest openings (they come nearest first, one side after the
/// other), the rest counted.
pub fn nearest_reasons(all: Vec<RuledOut>) -> Vec<RuledOut> {
    let mut kept: Vec<RuledOut> = Vec::new();
    let mut further: Vec<(Method, usize)> = Vec::new();
    for r in all {
        if kept.iter().filter(|k| k.method == r.method).count() < MOST_REASONS {
            kept.push(r);
        } else {
            match further.iter_mut().find(|f| f.0 == r.method) {
                Some(f) => f.1 += 1,
                None => further.push((r.method, 1)),
            }
        }
    }
    for (method, n) in further {
        if let Some(last) = kept.iter_mut().rev().find(|k| k.method == method) {
            last.because.push_str(&format!(" (nor from {n} openings further off)"));
        }
    }
    kept
}
