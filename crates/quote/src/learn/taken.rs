//! Finished steps: what each teaches, and which teach nothing, each with its reason.

use instrument::Kind;
use plan::{StepKind, Within, timed_as};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use units::ThreePoint;

/// A step that was ticked, as the record has it.
#[derive(Clone, Debug, PartialEq)]
pub struct FinishedStep {
    /// The job that it belongs to.
    pub job: i64,
    /// What kind of step.
    pub kind: StepKind,
    /// Its method, or what it opened; none where it has none, or an earlier program kept it.
    pub within: Option<Within>,
    /// What instrument it was done on.
    pub family: Kind,
    /// Who did it; none where nobody was named.
    pub person: Option<String>,
    /// The standard that it was planned by, before timed steps moved it, minutes.
    pub standard: ThreePoint,
    /// The shop's standard for its kind then, as it was set; none where an earlier program kept it.
    pub set_then: Option<ThreePoint>,
    /// Minutes that its timer ran, or that were set by hand.
    pub took_min: f64,
    /// Whether its time is in doubt: the clock was set while it ran, it ran longer than anybody works, or its job was begun before it had
    /// timers.
    pub doubtful: bool,
    /// Whether its time was set by hand, with a reason.
    pub corrected: bool,
    /// When it was ticked, Unix seconds.
    pub done_at: i64,
}

/// Why a finished step teaches nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LeftOut {
    /// It was ticked without a timer.
    NoTimer,
    /// Its timer is in doubt, and nobody set the time by hand.
    Doubtful,
    /// It took less than a twentieth or more than twenty times the standard.
    Absurd,
    /// It has no standard to be compared with.
    NoStandard,
    /// Its standard was set anew since.
    SetSince,
    /// It is too long ago.
    TooOld,
}

impl LeftOut {
    /// Why, in words for the page, behind a number of steps.
    pub fn words(self) -> &'static str {
        match self {
            Self::NoTimer => "ticked without a timer: nobody knows how long they took",
            Self::Doubtful => {
                "with a time in doubt: the clock was set, the timer ran on for more than 12 hours, or work had begun before the job had timers. Correct the time, and they count"
            }
            Self::Absurd => {
                "under a twentieth or over twenty times the standard: started late, forgotten, or one timer for many steps. Corrected by hand, they count"
            }
            Self::NoStandard => "whose standard is nothing, so that there is nothing to compare with",
            Self::SetSince => "planned by a standard that you have set anew since",
            Self::TooOld => "older than two years",
        }
    }
}

/// Times beyond this many times the standard, and below its inverse, are no times. Common practice, no source.
pub const ABSURD: f64 = 20.0;

/// Steps of longer ago teach nothing, seconds: people, benches and tools change. Common practice, no source.
pub const OLDEST_S: i64 = 2 * 365 * 24 * 3600;

/// A step that teaches.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// The job that it belongs to.
    pub job: i64,
    /// As what kind it is timed.
    pub kind: StepKind,
    /// Its method, or what it opened.
    pub within: Option<Within>,
    /// On what instrument.
    pub family: Kind,
    /// Who did it.
    pub person: Option<String>,
    /// The standard.
    pub standard: ThreePoint,
    /// Minutes.
    pub took_min: f64,
    /// When, Unix seconds.
    pub done_at: i64,
}

impl Taken {
    /// Logarithm of the time taken over the standard's mean.
    pub fn log_ratio(&self) -> f64 {
        (self.took_min / self.standard.mean()).ln()
    }
}

/// Finished steps, sorted: what teaches, oldest first, and how many were left out for which reason.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Sorted {
    /// What teaches.
    pub taken: Vec<Taken>,
    /// How many teach nothing, by why.
    pub left_out: BTreeMap<LeftOut, u32>,
    /// How many of those that teach have a time that was set by hand.
    pub corrected: u32,
}

/// A standard that a program wrote without a spread gets none narrower than this: variance of the logarithm. Common practice, no source: a
/// tenth either way.
const LEAST_LOG_VARIANCE: f64 = 0.01;

/// The variance of a step's logarithm by its standard.
pub fn standard_log_variance(standard: ThreePoint) -> f64 {
    standard.log_variance().clamp(LEAST_LOG_VARIANCE, 1.0)
}

