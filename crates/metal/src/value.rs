//! A material value with its scatter.

use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use units::{Known, Origin, Unit};

/// A material value and its standard deviation, both in the unit that the field's name carries.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Value {
    /// Best estimate.
    pub value: f64,
    /// One standard deviation from one piece of metal to the next.
    pub sd: f64,
}

impl Value {
    /// A value with its standard deviation.
    pub const fn new(value: f64, sd: f64) -> Self {
        Self { value, sd }
    }

    /// The value as an input of a [`units::Figure`], marked as from a handbook.
    pub fn known(self, name: impl Into<Cow<'static, str>>, unit: Unit) -> Known {
        Known::new(name, self.value, self.sd, unit, Origin::Handbook)
    }
}
