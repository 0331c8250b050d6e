//! The papers of a job as PDF.

use crate::problem::{Outcome, Problem};
use job::Job;
use quote::Quote;
use report::{JobView, Paper};
use units::LengthUnit;

/// The bench card.
///
/// # Errors
/// Where the typesetting fails.
pub fn bench_card(job: &Job) -> Outcome<Vec<u8>> {
    report::bench_card_pdf(&JobView::of(job, LengthUnit::Mm, Paper::A4)).map_err(|e| Problem::Broken(format!("typesetting: {e}")))
}

/// A quote, as given or as it stands now.
///
/// # Errors
/// Where the typesetting fails.
pub fn quote(job: &Job, quote: &Quote) -> Outcome<Vec<u8>> {
    let view = JobView { quote, ..JobView::of(job, LengthUnit::Mm, Paper::A4) };
    report::quote_pdf(&view).map_err(|e| Problem::Broken(format!("typesetting: {e}")))
}
