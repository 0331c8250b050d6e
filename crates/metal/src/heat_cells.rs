//! Finite volumes along a tube: the line of [`crate::heat_line`] cut into cells, each with the tube's metal in it.
//!
//! Heat flows between cells by conduction, out to the air, into what is fixed to the tube. Time goes in implicit Euler steps
//! (stable at any step, never overshoots). The equations are tridiagonal and are solved by Thomas's algorithm: ten lines,
//! where a sparse solver would cost more than it saves. Source: Patankar, Numerical Heat Transfer and Fluid Flow (1980),
//! from memory; held to the fin and the half space in `tests/published.rs`.

use crate::heat;
use crate::heat_line::{BadLine, End, Line, Loss, Sink, Torch, nearest};

/// The line cut into cells.
pub(crate) struct Cells {
    /// Middles of the cells, mm.
    pub(crate) at_mm: Vec<f64>,
    /// Conductance from a cell to the next, W/K; one fewer than cells.
    across: Vec<f64>,
    /// Heat capacity, J/K.
    pub(crate) capacity: Vec<f64>,
    /// Outside surface, m², outside diameter, mm, and surface of the inside where that loses heat too, m².
    outside: Vec<(f64, f64, f64)>,
    /// Fixed conductance to the air (branches), W/K.
    branch: Vec<f64>,
    /// For an end that continues: k A (W m/K) and perimeter (m), so that √(h P k A) can be had at any h, and the resistance
    /// of the half cell before it, K/W.
    ends: [Option<(f64, f64, f64)>; 2],
    torch: Torch,
    flame: std::ops::RangeInclusive<usize>,
    sinks: Vec<(std::ops::RangeInclusive<usize>, f64)>,
    loss: Loss,
    air_degc: f64,
}

impl Cells {
    pub(crate) fn new(line: &Line, torch: Torch, sinks: &[Sink]) -> Result<Self, BadLine> {
        let positive = |x: f64| x > 0.0 && x.is_finite();
        if line.stretches.is_empty() {
            return Err(BadLine::Stretch(0));
        }
        let loss = match line.loss {
            Loss::Even(h) => h,
            Loss::StillAir { emissivity } => emissivity,
        };
        if !(positive(line.cell_mm) && line.air_degc.is_finite() && loss >= 0.0 && loss.is_finite()) {
            return Err(BadLine::OffLine);
        }
        let (mut at_mm, mut half, mut capacity, mut outside) = (vec![], vec![], vec![], vec![]);
        let mut start = 0.0;
        let mut sections: Vec<(f64, f64, f64)> = vec![];
        for (i, s) in line.stretches.iter().enumerate() {
            let numbers = [s.length_mm, s.bore_mm.0, s.bore_mm.1, s.wall_mm, s.conductivity_w_mk, s.density_kg_m3, s.specific_heat_j_kgk];
            if !numbers.into_iter().all(positive) {
                return Err(BadLine::Stretch(i));
            }
            let count = ((s.length_mm / line.cell_mm).ceil() as usize).clamp(1, 4000);
            let dx = s.length_mm / count as f64;
            for j in 0..count {
                let t = (j as f64 + 0.5) / count as f64;
                let bore = s.bore_mm.0 + (s.bore_mm.1 - s.bore_mm.0) * t;
                let section = std::f64::consts::PI * (bore + s.wall_mm) * s.wall_mm;
                let outer = bore + 2.0 * s.wall_mm;
                at_mm.push(start + t * s.length_mm);
                // mm² over mm is 10⁻³ m.
                half.push(dx / 2.0 / (s.conductivity_w_mk * section * 1e-3));
                capacity.push(s.density_kg_m3 * s.specific_heat_j_kgk * section * dx * 1e-9);
                let inside = if s.inside_loses { std::f64::consts::PI * bore * dx * 1e-6 } else { 0.0 };
                outside.push((std::f64::consts::PI * outer * dx * 1e-6, outer, inside));
                let wetted = outer + if s.inside_loses { bore } else { 0.0 };
                sections.push((
                    s.conductivity_w_mk * section * 1e-6,
                    std::f64::consts::PI * wetted * 1e-3,
                    dx / 2.0 / (s.conductivity_w_mk * section * 1e-3),
                ));
            }
            start += s.length_mm;
        }
        let across = half.windows(2).map(|w| 1.0 / (w[0] + w[1])).collect();
        let on_line = |x: f64| (0.0..=start).contains(&x);
        let mut branch = vec![0.0; at_mm.len()];
        for b in &line.branches {
            if !(on_line(b.at_mm) && b.conductance_w_k >= 0.0 && b.capacity_j_k >= 0.0 && (b.conductance_w_k + b.capacity_j_k).is_finite())
            {
                return Err(BadLine::OffLine);
            }
            let i = nearest(&at_mm, b.at_mm);
            branch[i] += b.conductance_w_k;
            capacity[i] += b.capacity_j_k;
        }
        let strength = match torch {
            Torch::Held { degc, .. } => degc,
            Torch::Flux { watts, .. } => watts,
        };
        let covered = |at: f64, width: f64| nearest(&at_mm, at - width / 2.0)..=nearest(&at_mm, at + width / 2.0);
        if !(on_line(torch.at_mm()) && torch.width_mm() >= 0.0 && torch.width_mm().is_finite() && strength.is_finite()) {
            return Err(BadLine::OffLine);
        }
        if sinks.iter().any(|s| !(on_line(s.at_mm) && s.width_mm >= 0.0 && s.width_mm.is_finite() && s.degc.is_finite())) {
            return Err(BadLine::OffLine);
        }
        let flame = covered(torch.at_mm(), torch.width_mm());
        let sinks = sinks.iter().map(|s| (covered(s.at_mm, s.width_mm), s.degc)).collect();
        let end = |e: End, s: Option<&(f64, f64, f64)>| if e == End::Continues { s.copied() } else { None };
        let ends = [end(line.ends.0, sections.first()), end(line.ends.1, sections.last())];
        Ok(Self { at_mm, across, capacity, outside, branch, ends, torch, flame, sinks, loss: line.loss, air_degc: line.air_degc })
    }

