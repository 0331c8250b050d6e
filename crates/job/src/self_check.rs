//! Published figures that the program is held to, worked again on the machine that it runs on: a table that was damaged, or a build that
//! computes otherwise, is told. The whole of them stand in each crate's `tests/published.rs`; these are one of each kind.

use dent::strain;
use metal::limit_load::{self, Width};
use metal::{Alloy, Filler, Temper};
use reach::way_force::{Carrier, Stretch, Way};
use units::ThreePoint;

/// A figure worked here beside the published one.
#[derive(Clone, Debug, PartialEq)]
pub struct SelfCheck {
    /// What it is of, with its unit.
    pub what: &'static str,
    /// Where the wanted figure comes from.
    pub source: &'static str,
    /// The published figure.
    pub wanted: f64,
    /// The figure as it is worked here.
    pub got: f64,
    /// How far they may lie apart.
    pub within: f64,
}

impl SelfCheck {
    /// Whether they agree.
    pub fn holds(&self) -> bool {
        (self.got - self.wanted).abs() <= self.within
    }
}

/// All of them.
pub fn self_checks() -> Vec<SelfCheck> {
    let check = |what, source, wanted: f64, got: f64, within: f64| SelfCheck { what, source, wanted, got, within };
    let brass = Alloy::YellowBrass;
    let turn = Stretch { length_mm: 50.0 * std::f64::consts::TAU, radius_mm: Some(50.0), bore_radius_mm: 10.0 };
    let times = quote::Times::of([ThreePoint::new(4.0, 10.0, 28.0); 4], 1.0);
    vec![
        check(
            "half hard yellow brass yields, N/mm²",
            "a strip mill's data sheet to ASTM B36",
            350.0,
            brass.yield_mpa(Temper(2.0)).value,
            0.0,
        ),
        check(
            "yellow brass conducts heat, W/(m K)",
            "a strip mill's data sheet to ASTM B36",
            121.0,
            brass.properties(Temper::ANNEALED).conductivity_w_mk.value,
            0.0,
        ),
        check("hard strip is rolled by, %", "ASTM B601, from memory", 37.1, 100.0 * Temper::HARD.reduction(), 0.1),
        check("tin–lead 63/37 melts at, °C", "ASTM B32, from memory", 183.0, Filler::Sn63Pb37.liquidus_degc(), 0.0),
        check("BAg-1 runs at, °C", "AWS A5.8, from memory", 618.0, Filler::Bag1.liquidus_degc(), 0.0),
        check(
            "plastic moment of 0.5 mm at 400 N/mm², N",
            "closed form σt²/4",
            25.0,
            limit_load::plastic_moment_n(400.0, 0.5, Width::Free),
            1e-9,
        ),
        check(
            "tip of a 10 mm rod 300 mm long under 100 N, mm",
            "closed form F l³/(3 E I)",
            8.731,
            limit_load::cantilever_deflection_mm(100.0, 300.0, 210e3, 10.0),
            0.001,
        ),
        check("a 20 mm tube of 0.5 mm flattened strains by", "ASME B31.8, Appendix R: t/D", 0.025, strain::across(0.5, 0.1, 0.0), 1e-12),
        check("equal strain both ways counts", "closed form, 2|ε|", 0.02, strain::effective(0.01, 0.01, 0.0), 1e-12),
        check(
            "a cable once round a post pulls harder by",
            "Euler–Eytelwein, closed form e^{μθ}",
            2.566_332_395,
            Way::new(vec![turn]).at_hand(Carrier::Pulled, 1.0, 0.15),
            1e-8,
        ),
        check("four steps of 12 min that go together deviate by, min", "closed form, PERT", 16.0, times.sd_min, 1e-9),
        check(
            "nine in ten of a normal distribution lie below",
            "tables of the normal distribution",
            1.281_552,
            quote::times::normal_quantile(0.9),
            1e-5,
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_published_figure_comes_again() {
        let all = self_checks();
        let lost: Vec<&SelfCheck> = all.iter().filter(|c| !c.holds()).collect();
        assert!(all.len() >= 12 && lost.is_empty(), "{lost:?}");
    }

    /// A figure that is off by more than it may be is told.
    #[test]
    fn a_wrong_figure_does_not_hold() {
        let check = SelfCheck { what: "", source: "", wanted: 183.0, got: 184.0, within: 0.5 };
        assert!(!check.holds() && !SelfCheck { got: f64::NAN, ..check }.holds());
    }
}
