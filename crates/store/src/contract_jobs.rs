//! Jobs that were opened from a contract's plan: one an instrument of the contract, with its survey, in one go.

use crate::connection::{By, Store};
use crate::counter::{JobState, NewInstrument, insert_instrument};
use crate::error::{Result, StoreError};
use crate::states::{self, Action, Brought, Said};
use crate::{sql, surveys};
use rusqlite::{Connection, Row};
use serde::Serialize;

/// A job of a contract, and where it stands.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ContractJob {
    /// The contract.
    pub contract: i64,
    /// The instrument's tag in the contract.
    pub tag: String,
    /// The job.
    pub job: i64,
    /// The offer: the level's key, that of the agreement where there is one.
    pub level: String,
    /// The contract's bench.
    pub bench: String,
    /// What the plan asked for it then, tools to make apart: exact decimal.
    pub price: String,
    /// JSON: names and prices of the tools to make for it, which the contract pays once.
    pub tools: String,
    /// Where it stands.
    pub state: JobState,
    /// Whether the customer said yes to an offer of it.
    pub agreed: bool,
    /// Day on which it is due (ISO 8601).
    pub due: Option<String>,
    /// Whose bench it is on.
    pub person: Option<String>,
    /// What its timers have, without the steps of the kind that was asked apart, and what it had taken before it had a job, seconds.
    pub spent_s: i64,
    /// Of that what it had taken before: it was begun by hand then; none where it was not.
    pub begun_before_s: Option<i64>,
}

/// What a job of a contract is opened with.
#[derive(Clone, Copy, Debug)]
pub struct NewContractJob<'a> {
    /// The contract.
    pub contract: i64,
    /// The card of its instrument: the contract's customer, the kind as the survey's pattern names it, and as the owner's own number the
    /// tag in the contract.
    pub instrument: NewInstrument<'a>,
    /// The job's title.
    pub title: &'a str,
    /// Day on which it is due (ISO 8601).
    pub due: Option<&'a str>,
    /// Whose bench it is on.
    pub person: Option<i64>,
    /// The offer: the level's key.
    pub level: &'a str,
    /// The contract's bench.
    pub bench: &'a str,
    /// What the plan asks for it.
    pub price: &'a str,
    /// JSON: names and prices of the tools that the contract pays once.
    pub tools: &'a str,
    /// The survey without its dents, JSON.
    pub survey: &'a str,
    /// Its dents: names and JSON.
    pub dents: &'a [(String, String)],
    /// Who stands for there being no dent, where there is none, and what the job is for.
    pub no_dents: Said<'a>,
}

/// Kept jobs of contracts; `?1`: now, `?2`: the kind of step that is not counted.
const JOBS: &str = "SELECT k.contract, k.tag, k.job,
    coalesce((SELECT a.level FROM agreements a WHERE a.job = k.job ORDER BY a.id DESC LIMIT 1), k.level), k.bench, k.price, k.tools, j.state,
    EXISTS (SELECT 1 FROM agreements a WHERE a.job = j.id), j.due, p.name,
    coalesce((SELECT sum(s.spent_s + iif(s.state = 'running', max(?1 - s.started_at, 0), 0)) FROM steps s
              WHERE s.job = j.id AND s.kind <> ?2), 0) + coalesce(k.begun_before_s, 0), k.begun_before_s
    FROM contract_jobs k JOIN jobs j ON j.id = k.job LEFT JOIN people p ON p.id = j.bench";

fn row(r: &Row<'_>) -> rusqlite::Result<ContractJob> {
    Ok(ContractJob {
        contract: r.get(0)?,
        tag: r.get(1)?,
        job: r.get(2)?,
        level: r.get(3)?,
        bench: r.get(4)?,
        price: r.get(5)?,
        tools: r.get(6)?,
        state: r.get(7)?,
        agreed: r.get(8)?,
        due: r.get(9)?,
        person: r.get(10)?,
        spent_s: r.get(11)?,
        begun_before_s: r.get(12)?,
    })
}

