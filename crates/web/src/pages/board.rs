//! The jobs: where every open one stands, what is to be done next, and what is due when.

use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::Outcome;
use crate::view::job_lines::{lines_table, next_of, state_name};
use crate::{layout, when};
use axum::Extension;
use axum::extract::{Query, State};
use jiff::ToSpan as _;
use jiff::civil::Date;
use maud::{Markup, html};
use serde::Deserialize;
use store::board::{BoardLine, Which};
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
    /// `late`, `week` or `benches`.
    #[serde(default)]
    show: String,
    /// The week that holds this day.
    #[serde(default)]
    day: String,
    /// Only the jobs of this bench; `none` for those that nobody has.
    #[serde(default)]
    bench: String,
}

/// How the jobs are shown.
enum View {
    Found,
    Open,
    Late,
    Week(Date),
    Benches,
    State(JobState),
}

impl Asked {
    fn view(&self) -> View {
        if !self.find.trim().is_empty() {
            return View::Found;
        }
        match (self.show.as_str(), JobState::parse(&self.state)) {
            ("late", _) => View::Late,
            ("week", _) => View::Week(monday(self.day.parse().unwrap_or_else(|_| when::today()))),
            ("benches", _) => View::Benches,
            (_, Some(state)) => View::State(state),
            _ => View::Open,
        }
    }
}

/// The Monday of a day's week.
fn monday(day: Date) -> Date {
    day.checked_sub(i64::from(day.weekday().to_monday_zero_offset()).days()).unwrap_or(day)
}

/// The jobs.
///
/// # Errors
/// Where the record fails.
pub async fn board(State(app): State<App>, Extension(signed): Extension<Signed>, Query(asked): Query<Asked>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let view = asked.view();
        let today = when::today();
        let (start, end) = (monday(today).to_string(), next_week(monday(today)).to_string());
        let (late, week) = app.store().count_due(&today.to_string(), &start, &end)?;
        let counts = app.store().jobs_by_state()?;
        let count = |s: JobState| counts.iter().find(|(t, _)| *t == s).map_or(0, |(_, n)| *n);
        let open: i64 = JobState::ALL.into_iter().filter(|s| !s.is_closed()).map(count).sum();
        let now = |here: bool| here.then_some("page");
        Ok(layout::page(
            &signed,
            "Jobs",
            html! {
                h1 { "Jobs" }
                @if signed.may(Need::Owner) {
                    @for told in app.store().noticed() { p.bad role="alert" { strong { "The record does not look as this program left it: " } (told) "." } }
                    (saved(app))
                }
                form.row.find method="get" action="/" role="search" {
                    label.grow { span { "Find a job: tag, serial, make, customer, telephone, bench" } input type="search" name="find" value=(asked.find); }
                    button.plain type="submit" { "Find" }
                    @if signed.may(Need::Counter) { a.button href="/customers" { "Take in an instrument" } }
                }
                nav.tabs.scroll aria-label="Jobs" {
                    a href="/" aria-current=[now(matches!(view, View::Open))] { "Open " span.soft { (open) } }
                    a href="/?show=late" aria-current=[now(matches!(view, View::Late))] { "Late " span.soft { (late) } }
                    a href="/?show=week" aria-current=[now(matches!(view, View::Week(_)))] { "This week " span.soft { (week) } }
                    a href="/?show=benches" aria-current=[now(matches!(view, View::Benches))] { "By bench" }
                    @for state in JobState::ALL {
                        a href={ "/?state=" (state.as_str()) } aria-current=[now(matches!(view, View::State(s) if s == state))] { (state_name(state)) " " span.soft { (count(state)) } }
                    }
                }
                @match view {
                    View::Week(monday) => { (week_page(app, monday)?) }
                    View::Benches => { (benches(app, &asked.bench)?) }
                    _ => {
                        @let lines = match view {
                            // A label's code may be typed in by a scanner with its address round the tag.
                            View::Found if asked.find.contains("/tags/") => app.store().find_jobs(&super::instruments::tag_in(&asked.find), MOST)?,
                            View::Found => app.store().find_jobs(asked.find.trim(), MOST)?,
                            View::Late => app.store().jobs_which(&Which::DueBefore(&today.to_string()), MOST)?,
                            View::State(state) => app.store().jobs_which(&Which::In(state), MOST)?,
                            _ => app.store().open_jobs(MOST)?,
                        };
                        (lines_table(&lines))
                        @if lines.len() == MOST as usize { p.soft { "The first " (MOST) " are shown; find by tag, customer or telephone for the rest." } }
                    }
                }
            },
        ))
    })
    .await
}

