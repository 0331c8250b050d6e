//! The sweep: pressure and flow carried from the bell to the mouthpiece, as many frequencies at a time as the machine's
//! vectors hold.
//!
//! A short cone is stiffness, mass, stiffness: u += y₂ p, p += z u, u += y₁ p, with A = jωρ ∫dx/S · losses,
//! B = jω/(ρc²) ∫S dx · losses, w = AB, z = A sinh√w/√w, y = (B/2) tanh(√w/2)/(√w/2) as series in w (|w| < 0.05: their rest is under
//! 2·10⁻¹¹, of the fast losses' under 10⁻⁸), and y₁,₂ = y ∓ jω/(ρc²) ∫S dx · lean, the asymmetry of the cone to the fourth power of
//! its length.

use crate::losses::{FAR, FAST_TERMS, Losses, TERMS};
use crate::near::near;
use crate::tube::Tube;
use num_complex::Complex64 as C;
use pulp::{Arch, Simd, WithSimd};
use rayon::prelude::*;

/// Frequencies that go through the cones together: two vectors of eight at the widest.
const LANES: usize = 16;
/// The fast losses' series is used from this r on; nearer to the axis' law the table is asked.
const FAST_FROM: f64 = 4.0;

/// Frequencies that a thread takes at a time.
const AT_ONCE: usize = 64;

impl Tube {
    /// Input impedance at frequencies above nought, Pa s/m³, on all cores.
    pub fn impedance(&self, hz: &[f64]) -> Vec<C> {
        let mut out = vec![C::new(0.0, 0.0); hz.len()];
        if hz.len() <= AT_ONCE {
            sweep(self, hz, &mut out);
        } else {
            out.par_chunks_mut(AT_ONCE).zip(hz.par_chunks(AT_ONCE)).for_each(|(z, f)| sweep(self, f, z));
        }
        out
    }

    /// Input impedance at one frequency, Pa s/m³.
    pub fn at(&self, hz: f64) -> C {
        let mut out = [C::new(0.0, 0.0)];
        sweep(self, &[hz], &mut out);
        out[0]
    }
}

/// Sweeps: the impedance at each frequency.
pub(crate) fn sweep(tube: &Tube, hz: &[f64], out: &mut [C]) {
    let plan = Plan::of(tube);
    for (hz, out) in hz.chunks(LANES).zip(out.chunks_mut(LANES)) {
        let block = Block::of(tube, hz);
        let (p, u) = Arch::new().dispatch(Through { plan: &plan, block: &block });
        for (i, z) in out.iter_mut().enumerate() {
            *z = C::new(p.0[i], p.1[i]) / C::new(u.0[i], u.1[i]);
        }
    }
}

type Lanes = [f64; LANES];

/// What is the same for all blocks.
struct Plan<'a> {
    tube: &'a Tube,
    /// Coefficients in 1/r: of the mass's factor, real and imaginary, and of the stiffness's.
    inertia: [[f64; TERMS]; 2],
    compliance: [[f64; TERMS]; 2],
    /// r over a √f.
    wall: f64,
    /// From which r of the warmth on the series serves.
    from: f64,
    stiff: f64,
    fast: bool,
}

impl<'a> Plan<'a> {
    fn of(tube: &'a Tube) -> Self {
        let mut inertia = [tube.series.inertia.map(|c| c.re), tube.series.inertia.map(|c| c.im)];
        let mut compliance = [tube.series.compliance.map(|c| c.re), tube.series.compliance.map(|c| c.im)];
        if tube.losses == Losses::None {
            for c in inertia.iter_mut().chain(compliance.iter_mut()) {
                c[1..].fill(0.0);
            }
        }
        let from = match tube.losses {
            Losses::None => 0.0,
            Losses::Fast => FAST_FROM,
            Losses::Full => FAR,
        };
        let stiff = 1.0 / (tube.gas.density * tube.gas.speed * tube.gas.speed);
        Self { tube, inertia, compliance, wall: tube.wall_number(), from, stiff, fast: tube.losses == Losses::Fast }
    }
}

