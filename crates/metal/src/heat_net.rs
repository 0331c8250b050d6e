//! Heat in an assembly: pieces of tube, braces and bands, each with its metal in it, joined where the metal joins; one
//! stretch that a flame heats.
//!
//! Each piece has one temperature. Heat flows between pieces that are joined, out to still air, on into tube beyond the cut
//! ends. Time goes in implicit Euler steps that grow with the time (stable at any step, never overshoot). The balance of all
//! pieces is solved by elimination from the farthest piece to the flame; where the metal branches but closes no ring that
//! costs no more than a line does. Source: Patankar, Numerical Heat Transfer and Fluid Flow (1980), from memory; elimination
//! order and fill after George & Liu, Computer Solution of Large Sparse Positive Definite Systems (1981), from memory. Held to
//! the fin, the junction of three fins, a rod between two tubes and the rod under a constant flux in `tests/published.rs`.

use crate::heat;
use units::Source;

/// Source of [`Net::burn`].
pub const NET: Source = Source::own_model(
    "finite volumes over the joined metal with time, the stretch under the flame kept even by leading the flame about; held to closed forms of one fin, three joined fins and a rod between two tubes",
);

/// A person brings a joint to its heat in no less than this, s: faster, the flux burns before the metal behind it is warm,
/// so the flame is drawn back. Common practice, no source.
pub const GENTLE_S: f64 = 10.0;

/// A person gives a joint up that has not come to its heat by then, s. Common practice, no source.
pub const GIVE_UP_S: f64 = 600.0;

/// First step, s, and by which part of the time gone by the steps grow. A quarter of both moves a peak by under 3 % of its rise
/// and the time by under 3 % (test).
const FIRST_STEP_S: f64 = 1.0;
const STEP_GROWTH: f64 = 0.08;

/// A wet cloth holds its place at or below the boiling point of water, °C (closed form, at sea level).
pub const WET_DEGC: f64 = 100.0;
/// How strongly a cloth holds, W/K: so much more than tube conducts (0.1–5 W/K) that it counts as fixed.
const HOLDS_W_K: f64 = 1e6;

/// How the outside loses heat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Loss {
    /// The same everywhere, W/(m² K).
    Even(f64),
    /// To still air by convection and radiation (see [`heat::still_air_loss_w_m2k`]), with this emissivity.
    StillAir {
        /// Emissivity, 0 to 1.
        emissivity: f64,
    },
}

/// A piece of tube with what lies on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Length, mm.
    pub length_mm: f64,
    /// Inside diameter, mm.
    pub bore_mm: f64,
    /// Wall, mm.
    pub wall_mm: f64,
    /// Section of other metal that lies on it (a ferrule, a guard, an overlap), as the mean over its length, mm².
    pub extra_mm2: f64,
    /// The same as it conducts lengthwise: less than the mean where it lies on a part of the length only, mm².
    pub extra_conducts_mm2: f64,
    /// Part of the way round the tube that takes part, 0 to 1: a flame on one side of a wide tube warms no more.
    pub share: f64,
    /// Conductivity, W/(m K).
    pub conductivity_w_mk: f64,
    /// Heat capacity by volume, J/(mm³ K).
    pub capacity_j_mm3k: f64,
}

impl Piece {
    /// Section of the tube itself, mm².
    fn tube_mm2(&self) -> f64 {
        self.share * std::f64::consts::PI * (self.bore_mm + self.wall_mm) * self.wall_mm
    }

    /// Section that conducts, mm².
    fn conducts_mm2(&self) -> f64 {
        self.tube_mm2() + self.extra_conducts_mm2.max(0.0)
    }

    /// Resistance from its middle to an end, K/W. Metre from millimetre: mm/(W/(m K) · mm²) is 10³ K/W.
    fn half_k_w(&self) -> f64 {
        0.5e3 * self.length_mm / (self.conductivity_w_mk * self.conducts_mm2())
    }

    fn capacity_j_k(&self) -> f64 {
        self.capacity_j_mm3k * (self.tube_mm2() + self.extra_mm2.max(0.0)) * self.length_mm
    }

    fn outside_mm(&self) -> f64 {
        self.bore_mm + 2.0 * self.wall_mm
    }

    fn surface_m2(&self) -> f64 {
        self.share * std::f64::consts::PI * self.outside_mm() * self.length_mm * 1e-6
    }
}

