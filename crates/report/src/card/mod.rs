//! The bench card. Page one stands alone: hours, the instrument's picture, what comes apart, the heats, the setups, the tools. Then a
//! sheet for each setup: one drawing with all its dents, and a row for each step. Why it is so stands in [`crate::reasons`].

mod front;
mod heat;
#[cfg(test)]
mod pages_test;
mod sheets;
pub(crate) mod words;

pub(crate) use front::setups_in_order;
pub(crate) use heat::{NEAR_DEGC, away};

use crate::job_view::JobView;
use crate::typeset::{Pictures, ReportError, pdf};
use plan::Caution;
use serde_json::{Map, Value, json};

/// Margins of the papers, mm: left and right; top and bottom together (`templates/common.typ`).
const MARGINS_MM: (f64, f64) = (26.0, 26.0);

/// The bench card as PDF.
///
/// # Errors
/// Where the typesetter refuses the template: a defect of the program.
pub fn bench_card_pdf(job: &JobView) -> Result<Vec<u8>, ReportError> {
    let (data, pictures) = data(job);
    pdf("bench card", TEMPLATE, &data, pictures)
}

pub(crate) const TEMPLATE: &str = include_str!("../../templates/bench_card.typ");

/// Width and height that may be printed on, mm.
pub(crate) fn page_mm(job: &JobView) -> (f64, f64) {
    let (w, h) = job.paper.size_mm();
    (w - MARGINS_MM.0, h - MARGINS_MM.1)
}

pub(crate) fn data(job: &JobView) -> (Value, Pictures) {
    let (survey, plan) = (job.survey, job.plan);
    let (width, height) = page_mm(job);
    let marks = draw::marks(survey, plan);
    let mut pictures = Pictures::default();
    let front = front::front(job, &marks, width, &mut pictures);
    let sheets = sheets::sheets(job, &marks, width, &mut pictures);
    let cautions: Map<String, Value> = Caution::ALL
        .into_iter()
        .filter(|c| plan.steps.iter().any(|s| s.cautions.contains(c)))
        .map(|c| (words::caution_key(c), json!({ "name": words::capital(c.name()), "words": c.text() })))
        .collect();
    let mut data = json!({
        "kind": words::KIND,
        "paper": job.paper.name(),
        "page_mm": [width, height],
        "title": words::title(survey),
        "instrument": words::instrument_line(survey),
        "shop": job.shop.name,
        "agreed": job.agreed.unwrap_or_default(),
        "not_done_title": words::not_done_title(job.agreed.is_some()),
        "customer": if survey.customer.is_empty() { String::new() } else { words::customer(&survey.customer) },
        "surveyed": words::surveyed(&survey.surveyor, &survey.date),
        "footer": words::footer(&job.shop.name),
        "sheets": sheets,
        "cautions": cautions,
        "not_done": plan.not_done.iter().map(|n| json!({
            "what": words::capital(&job.say(&n.what)),
            "because": words::sentence(&job.say(&n.because)),
            "make": n.make.as_ref().map_or(String::new(), |m| words::would_take(&job.say(&m.words()))),
        })).collect::<Vec<_>>(),
        "replacements": plan.replacements.iter().map(|r| {
            let name = survey.instrument.run(&r.run).map_or(r.run.0.as_str(), |x| x.name.as_str());
            let money = |f: &units::Figure| format!("{}{:.0}", job.shop.currency, f.value);
            json!({ "head": words::replacement(name, r.replace, &money(&r.straighten_money), &money(&r.replace_money)), "because": words::sentence(&job.say(&r.because)) })
        }).collect::<Vec<_>>(),
        "says": words::headings(job.unit),
    });
    if let (Some(all), Value::Object(front)) = (data.as_object_mut(), front) {
        all.extend(front);
    }
    (data, pictures)
}
