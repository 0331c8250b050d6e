//! Invented shops: their steps take as long as a law says that the model knows, or one that it does not.

use fixtures::Dice;
use instrument::Kind;
use plan::{StepKind, Within};
use quote::Times;
use quote::learn::{Effect, Spreads, Taken};
use reach::MethodKind;
use std::collections::BTreeMap;
use units::ThreePoint;

/// Variance of the logarithm that the standards below say, in the mean.
const USUAL: f64 = 0.065;

/// A simulated shop.
pub struct SimShop {
    dice: Dice,
    effects: BTreeMap<Effect, f64>,
    spreads: Spreads,
    rest: BTreeMap<StepKind, f64>,
    people: usize,
    tails: bool,
    /// Of the logarithm, a job.
    drift: f64,
    jobs: i64,
}

type Shops = [(&'static str, (f64, f64), fn(u64) -> SimShop); 5];

/// All kinds, with the shares that their P90 is held to.
pub const ALL_SHOPS: Shops = [
    ("of the model, three people", (0.87, 0.93), SimShop::of_the_model),
    ("of the model, one person", (0.87, 0.93), SimShop::alone),
    ("of the model, nine people", (0.87, 0.93), SimShop::crowded),
    ("heavy tails (Student’s t with 3 degrees of freedom)", (0.80, 0.97), SimShop::heavy_tailed),
    ("drifting (a tenth longer every 50 jobs)", (0.45, 0.93), SimShop::drifting),
];

const FAMILIES: [Kind; 4] = [Kind::Trumpet, Kind::Trombone, Kind::Horn, Kind::Tuba];
const METHODS: [MethodKind; 4] = [MethodKind::Mandrel, MethodKind::StraightRod, MethodKind::BallTrain, MethodKind::Magnet];
const KINDS: [(StepKind, (f64, f64, f64)); 7] = [
    (StepKind::Strip, (3.0, 6.0, 15.0)),
    (StepKind::Crease, (4.0, 8.0, 20.0)),
    (StepKind::Patch, (20.0, 35.0, 70.0)),
    (StepKind::TrueFit, (10.0, 20.0, 50.0)),
    (StepKind::AcceptanceCheck, (3.0, 5.0, 10.0)),
    (StepKind::Finish, (4.0, 8.0, 18.0)),
    (StepKind::Assemble, (5.0, 9.0, 20.0)),
];

impl SimShop {
    /// As the model believes shops to be: every effect and every spread drawn from what it believes before.
    pub fn of_the_model(seed: u64) -> Self {
        let spreads = Spreads::before(0.3, USUAL);
        Self { dice: Dice(seed), effects: BTreeMap::new(), spreads, rest: BTreeMap::new(), people: 3, tails: false, drift: 0.0, jobs: 0 }
    }

    fn alone(seed: u64) -> Self {
        Self { people: 1, ..Self::of_the_model(seed) }
    }

    fn crowded(seed: u64) -> Self {
        Self { people: 9, ..Self::of_the_model(seed) }
    }

    fn heavy_tailed(seed: u64) -> Self {
        Self { tails: true, ..Self::of_the_model(seed) }
    }

    fn drifting(seed: u64) -> Self {
        Self { drift: 1.1_f64.ln() / 50.0, ..Self::of_the_model(seed) }
    }

    fn effect(&mut self, e: Effect) -> f64 {
        let s = &self.spreads;
        let variance = match e {
            Effect::Shop => s.shop,
            Effect::Kind(_) => s.kind,
            Effect::Within(..) => s.within,
            Effect::Person(_) => s.person,
            Effect::Family(..) => s.family,
        };
        if let Some(x) = self.effects.get(&e) {
            return *x;
        }
        let x = variance.sqrt() * self.dice.normal();
        self.effects.insert(e, x);
        x
    }

    /// Deviation 1: normal, or Student's t with 3 degrees of freedom, whose variance is 3.
    fn rest(&mut self) -> f64 {
        let z = self.dice.normal();
        if !self.tails {
            return z;
        }
        let chi: f64 = (0..3).map(|_| self.dice.normal().powi(2)).sum();
        z / (chi / 3.0).sqrt() / 3.0_f64.sqrt()
    }

    /// The next job: five to eleven steps by one person on one instrument.
    pub fn job(&mut self) -> Vec<Taken> {
        self.jobs += 1;
        let person = format!("p{}", self.dice.below(self.people));
        let family = FAMILIES[self.dice.below(FAMILIES.len())];
        let own = self.spreads.job.sqrt() * self.dice.normal() + self.drift * self.jobs as f64;
        let steps = 5 + self.dice.below(7);
        (0..steps)
            .map(|_| {
                let (kind, within, (a, b, c)) = if self.dice.below(2) == 0 {
                    let m = self.dice.below(METHODS.len());
                    let k = self.dice.between(0.6, 1.8);
                    (StepKind::Dent, Some(Within::Method(METHODS[m])), (5.0 * k, 10.0 * k, 24.0 * k))
                } else {
                    let (kind, t) = KINDS[self.dice.below(KINDS.len())];
                    (kind, None, t)
                };
                let standard = ThreePoint::new(a, b, c);
                let v = standard.log_variance();
                let scatter = match self.rest.get(&kind) {
                    Some(x) => *x,
                    None => {
                        let x = self.spreads.rest * (0.3 * self.dice.normal()).exp();
                        self.rest.insert(kind, x);
                        x
                    }
                };
                let mut log = self.effect(Effect::Shop)
                    + self.effect(Effect::Kind(kind))
                    + self.effect(Effect::Person(person.clone()))
                    + self.effect(Effect::Family(kind, family));
                if let Some(w) = within {
                    log += self.effect(Effect::Within(kind, w));
                }
                log += own - 0.5 * v + (scatter * v).sqrt() * self.rest();
                let took_min = standard.mean() * log.exp();
                Taken { job: self.jobs, kind, within, family, person: Some(person.clone()), standard, took_min, done_at: self.jobs }
            })
            .collect()
    }

    /// Logarithm of P90 over P10 of a job of which nothing was timed: the same effects, all unknown.
    pub fn blind_range(&self, job: &[Taken]) -> f64 {
        let s = &self.spreads;
        let common = s.shop + s.person + s.job + 0.5 * s.kind;
        let wide = |t: &Taken| {
            let v = t.standard.log_variance();
            let log_variance = s.rest * v + common + 0.5 * s.kind + s.within + s.family;
            t.standard.moved_to(t.standard.mean(), t.standard.mean() * log_variance.exp_m1().sqrt())
        };
        let t = Times::of_common(job.iter().map(wide), common);
        (t.p90_min / t.p10_min).ln()
    }
}