/// Frequencies that go together; the last one stands in for those that are missing.
struct Block {
    omega: Lanes,
    /// 1/√f.
    root: Lanes,
    /// √f of the lowest.
    least: f64,
    p: (Lanes, Lanes),
    u: (Lanes, Lanes),
}

impl Block {
    fn of(tube: &Tube, hz: &[f64]) -> Self {
        let last = hz.last().copied().unwrap_or(1.0);
        let f: Lanes = std::array::from_fn(|i| hz.get(i).copied().unwrap_or(last));
        let mut block = Self {
            omega: f.map(|f| f * std::f64::consts::TAU),
            root: f.map(|f| 1.0 / f.sqrt()),
            least: f.iter().fold(f64::INFINITY, |a, b| a.min(*b)).sqrt(),
            p: ([0.0; LANES], [0.0; LANES]),
            u: ([0.0; LANES], [0.0; LANES]),
        };
        let mut state = (C::new(0.0, 0.0), C::new(1.0, 0.0));
        for (i, f) in f.iter().enumerate() {
            if i < hz.len() {
                state = tube.end_state(*f);
            }
            let (p, u) = state;
            (block.p.0[i], block.p.1[i], block.u.0[i], block.u.1[i]) = (p.re, p.im, u.re, u.im);
        }
        block
    }
}

/// Factors of mass and stiffness in one cone, real and imaginary.
struct Walls {
    inertia: (Lanes, Lanes),
    compliance: (Lanes, Lanes),
}

impl Walls {
    fn of(plan: &Plan, block: &Block, radius: f64) -> Self {
        let mut walls = Self { inertia: ([0.0; LANES], [0.0; LANES]), compliance: ([0.0; LANES], [0.0; LANES]) };
        let gas = &plan.tube.gas;
        let warm = gas.prandtl.sqrt();
        for i in 0..LANES {
            let r = radius * plan.wall / block.root[i];
            let g = 1.0 / (1.0 - at(r));
            let h = 1.0 + (gas.heat_ratio - 1.0) * at(r * warm);
            (walls.inertia.0[i], walls.inertia.1[i]) = (g.re, g.im);
            (walls.compliance.0[i], walls.compliance.1[i]) = (h.re, h.im);
        }
        walls
    }
}

fn at(r: f64) -> C {
    if r < FAR { near(r) } else { crate::losses::profile(r).0 }
}

struct Through<'a> {
    plan: &'a Plan<'a>,
    block: &'a Block,
}

type State = ((Lanes, Lanes), (Lanes, Lanes));

impl WithSimd for Through<'_> {
    type Output = ((Lanes, Lanes), (Lanes, Lanes));

    #[inline(always)]
    fn with_simd<S: Simd>(self, s: S) -> State {
        if self.plan.fast {
            through::<S, FAST_TERMS, true>(s, self.plan, self.block)
        } else {
            through::<S, TERMS, false>(s, self.plan, self.block)
        }
    }
}

/// Two vectors that go through the cones together, so that one is computed while the other waits.
#[inline(always)]
fn through<S: Simd, const N: usize, const FAST: bool>(s: S, plan: &Plan, block: &Block) -> State {
    let mut p = block.p;
    let mut u = block.u;
    let warm = plan.tube.gas.prandtl.sqrt();
    let coefficients = |c: &[f64; TERMS]| -> [f64; N] { std::array::from_fn(|i| c[i]) };
    let series = [&plan.inertia[0], &plan.inertia[1], &plan.compliance[0], &plan.compliance[1]].map(coefficients);
    let width = S::F64_LANES.min(LANES);
    let mut from = 0;
    while from < LANES {
        // One vector, or two where they fit.
        let to = (from + 2 * width).min(LANES);
        if to - from == 2 * width {
            pair::<S, N, FAST, 2>(s, plan, block, &series, warm, from, &mut p, &mut u);
        } else {
            pair::<S, N, FAST, 1>(s, plan, block, &series, warm, from, &mut p, &mut u);
        }
        from = to;
    }
    (p, u)
}

