//! A job's invoice from the record: what was agreed, what came in, what stays by agreement, what was not met and who let it
//! go. The page and the paper are made from this one value.

use crate::agreeing::{Asked, amount, how_words};
use crate::app::App;
use crate::problem::Outcome;
use crate::when;
use quote::Prices;
use report::Invoice;
use report::invoice::{AgreedPart, NotMet, Paid, TakenOff};
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use store::bench::StepState;
use store::counter::JobState;
use store::hand_back::{HOW, Payment};

/// What the customer agreed to in a job, and the dents that stay by it.
#[derive(Default)]
pub struct Agreed {
    /// Offer and supplements, oldest first.
    pub parts: Vec<AgreedPart>,
    /// Names of the dents that stay.
    pub stays: Vec<String>,
    /// What of it was due with the yes.
    pub deposit: Decimal,
    /// The currency that was agreed in, where something was.
    pub currency: Option<String>,
}

/// What was agreed; nothing where nobody said yes, or the job was declined.
///
/// # Errors
/// Where the record fails or a quote cannot be read back.
pub fn agreed(app: &App, id: i64, state: JobState) -> Outcome<Agreed> {
    if state == JobState::Declined {
        return Ok(Agreed::default());
    }
    let agreements = app.store().agreements_of(id)?;
    let Some(newest) = agreements.last() else { return Ok(Agreed::default()) };
    let quotes = app.store().quotes_of(id)?;
    let mut parts = Vec::new();
    let (mut currency, mut deposit) = (None, Decimal::ZERO);
    for a in &agreements {
        let saved = quotes.iter().find(|q| q.id == a.quote);
        let said = format!("Agreed: {}", how_words(a));
        let total = amount(&a.total)?;
        parts.push(match saved.map(Asked::of).transpose()? {
            Some(Asked::Offers(quote)) => {
                currency = Some(quote.currency.clone());
                let offer = quote.offers.iter().find(|o| o.level.key() == a.level);
                deposit = offer.map_or(Decimal::ZERO, |o| o.bill.deposit);
                AgreedPart {
                    title: offer.map_or_else(|| a.level.clone(), |o| o.name.clone()),
                    prices: quote.prices,
                    said,
                    lines: offer.map_or_else(Vec::new, |o| o.bill.lines.iter().map(|l| (l.what.clone(), l.labour + l.parts)).collect()),
                    tax: offer.map_or(Decimal::ZERO, |o| o.bill.tax),
                    total,
                }
            }
            Some(Asked::Supplement(s)) => {
                let tax = s.lines.iter().filter(|l| l.0 == quote::supplement::TAX).map(|l| l.1).sum();
                AgreedPart {
                    title: format!("Found since: {}", s.found.join(", ")),
                    prices: s.prices,
                    said,
                    lines: s.lines.into_iter().filter(|l| l.0 != quote::supplement::TAX).collect(),
                    tax,
                    total,
                }
            }
            None => AgreedPart { title: a.level.clone(), prices: Prices::Fixed, said, lines: vec![], tax: Decimal::ZERO, total },
        });
    }
    let stays = app.agreed(newest)?.plan.not_done.iter().filter_map(|n| n.dent.as_ref().map(|d| d.0.clone())).collect();
    Ok(Agreed { parts, stays, deposit, currency })
}

/// What is charged for each job in which something was agreed: the agreed amounts less what the shop took off, nothing yet paid.
///
/// # Errors
/// Where the record fails.
pub fn agreed_totals(app: &App) -> Outcome<BTreeMap<i64, Decimal>> {
    let mut totals: BTreeMap<i64, Decimal> = BTreeMap::new();
    for (job, total) in app.store().agreed_amounts()? {
        *totals.entry(job).or_default() += amount(&total)?;
    }
    for (job, less) in app.store().all_reductions()? {
        if let Some(total) = totals.get_mut(&job) {
            *total -= amount(&less)?;
        }
    }
    Ok(totals)
}

/// How a payment is told.
pub fn paid_words(p: &Payment) -> String {
    let how = HOW.iter().find(|(key, _)| *key == p.how).map_or(p.how.as_str(), |(_, words)| words);
    let note = if p.note.is_empty() { String::new() } else { format!(", {}", p.note) };
    format!("Paid {} by {how}{note}", when::day_of(p.at))
}

