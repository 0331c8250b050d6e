//! A rack as a table: CSV, a tool a row. A row becomes the same entry as a table of TOML.

use super::reader::{MAX_RACK_BYTES, Reader};
use super::sizes::SIZES;
use crate::located::Located;
use crate::problem::{Problem, Wrong};
use crate::quantity::Quantity;
use crate::rack_file::{HandsEntry, ToolEntry};
use crate::syntax;
use crate::words::nearest;
use reach::Rack;
use std::ops::Range;

/// Reads a rack from CSV with a header line: `id`, `name`, `place`, `kind` and whichever sizes the tools have, each with
/// its unit, or the unit in the header (`diameter (mm)`, `limit (N)`). Cells are parted by commas, semicolons or tabs.
pub fn read_rack_csv(text: &str) -> (Rack, Vec<Problem>) {
    rows(text, |_| {})
}

/// Reads the table, and shows each row's cells by their columns, with their units.
pub(crate) fn rows(text: &str, mut each: impl FnMut(Vec<(String, String)>)) -> (Rack, Vec<Problem>) {
    let mut reader = Reader::new(text);
    if text.len() > MAX_RACK_BYTES {
        reader.problem(None, "", format!("the file holds {:.1} MB", text.len() as f64 / 1e6), "look whether this is the right file");
        return reader.finish(&HandsEntry::default());
    }
    if let Some((at, wrong)) = not_a_table(text) {
        reader.problem(Some(&(at..at)), "", wrong.what, wrong.hint);
        return reader.finish(&HandsEntry::default());
    }
    let mut csv = csv::ReaderBuilder::new()
        .delimiter(delimiter(text))
        .trim(csv::Trim::All)
        .flexible(true)
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let (columns, meant) = match csv.headers() {
        Ok(headers) => columns(&mut reader, headers.iter()),
        Err(e) => {
            reader.problem(Some(&(0..0)), "", format!("this is not CSV: {e}"), "begin with a line of column names");
            return reader.finish(&HandsEntry::default());
        }
    };
    let without: Vec<&str> = ["id", "kind"].into_iter().filter(|c| columns.iter().all(|(name, _)| name != c)).collect();
    for column in &without {
        // A column that is called otherwise was told already.
        if !meant.contains(column) {
            let hint = format!("add it: every tool has its `{column}`");
            reader.problem(Some(&(0..0)), *column, format!("there is no column `{column}`"), hint);
        }
    }
    if !without.is_empty() {
        return reader.finish(&HandsEntry::default());
    }
    for record in csv.records() {
        let record = match record {
            Ok(record) => record,
            Err(e) => {
                let at = e.position().and_then(|p| usize::try_from(p.byte()).ok()).map(|b| b..b);
                reader.problem(at.as_ref(), "", format!("this row is not CSV: {e}"), "close every quote, and double a quote inside one");
                continue;
            }
        };
        let at = record.position().and_then(|p| usize::try_from(p.byte()).ok()).unwrap_or(0);
        // The row begins behind the line end, of which CR LF leaves one sign over, and behind the mark of UTF-8.
        let at = at + text.as_bytes().iter().skip(at).take_while(|b| matches!(b, b'\r' | b'\n')).count();
        let mut row = Row { at: at..at, entry: ToolEntry::default(), cells: Vec::new() };
        for ((name, unit), cell) in columns.iter().zip(record.iter()) {
            row.set(name, unit.as_deref(), cell);
        }
        if record.iter().any(|cell| cell.contains('\n')) {
            let hint = "close the quote in its own cell; an inch mark in a quoted cell is written twice";
            reader.problem(Some(&row.at), "", "a quote is opened in this row and not closed", hint);
            continue;
        }
        if record.len() > columns.len() && !record.iter().skip(columns.len()).all(str::is_empty) {
            let what = format!("the row has {} cells, the header {}", record.len(), columns.len());
            reader.problem(Some(&row.at), "", what, "a decimal comma splits a cell: write a point, or put the cell in quotes");
            continue;
        }
        reader.tool(&row.entry, &row.at);
        each(row.cells);
    }
    reader.finish(&HandsEntry::default())
}

/// Why a text is no table at all, and where.
fn not_a_table(text: &str) -> Option<(usize, Wrong)> {
    let first = text.trim_start_matches('\u{feff}').trim_start();
    if first.starts_with("trueround_rack") || first.starts_with('[') {
        return Some((0, Wrong::new("this is a rack in TOML, not a table", "name the file with the ending .toml")));
    }
    syntax::of_file(text, "id,name,place,kind,diameter (mm),length (mm)")
}

