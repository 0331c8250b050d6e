//! Dents and sites for the tests.

use instrument::{Dent, Finish, Role, Shape, Site};
use metal::Alloy;
use units::{Known, Origin, Unit};

pub fn mm(name: &'static str, value: f64, sd: f64) -> Known {
    Known::new(name, value, sd, Unit::Mm, Origin::Measured)
}

/// A dent 2 mm deep, 16 mm along and 12 mm round the tube, everything measured.
pub fn dent() -> Dent {
    Dent {
        at_mm: Some(mm("station", 100.0, 2.0)),
        clock_deg: Some(Known::new("clock", 90.0, 5.0, Unit::Deg, Origin::Measured)),
        depth_mm: Some(mm("depth", 2.0, 0.1)),
        width_along_mm: Some(mm("width along", 16.0, 1.0)),
        width_across_mm: Some(mm("width across", 12.0, 1.0)),
        ..Dent::new("d", "r")
    }
}

/// A straight branch of yellow brass, half hard, bore 16 mm, wall 0.5 mm.
pub fn site() -> Site {
    Site {
        dent: "d".into(),
        run: "r".into(),
        role: Role::Branch,
        at_mm: mm("station", 100.0, 2.0),
        clock_deg: Some(Known::new("clock", 90.0, 5.0, Unit::Deg, Origin::Measured)),
        bore_mm: mm("bore", 16.0, 0.05),
        wall_mm: mm("wall", 0.5, 0.03),
        temper: Known::new("temper", 2.0, 0.5, Unit::NumbersHard, Origin::Pattern),
        alloy: Alloy::YellowBrass,
        finish: Finish::Raw,
        shape: Shape::Straight,
        taper_half_angle_deg: 0.0,
        under: vec![],
        fits: vec![],
        joints_near: vec![],
        red_rot: false,
        red_rot_through: None,
        season_cracking: false,
        crack_near: None,
    }
}
