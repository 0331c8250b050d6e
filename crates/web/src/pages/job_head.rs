//! What stands at the head of a job's pages: what it is, where it stands, what comes first.

use crate::agreeing::{self, Asked};
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::Outcome;
use crate::view::job_lines::state_name;
use crate::{layout, when};
use maud::{Markup, html};
use store::board::BoardLine;
use units::money::show_whole;

/// The head of each of a job's pages: what it is, where it stands, and the way to the others.
pub fn head(line: &BoardLine, here: &str) -> Markup {
    let id = line.job.id;
    html! {
        h1 { a.num href={ "/instruments/" (line.job.instrument) "/history" } title="Everything about this instrument" { (line.tag) } " " (line.job.title) }
        p { (line.instrument) ", " (line.customer) " · " span.state { (state_name(line.job.state)) } @if let Some(due) = &line.job.due { @if line.job.state.is_open_for_due() { " · due " (when::due(due).words) } @else if line.job.state.is_closed() { " · was due " (due) } @else { " · due " (due) } } }
        nav.tabs.scroll aria-label="Job" {
            @for (name, words) in [("job", "Job"), ("survey", "Survey"), ("plan", "Plan"), ("quote", "Quote"), ("bench", "Bench"), ("checks", "Final checks"), ("hand-back", "Pickup")] {
                @let path = if name == "job" { format!("/jobs/{id}") } else { format!("/jobs/{id}/{name}") };
                a href=(path) aria-current=[(name == here).then_some("page")] { (words) }
            }
        }
    }
}

/// A telephone number as a link dials it.
pub(super) fn dialed(phone: &str) -> String {
    phone.chars().filter(|c| c.is_ascii_digit() || *c == '+').collect()
}

/// What it costs: what was agreed, else what is offered.
pub(super) fn price_words(app: &App, id: i64) -> Outcome<Markup> {
    let agreed = app.store().agreements_of(id)?;
    let quotes = app.store().quotes_of(id)?;
    let newest = quotes.iter().filter(|q| q.adds_to.is_none()).max_by_key(|q| q.id).map(Asked::of).transpose()?;
    let money = |amount: rust_decimal::Decimal| show_whole(amount, newest.as_ref().map_or("", Asked::currency));
    if !agreed.is_empty() {
        return Ok(html! { strong { (money(agreeing::owed(&agreed)?)) } " agreed" });
    }
    Ok(match &newest {
        Some(Asked::Offers(q)) => {
            let totals: Vec<_> = q.offers.iter().map(|o| o.bill.total).collect();
            match (totals.iter().min(), totals.iter().max()) {
                (Some(low), Some(high)) if low == high => html! { (money(*low)) " offered" },
                (Some(low), Some(high)) => html! { (money(*low)) " to " (money(*high)) " offered, not answered" },
                _ => html! { span.soft { "no quote yet" } },
            }
        }
        _ => html! { span.soft { "no quote yet" } },
    })
}

/// The page that says what has to be done before this one means anything; none where nothing has.
///
/// # Errors
/// Where the record fails.
pub(super) fn comes_first(app: &App, signed: &Signed, line: &BoardLine, here: &str) -> Outcome<Option<Markup>> {
    if app.store().survey_body(line.job.id)?.is_some() {
        return Ok(None);
    }
    let says = match here {
        "plan" => "The plan follows from the survey.",
        "quote" => "The quote follows from the survey.",
        "checks" => "The final checks follow from the survey and the work.",
        _ => "The steps at the bench follow from the survey.",
    };
    Ok(Some(layout::page(
        signed,
        "Survey first",
        html! {
            (head(line, here))
            section.card.next-deed {
                p { strong { "Survey first. " } (says) " Nobody has recorded the damage yet." }
                @if signed.may(Need::Survey) { a.button href={ "/jobs/" (line.job.id) "/survey" } { "Survey it" } } @else { p.soft { "A technician or an apprentice does this." } }
            }
        },
    )))
}

/// Who does what the reader may not.
pub(super) fn who_does(need: Need) -> &'static str {
    match need {
        Need::Survey | Need::Bench | Need::AcceptanceCheck => "A technician or an apprentice does this.",
        _ => "The counter or a technician does this.",
    }
}
