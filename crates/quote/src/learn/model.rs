//! The model of how long steps take, and what is believed of it after some were finished.
//!
//! ln(time taken / standard's mean) + v/2 = shop + kind + method within the kind + person + instrument within the kind + job + rest
//!
//! v is the variance of the logarithm that the standard's three points say, so that a standard that is right has a sum of 0. Each
//! effect is normal about 0 (a person's about the pace that the owner set); the rest is normal with variance φ·v, φ by kind. Given
//! the variances the effects are normal: the posterior is a linear system (Lindley & Smith 1972). The variances are the mode of their
//! own posterior, found by EM (Dempster, Laird & Rubin 1977) from scaled inverse chi-squared priors; that they are not known beyond
//! their mode is not carried on (empirical Bayes).
//!
//! Heavy tails: a step further than [`FAR`] deviations from what is expected of it counts as that far (winsorised; Huber 1964).

use super::taken::{Taken, standard_log_variance};
use instrument::Kind;
use nalgebra::{Cholesky, DMatrix, DVector};
use plan::{StepKind, Within};
use std::collections::BTreeMap;
use units::Source;

/// Where the update comes from.
pub const UPDATE: Source = Source::from_memory(
    "normal hierarchical model on log time: posterior of the effects in closed form (Lindley & Smith, J. R. Statist. Soc. B 34 (1972)); variances by EM at the mode of their posterior (Dempster, Laird & Rubin, J. R. Statist. Soc. B 39 (1977)); far residuals winsorised (Huber, Ann. Math. Statist. 35 (1964))",
);

/// Deviations beyond which a step counts as no further.
pub const FAR: f64 = 3.0;

/// An effect on the logarithm of the time.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Effect {
    /// How this shop takes steps in general.
    Shop,
    /// A kind of step.
    Kind(StepKind),
    /// A method or an opening within its kind.
    Within(StepKind, Within),
    /// A person.
    Person(String),
    /// A kind of instrument within a kind of step.
    Family(StepKind, Kind),
}

/// Variances of the effects, and φ by kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Spreads {
    /// Of the shop's effect; not learned: there is only one.
    pub shop: f64,
    /// Between kinds of step.
    pub kind: f64,
    /// Between methods of a kind.
    pub within: f64,
    /// Between people.
    pub person: f64,
    /// Between instruments within a kind.
    pub family: f64,
    /// Between jobs: the common factor of a job.
    pub job: f64,
    /// Of the rest over what the standard says, for a kind that has none of its own.
    pub rest: f64,
    /// The same by kind.
    pub rest_of: BTreeMap<StepKind, f64>,
}

impl Spreads {
    /// What is believed before a step was timed. Common practice, no source: a shop's level is known within a factor of 1.5, kinds and people
    /// differ by a fourth or a fifth, methods and instruments by less; of the spread that the three points say, the part `correlation` is common
    /// to a job.
    pub fn before(correlation: f64, usual_log_variance: f64) -> Self {
        let rho = if correlation.is_finite() { correlation.clamp(0.05, 0.95) } else { 0.3 };
        Self {
            shop: 0.4 * 0.4,
            kind: 0.25 * 0.25,
            within: 0.15 * 0.15,
            person: 0.2 * 0.2,
            family: 0.1 * 0.1,
            job: rho * usual_log_variance,
            rest: 1.0 - rho,
            rest_of: BTreeMap::new(),
        }
    }

    fn of(&self, e: &Effect) -> f64 {
        match e {
            Effect::Shop => self.shop,
            Effect::Kind(_) => self.kind,
            Effect::Within(..) => self.within,
            Effect::Person(_) => self.person,
            Effect::Family(..) => self.family,
        }
    }

    /// φ of a kind.
    pub fn rest_of(&self, kind: StepKind) -> f64 {
        self.rest_of.get(&kind).copied().unwrap_or(self.rest)
    }
}

