//! What a force loses on its way along the tube, from the hand (or the press) to the dent: the one notion for whatever pulls
//! or pushes a tool round bends.
//!
//! **Pulled** (a cable, a cord, a shaft drawn back): it lies taut on the inside of each bend, presses on it with T/R a length
//! and slides: T grows by e^{μθ} over the angle θ that it is led round (Euler–Eytelwein, closed form). θ is summed over all bends
//! of all runs between the dent and the hand, each in its own plane: the whole curvature of the axis in space. A taut
//! cable cuts corners, so that the axis' angle is the most that it is led round.
//!
//! **Pushed** (a rod, a flexible shaft): in a bend it is pressed on the *outside* wall with F/R, and the same exponent holds; but it
//! lies there only in the bends. In a straight length it touches nothing until it buckles; from then on it coils in the
//! bore and presses on the wall with r·F²/(4EI) a length, r the room beside it (from memory: Lubinski, Althouse & Logan 1962; Mitchell
//! 1986, 1988), which gives dF/dx = μ·r·F²/(4EI), that is 1/F(dent) − 1/F(hand) = μ·r·x/(4EI) (closed form); where nothing is left
//! of the right side it locks, and no push gets through. In a bend it lies still on the wall up to F = 4EI/(rR): the load of
//! Dawson & Paslay (1984), 2√(EI·w/r), with the wall's pressure w = F/R for the weight (from memory: He & Kyllingstad 1995); there
//! the coil's pressure is F/R too, so that the force goes on without a step. Beyond, it coils in the bend as in a straight length.
//! The weight that would hold it down is left out: a tube is held at any slope.
//!
//! **Driver balls**: a column of balls that push each other. In a bend it lies on the outside like a pushed rod, ball by ball, and
//! the same exponent holds; in a straight bore of D balls of d stand zigzag, sin φ = (D − d)/d, each is wedged against the wall with 2F·tan φ,
//! and F grows by 1 + 2μ·tan φ a ball (closed form).
//!
//! Premises: sliding, not sticking by burrs or dry places; one friction all along ([`crate::drive_force::FRICTION`]); the mean bore of
//! each straight length (the integral above asks no more) and bend; in a bell's mouth the fingers lead the shaft. A ball that is only rolled to its place needs no force on the way.

use crate::tube::Tube;
use std::f64::consts::PI;

/// Part of a flexible shaft's round that is wire. Common practice, no source: layers of round wire on a core.
pub const WIRE_FILL: f64 = 0.75;
/// Strain that the wires of a flexible shaft bear without taking a set. From memory of EN 10270-1, patented spring wire of about 1 mm:
/// tensile about 2000 N/mm², three quarters of it elastic, E 206 000 N/mm².
pub const WIRE_STRAIN: f64 = 0.0073;
/// Elastic modulus of spring wire, N/mm². From memory of EN 10270-1.
pub const WIRE_E_MPA: f64 = 206_000.0;
/// How well a shaft's stiffness is known from its size and its tightest radius, one standard deviation of the whole. Own
/// judgment, no source: wires that rub on each other make it stiffer, a hollow core or finer wires softer.
pub const STIFFNESS_SD: f64 = 0.4;
/// Bore in which the fingers go along with what they push, mm, and how far they reach in: a bell's mouth. There nothing coils.
/// Common practice, no source.
pub const FINGERS_MM: (f64, f64) = (40.0, 180.0);
/// What coiling in the bore may make of a push at most, as a factor over the friction of the bends: nearer to where it locks, a little
/// more friction or a softer shaft locks it. Common practice, no source.
pub const MOST_COILED: f64 = 1.5;
/// A force beyond which a push has locked on the way, N: no shop has more.
pub const LOCKED_N: f64 = 1e6;

/// What leads a force along the tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Carrier {
    /// Taut: a cable, a cord, a shaft that is drawn back.
    Pulled,
    /// A column of balls of this diameter, mm, that push each other.
    Column {
        /// Diameter, mm.
        ball_mm: f64,
    },
    /// Pushed: a rod or a flexible shaft.
    Pushed {
        /// Its diameter, mm.
        diameter_mm: f64,
        /// Its bending stiffness EI, N mm².
        stiffness_nmm2: f64,
    },
}

impl Carrier {
    /// A solid steel rod that is pushed.
    pub fn rod(diameter_mm: f64) -> Self {
        Self::Pushed { diameter_mm, stiffness_nmm2: crate::rod_strength::ROD_E_MPA * PI * diameter_mm.powi(4) / 64.0 }
    }

