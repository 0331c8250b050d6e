//! Do quotes hold? What was said of finished jobs against what they took, and the correction that would have made it hold.

use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::{Outcome, Problem};
use crate::view::drawings::chart;
use crate::view::figures::sentence;
use crate::view::history_tabs::tabs;
use crate::view::names::kind_name;
use crate::{layout, learning, when};
use axum::extract::State;
use axum::response::Redirect;
use axum::{Extension, Form};
use draw::chart::{ReliabilityPoint, reliability_chart};
use maud::{Markup, html};
use quote::Correction;
use quote::learn::Calibration;
use quote::learn::calibration::{FEWEST, INTERVAL, Share, calibrated};
use serde::Deserialize;
use store::By;

/// Width of the chart, mm.
const WIDTH_MM: f64 = 76.0;

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed)).await
}

fn looked_at(app: &App) -> Outcome<(Option<Calibration>, usize, Option<Correction>)> {
    let (past, unknown) = learning::past(app.store())?;
    let correction = learning::correction(&learning::correction_text(app.store())?)?;
    Ok((calibrated(&past, correction), unknown, correction))
}

fn shown(app: &App, signed: &Signed) -> Outcome<Markup> {
    let (looked, unknown, correction) = looked_at(app)?;
    Ok(layout::page(
        signed,
        "Do quotes hold?",
        html! {
            h1 { "Do quotes hold?" }
            (tabs("/history/quotes"))
            @match &looked {
                None => p.soft { "No job was quoted, agreed and finished with all its steps timed yet." },
                Some(c) => {
                    @if c.jobs < FEWEST { p.note { strong { "Too few. " } (jobs(c.jobs)) " say next to nothing; from " (FEWEST) " on it is worth looking." } }
                    p.big { (c.within.held) " of " (jobs(c.jobs)) " stayed within what was said" }
                    p { "8 of 10 are meant. With 9 chances in 10 the true share is " (interval(&c.within)) ". The middle job took " (format!("{:.2}", c.median_ratio)) " times the middle that was said." }
                    (reliability(c))
                    (by_kind(c))
                    (suggestion(signed, c, correction))
                }
            }
            @if unknown > 0 { p.soft { (jobs(unknown)) " left out: a step without a timer, or a timer in doubt. Jobs to which something was added on the way are left out too." } }
            @if let Some(c) = correction { (laid_on(signed, &c)) }
            p.why { "Intervals: " (sentence(&INTERVAL.text)) }
        },
    ))
}

fn jobs(n: usize) -> String {
    format!("{n} finished {}", if n == 1 { "job" } else { "jobs" })
}

fn percent(part: f64) -> String {
    format!("{:.0} %", 100.0 * part)
}

fn interval(s: &Share) -> String {
    format!("{} to {}", percent(s.interval.0), percent(s.interval.1))
}

fn reliability(c: &Calibration) -> Markup {
    let points: Vec<ReliabilityPoint> =
        c.reliability.iter().map(|(said, s)| ReliabilityPoint { said: *said, held: s.part(), interval: s.interval }).collect();
    let table = html! {
        table {
            thead { tr { th.n scope="col" { "Said" } th.n scope="col" { "Held" } th.n scope="col" { "Jobs" } th.n scope="col" { "9 chances in 10 between" } } }
            tbody { @for (said, s) in &c.reliability { tr { th.n scope="row" { (percent(*said)) } td.n { (percent(s.part())) } td.n { (s.held) " of " (s.of) } td.n { (interval(s)) } } } }
        }
    };
    html! { div.charts { (chart("Said and held", &reliability_chart(&points, c.jobs < FEWEST, WIDTH_MM), "", &table)) } }
}

fn by_kind(c: &Calibration) -> Markup {
    let row = |name: &str, s: &Share| {
        html! { tr { th scope="row" { (name) } td.n { (s.held) " of " (s.of) } td.n { (percent(s.part())) } td.n { (interval(s)) } } }
    };
    html! {
        h2 { "By kind of work" }
        p { "The share that stayed between the times that were said. 80 % is meant." }
        div.scroll tabindex="0" role="region" aria-label="By kind of work" {
            table {
                thead { tr { th scope="col" { "Work" } th.n scope="col" { "Held" } th.n scope="col" { "Share" } th.n scope="col" { "9 chances in 10 between" } } }
                tbody {
                    @for (level, s) in &c.by_level { (row(quote::words::name(*level), s)) }
                    @for (kind, s) in &c.by_family { (row(&kind_name(*kind), s)) }
                }
            }
        }
    }
}

fn factors(c: &Correction) -> String {
    format!("times {:.2} on every time, ranges {:.2} times as wide", c.mean, c.spread)
}

fn suggestion(signed: &Signed, c: &Calibration, now: Option<Correction>) -> Markup {
    html! {
        section.card {
            h2 { "Correction" }
            @match &c.suggestion {
                None => p { "Only " (jobs(c.as_now)) " were quoted as quotes are made now" @if now.is_some() { ", with this correction" } ". From " (FEWEST) " on a correction is worked out." },
                Some(s) => {
                    p { (jobs(c.as_now)) " were quoted as quotes are made now. They would have held with: " strong { (factors(s)) } "." }
                    @if c.asked_for { p { "What was said lies outside what chance explains: a correction is called for." } }
                    @else { p { "What was said lies within what chance explains: no correction is called for." } }
                    @if signed.may(Need::Owner) {
                        form method="post" action="/history/quotes" {
                            (layout::csrf(signed))
                            button class=[(!c.asked_for).then_some("plain")] type="submit" name="act" value="correct" { "Correct new quotes" }
                        }
                        p.soft.small { "Nothing is corrected by itself. Quotes that were given stay as they are; the correction can be taken off at any time." }
                    }
                }
            }
        }
    }
}

fn laid_on(signed: &Signed, c: &Correction) -> Markup {
    html! {
        section.card {
            h2 { "In use" }
            p { "New quotes are corrected: " strong { (factors(c)) } ", after " (jobs(c.jobs as usize)) "." }
            @if signed.may(Need::Owner) {
                form method="post" action="/history/quotes" { (layout::csrf(signed)) button.plain type="submit" name="act" value="take-off" { "Take the correction off" } }
            }
        }
    }
}

/// What the forms send.
#[derive(Deserialize)]
pub struct Act {
    #[serde(default)]
    act: String,
}

/// Lays the suggested correction on new quotes, or takes it off.
///
/// # Errors
/// Where there is nothing to correct with.
pub async fn keep(State(app): State<App>, Extension(signed): Extension<Signed>, Form(f): Form<Act>) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let by = By { who: &signed.person.login, at: when::now() };
        match f.act.as_str() {
            "correct" => {
                let suggested = looked_at(app)?.0.and_then(|c| c.suggestion);
                let suggested = suggested.ok_or_else(|| Problem::Bad("too few finished jobs to correct by".to_owned()))?;
                learning::correct(app.store(), by, Some(&suggested))?;
            }
            "take-off" => learning::correct(app.store(), by, None)?,
            other => return Err(Problem::Bad(format!("there is no act {other}"))),
        }
        Ok(Redirect::to("/history/quotes"))
    })
    .await
}
