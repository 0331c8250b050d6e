//! Faults put in on purpose: a write that fails or kills the program at each place of every file, a kill at any moment, a disk that is
//! full, one that is read only. What was acknowledged is there after; everything else is whole or not there.
//!
//! The work is done by this very test program started once more ([`child`]), under a limit on the size of files (RLIMIT_FSIZE): beyond
//! it a write fails with EFBIG where the signal is ignored, and kills where it is not. So each place of every file is reached without
//! a line of the program knowing of it. `FAULTS` sets how many places of each kind of work are tried (5 where it is not set, 8 for the figures in docs/reliability.md).

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::BY;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use store::Store;
use store::counter::NewInstrument;
use store::people::PersonRole;
use store::photos::{NewPhoto, Sent};
use store::restore::How;

const PLAIN: How<'static> = How { passphrase: None, salvage: false };
const CUSTOMERS: usize = 30;
const PHOTOS: u16 = 12;

fn places() -> u64 {
    std::env::var("FAULTS").ok().and_then(|n| n.parse().ok()).unwrap_or(5)
}

/// A picture that is like no other, of about 20 kB.
fn picture(n: u16) -> Vec<u8> {
    let mut b = vec![0xFF, 0xD8, 0xFF, 0xC0, 0, 11, 8, 0, 9];
    b.extend((n + 1).to_be_bytes());
    b.extend([1, 1, 0x11, 0]);
    // A scan of nothing in particular.
    b.extend([0xFF, 0xDA, 0, 8, 1, 1, 0, 0, 63, 0]);
    b.extend((0..20_000_u32).map(|i| (i.wrapping_mul(2_654_435_761).wrapping_add(u32::from(n)) >> 24) as u8 & 0x7F));
    b.extend([0xFF, 0xD9]);
    b
}

fn customer(store: &Store, at: usize) -> Result<i64, store::StoreError> {
    store.add_customer(BY, &format!("Customer {at}"), "555-0102", "", &"They come on Tuesdays. ".repeat(20))
}

/// A record with customers, one job and photos.
fn fill(store: &Store) {
    store.add_person(BY, "ottilie", "Ottilie Brandt", PersonRole::Owner, "h").unwrap();
    let ids: Vec<i64> = (0..CUSTOMERS).map(|i| customer(store, i).unwrap()).collect();
    let new = NewInstrument { customer: ids[0], kind: "tuba", ..NewInstrument::default() };
    let instrument = store.add_instrument(BY, &new).unwrap();
    let job = store.add_job(BY, instrument, "Fell", "", None).unwrap();
    for n in 0..PHOTOS {
        assert!(matches!(store.add_photo(BY, job, &NewPhoto::default(), &picture(n)).unwrap(), Sent::Kept(..)));
    }
}

/// What is done while something fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Work {
    Writes,
    Backup,
    Restore,
    Export,
    Import,
    Migrate,
}

const ALL: [Work; 6] = [Work::Writes, Work::Backup, Work::Restore, Work::Export, Work::Import, Work::Migrate];

impl Work {
    fn name(self) -> String {
        format!("{self:?}")
    }

    /// Lays out what it works on.
    fn prepare(self, at: &Path, template: &Template) {
        match self {
            Work::Writes | Work::Backup | Work::Export => copy(&template.at("record"), &at.join("record")),
            Work::Migrate => copy(&template.at("older"), &at.join("record")),
            Work::Restore | Work::Import => {}
        }
        if self == Work::Backup {
            std::fs::create_dir_all(at.join("out")).unwrap();
            std::fs::copy(template.at("good.zip"), at.join("out/b.zip")).unwrap();
        }
    }

