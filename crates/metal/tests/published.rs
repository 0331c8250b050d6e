//! Every published figure that this crate is held to, its source beside it.
//!
//! Ranks: (P) published and quoted as read; (C) closed form; (M) from memory of a named publication; (T) common practice.

use metal::bend_table::Way;
use metal::ductility::Kind;
use metal::hardening::{self, Curve};
use metal::heat;
use metal::limit_load::{self, Width};
use metal::springback::{self, Bending};
use metal::two_sheets::{Bond, Sheet, limit_load_times, springs_times};
use metal::{Alloy, Filler, Temper, Value, anneal, ductility, vickers};

fn near(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!((got - want).abs() <= tolerance, "{what}: got {got}, want {want} ± {tolerance}");
}

// ---- Alloys ----

/// (P) C26000 strip, a strip mill's data sheet to ASTM B36.
#[test]
fn yellow_brass_as_published() {
    let a = Alloy::YellowBrass;
    let p = a.properties(Temper::ANNEALED);
    near(p.e_mpa.value, 112e3, 0.0, "E, N/mm²");
    near(p.conductivity_w_mk.value, 121.0, 0.0, "conductivity, W/(m K)");
    near(p.density_kg_m3.value, 8530.0, 0.0, "density, kg/m³");
    near(p.solidus_degc.value, 916.0, 0.0, "melting begins, °C");
    near(p.liquidus_degc.value, 954.0, 0.0, "melting ends, °C");
    // Temper, tensile limits N/mm², yield N/mm², elongation % in 51 mm.
    for (n, low, high, y, e) in [
        (0.0, 310.0, 420.0, 145.0, 53.0),
        (1.0, 340.0, 405.0, 230.0, 46.0),
        (2.0, 395.0, 460.0, 350.0, 30.0),
        (3.0, 440.0, 510.0, 425.0, 16.0),
        (4.0, 490.0, 560.0, 495.0, 10.0),
        (6.0, 570.0, 635.0, 570.0, 3.0),
        (8.0, 625.0, 690.0, 595.0, 1.0),
    ] {
        let t = Temper(n);
        near(a.yield_mpa(t).value, y, 1e-9, "yield");
        near(a.elongation(t).value, e / 100.0, 1e-12, "elongation");
        let tensile = a.tensile_mpa(t);
        near(tensile.value - 2.0 * tensile.sd, low, 1e-9, "lower tensile limit");
        near(tensile.value + 2.0 * tensile.sd, high, 1e-9, "upper tensile limit");
    }
}

/// (P) C22000 strip, a metals stockist's limits table to ASTM B36: yield ksi / elongation %.
#[test]
fn rose_brass_as_published() {
    for (n, ksi, e) in [(0.0, 12.0, 47.0), (1.0, 33.0, 27.0), (2.0, 47.0, 12.0), (3.0, 54.0, 6.0), (4.0, 58.0, 4.0), (6.0, 63.0, 2.0)] {
        near(Alloy::RoseBrass.yield_mpa(Temper(n)).value, ksi * 6.894_757, 1e-6, "yield");
        near(Alloy::RoseBrass.elongation(Temper(n)).value, e / 100.0, 1e-12, "elongation");
    }
}

/// (M) C23000 and C75200, ASM Handbook vol. 2.
#[test]
fn gold_brass_and_nickel_silver_from_memory() {
    for (alloy, n, y, e) in [
        (Alloy::GoldBrass, 0.0, 70.0, 47.0),
        (Alloy::GoldBrass, 2.0, 340.0, 12.0),
        (Alloy::GoldBrass, 4.0, 395.0, 5.0),
        (Alloy::NickelSilver, 0.0, 170.0, 37.0),
        (Alloy::NickelSilver, 1.0, 345.0, 20.0),
        (Alloy::NickelSilver, 2.0, 427.0, 8.0),
        (Alloy::NickelSilver, 4.0, 510.0, 3.0),
    ] {
        near(alloy.yield_mpa(Temper(n)).value, y, 1e-9, "yield");
        near(alloy.elongation(Temper(n)).value, e / 100.0, 1e-12, "elongation");
    }
    near(Alloy::NickelSilver.physical().e_mpa.value, 125e3, 0.0, "E");
    near(Alloy::NickelSilver.physical().conductivity_w_mk.value, 33.0, 0.0, "conductivity");
}

