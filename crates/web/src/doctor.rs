//! Whether all is well with the installation: the program, the record, the machine. Told on the command line and on a page.

use crate::problem::Outcome;
use job::self_check::self_checks;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use store::Store;

/// How something stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stands {
    /// As it should.
    Well,
    /// Somebody should look at it.
    Look,
    /// It must be mended before anything else is done.
    Bad,
}

impl Stands {
    /// In a word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Well => "well",
            Self::Look => "look",
            Self::Bad => "BAD",
        }
    }
}

/// What was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// Of what.
    pub of: &'static str,
    /// How it stands.
    pub stands: Stands,
    /// What was found, and what to do where it is not well.
    pub says: String,
}

fn finding(of: &'static str, stands: Stands, says: impl Into<String>) -> Finding {
    Finding { of, stands, says: says.into() }
}

/// Less room than this on the disk is told, bytes: some thousand photos.
const LITTLE_ROOM: u64 = 5 << 30;
/// With less than this nothing should be begun, bytes.
const NO_ROOM: u64 = 500 << 20;
/// No clock of a machine that runs this program is before this: 2026-01-01, UTC.
const NO_EARLIER_S: i64 = 1_767_225_600;
/// Failures to sign in within a day that a shop does not make by itself.
const MANY_FAILURES: i64 = 64;

/// Looks at all of it, at a moment in Unix seconds.
///
/// # Errors
/// Where the record cannot be read at all.
pub fn examine(store: &Store, now: i64) -> Outcome<Vec<Finding>> {
    Ok(vec![
        program(),
        published(),
        database(store)?,
        photos(store)?,
        journal(store)?,
        answers(store)?,
        backup(store, now),
        folder(store.folder()),
        clock(store, now)?,
        disk(store.folder()),
        door(store, now)?,
    ])
}

fn program() -> Finding {
    let build = if cfg!(debug_assertions) { "built for tests: slower than it need be" } else { "built for use" };
    finding("program", Stands::Well, format!("trueround {}, {build}", env!("CARGO_PKG_VERSION")))
}

fn published() -> Finding {
    let all = self_checks();
    let lost: Vec<String> = all
        .iter()
        .filter(|c| !c.holds())
        .map(|c| format!("{}: {} where {} is published ({})", c.what, c.got, c.wanted, c.source))
        .collect();
    if lost.is_empty() {
        finding("published figures", Stands::Well, format!("{} of {} come again on this machine", all.len(), all.len()))
    } else {
        finding("published figures", Stands::Bad, format!("{}. Do not trust a figure of this build; install it again.", lost.join("; ")))
    }
}

fn database(store: &Store) -> Outcome<Finding> {
    let faults = store.faults()?;
    Ok(match faults.first() {
        None => finding("record", Stands::Well, "SQLite finds it sound, and everything points at something that is there"),
        Some(first) => finding(
            "record",
            Stands::Bad,
            format!(
                "{} faults, the first: {first}. Stop the program, keep a copy of the folder, and restore the newest backup.",
                faults.len()
            ),
        ),
    })
}

fn photos(store: &Store) -> Outcome<Finding> {
    let lost = store.damaged_photos()?;
    Ok(match lost.first() {
        None => finding("photos", Stands::Well, "each is there and is what its name says"),
        Some(first) => finding(
            "photos",
            Stands::Bad,
            format!("{} are missing or damaged, the first: {first}. They may be whole in an older backup.", lost.len()),
        ),
    })
}

fn journal(store: &Store) -> Outcome<Finding> {
    let mut faults = store.noticed().to_vec();
    faults.extend(store.journal_faults()?);
    let (lines, head) = store.journal_head()?;
    Ok(match faults.first() {
        None => finding("journal", Stands::Well, format!("each of {lines} lines is as it was written; the last one's hash is {head:.16}")),
        Some(first) => {
            finding("journal", Stands::Bad, format!("{first}. Ask who had the folder; an older backup has the journal of then."))
        }
    })
}

fn answers(store: &Store) -> Outcome<Finding> {
    let (looked_at, differ) = store.answers_that_differ()?;
    Ok(match differ.first() {
        None => finding("answered quotes", Stands::Well, format!("each of {looked_at} stands as the customer answered it")),
        Some(first) => finding(
            "answered quotes",
            Stands::Bad,
            format!("{} are not what was answered, the first: {first}. An older backup has the quote of then.", differ.len()),
        ),
    })
}

/// Seconds without a backup that are worth a look: a week.
const NO_BACKUP_S: i64 = 7 * 24 * 3600;

