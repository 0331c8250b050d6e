//! What a script holds of every paper: nothing over anything, nothing beyond the margins, pages that are used, amounts under each other,
//! and what a screen reader asks for. Every paper of the demo's cases and of two more, on A4 and on letter.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

use crate::invoice::{AgreedPart, Paid};
use crate::look::{About, BODY, SMALL};
use crate::typeset::{Body, Made};
use crate::{Invoice, JobView, Paper, Signed, SupplementView, card, invoice, quote_page, reasons, supplement_page};
use fixtures::{demo, drawn};
use job::Job;
use paper::{Block, Cell, Flow, Grid, Seen, Stroke, Track, Words};
use plan::{Level, Overrules};
use quote::{Prices, Supplement};
use rust_decimal::Decimal;
use std::sync::LazyLock;
use units::LengthUnit;

pub(crate) static JOBS: LazyLock<Vec<(&'static str, Job)>> = LazyLock::new(|| {
    let work = |survey| {
        let (rack, shop) = demo::rack_and_shop();
        job::work_out(survey, rack, shop, &Overrules::default())
    };
    let demo = demo::ALL_CASES.into_iter().map(|name| (name, work(demo::read(name))));
    demo.chain(demo::OTHER_CASES.into_iter().map(|name| (name, work(demo::read_other(name))))).collect()
});

pub(crate) const PAPERS: [(LengthUnit, Paper); 2] = [(LengthUnit::Mm, Paper::A4), (LengthUnit::Inch, Paper::Letter)];

/// Margins of all papers, mm (the look), and what ink may lie beyond them: half a wide line.
const MARGIN_MM: f64 = 13.0;
const BEYOND_MM: f64 = 0.3;
/// The look's two lines, mm; no others.
const LINES_MM: [f64; 2] = [0.5, 0.25];
/// The look's sizes of type on paper, pt; no others.
const TYPE_PT: [f64; 5] = [8.5, 10.0, 13.0, 18.0, 20.0];
/// Where the last ink of a page must be at the least, of its height.
const USED: f64 = 0.8;

/// A line of text on a page: left, top, right, bottom, mm; its size, mm.
#[derive(Clone, Debug)]
struct Line {
    words: String,
    at: drawn::Box,
    size_mm: f64,
}

/// What stands on a page.
struct Sheet {
    lines: Vec<Line>,
    /// How wide its lines are, mm: each width once.
    strokes_mm: Vec<f64>,
    /// The lowest ink but the footer's, mm.
    ink_mm: f64,
    size_mm: (f64, f64),
}

impl Sheet {
    /// Whether its first line is a heading.
    fn begins_a_chapter(&self) -> bool {
        let first =
            self.lines.iter().filter(|l| !l.words.is_empty() && l.at.1 > MARGIN_MM - BEYOND_MM).min_by(|a, b| a.at.1.total_cmp(&b.at.1));
        first.is_some_and(|l| l.size_mm > 4.0)
    }
}

fn sheets(set: &paper::Paper) -> Vec<Sheet> {
    let size_mm = (set.sheet.width_mm, set.sheet.height_mm);
    let of = |seen: Vec<Seen>| {
        let mut sheet = Sheet { lines: Vec::new(), strokes_mm: Vec::new(), ink_mm: 0.0, size_mm };
        for one in seen {
            let bottom = match one {
                Seen::Letters { text, x_mm, baseline_mm, width_mm, size_pt } => {
                    let size_mm = size_pt * 25.4 / 72.0;
                    // From the height of a capital to the depth of a comma.
                    let at = (x_mm, baseline_mm - 0.7 * size_mm, x_mm + width_mm, baseline_mm + 0.15 * size_mm);
                    sheet.lines.push(Line { words: text.trim().to_owned(), at, size_mm });
                    baseline_mm
                }
                Seen::Picture { bottom_mm, .. } => bottom_mm,
                Seen::Shape { bottom_mm, line_mm } => {
                    sheet.strokes_mm.extend(line_mm);
                    bottom_mm
                }
            };
            // The footer stands in the margin.
            if bottom <= size_mm.1 - MARGIN_MM + 1.0 {
                sheet.ink_mm = sheet.ink_mm.max(bottom);
            }
        }
        sheet.strokes_mm.sort_by(f64::total_cmp);
        sheet.strokes_mm.dedup();
        sheet
    };
    set.seen().into_iter().map(of).collect()
}