/// (M) Annealing ranges, ASM Handbook vol. 4.
#[test]
fn annealing_ranges() {
    for (alloy, low, high) in [(Alloy::YellowBrass, 425.0, 750.0), (Alloy::RoseBrass, 425.0, 800.0), (Alloy::NickelSilver, 600.0, 815.0)] {
        near(alloy.physical().anneal_low_degc.value, low, 0.0, "low");
        near(alloy.physical().anneal_high_degc.value, high, 0.0, "high");
        // The range is that of furnace anneals of about an hour: its lower end must soften hard metal through.
        assert!(anneal::recrystallised_fraction(alloy, Temper::HARD, low, 3600.0) > 0.99);
        // (M) ASM Handbook vol. 4: stress relief of 1 h at 260 °C leaves the temper as it is.
        assert!(anneal::recrystallised_fraction(alloy, Temper::HARD, 260.0, 3600.0) < 0.05);
    }
}

/// (M) Half of hard (37 % rolled) metal recrystallises in half an hour between the recrystallisation temperature of the
/// ASM Handbook, vol. 2 (C26000 300 °C, C23000 350, C22000 370), and 60 °C above it: for yellow brass that holds the middle of the
/// softening curve of Sachs & Van Horn, Practical Metallurgy (1940), near 350 °C.
#[test]
fn half_in_half_an_hour() {
    for (alloy, book) in [(Alloy::YellowBrass, 300.0), (Alloy::GoldBrass, 350.0), (Alloy::RoseBrass, 370.0)] {
        let x = |degc: f64| anneal::recrystallised_fraction(alloy, Temper::HARD, degc, 1800.0);
        assert!(x(book) < 0.5 && x(book + 60.0) > 0.5, "{alloy:?}: {} {}", x(book), x(book + 60.0));
    }
    // The range's lower end of nickel silver (600 °C): half an hour there softens it through, 400 °C hardly touches it.
    let x = |degc: f64| anneal::recrystallised_fraction(Alloy::NickelSilver, Temper::HARD, degc, 1800.0);
    assert!(x(400.0) < 0.05 && x(600.0) > 0.99, "{} {}", x(400.0), x(600.0));
}

/// (M) Burke's micrographs in Callister, Materials Science and Engineering: 70/30 brass rolled by 33 % and held at
/// 580 °C: 3 s recrystallisation has begun, 4 s part of the grains are new, 8 s it is complete. About a second of it is heating up.
#[test]
fn burke_s_micrographs() {
    // 33 %: ln(1/0.67)/ln(1/0.8905) = 3.45 numbers hard (C).
    let rolled = Temper(0.67_f64.ln() / Temper::STEP.ln());
    let x = |seconds: f64| anneal::recrystallised_fraction(Alloy::YellowBrass, rolled, 580.0, seconds);
    assert!((0.02..0.6).contains(&x(3.0 - 1.0)), "begun: {}", x(2.0));
    assert!((0.2..0.8).contains(&x(4.0 - 1.0)), "part: {}", x(3.0));
    assert!(x(8.0) > 0.95, "complete: {}", x(8.0));
}

/// (M) Avrami exponents of recrystallising rolled metals lie between 1 and 2 (Humphreys & Hatherly, Recrystallization and Related Annealing
/// Phenomena): slope of ln(−ln(1 − X)) over ln t, measured between half the half-way time and twice it.
#[test]
fn avrami_exponent() {
    let t = 3600.0;
    let degc = anneal::half_in_an_hour_degc(Alloy::YellowBrass, Temper::HARD);
    let y = |seconds: f64| (-(-anneal::recrystallised_fraction(Alloy::YellowBrass, Temper::HARD, degc, seconds)).ln_1p()).ln();
    let slope = (y(2.0 * t) - y(0.5 * t)) / 4.0_f64.ln();
    assert!((1.0..=2.0).contains(&slope), "{slope}");
}

/// (P) J. Korean Inst. Met. Mater.: 70/30 brass after 33–55 % cold work, 30 min at 600 °C: grain 0.035–0.050 mm.
#[test]
fn grain_after_half_an_hour_at_600() {
    for rolled in [0.33_f64, 0.55] {
        let temper = Temper((1.0 - rolled).ln() / Temper::STEP.ln());
        let a = anneal::anneal(Alloy::YellowBrass, temper, 600.0, 1800.0);
        assert!(a.recrystallised > 0.999 && a.between.0 > 0.99, "{a:?}");
        assert!((0.035..=0.050).contains(&a.grain_mm), "{}", a.grain_mm);
    }
    // (M) ASTM E112 and the nominal anneals of cartridge brass: a fine drawing grain, 0.015 to 0.035 mm, comes of 450 to 525 °C in an
    // hour; 0.070 to 0.150 mm, orange peel, of 700 to 750 °C.
    for (degc, low, high) in [(500.0, 0.015, 0.035), (725.0, 0.070, 0.150)] {
        let grain = anneal::grain_mm(degc, 3600.0);
        assert!((low..=high).contains(&grain), "{degc}: {grain}");
    }
    // (M) Zinc moves in α-brass of 31 % zinc with 40.7 kcal/mol (Hino, Tomizuka & Wert, Acta Met. 5, 1957); 1 kcal is 4.184 kJ (C). Fourth
    // root of the rate: Q = 4 R ln(d₂/d₁)/(1/T₁ − 1/T₂).
    let rise = (anneal::grain_mm(700.0, 600.0) / anneal::grain_mm(500.0, 600.0)).ln();
    near(4.0 * 8.314_46 * rise / (1.0 / 773.15 - 1.0 / 973.15), 40.7 * 4184.0, 4000.0, "activation energy of zinc in brass");
    // A flame of 40 s leaves it finer than an hour does at the same heat: (1/90)^¼ (C).
    near(anneal::grain_mm(560.0, 40.0) / anneal::grain_mm(560.0, 3600.0), 0.3247, 0.001, "fourth root of time");
}

