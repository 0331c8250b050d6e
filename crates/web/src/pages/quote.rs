//! The quote: three offers, given to the customer behind a link that nobody can guess.

use super::given;
use super::job_head::head;
use super::offer_card::{for_counter, told_of_all};
use crate::agreeing::{self, Asked, Said, how_words, is_supplement, owed};
use crate::app::{App, level_named};
use crate::auth::{Need, Signed};
use crate::ground::Ground;
use crate::hosts::CheckedHost;
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::unit_format::UnitFormat;
use crate::{layout, papers, password, when};
use axum::extract::{Path, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use job::Job;
use maud::{Markup, html};
use quote::words::{price_means, price_name};
use quote::{Offer, Prices, Quote};
use serde::Deserialize;
use store::By;
use store::agreements::SaidHow;
use store::board::BoardLine;
use store::counter::JobState;
use store::evidence::CameFrom;
use store::offers::{NewQuote, SavedQuote};
use units::money::show_price;

/// The form that gives a quote.
#[derive(Deserialize)]
pub struct Give {
    /// Whether it takes the place of one that is out.
    #[serde(default)]
    replace: String,
    /// What its prices promise, by key; empty: what the shop's settings say.
    #[serde(default)]
    prices: String,
}

/// A yes that was told to somebody.
#[derive(Deserialize)]
pub struct Told {
    quote: i64,
    #[serde(default)]
    chosen: String,
    name: String,
    how: String,
}

/// The level that the shop looks at.
#[derive(Deserialize)]
pub struct Looked {
    level: String,
}

/// The quote's page.
///
/// # Errors
/// Where there is no such job or no survey yet.
pub async fn page(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(CheckedHost(host)): Extension<CheckedHost>,
    Path(id): Path<i64>,
) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, &host, id, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, host: &str, id: i64, redisplay: &Redisplay) -> Outcome<Markup> {
    let line = app.store().board_line(id)?;
    if let Some(page) = super::job_head::comes_first(app, signed, &line, "quote")? {
        return Ok(page);
    }
    let now = app.job_as_it_stands(id)?;
    let given = app.store().quotes_of(id)?;
    let agreements = app.store().agreements_of(id)?;
    let money = |x| show_price(x, &now.quote.currency);
    let told_at = format!("/jobs/{id}/quote/told");
    let open = given.first().filter(|q| q.signed_at.is_none() && signed.may(Need::Quote));
    Ok(layout::page(
        signed,
        "Quote",
        html! {
            (head(&line, "quote"))
            (redisplay.head())
            (late_by_order(&line, &now))
            @if !agreements.is_empty() {
                section.card {
                    h2 { "Agreed" }
                    table { tbody {
                        @for a in &agreements { tr {
                            th scope="row" { @if is_supplement(a) { "Found since" } @else { (agreeing::offer_name(a, given.iter().find(|q| q.id == a.quote))?) } ", " (how_words(a)) }
                            td.n { (money(owed(std::slice::from_ref(a))?)) }
                            td { div.doors { @if a.paper.is_some() { a href={ "/jobs/" (id) "/agreements/" (a.id) ".pdf" } { "as signed" } } a href={ "/jobs/" (id) "/agreements/" (a.id) } { "its plan" } } }
                        } }
                        tr { th scope="row" { strong { "In all" } } td.n { strong { (money(owed(&agreements)?)) } } td {} }
                    } }
                    (super::terms::chosen(app, id, &agreements, &given, &now.shop)?)
                    p.soft { "A price, a tool or a dent that changes now changes nothing of this; what is found goes to the customer as a supplement." }
                }
            }
            @if let Some(newest) = given.iter().find(|q| q.adds_to.is_none()) { (against(newest, &now.quote)?) }
            @if !given.is_empty() { h2 { "Given to the customer" } }
            @for q in &given { (given::card(app, signed, host, q)?) }
            @if signed.may(Need::Quote) { (super::send_link::photos(app, signed, id)?) }
            @if let Some(q) = open {
                details open[redisplay.form(&told_at).refused()] {
                    summary { "The customer said yes by telephone or at the counter" }
                    (told_form(signed, &told_at, q, redisplay)?)
                }
            }
            h2 { @if given.is_empty() { @if now.quote.offers.len() == 3 { "The three offers" } @else { "What we offer" } } @else { "As the plan stands now" } }
            @if now.quote.offers.is_empty() { p.soft { "By the survey nothing is damaged and no work is asked for: there is nothing to offer. Enter the first dent, or add work." } }
            (super::bench_who::rate(&line, &now))
            (super::terms::of_job(app, signed, &line, &now.shop, redisplay)?)
            (told_of_all(&now.quote))
            div.offers { @for offer in &now.quote.offers { (for_counter(&now.quote, offer)) } }
            div.row {
                @if signed.may(Need::Quote) && matches!(line.job.state, JobState::Received | JobState::Surveyed | JobState::Quoted) {
                    @if given.first().is_some_and(|q| q.signed_at.is_none()) {
                        details {
                            summary { "Send a new quote" }
                            form method="post" action={ "/jobs/" (id) "/quote" } {
                                (layout::csrf(signed)) input type="hidden" name="replace" value="yes";
                                (promises(now.quote.prices))
                                p { "The customer has a quote that is not answered. Its link will say that there is a newer one. On the job's page the new one can be taken back." }
                                button.plain type="submit" { "Yes, replace it" }
                            }
                        }
                    } @else { form method="post" action={ "/jobs/" (id) "/quote" } { (layout::csrf(signed)) (promises(now.quote.prices)) button type="submit" { "Give this quote" } } }
                }
                a.button.plain href={ "/jobs/" (id) "/quote.pdf" } { "Quote as PDF" }
                a.button.plain href={ "/jobs/" (id) "/bench-card.pdf" } { "Bench card as PDF" }
            }
        },
    ))
}

