//! Axes: from zero in even steps, or by the logarithm about one.

use super::rows::WORDS;
use crate::canvas::{Canvas, Pen};

/// Steps that a person reads at once.
const STEPS: [f64; 3] = [1.0, 2.0, 5.0];

/// The largest value that an axis from zero shows, with its step: at most so many steps, each 1, 2 or 5 times a power of ten.
pub(crate) fn even(most: f64, steps: f64) -> (f64, f64) {
    let most = if most.is_finite() && most > 0.0 { most } else { 1.0 };
    let steps = steps.max(1.0);
    let mut power = 10_f64.powf((most / steps).log10().floor());
    loop {
        for step in STEPS.map(|s| s * power) {
            if most / step <= steps + 1e-9 {
                return ((most / step - 1e-9).ceil() * step, step);
            }
        }
        power *= 10.0;
    }
}

/// An axis from zero between two places of the sheet.
#[derive(Clone, Copy)]
pub(super) struct Axis {
    pub(super) from_mm: f64,
    pub(super) to_mm: f64,
    pub(super) most: f64,
    pub(super) step: f64,
}

impl Axis {
    /// Where a value lies; what goes beyond the ends stays at them.
    pub(super) fn x(&self, value: f64) -> f64 {
        self.from_mm + (value / self.most).clamp(0.0, 1.0) * (self.to_mm - self.from_mm)
    }

    /// Draws its ticks through the rows from `top` to `bottom`, with their words below; returns the y under them.
    pub(super) fn draw(&self, canvas: &mut Canvas, top: f64, bottom: f64, words: &dyn Fn(f64) -> String) -> f64 {
        let mut value = 0.0;
        while value <= self.most + 1e-9 {
            let x = self.x(value);
            canvas.line((x, top), (x, bottom), if value > 0.0 { Pen::NARROW.dashed("0.3 1.2") } else { Pen::NARROW });
            under(canvas, x, bottom, &words(value));
            value += self.step;
        }
        bottom + 4.2
    }
}

/// Words under a tick, kept on the sheet.
pub(super) fn under(canvas: &mut Canvas, x: f64, bottom: f64, words: &str) {
    let half = WORDS.width_mm(words) / 2.0;
    canvas.text((x.min(canvas.width_mm - half).max(half), bottom + 3.6), words, WORDS.middle());
}

#[cfg(test)]
mod tests {
    use super::even;

    #[test]
    fn an_axis_ends_on_a_round_step() {
        assert_eq!(even(7.0, 5.0), (8.0, 2.0));
        assert_eq!(even(95.0, 5.0), (100.0, 20.0));
        assert_eq!(even(0.32, 5.0), (0.4, 0.1));
        assert_eq!(even(10.0, 5.0), (10.0, 2.0));
        assert_eq!(even(f64::NAN, 5.0).0, 1.0);
        assert_eq!([even(1000.0, 10.0).1, even(1500.0, 10.0).1, even(0.9, 3.0).1], [100.0, 200.0, 0.5]);
    }
}
