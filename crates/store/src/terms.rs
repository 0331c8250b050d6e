//! The terms of a job and of a customer beside the shop's prices: rush, discount with its reason, tax certificate. What a discount says is
//! read by whoever charges it; here it is text.

use crate::connection::{By, Store};
use crate::error::{Result, StoreError};
use crate::sql;
use rusqlite::Connection;
use serde::Serialize;

/// What holds for one job.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize)]
pub struct JobTerms {
    /// Whether it goes before others.
    pub rush: bool,
    /// What is taken off, as typed; empty: what the customer's terms say.
    pub discount: String,
    /// Why.
    pub reason: String,
    /// Rises by one at each change; 0 where nothing was said.
    pub version: i64,
}

/// What holds for all jobs of a customer.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize)]
pub struct CustomerTerms {
    /// What is taken off, as typed; empty: nothing.
    pub discount: String,
    /// Why.
    pub reason: String,
    /// Why no tax is paid; empty: it is paid.
    pub exempt: String,
    /// Rises by one at each change; 0 where nothing was said.
    pub version: i64,
}

impl Store {
    /// The terms of a job.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn job_terms(&self, job: i64) -> Result<JobTerms> {
        self.read(|c| of_job(c, job))
    }

    /// The terms of a customer.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn customer_terms(&self, customer: i64) -> Result<CustomerTerms> {
        self.read(|c| of_customer(c, customer))
    }

    /// The terms of a job with those of its customer, in one consistent view.
    ///
    /// # Errors
    /// Where the job is missing or the database fails.
    pub fn terms_of(&self, job: i64) -> Result<(JobTerms, CustomerTerms)> {
        self.read(|c| {
            let sql = "SELECT i.customer FROM jobs j JOIN instruments i ON i.id = j.instrument WHERE j.id = ?1";
            let customer: i64 = sql::one(c, "job", job, sql, [job], |r| r.get(0))?;
            Ok((of_job(c, job)?, of_customer(c, customer)?))
        })
    }

    /// Keeps the terms of a job and the day on which it is wanted, where one is given; `terms.version` is the version that the writer saw.
    /// What was given or agreed before stays as it was.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] where somebody saved in between; where the job is missing, or a discount has no reason, or a rush no day.
    pub fn set_job_terms(&self, by: By<'_>, job: i64, terms: &JobTerms, due: Option<&str>) -> Result<()> {
        with_reason(&terms.discount, &terms.reason)?;
        self.write(by, |c| {
            seen("the terms of this job", of_job(c, job)?.version, terms.version)?;
            if let Some(due) = due {
                sql::run(c, "UPDATE jobs SET due = ?2, version = version + 1 WHERE id = ?1 AND due IS NOT ?2", (job, due))?;
            }
            let wanted: Option<String> = sql::one(c, "job", job, "SELECT due FROM jobs WHERE id = ?1", [job], |r| r.get(0))?;
            if terms.rush && wanted.is_none() {
                return Err(StoreError::Refused("say by which day a rush job is wanted".to_owned()));
            }
            let sql = "INSERT INTO job_terms (job, rush, discount, reason) VALUES (?1, ?2, ?3, ?4) ON CONFLICT (job) DO UPDATE
                       SET rush = excluded.rush, discount = excluded.discount, reason = excluded.reason, version = version + 1";
            sql::run(c, sql, (job, terms.rush, &terms.discount, &terms.reason)).map(|_| ())
        })
    }

    /// Keeps the terms of a customer; `terms.version` is the version that the writer saw.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] where somebody saved in between; where the customer is missing, or a discount has no reason.
    pub fn set_customer_terms(&self, by: By<'_>, customer: i64, terms: &CustomerTerms) -> Result<()> {
        with_reason(&terms.discount, &terms.reason)?;
        self.write(by, |c| {
            seen("the terms of this customer", of_customer(c, customer)?.version, terms.version)?;
            sql::one(c, "customer", customer, "SELECT id FROM customers WHERE id = ?1", [customer], |r| r.get::<_, i64>(0))?;
            let sql =
                "INSERT INTO customer_terms (customer, discount, reason, exempt) VALUES (?1, ?2, ?3, ?4) ON CONFLICT (customer) DO UPDATE
                       SET discount = excluded.discount, reason = excluded.reason, exempt = excluded.exempt, version = version + 1";
            sql::run(c, sql, (customer, &terms.discount, &terms.reason, &terms.exempt)).map(|_| ())
        })
    }
}

