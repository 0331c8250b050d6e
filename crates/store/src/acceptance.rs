//! Acceptance checks, and when a job is ready: each figure compared with what is wanted, and what is not met let go by name.

use crate::connection::{By, Store};
use crate::counter::JobState;
use crate::error::{Result, StoreError};
use crate::sql;
use crate::states::{self, Action, Brought, Said};
use rusqlite::Connection;
use serde::Serialize;

/// What must be done before a job is ready, as its plan says: keys with words.
#[derive(Clone, Debug, Default)]
pub struct Required {
    /// Steps.
    pub steps: Vec<(String, String)>,
    /// Final checks.
    pub checks: Vec<(String, String)>,
}

/// An acceptance check's record.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AcceptanceRecord {
    /// Names the acceptance check.
    pub key: String,
    /// What is checked.
    pub what: String,
    /// What is wanted.
    pub wanted: String,
    /// The figure found, with its unit.
    pub figure: String,
    /// Whether it passed; none: not yet taken.
    pub passed: Option<bool>,
    /// The reason, where there is no figure or it failed.
    pub reason: String,
    /// The figure as a number, where it is a length, mm.
    pub measured_mm: Option<f64>,
    /// The least that is wanted, mm.
    pub least_mm: Option<f64>,
    /// The most that is wanted, mm.
    pub most_mm: Option<f64>,
    /// Who lets it go where it failed; empty where nobody does.
    pub let_go_by: String,
    /// Who took it.
    pub who: String,
    /// When, Unix seconds.
    pub at: Option<i64>,
}

impl AcceptanceRecord {
    /// Whether the figure misses what is wanted.
    pub fn misses(&self) -> bool {
        // A figure is read to hundredths of a millimeter; what is wanted was rounded no finer.
        const READING_MM: f64 = 0.005;
        self.measured_mm.is_some_and(|x| {
            !x.is_finite()
                || self.least_mm.is_some_and(|least| x < least - READING_MM)
                || self.most_mm.is_some_and(|most| x > most + READING_MM)
        })
    }

    /// Whether somebody lets it go by name and reason.
    pub fn let_go(&self) -> bool {
        self.passed != Some(true) && Said::both(&self.let_go_by, &self.reason).is_some()
    }
}

