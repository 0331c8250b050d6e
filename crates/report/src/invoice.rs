//! The invoice: what was agreed, line by line, what was added to it, what was paid and what is outstanding; what stays by
//! agreement, and what was not met and who let it go. Its sums are made here once, for the paper and the page.

use crate::job_view::Paper;
use crate::typeset::{Pictures, ReportError, pdf};
use quote::{Contact, Prices};
use rust_decimal::Decimal;
use serde_json::{Value, json};
use units::money::{show_money, to_cents};

/// What the paper looks like.
pub(crate) const TEMPLATE: &str = include_str!("../templates/invoice.typ");

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
/// Where the typesetter refuses the template: a defect of the program.
pub fn invoice_pdf(invoice: &Invoice, paper: Paper) -> Result<Vec<u8>, ReportError> {
    pdf("invoice", TEMPLATE, &data(invoice, paper), Pictures::default())
}

pub(crate) fn data(i: &Invoice, paper: Paper) -> Value {
    let one = |name: &str, amount: Decimal| json!({ "name": name, "amount": i.money(amount) });
    let due = i.outstanding();
    let outstanding = if due < Decimal::ZERO { one("Paid too much, to be returned", -due) } else { one("Outstanding", due) };
    json!({
        "paper": paper.name(),
        "title": i.job,
        "instrument": i.instrument,
        "shop": i.shop,
        "footer": crate::words::footer(&i.shop, &i.contact),
        "contact": i.contact.lines(),
        "customer": i.customer,
        "date": i.date,
        "parts": i.parts.iter().map(|p| json!({
            "title": p.title,
            "price": quote::words::price_name(p.prices),
            "said": p.said,
            "lines": p.lines.iter().map(|(name, amount)| one(name, *amount)).collect::<Vec<_>>(),
            "tax": if p.tax.is_zero() { Value::Null } else { one("Tax", p.tax) },
            "total": i.money(p.total),
        })).collect::<Vec<_>>(),
        "total": i.money(i.total()),
        "tax": if i.tax().is_zero() { Value::Null } else { json!(i.money(i.tax())) },
        "agreed": if i.taken_off.is_empty() { Value::Null } else { one("Agreed in all", i.agreed()) },
        "taken_off": i.taken_off.iter().map(|t| one(&format!("Charged less: {}", t.reason), -t.amount)).collect::<Vec<_>>(),
        "paid": i.paid.iter().map(|p| one(&p.words, -p.amount)).collect::<Vec<_>>(),
        "deposit": i.deposit_words(),
        "outstanding": outstanding,
        "stays": i.stays,
        "not_met": i.not_met.iter().map(|n| json!({ "said": n.said, "lines": n.on_paper() })).collect::<Vec<_>>(),
        "accessories": i.accessories,
        "collected": i.collected,
    })
}
