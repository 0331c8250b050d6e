//! Sending a quote's link to the customer: to copy, as a code to show, as a draft of a mail; and which photos the customer sees.

use crate::address::encoded;
use crate::agreeing::Asked;
use crate::app::App;
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::view::qr::qr;
use crate::{layout, when};
use axum::extract::{Path, State};
use axum::response::Redirect;
use axum::{Extension, Form};
use maud::{Markup, html};
use qrcode::QrCode;
use quote::Quote;
use serde::Deserialize;
use std::collections::BTreeMap;
use store::By;
use store::offers::{SENT_HOW, SavedQuote};
use units::money::show_price;

/// That a link was sent.
#[derive(Deserialize)]
pub struct Noted {
    quote: i64,
    how: String,
}

/// The ways to send a link that takes an answer, for whoever may give quotes.
///
/// # Errors
/// Where the record fails.
pub fn ways(app: &App, signed: &Signed, q: &SavedQuote, link: &str) -> Outcome<Markup> {
    let code = QrCode::new(link.as_bytes()).map_err(|e| Problem::Broken(e.to_string()))?;
    let to = app.store().customer(app.store().instrument(app.store().job(q.job)?.instrument)?.customer)?;
    let line = app.store().board_line(q.job)?;
    let draft = draft(&Asked::of(q)?, q.valid_until.as_deref(), &to.name, &line.instrument, link);
    let mail = format!("mailto:{}?subject={}&body={}", encoded(&to.email).replace("%40", "@"), encoded(&draft.0), encoded(&draft.1));
    Ok(html! {
        div.send {
            div { (qr(&code, "QR code of the customer’s page")) }
            div {
                label { span { "The customer’s page" } input readonly value=(link) id={ "link-" (q.id) }; }
                div.row {
                    button.plain type="button" data-copy={ "link-" (q.id) } { "Copy the link" }
                    a.button.plain href=(mail) { "Write an e-mail" }
                    @if let Some(token) = &q.token { a.button.plain href={ "/q/" (token) } { "Open the page" } }
                }
                @if to.email.is_empty() { p.soft.small { "No e-mail address is known of " (to.name) "." } }
                p.soft.small { "The customer can scan the code from this screen." }
                @if let Some(at) = q.sent_at { p { "Sent " (SENT_HOW.iter().find(|(k, _)| *k == q.sent_how).map_or("", |(_, words)| words)) ", " (when::moment(at)) "." } }
                form method="post" action={ "/jobs/" (q.job) "/quote/sent" } {
                    (layout::csrf(signed)) input type="hidden" name="quote" value=(q.id);
                    p { "Note that it was sent:" }
                    div.row { @for (key, words) in SENT_HOW { button.plain type="submit" name="how" value=(key) { (capital(words)) } } }
                }
            }
        }
    })
}

/// Subject and body of the mail to the customer.
fn draft(asked: &Asked, until: Option<&str>, customer: &str, instrument: &str, link: &str) -> (String, String) {
    let (shop, contact) = match asked {
        Asked::Offers(q) => (&q.shop, &q.contact),
        Asked::Supplement(s) => (&s.shop, &s.contact),
    };
    let what = match asked {
        Asked::Offers(q) => format!("We looked over your {instrument}. {}Please choose on this page:", prices(q)),
        Asked::Supplement(s) => format!(
            "While we worked on your {instrument} we found something more. It would add {}. Please answer on this page:",
            show_price(s.adds, &s.currency)
        ),
    };
    let valid = until.map_or_else(String::new, |day| format!("The price is valid until {}.\r\n\r\n", when::day_words(day)));
    let signature = [shop.as_str()].into_iter().chain(contact.lines()).collect::<Vec<_>>().join("\r\n");
    // Lines of a mail's body end in CR LF (RFC 6068 §5).
    let body = format!("Hello {customer},\r\n\r\n{what}\r\n\r\n{link}\r\n\r\n{valid}{signature}\r\n");
    (format!("Your {instrument}: repair quote from {shop}").trim_end_matches(" from ").to_owned(), body)
}

/// The prices of the offers, in a sentence; nothing where there are none.
fn prices(q: &Quote) -> String {
    let all: Vec<String> = q.offers.iter().map(|o| format!("{}, {}", o.name, show_price(o.bill.total, &q.currency))).collect();
    if all.is_empty() { String::new() } else { format!("You have these choices: {}. ", all.join("; ")) }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Which of the job's photos the customer sees; nothing where there are none.
///
/// # Errors
/// Where the record fails.
pub fn photos(app: &App, signed: &Signed, job: i64) -> Outcome<Markup> {
    let all = app.store().photos(job)?;
    Ok(html! {
        @if !all.is_empty() {
            details {
                summary { "Photos for the customer (" (all.iter().filter(|p| p.for_customer).count()) " of " (all.len()) ")" }
                form method="post" action={ "/jobs/" (job) "/quote/photos" } {
                    (layout::csrf(signed))
                    div.for-customer { @for p in &all { label {
                        img src={ "/jobs/" (job) "/photos/" (p.id) "/small" } loading="lazy" alt={ "Photo " @if let Some(d) = &p.dent { "of dent " (d) " " } "from " (when::moment(p.at)) };
                        span { input type="checkbox" name={ "photo_" (p.id) } value="yes" checked[p.for_customer]; "Show" }
                    } } }
                    button type="submit" { "Show these to the customer" }
                }
            }
        }
    })
}

/// Notes that a link was sent.
///
/// # Errors
/// Where there is no such quote of the job or no such way.
pub async fn sent(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<Noted>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        app.store().note_sent(By { who: &signed.person.login, at: when::now() }, id, f.quote, &f.how)?;
        Ok(Redirect::to(&format!("/jobs/{id}/quote")))
    })
    .await
}

/// Keeps which photos the customer sees.
///
/// # Errors
/// Where the record fails.
pub async fn choose_photos(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<BTreeMap<String, String>>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let chosen: Vec<i64> = f.keys().filter_map(|k| k.strip_prefix("photo_")?.parse().ok()).collect();
        app.store().show_to_customer(By { who: &signed.person.login, at: when::now() }, id, &chosen)?;
        Ok(Redirect::to(&format!("/jobs/{id}/quote")))
    })
    .await
}