    /// A flexible shaft of so many mm that goes round `least_radius_mm`.
    pub fn shaft(diameter_mm: f64, least_radius_mm: f64) -> Self {
        Self::Pushed { diameter_mm, stiffness_nmm2: shaft_stiffness_nmm2(diameter_mm, least_radius_mm) }
    }

    /// The same, `times` as stiff.
    pub fn stiffer(self, times: f64) -> Self {
        match self {
            Self::Pulled | Self::Column { .. } => self,
            Self::Pushed { diameter_mm, stiffness_nmm2 } => Self::Pushed { diameter_mm, stiffness_nmm2: stiffness_nmm2 * times.max(0.05) },
        }
    }
}

/// Bending stiffness of a flexible shaft, N mm², which no rack states: that of its wires side by side, as thick as they may be to go
/// round its tightest radius, d_w = 2Rε. n·E·π·d_w⁴/64 with n = fill·(d/d_w)² (own model: the wires slide on each other freely, so
/// that it is rather stiffer).
pub fn shaft_stiffness_nmm2(diameter_mm: f64, least_radius_mm: f64) -> f64 {
    let wire = (2.0 * least_radius_mm * WIRE_STRAIN).min(diameter_mm);
    WIRE_FILL * WIRE_E_MPA * PI / 64.0 * (diameter_mm * wire).powi(2)
}

/// A straight length or a bend on the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Length, mm.
    pub length_mm: f64,
    /// Centre-line radius; none where straight.
    pub radius_mm: Option<f64>,
    /// Mean bore, mm of radius; none where the fingers go along.
    pub bore_radius_mm: f64,
}

/// The way of a force, from the dent outwards.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Way {
    stretches: Vec<Stretch>,
}

/// Force that a coil of `times` = μ·r·x/(4EI) makes of a force: 1/F(dent) − 1/F(hand) = times. Locked where nothing is left.
fn coiled(force_n: f64, times: f64) -> f64 {
    let left = 1.0 - force_n * times;
    if left * LOCKED_N <= force_n { LOCKED_N } else { force_n / left }
}

/// Axial force up to which a rod of stiffness EI lies still on the outside of a bend, N: 4EI/(r·R).
pub fn lies_until_n(stiffness_nmm2: f64, room_mm: f64, radius_mm: f64) -> f64 {
    if room_mm > 0.0 { 4.0 * stiffness_nmm2 / (room_mm * radius_mm) } else { f64::INFINITY }
}

/// What a column of balls in a straight bore makes of a force, a ball: 1 + 2μ·tan φ, sin φ = (D − d)/d. Balls so small that they lie
/// more than 45° off each other are past the middle between two walls: they jam.
pub fn zigzag(ball_mm: f64, bore_mm: f64, friction: f64) -> f64 {
    let off = ((bore_mm - ball_mm) / ball_mm.max(1e-9)).max(0.0);
    if off >= std::f64::consts::FRAC_1_SQRT_2 { f64::INFINITY } else { 1.0 + 2.0 * friction * off.asin().tan() }
}

/// What a column of balls over a stretch makes of a force.
fn column(ball_mm: f64, s: &Stretch, friction: f64) -> f64 {
    // In a slight bend they stand zigzag as in a straight length.
    let wedged = zigzag(ball_mm, 2.0 * s.bore_radius_mm, friction).powf(s.length_mm / ball_mm);
    s.radius_mm.map_or(0.0, |r| (friction * s.length_mm / r).exp()).max(wedged)
}

/// Pressure on the wall of a rod that coils in a bore, N/mm: r·F²/(4EI).
pub fn coil_presses_n_per_mm(force_n: f64, stiffness_nmm2: f64, room_mm: f64) -> f64 {
    room_mm * force_n * force_n / (4.0 * stiffness_nmm2)
}

impl Way {
    /// From stretches, the one at the dent first.
    pub fn new(stretches: Vec<Stretch>) -> Self {
        Self { stretches }
    }

