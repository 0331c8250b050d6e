//! The bore cut into short cones, each with what the sweep asks of it.

use crate::bore::Bore;
use std::f64::consts::PI;
use units::Source;

/// Source of the matrices.
pub const CONES: Source = Source::closed_form(
    "short cone of p' = −Zu, u' = −Yp: Magnus' series to the fourth power of the length, integrals of area and of its inverse exact; written as stiffness, mass, stiffness, so that its determinant is 1 (derived in segments.rs, held against scipy's integration in tests/published.rs)",
);
/// Source of the bends.
pub const BENDS: Source = Source::from_memory(
    "potential flow in a torus: inertance times (B²/2)/(1 − √(1 − B²)), B tube radius over bend radius: Nederveen, Acoustical Aspects of Woodwind Instruments (1969); Keefe & Benade, J. Acoust. Soc. Am. 74 (1983). Low frequencies, long bends; what the joint of straight and bend adds is left out",
);

/// The form of the waves in a cone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Waves {
    /// Flat across the tube.
    #[default]
    Plane,
    /// Caps of spheres about each cone's tip: area 2/(1 + cos α) larger, way 1/cos α longer (closed form).
    Spherical,
}

/// How finely a bore is cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cut {
    /// Longest piece as a part of the wavelength over 2π at the highest frequency: kL. The series of the sweep asks for 0.22 at most.
    pub longest_kl: f64,
    /// Largest ratio of the radii within a piece.
    pub largest_ratio: f64,
}

impl Default for Cut {
    /// Chosen so that halving it moves no resonance of the tests' bores by 0.02 cent (tests/refinement.rs).
    fn default() -> Self {
        Self { longest_kl: 0.2, largest_ratio: 1.06 }
    }
}

impl Cut {
    /// The same, twice as fine.
    #[must_use]
    pub fn halved(self) -> Self {
        Self { longest_kl: self.longest_kl / 2.0, largest_ratio: self.largest_ratio.sqrt() }
    }
}

/// A short cone, SI units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Where its mouthpiece end lies, mm from the mouthpiece end of the bore.
    pub station_mm: f64,
    /// Its length on the axis, mm.
    pub length_mm: f64,
    /// Mean radius, m: what the losses ask for.
    pub radius: f64,
    /// ∫ dx/S times the bend's factor, 1/m: mass over density.
    pub slender: f64,
    /// ∫ S dx, m³.
    pub volume: f64,
    /// (r₂ − r₁)/(3 r): by how much more of the volume counts to the bell's side.
    pub lean: f64,
}

/// Inertance of a bend over that of a straight tube. See [`BENDS`].
pub fn bend_factor(tube_radius: f64, bend_radius: f64) -> f64 {
    let b = (tube_radius / bend_radius).clamp(0.0, 0.95);
    // 1 − B²/4 − … as B → 0.
    if b < 1e-3 { 1.0 - b * b / 4.0 } else { b * b / 2.0 / (1.0 - (1.0 - b * b).sqrt()) }
}

impl Bore {
    /// Cut into short cones, from the mouthpiece to the bell. `k_per_m` is 2πf/c at the highest frequency; `at` are stations where a
    /// cut must fall.
    pub fn segments(&self, waves: Waves, cut: Cut, k_per_m: f64, at: &[f64]) -> Vec<Segment> {
        let mut out = Vec::new();
        let bent: Vec<f64> = self.bends.iter().flat_map(|b| [b.from_mm, b.to_mm]).collect();
        for w in self.points.windows(2) {
            let (a, b) = (w[0], w[1]);
            let whole = b.station_mm - a.station_mm;
            if !(whole > 0.0) {
                continue;
            }
            let mut stops: Vec<f64> = bent.iter().chain(at).copied().filter(|s| *s > a.station_mm && *s < b.station_mm).collect();
            stops.extend([a.station_mm, b.station_mm]);
            stops.sort_by(f64::total_cmp);
            stops.dedup();
            let diameter = |s: f64| a.diameter_mm + (b.diameter_mm - a.diameter_mm) * ((s - a.station_mm) / whole);
            for stop in stops.windows(2) {
                self.cone(&mut out, waves, cut, k_per_m, (stop[0], diameter(stop[0])), (stop[1], diameter(stop[1])));
            }
        }
        out
    }

    fn cone(&self, out: &mut Vec<Segment>, waves: Waves, cut: Cut, k_per_m: f64, a: (f64, f64), b: (f64, f64)) {
        let length = b.0 - a.0;
        if !(length > 0.0) {
            return;
        }
        let middle = f64::midpoint(a.0, b.0);
        let bend = self.bends.iter().find(|c| middle > c.from_mm && middle < c.to_mm).map(|c| c.radius_mm);
        let tan = (b.1 - a.1) / 2.0 / length;
        let slant = tan.hypot(1.0);
        // Area and way of a cap over those of the flat section.
        let (cap, way) = match waves {
            Waves::Plane => (1.0, 1.0),
            Waves::Spherical => (2.0 / (1.0 + 1.0 / slant), slant),
        };
        let by_ratio = ((b.1 / a.1).ln().abs() / cut.largest_ratio.ln()).ceil().clamp(1.0, 5000.0);
        // Even ratios first, then even lengths in each.
        let ratio = (b.1 / a.1).powf(1.0 / by_ratio);
        let mut stops = vec![a];
        for i in 1..=by_ratio as usize {
            let from = stops.last().copied().unwrap_or(a);
            let to = if i == by_ratio as usize {
                b
            } else {
                let d = a.1 * ratio.powi(i as i32);
                (a.0 + (d - a.1) / (b.1 - a.1) * length, d)
            };
            let by_length = (way * (to.0 - from.0) * 1e-3 * k_per_m / cut.longest_kl).ceil().clamp(1.0, 20_000.0);
            stops.extend((1..by_length as usize).map(|n| {
                let part = n as f64 / by_length;
                (from.0 + part * (to.0 - from.0), from.1 + part * (to.1 - from.1))
            }));
            stops.push(to);
        }
        for w in stops.windows(2) {
            let (from, to) = (w[0], w[1]);
            let (r1, r2, l) = (from.1 * 0.5e-3, to.1 * 0.5e-3, (to.0 - from.0) * 1e-3);
            let radius = f64::midpoint(r1, r2);
            let bent = bend.map_or(1.0, |r| bend_factor(radius, r * 1e-3));
            out.push(Segment {
                station_mm: from.0,
                length_mm: to.0 - from.0,
                radius,
                slender: way * l / (PI * r1 * r2 * cap) * bent,
                volume: way * l * cap * PI * (r1 * r1 + r1 * r2 + r2 * r2) / 3.0,
                lean: (r2 - r1) / (3.0 * radius),
            });
        }
    }
}
