//! The tables of a setup's sheet: rows of dents, of other steps, of checks.

use super::pages::text;
use super::sheets::{DentRow, Row, RowOf};
use super::words as card;
use crate::look::{BODY, HAIRLINE, NARROW, NARROW_BODY_STRONG, NARROW_STRONG, STRONG, THIN, WIDE, box_to_tick};
use paper::{Across, Block, Cell, Grid, Role, Rules, Track, Type, Upright, Words};
use units::LengthUnit;

/// A table of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Table {
    /// Dents, and steps between them.
    Dents,
    /// Steps without a dent.
    Steps,
    /// Checks.
    Checks,
}

/// The box of a step in a table, mm.
const TICK_MM: f64 = 4.8;

impl Table {
    /// Its columns and their heads.
    pub(super) fn grid(self, unit: LengthUnit) -> Grid {
        let mm = |widths: &[f64]| widths.iter().map(|w| if *w > 2.0 { Track::Mm(*w) } else { Track::Part(*w) }).collect::<Vec<_>>();
        let (columns, heads) = match self {
            Table::Dents => (mm(&[7.0, 8.0, 10.0, 6.0, 1.0, 15.0, 14.0, 12.0, 11.0, 11.0, 24.0]), Some(card::dent_columns(unit).to_vec())),
            Table::Steps => (mm(&[7.0, 9.0, 1.0]), None),
            Table::Checks => (mm(&[7.0, 9.0, 1.0, 1.15, 18.0, 9.0]), Some(card::CHECK_COLUMNS.map(str::to_owned).to_vec())),
        };
        let header = heads.map(|heads| {
            heads.into_iter().enumerate().map(|(i, w)| Cell { upright: Upright::Bottom, ..self.cell(i, Words::of(w, NARROW)) }).collect()
        });
        Grid {
            inset_mm: (0.8, 0.9, 1.1),
            rules: Rules { top: Some(THIN), header: Some(WIDE), rows: Some(HAIRLINE), cells: None },
            header,
            table: true,
            ..Grid::side_by_side(columns, 0.0, Vec::new())
        }
    }

    /// A cell of a column, where its words stand as the column wants it.
    fn cell(self, column: usize, words: Words) -> Cell {
        let (across, upright) = match (self, column) {
            (Table::Dents, 0 | 3) | (Table::Checks, 0) => (Across::Middle, Upright::Middle),
            (Table::Dents, 1 | 5..=9) | (Table::Checks, 1) => (Across::Right, Upright::Middle),
            (Table::Dents, 2 | 4) | (Table::Checks, 2 | 3) => (Across::Left, Upright::Middle),
            (Table::Steps, 0) => (Across::Middle, Upright::Top),
            (Table::Steps, 1) => (Across::Right, Upright::Top),
            (Table::Steps, _) => (Across::Left, Upright::Top),
            _ => (Across::Left, Upright::Bottom),
        };
        let role = Some(Role::Paragraph);
        Cell { block: Block::Text { words, across, leading_em: super::pages::LEADING_EM, role }, upright, span: 1 }
    }

    fn tick(self) -> Cell {
        let upright = if self == Table::Steps { Upright::Top } else { Upright::Middle };
        Cell { upright, ..Cell::of(Block::Laid(box_to_tick(TICK_MM))) }
    }

    fn row(self, step: &str, cells: impl IntoIterator<Item = Words>) -> Vec<Cell> {
        let step = self.cell(1, Words::of(step, BODY));
        [self.tick(), step].into_iter().chain(cells.into_iter().enumerate().map(|(i, w)| self.cell(i + 2, w))).collect()
    }

    /// A step over all columns behind its number.
    fn over_all(self, step: &str, words: Words, columns: usize) -> Vec<Cell> {
        let mut row = self.row(step, []);
        row.push(Cell { span: columns, upright: Upright::Middle, ..Cell::of(text(words)) });
        row
    }
}

/// The rows of a step: one, or one a check.
pub(super) fn rows(table: Table, row: &Row) -> Vec<Vec<Cell>> {
    let of = |words: &str, how: Type| Words::of(words, how);
    match &row.what {
        RowOf::Dent(d) => vec![dent(table, &row.step, d)],
        RowOf::Step { what, checks, .. } if table == Table::Checks => {
            if checks.is_empty() {
                return vec![table.over_all(&row.step, of(what, NARROW_BODY_STRONG), 4)];
            }
            let one = |(what, wanted): &(String, String)| {
                table.row(&row.step, [of(what, NARROW_STRONG), of(wanted, NARROW), Words::default(), Words::default()])
            };
            checks.iter().map(one).collect()
        }
        RowOf::Step { what, lines, .. } => {
            let mut words = of(what, NARROW_BODY_STRONG);
            if !lines.is_empty() {
                words = words.and_break();
                for (i, line) in lines.iter().enumerate() {
                    words = words.and(if i > 0 { " " } else { "" }, NARROW).and(line.as_str(), NARROW);
                }
            }
            vec![if table == Table::Dents { table.over_all(&row.step, words, 9) } else { table.row(&row.step, [words]) }]
        }
    }
}

fn dent(table: Table, step: &str, d: &DentRow) -> Vec<Cell> {
    let figures = [&d.force, &d.stop, &d.strokes, &d.passes, &d.crack].map(|w| Words::of(w.as_str(), BODY));
    let tool = Words::of(d.tool.as_str(), NARROW_BODY_STRONG).and_break().and(d.note.as_str(), NARROW);
    let named = [Words::of(d.dent.as_str(), STRONG), Words::of(d.section.as_str(), STRONG), tool];
    table.row(step, named.into_iter().chain(figures).chain([Words::default()]))
}
