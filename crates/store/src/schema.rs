//! The schema, a step a file, and how an older record is brought up to date: all of the way or not at all, and never without a
//! copy of what it was.

use crate::error::{Result, StoreError};
use crate::key::Key;
use crate::{chain, journal, links, private, sql};
use rusqlite::{Connection, TransactionBehavior};
use std::path::{Path, PathBuf};

/// The schema, one step a file. A step that has landed is never changed.
const STEPS: &[&str] = &[
    include_str!("../migrations/001_shop.sql"),
    include_str!("../migrations/002_board_indexes.sql"),
    include_str!("../migrations/003_dent_names.sql"),
    include_str!("../migrations/004_no_drafts.sql"),
    include_str!("../migrations/005_acceptance_checks.sql"),
    include_str!("../migrations/006_agreements.sql"),
    include_str!("../migrations/007_states_and_hand_back.sql"),
    include_str!("../migrations/008_sent_once.sql"),
    include_str!("../migrations/009_sign_in.sql"),
    include_str!("../migrations/020_versions.sql"),
    include_str!("../migrations/021_trust.sql"),
    include_str!("../migrations/022_links.sql"),
    include_str!("../migrations/023_plain_photos.sql"),
    include_str!("../migrations/024_second_factor.sql"),
    include_str!("../migrations/030_customers_page.sql"),
    include_str!("../migrations/031_reductions.sql"),
    include_str!("../migrations/032_learning.sql"),
    include_str!("../migrations/034_terms.sql"),
    include_str!("../migrations/036_contracts.sql"),
    include_str!("../migrations/037_contract_jobs.sql"),
    include_str!("../migrations/038_where_signed_in.sql"),
    include_str!("../migrations/039_contract_payments.sql"),
    include_str!("../migrations/040_begun_before.sql"),
    include_str!("../migrations/041_asked_at_intake.sql"),
];

/// The schema of this program.
pub(crate) const LATEST: usize = STEPS.len();

/// Which step of the schema a database stands at; nothing in it yet: 0.
pub(crate) fn version(c: &Connection) -> Result<usize> {
    let version: i64 = c.query_row("PRAGMA user_version", [], |r| r.get(0))?;
    Ok(usize::try_from(version).unwrap_or(usize::MAX))
}

/// Whether a database is a shop's record that this program knows.
pub(crate) fn known(c: &Connection, path: &Path) -> Result<()> {
    let garbled = |why: &str| StoreError::Garbled { what: path.display().to_string(), why: why.to_owned() };
    let version = version(c).map_err(|e| garbled(&e.to_string()))?;
    let tables = "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name IN ('journal', 'people', 'jobs', 'customers')";
    let tables: i64 = sql::one(c, "table", "", tables, [], |r| r.get(0)).map_err(|e| garbled(&e.to_string()))?;
    match version {
        _ if tables < 4 => Err(garbled("it is no shop's record")),
        0 => Err(garbled("it is no shop's record")),
        v if v > LATEST => Err(garbled("a newer program wrote it; use that one")),
        _ => Ok(()),
    }
}

/// Brings a database up to date in one transaction, with its links hashed, the journal's triggers and its chain: whatever kills the program on the way
/// leaves it as it was. One that is up to date is not written to, so that it opens on a full disk too.
pub(crate) fn bring_up_to_date(c: &mut Connection, key: &Key) -> Result<()> {
    let transaction = c.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let was = version(&transaction)?;
    for step in STEPS.iter().skip(was) {
        transaction.execute_batch(step)?;
    }
    if was < LATEST {
        transaction.pragma_update(None, "user_version", i64::try_from(LATEST).unwrap_or(i64::MAX))?;
    }
    if links::plain(&transaction)? {
        // The journal never held a link; that one became a hash is no change of a quote.
        transaction.execute_batch("DROP TRIGGER IF EXISTS journal_quotes_update")?;
        links::hash_plain(&transaction, key)?;
    }
    journal::lay_triggers(&transaction)?;
    chain::seal(&transaction)?;
    transaction.commit()?;
    Ok(())
}

/// A copy of an older record beside it. It takes its name when it is whole and on the disk: half a copy would pass for one.
pub(crate) fn keep_copy(c: &Connection, folder: &Path) -> Result<()> {
    let half = folder.join(HALF_COPY);
    let fail = |e: std::io::Error| StoreError::file(&half, e);
    if half.exists() {
        std::fs::remove_file(&half).map_err(fail)?;
    }
    c.execute("VACUUM INTO ?1", [half.display().to_string()])?;
    private::restrict(&half, 0o600);
    std::fs::File::open(&half).and_then(|f| f.sync_all()).map_err(fail)?;
    std::fs::rename(&half, free_name(folder)).map_err(fail)?;
    private::sync_folder(folder)
}

/// Half a copy. An erasure removes what begins like this.
const HALF_COPY: &str = "before-schema-unfinished.sqlite";

/// A name that no earlier copy has: of which record that was, nobody knows.
fn free_name(folder: &Path) -> PathBuf {
    let name = |n: usize| match n {
        1 => format!("before-schema-{LATEST}.sqlite"),
        n => format!("before-schema-{LATEST}-{n}.sqlite"),
    };
    (1..).map(|n| folder.join(name(n))).find(|path| !path.exists()).unwrap_or_else(|| folder.join(name(1)))
}