/// Number of a piece in a net.
pub type PieceId = usize;

/// A flame as a person leads it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flame {
    /// Heat that enters the metal at most, W; endless where the stretch is simply held at its temperature.
    pub watts: f64,
    /// Temperature at which the person holds the stretch once it is there, °C.
    pub degc: f64,
    /// How long the person holds it, s.
    pub hold_s: f64,
    /// The heat is not brought faster than this, s.
    pub gentle_s: f64,
}

/// What a flame did.
#[derive(Clone, Debug, PartialEq)]
pub struct Burn {
    /// Hottest that each piece got, °C.
    pub peak_degc: Vec<f64>,
    /// When the stretch under the flame came to its heat, s; none where the flame was too weak.
    pub reached_s: Option<f64>,
    /// How long the flame burned, s.
    pub burned_s: f64,
    /// Heat that entered the metal in the last step of burning, W.
    pub watts_last: f64,
    /// Heat that entered the metal in all, J.
    pub joules: f64,
    /// Heat that was still in the metal when the reckoning ended, J.
    pub stored_j: f64,
}

/// An assembly. Piece 0 is the stretch under the flame.
#[derive(Clone, Debug)]
pub struct Net {
    capacity: Vec<f64>,
    /// Surface, m², and surface times diameter, m² mm.
    surface: Vec<(f64, f64)>,
    half: Vec<f64>,
    links: Vec<(PieceId, PieceId, f64)>,
    /// Tube that goes on: piece, k A (W m/K), perimeter (m), resistance up to the cut (K/W).
    ends: Vec<(PieceId, f64, f64, f64)>,
    loss: Loss,
    air_degc: f64,
}

impl Net {
    /// A net with nothing in it but an empty stretch under the flame.
    pub fn new(loss: Loss, air_degc: f64) -> Self {
        Self { capacity: vec![0.0], surface: vec![(0.0, 0.0)], half: vec![0.0], links: vec![], ends: vec![], loss, air_degc }
    }

    /// How many pieces there are.
    pub fn len(&self) -> usize {
        self.capacity.len()
    }

    /// Whether there is nothing but the stretch under the flame.
    pub fn is_empty(&self) -> bool {
        self.len() == 1
    }

    /// Puts a piece under the flame.
    pub fn under_flame(&mut self, piece: &Piece) {
        self.onto(0, piece);
    }

    fn onto(&mut self, i: PieceId, piece: &Piece) {
        self.capacity[i] += piece.capacity_j_k();
        self.surface[i].0 += piece.surface_m2();
        self.surface[i].1 += piece.surface_m2() * piece.outside_mm();
    }

    /// Adds a piece of tube.
    pub fn add(&mut self, piece: &Piece) -> PieceId {
        self.capacity.push(0.0);
        self.surface.push((0.0, 0.0));
        self.half.push(piece.half_k_w());
        self.onto(self.len() - 1, piece);
        self.len() - 1
    }

    /// A place with no metal of its own where the ends of more than two pieces meet.
    pub fn meeting(&mut self) -> PieceId {
        self.capacity.push(0.0);
        self.surface.push((0.0, 0.0));
        self.half.push(0.0);
        self.len() - 1
    }

    /// Joins two pieces end to end.
    pub fn join(&mut self, a: PieceId, b: PieceId) {
        let resistance = self.half[a] + self.half[b];
        // Two stretches under the flame are one already.
        if a != b && resistance > 0.0 {
            self.links.push((a, b, 1.0 / resistance));
        }
    }

    /// Adds a rod of `diameter_mm` and `length_mm` whose ends stand on two or more pieces; a foot that stands between the middles
    /// of two pieces stands on either with its part.
    pub fn rod(
        &mut self,
        feet: &[(PieceId, f64)],
        diameter_mm: f64,
        length_mm: f64,
        conductivity_w_mk: f64,
        capacity_j_mm3k: f64,
    ) -> PieceId {
        let section = std::f64::consts::FRAC_PI_4 * diameter_mm * diameter_mm;
        let surface = std::f64::consts::PI * diameter_mm * length_mm * 1e-6;
        self.capacity.push(capacity_j_mm3k * section * length_mm);
        self.surface.push((surface, surface * diameter_mm));
        self.half.push(0.5e3 * length_mm / (conductivity_w_mk * section));
        let hub = self.len() - 1;
        for (foot, part) in feet.iter().filter(|f| f.1 > 0.0) {
            self.links.push((*foot, hub, part / self.half[hub]));
        }
        hub
    }

