//! Do quotes hold? Past quotes against what the jobs took: the share that was done within each time that was said, with its binomial
//! interval, and the correction that would have made them hold.

use crate::basis::Correction;
use crate::times::{Times, normal_quantile};
use instrument::Kind;
use plan::Level;
use serde::{Deserialize, Serialize};
use statrs::distribution::{Beta, ContinuousCDF};
use units::Source;

/// Where the intervals come from.
pub const INTERVAL: Source = Source::from_memory("exact binomial interval: Clopper & Pearson, Biometrika 26 (1934); 90 %");

/// A finished job: what was said and what it took.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Past {
    /// The times that were quoted.
    pub said: Times,
    /// Minutes that it took.
    pub took_min: f64,
    /// What instrument.
    pub family: Kind,
    /// How far the work went.
    pub level: Level,
    /// Whether it was quoted as quotes are made now: from learned times or not, with the correction of now. Only these suggest one.
    pub as_now: bool,
}

/// A share of jobs.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Share {
    /// How many held.
    pub held: u32,
    /// Of how many.
    pub of: u32,
    /// The exact binomial interval, 90 %.
    pub interval: (f64, f64),
}

impl Share {
    /// Of so many this many.
    pub fn of(held: usize, of: usize) -> Self {
        let whole = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Self { held: whole(held), of: whole(of), interval: clopper_pearson(held, of, 0.9) }
    }

    /// As a part of one; 0 of none.
    pub fn part(&self) -> f64 {
        f64::from(self.held) / f64::from(self.of.max(1))
    }
}

/// The exact binomial interval of a share: of all shares that would show this many or more (or fewer) with at least half of what lies
/// outside.
pub fn clopper_pearson(held: usize, of: usize, confidence: f64) -> (f64, f64) {
    let (k, n, tail) = (held.min(of) as f64, of as f64, 0.5 * (1.0 - confidence));
    let quantile = |a: f64, b: f64, p: f64| Beta::new(a, b).map(|share| share.inverse_cdf(p));
    let low = if held == 0 { 0.0 } else { quantile(k, n - k + 1.0, tail).unwrap_or(0.0) };
    let high = if held >= of { 1.0 } else { quantile(k + 1.0, n - k, 1.0 - tail).unwrap_or(1.0) };
    (low, high)
}

/// The likelihoods that a quote says of its times, as they are looked at.
pub const LIKELIHOODS: [f64; 5] = [0.1, 0.25, 0.5, 0.75, 0.9];

/// Fewer finished jobs than this say nothing. Common practice, no source.
pub const FEWEST: usize = 10;

/// A correction is called for where what was said lies outside this interval: of shops whose quotes hold one in fifty is told otherwise.
const SURE: f64 = 0.99;

/// How past quotes held.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// Jobs looked at.
    pub jobs: usize,
    /// For each likelihood that was said: the share that was done within that time.
    pub reliability: Vec<(f64, Share)>,
    /// The share between the 10 % and the 90 % point; eight in ten are meant.
    pub within: Share,
    /// The same by instrument.
    pub by_family: Vec<(Kind, Share)>,
    /// The same by how far the work went.
    pub by_level: Vec<(Level, Share)>,
    /// Median of time taken over the median that was said.
    pub median_ratio: f64,
    /// How many were quoted as quotes are made now.
    pub as_now: usize,
    /// What would have made these hold; none where they are too few.
    pub suggestion: Option<Correction>,
    /// Whether they ask for it: their share within the median or within the 90 % point is not what was said.
    pub asked_for: bool,
}