/// (T) The order that must hold at equal temper: nickel silver harder than yellow brass, yellow brass harder than rose brass.
#[test]
fn nickel_silver_over_yellow_over_rose() {
    for i in 0..=80 {
        let t = Temper(f64::from(i) / 10.0);
        let [n, y, r] = [Alloy::NickelSilver, Alloy::YellowBrass, Alloy::RoseBrass].map(|a| a.yield_mpa(t).value);
        assert!(n > y && y > r, "yield at {t:?}: {n} {y} {r}");
        let [n, y, r] = [Alloy::NickelSilver, Alloy::YellowBrass, Alloy::RoseBrass].map(|a| vickers::vickers(a, t).value);
        assert!(n > y && y > r, "Vickers at {t:?}: {n} {y} {r}");
    }
}

// ---- Tempers ----

/// (M) Reduction by rolling of the named tempers, ASTM B601: 10.9, 20.7, 29.4, 37.1, 50.1, 60.5 %.
#[test]
fn reductions_of_the_rolled_tempers() {
    for (t, percent) in [
        (Temper::QUARTER_HARD, 10.9),
        (Temper::HALF_HARD, 20.7),
        (Temper::THREE_QUARTER_HARD, 29.4),
        (Temper::HARD, 37.1),
        (Temper::EXTRA_HARD, 50.1),
        (Temper::SPRING, 60.5),
    ] {
        // Half a unit of the published last digit, and as much again for the table's own rounding of gauge numbers.
        near(100.0 * t.reduction(), percent, 0.1, t.name());
        // (C) Plane strain: the equivalent strain is 2/√3 of the thickness strain.
        near(t.rolling_strain(), -2.0 / 3.0_f64.sqrt() * (1.0 - percent / 100.0).ln(), 0.003, "rolling strain");
    }
}

/// (M) Vickers ranges of CuZn30 in EN 1652: R350 95–125, R410 120–155, R480 at least 150. The temper is the one whose
/// tensile strength is the middle of the designation's range (350–430, 410–490) or its least (480).
#[test]
fn vickers_of_yellow_brass_lies_in_the_standard_s_ranges() {
    let hv_at = |tensile: f64| {
        let n = (0..=8000).map(|i| f64::from(i) / 1000.0).find(|n| Alloy::YellowBrass.tensile_mpa(Temper(*n)).value >= tensile).unwrap();
        vickers::vickers(Alloy::YellowBrass, Temper(n)).value
    };
    let (r350, r410, r480) = (hv_at(390.0), hv_at(450.0), hv_at(480.0));
    assert!((95.0..=125.0).contains(&r350), "R350: {r350}");
    assert!((120.0..=155.0).contains(&r410), "R410: {r410}");
    assert!(r480 >= 150.0, "R480: {r480}");
}

// ---- Solders ----

/// (M) ASTM B32 and AWS A5.8.
#[test]
fn solders() {
    for (f, solidus, liquidus) in [
        (Filler::Sn63Pb37, 183.0, 183.0),
        (Filler::Sn60Pb40, 183.0, 190.0),
        (Filler::Sn96Ag4, 221.0, 221.0),
        (Filler::Sn95Sb5, 233.0, 240.0),
        (Filler::Bag1, 607.0, 618.0),
        (Filler::Bag5, 677.0, 743.0),
        (Filler::Bag7, 618.0, 652.0),
    ] {
        near(f.solidus_degc(), solidus, 0.0, f.name());
        near(f.liquidus_degc(), liquidus, 0.0, f.name());
        assert_eq!(f.contains_cadmium(), f == Filler::Bag1);
        assert_eq!(f.contains_lead(), matches!(f, Filler::Sn63Pb37 | Filler::Sn60Pb40));
    }
}

// ---- Hardening ----

