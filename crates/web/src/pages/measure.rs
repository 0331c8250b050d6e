//! What to measure next: each input that nobody measured, with what hangs on it. A page of its own, because it works the plan through
//! many times, which nobody wants to wait for at every decision.

use super::job_head::head;
use crate::app::App;
use crate::auth::Signed;
use crate::decisions::method_name;
use crate::layout;
use crate::problem::Outcome;
use axum::Extension;
use axum::extract::{Path, State};
use job::worth::{Point, Worth};
use maud::{Markup, html};
use reach::MethodKind;
use units::duration::show_minutes;
use units::likelihood::show_likelihood;
use units::money::show_about;

/// The page.
///
/// # Errors
/// Where there is no such job or no survey yet.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, id)).await
}

fn shown(app: &App, signed: &Signed, id: i64) -> Outcome<Markup> {
    let line = app.store().board_line(id)?;
    let job = app.job(id)?;
    let found = job.worth_knowing();
    let currency = &job.quote.currency;
    Ok(layout::page(
        signed,
        "What to measure next",
        html! {
            (head(&line, "plan"))
            p { a href={ "/jobs/" (id) "/plan" } { "Back to the plan" } }
            h2 { "What to measure next" }
            p.warn { (signed.fmt.sentence(&found.measure_next(currency))) }
            @let worth: Vec<&Worth> = found.worth_the_walk().collect();
            @if !worth.is_empty() {
                p.soft { "Each was set to a low, a middling and a high value, and the whole plan worked out again." }
                div.scroll tabindex="0" role="region" aria-label="What to measure next" {
                    table data-sorts="" {
                        thead { tr { th scope="col" { "Dent" } th scope="col" { "Measure" } th scope="col" { "It may be" } th scope="col" { "Crack" } th scope="col" { "Its cost" } th scope="col" { "Way" } th scope="col" { "Whole time" } th scope="col" { "Knowing it saves" } } }
                        tbody { @for w in worth { (row(signed, currency, w)) } }
                    }
                }
            }
        },
    ))
}

fn row(signed: &Signed, currency: &str, w: &Worth) -> Markup {
    let each = |of: &dyn Fn(&Point) -> Markup| html! { @for (i, p) in w.points.iter().enumerate() { @if i > 0 { br; } (of(p)) } };
    let dash = || "–".to_owned();
    let way = |kind: Option<MethodKind>| kind.map_or("left", method_name);
    html! {
        tr {
            th scope="row" { (w.dent) }
            td { (w.field.label) }
            td.n { (each(&|p| html! { (signed.fmt.text(&p.value_words())) })) }
            td.n { (each(&|p| html! { (p.crack_likelihood.map_or_else(dash, show_likelihood)) })) }
            td.n { (each(&|p| html! { (p.dent_money.map_or_else(dash, |m| show_about(m, currency))) })) }
            td { (each(&|p| html! { (way(p.method)) })) }
            td.n { (each(&|p| html! { (show_minutes(p.job_min)) })) }
            td.n data-v=(w.saves_money) { (show_about(w.saves_money, currency)) }
        }
    }
}
