//! The papers of a school contract: the report for the district in plain words, and the work list of each bench by day.

use crate::job_view::Paper;
use crate::typeset::{Pictures, ReportError, pdf};
use contract::{Added, Assigned, Bought, Contract, Horn, Left, Planned, Standing, Visit};
use plan::Level;
use quote::rounding::{in_steps, to_step};
use quote::words::name as level_name;
use rust_decimal::Decimal;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use units::LengthUnit;
use units::duration::show_minutes_or_none;
use units::likelihood::show_likelihood;
use units::money::show_whole;

/// What the report looks like.
pub(crate) const REPORT: &str = include_str!("../templates/contract.typ");
/// What the work list looks like.
pub(crate) const WORK: &str = include_str!("../templates/work_list.typ");

/// A contract with its plan, as its papers see it.
#[derive(Clone, Copy)]
pub struct ContractView<'a> {
    /// The contract.
    pub contract: &'a Contract,
    /// Its plan.
    pub planned: &'a Planned,
    /// What more would buy.
    pub bought: &'a [Bought],
    /// The size of the paper.
    pub paper: Paper,
    /// The unit of sizes.
    pub unit: LengthUnit,
    /// A day (ISO 8601) as it is to be said.
    pub day: fn(&str) -> String,
}

/// The district's report.
///
/// # Errors
/// Where the typesetter refuses the template: a defect of the program.
pub fn contract_report_pdf(view: &ContractView) -> Result<Vec<u8>, ReportError> {
    pdf("contract report", REPORT, &report(view), Pictures::default())
}

/// The work list: a bench after the other, a day after the other.
///
/// # Errors
/// Where the typesetter refuses the template: a defect of the program.
pub fn work_list_pdf(view: &ContractView) -> Result<Vec<u8>, ReportError> {
    pdf("work list", WORK, &work_list(view), Pictures::default())
}

/// Instruments, one or more.
fn instruments(n: usize) -> String {
    if n == 1 { "1 instrument".to_owned() } else { format!("{n} instruments") }
}

/// The tags of instruments, so many at the most.
fn tags(all: &[&str], most: usize) -> String {
    let first = all.iter().take(most).copied().collect::<Vec<_>>().join(", ");
    match all.len().saturating_sub(most) {
        0 => first,
        more => format!("{first} and {more} more"),
    }
}

/// What an instrument has been or will be brought to.
fn reaches(view: &ContractView, horn: &Horn) -> Option<(Level, Decimal)> {
    match &horn.standing {
        Standing::Done { level, .. } => horn.offer(*level).map(|o| (*level, o.cost)),
        _ => view.planned.of(&horn.tag).map(|a| (a.level, a.cost)),
    }
}

/// The data of the report.
pub(crate) fn report(view: &ContractView) -> Value {
    let (c, p) = (view.contract, view.planned);
    let money = |d: Decimal| show_whole(d, &c.currency);
    let done: Vec<&Horn> = c.horns.iter().filter(|h| matches!(h.standing, Standing::Done { .. })).collect();
    let left: Vec<(&Horn, Left)> =
        c.horns.iter().filter(|h| reaches(view, h).is_none()).filter_map(|h| Left::why(c, h).map(|w| (h, w))).collect();
    let sound = left.iter().filter(|l| l.1 == Left::Sound).count();
    let all_cost = p.cost + p.spent;
    let musts = c.horns.iter().filter(|h| h.must).count();
    let mut opening = vec![format!(
        "{} of your {} get a repair. {} need none. {} have to wait or are better replaced.",
        done.len() + p.assigned.len(),
        instruments(c.horns.len()),
        sound,
        left.len() - sound
    )];
    if !done.is_empty() {
        opening.push(format!("{} are done already.", done.len()));
    }
    if musts > 0 {
        opening
            .push(format!("All {musts} that must meet your standard (“{}”) are among them or meet it as they are.", level_name(c.minimum)));
    }
    opening.push(format!(
        "The work costs {} of your {}. It is done by {} with a likelihood of {}.",
        money(all_cost),
        money(c.budget),
        (view.day)(&c.deadline),
        show_likelihood(p.likelihood)
    ));
    opening.extend(Some(c.tax.words()).filter(|w| !w.is_empty()));
    let reasons: BTreeMap<Left, Vec<&str>> = left.iter().fold(BTreeMap::new(), |mut m: BTreeMap<Left, Vec<&str>>, (h, w)| {
        m.entry(*w).or_default().push(&h.tag);
        m
    });
    json!({
        "paper": view.paper.name(),
        "title": format!("Repair plan for {}", c.customer),
        "instrument": c.customer,
        "shop": c.shop,
        "footer": c.shop,
        "customer": c.customer,
        "date": (view.day)(&c.from),
        "opening": opening,
        "totals": totals(view, all_cost),
        "schools": schools(view),
        "why_left": reasons.iter().map(|(why, all)| json!({ "why": why.words(), "count": all.len(), "tags": tags(all, 40) })).collect::<Vec<_>>(),
        "more": view.bought.iter().map(|b| more(c, b)).collect::<Vec<_>>(),
        "benches": p.benches.iter().filter_map(|b| {
            let bench = c.bench(&b.id)?;
            Some(json!({
                "name": bench.person,
                "work": show_minutes_or_none(b.mean_min),
                "there": show_minutes_or_none(b.there_min),
                "reserve": show_minutes_or_none(b.there_min - b.mean_min),
                "likely": show_likelihood(b.likelihood),
            }))
        }).collect::<Vec<_>>(),
        "notes": notes(view),
    })
}

