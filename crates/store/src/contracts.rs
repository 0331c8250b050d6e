//! School contracts: the texts that they are made of, by content, and every plan that was made of one.

use crate::agreements::{content, keep};
use crate::connection::{By, Store};
use crate::error::{Result, StoreError};
use crate::sql;
use crate::versions::{self, Kept};
use rusqlite::{Connection, Row};
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeSet;

/// A contract. Its texts are hashes of contents.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize)]
pub struct ContractRow {
    /// Id.
    pub id: i64,
    /// Whose.
    pub customer: i64,
    /// The customer's name.
    pub name: String,
    /// Budget, days, benches.
    pub head: String,
    /// The table of instruments.
    pub instruments: String,
    /// The table of their dents.
    pub dents: String,
    /// The table of what is done or begun.
    pub done: String,
    /// When it was made, Unix seconds.
    pub made_at: i64,
    /// Rises by one at each change.
    pub version: i64,
}

/// The texts of a contract.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct ContractTexts {
    /// Budget, days, benches.
    pub head: String,
    /// The table of instruments.
    pub instruments: String,
    /// The table of their dents.
    pub dents: String,
    /// The table of what is done or begun.
    pub done: String,
}

/// A plan of a contract.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize)]
pub struct ContractPlanRow {
    /// Id.
    pub id: i64,
    /// The contract.
    pub contract: i64,
    /// What it was made from, JSON.
    pub made_from: String,
    /// Hash of the contract with its plan.
    pub plan: String,
    /// Hash of the bare problem with its answer.
    pub problem: String,
    /// Who asked for it.
    pub who: String,
    /// When, Unix seconds.
    pub at: i64,
}

const CONTRACT: &str = "SELECT c.id, c.customer, k.name, c.head, c.instruments, c.dents, c.done, c.made_at, c.version
                        FROM contracts c JOIN customers k ON k.id = c.customer";
const PLAN: &str = "SELECT id, contract, made_from, plan, problem, who, at FROM contract_plans";

fn contract(r: &Row<'_>) -> rusqlite::Result<ContractRow> {
    Ok(ContractRow {
        id: r.get(0)?,
        customer: r.get(1)?,
        name: r.get(2)?,
        head: r.get(3)?,
        instruments: r.get(4)?,
        dents: r.get(5)?,
        done: r.get(6)?,
        made_at: r.get(7)?,
        version: r.get(8)?,
    })
}

fn plan(r: &Row<'_>) -> rusqlite::Result<ContractPlanRow> {
    Ok(ContractPlanRow {
        id: r.get(0)?,
        contract: r.get(1)?,
        made_from: r.get(2)?,
        plan: r.get(3)?,
        problem: r.get(4)?,
        who: r.get(5)?,
        at: r.get(6)?,
    })
}

fn text(c: &Connection, hash: &str) -> Result<String> {
    String::from_utf8(content(c, hash)?).map_err(|e| StoreError::Garbled { what: format!("content {hash}"), why: e.to_string() })
}

/// Keeps the texts; their hashes in the order of the columns.
fn kept(c: &Connection, texts: &ContractTexts) -> Result<[String; 4]> {
    let table = |text: &str| keep(c, "text/csv", text.as_bytes());
    let head = keep(c, "application/toml", texts.head.as_bytes())?;
    Ok([head, table(&texts.instruments)?, table(&texts.dents)?, table(&texts.done)?])
}