/// (M) Kalpakjian & Schmid, table of K and n: 70-30 brass, annealed, K 900 MPa, n 0.49. Two annealed brasses differ by
/// their grain; the published tensile limits, 310 to 420 N/mm², are ± 15 % about their middle, and that is the tolerance.
#[test]
fn annealed_yellow_brass_hardens_as_in_the_textbook() {
    let book = |strain: f64| 900.0 * strain.powf(0.49);
    let curve = Curve::fit(Alloy::YellowBrass, Temper::ANNEALED);
    for strain in [0.1, 0.2, 0.3, 0.4] {
        near(curve.stress_mpa(strain) / book(strain), 1.0, 0.15, "stress over the textbook's");
    }
    // Considère (C): a power law's tensile strength is K nⁿ e⁻ⁿ; the textbook's lies in the published limits.
    let tensile = 900.0 * 0.49_f64.powf(0.49) * (-0.49_f64).exp();
    assert!((310.0..=420.0).contains(&tensile), "{tensile}");
}

/// (M) The same table: 85-15 brass "cold rolled", K 580 MPa, n 0.34. Its tensile strength K nⁿ e⁻ⁿ is that of *annealed*
/// gold brass (ASM: limits 245–300 N/mm² here), far below half hard (350–420): the table's word cannot mean a rolled temper, and
/// the annealed curve is what it is held to.
#[test]
fn annealed_gold_brass_hardens_as_in_the_textbook() {
    let tensile = 580.0 * 0.34_f64.powf(0.34) * (-0.34_f64).exp();
    assert!((245.0..=300.0).contains(&tensile), "{tensile}");
    let curve = Curve::fit(Alloy::GoldBrass, Temper::ANNEALED);
    for strain in [0.1, 0.2, 0.3] {
        near(curve.stress_mpa(strain) / (580.0 * f64::powf(strain, 0.34)), 1.0, 0.15, "stress over the textbook's");
    }
    near(curve.n, 0.34, 0.05, "n");
}

/// (C) Considère: at the uniform strain the slope of true stress equals the stress.
#[test]
fn the_load_is_greatest_at_the_uniform_strain() {
    for alloy in Alloy::ALL {
        for n in [0.0, 1.0, 2.0, 4.0, 8.0] {
            let c = Curve::fit(alloy, Temper(n));
            let u = c.uniform_strain();
            let slope = (c.stress_mpa(u + 1e-5) - c.stress_mpa(u - 1e-5)) / 2e-5;
            near(slope / c.stress_mpa(u), 1.0, 1e-4, "slope over stress");
        }
    }
}

/// Where yield, tensile strength and elongation can all be met they are met.
#[test]
fn soft_and_half_hard_brass_are_met_exactly() {
    for n in [0.0, 1.0, 2.0, 3.0, 4.0] {
        let t = Temper(n);
        let c = Curve::fit(Alloy::YellowBrass, t);
        near(c.yield_mpa(), Alloy::YellowBrass.yield_mpa(t).value, 1e-3, "yield");
        near(c.tensile_mpa(), Alloy::YellowBrass.tensile_mpa(t).value, 1e-3, "tensile");
        let u = hardening::uniform_elongation(Alloy::YellowBrass.elongation(t)).value;
        near(c.uniform_strain(), u.ln_1p(), 1e-6, "uniform strain");
    }
}

// ---- Springback ----

/// A curve without hardening: the limit n → 0.
fn perfectly_plastic(e_mpa: f64, poisson: f64, yield_mpa: f64) -> Curve {
    Curve::given(e_mpa, poisson, yield_mpa, 0.0, 0.0)
}

/// Radius ratio R_i/R_f of a strip bent to inside radius R_i that springs back to R_f: 4x³ − 3x + 1, x = R_i Y/(E T)
/// (Gardiner, Trans. ASME 79 (1957), as in Kalpakjian & Schmid).
fn gardiner(radius: f64, wall: f64, yield_strength: f64, e: f64) -> f64 {
    let x = radius * yield_strength / (e * wall);
    4.0 * x.powi(3) - 3.0 * x + 1.0
}

/// Curvature to which the blow bent a wall that came to rest at `left`, by the strain at its surface: (C) with no hardening
/// ε_p = c κ t/2 − c² Y/E', c = 1 and E' = E where the width is free, 2/√3 and E/(1 − ν²) where it is held.
fn bent_to(curve: &Curve, wall: f64, left: f64, width: Width) -> f64 {
    let (c, e) = match width {
        Width::Free => (1.0, curve.e_mpa),
        Width::Held => (2.0 / 3.0_f64.sqrt(), curve.e_mpa / (1.0 - curve.poisson * curve.poisson)),
    };
    let Some(push) = springback::unbend(curve, wall, left, 0.0, Bending { width, bauschinger: 0.0 }) else { return f64::NAN };
    (push.strain_dent + c * c * curve.stress_mpa(0.0) / e) / (c * wall / 2.0)
}

