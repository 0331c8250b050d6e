//! Simulated gauge readings.

use fixtures::Dice;
use instrument::ProfilePoint;

/// Name, shape, curvature at its bottom.
pub type Round = (&'static str, fn(f64) -> f64, f64);
/// Name, shape.
pub type Kinked = (&'static str, fn(f64) -> f64);

/// Shapes of depth 1 in ξ = x/s, with their curvature at ξ = 0.
pub const SHAPES: [Round; 6] = [
    ("gaussian", |x| (-x * x / 2.0).exp(), 1.0),
    ("cosine", |x| if x.abs() < 2.6 { (1.0 + (std::f64::consts::PI * x / 2.6).cos()) / 2.0 } else { 0.0 }, 0.729_998),
    ("long tails", |x| (1.0 + x * x / 4.0).powi(-2), 1.0),
    ("flat bottom", |x: f64| (-0.25 * x * x - 0.08 * x.powi(4)).exp(), 0.5),
    ("lopsided", |x: f64| (-(x + 0.08 * x * x).powi(2) / 2.0).exp(), 1.0),
    ("narrow bottom", |x: f64| (-1.2 * ((x * x + 0.36).sqrt() - 0.6)).exp(), 2.0),
];

/// Shapes that had no part in the choice of the fit's priors.
pub const HELD_OUT: [Round; 4] = [
    ("sech squared", |x| (x / std::f64::consts::SQRT_2).cosh().powi(-2), 1.0),
    ("narrow in wide", |x| 0.6 * (-x * x / 2.0).exp() + 0.4 * (-x * x / 8.0).exp(), 0.7),
    ("skew", |x| if x > -4.0 { (16.0 * (x / 4.0).ln_1p() - 4.0 * x).exp() } else { 0.0 }, 1.0),
    ("compact", |x| (1.0 - x * x / 8.0).max(0.0).powi(4), 1.0),
];

/// V-shaped bottoms: straight flanks; hollow flanks; rounded by a radius too small for the gauge.
pub const KINKED: [Kinked; 3] = [
    ("straight flanks", |x| (1.0 - x.abs() / 2.4).max(0.0)),
    ("hollow flanks", |x| 1.0 - (0.9 * x.abs()).tanh()),
    ("rounded tip", |x| (-1.1 * ((x * x + 0.0025).sqrt() - 0.05)).exp()),
];

/// Readings of a shape: depth 2 mm, s 4 mm, evenly spaced over ±3 s with the middle off by up to half a gap.
pub fn readings(dice: &mut Dice, f: fn(f64) -> f64, count: usize, noise: f64) -> Vec<ProfilePoint> {
    let (depth, s) = (2.0, 4.0);
    let gap = 6.0 * s / (count - 1) as f64;
    let off = (dice.even() - 0.5) * gap;
    (0..count)
        .map(|i| {
            let x = -3.0 * s + gap * i as f64 + off;
            ProfilePoint { x_mm: x, depth_mm: depth * f(x / s) + noise * depth * dice.normal() }
        })
        .collect()
}
