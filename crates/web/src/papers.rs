//! The papers of a job as PDF.

use crate::planned::Planned;
use crate::problem::{Outcome, Problem};
use crate::unit_format::UnitFormat;
use crate::when;
use job::Job;
use plan::Plan;
use quote::{Quote, Supplement};
use reach::ToolPiece;
use report::{JobView, Paper, Signed, SupplementView};

/// The bench card; `agreed`: what the customer said yes to, in one line; `here`: its plan without the tools that other jobs
/// make; `elsewhere`: these, each with where it comes from.
///
/// # Errors
/// Where the typesetting fails.
pub fn bench_card(
    job: &Planned,
    agreed: Option<&str>,
    here: &Plan,
    elsewhere: &[(ToolPiece, String)],
    fmt: UnitFormat,
) -> Outcome<Vec<u8>> {
    let view = JobView { agreed, worth: Some(job.worth_knowing()), plan: here, made_elsewhere: elsewhere, ..view(job, fmt) };
    report::bench_card_pdf(&view).map_err(|e| Problem::Broken(format!("typesetting: {e}")))
}

/// The reasons behind the bench card; `here`: its plan without the tools that other jobs make, whose reasons stand there.
///
/// # Errors
/// Where the typesetting fails.
pub fn reasons(job: &Planned, agreed: Option<&str>, here: &Plan, fmt: UnitFormat) -> Outcome<Vec<u8>> {
    let view = JobView { agreed, worth: Some(job.worth_knowing()), plan: here, ..view(job, fmt) };
    report::reasons_pdf(&view).map_err(|e| Problem::Broken(format!("typesetting: {e}")))
}

/// A quote as it is signed; `until`: the last day on which it holds.
///
/// # Errors
/// Where the typesetting fails.
pub fn signed_quote(job: &Job, quote: &Quote, until: Option<&str>, signed: &Signed, fmt: UnitFormat) -> Outcome<Vec<u8>> {
    let valid_until = until.map(when::day_words);
    let view = JobView { quote, valid_until: valid_until.as_deref(), ..view(job, fmt) };
    report::signed_quote_pdf(&view, signed).map_err(|e| Problem::Broken(format!("typesetting: {e}")))
}

/// A supplement, before or as it is signed; `agreed`: what it adds to, in one line.
///
/// # Errors
/// Where the typesetting fails.
pub fn supplement(job: &Job, supplement: &Supplement, agreed: &str, signed: Option<Signed>, fmt: UnitFormat) -> Outcome<Vec<u8>> {
    let i = &job.survey.instrument;
    let instrument = [&i.maker, &i.model].into_iter().filter(|w| !w.is_empty()).cloned().collect::<Vec<_>>().join(" ");
    let instrument = if instrument.is_empty() { "instrument".to_owned() } else { instrument };
    let paper = paper(fmt);
    let view = SupplementView { supplement, instrument: &instrument, customer: &job.survey.customer, agreed, paper, signed };
    report::supplement_pdf(&view).map_err(|e| Problem::Broken(format!("typesetting: {e}")))
}

/// A quote, as given or as it stands now; `until`: the last day on which it holds, where it was given.
///
/// # Errors
/// Where the typesetting fails.
pub fn quote(job: &Job, quote: &Quote, until: Option<&str>, fmt: UnitFormat) -> Outcome<Vec<u8>> {
    let valid_until = until.map(when::day_words);
    let view = JobView { quote, valid_until: valid_until.as_deref(), ..view(job, fmt) };
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
