//! The customer's quote: plain words, the offers side by side, where the dents are, a line to sign on.

use crate::card::words::instrument_line;
use crate::job_view::JobView;
use crate::look::{
    About, BODY, H1, H2, HAIRLINE, PARAGRAPH_MM, SMALL, STRONG, WIDE, amounts, box_to_tick, bullets, chapter, flowing, letterhead,
    paragraph, signature, whole,
};
use crate::typeset::{Body, Made, ReportError, picture};
use draw::MapView;
use paper::{Block, Bullets, Cell, Flow, Grid, Rules, Track, Upright, Words};
use plan::Level;
use quote::words::{price_means, price_name};
use quote::{Offer, Prices, Quote};
use units::money::{show_price, show_whole};

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
/// Where the paper cannot be set: a defect of the program.
pub fn quote_pdf(job: &JobView) -> Result<Vec<u8>, ReportError> {
    made(job, None).pdf()
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
/// Where the paper cannot be set: a defect of the program.
pub fn signed_quote_pdf(job: &JobView, signed: &Signed) -> Result<Vec<u8>, ReportError> {
    made(job, Some(signed)).pdf()
}

pub(crate) fn made(job: &JobView, signed: Option<&Signed>) -> Made {
    let (survey, quote) = (job.survey, job.quote);
    let instrument = instrument_line(survey);
    let about = About {
        name: "quote",
        kind: "Repair quote".to_owned(),
        title: instrument.clone(),
        instrument: instrument.clone(),
        shop: quote.shop.clone(),
        footer: crate::words::footer(&quote.shop, &quote.contact),
        paper: job.paper,
    };
    let validity = job.valid_until.map_or_else(|| format!("Valid for {} days", quote.valid_days), |day| format!("Valid until {day}"));
    let mut right = vec![Words::of(survey.customer.as_str(), STRONG), Words::of(survey.date.as_str(), BODY), Words::of(validity, STRONG)];
    right.extend(quote.contact.lines().into_iter().map(|line| Words::of(line, SMALL)));
    let kind = Words::of(format!("Repair quote for your {instrument}"), H2);
    let dents = survey.dents.len();
    let found = match dents {
        0 => "found no dents".to_owned(),
        1 => "found 1 dent".to_owned(),
        n => format!("found {n} dents"),
    };
    let list = |items: Vec<String>| bullets(items.into_iter().map(|w| Words::of(w, BODY)).collect());
    let mut flows =
        vec![letterhead(&quote.shop, kind, right), paragraph(Words::of(opening(survey.has_damage(), &found, quote.offers.len()), BODY))];
    flows.push(chapter(offers_stand(quote.offers.len()).trim_end_matches(" stand").trim_end_matches(" stands")));
    let cells: Vec<Cell> = quote.offers.iter().map(|o| Cell::of(offer(o, quote, signed.is_some_and(|s| s.level == o.level)))).collect();
    let columns = vec![Track::Part(1.0); cells.len().max(1)];
    let rules = Rules { cells: Some(WIDE), ..Rules::default() };
    flows.push(flowing(Grid { inset_mm: (3.5, 3.5, 3.5), rules, ..Grid::side_by_side(columns, 4.0, cells) }.block()));
    let told = quote.told_of_all();
    if !told.is_empty() {
        flows.push(chapter("What to know before you choose"));
        flows.push(list(told));
    }
    flows.push(Flow::block(whole(order(quote, signed)), 7.8, 4.0));
    if quote.offers.iter().any(|o| !o.verdict.words.is_empty()) {
        flows.push(chapter("Repair or replace?"));
        if let Some(v) = quote.value {
            flows.push(paragraph(Words::of(
                format!("Your instrument’s value in good condition: about {}.", show_whole(v, &quote.currency)),
                BODY,
            )));
        }
        let verdict = |o: &Offer| Words::of(format!("{}. ", o.name), STRONG).and(o.verdict.words.as_str(), BODY);
        flows.push(bullets(quote.offers.iter().filter(|o| !o.verdict.words.is_empty()).map(verdict).collect()));
    }
    if dents > 0 {
        flows.extend(overview(job));
    }
    flows.push(chapter("Good to know"));
    flows.push(list(good_to_know(survey)));
    let assumptions: Vec<String> =
        quote.assumptions.iter().map(|(what, change)| format!("{} {}", job.say(what), job.say(change))).collect();
    if !assumptions.is_empty() {
        flows.push(paragraph(Words::of(format!("Assumptions: {}", assumptions.join(" ")), SMALL)));
    }
    Made { about, body: Body::Flows(flows) }
}

/// Where the dents are.
fn overview(job: &JobView) -> [Flow; 3] {
    let marks = draw::marks(job.survey, job.plan);
    let view = MapView { survey: job.survey, assessments: job.assessments, marks: &marks, apart: &[], unit: job.unit };
    let flat = draw::map::extent_mm(job.survey);
    let map = draw::map(&view, (WIDTH_MM, flat.map_or(HIGH_MM, high_mm)));
    let says = if flat.is_some() {
        "Your instrument laid flat, as the player sees it. Each number is one dent; the darker its dot, the deeper."
    } else {
        "The tubes of your instrument, laid out straight, to scale. Each number is one dent."
    };
    let shown = picture(map, "The instrument laid flat, a numbered dot for each dent");
    [chapter("Where the dents are"), Flow::kept(Block::Picture(shown), PARAGRAPH_MM, PARAGRAPH_MM), paragraph(Words::of(says, SMALL))]
}

fn good_to_know(survey: &instrument::Survey) -> Vec<String> {
    let mut notes = Vec::new();
    if survey.wishes.keep_finish {
        notes.push("You asked us to keep the finish. We use no flame that would spoil it wherever there is another way.".to_owned());
    }
    if !survey.dents.is_empty() {
        notes.push("A sharp dent may leave a trace that you can see in low light.".to_owned());
    }
    notes.push("If we find hidden damage while we work, we stop and ask you before it costs more.".to_owned());
    notes
}

/// The order, with what its price promises and what is due, and the line to sign on.
fn order(quote: &Quote, signed: Option<&Signed>) -> Block {
    let mut words = Words::of("By signing I order the work that I checked, at its price. ", BODY)
        .and(format!("{}. {}", price_name(quote.prices), price_means(quote.prices)), STRONG);
    let deposit = deposits(quote);
    if !deposit.is_empty() {
        words = words.and(" ", BODY).and(deposit, BODY);
    }
    let signed = signed.map(|s| (s.name, s.day, draw::signature(s.strokes).map(|d| picture(d, "Signature"))));
    Block::stack(0.0, [Block::text(words), signature(signed)])
}

fn offer(o: &Offer, quote: &Quote, ticked: bool) -> Block {
    let money = |amount| show_price(amount, &quote.currency);
    let tax = quote.tax_words(o);
    let price = if tax.is_empty() { price_name(quote.prices).to_owned() } else { format!("{}, {tax}", price_name(quote.prices)) };
    let text = |words: &str, how| Block::text(Words::of(words, how));
    let mut blocks = vec![text(&o.name, H2), Block::Space(3.4), text(&money(o.bill.total), H1), Block::Space(2.0), text(&price, SMALL)];
    if let Some((before, more)) = quote.more_than_before(o) {
        blocks.push(text(&format!("{} more than {}:", money(more), before.name), STRONG));
        let items = o.adds.iter().map(|a| Words::of(a.as_str(), BODY)).collect();
        blocks.push(Block::Bullets(Bullets { items, how: BODY, gap_mm: 1.9 }));
        blocks.push(Block::Rule(HAIRLINE));
    }
    blocks.extend(o.words.iter().chain(&quote.told_of(o)).map(|w| text(w, BODY)));
    blocks.push(Block::Rule(HAIRLINE));
    let lines = o.bill.on_quote();
    let lines: Vec<(String, String)> = lines.iter().map(|(name, amount)| ((*name).to_string(), money(*amount))).collect();
    blocks.push(Grid { column_gap_mm: 2.0, ..amounts(lines, SMALL, 1.8) }.block());
    blocks.push(Block::Rule(HAIRLINE));
    blocks.push(text(&format!("{} {}", o.time_words(), quote.rests_on.to_customer()), SMALL));
    let (low, high) = o.range;
    // A fixed price is what is paid, however the work goes.
    if quote.prices == Prices::Estimate && low < high {
        blocks.push(text(&format!("8 of 10 jobs like this come to {} to {}.", money(low), money(high)), SMALL));
    }
    let mut tick = box_to_tick(5.5);
    if ticked {
        tick = crate::look::ticked(tick);
    }
    let middle = |block| Cell { upright: Upright::Middle, ..Cell::of(block) };
    let choose = vec![middle(Block::Laid(tick)), middle(text("I choose this", BODY))];
    blocks.push(Block::Space(4.0));
    blocks.push(Grid::side_by_side(vec![Track::Mm(8.0), Track::Part(1.0)], 0.0, choose).block());
    Block::stack(PARAGRAPH_MM, blocks)
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
