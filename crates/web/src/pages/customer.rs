//! The customer's own page behind a link that nobody can guess: plain words, three offers, a signature.

use super::offer_card::{for_customer, told_of_all};
use crate::agreeing::{self, Asked, Said};
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::link::{self, Shows};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::unit_format::UnitFormat;
use crate::{layout, papers, when};
use axum::extract::{ConnectInfo, Path, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, USER_AGENT};
use axum::http::{HeaderMap, HeaderValue};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use plan::Level;
use quote::words::{price_means, price_name};
use quote::{Contact, Prices, Supplement};
use serde::Deserialize;
use std::net::SocketAddr;
use store::By;
use store::agreements::SaidHow;
use store::evidence::CameFrom;
use units::money::show_price;

/// What the customer's form sends.
#[derive(Deserialize)]
pub struct Answer {
    #[serde(default)]
    chosen: String,
    name: String,
    #[serde(default)]
    signature: String,
    answer: String,
}

/// What is said where somebody is signed in whose role may not give quotes.
const NOT_FROM_HERE: &str = "You are signed in here, and your role does not give quotes. The customer answers on their own telephone or tablet, or on one where you are signed out";

/// Longest signature that is kept, bytes of path data.
const SIGNATURE_BYTES: usize = 24_000;

/// The page.
///
/// # Errors
/// Where no quote is behind the link.
pub async fn page(
    State(app): State<App>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    Extension(fmt): Extension<UnitFormat>,
    signed: Option<Extension<Signed>>,
    Path(token): Path<String>,
) -> Outcome<Markup> {
    app.limits().public(from.ip())?;
    app.blocking(move |app| shown(app, fmt, may_answer(signed.as_deref()), &token, &Redisplay::default())).await
}

/// Whether an answer is taken from this browser: nobody is signed in on it, or somebody who may give quotes hands it to the customer.
fn may_answer(signed: Option<&Signed>) -> bool {
    signed.is_none_or(|s| s.may(Need::Quote))
}

fn shown(app: &App, fmt: UnitFormat, may_answer: bool, token: &str, redisplay: &Redisplay) -> Outcome<Markup> {
    let action = format!("/q/{token}");
    let refill = redisplay.form(&action);
    let saved = app.store().quote_by_token(token)?;
    let shows = link::shows(app, &saved)?;
    let asked = Asked::of(&saved)?;
    let line = app.store().board_line(saved.job)?;
    let (shop, level) = match &asked {
        Asked::Offers(q) => (q.shop.clone(), Level::Good),
        Asked::Supplement(s) => (s.shop.clone(), s.level),
    };
    // As it was given: what was found or priced anew since is not on this page.
    let job = app.job_of_quote(&saved, level)?;
    let taken = saved.chosen.as_deref().and_then(|c| asked.taken(c).ok());
    let photos: Vec<i64> = app.store().photos(saved.job)?.into_iter().filter(|p| p.for_customer).map(|p| p.id).collect();
    let contact = app.shop()?.contact;
    let open = shows == Shows::Open && saved.signed_at.is_none();
    Ok(layout::bare_wide(
        &shop,
        html! {
            h1 { (shop) }
            p.big { (line.instrument) }
            @match &asked {
                Asked::Offers(_) if open && !job.survey.has_damage() => p { "This is the work you asked us for, and what it costs. We do nothing before you say yes." },
                Asked::Offers(q) if open => p { "This is what we found, and " (ways(q.offers.len())) " to put it right. We do nothing before you say yes." },
                Asked::Offers(_) => {}
                Asked::Supplement(s) => (supplement(s)),
            }
            @if open { (promise(asked.prices(), saved.valid_until.as_deref())) }
            @if job.survey.has_damage() { (job.where_dents_are(fmt)) }
            (damage(token, &photos))
            @if let Some(name) = saved.signed_by.as_ref().filter(|_| saved.signed_at.is_some()) {
                section.card {
                    @match (&taken, &asked) {
                        (Some((level, total, what)), Asked::Offers(quote)) => { p.big.good { "Thank you, " (name) "." } p { "You chose “" (what) "” for " (show_price(*total, asked.currency())) ". We will tell you when it is ready." }
                            @if let Some(words) = quote.of_level(*level).and_then(|o| o.deposit_words(&quote.currency)) { p { (words) } } }
                        (Some((_, total, _)), Asked::Supplement(_)) => { p.big.good { "Thank you, " (name) "." } p { "We go on with what was found, for " (show_price(*total, asked.currency())) " on top of what was agreed." } }
                        (None, Asked::Offers(_)) => { p.big { "Thank you, " (name) "." } p { "You declined our offers. The instrument waits for you as it is." } }
                        (None, Asked::Supplement(_)) => { p.big { "Thank you, " (name) "." } p { "The work stays as it was agreed." } }
                    }
                    @if let Some(strokes) = &saved.signature { @if !strokes.is_empty() { svg viewBox="0 0 600 160" width="300" height="80" role="img" aria-label="Your signature" style="background:#fff" { path d=(strokes) fill="none" stroke="#111" stroke-width="2.5" {} } } }
                }
            } @else if let Shows::Read(why) = &shows {
                p.note { strong { (why) } }
                @if let Asked::Offers(quote) = &asked {
                    (told_of_all(quote))
                    div.offers { @for offer in &quote.offers { (for_customer(quote, offer)) } }
                }
            } @else if !may_answer {
                p.note { (NOT_FROM_HERE) "." }
            } @else {
                (refill.problems())
                form.stack.printed method="post" action=(action) {
                    @if let Asked::Offers(quote) = &asked {
                        (told_of_all(quote))
                        fieldset.bare {
                            legend.visually-hidden { "Offers" }
                            div.offers {
                                @for offer in &quote.offers {
                                    div { (for_customer(quote, offer)) label.take { input type="radio" name="chosen" required value=(offer.level.key()) checked[refill.has("chosen", offer.level.key(), false)]; "Choose “" (offer.name) "”" } }
                                }
                            }
                        }
                        div.choose-bar {
                            p { span.of-none { "Choose an offer" } @for o in &quote.offers { strong class={ "of of-" (o.level.key()) } { (o.name) ", " (show_price(o.bill.total, &quote.currency)) } } }
                            a.button href="#sign" { "Choose" }
                        }
                    }
                    div.to-sign id="sign" {
                        label { span { "Your name" } input name="name" required maxlength="120" autocomplete="name" value=(refill.text("name", "")); }
                        p { strong { "Sign here" } span.soft { " with a finger or the mouse. Your name alone will do too." } }
                        svg id="signature" viewBox="0 0 600 160" preserveAspectRatio="none" role="img" aria-label="Field for your signature" { path d=(strokes(refill.text("signature", ""))) {} }
                        input type="hidden" name="signature" value=(strokes(refill.text("signature", "")));
                        div.row {
                            button type="submit" name="answer" value="yes" { @if saved.adds_to.is_some() { "Yes, do this too" } @else { "Accept this offer" } }
                            button.plain type="submit" name="answer" value="no" formnovalidate { @if saved.adds_to.is_some() { "No, only what was agreed" } @else { "Decline" } }
                            button.quiet type="button" id="wipe" { "Clear the signature" }
                        }
                    }
                }
            }
            p.screen-only { a.button.plain href={ "/q/" (token) "/quote.pdf" } { @if saved.signed_at.is_some() { "As you signed it, as PDF" } @else { "Quote as PDF" } } }
            (where_to_find(&shop, &contact))
        },
    ))
}