#[inline(always)]
#[allow(clippy::too_many_arguments, reason = "inlined: what the loop works on")]
fn pair<S: Simd, const N: usize, const FAST: bool, const V: usize>(
    s: S,
    plan: &Plan,
    block: &Block,
    series: &[[f64; N]; 4],
    warm: f64,
    from: usize,
    p: &mut (Lanes, Lanes),
    u: &mut (Lanes, Lanes),
) {
    let width = S::F64_LANES;
    let (mut omega, mut root) = ([s.splat_f64s(0.0); V], [s.splat_f64s(0.0); V]);
    let mut state = [[s.splat_f64s(0.0); 4]; V];
    for v in 0..V {
        let at = from + v * width;
        omega[v] = load(s, &block.omega, at);
        root[v] = load(s, &block.root, at);
        state[v] = [load(s, &p.0, at), load(s, &p.1, at), load(s, &u.0, at), load(s, &u.1, at)];
    }
    let mut walls: Option<(f64, Walls)> = None;
    for segment in plan.tube.segments.iter().rev() {
        let wall = segment.radius * plan.wall;
        let far = wall * block.least * warm >= plan.from;
        if !far && walls.as_ref().is_none_or(|w| w.0.to_bits() != segment.radius.to_bits()) {
            walls = Some((segment.radius, Walls::of(plan, block, segment.radius)));
        }
        let mass = s.splat_f64s(plan.tube.gas.density * segment.slender);
        let spring = s.splat_f64s(plan.stiff * segment.volume);
        let lean = s.splat_f64s(segment.lean);
        let closeness = s.splat_f64s(1.0 / wall);
        for v in 0..V {
            let [gr, gi, hr, hi] = match &walls {
                Some((_, w)) if !far => [
                    load(s, &w.inertia.0, from + v * width),
                    load(s, &w.inertia.1, from + v * width),
                    load(s, &w.compliance.0, from + v * width),
                    load(s, &w.compliance.1, from + v * width),
                ],
                _ => {
                    let t = s.mul_f64s(closeness, root[v]);
                    [horner(s, &series[0], t), horner(s, &series[1], t), horner(s, &series[2], t), horner(s, &series[3], t)]
                }
            };
            let x = s.mul_f64s(omega[v], mass);
            let y = s.mul_f64s(omega[v], spring);
            cone::<S, FAST>(s, [gr, gi, hr, hi], x, y, lean, &mut state[v]);
        }
    }
    for (v, one) in state.iter().enumerate() {
        let place = from + v * width..from + (v + 1) * width;
        for (to, from) in [&mut p.0, &mut p.1, &mut u.0, &mut u.1].into_iter().zip(one) {
            s.partial_store_f64s(&mut to[place.clone()], *from);
        }
    }
}

#[inline(always)]
fn horner<S: Simd, const N: usize>(s: S, c: &[f64; N], t: S::f64s) -> S::f64s {
    let mut sum = s.splat_f64s(c[N - 1]);
    let mut n = N - 1;
    while n > 0 {
        n -= 1;
        sum = s.mul_add_e_f64s(sum, t, s.splat_f64s(c[n]));
    }
    sum
}

/// A cubic with real coefficients, from the constant up, at the complex w.
#[inline(always)]
fn cubic<S: Simd>(s: S, (wr, wi): (S::f64s, S::f64s), a: [f64; 4]) -> (S::f64s, S::f64s) {
    let (re, im) = (s.mul_add_e_f64s(wr, s.splat_f64s(a[3]), s.splat_f64s(a[2])), s.mul_f64s(wi, s.splat_f64s(a[3])));
    let next = s.negate_mul_add_e_f64s(wi, im, s.mul_add_e_f64s(wr, re, s.splat_f64s(a[1])));
    let (re, im) = (next, s.mul_add_e_f64s(wr, im, s.mul_f64s(wi, re)));
    let next = s.negate_mul_add_e_f64s(wi, im, s.mul_add_e_f64s(wr, re, s.splat_f64s(a[0])));
    (next, s.mul_add_e_f64s(wr, im, s.mul_f64s(wi, re)))
}

