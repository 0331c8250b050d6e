//! What a flame does to the metal about it: where something gets hottest, how much of a finish is spoiled, where a wet cloth lies.

use super::cells::{Cell, Stretch, at_station, near_edge};
use metal::heat_net::{Net, PieceId};

/// How far each piece is from the flame along the metal, and by which piece heat comes to it first.
pub(super) struct Away {
    pub(super) mm: Vec<f64>,
    pub(super) by: Vec<PieceId>,
}

impl Away {
    pub(super) fn new(n: usize, steps: &[(PieceId, PieceId, f64)]) -> Self {
        let mut beside: Vec<Vec<(PieceId, f64)>> = vec![vec![]; n];
        for (a, b, mm) in steps {
            beside[*a].push((*b, *mm));
            beside[*b].push((*a, *mm));
        }
        let (mut mm, mut by) = (vec![f64::INFINITY; n], vec![0; n]);
        mm[0] = 0.0;
        // Few pieces, nearly a tree: going round until nothing moves is as quick as a heap.
        let mut queue = std::collections::VecDeque::from([0]);
        while let Some(i) = queue.pop_front() {
            for (j, step) in &beside[i] {
                if mm[i] + step < mm[*j] - 1e-9 {
                    (mm[*j], by[*j]) = (mm[i] + step, i);
                    queue.push_back(*j);
                }
            }
        }
        Self { mm, by }
    }
}

/// The metal about a flame.
pub struct Assembly {
    /// The net.
    pub net: Net,
    /// The pieces of each run, in order.
    pub(super) cells: Vec<Vec<Cell>>,
    pub(super) away: Away,
}

/// The hottest place of something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hottest {
    /// Which run.
    pub run: usize,
    /// Station, mm.
    pub at_mm: f64,
    /// Peak, °C.
    pub degc: f64,
    /// From the edge of the flame along the metal, mm.
    pub away_mm: f64,
}

impl Assembly {
    /// Hottest place on some stretches; none where heat is not followed to any of them.
    pub fn hottest(&self, on: &[Stretch], peaks: &[f64]) -> Option<Hottest> {
        let mut best: Option<Hottest> = None;
        for s in on {
            let cells = &self.cells[s.run];
            let inside = cells.iter().map(Cell::middle_mm).filter(|x| *x > s.from_mm && *x < s.to_mm);
            for at_mm in inside.chain([s.from_mm, s.to_mm]) {
                let Some(degc) = along(cells, at_mm, peaks) else { continue };
                if best.is_none_or(|b| degc > b.degc) {
                    best = Some(Hottest { run: s.run, at_mm, degc, away_mm: self.away_mm(s.run, at_mm) });
                }
            }
        }
        best
    }

    pub(super) fn away_mm(&self, run: usize, x: f64) -> f64 {
        let cells = &self.cells[run];
        match at_station(cells, x) {
            Some(c) if c.id != 0 => {
                // From the piece's middle on or back, whichever way heat comes to it.
                let from = self.away.by[c.id];
                let from_left = cells.iter().take_while(|o| o.to_mm <= c.from_mm + 1e-6).last().is_some_and(|o| o.id == from);
                let from_right = cells.iter().find(|o| o.from_mm >= c.to_mm - 1e-6).is_some_and(|o| o.id == from);
                let comes_up = from_left || (!from_right && c.from_mm < 1e-6);
                let further = x - c.middle_mm();
                (self.away.mm[c.id] + if comes_up { further } else { -further }).max(0.0)
            }
            _ => 0.0,
        }
    }

    /// The pieces on the way from the flame to a place, in the last `width_mm` before it: where a cloth lies against it.
    pub fn cloth(&self, place: &Hottest, width_mm: f64) -> Vec<PieceId> {
        let mut all = Vec::new();
        let mut at = at_station(&self.cells[place.run], place.at_mm).map_or(0, |c| c.id);
        while at != 0 {
            let before = place.away_mm - self.away.mm[at];
            if before > width_mm {
                break;
            }
            if before >= 0.0 {
                all.push(at);
            }
            at = self.away.by[at];
        }
        all
    }

