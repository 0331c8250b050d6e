//! A customer's yes: what it fixes is put together here, whether it is signed behind the link or said to somebody.

use crate::app::{App, level_named};
use crate::papers;
use crate::planned::Planned;
use crate::problem::{Outcome, Problem};
use crate::unit_format::UnitFormat;
use crate::when;
use plan::Level;
use quote::{Offer, Prices, Quote, Supplement};
use report::Signed;
use rust_decimal::Decimal;
use store::By;
use store::agreements::{Agreement, AgreementKind, SaidHow, Yes};
use store::evidence::CameFrom;
use store::offers::SavedQuote;
use units::money::show_price;

/// What is behind a customer's link.
pub enum Asked {
    /// Offers to choose from.
    Offers(Quote),
    /// Something on top of what was agreed.
    Supplement(Supplement),
}

impl Asked {
    /// Read back from a quote as it was given.
    ///
    /// # Errors
    /// Where it cannot be read back.
    pub fn of(saved: &SavedQuote) -> Outcome<Self> {
        // No fault of who asks, and none that asking again mends: it is said, with what helps.
        let broken = |e: serde_json::Error| {
            Problem::Bad(format!("this quote cannot be read back ({e}); the shop gives a new one, or puts the record of a backup back"))
        };
        Ok(match saved.adds_to {
            Some(_) => Self::Supplement(serde_json::from_str(&saved.body).map_err(broken)?),
            None => Self::Offers(serde_json::from_str(&saved.body).map_err(broken)?),
        })
    }

    /// Sign of the currency that it was given in.
    pub fn currency(&self) -> &str {
        match self {
            Self::Offers(q) => &q.currency,
            Self::Supplement(s) => &s.currency,
        }
    }

    /// What its prices promise.
    pub fn prices(&self) -> Prices {
        match self {
            Self::Offers(q) => q.prices,
            Self::Supplement(s) => s.prices,
        }
    }

    /// The offer of a level's key, or the supplement: its level, amount and name.
    ///
    /// # Errors
    /// Where there is no such offer.
    pub fn taken(&self, chosen: &str) -> Outcome<(Level, Decimal, String)> {
        match self {
            Self::Supplement(s) => Ok((s.level, s.adds, "what was found".to_owned())),
            Self::Offers(q) => {
                let offer: &Offer = q
                    .offers
                    .iter()
                    .find(|o| o.level.key() == chosen)
                    .ok_or_else(|| Problem::Bad("please choose one of the offers".to_owned()))?;
                Ok((offer.level, offer.bill.total, offer.name.clone()))
            }
        }
    }
}

/// How a yes came.
#[derive(Clone, Copy)]
pub struct Said<'a> {
    /// The customer's name.
    pub name: &'a str,
    /// The signature's strokes; empty where there are none.
    pub strokes: &'a str,
    /// How it was said.
    pub how: SaidHow,
    /// Who took it, or was signed in on the tablet that was signed on; empty where the customer signed alone.
    pub taken_by: &'a str,
    /// From where it came.
    pub from: CameFrom<'a>,
}

impl Said<'_> {
    /// The name as it stands on the paper.
    fn on_paper(&self) -> String {
        match self.how {
            SaidHow::Signed => self.name.to_owned(),
            SaidHow::Telephone => format!("{}, by telephone; taken by {}", self.name, self.taken_by),
            SaidHow::Counter => format!("{}, at the counter; taken by {}", self.name, self.taken_by),
        }
    }
}

/// Keeps a yes: level, plan, price, what they were made from, and the paper as it is signed.
///
/// # Errors
/// Where the quote cannot be answered any more, or a paper cannot be set.
pub fn yes(app: &App, by: By<'_>, saved: &SavedQuote, chosen: &str, said: Said<'_>, fmt: UnitFormat) -> Outcome<i64> {
    let asked = Asked::of(saved)?;
    let (level, total, _) = asked.taken(chosen)?;
    if saved.valid_until.as_deref().is_some_and(when::is_past) {
        return Err(Problem::Bad("these prices no longer hold; please ask for a new quote".to_owned()));
    }
    let job = app.job_of_quote(saved, level)?;
    let plan = serde_json::to_vec(&job.plan).map_err(|e| Problem::Broken(e.to_string()))?;
    let (name, day) = (said.on_paper(), when::day_of(by.at));
    let signed = Signed { level, name: &name, day: &day, strokes: said.strokes };
    let paper = match &asked {
        Asked::Offers(quote) => papers::signed_quote(&job, quote, saved.valid_until.as_deref(), &signed, fmt)?,
        Asked::Supplement(s) => papers::supplement(&job, s, &agreed_line(app, saved.job)?.unwrap_or_default(), Some(signed), fmt)?,
    };
    let total = total.to_string();
    let yes = Yes {
        level: level.key(),
        total: &total,
        name: said.name,
        signature: said.strokes,
        how: said.how,
        taken_by: said.taken_by,
        plan: ("application/json", &plan),
        paper: Some(&paper),
        from: said.from,
    };
    Ok(app.store().agree_to(by, saved.id, &yes)?)
}

/// What the customer owes for all that was agreed.
///
/// # Errors
/// Where an amount cannot be read back.
pub fn owed(agreements: &[Agreement]) -> Outcome<Decimal> {
    agreements.iter().map(|a| amount(&a.total)).sum()
}