    /// Does it, in the child; each line is an acknowledgement.
    fn work(self, at: &Path, template: &Path) {
        let say = |what: String| {
            let mut out = std::io::stdout().lock();
            let _ = writeln!(out, "{what}");
            let _ = out.flush();
        };
        let told = |e: store::StoreError| say(format!("error {e}"));
        let record = at.join("record");
        match self {
            Work::Writes => {
                let store = match Store::open_alone(&record) {
                    Ok(store) => store,
                    Err(e) => return told(e),
                };
                for n in 0..40 {
                    match customer(&store, 1000 + n) {
                        Ok(id) => say(format!("customer {id}")),
                        Err(e) => told(e),
                    }
                    if n % 4 == 0 {
                        match store.add_photo(BY, 1, &NewPhoto::default(), &picture(100 + n as u16)) {
                            Ok(Sent::Kept(id, _)) => say(format!("photo {id}")),
                            Ok(Sent::DentNotYet) => panic!("no photo"),
                            Err(e) => told(e),
                        }
                    }
                    if n % 10 == 9 {
                        let _ = store.tidy();
                    }
                }
            }
            Work::Backup => match Store::open(&record).and_then(|s| s.backup(&at.join("out/b.zip"), None)) {
                Ok(saved) => say(format!("done {}", saved.missing.len())),
                Err(e) => told(e),
            },
            Work::Restore => match Store::restore(&template.join("good.zip"), &record, PLAIN) {
                Ok(lost) => say(format!("done {}", lost.len())),
                Err(e) => told(e),
            },
            Work::Export => match Store::open(&record).and_then(|s| s.export(&at.join("export"))) {
                Ok(()) => say("done 0".to_owned()),
                Err(e) => told(e),
            },
            Work::Import => match Store::open(&record).and_then(|s| s.import(BY, &template.join("export"))) {
                Ok(lost) => say(format!("done {}", lost.len())),
                Err(e) => told(e),
            },
            Work::Migrate => match Store::open(&record) {
                Ok(_) => say("done 0".to_owned()),
                Err(e) => told(e),
            },
        }
    }

    /// What must hold after, whatever happened.
    fn check(self, at: &Path, said: &str, fault: &str, template: &Template) {
        let what = format!("{self:?}, {fault}, said {said:?}");
        let done = said.lines().any(|l| l.starts_with("done 0"));
        let record = at.join("record");
        match self {
            Work::Writes => {
                let store = whole(&record, &what);
                for line in said.lines() {
                    if let Some(id) = line.strip_prefix("customer ") {
                        assert!(store.customer(id.parse().unwrap()).is_ok(), "lost {line}: {what}");
                    }
                    if let Some(id) = line.strip_prefix("photo ") {
                        assert!(store.photo(1, id.parse().unwrap()).is_ok(), "lost {line}: {what}");
                    }
                }
                // It takes writes again, the photo too that could not be kept.
                customer(&store, 5000).unwrap();
                store.add_photo(BY, 1, &NewPhoto::default(), &picture(100)).unwrap();
            }
            Work::Backup => {
                let zip = at.join("out/b.zip");
                let same = std::fs::read(&zip).unwrap() == std::fs::read(template.at("good.zip")).unwrap();
                assert!(done || same || !zip_is_torn(&zip), "{what}");
                assert_eq!(Store::restore(&zip, &at.join("back"), PLAIN).unwrap(), Vec::<String>::new(), "{what}");
                complete(&whole(&at.join("back"), &what), &what);
                complete(&whole(&record, &what), &what);
            }
            Work::Restore => {
                if !record.join("shop.sqlite").exists() {
                    assert!(!done, "{what}");
                    assert_eq!(Store::restore(&template.at("good.zip"), &record, PLAIN).unwrap(), Vec::<String>::new(), "{what}");
                }
                complete(&whole(&record, &what), &what);
            }
            Work::Export => {
                let to = at.join("export");
                assert!(to.exists() || !done, "{what}");
                if !to.exists() {
                    Store::open(&record).unwrap().export(&to).unwrap();
                }
                let other = Store::open(&at.join("other")).unwrap();
                assert_eq!(other.import(BY, &to).unwrap(), Vec::<String>::new(), "{what}");
                complete(&other, &what);
            }
            Work::Import => {
                let store = whole(&record, &what);
                if store.customers("", 100).unwrap().is_empty() {
                    assert!(!done, "{what}");
                    store.import(BY, &template.at("export")).unwrap();
                }
                complete(&store, &what);
            }
            Work::Migrate => {
                let store = whole(&record, &what);
                assert_eq!(store.customers("Customer", 100).unwrap().len(), CUSTOMERS, "{what}");
                let copies = std::fs::read_dir(&record).unwrap().map(|e| e.unwrap().path());
                let copies: Vec<_> = copies.filter(|p| p.file_name().unwrap().to_string_lossy().starts_with("before-schema-")).collect();
                assert!(!copies.is_empty(), "{what}");
                for copy in copies {
                    let c = rusqlite::Connection::open(copy).unwrap();
                    let n: i64 = c.query_row("SELECT count(*) FROM customers", [], |r| r.get(0)).unwrap();
                    assert_eq!(n, CUSTOMERS as i64, "{what}");
                }
            }
        }
        if record.exists() {
            drop(Store::open(&record).unwrap());
            let left: Vec<String> = std::fs::read_dir(&record).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
            // A folder whose maker died before a file was in it is empty, and goes when it is a day old.
            let something = |n: &String| std::fs::read_dir(record.join(n)).is_ok_and(|mut inside| inside.next().is_some());
            let unfinished = |n: &&String| n.starts_with(".backup") || n.starts_with(".restore");
            assert!(!left.iter().filter(unfinished).any(something), "{left:?} after {what}");
        }
    }
}