impl Store {
    /// All contracts, the newest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn contracts(&self) -> Result<Vec<ContractRow>> {
        self.read(|c| sql::all(c, &format!("{CONTRACT} ORDER BY c.id DESC"), [], contract))
    }

    /// A contract.
    ///
    /// # Errors
    /// Where there is none of that id.
    pub fn contract(&self, id: i64) -> Result<ContractRow> {
        self.read(|c| one(c, id))
    }

    /// A contract with its texts, in one consistent view.
    ///
    /// # Errors
    /// Where there is none of that id, or a text is damaged.
    pub fn contract_with_texts(&self, id: i64) -> Result<(ContractRow, ContractTexts)> {
        self.read(|c| {
            let row = one(c, id)?;
            let texts = ContractTexts {
                head: text(c, &row.head)?,
                instruments: text(c, &row.instruments)?,
                dents: text(c, &row.dents)?,
                done: text(c, &row.done)?,
            };
            Ok((row, texts))
        })
    }

    /// Adds a contract; returns its id.
    ///
    /// # Errors
    /// Where the customer is missing.
    pub fn add_contract(&self, by: By<'_>, customer: i64, texts: &ContractTexts) -> Result<i64> {
        self.write(by, |c| {
            sql::one(c, "customer", customer, "SELECT id FROM customers WHERE id = ?1", [customer], |r| r.get::<_, i64>(0))?;
            let [head, instruments, dents, done] = kept(c, texts)?;
            let sql = "INSERT INTO contracts (customer, head, instruments, dents, done, made_at) VALUES (?1, ?2, ?3, ?4, ?5, ?6)";
            sql::insert(c, sql, (customer, head, instruments, dents, done, by.at))
        })
    }

    /// Changes the texts of a contract, all of them or none; `from` is the version that the writer saw. Texts that are the same again
    /// are no change.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] where somebody saved in between; where there is none of that id.
    pub fn change_contract(&self, by: By<'_>, id: i64, from: i64, texts: &ContractTexts) -> Result<()> {
        self.write(by, |c| {
            versions::check(c, Kept::Contract, id, from)?;
            let before = one(c, id)?;
            let [head, instruments, dents, done] = kept(c, texts)?;
            if [&head, &instruments, &dents, &done] == [&before.head, &before.instruments, &before.dents, &before.done] {
                return Ok(());
            }
            let sql = "UPDATE contracts SET head = ?2, instruments = ?3, dents = ?4, done = ?5, version = version + 1 WHERE id = ?1";
            sql::run_one(c, "contract", id, sql, (id, head, instruments, dents, done))
        })
    }

    /// Keeps a plan of a contract; returns its id.
    ///
    /// # Errors
    /// Where there is no such contract.
    pub fn add_contract_plan(&self, by: By<'_>, contract: i64, made_from: &str, plan: &[u8], problem: &[u8]) -> Result<i64> {
        self.write(by, |c| {
            one(c, contract)?;
            let (plan, problem) = (keep(c, "application/json", plan)?, keep(c, "application/json", problem)?);
            let sql = "INSERT INTO contract_plans (contract, made_from, plan, problem, who, at) VALUES (?1, ?2, ?3, ?4, ?5, ?6)";
            sql::insert(c, sql, (contract, made_from, plan, problem, by.who, by.at))
        })
    }

    /// The plans of a contract, the newest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn contract_plans(&self, contract: i64) -> Result<Vec<ContractPlanRow>> {
        self.read(|c| sql::all(c, &format!("{PLAN} WHERE contract = ?1 ORDER BY id DESC"), [contract], plan))
    }
}

fn one(c: &Connection, id: i64) -> Result<ContractRow> {
    sql::one(c, "contract", id, &format!("{CONTRACT} WHERE c.id = ?1"), [id], contract)
}

/// Fields of contracts and their plans that name contents of their own. What a plan was made from besides (rack, shop's files, learned
/// times) is the shop's.
const OWN: &[&str] = &["head", "instruments", "dents", "done", "plan", "problem"];

fn own_hashes(value: &Value, found: &mut BTreeSet<String>) {
    for (key, value) in value.as_object().into_iter().flatten() {
        match value.as_str() {
            Some(hash) if OWN.contains(&key.as_str()) && crate::photos::is_hash(hash) => {
                found.insert(hash.to_owned());
            }
            // What a plan was made from stands as JSON in a field of its line.
            Some(text) if key == "made_from" => own_hashes(&serde_json::from_str(text).unwrap_or_default(), found),
            _ => {}
        }
    }
}

/// The texts that one customer's contracts ever had, and their plans, by their hashes: as the journal's lines name them.
fn hashes(c: &Connection, customer: i64) -> Result<BTreeSet<String>> {
    let lines = "SELECT j.before, j.after FROM journal j
                 WHERE (j.record = 'contracts' AND j.row IN (SELECT id FROM contracts WHERE customer = ?1))
                    OR (j.record = 'contract_plans' AND j.row IN (SELECT p.id FROM contract_plans p
                        JOIN contracts k ON k.id = p.contract WHERE k.customer = ?1))";
    let sides: Vec<(Option<String>, Option<String>)> = sql::all(c, lines, [customer], |r| Ok((r.get(0)?, r.get(1)?)))?;
    let mut found = BTreeSet::new();
    for side in sides.into_iter().flat_map(|(before, after)| [before, after]).flatten() {
        own_hashes(&serde_json::from_str(&side).unwrap_or_default(), &mut found);
    }
    Ok(found)
}

/// What contents one customer's contracts name, by their hashes: part of what is handed out on request.
pub(crate) fn contents_of(c: &Connection, customer: i64) -> Result<serde_json::Map<String, Value>> {
    // What is missing or damaged cannot be handed out.
    Ok(hashes(c, customer)?.into_iter().filter_map(|hash| text(c, &hash).ok().map(|t| (hash, Value::String(t)))).collect())
}

