//! The pieces of a run as far as heat is followed along it.

use metal::heat_net::PieceId;

/// A stretch of a run, by the run's place in the instrument.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Which run.
    pub run: usize,
    /// First station, mm.
    pub from_mm: f64,
    /// Last station, mm.
    pub to_mm: f64,
}

/// A stretch by which heat enters a run, and how far it is still followed from there.
#[derive(Clone, Copy)]
pub(super) struct Entry {
    pub(super) from_mm: f64,
    pub(super) to_mm: f64,
    pub(super) left_mm: f64,
}

impl Entry {
    pub(super) fn left_at(&self, x: f64) -> f64 {
        self.left_mm - (self.from_mm - x).max(x - self.to_mm).max(0.0)
    }
}

pub(super) struct Reached {
    pub(super) from_mm: f64,
    pub(super) to_mm: f64,
    pub(super) entries: Vec<Entry>,
    pub(super) window_mm: f64,
}

impl Reached {
    pub(super) fn holds(&self, x: f64) -> bool {
        (self.from_mm - 1e-6..=self.to_mm + 1e-6).contains(&x)
    }

    /// Distance from the flame along the metal, mm.
    pub(super) fn away_mm(&self, x: f64) -> f64 {
        self.window_mm - self.entries.iter().map(|e| e.left_at(x)).fold(f64::NEG_INFINITY, f64::max)
    }
}

/// Cuts a stretch into pieces, short near the flame; those under the flame are marked.
pub(super) fn cuts<'s>(reach: &Reached, flame: impl Iterator<Item = &'s Stretch>, piece_mm: f64, growth: f64) -> Vec<(f64, f64, bool)> {
    let mut hot: Vec<(f64, f64)> = flame.map(|s| (s.from_mm.max(reach.from_mm), s.to_mm.min(reach.to_mm))).filter(|s| s.1 > s.0).collect();
    hot.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut out = Vec::new();
    let mut x = reach.from_mm;
    let cold = |from: f64, to: f64, out: &mut Vec<(f64, f64, bool)>| {
        let mut x = from;
        while to - x > 1e-9 {
            let size = |x: f64| piece_mm + growth * reach.away_mm(x).max(0.0);
            let mut step = size(x).min(size((x + size(x)).min(to)));
            if to - x < 1.5 * step {
                step = to - x;
            }
            out.push((x, (x + step).min(to), false));
            x += step;
        }
    };
    for (from, to) in hot {
        let from = from.max(x);
        if to <= from {
            continue;
        }
        cold(x, from, &mut out);
        out.push((from, to, true));
        x = to;
    }
    cold(x, reach.to_mm, &mut out);
    out
}

/// A piece of a run; number 0 is under the flame.
#[derive(Clone, Copy)]
pub(super) struct Cell {
    pub(super) from_mm: f64,
    pub(super) to_mm: f64,
    pub(super) id: PieceId,
}

impl Cell {
    pub(super) fn middle_mm(&self) -> f64 {
        0.5 * (self.from_mm + self.to_mm)
    }

    /// From its middle to its end; what is under the flame is all at the flame.
    pub(super) fn half_mm(&self) -> f64 {
        if self.id == 0 { 0.0 } else { 0.5 * (self.to_mm - self.from_mm) }
    }
}

pub(super) fn at_station(cells: &[Cell], x: f64) -> Option<&Cell> {
    let i = cells.partition_point(|c| c.to_mm < x - 1e-6);
    cells.get(i).filter(|c| c.from_mm <= x + 1e-6)
}

/// The pieces between whose middles a station lies, each with its part.
pub(super) fn stands_on(cells: &[Cell], x: f64) -> Vec<(PieceId, f64)> {
    let i = cells.partition_point(|c| c.to_mm < x - 1e-6);
    let Some(c) = cells.get(i).filter(|c| c.from_mm <= x + 1e-6) else { return vec![] };
    let neighbour = if x < c.middle_mm() { i.checked_sub(1).map(|j| &cells[j]) } else { cells.get(i + 1) };
    match neighbour {
        Some(n) if c.id != 0 => {
            let (a, b) = (c.middle_mm(), near_edge(n, c));
            let part = ((x - a) / (b - a)).clamp(0.0, 1.0);
            vec![(c.id, 1.0 - part), (n.id, part)]
        }
        _ => vec![(c.id, 1.0)],
    }
}

/// Where a piece's temperature holds, as seen from its neighbour: at its middle, or at its edge where it is under the flame.
pub(super) fn near_edge(c: &Cell, neighbour: &Cell) -> f64 {
    match (c.id, neighbour.from_mm >= c.to_mm - 1e-6) {
        (0, true) => c.to_mm,
        (0, false) => c.from_mm,
        _ => c.middle_mm(),
    }
}
