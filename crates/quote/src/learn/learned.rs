//! What a shop has learned: each standard before and after, people's paces, what a job's steps have in common. Made from finished steps;
//! kept with each quote that rests on it.

use super::drift::{Drift, drift};
use super::model::{Effect, Posterior, Spreads, posterior};
use super::taken::{LeftOut, Sorted, Taken, standard_log_variance};
use crate::basis::{Basis, LearnedTimes};
use instrument::Kind;
use plan::{Factor, StepKind, Timed, TimedStandard, Within};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use units::ThreePoint;

/// The version of what is kept.
pub const VERSION: u32 = 1;

/// A standard that was timed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LearnedStandard {
    /// Kind of step.
    pub kind: StepKind,
    /// Method or opening; none: the kind as a whole.
    #[serde(default)]
    pub within: Option<Within>,
    /// Finished steps that it rests on.
    pub steps: u32,
    /// Jobs that they belong to.
    pub jobs: u32,
    /// The standard of these steps before, minutes: point by point the mean of them.
    pub before: ThreePoint,
    /// After, whoever does it and on whatever instrument, minutes.
    pub after: ThreePoint,
    /// Mean of the logarithm's effect.
    pub log_mean: f64,
    /// How well that is known: variance.
    pub log_mean_variance: f64,
    /// φ: how widely steps scatter over what the standard's three points say, as a factor on the variance.
    pub dispersion: f64,
    /// Whether lately it takes longer or shorter.
    #[serde(default)]
    pub drift: Option<Drift>,
}

/// What a kind of instrument adds to a kind of step.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct LearnedFamily {
    /// Kind of step.
    pub kind: StepKind,
    /// On what.
    pub family: Kind,
    /// Finished steps.
    pub steps: u32,
    /// Mean of the logarithm's effect.
    pub log_mean: f64,
    /// How well that is known: variance.
    pub log_variance: f64,
}

/// A person's pace.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LearnedPerson {
    /// Who.
    pub name: String,
    /// Finished steps.
    pub steps: u32,
    /// Mean of the logarithm over what the shop as a whole takes.
    pub log_mean: f64,
    /// How well that is known: variance.
    pub log_variance: f64,
}

/// All of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Learned {
    /// Version of this form.
    pub version: u32,
    /// What it rests on.
    pub basis: Basis,
    /// When the first and the last of these steps were done, Unix seconds.
    pub from_to: (i64, i64),
    /// Finished steps that teach nothing, by why.
    pub left_out: BTreeMap<LeftOut, u32>,
    /// Steps whose time was set by hand.
    pub corrected: u32,
    /// Steps that were further off than [`super::FAR`] deviations and count as that far.
    pub winsorised: u32,
    /// Standards, by kind and within it.
    pub standards: Vec<LearnedStandard>,
    /// Instruments within kinds.
    pub families: Vec<LearnedFamily>,
    /// People.
    pub people: Vec<LearnedPerson>,
    /// How this shop takes steps that nobody has timed: mean of the logarithm, its variance, φ.
    pub others: (f64, f64, f64),
    /// How widely kinds differ between instruments that were not timed: variance of the logarithm.
    pub family_variance: f64,
    /// Between people that were not timed.
    pub person_variance: f64,
    /// Where the shop's mix of people lies over a person of pace 1: mean of the logarithm.
    pub mix_log: f64,
    /// Variance of the logarithm that all steps of a job have in common: the job's own factor, who does it, how well the level is known.
    pub common_log_variance: f64,
    /// Of that the job's own factor.
    pub job_log_variance: f64,
    /// Of that how well the shop's level is known.
    pub level_log_variance: f64,
    /// Whether jobs as a whole lately take longer or shorter.
    #[serde(default)]
    pub drift: Option<Drift>,
}

