//! A set of valves: casings, pistons or rotors, the tubes between them, knuckles, and a slide for each valve.

use super::builder::Builder;
use super::practice::{VALVE_CLEARANCE_MM, ferrule_mm};
use super::slide::Slide;
use super::tube::Tube;
use crate::{End, FitKind, Role};
use std::f64::consts::PI;

/// What turns the air.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Machine {
    Piston,
    Rotor,
}

/// A valve and its loop.
#[derive(Clone, Copy)]
pub struct Valve<'a> {
    /// `first`, `second` …
    pub ordinal: &'a str,
    /// By how many half tones it lowers the instrument.
    pub half_tones: i32,
    /// Radius of its slide's crook, mm.
    pub crook_radius_mm: f64,
    /// Angle of its knuckles, degrees.
    pub knuckle_deg: f64,
}

/// A set of valves.
pub struct Valves<'a> {
    pub machine: Machine,
    /// In the order in which the air meets them.
    pub valves: &'a [Valve<'a>],
    /// Length of the instrument's open tube, mm: it decides the loops.
    pub open_mm: f64,
    /// Bore through the valves, mm.
    pub bore_mm: f64,
    pub wall_mm: f64,
    pub casing_bore_mm: f64,
    pub casing_length_mm: f64,
    pub casing_wall_mm: f64,
    /// Length of the tubes between casings, mm.
    pub between_mm: f64,
    /// No slide's leg is longer; what is left of a loop goes into a bent tube before the slide, mm.
    pub longest_leg_mm: f64,
}

/// Length of a valve's loop, mm: equal temperament (C), open tube × (2^(n/12) − 1).
pub fn loop_mm(open_mm: f64, half_tones: i32) -> f64 {
    open_mm * ((f64::from(half_tones) / 12.0).exp2() - 1.0)
}

impl Valves<'_> {
    /// The casing of a valve.
    pub fn casing(ordinal: &str) -> String {
        format!("{ordinal}-valve-casing")
    }
}

impl Builder {
    /// Adds the casings, pistons, the tubes between them and each valve's loop. The tube before and behind the set still
    /// has to be joined with [`Builder::enters_casing`] and [`Builder::leaves_casing`].
    pub fn valves(&mut self, v: &Valves) {
        for (i, valve) in v.valves.iter().enumerate() {
            let casing = Valves::casing(valve.ordinal);
            self.casing(v, valve.ordinal);
            if let Some(before) = i.checked_sub(1).map(|b| &v.valves[b]) {
                let between = format!("{}-to-{}-knuckle", before.ordinal, valve.ordinal);
                self.add(Tube::new(between.as_str(), Role::Knuckle).straight(v.between_mm).bore(v.bore_mm, v.bore_mm).wall(v.wall_mm));
                self.leaves_casing(&Valves::casing(before.ordinal), &between, End::Start);
                self.enters_casing(&between, &casing, End::Start);
            }
            self.valve_loop(v, valve, &format!("{}-slide", valve.ordinal), loop_mm(v.open_mm, valve.half_tones));
        }
    }

    /// A casing and what moves in it.
    pub fn casing(&mut self, v: &Valves, ordinal: &str) {
        let (casing, inner) = (Valves::casing(ordinal), v.casing_bore_mm - VALVE_CLEARANCE_MM.0);
        let (kind, name, wall) = match v.machine {
            Machine::Piston => (FitKind::PistonInCasing, format!("{ordinal}-valve-piston"), 0.5),
            Machine::Rotor => (FitKind::RotorInCasing, format!("{ordinal}-valve-rotor"), 2.0),
        };
        self.add(
            Tube::new(casing.as_str(), Role::Casing)
                .straight(v.casing_length_mm)
                .bore(v.casing_bore_mm, v.casing_bore_mm)
                .wall(v.casing_wall_mm),
        );
        self.add(
            Tube::new(name.as_str(), Role::Piston)
                .straight(0.6 * v.casing_length_mm)
                .bore(inner - 2.0 * wall, inner - 2.0 * wall)
                .wall(wall),
        );
        self.fit(&format!("{ordinal}-valve"), kind, &name, &casing, VALVE_CLEARANCE_MM);
    }

    /// The loop of a valve: knuckle, for a long loop a bent tube, slide, knuckle.
    pub fn valve_loop(&mut self, v: &Valves, valve: &Valve, id: &str, length_mm: f64) {
        let casing = Valves::casing(valve.ordinal);
        let (out, back) = (format!("{id}-first-knuckle"), format!("{id}-second-knuckle"));
        let knuckle = |id: &str| {
            Tube::new(id, Role::Knuckle)
                .straight(0.3 * v.bore_mm)
                .bend(1.3 * v.bore_mm, valve.knuckle_deg)
                .bore(v.bore_mm, v.bore_mm)
                .wall(v.wall_mm)
        };
        let knuckle_mm = 0.3 * v.bore_mm + 1.3 * v.bore_mm * valve.knuckle_deg.to_radians();
        let crook_mm = PI * valve.crook_radius_mm;
        let legs_mm = length_mm - 2.0 * knuckle_mm - crook_mm;
        let bent_mm = legs_mm - 2.0 * v.longest_leg_mm;
        // A bent tube needs room for its bend; what is too short for one stays in the legs.
        let radius_mm = 1.6 * valve.crook_radius_mm;
        let bent = bent_mm > 1.3 * PI * radius_mm;
        let leg = if bent { v.longest_leg_mm } else { legs_mm / 2.0 };
        let slide = Slide {
            id,
            bore_mm: (v.bore_mm, v.bore_mm),
            legs_mm: (leg, leg),
            crook_straight_mm: 0.0,
            crook_radius_mm: valve.crook_radius_mm,
            wall_mm: v.wall_mm,
        };
        let width = ferrule_mm(v.bore_mm).min(leg);
        self.add(knuckle(&out));
        self.slide(&slide);
        self.add(knuckle(&back));
        let (first, second) = slide.ends();
        self.leaves_casing(&casing, &out, End::Finish);
        if bent {
            let tube = format!("{id}-loop");
            let straight = (bent_mm - PI * radius_mm) / 2.0;
            self.add(
                Tube::new(tube.as_str(), Role::Tube)
                    .straight(straight)
                    .bend(radius_mm, 180.0)
                    .straight(straight)
                    .bore(v.bore_mm, v.bore_mm)
                    .wall(v.wall_mm),
            );
            self.ferruled(&out, &tube, width);
            self.ferruled(&tube, &first, width);
            self.brace(&format!("{tube}-brace"), &[(&tube, 0.8, 0.0), (&first, 0.5, 180.0)]);
        } else {
            self.ferruled(&out, &first, width);
        }
        self.ferruled(&second, &back, width);
        self.enters_casing(&back, &casing, End::Finish);
    }
}
