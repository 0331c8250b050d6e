//! What of a torch's power enters the metal.

use units::Source;

/// Source of the part that enters.
pub const ENTERS_SOURCE: Source = Source::common_practice(
    "of a hand torch's power about a fifth enters a tube that the flame is led about, most goes past with the hot gas; known to a factor of about 1.8 (90 %), no source",
);

/// Part of a torch's power that enters the metal.
pub const ENTERS: f64 = 0.2;
/// Standard deviation of its logarithm: 90 % of cases lie between 0.11 and 0.36.
pub const ENTERS_LOG_SD: f64 = 0.36;

/// Power of a hand torch about which nothing is known, W: the middle (geometric) of a small gas torch of 0.5 kW and a large
/// one of 4.5 kW. Common practice, no source.
pub const ANY_TORCH_W: f64 = 1500.0;
/// Standard deviation of its logarithm: 90 % of hand torches lie between 0.5 and 4.5 kW.
pub const ANY_TORCH_LOG_SD: f64 = 0.67;

/// Heat that enters the metal, W, and the standard deviation of its logarithm; for a torch of unknown power too, wide.
pub fn into_metal_w(watts: Option<f64>) -> (f64, f64) {
    match watts.filter(|w| w.is_finite() && *w > 0.0) {
        Some(w) => (ENTERS * w, ENTERS_LOG_SD),
        None => (ENTERS * ANY_TORCH_W, ENTERS_LOG_SD.hypot(ANY_TORCH_LOG_SD)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fifth_enters_and_a_torch_without_watts_is_known_worse() {
        assert_eq!(into_metal_w(Some(2000.0)), (400.0, 0.36));
        let (w, sd) = into_metal_w(None);
        assert!((w - 300.0).abs() < 1e-9);
        // √(0.36² + 0.67²) = 0.7606.
        assert!((sd - 0.7606).abs() < 1e-4);
        for none in [0.0, -5.0, f64::NAN, f64::INFINITY] {
            assert_eq!(into_metal_w(Some(none)), into_metal_w(None));
        }
    }

    #[test]
    fn the_intervals_are_the_ones_that_are_said() {
        let z = 1.645_f64;
        assert!((ENTERS * (-z * ENTERS_LOG_SD).exp() - 0.11).abs() < 0.005 && (ENTERS * (z * ENTERS_LOG_SD).exp() - 0.36).abs() < 0.005);
        assert!((ANY_TORCH_W * (-z * ANY_TORCH_LOG_SD).exp() - 500.0).abs() < 10.0);
        assert!((ANY_TORCH_W * (z * ANY_TORCH_LOG_SD).exp() - 4500.0).abs() < 50.0);
    }
}
