//! The customer's quote: plain words, the offers side by side, where the dents are, a line to sign on.

use crate::card::words::instrument_line;
use crate::job_view::JobView;
use crate::typeset::{Pictures, ReportError, pdf};
use draw::MapView;
use plan::Level;
use quote::words::{price_means, price_name};
use quote::{Offer, Prices, Quote};
use serde_json::{Value, json};
use units::money::{show_price, show_whole};

/// What the paper looks like.
pub(crate) const TEMPLATE: &str = include_str!("../templates/quote.typ");

/// Width of the picture on the paper, mm.
const WIDTH_MM: f64 = 182.0;

/// Its height at the most, mm.
const HIGH_MM: f64 = 80.0;

/// The height of a picture of something so wide and so high, mm.
fn high_mm((wide, high): (f64, f64)) -> f64 {
    let edge = draw::map::EDGE_MM;
    (high / wide.max(1.0) * (WIDTH_MM - 2.0 * edge.0) + 2.0 * edge.1).min(HIGH_MM)
}

/// The quote as PDF.
///
/// # Errors
/// Where the typesetter refuses the template: a defect of the program.
pub fn quote_pdf(job: &JobView) -> Result<Vec<u8>, ReportError> {
    let (data, pictures) = data(job, None);
    pdf("quote", TEMPLATE, &data, pictures)
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
    pdf("quote", TEMPLATE, &data, pictures)
}

pub(crate) fn data(job: &JobView, signed: Option<&Signed>) -> (Value, Pictures) {
    let (survey, quote) = (job.survey, job.quote);
    let marks = draw::marks(survey, job.plan);
    let mut pictures = Pictures::default();
    let view = MapView { survey, assessments: job.assessments, marks: &marks, apart: &[], unit: job.unit };
    let flat = draw::map::extent_mm(survey);
    let picture = draw::map(&view, (WIDTH_MM, flat.map_or(HIGH_MM, high_mm)));
    let overview = pictures.add(picture, "The instrument laid flat, a numbered dot for each dent");
    let instrument = instrument_line(survey);
    let dents = survey.dents.len();
    let found = match dents {
        0 => "found no dents".to_owned(),
        1 => "found 1 dent".to_owned(),
        n => format!("found {n} dents"),
    };
    let mut notes = Vec::new();
    if survey.wishes.keep_finish {
        notes.push("You asked us to keep the finish. We use no flame that would spoil it wherever there is another way.");
    }
    if dents > 0 {
        notes.push("A sharp dent may leave a trace that you can see in low light.");
    }
    notes.push("If we find hidden damage while we work, we stop and ask you before it costs more.");
    let strokes = signed.and_then(|s| draw::signature(s.strokes)).map(|d| pictures.add(d, "Signature"));
    let data = json!({
        "signed": signed.map(|s| json!({ "name": s.name, "day": s.day, "strokes": strokes })),
        "paper": job.paper.name(),
        "title": instrument,
        "instrument": instrument,
        "shop": quote.shop,
        "footer": crate::words::footer(&quote.shop, &quote.contact),
        "contact": quote.contact.lines(),
        "customer": survey.customer,
        "date": survey.date,
        "validity": job.valid_until.map_or_else(|| format!("Valid for {} days", quote.valid_days), |day| format!("Valid until {day}")),
        "opening": opening(survey.has_damage(), &found, quote.offers.len()),
        "overview": (dents > 0).then_some(overview),
        "overview_says": if flat.is_some() { "Your instrument laid flat, as the player sees it. Each number is one dent; the darker its dot, the deeper." } else { "The tubes of your instrument, laid out straight, to scale. Each number is one dent." },
        "told": quote.told_of_all(),
        "ways_heading": offers_stand(quote.offers.len()).trim_end_matches(" stand").trim_end_matches(" stands"),
        "offers": quote.offers.iter().map(|o| offer(o, quote, signed.is_some_and(|s| s.level == o.level))).collect::<Vec<_>>(),
        "value": quote.value.map_or(String::new(), |v| format!("Your instrument’s value in good condition: about {}.", show_whole(v, &quote.currency))),
        "promise": format!("{}. {}", price_name(quote.prices), price_means(quote.prices)),
        "deposit": deposits(quote),
        "notes": notes,
        "assumptions": quote.assumptions.iter().map(|(what, change)| format!("{} {}", job.say(what), job.say(change))).collect::<Vec<_>>(),
    });
    (data, pictures)
}

fn offer(o: &Offer, quote: &Quote, ticked: bool) -> Value {
    let money = |amount| show_price(amount, &quote.currency);
    let lines: Vec<Value> = o.bill.on_quote().iter().map(|(name, amount)| json!({ "name": name, "amount": money(*amount) })).collect();
    let (low, high) = o.range;
    // A fixed price is what is paid, however the work goes.
    let range = match quote.prices {
        Prices::Estimate if low < high => format!("8 of 10 jobs like this come to {} to {}.", money(low), money(high)),
        _ => String::new(),
    };
    let tax = quote.tax_words(o);
    let price = if tax.is_empty() { price_name(quote.prices).to_owned() } else { format!("{}, {tax}", price_name(quote.prices)) };
    let more = quote.more_than_before(o).map(|(before, more)| format!("{} more than {}", money(more), before.name));
    json!({
        "name": o.name,
        "total": money(o.bill.total),
        "price": price,
        "more": more,
        "adds": o.adds,
        "words": o.words,
        "told": quote.told_of(o),
        "time": format!("{} {}", o.time_words(), quote.rests_on.to_customer()),
        "lines": lines,
        "range": range,
        "verdict": o.verdict.words,
        "ticked": ticked,
    })
}

/// What is due with the signature, offer by offer; empty where no deposit is asked for.
fn deposits(quote: &Quote) -> String {
    let asked = quote.offers.iter().filter(|o| !o.bill.deposit.is_zero());
    let each: Vec<String> = asked.map(|o| format!("{} for “{}”", show_price(o.bill.deposit, &quote.currency), o.name)).collect();
    if each.is_empty() { String::new() } else { format!("Your deposit is due when you sign, the rest at pickup: {}.", each.join(", ")) }
}

/// What stands over the offers.
fn opening(damaged: bool, found: &str, offers: usize) -> String {
    let looked = if damaged {
        format!("We looked your instrument over and {found}.")
    } else {
        "You asked us for this work on your instrument.".to_owned()
    };
    let stand = offers_stand(offers);
    if offers == 1 {
        format!("{looked} {stand} below. Check it and sign.")
    } else {
        format!("{looked} {stand} below, from the least work to the most. Check the one you want and sign.")
    }
}

/// How many offers there are, as the start of a sentence.
fn offers_stand(n: usize) -> &'static str {
    match n {
        1 => "One offer stands",
        2 => "Two offers stand",
        _ => "Three offers stand",
    }
}
