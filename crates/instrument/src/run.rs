//! A run of tube.

use crate::{Axis, Finish, Profile, Role, RunId};
use metal::Alloy;
use serde::{Deserialize, Serialize};
use units::{Known, Unit};

/// A run of tube between two joints or openings.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Run {
    /// Its name in the survey.
    pub id: RunId,
    /// What the bench calls it ("first branch").
    pub name: String,
    /// What it does.
    pub role: Role,
    /// Its axis; the axis' length is the run's length.
    pub axis: Axis,
    /// Inside diameter along the run, mm.
    pub bore_mm: Profile,
    /// Wall thickness along the run, mm.
    pub wall_mm: Profile,
    /// What it is made of.
    pub alloy: Alloy,
    /// Temper along the run, Brown & Sharpe numbers hard.
    pub temper: Profile,
    /// What lies on its outside.
    pub finish: Finish,
    /// Whether somebody says that it may be beryllium copper: some bells and leadpipes are. The metal is reckoned as `alloy` all the same;
    /// the steps that heat it or work it off carry the caution.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub may_be_beryllium: bool,
}

impl Run {
    /// Length along the axis, mm.
    pub fn length_mm(&self) -> f64 {
        self.axis.length_mm()
    }

    /// Inside diameter at a station, mm.
    pub fn bore_at(&self, at_mm: f64) -> Known {
        known("bore", &self.bore_mm, at_mm, Unit::Mm)
    }

    /// Wall at a station, mm.
    pub fn wall_at(&self, at_mm: f64) -> Known {
        known("wall", &self.wall_mm, at_mm, Unit::Mm)
    }

    /// Temper at a station, Brown & Sharpe numbers hard.
    pub fn temper_at(&self, at_mm: f64) -> Known {
        known("temper", &self.temper, at_mm, Unit::NumbersHard)
    }

    /// Outside diameter at a station, mm.
    pub fn outside_diameter_at(&self, at_mm: f64) -> f64 {
        self.bore_mm.at(at_mm).value + 2.0 * self.wall_mm.at(at_mm).value
    }

    /// Half angle of the taper at a station, degrees, positive where the bore grows towards the bell.
    pub fn taper_half_angle_at(&self, at_mm: f64) -> f64 {
        (self.bore_mm.slope_at(at_mm) / 2.0).atan().to_degrees()
    }
}

fn known(name: &'static str, profile: &Profile, at_mm: f64, unit: Unit) -> Known {
    let p = profile.at(at_mm);
    Known::new(name, p.value, p.sd, unit, p.origin)
}
