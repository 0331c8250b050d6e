//! Force that pushes a dent back to true from inside, by a table of the own finite-element model (crate `fem`).
//!
//! **What the table gives.** A straight tube of even wall. A rigid ball of half the tube's mean diameter dents it from outside;
//! let go, a depth is left. A rigid frictionless ball inside, on a rod, then pushes at the middle of the dent. `force_out_n`
//! is the greatest force on the way to the place from which the wall, let go, stands true in the middle (within 1 % of
//! the dent, every row); `over_push_mm` is how far past true the wall is then; `force_in_n` is the force that made the
//! dent; the strains are the greatest accumulated plastic strains on the wall's surface. All for one place of push.
//!
//! **How the wall is held.** A tube of diameter over wall up to 47 lies on the line opposite the dent (the *cradle*). From 80 on the
//! wall is *held*: the half of the section that faces away, and all that lies more than a diameter from the dent along the tube, is
//! kept round, as by hands, a stake or a mandrel; a thin wide tube that merely lies there goes oval as a whole before its dent
//! gives (at 80 and above the cradle's over-push is the tube's, not the dent's). Between 47 and 80 the answer passes from the one to
//! the other in equal steps of logarithms. How far the two are apart there: docs/validation.md.
//!
//! **Groups.** Mean diameter over wall, yield stress over Young's modulus, hardening exponent n of
//! σ₀ (1 + α/0.02)ⁿ (taken from the flow stress at 5 % plastic strain), ball over mean diameter, depth left over mean
//! diameter. Logarithms are interpolated linearly in the logarithms of all but n, which enters as it is. Forces are
//! in units of σ₀t². Poisson's ratio is 0.34 throughout.
//!
//! **Where it stops.** No friction, no Bauschinger effect, no residual stress, no bend, brace or bead near by; a bell's flare is
//! curved the other way too, which the straight tube is not. Outside the range the table's edge is given, with how far away it lies
//! ([`Answer::away`]): what to make of that is said in `force.rs`. Where the model's answer fell with depth, neighbours were pooled so
//! that it does not (isotonic regression, as in `draw`): in thick walls by a hair; in walls thinner than D/t 160, which snap, by up to
//! four times, and the stated error there is mostly that (docs/validation.md).
//!
//! Made by crate `fem`, examples `tabulate` and `make_table`; errors against fresh runs of the model in [`ERROR`] and
//! docs/validation.md.

#[path = "force_table_data.rs"]
#[allow(clippy::approx_constant, reason = "a logarithm in the table that happens to lie near a constant")]
mod data;

/// How far a table is from fresh runs of the model at random places within its range, root mean square of ln(table/model).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TableError {
    /// Number of fresh runs.
    pub runs: usize,
    /// Force outwards.
    pub force_out_rms: f64,
    /// Greatest |ln(table/model)| for the force outwards.
    pub force_out_max: f64,
    /// Force inwards.
    pub force_in_rms: f64,
    /// Over-push.
    pub over_push_rms: f64,
    /// Peak plastic strain of the dent.
    pub strain_in_rms: f64,
    /// Peak plastic strain of the way back.
    pub strain_back_rms: f64,
}

/// Cradle, held wall up to D/t 160, and thinner; measured by `make_table check crates/fem/data/fresh_rows.csv` on 2026-11-26 and
/// held by `dent/tests/table.rs`.
pub const ERROR: [TableError; 3] = [
    TableError {
        runs: 9,
        force_out_rms: 0.032,
        force_out_max: 0.080,
        force_in_rms: 0.024,
        over_push_rms: 0.021,
        strain_in_rms: 0.053,
        strain_back_rms: 0.045,
    },
    TableError {
        runs: 16,
        force_out_rms: 0.108,
        force_out_max: 0.276,
        force_in_rms: 0.051,
        over_push_rms: 0.047,
        strain_in_rms: 0.141,
        strain_back_rms: 0.072,
    },
    TableError {
        runs: 16,
        force_out_rms: 0.295,
        force_out_max: 0.866,
        force_in_rms: 0.067,
        over_push_rms: 0.094,
        strain_in_rms: 0.071,
        strain_back_rms: 0.085,
    },
];