/// (M) Gardiner 1957 in Kalpakjian & Schmid, worked example: steel sheet 0.0359 in, bent to 0.5 in, Y 40 000 psi,
/// E 29·10⁶ psi: ratio 0.942, final radius 0.531 in. (The formula has no units, so inches and psi do.)
#[test]
fn gardiner_s_worked_example() {
    near(gardiner(0.5, 0.0359, 40e3, 29e6), 0.942, 0.0005, "ratio");
    let steel = perfectly_plastic(29e6, 0.3, 40e3);
    near(1.0 / bent_to(&steel, 0.0359, 1.0 / 0.531, Width::Free), 0.5, 0.001, "radius of the bend, in");
}

/// The hardening solver reduces to Gardiner as n → 0, over the range.
#[test]
fn the_solver_reduces_to_gardiner() {
    let brass = perfectly_plastic(112e3, 0.34, 400.0);
    for x in [0.01, 0.03, 0.1, 0.2, 0.3, 0.4, 0.45] {
        // x = R Y/(E T): choose R for Y 400, E 112 000, T 0.5.
        let radius = x * 112e3 * 0.5 / 400.0;
        // (C) Held across its width, yield rises by 2/√3 and the modulus by 1/(1 − ν²).
        let held = (400.0 * 2.0 / 3.0_f64.sqrt(), 112e3 / (1.0 - 0.34 * 0.34));
        for (width, (y, e)) in [(Width::Free, (400.0, 112e3)), (Width::Held, held)] {
            let left = gardiner(radius, 0.5, y, e) / radius;
            let bent = 1.0 / bent_to(&brass, 0.5, left, width);
            near(left * bent, gardiner(bent, 0.5, y, e), 0.003, "ratio");
            near(bent / radius, 1.0, 0.01, "radius of the bend");
        }
    }
}

/// (C) A wholly plastic section carries σ₀t²/4, and a perfectly plastic strip bent sharply comes to it.
#[test]
fn a_sharp_bend_carries_the_plastic_moment() {
    let brass = perfectly_plastic(112e3, 0.34, 400.0);
    for width in [Width::Free, Width::Held] {
        let push = springback::unbend(&brass, 0.5, 1.0, 0.0, Bending { width, bauschinger: 0.0 }).unwrap();
        near(push.moment_n / limit_load::plastic_moment_n(400.0, 0.5, width), 1.0, 0.001, "moment over plastic moment");
    }
}

/// (C) Bent and bent back with no hardening, the second bend needs no more than the first: after release from a bend
/// to curvature κ ≫ κ_y the reverse push beyond flat that leaves it flat is M_p/(E I), with x = κ_y/κ_push small, as Gardiner.
#[test]
fn over_push_of_a_perfectly_plastic_wall() {
    let brass = perfectly_plastic(112e3, 0.34, 400.0);
    let free = Bending { width: Width::Free, bauschinger: 0.0 };
    let push = springback::unbend(&brass, 0.5, 0.5, 0.0, free).unwrap();
    let plastic = limit_load::plastic_moment_n(400.0, 0.5, Width::Free) / (112e3 * 0.5_f64.powi(3) / 12.0);
    near(push.springback / plastic, 1.0, 0.01, "over-push over M_p/(E I)");
}

// ---- Forces ----

/// (C) The plastic moment of a wall whose width is held: 2/√3 σ₀t²/4, of one that is free: σ₀t²/4.
#[test]
fn plastic_moment_of_a_wall() {
    near(limit_load::plastic_moment_n(400.0, 0.5, Width::Held), 2.0 / 3.0_f64.sqrt() * 25.0, 1e-9, "M₀ held, N");
    near(limit_load::plastic_moment_n(400.0, 0.5, Width::Free), 25.0, 1e-9, "M₀ free, N");
}

/// (M) DNV-RP-C204, dent of a tubular by a flat contact, for a contact of no breadth and ends free to draw in:
/// R_c 22 (w/D)^(1.925/3.5) √(4/3 (1 − ¼)), R_c = f_y t²/4 √(D/t).
fn flat_contact_n(yield_mpa: f64, diameter: f64, wall: f64, depth: f64) -> f64 {
    yield_mpa * wall * wall / 4.0 * (diameter / wall).sqrt() * 22.0 * (depth / diameter).powf(1.925 / 3.5)
}

