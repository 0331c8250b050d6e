//! How the installation stands, and what happened at the door.

use crate::app::App;
use crate::auth::Signed;
use crate::doctor::{Stands, examine};
use crate::problem::Outcome;
use crate::{layout, when};
use axum::Extension;
use axum::extract::State;
use maud::{Markup, html};

/// Lines of the door's log that are shown.
const LINES: u32 = 200;

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let found = examine(app.store(), when::now())?;
        let log = app.store().security_log(LINES)?;
        Ok(layout::page(
            &signed,
            "How it stands",
            html! {
                h1 { "How it stands" }
                div.scroll tabindex="0" role="region" aria-label="How it stands" { table.wide {
                    thead { tr { th scope="col" { "Of" } th scope="col" { "Stands" } th scope="col" { "What was found" } } }
                    tbody {
                        @for f in &found {
                            tr { td { (f.of) } td.warn[f.stands != Stands::Well] { (f.stands.word()) } td { (f.says) } }
                        }
                    }
                } }
                p.soft { "The same on the command line: " code { "trueround doctor --data FOLDER" } "." }
                h2 { "At the door" }
                @if log.is_empty() { p.soft { "Nobody has signed in yet." } } @else {
                    div.scroll tabindex="0" role="region" aria-label="At the door" { table.wide data-sorts="" {
                        thead { tr { th { "When" } th { "What" } th { "Name" } th { "Address" } } }
                        tbody {
                            @for l in &log {
                                tr { td data-v=(l.at) { (when::moment(l.at)) } td { (words(&l.what)) @if l.count > 1 { " (" (l.count) " times in a row)" } } td { (l.login) } td { (l.address) } }
                            }
                        }
                    } }
                }
            },
        ))
    })
    .await
}

fn words(what: &str) -> &str {
    match what {
        "signed_in" => "signed in",
        "refused" => "wrong password",
        "held_back" => "wrong password, now held back",
        "signed_out" => "signed out",
        "password_set" => "password set",
        other => other,
    }
}