/// Between these (ln of diameter over wall: 130 and 200) the error passes from that of the held wall to that of the thinnest: either
/// side of 160, where the fresh runs are parted. Common practice, no source.
const THIN: [f64; 2] = [4.867_534_450_455_582, 5.298_317_366_548_036];

/// Error of an answer of which `held` is the held wall's and, of that, `thin` the thinnest's.
pub fn mixed(held: f64, thin: f64, of: impl Fn(&TableError) -> f64) -> f64 {
    (1.0 - held) * of(&ERROR[0]) + held * ((1.0 - thin) * of(&ERROR[1]) + thin * of(&ERROR[2]))
}

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
    /// Greatest plastic strain on the surface that the dent added.
    pub strain_in: f64,
    /// Greatest that the way back added.
    pub strain_back: f64,
    /// Greatest of both together.
    pub strain_both: f64,
    /// Which part of the answer is of a held wall (0: in the cradle, 1: held).
    pub held: f64,
    /// Which part of the held wall's error is that of the thinnest walls.
    pub thin: f64,
    /// The same over the depth of the dent.
    pub over_push_part: f64,
    /// The place of the table's edge that answered, in the same wall: the question itself inside the range.
    pub edge: Edge,
    /// Which of the [`GROUPS`] lay outside the table.
    pub outside: [bool; 5],
    /// How far outside: 0 inside, 1 where a group lies outside by a factor of 1.5 (an exponent by 0.1) or where the model found no
    /// answer at all round the place; continuous, and more further out.
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

/// The last line of the cradle alone, and the first of the held wall alone (ln of diameter over wall).
const SEAM: [f64; 2] = [3.850_147_601_710_058, 4.382_026_634_673_881];