/// A paper as it is set.
pub(crate) struct Set {
    name: String,
    pub(crate) made: Made,
    pub(crate) set: paper::Paper,
}

/// The papers of every case, set once for all tests: card and quote on both papers; the reasons, which are most of the setting, on one in
/// turn; what is signed and paid, which differs little from case to case, of three.
static SETS: LazyLock<Vec<Set>> = LazyLock::new(|| {
    let on = |turn: usize| {
        let mut all = Vec::new();
        for (i, (name, job)) in JOBS.iter().enumerate() {
            let which = match (i + turn) % 2 {
                _ if i < 3 && i % 2 == turn => Which::All,
                0 => Which::Reasons,
                _ => Which::Offered,
            };
            all.extend(papers(name, job, PAPERS[turn], which));
        }
        all
    };
    let (mut all, others) = std::thread::scope(|s| {
        let other = s.spawn(|| on(1));
        (on(0), other.join().unwrap())
    });
    all.extend(others);
    all
});

/// A paper of a case of the demo.
pub(crate) fn set_of(case: &str, what: &str, paper: Paper) -> &'static Set {
    let name = called(case, what, paper);
    SETS.iter().find(|s| s.name == name).unwrap_or_else(|| panic!("{name} is not set"))
}

fn called(case: &str, what: &str, paper: Paper) -> String {
    format!("{case}, {what}, {paper:?}")
}

pub(crate) fn set(name: String, made: Made) -> Set {
    let set = made.set();
    Set { name, made, set }
}

fn cents(n: i64) -> Decimal {
    Decimal::new(n, 2)
}

/// An invoice of a job: its cheapest offer agreed, a deposit paid.
fn invoice_of(job: &Job) -> Invoice {
    let offer = &job.quote.offers[0];
    let lines: Vec<(String, Decimal)> = offer.bill.on_quote().iter().map(|(what, amount)| ((*what).to_owned(), *amount)).collect();
    Invoice {
        shop: job.shop.name.clone(),
        contact: job.shop.contact.clone(),
        customer: job.survey.customer.clone(),
        instrument: card::words::instrument_line(&job.survey),
        job: job.survey.title.clone(),
        date: "2026-11-26".to_owned(),
        currency: job.quote.currency.clone(),
        parts: vec![AgreedPart {
            title: offer.name.clone(),
            prices: Prices::Fixed,
            said: "Signed by A. Parent".to_owned(),
            lines,
            tax: cents(120),
            total: offer.bill.total,
        }],
        paid: vec![Paid { words: "2026-11-20, card, deposit".to_owned(), amount: cents(10_050) }],
        ..Invoice::default()
    }
}

/// Which papers of a job are set.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Which {
    /// Card and quote.
    Offered,
    /// The reasons too.
    Reasons,
    /// Signed quote, supplement and invoice too.
    All,
}

/// The papers of a job.
fn papers(name: &str, job: &Job, (unit, paper): (LengthUnit, Paper), which: Which) -> Vec<Set> {
    let view = JobView::of(job, unit, paper);
    let worth = job.worth_knowing();
    let full = JobView { worth: Some(&worth), ..view };
    let called = |what: &str| called(name, what, paper);
    let signed = Signed { level: Level::Good, name: "A. Parent", day: "2026-11-26", strokes: "M10 10L40 20L60 5" };
    let mut all = vec![set(called("bench card"), card::made(&view)), set(called("quote"), quote_page::made(&view, None))];
    if which != Which::Offered {
        all.push(set(called("reasons"), reasons::made(&full)));
    }
    if which != Which::All {
        return all;
    }
    all.push(set(called("signed quote"), quote_page::made(&view, Some(&signed))));
    if let [first, .., last] = &job.quote.offers[..] {
        let supplement = Supplement {
            shop: job.shop.name.clone(),
            contact: job.shop.contact.clone(),
            prices: Prices::Fixed,
            level: Level::Good,
            found: vec!["a crack under the guard of the bottom bow, which nobody could see before it was off".to_owned()],
            no_longer: vec![],
            lines: quote::supplement::differences(&first.bill, &last.bill),
            before: first.bill.total,
            after: last.bill.total,
            adds: last.bill.total - first.bill.total,
            minutes: 40.0,
            currency: job.quote.currency.clone(),
        };
        let instrument = card::words::instrument_line(&job.survey);
        let shown = SupplementView {
            supplement: &supplement,
            instrument: &instrument,
            customer: &job.survey.customer,
            agreed: "Agreed: Playing condition.",
            paper,
            signed: Some(signed),
        };
        all.push(set(called("supplement"), supplement_page::made(&shown)));
        all.push(set(called("invoice"), invoice::made(&invoice_of(job), paper)));
    }
    all
}

