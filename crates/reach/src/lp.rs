//! The small linear programme at the heart of a pose: max t, t ≤ cᵢ + gᵢ·δ, |δₖ| ≤ ρ.
//!
//! At most five unknowns and a few hundred rows, solved some thousand times in a plan, so its dual with six
//! rows is solved by the revised simplex method with an explicit inverse; a general library would spend its
//! time on set-up. Source: from memory of Dantzig, Linear Programming and Extensions (1963).

/// Most unknowns besides t.
pub const MOST: usize = 5;
const ROWS: usize = MOST + 1;

/// One row: t ≤ value + gradient·δ.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// The constraint's value here.
    pub value: f64,
    /// Its slope along each unknown.
    pub gradient: [f64; MOST],
}

/// A column of the dual's basis.
#[derive(Clone, Copy, PartialEq)]
enum Column {
    /// Multiplier of a row.
    Row(usize),
    /// Multiplier of an upper bound of an unknown.
    Upper(usize),
    /// Slack of that unknown's row.
    Slack(usize),
}

/// The best t and the step δ that reaches it, for `unknowns` ≤ [`MOST`] unknowns within ±`radius`.
pub fn maximin(rows: &[Row], unknowns: usize, radius: f64) -> (f64, [f64; MOST]) {
    let n = unknowns + 1;
    // With y = δ + ρ ≥ 0: t − g·y ≤ c − g·ρ = b. Dual: min λ·b + 2ρ·Σμ, Σλ = 1, μ − ν = Σ λ g, all ≥ 0.
    let b: Vec<f64> = rows.iter().map(|r| r.value - radius * r.gradient[..unknowns].iter().sum::<f64>()).collect();
    let Some((first, _)) = b.iter().enumerate().min_by(|x, y| x.1.total_cmp(y.1)) else {
        return (f64::INFINITY, [0.0; MOST]);
    };
    let column = |c: Column| -> [f64; ROWS] {
        let mut a = [0.0; ROWS];
        match c {
            Column::Row(i) => {
                a[0] = 1.0;
                for k in 0..unknowns {
                    a[k + 1] = -rows[i].gradient[k];
                }
            }
            Column::Upper(k) => a[k + 1] = 1.0,
            Column::Slack(k) => a[k + 1] = -1.0,
        }
        a
    };
    let cost = |c: Column| match c {
        Column::Row(i) => b[i],
        Column::Upper(_) => 2.0 * radius,
        Column::Slack(_) => 0.0,
    };
    // Start: λ of one row is 1, each other row met by its bound's multiplier or its slack.
    let mut basis = [Column::Row(first); ROWS];
    let mut inverse = [[0.0; ROWS]; ROWS];
    let mut solution = [0.0; ROWS];
    inverse[0][0] = 1.0;
    solution[0] = 1.0;
    for k in 0..unknowns {
        let g = rows[first].gradient[k];
        let sign = if g >= 0.0 { 1.0 } else { -1.0 };
        basis[k + 1] = if g >= 0.0 { Column::Upper(k) } else { Column::Slack(k) };
        inverse[k + 1][k + 1] = sign;
        inverse[k + 1][0] = sign * g;
        solution[k + 1] = sign * g;
    }
    let mut prices = [0.0; ROWS];
    for pivot in 0..400 {
        for (j, price) in prices.iter_mut().enumerate().take(n) {
            *price = (0..n).map(|i| cost(basis[i]) * inverse[i][j]).sum();
        }
        // The prices are (t, y): a column enters where its reduced cost is negative.
        let mut enters = None;
        let mut least = -1e-10;
        for (i, (r, b)) in rows.iter().zip(&b).enumerate() {
            // Unknowns that are not there have no gradient.
            let g = &r.gradient;
            let slope = prices[1] * g[0] + prices[2] * g[1] + prices[3] * g[2] + prices[4] * g[3] + prices[5] * g[4];
            let reduced = b - prices[0] + slope;
            if reduced < least {
                least = reduced;
                enters = Some(Column::Row(i));
            }
        }
        for k in 0..unknowns {
            for (c, reduced) in [(Column::Upper(k), 2.0 * radius - prices[k + 1]), (Column::Slack(k), prices[k + 1])] {
                if reduced < least {
                    least = reduced;
                    enters = Some(c);
                }
            }
        }
        let Some(enters) = enters else { break };
        let a = column(enters);
        let mut direction = [0.0; ROWS];
        for (i, d) in direction.iter_mut().enumerate().take(n) {
            *d = (0..n).map(|j| inverse[i][j] * a[j]).sum();
        }
        // Ties are broken by a slowly turning preference, so that a degenerate corner is not gone round for ever.
        let mut leaves = None;
        let mut ratio = f64::INFINITY;
        for q in 0..n {
            let i = (q + pivot / 40) % n;
            if direction[i] > 1e-12 && solution[i] / direction[i] < ratio - 1e-15 {
                ratio = solution[i] / direction[i];
                leaves = Some(i);
            }
        }
        let Some(leaves) = leaves else { break };
        let d = direction[leaves];
        for v in &mut inverse[leaves] {
            *v /= d;
        }
        solution[leaves] /= d;
        for i in (0..n).filter(|i| *i != leaves) {
            let f = direction[i];
            if f != 0.0 {
                let pivot_row = inverse[leaves];
                for (v, p) in inverse[i].iter_mut().zip(&pivot_row) {
                    *v -= f * p;
                }
                solution[i] = (solution[i] - f * solution[leaves]).max(0.0);
            }
        }
        basis[leaves] = enters;
    }
    let mut step = [0.0; MOST];
    for k in 0..unknowns {
        step[k] = (prices[k + 1] - radius).clamp(-radius, radius);
    }
    // Taken at the step itself: exact even where the pivots were cut short.
    let t = rows.iter().map(|r| r.value + (0..unknowns).map(|k| r.gradient[k] * step[k]).sum::<f64>()).fold(f64::INFINITY, f64::min);
    (t, step)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn row(value: f64, g: [f64; MOST]) -> Row {
        Row { value, gradient: g }
    }

    #[test]
    fn two_walls_leave_the_body_in_the_middle() {
        let rows = [row(1.0, [1.0, 0.0, 0.0, 0.0, 0.0]), row(3.0, [-1.0, 0.0, 0.0, 0.0, 0.0])];
        let (t, step) = maximin(&rows, 2, 10.0);
        assert!((t - 2.0).abs() < 1e-12 && (step[0] - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_bound_holds() {
        let (t, step) = maximin(&[row(0.0, [1.0, -2.0, 0.0, 0.0, 0.0])], 2, 0.5);
        assert!((t - 1.5).abs() < 1e-12, "{t} {step:?}");
    }

    proptest! {
        /// No random step within the bounds does better, and the duals' certificate is the value itself.
        #[test]
        fn nothing_beats_it(raw in proptest::collection::vec(proptest::array::uniform6(-1.0f64..1.0), 1..40),
                            probes in proptest::collection::vec(proptest::array::uniform5(-1.0f64..1.0), 60)) {
            let rows: Vec<Row> = raw.iter().map(|r| row(r[5], [r[0], r[1], r[2], r[3], r[4]])).collect();
            let (t, step) = maximin(&rows, MOST, 1.0);
            let at = |d: &[f64; MOST]| rows.iter().map(|r| r.value + (0..MOST).map(|k| r.gradient[k] * d[k]).sum::<f64>()).fold(f64::INFINITY, f64::min);
            prop_assert!((t - at(&step)).abs() < 1e-9);
            for p in &probes {
                prop_assert!(at(p) <= t + 1e-9);
                // Probes close to the answer are the harder test.
                let mut near = step;
                for k in 0..MOST { near[k] = (step[k] + 0.01 * p[k]).clamp(-1.0, 1.0); }
                prop_assert!(at(&near) <= t + 1e-9);
            }
        }
    }
}
