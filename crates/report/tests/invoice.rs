//! The invoice: its sums to the cent, and what must be found on the paper.
#![allow(clippy::unwrap_used)] // helpers of tests

use proptest::prelude::*;
use quote::{Contact, Prices};
use report::invoice::{AgreedPart, NotMet, Paid, TakenOff};
use report::{Invoice, Paper, invoice_pdf};
use rust_decimal::Decimal;

fn cents(n: i64) -> Decimal {
    Decimal::new(n, 2)
}

fn invoice() -> Invoice {
    let part = |title: &str, lines: &[(&str, i64)], tax: i64| AgreedPart {
        title: title.to_owned(),
        prices: Prices::Estimate,
        said: "Signed by A. Parent, 2026-11-20".to_owned(),
        lines: lines.iter().map(|(w, n)| ((*w).to_owned(), cents(*n))).collect(),
        tax: cents(tax),
        total: lines.iter().map(|(_, n)| cents(*n)).sum::<Decimal>() + cents(tax),
    };
    Invoice {
        shop: "Saltmarsh Brass".to_owned(),
        contact: Contact {
            address: vec!["12 Saltmarsh Lane".to_owned(), "Port Harrow".to_owned()],
            telephone: "555 0142".to_owned(),
            email: "bench@saltmarsh.example".to_owned(),
        },
        customer: "Pelham Ridge".to_owned(),
        instrument: "Harrow & Quill Ox tuba, tag T00001, owner's number PR-114".to_owned(),
        job: "Job 1: fell down the stair".to_owned(),
        date: "2026-11-26".to_owned(),
        currency: "$".to_owned(),
        parts: vec![
            part("Playing condition", &[("Dents, creases and cracks", 140_000), ("Cleaning", 6_010)], 4_215),
            part("Supplement 1", &[("A crack under the guard", 12_345)], 1_019),
        ],
        taken_off: vec![],
        paid: vec![Paid { words: "2026-11-20, card, deposit".to_owned(), amount: cents(20_000) }],
        deposit: cents(45_000),
        stays: vec!["23 dents stay: d2, d5".to_owned()],
        not_met: vec![NotMet {
            lines: vec!["failed: third valve slide (binds)".to_owned()],
            said: "Let go by Ottilie Brandt: the concert is tonight.".to_owned(),
        }],
        accessories: vec!["case: went back".to_owned()],
        collected: "Collected by A. Parent, 2026-11-26".to_owned(),
    }
}

fn text(pdf: &[u8]) -> String {
    let document = lopdf::Document::load_mem(pdf).unwrap();
    let pages: Vec<u32> = document.get_pages().keys().copied().collect();
    document.extract_text(&pages).unwrap().split_whitespace().collect()
}

#[test]
fn what_was_agreed_and_what_is_outstanding_stands_on_the_paper() {
    let i = invoice();
    // By hand: 1400.00 + 60.10 + 42.15 = 1502.25; 123.45 + 10.19 = 133.64; together 1635.89, less 200.00.
    assert_eq!((i.total(), i.outstanding(), i.tax()), (cents(163_589), cents(143_589), cents(5_234)));
    assert_eq!(i.deposit_words(), "Deposit of $450.00: $250.00 still due.");
    for paper in [Paper::A4, Paper::Letter] {
        let said = text(&invoice_pdf(&i, paper).unwrap());
        for wanted in [
            "Playing condition",
            "$1,502.25",
            "Estimate",
            "12 Saltmarsh Lane",
            "555 0142",
            "bench@saltmarsh.example",
            "Supplement 1",
            "$133.64",
            "$1,635.89",
            "$52.34",
            "−$200.00",
            "$1,435.89",
            "deposit",
            "PR-114",
            "Stays by agreement",
            "23 dents stay",
            "Not met",
            "Let go by Ottilie Brandt",
            "Collected by A. Parent",
            "case: went back",
        ] {
            let squeezed: String = wanted.split_whitespace().collect();
            assert!(said.contains(&squeezed), "“{wanted}” is not in:\n{said}");
        }
    }
}

#[test]
fn what_was_taken_off_is_told_with_its_reason_and_less_is_owed() {
    let mut i = invoice();
    i.taken_off.push(TakenOff { amount: cents(13_589), reason: "two dents were shallower".to_owned() });
    // By hand: 1635.89 less 135.89 is 1500.00, less 200.00 paid; its tax 52.34 × 1500.00 / 1635.89 = 47.992.
    assert_eq!((i.agreed(), i.total(), i.outstanding(), i.tax()), (cents(163_589), cents(150_000), cents(130_000), cents(4_799)));
    let said = text(&invoice_pdf(&i, Paper::Letter).unwrap());
    for wanted in [
        "Agreed in all",
        "$1,635.89",
        "Charged less: two dents were shallower",
        "−$135.89",
        "$1,500.00",
        "of this, tax: $47.99",
        "$1,300.00",
    ] {
        let squeezed: String = wanted.split_whitespace().collect();
        assert!(said.contains(&squeezed), "“{wanted}” is not in:\n{said}");
    }
}

#[test]
fn a_long_list_of_what_was_not_met_does_not_fill_the_invoice() {
    let mut i = invoice();
    i.not_met[0].lines =
        std::iter::once("71 of 72 steps are open".to_owned()).chain((1..=85).map(|n| format!("not done: step {n}."))).collect();
    let said = text(&invoice_pdf(&i, Paper::Letter).unwrap());
    assert!(said.contains("71of72stepsareopen") && said.contains("notdone:step19.") && !said.contains("notdone:step20."), "{said}");
    assert!(said.contains("and66more"), "{said}");
    // Where there is no tax, none is told.
    i.parts.iter_mut().for_each(|p| p.tax = Decimal::ZERO);
    assert!(!text(&invoice_pdf(&i, Paper::Letter).unwrap()).contains("ofthis,tax"));
}

#[test]
fn too_much_is_returned_and_nothing_agreed_is_nothing_owed() {
    let mut i = invoice();
    i.paid.push(Paid { words: "cash".to_owned(), amount: cents(150_000) });
    let said = text(&invoice_pdf(&i, Paper::Letter).unwrap());
    assert!(said.contains("Paidtoomuch,tobereturned$64.11"), "{said}");
    let none = Invoice { shop: "Saltmarsh Brass".to_owned(), currency: "$".to_owned(), ..Invoice::default() };
    assert!(text(&invoice_pdf(&none, Paper::A4).unwrap()).contains("Nothingwasagreed"));
}

proptest! {
    #[test]
    fn the_sums_are_exact(parts in proptest::collection::vec(-100_000_i64..10_000_000, 0..8), paid in proptest::collection::vec(1_i64..10_000_000, 0..8)) {
        let part = |n: &i64| AgreedPart { title: String::new(), prices: Prices::Fixed, said: String::new(), lines: vec![], tax: Decimal::ZERO, total: cents(*n) };
        let money = |n: &i64| Paid { words: String::new(), amount: cents(*n) };
        let i = Invoice { parts: parts.iter().map(part).collect(), paid: paid.iter().map(money).collect(), ..Invoice::default() };
        prop_assert_eq!(i.total(), cents(parts.iter().sum()));
        prop_assert_eq!(i.outstanding(), cents(parts.iter().sum::<i64>() - paid.iter().sum::<i64>()));
    }
}