/// The priors of the variances count as so many effects or steps seen. Common practice, no source: a shop's own word is worth a handful.
pub const PRIOR_COUNTS: f64 = 4.0;
/// EM stops when no variance moves by more than this part of itself, or after so many turns.
pub const SETTLED: (f64, usize) = (1e-3, 120);

/// What is believed of a job's own factor, as a logarithm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JobEffect {
    /// Mean.
    pub mean: f64,
    /// Variance.
    pub variance: f64,
}

/// What is believed after the steps.
#[derive(Clone, Debug, PartialEq)]
pub struct Posterior {
    places: BTreeMap<Effect, usize>,
    mean: DVector<f64>,
    covariance: DMatrix<f64>,
    /// Variances at their mode.
    pub spreads: Spreads,
    /// Jobs, in the order in which their first step stands.
    pub jobs: Vec<(i64, JobEffect)>,
    /// What each step is off from what was expected of it, in deviations of the rest; not winsorised.
    pub off: Vec<f64>,
    /// Steps that counted as less far than they were.
    pub winsorised: u32,
    /// Whether the variances settled.
    pub settled: bool,
}

/// The design of a step: its effects besides the job's, by their places.
struct Row {
    at: Vec<usize>,
    job: usize,
    y: f64,
    v: f64,
    kind: StepKind,
}

fn effects(t: &Taken) -> Vec<Effect> {
    let within = t.within.map(|w| Effect::Within(t.kind, w));
    let person = t.person.clone().map(Effect::Person);
    let own = [Effect::Shop, Effect::Kind(t.kind), Effect::Family(t.kind, t.family)];
    own.into_iter().chain(within).chain(person).collect()
}

/// What is believed after the steps, from what was believed before; `pace` is the logarithm of the pace that the owner set for a person, 0
/// where none. None where there are no steps.
pub fn posterior(taken: &[Taken], before: &Spreads, pace: impl Fn(&str) -> f64) -> Option<Posterior> {
    posterior_until(SETTLED, taken, before, pace)
}

/// The same with how far EM goes: until no variance moves by more than a part of itself, or after so many turns. After none the variances
/// are those of before, and no step is taken as less far than it was.
pub fn posterior_until(
    (until, most_turns): (f64, usize),
    taken: &[Taken],
    before: &Spreads,
    pace: impl Fn(&str) -> f64,
) -> Option<Posterior> {
    if taken.is_empty() {
        return None;
    }
    let mut places: BTreeMap<Effect, usize> = BTreeMap::new();
    for e in taken.iter().flat_map(effects) {
        places.entry(e).or_default();
    }
    places.values_mut().zip(0..).for_each(|(place, i)| *place = i);
    // A person's effect is about the pace that was set.
    let set: Vec<f64> = places.keys().map(|e| if let Effect::Person(p) = e { pace(p) } else { 0.0 }).collect();
    let mut jobs: Vec<i64> = Vec::new();
    let mut job_at: BTreeMap<i64, usize> = BTreeMap::new();
    let rows: Vec<Row> = taken
        .iter()
        .map(|t| {
            let job = *job_at.entry(t.job).or_insert_with(|| {
                jobs.push(t.job);
                jobs.len() - 1
            });
            let at: Vec<usize> = effects(t).iter().map(|e| places[e]).collect();
            let v = standard_log_variance(t.standard);
            let y = t.log_ratio() + 0.5 * v - at.iter().map(|i| set[*i]).sum::<f64>();
            Row { at, job, y, v, kind: t.kind }
        })
        .collect();
    let mut spreads = before.clone();
    let mut seen: Vec<f64> = rows.iter().map(|r| r.y).collect();
    let mut solved = solve(&rows, &seen, &places, jobs.len(), &spreads)?;
    let (mut settled, mut winsorised) = (false, 0);
    for _ in 0..most_turns {
        winsorised = 0;
        for ((r, y), fit) in rows.iter().zip(&mut seen).zip(&solved.fits) {
            let far = FAR * (spreads.rest_of(r.kind) * r.v).sqrt();
            let off = r.y - fit.0;
            winsorised += u32::from(off.abs() > far);
            *y = fit.0 + off.clamp(-far, far);
        }
        let next = maximized(&rows, &seen, &places, &solved, before);
        let moved = moved(&spreads, &next);
        spreads = next;
        solved = solve(&rows, &seen, &places, jobs.len(), &spreads)?;
        if moved < until {
            settled = true;
            break;
        }
    }
    let off = rows.iter().zip(&solved.fits).map(|(r, fit)| (r.y - fit.0) / (spreads.rest_of(r.kind) * r.v).sqrt()).collect();
    let mut mean = solved.mean;
    mean.iter_mut().zip(&set).for_each(|(m, s)| *m += s);
    let jobs = jobs.into_iter().zip(solved.jobs).collect();
    Some(Posterior { places, mean, covariance: solved.covariance, spreads, jobs, off, winsorised, settled })
}

