//! The counter: customers, instruments, jobs, where each stands and what is due.

use crate::connection::{By, Store};
use crate::error::{Result, StoreError};
use crate::sql;
use crate::versions::{self, Kept};
use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ToSql, ToSqlOutput, ValueRef};
use rusqlite::{Connection, Row};
use serde::{Deserialize, Serialize};

/// A customer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Customer {
    /// Id.
    pub id: i64,
    /// Name.
    pub name: String,
    /// Telephone.
    pub phone: String,
    /// E-mail.
    pub email: String,
    /// Note.
    pub note: String,
    /// Rises by one at each change.
    pub version: i64,
}

/// An instrument as the counter knows it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct InstrumentCard {
    /// Id.
    pub id: i64,
    /// Whose.
    pub customer: i64,
    /// Kind, as the survey's pattern names it.
    pub kind: String,
    /// Maker.
    pub maker: String,
    /// Model.
    pub model: String,
    /// Serial number.
    pub serial: String,
    /// The shop's tag on it.
    pub tag: String,
    /// What it is worth sound, exact decimal.
    pub value: Option<String>,
    /// The owner's own number on it.
    pub asset: String,
    /// Rises by one at each change.
    pub version: i64,
}

/// Where a job stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum JobState {
    /// On the shelf, not yet looked at.
    Received,
    /// Surveyed and planned.
    Surveyed,
    /// Quoted, waiting for the customer.
    Quoted,
    /// The customer said yes.
    Approved,
    /// On a bench.
    OnBench,
    /// Worked; the acceptance checks are being taken.
    Checking,
    /// Ready to be fetched.
    Ready,
    /// Fetched.
    HandedBack,
    /// The customer said no.
    Declined,
}

impl JobState {
    /// All states in the order of a job's life.
    pub const ALL: [Self; 9] = [
        Self::Received,
        Self::Surveyed,
        Self::Quoted,
        Self::Approved,
        Self::OnBench,
        Self::Checking,
        Self::Ready,
        Self::HandedBack,
        Self::Declined,
    ];

    /// Its name in the record.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Received => "received",
            Self::Surveyed => "surveyed",
            Self::Quoted => "quoted",
            Self::Approved => "approved",
            Self::OnBench => "on_bench",
            Self::Checking => "proving",
            Self::Ready => "ready",
            Self::HandedBack => "handed_back",
            Self::Declined => "declined",
        }
    }

    /// The state of that name.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.as_str() == text)
    }

    /// Whether a due day still means something: what is ready, handed back or declined is not late.
    pub fn is_open_for_due(self) -> bool {
        !self.is_closed() && self != Self::Ready
    }

    /// Whether the job is over.
    pub fn is_closed(self) -> bool {
        matches!(self, Self::HandedBack | Self::Declined)
    }
}

impl ToSql for JobState {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(self.as_str().into())
    }
}

impl FromSql for JobState {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        Self::parse(value.as_str()?).ok_or(FromSqlError::InvalidType)
    }
}

/// A job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct JobCard {
    /// Id.
    pub id: i64,
    /// Instrument.
    pub instrument: i64,
    /// Title.
    pub title: String,
    /// What the customer said.
    pub words: String,
    /// Where it stands.
    pub state: JobState,
    /// Day on which it is due (ISO 8601).
    pub due: Option<String>,
    /// Whose bench it is on.
    pub bench: Option<i64>,
    /// When it came in, Unix seconds.
    pub received_at: i64,
    /// When it was closed, Unix seconds.
    pub closed_at: Option<i64>,
    /// Rises by one at each change of the head.
    pub version: i64,
}

/// What a new instrument needs.
#[derive(Clone, Copy, Debug, Default)]
pub struct NewInstrument<'a> {
    /// Whose.
    pub customer: i64,
    /// Kind.
    pub kind: &'a str,
    /// Maker.
    pub maker: &'a str,
    /// Model.
    pub model: &'a str,
    /// Serial number.
    pub serial: &'a str,
    /// What it is worth sound, exact decimal.
    pub value: Option<&'a str>,
    /// The owner's own number on it.
    pub asset: &'a str,
}

/// A job's head as it is to be kept.
#[derive(Clone, Copy, Debug, Default)]
pub struct JobHead<'a> {
    /// Title.
    pub title: &'a str,
    /// What the customer said.
    pub words: &'a str,
    /// Day on which it is due (ISO 8601).
    pub due: Option<&'a str>,
    /// Whose bench it is on.
    pub bench: Option<i64>,
}