/// (M) Wierzbicki & Suh 1988 against DNV-RP-C204: within 10 % for w/D 0.03 to 0.3 at N = 0, B = 0.
#[test]
fn two_sources_for_a_dented_tube_agree() {
    for wall in [0.4, 0.5, 1.0] {
        for i in 3..=30 {
            let (d, w) = (20.0, 20.0 * f64::from(i) / 100.0);
            let a = limit_load::wedge_dent_force_n(400.0, wall, w, 0.0);
            let b = flat_contact_n(400.0, d, wall, w);
            near(b / a, 1.0, 0.10, "DNV over Wierzbicki & Suh");
        }
    }
}

/// The wedge formula as printed, with D in it, at one point worked by hand: σ₀ 400 N/mm², t 0.5, D 20, δ 3 mm:
/// M₀ = 25 N, (2π/3)(40)(0.15)(0.75) = 9.4248, √ = 3.06998, P = 16 · 25 · 3.06998 = 1228 N.
#[test]
fn wedge_force_worked_by_hand() {
    near(limit_load::wedge_dent_force_n(400.0, 0.5, 3.0, 0.0), 1228.0, 0.5, "P, N");
    // Ends held: no quarter to take off.
    near(limit_load::wedge_dent_force_n(400.0, 0.5, 3.0, 1.0), 1228.0 / 0.75_f64.sqrt(), 0.5, "P held, N");
}

/// (C) Cantilever rod: steel, 10 mm, 300 mm, 100 N: F l³/(3 E I) with I = 490.87 mm⁴ is 8.731 mm; 32 F l/(π d³) = 305.58 N/mm².
#[test]
fn cantilever_rod() {
    near(limit_load::cantilever_deflection_mm(100.0, 300.0, 210e3, 10.0), 8.731, 0.001, "tip");
    near(limit_load::cantilever_force_n(305.58, 300.0, 10.0), 100.0, 0.01, "force at that stress");
}

// ---- Ductility ----

/// (P, rows of least R/T as read; C, ε = ln(1 + 1/(2R/T + 1))) What a strip mill's bend tables say at every temper, both ways,
/// and that the expected capacity lies within its stated scatter of it.
#[test]
#[allow(clippy::type_complexity, reason = "a table as the sheets print it")]
fn bends_that_strip_bears() {
    const FLAT: f64 = 0.0;
    // Numbers hard, least R/T good way, bad way.
    let tables: [(Alloy, [(f64, f64, f64); 6]); 4] = [
        (Alloy::YellowBrass, [(1.0, FLAT, 0.3), (2.0, 0.5, 0.5), (3.0, 1.0, 1.3), (4.0, 1.3, 1.8), (6.0, 1.8, 3.0), (8.0, 3.0, 5.0)]),
        (Alloy::RoseBrass, [(1.0, FLAT, FLAT), (2.0, FLAT, FLAT), (3.0, 0.5, 0.8), (4.0, 0.5, 0.8), (6.0, 1.0, 1.3), (8.0, 1.5, 2.0)]),
        (Alloy::GoldBrass, [(1.0, FLAT, FLAT), (2.0, 0.3, 0.5), (3.0, 0.5, 1.0), (4.0, 1.0, 1.5), (6.0, 1.5, 2.8), (8.0, 3.0, 4.5)]),
        (Alloy::NickelSilver, [(1.0, 0.8, 0.8), (2.0, 1.0, 1.0), (3.0, 1.5, 1.5), (4.0, 2.0, 2.0), (6.0, 2.5, 2.5), (8.0, 3.0, 3.0)]),
    ];
    for (alloy, rows) in tables {
        for (n, good, bad) in rows {
            for (way, kind, radius) in [(Way::Good, Kind::FOLD_ACROSS, good), (Way::Bad, Kind::FOLD_ALONG, bad)] {
                let fibre = (1.0 + 1.0 / (2.0 * radius + 1.0_f64)).ln();
                near(alloy.bend_limit(Temper(n), way), fibre, 1e-9, "fibre strain of the table's bend");
                let c = ductility::capacity(alloy, Temper(n), kind);
                // Equivalent strain of a strip that does not narrow: 2/√3 of the fibre's (C).
                let limit = 2.0 / 3.0_f64.sqrt() * fibre;
                assert!(limit < c.value && c.value - limit < 2.0 * c.sd, "{alloy:?} {n} {way:?}: {limit} {c:?}");
            }
        }
    }
}

/// The figures that the audit reckoned from the same tables: bad way, outer fibre.
#[test]
fn outer_fibres_of_the_audit() {
    for (alloy, n, fibre) in [
        (Alloy::YellowBrass, 4.0, 0.197),
        (Alloy::YellowBrass, 8.0, 0.087),
        (Alloy::RoseBrass, 4.0, 0.325),
        (Alloy::NickelSilver, 4.0, 0.182),
    ] {
        near(alloy.bend_limit(Temper(n), Way::Bad), fibre, 0.0005, "fibre strain");
    }
}

