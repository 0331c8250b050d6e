//! The papers of a job as PDF.

use crate::problem::{Outcome, Problem};
use crate::tell::Tell;
use job::Job;
use quote::Quote;
use report::{JobView, Paper};

/// The bench card.
///
/// # Errors
/// Where the typesetting fails.
pub fn bench_card(job: &Job, tell: Tell) -> Outcome<Vec<u8>> {
    report::bench_card_pdf(&view(job, tell)).map_err(|e| Problem::Broken(format!("typesetting: {e}")))
}

/// A quote, as given or as it stands now.
///
/// # Errors
/// Where the typesetting fails.
pub fn quote(job: &Job, quote: &Quote, tell: Tell) -> Outcome<Vec<u8>> {
    let view = JobView { quote, ..view(job, tell) };
    report::quote_pdf(&view).map_err(|e| Problem::Broken(format!("typesetting: {e}")))
}

/// Inches go with Letter paper.
fn view(job: &Job, tell: Tell) -> JobView<'_> {
    JobView::of(job, tell.0, if tell.inches() { Paper::Letter } else { Paper::A4 })
}
