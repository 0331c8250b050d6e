//! Who does it: how long each takes for a job and what that is at their rate.

use crate::app::App;
use crate::learning;
use crate::problem::Outcome;
use job::Job;
use maud::{Markup, html};
use quote::learn::pace::{at_rate_of, pace_of, person};
use store::board::BoardLine;
use units::duration::{show_minutes, show_minutes_between};
use units::money::show_price;

/// The time of the level that is worked, by each who works at a bench; the one who has it first said.
pub(super) fn who(app: &App, line: &BoardLine, job: &Job) -> Outcome<Markup> {
    let Some(offer) = job.quote.of_level(job.plan.level) else { return Ok(html! {}) };
    let shop = app.shop()?;
    let learned = learning::read(app.store(), &learning::in_use(app.store())?)?;
    let mut names: Vec<String> = shop.people.iter().map(|p| p.name.clone()).collect();
    names.extend(line.bench_name.clone().filter(|n| !names.contains(n)));
    let rows: Vec<_> = names
        .iter()
        .map(|name| {
            let over = pace_of(&shop, learned.as_ref(), name).over_shop;
            let t = &offer.times;
            let hour = at_rate_of(shop.clone(), Some(name)).standards.labour_per_hour;
            let cost = rust_decimal::Decimal::from_f64_retain(t.p50_min * over / 60.0 * hour).unwrap_or_default().round_dp(0);
            (name, show_minutes(t.p50_min * over), show_minutes_between(t.p10_min * over, t.p90_min * over), cost)
        })
        .collect();
    let here = line.bench_name.as_deref();
    Ok(html! {
        @if let Some((name, time, between, _)) = rows.iter().find(|r| Some(r.0.as_str()) == here) {
            p { "With " (name) ": about " strong { (time) } ", 8 of 10 jobs like this " (between) "." }
        }
        @if !rows.is_empty() {
            details id="who" { summary { "How long each takes for it" }
                table {
                    thead { tr { th scope="col" { "Who" } th.n scope="col" { "Time" } th.n scope="col" { "8 of 10" } th.n scope="col" { "At their rate" } } }
                    tbody { @for (name, time, between, cost) in &rows { tr { th scope="row" { (name) } td.n { (time) } td.n { (between) } td.n { (show_price(*cost, &shop.currency)) } } } }
                }
                p.soft.small { "The price stays the same whoever does it: it is the shop’s time. Only a rate of their own changes a quote that is given while the job lies on their bench." }
            }
        }
    })
}

/// That the offers are made with somebody's own rate; nothing where they are not.
pub(super) fn rate(line: &BoardLine, job: &Job) -> Markup {
    let whose = line.bench_name.as_deref().and_then(|n| person(&job.shop, n)).filter(|p| p.per_hour.is_some());
    html! {
        @if let Some(p) = whose { @if let Some(rate) = p.per_hour {
            p.note { "It lies on the bench of " (p.name) ": these offers are made with the rate that you set for them, " (show_price(rate, &job.shop.currency)) " an hour." }
        } }
    }
}
