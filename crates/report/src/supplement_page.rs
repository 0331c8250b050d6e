//! What was found later, on paper: what it is, what it adds to what was agreed, and the customer's word.

use crate::job_view::Paper;
use crate::quote_page::Signed;
use crate::typeset::{Pictures, ReportError, pdf};
use quote::Supplement;
use serde_json::{Value, json};
use units::money::show_price;

/// What the paper looks like.
pub(crate) const TEMPLATE: &str = include_str!("../templates/supplement.typ");

/// What the paper is made from.
#[derive(Clone, Copy, Debug)]
pub struct SupplementView<'a> {
    /// The supplement.
    pub supplement: &'a Supplement,
    /// Maker, model and kind of the instrument.
    pub instrument: &'a str,
    /// The customer.
    pub customer: &'a str,
    /// What it adds to, in one line.
    pub agreed: &'a str,
    /// Size of the paper.
    pub paper: Paper,
    /// How it was signed; none before that.
    pub signed: Option<Signed<'a>>,
}

/// The supplement as PDF.
///
/// # Errors
/// Where the typesetter refuses the template: a defect of the program.
pub fn supplement_pdf(view: &SupplementView) -> Result<Vec<u8>, ReportError> {
    let (data, pictures) = data(view);
    pdf("supplement", TEMPLATE, &data, pictures)
}

pub(crate) fn data(view: &SupplementView) -> (Value, Pictures) {
    let s = view.supplement;
    let money = |amount| show_price(amount, &s.currency);
    let mut pictures = Pictures::default();
    let strokes = view.signed.and_then(|s| draw::signature(s.strokes)).map(|d| pictures.add(d, "Signature"));
    let data = json!({
        "paper": view.paper.name(),
        "title": view.instrument,
        "instrument": view.instrument,
        "shop": s.shop,
        "footer": crate::words::footer(&s.shop, &s.contact),
        "contact": s.contact.lines(),
        "promise": format!("{}. {}", quote::words::price_name(s.prices), quote::words::price_means(s.prices)),
        "customer": view.customer,
        "agreed": view.agreed,
        "found": s.found,
        "no_longer": s.no_longer,
        "lines": s.lines_on_quote().iter().map(|(what, amount)| json!({ "name": what, "amount": money(*amount) })).collect::<Vec<_>>(),
        "before": money(s.before),
        "adds": money(s.adds),
        "after": money(s.after),
        "time": if s.minutes >= 1.0 { format!("About {} more at the bench.", units::duration::show_minutes(s.minutes)) } else { String::new() },
        "signed": view.signed.map(|s| json!({ "name": s.name, "day": s.day, "strokes": strokes })),
    });
    (data, pictures)
}
