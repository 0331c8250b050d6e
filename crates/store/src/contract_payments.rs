//! Money that came in for a contract itself: for the tools that its instruments share. Amounts are exact decimals as text; what is owed
//! follows from the contract's jobs, which stand elsewhere.

use crate::connection::{By, Store};
use crate::error::Result;
use crate::hand_back::{PAYMENT, Payment, known_way, payment};
use crate::sql;

impl Store {
    /// Payments of a contract, oldest first, those entered by mistake too.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn contract_payments(&self, contract: i64) -> Result<Vec<Payment>> {
        self.read(|c| sql::all(c, &format!("SELECT {PAYMENT} FROM contract_payments WHERE contract = ?1 ORDER BY id"), [contract], payment))
    }

    /// Keeps a payment of a contract; returns its id.
    ///
    /// # Errors
    /// Where the contract is missing or the way to pay unknown.
    pub fn add_contract_payment(&self, by: By<'_>, contract: i64, amount: &str, how: &str, note: &str) -> Result<i64> {
        known_way(how)?;
        self.write(by, |c| {
            let customer: i64 =
                sql::one(c, "contract", contract, "SELECT customer FROM contracts WHERE id = ?1", [contract], |r| r.get(0))?;
            sql::insert(
                c,
                "INSERT INTO contract_payments (customer, contract, amount, how, note, who, at) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                (customer, contract, amount, how, note, by.who, by.at),
            )
        })
    }

    /// Marks a payment of a contract as entered by mistake, or takes that back.
    ///
    /// # Errors
    /// Where there is none of that id on that contract.
    pub fn void_contract_payment(&self, by: By<'_>, contract: i64, id: i64, void: bool) -> Result<()> {
        let sql = "UPDATE contract_payments SET void = ?3 WHERE id = ?1 AND contract = ?2";
        self.write(by, |c| sql::run_one(c, "payment", id, sql, (id, contract, void)))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;
    use crate::contracts::ContractTexts;

    const BY: By<'static> = By { who: "ottilie", at: 100 };

    fn shop() -> (tempfile::TempDir, Store, [i64; 2], i64) {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        let customers = ["Fen Road", "Saltmarsh"].map(|name| store.add_customer(BY, name, "", "", "").unwrap());
        let contract = store.add_contract(BY, customers[0], &ContractTexts::default()).unwrap();
        (dir, store, customers, contract)
    }

    #[test]
    fn a_payment_is_kept_with_who_took_it_and_a_mistake_stands_beside_it() {
        let (_dir, store, customers, contract) = shop();
        let other = store.add_contract(BY, customers[1], &ContractTexts::default()).unwrap();
        let id = store.add_contract_payment(BY, contract, "24.00", "check", "no. 118").unwrap();
        assert!(store.add_contract_payment(BY, 99, "24.00", "check", "").is_err());
        assert!(store.add_contract_payment(BY, contract, "24.00", "shells", "").is_err());
        let later = By { who: "ramon", at: 200 };
        store.void_contract_payment(later, contract, id, true).unwrap();
        // On another contract there is none of that number.
        assert!(store.void_contract_payment(later, other, id, false).is_err());
        let [p] = &store.contract_payments(contract).unwrap()[..] else { panic!("one payment") };
        assert_eq!((p.amount.as_str(), p.how.as_str(), p.note.as_str(), p.void), ("24.00", "check", "no. 118", true));
        assert_eq!((p.who.as_str(), p.at), ("ottilie", 100));
        let lines = store.journal_which(&crate::journal::Which { record: "contract_payments", ..Default::default() }, 9).unwrap();
        assert_eq!(
            lines.iter().map(|l| (l.who.as_str(), l.act.as_str())).collect::<Vec<_>>(),
            [("ramon", "update"), ("ottilie", "insert")]
        );
    }

    /// Out with the export and in again; handed out on request; after an erasure the amount stays in the books, without the words.
    #[test]
    fn a_payment_goes_with_the_record_and_stays_in_the_books() {
        let (dir, store, [district, _], contract) = shop();
        store.add_contract_payment(BY, contract, "24.00", "check", "from Principal Hale").unwrap();
        store.export(&dir.path().join("out")).unwrap();
        let to = tempfile::tempdir().unwrap();
        let again = Store::open(to.path()).unwrap();
        again.import(BY, &dir.path().join("out")).unwrap();
        assert_eq!(again.contract_payments(contract).unwrap(), store.contract_payments(contract).unwrap());
        // An export of before there were any is read too.
        std::fs::remove_file(dir.path().join("out/contract_payments.jsonl")).unwrap();
        let older = tempfile::tempdir().unwrap();
        let older = Store::open(older.path()).unwrap();
        older.import(BY, &dir.path().join("out")).unwrap();
        assert!(older.contract_payments(contract).unwrap().is_empty());

        assert!(serde_json::to_string(&store.all_of_customer(district).unwrap()).unwrap().contains("from Principal Hale"));
        store.erase_customer(BY, district, "asked for it").unwrap();
        let kept = store
            .read(|c| {
                sql::all(c, "SELECT amount, note, contract FROM contract_payments", [], |r| {
                    Ok((r.get::<_, String>(0)?, r.get::<_, String>(1)?, r.get::<_, Option<i64>>(2)?))
                })
            })
            .unwrap();
        assert_eq!(kept, [("24.00".to_owned(), String::new(), None)]);
        let lines =
            store.read(|c| sql::all(c, "SELECT coalesce(before, '') || coalesce(after, '') FROM journal", [], |r| r.get::<_, String>(0)));
        assert!(lines.unwrap().iter().all(|l| !l.contains("Principal Hale")));
        assert_eq!((store.journal_faults().unwrap(), store.faults().unwrap()), (vec![], vec![]));
    }
}