/// What finished steps teach; none where none teaches. `correlation` is the shop's setting before anything was timed, `pace` what the owner
/// set for a person.
pub fn learned(sorted: &Sorted, correlation: f64, pace: impl Fn(&str) -> Option<f64>) -> Option<Learned> {
    let taken = &sorted.taken;
    let usual = taken.iter().map(|t| standard_log_variance(t.standard)).sum::<f64>() / taken.len().max(1) as f64;
    let before = Spreads::before(correlation, usual);
    let set = |p: &str| pace(p).filter(|x| *x > 0.0 && x.is_finite()).map_or(0.0, f64::ln);
    let post = posterior(taken, &before, set)?;
    let mut counts = Counts::default();
    taken.iter().for_each(|t| counts.add(t));
    let mix = counts.mix();
    let usual_step = counts.usual_step(&mix);
    let level = post.of(&usual_step).1;
    let paces = paces(&post, &counts, &mix);
    let mix_log: f64 = mix.iter().map(|(e, w)| w * post.of(&[(e.clone(), 1.0)]).0).sum();
    // Who does it is not known when a quote is made: how far people lie apart, and how little is known of each.
    let between: f64 = mix.iter().zip(&paces).map(|((_, w), p)| w * (p.log_mean.powi(2) + p.log_variance)).sum();
    let common = post.spreads.job + between + level;
    let whole = |kind: StepKind, within: Option<Within>| {
        let own = [(Effect::Shop, 1.0), (Effect::Kind(kind), 1.0)];
        let within = within.map(|w| (Effect::Within(kind, w), 1.0));
        own.into_iter().chain(within).chain(mix.iter().cloned()).collect::<Vec<_>>()
    };
    let mut all = Learned {
        version: VERSION,
        basis: Basis { jobs: whole_number(post.jobs.len()), steps: whole_number(taken.len()) },
        from_to: (taken.first()?.done_at, taken.last()?.done_at),
        left_out: sorted.left_out.clone(),
        corrected: sorted.corrected,
        winsorised: post.winsorised,
        standards: vec![],
        families: families(&post, &counts),
        people: paces,
        others: {
            let (mean, variance) = post.of(&[&[(Effect::Shop, 1.0)][..], &mix[..]].concat());
            (mean, (variance + post.spreads.kind - level).max(0.0), before.rest)
        },
        family_variance: post.spreads.family,
        person_variance: post.spreads.person,
        mix_log,
        common_log_variance: common,
        job_log_variance: post.spreads.job,
        level_log_variance: level,
        drift: jobs_drift(&post),
    };
    for ((kind, within), seen) in &counts.standards {
        let (log_mean, variance) = post.of(&whole(*kind, *within));
        let mine = |t: &&Taken| t.kind == *kind && within.is_none_or(|w| t.within == Some(w));
        let log_sd = (post.spreads.rest_of(*kind) * standard_log_variance(seen.mean())).sqrt();
        let residuals = taken.iter().zip(&post.off).filter(|(t, _)| mine(t)).map(|(_, z)| (*z, log_sd));
        let mut s = LearnedStandard {
            kind: *kind,
            within: *within,
            steps: seen.steps,
            jobs: whole_number(seen.jobs.len()),
            before: seen.mean(),
            after: ThreePoint::ZERO,
            log_mean,
            log_mean_variance: variance,
            dispersion: post.spreads.rest_of(*kind),
            drift: drift(residuals),
        };
        s.after = all.factor(&s, None).on(s.before);
        all.standards.push(s);
    }
    Some(all)
}