fn backup(store: &Store, now: i64) -> Finding {
    match store.last_backup() {
        None => finding("backup", Stands::Look, "none was made yet: trueround backup, or serve --backup-to"),
        Some(last) if !last.whole => finding("backup", Stands::Bad, format!("the last one does not hold the whole record: {}", last.to)),
        Some(last) if now - last.at > NO_BACKUP_S => {
            finding("backup", Stands::Look, format!("the last one is {} days old: {}", (now - last.at) / 86_400, last.to))
        }
        Some(last) => finding("backup", Stands::Well, format!("the last one holds the whole record: {}", last.to)),
    }
}

fn folder(folder: &Path) -> Finding {
    match std::fs::metadata(folder) {
        Ok(m) if m.permissions().mode() & 0o077 == 0 => finding("folder", Stands::Well, "nobody else on this machine may read it"),
        Ok(m) => finding(
            "folder",
            Stands::Look,
            format!("others on this machine may read it (mode {:o}): chmod 700 {}", m.permissions().mode() & 0o777, folder.display()),
        ),
        Err(e) => finding("folder", Stands::Bad, format!("{}: {e}", folder.display())),
    }
}

fn clock(store: &Store, now: i64) -> Outcome<Finding> {
    let newest = store.newest_change()?.unwrap_or(i64::MIN);
    Ok(if now < NO_EARLIER_S {
        finding("clock", Stands::Bad, "the machine's clock stands before this program was written: set it")
    } else if now < newest {
        finding(
            "clock",
            Stands::Bad,
            format!("the machine's clock is {} min behind the newest change in the record: set it", (newest - now + 59) / 60),
        )
    } else {
        finding("clock", Stands::Well, "it is after the newest change in the record")
    })
}

fn room(free: u64) -> Stands {
    match free {
        f if f < NO_ROOM => Stands::Bad,
        f if f < LITTLE_ROOM => Stands::Look,
        _ => Stands::Well,
    }
}

fn disk(folder: &Path) -> Finding {
    match rustix::fs::statvfs(folder) {
        Ok(s) => {
            let free = s.f_bavail.saturating_mul(s.f_frsize);
            finding("disk", room(free), format!("{:.1} GB free", free as f64 / 1e9))
        }
        Err(e) => finding("disk", Stands::Look, format!("how much is free cannot be asked: {e}")),
    }
}

fn door(store: &Store, now: i64) -> Outcome<Finding> {
    let failed = store.failures_since(now - 24 * 3600)?;
    Ok(if failed >= MANY_FAILURES {
        finding(
            "door",
            Stands::Look,
            format!("at least {failed} wrong passwords within a day: look at the list below whose name was tried, and from where"),
        )
    } else {
        finding("door", Stands::Well, format!("{failed} wrong passwords within a day"))
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;
    use store::By;

    fn of(all: &[Finding], what: &str) -> Stands {
        all.iter().find(|f| f.of == what).unwrap().stands
    }

    /// A photo of a tablet is about 3 MB, a day of the shop some hundred of them.
    #[test]
    fn a_full_disk_is_told_before_it_is_full() {
        assert_eq!([100 << 20, 400 << 20, 900 << 20, 4 << 30, 9 << 30].map(room), {
            use Stands::{Bad, Look, Well};
            [Bad, Bad, Look, Look, Well]
        });
    }

    #[test]
    fn each_fault_is_found() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        let now = NO_EARLIER_S + 1_000_000;
        store.add_customer(By { who: "test", at: now }, "Fen Road", "", "", "").unwrap();
        std::fs::set_permissions(dir.path(), std::fs::Permissions::from_mode(0o700)).unwrap();
        let well = examine(&store, now).unwrap();
        assert_eq!(of(&well, "backup"), Stands::Look);
        store.note_backup(&store::backup::LastBackup { at: now, to: "monday.zip".to_owned(), whole: true }).unwrap();
        let well = examine(&store, now).unwrap();
        assert!(well.iter().all(|f| f.stands == Stands::Well || f.of == "disk"), "{well:?}");
        assert_eq!(of(&examine(&store, now - 1).unwrap(), "clock"), Stands::Bad);
        assert_eq!(of(&examine(&store, 5).unwrap(), "clock"), Stands::Bad);
        std::fs::set_permissions(dir.path(), std::fs::Permissions::from_mode(0o755)).unwrap();
        assert_eq!(of(&examine(&store, now).unwrap(), "folder"), Stands::Look);
        // The log tells each time that they have doubled: 32, then 64.
        for (tries, stands) in [(63, Stands::Well), (1, Stands::Look)] {
            for _ in 0..tries {
                store.sign_in_failed(now, "owner", "10.0.0.9").unwrap();
            }
            assert_eq!(of(&examine(&store, now).unwrap(), "door"), stands);
        }
    }
}
