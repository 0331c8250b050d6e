//! Force that pushes a dent back to true from inside, by a table of the own finite-element model (crate `fem`).
//!
//! **What the table gives.** A straight tube of even wall lies on the line opposite the dent. A rigid ball of half the
//! tube's mean diameter dents it from outside; let go, a depth is left. A rigid frictionless ball inside, on a rod, then
//! pushes at the middle of the dent. `force_out_n` is the greatest force on the way to the place from which the wall, let
//! go, stands true in the middle; `over_push_mm` is how far past true the wall is then; `force_in_n` is the force that
//! made the dent. All for one place of push: working a dent up from its rim in many small pushes asks for less.
//!
//! **Groups.** Mean diameter over wall, yield stress over Young's modulus, hardening exponent n of
//! σ₀ (1 + α/0.02)ⁿ (taken from the flow stress at 5 % plastic strain), ball over mean diameter, depth left over mean
//! diameter. Logarithms are interpolated linearly in the logarithms of all but n, which enters as it is. Forces are
//! in units of σ₀t². Poisson's ratio is 0.34 throughout.
//!
//! **Where it stops.** No friction, no Bauschinger effect, no residual stress, no bend, brace or bead near by. Its range:
//! diameter over wall 15 to 80, yield stress over modulus 0.001 to 0.0045, n 0.02 to 0.5, ball 0.25 to 0.62 and depth
//! 0.01 to 0.3 of the diameter; in walls thinner than a 47th of the diameter depth to 0.14 only, where runs beyond found no
//! equilibrium. Outside the range the table's edge is given, with how far away it lies ([`Answer::away`]): what to make
//! of that is said in `force.rs`. Where the model's answer fell by a hair with depth (a coarse contact under a big ball),
//! neighbours were pooled so that it does not (isotonic regression, as in `draw`).
//!
//! Made by crate `fem`, examples `tabulate` and `make_table`; errors against fresh runs of the model in [`ERROR`] and
//! docs/validation.md.

#[path = "force_table_data.rs"]
#[allow(clippy::approx_constant, reason = "a logarithm in the table that happens to lie near a constant")]
mod data;

/// How far the table is from fresh runs of the model at random places within its range, as parts of the force.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TableError {
    /// Number of fresh runs.
    pub runs: usize,
    /// Root mean square of ln(table/model) for the force outwards.
    pub force_out_rms: f64,
    /// Greatest |ln(table/model)| for the force outwards.
    pub force_out_max: f64,
    /// The same for the force inwards, root mean square.
    pub force_in_rms: f64,
    /// The same for the over-push, root mean square.
    pub over_push_rms: f64,
}

/// Measured by `make_table check` on 2026-11-25, on crates/fem/data/fresh_rows.csv (sixteen runs; one fell into the part
/// without an answer). Deviations are mostly upwards: the table asks for 4 % too much in the mean.
pub const ERROR: TableError =
    TableError { runs: 15, force_out_rms: 0.061, force_out_max: 0.122, force_in_rms: 0.016, over_push_rms: 0.040 };

/// Names of the groups, in the order of [`Answer::outside`].
pub const GROUPS: [&str; 5] =
    ["diameter over wall", "yield stress over Young's modulus", "hardening", "ball over diameter", "depth over diameter"];

/// Place of the head among the [`GROUPS`].
pub const HEAD: usize = 3;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Question {
    /// Tube diameter at the middle of the wall, mm (bore plus one wall).
    pub mean_diameter_mm: f64,
    /// Wall, mm.
    pub wall_mm: f64,
    /// Young's modulus, N/mm².
    pub e_mpa: f64,
    /// Yield stress as the metal is now, N/mm².
    pub yield_mpa: f64,
    /// Flow stress after another 5 % plastic strain, N/mm².
    pub flow_at_5_percent_mpa: f64,
    /// Ball inside, mm.
    pub ball_mm: f64,
    /// Depth of the dent, mm.
    pub depth_mm: f64,
}

