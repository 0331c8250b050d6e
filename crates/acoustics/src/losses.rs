//! Friction and heat at the wall: Zwikker & Kosten's tube with Bessel functions, and a fast approximation.
//!
//! In a tube of radius a the air obeys p' = −Z u, u' = −Y p with
//! Z = jωρ/S · 1/(1 − F(x)), Y = jωS/(ρc²) · (1 + (γ − 1) F(x√Pr)), F(x) = 2 J₁(x)/(x J₀(x)), x = √(−jωρ/η) a.
//!
//! F depends on the real number r = a √(ωρ/η) alone. Far from the axis' law (r ≥ [`FAR`]) its asymptotic series in 1/r is exact to
//! 10⁻¹⁰; nearer, the continued fraction of J₁/J₀ is summed.

use crate::air::Gas;
use num_complex::Complex64 as C;
use std::sync::LazyLock;
use units::Source;

/// Source of the model.
pub const ZWIKKER_KOSTEN: Source = Source::from_memory(
    "Zwikker & Kosten, Sound Absorbing Materials (1949), as in Chaigne & Kergomard, Acoustics of Musical Instruments (2016), ch. 5; held against scipy.special in tests/published.rs",
);
/// Source of the fast approximation.
pub const FAST: Source = Source::closed_form(
    "Zwikker & Kosten's factors expanded to 1/r³ (closed form, after Keefe, J. Acoust. Soc. Am. 75 (1984)); error of a factor under 4/r⁴, of a brass instrument's resonances as in tests/fast.rs",
);

/// How the wall's losses are worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Losses {
    /// None: an ideal gas in a smooth tube.
    None,
    /// The first four terms of the series. See [`FAST`].
    Fast,
    /// Zwikker & Kosten with Bessel functions.
    #[default]
    Full,
}

/// From this r on the series is exact to 10⁻¹⁰: what it cannot see falls as 2 e^(−√2 r), 2·10⁻¹¹ here (closed form).
pub const FAR: f64 = 18.0;
/// Terms of the series.
pub const TERMS: usize = 12;
/// Terms that the fast approximation keeps.
pub const FAST_TERMS: usize = 4;

/// J₁(x)/J₀(x) by its continued fraction, bottom up. From memory: Abramowitz & Stegun 9.1.73.
fn bessel_ratio(x: C) -> C {
    // As many terms as |x| and thirty more: the fraction of J_(n+1)/J_n falls as x/2n from n = |x| on.
    let most = 30 + x.norm() as usize;
    let mut tail = C::new(0.0, 0.0);
    for n in (1..=most).rev() {
        tail = 1.0 / (C::from(2.0 * n as f64) / x - tail);
    }
    tail
}

/// [`asymptotic`], worked out once.
static FAR_SERIES: LazyLock<[C; TERMS]> = LazyLock::new(asymptotic);

/// F at r, x = r e^(−jπ/4), and dF/dr.
pub fn profile(r: f64) -> (C, C) {
    let turn = C::from_polar(1.0, -std::f64::consts::FRAC_PI_4);
    let x = turn * r;
    if r < 1e-3 {
        // F → 1 + x²/8 as the tube closes.
        return (1.0 + x * x / 8.0, turn * x / 4.0);
    }
    if r >= FAR {
        let inverse = turn.conj() / r;
        let (mut f, mut df) = (C::new(0.0, 0.0), C::new(0.0, 0.0));
        for (n, c) in FAR_SERIES.iter().enumerate().rev() {
            f = f * inverse + c;
            df = df * inverse - c * n as f64;
        }
        return (f, turn * df * inverse);
    }
    fraction(r)
}

/// F at r and dF/dr by the continued fraction: exact for any r, and slow.
pub(crate) fn fraction(r: f64) -> (C, C) {
    let turn = C::from_polar(1.0, -std::f64::consts::FRAC_PI_4);
    let x = turn * r;
    let ratio = bessel_ratio(x);
    // J₁' = J₀ − J₁/x, J₀' = −J₁, so (J₁/J₀)' = 1 − R/x + R².
    let slope = 1.0 - ratio / x + ratio * ratio;
    (2.0 * ratio / x, turn * 2.0 * (slope / x - ratio / (x * x)))
}

