//! Work that a customer or the shop asks for by name, beside dents and conditions: a job of the shop's own list, how often and where.

use crate::{JointId, RunId, WorkId};
use serde::{Deserialize, Serialize};

/// More of one kind on one instrument is a slip of the finger.
pub const MOST_TIMES: u32 = 40;

/// A standard job of the shop's list that is to be done on this instrument.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Work {
    /// Its name in the survey.
    pub id: WorkId,
    /// Key of the job in the shop's list.
    pub job: String,
    /// How often: three valves, two corks.
    pub count: u32,
    /// The tube it is on; none: the whole instrument, or nobody said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run: Option<RunId>,
    /// The joint that has to be apart for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub joint: Option<JointId>,
    /// Whether only the fullest offer holds it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub optional: bool,
    /// Words of whoever asked for it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

impl Work {
    /// A job once, nobody said where.
    pub fn new(id: impl Into<WorkId>, job: impl Into<String>) -> Self {
        Self { id: id.into(), job: job.into(), count: 1, run: None, joint: None, optional: false, note: String::new() }
    }
}