/// Erases one customer's contracts: the rows, and the contents that nobody else names. The journal's lines hold only hashes.
pub(crate) fn erase(c: &Connection, customer: i64) -> Result<()> {
    let hashes = hashes(c, customer)?;
    sql::run(c, "UPDATE contract_payments SET contract = NULL WHERE customer = ?1", [customer])?;
    sql::run(c, "DELETE FROM contract_jobs WHERE contract IN (SELECT id FROM contracts WHERE customer = ?1)", [customer])?;
    sql::run(c, "DELETE FROM contract_plans WHERE contract IN (SELECT id FROM contracts WHERE customer = ?1)", [customer])?;
    sql::run(c, "DELETE FROM contracts WHERE customer = ?1", [customer])?;
    for hash in hashes {
        let unused = "DELETE FROM contents WHERE hash = ?1
            AND NOT EXISTS (SELECT 1 FROM contracts WHERE ?1 IN (head, instruments, dents, done))
            AND NOT EXISTS (SELECT 1 FROM contract_plans WHERE plan = ?1 OR problem = ?1 OR made_from LIKE '%' || ?1 || '%')
            AND NOT EXISTS (SELECT 1 FROM quotes WHERE made_from LIKE '%' || ?1 || '%')
            AND NOT EXISTS (SELECT 1 FROM agreements WHERE made_from LIKE '%' || ?1 || '%' OR plan = ?1 OR paper = ?1)";
        sql::run(c, unused, [hash])?;
    }
    Ok(())
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;

    fn texts(budget: &str, school: &str) -> ContractTexts {
        ContractTexts {
            head: format!("budget = \"{budget}\"\n"),
            instruments: format!("tag,pattern,school\nA-1,trumpet,{school}\n"),
            dents: "tag,where\n".to_owned(),
            done: "tag\n".to_owned(),
        }
    }

    #[test]
    fn a_contract_is_kept_under_a_version_and_its_plans_with_what_they_were_made_from() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        let by = By { who: "ottilie", at: 100 };
        let district = store.add_customer(by, "Pelham Ridge School District", "", "", "").unwrap();
        assert!(store.add_contract(by, 99, &texts("$1", "North")).is_err());
        let id = store.add_contract(by, district, &texts("$900", "North")).unwrap();
        let (row, kept) = store.contract_with_texts(id).unwrap();
        assert_eq!((row.version, row.name.as_str(), &kept), (1, "Pelham Ridge School District", &texts("$900", "North")));
        let first = store.add_contract_plan(by, id, "{\"head\":\"x\"}", b"{\"plan\":1}", b"{}").unwrap();
        store.change_contract(by, id, 1, &texts("$1,500", "North")).unwrap();
        // The same again is no change, and an old version is told.
        store.change_contract(by, id, 2, &texts("$1,500", "North")).unwrap();
        assert_eq!(store.contract(id).unwrap().version, 2);
        assert!(matches!(store.change_contract(by, id, 1, &texts("$2", "North")), Err(StoreError::Conflict { version: 2, .. })));
        let second = store.add_contract_plan(By { who: "ramon", at: 200 }, id, "{}", b"{\"plan\":2}", b"{}").unwrap();
        let plans = store.contract_plans(id).unwrap();
        assert_eq!(plans.iter().map(|p| (p.id, p.who.as_str())).collect::<Vec<_>>(), [(second, "ramon"), (first, "ottilie")]);
        assert_eq!(store.content(&plans[1].plan).unwrap(), b"{\"plan\":1}");
        assert!(store.add_contract_plan(by, 99, "{}", b"{}", b"{}").is_err());
        assert_eq!(store.journal_faults().unwrap(), Vec::<String>::new());
    }

    /// Two districts: what was one's alone goes with every earlier version of it, and the other keeps what it has.
    #[test]
    fn a_customer_who_is_erased_takes_the_contracts_along() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        let by = By { who: "ottilie", at: 100 };
        let [one, two] = ["One District", "Two District"].map(|n| store.add_customer(by, n, "", "", "").unwrap());
        let (a, b) = (
            store.add_contract(by, one, &texts("$1", "Oldest School")).unwrap(),
            store.add_contract(by, two, &texts("$2", "South")).unwrap(),
        );
        store.change_contract(by, a, 1, &texts("$1", "Newest School")).unwrap();
        let head = store.contract(a).unwrap().head;
        store.add_contract_plan(by, a, &format!("{{\"head\":\"{head}\"}}"), b"{\"school\":\"Newest School\"}", b"{}").unwrap();
        store.add_contract_plan(by, b, "{}", b"{\"school\":\"South\"}", b"{}").unwrap();
        let all = store.all_of_customer(one).unwrap();
        let told = serde_json::to_string(&all).unwrap();
        assert!(told.contains("Oldest School") && told.contains("Newest School") && !told.contains("South"), "{told}");
        store.erase_customer(by, one, "asked for it").unwrap();
        assert!(store.contract(a).is_err());
        let left = store.read(|c| sql::all(c, "SELECT hash FROM contents", [], |r| r.get::<_, String>(0))).unwrap();
        let left: Vec<String> = left.iter().map(|h| String::from_utf8(store.content(h).unwrap()).unwrap()).collect();
        assert!(!left.iter().any(|t| t.contains("Oldest") || t.contains("Newest") || t.contains("$1")), "{left:?}");
        assert_eq!(store.contract_with_texts(b).unwrap().1, texts("$2", "South"));
        assert_eq!(store.content(&store.contract_plans(b).unwrap()[0].plan).unwrap(), b"{\"school\":\"South\"}");
        assert_eq!((store.journal_faults().unwrap(), store.faults().unwrap()), (vec![], vec![]));
    }
}
