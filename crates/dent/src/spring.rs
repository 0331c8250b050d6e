//! Springback about the best estimates: reverse bending solved once there and once for each thing that it depends on;
//! between, the logarithms are straight lines.
//!
//! Overpush and way back depend on four numbers only: the surface strain κt/2, temper, strength and kinematic share (the
//! problem has no other length). First-order propagation wants slopes, so six solutions serve where each input's two
//! runs would each want their own.

use metal::springback::{self, Bending};
use metal::{Alloy, Curve, Temper};

/// What the springback depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bent {
    /// Change of curvature times the wall: twice the surface strain.
    pub strain: f64,
    /// Temper, numbers hard.
    pub temper: f64,
    /// Strength over the table's.
    pub strength: f64,
    /// Kinematic share of the hardening.
    pub kinematic: f64,
}

/// What comes of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spring {
    /// Over-push as a part of the change.
    pub overpush_part: f64,
    /// Plastic strain of the way back over that of the dent.
    pub way_back: f64,
}

/// Springback about a point.
#[derive(Clone, Copy, Debug)]
pub struct Springs {
    about: Bent,
    /// Logarithms at the point.
    logs: [f64; 2],
    /// Slopes of the logarithms by ln strain, temper, ln strength, kinematic share.
    slopes: [[f64; 4]; 2],
}

/// The least surface strain for which it is solved: below it the wall is elastic and there is no dent.
const LEAST: f64 = 1e-5;

fn solve(alloy: Alloy, b: Bent) -> [f64; 2] {
    let curve = Curve::fit(alloy, Temper(b.temper)).times(b.strength);
    let bending = Bending { bauschinger: b.kinematic, ..Bending::default() };
    // A wall of 1 mm: only curvature times wall counts.
    let solved = springback::unbend(&curve, 1.0, -b.strain, 0.0, bending).filter(|p| p.strain_dent > 1e-9);
    let (part, back) = solved.map_or((0.0, 1.0), |p| (p.overpush_part, (p.strain_total - p.strain_dent) / p.strain_dent));
    [part.max(1e-9).ln(), back.clamp(1e-3, 3.0).ln()]
}

impl Springs {
    /// Solves about a point.
    pub fn about(alloy: Alloy, b: Bent) -> Self {
        let b = Bent { strain: b.strain.max(LEAST), ..b };
        let logs = solve(alloy, b);
        // Steps of about one standard deviation, so that slopes are those of the spread that matters; to both sides for the
        // temper, whose curve bends most.
        let (soft, hard) = ((b.temper - 0.5).max(0.0), (b.temper + 0.5).min(8.0));
        let kinematic_step = if b.kinematic > 0.5 { -0.2 } else { 0.2 };
        let steps = [
            (logs, Bent { strain: b.strain * 1.2, ..b }, 1.2_f64.ln()),
            (solve(alloy, Bent { temper: soft, ..b }), Bent { temper: hard, ..b }, hard - soft),
            (logs, Bent { strength: b.strength * 1.1, ..b }, 1.1_f64.ln()),
            (logs, Bent { kinematic: b.kinematic + kinematic_step, ..b }, kinematic_step),
        ];
        let moved = steps.map(|(from, to, step)| (from, solve(alloy, to), step));
        let slopes = std::array::from_fn(|o| moved.map(|(from, to, step)| (to[o] - from[o]) / step));
        Self { about: b, logs, slopes }
    }

    /// Springback near the point.
    pub fn near(&self, b: Bent) -> Spring {
        let a = &self.about;
        let away = [
            (b.strain.max(LEAST) / a.strain).ln(),
            b.temper - a.temper,
            (b.strength / a.strength).max(1e-3).ln(),
            b.kinematic - a.kinematic,
        ];
        let [part, back] = std::array::from_fn(|o| self.logs[o] + self.slopes[o].iter().zip(away).map(|(s, x)| s * x).sum::<f64>());
        Spring { overpush_part: part.exp().min(2.0), way_back: back.exp().min(3.0) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_is_close_to_solved() {
        let b = Bent { strain: 0.08, temper: 2.0, strength: 1.0, kinematic: 0.4 };
        let springs = Springs::about(Alloy::YellowBrass, b);
        for other in [
            b,
            Bent { strain: 0.06, ..b },
            Bent { strain: 0.11, ..b },
            Bent { temper: 2.6, ..b },
            Bent { temper: 1.5, ..b },
            Bent { strength: 0.9, ..b },
        ] {
            let [part, back] = solve(Alloy::YellowBrass, other).map(f64::exp);
            let near = springs.near(other);
            assert!((near.overpush_part / part - 1.0).abs() < 0.05, "{other:?}: {near:?} {part}");
            assert!((near.way_back / back - 1.0).abs() < 0.05, "{other:?}: {near:?} {back}");
        }
    }

    #[test]
    fn way_back_of_the_model_s_runs() {
        // wall_strain::RUNS: curvature changed by 0.45 and 0.53 1/mm round the tube, wall 0.5 mm, nickel silver about hard.
        for curvature in [0.44, 0.51] {
            let [_, back] =
                solve(Alloy::NickelSilver, Bent { strain: curvature * 0.5, temper: 4.0, strength: 1.0, kinematic: 0.4 }).map(f64::exp);
            assert!((back / crate::wall_strain::CLOSED_BACK - 1.0).abs() < 0.005, "{back}");
        }
    }

    #[test]
    fn only_curvature_times_wall_counts() {
        let curve = Curve::fit(Alloy::RoseBrass, Temper(1.0));
        let at = |wall: f64| springback::unbend(&curve, wall, -0.05 / wall, 0.0, Bending::default()).map(|p| p.overpush_part).unwrap();
        assert!((at(0.4) / at(1.0) - 1.0).abs() < 1e-6);
    }
}
