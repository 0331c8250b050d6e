//! The papers of a job as PDF.

use crate::problem::{Outcome, Problem};
use crate::unit_format::UnitFormat;
use job::Job;
use quote::Quote;
use report::{JobView, Paper};

/// The bench card.
///
/// # Errors
/// Where the typesetting fails.
pub fn bench_card(job: &Job, fmt: UnitFormat) -> Outcome<Vec<u8>> {
    report::bench_card_pdf(&view(job, fmt)).map_err(|e| Problem::Broken(format!("typesetting: {e}")))
}

/// A quote, as given or as it stands now.
///
/// # Errors
/// Where the typesetting fails.
pub fn quote(job: &Job, quote: &Quote, fmt: UnitFormat) -> Outcome<Vec<u8>> {
    let view = JobView { quote, ..view(job, fmt) };
    report::quote_pdf(&view).map_err(|e| Problem::Broken(format!("typesetting: {e}")))
}

/// An invoice.
///
/// # Errors
/// Where the typesetting fails.
pub fn invoice(invoice: &report::Invoice, fmt: UnitFormat) -> Outcome<Vec<u8>> {
    report::invoice_pdf(invoice, paper(fmt)).map_err(|e| Problem::Broken(format!("typesetting: {e}")))
}

/// Inches go with Letter paper.
fn paper(fmt: UnitFormat) -> Paper {
    if fmt.inches() { Paper::Letter } else { Paper::A4 }
}

fn view(job: &Job, fmt: UnitFormat) -> JobView<'_> {
    JobView::of(job, fmt.0, paper(fmt))
}
