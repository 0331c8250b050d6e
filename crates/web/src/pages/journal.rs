//! The journal: who did what to which job, instrument or customer, and when; found by person, job or tag, kind and day.

use crate::address::encoded;
use crate::app::App;
use crate::auth::Signed;
use crate::journal_words::{About, KINDS, Line};
use crate::problem::{Outcome, Problem};
use crate::{layout, when};
use axum::Extension;
use axum::extract::{Query, State};
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use store::journal::{Entry, Which};

/// Lines on a page.
const MOST: u32 = 200;
/// Longest value that is shown in the line itself.
const SHORT: usize = 60;
/// Longest value that is shown at all; a whole survey is read in the export.
const LONG: usize = 1200;
/// Who signs behind a customer's link.
const CUSTOMER: &str = "customer";

/// What is looked for.
#[derive(Debug, Default, Deserialize)]
pub struct Asked {
    #[serde(default)]
    who: String,
    /// A tag, or a job's number.
    #[serde(default)]
    about: String,
    #[serde(default)]
    kind: String,
    #[serde(default)]
    from: String,
    #[serde(default)]
    until: String,
    /// Lines before this one: the next page.
    #[serde(default)]
    before: Option<i64>,
}

/// The instrument or job that is looked for.
#[derive(Default)]
struct Found {
    jobs: Option<Vec<i64>>,
    instrument: Option<i64>,
    customer: Option<i64>,
}

impl Found {
    fn of(app: &App, about: &str) -> Outcome<Self> {
        let about = about.trim();
        if about.is_empty() {
            return Ok(Self::default());
        }
        if let Ok(job) = about.trim_start_matches('#').parse::<i64>() {
            app.store().job(job)?;
            return Ok(Self { jobs: Some(vec![job]), ..Self::default() });
        }
        let card = app.store().instrument_by_tag(super::instruments::tag_in(about).as_str())?;
        let jobs = app.store().jobs_of_instrument(card.id)?.into_iter().map(|l| l.job.id).collect();
        Ok(Self { jobs: Some(jobs), instrument: Some(card.id), customer: Some(card.customer) })
    }
}

/// A line with its fields read, and address and name of what it is about.
type Told<'a> = (&'a Entry, Line<'a>, Option<(String, String)>);

/// What is named in many lines, asked once.
struct Names<'a> {
    app: &'a App,
    people: BTreeMap<String, String>,
    known: BTreeMap<(u8, i64), Option<(String, String)>>,
}

impl Names<'_> {
    fn who<'b>(&'b self, login: &'b str) -> &'b str {
        match login {
            CUSTOMER => "The customer",
            _ => self.people.get(login).map_or(login, String::as_str),
        }
    }

    /// Address and name of what a line is about; none where it is the shop, or gone.
    fn about(&mut self, about: About) -> Option<(String, String)> {
        let (key, app) = (
            match about {
                About::Job(id) => (0, id),
                About::Instrument(id) => (1, id),
                About::Customer(id) => (2, id),
                About::Shop => return None,
            },
            self.app,
        );
        let look = || match about {
            About::Job(id) => {
                let line = app.store().board_line(id).ok()?;
                Some((format!("/jobs/{id}"), format!("Job {id}, {}, {}", line.tag, line.customer)))
            }
            About::Instrument(id) => {
                let card = app.store().instrument(id).ok()?;
                Some((format!("/instruments/{id}"), [card.tag, card.maker, card.model].join(" ").trim_end().to_owned()))
            }
            About::Customer(id) => Some((format!("/customers/{id}"), app.store().customer(id).ok()?.name)),
            About::Shop => None,
        };
        self.known.entry(key).or_insert_with(look).clone()
    }
}

/// The fields that differ, each from what to what.
fn changes(e: &Entry, line: &Line<'_>) -> Markup {
    let (before, after) = line.sides();
    let names: BTreeSet<&String> = before.keys().chain(after.keys()).filter(|n| !matches!(n.as_str(), "id" | "at" | "version")).collect();
    let words = |name: &str, v: Option<&Value>| match v {
        None | Some(Value::Null) => String::new(),
        Some(Value::String(s)) => s.clone(),
        Some(Value::Number(n)) if e.is_moment(name) => n.as_i64().map_or(String::new(), when::moment),
        Some(other) => other.to_string(),
    };
    let differ: Vec<(&String, String, String)> =
        names.into_iter().map(|n| (n, words(n, before.get(n)), words(n, after.get(n)))).filter(|(_, a, b)| a != b).collect();
    let cut = |s: &str| match s.char_indices().nth(LONG) {
        Some((i, _)) => format!("{}…", &s[..i]),
        None => s.to_owned(),
    };
    let short = |s: &str| s.chars().count() <= SHORT;
    html! {
        @if !differ.is_empty() {
            details data-raw="" {
                summary.small { "Fields" }
                @for (name, from, to) in &differ {
                    @if short(from) && short(to) { p.small { strong { (name.replace('_', " ")) } ": " @if !from.is_empty() { (from) " → " } @if to.is_empty() { "nothing" } @else { (to) } } }
                    @else { p.small.broken { strong { (name.replace('_', " ")) } br; @if !from.is_empty() { "from " (cut(from)) br; } "to " (cut(to)) } }
                }
            }
        }
    }
}