/// What the table answers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Answer {
    /// Greatest force of the ball on the way back to true, N; outside the range that of [`Answer::edge`].
    pub force_out_n: f64,
    /// Force that made the dent, N.
    pub force_in_n: f64,
    /// How far past true the wall must be pushed, mm.
    pub over_push_mm: f64,
    /// The same over the depth of the dent.
    pub over_push_part: f64,
    /// The place of the table's edge that answered, in the same wall: the question itself inside the range.
    pub edge: Edge,
    /// Which of the [`GROUPS`] lay outside the table.
    pub outside: [bool; 5],
    /// How far outside: 0 inside, 1 where a group lies outside by a factor of 1.5 (an exponent by 0.1) or the model found no
    /// answer; continuous, and more further out.
    pub away: f64,
}

/// A dent at the table's edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// Yield stress over Young's modulus.
    pub yield_strain: f64,
    /// Flow stress after 5 % plastic strain, N/mm².
    pub flow_mpa: f64,
    /// Depth, mm.
    pub depth_mm: f64,
}

/// Factor (and for the exponent difference) that counts as once away.
const REACH: [f64; 5] = [0.405, 0.405, 0.1, 0.405, 0.405];
/// Stress after 5 % plastic strain over yield stress, for n = 1: (1 + 0.05/0.02).
const RISE: f64 = 3.5;

/// Cell below `x`, which lies within the axis, and the weight of the next line.
fn cell(axis: &[f64], x: f64) -> (usize, f64) {
    let i = axis.iter().skip(1).take(axis.len() - 2).filter(|a| x >= **a).count();
    (i, (x - axis[i]) / (axis[i + 1] - axis[i]))
}

