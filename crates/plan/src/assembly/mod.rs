//! The metal about a flame as a net of pieces ([`metal::heat_net`]): every run, brace, ferrule, guard and casing that heat
//! from there reaches, joined where solder, braze or one piece joins them.
//!
//! What is apart on the bench carries no heat: slides, threads, and what is opened or off by then. A casing is a run like
//! others; that a tube enters its wall from the side is passed over (spreading in the wall resists with about 1 K/W against
//! the tube's own 12 K/W).

use instrument::{End, Instrument, JointKind, OverlayKind, Run, RunEnd, RunId};
use metal::heat_net::{Loss, Net, Piece, PieceId};
use metal::{Alloy, heat};
use reach::Opened;
use std::collections::HashMap;

mod cells;
mod hottest;
mod sections;

pub use cells::Stretch;
use cells::{Cell, Entry, Reached, at_station, cuts, stands_on};
use hottest::Away;
pub use hottest::{Assembly, Hottest};
pub use sections::usual;
use sections::{conducts, lying_mm2, sane, section_mm2};

/// How far along the metal heat is followed, mm: further off nothing comes near melting (test: a reckoning over 400 mm finds no
/// neighbour that this one misses).
pub const WINDOW_MM: f64 = 250.0;
/// The same of a flame for soft solder.
pub const SOFT_WINDOW_MM: f64 = 150.0;
/// Pieces are this long near the flame and grow by this part of their distance, mm. Half as long pieces move a
/// peak by under 10 % of its rise, nearly always under 4 % (test).
const PIECE_MM: f64 = 4.0;
const PIECE_GROWTH: f64 = 0.08;
/// Temperature of the room, °C.
pub const AIR_DEGC: f64 = 20.0;

/// Metal that lies on a stretch.
struct Band {
    from_mm: f64,
    to_mm: f64,
    section_mm2: f64,
    /// Whether it goes all round.
    round: bool,
    /// What it belongs to: gone when that is off.
    of: Opened,
}

/// Where two runs' ends meet in solder, braze or one piece.
struct Meeting {
    ends: [(usize, f64); 2],
    of: Opened,
}

/// A brace: the middles of its feet.
struct Brace {
    feet: Vec<(usize, f64)>,
    of: Opened,
}

/// What of an instrument matters to heat, looked up once.
pub struct Parts<'a> {
    runs: &'a [Run],
    by_id: HashMap<&'a str, usize>,
    bands: Vec<Vec<Band>>,
    meetings: Vec<Meeting>,
    braces: Vec<Brace>,
}

/// A flame on one side of a tube warms the wall beside it so far, mm on either side, as if it were evenly hot there and cold
/// beyond. Own model: with it a strip gives the heat that a round place in a wide wall carries off at rest (Bessel functions
/// K₀ and K₁, Incropera & DeWitt) within 12 % for places of 20 to 32 mm (test).
pub const SIDE_MM: f64 = 30.0;

/// How the metal is taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taken {
    /// Factor on the conductivity.
    pub conductivity: f64,
    /// Breadth of the flame round the tube, mm; none where it is led all round.
    pub round_mm: Option<f64>,
    /// How far along the metal heat is followed, mm.
    pub window_mm: f64,
}

impl Taken {
    /// Part of the way round a tube that takes part.
    fn share(&self, outside_mm: f64) -> f64 {
        self.round_mm.map_or(1.0, |w| ((w + 2.0 * SIDE_MM) / (std::f64::consts::PI * outside_mm)).min(1.0))
    }
}

