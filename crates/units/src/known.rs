//! A value that is known to some accuracy: what a person measured, what a pattern says, or what had
//! to be assumed because nobody measured it.

use crate::Unit;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// Where a value comes from. The order is the order of trust, best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Measured with a gauge.
    Measured,
    /// Judged by eye ("about 4 mm").
    ByEye,
    /// Taken from the shop's settings.
    Shop,
    /// Taken from a handbook table.
    Handbook,
    /// Computed from other values.
    Computed,
    /// Taken from the instrument's pattern, not measured on this instrument.
    Pattern,
    /// Nobody measured it and no pattern has it: a wide guess by common practice.
    Assumed,
}

impl Origin {
    /// Whether a measurement on the bench could replace this value by a better one.
    pub fn could_be_measured(self) -> bool {
        matches!(self, Origin::ByEye | Origin::Pattern | Origin::Assumed)
    }
}

/// A value known to some accuracy: its best estimate and one standard deviation.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Known {
    /// What it is, in the words of the bench ("wall at the dent").
    pub name: Cow<'static, str>,
    /// Best estimate, in `unit`.
    pub value: f64,
    /// One standard deviation, in `unit`; zero where the value is exact by definition.
    pub sd: f64,
    /// Unit of `value` and `sd`.
    pub unit: Unit,
    /// Where it comes from.
    pub origin: Origin,
}

impl Known {
    /// A known value. `sd` is one standard deviation in the same unit.
    pub fn new(name: impl Into<Cow<'static, str>>, value: f64, sd: f64, unit: Unit, origin: Origin) -> Self {
        Self { name: name.into(), value, sd, unit, origin }
    }
    /// A value that is exact by definition.
    pub fn exact(name: impl Into<Cow<'static, str>>, value: f64, unit: Unit) -> Self {
        Self::new(name, value, 0.0, unit, Origin::Computed)
    }
    /// The same value under another name.
    #[must_use]
    pub fn named(mut self, name: impl Into<Cow<'static, str>>) -> Self {
        self.name = name.into();
        self
    }
    /// The same value known less well: the variances add.
    #[must_use]
    pub fn widened_by(mut self, sd: f64) -> Self {
        self.sd = self.sd.hypot(sd);
        self
    }
}