    /// From a place in a tube out to its mouth.
    pub fn out_of(tube: &Tube, from_mm: f64) -> Self {
        let fingers = tube.wide_until_mm(FINGERS_MM.0).min(FINGERS_MM.1);
        let mut stretches: Vec<Stretch> = tube
            .pieces_between(0.0, from_mm)
            .flat_map(|(a, b, radius_mm)| {
                let cut = fingers.clamp(a, b);
                [(a, cut, 0.0), (cut, b, tube.mean_radius_mm(cut, b))].map(|(a, b, bore_radius_mm)| Stretch {
                    length_mm: b - a,
                    radius_mm,
                    bore_radius_mm,
                })
            })
            .filter(|s| s.length_mm > 0.0)
            .collect();
        stretches.reverse();
        Self { stretches }
    }

    /// From a place in a tube to one nearer to its mouth, a straight length or more from it, where the hand's tool ends.
    pub fn between(tube: &Tube, from_mm: f64, to_mm: f64) -> Self {
        let mut way = Self::out_of(tube, from_mm);
        let mut left = (from_mm - to_mm).max(0.0);
        way.stretches.retain_mut(|s| {
            s.length_mm = s.length_mm.min(left);
            left -= s.length_mm;
            s.length_mm > 0.0
        });
        way
    }

    /// Length, mm.
    pub fn length_mm(&self) -> f64 {
        self.stretches.iter().map(|s| s.length_mm).sum()
    }

    /// The angle that it is led round, radians.
    pub fn turned_rad(&self) -> f64 {
        self.stretches.iter().map(|s| s.radius_mm.map_or(0.0, |r| s.length_mm / r)).sum()
    }

    /// Euler's load of the whole length, both ends hinged, π²EI/l²: below it a rod touches nothing in a straight bore (closed form).
    fn euler_n(&self, stiffness_nmm2: f64) -> f64 {
        PI.powi(2) * stiffness_nmm2 / self.length_mm().max(1.0).powi(2)
    }

    /// The force at the hand for one at the dent, N; [`LOCKED_N`] where it locks.
    pub fn at_hand(&self, carrier: Carrier, dent_n: f64, friction: f64) -> f64 {
        self.walk(carrier, dent_n, friction, |_, _| ())
    }

    /// The greatest pressure on the wall of a bend, N/mm, and the bend's radius; none where all is straight.
    pub fn presses(&self, carrier: Carrier, dent_n: f64, friction: f64) -> Option<(f64, f64)> {
        let mut most: Option<(f64, f64)> = None;
        self.walk(carrier, dent_n, friction, |s, f| {
            if let Some(radius) = s.radius_mm
                && most.is_none_or(|m| f / radius > m.0)
            {
                most = Some((f / radius, radius));
            }
        });
        most
    }

    fn walk(&self, carrier: Carrier, dent_n: f64, friction: f64, mut seen: impl FnMut(&Stretch, f64)) -> f64 {
        let mu = friction.max(0.0);
        let mut f = dent_n.max(0.0);
        for s in &self.stretches {
            f = match (carrier, s.radius_mm) {
                (Carrier::Pulled, None) => f,
                (Carrier::Pulled, Some(r)) => f * (mu * s.length_mm / r).exp(),
                (Carrier::Column { ball_mm }, _) => f * column(ball_mm, s, mu),
                (Carrier::Pushed { stiffness_nmm2, .. }, None) if f <= self.euler_n(stiffness_nmm2) => f,
                (Carrier::Pushed { diameter_mm, stiffness_nmm2 }, radius) => {
                    let room = (s.bore_radius_mm - 0.5 * diameter_mm).max(0.0);
                    let coil = mu * room / (4.0 * stiffness_nmm2);
                    let lies = radius.map_or(0.0, |r| lies_until_n(stiffness_nmm2, room, r));
                    match radius {
                        Some(r) if f < lies => {
                            // So far it lies on the wall; what is left of the bend it coils.
                            let on_wall = if mu > 0.0 && f > 0.0 { r / mu * (lies / f).ln() } else { f64::INFINITY };
                            if on_wall >= s.length_mm {
                                f * (mu * s.length_mm / r).exp()
                            } else {
                                coiled(lies, coil * (s.length_mm - on_wall))
                            }
                        }
                        _ => coiled(f, coil * s.length_mm),
                    }
                }
            }
            .min(LOCKED_N);
            seen(s, f);
        }
        f
    }