impl Store {
    /// The jobs of a contract, in the order in which they were opened; the timers as they stand at a moment. Steps of the kind `apart`
    /// (tools that are made) are not counted in what a job has taken.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn contract_jobs(&self, contract: i64, now: i64, apart: &str) -> Result<Vec<ContractJob>> {
        self.read(|c| sql::all(c, &format!("{JOBS} WHERE k.contract = ?3 ORDER BY k.id"), (now, apart, contract), row))
    }

    /// The contract that a job was opened from, and the tag of its instrument there; none where it was not.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn contract_of_job(&self, job: i64) -> Result<Option<(i64, String)>> {
        self.read(|c| sql::maybe(c, "SELECT contract, tag FROM contract_jobs WHERE job = ?1", [job], |r| Ok((r.get(0)?, r.get(1)?))))
    }

    /// Opens a job for an instrument of a contract: its card (found again by its serial number, or by the owner's number on it), the job
    /// with its survey, the mark. All of it or nothing. The job's number, and whether it is new: one that was opened before is named and
    /// nothing is added.
    ///
    /// # Errors
    /// Where the contract is missing or another customer's, or the database fails.
    pub fn open_contract_job(&self, by: By<'_>, new: &NewContractJob<'_>) -> Result<(i64, bool)> {
        self.write(by, |c| {
            let known = "SELECT job FROM contract_jobs WHERE contract = ?1 AND tag = ?2";
            if let Some(job) = sql::maybe(c, known, (new.contract, new.instrument.asset), |r| r.get(0))? {
                return Ok((job, false));
            }
            let whose = "SELECT id FROM contracts WHERE id = ?1 AND customer = ?2";
            sql::one(c, "contract", new.contract, whose, (new.contract, new.instrument.customer), |r| r.get::<_, i64>(0))?;
            let instrument = match known_instrument(c, new.contract, &new.instrument)? {
                Some(id) => id,
                None => insert_instrument(c, &new.instrument)?,
            };
            let job = sql::insert(
                c,
                "INSERT INTO jobs (instrument, title, words, state, due, bench, level, received_at) VALUES (?1, ?2, '', 'received', ?3, ?4, ?5, ?6)",
                (instrument, new.title, new.due, new.person, new.level, by.at),
            )?;
            surveys::put_survey(c, by, job, new.survey, new.dents)?;
            let state: JobState = sql::one(c, "job", job, "SELECT state FROM jobs WHERE id = ?1", [job], |r| r.get(0))?;
            // Without a dent and without other work somebody has to stand for it.
            if state == JobState::Received {
                states::act(c, by, job, Action::NoDents, Brought { said: Some(new.no_dents), ..Brought::default() })?;
            }
            sql::insert(
                c,
                "INSERT INTO contract_jobs (contract, tag, job, level, bench, price, tools) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                (new.contract, new.instrument.asset, job, new.level, new.bench, new.price, new.tools),
            )?;
            Ok((job, true))
        })
    }

    /// Says that the instrument of a job was begun by hand before it had the job, and what it had taken by then, seconds: an agreed job goes
    /// on its bench. Said once; whether it was new.
    ///
    /// # Errors
    /// Where it is no job of a contract, or its state allows no work.
    pub fn begun_before(&self, by: By<'_>, job: i64, spent_s: i64) -> Result<bool> {
        self.write(by, |c| {
            let known = "SELECT begun_before_s FROM contract_jobs WHERE job = ?1";
            if sql::one(c, "job of a contract", job, known, [job], |r| r.get::<_, Option<i64>>(0))?.is_some() {
                return Ok(false);
            }
            states::plainly(c, by, job, Action::Work)?;
            sql::run(c, "UPDATE contract_jobs SET begun_before_s = ?2 WHERE job = ?1", (job, spent_s.max(0)))?;
            Ok(true)
        })
    }

    /// What the instrument of a job had taken before it had the job, seconds; none where it was not begun then.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn begun_before_s(&self, job: i64) -> Result<Option<i64>> {
        self.read(|c| Ok(sql::maybe(c, "SELECT begun_before_s FROM contract_jobs WHERE job = ?1", [job], |r| r.get(0))?.flatten()))
    }

    /// Moves a job of a contract that nobody has begun to another day and bench, as a newer plan has it. Whether anything changed.
    ///
    /// # Errors
    /// Where there is no such job, or work on it has begun.
    pub fn move_contract_job(&self, by: By<'_>, job: i64, due: Option<&str>, person: Option<i64>, bench: &str) -> Result<bool> {
        self.write(by, |c| {
            let state: JobState = sql::one(c, "job", job, "SELECT state FROM jobs WHERE id = ?1", [job], |r| r.get(0))?;
            if !matches!(state, JobState::Received | JobState::Surveyed | JobState::Quoted | JobState::Approved) {
                return Err(StoreError::Refused("work on it has begun: it stays where it is".to_owned()));
            }
            let moved = sql::run(
                c,
                "UPDATE jobs SET due = ?2, bench = ?3, version = version + 1 WHERE id = ?1 AND (due IS NOT ?2 OR bench IS NOT ?3)",
                (job, due, person),
            )?;
            sql::run(c, "UPDATE contract_jobs SET bench = ?2 WHERE job = ?1 AND bench <> ?2", (job, bench))?;
            Ok(moved > 0)
        })
    }
}

