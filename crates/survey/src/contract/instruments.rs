//! The tables of a contract: instruments, their dents, what is done.

use super::table::{Column, Row, Table, read};
use crate::damage::{self, Filled, Written, dent_refusals};
use crate::given::Given;
use crate::problem::Problem;
use crate::words::nearest;
use contract::{Bench, Horn, Standing};
use instrument::fields::dent as d;
use instrument::work::MOST_TIMES;
use instrument::{FitState, Survey, Work, patterns};
use plan::Level;
use std::collections::BTreeMap;
use units::duration::parse_minutes;
use units::money::parse_money;

/// Columns of the instruments' table.
pub(crate) const INSTRUMENTS: &[Column] = &[
    Column { name: "tag", about: "the number on the instrument's tag, each once", needed: true },
    Column { name: "pattern", about: "trumpet, cornet, trombone, tuba … as `trueround pattern` lists them", needed: true },
    Column { name: "maker", about: "maker's name", needed: false },
    Column { name: "model", about: "model", needed: false },
    Column { name: "serial", about: "serial number", needed: false },
    Column { name: "school", about: "the school that it belongs to", needed: true },
    Column { name: "priority", about: "low, usual or high; empty: usual", needed: false },
    Column { name: "must", about: "yes where it must reach the minimum standard; empty: no", needed: false },
    Column { name: "value", about: "what it is worth in good condition ($600); empty: not known", needed: false },
    Column { name: "plays", about: "yes or no, where somebody tried; empty: as the survey shows", needed: false },
    Column { name: "wanted", about: "the day on which the school wants it back (2026-08-03); empty: by the deadline", needed: false },
    Column { name: "stuck", about: "slides and valves that do not move, a semicolon between two", needed: false },
    Column { name: "note", about: "the surveyor's words", needed: false },
    Column {
        name: "work",
        about: "other work by its key in the shop's list, a semicolon between two, a number before it for several (clean_inside; 3 valve_felts)",
        needed: false,
    },
];

/// Columns of the dents' table.
pub(crate) const DENTS: &[Column] = &[
    Column { name: "tag", about: "the tag of the instrument", needed: true },
    Column { name: "where", about: "the tube that it is in, by its name (`trueround pattern` lists them)", needed: true },
    Column { name: "distance", about: "of its middle from the tube's mouthpiece end, with its unit", needed: false },
    Column { name: "clock", about: "where round the tube (3 o'clock), looking toward the bell", needed: false },
    Column { name: "depth", about: "deepest depth, with its unit", needed: false },
    Column { name: "length", about: "width along the tube, with its unit", needed: false },
    Column { name: "width", about: "width round the tube, with its unit", needed: false },
    Column { name: "crease", about: "how a fold lies: along, across or oblique; empty: none", needed: false },
    Column { name: "crack", about: "how a crack lies: along, across or oblique; empty: none", needed: false },
    Column { name: "crack_length", about: "length of the crack, with its unit", needed: false },
    Column { name: "note", about: "the surveyor's words", needed: false },
];

/// Columns of the table of what is done.
pub(crate) const DONE: &[Column] = &[
    Column { name: "tag", about: "the tag of the instrument", needed: true },
    Column { name: "state", about: "done or begun", needed: true },
    Column { name: "level", about: "play, good or beautiful", needed: true },
    Column { name: "bench", about: "the bench, by its name", needed: true },
    Column { name: "time", about: "time that it took, or so far (1 h 20 min)", needed: true },
];

/// An instrument, its survey, whether it plays where somebody said; the line of its row.
pub(crate) type Surveyed = (Horn, Survey, Option<bool>, usize);

fn yes(text: &str) -> Option<bool> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" | "true" | "x" | "1" => Some(true),
        "no" | "n" | "false" | "0" => Some(false),
        _ => None,
    }
}

/// A level by its key or its name on the quote.
pub(crate) fn level(text: &str) -> Option<Level> {
    let plain = text.trim().to_lowercase();
    let named = |l: &Level| l.key() == plain || quote::words::name(*l).to_lowercase() == plain;
    Level::ALL.into_iter().find(named)
}

