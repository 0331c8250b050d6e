//! A contract's plan as a page shows it: what each instrument gets, what is left and why, what more would buy, what changed.

use crate::contract_ground::KeptPlan;
use crate::contract_planning::SEARCH;
use crate::view::contract_jobs::{Jobs, link};
use crate::view::shop_frame::in_address;
use contract::more::{Change, Place, since};
use contract::{Added, Bought, Contract, Horn, Left, Standing};
use maud::{Markup, html};
use plan::Level;
use quote::words::name as level_name;
use report::contract_files::day;
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use units::duration::{show_minutes, show_minutes_or_none};
use units::likelihood::show_likelihood;
use units::money::show_whole;

/// Tags named in a line at most.
const MOST_TAGS: usize = 12;

/// Which instruments a table shows.
#[derive(Clone, Debug, Default)]
pub struct Filter {
    /// `planned`, `left`, `done`; else all.
    pub show: String,
    /// Only this bench; empty: all.
    pub bench: String,
    /// Only what holds this text; empty: all.
    pub find: String,
}

/// Where an instrument stands in a plan.
struct Line<'a> {
    horn: &'a Horn,
    level: Option<Level>,
    bench: &'a str,
    days: (&'a str, &'a str),
    cost: Option<Decimal>,
    minutes: Option<f64>,
    state: &'static str,
    left: Option<Left>,
}

fn line<'a>(p: &'a KeptPlan, horn: &'a Horn) -> Line<'a> {
    let nowhere = Line { horn, level: None, bench: "", days: ("", ""), cost: None, minutes: None, state: "left", left: None };
    if let Standing::Done { level, bench, took_min } = &horn.standing {
        let cost = horn.offer(*level).map(|o| o.cost);
        return Line { level: Some(*level), bench, cost, minutes: Some(*took_min), state: "done", ..nowhere };
    }
    let Some(a) = p.planned.of(&horn.tag) else { return Line { left: Left::why(&p.contract, horn), ..nowhere } };
    let visit = p.planned.visits.iter().find(|v| v.tag == horn.tag && v.tool.is_none());
    let days = visit.and_then(|v| Some((v.when.first()?.date.as_str(), v.when.last()?.date.as_str()))).unwrap_or_default();
    Line {
        level: Some(a.level),
        bench: &a.bench,
        days,
        cost: Some(a.cost),
        minutes: Some(a.mean_min),
        state: if a.begun { "begun" } else { "planned" },
        ..nowhere
    }
}

impl Line<'_> {
    fn is_shown(&self, filter: &Filter) -> bool {
        let of_kind = match filter.show.as_str() {
            "planned" => matches!(self.state, "planned" | "begun"),
            "left" => self.state == "left" && self.left != Some(Left::Sound),
            "done" => self.state == "done",
            _ => true,
        };
        let words = format!("{} {} {}", self.horn.tag, self.horn.name, self.horn.school).to_lowercase();
        of_kind
            && (filter.bench.is_empty() || self.bench == filter.bench)
            && filter.find.to_lowercase().split_whitespace().all(|w| words.contains(w))
    }

    /// What it gets, in words.
    fn gets(&self) -> String {
        match (self.level, self.left) {
            (Some(level), _) => {
                format!("{}{}", self.horn.gets(level), if self.state == "planned" { String::new() } else { format!(", {}", self.state) })
            }
            (None, Some(Left::Sound)) => "Needs no work".to_owned(),
            (None, Some(Left::Dear)) => "Left: not worth repairing".to_owned(),
            (None, Some(Left::NoSkill)) => "Left: no bench does it".to_owned(),
            (None, _) => "Left: others come first".to_owned(),
        }
    }

    fn days_words(&self) -> String {
        match self.days {
            ("", _) => String::new(),
            (a, b) if a == b => day(a),
            (a, b) => format!("{} to {}", day(a), day(b)),
        }
    }
}

/// One line of answers.
pub fn answers(p: &KeptPlan) -> Markup {
    let (c, plan) = (&p.contract, &p.planned);
    let money = |d: Decimal| show_whole(d, &c.currency);
    let done = c.horns.iter().filter(|h| matches!(h.standing, Standing::Done { .. })).count();
    let better = plan.greedy.filter(|g| *g > 0.0).map(|g| (100.0 * (plan.value - g) / g, g));
    html! {
        div.answers {
            div { p.big { (plan.assigned.len()) " of " (c.horns.len()) " instruments" } p.soft.small { "get a repair. " @if done == 1 { "1 more is done already." } @else if done > 0 { (done) " more are done already." } } }
            div { p.big { (show_likelihood(plan.likelihood)) } p.soft.small { "Likelihood that all benches are done by " (day(&c.deadline)) ". You asked for " (show_likelihood(c.likelihood)) "." } }
            div { p.big { (money(plan.cost + plan.spent)) " of " (money(c.budget)) } p.soft.small {
                @if !plan.spent.is_zero() { (money(plan.spent)) " for what is done" @if !c.tools_paid.is_zero() { ", " (money(c.tools_paid)) " of it for tools" } ". " }
                @if !plan.tools_cost.is_zero() { "Tools for what is to do: " (money(plan.tools_cost)) ", each paid once. " }
                (c.tax.words()) } }
            div { p.big { (format!("{:.0}", plan.value)) " points" } p.soft.small {
                "No plan is worth more than " (format!("{:.0}", plan.bound)) ". " (gap(plan.gap())) " "
                @if let Some((more, greedy)) = better { @if more >= 0.5 { "Taking the most points an hour first gives " (format!("{greedy:.0}")) ": this is " (format!("{more:.0}")) " % better." } @else { "Taking the most points an hour first does as well." } }
                @else { "Taking the most points an hour first does not hold: it leaves an instrument that must be done." } } }
        }
        @if p.ground.stopped { p.note { "The search was stopped. This is the best plan it had found." } }
    }
}