    pub(crate) fn len(&self) -> usize {
        self.at_mm.len()
    }

    /// Loss coefficients of the outside and of the inside at a cell's temperature, W/(m² K).
    fn loss_at(&self, degc: f64, diameter_mm: f64) -> (f64, f64) {
        match self.loss {
            Loss::Even(h) => (h, h),
            Loss::StillAir { emissivity } => (
                heat::still_air_loss_w_m2k(degc, self.air_degc, diameter_mm, emissivity),
                heat::convection_w_m2k(degc, self.air_degc, diameter_mm),
            ),
        }
    }

    /// Temperatures one implicit step on (or the next guess of the steady ones, with no step), and the heat the flame gives, W.
    pub(crate) fn step(&self, old: &[f64], dt_s: Option<f64>, burning: bool) -> (Vec<f64>, f64) {
        let balance = self.balance(old, dt_s, burning);
        let mut fixed = vec![None; self.len()];
        if burning && let Torch::Held { degc, .. } = self.torch {
            for i in self.flame.clone() {
                fixed[i] = Some(degc);
            }
        }
        let mut degc = balance.solve(&fixed);
        // A sink only takes heat: it holds where the tube would be hotter than it is.
        let mut holds = false;
        for (range, limit) in &self.sinks {
            for i in range.clone() {
                if fixed[i].is_none() && (degc[i] > *limit || (dt_s.is_none() && old[i] >= *limit)) {
                    fixed[i] = Some(*limit);
                    holds = true;
                }
            }
        }
        if holds {
            degc = balance.solve(&fixed);
        }
        let watts = match self.torch {
            _ if !burning => 0.0,
            Torch::Flux { watts, .. } => watts,
            // The heat at a held cell is what its balance lacks.
            Torch::Held { .. } => self.flame.clone().map(|i| balance.lacks(&degc, i)).sum(),
        };
        (degc, watts)
    }

    /// The heat balance of every cell, losses taken at the old temperatures.
    fn balance(&self, old: &[f64], dt_s: Option<f64>, burning: bool) -> Balance<'_> {
        let n = self.len();
        let mut rows = Vec::with_capacity(n);
        let covered = (self.flame.end() - self.flame.start() + 1) as f64;
        for (i, &was) in old.iter().enumerate() {
            let (area, diameter, inside) = self.outside[i];
            let (h, h_inside) = self.loss_at(was, diameter);
            let mut out = h * area + h_inside * inside + self.branch[i];
            for (end, at) in self.ends.iter().zip([0, n - 1]) {
                if let Some((ka, perimeter, before)) = end
                    && at == i
                {
                    let beyond = (h * perimeter * ka).sqrt();
                    out += beyond / (1.0 + beyond * before);
                }
            }
            let mut diagonal = out;
            let mut right = out * self.air_degc;
            if let Some(dt) = dt_s {
                diagonal += self.capacity[i] / dt;
                right += self.capacity[i] / dt * was;
            }
            if i > 0 {
                diagonal += self.across[i - 1];
            }
            if i + 1 < n {
                diagonal += self.across[i];
            }
            if burning
                && self.flame.contains(&i)
                && let Torch::Flux { watts, .. } = self.torch
            {
                right += watts / covered;
            }
            rows.push((diagonal, right));
        }
        Balance { across: &self.across, rows }
    }
}

/// A tridiagonal heat balance: for cell i, `diagonal·T_i − across_{i−1}·T_{i−1} − across_i·T_{i+1} = right`.
struct Balance<'a> {
    across: &'a [f64],
    rows: Vec<(f64, f64)>,
}

impl Balance<'_> {
    /// Solves it with some temperatures fixed (Thomas's algorithm; the matrix is diagonally dominant, so no pivoting is needed).
    fn solve(&self, fixed: &[Option<f64>]) -> Vec<f64> {
        let n = self.rows.len();
        // After elimination T_i = b_i + a_i T_{i+1}.
        let mut a = vec![0.0; n];
        let mut degc = vec![0.0; n];
        for i in 0..n {
            if let Some(t) = fixed[i] {
                degc[i] = t;
                continue;
            }
            let (mut diagonal, mut right) = self.rows[i];
            if i > 0 {
                diagonal -= self.across[i - 1] * a[i - 1];
                right += self.across[i - 1] * degc[i - 1];
            }
            a[i] = if i + 1 < n { self.across[i] / diagonal } else { 0.0 };
            degc[i] = right / diagonal;
        }
        for i in (0..n.saturating_sub(1)).rev() {
            degc[i] += a[i] * degc[i + 1];
        }
        degc
    }

    /// The heat that a cell's balance lacks, W.
    fn lacks(&self, degc: &[f64], i: usize) -> f64 {
        let (diagonal, right) = self.rows[i];
        let before = if i > 0 { self.across[i - 1] * degc[i - 1] } else { 0.0 };
        let after = if i + 1 < degc.len() { self.across[i] * degc[i + 1] } else { 0.0 };
        diagonal * degc[i] - before - after - right
    }
}
