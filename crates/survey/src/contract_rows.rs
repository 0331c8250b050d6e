//! Rows of a contract's tables, shown cell by cell and changed one at a time: what stands beside a row stays as it was written,
//! notes, order and columns.

use crate::contract::instruments::{DENTS, DONE, INSTRUMENTS};
use crate::contract::table::{Column, delimiter, named, row_line};

/// A table of a contract.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ContractTable {
    /// The instruments.
    Instruments,
    /// Their dents.
    Dents,
    /// What is done or begun.
    Done,
}

impl ContractTable {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Instruments, Self::Dents, Self::Done];

    /// The name of its file, as the example of a contract names it.
    pub fn file(self) -> &'static str {
        match self {
            Self::Instruments => "instruments.csv",
            Self::Dents => "dents.csv",
            Self::Done => "done.csv",
        }
    }

    /// The table of a file's name.
    pub fn named(file: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|t| t.file() == file)
    }

    fn its_columns(self) -> &'static [Column] {
        match self {
            Self::Instruments => INSTRUMENTS,
            Self::Dents => DENTS,
            Self::Done => DONE,
        }
    }

    /// Its columns, each with what stands in it.
    pub fn columns(self) -> impl Iterator<Item = (&'static str, &'static str)> {
        self.its_columns().iter().map(|c| (c.name, c.about))
    }
}

/// A cell of a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    /// Its column.
    pub column: &'static str,
    /// The column's head as it is written, its unit in it.
    pub head: String,
    /// What stands in the cell, as it is written.
    pub text: String,
}

/// A row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Its line, from 1.
    pub line: usize,
    /// Its cells, in the table's order.
    pub cells: Vec<Cell>,
}

impl Row {
    /// What stands in a column; empty where nothing does.
    pub fn get(&self, column: &str) -> &str {
        self.cells.iter().find(|c| c.column == column).map_or("", |c| c.text.as_str())
    }
}

/// The cells of a line; none where it is not CSV.
fn parted(line: &str, by: u8) -> Option<Vec<String>> {
    let mut csv =
        csv::ReaderBuilder::new().delimiter(by).trim(csv::Trim::All).flexible(true).has_headers(false).from_reader(line.as_bytes());
    let record = csv.records().next()?.ok()?;
    Some(record.iter().map(str::to_owned).collect())
}

/// A line of cells.
fn joined(cells: &[String], by: u8) -> String {
    let mut csv = csv::WriterBuilder::new().delimiter(by).flexible(true).from_writer(Vec::new());
    // Writing into memory does not fail.
    let written = csv.write_record(cells).is_ok();
    let bytes = csv.into_inner().ok().filter(|_| written).unwrap_or_default();
    String::from_utf8_lossy(&bytes).trim_end_matches(['\n', '\r']).to_owned()
}

/// The line of the column names, its cells, and what parts them.
fn heads(text: &str) -> Option<(usize, Vec<String>, u8)> {
    let at = row_line(text, 1);
    let by = delimiter(text);
    let cells = parted(text.lines().nth(at - 1)?.trim_start_matches('\u{feff}'), by)?;
    Some((at, cells, by))
}

/// The rows of a table that are CSV, in their order; cells of columns that the table does not know are left out.
pub fn rows(of: ContractTable, text: &str) -> Vec<Row> {
    let Some((head_line, heads, by)) = heads(text) else { return vec![] };
    let column = |head: &String| of.its_columns().iter().find(|c| c.name == named(head).0).map(|c| c.name);
    let row = |(i, line): (usize, &str)| {
        let cells = parted(line, by)?;
        let of_head = |(at, head): (usize, &String)| {
            Some(Cell { column: column(head)?, head: head.clone(), text: cells.get(at).cloned().unwrap_or_default() })
        };
        Some(Row { line: i + 1, cells: heads.iter().enumerate().filter_map(of_head).collect() })
    };
    let written = |(_, line): &(usize, &str)| !line.trim().is_empty() && !line.starts_with('#');
    text.lines().enumerate().skip(head_line).filter(written).filter_map(row).collect()
}

/// The row of a line.
pub fn row_at(of: ContractTable, text: &str, line: usize) -> Option<Row> {
    rows(of, text).into_iter().find(|r| r.line == line)
}

/// The text with a line put in the place of another.
pub fn with_line(text: &str, line: usize, new: &str) -> String {
    let new = new.replace(['\n', '\r'], " ");
    let mut lines: Vec<&str> = text.lines().collect();
    if let Some(old) = line.checked_sub(1).and_then(|at| lines.get_mut(at)) {
        *old = &new;
    }
    lines.join("\n") + "\n"
}

