//! Which measurement would narrow the time most.

use crate::case::Case;
use crate::effort::{Spread, force_factor, widen};
use crate::outcome::WorthMeasuring;
use crate::step::{Step, StepKind};
use crate::steps::chosen::Chosen;
use units::figure::Z90;

/// Less than this is not listed, minutes.
const LEAST_MIN: f64 = 0.05;

/// For each measurement that nobody took (or only by eye, or only from a pattern): how far taking it would narrow the 90 %
/// interval of the time on the instrument, minutes; the most useful first. Steps are taken as independent here; the quote adds how
/// they go together.
pub fn worth_measuring(case: &Case, chosen: &Chosen, steps: &[Step]) -> Vec<WorthMeasuring> {
    let total: f64 = steps.iter().filter(|s| s.kind != StepKind::MakeTool).map(|s| s.minutes.sd().powi(2)).sum();
    let mut all = Vec::new();
    for w in &chosen.worked {
        let Some(a) = case.assessment(&w.dent) else { continue };
        let spread = Spread::of(a);
        let minutes = w.method.minutes.times(force_factor(w.method, a));
        let wide = widen(minutes, spread.log_sd()).sd().powi(2);
        for what in spread.measurable.keys() {
            let narrow = widen(minutes, spread.log_sd_with(what)).sd().powi(2);
            let narrows = 2.0 * Z90 * (total.sqrt() - (total - wide + narrow).max(0.0).sqrt());
            if narrows > LEAST_MIN {
                all.push(WorthMeasuring { dent: Some(w.dent.clone()), what: what.clone().into(), narrows_min: narrows });
            }
        }
    }
    all.sort_by(|a, b| b.narrows_min.total_cmp(&a.narrows_min));
    all
}
