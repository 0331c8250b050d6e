//! The files of a contract's plan: contract.json, problem.json, work lists, calendar, report.

use crate::contract_page::{ContractView, contract_report_pdf, work_list_pdf};
use crate::typeset::ReportError;
use contract::Left;
use icalendar::{Calendar, Component, Event};
use jiff::civil::Date;
use serde_json::json;

/// A file of a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ContractFile {
    /// The report for the customer.
    Report,
    /// The work list of each bench by day, on paper.
    WorkListPaper,
    /// The same as a table.
    WorkListTable,
    /// The same for a calendar.
    Calendar,
    /// The contract with its plan, as it is kept.
    Plan,
    /// The bare problem with its answer.
    Problem,
}

impl ContractFile {
    /// All of them.
    pub const ALL: [Self; 6] = [Self::Report, Self::WorkListPaper, Self::WorkListTable, Self::Calendar, Self::Plan, Self::Problem];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Report => "report.pdf",
            Self::WorkListPaper => "work-list.pdf",
            Self::WorkListTable => "work-list.csv",
            Self::Calendar => "calendar.ics",
            Self::Plan => "contract.json",
            Self::Problem => "problem.json",
        }
    }

    /// Its media type.
    pub fn media(self) -> &'static str {
        match self {
            Self::Report | Self::WorkListPaper => "application/pdf",
            Self::WorkListTable => "text/csv; charset=utf-8",
            Self::Calendar => "text/calendar; charset=utf-8",
            Self::Plan | Self::Problem => "application/json",
        }
    }

    /// Its bytes.
    ///
    /// # Errors
    /// Where a paper cannot be set or a value cannot be written: a defect of the program.
    pub fn bytes(self, view: &ContractView) -> Result<Vec<u8>, ReportError> {
        let broken = |e: &dyn std::fmt::Display| ReportError { paper: self.name(), message: e.to_string() };
        match self {
            Self::Report => contract_report_pdf(view),
            Self::WorkListPaper => work_list_pdf(view),
            Self::WorkListTable => work_list(view).map_err(|e| broken(&e)),
            Self::Calendar => Ok(calendar(view).into_bytes()),
            Self::Plan => plan(view).map_err(|e| broken(&e)),
            Self::Problem => with_end(serde_json::to_vec_pretty(&view.planned.problem)).map_err(|e| broken(&e)),
        }
    }
}

fn with_end<E>(json: Result<Vec<u8>, E>) -> Result<Vec<u8>, E> {
    json.map(|mut json| {
        json.push(b'\n');
        json
    })
}

/// The contract with its plan: what a later plan is compared with.
fn plan(view: &ContractView) -> serde_json::Result<Vec<u8>> {
    let (c, p) = (view.contract, view.planned);
    let left: Vec<_> = c
        .horns
        .iter()
        .filter(|h| p.of(&h.tag).is_none())
        .filter_map(|h| Left::why(c, h).map(|why| json!({ "tag": h.tag, "why": why, "words": why.words() })))
        .collect();
    let whole = json!({ "trueround_contract_plan": 1, "contract": c, "plan": p, "left": left, "more": view.bought });
    with_end(serde_json::to_vec_pretty(&whole))
}

/// A day as it is said: `Mon, Aug 3`.
pub fn day(iso: &str) -> String {
    iso.parse::<Date>().map_or_else(|_| iso.to_owned(), |d| d.strftime("%a, %b %-d").to_string())
}

fn clock(min: u32) -> String {
    format!("{}:{:02}", min / 60, min % 60)
}

/// The work list as a table: a row a stretch of work.
fn work_list(view: &ContractView) -> Result<Vec<u8>, csv::Error> {
    let (contract, planned) = (view.contract, view.planned);
    let mut csv = csv::Writer::from_writer(Vec::new());
    csv.write_record(["bench", "person", "date", "from", "to", "tag", "instrument", "school", "work", "expected_min"])?;
    for v in &planned.visits {
        let horn = contract.horn(&v.tag);
        let gets = |level| horn.map_or_else(String::new, |h| h.gets(level));
        let work = match (&v.tool, planned.of(&v.tag)) {
            (Some(tool), _) => format!("Make {}", contract.tool_name(tool, view.unit)),
            (None, Some(a)) => gets(a.level),
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
            ])?;
        }
    }
    csv.into_inner().map_err(|e| e.into_error().into())
}

/// The calendar (RFC 5545): an event a stretch of work, in local time. Its names stay the same when the plan is made again, so
/// that a calendar takes the new one in place of the old; nothing in it turns on the moment at which it was written.
pub fn calendar(view: &ContractView) -> String {
    let (contract, planned) = (view.contract, view.planned);
    let mut calendar = Calendar::new();
    calendar.name(&format!("{}: work list", contract.customer));
    for v in &planned.visits {
        let Some(horn) = contract.horn(&v.tag) else { continue };
        let what = match (&v.tool, planned.of(&v.tag)) {
            (Some(tool), _) => format!("Make {}", contract.tool_name(tool, view.unit)),
            (None, Some(a)) => horn.gets(a.level),
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
