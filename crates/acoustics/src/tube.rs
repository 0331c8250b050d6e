//! A bore ready to be swept: cut, with its air, its losses and its end.

use crate::air::{Air, Gas};
use crate::bore::Bore;
use crate::losses::{Losses, Series};
use crate::radiation::{self, Radiation};
use crate::segments::{Cut, Segment, Waves};
use num_complex::Complex64 as C;

/// What is assumed of the sound.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Model {
    /// The air.
    pub air: Air,
    /// Losses at the wall.
    pub losses: Losses,
    /// The bell's end.
    pub radiation: Radiation,
    /// Form of the waves.
    pub waves: Waves,
    /// How finely the bore is cut.
    pub cut: Cut,
}

/// A bore ready to be swept.
#[derive(Clone, Debug)]
pub struct Tube {
    /// Its short cones, from the mouthpiece to the bell.
    pub segments: Vec<Segment>,
    /// The air.
    pub gas: Gas,
    /// Losses.
    pub losses: Losses,
    /// The bell's end.
    pub radiation: Radiation,
    /// Radius at the bell's end, m.
    pub end_radius: f64,
    /// Radius at the mouthpiece end, m.
    pub start_radius: f64,
    pub(crate) series: Series,
}

impl Tube {
    /// Cuts a bore for frequencies up to `highest_hz`.
    pub fn new(bore: &Bore, model: &Model, highest_hz: f64) -> Self {
        Self::cut_at(bore, model, highest_hz, &[])
    }

    /// As [`Tube::new`], with cuts at these stations, mm, too.
    pub fn cut_at(bore: &Bore, model: &Model, highest_hz: f64, at: &[f64]) -> Self {
        Self::in_gas(bore, model, model.air.gas(), highest_hz, at)
    }

    /// As [`Tube::cut_at`], in a gas of one's own instead of the model's air.
    pub fn in_gas(bore: &Bore, model: &Model, gas: Gas, highest_hz: f64, at: &[f64]) -> Self {
        let k = std::f64::consts::TAU * highest_hz / gas.speed;
        let end = |p: Option<&crate::bore::Point>| p.map_or(f64::NAN, |p| p.diameter_mm * 0.5e-3);
        Self {
            segments: bore.segments(model.waves, model.cut, k, at),
            series: Series::of(&gas),
            gas,
            losses: model.losses,
            radiation: model.radiation,
            end_radius: end(bore.points.last()),
            start_radius: end(bore.points.first()),
        }
    }

    /// ρc/S at the mouthpiece end, Pa s/m³: what an endless tube of that bore would show.
    pub fn wave_impedance(&self) -> f64 {
        self.gas.density * self.gas.speed / (std::f64::consts::PI * self.start_radius.powi(2))
    }

    /// Pressure and flow at the bell's end, up to a common factor.
    pub(crate) fn end_state(&self, hz: f64) -> (C, C) {
        match radiation::impedance(self.radiation, &self.gas, self.end_radius, hz) {
            Some(z) => (z, C::new(1.0, 0.0)),
            None => (C::new(1.0, 0.0), C::new(0.0, 0.0)),
        }
    }

    /// r = a √(ωρ/η) over a √f: what [`crate::losses`] asks for.
    pub(crate) fn wall_number(&self) -> f64 {
        (std::f64::consts::TAU * self.gas.density / self.gas.viscosity).sqrt()
    }
}