    /// The tube goes on beyond a piece, as it is.
    pub fn goes_on(&mut self, i: PieceId, piece: &Piece) {
        self.ends.push((
            i,
            piece.conductivity_w_mk * piece.conducts_mm2() * 1e-6,
            piece.share * std::f64::consts::PI * piece.outside_mm() * 1e-3,
            self.half[i],
        ));
    }

    /// Lights the flame, holds the heat, puts it out, and lets the heat spread for as long again: a neighbour's peak can come
    /// later. `cloths`: pieces with a wet cloth on them.
    pub fn burn(&self, flame: Flame, cloths: &[PieceId]) -> Burn {
        self.burn_in_steps(flame, cloths, FIRST_STEP_S, STEP_GROWTH)
    }

    fn burn_in_steps(&self, flame: Flame, cloths: &[PieceId], first_s: f64, growth: f64) -> Burn {
        let elimination = Elimination::new(self);
        let mut degc = vec![self.air_degc; self.len()];
        let mut peak = degc.clone();
        let (mut now, mut joules, mut watts_last) = (0.0, 0.0, 0.0);
        let mut reached: Option<f64> = None;
        let step_s = |now: f64| (growth * now).max(first_s);
        // Burning.
        loop {
            let end = reached.map_or(GIVE_UP_S, |r| (r + flame.hold_s).max(now));
            let dt = step_s(now).min(end - now);
            if dt <= 1e-9 {
                break;
            }
            let gentle = if flame.gentle_s > 0.0 { ((now + dt) / flame.gentle_s).min(1.0) } else { 1.0 };
            let allowed = self.air_degc + (flame.degc - self.air_degc) * gentle;
            let was = degc[0];
            let (watts, free) = elimination.step(self, &mut degc, dt, Some((flame.watts, allowed)), cloths);
            if reached.is_none() && degc[0] >= flame.degc - 1e-9 {
                // Where in the step it came to its heat: straight from the old to where the flame would have brought it.
                let part = if free.is_finite() && free > was { ((flame.degc - was) / (free - was)).clamp(0.0, 1.0) } else { 0.0 };
                let soonest = if flame.gentle_s > 0.0 { flame.gentle_s.min(now + dt) } else { 0.0 };
                reached = Some((now + part * dt).max(soonest));
            }
            now += dt;
            joules += watts * dt;
            watts_last = watts;
            heightened(&mut peak, &degc);
        }
        let burned_s = now;
        while now < 2.0 * burned_s {
            let dt = step_s(now - burned_s).min(2.0 * burned_s - now).max(1e-6);
            elimination.step(self, &mut degc, dt, None, cloths);
            now += dt;
            heightened(&mut peak, &degc);
        }
        let stored_j = self.capacity.iter().zip(&degc).map(|(c, t)| c * (t - self.air_degc)).sum();
        Burn { peak_degc: peak, reached_s: reached, burned_s, watts_last, joules, stored_j }
    }

    fn loss_w_m2k(&self, degc: f64, diameter_mm: f64) -> f64 {
        match self.loss {
            Loss::Even(h) => h,
            Loss::StillAir { emissivity } => heat::still_air_loss_w_m2k(degc, self.air_degc, diameter_mm, emissivity),
        }
    }
}

fn heightened(peak: &mut [f64], now: &[f64]) {
    for (p, t) in peak.iter_mut().zip(now) {
        *p = p.max(*t);
    }
}

/// The order of elimination and where it fills: worked out once for a net.
struct Elimination {
    /// Pieces from the flame outwards; those that no metal joins to it are not in it.
    order: Vec<PieceId>,
    /// Where in `lower` and `links` the row of each place in the order begins, and where the last one ends.
    start: Vec<usize>,
    /// For each place in the order: the places nearer the flame that it is linked with when its turn comes, rising.
    lower: Vec<usize>,
    /// Conductances of the links themselves, in the shape of `lower`.
    links: Vec<f64>,
}

