//! The bench card. Page one stands alone: hours, the instrument's picture, what comes apart, the heats, the setups, the tools. Then a
//! sheet for each setup: one drawing with all its dents, and a row for each step. Why it is so stands in [`crate::reasons`].

mod cautions;
mod front;
mod front_page;
mod heat;
pub(crate) mod pages;
#[cfg(test)]
mod pages_test;
mod sheet_rows;
mod sheets;
pub(crate) mod words;

pub(crate) use front::setups_in_order;
pub(crate) use heat::{NEAR_DEGC, away};

use crate::job_view::JobView;
use crate::look::{About, sheet};
use crate::typeset::{Body, Made, ReportError};
use front::Front;
use plan::Caution;
use sheets::Sheet;
use units::LengthUnit;

/// What stands on a bench card.
pub(crate) struct Card {
    pub(super) about: About,
    pub(super) unit: LengthUnit,
    pub(super) agreed: String,
    pub(super) customer: String,
    pub(super) surveyed: String,
    pub(super) front: Front,
    pub(super) sheets: Vec<Sheet>,
    /// The cautions of all steps, in their order.
    pub(super) cautions: Vec<Caution>,
    pub(super) not_done_title: &'static str,
    pub(super) not_done: Vec<NotDone>,
    pub(super) replacements: Vec<Replacement>,
}

/// What is not done.
pub(super) struct NotDone {
    pub(super) what: String,
    pub(super) because: String,
    /// The tool that it would take; empty where none would help.
    pub(super) make: String,
}

/// A part that is replaced, or nearly.
pub(super) struct Replacement {
    pub(super) head: String,
    pub(super) because: String,
}

/// The bench card as PDF.
///
/// # Errors
/// Where the paper cannot be set: a defect of the program.
pub fn bench_card_pdf(job: &JobView) -> Result<Vec<u8>, ReportError> {
    made(job).pdf()
}

pub(crate) fn made(job: &JobView) -> Made {
    let card = card(job);
    Made { about: card.about.clone(), body: Body::Card(Box::new(card)) }
}

/// Width and height that may be printed on, mm.
pub(crate) fn page_mm(job: &JobView) -> (f64, f64) {
    sheet(job.paper).printed_mm()
}

pub(crate) fn card(job: &JobView) -> Card {
    let (survey, plan) = (job.survey, job.plan);
    let (width, _) = page_mm(job);
    let marks = draw::marks(survey, plan);
    let replacement = |r: &plan::Replacement| {
        let name = survey.instrument.run(&r.run).map_or(r.run.0.as_str(), |x| x.name.as_str());
        let money = |f: &units::Figure| format!("{}{:.0}", job.shop.currency, f.value);
        let head = words::replacement(name, r.replace, &money(&r.straighten_money), &money(&r.replace_money));
        Replacement { head, because: words::sentence(&job.say(&r.because)) }
    };
    Card {
        about: About {
            name: "bench card",
            kind: words::KIND.to_owned(),
            title: words::title(survey).to_owned(),
            instrument: words::instrument_line(survey),
            shop: job.shop.name.clone(),
            footer: words::footer(&job.shop.name),
            paper: job.paper,
        },
        unit: job.unit,
        agreed: job.agreed.unwrap_or_default().to_owned(),
        customer: if survey.customer.is_empty() { String::new() } else { words::customer(&survey.customer) },
        surveyed: words::surveyed(&survey.surveyor, &survey.date),
        front: front::front(job, &marks, width),
        sheets: sheets::sheets(job, &marks, width),
        cautions: Caution::ALL.into_iter().filter(|c| plan.steps.iter().any(|s| s.cautions.contains(c))).collect(),
        not_done_title: words::not_done_title(job.agreed.is_some()),
        not_done: plan
            .not_done
            .iter()
            .map(|n| NotDone {
                what: words::capital(&job.say(&n.what)),
                because: words::sentence(&job.say(&n.because)),
                make: n.make.as_ref().map_or(String::new(), |m| words::would_take(&job.say(&m.words()))),
            })
            .collect(),
        replacements: plan.replacements.iter().map(replacement).collect(),
    }
}
