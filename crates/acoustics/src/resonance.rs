//! Where the bore answers: the peaks of its input impedance, and how they move.

use crate::tube::Tube;
use num_complex::Complex64 as C;
use rayon::prelude::*;
use units::Source;

/// Source of [`Resonance::q`].
pub const Q: Source = Source::closed_form(
    "Q = f over the width at which |Z| is 1/√2 of the peak; where the flanks do not fall that far, the curvature of ln|Z| at the peak, Q = (f/2)√(−d²ln|Z|/df²), which is the same of one lone resonance",
);

/// A peak of the input impedance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resonance {
    /// Which, from 1.
    pub mode: usize,
    /// Where, Hz.
    pub hz: f64,
    /// |Z| there, Pa s/m³.
    pub magnitude: f64,
    /// How sharp. See [`Q`].
    pub q: f64,
}

/// 1200 log₂(f₂/f₁) (definition).
pub fn cents(from_hz: f64, to_hz: f64) -> f64 {
    1200.0 * (to_hz / from_hz).log2()
}

/// Points of the interpolation about a peak.
pub(crate) const NODES: usize = 21;

/// ln|Z| about a peak as a polynomial through [`NODES`] Chebyshev points. Its only singularities near the axis are the peak's own
/// pole, half a width away: over half of that to either side the error falls by 4.2 with each point, to 10⁻¹³.
#[derive(Clone, Debug)]
pub(crate) struct Near {
    /// Where the peak lies, Hz.
    pub hz: f64,
    /// Middle and half of the interval, Hz.
    pub middle: f64,
    pub half: f64,
    /// ln|Z| at the nodes.
    pub log: [f64; NODES],
}

/// Chebyshev's points from −1 to 1.
pub(crate) fn nodes<const N: usize>() -> [f64; N] {
    std::array::from_fn(|i| -((i as f64 + 0.5) * std::f64::consts::PI / N as f64).cos())
}

/// First and second derivative at x, in the interval's own unit, of the polynomial through values at the nodes: by its
/// Chebyshev coefficients (closed form; Tₙ' = n U₍ₙ₋₁₎).
pub(crate) fn derivatives<const N: usize>(values: &[f64; N], x: f64) -> (f64, f64) {
    // Coefficients by the discrete cosine sum, the cosines by Tₙ₊₁ = 2x Tₙ − Tₙ₋₁ at each node.
    let mut c = [0.0; N];
    for (node, value) in nodes::<N>().into_iter().zip(values) {
        let mut t = (1.0, node);
        for c in &mut c {
            *c += value * t.0 * 2.0 / N as f64;
            t = (t.1, 2.0 * node * t.1 - t.0);
        }
    }
    c[0] /= 2.0;
    // T, T', T'' by recurrence.
    let (mut t, mut d, mut dd) = ((1.0, x), (0.0, 1.0), (0.0, 0.0));
    let (mut first, mut second) = (c[1], 0.0);
    for c in &c[2..] {
        let next = (2.0 * x * t.1 - t.0, 2.0 * t.1 + 2.0 * x * d.1 - d.0, 4.0 * d.1 + 2.0 * x * dd.1 - dd.0);
        (t, d, dd) = ((t.1, next.0), (d.1, next.1), (dd.1, next.2));
        first += c * next.1;
        second += c * next.2;
    }
    (first, second)
}

impl Near {
    fn sample(tube: &Tube, middle: f64, half: f64) -> [f64; NODES] {
        let hz = nodes::<NODES>().map(|x| middle + half * x);
        let mut z = [C::new(0.0, 0.0); NODES];
        crate::sweep::sweep(tube, &hz, &mut z);
        z.map(|z| z.norm().ln())
    }

    /// The peak near a frequency at which |Z| is about greatest; `step` is how far it may be off, Hz. None where none is there.
    pub fn find(tube: &Tube, about: f64, step: f64) -> Option<Self> {
        let (mut middle, mut half) = (about, step);
        let mut last: Option<Self> = None;
        for _ in 0..12 {
            let log = Self::sample(tube, middle, half);
            let slope = |x: f64| derivatives(&log, x);
            // A peak lies where the slope falls through nought; the coarse nodes tell where about.
            let at = nodes::<NODES>();
            let top = (0..NODES).max_by(|a, b| log[*a].total_cmp(&log[*b]))?;
            let (mut low, mut high) = (at[top.saturating_sub(1)], at[(top + 1).min(NODES - 1)]);
            if top == 0 || top == NODES - 1 {
                if last.is_some() || middle - 2.0 * half <= 0.0 {
                    return last;
                }
                middle += at[top] * half;
                continue;
            }
            for _ in 0..60 {
                let x = f64::midpoint(low, high);
                if slope(x).0 > 0.0 { low = x } else { high = x }
            }
            let x = f64::midpoint(low, high);
            let curve = slope(x).1 / (half * half);
            let hz = middle + half * x;
            let near = Self { hz, middle, half, log };
            if !(curve < 0.0) {
                return last;
            }
            // Half of half a width: the pole lies 1/√(−curve) off.
            let wanted = 0.5 / (-curve).sqrt();
            if (half / wanted - 1.0).abs() < 0.2 && x.abs() < 0.3 {
                return Some(near);
            }
            last = Some(near);
            middle = hz;
            half = wanted.min(0.45 * hz);
        }
        last
    }

