//! A rack as a table: CSV, a tool a row. A row becomes the same entry as a table of TOML.

use super::reader::{MAX_RACK_BYTES, Reader};
use super::sizes::SIZES;
use crate::located::Located;
use crate::problem::Problem;
use crate::quantity::Quantity;
use crate::rack_file::{HandsEntry, ToolEntry};
use crate::words::nearest;
use reach::Rack;
use std::ops::Range;

/// Reads a rack from CSV with a header line: `id`, `name`, `place`, `kind` and whichever sizes the tools have, each with
/// its unit, or the unit in the header (`diameter (mm)`, `limit (N)`).
pub fn read_rack_csv(text: &str) -> (Rack, Vec<Problem>) {
    let mut reader = Reader::new(text);
    if text.len() > MAX_RACK_BYTES {
        reader.problem(None, "", format!("the file holds {:.1} MB", text.len() as f64 / 1e6), "look whether this is the right file");
        return reader.finish(&HandsEntry::default());
    }
    let mut csv = csv::ReaderBuilder::new().trim(csv::Trim::All).flexible(true).comment(Some(b'#')).from_reader(text.as_bytes());
    let mut columns: Vec<(String, Option<String>)> = Vec::new();
    match csv.headers() {
        Ok(headers) => {
            for header in headers {
                let (name, unit) = match header.split_once('(') {
                    Some((name, unit)) => (name, Some(unit.trim_end_matches(')').trim().to_owned())),
                    None => (header, None),
                };
                let name = name.trim().to_lowercase().replace([' ', '-'], "_");
                let known = ["id", "name", "place", "kind", "away_until"].into_iter().chain(SIZES);
                if !known.clone().any(|k| k == name) {
                    let hint = nearest(&name, known.clone()).map_or_else(
                        || format!("the columns may be {}", known.collect::<Vec<_>>().join(", ")),
                        |near| format!("did you mean `{near}`?"),
                    );
                    reader.problem(Some(&(0..0)), name.clone(), format!("there is no column `{name}` in a rack"), hint);
                }
                columns.push((name, unit));
            }
        }
        Err(e) => reader.problem(Some(&(0..0)), "", format!("this is not CSV: {e}"), "begin with a line of column names"),
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
        let mut row = Row { at: at..at, entry: ToolEntry::default() };
        for ((name, unit), cell) in columns.iter().zip(record.iter()) {
            row.set(name, unit.as_deref(), cell);
        }
        if record.len() > columns.len() && !record.iter().skip(columns.len()).all(str::is_empty) {
            let what = format!("the row has {} cells, the header {}", record.len(), columns.len());
            reader.problem(Some(&row.at), "", what, "a decimal comma splits a cell: write a point, or put the cell in quotes");
            continue;
        }
        reader.tool(&row.entry, &row.at);
    }
    reader.finish(&HandsEntry::default())
}

/// A row of a CSV file on its way to a tool.
struct Row {
    at: Range<usize>,
    entry: ToolEntry,
}

impl Row {
    fn set(&mut self, column: &str, unit: Option<&str>, cell: &str) {
        if cell.is_empty() {
            return;
        }
        // The header's unit holds for bare numbers only.
        let bare = cell.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b',' | b'-' | b'/' | b' '));
        let text = unit.filter(|_| bare).map_or_else(|| cell.to_owned(), |u| format!("{cell} {u}"));
        let at = self.at.clone();
        let words = || Some(Located { value: text.clone(), span: at.clone() });
        let size = || Some(Located { value: Quantity::Text(text.clone()), span: at.clone() });
        let e = &mut self.entry;
        match column {
            "id" => e.id = Some(Located { value: cell.to_owned(), span: at }),
            "name" => cell.clone_into(&mut e.name),
            "place" => cell.clone_into(&mut e.place),
            "kind" => e.kind = Some(Located { value: cell.to_owned(), span: at }),
            "away_until" => e.away_until = Some(Located { value: cell.to_owned(), span: at }),
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
