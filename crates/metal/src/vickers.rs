//! Vickers hardness and temper, both ways.
//!
//! Tabor's relation: Vickers hardness (kgf/mm²) is three times the flow stress after a further strain of 0.08. Source: Tabor,
//! The Hardness of Metals (1951), from memory. The flow stress comes from [`Curve`], so that hardness and strength cannot
//! disagree. The hardness ranges of EN 1652 hold it to account in `tests/published.rs`.

use crate::{Alloy, Temper, Value, hardening::Curve};
use roots::{SimpleConvergency, find_root_brent};
use units::Source;

/// Source of [`vickers`] and [`Temper::from_vickers`].
pub const TABOR: Source = Source::from_memory("Tabor, The Hardness of Metals (1951): HV = 3 σ(ε_p + 0.08)/9.807");

/// Scatter of Tabor's factor and of the strength behind it, as a part of the hardness (common practice).
const SCATTER: f64 = 0.10;

/// Vickers hardness to be expected of an alloy at a temper.
pub fn vickers(alloy: Alloy, temper: Temper) -> Value {
    let hv = 3.0 * Curve::fit(alloy, temper).stress_mpa(0.08) / 9.806_65;
    Value::new(hv, SCATTER * hv)
}

/// A temper read from a hardness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FromVickers {
    /// Temper.
    pub temper: Temper,
    /// Its standard deviation, numbers hard.
    pub sd: f64,
    /// The hardness lies outside what this alloy can have (by more than its scatter): wrong alloy, plate, or a bad reading.
    pub off_scale: bool,
}

impl Temper {
    /// The temper of an alloy that has a measured Vickers hardness (`hv`, with its own standard deviation). None where the
    /// reading is not a positive number.
    pub fn from_vickers(alloy: Alloy, hv: Value) -> Option<FromVickers> {
        if !(hv.value > 0.0 && hv.value.is_finite() && hv.sd >= 0.0 && hv.sd.is_finite()) {
            return None;
        }
        let (soft, spring) = (vickers(alloy, Temper::ANNEALED).value, vickers(alloy, Temper::SPRING).value);
        let invert = |h: f64| {
            let mut convergency = SimpleConvergency { eps: 1e-6, max_iter: 60 };
            let h = h.clamp(soft, spring);
            find_root_brent(0.0, 8.0, |n| vickers(alloy, Temper(n)).value - h, &mut convergency).unwrap_or(if h <= soft {
                0.0
            } else {
                8.0
            })
        };
        let doubt = hv.sd.hypot(SCATTER * hv.value);
        let n = invert(hv.value);
        // At the ends of the scale one side is cut off, so take the longer side.
        let sd = (invert(hv.value + doubt) - n).max(n - invert(hv.value - doubt)).max(0.1);
        let off_scale = hv.value < soft - 2.0 * doubt || hv.value > spring + 2.0 * doubt;
        Some(FromVickers { temper: Temper(n), sd, off_scale })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back() {
        for alloy in Alloy::ALL {
            for n in [0.5, 1.0, 2.0, 3.3, 4.0, 6.0] {
                let hv = vickers(alloy, Temper(n)).value;
                let back = Temper::from_vickers(alloy, Value::new(hv, 2.0)).unwrap();
                assert!((back.temper.0 - n).abs() < 1e-3 && back.sd > 0.0 && !back.off_scale, "{alloy:?} {n} {back:?}");
            }
        }
    }

    #[test]
    fn a_reading_that_cannot_be_is_said_to_be_so() {
        assert!(Temper::from_vickers(Alloy::YellowBrass, Value::new(800.0, 10.0)).unwrap().off_scale);
        assert!(Temper::from_vickers(Alloy::YellowBrass, Value::new(f64::NAN, 1.0)).is_none());
        assert!(Temper::from_vickers(Alloy::YellowBrass, Value::new(-5.0, 1.0)).is_none());
    }

    #[test]
    fn hardness_rises_with_temper() {
        for alloy in Alloy::ALL {
            for i in 0..40 {
                let (a, b) = (f64::from(i) / 5.0, f64::from(i + 1) / 5.0);
                assert!(vickers(alloy, Temper(b)).value > vickers(alloy, Temper(a)).value, "{alloy:?} {a}");
            }
        }
    }
}