/// One of the two tables.
struct Grid {
    axes: [&'static [f64]; 5],
    /// ln of force in, force out (both in σ₀t²), over-push over mean diameter, and the three strains.
    values: &'static [[f32; 6]],
    not_computed: &'static [usize],
}

const CRADLE: Grid = Grid {
    axes: [
        &data::cradle::LN_D_OVER_T,
        &data::cradle::LN_YIELD_STRAIN,
        &data::cradle::EXPONENT,
        &data::cradle::LN_BALL,
        &data::cradle::LN_DEPTH,
    ],
    values: &data::cradle::LN_VALUES,
    not_computed: &data::cradle::NOT_COMPUTED,
};
const HELD: Grid = Grid {
    axes: [&data::held::LN_D_OVER_T, &data::held::LN_YIELD_STRAIN, &data::held::EXPONENT, &data::held::LN_BALL, &data::held::LN_DEPTH],
    values: &data::held::LN_VALUES,
    not_computed: &data::held::NOT_COMPUTED,
};

/// How far `x` is from the first to the second, 0 to 1.
fn along([from, to]: [f64; 2], x: f64) -> f64 {
    ((x - from) / (to - from)).clamp(0.0, 1.0)
}

/// Cell below `x`, which lies within the axis, and the weight of the next line.
fn cell(axis: &[f64], x: f64) -> (usize, f64) {
    let i = axis.iter().skip(1).take(axis.len() - 2).filter(|a| x >= **a).count();
    (i, (x - axis[i]) / (axis[i + 1] - axis[i]))
}

/// What one table says of a place.
struct Read {
    sum: [f64; 6],
    place: [f64; 5],
    outside: [bool; 5],
    away: f64,
}

impl Grid {
    fn read(&self, mut place: [f64; 5]) -> Read {
        let (mut at, mut weight, mut outside, mut away) = ([0; 5], [0.0; 5], [false; 5], 0.0);
        for g in 0..5 {
            let axis = self.axes[g];
            let inside = place[g].clamp(axis[0], axis[axis.len() - 1]);
            let beyond = (place[g] - inside).abs() / REACH[g];
            // A hair over the edge by rounding is not outside, nor is perfect plasticity (n = 0): it differs from the table's
            // smallest n by less than the table's error. Such an n stays what it is, so that the edge's flow stress is its own.
            let hardly = g == 2 && (-1e-9..inside).contains(&place[g]);
            if beyond > 1e-6 && !hardly {
                outside[g] = true;
                away += beyond;
            }
            if !hardly {
                place[g] = inside;
            }
            (at[g], weight[g]) = cell(axis, inside);
        }
        let mut sum = [0.0; 6];
        let mut filled = 0.0;
        for corner in 0..32_usize {
            let mut part = 1.0;
            let mut index = 0;
            for g in 0..5 {
                let up = corner >> g & 1;
                part *= if up == 1 { weight[g] } else { 1.0 - weight[g] };
                index = index * self.axes[g].len() + at[g] + up;
            }
            if part != 0.0 {
                for (s, v) in sum.iter_mut().zip(&self.values[index]) {
                    *s += part * f64::from(*v);
                }
                if self.not_computed.contains(&index) {
                    filled += part;
                }
            }
        }
        // Widens the doubt by its part; counts as outside where more than half of the answer rests on it.
        away += filled;
        outside[4] |= filled > 0.5;
        Read { sum, place, outside, away }
    }
}

/// Logarithms of the groups; None where a size or a stress is not a positive number.
fn place(q: &Question) -> Option<[f64; 5]> {
    let sizes = [q.mean_diameter_mm, q.wall_mm, q.e_mpa, q.yield_mpa, q.flow_at_5_percent_mpa, q.ball_mm, q.depth_mm];
    if sizes.iter().any(|v| !(v.is_finite() && *v > 0.0)) {
        return None;
    }
    Some([
        (q.mean_diameter_mm / q.wall_mm).ln(),
        (q.yield_mpa / q.e_mpa).ln(),
        (q.flow_at_5_percent_mpa / q.yield_mpa).ln() / RISE.ln(),
        (q.ball_mm / q.mean_diameter_mm).ln(),
        (q.depth_mm / q.mean_diameter_mm).ln(),
    ])
}

/// Looks the force up. Pure arithmetic without allocation; about a microsecond. None where a size or a stress is not a
/// positive number.
pub fn look_up(q: &Question) -> Option<Answer> {
    let place = place(q)?;
    let held = along(SEAM, place[0]);
    if held == 0.0 {
        return Some(CRADLE.read(place).answer(q, held));
    }
    if held == 1.0 {
        return Some(HELD.read(place).answer(q, held));
    }
    let (a, b) = (CRADLE.read(place), HELD.read(place));
    let mix = |x: f64, y: f64| (1.0 - held) * x + held * y;
    let both = Read {
        sum: std::array::from_fn(|k| mix(a.sum[k], b.sum[k])),
        place: std::array::from_fn(|k| mix(a.place[k], b.place[k])),
        outside: std::array::from_fn(|k| a.outside[k] || b.outside[k]),
        away: mix(a.away, b.away),
    };
    Some(both.answer(q, held))
}

/// What one of the two tables says by itself, without the passage between them.
pub fn look_up_in(q: &Question, held: bool) -> Option<Answer> {
    let place = place(q)?;
    Some(if held { HELD.read(place).answer(q, 1.0) } else { CRADLE.read(place).answer(q, 0.0) })
}

impl Read {
    fn answer(&self, q: &Question, held: f64) -> Answer {
        let Self { sum, place, outside, away } = *self;
        let unit = q.yield_mpa * q.wall_mm * q.wall_mm;
        Answer {
            force_in_n: unit * sum[0].exp(),
            force_out_n: unit * sum[1].exp(),
            over_push_mm: q.mean_diameter_mm * sum[2].exp(),
            strain_in: sum[3].exp(),
            strain_back: sum[4].exp(),
            strain_both: sum[5].exp(),
            held,
            thin: along(THIN, (q.mean_diameter_mm / q.wall_mm).ln()),
            over_push_part: (sum[2] - place[4]).exp(),
            edge: Edge {
                yield_strain: place[1].exp(),
                flow_mpa: q.yield_mpa * RISE.powf(place[2]),
                depth_mm: q.wall_mm * (place[0] + place[4]).exp(),
            },
            outside,
            away,
        }
    }
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
        let shallow = Question { ball_mm: 2.0, depth_mm: 0.3, ..BELL_STEM };
        let thin = look_up(&Question { wall_mm: 0.03, ..shallow }).unwrap();
        assert_eq!(thin.outside, [true, false, false, false, false]);
        let part = 18.0 / 20.45;
        let edge =
            look_up(&Question { wall_mm: 0.03, mean_diameter_mm: 18.0, ball_mm: 2.0 * part, depth_mm: 0.3 * part, ..BELL_STEM }).unwrap();
        // D/t 681.7 against the last line, 600; what rests on filled places is the same on both sides.
        assert!((thin.away - edge.away - (20.45 / 0.03 / 600.0_f64).ln() / 0.405).abs() < 1e-6, "{edge:?} {thin:?}");
        assert!(!edge.outside[0] && thin.away < 1.0);
        // A dent of a third of the diameter in a thin wall: no row goes so deep.
        let hole = look_up(&Question { wall_mm: 0.30, depth_mm: 6.0, ball_mm: 12.0, ..BELL_STEM }).unwrap();
        assert!(hole.away > 0.0 && hole.outside[4], "{hole:?}");
        assert_eq!(look_up(&Question { depth_mm: f64::NAN, ..BELL_STEM }), None);
        assert_eq!(look_up(&Question { wall_mm: 0.0, ..BELL_STEM }), None);
        // Softer after 5 % than at yield cannot be; the edge answers.
        assert!(look_up(&Question { flow_at_5_percent_mpa: 100.0, ..BELL_STEM }).unwrap().outside[2]);
    }

