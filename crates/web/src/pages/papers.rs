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
    report::bench_card_pdf(&view(job)).map_err(|e| Problem::Broken(format!("typesetting: {e}")))
}

/// A quote, as given or as it stands now.
///
/// # Errors
/// Where the typesetting fails.
pub fn quote(job: &Job, quote: &Quote) -> Outcome<Vec<u8>> {
    report::quote_pdf(&view(job), quote).map_err(|e| Problem::Broken(format!("typesetting: {e}")))
}

fn view(job: &Job) -> JobView<'_> {
    JobView {
        survey: &job.survey,
        assessments: &job.assessments,
        ways: &job.ways,
        plan: &job.plan,
        rack: &job.rack,
        shop: &job.shop,
        unit: LengthUnit::Mm,
        paper: Paper::A4,
    }
}
