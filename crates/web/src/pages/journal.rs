//! The journal: who changed what, when, from what.

use crate::app::App;
use crate::auth::Signed;
use crate::problem::Outcome;
use crate::{layout, when};
use axum::Extension;
use axum::extract::State;
use maud::{Markup, html};

/// The latest lines.
///
/// # Errors
/// Where the record fails.
pub async fn latest(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let entries = app.store().journal_latest(200)?;
        Ok(layout::page(
            &signed,
            "Journal",
            html! {
                h1 { "Journal" }
                p.soft { "Every change, newest first. Nothing here can be altered." }
                div.scroll tabindex="0" role="region" aria-label="Journal" {
                    table {
                        thead { tr { th scope="col" { "When" } th scope="col" { "Who" } th scope="col" { "What" } th scope="col" { "From and to" } } }
                        tbody {
                            @for e in &entries {
                                tr {
                                    td.num { (when::moment(e.at)) }
                                    td { (e.who) }
                                    td { (e.act) " " (e.record) " " (e.row) }
                                    td { details { summary { "Show" } p.small { (e.before.as_deref().unwrap_or("nothing")) } p.small { "→ " (e.after.as_deref().unwrap_or("nothing")) } } }
                                }
                            }
                        }
                    }
                }
            },
        ))
    })
    .await
}
