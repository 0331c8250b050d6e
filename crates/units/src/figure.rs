//! A computed value with its interval and its reasons, and the propagation of uncertainty that makes one.

use crate::{Known, Origin, Source, Unit};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// Half-width of a 90 % interval of the normal distribution, in standard deviations.
pub const Z90: f64 = 1.644_853_626_951_472_2;

/// A computed value. `low` and `high` bound a 90 % interval.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Figure {
    /// Best estimate.
    pub value: f64,
    /// 5 % point.
    pub low: f64,
    /// 95 % point.
    pub high: f64,
    /// Unit of the three.
    pub unit: Unit,
    /// What it was computed from, and how.
    pub reason: Reason,
}

/// Why a figure is what it is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reason {
    /// The formula or the rule, written out.
    pub formula: Cow<'static, str>,
    /// Where the formula comes from.
    pub source: Source,
    /// What went in.
    pub inputs: Vec<Input>,
}

/// One input of a figure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Input {
    /// The value that went in.
    #[serde(flatten)]
    pub known: Known,
    /// The part of the figure's variance that comes from this input, 0 to 1.
    pub share: f64,
}

/// How an interval is laid about the best estimate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Shape {
    /// Symmetric.
    Normal,
    /// Of a quantity that cannot be negative: symmetric in its logarithm.
    Positive,
    /// Between 0 and 1: symmetric in its log-odds.
    Probability,
}

impl Figure {
    /// Computes `f` at the best estimates and propagates the inputs' standard deviations by central
    /// differences of one standard deviation (first order; inputs taken as independent).
    ///
    /// Source: GUM, JCGM 100:2008, section 5.1.2 (from memory).
    pub fn derive(unit: Unit, formula: impl Into<Cow<'static, str>>, source: Source, inputs: &[Known], f: impl Fn(&[f64]) -> f64) -> Self {
        Self::with_shape(Shape::Normal, unit, formula.into(), source, inputs, f)
    }

    /// As [`Figure::derive`] for a quantity that cannot be negative: the propagation runs on its
    /// logarithm, so that the interval stays positive.
    pub fn derive_positive(
        unit: Unit,
        formula: impl Into<Cow<'static, str>>,
        source: Source,
        inputs: &[Known],
        f: impl Fn(&[f64]) -> f64,
    ) -> Self {
        Self::with_shape(Shape::Positive, unit, formula.into(), source, inputs, f)
    }

    /// As [`Figure::derive`] for a probability: the propagation runs on its log-odds.
    pub fn derive_probability(formula: impl Into<Cow<'static, str>>, source: Source, inputs: &[Known], f: impl Fn(&[f64]) -> f64) -> Self {
        Self::with_shape(Shape::Probability, Unit::Probability, formula.into(), source, inputs, f)
    }

    fn with_shape(
        shape: Shape,
        unit: Unit,
        formula: Cow<'static, str>,
        source: Source,
        inputs: &[Known],
        f: impl Fn(&[f64]) -> f64,
    ) -> Self {
        const TINY: f64 = 1e-9;
        let to = |y: f64| match shape {
            Shape::Normal => y,
            Shape::Positive => y.max(TINY).ln(),
            Shape::Probability => {
                let p = y.clamp(TINY, 1.0 - TINY);
                (p / (1.0 - p)).ln()
            }
        };
        let back = |z: f64| match shape {
            Shape::Normal => z,
            Shape::Positive => z.exp(),
            Shape::Probability => 1.0 / (1.0 + (-z).exp()),
        };
        let mut x: Vec<f64> = inputs.iter().map(|k| k.value).collect();
        let value = f(&x);
        let mut variance = Vec::with_capacity(inputs.len());
        for (i, k) in inputs.iter().enumerate() {
            if k.sd <= 0.0 {
                variance.push(0.0);
                continue;
            }
            x[i] = k.value + k.sd;
            let up = to(f(&x));
            x[i] = k.value - k.sd;
            let down = to(f(&x));
            x[i] = k.value;
            variance.push(((up - down) / 2.0).powi(2));
        }
        let total: f64 = variance.iter().sum();
        let sd = total.sqrt();
        let centre = to(value);
        let (low, high) = (back(centre - Z90 * sd), back(centre + Z90 * sd));
        let inputs = inputs
            .iter()
            .zip(variance)
            .map(|(k, v)| Input { known: k.clone(), share: if total > 0.0 { v / total } else { 0.0 } })
            .collect();
        // A value of exactly zero stays inside its interval although its logarithm was clamped.
        Self { value, low: low.min(value), high: high.max(value), unit, reason: Reason { formula, source, inputs } }
    }

    /// A figure whose interval the caller computed itself (by Monte Carlo, or a table's stated limits).
    pub fn stated(
        value: f64,
        low: f64,
        high: f64,
        unit: Unit,
        formula: impl Into<Cow<'static, str>>,
        source: Source,
        inputs: &[Known],
    ) -> Self {
        let inputs = inputs.iter().map(|k| Input { known: k.clone(), share: 0.0 }).collect();
        Self { value, low, high, unit, reason: Reason { formula: formula.into(), source, inputs } }
    }

    /// This figure as an input to another: its interval becomes a standard deviation.
    pub fn known(&self, name: impl Into<Cow<'static, str>>) -> Known {
        Known::new(name, self.value, (self.high - self.low) / (2.0 * Z90), self.unit, Origin::Computed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source() -> Source {
        Source::closed_form("test")
    }

    #[test]
    fn a_sum_adds_variances() {
        let a = Known::new("a", 3.0, 0.3, Unit::Mm, Origin::Measured);
        let b = Known::new("b", 4.0, 0.4, Unit::Mm, Origin::Assumed);
        let s = Figure::derive(Unit::Mm, "a + b", source(), &[a, b], |x| x[0] + x[1]);
        assert!((s.value - 7.0).abs() < 1e-12);
        assert!((s.high - 7.0 - Z90 * 0.5).abs() < 1e-9);
        // (C) Shares of the variance: 0.09 and 0.16 of 0.25.
        let shares: Vec<f64> = s.reason.inputs.iter().map(|i| i.share).collect();
        assert!((shares[0] - 0.36).abs() < 1e-9 && (shares[1] - 0.64).abs() < 1e-9, "{shares:?}");
    }

    #[test]
    fn a_positive_figure_never_dips_below_zero() {
        let a = Known::new("a", 1.0, 0.9, Unit::Mm, Origin::Assumed);
        let s = Figure::derive_positive(Unit::Mm, "a²", source(), &[a], |x| x[0] * x[0]);
        assert!(s.low > 0.0 && s.low < s.value && s.high > s.value);
    }
}
