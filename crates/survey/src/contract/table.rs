//! A table (CSV) with named columns, every problem told by its row and column.

use crate::problem::Problem;
use crate::words::nearest;
use std::collections::BTreeMap;
use units::Text;

/// A table larger than this is refused before it is read.
const MAX_BYTES: usize = 8 * 1024 * 1024;

/// A column of a table.
pub(crate) struct Column {
    /// Its name.
    pub name: &'static str,
    /// What stands in it.
    pub about: &'static str,
    /// Whether every row must have it.
    pub needed: bool,
}

/// A row with its line and what is said in it.
pub(crate) struct Row {
    /// Line of the file, from 1.
    pub line: usize,
    cells: BTreeMap<&'static str, String>,
}

impl Row {
    /// What stands in a column; empty where nothing does.
    pub fn get(&self, column: &str) -> &str {
        self.cells.get(column).map_or("", String::as_str)
    }
}

/// What was read, and what is wrong with it.
pub(crate) struct Table {
    pub rows: Vec<Row>,
    pub problems: Vec<Problem>,
}

impl Table {
    /// Tells a problem of a row.
    pub fn tell(&mut self, line: usize, column: &str, what: impl Into<Text>, hint: impl Into<Text>, warning: bool) {
        self.problems.push(Problem { line: Some(line), field: column.to_owned(), what: what.into(), hint: hint.into(), warning });
    }
}

/// The name of a column by its head, and the unit that stands behind it (`depth (in)`).
pub(crate) fn named(head: &str) -> (String, Option<String>) {
    let (name, unit) = match head.split_once('(') {
        Some((name, unit)) => (name, Some(unit.trim_end_matches(')').trim().to_owned())),
        None => (head, None),
    };
    (name.trim().to_lowercase().replace([' ', '-'], "_"), unit)
}

/// The line on which a row stands that is told to begin on this one: empty lines and notes before it are none of it.
pub(crate) fn row_line(text: &str, line: usize) -> usize {
    let none = |l: &&str| l.trim().is_empty() || l.trim_start_matches('\u{feff}').starts_with('#');
    line + text.lines().skip(line.saturating_sub(1)).take_while(none).count()
}

/// What parts the cells, read from the line of column names.
pub(crate) fn delimiter(text: &str) -> u8 {
    let header = text.lines().find(|l| !l.trim().is_empty() && !l.starts_with('#')).unwrap_or_default();
    let count = |sign: char| header.matches(sign).count();
    [(b';', ';'), (b'\t', '\t')].into_iter().find(|(_, sign)| count(*sign) > count(',')).map_or(b',', |(byte, _)| byte)
}

/// Reads a table; `#` begins a line of notes. A unit in a column's head (`depth (in)`) holds for the bare numbers below it.
pub(crate) fn read(text: &str, columns: &'static [Column]) -> Table {
    let mut table = Table { rows: vec![], problems: vec![] };
    if text.len() > MAX_BYTES {
        table.tell(1, "", format!("the file holds {:.1} MB", text.len() as f64 / 1e6), "look whether this is the right file", false);
        return table;
    }
    let mut csv = csv::ReaderBuilder::new()
        .delimiter(delimiter(text))
        .trim(csv::Trim::All)
        .flexible(true)
        .comment(Some(b'#'))
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let headers = match csv.headers() {
        Ok(headers) => headers.clone(),
        Err(e) => {
            table.tell(1, "", format!("this is not CSV: {e}"), "begin with a line of column names", false);
            return table;
        }
    };
    let head_line = row_line(text, headers.position().map_or(1, |p| p.line() as usize));
    let mut heads: Vec<Option<(&'static str, Option<String>)>> = Vec::new();
    for header in &headers {
        let (name, unit) = named(header);
        let found = columns.iter().find(|c| c.name == name).map(|c| c.name);
        match found {
            None if name.is_empty() => {}
            None => {
                let hint = nearest(&name, columns.iter().map(|c| c.name)).map_or_else(
                    || format!("the columns may be {}", columns.iter().map(|c| c.name).collect::<Vec<_>>().join(", ")),
                    |near| format!("did you mean `{near}`?"),
                );
                table.tell(head_line, &name, format!("there is no column `{name}` in this table"), hint, false);
            }
            Some(name) if heads.iter().flatten().any(|h| h.0 == name) => {
                table.tell(head_line, name, format!("two columns are called `{name}`"), "take one of them out", false);
            }
            Some(_) => {}
        }
        heads.push(found.map(|f| (f, unit)));
    }
    for c in columns.iter().filter(|c| c.needed && heads.iter().flatten().all(|h| h.0 != c.name)) {
        table.tell(head_line, c.name, format!("there is no column `{}`", c.name), format!("add it: {}", c.about), false);
    }
    if !table.problems.is_empty() {
        return table;
    }
    for record in csv.records() {
        let record = match record {
            Ok(record) => record,
            Err(e) => {
                let line = e.position().map_or(1, |p| p.line() as usize);
                table.tell(line, "", format!("this row is not CSV: {e}"), "close every quote, and double a quote inside one", false);
                continue;
            }
        };
        let line = row_line(text, record.position().map_or(1, |p| p.line() as usize));
        if record.iter().any(|cell| cell.contains('\n')) {
            let hint = "close the quote in its own cell; an inch mark in a quoted cell is written twice";
            table.tell(line, "", "a quote is opened in this row and not closed", hint, false);
            continue;
        }
        if record.len() > heads.len() && !record.iter().skip(heads.len()).all(str::is_empty) {
            let what = format!("the row has {} cells, the header {}", record.len(), heads.len());
            table.tell(line, "", what, "a comma splits a cell: put the cell in quotes", false);
            continue;
        }
        let mut row = Row { line, cells: BTreeMap::new() };
        for (head, cell) in heads.iter().zip(record.iter()) {
            let Some((name, unit)) = head else { continue };
            if cell.is_empty() {
                continue;
            }
            let bare = cell.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b',' | b'-' | b'/' | b' '));
            let text = unit.as_ref().filter(|_| bare).map_or_else(|| cell.to_owned(), |u| format!("{cell} {u}"));
            row.cells.insert(name, text);
        }
        if row.cells.is_empty() {
            continue;
        }
        for c in columns.iter().filter(|c| c.needed && row.get(c.name).is_empty()) {
            table.tell(line, c.name, format!("`{}` is not said", c.name), c.about, false);
        }
        table.rows.push(row);
    }
    table
}
