//! The invoice: what was agreed, line by line, what was added to it, what was paid and what is outstanding; what stays by
//! agreement, and what was not met and who let it go. Its sums are made here once, for the paper and the page.

use crate::job_view::Paper;
use crate::look::{About, BODY, H2, SMALL, STRONG, THIN, WIDE, amounts, bullets, chapter, flowing, letterhead, paragraph, whole};
use crate::typeset::{Body, Made, ReportError};
use paper::{Block, Flow, Words};
use quote::{Contact, Prices};
use rust_decimal::Decimal;
use units::money::{show_money, to_cents};

/// What the customer agreed to: the offer, or a supplement to it.
#[derive(Clone, Debug, PartialEq)]
pub struct AgreedPart {
    /// Its name: "Playing condition", "Supplement 1".
    pub title: String,
    /// What its price promises.
    pub prices: Prices,
    /// Who said yes, when and how.
    pub said: String,
    /// Lines without tax.
    pub lines: Vec<(String, Decimal)>,
    /// Tax.
    pub tax: Decimal,
    /// What it adds to what is owed: the amount that was agreed.
    pub total: Decimal,
}

/// What the shop charges less than was agreed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TakenOff {
    /// How much, tax included.
    pub amount: Decimal,
    /// Why.
    pub reason: String,
}

/// Money that came in.
#[derive(Clone, Debug, PartialEq)]
pub struct Paid {
    /// When, how, and what for.
    pub words: String,
    /// How much.
    pub amount: Decimal,
}

/// An invoice.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Invoice {
    /// The shop.
    pub shop: String,
    /// Where it is found.
    pub contact: Contact,
    /// The customer.
    pub customer: String,
    /// The instrument: maker, model, kind, serial number, tag, the owner's number.
    pub instrument: String,
    /// The job's number and title.
    pub job: String,
    /// The day.
    pub date: String,
    /// Sign of the currency.
    pub currency: String,
    /// What was agreed, oldest first.
    pub parts: Vec<AgreedPart>,
    /// What the shop took off it, oldest first.
    pub taken_off: Vec<TakenOff>,
    /// Money that came in, oldest first.
    pub paid: Vec<Paid>,
    /// What of it was due when the customer said yes.
    pub deposit: Decimal,
    /// Dents that stay by agreement.
    pub stays: Vec<String>,
    /// What was not met and who let it go.
    pub not_met: Vec<NotMet>,
    /// What came with the instrument and whether it went back.
    pub accessories: Vec<String>,
    /// Who collected it; empty where nobody did yet.
    pub collected: String,
}

/// What was not met, and who let it go.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct NotMet {
    /// What, a line each, the weightiest first.
    pub lines: Vec<String>,
    /// Who let it go and why.
    pub said: String,
}

/// Lines of one thing that was let go that the paper shows; the shop keeps the whole list.
const LINES_ON_PAPER: usize = 20;

impl NotMet {
    /// The lines for a paper: the first, and how many more there are.
    fn on_paper(&self) -> Vec<String> {
        let mut lines: Vec<String> = self.lines.iter().take(LINES_ON_PAPER).cloned().collect();
        if let Some(more) = self.lines.len().checked_sub(LINES_ON_PAPER).filter(|n| *n > 0) {
            lines.push(format!("and {more} more, on the shop’s own list"));
        }
        lines
    }
}

impl Invoice {
    /// The sum of what was agreed.
    pub fn agreed(&self) -> Decimal {
        self.parts.iter().map(|p| p.total).sum()
    }

    /// What is owed for the job: what was agreed, less what the shop took off.
    pub fn total(&self) -> Decimal {
        self.agreed() - self.taken_off.iter().map(|t| t.amount).sum::<Decimal>()
    }

    /// Tax in it. What is taken off is taken off every line alike, and the tax on it with it (common practice for a discount that
    /// the seller gives; the shop's state may hold otherwise).
    pub fn tax(&self) -> Decimal {
        let agreed: Decimal = self.parts.iter().map(|p| p.tax).sum();
        if self.taken_off.is_empty() || self.agreed().is_zero() { agreed } else { to_cents(agreed * self.total() / self.agreed()) }
    }

    /// What came in.
    pub fn paid(&self) -> Decimal {
        self.paid.iter().map(|p| p.amount).sum()
    }

    /// What is still to be paid; below zero where too much came in.
    pub fn outstanding(&self) -> Decimal {
        self.total() - self.paid()
    }

    /// What of the deposit is still due; zero where none was asked for.
    pub fn deposit_due(&self) -> Decimal {
        (self.deposit.min(self.total()) - self.paid()).max(Decimal::ZERO)
    }

    /// Whether the deposit is paid, in a sentence; empty where none was asked for.
    pub fn deposit_words(&self) -> String {
        match (self.deposit, self.deposit_due()) {
            (deposit, _) if deposit <= Decimal::ZERO => String::new(),
            (deposit, due) if due.is_zero() => format!("Deposit of {}: paid.", self.money(deposit)),
            (deposit, due) if due < deposit => format!("Deposit of {}: {} still due.", self.money(deposit), self.money(due)),
            (deposit, _) => format!("Deposit of {}: due.", self.money(deposit)),
        }
    }

