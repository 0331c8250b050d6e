//! The bench: steps ticked and timed, acceptance checks, and how long things took.

use crate::connection::{By, Store};
use crate::counter::{JobState, move_job};
use crate::error::{Result, StoreError};
use crate::sql;
use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ToSql, ToSqlOutput, ValueRef};
use rusqlite::{Connection, Row};
use serde::Serialize;

/// Where a step stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StepState {
    /// Not begun, or paused.
    ToDo,
    /// Its timer runs.
    Running,
    /// Ticked.
    Done,
    /// Left out, with a note.
    Skipped,
}

impl StepState {
    /// Its name in the record.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::ToDo => "to_do",
            Self::Running => "running",
            Self::Done => "done",
            Self::Skipped => "skipped",
        }
    }
}

impl ToSql for StepState {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(self.as_str().into())
    }
}

impl FromSql for StepState {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        match value.as_str()? {
            "to_do" => Ok(Self::ToDo),
            "running" => Ok(Self::Running),
            "done" => Ok(Self::Done),
            "skipped" => Ok(Self::Skipped),
            _ => Err(FromSqlError::InvalidType),
        }
    }
}

/// A step's record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct StepRecord {
    /// Names the step whatever its place in the order.
    pub key: String,
    /// Kind, as the plan names it.
    pub kind: String,
    /// What to do.
    pub what: String,
    /// What the plan said it takes, seconds.
    pub likely_s: i64,
    /// Where it stands.
    pub state: StepState,
    /// Since when its timer runs, Unix seconds.
    pub started_at: Option<i64>,
    /// Time spent, without the timer that runs now, seconds.
    pub spent_s: i64,
    /// Who did it.
    pub person: Option<i64>,
    /// Note.
    pub note: String,
    /// When it was ticked, Unix seconds.
    pub done_at: Option<i64>,
}

/// A step of the plan as the bench will record it.
#[derive(Clone, Debug)]
pub struct PlannedStep<'a> {
    /// Names the step whatever its place in the order.
    pub key: &'a str,
    /// Kind.
    pub kind: &'a str,
    /// What to do.
    pub what: &'a str,
    /// What the plan says it takes, seconds.
    pub likely_s: i64,
}

/// What a person does to a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StepAct<'a> {
    /// Start the timer.
    Start,
    /// Stop the timer.
    Pause,
    /// Tick it.
    Tick,
    /// Take the tick back.
    Untick,
    /// Leave it out; the reason becomes its note.
    Skip(&'a str),
    /// Set the note.
    Note(&'a str),
}

/// A acceptance check's record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
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
    /// Who took it.
    pub who: String,
    /// When, Unix seconds.
    pub at: Option<i64>,
}

/// How one kind of step went for one person.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct TimeTaken {
    /// Kind of step.
    pub kind: String,
    /// Person's name; none: nobody was named.
    pub person: Option<String>,
    /// What the plan said, seconds.
    pub likely_s: i64,
    /// What it took, seconds.
    pub spent_s: i64,
    /// When it was done, Unix seconds.
    pub done_at: i64,
}

const STEP: &str = "key, kind, what, likely_s, state, started_at, spent_s, person, note, done_at";

fn step(r: &Row<'_>) -> rusqlite::Result<StepRecord> {
    Ok(StepRecord {
        key: r.get(0)?,
        kind: r.get(1)?,
        what: r.get(2)?,
        likely_s: r.get(3)?,
        state: r.get(4)?,
        started_at: r.get(5)?,
        spent_s: r.get(6)?,
        person: r.get(7)?,
        note: r.get(8)?,
        done_at: r.get(9)?,
    })
}