    /// Length of each run that gets hotter than a limit of its own, mm; `limit`: none where the run cannot be spoiled.
    pub fn hotter_mm(&self, peaks: &[f64], limit: impl Fn(usize) -> Option<f64>) -> Vec<(usize, f64)> {
        let mut all = Vec::new();
        for (run, cells) in self.cells.iter().enumerate().filter(|(_, c)| !c.is_empty()) {
            let Some(limit) = limit(run) else { continue };
            let mm = hot_length_mm(cells, peaks, limit);
            if mm > 0.0 {
                all.push((run, mm));
            }
        }
        all
    }

    /// How hot a run gets along itself, as far as heat is followed: stations, mm, with their peaks, °C. Under the flame both its edges.
    pub fn along_run(&self, run: usize, peaks: &[f64]) -> Vec<(f64, f64)> {
        let at = |c: &Cell| if c.id == 0 { vec![c.from_mm, c.to_mm] } else { vec![c.middle_mm()] };
        self.cells[run].iter().flat_map(|c| at(c).into_iter().map(|mm| (mm, peaks[c.id]))).collect()
    }

    /// How far from the flame a run gets hotter than a limit, at the furthest, mm.
    pub fn hot_from_flame_mm(&self, run: usize, peaks: &[f64], limit: f64) -> f64 {
        let cells = &self.cells[run];
        let mut furthest: f64 = 0.0;
        for pair in cells.windows(2) {
            let (a, b) = (near_edge(&pair[0], &pair[1]), near_edge(&pair[1], &pair[0]));
            let (ta, tb) = (peaks[pair[0].id], peaks[pair[1].id]);
            let at = if ta >= limit && tb >= limit {
                if self.away_mm(run, a) > self.away_mm(run, b) { a } else { b }
            } else if ta >= limit || tb >= limit {
                a + (b - a) * (ta - limit) / (ta - tb)
            } else {
                continue;
            };
            furthest = furthest.max(self.away_mm(run, at));
        }
        furthest
    }
}

/// A value of the pieces at a station, straight between them.
pub(super) fn along(cells: &[Cell], x: f64, values: &[f64]) -> Option<f64> {
    let i = cells.partition_point(|c| c.to_mm < x - 1e-6);
    let c = cells.get(i).filter(|c| c.from_mm <= x + 1e-6)?;
    if c.id == 0 {
        return Some(values[0]);
    }
    let neighbour = if x < c.middle_mm() { i.checked_sub(1).map(|j| &cells[j]) } else { cells.get(i + 1) };
    let Some(n) = neighbour else { return Some(values[c.id]) };
    let (a, b) = (c.middle_mm(), near_edge(n, c));
    Some(values[c.id] + (values[n.id] - values[c.id]) * ((x - a) / (b - a)).clamp(0.0, 1.0))
}

pub(super) fn hot_length_mm(cells: &[Cell], peaks: &[f64], limit: f64) -> f64 {
    let mut mm = 0.0;
    for c in cells.iter().filter(|c| c.id == 0 && peaks[0] >= limit) {
        mm += c.to_mm - c.from_mm;
    }
    for pair in cells.windows(2) {
        let length = near_edge(&pair[1], &pair[0]) - near_edge(&pair[0], &pair[1]);
        let (hot, cool) = (peaks[pair[0].id].max(peaks[pair[1].id]), peaks[pair[0].id].min(peaks[pair[1].id]));
        if cool >= limit {
            mm += length;
        } else if hot >= limit {
            mm += length * (hot - limit) / (hot - cool);
        }
    }
    // The outer halves of the outermost pieces.
    for c in [cells.first(), cells.last()].into_iter().flatten().filter(|c| c.id != 0 && peaks[c.id] >= limit) {
        mm += c.half_mm();
    }
    mm
}