    /// The force that gets to the dent from one at the hand, N.
    pub fn at_dent(&self, carrier: Carrier, hand_n: f64, friction: f64) -> f64 {
        let mu = friction.max(0.0);
        let mut f = hand_n.max(0.0);
        for s in self.stretches.iter().rev() {
            f = match (carrier, s.radius_mm) {
                (Carrier::Pulled, None) => f,
                (Carrier::Pulled, Some(r)) => f * (-mu * s.length_mm / r).exp(),
                (Carrier::Column { ball_mm }, _) => f / column(ball_mm, s, mu),
                (Carrier::Pushed { diameter_mm, stiffness_nmm2 }, radius) => {
                    let room = (s.bore_radius_mm - 0.5 * diameter_mm).max(0.0);
                    let coil = mu * room / (4.0 * stiffness_nmm2);
                    let through = |f: f64, mm: f64| f / (1.0 + f * coil * mm);
                    match radius {
                        None => through(f, s.length_mm).max(f.min(self.euler_n(stiffness_nmm2))),
                        Some(r) => {
                            let lies = lies_until_n(stiffness_nmm2, room, r);
                            // So far it coils; from there on it lies on the wall.
                            let coils = if f > lies && coil > 0.0 { (1.0 / lies - 1.0 / f) / coil } else { 0.0 };
                            if f <= lies {
                                f * (-mu * s.length_mm / r).exp()
                            } else if coils >= s.length_mm || coil <= 0.0 {
                                through(f, s.length_mm)
                            } else {
                                lies * (-mu * (s.length_mm - coils) / r).exp()
                            }
                        }
                    }
                }
            };
        }
        f
    }

    /// The same, no nearer to locking than [`MOST_COILED`].
    pub fn trusted_at_dent(&self, carrier: Carrier, hand_n: f64, friction: f64) -> f64 {
        let all = self.at_dent(carrier, hand_n, friction);
        let near = |n: f64| self.at_hand(carrier, n, friction) > MOST_COILED * self.at_hand(Carrier::Pulled, n, friction);
        if !matches!(carrier, Carrier::Pushed { .. }) || !near(all) {
            return all;
        }
        let (mut lo, mut hi) = (0.0, all);
        for _ in 0..40 {
            let mid = 0.5 * (lo + hi);
            if near(mid) { hi = mid } else { lo = mid }
        }
        lo
    }

