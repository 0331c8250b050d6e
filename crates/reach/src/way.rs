//! How a method's force goes along the tube, as it is told: what the dent asks, what the hand gives, and what brings the tool back
//! where it sticks.

use serde::{Deserialize, Serialize};
use units::text::newtons;
use units::{Figure, Text, text};

/// What leads the force.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Leads {
    /// A straight rod that is pushed.
    PushRod,
    /// A flexible shaft that is pushed.
    Shaft,
    /// A cable that is pulled.
    Cable,
    /// A straight rod that pushes a column of driver balls round the bend.
    DriverBalls,
}

/// What draws the tool back.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drawn {
    /// Force at the hand that draws it back, N.
    pub hand_n: Figure,
    /// What hand, press, shaft or cord give there, N.
    pub limit_n: f64,
    /// It goes back the way that it came even where all goes well; otherwise it comes out at the far end, and goes back only where it
    /// sticks.
    pub must: bool,
    /// With what, and where it leads out.
    pub with: Text,
}

/// Of those tools that stick and cannot be drawn back, so many cost the part: the rest come out when the joint next to them is
/// opened. Common practice, no source.
pub const STUCK_SPOILS: f64 = 0.2;

/// How likely a force is more than a limit, 0 to 1: the force's own interval, its logarithm taken as normal.
fn over(force: &Figure, limit_n: f64) -> f64 {
    let sd = (force.high / force.value.max(1e-9)).max(1.0).ln() / units::figure::Z90;
    let room = (limit_n.max(1e-9) / force.value.max(1e-9)).ln();
    if sd <= 0.0 { f64::from(u8::from(room < 0.0)) } else { upper_tail(room / sd) }
}

impl Drawn {
    /// How likely it sticks for good, 0 to 1, where the tool is led in with `force` of `limit_n`. What comes out at the far end is
    /// drawn back only where the force was not enough: the same wall and the same grease make both hard, so that the less likely of
    /// both is taken.
    pub fn sticks(&self, force: &Figure, limit_n: f64) -> f64 {
        let back = over(&self.hand_n, self.limit_n);
        if self.must { back } else { back.min(over(force, limit_n)) }
    }

    /// In a sentence: what draws it back, or what it means that nothing does.
    pub fn words(&self) -> Text {
        let (asks, gives) = (newtons(self.hand_n.value), newtons(self.limit_n));
        let when = if self.must { "It has to come out the way that it went in" } else { "If it sticks" };
        if self.hand_n.value <= self.limit_n {
            text!("{}: {} pulls it back out with {} of {}.", when, self.with, asks, gives)
        } else {
            text!("{}: {} would have to give {} and gives {}. Have the joint next to it ready to be opened.", when, self.with, asks, gives)
        }
    }
}

/// How the force of a method goes along the tube.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WayForce {
    /// What leads it.
    pub by: Leads,
    /// Length from the dent to the hand's end, mm.
    pub length_mm: f64,
    /// Angle that it is led round, degrees, summed over all bends.
    pub turned_deg: f64,
    /// Axial force at the dent, N.
    pub dent_n: Figure,
    /// Greatest pressure on the wall of a bend on the way, N/mm; none where all is straight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub presses_n_per_mm: Option<f64>,
    /// A pushed shaft coils in the bore: a thinner one would coil more.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub coils: bool,
    /// What draws it back.
    pub back: Drawn,
}