/// The coefficients of F in powers of 1/x where Im x → −∞: R = J₁/J₀ obeys R' = 1 − R/x + R², so b₀² = −1 with the sign
/// of a tangent below the axis, b₀ = −j, and b₍ₙ₊₁₎ = ((1 − n) bₙ − Σ bᵢ b₍ₙ₊₁₋ᵢ₎)/(2 b₀) (closed form).
pub fn asymptotic() -> [C; TERMS] {
    let mut b = [C::new(0.0, 0.0); TERMS];
    b[0] = C::new(0.0, -1.0);
    for n in 0..TERMS - 1 {
        let pairs: C = (1..=n).map(|i| b[i] * b[n + 1 - i]).sum();
        b[n + 1] = ((1.0 - n as f64) * b[n] - pairs) / (2.0 * b[0]);
    }
    let mut f = [C::new(0.0, 0.0); TERMS];
    for n in 1..TERMS {
        f[n] = 2.0 * b[n - 1];
    }
    f
}

/// The factors of Z and Y as series in 1/r: real and imaginary coefficients.
#[derive(Clone, Debug)]
pub struct Series {
    /// Of 1/(1 − F(r)).
    pub inertia: [C; TERMS],
    /// Of 1 + (γ − 1) F(√Pr r).
    pub compliance: [C; TERMS],
}

impl Series {
    /// For a gas.
    pub fn of(gas: &Gas) -> Self {
        let f = asymptotic();
        let zero = C::new(0.0, 0.0);
        // 1/(1 − F): g₀ = 1, gₙ = Σ fₖ g₍ₙ₋ₖ₎.
        let mut g = [zero; TERMS];
        g[0] = C::new(1.0, 0.0);
        for n in 1..TERMS {
            g[n] = (1..=n).map(|k| f[k] * g[n - k]).sum();
        }
        // x⁻ⁿ = e^(jnπ/4) r⁻ⁿ.
        let turned = |n: usize| C::from_polar(1.0, n as f64 * std::f64::consts::FRAC_PI_4);
        let heat = (gas.heat_ratio - 1.0, gas.prandtl.sqrt());
        let mut series = Self { inertia: [zero; TERMS], compliance: [zero; TERMS] };
        for n in 0..TERMS {
            series.inertia[n] = g[n] * turned(n);
            series.compliance[n] = f[n] * turned(n) * heat.0 / heat.1.powi(n as i32);
        }
        series.compliance[0] += 1.0;
        series
    }
}

/// The factors of Z and Y at one r, with their derivatives by r.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Factors {
    /// Of Z over jωρ/S.
    pub inertia: C,
    /// Of Y over jωS/(ρc²).
    pub compliance: C,
    /// d inertia/dr.
    pub inertia_slope: C,
    /// d compliance/dr.
    pub compliance_slope: C,
}

/// The factors by a model of the losses.
pub fn factors(losses: Losses, gas: &Gas, series: &Series, r: f64) -> Factors {
    let one = C::new(1.0, 0.0);
    let zero = C::new(0.0, 0.0);
    match losses {
        Losses::None => Factors { inertia: one, compliance: one, inertia_slope: zero, compliance_slope: zero },
        Losses::Fast => {
            let at = |c: &[C; TERMS]| {
                let mut sum = (zero, zero);
                for (n, c) in c.iter().enumerate().take(FAST_TERMS) {
                    let term = c * r.powi(-(n as i32));
                    sum = (sum.0 + term, sum.1 - term * n as f64 / r);
                }
                sum
            };
            let ((inertia, inertia_slope), (compliance, compliance_slope)) = (at(&series.inertia), at(&series.compliance));
            Factors { inertia, compliance, inertia_slope, compliance_slope }
        }
        Losses::Full => {
            let (f, slope) = profile(r);
            let root = gas.prandtl.sqrt();
            let (h, heat_slope) = profile(r * root);
            let inertia = 1.0 / (1.0 - f);
            let excess = gas.heat_ratio - 1.0;
            Factors {
                inertia,
                compliance: 1.0 + excess * h,
                inertia_slope: inertia * inertia * slope,
                compliance_slope: excess * root * heat_slope,
            }
        }
    }
}

/// What a tube of one radius does to a wave at one frequency: the propagation constant Γ = √(ZY), 1/m, and the wave
/// impedance √(Z/Y), Pa s/m³.
pub fn propagation(losses: Losses, gas: &Gas, radius_m: f64, hz: f64) -> (C, C) {
    let omega = std::f64::consts::TAU * hz;
    let r = radius_m * (omega * gas.density / gas.viscosity).sqrt();
    let f = factors(losses, gas, &Series::of(gas), r);
    let area = std::f64::consts::PI * radius_m * radius_m;
    let z = C::new(0.0, omega * gas.density / area) * f.inertia;
    let y = C::new(0.0, omega * area / (gas.density * gas.speed * gas.speed)) * f.compliance;
    ((z * y).sqrt(), (z / y).sqrt())
}