/// Acceptance checks.
impl Store {
    /// Acceptance checks recorded for a job.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn acceptance_records(&self, job: i64) -> Result<Vec<AcceptanceRecord>> {
        self.read(|c| {
            sql::all(
                c,
                "SELECT key, what, wanted, figure, passed, reason, who, at, measured_mm, least_mm, most_mm, let_go_by
                 FROM acceptance_checks WHERE job = ?1 ORDER BY id",
                [job],
                |r| {
                    Ok(AcceptanceRecord {
                        key: r.get(0)?,
                        what: r.get(1)?,
                        wanted: r.get(2)?,
                        figure: r.get(3)?,
                        passed: r.get(4)?,
                        reason: r.get(5)?,
                        who: r.get(6)?,
                        at: r.get(7)?,
                        measured_mm: r.get(8)?,
                        least_mm: r.get(9)?,
                        most_mm: r.get(10)?,
                        let_go_by: r.get(11)?,
                    })
                },
            )
        })
    }

    /// Records an acceptance check. It needs a figure or a reason; a failed one needs a reason. A figure that misses what is
    /// wanted has failed, whatever was said; it is let go by name and reason only.
    ///
    /// # Errors
    /// Where it has neither, the figure misses and nobody lets it go, or the job's state does not allow it.
    pub fn save_acceptance(&self, by: By<'_>, job: i64, check: &AcceptanceRecord) -> Result<()> {
        let empty = |s: &str| s.trim().is_empty();
        if empty(&check.figure) && empty(&check.reason) {
            return Err(StoreError::Refused(format!("{}: give the figure, or say why there is none", check.what)));
        }
        let said_passed = check.passed == Some(true);
        if said_passed && check.misses() && Said::both(&check.let_go_by, &check.reason).is_none() {
            return Err(StoreError::Refused(format!(
                "{}: {} misses what is wanted ({}). It has not passed; to let it go all the same, give a name and a reason",
                check.what, check.figure, check.wanted
            )));
        }
        let lacks_figure = empty(&check.figure) && (check.least_mm.is_some() || check.most_mm.is_some());
        if said_passed && lacks_figure && Said::both(&check.let_go_by, &check.reason).is_none() {
            return Err(StoreError::Refused(format!(
                "{}: give the figure, to be compared with what is wanted ({}). To let it go without one, give a name and a reason",
                check.what, check.wanted
            )));
        }
        let passed = if check.misses() || lacks_figure { Some(false) } else { check.passed };
        if check.passed != Some(true) && empty(&check.reason) {
            return Err(StoreError::Refused(format!("{}: it did not pass, so say why the job can stand", check.what)));
        }
        let let_go_by = if passed == Some(true) { "" } else { check.let_go_by.trim() };
        self.write(by, |c| {
            states::plainly(c, by, job, Action::Check)?;
            sql::run(
                c,
                "INSERT INTO acceptance_checks (job, key, what, wanted, figure, passed, reason, who, at, measured_mm, least_mm, most_mm, let_go_by)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)
                 ON CONFLICT (job, key) DO UPDATE SET what = excluded.what, wanted = excluded.wanted, figure = excluded.figure,
                 passed = excluded.passed, reason = excluded.reason, who = excluded.who, at = excluded.at,
                 measured_mm = excluded.measured_mm, least_mm = excluded.least_mm, most_mm = excluded.most_mm,
                 let_go_by = excluded.let_go_by",
                rusqlite::params![
                    job,
                    &check.key,
                    &check.what,
                    &check.wanted,
                    &check.figure,
                    passed,
                    &check.reason,
                    by.who,
                    by.at,
                    check.measured_mm,
                    check.least_mm,
                    check.most_mm,
                    let_go_by
                ],
            )
            .map(|_| ())
        })
    }

    /// Calls a job ready: every step done or left out with a reason, every final check passed or let go by name. What is
    /// not met is let go by name and reason, or the job is not ready. Timers that run stop.
    ///
    /// # Errors
    /// Where the job's state does not allow it, or something is not met and nobody lets it go.
    pub fn ready_job(&self, by: By<'_>, job: i64, required: &Required, said: Option<Said<'_>>) -> Result<JobState> {
        self.write(by, |c| {
            let not_met = not_met(c, job, required)?;
            let to = states::act(c, by, job, Action::Ready, Brought { said, not_met, ..Brought::default() })?;
            sql::run(
                c,
                "UPDATE steps SET state = 'to_do', spent_s = spent_s + max(0, ?2 - started_at), started_at = NULL
                 WHERE job = ?1 AND started_at IS NOT NULL",
                (job, by.at),
            )?;
            Ok(to)
        })
    }
}

/// What keeps a job from being ready, a line each.
fn not_met(c: &Connection, job: i64, required: &Required) -> Result<Vec<String>> {
    let closed = sql::all(c, "SELECT key FROM steps WHERE job = ?1 AND state IN ('done', 'skipped')", [job], |r| r.get::<_, String>(0))?;
    let open: Vec<&(String, String)> = required.steps.iter().filter(|(key, _)| !closed.contains(key)).collect();
    let mut lines = Vec::new();
    if !open.is_empty() {
        lines.push(format!("{} of {} steps are open", open.len(), required.steps.len()));
    }
    let taken = sql::all(c, "SELECT key, passed, reason, let_go_by FROM acceptance_checks WHERE job = ?1", [job], |r| {
        Ok((r.get::<_, String>(0)?, r.get::<_, Option<bool>>(1)?, r.get::<_, String>(2)?, r.get::<_, String>(3)?))
    })?;
    for (key, words) in &required.checks {
        match taken.iter().find(|(k, ..)| k == key) {
            None => lines.push(format!("not checked: {words}")),
            Some((_, Some(true), ..)) => {}
            Some((_, _, reason, name)) if Said::both(name, reason).is_some() => {}
            Some((_, _, reason, _)) => lines.push(format!("failed: {words} ({reason})")),
        }
    }
    // The single steps last: their number stands above, and a paper that has no room for all of them shows the checks.
    lines.extend(open.iter().map(|(_, words)| format!("not done: {words}")));
    Ok(lines)
}