/// Sorts finished steps. `set_now` is the shop's standard of a kind as it is set now; `now` in Unix seconds.
pub fn sorted(steps: &[FinishedStep], set_now: impl Fn(StepKind, Option<Within>) -> ThreePoint, now: i64) -> Sorted {
    let mut all = Sorted::default();
    for s in steps {
        match why_left_out(s, &set_now, now) {
            Some(why) => *all.left_out.entry(why).or_default() += 1,
            None => {
                all.corrected += u32::from(s.corrected);
                let (kind, within) = timed_as(s.kind, s.within);
                let (job, family, person, standard) = (s.job, s.family, s.person.clone(), s.standard);
                all.taken.push(Taken { job, kind, within, family, person, standard, took_min: s.took_min, done_at: s.done_at });
            }
        }
    }
    all.taken.sort_by_key(|t| (t.done_at, t.job));
    all
}

fn why_left_out(s: &FinishedStep, set_now: &impl Fn(StepKind, Option<Within>) -> ThreePoint, now: i64) -> Option<LeftOut> {
    let mean = s.standard.mean();
    if !(mean > 0.0 && mean.is_finite()) {
        return Some(LeftOut::NoStandard);
    }
    if s.doubtful && !s.corrected {
        return Some(LeftOut::Doubtful);
    }
    if !(s.took_min > 0.0 && s.took_min.is_finite()) {
        return Some(LeftOut::NoTimer);
    }
    if !(1.0 / ABSURD..=ABSURD).contains(&(s.took_min / mean)) {
        return Some(LeftOut::Absurd);
    }
    if now - s.done_at > OLDEST_S {
        return Some(LeftOut::TooOld);
    }
    s.set_then.is_some_and(|then| then != set_now(s.kind, s.within)).then_some(LeftOut::SetSince)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn step() -> FinishedStep {
        FinishedStep {
            job: 1,
            kind: StepKind::Patch,
            within: None,
            family: Kind::Tuba,
            person: None,
            standard: ThreePoint::new(20.0, 35.0, 70.0),
            set_then: Some(ThreePoint::new(20.0, 35.0, 70.0)),
            took_min: 40.0,
            doubtful: false,
            corrected: false,
            done_at: 0,
        }
    }

    /// A tenth either way is a deviation of 0.1 of the logarithm: 0.01. One that has a spread keeps its own (`units`: 0.065 by hand).
    #[test]
    fn a_standard_without_a_spread_has_a_tenth() {
        assert!((standard_log_variance(ThreePoint::new(30.0, 30.0, 30.0)) - 0.1_f64.powi(2)).abs() < 1e-12);
        assert!(
            (standard_log_variance(ThreePoint::new(20.0, 35.0, 70.0)) - ThreePoint::new(20.0, 35.0, 70.0).log_variance()).abs() < 1e-12
        );
    }

    #[test]
    fn each_step_that_teaches_nothing_says_why() {
        let day = 24 * 3600;
        let set = |_, _| ThreePoint::new(20.0, 35.0, 70.0);
        let one = |s: FinishedStep, now: i64| sorted(&[s], set, now);
        let why = |s: FinishedStep, now: i64| one(s, now).left_out.into_keys().next();
        assert_eq!(why(step(), day), None);
        assert_eq!(why(FinishedStep { took_min: 0.0, ..step() }, day), Some(LeftOut::NoTimer));
        assert_eq!(why(FinishedStep { doubtful: true, ..step() }, day), Some(LeftOut::Doubtful));
        assert_eq!(why(FinishedStep { took_min: 1.0, ..step() }, day), Some(LeftOut::Absurd));
        assert_eq!(why(FinishedStep { took_min: 800.0, ..step() }, day), Some(LeftOut::Absurd));
        // A mean of 38.3 minutes: twenty times is 767 and a twentieth 1.92, as the page says of what it leaves out.
        for (took_min, left) in [(730.0, None), (800.0, Some(LeftOut::Absurd)), (2.0, None), (1.8, Some(LeftOut::Absurd))] {
            assert_eq!(why(FinishedStep { took_min, ..step() }, day), left, "{took_min}");
        }
        assert_eq!(why(FinishedStep { standard: ThreePoint::ZERO, ..step() }, day), Some(LeftOut::NoStandard));
        assert_eq!(why(FinishedStep { set_then: Some(ThreePoint::new(1.0, 2.0, 3.0)), ..step() }, day), Some(LeftOut::SetSince));
        assert_eq!(why(step(), 3 * 365 * day), Some(LeftOut::TooOld));
        // A doubtful time that was set right counts, and is counted.
        let right = one(FinishedStep { doubtful: true, corrected: true, ..step() }, day);
        assert_eq!((right.taken.len(), right.corrected), (1, 1));
        // What an earlier program kept does not say what was set then.
        assert_eq!(why(FinishedStep { set_then: None, ..step() }, day), None);
    }
}