/// An amount of money that stands alone.
fn is_amount(words: &str) -> bool {
    let bare = words.trim_start_matches('−');
    bare.strip_prefix('$').is_some_and(|n| !n.is_empty() && n.chars().all(|c| c.is_ascii_digit() || c == ',' || c == '.'))
}

/// What is wrong with a paper.
pub(crate) fn faults(paper: &Set) -> Vec<String> {
    let mut found = Vec::new();
    let all = sheets(&paper.set);
    for (i, sheet) in all.iter().enumerate() {
        let mut fault = |words: String| found.push(format!("{}, page {}: {words}", paper.name, i + 1));
        let (width, height) = sheet.size_mm;
        for (k, l) in sheet.lines.iter().enumerate() {
            let (left, top, right, bottom) = l.at;
            if left < MARGIN_MM - BEYOND_MM || right > width - MARGIN_MM + BEYOND_MM || top < 4.0 || bottom > height - 4.0 {
                fault(format!("“{}” {:.1?} is beyond the margin", l.words, l.at));
            }
            let pt = l.size_mm * 72.0 / 25.4;
            if TYPE_PT.iter().all(|t| (t - pt).abs() > 0.01) {
                fault(format!("“{}” is set in {pt:.1} pt", l.words));
            }
            for o in sheet.lines[..k].iter().filter(|o| !o.words.is_empty() && !l.words.is_empty() && drawn::overlap(o.at, l.at)) {
                fault(format!("“{}” {:.1?} lies on “{}” {:.1?}", l.words, l.at, o.words, o.at));
            }
        }
        for width in sheet.strokes_mm.iter().filter(|w| LINES_MM.iter().all(|l| (l - **w).abs() > 1e-6)) {
            fault(format!("a line is {width:.2} mm wide"));
        }
        // Each bench has its work list to take along: what comes after it begins a page with its name.
        let new_bench = paper.name.contains("work list") && all.get(i + 1).is_some_and(|next| next.begins_a_chapter());
        if i + 1 < all.len() && sheet.ink_mm < USED * height && !new_bench {
            fault(format!("the last ink is at {:.0} %", 100.0 * sheet.ink_mm / height));
        }
        // Amounts in small print stand in columns: as many right edges as there are columns.
        let mut edges: Vec<f64> = sheet.lines.iter().filter(|l| l.size_mm < 6.0 && is_amount(&l.words)).map(|l| l.at.2).collect();
        edges.sort_by(f64::total_cmp);
        edges.dedup_by(|a, b| (*a - *b).abs() < 0.2);
        let columns = match &paper.name {
            quote if quote.contains("quote") => 3,
            // The sums stand in a block of their own.
            report if report.contains("contract report") => 2,
            _ => 1,
        };
        if !paper.name.contains("reasons") && !paper.name.contains("card") && edges.len() > columns {
            fault(format!("amounts end at {edges:.1?}"));
        }
    }
    for drawing in paper.made.drawings() {
        found.extend(drawn::faults(&drawing).into_iter().map(|f| format!("{}: a drawing: {f}", paper.name)));
    }
    found
}

#[test]
fn every_paper_can_be_read_and_uses_its_pages() {
    let found: Vec<String> = SETS.iter().flat_map(faults).collect();
    for set in SETS.iter() {
        println!("{}: {} pages", set.name, set.set.pages.len());
    }
    let count = found.len();
    assert!(found.is_empty(), "{count} faults:\n{}", found.join("\n"));
}

