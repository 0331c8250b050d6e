//! The papers of the demo's tuba: what a person must find on them is on them.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests

mod fixture;

use plan::StepKind;
use report::{JobView, Paper, bench_card_pdf, quote_pdf, reasons_pdf, words};
use std::sync::LazyLock;
use units::LengthUnit;
use units::force::force_digits;
use units::money::show_price;

/// All text of a PDF, runs of white space made one space.
fn text(pdf: &[u8]) -> String {
    let document = lopdf::Document::load_mem(pdf).unwrap();
    let pages: Vec<u32> = document.get_pages().keys().copied().collect();
    let text = document.extract_text(&pages).unwrap();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether all words of a text stand in another, in their order, whatever lines were broken.
#[track_caller]
fn finds(said: &str, wanted: &str) {
    let squeeze = |s: &str| s.split_whitespace().collect::<String>();
    assert!(squeeze(said).contains(&squeeze(wanted)), "“{wanted}” is not in:\n{said}");
}

/// The tuba's card on A4, set once for all tests.
static CARD: LazyLock<Vec<u8>> = LazyLock::new(|| bench_card_pdf(&JobView::of(fixture::tuba(), LengthUnit::Mm, Paper::A4)).unwrap());

#[test]
fn the_bench_card_says_what_the_bench_must_know() {
    let job = fixture::tuba();
    let said = text(&CARD);
    let (survey, plan) = (&job.survey, &job.plan);
    for wanted in [&survey.title, &survey.customer, &survey.instrument.serial, &job.shop.name] {
        finds(&said, wanted);
    }
    for wanted in [
        "What comes apart, and each heat",
        "Setups in working order",
        "Do not",
        "Watch, at these steps",
        "Lay out",
        "force, N",
        "local codes",
    ] {
        finds(&said, wanted);
    }
    assert!(plan.choices.len() > 20, "the tuba's dents are worked");
    for step in &plan.steps {
        for caution in &step.cautions {
            finds(&said, caution.text());
        }
        if let Some(heat) = &step.heat {
            // To ten degrees: no torch is led more finely.
            finds(&said, &format!("Heat to {:.0} °C", 10.0 * (heat.target_degc / 10.0).round()));
        }
        match step.kind {
            StepKind::Dent => {
                let method = &plan.choices.iter().find(|c| c.dent == step.dents[0]).unwrap().method;
                finds(&said, &draw::size_words(method.size_mm, LengthUnit::Mm));
                finds(&said, &force_digits(method.force_hand_n.value, LengthUnit::Mm));
            }
            StepKind::Crease | StepKind::MakeTool | StepKind::AcceptanceCheck => {}
            _ => finds(&said, step.what.metric().get(1..).unwrap()),
        }
    }
    for (make, _) in &plan.tools_to_make {
        finds(&said, &make.words().metric());
    }
    for check in job::acceptance::acceptance_checks(survey, plan) {
        finds(&said, check.what.metric().get(1..).unwrap());
    }
    for gap in &plan.not_done {
        finds(&said, gap.because.metric().get(1..).unwrap());
    }
}

#[test]
fn an_inch_shop_gets_letter_paper_fractions_and_pounds() {
    let job = fixture::tuba();
    let pdf = bench_card_pdf(&JobView::of(job, LengthUnit::Inch, Paper::Letter)).unwrap();
    let document = lopdf::Document::load_mem(&pdf).unwrap();
    let (_, first) = document.get_pages().into_iter().next().unwrap();
    let media = document.get_dictionary(first).unwrap().get(b"MediaBox").unwrap().as_array().unwrap().clone();
    // Letter: 8.5 × 11 in of 72 points.
    assert_eq!((media[2].as_float().unwrap().round(), media[3].as_float().unwrap().round()), (612.0, 792.0));
    let method = &job.plan.choices[0].method;
    let said = text(&pdf);
    finds(&said, &draw::size_words(method.size_mm, LengthUnit::Inch));
    finds(&said, &force_digits(method.force_hand_n.value, LengthUnit::Inch));
    // The letters come out of the file with spaces between: the N of "EN 10083-3", a standard, is none of force.
    let newtons: Vec<&str> = said
        .match_indices(" N ")
        .filter(|(i, _)| !said[..*i].ends_with('E'))
        .map(|(i, _)| said.get(i.saturating_sub(40)..i + 20).unwrap_or_default())
        .collect();
    assert!(said.contains("lbf") && newtons.is_empty(), "one unit at a time: {newtons:?}");
}

/// What poppler's pdfinfo takes for an error is not in the file; what a screen reader asks for is.
#[test]
fn the_card_can_be_read_by_a_screen_reader() {
    let document = lopdf::Document::load_mem(&CARD).unwrap();
    let catalog = document.catalog().unwrap();
    let marked = catalog.get(b"MarkInfo").and_then(lopdf::Object::as_dict).unwrap();
    assert!(marked.get(b"Marked").and_then(lopdf::Object::as_bool).unwrap() && marked.get(b"Suspects").is_err());
    let language = catalog.get(b"Lang").and_then(lopdf::Object::as_str).unwrap();
    assert!(language.starts_with(b"en"));
    assert!(catalog.has(b"StructTreeRoot"));
    // Every picture has its words.
    let figures = document
        .objects
        .values()
        .filter_map(|o| o.as_dict().ok())
        .filter(|d| d.get(b"S").and_then(lopdf::Object::as_name).is_ok_and(|n| n == b"Figure"));
    let mut count = 0;
    for figure in figures {
        assert!(figure.has(b"Alt"), "{figure:?}");
        count += 1;
    }
    assert!(count > 10, "{count}");
}

/// The reasons stand in a file of their own: every formula's source and range.
#[test]
fn the_reasons_tell_what_the_card_leaves_out() {
    let job = fixture::tuba();
    let view = JobView::of(job, LengthUnit::Mm, Paper::A4);
    let (card, reasons) = (text(&CARD), text(&reasons_pdf(&view).unwrap()));
    finds(&reasons, "source:");
    assert!(!card.contains("source:") && !card.contains("9 in 10"));
    // A line may break over two pages, with a head and a foot between: its beginning tells.
    let begins = |line: &str| line.chars().take(34).collect::<String>();
    for c in &job.plan.choices {
        finds(&reasons, &begins(&words::ranged("Force at the hand", &c.method.force_hand_n, LengthUnit::Mm)));
        finds(&reasons, &begins(&c.because.metric()));
    }
    for a in &job.plan.assumptions {
        finds(&reasons, &begins(&a.what.metric()));
    }
    for (make, _) in &job.plan.tools_to_make {
        finds(&reasons, &begins(&make.because.metric()));
    }
}

#[test]
fn the_quote_adds_up_and_speaks_plainly() {
    let job = fixture::tuba();
    let said = text(&quote_pdf(&JobView::of(job, LengthUnit::Mm, Paper::A4)).unwrap());
    assert_eq!(job.quote.offers.len(), 3);
    for offer in &job.quote.offers {
        finds(&said, &offer.name);
        finds(&said, &show_price(offer.bill.total, &job.quote.currency));
        // The lines of the paper, each as it stands there, add up to the total that stands there.
        let shown = offer.bill.on_quote();
        assert_eq!(shown.iter().map(|l| l.1).sum::<rust_decimal::Decimal>(), offer.bill.total);
        for (what, amount) in &shown {
            finds(&said, &format!("{what}{}", show_price(*amount, &job.quote.currency)));
        }
        if let Some((before, more)) = job.quote.more_than_before(offer) {
            finds(&said, &format!("{} more than {}", show_price(more, &job.quote.currency), before.name));
            assert!(!offer.adds.is_empty());
        }
        for words in &offer.adds {
            finds(&said, words);
        }
        let lines: rust_decimal::Decimal = offer.bill.lines.iter().map(|l| l.labour + l.parts).sum();
        assert_eq!(lines + offer.bill.tax, offer.bill.total, "the lines shown and the tax make the total");
        for words in &offer.words {
            finds(&said, words);
        }
        finds(&said, &offer.verdict.words);
        for words in job.quote.told_of(offer) {
            finds(&said, &words);
        }
    }
    // What is told of every offer stands once.
    let shared = job.quote.told_of_all();
    assert!(shared.iter().any(|words| words.contains("crack")), "{shared:?}");
    for words in &shared {
        finds(&said, words);
    }
    finds(&said, &format!("Valid for {} days", job.quote.valid_days));
    let view = JobView { valid_until: Some("Dec 24"), ..JobView::of(job, LengthUnit::Mm, Paper::A4) };
    finds(&text(&quote_pdf(&view).unwrap()), "Valid until Dec 24");
    finds(&said, quote::words::price_means(quote::Prices::Fixed));
    for line in job.shop.contact.lines() {
        finds(&said, line);
    }
    assert!(job.shop.contact.lines().len() >= 3, "the demo shop says where it is found");
    finds(&said, "signature");
    finds(&said, &job.survey.customer);
    let plain = said.to_lowercase();
    for jargon in ["springback", "ductility", "mandrel", "ball train", " n/mm", "gardiner", "pert"] {
        assert!(!plain.contains(jargon), "the customer reads “{jargon}”");
    }
}