impl<'a> Parts<'a> {
    /// Looks an instrument up.
    pub fn new(instrument: &'a Instrument) -> Self {
        let by_id: HashMap<&str, usize> = instrument.runs.iter().enumerate().map(|(i, r)| (r.id.0.as_str(), i)).collect();
        let mut parts = Self {
            runs: &instrument.runs,
            by_id,
            bands: instrument.runs.iter().map(|_| vec![]).collect(),
            meetings: vec![],
            braces: vec![],
        };
        for j in instrument.joints.iter().filter(|j| carries(j.kind)) {
            let of = || Opened::Joint(j.id.clone());
            let (Some(a), Some(b)) = (parts.end(&j.a.run, j.a.end), parts.end(&j.b.run, j.b.end)) else { continue };
            parts.meetings.push(Meeting { ends: [a, b], of: of() });
            // One tube lies in the other over the overlap, half of it counted on either side.
            let half = 0.5 * j.overlap_mm.max(0.0);
            for ((run, at), (other, there)) in [(a, b), (b, a)] {
                let section = section_mm2(&parts.runs[other], there);
                parts.band(run, Band { from_mm: at - half, to_mm: at + half, section_mm2: section, round: true, of: of() });
            }
        }
        for o in &instrument.overlays {
            let of = || Opened::Overlay(o.id.clone());
            for c in &o.covers {
                let Some(run) = parts.run(&c.run) else { continue };
                let section = lying_mm2(o, &parts.runs[run], 0.5 * (c.from_mm + c.to_mm), c.clock_deg);
                let (from_mm, to_mm) = (c.from_mm.min(c.to_mm), c.from_mm.max(c.to_mm));
                parts.band(run, Band { from_mm, to_mm, section_mm2: section, round: c.clock_deg.is_none(), of: of() });
            }
            if o.kind == OverlayKind::Brace {
                let feet = o.covers.iter().filter_map(|c| Some((parts.run(&c.run)?, 0.5 * (c.from_mm + c.to_mm)))).collect();
                parts.braces.push(Brace { feet, of: of() });
            }
        }
        parts
    }

    /// The place of a run in the instrument.
    pub fn run(&self, id: &RunId) -> Option<usize> {
        self.by_id.get(id.0.as_str()).copied()
    }