    #[test]
    fn continuous_across_a_line_of_the_table() {
        let at = |wall_mm: f64| look_up(&Question { wall_mm, ..BELL_STEM }).unwrap().force_out_n;
        for line in [20.45 / 27.0, 20.45 / 47.0, 20.45 / 80.0, 20.45 / 160.0] {
            assert!((at(line * 1.000_001) / at(line * 0.999_999) - 1.0).abs() < 1e-4);
        }
    }

    #[test]
    fn passes_from_the_cradle_to_the_held_wall() {
        let at = |d_over_t: f64| look_up(&Question { wall_mm: 20.45 / d_over_t, ..BELL_STEM }).unwrap();
        let question = |d_over_t: f64| Question { wall_mm: 20.45 / d_over_t, ..BELL_STEM };
        assert_eq!((at(46.9).held, at(80.1).held), (0.0, 1.0));
        let half = (47.0_f64 * 80.0).sqrt();
        let (middle, a, b) = (at(half), look_up_in(&question(half), false).unwrap(), look_up_in(&question(half), true).unwrap());
        assert!((middle.held - 0.5).abs() < 1e-9);
        // Half way in logarithms: the geometric mean of the two holds.
        assert!((middle.force_out_n / (a.force_out_n * b.force_out_n).sqrt() - 1.0).abs() < 1e-9);
        assert!((middle.over_push_mm / (a.over_push_mm * b.over_push_mm).sqrt() - 1.0).abs() < 1e-9);
        // Held, the wall alone springs; in the cradle the whole tube does: less over-push (thin tubes: docs/validation.md).
        assert!(look_up_in(&question(80.0), true).unwrap().over_push_mm < look_up_in(&question(80.0), false).unwrap().over_push_mm);
    }

    #[test]
    fn no_force_falls_with_depth() {
        for grid in [CRADLE, HELD] {
            for rows in grid.values.chunks(grid.axes[4].len()) {
                assert!(rows.windows(2).all(|w| w[1][1] >= w[0][1]), "{rows:?}");
            }
        }
    }
}