fn next_week(monday: Date) -> Date {
    monday.checked_add(7.days()).unwrap_or(monday)
}

/// A week's due days, Monday to Sunday, with the way to the weeks beside it.
fn week_page(app: &App, monday: Date) -> Outcome<Markup> {
    let end = next_week(monday);
    let before = monday.checked_sub(7.days()).unwrap_or(monday);
    let lines = app.store().jobs_which(&Which::DueFrom(&monday.to_string(), &end.to_string()), MOST)?;
    let today = when::today();
    let days: Vec<Date> = (0..7).filter_map(|d| monday.checked_add(d.days()).ok()).collect();
    Ok(html! {
        nav.row aria-label="Weeks" {
            a.button.plain href={ "/?show=week&day=" (before) } { "Week before" }
            a.button.plain href={ "/?show=week&day=" (end) } { "Week after" }
            @if !(monday <= today && today < end) { a.button.plain href="/?show=week" { "This week" } }
        }
        div.week {
            @for day in days {
                section.day.today[day == today] {
                    h2 { (day.strftime("%a").to_string()) " " span.soft { (day.strftime("%b %-d").to_string()) } @if day == today { " today" } }
                    @let due: Vec<&BoardLine> = lines.iter().filter(|l| l.job.due.as_deref() == Some(day.to_string().as_str())).collect();
                    @if due.is_empty() { p.soft.small { "Nothing due." } }
                    @for line in due {
                        a.slip href={ "/jobs/" (line.job.id) } {
                            strong { (line.tag) } " " (line.job.title)
                            span.small.soft { (line.customer) @if let Some(bench) = line.bench() { ", " (bench) } }
                            @if line.job.state.is_open_for_due() && day < today { span.small.late { (next_of(line.job.state).0) } } @else { span.small { (state_name(line.job.state)) } }
                        }
                    }
                }
            }
        }
        @if lines.len() == MOST as usize { p.soft { "The first " (MOST) " of the week are shown." } }
    })
}

/// How many open jobs each bench has, and those of the one that is asked for.
fn benches(app: &App, asked: &str) -> Outcome<Markup> {
    let people = app.store().people()?;
    let counts = app.store().count_by_bench(&when::today().to_string())?;
    // Whoever has left and still has jobs stands here too.
    let name = |bench: &Option<i64>| people.iter().find(|p| Some(p.id) == *bench).map_or("Nobody yet", |p| p.name.as_str());
    let address = |bench: &Option<i64>| bench.map_or_else(|| "none".to_owned(), |id| id.to_string());
    let shown = counts.iter().find(|(bench, ..)| address(bench) == asked).map(|(bench, ..)| bench);
    let which = |bench: &Option<i64>| bench.map_or(Which::OnNoBench, Which::OnBenchOf);
    Ok(html! {
        table data-sorts="" {
            thead { tr { th scope="col" { "Bench" } th.n scope="col" { "Open jobs" } th.n scope="col" { "Late" } } }
            tbody {
                @for (bench, open, late) in &counts {
                    tr { td { a href={ "/?show=benches&bench=" (address(bench)) } aria-current=[(shown == Some(bench)).then_some("true")] { (name(bench)) } } td.n data-v=(open) { (open) } td.n data-v=(late) { (late) } }
                }
            }
        }
        @if let Some(bench) = shown { h2 { (name(bench)) } (lines_table(&app.store().jobs_which(&which(bench), MOST)?)) }
    })
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
