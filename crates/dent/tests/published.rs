//! Published figures and closed forms that hold the dent's strain and geometry to account. Source beside each check.

#[allow(dead_code, reason = "each test uses its part of the common shapes")]
#[path = "common/gauge.rs"]
mod gauge;

mod common;

use dent::{geometry, strain};
use instrument::ProfilePoint;

fn close(got: f64, want: f64, part: f64) {
    assert!((got - want).abs() <= part * want.abs().max(1e-12), "{got} is not {want}");
}

#[test]
fn flattening_a_round_tube_strains_it_by_t_over_d() {
    // Closed form, ASME B31.8 App. R: R₁ → ∞ gives ε₁ = t/(2R₀) = t/D.
    let (t, d) = (0.5, 20.0);
    close(strain::across(t, 2.0 / d, 0.0), t / d, 1e-12);
    // Bent inwards to the same radius: twice as much.
    close(strain::across(t, 2.0 / d, -2.0 / d), 2.0 * t / d, 1e-12);
}

#[test]
fn components_of_appendix_r() {
    // ASME B31.8, Appendix R: ε₂ = −(t/2)(1/R₂) with R₂ negative in a dent; ε₃ = ½(d/L)².
    close(strain::along(0.6, -1.0 / 30.0), 0.01, 1e-12);
    close(strain::membrane(2.0, 20.0), 0.005, 1e-12);
}

#[test]
fn effective_strain_of_the_closed_forms() {
    for e in [0.01, -0.03] {
        // Closed form: uniaxial-like, ε_y = −ε_x/2, gives |ε_x|.
        close(strain::effective(e, -e / 2.0, 0.0), e.abs(), 1e-12);
        // Closed form: equibiaxial gives 2|ε_x|.
        close(strain::effective(e, e, 0.0), 2.0 * e.abs(), 1e-12);
        // Plane strain, ε_y = 0: 2/√3 |ε_x| (C).
        close(strain::effective(e, 0.0, 0.0), 2.0 / 3.0_f64.sqrt() * e.abs(), 1e-12);
        // Pure shear γ: |γ|/√3 (von Mises' equivalent strain, C).
        close(strain::effective(0.0, 0.0, e), e.abs() / 3.0_f64.sqrt(), 1e-12);
    }
    // The same strains turned by 45°: the measure does not change (C, Mohr's circle).
    close(strain::effective(0.02, 0.02, 0.02), strain::effective(0.03, 0.01, 0.0), 1e-12);
}

#[test]
fn a_gaussian_dent_has_curvature_d_over_s2() {
    // Sampling, closed form.
    let (d, s) = (2.0, 4.0);
    close(geometry::curvature(d, s * geometry::WIDTH_OVER_S, geometry::WIDTH_OVER_S), d / (s * s), 1e-12);
}

#[test]
fn a_fit_returns_d_over_s2_within_its_uncertainty() {
    // Sampling, closed form: at a stated noise of 0.02 mm, over 100 seeds the 90 % interval may miss ten times, and a
    // binomial of 100 draws at 0.9 falls below 82 once in two hundred (C).
    let (mut held, mut noise) = (0, 0.0);
    for seed in 0..100 {
        let mut dice = fixtures::Dice(1_000_003 + 7_919 * seed);
        let fit = dent::profile::fit(&gauge::readings(&mut dice, gauge::SHAPES[0].1, 31, 0.01)).unwrap();
        held += u32::from(fit.bottom_per_mm.low <= 0.125 && 0.125 <= fit.bottom_per_mm.high);
        noise += fit.noise_mm.value / 100.0;
    }
    close(noise, 0.02, 0.1);
    assert!(held >= 82, "{held}");
}

#[test]
fn without_noise_the_fit_is_the_dent() {
    let points: Vec<ProfilePoint> = (-12..=12)
        .map(|i| {
            let x = f64::from(i);
            ProfilePoint { x_mm: x, depth_mm: 2.0 * (-x * x / 32.0).exp() }
        })
        .collect();
    let fit = dent::profile::fit(&points).unwrap();
    close(fit.bottom_per_mm.value, 0.125, 0.01);
    close(fit.depth_mm.value, 2.0, 0.002);
    close(fit.width_mm.value, 4.0 * geometry::WIDTH_OVER_S, 0.01);
    close(fit.means.0, geometry::GAUSSIAN_MEANS.0, 0.02);
    close(fit.means.1, geometry::GAUSSIAN_MEANS.1, 0.02);
    assert!(!fit.kinked());
}