/// What parts the cells: a comma, or what a spreadsheet of another country or a copy from one puts there. Read from the line of
/// column names, in which none of them means anything else.
fn delimiter(text: &str) -> u8 {
    let header = text.lines().find(|l| !l.trim().is_empty() && !l.starts_with('#')).unwrap_or_default();
    let count = |sign: char| header.matches(sign).count();
    [(b';', ';'), (b'\t', '\t')].into_iter().find(|(_, sign)| count(*sign) > count(',')).map_or(b',', |(byte, _)| byte)
}

/// Other words for a column.
const ALSO: [(&str, &str); 6] =
    [("type", "kind"), ("tool", "name"), ("size", "diameter"), ("force", "limit"), ("max_force", "limit"), ("location", "place")];

/// A column and the unit of its bare numbers.
type Column = (String, Option<String>);

/// The columns; what none is called is told, and which may have been meant.
fn columns<'h>(reader: &mut Reader, headers: impl Iterator<Item = &'h str>) -> (Vec<Column>, Vec<&'static str>) {
    let known = || ["id", "name", "place", "kind", "condition", "away_until", "retired"].into_iter().chain(SIZES);
    let (mut columns, mut meant): (Vec<Column>, Vec<&str>) = Default::default();
    for header in headers {
        let (name, unit) = match header.split_once('(') {
            Some((name, unit)) => (name, Some(unit.trim_end_matches(')').trim().to_owned())),
            None => (header, None),
        };
        let name = name.trim().to_lowercase().replace([' ', '-'], "_");
        if known().all(|k| k != name) {
            let also = || ALSO.iter().find(|(word, _)| *word == name).map(|(_, column)| *column);
            let short = || known().find(|k| name.len() > 2 && k.starts_with(&name));
            let near = nearest(&name, known()).or_else(also).or_else(short);
            meant.extend(near);
            let hint = near.map_or_else(
                || format!("the columns may be {}", known().collect::<Vec<_>>().join(", ")),
                |near| format!("did you mean `{near}`?"),
            );
            reader.problem(Some(&(0..0)), name.clone(), format!("there is no column `{name}` in a rack"), hint);
        } else if columns.iter().any(|(other, _)| *other == name) {
            reader.problem(Some(&(0..0)), name.clone(), format!("two columns are called `{name}`"), "take one of them out");
        }
        columns.push((name, unit));
    }
    (columns, meant)
}

/// A row of a CSV file on its way to a tool.
struct Row {
    at: Range<usize>,
    entry: ToolEntry,
    cells: Vec<(String, String)>,
}

impl Row {
    fn set(&mut self, column: &str, unit: Option<&str>, cell: &str) {
        if cell.is_empty() {
            return;
        }
        // The header's unit holds for bare numbers only.
        let bare = cell.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b',' | b'-' | b'/' | b' '));
        let text = unit.filter(|_| bare).map_or_else(|| cell.to_owned(), |u| format!("{cell} {u}"));
        self.cells.push((column.to_owned(), text.clone()));
        let at = self.at.clone();
        let words = || Some(Located { value: text.clone(), span: at.clone() });
        let size = || Some(Located { value: Quantity::Text(text.clone()), span: at.clone() });
        let e = &mut self.entry;
        match column {
            "id" => e.id = Some(Located { value: cell.to_owned(), span: at }),
            "name" => cell.clone_into(&mut e.name),
            "place" => cell.clone_into(&mut e.place),
            "condition" => cell.clone_into(&mut e.condition),
            "kind" => e.kind = Some(Located { value: cell.to_owned(), span: at }),
            "away_until" => e.away_until = Some(Located { value: cell.to_owned(), span: at }),
            "retired" => e.retired = Some(Located { value: cell.to_owned(), span: at }),
            "wear" => e.wear = size(),
            "diameter" => e.diameter = size(),
            "length" => e.length = size(),
            "head" => e.head = size(),
            "radius" => e.radius = size(),
            "small" => e.small = size(),
            "large" => e.large = size(),
            "smallest" => e.smallest = size(),
            "largest" => e.largest = size(),
            "step" => e.step = size(),
            "limit" => e.limit = words(),
            "least_radius" => e.least_radius = size(),
            "pull" => e.pull = words(),
            "half_distance" => e.half_distance = size(),
            "face_radius" => e.face_radius = size(),
            "foot" => e.foot = size(),
            "jaws" => e.jaws = size(),
            "fill" => e.fill = words(),
            "power" => e.power = words(),
            _ => {}
        }
    }
}