fn with_reason(discount: &str, reason: &str) -> Result<()> {
    if discount.is_empty() || !reason.trim().is_empty() {
        return Ok(());
    }
    Err(StoreError::Refused("write why it is cheaper; it stands on the quote and the invoice".to_owned()))
}

fn seen(what: &str, now: i64, from: i64) -> Result<()> {
    if now == from { Ok(()) } else { Err(StoreError::Conflict { what: what.to_owned(), version: now, body: None }) }
}

fn of_job(c: &Connection, job: i64) -> Result<JobTerms> {
    let sql = "SELECT rush, discount, reason, version FROM job_terms WHERE job = ?1";
    let found =
        sql::maybe(c, sql, [job], |r| Ok(JobTerms { rush: r.get(0)?, discount: r.get(1)?, reason: r.get(2)?, version: r.get(3)? }))?;
    Ok(found.unwrap_or_default())
}

fn of_customer(c: &Connection, customer: i64) -> Result<CustomerTerms> {
    let sql = "SELECT discount, reason, exempt, version FROM customer_terms WHERE customer = ?1";
    let found = sql::maybe(c, sql, [customer], |r| {
        Ok(CustomerTerms { discount: r.get(0)?, reason: r.get(1)?, exempt: r.get(2)?, version: r.get(3)? })
    })?;
    Ok(found.unwrap_or_default())
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;
    use crate::counter::NewInstrument;

    #[test]
    fn terms_are_kept_under_a_version_and_a_rush_has_its_day() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        let by = By { who: "ottilie", at: 100 };
        let customer = store.add_customer(by, "Pelham Ridge School District", "", "", "").unwrap();
        let new = NewInstrument { customer, kind: "tuba", ..NewInstrument::default() };
        let instrument = store.add_instrument(by, &new).unwrap();
        let job = store.add_job(by, instrument, "Fell", "", None).unwrap();
        assert_eq!(store.terms_of(job).unwrap(), (JobTerms::default(), CustomerTerms::default()));
        let rush = JobTerms { rush: true, ..JobTerms::default() };
        assert!(matches!(store.set_job_terms(by, job, &rush, None), Err(StoreError::Refused(_))));
        store.set_job_terms(by, job, &rush, Some("2026-12-04")).unwrap();
        let kept = store.job_terms(job).unwrap();
        assert_eq!((kept.rush, kept.version, store.board_line(job).unwrap().job.due.as_deref()), (true, 1, Some("2026-12-04")));
        // The same day again is no change of the job's head, and an old version is told.
        let head = store.board_line(job).unwrap().job.version;
        store
            .set_job_terms(
                by,
                job,
                &JobTerms { discount: "10 %".to_owned(), reason: "late".to_owned(), ..kept.clone() },
                Some("2026-12-04"),
            )
            .unwrap();
        assert_eq!((store.job_terms(job).unwrap().version, store.board_line(job).unwrap().job.version), (2, head));
        assert!(matches!(store.set_job_terms(by, job, &kept, None), Err(StoreError::Conflict { version: 2, .. })));
        let school = CustomerTerms { discount: "8 %".to_owned(), reason: " ".to_owned(), ..CustomerTerms::default() };
        assert!(matches!(store.set_customer_terms(by, customer, &school), Err(StoreError::Refused(_))));
        store.set_customer_terms(by, customer, &CustomerTerms { reason: "summer contract".to_owned(), ..school }).unwrap();
        assert_eq!(store.terms_of(job).unwrap().1.reason, "summer contract");
        assert!(store.set_customer_terms(by, 99, &CustomerTerms::default()).is_err());
        assert_eq!(store.journal_faults().unwrap(), Vec::<String>::new());
    }
}