#[test]
fn passage_and_area_of_a_flattened_tube() {
    // Circular segment (C): a chord of sagitta h cuts r² arccos(1 − h/r) − (r − h)√(2rh − h²) off the circle.
    let (r, h) = (10.0_f64, 1.0_f64);
    let segment = r * r * (1.0 - h / r).acos() - (r - h) * (2.0 * r * h - h * h).sqrt();
    // The flattened wall below the circle: u(θ) = r − (r − h)/cos θ; means of u/h and its square over the arc.
    let half_angle = (1.0 - h / r).acos();
    let steps = 2000;
    let (mut one, mut two) = (0.0, 0.0);
    for i in 0..steps {
        let theta = half_angle * ((f64::from(i) + 0.5) / f64::from(steps) * 2.0 - 1.0);
        let f = (r - (r - h) / theta.cos()) / h;
        (one, two) = (one + f / f64::from(steps), two + f * f / f64::from(steps));
    }
    let lost = 1.0 - geometry::area_left(2.0 * r, h, 2.0 * r * half_angle, (one, two));
    close(lost * std::f64::consts::PI * r * r, segment, 1e-5);
    close(geometry::chord_mm(h, 2.0 * r), 2.0 * r * half_angle.sin(), 1e-12);
    close(geometry::passage_mm(20.0, 1.0), 19.0, 1e-12);
}

#[test]
fn six_per_cent_of_the_diameter() {
    // Another industry's rule of thumb, for comparison only (pipelines: ASME B31.8): 6 % strain or a depth of 6 % of the diameter. In
    // a thick pipe (D/t = 40) a dent 6 % deep and as wide as its flat body would make it stays under 6 % strain.
    let (d, t) = (40.0, 1.0);
    let depth = 0.06 * d;
    let width = 1.3 * geometry::chord_mm(depth, d);
    let k = geometry::curvature(depth, width, geometry::WIDTH_OVER_S);
    let r = (d - t) / 2.0;
    let e1 = strain::across(t, 1.0 / r, geometry::wall_curvature(r, depth, k));
    assert!(e1 > 0.02 && e1 < 0.06, "{e1}");
}

// ---- From memory ----

#[test]
fn hard_strip_has_been_rolled_by_37_per_cent() {
    // ASTM B601 (from memory): hard (H04) is a reduction of 37.1 % by rolling. Rolled without growing wider (C), the equivalent
    // strain is 2/√3 ln(1/(1 − 0.371)) = 0.5354. The assessment's forming strain is that of the temper.
    let mut s = common::site();
    s.temper.value = 4.0;
    close(dent::assess(&common::dent(), &s).strain_forming.value, 0.5354, 0.005);
}

#[test]
fn a_fold_tighter_than_hard_brass_can_be_bent_is_v_shaped() {
    // Kalpakjian & Schmid, Manufacturing Engineering and Technology, table of minimum bend radii (from memory): brass, low-leaded,
    // hard: 2 T. A wall bent to that or tighter is called a fold, a wider one is not.
    assert_eq!(dent::form::form(1.0 / 2.0, false), dent::Form::VShaped);
    assert!(dent::form::form(1.0 / 2.1, false) < dent::Form::VShaped);
}

#[test]
fn a_crack_s_drilled_end_sees_neither_kirsch_s_three_nor_the_plain_strain() {
    // Hole in a thin bent plate, ν = 0.3: K = 1.79 (M: Peterson's Stress Concentration Factors, chart of a hole in a plate bent one way).
    close(dent::crack_stop::bent_plate(0.3), 1.79, 0.002);
    // What a cracked dent's likelihood counts, read back from the figures: with the same strain in sound wall of a capacity smaller
    // by K, the likelihood is the same (both lognormal, C). K lies between the elastic factor and Neuber's.
    let mut cracked = common::dent();
    cracked.crack = Some(instrument::Crack { direction: Some(instrument::Direction::Along), length_mm: None, through: Some(false) });
    let a = dent::assess(&cracked, &common::site()).crack_likelihood;
    let input = a.reason.inputs.iter().find(|i| i.known.name.contains("crack's end")).unwrap();
    let n = metal::Curve::fit(metal::Alloy::YellowBrass, metal::Temper::HALF_HARD).n;
    assert!(input.known.value > 1.80 && input.known.value < 1.80_f64.powf(2.0 / (1.0 + n)), "{:?}", input.known);
}

#[test]
fn a_gaussian_s_width_at_a_tenth_of_its_height() {
    // Full width at tenth maximum of a Gaussian, 4.29193 σ (from memory: tables of chromatography and spectroscopy; C: 2√(2 ln 10)).
    close(geometry::WIDTH_OVER_S, 4.291_93, 1e-5);
}