    /// An amount as a person reads it.
    pub fn money(&self, amount: Decimal) -> String {
        show_money(amount, &self.currency)
    }
}

/// The invoice as PDF.
///
/// # Errors
/// Where the paper cannot be set: a defect of the program.
pub fn invoice_pdf(invoice: &Invoice, paper: Paper) -> Result<Vec<u8>, ReportError> {
    made(invoice, paper).pdf()
}

/// Room between the rows of a bill, mm.
const ROW_MM: f64 = 2.2;

pub(crate) fn made(i: &Invoice, paper: Paper) -> Made {
    let about = About {
        name: "invoice",
        kind: "Invoice".to_owned(),
        title: i.job.clone(),
        instrument: i.instrument.clone(),
        shop: i.shop.clone(),
        footer: crate::words::footer(&i.shop, &i.contact),
        paper,
    };
    let mut right = vec![Words::of(i.customer.as_str(), STRONG), Words::of(i.date.as_str(), BODY)];
    right.extend(i.contact.lines().into_iter().map(|line| Words::of(line, SMALL)));
    let mut flows = vec![letterhead(&i.shop, Words::of("Invoice", H2), right)];
    flows.push(paragraph(Words::of(i.job.as_str(), BODY).and_break().and(i.instrument.as_str(), BODY)));
    flows.push(chapter("What was agreed"));
    if i.parts.is_empty() {
        flows.push(paragraph(Words::of("Nothing was agreed, and nothing is owed.", BODY)));
    }
    flows.extend(i.parts.iter().map(|p| Flow::block(whole(part(i, p)), 0.0, 6.0)));
    flows.push(flowing(whole(sums(i))));
    let list = |flows: &mut Vec<Flow>, items: &[String]| {
        if !items.is_empty() {
            flows.push(bullets(items.iter().map(|w| Words::of(w.as_str(), BODY)).collect()));
        }
    };
    if !i.stays.is_empty() {
        flows.push(chapter("Stays by agreement"));
        list(&mut flows, &i.stays);
    }
    if !i.not_met.is_empty() {
        flows.push(chapter("Not met"));
        for n in &i.not_met {
            flows.push(paragraph(Words::of(n.said.as_str(), BODY)));
            list(&mut flows, &n.on_paper());
        }
    }
    if !i.accessories.is_empty() || !i.collected.is_empty() {
        flows.push(chapter("Hand-back"));
        list(&mut flows, &i.accessories);
        flows.push(paragraph(Words::of(i.collected.as_str(), BODY)));
    }
    Made { about, body: Body::Flows(flows) }
}

/// A name with its amount.
fn named(i: &Invoice, name: &str, amount: Decimal) -> (String, String) {
    (name.to_owned(), i.money(amount))
}

/// What was agreed at one time.
fn part(i: &Invoice, p: &AgreedPart) -> Block {
    let head = Words::of(p.title.as_str(), STRONG).and(" · ", BODY).and(quote::words::price_name(p.prices), BODY);
    let mut blocks = vec![Block::text(head)];
    if !p.said.is_empty() {
        blocks.push(Block::text(Words::of(p.said.as_str(), SMALL)));
    }
    let lines = p.lines.iter().map(|(name, amount)| named(i, name, *amount));
    let tax = (!p.tax.is_zero()).then(|| named(i, "Tax", p.tax));
    blocks.push(Block::Space(3.0));
    blocks.push(amounts(lines.chain(tax), BODY, ROW_MM).block());
    blocks.push(Block::Rule(THIN));
    blocks.push(amounts([named(i, "Agreed", p.total)], STRONG, ROW_MM).block());
    Block::stack(2.0, blocks)
}

/// The sums: what is owed, what came in, what is outstanding.
fn sums(i: &Invoice) -> Block {
    let mut blocks = vec![Block::Rule(WIDE)];
    if !i.taken_off.is_empty() {
        let off = i.taken_off.iter().map(|t| named(i, &format!("Charged less: {}", t.reason), -t.amount));
        blocks.push(amounts([named(i, "Agreed in all", i.agreed())].into_iter().chain(off), BODY, ROW_MM).block());
    }
    blocks.push(amounts([named(i, "Total", i.total())], STRONG, ROW_MM).block());
    if !i.tax().is_zero() {
        blocks.push(Block::text(Words::of(format!("of this, tax: {}", i.money(i.tax())), SMALL)));
    }
    if !i.deposit_words().is_empty() {
        blocks.push(Block::text(Words::of(i.deposit_words(), SMALL)));
    }
    if !i.paid.is_empty() {
        blocks.push(Block::Space(4.0));
        blocks.push(amounts(i.paid.iter().map(|p| named(i, &p.words, -p.amount)), BODY, ROW_MM).block());
    }
    let due = i.outstanding();
    let outstanding = if due < Decimal::ZERO { named(i, "Paid too much, to be returned", -due) } else { named(i, "Outstanding", due) };
    blocks.push(Block::Space(4.5));
    blocks.push(amounts([outstanding], H2, ROW_MM).block());
    Block::stack(2.6, blocks)
}
