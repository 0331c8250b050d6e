//! The job board: which jobs stand on it, found and ordered as the counter asks.

use crate::connection::Store;
use crate::counter::{JOB, JobCard, JobState, job};
use crate::error::Result;
use crate::sql;
use rusqlite::Row;
use serde::Serialize;

/// A line of the job board.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct BoardLine {
    /// The job.
    pub job: JobCard,
    /// The instrument's tag.
    pub tag: String,
    /// Kind, maker and model.
    pub instrument: String,
    /// The customer's name.
    pub customer: String,
    /// The customer's telephone.
    pub phone: String,
    /// The person to whom the job was given.
    pub bench_name: Option<String>,
    /// Who worked at it last, whoever it was given to.
    pub worked_by: Option<String>,
    /// Whether a timer runs on it now.
    pub running: bool,
    /// How many dents its survey has.
    pub dents: i64,
}

impl BoardLine {
    /// Whose bench it is on: who works at it, else to whom it was given.
    pub fn bench(&self) -> Option<&str> {
        self.worked_by.as_deref().filter(|_| self.running).or(self.bench_name.as_deref()).or(self.worked_by.as_deref())
    }
}

/// Which open jobs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Which<'a> {
    /// All that are open.
    Open,
    /// In one state.
    In(JobState),
    /// Due before a day and not ready: late on that day (ISO 8601).
    DueBefore(&'a str),
    /// Due from a day until before another (ISO 8601).
    DueFrom(&'a str, &'a str),
    /// Open and given to a person.
    OnBenchOf(i64),
    /// Open and given to nobody.
    OnNoBench,
}

fn board_line(r: &Row<'_>) -> rusqlite::Result<BoardLine> {
    let words: [String; 3] = [r.get(11)?, r.get(12)?, r.get(13)?];
    Ok(BoardLine {
        job: job(r)?,
        tag: r.get(10)?,
        instrument: words.iter().filter(|w| !w.is_empty()).map(String::as_str).collect::<Vec<_>>().join(" "),
        customer: r.get(14)?,
        bench_name: r.get(15)?,
        dents: r.get(16)?,
        phone: r.get(17)?,
        worked_by: r.get(18)?,
        running: r.get(19)?,
    })
}

fn board_sql(tail: &str) -> String {
    format!(
        "SELECT {JOB}, i.tag, i.maker, i.model, i.kind, c.name, p.name, (SELECT count(*) FROM dents d WHERE d.job = j.id), c.phone,
            (SELECT w.name FROM steps s JOIN people w ON w.id = s.person WHERE s.job = j.id AND s.state IN ('running', 'done')
                ORDER BY s.state = 'running' DESC, coalesce(s.done_at, s.started_at) DESC LIMIT 1),
            EXISTS (SELECT 1 FROM steps s WHERE s.job = j.id AND s.state = 'running')
         FROM jobs j JOIN instruments i ON i.id = j.instrument JOIN customers c ON c.id = i.customer LEFT JOIN people p ON p.id = j.bench {tail}"
    )
}

/// The board's lines of the jobs that a query finds, in the order of their due day.
fn in_order_of_due(found: &str) -> String {
    format!("WHERE j.id IN ({found}) ORDER BY j.due IS NULL, j.due, j.id")
}

/// Not closed.
const OPEN: &str = "state NOT IN ('handed_back', 'declined')";
/// Neither closed nor ready: a due day still means something.
const UNDER_WAY: &str = "state NOT IN ('handed_back', 'declined', 'ready')";

/// The job board.
impl Store {
    /// A job with the names around it.
    ///
    /// # Errors
    /// Where there is none of that id.
    pub fn board_line(&self, id: i64) -> Result<BoardLine> {
        self.read(|c| sql::one(c, "job", id, &board_sql("WHERE j.id = ?1"), [id], board_line))
    }