/// An amount of the record.
///
/// # Errors
/// Where it is none.
pub fn amount(text: &str) -> Outcome<Decimal> {
    text.parse().map_err(|_| Problem::Broken(format!("the record holds “{text}” where an amount should be")))
}

/// What was agreed, in one line for the papers and the heads of pages; none before that.
///
/// # Errors
/// Where the record fails.
pub fn agreed_line(app: &App, id: i64) -> Outcome<Option<String>> {
    let all = app.store().agreements_of(id)?;
    let Some((first, more)) = all.split_first() else { return Ok(None) };
    // The currency of then stands in the quote: no plan has to be worked out for a line.
    let given = app.store().quotes_of(id)?.into_iter().find(|q| q.id == first.quote);
    let asked = given.as_ref().map(Asked::of).transpose()?;
    let money = |amount| show_price(amount, asked.as_ref().map_or("", Asked::currency));
    let name = offer_name(first, given.as_ref())?;
    let mut line = format!("Agreed: {name}, {}, {}", money(amount(&first.total)?), how_words(first));
    if !more.is_empty() {
        line.push_str(&format!("; found since and agreed: {}", money(owed(more)?)));
    }
    Ok(Some(line + "."))
}

/// The name of the offer that was agreed, as the quote that was answered calls it.
///
/// # Errors
/// Where the quote cannot be read back.
pub fn offer_name(a: &Agreement, answered: Option<&SavedQuote>) -> Outcome<String> {
    let asked = answered.map(Asked::of).transpose()?;
    let named = asked.and_then(|asked| asked.taken(&a.level).ok()).map(|(_, _, name)| name);
    Ok(match named {
        Some(name) if !is_supplement(a) => name,
        _ => quote::words::name(level_named(&a.level)?).to_owned(),
    })
}

/// How and by whom it was said, with the day.
pub fn how_words(a: &Agreement) -> String {
    let day = when::day_of(a.at);
    match a.how {
        SaidHow::Signed if a.taken_by.is_empty() => format!("signed by {} on {day}", a.said_by),
        SaidHow::Signed => format!("signed by {} on {day}, on a tablet where {} was signed in", a.said_by, a.taken_by),
        SaidHow::Telephone => format!("{} by telephone on {day}, taken by {}", a.said_by, a.taken_by),
        SaidHow::Counter => format!("{} at the counter on {day}, taken by {}", a.said_by, a.taken_by),
    }
}

/// What was found since an agreement: the job as it would be, and where the customer's answer to it stands.
pub struct Since {
    /// The job as it would be, on the rack and the prices that were agreed.
    pub job: std::sync::Arc<Planned>,
    /// Whether the customer was asked about just this.
    pub asked: Option<SavedQuote>,
}

impl Since {
    /// The customer said no to it.
    pub fn declined(&self) -> bool {
        self.asked.as_ref().is_some_and(|q| q.signed_at.is_some() && q.chosen.is_none())
    }
}

/// What was found or decided since the agreement that holds; none where nothing was.
///
/// # Errors
/// Where a content is missing or damaged.
pub fn since(app: &App, agreement: &Agreement) -> Outcome<Option<Since>> {
    let (job, then) = (app.job_since(agreement)?, app.agreed(agreement)?);
    if job.survey == then.survey && job.overrules == then.overrules {
        return Ok(None);
    }
    let newest = app.store().quotes_of(agreement.job)?.into_iter().next().filter(|q| q.adds_to.is_some());
    let asked = match newest {
        Some(q) => {
            let about = app.job_of_quote(&q, job.plan.level)?;
            (about.survey == job.survey && about.overrules == job.overrules).then_some(q)
        }
        None => None,
    };
    Ok(Some(Since { job, asked }))
}

/// The supplement that what was found asks for.
///
/// # Errors
/// Where an amount cannot be read back, or a level has no offer.
pub fn supplement(app: &App, agreement: &Agreement, job: &Planned) -> Outcome<Supplement> {
    let level = level_named(&agreement.level)?;
    let agreed = app.agreed(agreement)?;
    let offer = |q: &Quote| {
        q.offers.iter().find(|o| o.level == level).cloned().ok_or_else(|| Problem::Broken(format!("no offer of level {}", level.key())))
    };
    let (then, now) = (offer(&agreed.quote)?, offer(&job.quote)?);
    let before = owed(&app.store().agreements_of(agreement.job)?)?;
    // What a price promises stands in the quote that was taken, whatever the shop's settings say now.
    let given = app.store().quotes_of(agreement.job)?.into_iter().find(|q| q.id == agreement.quote);
    let prices = given.as_ref().map(Asked::of).transpose()?.map_or(agreed.quote.prices, |asked| asked.prices());
    let adds = now.bill.total - then.bill.total;
    Ok(Supplement {
        shop: job.shop.name.clone(),
        contact: app.shop()?.contact,
        prices,
        level,
        found: quote::supplement::found(&agreed.survey, &job.survey, &job.plan.work),
        no_longer: quote::supplement::no_longer(&job.survey, &agreed.plan, &job.plan),
        lines: quote::supplement::differences(&then.bill, &now.bill),
        before,
        after: before + adds,
        adds,
        minutes: job.plan.minutes.mean() - agreed.plan.minutes.mean(),
        currency: job.quote.currency.clone(),
    })
}

/// Whether an agreement is a supplement.
pub fn is_supplement(a: &Agreement) -> bool {
    a.kind == AgreementKind::Supplement
}