/// The record opens, and everything that it says of itself holds.
fn whole(record: &Path, what: &str) -> Store {
    let store = Store::open(record).unwrap_or_else(|e| panic!("{e} after {what}"));
    assert_eq!(store.noticed(), [] as [String; 0], "{what}");
    assert_eq!(store.faults().unwrap(), Vec::<String>::new(), "{what}");
    assert_eq!(store.journal_faults().unwrap(), Vec::<String>::new(), "{what}");
    assert_eq!(store.damaged_photos().unwrap(), Vec::<String>::new(), "{what}");
    store
}

fn complete(store: &Store, what: &str) {
    assert_eq!(store.customers("Customer", 100).unwrap().len(), CUSTOMERS, "{what}");
    assert_eq!(store.photos(1).unwrap().len(), usize::from(PHOTOS), "{what}");
}

fn zip_is_torn(zip: &Path) -> bool {
    zip::ZipArchive::new(std::fs::File::open(zip).unwrap()).is_err()
}

/// What every trial begins from.
struct Template(tempfile::TempDir);

impl Template {
    fn new() -> Self {
        let dir = tempfile::tempdir().unwrap();
        let at = |name: &str| dir.path().join(name);
        let store = Store::open(&at("record")).unwrap();
        fill(&store);
        store.backup(&at("good.zip"), None).unwrap();
        store.export(&at("export")).unwrap();
        drop(store);
        std::fs::create_dir_all(at("older/photos")).unwrap();
        let c = rusqlite::Connection::open(at("older/shop.sqlite")).unwrap();
        c.execute_batch(include_str!("../migrations/001_shop.sql")).unwrap();
        for i in 0..CUSTOMERS {
            c.execute("INSERT INTO customers (name, note) VALUES (?1, ?2)", [format!("Customer {i}"), "n".repeat(900)]).unwrap();
            c.execute(
                "INSERT INTO journal (at, who, act, record, row, after) VALUES (1, 'ottilie', 'insert', 'customers', ?1, '{}')",
                [i as i64],
            )
            .unwrap();
        }
        c.pragma_update(None, "user_version", 1).unwrap();
        Self(dir)
    }

    fn at(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap().map(|e| e.unwrap()) {
        let to = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &to);
        } else {
            std::fs::copy(entry.path(), to).unwrap();
        }
    }
}