/// By how much a plan may be worth less than the best there is.
fn gap(part: f64) -> String {
    if part < 0.0001 { "This is the best there is.".to_owned() } else { format!("This one is at most {:.2} % short.", 100.0 * part) }
}

/// The benches with their work.
pub fn benches(p: &KeptPlan) -> Markup {
    html! {
        h2 { "Benches" }
        table.picks {
            thead { tr { th scope="col" { "Bench" } th.n scope="col" { "Work" } th.n scope="col" { "Time there is" } th.n scope="col" { "Done in time" } } }
            tbody { @for b in &p.planned.benches { tr {
                th.wide scope="row" { (b.id) @if let Some(person) = p.contract.bench(&b.id).map(|b| &b.person).filter(|n| !n.is_empty()) { ", " (person) } }
                td.n data-name="Work" { (show_minutes_or_none(b.mean_min)) } td.n data-name="of" { (show_minutes_or_none(b.there_min)) } td.n data-name="Done in time" { (show_likelihood(b.likelihood)) }
            } } }
        }
    }
}

/// What each instrument gets, sorted and sifted; `survey`: the reader may change its rows.
pub fn instruments(p: &KeptPlan, jobs: &Jobs, filter: &Filter, survey: bool) -> Markup {
    let (id, c) = (p.row.contract, &p.contract);
    let all: Vec<Line<'_>> = c.horns.iter().map(|h| line(p, h)).collect();
    let shown: Vec<&Line<'_>> = all.iter().filter(|l| l.is_shown(filter)).collect();
    let shows = [("", "All"), ("planned", "To do"), ("done", "Done"), ("left", "Left")];
    html! {
        h2 id="instruments" { "Instruments" }
        form.row method="get" action={ "/contracts/" (id) "#instruments" } {
            label { span { "Show" } select name="show" { @for (key, words) in shows { option value=(key) selected[filter.show == key] { (words) } } } }
            label { span { "Bench" } select name="bench" { option value="" { "All" } @for b in &c.benches { option value=(b.id) selected[filter.bench == b.id] { (b.id) } } } }
            label.grow { span { "Tag, instrument or school" } input type="search" name="find" value=(filter.find); }
            button.plain type="submit" { "Show" }
        }
        p.soft { (shown.len()) " of " (all.len()) " shown." }
        table.picks data-sorts="" {
            thead { tr { th scope="col" { "Tag" } th scope="col" { "Instrument" } th scope="col" { "Gets" } th scope="col" { "Bench" } th scope="col" { "Days" } th scope="col" { "Job" } th.n scope="col" { "Time" } th.n scope="col" { "Price" } } }
            tbody { @for l in shown { tr {
                td.nowrap { @if survey { a href={ "/contracts/" (id) "/instrument?tag=" (in_address(&l.horn.tag)) } { (l.horn.tag) } } @else { (l.horn.tag) } }
                td.what.wide { (l.horn.name) " " span.soft { (l.horn.school) } @if l.horn.owed(c.minimum) { " " span.state { "must" } } }
                td.wide { (l.gets()) }
                td.nowrap.first { (l.bench) } td.second data-v=(l.days.0) { (l.days_words()) }
                td.wide { @if let Some(job) = jobs.get(&l.horn.tag) { (link(job)) } }
                td.n.first data-v=(l.minutes.unwrap_or(0.0)) { @if let Some(m) = l.minutes { (show_minutes(m)) } }
                td.n.second data-v=(l.cost.unwrap_or_default()) { @if let Some(cost) = l.cost { (show_whole(cost, &c.currency)) } }
            } } }
        }
    }
}

/// Tags, so many at the most.
fn tags(all: &[&str]) -> String {
    let first = all.iter().take(MOST_TAGS).copied().collect::<Vec<_>>().join(", ");
    match all.len().saturating_sub(MOST_TAGS) {
        0 => first,
        more => format!("{first} and {more} more"),
    }
}

/// What is left and why.
pub fn left(p: &KeptPlan) -> Markup {
    let mut why: BTreeMap<Left, Vec<&str>> = BTreeMap::new();
    for l in p.contract.horns.iter().map(|h| line(p, h)).filter(|l| l.state == "left") {
        if let Some(left) = l.left {
            why.entry(left).or_default().push(&l.horn.tag);
        }
    }
    html! {
        @if !why.is_empty() {
            h2 { "What is left, and why" }
            ul { @for (why, all) in &why { li { strong { (all.len()) ". " } (why.words()) " " span.soft { (tags(all)) "." } } } }
        }
    }
}