fn whole_number(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// How often each effect was seen.
#[derive(Default)]
struct Counts {
    standards: BTreeMap<(StepKind, Option<Within>), Seen>,
    families: BTreeMap<(StepKind, Kind), u32>,
    people: BTreeMap<String, u32>,
    steps: f64,
}

#[derive(Default)]
struct Seen {
    steps: u32,
    jobs: BTreeSet<i64>,
    sum: [f64; 3],
}

impl Seen {
    fn mean(&self) -> ThreePoint {
        let n = f64::from(self.steps.max(1));
        ThreePoint::new(self.sum[0] / n, self.sum[1] / n, self.sum[2] / n)
    }
}

impl Counts {
    fn add(&mut self, t: &Taken) {
        let own = t.within.map(|w| (t.kind, Some(w)));
        for key in std::iter::once((t.kind, None)).chain(own) {
            let seen = self.standards.entry(key).or_default();
            seen.steps += 1;
            seen.jobs.insert(t.job);
            let points = [t.standard.least, t.standard.likely, t.standard.most];
            seen.sum.iter_mut().zip(points).for_each(|(sum, p)| *sum += p);
        }
        *self.families.entry((t.kind, t.family)).or_default() += 1;
        if let Some(p) = &t.person {
            *self.people.entry(p.clone()).or_default() += 1;
        }
        self.steps += 1.0;
    }

    /// Who does a step here, by how many they did.
    fn mix(&self) -> Vec<(Effect, f64)> {
        let all: u32 = self.people.values().sum();
        self.people.iter().map(|(p, n)| (Effect::Person(p.clone()), f64::from(*n) / f64::from(all.max(1)))).collect()
    }

    /// The effects of a usual step, each by how often it comes.
    fn usual_step(&self, mix: &[(Effect, f64)]) -> Vec<(Effect, f64)> {
        let standards = self.standards.iter().map(|((kind, within), seen)| {
            let effect = within.map_or(Effect::Kind(*kind), |w| Effect::Within(*kind, w));
            (effect, f64::from(seen.steps) / self.steps)
        });
        let families = self.families.iter().map(|((k, f), n)| (Effect::Family(*k, *f), f64::from(*n) / self.steps));
        std::iter::once((Effect::Shop, 1.0)).chain(standards).chain(families).chain(mix.iter().cloned()).collect()
    }
}

fn families(post: &Posterior, counts: &Counts) -> Vec<LearnedFamily> {
    let one = |((kind, family), steps): (&(StepKind, Kind), &u32)| {
        let own = [(Effect::Shop, 1.0), (Effect::Kind(*kind), 1.0)];
        let family_only = [(Effect::Family(*kind, *family), 1.0)];
        let with = [&own[..], &family_only[..]].concat();
        // What knowing the instrument adds to the variance of the kind alone.
        let log_variance = post.of(&with).1 - post.of(&own).1;
        LearnedFamily { kind: *kind, family: *family, steps: *steps, log_mean: post.of(&family_only).0, log_variance }
    };
    counts.families.iter().map(one).collect()
}

fn paces(post: &Posterior, counts: &Counts, mix: &[(Effect, f64)]) -> Vec<LearnedPerson> {
    let one = |(name, steps): (&String, &u32)| {
        let mut over_mix: Vec<(Effect, f64)> = mix.iter().map(|(e, w)| (e.clone(), -w)).collect();
        over_mix.push((Effect::Person(name.clone()), 1.0));
        let (log_mean, log_variance) = post.of(&over_mix);
        LearnedPerson { name: name.clone(), steps: *steps, log_mean, log_variance }
    };
    counts.people.iter().map(one).collect()
}

/// Drift of jobs as a whole: their own factors in the order of time, each in the deviation that such a mean has.
fn jobs_drift(post: &Posterior) -> Option<Drift> {
    let sd = post.spreads.job.sqrt();
    drift(post.jobs.iter().map(|(_, j)| {
        let seen = (post.spreads.job - j.variance).max(1e-6).sqrt();
        (j.mean / seen, seen.min(sd))
    }))
}

impl Learned {
    /// The factor of a standard, on a kind of instrument where one is named.
    pub fn factor(&self, s: &LearnedStandard, family: Option<Kind>) -> Factor {
        let known = family.and_then(|f| self.families.iter().find(|x| x.kind == s.kind && x.family == f));
        let (offset, spread) = known.map_or((0.0, self.family_variance), |f| (f.log_mean, f.log_variance));
        self.factor_of(s.log_mean + offset, s.log_mean_variance + spread - self.level_log_variance, s.dispersion, s.before)
    }

    fn factor_of(&self, log_mean: f64, own_variance: f64, dispersion: f64, standard: ThreePoint) -> Factor {
        let added = self.common_log_variance + own_variance.max(0.0);
        let v = standard_log_variance(standard);
        // The mean of a lognormal: the standard's own half variance was taken out when the logarithm was compared.
        let mean = (log_mean + 0.5 * (dispersion * v + added - v)).exp();
        Factor { mean, dispersion, added_log_variance: added }
    }

    /// Whether times are the same by another: all but how many steps teach nothing.
    pub fn same_times(&self, other: &Self) -> bool {
        *self == Self { left_out: self.left_out.clone(), ..other.clone() }
    }

    /// The shop's standards for a kind of instrument, as the plan takes them.
    pub fn timed(&self, family: Kind) -> Timed {
        // A standard of middling spread: mean 1, as wide as the shop's usual.
        let usual = self.standards.iter().find(|s| s.within.is_none()).map_or(ThreePoint::new(0.5, 0.9, 1.9), |s| s.before);
        let (log_mean, variance, dispersion) = self.others;
        Timed {
            others: Some(self.factor_of(log_mean, variance, dispersion, usual)),
            standards: self
                .standards
                .iter()
                .map(|s| TimedStandard { kind: s.kind, within: s.within, factor: self.factor(s, Some(family)) })
                .collect(),
        }
    }

    /// What is learned of a job as a whole.
    pub fn times(&self) -> LearnedTimes {
        LearnedTimes { common_log_variance: self.common_log_variance, basis: self.basis }
    }
}
