//! A contract from its files: CONTRACT.toml, the tables of its instruments and dents, and of what is done. All problems are
//! told at once, each with its file, row and column; where there is one that is no mere warning, nothing is taken.

mod calendar;
pub mod file;
pub(crate) mod instruments;
pub(crate) mod table;
mod template;

use crate::entries;
use crate::located::Located;
use crate::problem::{self, Problem};
use crate::shop_file::Part;
use crate::words::nearest;
use calendar::{Weekdays, days, span};
use contract::{Bench, Contract, Points, Skill, Spread};
use file::{BenchEntry, ContractFile};
use instrument::Survey;
use jiff::civil::Date;
use plan::{Level, StandardJob, standard_job};
use rust_decimal::Decimal;
use std::collections::BTreeSet;
use toml::Spanned;
use toml::de::DeValue;
use units::Text;
use units::duration::parse_minutes;
use units::money::parse_money;

pub use template::templates;

/// A contract file larger than this is refused before it is read.
pub const MAX_CONTRACT_BYTES: usize = 4 * 1024 * 1024;

/// A problem with the file that it is in.
#[derive(Clone, Debug, PartialEq)]
pub struct InFile {
    /// The file, as the contract names it.
    pub file: String,
    /// The problem; its line is the row, its field the column.
    pub problem: Problem,
}

/// A contract as its files say it, before anything is worked out.
#[derive(Clone, Debug)]
pub struct ContractRead {
    /// The contract; its instruments have no offers yet, its currency and limits are those of common practice.
    pub contract: Contract,
    /// The surveys of its instruments, in their order.
    pub surveys: Vec<Survey>,
    /// By instrument: whether it plays, where somebody said.
    pub plays: Vec<Option<bool>>,
    /// The file of the shop's tools, where the contract names one.
    pub rack: Option<String>,
    /// The file of the shop's prices and times, where it names one.
    pub shop: Option<String>,
    /// What does not hinder.
    pub warnings: Vec<InFile>,
    /// The table of instruments, as the contract names it.
    table: String,
    /// By instrument: the line of its row.
    lines: Vec<usize>,
}

impl ContractRead {
    /// Work that the shop's list of standard jobs does not have, row by row.
    pub fn unknown_work(&self, list: &[StandardJob]) -> Vec<InFile> {
        let keys = || list.iter().filter(|j| !j.retired).map(|j| j.key.as_str());
        let mut all = Vec::new();
        for (survey, line) in self.surveys.iter().zip(&self.lines) {
            for w in standard_job::unknown(list, survey) {
                let hint = nearest(&w.job, keys()).map_or_else(
                    || format!("write one of {}", keys().collect::<Vec<_>>().join(", ")),
                    |near| format!("did you mean “{near}”?"),
                );
                let what = format!("the shop's list has no job “{}”", w.job);
                let problem = Problem { line: Some(*line), field: "work".to_owned(), what: what.into(), hint: hint.into(), warning: false };
                all.push(InFile { file: self.table.clone(), problem });
            }
        }
        all
    }
}

