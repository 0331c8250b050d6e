//! Tables, and blocks side by side.

use crate::block::{Block, edged};
use crate::laid::{Laid, Shape, Stroke};
use crate::setter::Setter;
use crate::structure::Role;

/// The width of a column.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Track {
    /// So wide, mm.
    Mm(f64),
    /// As wide as what stands in it.
    Auto,
    /// So many parts of what the others leave.
    Part(f64),
}

/// Where a cell's block stands in the height of its row.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Upright {
    /// At the top.
    #[default]
    Top,
    /// In the middle.
    Middle,
    /// At the bottom.
    Bottom,
}

/// A cell.
#[derive(Clone, Debug)]
pub struct Cell {
    /// What stands in it.
    pub block: Block,
    /// Where.
    pub upright: Upright,
    /// Over how many columns.
    pub span: usize,
}

impl Cell {
    /// A cell at the top of its row.
    pub fn of(block: Block) -> Cell {
        Cell { block, upright: Upright::Top, span: 1 }
    }
}

impl From<Block> for Cell {
    fn from(block: Block) -> Cell {
        Cell::of(block)
    }
}

/// The lines of a table.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rules {
    /// Above the first row, where there is no header.
    pub top: Option<Stroke>,
    /// Under the header.
    pub header: Option<Stroke>,
    /// Under every other row.
    pub rows: Option<Stroke>,
    /// Around every cell.
    pub cells: Option<Stroke>,
}

/// A table, or blocks side by side.
#[derive(Clone, Debug)]
pub struct Grid {
    /// The columns.
    pub columns: Vec<Track>,
    /// Room between columns, mm.
    pub column_gap_mm: f64,
    /// Room between rows, mm.
    pub row_gap_mm: f64,
    /// Room within a cell, mm: left and right, top, bottom.
    pub inset_mm: (f64, f64, f64),
    /// The lines.
    pub rules: Rules,
    /// The heads of the columns; none where it has none.
    pub header: Option<Vec<Cell>>,
    /// The rows.
    pub rows: Vec<Vec<Cell>>,
    /// Whether it is a table: blocks that only stand side by side are none.
    pub table: bool,
}

impl Grid {
    /// Blocks side by side, so far from each other, mm.
    pub fn side_by_side(columns: Vec<Track>, gap_mm: f64, row: Vec<Cell>) -> Grid {
        Grid {
            columns,
            column_gap_mm: gap_mm,
            row_gap_mm: 0.0,
            inset_mm: (0.0, 0.0, 0.0),
            rules: Rules::default(),
            header: None,
            rows: vec![row],
            table: false,
        }
    }

    /// As a block.
    pub fn block(self) -> Block {
        Block::Grid(Box::new(self))
    }
}

/// A row that is laid, with what a page needs to stretch it.
#[derive(Clone, Debug)]
pub struct LaidRow {
    cells: Vec<(f64, f64, Upright, Laid)>,
    width_mm: f64,
    /// Its height, mm.
    pub height_mm: f64,
    under: Option<Stroke>,
    over: Option<Stroke>,
    around: Option<Stroke>,
    inset_mm: (f64, f64, f64),
}

impl LaidRow {
    /// The row, so much higher, mm.
    pub fn stretched(&self, extra_mm: f64) -> Laid {
        let height = self.height_mm + extra_mm;
        let (side, top, bottom) = self.inset_mm;
        let mut out = Laid::room(self.width_mm, height);
        for (x, width, upright, laid) in &self.cells {
            let free = (height - top - bottom - laid.height_mm).max(0.0);
            let down = match upright {
                Upright::Top => 0.0,
                Upright::Middle => free / 2.0,
                Upright::Bottom => free,
            };
            out.put(x + side, top + down, laid.clone());
            if let Some(edge) = self.around {
                out = out.and_shape(*x, 0.0, Shape::Rectangle(*width, height, None, Some(edge)));
            }
        }
        edged(out, &[self.over, None, self.under, None])
    }
}

impl Setter {
    /// The widths of a grid's columns in so much room, mm.
    pub fn column_widths(&mut self, grid: &Grid, width_mm: f64) -> Vec<f64> {
        let n = grid.columns.len();
        let room = width_mm - grid.column_gap_mm * (n.saturating_sub(1)) as f64;
        let mut widths: Vec<f64> = grid.columns.iter().map(|t| if let Track::Mm(mm) = t { *mm } else { 0.0 }).collect();
        let autos: Vec<usize> = (0..n).filter(|i| grid.columns[*i] == Track::Auto).collect();
        for i in &autos {
            widths[*i] = self.natural_of_column(grid, *i);
        }
        let fixed: f64 = grid.columns.iter().map(|t| if let Track::Mm(mm) = t { *mm } else { 0.0 }).sum();
        let parts: f64 = grid.columns.iter().map(|t| if let Track::Part(p) = t { *p } else { 0.0 }).sum();
        // Where they ask for more than there is, the wide ones give until all fit: none below an even share.
        let free = (room - fixed).max(0.0) * if parts > 0.0 { 0.85 } else { 1.0 };
        shrink(&mut widths, &autos, free);
        let rest = (room - widths.iter().sum::<f64>()).max(0.0);
        for (w, t) in widths.iter_mut().zip(&grid.columns) {
            if let Track::Part(p) = t {
                *w = rest * p / parts;
            }
        }
        widths
    }

