//! The files of a contract's plan: contract.json, problem.json, work lists, calendar, report.

use crate::fail::{Done, Fail};
use contract::{Bought, Contract, Left, Planned};
use icalendar::{Calendar, Component, Event};
use jiff::civil::Date;
use report::{ContractView, Paper};
use serde_json::json;

/// A file: its name and its bytes.
pub type File = (&'static str, Vec<u8>);

/// All files.
pub fn all(contract: &Contract, planned: &Planned, bought: &[Bought], paper: Paper) -> Done<Vec<File>> {
    let view = ContractView { contract, planned, bought, paper, day };
    let report = |e: report::ReportError| Fail::Machine(format!("typesetting: {e}"));
    let broken = |what: &'static str| move |e: &dyn std::fmt::Display| Fail::Machine(format!("{what}: {e}"));
    let mut problem = serde_json::to_vec_pretty(&planned.problem).map_err(|e| broken("problem.json")(&e))?;
    problem.push(b'\n');
    let left: Vec<_> = contract
        .horns
        .iter()
        .filter(|h| planned.of(&h.tag).is_none())
        .filter_map(|h| Left::why(contract, h).map(|why| json!({ "tag": h.tag, "why": why, "words": why.words() })))
        .collect();
    let whole = json!({ "trueround_contract_plan": 1, "contract": contract, "plan": planned, "left": left, "more": bought });
    let mut whole = serde_json::to_vec_pretty(&whole).map_err(|e| broken("contract.json")(&e))?;
    whole.push(b'\n');
    Ok(vec![
        ("report.pdf", report::contract_report_pdf(&view).map_err(report)?),
        ("work-list.pdf", report::work_list_pdf(&view).map_err(report)?),
        ("work-list.csv", work_list(contract, planned)?),
        ("calendar.ics", calendar(contract, planned).into_bytes()),
        ("contract.json", whole),
        ("problem.json", problem),
    ])
}

/// A day as it is said: `Mon, Aug 3`.
pub fn day(iso: &str) -> String {
    iso.parse::<Date>().map_or_else(|_| iso.to_owned(), |d| d.strftime("%a, %b %-d").to_string())
}

fn clock(min: u32) -> String {
    format!("{}:{:02}", min / 60, min % 60)
}

/// The work list as a table: a row a stretch of work.
fn work_list(contract: &Contract, planned: &Planned) -> Done<Vec<u8>> {
    let fail = |e: &dyn std::fmt::Display| Fail::Machine(format!("work-list.csv: {e}"));
    let mut csv = csv::Writer::from_writer(Vec::new());
    csv.write_record(["bench", "person", "date", "from", "to", "tag", "instrument", "school", "work", "expected_min"])
        .map_err(|e| fail(&e))?;
    for v in &planned.visits {
        let horn = contract.horn(&v.tag);
        let work = match (&v.tool, planned.of(&v.tag)) {
            (Some(tool), _) => format!("Make {tool}"),
            (None, Some(a)) => quote::words::name(a.level).to_owned(),
            (None, None) => String::new(),
        };
        for s in &v.when {
            csv.write_record([
                v.bench.as_str(),
                contract.bench(&v.bench).map_or("", |b| b.person.as_str()),
                s.date.as_str(),
                clock(s.from_min).as_str(),
                clock(s.to_min).as_str(),
                v.tag.as_str(),
                horn.map_or("", |h| h.name.as_str()),
                horn.map_or("", |h| h.school.as_str()),
                work.as_str(),
                (s.to_min - s.from_min).to_string().as_str(),
            ])
            .map_err(|e| fail(&e))?;
        }
    }
    csv.into_inner().map_err(|e| fail(&e))
}

/// The calendar (RFC 5545): an event a stretch of work, in local time. Its names stay the same when the plan is made again, so
/// that a calendar takes the new one in place of the old; nothing in it turns on the moment at which it was written.
pub fn calendar(contract: &Contract, planned: &Planned) -> String {
    let mut calendar = Calendar::new();
    calendar.name(&format!("{}: work list", contract.customer));
    for v in &planned.visits {
        let Some(horn) = contract.horn(&v.tag) else { continue };
        let what = match (&v.tool, planned.of(&v.tag)) {
            (Some(tool), _) => format!("Make {tool}"),
            (None, Some(a)) => quote::words::name(a.level).to_owned(),
            (None, None) => continue,
        };
        for (n, s) in v.when.iter().enumerate() {
            let compact = s.date.replace('-', "");
            let at = |min: u32| format!("{compact}T{:02}{:02}00", min / 60, min % 60);
            let plain: String = format!("{}-{}-{}", v.tag, v.tool.as_deref().unwrap_or("work"), n + 1)
                .chars()
                .map(|c| if c.is_ascii_alphanumeric() || c == '-' { c } else { '-' })
                .collect();
            let mut event = Event::new();
            event.uid(&format!("{}-{plain}@contract.trueround", contract.deadline));
            event.add_property("DTSTAMP", format!("{}T000000Z", contract.from.replace('-', "")));
            event.add_property("DTSTART", at(s.from_min)).add_property("DTEND", at(s.to_min));
            event.summary(&format!("{} {}: {what}", v.tag, horn.name));
            event.description(&format!("{}, {}", horn.school, v.bench));
            calendar.push(event.done());
        }
    }
    calendar.to_string()
}