impl Elimination {
    fn new(net: &Net) -> Self {
        let n = net.len();
        let mut beside: Vec<Vec<PieceId>> = vec![vec![]; n];
        for (a, b, _) in &net.links {
            beside[*a].push(*b);
            beside[*b].push(*a);
        }
        let mut place = vec![usize::MAX; n];
        let mut order = vec![0];
        place[0] = 0;
        let mut next = 0;
        while next < order.len() {
            for b in &beside[order[next]] {
                if place[*b] == usize::MAX {
                    place[*b] = order.len();
                    order.push(*b);
                }
            }
            next += 1;
        }
        let mut rows: Vec<Vec<usize>> = vec![vec![]; order.len()];
        for (a, b, _) in net.links.iter().filter(|l| place[l.0] != usize::MAX) {
            let (low, high) = (place[*a].min(place[*b]), place[*a].max(place[*b]));
            rows[high].push(low);
        }
        // What is left of a piece's links when it is eliminated goes to the nearest piece among them (elimination tree).
        for p in (1..order.len()).rev() {
            rows[p].sort_unstable();
            rows[p].dedup();
            if let [rest @ .., parent] = &rows[p][..] {
                let (rest, parent) = (rest.to_vec(), *parent);
                rows[parent].extend(rest);
            }
        }
        let (mut start, mut lower) = (vec![0], Vec::new());
        for row in &rows {
            lower.extend(row);
            start.push(lower.len());
        }
        let mut all = Self { links: vec![0.0; lower.len()], order, start, lower };
        for (a, b, w) in net.links.iter().filter(|l| place[l.0] != usize::MAX) {
            let (low, high) = (place[*a].min(place[*b]), place[*a].max(place[*b]));
            if let Some(k) = all.link(high, low) {
                all.links[k] += w;
            }
        }
        all
    }

    /// Where the link of two places stands.
    fn link(&self, high: usize, low: usize) -> Option<usize> {
        let from = self.start[high];
        self.lower[from..self.start[high + 1]].binary_search(&low).ok().map(|k| from + k)
    }

    /// One implicit step. `flame`: the heat it gives at most and the temperature it does not go over. The heat that it gave,
    /// W, and the temperature that it would have brought the stretch to with all its heat.
    fn step(&self, net: &Net, degc: &mut [f64], dt_s: f64, flame: Option<(f64, f64)>, cloths: &[PieceId]) -> (f64, f64) {
        let (mut diagonal, mut right) = self.balance(net, degc, dt_s);
        if cloths.is_empty() {
            let out = self.solve(diagonal, right, flame);
            for (p, t) in self.order.iter().zip(&out.0) {
                degc[*p] = *t;
            }
            return (out.1, out.2);
        }
        let mut out = self.solve(diagonal.clone(), right.clone(), flame);
        // A cloth takes heat and gives none.
        let hot: Vec<usize> = (0..self.order.len()).filter(|p| cloths.contains(&self.order[*p]) && out.0[*p] > WET_DEGC).collect();
        if !hot.is_empty() {
            for p in hot {
                diagonal[p] += HOLDS_W_K;
                right[p] += HOLDS_W_K * WET_DEGC;
            }
            out = self.solve(diagonal, right, flame);
        }
        for (p, t) in self.order.iter().zip(&out.0) {
            degc[*p] = *t;
        }
        (out.1, out.2)
    }

    /// For each piece in the order: its diagonal and its right side, losses taken at the old temperatures.
    fn balance(&self, net: &Net, degc: &[f64], dt_s: f64) -> (Vec<f64>, Vec<f64>) {
        let mut to_air: Vec<f64> = (0..net.len())
            .map(|i| {
                let (area, by_diameter) = net.surface[i];
                if area > 0.0 { area * net.loss_w_m2k(degc[i], by_diameter / area) } else { 0.0 }
            })
            .collect();
        for (i, ka, perimeter, before) in &net.ends {
            let h = net.loss_w_m2k(degc[*i], perimeter * 1e3 / std::f64::consts::PI);
            let beyond = (h * perimeter * ka).sqrt();
            to_air[*i] += beyond / (1.0 + beyond * before);
        }
        let mut diagonal: Vec<f64> = self.order.iter().map(|i| to_air[*i] + net.capacity[*i] / dt_s).collect();
        let right = self.order.iter().map(|i| to_air[*i] * net.air_degc + net.capacity[*i] / dt_s * degc[*i]).collect();
        for p in 1..self.order.len() {
            for k in self.start[p]..self.start[p + 1] {
                diagonal[p] += self.links[k];
                diagonal[self.lower[k]] += self.links[k];
            }
        }
        (diagonal, right)
    }