/// How past quotes held; none where no job is finished.
pub fn calibrated(past: &[Past], correction: Option<Correction>) -> Option<Calibration> {
    let usable: Vec<&Past> = past.iter().filter(|p| p.took_min > 0.0 && p.took_min.is_finite() && p.said.mean_min > 0.0).collect();
    if usable.is_empty() {
        return None;
    }
    let reliability = LIKELIHOODS.map(|p| (p, within(&usable, p))).to_vec();
    let inside = |p: &&&Past| (p.said.p10_min..=p.said.p90_min).contains(&p.took_min);
    let share = |all: &[&Past]| Share::of(all.iter().filter(inside).count(), all.len());
    let mut ratios: Vec<f64> = usable.iter().map(|p| p.took_min / p.said.p50_min).collect();
    ratios.sort_by(f64::total_cmp);
    let mut families: Vec<Kind> = usable.iter().map(|p| p.family).collect();
    families.sort_unstable();
    families.dedup();
    let of = |is: &dyn Fn(&Past) -> bool| share(&usable.iter().copied().filter(|p| is(p)).collect::<Vec<_>>());
    let by_level = Level::ALL.into_iter().map(|l| (l, of(&|p| p.level == l))).filter(|(_, s)| s.of > 0).collect();
    let now: Vec<&Past> = usable.iter().copied().filter(|p| p.as_now).collect();
    let off = |p: f64| {
        let share = within(&now, p);
        let (low, high) = clopper_pearson(share.held as usize, share.of as usize, SURE);
        p < low || p > high
    };
    Some(Calibration {
        jobs: usable.len(),
        within: share(&usable),
        by_family: families.into_iter().map(|f| (f, of(&|p| p.family == f))).collect(),
        by_level,
        median_ratio: ratios[ratios.len() / 2],
        as_now: now.len(),
        suggestion: suggestion(&now, correction),
        asked_for: now.len() >= FEWEST && (off(0.5) || off(0.9)),
        reliability,
    })
}

fn within(all: &[&Past], likelihood: f64) -> Share {
    Share::of(all.iter().filter(|p| p.took_min <= p.said.quantile_min(likelihood)).count(), all.len())
}

/// The suggestion counts the quotes as they were as this many jobs. Common practice, no source.
const PRIOR_JOBS: f64 = 4.0;

/// A factor on the times: the mean of ln(taken / median said), drawn toward 1; a factor on the spread: the deviation that is left over the one
/// that was said, drawn toward 1 (conjugate normal and scaled inverse chi-squared, each prior worth [`PRIOR_JOBS`]). On top of the correction
/// that these were quoted with.
fn suggestion(now: &[&Past], correction: Option<Correction>) -> Option<Correction> {
    if now.len() < FEWEST {
        return None;
    }
    let n = now.len() as f64;
    let logs: Vec<(f64, f64)> = now
        .iter()
        .map(|p| ((p.took_min / p.said.p50_min).ln(), ((p.said.p90_min / p.said.p50_min).ln() / normal_quantile(0.9)).max(0.02)))
        .collect();
    let shift = logs.iter().map(|(x, _)| x).sum::<f64>() / (n + PRIOR_JOBS);
    let squares: f64 = logs.iter().map(|(x, sd)| ((x - shift) / sd).powi(2)).sum();
    let spread = ((PRIOR_JOBS + squares) / (PRIOR_JOBS + n)).sqrt();
    let so_far = correction.unwrap_or(Correction { mean: 1.0, spread: 1.0, jobs: 0 });
    let jobs = u32::try_from(now.len()).unwrap_or(u32::MAX);
    let both = Correction { mean: so_far.mean * shift.exp(), spread: so_far.spread * spread, jobs };
    both.is_sound().then_some(both)
}

#[cfg(test)]
mod tests {
    use super::*;
    use fixtures::Dice;
    use units::ThreePoint;