/// How many ways there are.
fn ways(n: usize) -> &'static str {
    match n {
        1 => "one way",
        2 => "two ways",
        _ => "three ways",
    }
}

/// What the price promises and until when it holds.
fn promise(prices: Prices, until: Option<&str>) -> Markup {
    html! {
        p.note {
            strong { (price_name(prices)) ". " } (price_means(prices))
            @if let Some(day) = until { " Valid until " strong { (when::day_words(day)) } "." }
        }
    }
}

/// The photos of the damage that the shop chose for the customer.
fn damage(token: &str, photos: &[i64]) -> Markup {
    html! {
        @if !photos.is_empty() {
            h2 { "Photos of the damage" }
            div.thumbs { @for (i, id) in photos.iter().enumerate() { a.thumb href={ "/q/" (token) "/photos/" (id) } { img src={ "/q/" (token) "/photos/" (id) } loading="lazy" alt={ "Photo " (i + 1) " of the damage" }; } } }
        }
    }
}

/// The shop's address, telephone and e-mail, as far as it tells them.
fn where_to_find(shop: &str, contact: &Contact) -> Markup {
    let dial: String = contact.telephone.chars().filter(|c| c.is_ascii_digit() || *c == '+').collect();
    html! {
        @if !contact.lines().is_empty() {
            section.card.shop-contact {
                h2 { "Questions? Ask us" }
                @if !contact.telephone.is_empty() { a href={ "tel:" (dial) } { (contact.telephone) } }
                @if !contact.email.is_empty() { a href={ "mailto:" (contact.email) } { (contact.email) } }
                @if !contact.address.is_empty() { p { (shop) ", " (contact.address.join(", ")) } }
            }
        }
    }
}

fn supplement(s: &Supplement) -> Markup {
    let money = |x| show_price(x, &s.currency);
    html! {
        p { "While we worked on it we found something that we did not know when we made our offer. We do none of it before you say yes." }
        section.card {
            h2 { "What we found" }
            ul { @for f in &s.found { li { (f) "." } } }
            @if !s.no_longer.is_empty() { p { strong { "With this, these stay, although we had agreed to remove them: " } (s.no_longer.join(", ")) "." } }
            table { tbody {
                @for (what, amount) in s.lines_on_quote() { tr { th scope="row" { (what) } td.n { (money(amount)) } } }
                tr { th scope="row" { "Agreed so far" } td.n { (money(s.before)) } }
                tr { th scope="row" { strong { "This adds" } } td.n { strong { (money(s.adds)) } } }
                tr { th scope="row" { "Then it comes to" } td.n { (money(s.after)) } }
            } }
        }
    }
}