fn totals(view: &ContractView, all_cost: Decimal) -> Value {
    let (c, p) = (view.contract, view.planned);
    let money = |d: Decimal| show_whole(d, &c.currency);
    let mut rows = vec![
        ("Repairs that are done", p.spent - c.tools_paid),
        ("Tools made so far, each paid once", c.tools_paid),
        ("Repairs still to do", p.cost - p.tools_cost),
        ("Tools still to make, each paid once", p.tools_cost),
    ];
    rows.retain(|(name, amount)| !amount.is_zero() || *name == "Repairs still to do");
    // What is shown in whole units adds up to the whole that is shown.
    let exact: Vec<Decimal> = rows.iter().map(|r| r.1).collect();
    let shown = in_steps(&exact, to_step(all_cost, Decimal::ONE), Decimal::ONE);
    let rows = rows.into_iter().map(|r| r.0).zip(shown).chain([("All of it", all_cost), ("Your budget", c.budget)]);
    json!(rows.map(|(name, amount)| json!({ "name": name, "amount": money(amount) })).collect::<Vec<_>>())
}

/// A school after the other: what each of its instruments gets.
fn schools(view: &ContractView) -> Vec<Value> {
    let c = view.contract;
    let money = |d: Decimal| show_whole(d, &c.currency);
    let names: BTreeSet<&str> = c.horns.iter().map(|h| h.school.as_str()).collect();
    names
        .into_iter()
        .map(|school| {
            let horns: Vec<&Horn> = c.horns.iter().filter(|h| h.school == school).collect();
            let reached: Vec<(&Horn, Level, Decimal)> =
                horns.iter().filter_map(|h| reaches(view, h).map(|(l, cost)| (*h, l, cost))).collect();
            let of = |level: Level| reached.iter().filter(|r| r.1 == level).count();
            let sound = horns.iter().filter(|h| reaches(view, h).is_none() && Left::why(c, h) == Some(Left::Sound)).count();
            let rows: Vec<Value> = reached
                .iter()
                .map(|(h, level, cost)| {
                    json!({ "tag": h.tag, "name": h.name, "to": h.gets(*level), "when": when(view, h), "cost": money(*cost) })
                })
                .collect();
            json!({
                "name": school,
                "all": horns.len(),
                "sound": sound,
                "play": of(Level::Play),
                "good": of(Level::Good),
                "beautiful": of(Level::Beautiful),
                "left": horns.len() - sound - reached.len(),
                "cost": money(reached.iter().map(|r| r.2).sum()),
                "rows": rows,
            })
        })
        .collect()
}

/// When an instrument is ready, by the expected times.
fn when(view: &ContractView, horn: &Horn) -> String {
    if matches!(horn.standing, Standing::Done { .. }) {
        return "done".to_owned();
    }
    let visit = view.planned.visits.iter().find(|v| v.tag == horn.tag && v.tool.is_none());
    visit.and_then(|v| v.when.last()).map_or_else(String::new, |s| (view.day)(&s.date))
}