    /// Closed forms: of one that held Clopper–Pearson reaches from α/2 to 1; of none of one from 0 to 1 − α/2; the table of 8 of 10 at 90 %:
    /// 0.493 to 0.963 (from memory of Clopper & Pearson's table).
    #[test]
    fn the_interval_is_the_exact_one() {
        let near = |(a, b): (f64, f64), (c, d): (f64, f64)| assert!((a - c).abs() < 6e-4 && (b - d).abs() < 6e-4, "{a} {b}");
        near(clopper_pearson(1, 1, 0.9), (0.05, 1.0));
        near(clopper_pearson(0, 1, 0.9), (0.0, 0.95));
        near(clopper_pearson(8, 10, 0.9), (0.493, 0.963));
        // Brute force: at the lower end eight or more come with 5 %.
        let (low, high) = clopper_pearson(8, 10, 0.9);
        let choose = [1.0, 10.0, 45.0, 120.0, 210.0, 252.0, 210.0, 120.0, 45.0, 10.0, 1.0];
        let at = |p: f64, k: usize| choose[k] * p.powi(k as i32) * (1.0 - p).powi(10 - k as i32);
        assert!(((8..=10).map(|k| at(low, k)).sum::<f64>() - 0.05).abs() < 1e-6);
        assert!(((0..=8).map(|k| at(high, k)).sum::<f64>() - 0.05).abs() < 1e-6);
    }

    fn past(dice: &mut Dice, factor: f64, spread: f64, n: usize) -> Vec<Past> {
        let said = Times::of([ThreePoint::new(60.0, 100.0, 180.0); 4], 0.3);
        let sd = (said.p90_min / said.p50_min).ln() / normal_quantile(0.9);
        (0..n)
            .map(|i| Past {
                said,
                took_min: said.p50_min * factor * (sd * spread * dice.normal()).exp(),
                family: if i % 3 == 0 { Kind::Tuba } else { Kind::Trumpet },
                level: Level::Good,
                as_now: true,
            })
            .collect()
    }

    #[test]
    fn quotes_that_hold_ask_for_nothing_and_quotes_that_do_not_are_told_by_how_much() {
        let mut dice = Dice(3);
        let good = calibrated(&past(&mut dice, 1.0, 1.0, 120), None).unwrap();
        assert!(!good.asked_for && (good.within.part() - 0.8).abs() < 0.1, "{good:?}");
        let off = calibrated(&past(&mut dice, 1.3, 1.6, 120), None).unwrap();
        let c = off.suggestion.unwrap();
        assert!(off.asked_for && (c.mean / 1.3 - 1.0).abs() < 0.08 && (c.spread / 1.6 - 1.0).abs() < 0.2, "{c:?}");
        // What the correction would have said holds.
        assert_eq!(off.by_family.iter().map(|(_, s)| s.of).sum::<u32>(), 120);
        // On top of one that is laid on already.
        let again = calibrated(&past(&mut dice, 1.3, 1.0, 120), Some(Correction { mean: 1.1, spread: 1.0, jobs: 12 })).unwrap();
        assert!((again.suggestion.unwrap().mean / (1.1 * 1.3) - 1.0).abs() < 0.08);
    }

    #[test]
    fn few_jobs_suggest_nothing() {
        let mut dice = Dice(4);
        // Ten, as docs/learning.md has it.
        let few = calibrated(&past(&mut dice, 2.0, 1.0, 9), None).unwrap();
        assert!(few.suggestion.is_none() && !few.asked_for);
        let ten = calibrated(&past(&mut dice, 2.0, 0.0, 10), None).unwrap();
        assert!(ten.asked_for);
        // Conjugate normal with a prior that counts as four (Gelman et al., Bayesian Data Analysis, 2.5: μ = Σx / (κ + n)): ten times ln 2
        // over fourteen.
        assert!((ten.suggestion.unwrap().mean - 2.0_f64.powf(10.0 / 14.0)).abs() < 1e-9, "{:?}", ten.suggestion);
        assert!(calibrated(&[], None).is_none());
        // Those that were quoted otherwise than now are looked at and suggest nothing.
        let other: Vec<Past> = past(&mut dice, 2.0, 1.0, 40).into_iter().map(|p| Past { as_now: false, ..p }).collect();
        let c = calibrated(&other, None).unwrap();
        assert!(c.jobs == 40 && c.as_now == 0 && c.suggestion.is_none());
    }
}