/// A photo of the damage that the shop chose for the customer, without what its file might tell beside the picture.
///
/// # Errors
/// Where no quote is behind the link, or the photo is not for the customer.
pub async fn photo(
    State(app): State<App>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    Path((token, id)): Path<(String, i64)>,
) -> Outcome<Response> {
    app.limits().public(from.ip())?;
    app.blocking(move |app| {
        let saved = app.store().quote_by_token(&token)?;
        link::shows(app, &saved)?;
        let (media, bytes) = app.store().customers_photo(saved.job, id)?;
        let keep = (CACHE_CONTROL, HeaderValue::from_static("private, max-age=3600"));
        Ok(([(CONTENT_TYPE, HeaderValue::from_static(media)), keep], bytes).into_response())
    })
    .await
}

/// The customer answers.
///
/// # Errors
/// Where no quote is behind the link, it was answered, or a field cannot be taken.
pub async fn answer(
    State(app): State<App>,
    (ConnectInfo(from), headers): (ConnectInfo<SocketAddr>, HeaderMap),
    signed: Option<Extension<Signed>>,
    Path(token): Path<String>,
    Extension(fmt): Extension<UnitFormat>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Answer>,
) -> Outcome<Response> {
    app.limits().public(from.ip())?;
    if !may_answer(signed.as_deref()) {
        return Err(Problem::Forbidden(NOT_FROM_HERE));
    }
    let by_whom = signed.map_or_else(String::new, |Extension(s)| s.person.name);
    let address = from.ip().to_canonical().to_string();
    let browser = headers.get(USER_AGENT).map_or_else(String::new, |v| String::from_utf8_lossy(v.as_bytes()).into_owned());
    app.blocking(move |app| {
        let from = CameFrom { address: &address, browser: &browser, under: &by_whom };
        sent.taken(|| answered(app, &token, &f, from, fmt), |redisplay| shown(app, fmt, true, &token, redisplay))
    })
    .await
}

/// `from.under`: who was signed in on the tablet and handed it to the customer; nobody: empty.
fn answered(app: &App, token: &str, f: &Answer, from: CameFrom<'_>, fmt: UnitFormat) -> Outcome<Redirect> {
    let saved = app.store().quote_by_token(token)?;
    if let Shows::Read(why) = link::shows(app, &saved)? {
        return Err(Problem::Bad(why));
    }
    let name: String = f.name.trim().chars().take(120).collect();
    if name.is_empty() {
        return Err(Problem::Bad("please write your name".to_owned()));
    }
    let signature = strokes(&f.signature);
    let by = By { who: "customer", at: when::now() };
    if f.answer == "yes" {
        let said = Said { name: &name, strokes: signature, how: SaidHow::Signed, taken_by: from.under, from };
        agreeing::yes(app, by, &saved, &f.chosen, said, fmt)?;
    } else {
        app.store().decline(by, token, &name, signature, from)?;
    }
    Ok(Redirect::to(&format!("/q/{token}")))
}

/// A signature's strokes; nothing where it is no path of straight strokes, or too long.
fn strokes(sent: &str) -> &str {
    if sent.len() <= SIGNATURE_BYTES && draw::signature(sent).is_some() { sent } else { "" }
}

/// The quote or supplement on paper: as it was given, or, once the customer has signed, the very paper that was signed.
///
/// # Errors
/// Where no quote is behind the link, or the typesetting fails.
pub async fn pdf(
    State(app): State<App>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    Extension(fmt): Extension<UnitFormat>,
    Path(token): Path<String>,
) -> Outcome<Response> {
    app.limits().public(from.ip())?;
    app.blocking(move |app| {
        let saved = app.store().quote_by_token(&token)?;
        link::shows(app, &saved)?;
        let agreed = app.store().agreements_of(saved.job)?.into_iter().find(|a| a.quote == saved.id);
        let bytes = match (agreed.and_then(|a| a.paper), Asked::of(&saved)?) {
            (Some(paper), _) => app.store().content(&paper)?,
            (None, Asked::Offers(quote)) => {
                papers::quote(&*app.job_of_quote(&saved, Level::Good)?, &quote, saved.valid_until.as_deref(), fmt)?
            }
            (None, Asked::Supplement(s)) => {
                let line = agreeing::agreed_line(app, saved.job)?.unwrap_or_default();
                papers::supplement(&*app.job_of_quote(&saved, s.level)?, &s, &line, None, fmt)?
            }
        };
        Ok(([(CONTENT_TYPE, "application/pdf")], bytes).into_response())
    })
    .await
}