const CUSTOMER: &str = "id, name, phone, email, note, version";
const INSTRUMENT: &str = "id, customer, kind, maker, model, serial, tag, value, asset, version";
pub(crate) const JOB: &str = "j.id, j.instrument, j.title, j.words, j.state, j.due, j.bench, j.received_at, j.closed_at, j.version";

fn customer(r: &Row<'_>) -> rusqlite::Result<Customer> {
    Ok(Customer { id: r.get(0)?, name: r.get(1)?, phone: r.get(2)?, email: r.get(3)?, note: r.get(4)?, version: r.get(5)? })
}

fn instrument(r: &Row<'_>) -> rusqlite::Result<InstrumentCard> {
    Ok(InstrumentCard {
        id: r.get(0)?,
        customer: r.get(1)?,
        kind: r.get(2)?,
        maker: r.get(3)?,
        model: r.get(4)?,
        serial: r.get(5)?,
        tag: r.get(6)?,
        value: r.get(7)?,
        asset: r.get(8)?,
        version: r.get(9)?,
    })
}

pub(crate) fn job(r: &Row<'_>) -> rusqlite::Result<JobCard> {
    Ok(JobCard {
        id: r.get(0)?,
        instrument: r.get(1)?,
        title: r.get(2)?,
        words: r.get(3)?,
        state: r.get(4)?,
        due: r.get(5)?,
        bench: r.get(6)?,
        received_at: r.get(7)?,
        closed_at: r.get(8)?,
        version: r.get(9)?,
    })
}

/// Customers.
impl Store {
    /// Customers whose name, telephone or e-mail holds the text; all where it is empty.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn customers(&self, text: &str, most: u32) -> Result<Vec<Customer>> {
        self.read(|c| {
            let sql = format!(
                "SELECT {CUSTOMER} FROM customers WHERE name LIKE ?1 ESCAPE '\\' OR phone LIKE ?1 ESCAPE '\\' OR email LIKE ?1 ESCAPE '\\'
                 ORDER BY name COLLATE NOCASE LIMIT ?2"
            );
            sql::all(c, &sql, (sql::anywhere(text), most), customer)
        })
    }

    /// A customer.
    ///
    /// # Errors
    /// Where there is none of that id.
    pub fn customer(&self, id: i64) -> Result<Customer> {
        self.read(|c| sql::one(c, "customer", id, &format!("SELECT {CUSTOMER} FROM customers WHERE id = ?1"), [id], customer))
    }

    /// Adds a customer; returns the id.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn add_customer(&self, by: By<'_>, name: &str, phone: &str, email: &str, note: &str) -> Result<i64> {
        self.write(by, |c| {
            sql::insert(c, "INSERT INTO customers (name, phone, email, note) VALUES (?1, ?2, ?3, ?4)", (name, phone, email, note))
        })
    }

    /// Changes a customer; `to.version` is the version that the writer saw.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] where somebody saved in between; where there is none of that id.
    pub fn change_customer(&self, by: By<'_>, to: &Customer) -> Result<()> {
        self.write(by, |c| {
            versions::check(c, Kept::Customer, to.id, to.version)?;
            sql::run_one(
                c,
                "customer",
                to.id,
                "UPDATE customers SET name = ?2, phone = ?3, email = ?4, note = ?5, version = version + 1 WHERE id = ?1",
                (to.id, &to.name, &to.phone, &to.email, &to.note),
            )
        })
    }
}