/// What the price promises: chosen at the counter when the quote is given; the shop's usual is chosen already.
fn promises(usual: Prices) -> Markup {
    html! {
        fieldset.bare {
            legend { strong { "What the price promises" } }
            @for p in Prices::ALL { label { input type="radio" name="prices" value=(p.key()) checked[p == usual]; span { (price_name(p)) ": " span.soft { (price_means(p)) } } } }
        }
    }
}

/// What the customer was given beside what the plan says now; nothing where they are the same.
fn against(given: &SavedQuote, now: &Quote) -> Outcome<Markup> {
    let then = match Asked::of(given) {
        Ok(Asked::Offers(then)) => then,
        Ok(Asked::Supplement(_)) => return Ok(html! {}),
        Err(problem) => return Ok(html! { p.bad role="alert" { (problem.to_string()) } }),
    };
    let total = |q: &Quote, o: &Offer| q.offers.iter().find(|x| x.level == o.level).map(|x| x.bill.total);
    if then.offers.iter().all(|o| total(now, o) == Some(o.bill.total)) {
        return Ok(html! {});
    }
    let money = |x| show_price(x, &now.currency);
    Ok(html! {
        section.card {
            h2 { "What the customer holds, and what the plan says now" }
            div.scroll tabindex="0" role="region" aria-label="Given and now" {
                table {
                    thead { tr { th scope="col" { "" } th.n scope="col" { "Given " (when::moment(given.made_at)) } th.n scope="col" { "Now" } } }
                    tbody { @for o in &then.offers { tr { th scope="row" { (o.name) } td.n { strong { (money(o.bill.total)) } } td.n { @match total(now, o) { Some(x) => (money(x)), None => "–" } } } } }
                }
            }
            p.soft { "What was given holds. Send a new quote only where the customer is to have the new prices." }
        }
    })
}

fn told_form(signed: &Signed, action: &str, q: &SavedQuote, redisplay: &Redisplay) -> Outcome<Markup> {
    let refill = redisplay.form(action);
    let Ok(asked) = Asked::of(q) else { return Ok(html! { p { "It cannot be read back, so no yes to it can be kept." } }) };
    Ok(html! {
        (refill.problems())
        form.stack method="post" action=(action) {
            (layout::csrf(signed)) input type="hidden" name="quote" value=(q.id);
            @if let Asked::Offers(quote) = &asked {
                label { span { "What the customer chose" } select name="chosen" required {
                    option value="" { "–" }
                    @for o in &quote.offers { option value=(o.level.key()) selected[refill.has("chosen", o.level.key(), false)] { (o.name) ", " (show_price(o.bill.total, &quote.currency)) } }
                } }
            }
            label { span { "Who said it" } input name="name" required maxlength="120" value=(refill.text("name", "")); }
            label { span { "How" } select name="how" { option value="telephone" { "by telephone" } option value="counter" selected[refill.has("how", "counter", false)] { "at the counter" } } }
            button type="submit" { "Keep this yes, taken by " (signed.person.name) }
        }
    })
}

/// Keeps a yes that the customer told somebody.
///
/// # Errors
/// Where the quote cannot be answered any more or a field is missing.
pub async fn told(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(CheckedHost(host)): Extension<CheckedHost>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Told>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| kept(app, &signed, id, &f), |redisplay| shown(app, &signed, &host, id, redisplay))).await
}