/// (P) At hard temper rose brass bears most, then low brass (for gold brass), yellow brass, nickel silver.
#[test]
fn order_of_the_alloys_at_hard() {
    for kind in [Kind::FOLD_ALONG, Kind::FOLD_ACROSS] {
        let c = |a| ductility::capacity(a, Temper::HARD, kind).value;
        assert!(c(Alloy::RoseBrass) > c(Alloy::GoldBrass) && c(Alloy::GoldBrass) > c(Alloy::YellowBrass));
        assert!(c(Alloy::YellowBrass) > c(Alloy::NickelSilver));
    }
}

/// Held out: low brass (C24000, 20 % zinc) lies half way in zinc between C22000 (10 %) and C26000 (30 %). Predicted from
/// them, straight in the logarithm, it is missed by 18 % in the root mean square over its temper rows, 32 % at worst; the prediction bears too
/// much in most. That miss is the doubt that stands where the nearest alloy stands for one that was not bent.
#[test]
fn low_brass_from_its_neighbours() {
    let mut misses: Vec<f64> = Vec::new();
    for n in [1.0, 2.0, 3.0, 4.0, 6.0, 8.0] {
        for way in [Way::Good, Way::Bad] {
            let limit = |a: Alloy| a.bend_limit(Temper(n), way);
            let predicted = (limit(Alloy::RoseBrass) * limit(Alloy::YellowBrass)).sqrt();
            let miss = (predicted / limit(Alloy::GoldBrass)).ln();
            println!("{n} {way:?}: predicted {predicted:.3}, table {:.3}, miss {:+.0} %", limit(Alloy::GoldBrass), 100.0 * miss.exp_m1());
            misses.push(miss);
        }
    }
    let rms = (misses.iter().map(|m| m * m).sum::<f64>() / misses.len() as f64).sqrt();
    let worst = misses.iter().fold(0.0, |a: f64, m| a.max(m.abs()));
    near(rms, ductility::NEAREST, 0.01, "root mean square miss");
    near(worst.exp_m1(), 0.32, 0.01, "worst miss");
}

/// (C) Lévy–Mises in plane stress, by its own stresses: strains (1, β) flow under stresses (2 + β, 1 + 2β); the greater over von Mises'
/// equivalent. A plain bend 2/√3, a dish 1, a pull (β = −½) 1. A dish so bears 2/√3 of a plain bend's equivalent strain.
#[test]
fn tensile_part_of_the_flow_stress() {
    for beta in [-0.5, -0.2, 0.0, 0.4, 1.0] {
        let (a, b): (f64, f64) = (2.0 + beta, 1.0 + 2.0 * beta);
        let mises = (a * a - a * b + b * b).sqrt();
        near(ductility::tension_ratio(beta), a / mises, 1e-12, "σ₁ over equivalent stress");
    }
    let c = |ratio| ductility::capacity(Alloy::YellowBrass, Temper::HARD, Kind { ratio, ..Kind::FOLD_ALONG }).value;
    near(c(1.0) / c(0.0), 2.0 / 3.0_f64.sqrt(), 1e-9, "dish over plain bend");
}

/// (C) Where the wall is stretched through, the tension test's even part is what it bears: hard yellow brass 7 % of its 10 %.
#[test]
fn stretched_through_it_bears_the_even_part() {
    near(ductility::stretch(Alloy::YellowBrass, Temper::HARD).value, 1.07_f64.ln(), 1e-9, "ln(1 + A_u)");
    near(ductility::stretch(Alloy::YellowBrass, Temper::ANNEALED).value, 1.50_f64.ln(), 1e-9, "ln(1 + A_u)");
    for alloy in Alloy::ALL {
        for n in [0.0, 1.0, 2.0, 4.0, 6.0, 8.0] {
            let c = |kind| ductility::capacity(alloy, Temper(n), kind).value;
            assert!(c(Kind::STRETCHED) < c(Kind::FOLD_ALONG), "{alloy:?} {n}");
        }
    }
}

/// (M) Normal distribution: Φ(1.645) = 0.950, Φ(−1) = 0.1587 (Abramowitz & Stegun, table 26.1).
#[test]
fn normal_distribution() {
    near(ductility::normal_below(1.644_854), 0.95, 1e-6, "Φ(1.645)");
    near(ductility::normal_below(-1.0), 0.158_655, 1e-6, "Φ(−1)");
}

// ---- Heat ----

