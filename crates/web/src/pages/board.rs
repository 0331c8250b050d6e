//! The board: where every open job stands and what is due.

use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::Outcome;
use crate::view::job_lines::{lines_table, state_name};
use crate::{layout, when};
use axum::Extension;
use axum::extract::{Query, State};
use maud::{Markup, html};
use serde::Deserialize;
use store::counter::JobState;

/// Lines shown at most.
const MOST: u32 = 100;

/// What may stand behind the address.
#[derive(Deserialize, Default)]
pub struct Asked {
    /// Words to find.
    #[serde(default)]
    find: String,
    /// Only this state.
    #[serde(default)]
    state: String,
}

/// The board.
///
/// # Errors
/// Where the record fails.
pub async fn board(State(app): State<App>, Extension(signed): Extension<Signed>, Query(asked): Query<Asked>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let only = JobState::parse(&asked.state);
        let lines = match (asked.find.trim(), only) {
            ("", None) => app.store().open_jobs(MOST)?,
            ("", Some(state)) => app.store().jobs_in(state, MOST)?,
            (text, _) => app.store().find_jobs(text, MOST)?,
        };
        let counts = app.store().jobs_by_state()?;
        let count = |s: JobState| counts.iter().find(|(t, _)| *t == s).map_or(0, |(_, n)| *n);
        Ok(layout::page(
            &signed,
            "Board",
            html! {
                h1 { "Board" }
                @if signed.may(Need::Owner) {
                    @for told in app.store().noticed() { p.bad role="alert" { strong { "The record does not look as this program left it: " } (told) "." } }
                    (saved(app))
                }
                form.row method="get" action="/" role="search" {
                    label.grow { span { "Find a job: tag, serial, make, customer" } input type="search" name="find" value=(asked.find); }
                    button type="submit" { "Find" }
                    @if signed.may(Need::Counter) { a.button.plain href="/customers" { "Take in an instrument" } }
                }
                nav.tabs aria-label="Jobs by state" {
                    a href="/" aria-current=[(only.is_none() && asked.find.is_empty()).then_some("page")] { "Open" }
                    @for state in JobState::ALL {
                        a href={ "/?state=" (state.as_str()) } aria-current=[(only == Some(state)).then_some("page")] {
                            (state_name(state)) " " span.soft { (count(state)) }
                        }
                    }
                }
                (lines_table(&lines))
                @if lines.len() == MOST as usize { p.soft { "The first " (MOST) " are shown; find by tag or customer for the rest." } }
            },
        ))
    })
    .await
}

/// Seconds without a backup after which the owner is reminded: a week.
const REMINDED_AFTER_S: i64 = 7 * 24 * 3600;

/// What the owner is told of the last backup; nothing where it is whole and younger than a week.
fn saved(app: &App) -> Markup {
    let words = match app.store().last_backup() {
        None => "No backup has been made yet.".to_owned(),
        Some(last) if !last.whole => {
            format!("The backup of {} does not hold the whole record. Make another and read what it says.", when::moment(last.at))
        }
        Some(last) if when::now() - last.at > REMINDED_AFTER_S => {
            format!("The last backup is {} days old.", (when::now() - last.at) / (24 * 3600))
        }
        Some(_) => return html! {},
    };
    html! {
        p.warn { strong { (words) } " Start the shop with --backup-to and a folder on another disk: it then saves itself every day." }
    }
}