fn kept(app: &App, signed: &Signed, id: i64, f: &Told) -> Outcome<Redirect> {
    let name: String = f.name.trim().chars().take(120).collect();
    if name.is_empty() {
        return Err(Problem::Bad("who said it? write the customer's name".to_owned()));
    }
    let how = match f.how.as_str() {
        "telephone" => SaidHow::Telephone,
        "counter" => SaidHow::Counter,
        other => return Err(Problem::Bad(format!("there is no way “{other}” to say yes"))),
    };
    let quotes = app.store().quotes_of(id)?;
    let q = quotes.iter().find(|q| q.id == f.quote).ok_or_else(|| Problem::Missing("there is no such quote of this job".to_owned()))?;
    let by = By { who: &signed.person.login, at: when::now() };
    let from = CameFrom { under: &signed.person.name, ..CameFrom::default() };
    let said = Said { name: &name, strokes: "", how, taken_by: &signed.person.name, from };
    agreeing::yes(app, by, q, &f.chosen, said, signed.fmt)?;
    Ok(Redirect::to(&format!("/jobs/{id}/quote")))
}

/// Sets the level that plan, bench and papers look at until the customer has said yes.
///
/// # Errors
/// Where there is no such level, or an offer was agreed.
pub async fn look_at(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<Looked>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        // What was sent is no fault of the program's.
        let level = level_named(&f.level).map_err(|_| Problem::Bad("there is no such level: choose one of the three".to_owned()))?;
        app.store().look_at_level(By { who: &signed.person.login, at: when::now() }, id, level.key())?;
        Ok(Redirect::to(&format!("/jobs/{id}/plan")))
    })
    .await
}

/// Keeps the terms of the job.
///
/// # Errors
/// Where they cannot be taken, or somebody saved in between.
pub async fn keep_terms(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(CheckedHost(host)): Extension<CheckedHost>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<super::terms::OfJob>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| super::terms::kept(app, &signed, id, &f), |redisplay| shown(app, &signed, &host, id, redisplay)))
        .await
}

/// Gives the quote as it stands now, and keeps what it was made from.
///
/// # Errors
/// Where there is no such job or no survey yet, or the job's state does not allow it.
pub async fn give(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<Give>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let job = app.job_as_it_stands(id)?;
        if job.quote.offers.is_empty() {
            return Err(Problem::Bad(
                "by the survey nothing is damaged and no work is asked for: there is nothing to offer; enter the first dent, or add work"
                    .to_owned(),
            ));
        }
        let by = By { who: &signed.person.login, at: when::now() };
        let from = app.sources(id)?;
        let ground = Ground::keep(app.store(), by, &job.survey, &from, &job.overrules, &when::today().to_string())?;
        let prices = Prices::read(&f.prices).unwrap_or(job.quote.prices);
        let body = serde_json::to_string(&Quote { prices, ..job.quote.clone() }).map_err(|e| Problem::Broken(e.to_string()))?;
        let (until, token, made_from) = (when::in_days(job.quote.valid_days), password::token()?, ground.to_json()?);
        let new = NewQuote { token: &token, body: &body, valid_until: Some(&until), made_from: Some(&made_from), adds_to: None };
        if f.replace == "yes" {
            app.store().replace_quote(by, id, &new)?;
        } else {
            app.store().add_quote(by, id, &new)?;
        }
        Ok(Redirect::to(&format!("/jobs/{id}/quote")))
    })
    .await
}

/// The quote on paper, as it stands now.
///
/// # Errors
/// Where there is no such job, no survey yet, or the typesetting fails.
pub async fn pdf(State(app): State<App>, Extension(fmt): Extension<UnitFormat>, Path(id): Path<i64>) -> Outcome<Response> {
    app.blocking(move |app| {
        let job = app.job_as_it_stands(id)?;
        let bytes = papers::quote(&job, &job.quote, None, fmt)?;
        Ok(([(CONTENT_TYPE, "application/pdf")], bytes).into_response())
    })
    .await
}

/// That a part which is ordered today comes too late for the day on which the job is due; nothing where it does not, or the work is on.
pub fn late_by_order(line: &BoardLine, job: &Job) -> Markup {
    let ordering = matches!(line.job.state, JobState::Received | JobState::Surveyed | JobState::Quoted | JobState::Approved);
    let waits = job.quote.of_level(job.plan.level).and_then(Offer::delivery_days).filter(|_| ordering);
    let due = line.job.due.as_deref().and_then(|day| Some((day, when::days_until(day)?)));
    match (waits, due) {
        (Some(waits), Some((day, left))) if i64::from(left) < i64::from(waits) => html! {
            p.warn { strong { "Too late for " (day) ". " } "A part is ordered and takes about " (waits) " days; the job is due " (when::due(day).words) ". Ask the customer for a later day, or where the part can be had sooner." }
        },
        _ => html! {},
    }
}
