//! What a customer's link shows, and for how long: it takes an answer while the quote holds, can be read for some days more, and
//! then says so and whom to call.

use crate::app::{App, SHOP};
use crate::problem::{Outcome, Problem};
use crate::{shop_file, when};
use ::survey::shop_form::prices::with_prices;
use store::By;
use store::links::LinkState;
use store::offers::SavedQuote;

/// For how many days a link can be read after its prices end: where it stands in the settings.
pub const DAYS_AFTER: &str = "link.days_after";
/// Where the shop's telephone stood once, beside the one of the shop's file: [`one_telephone`].
const TELEPHONE_OF_OLD: &str = "shop.telephone";
/// Days, where the shop sets none. Common practice, no source.
pub const USUAL_DAYS_AFTER: u32 = 14;
/// Most days that are taken.
pub const MOST_DAYS_AFTER: u32 = 365;

/// What a link does.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Shows {
    /// It shows the quote and takes an answer.
    Open,
    /// It shows the quote that was answered.
    Answered,
    /// It shows the quote, and why it takes no answer.
    Read(String),
}

/// What the link of a quote does now.
///
/// # Errors
/// [`Problem::Gone`] where it shows nothing any more.
pub fn shows(app: &App, q: &SavedQuote) -> Outcome<Shows> {
    let call = call_us(app)?;
    match app.store().link_state(q)? {
        LinkState::Revoked => return Err(Problem::Gone(format!("this link was closed by the shop. {call}"))),
        LinkState::Withdrawn if q.signed_at.is_none() => return Ok(Shows::Read(format!("This quote was taken back. {call}"))),
        LinkState::Superseded => {
            return match past(app, q)? {
                Some(gone) => Err(gone),
                None => Ok(Shows::Read(format!("There is a newer quote; please use its link. {call}"))),
            };
        }
        _ => {}
    }
    if let Some(gone) = past(app, q)? {
        return Err(gone);
    }
    Ok(match &q.valid_until {
        _ if q.signed_at.is_some() => Shows::Answered,
        Some(day) if when::is_past(day) => Shows::Read(format!("These prices held until {day} and can no longer be accepted here. {call}")),
        _ => Shows::Open,
    })
}

/// That a link shows nothing any more: so many days after its prices ended, or, once it was answered, after its job did.
fn past(app: &App, q: &SavedQuote) -> Outcome<Option<Problem>> {
    let Some(until) = &q.valid_until else { return Ok(None) };
    let mut end = until.clone();
    if q.signed_at.is_some() {
        match app.store().job(q.job)?.closed_at.map(when::day_of) {
            None => return Ok(None),
            Some(day) => end = end.max(day),
        }
    }
    let days = days_after(app)?;
    let over = when::days_until(&end).is_some_and(|left| i64::from(left) < -i64::from(days));
    Ok(if over { Some(Problem::Gone(format!("this link could be read until {days} days after {end}. {}", call_us(app)?))) } else { None })
}

/// The days after which a link can no longer be read.
///
/// # Errors
/// Where the record fails.
pub fn days_after(app: &App) -> Outcome<u32> {
    Ok(app.store().setting(DAYS_AFTER)?.and_then(|d| d.parse().ok()).unwrap_or(USUAL_DAYS_AFTER).min(MOST_DAYS_AFTER))
}

/// The shop has one telephone, that of its file. A record in which another stood for links takes it into the file, where the file
/// says none; a file that says one keeps it.
///
/// # Errors
/// Where the record fails.
pub fn one_telephone(app: &App) -> Outcome<()> {
    let Some(number) = app.store().setting(TELEPHONE_OF_OLD)?.map(|n| n.trim().to_owned()).filter(|n| !n.is_empty()) else { return Ok(()) };
    let by = By { who: "trueround", at: when::now() };
    let file = shop_file::read(app, SHOP)?;
    // An example's prices stay an example: only a file of its own is written to. Until there is one the number waits.
    if !file.own {
        return Ok(());
    }
    if ::survey::read_shop(&file.text).0.contact.telephone.is_empty() {
        // A file that cannot be read is mended by hand; a number that the file would not take is none that a customer can dial.
        if let Ok(text) = with_prices(&file.text, &[("telephone".to_owned(), number)]) {
            app.store().change_setting(by, SHOP, file.version, &text)?;
        }
    }
    app.store().set_setting(by, TELEPHONE_OF_OLD, "")?;
    Ok(())
}

/// Whom to call.
fn call_us(app: &App) -> Outcome<String> {
    let number = match app.shop()?.contact.telephone {
        none if none.is_empty() => app.store().setting(TELEPHONE_OF_OLD)?.unwrap_or_default(),
        number => number,
    };
    Ok(match number.trim() {
        "" => "Please call us.".to_owned(),
        number => format!("Please call us: {number}."),
    })
}
