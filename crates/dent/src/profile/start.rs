//! A plain shape through the points, about which the profile is expanded.

use super::family::Shape;
use nalgebra::{Matrix3, Vector3};

/// A shape in its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// Depth, mm.
    pub depth_mm: f64,
    /// Place of the bottom on the gauge, mm.
    pub centre_mm: f64,
    /// Its s, mm.
    pub s_mm: f64,
    /// Root mean square of what it leaves over, mm.
    pub noise_mm: f64,
}

fn misfit(points: &[(f64, f64)], shape: &Shape, p: &Vector3<f64>) -> f64 {
    points.iter().map(|(x, z)| (z - p[0] * (shape.f)((x - p[1]) / p[2])).powi(2)).sum()
}

/// Levenberg–Marquardt (Marquardt, J. SIAM 11 (1963), from memory) from several widths; the best one. None where no dent is
/// found. `near`: the same for a shape fitted before, from which to go on.
pub fn start(points: &[(f64, f64)], shape: &Shape, near: Option<(&Start, &Shape)>) -> Option<Start> {
    let (first, last) = (points.first()?.0, points.last()?.0);
    let span = last - first;
    let deepest = points.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1))?;
    if !(span > 0.0 && deepest.1 > 0.0) {
        return None;
    }
    let gap = span / (points.len() - 1) as f64;
    // At half depth the dent is at least a gap and at most the gauge wide.
    let (least, most) = (0.5 * gap / shape.half, span / shape.half);
    let guesses: Vec<Vector3<f64>> = match near {
        Some((s, other)) => vec![Vector3::new(s.depth_mm, s.centre_mm, s.s_mm * other.half / shape.half)],
        None => [0.06, 0.12, 0.2, 0.35].map(|part| Vector3::new(deepest.1, deepest.0, part * span)).into(),
    };
    let mut best: Option<(f64, Vector3<f64>)> = None;
    for mut p in guesses {
        p[2] = p[2].clamp(least, most);
        let (mut cost, mut damping) = (misfit(points, shape, &p), 1e-2);
        for _ in 0..30 {
            let (mut normal, mut right) = (Matrix3::zeros(), Vector3::zeros());
            for (x, z) in points {
                let [f, slope, widen] = shape.columns((x - p[1]) / p[2]);
                let row = Vector3::new(f, -p[0] * slope / p[2], -p[0] * widen / p[2]);
                normal += row * row.transpose();
                right += row * (z - p[0] * f);
            }
            for i in 0..3 {
                normal[(i, i)] *= 1.0 + damping;
                normal[(i, i)] += 1e-12;
            }
            let Some(step) = normal.cholesky().map(|c| c.solve(&right)) else { break };
            let mut next = p + step;
            next[0] = next[0].clamp(0.2 * deepest.1, 3.0 * deepest.1);
            next[1] = next[1].clamp(first, last);
            next[2] = next[2].clamp(least, most);
            let after = misfit(points, shape, &next);
            if after < cost {
                let done = cost - after < 1e-6 * cost;
                (p, cost, damping) = (next, after, damping * 0.3);
                if done {
                    break;
                }
            } else {
                damping *= 4.0;
                if damping > 1e6 {
                    break;
                }
            }
        }
        if best.as_ref().is_none_or(|(c, _)| cost < *c) {
            best = Some((cost, p));
        }
    }
    let (cost, p) = best?;
    let freedom = points.len().saturating_sub(3).max(1) as f64;
    Some(Start { depth_mm: p[0], centre_mm: p[1], s_mm: p[2], noise_mm: (cost / freedom).sqrt() })
}

#[cfg(test)]
mod tests {
    use super::super::family::{KINKED, ROUND};
    use super::*;

    /// Points that lie on a shape give back its depth, place and s, and leave nothing over (least squares, C), whichever shape it is and
    /// wherever the gauge stood.
    #[test]
    fn points_on_a_shape_give_it_back() {
        for shape in ROUND.iter().chain(&KINKED[..1]) {
            for (depth, centre, s) in [(2.0, 0.3, 4.0), (0.5, -2.0, 2.5)] {
                let points: Vec<(f64, f64)> =
                    (-30..=30).map(|i| 0.5 * f64::from(i)).map(|x| (x, depth * (shape.f)((x - centre) / s))).collect();
                let found = start(&points, shape, None).unwrap();
                let near = |got: f64, want: f64| (got - want).abs() < 0.01;
                assert!(near(found.depth_mm / depth, 1.0) && near(found.centre_mm, centre) && near(found.s_mm / s, 1.0), "{found:?}");
                assert!(found.noise_mm < 0.003 * depth, "{found:?}");
                // From a shape fitted before it goes on to the same place.
                let other = &ROUND[0];
                let before = start(&points, other, None).unwrap();
                let again = start(&points, shape, Some((&before, other))).unwrap();
                assert!(near(again.s_mm / s, 1.0) && near(again.depth_mm / depth, 1.0), "{again:?}");
            }
        }
    }

    /// What is left over, over the points less three that were fitted: a wave of 0.01 mm leaves 0.01/√2 (C).
    #[test]
    fn what_is_left_over_is_the_noise() {
        let shape = &ROUND[0];
        let points: Vec<(f64, f64)> =
            (-100..=100).map(|i| 0.15 * f64::from(i)).map(|x| (x, 2.0 * (shape.f)(x / 4.0) + 0.01 * (20.0 * x).sin())).collect();
        let found = start(&points, shape, None).unwrap();
        assert!((found.noise_mm / (0.01 / std::f64::consts::SQRT_2) - 1.0).abs() < 0.03, "{found:?}");
        assert!(start(&[(0.0, 1.0), (0.0, 1.0)], shape, None).is_none() && start(&[(0.0, -1.0), (1.0, -2.0)], shape, None).is_none());
    }
}
