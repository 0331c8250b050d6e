//! What finished jobs teach: their steps with their times, and what had been said of the whole.

use crate::connection::Store;
use crate::error::Result;
use crate::sql;

/// A ticked step of a job that is ready or handed back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FinishedRow {
    /// The job.
    pub job: i64,
    /// Kind of its instrument, as the survey's pattern names it.
    pub instrument: String,
    /// Kind of step.
    pub kind: String,
    /// By what it is timed, JSON; empty: kept by a program that did not learn.
    pub timed_by: String,
    /// Who did it.
    pub person: Option<String>,
    /// What the plan said, seconds.
    pub likely_s: i64,
    /// What it took, seconds.
    pub spent_s: i64,
    /// When it was ticked, Unix seconds.
    pub done_at: i64,
    /// Whether its time is in doubt, or its job was begun before it had timers.
    pub doubtful: bool,
    /// Whether its time was set by hand.
    pub corrected: bool,
}

/// A finished job that was quoted and agreed, with no more agreed on the way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FinishedJob {
    /// The job.
    pub job: i64,
    /// Kind of its instrument.
    pub instrument: String,
    /// The level that was agreed.
    pub level: String,
    /// The quote, JSON.
    pub quote: String,
    /// Seconds that its steps took.
    pub spent_s: i64,
    /// Of its ticked steps those whose time nobody knows: without a timer, or in doubt; all where the job was begun before it had timers.
    pub unknown: i64,
    /// Its ticked steps.
    pub steps: i64,
}

/// States in which a job's times are whole.
const WHOLE: &str = "('ready', 'handed_back')";

/// Whether a step's job was begun by hand before it had timers: nobody knows which of its steps.
const BEGUN_BEFORE: &str = "EXISTS (SELECT 1 FROM contract_jobs k WHERE k.job = s.job AND k.begun_before_s IS NOT NULL)";

impl Store {
    /// Ticked steps of jobs that are ready or handed back, the newest jobs, oldest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn finished_steps(&self, most_jobs: u32) -> Result<Vec<FinishedRow>> {
        let sql = format!(
            "SELECT s.job, i.kind, s.kind, s.timed_by, p.name, s.likely_s, s.spent_s, s.done_at, s.doubtful OR {BEGUN_BEFORE}, s.time_note <> ''
             FROM steps s JOIN jobs j ON j.id = s.job JOIN instruments i ON i.id = j.instrument LEFT JOIN people p ON p.id = s.person
             WHERE s.state = 'done' AND s.done_at IS NOT NULL
               AND s.job IN (SELECT id FROM jobs WHERE state IN {WHOLE} ORDER BY id DESC LIMIT ?1)
             ORDER BY s.done_at, s.id"
        );
        self.read(|c| {
            sql::all(c, &sql, [most_jobs], |r| {
                Ok(FinishedRow {
                    job: r.get(0)?,
                    instrument: r.get(1)?,
                    kind: r.get(2)?,
                    timed_by: r.get(3)?,
                    person: r.get(4)?,
                    likely_s: r.get(5)?,
                    spent_s: r.get(6)?,
                    done_at: r.get(7)?,
                    doubtful: r.get(8)?,
                    corrected: r.get(9)?,
                })
            })
        })
    }

    /// Finished jobs with the quote that was taken, the newest, oldest first. Where more was agreed on the way, the quote did not speak of
    /// the whole: such a job is left out.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn finished_jobs(&self, most: u32) -> Result<Vec<FinishedJob>> {
        let sql = format!(
            "SELECT j.id, i.kind, a.level, q.body, sum(s.spent_s), sum(s.spent_s = 0 OR s.doubtful = 1 OR {BEGUN_BEFORE}), count(*)
             FROM jobs j JOIN instruments i ON i.id = j.instrument JOIN agreements a ON a.job = j.id JOIN quotes q ON q.id = a.quote
             JOIN steps s ON s.job = j.id AND s.state = 'done' AND s.kind <> 'make_tool'
             WHERE j.state IN {WHOLE} AND (SELECT count(*) FROM agreements b WHERE b.job = j.id) = 1
             GROUP BY j.id ORDER BY j.id DESC LIMIT ?1"
        );
        let mut all = self.read(|c| {
            sql::all(c, &sql, [most], |r| {
                Ok(FinishedJob {
                    job: r.get(0)?,
                    instrument: r.get(1)?,
                    level: r.get(2)?,
                    quote: r.get(3)?,
                    spent_s: r.get(4)?,
                    unknown: r.get(5)?,
                    steps: r.get(6)?,
                })
            })
        })?;
        all.reverse();
        Ok(all)
    }
}