/// The check itself: what is set over something else, beyond the margin or ends too soon is found.
#[test]
fn a_bad_paper_is_found_out() {
    let line = |words: &str, size| Flow::block(Block::text(Words::of(words, BODY.sized(size))), 2.0, 2.0);
    let over = Block::text(Words::of("one line", BODY));
    let out = Grid::side_by_side(vec![Track::Mm(190.0)], 0.0, vec![Cell::of(Block::right(Words::of("out", BODY)))]).block();
    let amounts = ["$5", "$17.50"].map(|a| Cell::of(Block::text(Words::of(a, SMALL))));
    let mut setter = paper::Setter::default();
    let mut twice = setter.lay(&over, 60.0);
    twice.put(1.0, 1.0, setter.lay(&over, 60.0));
    let flows = vec![
        Flow::block(Block::Laid(twice), 0.0, 2.0),
        Flow::block(Block::Rule(Stroke { width_mm: 0.42, color: BODY.color }), 2.0, 2.0),
        line("large", 11.0),
        Flow::Break,
        Flow::block(out, 0.0, 2.0),
        Flow::block(Grid::side_by_side(vec![Track::Mm(20.0), Track::Mm(20.0)], 0.0, amounts.into()).block(), 2.0, 0.0),
    ];
    let about = About { name: "invoice", kind: "Bad".to_owned(), title: "t".to_owned(), ..About::default() };
    let set = set("bad invoice".to_owned(), Made { about, body: Body::Flows(flows) });
    let found = faults(&set).join("\n");
    for wanted in ["lies on", "beyond the margin", "a line is 0.42 mm wide", "is set in 11.0 pt", "the last ink is at", "amounts end at"] {
        assert!(found.contains(wanted), "“{wanted}” is not in:\n{found}");
    }
    let drawing = r##"<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="20mm"><text x="1" y="5" font-size="2">small</text><text x="1" y="5.5" font-size="3">over</text><line stroke="#171c1b" stroke-width="0.4"/></svg>"##;
    let found = drawn::faults(drawing).join("\n");
    assert!(found.contains("lies on") && found.contains("type of 2") && found.contains("a pen of 0.4"), "{found}");
}

/// Tagged, with a title and a language: what a screen reader asks for; PDF/UA-1 by its own word, which the writer of the file checks.
#[test]
fn every_paper_is_tagged_and_says_what_it_is() {
    for set in SETS.iter().filter(|s| s.name.starts_with("heron-trombone") && s.name.ends_with("A4")) {
        let pdf = set.made.pdf().unwrap();
        let claims = pdf.windows(b"pdfuaid:part".len()).any(|w| w == b"pdfuaid:part");
        assert!(claims, "{} is no PDF/UA", set.name);
        let document = lopdf::Document::load_mem(&pdf).unwrap();
        let catalog = document.catalog().unwrap();
        let marked = catalog.get(b"MarkInfo").and_then(lopdf::Object::as_dict).unwrap();
        assert!(marked.get(b"Marked").and_then(lopdf::Object::as_bool).unwrap() && catalog.has(b"StructTreeRoot"), "{}", set.name);
        assert!(catalog.get(b"Lang").and_then(lopdf::Object::as_str).unwrap().starts_with(b"en"), "{}", set.name);
        let info = document.trailer.get(b"Info").and_then(|r| document.dereference(r)).unwrap().1.as_dict().unwrap().clone();
        assert!(!info.get(b"Title").and_then(lopdf::Object::as_str).unwrap().is_empty(), "{}", set.name);
    }
}

/// One fact, one figure: hours and price as the card, the quote and the pages say them.
#[test]
fn equal_facts_have_equal_figures() {
    let said = |set: &Set| sheets(&set.set).into_iter().flat_map(|s| s.lines).map(|l| l.words).collect::<Vec<_>>().join(" ");
    for (name, job) in JOBS.iter() {
        let (card, quote) = (said(set_of(name, "bench card", Paper::A4)), said(set_of(name, "quote", Paper::A4)));
        let offer = job.quote.of_level(job.plan.level).unwrap();
        // As the plan's page says it.
        let hours = offer.time();
        assert!(card.contains(&hours), "{name}: the card says no {hours}");
        assert!(quote.contains(&format!("About {hours} at the bench")), "{name}: the quote says no {hours}");
        let price = units::money::show_whole(offer.bill.total, &job.quote.currency);
        assert!(quote.contains(&price), "{name}: the quote says no {price}");
    }
}