fn more(c: &Contract, b: &Bought) -> Value {
    let what = match &b.added {
        Added::Money { amount } => format!("{} more", show_whole(*amount, &c.currency)),
        Added::BenchDay { bench } => {
            let person = c.bench(bench).map_or(bench.as_str(), |b| b.person.as_str());
            format!("One more day of {person}")
        }
        Added::Week => "A week more for all benches".to_owned(),
    };
    let gets: Vec<&str> = b.more.iter().map(|c| c.tag.as_str()).collect();
    let fewer: Vec<&str> = b.less.iter().map(|c| c.tag.as_str()).collect();
    let words = if gets.is_empty() && b.cut {
        "Nothing more was found in the time that was searched.".to_owned()
    } else if gets.is_empty() {
        "Nothing more gets done: this is not what is short.".to_owned()
    } else if fewer.is_empty() {
        format!("More for {}: {}.", instruments(gets.len()), tags(&gets, 12))
    } else {
        format!("More for {}: {}. Less for {}: {}.", instruments(gets.len()), tags(&gets, 12), instruments(fewer.len()), tags(&fewer, 12))
    };
    json!({ "what": what, "points": format!("{}{:.0}", if b.cut { "at least " } else { "" }, b.points), "words": words })
}

fn notes(view: &ContractView) -> Vec<String> {
    let (c, p) = (view.contract, view.planned);
    let mut notes = vec![
        format!(
            "What counts as worth more: {} points for an instrument that plays, {} with its dents out too, {} restored. Times 1 for low, 2 for usual, 3 for high priority. Common practice, no source; you may set other points.",
            c.points.play, c.points.good, c.points.beautiful
        ),
        format!("What is still to do is worth {:.0} points. With this money and time nothing is worth more than {:.0}.", p.value, p.bound),
    ];
    if let Some(greedy) = p.greedy {
        notes.push(format!("Taking the repairs with the most points an hour first gives {greedy:.0} points."));
    }
    notes.push(format!(
        "Repair times are uncertain. The plan keeps a reserve, so that all benches are done by {} with a likelihood of {}. It reckons that a person’s pace over a summer is off by {:.0} %, and what the surveys say by {:.0} % (one standard deviation). Common practice, no source.",
        (view.day)(&c.deadline),
        show_likelihood(p.likelihood),
        c.spread.person * 100.0,
        c.spread.contract * 100.0
    ));
    notes.push("The days are those expected. A job may end some days earlier or later.".to_owned());
    notes
}

/// The data of the work list.
pub(crate) fn work_list(view: &ContractView) -> Value {
    let (c, p) = (view.contract, view.planned);
    let benches: Vec<Value> = c
        .benches
        .iter()
        .map(|b| {
            let visits: Vec<&Visit> = p.visits.iter().filter(|v| v.bench == b.id).collect();
            let dates: BTreeSet<&str> = visits.iter().flat_map(|v| v.when.iter().map(|s| s.date.as_str())).collect();
            let days: Vec<Value> = dates
                .into_iter()
                .map(|date| {
                    let rows: Vec<Value> = visits
                        .iter()
                        .flat_map(|v| v.when.iter().filter(|s| s.date == date).map(move |s| (*v, s)))
                        .map(|(v, s)| row(view, p.of(&v.tag), v, s))
                        .collect();
                    json!({ "day": (view.day)(date), "rows": rows })
                })
                .collect();
            json!({ "name": b.person, "bench": b.id, "days": days })
        })
        .collect();
    json!({
        "paper": view.paper.name(),
        "title": c.customer,
        "instrument": c.customer,
        "shop": c.shop,
        "footer": c.shop,
        "benches": benches,
    })
}

fn row(view: &ContractView, assigned: Option<&Assigned>, v: &Visit, s: &contract::Stretch) -> Value {
    // To five minutes, as all times are said.
    let clock = |m: u32| format!("{}:{:02}", (m + 2) / 5 * 5 / 60, (m + 2) / 5 * 5 % 60);
    let horn = view.contract.horn(&v.tag);
    let gets = |level| horn.map_or_else(String::new, |h| h.gets(level));
    let first = v.when.first() == Some(s);
    let last = v.when.last() == Some(s);
    let what = match (&v.tool, assigned) {
        (Some(tool), _) => format!("Make {}", view.contract.tool_name(tool, view.unit)),
        (None, Some(a)) if a.begun => format!("Finish: {}", gets(a.level)),
        (None, Some(a)) => gets(a.level),
        (None, None) => String::new(),
    };
    let what = match (first, last) {
        (true, true) => what,
        (true, false) => format!("{what}, goes on"),
        (false, false) => format!("{what}, goes on"),
        (false, true) => format!("{what}, to its end"),
    };
    json!({
        "time": format!("{} to {}", clock(s.from_min), clock(s.to_min)),
        "tag": v.tag,
        "name": horn.map_or("", |h| h.name.as_str()),
        "school": horn.map_or("", |h| h.school.as_str()),
        "what": what,
    })
}