/// Likelihood that a normal deviate is more than `z`. From memory: Abramowitz & Stegun 26.2.17 by way of 7.1.26, to 1.5e-7.
fn upper_tail(z: f64) -> f64 {
    let x = z.abs() / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.327_591_1 * x);
    let poly = t * (0.254_829_592 + t * (-0.284_496_736 + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
    let tail = 0.5 * poly * (-x * x).exp();
    if z >= 0.0 { tail } else { 1.0 - tail }
}

/// Pressure at which brass begins to yield under a wire rope that lies along it, over its yield stress: Hertz's greatest
/// pressure of a line contact at first yield, 1.67·Y (from memory: Johnson, Contact Mechanics, 1985, Tresca).
pub const FIRST_YIELD: f64 = 1.67;
/// Part of a wire rope's breaking load that a cable is used with. Common practice: a fifth.
const OF_BREAKING: f64 = 0.2;
/// Breaking load of a wire rope over the square of its diameter, N/mm². From memory of EN 12385-4, 6 × 19 with a fibre core: 0.33·1770
/// N/mm².
const ROPE_MPA: f64 = 0.33 * 1770.0;

/// Thickness of a wire rope that is said to bear so much, mm.
pub fn rope_mm(limit_n: f64) -> f64 {
    (limit_n.max(0.0) / (OF_BREAKING * ROPE_MPA)).sqrt()
}

/// Pressure a length from which a bare rope marks the wall that it lies on, N/mm: q = π·r·p²/E*, p = 1.67·Y (Hertz, line contact of a
/// cylinder of the rope's radius and a flat; closed form).
pub fn rope_marks_from_n_per_mm(rope_mm: f64, yield_mpa: f64, wall_e_mpa: f64) -> f64 {
    /// Poisson's ratio of both, about a third: 1 − ν².
    const PLANE: f64 = 0.9;
    let e = 1.0 / (PLANE / crate::way_force::WIRE_E_MPA + PLANE / wall_e_mpa.max(1.0));
    std::f64::consts::PI * 0.5 * rope_mm * (FIRST_YIELD * yield_mpa).powi(2) / e
}

/// The carrier's turn in words, with what it takes: "it is led round 393° of bends, which takes it from 308 N to 862 N".
pub fn led_round(by: Leads, turned_deg: f64, coils: bool, far: Option<&str>) -> Text {
    let turned = format!("{turned_deg:.0}");
    match by {
        Leads::Cable => text!(
            "the cable lies on the inside of {}° of bends on its way out at {}, and friction adds to the pull",
            turned,
            far.unwrap_or("the other end")
        ),
        Leads::DriverBalls => {
            text!("the driver balls push each other along the outside of {}° of bends, and each rubs", turned)
        }
        Leads::PushRod => text!("the rod rubs round {}° on its way in", turned),
        Leads::Shaft if coils => {
            text!("the shaft is pressed on the outside of {}° of bends and coils in the wide bore: both rub", turned)
        }
        Leads::Shaft => text!("the shaft is pressed on the outside of {}° of bends (between them it touches nothing) and rubs", turned),
    }
}

/// Which law a carrier's force is by.
pub fn formula(by: Leads) -> &'static str {
    match by {
        Leads::Cable => {
            "F(hand) = F(dent)·e^(μθ), F(dent) = F(wall)·part·[(tan α + μ)/(1 − μ tan α) + μ]; θ all bends from the dent to the hand"
        }
        Leads::DriverBalls => {
            "F(hand) from F(dent) = F(wall)·part·[(tan α + μ)/(1 − μ tan α) + μ]: times e^(μθ) over the bends, times 1 + 2 μ tan φ for each driver ball in a straight length, sin φ = (D − d)/d"
        }
        Leads::PushRod | Leads::Shaft => {
            "F(hand) from F(dent) = F(wall)·part·[(tan α + μ)/(1 − μ tan α) + μ]: times e^(μθ) over the bends; where it coils in the bore 1/F(dent) − 1/F(hand) = μ r x/(4 E I)"
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::{Source, Unit};

    fn figure(value: f64, high: f64) -> Figure {
        Figure::stated(value, value * value / high.max(1e-9), high, Unit::N, "stated", Source::common_practice("test"), &[])
    }

    fn drawn(value: f64, high: f64, limit_n: f64, must: bool) -> Drawn {
        Drawn { hand_n: figure(value, high), limit_n, must, with: "a second cord".into() }
    }

    /// Normal distribution: one in twenty lies beyond 1.6449; half beyond nought; 0.0227501 beyond 2.
    #[test]
    fn what_does_not_come_back() {
        assert!((upper_tail(1.644_853_6) - 0.05).abs() < 1e-6 && (upper_tail(0.0) - 0.5).abs() < 1e-6);
        assert!((upper_tail(2.0) - 0.022_750_1).abs() < 1e-6 && (upper_tail(-2.0) - 0.977_249_9).abs() < 1e-6);
        let easy = figure(10.0, 11.0);
        let sticks = |value, high, limit| drawn(value, high, limit, true).sticks(&easy, 1000.0);
        assert!((sticks(100.0, 150.0, 150.0) - 0.05).abs() < 1e-6 && (sticks(100.0, 150.0, 100.0) - 0.5).abs() < 1e-6);
        assert!(sticks(100.0, 150.0, 1000.0) < 1e-9 && sticks(100.0, 150.0, 10.0) > 0.999);
        assert!(sticks(100.0, 100.0, 110.0) == 0.0 && sticks(100.0, 100.0, 90.0) == 1.0);
        // What comes out at the far end goes back only where the pull was not enough.
        assert!(drawn(200.0, 250.0, 150.0, false).sticks(&easy, 1000.0) < 1e-9);
        assert!((drawn(200.0, 250.0, 150.0, false).sticks(&figure(100.0, 150.0), 150.0) - 0.05).abs() < 1e-6);
        assert!(
            drawn(100.0, 150.0, 150.0, true)
                .words()
                .metric()
                .contains("way that it went in: a second cord pulls it back out with 100 N of 150 N")
        );
        assert!(drawn(200.0, 250.0, 150.0, false).words().metric().starts_with("If it sticks: a second cord would have to give 200 N"));
        assert_eq!(STUCK_SPOILS, 0.2);
    }

    /// By hand: a cable for 900 N, a fifth of what breaks it: √(900·5/584.1) = 2.776 mm. On brass of 250 N/mm²: p = 417.5, E* =
    /// 1/(0.9/206000 + 0.9/112000) = 80619, q = π·1.388·417.5²/80619 = 9.43 N/mm.
    #[test]
    fn a_rope_on_brass_by_hand() {
        assert!((rope_mm(900.0) / 2.776 - 1.0).abs() < 1e-3);
        assert!((rope_marks_from_n_per_mm(2.776, 250.0, 112_000.0) / 9.43 - 1.0).abs() < 2e-3);
        // Johnson (from memory): first yield of a line contact at 1.67·Y.
        assert!((FIRST_YIELD - 1.67).abs() < 0.02);
    }
}