/// x a b, x real.
#[inline(always)]
fn times<S: Simd>(s: S, x: S::f64s, (ar, ai): (S::f64s, S::f64s), (br, bi): (S::f64s, S::f64s)) -> (S::f64s, S::f64s) {
    let re = s.negate_mul_add_e_f64s(ai, bi, s.mul_f64s(ar, br));
    let im = s.mul_add_e_f64s(ar, bi, s.mul_f64s(ai, br));
    (s.mul_f64s(x, re), s.mul_f64s(x, im))
}

/// A vector out of the lanes.
#[inline(always)]
fn load<S: Simd>(s: S, a: &Lanes, at: usize) -> S::f64s {
    s.partial_load_f64s(&a[at..at + S::F64_LANES])
}

/// One cone: `x` = ωρ ∫dx/S, `y` = ω/(ρc²) ∫S dx; A = jx(gr + j gi), B = jy(hr + j hi).
#[inline(always)]
fn cone<S: Simd, const FAST: bool>(s: S, [gr, gi, hr, hi]: [S::f64s; 4], x: S::f64s, y: S::f64s, lean: S::f64s, state: &mut [S::f64s; 4]) {
    let c = |v: f64| s.splat_f64s(v);
    let xy = s.mul_f64s(x, y);
    // z and y over j: (zr + j zi), (yr + j yi).
    let (zr, zi, yr, yi);
    if FAST {
        // w as if it were real: what is left out is a twentieth of a thousandth.
        let w = s.neg_f64s(s.mul_f64s(xy, s.mul_f64s(gr, hr)));
        let sinh = s.mul_add_e_f64s(w, s.mul_add_e_f64s(w, c(1.0 / 120.0), c(1.0 / 6.0)), c(1.0));
        let tanh = s.mul_add_e_f64s(w, s.mul_add_e_f64s(w, c(1.0 / 240.0), c(-1.0 / 24.0)), c(0.5));
        let (xs, yt) = (s.mul_f64s(x, sinh), s.mul_f64s(y, tanh));
        (zr, zi) = (s.mul_f64s(xs, gr), s.mul_f64s(xs, gi));
        (yr, yi) = (s.mul_f64s(yt, hr), s.mul_f64s(yt, hi));
    } else {
        let wr = s.mul_f64s(xy, s.negate_mul_add_e_f64s(gr, hr, s.mul_f64s(gi, hi)));
        let wi = s.neg_f64s(s.mul_f64s(xy, s.mul_add_e_f64s(gr, hi, s.mul_f64s(gi, hr))));
        let (sr, si) = cubic(s, (wr, wi), [1.0, 1.0 / 6.0, 1.0 / 120.0, 1.0 / 5040.0]);
        let (tr, ti) = cubic(s, (wr, wi), [0.5, -1.0 / 24.0, 1.0 / 240.0, -17.0 / 40_320.0]);
        (zr, zi) = times(s, x, (gr, gi), (sr, si));
        (yr, yi) = times(s, y, (hr, hi), (tr, ti));
    }
    let tilt = s.mul_f64s(y, lean);
    let [mut pr, mut pi, mut ur, mut ui] = *state;
    // u += j(yr + tilt + j yi) p.
    let y2 = s.add_f64s(yr, tilt);
    ur = s.negate_mul_add_e_f64s(y2, pi, s.negate_mul_add_e_f64s(yi, pr, ur));
    ui = s.mul_add_e_f64s(y2, pr, s.negate_mul_add_e_f64s(yi, pi, ui));
    // p += j(zr + j zi) u.
    pr = s.negate_mul_add_e_f64s(zr, ui, s.negate_mul_add_e_f64s(zi, ur, pr));
    pi = s.mul_add_e_f64s(zr, ur, s.negate_mul_add_e_f64s(zi, ui, pi));
    // u += j(yr − tilt + j yi) p.
    let y1 = s.sub_f64s(yr, tilt);
    ur = s.negate_mul_add_e_f64s(y1, pi, s.negate_mul_add_e_f64s(yi, pr, ur));
    ui = s.mul_add_e_f64s(y1, pr, s.negate_mul_add_e_f64s(yi, pi, ui));
    *state = [pr, pi, ur, ui];
}