/// The invoice of a job as it stands.
///
/// # Errors
/// Where there is no such job or the record fails.
pub fn invoice(app: &App, id: i64) -> Outcome<Invoice> {
    let store = app.store();
    let line = store.board_line(id)?;
    let card = store.instrument(line.job.instrument)?;
    let shop = app.shop()?;
    let Agreed { parts, stays, deposit, currency } = agreed(app, id, line.job.state)?;
    let mut paid = Vec::new();
    for p in store.payments(id)?.iter().filter(|p| !p.void) {
        paid.push(Paid { words: paid_words(p), amount: amount(&p.amount)? });
    }
    let mut taken_off = Vec::new();
    for r in store.reductions(id)?.into_iter().filter(|r| !r.void && !parts.is_empty()) {
        taken_off.push(TakenOff { amount: amount(&r.amount)?, reason: r.reason });
    }
    let words = [
        Some(line.instrument.clone()),
        (!card.serial.is_empty()).then(|| format!("serial {}", card.serial)),
        Some(format!("tag {}", card.tag)),
        (!card.asset.is_empty()).then(|| format!("owner's number {}", card.asset)),
    ];
    let collected = store.hand_backs(id)?.into_iter().next();
    let closed = line.job.closed_at.filter(|_| line.job.state == JobState::HandedBack);
    Ok(Invoice {
        shop: shop.name,
        contact: shop.contact,
        customer: line.customer,
        instrument: words.into_iter().flatten().collect::<Vec<_>>().join(", "),
        job: format!("Job {id}: {}", line.job.title),
        date: closed.map_or_else(|| when::today().to_string(), when::day_of),
        currency: currency.unwrap_or(shop.currency),
        parts,
        taken_off,
        paid,
        deposit,
        stays: stays_words(&stays),
        not_met: not_met(app, id)?,
        accessories: store
            .accessories(id)?
            .iter()
            .map(|a| {
                format!(
                    "{}{}",
                    a.name,
                    if collected.is_none() {
                        ""
                    } else if a.back {
                        ": went back"
                    } else {
                        ": did not go back"
                    }
                )
            })
            .collect(),
        collected: collected.map_or(String::new(), |h| {
            let note = if h.note.is_empty() { String::new() } else { format!(". {}", h.note) };
            format!("Collected by {}, {}{note}", h.collected_by, when::moment(h.at))
        }),
    })
}

fn stays_words(dents: &[String]) -> Vec<String> {
    match dents.len() {
        0 => vec![],
        1 => vec![format!("One dent stays: {}.", dents[0])],
        n => vec![format!("{n} dents stay: {}.", dents.join(", "))],
    }
}

/// What was not met: checks that failed and were let go, what was let go when the job was called ready or handed back, and
/// steps that were left out.
///
/// # Errors
/// Where the record fails.
pub fn not_met(app: &App, id: i64) -> Outcome<Vec<NotMet>> {
    let store = app.store();
    let mut all = Vec::new();
    for check in store.acceptance_records(id)?.into_iter().filter(store::acceptance::AcceptanceRecord::let_go) {
        let figure = if check.figure.is_empty() { String::new() } else { format!(" {}", check.figure) };
        let what = format!("{}:{figure}, wanted {}", check.what, check.wanted);
        all.push(NotMet { lines: vec![what], said: format!("Let go by {}: {}.", check.let_go_by, check.reason) });
    }
    for l in store.let_go(id)?.into_iter().filter(|l| matches!(l.at_act.as_str(), "ready" | "hand_back")) {
        all.push(NotMet { lines: l.what, said: format!("Let go by {}: {}.", l.name, l.reason) });
    }
    let skipped = store.steps(id)?.into_iter().filter(|s| s.state == StepState::Skipped);
    let lines: Vec<String> = skipped.map(|step| format!("{}, because {}", step.what, step.note)).collect();
    if !lines.is_empty() {
        all.push(NotMet { lines, said: "Left out at the bench:".to_owned() });
    }
    Ok(all)
}