/// Looks the force up. Pure arithmetic without allocation; well under a microsecond. None where a size or a stress is not a
/// positive number.
pub fn look_up(q: &Question) -> Option<Answer> {
    let sizes = [q.mean_diameter_mm, q.wall_mm, q.e_mpa, q.yield_mpa, q.flow_at_5_percent_mpa, q.ball_mm, q.depth_mm];
    if sizes.iter().any(|v| !(v.is_finite() && *v > 0.0)) {
        return None;
    }
    let mut place = [
        (q.mean_diameter_mm / q.wall_mm).ln(),
        (q.yield_mpa / q.e_mpa).ln(),
        (q.flow_at_5_percent_mpa / q.yield_mpa).ln() / RISE.ln(),
        (q.ball_mm / q.mean_diameter_mm).ln(),
        (q.depth_mm / q.mean_diameter_mm).ln(),
    ];
    let axes: [&[f64]; 5] = [&data::LN_D_OVER_T, &data::LN_YIELD_STRAIN, &data::EXPONENT, &data::LN_BALL, &data::LN_DEPTH];
    let (mut at, mut weight, mut outside, mut away) = ([0; 5], [0.0; 5], [false; 5], 0.0);
    for g in 0..5 {
        let inside = place[g].clamp(axes[g][0], axes[g][axes[g].len() - 1]);
        let beyond = (place[g] - inside).abs() / REACH[g];
        // A hair over the edge by rounding is not outside, nor is perfect plasticity (n = 0): it differs from the table's
        // smallest n by less than the table's error.
        if beyond > 1e-6 && !(g == 2 && (-1e-9..inside).contains(&place[g])) {
            outside[g] = true;
            away += beyond;
        }
        place[g] = inside;
        (at[g], weight[g]) = cell(axes[g], inside);
    }
    let mut sum = [0.0; 3];
    for corner in 0..32_usize {
        let mut part = 1.0;
        let mut index = 0;
        for g in 0..5 {
            let up = corner >> g & 1;
            part *= if up == 1 { weight[g] } else { 1.0 - weight[g] };
            index = index * axes[g].len() + at[g] + up;
        }
        if part != 0.0 {
            for (s, v) in sum.iter_mut().zip(&data::LN_VALUES[index]) {
                *s += part * v;
            }
            if data::NOT_COMPUTED.contains(&index) {
                away += part;
                outside[4] = true;
            }
        }
    }
    let unit = q.yield_mpa * q.wall_mm * q.wall_mm;
    let edge = Edge {
        yield_strain: place[1].exp(),
        flow_mpa: q.yield_mpa * RISE.powf(place[2]),
        depth_mm: q.wall_mm * (place[0] + place[4]).exp(),
    };
    Some(Answer {
        force_in_n: unit * sum[0].exp(),
        force_out_n: unit * sum[1].exp(),
        over_push_mm: q.mean_diameter_mm * sum[2].exp(),
        over_push_part: (sum[2] - place[4]).exp(),
        edge,
        outside,
        away,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const BELL_STEM: Question = Question {
        mean_diameter_mm: 20.45,
        wall_mm: 0.45,
        e_mpa: 112_000.0,
        yield_mpa: 230.0,
        flow_at_5_percent_mpa: 330.0,
        ball_mm: 10.0,
        depth_mm: 2.0,
    };

    #[test]
    fn thicker_or_harder_asks_for_more() {
        let base = look_up(&BELL_STEM).unwrap().force_out_n;
        assert!(look_up(&Question { wall_mm: 0.6, ..BELL_STEM }).unwrap().force_out_n > base);
        assert!(look_up(&Question { yield_mpa: 350.0, flow_at_5_percent_mpa: 400.0, ..BELL_STEM }).unwrap().force_out_n > base);
        assert_eq!(look_up(&BELL_STEM).unwrap().outside, [false; 5]);
    }

    #[test]
    fn scale_does_not_matter() {
        let double = Question { mean_diameter_mm: 40.9, wall_mm: 0.9, ball_mm: 20.0, depth_mm: 4.0, ..BELL_STEM };
        let (a, b) = (look_up(&BELL_STEM).unwrap(), look_up(&double).unwrap());
        assert!((b.force_out_n / a.force_out_n - 4.0).abs() < 1e-9);
        assert!((b.over_push_mm / a.over_push_mm - 2.0).abs() < 1e-9);
    }

    #[test]
    fn outside_the_edge_answers_and_says_so() {
        let thin = look_up(&Question { wall_mm: 0.22, ..BELL_STEM }).unwrap();
        assert_eq!(thin.outside, [true, false, false, false, false]);
        let edge = look_up(&Question { wall_mm: 0.22, mean_diameter_mm: 0.22 * 80.0, ball_mm: 0.22 * 80.0 / 2.045, ..BELL_STEM }).unwrap();
        assert!(edge.away < 1e-6 && thin.away > 0.0 && thin.away < 1.0);
        // A dent of a third of the diameter in a thin wall: the model found no answer there.
        let hole = look_up(&Question { wall_mm: 0.30, depth_mm: 4.0, ball_mm: 12.0, ..BELL_STEM }).unwrap();
        assert!(hole.away > 0.0 && hole.outside[4], "{hole:?}");
        assert_eq!(look_up(&Question { depth_mm: f64::NAN, ..BELL_STEM }), None);
        assert_eq!(look_up(&Question { wall_mm: 0.0, ..BELL_STEM }), None);
        // Softer after 5 % than at yield cannot be; the edge answers.
        assert!(look_up(&Question { flow_at_5_percent_mpa: 100.0, ..BELL_STEM }).unwrap().outside[2]);
    }

    #[test]
    fn continuous_across_a_line_of_the_table() {
        let at = |wall_mm: f64| look_up(&Question { wall_mm, ..BELL_STEM }).unwrap().force_out_n;
        let line = 20.45 / 47.0;
        assert!((at(line * 1.000_001) / at(line * 0.999_999) - 1.0).abs() < 1e-4);
    }

    #[test]
    fn no_force_falls_with_depth() {
        for rows in data::LN_VALUES.chunks(data::LN_DEPTH.len()) {
            assert!(rows.windows(2).all(|w| w[1][1] >= w[0][1]), "{rows:?}");
        }
    }
}