fn added(c: &Contract, what: &Added) -> String {
    match what {
        Added::Money { amount } => format!("{} more", show_whole(*amount, &c.currency)),
        Added::BenchDay { bench } => {
            let person = c.bench(bench).map(|b| b.person.as_str()).filter(|p| !p.is_empty()).unwrap_or(bench);
            format!("One more day of {person}")
        }
        Added::Week => "A week more for all benches".to_owned(),
    }
}

/// What more money and time would buy.
pub fn more(p: &KeptPlan) -> Markup {
    let gets = |b: &Bought| {
        let (more, less): (Vec<&str>, Vec<&str>) =
            (b.more.iter().map(|c| c.tag.as_str()).collect(), b.less.iter().map(|c| c.tag.as_str()).collect());
        match (more.is_empty(), less.is_empty()) {
            (true, _) if b.cut => "Nothing more was found so far.".to_owned(),
            (true, _) => "Nothing more gets done: this is not what is short.".to_owned(),
            (_, true) => format!("More for {}.", tags(&more)),
            _ => format!("More for {}. Less for {}.", tags(&more), tags(&less)),
        }
    };
    html! {
        h2 { "What more would buy" }
        @let lacking = Added::usual(&p.contract).iter().filter(|a| p.more.iter().all(|b| b.added != **a)).count();
        @if p.more.is_empty() { p.soft { "Not worked out: the plan was stopped before." } }
        @else {
            @if lacking > 0 || p.more.iter().any(|b| b.cut) {
                p.soft { "This search ends after " (SEARCH.as_secs()) " s, or when somebody stops it. It was ended here: “at least” stands where more may be found"
                    @if lacking == 1 { ", and 1 line was not searched." } @else if lacking > 1 { ", and " (lacking) " lines were not searched." } @else { "." } }
            }
            table.picks {
                thead { tr { th scope="col" { "With" } th.n scope="col" { "Points more" } th scope="col" { "Who gains" } } }
                tbody { @for b in &p.more { tr { th scope="row" { (added(&p.contract, &b.added)) } td.n data-name="Points" { @if b.cut { "at least " } (format!("{:.0}", b.points)) } td.wide { (gets(b)) } } } }
            }
        }
    }
}

fn place(p: Option<&Place>) -> String {
    p.map_or_else(
        || "left".to_owned(),
        |p| {
            let from = p.day.as_deref().map(|d| format!(", {}", day(d))).unwrap_or_default();
            format!("{}, {}{from}", level_name(p.level).to_lowercase(), p.bench)
        },
    )
}

/// What changes from the plan before, and what stays as it is.
pub fn difference(before: &KeptPlan, now: &KeptPlan) -> Markup {
    let changes = since(&now.contract, &before.earlier(), &now.planned);
    let (real, moved): (Vec<&Change>, Vec<&Change>) = changes.iter().partition(|c| c.is_of_substance());
    let begun = |h: &&Horn| matches!(h.standing, Standing::Begun { .. } | Standing::Done { .. });
    let fixed = now.contract.horns.iter().filter(begun).count();
    let agreed = now.contract.horns.iter().filter(|h| matches!(h.standing, Standing::Agreed { .. })).count();
    let money = |d: Decimal| show_whole(d, &now.contract.currency);
    let then = &before.contract;
    html! {
        section.card id="changes" {
            h2 { "What changes from the plan before" }
            p { @if fixed == 1 { "1 instrument is done or begun. It stays as it is." } @else { (fixed) " instruments are done or begun. They stay as they are." }
                @if agreed == 1 { " 1 more is agreed in its job: its offer stays, its bench and day may move." }
                @else if agreed > 1 { " " (agreed) " more are agreed in their jobs: their offers stay, benches and days may move." } }
            p {
                (real.len()) @if real.len() == 1 { " instrument changes" } @else { " instruments change" } ", " (moved.len()) " only move to another day."
                @if then.budget != now.contract.budget { " The budget went from " (money(then.budget)) " to " (money(now.contract.budget)) "." }
                @if then.deadline != now.contract.deadline { " The deadline went from " (day(&then.deadline)) " to " (day(&now.contract.deadline)) "." }
                " Points: " (format!("{:.0}", before.planned.value)) " before, " (format!("{:.0}", now.planned.value)) " now."
            }
            @if now.planned.for_staying >= 0.5 { p { (format!("{:.0}", now.planned.for_staying)) " points are left so that instruments keep the offer and the bench of the plan before. A change must bring 1 point an instrument." } }
            @if !real.is_empty() {
                details open[real.len() <= 20] {
                    summary { "Which" }
                    table.picks {
                        thead { tr { th scope="col" { "Tag" } th scope="col" { "Before" } th scope="col" { "Now" } } }
                        tbody { @for c in &real { tr { th scope="row" { (c.tag) } td.wide data-name="before:" { (place(c.before.as_ref())) } td.wide data-name="now:" { (place(c.after.as_ref())) } } } }
                    }
                }
            }
        }
    }
}