/// A day.
pub(crate) fn day(text: &str) -> Option<jiff::civil::Date> {
    text.trim().parse().ok()
}

/// Instruments whose row names no pattern that there is, by their tags: each with the pattern that was probably meant, so that what else is
/// wrong with its dents is told with it, and what is not is not.
pub(crate) type Unread = BTreeMap<String, Option<Survey>>;

/// The instruments with their surveys, without dents yet.
pub(crate) fn instruments(text: &str) -> (Vec<Surveyed>, Unread, Vec<Problem>) {
    let mut table = read(text, INSTRUMENTS);
    let rows = std::mem::take(&mut table.rows);
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    let (mut all, mut unread) = (Vec::new(), Unread::new());
    for row in rows {
        if let Some(before) = seen.insert(row.get("tag").to_owned(), row.line) {
            table.tell(
                row.line,
                "tag",
                format!("“{}” stands in line {before} too", row.get("tag")),
                "give each instrument its own tag",
                false,
            );
        }
        match one(&row, &mut table) {
            Some(read) => all.push(read),
            None => {
                let meant = nearest(&pattern_name(&row), patterns::names()).and_then(patterns::named);
                unread.insert(row.get("tag").to_owned(), meant.map(Survey::of));
            }
        }
    }
    (all, unread, table.problems)
}

/// The pattern as a row names it.
fn pattern_name(row: &Row) -> String {
    row.get("pattern").to_lowercase().replace(['-', '_'], " ")
}

fn one(row: &Row, table: &mut Table) -> Option<Surveyed> {
    let name = pattern_name(row);
    let pattern = patterns::named(&name);
    if pattern.is_none() && !name.is_empty() {
        let near = nearest(&name, patterns::names());
        let hint = near.map_or_else(
            || format!("write one of {}", patterns::names().collect::<Vec<_>>().join(", ")),
            |n| format!("did you mean “{n}”?"),
        );
        table.tell(row.line, "pattern", format!("there is no pattern “{}”", row.get("pattern")), hint, false);
    }
    let priority = match row.get("priority").to_lowercase().as_str() {
        "" | "usual" | "normal" | "2" => 2,
        "low" | "1" => 1,
        "high" | "3" => 3,
        other => {
            table.tell(row.line, "priority", format!("“{other}” is no priority"), "write low, usual or high", false);
            2
        }
    };
    let mut flag = |column: &str| {
        let said = row.get(column);
        let read = yes(said);
        if read.is_none() && !said.is_empty() {
            table.tell(row.line, column, format!("“{said}” is neither yes nor no"), "write yes or no, or leave it empty", false);
        }
        read
    };
    let (must, plays) = (flag("must").unwrap_or(false), flag("plays"));
    let worth = match row.get("value") {
        "" => None,
        said => match parse_money(said) {
            Ok(amount) => Some(amount),
            Err(e) => {
                table.tell(row.line, "value", e.what(), e.hint(), false);
                None
            }
        },
    };
    let wanted = match row.get("wanted") {
        "" => None,
        said => day(said).map(|d| d.to_string()).or_else(|| {
            table.tell(row.line, "wanted", format!("“{said}” is no day"), "write it as year-month-day, like 2026-08-03", false);
            None
        }),
    };
    let mut instrument = pattern?;
    for (into, column) in [(&mut instrument.maker, "maker"), (&mut instrument.model, "model"), (&mut instrument.serial, "serial")] {
        row.get(column).clone_into(into);
    }
    instrument.value_money = worth.and_then(|w| f64::try_from(w).ok());
    for stuck in row.get("stuck").split(';').map(str::trim).filter(|s| !s.is_empty()) {
        let wanted = stuck.to_lowercase().replace(['-', '_'], " ");
        let called = |f: &instrument::MovingFit| f.name.to_lowercase().contains(&wanted) || f.id.0.replace('-', " ").contains(&wanted);
        let mut found = false;
        for fit in instrument.fits.iter_mut().filter(|f| called(f)) {
            fit.state = Some(FitState::Stuck);
            found = true;
        }
        if !found {
            let hint = format!("`trueround pattern {}` lists its slides and valves", name.replace(' ', "-"));
            table.tell(row.line, "stuck", format!("the pattern has no slide or valve “{stuck}”"), hint, false);
        }
    }
    let maker: Vec<&str> = [row.get("maker"), row.get("model")].into_iter().filter(|s| !s.is_empty()).collect();
    let name = if maker.is_empty() { name } else { format!("{} {name}", maker.join(" ")) };
    let horn = Horn {
        tag: row.get("tag").to_owned(),
        name: name.clone(),
        school: row.get("school").to_owned(),
        priority,
        must,
        plays: false,
        worth,
        wanted,
        offers: vec![],
        standing: Standing::Open,
    };
    let survey = Survey { title: format!("{}, {name}", horn.tag), work: work(row, table), ..Survey::of(instrument) };
    Some((horn, survey, plays, row.line))
}

