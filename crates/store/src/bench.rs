//! The bench: steps ticked and timed, and how long things took.

use crate::connection::{By, Store};
use crate::error::{Result, StoreError};
use crate::sql;
use crate::states::{self, Action};
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
    /// Why its time was set by hand; empty where it was not.
    pub time_note: String,
    /// Whether its time is in doubt: the clock was set while its timer ran, or it ran longer than anybody works.
    pub doubtful: bool,
}

/// A timer that stopped because its person started another.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct StoppedTimer {
    /// The row of its step.
    pub id: i64,
    /// The job.
    pub job: i64,
    /// The tag of the job's instrument.
    pub tag: String,
    /// The step, in words.
    pub what: String,
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
    /// By what it is timed, JSON: what the times learn from.
    pub timed_by: &'a str,
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

/// An act as a tablet sends it.
#[derive(Clone, Copy, Debug)]
pub struct Tap<'a> {
    /// What was done.
    pub act: StepAct<'a>,
    /// By whom.
    pub person: i64,
    /// When, Unix seconds: before it was sent, where the network was away.
    pub at: i64,
    /// The tablet's mark: sent again after a lost answer it is done once.
    pub made_as: Option<&'a str>,
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

const STEP: &str = "key, kind, what, likely_s, state, started_at, spent_s, person, note, done_at, time_note, doubtful";

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
        time_note: r.get(10)?,
        doubtful: r.get(11)?,
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
    /// approved job on the bench. A person has one running timer: starting another step stops the first, wherever it
    /// runs, and says so.
    ///
    /// # Errors
    /// Where the job is missing, its state does not allow it, or a step is left out without a reason.
    pub fn act_on_step(
        &self,
        by: By<'_>,
        job: i64,
        planned: &PlannedStep<'_>,
        person: i64,
        act: StepAct<'_>,
    ) -> Result<(StepRecord, Vec<StoppedTimer>)> {
        self.tap_step(by, job, planned, &Tap { act, person, at: by.at, made_as: None })
    }

    /// Whether an act with this mark was done.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn tapped(&self, job: i64, made_as: &str) -> Result<bool> {
        self.read(|c| tapped(c, job, made_as))
    }

    /// As [`Store::act_on_step`], at the moment at which it was tapped; an act whose mark is known is not done again.
    ///
    /// # Errors
    /// As there.
    pub fn tap_step(&self, by: By<'_>, job: i64, planned: &PlannedStep<'_>, tap: &Tap<'_>) -> Result<(StepRecord, Vec<StoppedTimer>)> {
        let Tap { act, person, at, made_as } = *tap;
        self.write(by, |c| {
            if let Some(mark) = made_as {
                if tapped(c, job, mark)? {
                    return Ok((recorded(c, job, planned.key)?, Vec::new()));
                }
                sql::run(c, "INSERT INTO step_acts (job, made_as, at) VALUES (?1, ?2, ?3)", (job, mark, by.at))?;
            }
            let action = match act {
                StepAct::Start | StepAct::Tick | StepAct::Skip(_) => Action::Work,
                StepAct::Untick => Action::Untick,
                StepAct::Pause | StepAct::Note(_) => Action::Note,
            };
            states::plainly(c, by, job, action)?;
            sql::run(
                c,
                "INSERT INTO steps (job, key, kind, what, likely_s, timed_by, state) VALUES (?1, ?2, ?3, ?4, ?5, ?6, 'to_do')
                 ON CONFLICT (job, key) DO UPDATE SET what = excluded.what, likely_s = excluded.likely_s, timed_by = excluded.timed_by
                 WHERE what <> excluded.what OR likely_s <> excluded.likely_s OR timed_by <> excluded.timed_by",
                (job, planned.key, planned.kind, planned.what, planned.likely_s, planned.timed_by),
            )?;
            let mut s = recorded(c, job, planned.key)?;
            let stopped = if act == StepAct::Start { stop_others(c, at, person, job, planned.key)? } else { Vec::new() };
            let stop = |s: &mut StepRecord| {
                if let Some(since) = s.started_at.take() {
                    s.spent_s += (at - since).max(0);
                    s.doubtful |= !BELIEVED_S.contains(&(at - since));
                }
            };
            match act {
                StepAct::Start => {
                    s.started_at.get_or_insert(at);
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
                    s.done_at = Some(at);
                }
                StepAct::Untick => {
                    s.state = StepState::ToDo;
                    s.done_at = None;
                }
                StepAct::Skip(why) if why.trim().is_empty() => {
                    return Err(StoreError::Refused("say why the step is skipped".to_owned()));
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
                "UPDATE steps SET state = ?3, started_at = ?4, spent_s = ?5, person = ?6, note = ?7, done_at = ?8,
                 doubtful = ?9 WHERE job = ?1 AND key = ?2",
                (job, planned.key, s.state, s.started_at, s.spent_s, s.person, &s.note, s.done_at, s.doubtful),
            )?;
            Ok((s, stopped))
        })
    }

    /// Sets the time that a step took, with a note that says why; what it was stays in the journal. A timer that runs stops.
    ///
    /// # Errors
    /// Where the step has no record, the time is negative, or no note is given.
    pub fn correct_time(&self, by: By<'_>, job: i64, key: &str, spent_s: i64, note: &str) -> Result<()> {
        if note.trim().is_empty() {
            return Err(StoreError::Refused("say why the time is set by hand: the next quotes learn from it".to_owned()));
        }
        if !(0..=MOST_SPENT_S).contains(&spent_s) {
            return Err(StoreError::Refused("a step takes between nothing and a hundred hours".to_owned()));
        }
        self.write(by, |c| {
            states::plainly(c, by, job, Action::Note)?;
            sql::run_one(
                c,
                "time of a step",
                key,
                "UPDATE steps SET spent_s = ?3, time_note = ?4, started_at = NULL, doubtful = 0,
                 state = CASE state WHEN 'running' THEN 'to_do' ELSE state END WHERE job = ?1 AND key = ?2",
                (job, key, spent_s, note.trim()),
            )
        })
    }

    /// The clock was set by so many seconds (or the machine slept): timers that run are set with it, so that the jump becomes no work
    /// time, and are marked as in doubt. Returns how many.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn clock_jumped(&self, by: By<'_>, by_s: i64) -> Result<usize> {
        self.write(by, |c| sql::run(c, "UPDATE steps SET started_at = started_at + ?1, doubtful = 1 WHERE started_at IS NOT NULL", [by_s]))
    }

    /// What timers were stopped, by the rows of their steps: for the page that says so.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn steps_by_rows(&self, rows: &[i64]) -> Result<Vec<StoppedTimer>> {
        self.read(|c| {
            let mut all = Vec::new();
            for row in rows {
                let sql = format!("{STOPPED} WHERE s.id = ?1");
                all.extend(sql::maybe(c, &sql, [row], stopped_timer)?);
            }
            Ok(all)
        })
    }

    /// How long done steps took, newest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn times_taken(&self, most: u32) -> Result<Vec<TimeTaken>> {
        self.read(|c| {
            let sql = "SELECT s.kind, p.name, s.likely_s, s.spent_s, s.done_at FROM steps s LEFT JOIN people p ON p.id = s.person
                       WHERE s.state = 'done' AND s.spent_s > 0 AND s.doubtful = 0 AND s.done_at IS NOT NULL ORDER BY s.done_at DESC, s.id DESC LIMIT ?1";
            sql::all(c, sql, [most], |r| {
                Ok(TimeTaken { kind: r.get(0)?, person: r.get(1)?, likely_s: r.get(2)?, spent_s: r.get(3)?, done_at: r.get(4)? })
            })
        })
    }
}