/// (C) Stefan–Boltzmann: a black surface at 1000 K in surroundings at 0 K gives 56.7 kW/m².
#[test]
fn radiation_of_a_black_surface() {
    let h = heat::still_air_loss_w_m2k(726.85, -273.15, 1e9, 1.0);
    // A very wide cylinder has next to no convection in this relation: it is taken off.
    let convection = 1.32 * (1000.0_f64 / 1e6).powf(0.25);
    near((h - convection) * 1000.0 / 1e3, 56.7, 0.1, "kW/m²");
}

// ---- Two sheets ----

fn sheet(flow_mpa: f64, wall_mm: f64) -> Sheet {
    Sheet { flow_mpa, e_mpa: 112e3, wall_mm }
}

/// (C) M₀ = σt²/4 a unit width: two sheets alike bear twice as much where they slip on each other, and (2t)²/t² = 4 times as much
/// where they are one; of t and 2t, 1 + 4 and 9 times.
#[test]
fn two_sheets_alike() {
    let times = |over: Sheet, bond| limit_load_times(&sheet(200.0, 0.5), &over, bond);
    near(times(sheet(200.0, 0.5), Bond::Loose), 2.0, 1e-12, "loose");
    near(times(sheet(200.0, 0.5), Bond::Soldered), 4.0, 1e-12, "soldered");
    near(times(sheet(200.0, 1.0), Bond::Loose), 5.0, 1e-12, "loose, twice as thick");
    near(times(sheet(200.0, 1.0), Bond::Soldered), 9.0, 1e-12, "soldered, twice as thick");
    near(times(sheet(200.0, 0.0), Bond::Soldered), 1.0, 1e-12, "none");
}

/// (C) The fully plastic moment of a layered section is ∫σ|y − y₀|dy about the line that halves ∫σ dy: summed over a hundred thousand
/// layers, whichever of the two is the stronger.
#[test]
fn two_sheets_of_two_metals() {
    for (below, over) in [((200.0, 0.5), (345.0, 0.4)), ((500.0, 0.3), (170.0, 0.6)), ((300.0, 0.5), (100.0, 0.5))] {
        let (a, b) = (sheet(below.0, below.1), sheet(over.0, over.1));
        let all = a.wall_mm + b.wall_mm;
        let n = 100_000;
        let layer = all / f64::from(n);
        let at = |i: i32| (f64::from(i) + 0.5) * layer;
        let flow = |y: f64| if y < a.wall_mm { a.flow_mpa } else { b.flow_mpa };
        let half = 0.5 * (a.flow_mpa * a.wall_mm + b.flow_mpa * b.wall_mm);
        let (mut force, mut line) = (0.0, 0.0);
        for i in 0..n {
            if force < half {
                force += flow(at(i)) * layer;
                line = (f64::from(i) + 1.0) * layer;
            }
        }
        let moment: f64 = (0..n).map(|i| flow(at(i)) * (at(i) - line).abs() * layer).sum();
        let alone = a.flow_mpa * a.wall_mm * a.wall_mm / 4.0;
        let got = limit_load_times(&a, &b, Bond::Soldered);
        near(got / (moment / alone), 1.0, 1e-4, "soldered");
        let loose = limit_load_times(&a, &b, Bond::Loose);
        near(loose, 1.0 + b.flow_mpa * b.wall_mm.powi(2) / (a.flow_mpa * a.wall_mm.powi(2)), 1e-12, "loose");
        assert!(loose < got, "{loose} {got}");
    }
}

/// (C) Elastic unloading by M/(EI), EI = Et³/12: two sheets alike that slip spring as one; bonded they have 4 times the moment and 8 times
/// the stiffness. A loose sheet of half the thickness has a quarter of the moment and an eighth of the stiffness: 1.25/1.125. One of twice
/// the thickness springs less, and the one beneath parts from it.
#[test]
fn what_two_sheets_spring_back() {
    let times = |wall_mm: f64, bond| springs_times(&sheet(200.0, 0.5), &sheet(200.0, wall_mm), bond);
    near(times(0.5, Bond::Loose), 1.0, 1e-12, "loose");
    near(times(0.5, Bond::Soldered), 0.5, 1e-12, "soldered");
    near(times(0.25, Bond::Loose), 1.25 / 1.125, 1e-12, "loose, half as thick");
    near(times(1.0, Bond::Loose), 1.0, 1e-12, "loose, twice as thick");
    near(times(1.0, Bond::Soldered), 9.0 / 27.0, 1e-12, "soldered, twice as thick");
}

/// A value's scatter survives as an input.
#[test]
fn a_value_becomes_an_input() {
    let k = Value::new(350.0, 35.0).known("yield", units::Unit::MPa);
    assert_eq!((k.value, k.sd, k.origin), (350.0, 35.0, units::Origin::Handbook));
}
