//! The model run once at the best estimates and twice for each uncertain leaf; every figure is read off these runs.
//!
//! [`Figure::derive`] would run the whole model anew for each of some twenty figures; the runs are the same ones.

use crate::inputs::{COUNT, InputIndex, Inputs};
use crate::model::{Case, Found, Out};
use std::borrow::Cow;
use units::{Figure, Known, Source, Unit};

/// How the interval is laid.
#[derive(Clone, Copy, Debug)]
pub enum Laid {
    /// Symmetric.
    Plain,
    /// Of a quantity that cannot be negative.
    Positive,
    /// Of a probability or a part between 0 and 1.
    Probability,
}

/// The runs, each with its outcome `O`.
pub struct Spread<'a, O = Out> {
    inputs: &'a Inputs,
    values: [f64; COUNT],
    /// At the best estimates.
    pub base: O,
    up: [Option<O>; COUNT],
    down: [Option<O>; COUNT],
}

impl<'a> Spread<'a> {
    /// Runs the model about what a run at the best estimates gave.
    pub fn new(case: &'a Case<'a>, (base, found): (Out, Found)) -> Self {
        Self::of(case.inputs, base, |x| case.run(x, Some(&found)).0)
    }
}

impl<'a, O> Spread<'a, O> {
    /// Runs anything about what it gave at the best estimates.
    pub fn of(inputs: &'a Inputs, base: O, run: impl Fn(&[f64; COUNT]) -> O) -> Self {
        let values = inputs.values();
        let at = |i: usize, sign: f64| {
            let k = inputs.known[i].as_ref().filter(|k| k.sd > 0.0)?;
            let mut x = values;
            x[i] = k.value + sign * k.sd;
            Some(run(&x))
        };
        Self { inputs, values, up: std::array::from_fn(|i| at(i, 1.0)), down: std::array::from_fn(|i| at(i, -1.0)), base }
    }

    /// A figure of the inputs `used` (those that play no part are left out).
    pub fn figure(
        &self,
        laid: Laid,
        unit: Unit,
        formula: impl Into<Cow<'static, str>>,
        source: Source,
        used: &[InputIndex],
        get: impl Fn(&O) -> f64,
    ) -> Figure {
        let mut inputs: Vec<Known> = Vec::with_capacity(used.len());
        let mut which = [0; COUNT];
        for input in used {
            if let Some(k) = &self.inputs.known[*input] {
                which[inputs.len()] = *input;
                inputs.push(k.clone());
            }
        }
        let count = inputs.len();
        let f = |x: &[f64]| {
            let moved = which[..count].iter().zip(x).find(|(input, x)| self.values[**input] != **x);
            let run =
                moved.and_then(|(input, x)| if *x > self.values[*input] { self.up[*input].as_ref() } else { self.down[*input].as_ref() });
            get(run.unwrap_or(&self.base))
        };
        match laid {
            Laid::Plain => Figure::derive(unit, formula, source, &inputs, f),
            Laid::Positive => Figure::derive_positive(unit, formula, source, &inputs, f),
            Laid::Probability => Figure { unit, ..Figure::derive_probability(formula, source, &inputs, f) },
        }
    }

    /// Standard deviation of the logarithm of a positive quantity, over all inputs but `without`.
    pub fn log_sd(&self, without: InputIndex, get: impl Fn(&O) -> f64) -> f64 {
        let log = |o: &O| get(o).max(1e-12).ln();
        let pairs = self.up.iter().zip(&self.down).enumerate().filter(|(i, _)| *i != without);
        pairs.filter_map(|(_, (u, d))| Some((log(u.as_ref()?) - log(d.as_ref()?)) / 2.0)).map(|v| v * v).sum::<f64>().sqrt()
    }
}
