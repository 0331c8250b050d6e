//! A tuning or valve slide: two outer legs that stand fast, and a crook with two inner legs that pulls out of them.

use super::builder::Builder;
use super::practice::{SLIDE_CLEARANCE_MM, ferrule_mm};
use super::tube::Tube;
use crate::{FitKind, Role};

/// Dimensions of a slide.
pub struct Slide<'a> {
    /// Its runs are called after it: `{id}-first-outer`, `-first-inner`, `-crook`, `-second-inner`, `-second-outer`.
    pub id: &'a str,
    /// Bore of the first and of the second leg, mm.
    pub bore_mm: (f64, f64),
    /// Length of the outer legs, mm.
    pub legs_mm: (f64, f64),
    /// Straight length on either side of the crook's bend, mm; may be nought.
    pub crook_straight_mm: f64,
    /// Radius of the crook, mm.
    pub crook_radius_mm: f64,
    /// Wall, mm.
    pub wall_mm: f64,
}

/// Outside diameter of an inner leg plus the clearance: bore of its outer leg.
pub fn outer_bore_mm(bore_mm: f64, wall_mm: f64) -> f64 {
    bore_mm + 2.0 * wall_mm + SLIDE_CLEARANCE_MM.0
}

impl Slide<'_> {
    /// The names of its first and last run.
    pub fn ends(&self) -> (String, String) {
        (format!("{}-first-outer", self.id), format!("{}-second-outer", self.id))
    }
}

impl Builder {
    /// Adds a slide's runs, joints, ferrules, brace and fits. Its outer legs still have to be joined to their neighbours.
    pub fn slide(&mut self, s: &Slide) {
        let named = |part: &str| format!("{}-{part}", s.id);
        let leg = |which: &str, bore: f64, length: f64| {
            let outer = Tube::new(named(&format!("{which}-outer")), Role::TuningSlideOuter)
                .straight(length)
                .bore(outer_bore_mm(bore, s.wall_mm), outer_bore_mm(bore, s.wall_mm))
                .wall(s.wall_mm);
            // The inner leg stops short of the bottom of its outer leg, where the next tube is slipped in.
            let inner = Tube::new(named(&format!("{which}-inner")), Role::TuningSlideInner)
                .straight(inner_mm(length))
                .bore(bore, bore)
                .wall(s.wall_mm);
            (outer, inner)
        };
        let (first_outer, first_inner) = leg("first", s.bore_mm.0, s.legs_mm.0);
        let (second_outer, second_inner) = leg("second", s.bore_mm.1, s.legs_mm.1);
        let mut crook = Tube::new(named("crook"), Role::TuningSlideCrook).bore(s.bore_mm.0, s.bore_mm.1).wall(s.wall_mm);
        crook = if s.crook_straight_mm > 0.0 {
            crook.straight(s.crook_straight_mm).bend(s.crook_radius_mm, 180.0).straight(s.crook_straight_mm)
        } else {
            crook.bend(s.crook_radius_mm, 180.0)
        };
        for tube in [first_outer, first_inner, crook, second_inner, second_outer] {
            self.add(tube);
        }
        let width = ferrule_mm(s.bore_mm.0).min(inner_mm(s.legs_mm.0.min(s.legs_mm.1)));
        self.slides(&named("first-outer"), &named("first-inner"), inner_mm(s.legs_mm.0));
        self.ferruled(&named("first-inner"), &named("crook"), width);
        self.ferruled(&named("crook"), &named("second-inner"), width);
        self.slides(&named("second-inner"), &named("second-outer"), inner_mm(s.legs_mm.1));
        for which in ["first", "second"] {
            self.fit(
                &named(&format!("{which}-leg")),
                FitKind::TuningSlide,
                &named(&format!("{which}-inner")),
                &named(&format!("{which}-outer")),
                SLIDE_CLEARANCE_MM,
            );
        }
        // Short legs carry each other by their casing; longer ones are tied.
        if s.legs_mm.0.min(s.legs_mm.1) >= 45.0 {
            self.brace(&named("brace"), &[(&named("first-outer"), 0.6, 0.0), (&named("second-outer"), 0.4, 0.0)]);
        }
    }
}

fn inner_mm(outer_mm: f64) -> f64 {
    if outer_mm > 24.0 { outer_mm - 8.0 } else { 0.75 * outer_mm }
}