    /// A run by its place.
    pub fn run_of(&self, run: usize) -> &'a Run {
        &self.runs[run]
    }

    /// A stretch cut to its run; none where nothing of it lies there.
    pub fn stretch(&self, run: usize, from_mm: f64, to_mm: f64) -> Option<Stretch> {
        if !(from_mm.is_finite() && to_mm.is_finite()) {
            return None;
        }
        let (from_mm, to_mm) = (from_mm.max(0.0), to_mm.min(self.runs[run].length_mm()));
        (to_mm > from_mm).then_some(Stretch { run, from_mm, to_mm })
    }

    /// The stretch of this length at a run's end.
    pub fn at_end(&self, end: &RunEnd, length_mm: f64) -> Option<Stretch> {
        let run = self.run(&end.run)?;
        let length = self.runs[run].length_mm();
        // A place needs some length to be one.
        let mm = length_mm.max(0.01);
        if end.end == End::Start { self.stretch(run, 0.0, mm) } else { self.stretch(run, length - mm, length) }
    }

    fn end(&self, id: &RunId, end: End) -> Option<(usize, f64)> {
        let run = self.run(id)?;
        Some((run, if end == End::Start { 0.0 } else { self.runs[run].length_mm() }))
    }

    fn band(&mut self, run: usize, band: Band) {
        if band.section_mm2.is_finite() && band.section_mm2 > 0.0 {
            self.bands[run].push(band);
        }
    }

    /// The stretches that heat from some stretches reaches within a window, one for each run; none for the others.
    fn reached(&self, flame: &[Stretch], off: &[Opened], window_mm: f64) -> Vec<Option<Reached>> {
        let mut all: Vec<Vec<Entry>> = self.runs.iter().map(|_| vec![]).collect();
        let mut queue: Vec<(usize, Entry)> =
            flame.iter().map(|s| (s.run, Entry { from_mm: s.from_mm, to_mm: s.to_mm, left_mm: window_mm })).collect();
        while let Some((run, entry)) = queue.pop() {
            if all[run].iter().any(|e| e.left_at(entry.from_mm).min(e.left_at(entry.to_mm)) >= entry.left_mm - 1e-9) {
                continue;
            }
            all[run].push(entry);
            for m in self.meetings.iter().filter(|m| !off.contains(&m.of)) {
                for (here, there) in [(m.ends[0], m.ends[1]), (m.ends[1], m.ends[0])] {
                    let left_mm = entry.left_at(here.1);
                    if here.0 == run && left_mm > 0.0 {
                        queue.push((there.0, Entry { from_mm: there.1, to_mm: there.1, left_mm }));
                    }
                }
            }
            for b in self.braces.iter().filter(|b| !off.contains(&b.of)) {
                for here in b.feet.iter().filter(|f| f.0 == run) {
                    let left_mm = entry.left_at(here.1) - usual::ROD_LENGTH_MM;
                    for there in b.feet.iter().filter(|f| *f != here && left_mm > 0.0) {
                        queue.push((there.0, Entry { from_mm: there.1, to_mm: there.1, left_mm }));
                    }
                }
            }
        }
        all.into_iter()
            .enumerate()
            .map(|(run, entries)| {
                let length = self.runs[run].length_mm();
                let from = entries.iter().map(|e| e.from_mm - e.left_mm).fold(f64::INFINITY, f64::min).max(0.0);
                let to = entries.iter().map(|e| e.to_mm + e.left_mm).fold(f64::NEG_INFINITY, f64::max).min(length);
                (to > from).then_some(Reached { from_mm: from, to_mm: to, entries, window_mm })
            })
            .collect()
    }

    fn piece(&self, run: usize, from_mm: f64, to_mm: f64, off: &[Opened], taken: Taken) -> Piece {
        let (r, middle) = (&self.runs[run], 0.5 * (from_mm + to_mm));
        let length_mm = (to_mm - from_mm).max(1e-3);
        let (bore_mm, wall_mm) = (sane(r.bore_mm.at(middle).value, 10.0), sane(r.wall_mm.at(middle).value, 0.5));
        let bands: Vec<&Band> = self.bands[run].iter().filter(|b| b.to_mm > from_mm && b.from_mm < to_mm && !off.contains(&b.of)).collect();
        let share = taken.share(bore_mm + 2.0 * wall_mm);
        let lies = |b: &Band| b.section_mm2 * if b.round { share } else { 1.0 };
        let on = |x: f64| bands.iter().filter(|b| b.from_mm <= x && x < b.to_mm).map(|b| lies(b)).sum::<f64>();
        let tube = share * std::f64::consts::PI * (bore_mm + wall_mm) * wall_mm;
        let mut edges = vec![from_mm, to_mm];
        edges.extend(bands.iter().flat_map(|b| [b.from_mm, b.to_mm]).filter(|x| *x > from_mm && *x < to_mm));
        edges.sort_by(f64::total_cmp);
        let (mut volume, mut resists) = (0.0, 0.0);
        for w in edges.windows(2) {
            let extra = on(0.5 * (w[0] + w[1]));
            volume += extra * (w[1] - w[0]);
            resists += (w[1] - w[0]) / (tube + extra);
        }
        let (conductivity_w_mk, capacity_j_mm3k) = conducts(r.alloy);
        Piece {
            length_mm,
            bore_mm,
            wall_mm,
            extra_mm2: volume / length_mm,
            extra_conducts_mm2: if resists > 0.0 { length_mm / resists - tube } else { 0.0 },
            share,
            conductivity_w_mk: conductivity_w_mk * taken.conductivity,
            capacity_j_mm3k,
        }
    }

    /// The metal about some stretches that a flame keeps at one heat.
    pub fn about(&self, flame: &[Stretch], off: &[Opened], taken: Taken) -> Assembly {
        self.about_in(flame, off, taken, PIECE_MM, PIECE_GROWTH)
    }

    fn about_in(&self, flame: &[Stretch], off: &[Opened], taken: Taken, piece_mm: f64, growth: f64) -> Assembly {
        let mut net = Net::new(Loss::StillAir { emissivity: heat::EMISSIVITY_OXIDISED }, AIR_DEGC);
        let reached = self.reached(flame, off, taken.window_mm);
        let mut cells: Vec<Vec<Cell>> = Vec::with_capacity(self.runs.len());
        let mut steps: Vec<(PieceId, PieceId, f64)> = Vec::new();
        for (run, stretch) in reached.iter().enumerate() {
            let mut mine: Vec<Cell> = Vec::new();
            if let Some(reach) = stretch {
                for (from_mm, to_mm, hot) in cuts(reach, flame.iter().filter(|s| s.run == run), piece_mm, growth) {
                    let piece = self.piece(run, from_mm, to_mm, off, taken);
                    let id = if hot {
                        net.under_flame(&piece);
                        0
                    } else {
                        net.add(&piece)
                    };
                    if let Some(before) = mine.last() {
                        net.join(before.id, id);
                        steps.push((before.id, id, before.half_mm() + if hot { 0.0 } else { 0.5 * (to_mm - from_mm) }));
                    }
                    mine.push(Cell { from_mm, to_mm, id });
                }
                self.open_ends(run, reach, &mine, &reached, off, taken, &mut net);
            }
            cells.push(mine);
        }
        self.meet(&mut cells, off, &mut net, &mut steps);
        let (k, c) = conducts(Alloy::YellowBrass);
        for b in self.braces.iter().filter(|b| !off.contains(&b.of)) {
            let feet: Vec<(PieceId, f64)> = b.feet.iter().flat_map(|(run, at)| stands_on(&cells[*run], *at)).collect();
            if !feet.is_empty() {
                let rod = net.rod(&feet, usual::ROD_MM, usual::ROD_LENGTH_MM, k * taken.conductivity, c);
                steps.extend(feet.iter().map(|f| (f.0, rod, 0.5 * usual::ROD_LENGTH_MM)));
            }
        }
        let away = Away::new(net.len(), &steps);
        Assembly { net, cells, away }
    }

    /// Joins the runs where they meet: all ends that meet at one end of a run (the tubes of a casing's port) meet in one place.
    fn meet(&self, cells: &mut [Vec<Cell>], off: &[Opened], net: &mut Net, steps: &mut Vec<(PieceId, PieceId, f64)>) {
        let mut places: Vec<Vec<(usize, f64)>> = Vec::new();
        for m in self.meetings.iter().filter(|m| !off.contains(&m.of)) {
            let same = |p: &Vec<(usize, f64)>| p.iter().any(|e| m.ends.contains(e));
            let mut ends = m.ends.to_vec();
            while let Some(i) = places.iter().position(same) {
                ends.extend(places.swap_remove(i));
            }
            places.push(ends);
        }
        for mut ends in places {
            ends.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
            ends.dedup();
            let met: Vec<(usize, f64, Cell)> =
                ends.iter().filter_map(|(run, at)| Some((*run, *at, *at_station(&cells[*run], *at)?))).collect();
            if met.len() < 2 {
                continue;
            }
            let id = if met.iter().any(|(_, _, c)| c.id == 0) { 0 } else { net.meeting() };
            for (run, at, c) in met {
                net.join(c.id, id);
                steps.push((c.id, id, c.half_mm()));
                // A piece without length, so that the temperature at the run's very end is known.
                let end = Cell { from_mm: at, to_mm: at, id };
                if at <= c.from_mm + 1e-6 && at < c.to_mm - 1e-6 {
                    cells[run].insert(0, end);
                } else {
                    cells[run].push(end);
                }
            }
        }
    }

    /// Tube that goes on beyond what is looked at; a real end of a run loses nothing.
    #[allow(clippy::too_many_arguments, reason = "one call, all of it needed")]
    fn open_ends(&self, run: usize, reach: &Reached, mine: &[Cell], all: &[Option<Reached>], off: &[Opened], taken: Taken, net: &mut Net) {
        let length = self.runs[run].length_mm();
        let joined_further = |at: f64| {
            self.meetings.iter().filter(|m| !off.contains(&m.of)).any(|m| {
                [(m.ends[0], m.ends[1]), (m.ends[1], m.ends[0])].iter().any(|(here, there)| {
                    here.0 == run && (here.1 - at).abs() < 1e-6 && all[there.0].as_ref().is_none_or(|r| !r.holds(there.1))
                })
            })
        };
        let (Some(first), Some(last)) = (mine.first(), mine.last()) else { return };
        for (cell, cut, at) in [(first, reach.from_mm > 1e-6, 0.0), (last, reach.to_mm < length - 1e-6, length)] {
            if cut || joined_further(at) {
                net.goes_on(cell.id, &self.piece(run, cell.from_mm, cell.to_mm, off, taken));
            }
        }
    }
}

fn carries(kind: JointKind) -> bool {
    match kind {
        JointKind::SoftSoldered { .. } | JointKind::SilverBrazed { .. } | JointKind::Pressed | JointKind::Fixed => true,
        // Taken apart by hand before any flame is lit.
        JointKind::SlidingFit | JointKind::Threaded => false,
    }
}

#[cfg(test)]
#[path = "assembly_test.rs"]
mod tests;
