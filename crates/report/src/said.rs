//! What the papers say, without their look: for whoever reads all texts through, a test before all (`report/tests/voice.rs`).

use crate::typeset::{Pictures, ReportError, pages};
use crate::{ContractView, Invoice, JobView, Paper, SupplementView, card, contract_page, invoice, quote_page, reasons, supplement_page};
use serde_json::Value;
use typst::layout::{Frame, FrameItem};

/// The texts of a paper.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Said {
    /// What goes into the template, each text whole.
    pub texts: Vec<String>,
    /// Its drawings, as SVG.
    pub drawings: Vec<String>,
    /// What stands on its pages, in the pieces in which the typesetter set it.
    pub printed: Vec<String>,
}

/// The bench card's.
///
/// # Errors
/// As the paper.
pub fn bench_card(job: &JobView) -> Result<Said, ReportError> {
    said("bench card", card::TEMPLATE, card::data(job))
}

/// The reasons', not set: their pages are many, and what they say is whole in their data.
pub fn reasons(job: &JobView) -> Said {
    let (data, pictures) = reasons::data(job);
    unset(&data, &pictures)
}

/// The quote's.
///
/// # Errors
/// As the paper.
pub fn quote(job: &JobView) -> Result<Said, ReportError> {
    said("quote", quote_page::TEMPLATE, quote_page::data(job, None))
}

/// The supplement's.
///
/// # Errors
/// As the paper.
pub fn supplement(view: &SupplementView) -> Result<Said, ReportError> {
    said("supplement", supplement_page::TEMPLATE, supplement_page::data(view))
}

/// The invoice's.
///
/// # Errors
/// As the paper.
pub fn invoice(invoice: &Invoice, paper: Paper) -> Result<Said, ReportError> {
    said("invoice", invoice::TEMPLATE, (invoice::data(invoice, paper), Pictures::default()))
}

/// The district's report of a contract.
///
/// # Errors
/// As the paper.
pub fn contract_report(view: &ContractView) -> Result<Said, ReportError> {
    said("contract report", contract_page::REPORT, (contract_page::report(view), Pictures::default()))
}

/// The work list of a contract.
///
/// # Errors
/// As the paper.
pub fn work_list(view: &ContractView) -> Result<Said, ReportError> {
    said("work list", contract_page::WORK, (contract_page::work_list(view), Pictures::default()))
}

fn unset(data: &Value, pictures: &Pictures) -> Said {
    let mut said = Said { drawings: pictures.drawings().cloned().collect(), ..Said::default() };
    texts(data, &mut said.texts);
    said
}

fn said(paper: &'static str, template: &str, (data, pictures): (Value, Pictures)) -> Result<Said, ReportError> {
    let mut said = unset(&data, &pictures);
    let document = pages(paper, template, &data, pictures)?;
    document.pages().iter().for_each(|p| printed(&p.frame, &mut said.printed));
    Ok(said)
}

/// Every text of the data but what names the paper's size and its pictures to the template.
fn texts(value: &Value, found: &mut Vec<String>) {
    match value {
        Value::String(text) => found.push(text.clone()),
        Value::Array(all) => all.iter().for_each(|v| texts(v, found)),
        Value::Object(all) => all.iter().filter(|(k, _)| !matches!(k.as_str(), "paper" | "path")).for_each(|(_, v)| texts(v, found)),
        _ => {}
    }
}

fn printed(frame: &Frame, found: &mut Vec<String>) {
    for (_, item) in frame.items() {
        match item {
            FrameItem::Group(group) => printed(&group.frame, found),
            FrameItem::Text(text) => found.push(text.text.to_string()),
            _ => {}
        }
    }
}