    /// Jobs, what is due first at the top.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn jobs_which(&self, which: &Which<'_>, most: u32) -> Result<Vec<BoardLine>> {
        let first =
            |wher: &str| board_sql(&in_order_of_due(&format!("SELECT id FROM jobs WHERE {wher} ORDER BY due IS NULL, due, id LIMIT ?1")));
        self.read(|c| match which {
            Which::Open => sql::all(c, &first(OPEN), [most], board_line),
            Which::In(state) => sql::all(c, &first("state = ?2"), (most, state), board_line),
            Which::DueBefore(day) => sql::all(c, &first(&format!("{UNDER_WAY} AND due < ?2")), (most, day), board_line),
            Which::DueFrom(from, to) => sql::all(c, &first(&format!("{OPEN} AND due >= ?2 AND due < ?3")), (most, from, to), board_line),
            Which::OnBenchOf(person) => sql::all(c, &first(&format!("{OPEN} AND bench = ?2")), (most, person), board_line),
            Which::OnNoBench => sql::all(c, &first(&format!("{OPEN} AND bench IS NULL")), [most], board_line),
        })
    }

    /// All open jobs, what is due first at the top.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn open_jobs(&self, most: u32) -> Result<Vec<BoardLine>> {
        self.jobs_which(&Which::Open, most)
    }

    /// How many open jobs are late on a day, and how many are due from a day until before another (all ISO 8601).
    ///
    /// # Errors
    /// Where the database fails.
    pub fn count_due(&self, today: &str, from: &str, until: &str) -> Result<(i64, i64)> {
        let sql = format!(
            "SELECT (SELECT count(*) FROM jobs WHERE {UNDER_WAY} AND due < ?1), (SELECT count(*) FROM jobs WHERE {OPEN} AND due >= ?2 AND due < ?3)"
        );
        self.read(|c| sql::one(c, "count of jobs", today, &sql, (today, from, until), |r| Ok((r.get(0)?, r.get(1)?))))
    }

    /// How many open jobs each person has, and how many of them are late on a day; those that nobody has under none.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn count_by_bench(&self, today: &str) -> Result<Vec<(Option<i64>, i64, i64)>> {
        let sql = format!("SELECT bench, count(*), coalesce(sum({UNDER_WAY} AND due < ?1), 0) FROM jobs WHERE {OPEN} GROUP BY bench");
        self.read(|c| sql::all(c, &sql, [today], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?))))
    }

    /// Jobs of an instrument, newest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn jobs_of_instrument(&self, instrument: i64) -> Result<Vec<BoardLine>> {
        self.read(|c| sql::all(c, &board_sql("WHERE j.instrument = ?1 ORDER BY j.id DESC"), [instrument], board_line))
    }

    /// Jobs whose title, tag, serial, maker, model, customer, customer's telephone or bench holds the text, newest first. A
    /// telephone number is found however its digits are grouped.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn find_jobs(&self, text: &str, most: u32) -> Result<Vec<BoardLine>> {
        let digits: String = text.chars().filter(char::is_ascii_digit).collect();
        let phone = text.chars().all(|c| c.is_ascii_digit() || " -+().".contains(c)) && digits.len() >= SHORTEST_PHONE;
        let digits = if phone { format!("%{digits}%") } else { String::new() };
        self.read(|c| {
            // A tag that is read off an instrument names one instrument.
            let tag = text.trim().to_uppercase();
            let worn = sql::all(c, &board_sql("WHERE i.tag = ?1 ORDER BY j.id DESC LIMIT ?2"), (&tag, most), board_line)?;
            if !worn.is_empty() {
                return Ok(worn);
            }
            // Each table is searched on its own: many times quicker than searching the join of all three.
            let tail = "WHERE j.id IN (
                SELECT id FROM jobs WHERE title LIKE ?1 ESCAPE '\\'
                UNION SELECT k.id FROM instruments x JOIN jobs k ON k.instrument = x.id
                    WHERE x.tag LIKE ?1 ESCAPE '\\' OR x.serial LIKE ?1 ESCAPE '\\' OR x.model LIKE ?1 ESCAPE '\\' OR x.maker LIKE ?1 ESCAPE '\\'
                UNION SELECT k.id FROM customers y JOIN instruments x ON x.customer = y.id JOIN jobs k ON k.instrument = x.id
                    WHERE y.name LIKE ?1 ESCAPE '\\'
                        OR replace(replace(replace(replace(replace(replace(y.phone, ' ', ''), '-', ''), '(', ''), ')', ''), '.', ''), '+', '') LIKE ?3
                UNION SELECT k.id FROM people q JOIN jobs k ON k.bench = q.id WHERE q.name LIKE ?1 ESCAPE '\\'
                ORDER BY 1 DESC LIMIT ?2) ORDER BY j.id DESC";
            sql::all(c, &board_sql(tail), (sql::anywhere(text), most, &digits), board_line)
        })
    }

    /// How many jobs stand in each state.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn jobs_by_state(&self) -> Result<Vec<(JobState, i64)>> {
        self.read(|c| sql::all(c, "SELECT state, count(*) FROM jobs GROUP BY state", [], |r| Ok((r.get(0)?, r.get(1)?))))
    }
}

/// Digits from which on a number is looked for among the telephones.
const SHORTEST_PHONE: usize = 4;