/// Steps.
impl Store {
    /// The steps recorded for a job.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn steps(&self, job: i64) -> Result<Vec<StepRecord>> {
        self.read(|c| sql::all(c, &format!("SELECT {STEP} FROM steps WHERE job = ?1 ORDER BY id"), [job], step))
    }

    /// Does something to a step of the plan, recording the step first where it has no record yet. A first act puts an
    /// approved job on the bench. One person's other running timer on the job is left alone.
    ///
    /// # Errors
    /// Where the job is missing, or a step is left out without a reason.
    pub fn act_on_step(&self, by: By<'_>, job: i64, planned: &PlannedStep<'_>, person: i64, act: StepAct<'_>) -> Result<StepRecord> {
        self.write(by, |c| {
            sql::run(
                c,
                "INSERT INTO steps (job, key, kind, what, likely_s, state) VALUES (?1, ?2, ?3, ?4, ?5, 'to_do')
                 ON CONFLICT (job, key) DO UPDATE SET what = excluded.what, likely_s = excluded.likely_s
                 WHERE what <> excluded.what OR likely_s <> excluded.likely_s",
                (job, planned.key, planned.kind, planned.what, planned.likely_s),
            )?;
            let mut s = recorded(c, job, planned.key)?;
            let stop = |s: &mut StepRecord| {
                if let Some(since) = s.started_at.take() {
                    s.spent_s += (by.at - since).max(0);
                }
            };
            match act {
                StepAct::Start => {
                    s.started_at.get_or_insert(by.at);
                    s.state = StepState::Running;
                    s.person = Some(person);
                    s.done_at = None;
                }
                StepAct::Pause => {
                    stop(&mut s);
                    if s.state == StepState::Running {
                        s.state = StepState::ToDo;
                    }
                }
                StepAct::Tick => {
                    stop(&mut s);
                    s.state = StepState::Done;
                    s.person = s.person.or(Some(person));
                    s.done_at = Some(by.at);
                }
                StepAct::Untick => {
                    s.state = StepState::ToDo;
                    s.done_at = None;
                }
                StepAct::Skip(why) if why.trim().is_empty() => {
                    return Err(StoreError::Refused("say why the step is left out".to_owned()));
                }
                StepAct::Skip(why) => {
                    stop(&mut s);
                    s.state = StepState::Skipped;
                    s.note = why.to_owned();
                    s.done_at = None;
                }
                StepAct::Note(text) => s.note = text.to_owned(),
            }
            sql::run(
                c,
                "UPDATE steps SET state = ?3, started_at = ?4, spent_s = ?5, person = ?6, note = ?7, done_at = ?8 WHERE job = ?1 AND key = ?2",
                (job, planned.key, s.state, s.started_at, s.spent_s, s.person, &s.note, s.done_at),
            )?;
            let approved = sql::one(c, "job", job, "SELECT state = 'approved' FROM jobs WHERE id = ?1", [job], |r| r.get::<_, bool>(0))?;
            if approved && !matches!(act, StepAct::Note(_)) {
                move_job(c, by, job, JobState::OnBench)?;
            }
            Ok(s)
        })
    }

    /// How long done steps took, newest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn times_taken(&self, most: u32) -> Result<Vec<TimeTaken>> {
        self.read(|c| {
            let sql = "SELECT s.kind, p.name, s.likely_s, s.spent_s, s.done_at FROM steps s LEFT JOIN people p ON p.id = s.person
                       WHERE s.state = 'done' AND s.spent_s > 0 AND s.done_at IS NOT NULL ORDER BY s.done_at DESC, s.id DESC LIMIT ?1";
            sql::all(c, sql, [most], |r| {
                Ok(TimeTaken { kind: r.get(0)?, person: r.get(1)?, likely_s: r.get(2)?, spent_s: r.get(3)?, done_at: r.get(4)? })
            })
        })
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
                "SELECT key, what, wanted, figure, passed, reason, who, at FROM acceptance_checks WHERE job = ?1 ORDER BY id",
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
                    })
                },
            )
        })
    }

    /// Records a acceptance check. It needs a figure or a reason; a failed one needs a reason.
    ///
    /// # Errors
    /// Where it has neither, or the job is missing.
    pub fn save_acceptance(&self, by: By<'_>, job: i64, check: &AcceptanceRecord) -> Result<()> {
        let empty = |s: &str| s.trim().is_empty();
        if empty(&check.figure) && empty(&check.reason) {
            return Err(StoreError::Refused(format!("{}: give the figure, or say why there is none", check.what)));
        }
        if check.passed != Some(true) && empty(&check.reason) {
            return Err(StoreError::Refused(format!("{}: it did not pass, so say why the job can stand", check.what)));
        }
        self.write(by, |c| {
            sql::run(
                c,
                "INSERT INTO acceptance_checks (job, key, what, wanted, figure, passed, reason, who, at) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)
                 ON CONFLICT (job, key) DO UPDATE SET what = excluded.what, wanted = excluded.wanted, figure = excluded.figure,
                 passed = excluded.passed, reason = excluded.reason, who = excluded.who, at = excluded.at",
                (job, &check.key, &check.what, &check.wanted, &check.figure, check.passed, &check.reason, by.who, by.at),
            )
            .map(|_| ())
        })
    }
}

fn recorded(c: &Connection, job: i64, key: &str) -> Result<StepRecord> {
    sql::one(c, "step", key, &format!("SELECT {STEP} FROM steps WHERE job = ?1 AND key = ?2"), (job, key), step)
}
