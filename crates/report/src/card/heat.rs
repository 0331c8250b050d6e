//! The heats on the card: in one line for page one, in full beside the step.

use super::words as card;
use crate::job_view::JobView;
use crate::words;
use plan::{Heat, HeatNeighbour};
use units::LengthUnit;
use units::length::{MM_PER_INCH, show_length};
use units::temperature::{show_temperature, temperature_digits};

/// Neighbors that stay so much cooler than they bear, °C, are counted and not named. Common practice, no source.
pub(crate) const NEAR_DEGC: f64 = 60.0;

/// A length by which a flame is led: to the millimeter or the sixteenth of an inch.
fn led(mm: f64, unit: LengthUnit) -> String {
    let step = match unit {
        LengthUnit::Mm => 1.0,
        LengthUnit::Inch => MM_PER_INCH / 16.0,
    };
    show_length(step * (mm / step).round(), unit)
}

/// How far away a neighbor is; one that the flame touches is beside it.
pub(crate) fn away(mm: f64, unit: LengthUnit) -> String {
    if mm < 0.5 { card::BESIDE_THE_FLAME.to_owned() } else { led(mm, unit) }
}

/// Seconds to the nearest ten: no torch is led more finely.
fn tens(x: f64) -> f64 {
    10.0 * (x / 10.0).round()
}

/// What is protected in some heats and how far away it is: each neighbor once, at its least distance.
pub(super) fn protect(job: &JobView, heats: &[&Heat]) -> String {
    let named = |wanted: &dyn Fn(&HeatNeighbour) -> bool| -> Vec<String> {
        let mut found: Vec<(String, f64)> = Vec::new();
        for n in heats.iter().flat_map(|h| &h.neighbours).filter(|n| wanted(n)) {
            let name = words::opened(job.survey, &n.what).0;
            match found.iter_mut().find(|(f, _)| *f == name) {
                Some((_, mm)) => *mm = mm.min(n.distance_mm),
                None => found.push((name, n.distance_mm)),
            }
        }
        found.iter().map(|(name, mm)| format!("{name} {}", away(*mm, job.unit))).collect()
    };
    let bind = named(&|n| n.too_close);
    let cool: Vec<String> = named(&|n| n.sink && !n.too_close);
    let mut parts = Vec::new();
    if !cool.is_empty() {
        parts.push(card::cool(&cool));
    }
    if !bind.is_empty() {
        parts.push(card::bind(&bind));
    }
    if heats.iter().any(|h| h.too_weak.is_some()) {
        parts.push(card::TORCH_TOO_SMALL.to_owned());
    }
    if parts.is_empty() { card::NOTHING_MELTS.to_owned() } else { parts.join("; ") }
}

/// A heat that another step has told in full, in one line.
pub(super) fn again(job: &JobView, h: &Heat, as_in: u32) -> String {
    card::heat_again(&show_temperature(h.target_degc, job.unit), &led(h.at_mm, job.unit), &protect(job, &[h]), as_in)
}

/// A heat in full.
/// `temper`: what it does to the temper is said too.
pub(super) fn lines(job: &JobView, h: &Heat, temper: bool) -> Vec<String> {
    let unit = job.unit;
    let mut out = Vec::new();
    let mut first = format!("Heat to {} at {}.", show_temperature(h.target_degc, unit), led(h.at_mm, unit));
    if let Some(s) = &h.flame_s {
        first.push_str(&format!(" Flame about {:.0} s ({:.0} to {:.0}), {}.", tens(s.value), tens(s.low), tens(s.high), h.torch));
    }
    if let Some(w) = &h.too_weak {
        first.push_str(&format!(
            " The torch brings it to {} only: take one of about {:.0} W or more.",
            show_temperature(w.got_degc, unit),
            w.wants_w
        ));
    }
    out.push(first);
    // Those that come near melting or want a sink are named; the rest is counted.
    let (near, far): (Vec<_>, Vec<_>) =
        h.neighbours.iter().partition(|n| n.sink || n.too_close || n.temperature_degc.high > n.melts_at_degc - NEAR_DEGC);
    for n in near {
        let (name, held) = words::opened(job.survey, &n.what);
        let action = match (n.too_close, n.resoldered_by, n.sink) {
            (true, Some(step), _) => format!("Bind it with wire, it lets go; step {step} solders it again."),
            (true, None, _) => "Bind it with wire, it lets go.".to_owned(),
            (false, _, true) => "Heat sink or wet cloth between.".to_owned(),
            _ => "Watch it.".to_owned(),
        };
        let t = &n.temperature_degc;
        out.push(format!(
            "{} ({held}), {}: about {} ({} to {}), melts from {}. {action}",
            card::capital(&name),
            if n.distance_mm < 0.5 { card::BESIDE_THE_FLAME.to_owned() } else { format!("{} away", led(n.distance_mm, unit)) },
            show_temperature(t.value, unit),
            temperature_digits(t.low, unit),
            temperature_digits(t.high, unit),
            show_temperature(n.melts_at_degc, unit),
        ));
    }
    let mut last = Vec::new();
    if let Some(hottest) = far.iter().map(|n| n.temperature_degc.value).reduce(f64::max) {
        last.push(format!("Everything else nearby stays below {}.", show_temperature(hottest + 5.0, unit)));
    }
    if let Some(at) = h.sink_at_mm {
        last.push(format!("Heat sink {} from the flame.", led(at, unit)));
    }
    if h.finish_burns_mm.value >= 0.5 {
        last.push(format!("The finish burns for about {} on either side.", led(h.finish_burns_mm.value, unit)));
    }
    if temper && !h.temper_note.is_empty() {
        last.push(card::sentence(&job.say(&h.temper_note)));
    }
    if !last.is_empty() {
        out.push(last.join(" "));
    }
    out
}