    fn natural_of_column(&mut self, grid: &Grid, column: usize) -> f64 {
        let mut widest = 0.0_f64;
        for row in grid.header.iter().chain(&grid.rows) {
            let mut at = 0;
            for cell in row {
                if at == column && cell.span == 1 {
                    widest = widest.max(self.natural_of(&cell.block) + 2.0 * grid.inset_mm.0);
                }
                at += cell.span;
            }
        }
        widest
    }

    pub(crate) fn natural_of_grid(&mut self, grid: &Grid) -> f64 {
        let each: f64 =
            (0..grid.columns.len()).map(|i| if let Track::Mm(mm) = grid.columns[i] { mm } else { self.natural_of_column(grid, i) }).sum();
        each + grid.column_gap_mm * (grid.columns.len().saturating_sub(1)) as f64
    }

    /// Lays a row of a grid whose columns have these widths.
    pub fn lay_row(&mut self, grid: &Grid, row: &[Cell], widths: &[f64], header: bool, first: bool) -> LaidRow {
        let (side, top, bottom) = grid.inset_mm;
        if grid.table {
            self.structure.open(Role::Row);
        }
        let mut cells = Vec::new();
        let (mut x, mut column, mut height) = (0.0, 0, 0.0_f64);
        for cell in row {
            let span = widths.get(column..(column + cell.span).min(widths.len())).unwrap_or_default();
            let width = span.iter().sum::<f64>() + grid.column_gap_mm * (span.len().saturating_sub(1)) as f64;
            if grid.table {
                self.structure.open(if header { Role::Head } else { Role::Cell });
            }
            let laid = self.lay(&cell.block, width - 2.0 * side);
            if grid.table {
                self.structure.close();
            }
            height = height.max(laid.height_mm);
            cells.push((x, width, cell.upright, laid));
            x += width + grid.column_gap_mm;
            column += cell.span;
        }
        if grid.table {
            self.structure.close();
        }
        LaidRow {
            cells,
            width_mm: (x - grid.column_gap_mm).max(0.0),
            height_mm: height + top + bottom,
            under: if header { grid.rules.header } else { grid.rules.rows },
            over: grid.rules.top.filter(|_| first && grid.header.is_none()),
            around: grid.rules.cells,
            inset_mm: grid.inset_mm,
        }
    }

    pub(crate) fn lay_grid(&mut self, grid: &Grid, width_mm: f64) -> Laid {
        let widths = self.column_widths(grid, width_mm);
        if grid.table {
            self.structure.open(Role::Table);
        }
        let mut out = Laid::room(0.0, 0.0);
        if let Some(header) = &grid.header {
            let row = self.lay_row(grid, header, &widths, true, false).stretched(0.0);
            out.put_below(0.0, row);
        }
        for (i, row) in grid.rows.iter().enumerate() {
            let laid = self.lay_row(grid, row, &widths, false, i == 0).stretched(0.0);
            out.put_below(if i > 0 || grid.header.is_some() { grid.row_gap_mm } else { 0.0 }, laid);
        }
        if grid.table {
            self.structure.close();
        }
        out
    }
}

/// Takes from the widest of these until they fit into the room: all that are wider than an even share of it end equal.
fn shrink(widths: &mut [f64], of: &[usize], room: f64) {
    let sum: f64 = of.iter().map(|i| widths[*i]).sum();
    if sum <= room || of.is_empty() {
        return;
    }
    let mut sorted: Vec<f64> = of.iter().map(|i| widths[*i]).collect();
    sorted.sort_by(f64::total_cmp);
    let (mut left, mut count) = (room, sorted.len());
    let mut cap = room / count as f64;
    for w in sorted {
        cap = left / count as f64;
        if w > cap {
            break;
        }
        left -= w;
        count -= 1;
    }
    of.iter().for_each(|i| widths[*i] = widths[*i].min(cap));
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: of 100 mm the narrow one keeps its 10, the two others get half of the rest; where there is room nobody gives.
    #[test]
    fn the_widest_columns_give() {
        let mut widths = [10.0, 60.0, 90.0];
        shrink(&mut widths, &[0, 1, 2], 100.0);
        assert_eq!(widths, [10.0, 45.0, 45.0]);
        let mut widths = [10.0, 20.0, 30.0];
        shrink(&mut widths, &[0, 1, 2], 60.0);
        assert_eq!(widths, [10.0, 20.0, 30.0]);
    }
}
