//! Published figures and closed forms that the code is held to, each with its source beside it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use reach::body::{Body, Ends};
use reach::clearances::Ignore;
use reach::pose::{Question, Tip};
use reach::tube::Tube;

/// A bend that is long enough for the longest bar, of even bore.
fn bend(radius_mm: f64, bore_radius_mm: f64) -> Tube {
    let mut t = Tube::default();
    t.bend(radius_mm, 170.0, 35.0);
    t.bore_point(0.0, bore_radius_mm);
    t.bore_point(t.length_mm(), bore_radius_mm);
    t
}

fn lies(tube: &Tube, width_mm: f64, length_mm: f64) -> bool {
    let sections = tube.sections(tube.length_mm(), 0.0, 0.0005);
    let middle = tube.length_mm() / 2.0;
    let body = Body { ends: Ends::Square, ..Body::mandrel(width_mm, width_mm, length_mm) };
    // The bar's end stands in the bend so that its middle is about the bend's middle.
    let q = Question { tube, sections: &sections, tip_mm: middle + length_mm * 0.51, body, tip: Tip::Free, ignore: Ignore::None };
    q.best().is_some_and(|b| b.clearance_mm >= 0.0)
}

/// Closed form: the longest straight bar of diameter w in a planar bend of centre-line radius
/// R_b and bore radius a is L = 2·√[(R_b + a)² − (R_b − a + w)²]; held within 0.1 %.
#[test]
fn longest_straight_bar_in_a_bend() {
    for (rb, a, w) in [(60.0, 5.83, 6.0), (100.0, 10.0, 9.0), (150.0, 20.0, 14.0), (45.0, 6.0, 4.0)] {
        let closed: f64 = 2.0 * f64::sqrt((rb + a) * (rb + a) - (rb - a + w) * (rb - a + w));
        let tube = bend(rb, a);
        let (mut lo, mut hi) = (0.3 * closed, 1.5 * closed);
        for _ in 0..24 {
            let mid = 0.5 * (lo + hi);
            if lies(&tube, w, mid) { lo = mid } else { hi = mid }
        }
        assert!((lo / closed - 1.0).abs() < 1e-3, "R {rb} a {a} w {w}: solver {lo:.4}, closed form {closed:.4}");
    }
}

/// C: the least of the upper bounds with hinge circles at a distance L beyond the jaws, looked for numerically:
/// p·w = (σ₀t/R)(w + L) + 4·M₀/L, M₀ = σ₀t²/4. And its two ends: the thin ring p = σ₀t/R for long jaws; Drucker's line load
/// 2σ₀t√(t/R) (from memory, 1953) for short ones.
#[test]
fn an_expander_s_jaws_make_a_long_tube_yield() {
    use reach::expander::jaws_n;
    let round = |r: f64| 2.0 * std::f64::consts::PI * r;
    for (flow, t, r, w) in [(495.0, 0.25, 7.0, 12.0), (350.0, 0.5, 10.0, 8.0), (145.0, 0.9, 9.5, 20.0), (250.0, 0.6, 13.0, 0.5)] {
        let bound = |l: f64| flow * t / r * (w + l) + 4.0 * (flow * t * t / 4.0) / l;
        let least = (1..200_000).map(|i| bound(f64::from(i) * 1e-4)).fold(f64::INFINITY, f64::min);
        assert!((jaws_n(flow, t, r, w) / (round(r) * least) - 1.0).abs() < 1e-6, "{flow} {t} {r} {w}");
        let long = jaws_n(flow, t, r, 1e6) / (round(r) * 1e6);
        assert!((long / (flow * t / r) - 1.0).abs() < 1e-4);
        let line = jaws_n(flow, t, r, 0.0) / round(r);
        assert!((line / (2.0 * flow * t * (t / r).sqrt()) - 1.0).abs() < 1e-9);
    }
}

/// C: forces on cone, jaws and end plate solved one by one. On the cone's face n normal and μn along it: n(sin α + μ cos α) is
/// the pull, n(cos α − μ sin α) pushes the jaws out against their load and the end plate's friction μF.
#[test]
fn an_expander_s_cone_is_in_balance() {
    use reach::expander::{CONE_DEG, screw_n};
    for (load, mu) in [(10_000.0, 0.15), (23_000.0, 0.1), (5_000.0, 0.0)] {
        let (sin, cos) = CONE_DEG.to_radians().sin_cos();
        let f = screw_n(load, CONE_DEG, mu);
        let n = f / (sin + mu * cos);
        assert!((n * (cos - mu * sin) - (load + mu * f)).abs() < 1e-6 * load);
    }
    // T (common practice, no source): steep enough to let go, tan α above the usual friction.
    assert!(CONE_DEG.to_radians().tan() > 0.19 && CONE_DEG < 15.0);
}

