//! The customer's quote: plain words, the offers side by side, where the dents are, a line to sign on.

use crate::card::words::instrument_line;
use crate::job_view::JobView;
use crate::typeset::{Pictures, ReportError, pdf};
use plan::Level;
use quote::{Offer, Quote};
use serde_json::{Value, json};
use units::money::show_money;

/// Width of the picture on the paper, mm.
const WIDTH_MM: f64 = 182.0;

/// The quote as PDF.
///
/// # Errors
/// Where the typesetter refuses the template: a defect of the program.
pub fn quote_pdf(job: &JobView) -> Result<Vec<u8>, ReportError> {
    let (data, pictures) = data(job, None);
    pdf("quote", include_str!("../templates/quote.typ"), &data, pictures)
}

/// How a quote was signed.
#[derive(Clone, Copy, Debug)]
pub struct Signed<'a> {
    /// The offer that is ticked.
    pub level: Level,
    /// The name.
    pub name: &'a str,
    /// The day, as it is to stand there.
    pub day: &'a str,
    /// The strokes of the signature as SVG path data, as [`draw::signature`] takes them; empty where there are none.
    pub strokes: &'a str,
}

/// The quote as it was signed: the tick, the name, the drawn signature and the day on it.
///
/// # Errors
/// Where the typesetter refuses the template: a defect of the program.
pub fn signed_quote_pdf(job: &JobView, signed: &Signed) -> Result<Vec<u8>, ReportError> {
    let (data, pictures) = data(job, Some(signed));
    pdf("quote", include_str!("../templates/quote.typ"), &data, pictures)
}

fn data(job: &JobView, signed: Option<&Signed>) -> (Value, Pictures) {
    let (survey, quote) = (job.survey, job.quote);
    let marks = draw::marks(survey, job.plan);
    let mut pictures = Pictures::default();
    let picture = draw::overview(survey, &marks, job.unit, WIDTH_MM);
    let overview = pictures.add(picture, "The tubes of the instrument laid out straight, a numbered dot for each dent");
    let instrument = instrument_line(survey);
    let dents = survey.dents.len();
    let found = match dents {
        0 => "found no dents".to_owned(),
        1 => "found one dent".to_owned(),
        n => format!("found {n} dents"),
    };
    let mut notes = Vec::new();
    if survey.wishes.keep_finish {
        notes.push("You asked us to keep the finish: we light no flame that would spoil it wherever there is another way.");
    }
    notes.push("Metal remembers. A dent that was sharp may leave a trace that you can see when the light is low.");
    notes.push("If something hidden comes to light while we work, we stop and ask you before it costs more.");
    let strokes = signed.and_then(|s| draw::signature(s.strokes)).map(|d| pictures.add(d, "Signature"));
    let data = json!({
        "signed": signed.map(|s| json!({ "name": s.name, "day": s.day, "strokes": strokes })),
        "paper": job.paper.name(),
        "title": instrument,
        "instrument": instrument,
        "shop": quote.shop,
        "footer": quote.shop,
        "customer": survey.customer,
        "date": survey.date,
        "validity": format!("This offer holds for {} days.", quote.valid_days),
        "opening": format!("We looked your instrument over and {found}. Below are {} ways to go about it, from the least work to the most. Tick the one you want and sign.", in_words(quote.offers.len())),
        "overview": overview,
        "told": quote.told_of_all(),
        "ways_heading": capital(&format!("{} ways to go about it", in_words(quote.offers.len()))),
        "offers": quote.offers.iter().map(|o| offer(o, quote, signed.is_some_and(|s| s.level == o.level))).collect::<Vec<_>>(),
        "value": quote.value.map_or(String::new(), |v| format!("In sound order your instrument is worth about {}.", show_money(v, &quote.currency))),
        "notes": notes,
        "assumptions": quote.assumptions.iter().map(|(what, change)| format!("{} {}", job.say(what), job.say(change))).collect::<Vec<_>>(),
    });
    (data, pictures)
}

fn offer(o: &Offer, quote: &Quote, ticked: bool) -> Value {
    let money = |amount| show_money(amount, &quote.currency);
    let one = |name: &str, amount| json!({ "name": name, "amount": money(amount) });
    let mut lines: Vec<Value> = o.bill.lines.iter().map(|l| one(&l.what, l.labour + l.parts)).collect();
    if !o.bill.tax.is_zero() {
        lines.push(one("Tax", o.bill.tax));
    }
    let (low, high) = o.range;
    let range =
        if low == high { String::new() } else { format!("Eight jobs in ten like this end between {} and {}.", money(low), money(high)) };
    json!({
        "name": o.name,
        "total": money(o.bill.total),
        "words": o.words,
        "told": quote.told_of(o),
        "time": hours_words(o),
        "lines": lines,
        "range": range,
        "verdict": o.verdict.words,
        "ticked": ticked,
    })
}

fn in_words(n: usize) -> String {
    match n {
        1 => "one".to_owned(),
        2 => "two".to_owned(),
        3 => "three".to_owned(),
        n => n.to_string(),
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}

/// Time on the instrument, in the customer's words.
fn hours_words(o: &quote::Offer) -> String {
    let (half, tenth, nine) = o.hours();
    format!("About {half:.1} h at the bench; eight jobs in ten like this take {tenth:.1} to {nine:.1} h.")
}