/// Other work that a row asks for. Whether the shop's list has it is asked when the shop is known ([`super::ContractRead::unknown_work`]).
fn work(row: &Row, table: &mut Table) -> Vec<Work> {
    let mut all = Vec::new();
    for said in row.get("work").split(';').map(str::trim).filter(|s| !s.is_empty()) {
        let several =
            said.split_once(char::is_whitespace).and_then(|(n, key)| Some((n.trim_end_matches(['x', '×']).parse::<u32>().ok()?, key)));
        let (count, key) = several.unwrap_or((1, said));
        if !(1..=MOST_TIMES).contains(&count) {
            let hint = format!("write a number from 1 to {MOST_TIMES}, or none for once");
            table.tell(row.line, "work", format!("“{said}” is no work that often"), hint, false);
            continue;
        }
        let key = key.trim().to_lowercase().replace([' ', '-'], "_");
        all.push(Work { count, ..Work::new(format!("w{}", all.len() + 1), key) });
    }
    all
}

/// Sets the dents into their instruments' surveys.
pub(crate) fn dents(text: &str, all: &mut [Surveyed], unread: &mut Unread) -> Vec<Problem> {
    let mut table = read(text, DENTS);
    let rows = std::mem::take(&mut table.rows);
    let place: BTreeMap<String, usize> = all.iter().enumerate().map(|(i, (h, ..))| (h.tag.clone(), i)).collect();
    for row in rows {
        let tag = row.get("tag");
        match (place.get(tag), unread.get_mut(tag)) {
            (Some(i), _) => dent(&row, &mut all[*i].1, &mut table, true),
            (None, Some(Some(meant))) => dent(&row, meant, &mut table, false),
            (None, Some(None)) => {}
            (None, None) if tag.is_empty() => {}
            (None, None) => {
                let hint = nearest(tag, place.keys().map(String::as_str)).map_or_else(
                    || "write the tag as it stands in the table of instruments".to_owned(),
                    |n| format!("did you mean “{n}”?"),
                );
                table.tell(row.line, "tag", format!("no instrument has the tag “{tag}”"), hint, false);
            }
        }
    }
    table.problems
}