    /// Whether a push of so many newtons at the dent coils somewhere on the way.
    pub fn coils(&self, carrier: Carrier, dent_n: f64, friction: f64) -> bool {
        self.at_hand(carrier, dent_n, friction) > self.at_hand(Carrier::Pulled, dent_n, friction) * (1.0 + 1e-6)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bend(radius_mm: f64, turned_deg: f64, bore_radius_mm: f64) -> Stretch {
        Stretch { length_mm: radius_mm * turned_deg.to_radians(), radius_mm: Some(radius_mm), bore_radius_mm }
    }

    fn straight(length_mm: f64, bore_radius_mm: f64) -> Stretch {
        Stretch { length_mm, radius_mm: None, bore_radius_mm }
    }

    /// By hand: a shaft of 6 mm that goes round 45 mm: wires of 2·45·0.0073 = 0.657 mm, 0.75·206000·π/64·(6·0.657)² = 117 900 N mm².
    /// A shaft whose wire would be thicker than itself is a solid wire.
    #[test]
    fn a_shaft_s_stiffness_by_hand() {
        assert!((shaft_stiffness_nmm2(6.0, 45.0) / 117_860.0 - 1.0).abs() < 1e-3);
        let solid = 0.75 * 206_000.0 * PI * 2f64.powi(4) / 64.0;
        assert!((shaft_stiffness_nmm2(2.0, 1e4) / solid - 1.0).abs() < 1e-9);
    }

    /// EN 10270-1 (from memory): patented wire of 1 mm, tensile 1980 to 2220 N/mm² (SM), E 206 000; elastic to about three quarters.
    /// Round wires that lie in a plane without gaps fill π/4 (closed form): wound in layers a little less.
    #[test]
    fn the_wire_is_the_standard_s() {
        assert!((WIRE_E_MPA / 206_000.0 - 1.0).abs() < 0.02);
        assert!((0.70 * 1980.0..0.80 * 2220.0).contains(&(WIRE_STRAIN * WIRE_E_MPA)));
        assert!((0.70..PI / 4.0).contains(&WIRE_FILL));
        assert!((0.3..=0.5).contains(&STIFFNESS_SD) && LOCKED_N == 1e6 && FINGERS_MM == (40.0, 180.0));
    }

    /// What goes in comes out: the inverse, over lying, coiling and straight, rods and shafts.
    #[test]
    fn at_dent_is_the_inverse() {
        let way = Way::new(vec![straight(120.0, 20.0), bend(80.0, 180.0, 15.0), straight(60.0, 12.0), bend(60.0, 90.0, 30.0)]);
        for carrier in [Carrier::Pulled, Carrier::rod(8.0), Carrier::shaft(6.0, 45.0), Carrier::shaft(12.0, 72.0)] {
            for dent_n in [1.0, 20.0, 90.0, 150.0, 400.0] {
                let hand = way.at_hand(carrier, dent_n, 0.15);
                if hand < LOCKED_N {
                    let back = way.at_dent(carrier, hand, 0.15);
                    assert!((back / dent_n - 1.0).abs() < 1e-9 || way.at_hand(carrier, back, 0.15) <= hand, "{carrier:?} {dent_n} {back}");
                }
                assert!(way.at_hand(carrier, way.at_dent(carrier, dent_n, 0.15), 0.15) <= dent_n * (1.0 + 1e-9), "{carrier:?} {dent_n}");
            }
        }
    }

    /// By hand: balls of 10 mm in a bore of 11 mm: sin φ = 0.1, tan φ = 0.1005, 1 + 2·0.15·0.1005 = 1.03015 a ball; over 50 mm
    /// 1.03015⁵ = 1.1601. In a bend the exponent alone. Balls that fill the bore add nothing in a straight length; those that lie
    /// 45° off each other jam.
    #[test]
    fn driver_balls_by_hand() {
        assert!((zigzag(10.0, 11.0, 0.15) - 1.03015).abs() < 1e-5 && zigzag(10.0, 10.0, 0.15) == 1.0);
        assert!(zigzag(10.0, 17.08, 0.15).is_infinite() && zigzag(10.0, 17.05, 0.15).is_finite());
        let column = Carrier::Column { ball_mm: 10.0 };
        let leg = Way::new(vec![straight(50.0, 5.5)]);
        assert!((leg.at_hand(column, 100.0, 0.15) - 116.01).abs() < 0.01 && (leg.at_dent(column, 116.01, 0.15) - 100.0).abs() < 0.01);
        let crook = Way::new(vec![bend(15.0, 180.0, 5.5)]);
        assert!((crook.at_hand(column, 100.0, 0.15) / crook.at_hand(Carrier::Pulled, 100.0, 0.15) - 1.0).abs() < 1e-12);
        assert_eq!(Way::new(vec![straight(50.0, 9.0)]).at_hand(column, 100.0, 0.15), LOCKED_N);
    }

    /// By hand: a coil of 1/F(dent) − 1/F(hand) = c makes 1.5 of a push where F·c = 1/3. A shaft of 1.2e5 N mm² over 500 mm with 6 mm of
    /// room: c = 0.15·6·500/(4·1.2e5) = 9.375e-4: 355.6 N, and 533.3 N at the hand; with less at hand all of it is trusted.
    #[test]
    fn no_push_near_to_where_it_locks() {
        let (way, shaft) = (Way::new(vec![straight(500.0, 9.0)]), Carrier::Pushed { diameter_mm: 6.0, stiffness_nmm2: 1.2e5 });
        assert!((way.trusted_at_dent(shaft, 5000.0, 0.15) / 355.56 - 1.0).abs() < 1e-4);
        assert!(way.trusted_at_dent(shaft, 500.0, 0.15) == way.at_dent(shaft, 500.0, 0.15));
        assert!(way.trusted_at_dent(Carrier::Pulled, 5000.0, 0.15) == 5000.0);
    }

    /// A rod below Euler's load touches nothing in a straight bore; beyond it rubs.
    #[test]
    fn a_straight_push_loses_nothing_until_it_buckles() {
        let way = Way::new(vec![straight(600.0, 12.0)]);
        // 4 mm of steel over 600 mm: I = 12.566 mm⁴, π²·210000·12.566/360000 = 72.3 N.
        let rod = Carrier::rod(4.0);
        assert_eq!(way.at_hand(rod, 72.0, 0.15), 72.0);
        assert!(way.at_hand(rod, 73.0, 0.15) > 73.0);
        // μ·r·x/(4EI) = 0.15·10·600/(4·2.6389e6) = 8.526e-5; 1/(1/200 − 8.526e-5) = 203.47.
        assert!((way.at_hand(rod, 200.0, 0.15) / 203.47 - 1.0).abs() < 1e-4);
        assert!(way.presses(rod, 200.0, 0.15).is_none());
    }
}