/// The card of an instrument that the shop has had before. A card that another instrument of the contract has is not taken: a number that
/// was typed twice does not make two instruments one.
fn known_instrument(c: &Connection, contract: i64, new: &NewInstrument<'_>) -> Result<Option<i64>> {
    let free = "customer = ?1 AND kind = ?2 AND id NOT IN (SELECT j.instrument FROM contract_jobs k JOIN jobs j ON j.id = k.job WHERE k.contract = ?4)";
    let by = |field: &str, value: &str| {
        let sql = format!("SELECT id FROM instruments WHERE {free} AND {field} = ?3 COLLATE NOCASE ORDER BY id DESC LIMIT 1");
        sql::maybe(c, &sql, (new.customer, new.kind, value, contract), |r| r.get(0))
    };
    if !new.serial.is_empty()
        && let Some(id) = by("serial", new.serial)?
    {
        return Ok(Some(id));
    }
    // The owner's number says which it is, where no serial number speaks against it.
    let by_number = by("asset", new.asset)?;
    let Some(id) = by_number else { return Ok(None) };
    let serial: String = sql::one(c, "instrument", id, "SELECT serial FROM instruments WHERE id = ?1", [id], |r| r.get(0))?;
    Ok((serial.is_empty() || new.serial.is_empty() || serial.eq_ignore_ascii_case(new.serial)).then_some(id))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;
    use crate::contracts::ContractTexts;

    const BY: By<'static> = By { who: "ottilie", at: 100 };

    fn new<'a>((customer, contract): (i64, i64), tag: &'a str, serial: &'a str, dents: &'a [(String, String)]) -> NewContractJob<'a> {
        NewContractJob {
            contract,
            instrument: NewInstrument {
                customer,
                kind: "trumpet",
                maker: "Tessaly",
                model: "Wagtail",
                serial,
                value: Some("700"),
                asset: tag,
            },
            title: "Dents out",
            due: Some("2026-07-01"),
            person: None,
            level: "good",
            bench: "bench 1",
            price: "85",
            tools: "[]",
            survey: "{}",
            dents,
            no_dents: Said { name: "Ottilie", reason: "a stuck slide" },
        }
    }

    fn shop() -> (tempfile::TempDir, Store, i64, i64) {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        let district = store.add_customer(BY, "A District", "", "", "").unwrap();
        let contract = store.add_contract(BY, district, &ContractTexts::default()).unwrap();
        (dir, store, district, contract)
    }

    fn dents() -> Vec<(String, String)> {
        vec![("d1".to_owned(), "{}".to_owned())]
    }

    #[test]
    fn an_instrument_of_a_contract_is_opened_once_with_all_that_belongs_to_it() {
        let (_dir, store, district, contract) = shop();
        let (job, first) = store.open_contract_job(BY, &new((district, contract), "H-1", "771", &dents())).unwrap();
        assert!(first);
        assert_eq!(store.open_contract_job(BY, &new((district, contract), "H-1", "771", &dents())).unwrap(), (job, false));
        let (stuck, _) = store.open_contract_job(BY, &new((district, contract), "H-2", "", &[])).unwrap();
        let all = store.contract_jobs(contract, 500, "make_tool").unwrap();
        assert_eq!(
            all.iter().map(|j| (j.tag.as_str(), j.job, j.state)).collect::<Vec<_>>(),
            [("H-1", job, JobState::Surveyed), ("H-2", stuck, JobState::Surveyed)]
        );
        assert_eq!((store.instruments_of(district).unwrap().len(), store.survey(job).unwrap().unwrap().1.len()), (2, 1));
        assert_eq!(store.level_of(job).unwrap(), "good");
        assert_eq!(store.contract_of_job(stuck).unwrap(), Some((contract, "H-2".to_owned())));
        // Without its contract, or for another's customer, there is nothing, and nothing half.
        let another = store.add_customer(BY, "Another District", "", "", "").unwrap();
        assert!(store.open_contract_job(BY, &new((another, contract), "H-3", "", &dents())).is_err());
        assert!(store.open_contract_job(BY, &new((district, 99), "H-1", "771", &dents())).is_err());
        assert_eq!((store.instruments_of(district).unwrap().len(), store.journal_faults().unwrap()), (2, vec![]));
        // A newer plan moves what nobody has begun.
        assert!(store.move_contract_job(BY, job, Some("2026-07-08"), None, "bench 2").unwrap());
        assert!(!store.move_contract_job(BY, job, Some("2026-07-08"), None, "bench 2").unwrap());
        store.import_job_state(BY, job, JobState::OnBench).unwrap();
        assert!(store.move_contract_job(BY, job, None, None, "bench 1").is_err());
        let moved = &store.contract_jobs(contract, 500, "make_tool").unwrap()[0];
        assert_eq!((moved.due.as_deref(), moved.bench.as_str()), (Some("2026-07-08"), "bench 2"));
    }

    #[test]
    fn what_was_begun_by_hand_goes_on_the_bench_with_what_it_had_taken() {
        let (_dir, store, district, contract) = shop();
        let (job, _) = store.open_contract_job(BY, &new((district, contract), "H-1", "771", &dents())).unwrap();
        assert!(store.begun_before(BY, 99, 60).is_err());
        store.import_job_state(BY, job, JobState::Approved).unwrap();
        assert!(store.begun_before(BY, job, 5_400).unwrap() && !store.begun_before(BY, job, 60).unwrap());
        let [one] = &store.contract_jobs(contract, 500, "make_tool").unwrap()[..] else { panic!("one job") };
        assert_eq!((one.state, one.spent_s, one.begun_before_s), (JobState::OnBench, 5_400, Some(5_400)));
        assert_eq!((store.begun_before_s(job).unwrap(), store.begun_before_s(99).unwrap()), (Some(5_400), None));
        // Its steps teach nothing: nobody knows what was done of them before.
        let by_timer = crate::bench::PlannedStep { key: "dent:d1", kind: "dent", what: "d1", likely_s: 600, timed_by: "" };
        let ottilie = store.add_person(BY, "ottilie", "Ottilie", crate::people::PersonRole::Owner, "h").unwrap();
        store.act_on_step(By { at: 200, ..BY }, job, &by_timer, ottilie, crate::bench::StepAct::Start).unwrap();
        store.act_on_step(By { at: 500, ..BY }, job, &by_timer, ottilie, crate::bench::StepAct::Tick).unwrap();
        store.import_job_state(BY, job, JobState::Ready).unwrap();
        let [step] = &store.finished_steps(9).unwrap()[..] else { panic!("one step") };
        assert!(step.doubtful && step.spent_s == 300);
        assert_eq!(store.contract_jobs(contract, 500, "make_tool").unwrap()[0].spent_s, 5_700);
    }

    #[test]
    fn a_card_is_found_again_by_its_numbers_and_never_shared() {
        let (_dir, store, district, contract) = shop();
        let card = |serial, asset| {
            let of = NewInstrument { customer: district, kind: "trumpet", serial, asset, ..NewInstrument::default() };
            store.add_instrument(BY, &of).unwrap()
        };
        let (by_serial, by_asset) = (card("771", ""), card("", "h-2"));
        let _of_another_kind =
            store.add_instrument(BY, &NewInstrument { customer: district, kind: "tuba", serial: "9", ..NewInstrument::default() }).unwrap();
        let instrument = |tag: &str, serial: &str| {
            let (job, _) = store.open_contract_job(BY, &new((district, contract), tag, serial, &dents())).unwrap();
            store.job(job).unwrap().instrument
        };
        assert_eq!(instrument("H-1", "771"), by_serial);
        assert_eq!(instrument("H-2", "12"), by_asset);
        // The same serial number typed twice: another card. One of another kind: another card.
        let twice = instrument("H-3", "771");
        assert!(twice != by_serial && instrument("H-4", "9") > twice);
        // Next year's contract finds them all.
        let next = store.add_contract(BY, district, &ContractTexts::default()).unwrap();
        let again = store.open_contract_job(BY, &new((district, next), "H-2", "", &dents())).unwrap().0;
        assert_eq!(store.job(again).unwrap().instrument, by_asset);
    }

    #[test]
    fn a_customer_who_is_erased_leaves_no_number_behind() {
        let (_dir, store, district, contract) = shop();
        let (job, _) = store.open_contract_job(BY, &new((district, contract), "HORN-OF-ANNE", "771", &dents())).unwrap();
        assert!(serde_json::to_string(&store.all_of_customer(district).unwrap()).unwrap().contains("HORN-OF-ANNE"));
        store.import_job_state(BY, job, JobState::HandedBack).unwrap();
        store.erase_customer(BY, district, "asked for it").unwrap();
        assert!(store.contract(contract).is_err() && store.job(job).is_ok());
        let lines =
            store.read(|c| sql::all(c, "SELECT coalesce(before, '') || coalesce(after, '') FROM journal", [], |r| r.get::<_, String>(0)));
        assert!(lines.unwrap().iter().all(|l| !l.contains("HORN-OF-ANNE")));
        assert_eq!((store.journal_faults().unwrap(), store.faults().unwrap()), (vec![], vec![]));
    }
}