/// Reads a contract; `open` gives the text of a file that it names.
///
/// # Errors
/// Everything that hinders, in every file.
pub fn read_contract(name: &str, text: &str, open: &dyn Fn(&str) -> Result<String, String>) -> Result<ContractRead, Vec<InFile>> {
    let mut all: Vec<InFile> = Vec::new();
    let here = |problems: Vec<Problem>| problems.into_iter().map(|problem| InFile { file: name.to_owned(), problem }).collect::<Vec<_>>();
    let table = entries::table(text, MAX_CONTRACT_BYTES, "a contract", "trueround_contract = 1").map_err(&here)?;
    let mut r = Reader { text, problems: Vec::new() };
    let whole = Spanned::new(0..text.len(), DeValue::Table(table));
    let Some(file) = entries::entry::<ContractFile>(text, "", whole, &mut r.problems) else { return Err(here(r.problems)) };
    let contract = r.contract(&file);
    let files = |named: Option<&Located<String>>, key: &str, needed: bool, r: &mut Reader| -> Option<(String, String)> {
        let Some(named) = named else {
            if needed {
                r.missing(
                    key,
                    format!("name the table, like {key} = \"summer.{key}.csv\"; `trueround contract --template DIR` writes empty ones"),
                );
            }
            return None;
        };
        match open(&named.value) {
            Ok(text) => Some((named.value.clone(), text)),
            Err(why) => {
                r.tell(Some(named), key, why, "name the file as it is seen from this one");
                None
            }
        }
    };
    let opened = [
        files(file.instruments.as_ref(), "instruments", true, &mut r),
        files(file.dents.as_ref(), "dents", true, &mut r),
        files(file.done.as_ref(), "done", false, &mut r),
    ];
    all.extend(here(problem::told(r.problems)));
    let (mut horns, mut unread) = (Vec::new(), instruments::Unread::new());
    let mut of = |file: &str, problems: Vec<Problem>| {
        all.extend(problem::told(problems).into_iter().map(|problem| InFile { file: file.to_owned(), problem }))
    };
    if let Some((file, text)) = &opened[0] {
        let (read, without, mut problems) = instruments::instruments(text);
        (horns, unread) = (read, without);
        if horns.is_empty() && problems.is_empty() {
            problems.push(Problem {
                line: None,
                field: String::new(),
                what: "the table names no instrument".into(),
                hint: "write a row for each".into(),
                warning: false,
            });
        }
        of(file, problems);
    }
    if let Some((file, text)) = &opened[1] {
        of(file, instruments::dents(text, &mut horns, &mut unread));
    }
    if let Some((file, text)) = &opened[2] {
        of(file, instruments::done(text, &mut horns, &unread, &contract.benches));
    }
    let (warnings, wrong): (Vec<InFile>, Vec<InFile>) = all.into_iter().partition(|p| p.problem.warning);
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let mut read = ContractRead {
        contract,
        surveys: vec![],
        plays: vec![],
        rack: file.rack.map(|f| f.value),
        shop: file.shop.map(|f| f.value),
        warnings,
        table: opened[0].as_ref().map(|o| o.0.clone()).unwrap_or_default(),
        lines: vec![],
    };
    for (horn, mut survey, plays, line) in horns {
        read.contract.customer.clone_into(&mut survey.customer);
        read.contract.horns.push(horn);
        read.surveys.push(survey);
        read.plays.push(plays);
        read.lines.push(line);
    }
    Ok(read)
}

/// Reads the head of a contract alone: customer, budget, days, benches. It has no instruments; tables that it names are not
/// opened. What could be read, and all that is wrong with it.
pub fn read_head(text: &str) -> (Option<Contract>, Vec<Problem>) {
    let table = match entries::table(text, MAX_CONTRACT_BYTES, "a contract", "trueround_contract = 1") {
        Ok(table) => table,
        Err(problems) => return (None, problems),
    };
    let mut r = Reader { text, problems: Vec::new() };
    let whole = Spanned::new(0..text.len(), DeValue::Table(table));
    let file = entries::entry::<ContractFile>(text, "", whole, &mut r.problems);
    let contract = file.map(|file| r.contract(&file));
    (contract, problem::told(r.problems))
}

struct Reader<'t> {
    text: &'t str,
    problems: Vec<Problem>,
}

