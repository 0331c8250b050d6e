//! What a shop takes off the amount that was agreed: an estimate that turned out too high, or what a customer is to be spared.
//! The other way there is none: more than was agreed is a supplement, which the customer agrees to.

use crate::connection::{By, Store};
use crate::error::{Result, StoreError};
use crate::sql;
use rusqlite::Connection;
use serde::Serialize;

/// Something taken off.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Reduction {
    /// Id.
    pub id: i64,
    /// Exact decimal, tax included.
    pub amount: String,
    /// Why; the customer reads it.
    pub reason: String,
    /// Whether it was taken back.
    pub void: bool,
    /// Who took it off.
    pub who: String,
    /// When, Unix seconds.
    pub at: i64,
}

impl Store {
    /// What was taken off a job's amount, oldest first, what was taken back too.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn reductions(&self, job: i64) -> Result<Vec<Reduction>> {
        self.read(|c| of_job(c, job))
    }

    /// Everything taken off that counts, as job and amount.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn all_reductions(&self) -> Result<Vec<(i64, String)>> {
        self.read(|c| sql::all(c, "SELECT job, amount FROM reductions WHERE void = 0", [], |r| Ok((r.get(0)?, r.get(1)?))))
    }

    /// Takes something off the amount that was agreed; returns its id. `left` says, from the amounts that were agreed and those taken
    /// off before, how much is taken off now; what it refuses is refused. It is asked inside the transaction, so that two
    /// counters at once do not both take it off.
    ///
    /// # Errors
    /// Where nothing was agreed, no reason is given, or `left` refuses.
    pub fn charge_less(
        &self,
        by: By<'_>,
        job: i64,
        reason: &str,
        left: impl Fn(&[String], &[String]) -> std::result::Result<String, String>,
    ) -> Result<i64> {
        let reason = reason.trim();
        if reason.is_empty() {
            return Err(StoreError::Refused("write why less is charged; it stands on the invoice".to_owned()));
        }
        self.write(by, |c| {
            let sql =
                "SELECT a.total FROM agreements a JOIN jobs j ON j.id = a.job WHERE a.job = ?1 AND j.state <> 'declined' ORDER BY a.id";
            let agreed = sql::all(c, sql, [job], |r| r.get::<_, String>(0))?;
            if agreed.is_empty() {
                return Err(StoreError::Refused("nothing was agreed, so there is nothing to charge less of".to_owned()));
            }
            let before: Vec<String> = of_job(c, job)?.into_iter().filter(|r| !r.void).map(|r| r.amount).collect();
            let amount = left(&agreed, &before).map_err(StoreError::Refused)?;
            sql::insert(
                c,
                "INSERT INTO reductions (job, amount, reason, who, at) VALUES (?1, ?2, ?3, ?4, ?5)",
                (job, amount, reason, by.who, by.at),
            )
        })
    }

    /// Takes a reduction back: the customer owes that part of what was agreed again.
    ///
    /// # Errors
    /// Where there is none of that id on that job.
    pub fn void_reduction(&self, by: By<'_>, job: i64, id: i64) -> Result<()> {
        self.write(by, |c| sql::run_one(c, "reduction", id, "UPDATE reductions SET void = 1 WHERE id = ?1 AND job = ?2", (id, job)))
    }
}

fn of_job(c: &Connection, job: i64) -> Result<Vec<Reduction>> {
    sql::all(c, "SELECT id, amount, reason, void, who, at FROM reductions WHERE job = ?1 ORDER BY id", [job], |r| {
        Ok(Reduction { id: r.get(0)?, amount: r.get(1)?, reason: r.get(2)?, void: r.get(3)?, who: r.get(4)?, at: r.get(5)? })
    })
}