    /// Temperatures in the order, the heat that the flame gave, and the temperature it would have brought with all its heat.
    fn solve(&self, mut diagonal: Vec<f64>, mut right: Vec<f64>, flame: Option<(f64, f64)>) -> (Vec<f64>, f64, f64) {
        let mut links = self.links.clone();
        for p in (1..self.order.len()).rev() {
            let from = self.start[p];
            for k in from..self.start[p + 1] {
                let (q, w) = (self.lower[k], links[k]);
                let part = w / diagonal[p];
                diagonal[q] -= w * part;
                right[q] += part * right[p];
                for j in from..k {
                    // Two pieces joined through the one that is eliminated.
                    if let Some(at) = self.link(q, self.lower[j]) {
                        links[at] += part * links[j];
                    }
                }
            }
        }
        let (given, free) = match flame {
            None => (0.0, f64::INFINITY),
            Some((watts, allowed)) => {
                let free = (right[0] + watts) / diagonal[0];
                let at_limit = diagonal[0] * allowed - right[0];
                // No colder than without a flame.
                (if free <= allowed { watts } else { at_limit.max(0.0) }, free)
            }
        };
        let mut degc = vec![0.0; self.order.len()];
        degc[0] = (right[0] + given) / diagonal[0];
        for p in 1..self.order.len() {
            let from: f64 = (self.start[p]..self.start[p + 1]).map(|k| links[k] * degc[self.lower[k]]).sum();
            degc[p] = (right[p] + from) / diagonal[p];
        }
        (degc, given, free)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn net() -> (Net, Vec<PieceId>) {
        let piece = Piece {
            length_mm: 4.0,
            bore_mm: 14.0,
            wall_mm: 0.5,
            extra_mm2: 0.0,
            extra_conducts_mm2: 0.0,
            share: 1.0,
            conductivity_w_mk: 130.0,
            capacity_j_mm3k: 8530.0 * 375.0 * 1e-9,
        };
        let mut net = Net::new(Loss::StillAir { emissivity: 0.6 }, 20.0);
        net.under_flame(&Piece { length_mm: 15.0, ..piece });
        let mut before = 0;
        let cells: Vec<PieceId> = (0..30)
            .map(|_| {
                let i = net.add(&piece);
                net.join(before, i);
                before = i;
                i
            })
            .collect();
        net.goes_on(before, &piece);
        (net, cells)
    }

    #[test]
    fn the_steps_are_short_enough() {
        let (net, cells) = net();
        for watts in [30.0, 60.0, 400.0] {
            let flame = Flame { watts, degc: 280.0, hold_s: 20.0, gentle_s: GENTLE_S };
            let (coarse, fine) = (net.burn(flame, &[]), net.burn_in_steps(flame, &[], 0.25 * FIRST_STEP_S, 0.25 * STEP_GROWTH));
            for c in [2, 5, 10, 15] {
                let (a, b) = (coarse.peak_degc[cells[c]] - 20.0, fine.peak_degc[cells[c]] - 20.0);
                assert!((a / b - 1.0).abs() < 0.03, "{watts} W, {c}: {a} {b}");
            }
            assert!((coarse.burned_s / fine.burned_s - 1.0).abs() < 0.03, "{watts}: {} {}", coarse.burned_s, fine.burned_s);
        }
        assert_eq!((FIRST_STEP_S, STEP_GROWTH), (1.0, 0.08));
    }

    #[test]
    fn a_net_counts_its_pieces() {
        assert!(Net::new(Loss::Even(1.0), 20.0).is_empty());
        let (mut net, cells) = net();
        assert!(!net.is_empty() && net.len() == 31 && cells.len() == 30);
        // A place with no metal takes no heat of its own; a piece joined to itself is joined to nothing.
        let meeting = net.meeting();
        net.join(meeting, meeting);
        let burn = net.burn(Flame { watts: 60.0, degc: 280.0, hold_s: 20.0, gentle_s: GENTLE_S }, &[]);
        assert!((burn.peak_degc[meeting] - 20.0).abs() < 1e-9);
    }
}