/// C: a thin ring at yield under p = σ₀t/r springs back u = p r²/(E t).
#[test]
fn a_ring_springs_back_by_its_elastic_strain() {
    let (flow, e, r, t) = (350.0, 112_000.0, 10.05, 0.5);
    let u = (flow * t / r) * r * r / (e * t);
    assert!((reach::expander::past_true_mm(flow, e, 2.0 * r) / (2.0 * u) - 1.0).abs() < 1e-9);
}

/// C: the slab method's own equation, h·dσ/dh = −[σ₀(1 + B) − σB], run by Runge's fourth order from σ = 0 at the mouth; and
/// the ideal work σ₀·ln(t₀/t₁) where the frictions are the same.
#[test]
fn a_draw_ring_s_stress_is_the_slab_s() {
    use reach::draw_ring::{MOUTH_DEG, drawing_stress_mpa};
    for (flow, pinch, ring, mandrel) in
        [(350.0, 0.04, 0.15, 0.08), (495.0, 0.1, 0.2, 0.05), (145.0, 0.3, 0.1, 0.02), (400.0, 0.08, 0.05, 0.12)]
    {
        let b = (ring - mandrel) / MOUTH_DEG.to_radians().tan();
        let rate = |h: f64, s: f64| -(flow * (1.0 + b) - s * b) / h;
        let (n, mut s, mut h) = (1000, 0.0, 1.0);
        let step = -pinch / f64::from(n);
        for _ in 0..n {
            let k1 = rate(h, s);
            let k2 = rate(h + 0.5 * step, s + 0.5 * step * k1);
            let k3 = rate(h + 0.5 * step, s + 0.5 * step * k2);
            let k4 = rate(h + step, s + step * k3);
            s += step * (k1 + 2.0 * k2 + 2.0 * k3 + k4) / 6.0;
            h += step;
        }
        let closed = drawing_stress_mpa(flow, pinch, ring, mandrel, MOUTH_DEG);
        assert!((closed / s - 1.0).abs() < 1e-6, "{closed} {s}");
        let ideal = drawing_stress_mpa(flow, pinch, 0.1, 0.1, MOUTH_DEG);
        assert!((ideal / (flow * (1.0 / (1.0 - pinch)).ln()) - 1.0).abs() < 1e-6);
    }
}

/// C: a blow's energy is ½mv²: a quarter of a kilogram at three metres a second. And the blows that raise a dent carry its
/// work: each pays F·(lift + half its spring-back), no more than the blow puts in, and one blow fewer would not do.
#[test]
fn mallet_blows_pay_for_the_lift() {
    use dent::stroke::{Hold, Stroke, force_part};
    use reach::raising::{BLOW_J, INTO_WALL, MOST_BLOWS, blows};
    assert!((BLOW_J / (0.5 * 0.25 * 3.0 * 3.0) - 1.0).abs() < 0.05);
    // Common practice, no source: a half; and no more blows than some hundreds.
    assert!((0.4..=0.6).contains(&INTO_WALL) && (300..=500).contains(&MOST_BLOWS));
    let stroke = Stroke {
        mean_diameter_mm: 120.0,
        wall_mm: 0.5,
        yield_strain: 0.003,
        hardening_n: 0.15,
        depth_mm: 6.0,
        width_along_mm: 40.0,
        width_across_mm: 30.0,
        head_mm: 100.0,
        lift_mm: 6.0,
        hold: Hold::Stake,
    };
    let pays = |n: u32, force: f64, springs: f64| {
        let lift_mm = stroke.depth_mm / f64::from(n);
        let part = force_part(&Stroke { lift_mm, ..stroke }).force_part;
        (part * force * lift_mm + 0.5 * (part * force) * (part * springs)) / 1000.0
    };
    for (force, springs) in [(300.0, 0.5), (900.0, 0.8), (1500.0, 1.0)] {
        let n = blows(&stroke, force, springs, INTO_WALL * BLOW_J).unwrap();
        assert!(pays(n, force, springs) <= INTO_WALL * BLOW_J && (n == 1 || pays(n - 1, force, springs) > INTO_WALL * BLOW_J), "{n}");
    }
    assert_eq!(blows(&stroke, 1e6, 2.0, INTO_WALL * BLOW_J), None);
}

/// C: two straight flanks from the rim to the bottom, by Pythagoras, are so much longer than the chord.
#[test]
fn a_raised_dent_was_stretched() {
    for (depth, width) in [(1.0_f64, 20.0_f64), (2.0, 30.0), (4.0, 40.0)] {
        let longer = depth.hypot(0.5 * width) / (0.5 * width) - 1.0;
        assert!((reach::raising::thins(depth, width) / longer - 1.0).abs() < 0.02);
    }
}