/// Starts the work; `before` is what the shell does first (a limit, an ignored signal), `through` what starts the shell.
fn start(work: Work, at: &Path, template: &Template, before: &str, through: &[&str]) -> Child {
    let me = std::env::current_exe().unwrap();
    let script = format!("{before} exec \"$0\" child --exact --ignored --nocapture");
    let mut all: Vec<&str> = through.to_vec();
    let me = me.to_str().unwrap();
    all.extend(["sh", "-c", &script, me]);
    Command::new(all[0])
        .args(&all[1..])
        .env("FAULT_WORK", work.name())
        .env("FAULT_AT", at)
        .env("FAULT_TEMPLATE", template.0.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// Not a test: what [`start`] starts.
#[test]
#[ignore = "the other tests start it"]
fn child() {
    let (Ok(work), Ok(at), Ok(template)) = (std::env::var("FAULT_WORK"), std::env::var("FAULT_AT"), std::env::var("FAULT_TEMPLATE")) else {
        return;
    };
    let work = ALL.into_iter().find(|w| w.name() == work).unwrap();
    work.work(Path::new(&at), Path::new(&template));
}

fn said(child: Child) -> String {
    String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap()
}

/// The largest file that a work writes decides how far the limit is moved, blocks of 512 bytes.
fn blocks(of: &Path) -> u64 {
    let mut most = 0;
    for entry in std::fs::read_dir(of).into_iter().flatten().flatten() {
        let kind = entry.file_type().unwrap();
        most = most.max(if kind.is_dir() { blocks(&entry.path()) } else { entry.metadata().unwrap().len() / 512 + 1 });
    }
    most
}

/// Each work with the limit at so many places: writes fail, or kill.
fn limited(kills: bool) {
    let template = Template::new();
    let trap = if kills { "ulimit -c 0;" } else { "trap '' XFSZ;" };
    let (mut tried, mut failed) = (0, 0);
    for work in ALL {
        // Without a limit, to see how large its files become.
        let free = tempfile::tempdir().unwrap();
        work.prepare(free.path(), &template);
        let whole = said(start(work, free.path(), &template, "", &[]));
        work.check(free.path(), &whole, "nothing fails", &template);
        assert!(!whole.contains("error"), "{work:?}: {whole}");
        // The database's log of changes is gone when the program ends; of writes it is larger than the database.
        let most = blocks(free.path()) * if work == Work::Writes { 3 } else { 1 };
        for i in 0..places() {
            let limit = most * i / places();
            let dir = tempfile::tempdir().unwrap();
            work.prepare(dir.path(), &template);
            let said = said(start(work, dir.path(), &template, &format!("{trap} ulimit -f {limit};"), &[]));
            tried += 1;
            failed += usize::from(said.contains("error ") || !said.contains("test result"));
            work.check(dir.path(), &said, &format!("files end at {limit} blocks, kills: {kills}"), &template);
        }
    }
    println!("{tried} places where a write {}, {failed} of them reached; nothing acknowledged lost", if kills { "kills" } else { "fails" });
    assert!(failed * 2 > tried, "the limit is hardly ever reached: {failed} of {tried}");
}

#[test]
fn a_write_that_fails_at_any_place_of_any_file() {
    limited(false);
}

#[test]
fn a_write_that_kills_at_any_place_of_any_file() {
    limited(true);
}

#[test]
fn a_kill_at_any_moment() {
    let template = Template::new();
    let (mut tried, mut cut) = (0, 0);
    for work in ALL {
        let free = tempfile::tempdir().unwrap();
        work.prepare(free.path(), &template);
        let began = Instant::now();
        said(start(work, free.path(), &template, "", &[]));
        let lasts = began.elapsed();
        for i in 0..places() {
            let dir = tempfile::tempdir().unwrap();
            work.prepare(dir.path(), &template);
            let mut child = start(work, dir.path(), &template, "", &[]);
            std::thread::sleep(lasts.mul_f64((i as f64 + 0.5) / places() as f64).max(Duration::from_millis(1)));
            child.kill().unwrap(); // SIGKILL
            let said = said(child);
            tried += 1;
            cut += usize::from(!said.contains("test result"));
            work.check(dir.path(), &said, &format!("killed at {} of {}", i + 1, places()), &template);
        }
    }
    println!("{tried} kills, {cut} of them before the work was done; nothing acknowledged lost, nothing half there");
    assert!(cut * 3 > tried, "hardly a kill came in time: {cut} of {tried}");
}

/// A mount of one's own: memory of so many kilobytes, seen by a process that sleeps and by whoever enters with it. None where this
/// account may not make one.
struct Disk {
    sleeper: Child,
    at: PathBuf,
}

impl Disk {
    fn new(at: &Path, kb: u64) -> Option<Self> {
        let script = format!("mount -t tmpfs -o size={kb}k none '{}' && echo there && exec sleep 600", at.display());
        let mut sleeper =
            Command::new("unshare").args(["-rm", "sh", "-c", &script]).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().ok()?;
        let mut line = String::new();
        let out = sleeper.stdout.take().unwrap();
        let _ = std::io::BufRead::read_line(&mut std::io::BufReader::new(out), &mut line);
        if line.trim() == "there" {
            return Some(Self { sleeper, at: at.to_owned() });
        }
        let _ = sleeper.wait();
        None
    }

    fn enter(&self) -> [String; 6] {
        ["nsenter", "-t", &self.sleeper.id().to_string(), "-U", "--preserve-credentials", "-m"].map(str::to_owned)
    }

    fn run(&self, script: &str) {
        let enter = self.enter();
        assert!(Command::new(&enter[0]).args(&enter[1..]).args(["sh", "-c", script]).status().unwrap().success(), "{script}");
    }

    /// What lies on it, for who has not entered.
    fn seen(&self) -> PathBuf {
        PathBuf::from(format!("/proc/{}/root{}", self.sleeper.id(), self.at.display()))
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        let _ = self.sleeper.kill();
        let _ = self.sleeper.wait();
    }
}

#[test]
fn a_disk_that_is_full() {
    let template = Template::new();
    let (mut tried, mut failed) = (0, 0);
    for work in ALL {
        for i in 0..places() {
            let dir = tempfile::tempdir().unwrap();
            let on = dir.path().join("disk");
            std::fs::create_dir(&on).unwrap();
            let Some(disk) = Disk::new(&on, 64_000) else {
                println!("NOT tried: this account may not mount (unshare -rm)");
                return;
            };
            let laid = dir.path().join("laid");
            std::fs::create_dir(&laid).unwrap();
            work.prepare(&laid, &template);
            copy(&laid, &disk.seen());
            // So much is free, kB; the rest is another's.
            let free = 3000 * i / places();
            disk.run(&format!(
                "free=$(df -k --output=avail '{0}' | tail -1); head -c $(( (free - {free}) * 1024 )) /dev/zero > '{0}/anothers'",
                on.display()
            ));
            let enter = disk.enter();
            let enter: Vec<&str> = enter.iter().map(String::as_str).collect();
            let said = said(start(work, &on, &template, "", &enter));
            tried += 1;
            failed += usize::from(said.contains("error "));
            // Full as it is, the record can be looked at.
            let after = dir.path().join("after");
            copy(&disk.seen(), &after);
            std::fs::remove_file(after.join("anothers")).unwrap();
            work.check(&after, &said, &format!("{free} kB free"), &template);
        }
    }
    println!("{tried} full disks, {failed} works told so; nothing acknowledged lost");
    assert!(failed * 4 > tried, "hardly ever full: {failed} of {tried}");
}

#[test]
fn a_disk_that_is_read_only() {
    let template = Template::new();
    let dir = tempfile::tempdir().unwrap();
    let on = dir.path().join("disk");
    std::fs::create_dir(&on).unwrap();
    let Some(disk) = Disk::new(&on, 64_000) else {
        println!("NOT tried: this account may not mount (unshare -rm)");
        return;
    };
    let laid = dir.path().join("laid");
    std::fs::create_dir(&laid).unwrap();
    Work::Backup.prepare(&laid, &template);
    copy(&laid, &disk.seen());
    disk.run(&format!("mount -o remount,ro '{}'", on.display()));
    for work in ALL {
        let enter = disk.enter();
        let enter: Vec<&str> = enter.iter().map(String::as_str).collect();
        let said = said(start(work, &on, &template, "", &enter));
        if work == Work::Migrate {
            // This record is up to date: it opens, and can be looked at.
            assert!(said.contains("done 0"), "{said}");
            continue;
        }
        assert!(said.contains("error ") && said.contains("test result: ok"), "{work:?}: {said}");
        assert!(!said.contains("customer ") && !said.contains("done"), "{work:?}: {said}");
    }
    let after = dir.path().join("after");
    copy(&disk.seen(), &after);
    complete(&whole(&after.join("record"), "read only"), "read only");
}

#[test]
fn two_servers_on_one_record() {
    let dir = tempfile::tempdir().unwrap();
    let first = Store::open_alone(dir.path()).unwrap();
    let error = Store::open_alone(dir.path()).err().unwrap().to_string();
    assert!(error.contains(&format!("process {}", std::process::id())) && error.contains("stop that one first"), "{error}");
    // A command beside the server is fine: it is one change.
    customer(&Store::open(dir.path()).unwrap(), 1).unwrap();
    drop(first);
    // A child of another test in this process may hold the lock's file for as long as it takes to become another program.
    let again = (0..100).any(|_| {
        Store::open_alone(dir.path()).is_ok() || {
            std::thread::sleep(std::time::Duration::from_millis(20));
            false
        }
    });
    assert!(again, "the record is free again");
    // While an older record is served (by an earlier program, say), nothing changes its schema.
    let older = tempfile::tempdir().unwrap();
    copy(&Template::new().at("older"), older.path());
    let held = std::fs::File::create(older.path().join("serving.lock")).unwrap();
    held.lock().unwrap();
    assert!(Store::open(older.path()).err().unwrap().to_string().contains("stop that one first"));
    drop(held);
    Store::open(older.path()).unwrap();
}