struct Solved {
    mean: DVector<f64>,
    covariance: DMatrix<f64>,
    jobs: Vec<JobEffect>,
    /// What is expected of each step with its job's effect, and the variance of that.
    fits: Vec<(f64, f64)>,
}

/// The posterior of the effects given the variances: the normal equations, from which each job's own effect is taken out first (each step
/// has one job: a block of its own).
fn solve(rows: &[Row], seen: &[f64], places: &BTreeMap<Effect, usize>, jobs: usize, s: &Spreads) -> Option<Solved> {
    let n = places.len();
    let mut precision = DMatrix::zeros(n, n);
    for (e, i) in places {
        precision[(*i, *i)] = 1.0 / s.of(e).max(1e-9);
    }
    let mut right = DVector::zeros(n);
    // Of each job: the sum of its weights, of its weighted design, of its weighted figures.
    let mut own = vec![(1.0 / s.job.max(1e-9), BTreeMap::<usize, f64>::new(), 0.0); jobs];
    for (r, y) in rows.iter().zip(seen) {
        let weight = 1.0 / (s.rest_of(r.kind) * r.v);
        let job = &mut own[r.job];
        job.0 += weight;
        job.2 += weight * y;
        for i in &r.at {
            *job.1.entry(*i).or_default() += weight;
            right[*i] += weight * y;
            for k in &r.at {
                precision[(*i, *k)] += weight;
            }
        }
    }
    for (weight, design, sum) in &own {
        for (i, a) in design {
            right[*i] -= a * sum / weight;
            for (k, b) in design {
                precision[(*i, *k)] -= a * b / weight;
            }
        }
    }
    let covariance = Cholesky::new(precision)?.inverse();
    let mean = &covariance * right;
    // Of each job: V·b, so that what belongs to it costs no more than its own places.
    let dense: Vec<DVector<f64>> =
        own.iter().map(|(_, design, _)| design.iter().fold(DVector::zeros(n), |sum, (i, a)| sum + covariance.column(*i) * *a)).collect();
    let effects: Vec<JobEffect> = own
        .iter()
        .zip(&dense)
        .map(|((weight, design, sum), vb)| {
            let told: f64 = design.iter().map(|(i, a)| a * mean[*i]).sum();
            let b_v_b: f64 = design.iter().map(|(i, a)| a * vb[*i]).sum();
            JobEffect { mean: (sum - told) / weight, variance: 1.0 / weight + b_v_b / (weight * weight) }
        })
        .collect();
    let fits = rows
        .iter()
        .map(|r| {
            let (job, weight, vb) = (effects[r.job], own[r.job].0, &dense[r.job]);
            let told: f64 = r.at.iter().map(|i| mean[*i]).sum();
            let with: f64 = r.at.iter().map(|i| vb[*i]).sum();
            (told + job.mean, quadratic(&covariance, &r.at) - 2.0 * with / weight + job.variance)
        })
        .collect();
    Some(Solved { mean, covariance, jobs: effects, fits })
}