/// C: the chord of a sphere sunk a little into a plane, √(ℓ(h − ℓ)); the wall spreads the load by its own thickness on either
/// side; and the mass of what fills a torus by Pappus.
#[test]
fn a_fill_bears_its_hardness_over_the_contact() {
    use metal::Fill;
    use reach::filled::{MOST_ALLOY_KG, fill_bears_n, fill_kg};
    for (head, lift, wall) in [(22.0_f64, 0.1_f64, 0.5_f64), (50.0, 0.3, 0.4), (10.0, 0.05, 0.7)] {
        let a = (lift * (head - lift)).sqrt() + wall;
        let bears = fill_bears_n(Fill::Alloy95, head, lift, wall);
        assert!((bears / (std::f64::consts::PI * a * a * Fill::Alloy95.bears_mpa()) - 1.0).abs() < 0.02);
    }
    // A bow of 60 mm radius, half a turn, 20 mm bore: π·10²·π·60 mm³ of 9.7 g/cm³ is 0.574 kg.
    let volume = std::f64::consts::PI.powi(2) * 100.0 * 60.0;
    assert!((fill_kg(Fill::Alloy95, volume) - 0.574).abs() < 0.001);
    // Common practice, no source: what a hand pours.
    assert!((3.0..=5.0).contains(&MOST_ALLOY_KG));
}

mod way_force {
    use reach::drive_force::FRICTION;
    use reach::tube::Tube;
    use reach::way_force::{Carrier, LOCKED_N, Stretch, Way, coil_presses_n_per_mm, lies_until_n};
    use std::f64::consts::PI;

    fn bend(radius_mm: f64, turned_deg: f64, bore_radius_mm: f64) -> Stretch {
        Stretch { length_mm: radius_mm * turned_deg.to_radians(), radius_mm: Some(radius_mm), bore_radius_mm }
    }

    fn straight(length_mm: f64, bore_radius_mm: f64) -> Stretch {
        Stretch { length_mm, radius_mm: None, bore_radius_mm }
    }

    /// Euler–Eytelwein (closed form), e^{μθ} worked out outside (Python's math.exp): one turn at 0.15: 2.566332395208135; half
    /// a turn at 0.30: the same; three quarters of a turn at 0.25: 3.248187814.
    #[test]
    fn a_rope_round_a_post() {
        let pull = |turned: f64, mu: f64| Way::new(vec![bend(50.0, turned, 10.0)]).at_hand(Carrier::Pulled, 1.0, mu);
        assert!((pull(360.0, 0.15) - 2.566_332_395_208_135).abs() < 1e-12);
        assert!((pull(180.0, 0.30) - 2.566_332_395_208_135).abs() < 1e-12);
        assert!((pull(270.0, 0.25) - 3.248_187_814).abs() < 1e-9);
        // The radius drops out, and so does where the turns are.
        let apart = Way::new(vec![straight(300.0, 9.0), bend(20.0, 100.0, 9.0), straight(5.0, 9.0), bend(400.0, 260.0, 9.0)]);
        assert!((apart.at_hand(Carrier::Pulled, 1.0, 0.15) - 2.566_332_395_208_135).abs() < 1e-12);
        // In space: two quarter turns in planes at right angles to each other are half a turn of curvature, although the ends
        // stand at 90° to each other.
        let mut tube = Tube::default();
        tube.bend(60.0, 90.0, 0.0);
        tube.bend(60.0, 90.0, 90.0);
        tube.bore_point(0.0, 6.0);
        tube.bore_point(tube.length_mm(), 6.0);
        assert!((Way::out_of(&tube, tube.length_mm()).at_hand(Carrier::Pulled, 1.0, 0.30) - 2.566_332_395_208_135).abs() < 1e-9);
    }