/// Instruments.
impl Store {
    /// A customer's instruments.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn instruments_of(&self, customer: i64) -> Result<Vec<InstrumentCard>> {
        self.read(|c| sql::all(c, &format!("SELECT {INSTRUMENT} FROM instruments WHERE customer = ?1 ORDER BY id"), [customer], instrument))
    }

    /// An instrument.
    ///
    /// # Errors
    /// Where there is none of that id.
    pub fn instrument(&self, id: i64) -> Result<InstrumentCard> {
        self.read(|c| sql::one(c, "instrument", id, &format!("SELECT {INSTRUMENT} FROM instruments WHERE id = ?1"), [id], instrument))
    }

    /// The instrument that wears a tag.
    ///
    /// # Errors
    /// Where there is none.
    pub fn instrument_by_tag(&self, tag: &str) -> Result<InstrumentCard> {
        self.read(|c| sql::one(c, "tag", tag, &format!("SELECT {INSTRUMENT} FROM instruments WHERE tag = ?1"), [tag], instrument))
    }

    /// Adds an instrument and gives it the shop's next tag; returns the id.
    ///
    /// # Errors
    /// Where the customer is missing.
    pub fn add_instrument(&self, by: By<'_>, new: &NewInstrument<'_>) -> Result<i64> {
        self.write(by, |c| insert_instrument(c, new))
    }

    /// Changes an instrument's words; its tag and owner stay. `to.version` is the version that the writer saw.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] where somebody saved in between; where there is none of that id.
    pub fn change_instrument(&self, by: By<'_>, to: &InstrumentCard) -> Result<()> {
        self.write(by, |c| {
            versions::check(c, Kept::Instrument, to.id, to.version)?;
            sql::run_one(
                c,
                "instrument",
                to.id,
                "UPDATE instruments SET kind = ?2, maker = ?3, model = ?4, serial = ?5, value = ?6, asset = ?7, version = version + 1 WHERE id = ?1",
                (to.id, &to.kind, &to.maker, &to.model, &to.serial, &to.value, &to.asset),
            )
        })
    }
}

/// The row of a new instrument, with the shop's next tag; its id.
pub(crate) fn insert_instrument(c: &Connection, new: &NewInstrument<'_>) -> Result<i64> {
    let next: i64 = sql::one(c, "tag", "", "SELECT coalesce(max(id), 0) + 1 FROM instruments", [], |r| r.get(0))?;
    sql::insert(
        c,
        "INSERT INTO instruments (customer, kind, maker, model, serial, tag, value, asset) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        (new.customer, new.kind, new.maker, new.model, new.serial, format!("T{next:05}"), new.value, new.asset),
    )
}

/// Jobs.
impl Store {
    /// Adds a job in state `Received`; returns the id.
    ///
    /// # Errors
    /// Where the instrument is missing.
    pub fn add_job(&self, by: By<'_>, instrument: i64, title: &str, words: &str, due: Option<&str>) -> Result<i64> {
        self.add_job_asking(by, instrument, title, words, due, &[])
    }

    /// As [`Store::add_job`], with the standard jobs that the customer asked for, by their keys in the shop's list.
    ///
    /// # Errors
    /// As there.
    pub fn add_job_asking(&self, by: By<'_>, instrument: i64, title: &str, words: &str, due: Option<&str>, asked: &[&str]) -> Result<i64> {
        let asked =
            serde_json::to_string(asked).map_err(|e| StoreError::Garbled { what: "what was asked for".to_owned(), why: e.to_string() })?;
        self.write(by, |c| {
            sql::insert(
                c,
                "INSERT INTO jobs (instrument, title, words, state, due, received_at, asked) VALUES (?1, ?2, ?3, 'received', ?4, ?5, ?6)",
                (instrument, title, words, due, by.at, asked),
            )
        })
    }

    /// The standard jobs that were asked for when a job was taken in, by their keys.
    ///
    /// # Errors
    /// Where there is no such job, or the record cannot be read back.
    pub fn asked_at_intake(&self, job: i64) -> Result<Vec<String>> {
        let text: String = self.read(|c| sql::one(c, "job", job, "SELECT asked FROM jobs WHERE id = ?1", [job], |r| r.get(0)))?;
        serde_json::from_str(&text).map_err(|e| StoreError::Garbled { what: "what was asked for".to_owned(), why: e.to_string() })
    }

    /// A job.
    ///
    /// # Errors
    /// Where there is none of that id.
    pub fn job(&self, id: i64) -> Result<JobCard> {
        self.read(|c| sql::one(c, "job", id, &format!("SELECT {JOB} FROM jobs j WHERE j.id = ?1"), [id], job))
    }

    /// Changes a job's title, words, due day and bench. `from` is the version that the writer saw.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] where somebody saved in between; where there is none of that id.
    pub fn change_job(&self, by: By<'_>, id: i64, from: i64, head: &JobHead<'_>) -> Result<()> {
        self.write(by, |c| {
            versions::check(c, Kept::Job, id, from)?;
            sql::run_one(
                c,
                "job",
                id,
                "UPDATE jobs SET title = ?2, words = ?3, due = ?4, bench = ?5, version = version + 1 WHERE id = ?1",
                (id, head.title, head.words, head.due, head.bench),
            )
        })
    }
}