fn quadratic(v: &DMatrix<f64>, at: &[usize]) -> f64 {
    at.iter().map(|i| at.iter().map(|k| v[(*i, *k)]).sum::<f64>()).sum()
}

/// The step of EM: each variance at the mode of its posterior on a logarithmic scale, (ν₀·s₀² + Σ E u²)/(ν₀ + n).
fn maximized(rows: &[Row], seen: &[f64], places: &BTreeMap<Effect, usize>, solved: &Solved, before: &Spreads) -> Spreads {
    let mut next = before.clone();
    let mode = |prior: f64, squares: f64, n: f64| (PRIOR_COUNTS * prior + squares) / (PRIOR_COUNTS + n);
    let of = |is: fn(&Effect) -> bool, prior: f64| {
        let mine = places.iter().filter(|(e, _)| is(e)).map(|(_, i)| *i);
        let (squares, n) = mine.fold((0.0, 0.0), |(sum, n), i| (sum + solved.mean[i].powi(2) + solved.covariance[(i, i)], n + 1.0));
        mode(prior, squares, n)
    };
    next.kind = of(|e| matches!(e, Effect::Kind(_)), before.kind);
    next.within = of(|e| matches!(e, Effect::Within(..)), before.within);
    next.person = of(|e| matches!(e, Effect::Person(_)), before.person);
    next.family = of(|e| matches!(e, Effect::Family(..)), before.family);
    next.job = mode(before.job, solved.jobs.iter().map(|j| j.mean * j.mean + j.variance).sum(), solved.jobs.len() as f64);
    let mut by_kind: BTreeMap<StepKind, (f64, f64)> = BTreeMap::new();
    for ((r, y), (fit, variance)) in rows.iter().zip(seen).zip(&solved.fits) {
        let sum = by_kind.entry(r.kind).or_default();
        sum.0 += ((y - fit).powi(2) + variance) / r.v;
        sum.1 += 1.0;
    }
    next.rest_of = by_kind.into_iter().map(|(k, (squares, n))| (k, mode(before.rest, squares, n))).collect();
    next
}

/// By how large a part the variance that moved most has moved.
fn moved(a: &Spreads, b: &Spreads) -> f64 {
    let each = |s: &Spreads| {
        let rest = b.rest_of.keys().map(|k| s.rest_of(*k));
        [s.kind, s.within, s.person, s.family, s.job].into_iter().chain(rest).collect::<Vec<f64>>()
    };
    each(a).into_iter().zip(each(b)).map(|(a, b)| (b / a - 1.0).abs()).fold(0.0, f64::max)
}

impl Posterior {
    /// Mean and variance of a sum of effects, each times a number; what was never seen is about 0 with its prior's variance.
    pub fn of(&self, sum: &[(Effect, f64)]) -> (f64, f64) {
        let (mut mean, mut variance) = (0.0, 0.0);
        let mut at: Vec<(usize, f64)> = Vec::new();
        for (e, times) in sum {
            match self.places.get(e) {
                Some(i) => {
                    mean += times * self.mean[*i];
                    at.push((*i, *times));
                }
                None => variance += times * times * self.spreads.of(e),
            }
        }
        variance += at.iter().map(|(i, a)| at.iter().map(|(k, b)| a * b * self.covariance[(*i, *k)]).sum::<f64>()).sum::<f64>();
        (mean, variance)
    }

    /// Covariance of two sums of effects that were seen.
    pub fn together(&self, a: &[(Effect, f64)], b: &[(Effect, f64)]) -> f64 {
        let at = |sum: &[(Effect, f64)]| sum.iter().filter_map(|(e, x)| Some((*self.places.get(e)?, *x))).collect::<Vec<_>>();
        let (a, b) = (at(a), at(b));
        a.iter().map(|(i, x)| b.iter().map(|(k, y)| x * y * self.covariance[(*i, *k)]).sum::<f64>()).sum()
    }

    /// The effects that were seen.
    pub fn effects(&self) -> impl Iterator<Item = &Effect> {
        self.places.keys()
    }
}