/// Sets a dent into a survey. `sure`: the instrument is that one; where it is only probably, nothing is told of where the dent lies.
fn dent(row: &Row, survey: &mut Survey, table: &mut Table, sure: bool) {
    const KEYS: [(&str, &str); 8] = [
        ("where", "run"),
        ("distance", "at"),
        ("clock", "clock"),
        ("depth", "depth"),
        ("length", "along"),
        ("width", "across"),
        ("crack_length", "crack.length"),
        ("note", "note"),
    ];
    // What turns on the tube.
    const PLACE: [&str; 3] = ["run", "at", "clock"];
    let text_of = |key: &str, said: &str| Written { key: key.to_owned(), value: Given::Text(said.to_owned()), at: 0..0 };
    let mut written: Vec<Written> =
        KEYS.iter().filter(|(column, _)| !row.get(column).is_empty()).map(|(column, key)| text_of(key, row.get(column))).collect();
    for (column, part) in [("crease", "crease"), ("crack", "crack")] {
        let said = row.get(column);
        match said.to_lowercase().as_str() {
            "" | "no" => {}
            "yes" if part == "crack" => written.push(Written { key: part.to_owned(), value: Given::Flag(true), at: 0..0 }),
            _ => {
                written.push(Written { key: part.to_owned(), value: Given::Flag(true), at: 0..0 });
                written.push(text_of(&format!("{part}.lies"), said));
            }
        }
    }
    let (filled, mut refusals) = Filled::new(d::FIELDS, 0..0, written);
    let id = format!("d{}", survey.dents.len() + 1);
    let (dent, more) = damage::dent(&filled, &id, &damage::read::Context::new(&survey.instrument, None));
    refusals.extend(more);
    if let Some(dent) = dent.as_ref().filter(|_| sure) {
        survey.dents.push(dent.clone());
        refusals = dent_refusals(survey, dent, &refusals);
    }
    for r in refusals {
        let key = r.key.split('.').next().unwrap_or_default();
        if !sure && PLACE.contains(&key) {
            continue;
        }
        let column = if r.key == "crack.length" { "crack_length" } else { KEYS.iter().find(|(_, k)| *k == key).map_or(key, |(c, _)| c) };
        table.tell(row.line, column, r.what, r.hint, r.warning);
    }
}

/// Sets what is done or begun.
pub(crate) fn done(text: &str, all: &mut [Surveyed], unread: &Unread, benches: &[Bench]) -> Vec<Problem> {
    let mut table = read(text, DONE);
    let rows = std::mem::take(&mut table.rows);
    let place: BTreeMap<String, usize> = all.iter().enumerate().map(|(i, (h, ..))| (h.tag.clone(), i)).collect();
    for row in rows {
        let found = place.get(row.get("tag")).copied();
        if found.is_none() && !row.get("tag").is_empty() && !unread.contains_key(row.get("tag")) {
            table.tell(
                row.line,
                "tag",
                format!("no instrument has the tag “{}”", row.get("tag")),
                "write the tag as it stands in the table of instruments",
                false,
            );
        }
        let level = level(row.get("level"));
        if level.is_none() && !row.get("level").is_empty() {
            table.tell(row.line, "level", format!("“{}” is no level", row.get("level")), "write play, good or beautiful", false);
        }
        let bench = benches.iter().find(|b| b.id == row.get("bench")).map(|b| b.id.clone());
        if bench.is_none() && !row.get("bench").is_empty() {
            let names: Vec<&str> = benches.iter().map(|b| b.id.as_str()).collect();
            table.tell(
                row.line,
                "bench",
                format!("there is no bench “{}”", row.get("bench")),
                format!("write one of {}", names.join(", ")),
                false,
            );
        }
        let minutes = match parse_minutes(row.get("time")) {
            Ok(m) => Some(m),
            Err(_) if row.get("time").is_empty() => None,
            Err(e) => {
                table.tell(row.line, "time", e.what(), e.hint(), false);
                None
            }
        };
        let begun = match row.get("state").to_lowercase().as_str() {
            "done" => Some(false),
            "begun" => Some(true),
            "" => None,
            other => {
                table.tell(row.line, "state", format!("“{other}” is no state"), "write done or begun", false);
                None
            }
        };
        let (Some(i), Some(level), Some(bench), Some(minutes), Some(begun)) = (found, level, bench, minutes, begun) else { continue };
        let horn = &mut all[i].0;
        if horn.standing != Standing::Open {
            table.tell(row.line, "tag", format!("“{}” stands in another row too", horn.tag), "keep one of the two rows", false);
        }
        horn.standing =
            if begun { Standing::Begun { level, bench, spent_min: minutes } } else { Standing::Done { level, bench, took_min: minutes } };
    }
    table.problems
}
