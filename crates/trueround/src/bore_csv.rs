//! A bore from a file of station and diameter, with every mistake told by its line and how to mend it.

use acoustics::{Bore, BoreError, Point};

/// Columns that the file begins with.
pub const HEADER: &str = "station_mm,diameter_mm";
/// Rows at most: a bore measured every tenth of a millimeter over a tuba is half of it.
const MOST_ROWS: usize = 100_000;
/// Mistakes that are told at most.
const MOST_TOLD: usize = 20;

/// Reads a bore.
///
/// # Errors
/// The mistakes, each with its line and how to mend it.
pub fn read(text: &str) -> Result<Bore, Vec<String>> {
    let mut lines = text.lines().enumerate().map(|(i, l)| (i + 1, l.trim())).filter(|(_, l)| !l.is_empty() && !l.starts_with('#'));
    let wrong = |line: usize, what: &str, hint: &str| format!("line {line}: {what}. To mend it: {hint}.");
    let Some((first, header)) = lines.next() else {
        return Err(vec![format!("the file is empty. To mend it: begin with the line {HEADER}, then one row for each measured place.")]);
    };
    let separator = if header.contains(';') { ';' } else { ',' };
    let header = header.trim_start_matches('\u{feff}');
    let columns: Vec<String> = header.split(separator).map(|c| c.trim().trim_matches('"').to_lowercase()).collect();
    let find = |name: &str| columns.iter().position(|c| c == name);
    let (Some(station), Some(diameter)) = (find("station_mm"), find("diameter_mm")) else {
        return Err(vec![wrong(
            first,
            &format!("the columns are called “{}”", shortened(header)),
            &format!("name them {HEADER}: distance from the mouthpiece end and inside diameter, both in mm"),
        )]);
    };
    let (mut rows, mut told): (Vec<(usize, Point)>, Vec<String>) = (Vec::new(), Vec::new());
    for (line, row) in lines {
        if rows.len() == MOST_ROWS {
            told.push(wrong(line, &format!("there are more than {MOST_ROWS} rows"), "leave out places where the bore runs straight on"));
            break;
        }
        if told.len() == MOST_TOLD {
            told.push("more mistakes are not told. To mend it: mend these first; look whether this is the right file.".to_owned());
            break;
        }
        let fields: Vec<&str> = row.split(separator).map(|f| f.trim().trim_matches('"')).collect();
        // With semicolons between fields a comma is a decimal point.
        let number = |i: usize| fields.get(i).and_then(|f| f.replace(if separator == ';' { ',' } else { '\0' }, ".").parse::<f64>().ok());
        match (number(station), number(diameter)) {
            (Some(station_mm), Some(diameter_mm)) => rows.push((line, Point { station_mm, diameter_mm })),
            _ => told.push(wrong(
                line,
                &format!("“{}” is not two numbers", shortened(row)),
                "write the station and the diameter in mm, with a point for decimals: 160.3,10.1",
            )),
        }
    }
    if !told.is_empty() {
        return Err(told);
    }
    let bore = Bore { points: rows.iter().map(|r| r.1).collect(), bends: vec![] };
    match bore.check() {
        Ok(()) => Ok(bore),
        Err(e) => {
            let line = |row: usize| row.checked_sub(1).and_then(|r| rows.get(r)).map_or(first, |r| r.0);
            Err(vec![match e {
                BoreError::TooShort => {
                    "the bore has no length. To mend it: give at least two rows at different stations, from the mouthpiece end to the bell."
                        .to_owned()
                }
                BoreError::Diameter { row } => {
                    wrong(line(row), "the diameter must be above 0 and at most 2000 mm", "measure it again there; it is in mm")
                }
                BoreError::Back { row } => wrong(
                    line(row),
                    "the station goes back",
                    "sort the rows from the mouthpiece end to the bell; two rows at one station are a step",
                ),
                BoreError::Station { row } => wrong(line(row), "the station is further off than any instrument is long", "write it in mm"),
            }])
        }
    }
}

fn shortened(text: &str) -> String {
    let mut out: String = text.chars().take(40).collect();
    if text.chars().count() > 40 {
        out.push('…');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_mistake_has_its_line_and_how_to_mend_it() {
        let of = |text: &str| read(text).unwrap_err().join("\n");
        assert!(of("").contains("begin with the line station_mm,diameter_mm"));
        assert!(of("x,y\n1,2").contains("line 1") && of("x,y\n1,2").contains("To mend it"));
        assert!(of("station_mm,diameter_mm\n0,10\nfive,10").starts_with("line 3: “five,10”"));
        assert!(of("station_mm,diameter_mm\n0,10\n# said twice\n5,0\n").starts_with("line 4: the diameter"));
        assert!(of("station_mm,diameter_mm\n0,10\n9,10\n5,10").starts_with("line 4: the station goes back"));
        assert!(of("station_mm,diameter_mm\n0,10").contains("at least two rows"));
        assert!(of("station_mm,diameter_mm\n0,10\nNaN,10").starts_with("line 3"));
    }

    #[test]
    fn a_step_a_byte_order_mark_and_semicolons_are_read() {
        assert_eq!(read("\u{feff}station_mm,diameter_mm\n0,10\n5,10\n5,12\n9,12\n").unwrap().points.len(), 4);
        assert_eq!(read("station_mm;diameter_mm\n0;10,5\n5;10").unwrap().points[0].diameter_mm, 10.5);
    }

    proptest! {
        #[test]
        fn nothing_makes_it_panic(text in "(station_mm,diameter_mm\n)?[-0-9.,;a-z#\n\"]{0,200}") {
            let _ = read(&text);
        }
    }
}
