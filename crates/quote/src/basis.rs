//! What a job's times rest on: how many finished steps, what a job's steps have in common, and what the owner corrected. Plain data.

use serde::{Deserialize, Serialize};

/// How much was finished that the times rest on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Basis {
    /// Jobs.
    pub jobs: u32,
    /// Steps of them.
    pub steps: u32,
}

/// What finished steps say of a job as a whole; what they say of single steps stands in `plan::Timed`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct LearnedTimes {
    /// Variance of the logarithm that all steps of a job have in common.
    pub common_log_variance: f64,
    /// What it rests on.
    pub basis: Basis,
}

/// What the owner laid on the times after past quotes were looked at.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Correction {
    /// On every time: 1.1 is a tenth longer.
    pub mean: f64,
    /// On the spread of a job's logarithm: 1.3 is a range that much wider.
    pub spread: f64,
    /// Finished jobs that it was worked out from.
    pub jobs: u32,
}

impl Correction {
    /// Whether its figures can be used.
    pub fn is_sound(&self) -> bool {
        let between = |x: f64| x.is_finite() && (0.2..=5.0).contains(&x);
        between(self.mean) && between(self.spread)
    }
}

/// What the times of a quote rest on, as it is told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct RestsOn {
    /// The shop's finished jobs; none: common practice and what the shop has set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub learned: Option<Basis>,
    /// What the owner corrected.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub correction: Option<Correction>,
}

impl RestsOn {
    /// In the customer's words.
    pub fn to_customer(&self) -> String {
        match self.learned {
            Some(b) if b.jobs > 1 => format!("We know these times from {} jobs that we finished.", b.jobs),
            _ => "These times are common practice in the trade.".to_owned(),
        }
    }

    /// In the shop's words.
    pub fn words(&self) -> String {
        let mut said = match self.learned {
            Some(b) => format!("Times from {} finished {} of this shop.", b.jobs, if b.jobs == 1 { "job" } else { "jobs" }),
            None => "Start-up times: common practice. Until jobs are finished here, your own may lie half as long again or a third shorter, beyond this range.".to_owned(),
        };
        if let Some(c) = self.correction {
            said.push_str(&format!(" Corrected after {} finished quotes.", c.jobs));
        }
        said
    }
}