    /// Issue 13, point 5: a ball driven 1,115 mm round 393° in two bows on a flexible shaft asks 308 N at the dent, at the
    /// friction of the program: 308·e^{0.15·6.859} = 861.76 N (Python). The least that it can be: a shaft that fills the bore so that it
    /// cannot coil, pushed, asks just that, and so does a cable; one with room beside it asks more.
    #[test]
    fn two_bows_and_a_flexible_shaft() {
        let way = |bore_radius_mm: f64| {
            let straight_mm = 1115.0 - 40.0 * 393f64.to_radians();
            Way::new(vec![
                bend(40.0, 33.0, bore_radius_mm),
                straight(0.5 * straight_mm, bore_radius_mm),
                bend(40.0, 180.0, bore_radius_mm),
                straight(0.5 * straight_mm, bore_radius_mm),
                bend(40.0, 180.0, bore_radius_mm),
            ])
        };
        let shaft = Carrier::shaft(6.0, 45.0);
        assert!((way(3.0).length_mm() - 1115.0).abs() < 1e-9);
        for carrier in [shaft, Carrier::Pulled] {
            assert!((way(3.0).at_hand(carrier, 308.0, FRICTION.0) - 861.76).abs() < 0.02);
        }
        assert!(way(7.0).at_hand(shaft, 308.0, FRICTION.0) > 861.76);
        // Of the 350 N that the rack's shaft bears, 350·e^{−0.15·6.859} = 125.09 N get there.
        assert!((way(3.0).at_dent(shaft, 350.0, FRICTION.0) - 125.09).abs() < 0.01);
    }

    /// Lubinski, Althouse & Logan (1962, from memory): a rod that coils in a bore under F has the pitch p = π·√(8EI/F); with that the
    /// wall's pressure is r·[F·(2π/p)² − EI·(2π/p)⁴] (closed form, a helix of small slope). Dawson & Paslay (1984, from memory):
    /// under a weight w a rod lies still in a straight bore up to 2·√(EI·w/r); with F/R for the weight, in a bend.
    #[test]
    fn a_rod_in_a_bore_coils_as_published() {
        for (ei, r, f) in [(1.2e5, 8.0, 90.0), (4.8e7, 2.0, 3000.0), (7.5e4, 30.0, 20.0)] {
            let pitch = PI * f64::sqrt(8.0 * ei / f);
            let turn = 2.0 * PI / pitch;
            let presses = r * (f * turn.powi(2) - ei * turn.powi(4));
            assert!((coil_presses_n_per_mm(f, ei, r) / presses - 1.0).abs() < 1e-12);
            for radius in [40.0, 150.0] {
                let lies = lies_until_n(ei, r, radius);
                let dawson_paslay = 2.0 * f64::sqrt(ei * (lies / radius) / r);
                assert!((lies / dawson_paslay - 1.0).abs() < 1e-12);
                // There the coil presses as the bend does.
                assert!((coil_presses_n_per_mm(lies, ei, r) / (lies / radius) - 1.0).abs() < 1e-12);
            }
        }
    }

    /// The same law integrated step by step (fourth-order Runge–Kutta of dF/dx = μ·max(F/R, r·F²/4EI), 20 000 steps), in
    /// straight lengths and bends; where that runs away it has locked.
    #[test]
    fn a_push_integrated_step_by_step() {
        let mu = 0.15;
        for (diameter_mm, ei, stretch, dent_n) in [
            (6.0, 1.2e5, straight(500.0, 9.0), 60.0),
            (6.0, 1.2e5, bend(60.0, 180.0, 9.0), 60.0),
            (6.0, 1.2e5, bend(60.0, 180.0, 9.0), 250.0),
            (6.0, 1.2e5, bend(120.0, 150.0, 23.0), 70.0),
            (12.0, 1.1e6, bend(75.0, 270.0, 40.0), 300.0),
        ] {
            let room = stretch.bore_radius_mm - 0.5 * diameter_mm;
            let slope = |f: f64| mu * stretch.radius_mm.map_or(0.0, |r| f / r).max(room * f * f / (4.0 * ei));
            let steps = 20_000;
            let h = stretch.length_mm / f64::from(steps);
            let mut f: f64 = dent_n;
            for _ in 0..steps {
                let a = slope(f);
                let b = slope(f + 0.5 * h * a);
                let c = slope(f + 0.5 * h * b);
                let d = slope(f + h * c);
                f += h / 6.0 * (a + 2.0 * b + 2.0 * c + d);
            }
            let carrier = Carrier::Pushed { diameter_mm, stiffness_nmm2: ei };
            let ours = Way::new(vec![stretch]).at_hand(carrier, dent_n, mu);
            assert!((ours / f - 1.0).abs() < 1e-6, "{ours} {f}");
        }
        // 1/F(dent) = μ·r·x/(4EI) locks: 4·1.2e5/(0.15·6·500) = 1066.7 N.
        let long = Way::new(vec![straight(500.0, 9.0)]);
        let shaft = Carrier::Pushed { diameter_mm: 6.0, stiffness_nmm2: 1.2e5 };
        assert!(long.at_hand(shaft, 1060.0, mu) > 1e5 && long.at_hand(shaft, 1070.0, mu) == LOCKED_N);
        assert!(long.at_dent(shaft, 1e9, mu) < 1066.7);
    }
}