fn tapped(c: &Connection, job: i64, made_as: &str) -> Result<bool> {
    Ok(sql::maybe(c, "SELECT 1 FROM step_acts WHERE job = ?1 AND made_as = ?2", (job, made_as), |_| Ok(()))?.is_some())
}

fn recorded(c: &Connection, job: i64, key: &str) -> Result<StepRecord> {
    sql::one(c, "step", key, &format!("SELECT {STEP} FROM steps WHERE job = ?1 AND key = ?2"), (job, key), step)
}

/// How long a timer is believed to have run in one go, seconds: not backwards, and not over half a day.
const BELIEVED_S: std::ops::RangeInclusive<i64> = 0..=12 * 3600;

/// A hundred hours: no step takes longer, so more is a slip of the finger.
const MOST_SPENT_S: i64 = 100 * 3600;

const STOPPED: &str =
    "SELECT s.id, s.job, i.tag, s.what FROM steps s JOIN jobs j ON j.id = s.job JOIN instruments i ON i.id = j.instrument";

fn stopped_timer(r: &Row<'_>) -> rusqlite::Result<StoppedTimer> {
    Ok(StoppedTimer { id: r.get(0)?, job: r.get(1)?, tag: r.get(2)?, what: r.get(3)? })
}

/// Stops the timers that a person has running on other steps.
fn stop_others(c: &Connection, at: i64, person: i64, job: i64, key: &str) -> Result<Vec<StoppedTimer>> {
    let others = "s.person = ?1 AND s.started_at IS NOT NULL AND NOT (s.job = ?2 AND s.key = ?3)";
    let stopped = sql::all(c, &format!("{STOPPED} WHERE {others} ORDER BY s.id"), (person, job, key), stopped_timer)?;
    for timer in &stopped {
        sql::run(
            c,
            "UPDATE steps SET state = 'to_do', spent_s = spent_s + max(0, ?2 - started_at), started_at = NULL,
             doubtful = max(doubtful, ?2 - started_at NOT BETWEEN ?3 AND ?4) WHERE id = ?1",
            (timer.id, at, BELIEVED_S.start(), BELIEVED_S.end()),
        )?;
    }
    Ok(stopped)
}
