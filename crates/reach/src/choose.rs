//! Which methods are worth showing: those that no other way of the same kind beats in everything, best first.

use crate::MethodKind;
use crate::bench::tool_minutes;
use crate::method::{Method, Rejected, ToolChoice};
use crate::openings::usual_minutes;
use instrument::Instrument;

/// Minutes that a spoilt part and an untrue result are taken for, so that methods can be put in an order. Common
/// practice, no source; the plan uses the shop's own prices.
const SPOILT_MIN: f64 = 240.0;
const UNTRUE_MIN: f64 = 60.0;

/// Expected minutes of a method with all that it opens, for the order.
pub fn score(method: &Method, instrument: &Instrument) -> f64 {
    let opens: f64 = method.opens.iter().map(|o| usual_minutes(o, instrument)).sum();
    method.minutes.mean()
        + tool_minutes(&method.tool).mean()
        + opens
        + SPOILT_MIN * method.risk
        + UNTRUE_MIN * (1.0 - method.finish_quality)
}

/// By how much the plan may stretch or shorten the minutes of a method that does not count its strokes (`plan::effort`).
pub const STRETCHED: (f64, f64) = (0.6, 1.7);

/// Whether the tools that a asks to be made cost no more than those of b, whichever others are made besides.
fn no_dearer_tools(a: &Method, b: &Method) -> bool {
    let eased = a.force_hand_n.value * b.force_limit_n <= b.force_hand_n.value * a.force_limit_n * (1.0 + 1e-9);
    match (&a.tool, &b.tool) {
        (ToolChoice::Rack { .. }, _) => true,
        // The same tool; another's in its place must bear no more for a than for b.
        (ToolChoice::ToMake { make: x, .. }, ToolChoice::ToMake { make: y, .. }) => x.same_pieces(y) && eased,
        (ToolChoice::ToMake { .. }, ToolChoice::Rack { .. }) => false,
    }
}

/// Whether no plan costs more with a than with b in its place: at most as much to open, to wait for and to make, at most the
/// minutes at either end, at most the risk, at least as true. A stud's flame and a bend's fill cost besides, so that these two
/// dominate their own kind only.
pub fn dominates(a: &Method, b: &Method) -> bool {
    let (least, most) = match (a.strokes.is_some(), b.strokes.is_some()) {
        (true, false) => (1.0, STRETCHED.0),
        (false, true) => (STRETCHED.1, 1.0),
        _ => (1.0, 1.0),
    };
    let sooner = |x: f64, y: f64| least * x <= most * y + 1e-9;
    (a.kind == b.kind || !matches!(a.kind, MethodKind::PullOutside | MethodKind::FilledBend))
        && no_dearer_tools(a, b)
        && a.opens.iter().all(|o| b.opens.contains(o))
        // What is worked with a guard left on does not stand for what is worked with it off: it may come off for another dent.
        && a.stays_on().iter().all(|o| b.stays_on().contains(o))
        && a.after.iter().all(|d| b.after.contains(d))
        && sooner(a.minutes.least, b.minutes.least)
        && sooner(a.minutes.likely, b.minutes.likely)
        && sooner(a.minutes.most, b.minutes.most)
        && a.risk <= b.risk + 1e-9
        && a.finish_quality >= b.finish_quality - 1e-9
}

/// The methods that none dominates, best first; the best of each method stays, to be chosen by hand.
pub fn best_first(methods: Vec<Method>, instrument: &Instrument) -> Vec<Method> {
    let mut scored: Vec<(f64, Method)> = methods.into_iter().map(|w| (score(&w, instrument), w)).collect();
    scored.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut all: Vec<Method> = Vec::with_capacity(scored.len());
    for (_, method) in scored {
        let first = all.iter().all(|k| k.kind != method.kind);
        if first || !all.iter().any(|k| dominates(k, &method)) {
            // What is worse in the order may still dominate what came before: of the same method one is enough.
            all.retain(|k| k.kind != method.kind || !dominates(&method, k));
            all.push(method);
        }
    }
    all
}

/// Reasons shown per method at most: the nearest openings; how many further ones there are is said.
const MOST_REASONS: usize = 3;

/// The reasons worth reading: per method the nearest openings (they come nearest first, one side after the
/// other), the rest counted.
pub fn nearest_reasons(all: Vec<Rejected>) -> Vec<Rejected> {
    let mut kept: Vec<Rejected> = Vec::new();
    let mut further: Vec<(MethodKind, usize)> = Vec::new();
    for r in all {
        if kept.iter().filter(|k| k.kind == r.kind).count() < MOST_REASONS {
            kept.push(r);
        } else {
            match further.iter_mut().find(|f| f.0 == r.kind) {
                Some(f) => f.1 += 1,
                None => further.push((r.kind, 1)),
            }
        }
    }
    for (method, n) in further {
        if let Some(last) = kept.iter_mut().rev().find(|k| k.kind == method) {
            last.because += format!(" (nor from {n} openings further off)");
        }
    }
    kept
}
