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
//! **Where it stops.** No friction, no Bauschinger effect, no residual stress, no bend, brace or bead near by. Outside
//! its range (diameter over wall 15 to 80, yield stress over modulus 0.001 to 0.0045, n 0.02 to 0.5, ball 0.25 to 0.62
//! and depth 0.01 to 0.3 of the diameter) the table goes on along its last slope up to a factor of 1.5 and says so;
//! further it refuses. It also refuses dents deeper than 0.14 of the diameter in walls thinner than a 47th of it: runs
//! there found no equilibrium.
//!
//! Made by crate `fem`, examples `tabulate` and `make_table`; errors against fresh runs of the model in [`ERROR`] and
//! docs/validation.md.

#[path = "force_table_data.rs"]
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
/// without an answer).
pub const ERROR: TableError =
    TableError { runs: 15, force_out_rms: 0.060, force_out_max: 0.122, force_in_rms: 0.016, over_push_rms: 0.040 };

/// Names of the groups, in the order of [`Answer::outside`].
pub const GROUPS: [&str; 5] =
    ["diameter over wall", "yield stress over Young's modulus", "hardening", "ball over diameter", "depth over diameter"];

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
    /// Greatest force of the ball on the way back to true, N.
    pub force_out_n: f64,
    /// Force that made the dent, N.
    pub force_in_n: f64,
    /// How far past true the wall must be pushed, mm.
    pub over_push_mm: f64,
    /// Which of the [`GROUPS`] lay outside the table, so that its last slope was followed.
    pub outside: [bool; 5],
}

/// Why there is no answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Refusal {
    /// A size or stress that is not a positive number, or a flow stress below yield.
    BadInput,
    /// The group of this number in [`GROUPS`] lies further outside the table than it can be followed.
    OutOfRange(usize),
    /// The model found no answer at a corner of this cell (the wall snaps or never sets).
    NotComputed,
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::BadInput => write!(f, "sizes and stresses must be positive, and the flow stress at 5 % no less than yield"),
            Self::OutOfRange(group) => write!(f, "{} lies too far outside the force table", GROUPS.get(*group).unwrap_or(&"a group")),
            Self::NotComputed => write!(f, "the model behind the force table found no answer here"),
        }
    }
}

/// How far outside its range the table is followed.
const REACH: f64 = 1.5;

/// Cell below `x` and the weight of the next line; the weight leaves 0 to 1 outside the table.
fn cell(axis: &[f64], x: f64) -> (usize, f64, bool) {
    let last = axis.len() - 2;
    let i = axis.iter().skip(1).take(last).filter(|a| x >= **a).count();
    let w = (x - axis[i]) / (axis[i + 1] - axis[i]);
    // A hair over the edge by rounding is not outside.
    (i, w, !(-1e-9..=1.0 + 1e-9).contains(&w))
}

/// Looks the force up. Pure arithmetic without allocation; well under a microsecond.
///
/// # Errors
/// A [`Refusal`] that says what is wrong.
pub fn look_up(q: &Question) -> Result<Answer, Refusal> {
    let sizes = [q.mean_diameter_mm, q.wall_mm, q.e_mpa, q.yield_mpa, q.flow_at_5_percent_mpa, q.ball_mm, q.depth_mm];
    if sizes.iter().any(|v| !(v.is_finite() && *v > 0.0)) || q.flow_at_5_percent_mpa < q.yield_mpa {
        return Err(Refusal::BadInput);
    }
    let exponent = (q.flow_at_5_percent_mpa / q.yield_mpa).ln() / 3.5_f64.ln();
    let place = [
        (q.mean_diameter_mm / q.wall_mm).ln(),
        (q.yield_mpa / q.e_mpa).ln(),
        exponent,
        (q.ball_mm / q.mean_diameter_mm).ln(),
        (q.depth_mm / q.mean_diameter_mm).ln(),
    ];
    let axes: [&[f64]; 5] = [&data::LN_D_OVER_T, &data::LN_YIELD_STRAIN, &data::EXPONENT, &data::LN_BALL, &data::LN_DEPTH];
    let (mut at, mut weight, mut outside) = ([0; 5], [0.0; 5], [false; 5]);
    for g in 0..5 {
        let reach = if g == 2 { 0.1 } else { REACH.ln() };
        let (first, last) = (axes[g][0], axes[g][axes[g].len() - 1]);
        // Perfect plasticity (n = 0) and the table's smallest n differ by less than the table's error.
        if place[g] < first - reach || place[g] > last + reach {
            return Err(Refusal::OutOfRange(g));
        }
        (at[g], weight[g], outside[g]) = cell(axes[g], place[g]);
    }
    outside[2] &= exponent > axes[2][0];
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
        }
    }
    if !sum.iter().all(|s| s.is_finite()) {
        return Err(Refusal::NotComputed);
    }
    let unit = q.yield_mpa * q.wall_mm * q.wall_mm;
    Ok(Answer {
        force_in_n: unit * sum[0].exp(),
        force_out_n: unit * sum[1].exp(),
        over_push_mm: q.mean_diameter_mm * sum[2].exp(),
        outside,
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
    fn outside_is_said_and_far_outside_is_refused() {
        let thin = look_up(&Question { wall_mm: 0.22, ..BELL_STEM }).unwrap();
        assert_eq!(thin.outside, [true, false, false, false, false]);
        assert_eq!(look_up(&Question { wall_mm: 0.1, ..BELL_STEM }), Err(Refusal::OutOfRange(0)));
        assert_eq!(look_up(&Question { depth_mm: f64::NAN, ..BELL_STEM }), Err(Refusal::BadInput));
        assert_eq!(look_up(&Question { flow_at_5_percent_mpa: 100.0, ..BELL_STEM }), Err(Refusal::BadInput));
    }

    #[test]
    fn continuous_across_a_line_of_the_table() {
        let at = |wall_mm: f64| look_up(&Question { wall_mm, ..BELL_STEM }).unwrap().force_out_n;
        let line = 20.45 / 47.0;
        assert!((at(line * 1.000_001) / at(line * 0.999_999) - 1.0).abs() < 1e-4);
    }
}