/// The lines that are looked for, newest first.
///
/// # Errors
/// Where there is no such job or tag, or the record fails.
pub async fn latest(State(app): State<App>, Extension(signed): Extension<Signed>, Query(asked): Query<Asked>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let (found, problem) = match Found::of(app, &asked.about) {
            Ok(found) => (found, None),
            Err(Problem::Missing(_)) => (Found { jobs: Some(vec![]), ..Found::default() }, Some("There is no job of that number and no instrument with that tag.")),
            Err(other) => return Err(other),
        };
        let which = Which {
            who: &asked.who,
            record: &asked.kind,
            jobs: found.jobs.as_deref(),
            instrument: found.instrument,
            customer: found.customer,
            from: when::start_of(&asked.from),
            until: when::end_of(&asked.until),
            before: asked.before,
        };
        let entries = app.store().journal_which(&which, MOST)?;
        let people = app.store().people()?;
        let mut names =
            Names { app, people: people.iter().map(|p| (p.login.clone(), p.name.clone())).collect(), known: BTreeMap::new() };
        let mut days: Vec<(String, Vec<Told<'_>>)> = Vec::new();
        for e in &entries {
            let (day, line) = (when::day_of(e.at), Line::of(e));
            let about = names.about(line.about());
            match days.last_mut() {
                Some((d, lines)) if *d == day => lines.push((e, line, about)),
                _ => days.push((day, vec![(e, line, about)])),
            }
        }
        let currency = app.shop()?.currency;
        let older = entries.last().filter(|_| entries.len() == MOST as usize).map(|e| next_page(&asked, e.id));
        Ok(layout::page(
            &signed,
            "Journal",
            html! {
                h1 { "Journal" }
                p.soft { "Every change, newest first. Nothing here can be altered. What happened at the door and how the installation stands: " a href="/doctor" { "how it stands" } "." }
                (form(&asked, &people))
                @if let Some(words) = problem { p.problem role="alert" { (words) } }
                @else if entries.is_empty() { p.soft { "Nothing was found." } }
                @for (day, lines) in &days {
                    h2 { (when::day_words(day)) }
                    ul.plain.lines.journal {
                        @for (e, line, about) in lines {
                            li data-line=(e.id) data-at=(when::moment(e.at)) data-who=(e.who) data-deed={ (e.act) " " (e.record) } {
                                span.num.soft { (when::time_of(e.at)) }
                                div {
                                    p { strong { (names.who(&e.who)) } " " (line.deed(&currency).trim_end_matches('.')) "." }
                                    @if let Some((at, name)) = about { p.small { a href=(at) { (name) } } }
                                    (changes(e, line))
                                }
                            }
                        }
                    }
                }
                @if let Some(at) = older { p { a.button.plain href=(at) { "Older" } } }
            },
        ))
    })
    .await
}

fn form(asked: &Asked, people: &[store::people::Person]) -> Markup {
    html! {
        form.row.find method="get" action="/journal" role="search" {
            label { span { "Who" } select name="who" {
                option value="" { "Anybody" }
                @for p in people { option value=(p.login) selected[asked.who == p.login] { (p.name) } }
                option value=(CUSTOMER) selected[asked.who == CUSTOMER] { "The customer" }
            } }
            label { span { "Tag or job number" } input name="about" value=(asked.about); }
            label { span { "What" } select name="kind" { option value="" { "Everything" } @for (key, words) in KINDS { option value=(key) selected[asked.kind == *key] { (words) } } } }
            label { span { "From" } input type="date" name="from" value=(asked.from); }
            label { span { "Until" } input type="date" name="until" value=(asked.until); }
            button.plain type="submit" { "Find" }
            a.button.quiet href="/journal" { "Clear" }
        }
    }
}

/// The address of the lines before one.
fn next_page(asked: &Asked, before: i64) -> String {
    let fields = [("who", &asked.who), ("about", &asked.about), ("kind", &asked.kind), ("from", &asked.from), ("until", &asked.until)];
    let query: String = fields.iter().filter(|(_, v)| !v.is_empty()).map(|(k, v)| format!("{k}={}&", encoded(v))).collect();
    format!("/journal?{query}before={before}")
}