impl Reader<'_> {
    fn tell<T>(&mut self, at: Option<&Located<T>>, field: &str, what: impl Into<Text>, hint: impl Into<Text>) {
        self.problems.push(Problem::error(self.text, at.map(|l| &l.span), field, what, hint));
    }

    fn missing(&mut self, field: &str, hint: impl Into<Text>) {
        self.problems.push(Problem {
            line: None,
            field: field.to_owned(),
            what: format!("`{field}` is not said").into(),
            hint: hint.into(),
            warning: false,
        });
    }

    fn part(&mut self, part: Option<&Located<Part>>, field: &str, range: (f64, f64), usual: f64) -> f64 {
        let Some(part) = part else { return usual };
        let read = match &part.value {
            Part::Number(n) => Some(*n),
            Part::Text(text) => text.trim().strip_suffix('%').and_then(|n| n.trim().parse::<f64>().ok()).map(|n| n / 100.0),
        };
        match read.filter(|p| (range.0..=range.1).contains(p)) {
            Some(p) => p,
            None => {
                let hint = format!("write it in per cent, from \"{:.0} %\" to \"{:.0} %\"", range.0 * 100.0, range.1 * 100.0);
                self.tell(Some(part), field, "this is no part that can be", hint);
                usual
            }
        }
    }

    fn day(&mut self, day: Option<&Located<String>>, field: &str) -> Option<Date> {
        let day = day?;
        let read = instruments::day(&day.value);
        if read.is_none() {
            self.tell(Some(day), field, format!("“{}” is no day", day.value), "write it as year-month-day, like \"2026-08-14\"");
        }
        read
    }

    fn off(&mut self, all: &[Located<String>], field: &str) -> Vec<(Date, Date)> {
        let mut read = Vec::new();
        for text in all {
            match span(&text.value) {
                Some(span) => read.push(span),
                None => self.tell(
                    Some(text),
                    field,
                    format!("“{}” is no day", text.value),
                    "write a day, like \"2026-07-03\", or \"2026-07-20 to 2026-07-24\"",
                ),
            }
        }
        read
    }

    fn contract(&mut self, file: &ContractFile) -> Contract {
        let starts = self.day(file.starts.as_ref(), "starts");
        let today = self.day(file.today.as_ref(), "today");
        let deadline = self.day(file.deadline.as_ref(), "deadline");
        for (field, said) in [("starts", file.starts.is_some()), ("deadline", file.deadline.is_some())] {
            if !said {
                self.missing(field, format!("add it, like {field} = \"2026-08-14\""));
            }
        }
        let from = today.or(starts);
        if let Some((from, to)) = from.zip(deadline).filter(|(from, to)| from > to) {
            self.tell(
                file.deadline.as_ref(),
                "deadline",
                format!("the deadline {to} lies before the first day {from}"),
                "put it after the first day",
            );
        }
        let budget = match &file.budget {
            None => {
                self.missing("budget", "add it, like budget = \"$24,000\"");
                Decimal::ZERO
            }
            Some(text) => parse_money(&text.value).unwrap_or_else(|e| {
                self.tell(Some(text), "budget", e.what(), e.hint());
                Decimal::ZERO
            }),
        };
        let minimum = file.minimum.as_ref().map_or(Some(Level::Play), |m| instruments::level(&m.value)).unwrap_or_else(|| {
            self.tell(file.minimum.as_ref(), "minimum", "this is no level", "write \"play\", \"good\" or \"beautiful\"");
            Level::Play
        });
        let points = file.points.as_ref().map_or(Points::common_practice(), |p| {
            let read = Points { play: p.play.value, good: p.good.value, beautiful: p.beautiful.value };
            if !(read.play <= read.good && read.good <= read.beautiful && read.beautiful <= 1000) {
                self.tell(
                    Some(&p.beautiful),
                    "points",
                    "more work is worth less here",
                    "let points rise from play to good to beautiful, 1000 at most",
                );
            }
            read
        });
        let usual = Spread::common_practice();
        let person = file.spread.as_ref().map(|s| &s.person);
        let whole = file.spread.as_ref().map(|s| &s.contract);
        let spread = Spread {
            person: self.part(person, "spread: person", (0.0, 1.0), usual.person),
            contract: self.part(whole, "spread: contract", (0.0, 1.0), usual.contract),
        };
        if file.bench.is_empty() {
            self.missing("bench", "add a table [[bench]] for each bench, with id, person and hours");
        }
        let holidays = self.off(&file.holidays, "holidays");
        let mut benches: Vec<Bench> = Vec::new();
        for (n, entry) in file.bench.iter().enumerate() {
            let bench = self.bench(entry, n, &holidays, from.zip(deadline));
            if benches.iter().any(|b| b.id == bench.id) {
                self.tell(entry.id.as_ref(), "bench: id", format!("two benches are called “{}”", bench.id), "give each its own name");
            }
            benches.push(bench);
        }
        let customer = file.customer.as_ref().map(|c| c.value.trim().to_owned()).filter(|c| !c.is_empty()).unwrap_or_else(|| {
            self.missing("customer", "add it, like customer = \"Name of the school district\"");
            String::new()
        });
        Contract {
            customer,
            shop: String::new(),
            currency: "$".to_owned(),
            budget,
            from: from.map(|d| d.to_string()).unwrap_or_default(),
            deadline: deadline.map(|d| d.to_string()).unwrap_or_default(),
            likelihood: self.part(file.likelihood.as_ref(), "likelihood", (0.5, 0.99), 0.8),
            minimum,
            advise_against_above: 0.6,
            points,
            spread,
            benches,
            tools: vec![],
            tax: contract::TaxIn::NotSaid,
            tools_paid: Decimal::ZERO,
            horns: vec![],
        }
    }

    fn bench(&mut self, entry: &BenchEntry, n: usize, holidays: &[(Date, Date)], planned: Option<(Date, Date)>) -> Bench {
        let id = entry.id.as_ref().map(|i| i.value.trim().to_owned()).filter(|i| !i.is_empty()).unwrap_or_else(|| {
            self.missing("bench: id", format!("give bench {} a name: id = \"bench {}\"", n + 1, n + 1));
            String::new()
        });
        let field = |key: &str| format!("bench {id}: {key}");
        let minutes = match &entry.hours {
            None => {
                self.missing(&field("hours"), "add the time a day, like hours = \"6 h\"");
                0.0
            }
            Some(text) => match parse_minutes(&text.value) {
                Ok(m) if m > 0.0 && m <= 16.0 * 60.0 => m,
                Ok(_) => {
                    self.tell(Some(text), &field("hours"), "nobody works so long a day", "write from 1 min to 16 h");
                    0.0
                }
                Err(e) => {
                    self.tell(Some(text), &field("hours"), e.what(), e.hint());
                    0.0
                }
            },
        };
        let begins =
            entry.begins.as_ref().map_or(Some(480.0), |b| parse_minutes(&b.value).ok().filter(|m| *m < 1440.0)).unwrap_or_else(|| {
                self.tell(entry.begins.as_ref(), &field("begins"), "this is no time of the day", "write it like \"8:00\"");
                480.0
            });
        let pace = entry.pace.as_ref().map_or(1.0, |p| p.value);
        if !(0.2..=5.0).contains(&pace) {
            self.tell(
                entry.pace.as_ref(),
                &field("pace"),
                "nobody is so much quicker or slower than the standard",
                "write 1 for the standard, 1.6 for an apprentice",
            );
        }
        let weekdays = match &entry.days {
            None => Weekdays::usual(),
            Some(said) => Weekdays::read(&said.value).unwrap_or_else(|wrong| {
                self.tell(
                    Some(said),
                    &field("days"),
                    format!("“{wrong}” is no day of the week"),
                    "write mon, tue, wed, thu, fri, sat, sun",
                );
                Weekdays::usual()
            }),
        };
        let mut skills: BTreeSet<Skill> = Skill::ALL.into_iter().collect();
        if let Some(said) = &entry.skills {
            skills.clear();
            for word in &said.value {
                match Skill::read(word.trim()) {
                    Some(skill) => {
                        skills.insert(skill);
                    }
                    None => {
                        self.tell(Some(said), &field("skills"), format!("“{word}” is no skill"), "write dents, soldering, valves, finish")
                    }
                }
            }
        }
        let off = self.off(&entry.off, &field("off"));
        let days = planned.filter(|(from, to)| from <= to).map_or_else(Vec::new, |(from, to)| {
            let free = |d: Date| holidays.iter().chain(&off).any(|(a, b)| *a <= d && d <= *b);
            days(from, to, &weekdays, free, minutes)
        });
        Bench {
            person: entry.person.as_ref().map(|p| p.value.trim().to_owned()).unwrap_or_default(),
            pace,
            skills,
            days,
            begins_min: begins as u32,
            id,
        }
    }
}