    /// d²ln|Z|/df², 1/Hz².
    pub fn curvature(&self) -> f64 {
        derivatives(&self.log, (self.hz - self.middle) / self.half).1 / (self.half * self.half)
    }
}

impl Tube {
    /// The peaks between two frequencies, in their order.
    pub fn resonances(&self, from_hz: f64, to_hz: f64) -> Vec<Resonance> {
        self.peaks(from_hz, to_hz).iter().enumerate().map(|(i, near)| self.resonance(i + 1, near)).collect()
    }

    /// The peaks near known ones, each in its place; none where one is gone.
    pub fn resonances_near(&self, known_hz: &[f64]) -> Vec<Option<f64>> {
        known_hz.par_iter().map(|hz| Near::find(self, *hz, 0.01 * hz).map(|n| n.hz)).collect()
    }

    pub(crate) fn peaks(&self, from_hz: f64, to_hz: f64) -> Vec<Near> {
        if !(from_hz > 0.0 && to_hz > from_hz) {
            return vec![];
        }
        // Two peaks of a tube lie c/2L apart; twelve points between them miss none that stands out.
        let way: f64 = self.segments.iter().map(|s| s.length_mm * 1e-3).sum();
        let step = (self.gas.speed / (24.0 * way.max(0.05))).min((to_hz - from_hz) / 16.0);
        let count = ((to_hz - from_hz) / step).ceil() as usize + 1;
        let hz: Vec<f64> = (0..count).map(|i| (from_hz + step * i as f64).min(to_hz)).collect();
        let size: Vec<f64> = self.impedance(&hz).iter().map(|z| z.norm()).collect();
        let tops: Vec<usize> = (1..count.saturating_sub(1)).filter(|i| size[*i] > size[i - 1] && size[*i] >= size[i + 1]).collect();
        let mut peaks: Vec<Near> = tops.par_iter().filter_map(|i| Near::find(self, hz[*i], step)).collect();
        peaks.retain(|p| p.hz > from_hz && p.hz < to_hz);
        peaks.dedup_by(|b, a| (b.hz - a.hz).abs() < 1e-6 * a.hz);
        peaks
    }

    fn resonance(&self, mode: usize, near: &Near) -> Resonance {
        let magnitude = self.at(near.hz).norm();
        let by_curve = near.hz / 2.0 * (-near.curvature()).max(0.0).sqrt();
        let width = near.hz / by_curve;
        let q = match (self.flank(near.hz, magnitude, -width), self.flank(near.hz, magnitude, width)) {
            (Some(low), Some(high)) => near.hz / (high - low),
            _ => by_curve,
        };
        Resonance { mode, hz: near.hz, magnitude, q }
    }

    /// Where |Z| has fallen to 1/√2 to one side, Hz; none where it rises again before, or within eight widths.
    fn flank(&self, peak: f64, magnitude: f64, width: f64) -> Option<f64> {
        // Sixteen at a time: as many as go through the sweep together.
        const AT_ONCE: usize = 16;
        let limit = magnitude / std::f64::consts::SQRT_2;
        let mut last = (peak, magnitude);
        let (mut inside, mut outside) = 'found: {
            for block in 0..8 {
                let hz: [f64; AT_ONCE] = std::array::from_fn(|i| (peak + width * (block * AT_ONCE + i + 1) as f64 / 16.0).max(1e-3 * peak));
                for (f, z) in hz.iter().zip(self.impedance(&hz)) {
                    let size = z.norm();
                    if size <= limit {
                        break 'found (last.0, *f);
                    }
                    if size > last.1 {
                        return None;
                    }
                    last = (*f, size);
                }
            }
            return None;
        };
        for _ in 0..9 {
            let hz: [f64; AT_ONCE] = std::array::from_fn(|i| inside + (outside - inside) * (i + 1) as f64 / (AT_ONCE + 1) as f64);
            let size = self.impedance(&hz);
            let first = size.iter().position(|z| z.norm() <= limit).unwrap_or(AT_ONCE);
            let (low, high) = (if first > 0 { hz[first - 1] } else { inside }, if first < AT_ONCE { hz[first] } else { outside });
            (inside, outside) = (low, high);
        }
        Some(f64::midpoint(inside, outside))
    }
}
