//! What was found later, on paper: what it is, what it adds to what was agreed, and the customer's word.

use crate::job_view::Paper;
use crate::look::{About, BODY, H2, SMALL, STRONG, THIN, amounts, bullets, chapter, flowing, letterhead, paragraph, signature, whole};
use crate::quote_page::Signed;
use crate::typeset::{Body, Made, ReportError, picture};
use paper::{Block, Flow, Words};
use quote::Supplement;
use units::money::show_price;

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
/// Where the paper cannot be set: a defect of the program.
pub fn supplement_pdf(view: &SupplementView) -> Result<Vec<u8>, ReportError> {
    made(view).pdf()
}

pub(crate) fn made(view: &SupplementView) -> Made {
    let s = view.supplement;
    let money = |amount| show_price(amount, &s.currency);
    let about = About {
        name: "supplement",
        kind: "Found while we worked".to_owned(),
        title: view.instrument.to_owned(),
        instrument: view.instrument.to_owned(),
        shop: s.shop.clone(),
        footer: crate::words::footer(&s.shop, &s.contact),
        paper: view.paper,
    };
    let kind = Words::of(format!("Found while we worked on your {}", view.instrument), H2);
    let mut right = vec![Words::of(view.customer, STRONG)];
    right.extend(s.contact.lines().into_iter().map(|line| Words::of(line, SMALL)));
    let mut flows = vec![letterhead(&s.shop, kind, right), paragraph(Words::of(view.agreed, BODY)), chapter("What we found")];
    flows.push(bullets(s.found.iter().map(|f| Words::of(format!("{f}."), BODY)).collect()));
    if !s.no_longer.is_empty() {
        let head = "With this, these stay, although we had agreed to remove them: ";
        flows.push(paragraph(Words::of(head, STRONG).and(format!("{}.", s.no_longer.join(", ")), BODY)));
    }
    flows.push(chapter("What it changes"));
    let lines = s.lines_on_quote().iter().map(|(what, amount)| ((*what).to_string(), money(*amount))).collect::<Vec<_>>();
    let mut sums = vec![
        amounts(lines, BODY, 2.0).block(),
        Block::Rule(THIN),
        amounts([("agreed so far".to_owned(), money(s.before))], BODY, 2.4).block(),
        amounts([("this adds".to_owned(), money(s.adds))], STRONG, 2.4).block(),
        amounts([("then it comes to".to_owned(), money(s.after))], H2, 2.4).block(),
    ];
    if s.minutes >= 1.0 {
        sums.push(Block::text(Words::of(format!("About {} more at the bench.", units::duration::show_minutes(s.minutes)), SMALL)));
    }
    flows.push(flowing(whole(Block::stack(2.4, sums))));
    let order = Words::of("By signing I order this on top of what was agreed. Without my yes the work stays as it was agreed. ", BODY)
        .and(format!("{}. {}", quote::words::price_name(s.prices), quote::words::price_means(s.prices)), STRONG);
    let signed = view.signed.map(|s| (s.name, s.day, draw::signature(s.strokes).map(|d| picture(d, "Signature"))));
    flows.push(Flow::block(whole(Block::stack(0.0, [Block::text(order), signature(signed)])), 7.8, 2.8));
    Made { about, body: Body::Flows(flows) }
}