/// The text without a line.
pub fn without_line(text: &str, line: usize) -> String {
    let kept: Vec<&str> = text.lines().enumerate().filter(|(i, _)| i + 1 != line).map(|(_, l)| l).collect();
    kept.join("\n") + "\n"
}

/// The heads with every one of these columns among them; whether one was added.
fn with_heads(heads: &[String], columns: &[(&str, &str)]) -> (Vec<String>, bool) {
    let mut all = heads.to_vec();
    for (column, text) in columns {
        if !text.trim().is_empty() && !all.iter().any(|h| named(h).0 == *column) {
            all.push((*column).to_owned());
        }
    }
    let added = all.len() > heads.len();
    (all, added)
}

fn filled(heads: &[String], before: &[String], cells: &[(&str, &str)]) -> Vec<String> {
    let one = |(at, head): (usize, &String)| {
        let name = named(head).0;
        let new = cells.iter().find(|(column, _)| *column == name).map(|(_, text)| text.trim().replace(['\n', '\r'], " "));
        new.unwrap_or_else(|| before.get(at).cloned().unwrap_or_default())
    };
    heads.iter().enumerate().map(one).collect()
}

/// The table with cells of a row changed; a column that is missing is added. As it was where there is no such row.
pub fn with_cells(text: &str, line: usize, cells: &[(&str, &str)]) -> String {
    let Some((head_line, heads, by)) = heads(text) else { return text.to_owned() };
    let Some(before) = text.lines().nth(line.saturating_sub(1)).and_then(|l| parted(l, by)) else { return text.to_owned() };
    let (all, added) = with_heads(&heads, cells);
    let text = if added { with_line(text, head_line, &joined(&all, by)) } else { text.to_owned() };
    with_line(&text, line, &joined(&filled(&all, &before, cells), by))
}

/// The table with one more row at its end; a column that is missing is added.
pub fn with_row(text: &str, cells: &[(&str, &str)]) -> String {
    let Some((head_line, heads, by)) = heads(text) else { return text.to_owned() };
    let (all, added) = with_heads(&heads, cells);
    let mut text = if added { with_line(text, head_line, &joined(&all, by)) } else { text.to_owned() };
    if !text.ends_with('\n') {
        text.push('\n');
    }
    text + &joined(&filled(&all, &[], cells), by) + "\n"
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;

    const DENTS: &str =
        "# found in May\ntag,where,depth (in),length (in)\nA-1,bell flare,0.1,0.5\n\n# the second\nA-2,\"lead, pipe\",0.2,0.6\n";

    #[test]
    fn a_row_is_changed_and_nothing_beside_it() {
        let all = rows(ContractTable::Dents, DENTS);
        assert_eq!(all.iter().map(|r| r.line).collect::<Vec<_>>(), [3, 6]);
        assert_eq!((all[1].get("where"), all[1].cells[2].head.as_str()), ("lead, pipe", "depth (in)"));
        let after = with_cells(DENTS, 6, &[("where", "leadpipe"), ("depth", "0.3")]);
        assert_eq!(after, DENTS.replace("A-2,\"lead, pipe\",0.2", "A-2,leadpipe,0.3"));
        // A note comes with its column.
        let noted = with_cells(DENTS, 3, &[("note", "fell, twice")]);
        assert_eq!(row_at(ContractTable::Dents, &noted, 3).unwrap().get("note"), "fell, twice");
        assert_eq!(row_at(ContractTable::Dents, &noted, 6).unwrap().get("where"), "lead, pipe");
        assert_eq!(with_cells(DENTS, 99, &[("where", "x")]), DENTS);
    }

    #[test]
    fn rows_come_and_go() {
        let more = with_row(DENTS, &[("tag", "A-3"), ("where", "bell\nstem"), ("depth", "0.1")]);
        assert_eq!(more, format!("{DENTS}A-3,bell stem,0.1,\n"));
        assert_eq!(without_line(&more, 7), DENTS);
        let semicolons = "tag;where;depth\nA;bell;1\n";
        assert_eq!(with_row(semicolons, &[("tag", "B"), ("where", "a;b")]), "tag;where;depth\nA;bell;1\nB;\"a;b\";\n");
        assert_eq!(rows(ContractTable::Dents, ""), []);
        assert_eq!(with_line("a\nb\n", 2, "c\nd"), "a\nc d\n");
    }
}
