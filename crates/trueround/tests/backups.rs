//! `backup`, `restore`, `customer`, `password` as a person runs them.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use store::counter::NewInstrument;
use store::people::PersonRole;
use store::{By, Store};

struct Ran {
    code: i32,
    told: String,
}

fn run(args: &[&str], typed: &str) -> Ran {
    let mut child = Command::new(env!("CARGO_BIN_EXE_trueround"))
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A command that asks for nothing has closed its ear already.
    let _ = child.stdin.take().unwrap().write_all(typed.as_bytes());
    let out = child.wait_with_output().unwrap();
    let told = format!("{}{}", String::from_utf8_lossy(&out.stdout), String::from_utf8_lossy(&out.stderr));
    Ran { code: out.status.code().unwrap(), told }
}

fn shop(at: &Path) -> Store {
    let store = Store::open(at).unwrap();
    let by = By { who: "test", at: web::when::now() };
    store.add_person(by, "owner", "Ottilie Brandt", PersonRole::Owner, "-").unwrap();
    let customer = store.add_customer(by, "Juniper Vale", "555-0102", "", "").unwrap();
    store.add_instrument(by, &NewInstrument { customer, kind: "bugle", ..NewInstrument::default() }).unwrap();
    store
}

#[test]
fn a_backup_is_sealed_unless_it_is_said_otherwise_and_comes_back() {
    let dir = tempfile::tempdir().unwrap();
    let at = |name: &str| dir.path().join(name).display().to_string();
    drop(shop(&dir.path().join("record")));
    let sealed = at("monday.zip.age");
    let short = run(&["backup", &sealed, "--data", &at("record")], "short\n");
    assert!(short.code == 2 && short.told.contains("at least 12"), "{}", short.told);
    assert!(!Path::new(&sealed).exists());
    let made = run(&["backup", &sealed, "--data", &at("record")], "brass and solder\n");
    assert!(made.code == 0 && made.told.contains("holds the whole record, sealed"), "{}", made.told);
    std::fs::write(at("words"), "brass and solder\n").unwrap();
    let wrong = run(&["restore", &sealed, "--data", &at("fresh")], "brass and flux!\n");
    assert!(wrong.code == 2 && wrong.told.contains("passphrase does not open it"), "{}", wrong.told);
    let back = run(&["restore", &sealed, "--data", &at("fresh"), "--passphrase-file", &at("words")], "");
    assert_eq!(back.code, 0, "{}", back.told);
    assert_eq!(Store::open(&dir.path().join("fresh")).unwrap().customers("Juniper", 9).unwrap().len(), 1);
    // Plain, and with a photo's file gone: the exit code and the words say that it is not whole.
    let plain = at("monday.zip");
    assert!(run(&["backup", &plain, "--data", &at("record"), "--plain"], "").told.contains("not sealed"));
    let store = Store::open(&dir.path().join("record")).unwrap();
    let by = By { who: "test", at: web::when::now() };
    let job = store.add_job(by, 1, "Fell", "", None).unwrap();
    let jpeg = [0xFF, 0xD8, 0xFF, 0xC0, 0, 11, 8, 0, 9, 0, 9, 1, 1, 0x11, 0, 0xFF, 0xD9];
    store.add_photo(by, job, &store::photos::NewPhoto::default(), &jpeg).unwrap();
    let hash = store.photos(job).unwrap().remove(0).hash;
    drop(store);
    std::fs::remove_file(dir.path().join("record/photos").join(hash)).unwrap();
    let lacking = run(&["backup", &plain, "--data", &at("record"), "--plain"], "");
    assert!(
        lacking.code == 2 && lacking.told.contains("photo 1 of job 1 is gone") && lacking.told.contains("does NOT hold"),
        "{}",
        lacking.told
    );
}

#[test]
fn a_password_is_set_where_nobody_can_sign_in_and_a_customer_is_erased() {
    let dir = tempfile::tempdir().unwrap();
    let at = |name: &str| dir.path().join(name).display().to_string();
    drop(shop(&dir.path().join("record")));
    let weak = run(&["password", "owner", "--data", &at("record")], "password1234\n");
    assert!(weak.code == 2 && weak.told.contains("guessed"), "{}", weak.told);
    let unknown = run(&["password", "wren", "--data", &at("record")], "");
    assert!(unknown.code == 2 && unknown.told.contains("known are: owner"), "{}", unknown.told);
    assert_eq!(run(&["password", "OWNER", "--data", &at("record")], "brass and solder\n").code, 0);
    let store = Store::open(&dir.path().join("record")).unwrap();
    let (_, hash) = store.person_to_sign_in("owner").unwrap().unwrap();
    assert!(web::password::fits("brass and solder", Some(&hash), &mut Vec::new()));
    drop(store);
    let given = run(&["customer", "export", "1", "--data", &at("record"), "--to", &at("given")], "");
    assert_eq!(given.code, 0, "{}", given.told);
    assert!(std::fs::read_to_string(at("given/customer.json")).unwrap().contains("555-0102"));
    let erased = run(&["customer", "erase", "1", "--data", &at("record"), "--reason", "asked by letter"], "");
    assert!(erased.code == 0 && erased.told.contains("Backups made before still hold"), "{}", erased.told);
    assert_eq!(Store::open(&dir.path().join("record")).unwrap().customer(1).unwrap().name, "(erased)");
}

#[test]
fn secrets_come_from_a_file_the_environment_or_what_is_piped_in_and_never_from_the_command_line() {
    let dir = tempfile::tempdir().unwrap();
    let at = |name: &str| dir.path().join(name).display().to_string();
    drop(shop(&dir.path().join("record")));
    let (record, sealed) = (at("record"), at("monday.zip.age"));
    for args in [
        ["backup", sealed.as_str(), "--data", record.as_str(), "--passphrase", "brass and solder"],
        ["password", "owner", "--data", record.as_str(), "--password", "brass and solder"],
    ] {
        let ran = run(&args, "");
        assert!(ran.code == 2 && ran.told.contains("unexpected argument"), "{}", ran.told);
    }
    let from_environment = |args: &[&str], name: &str, secret: &str| {
        let out = Command::new(env!("CARGO_BIN_EXE_trueround")).args(args).env(name, secret).stdin(Stdio::null()).output().unwrap();
        let told = format!("{}{}", String::from_utf8_lossy(&out.stdout), String::from_utf8_lossy(&out.stderr));
        assert!(out.status.success() && !told.contains(secret), "{told}");
    };
    from_environment(&["backup", &sealed, "--data", &record], "TRUEROUND_PASSPHRASE", "brass and solder");
    assert!(store::backup::is_sealed(Path::new(&sealed)).unwrap());
    from_environment(&["restore", &sealed, "--data", &at("fresh")], "TRUEROUND_PASSPHRASE", "brass and solder");
    from_environment(&["password", "owner", "--data", &record], "TRUEROUND_PASSWORD", "owl kettle passport");
    let hash = || Store::open(&dir.path().join("record")).unwrap().person_to_sign_in("owner").unwrap().unwrap().1;
    assert!(web::password::fits("owl kettle passport", Some(&hash()), &mut Vec::new()));
    std::fs::write(at("words"), "mandrel 1903 blue door\n").unwrap();
    assert_eq!(run(&["password", "owner", "--data", &record, "--password-file", &at("words")], "").code, 0);
    assert!(web::password::fits("mandrel 1903 blue door", Some(&hash()), &mut Vec::new()));
}

/// On a terminal (of util-linux's `script`) nothing that is typed shows, and it is asked for twice.
#[test]
fn what_is_typed_does_not_show() {
    use std::io::Read;
    let dir = tempfile::tempdir().unwrap();
    let record = dir.path().join("record");
    drop(shop(&record));
    for (second, fits) in [("brass and solder", true), ("brass and flux!!", false)] {
        let command = format!("'{}' password owner --data '{}'", env!("CARGO_BIN_EXE_trueround"), record.display());
        let mut child = Command::new("script")
            .args(["--quiet", "--return", "--command", &command, "/dev/null"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let (mut into, mut from) = (child.stdin.take().unwrap(), child.stdout.take().unwrap());
        let mut told = String::new();
        for (question, answer) in [("does not show", "brass and solder"), ("Once more", second)] {
            let mut byte = [0];
            while !told.contains(question) || !told.ends_with(": ") {
                assert_eq!(from.read(&mut byte).unwrap(), 1, "{told}");
                told.push(char::from(byte[0]));
            }
            // The terminal is set once the question stands there.
            std::thread::sleep(std::time::Duration::from_millis(300));
            writeln!(into, "{answer}").unwrap();
        }
        from.read_to_string(&mut told).unwrap();
        assert_eq!(child.wait().unwrap().success(), fits, "{told}");
        assert!(!told.contains("brass") && told.contains(if fits { "signs in with the new password" } else { "not the same" }), "{told}");
    }
    let (_, hash) = Store::open(&record).unwrap().person_to_sign_in("owner").unwrap().unwrap();
    assert!(web::password::fits("brass and solder", Some(&hash), &mut Vec::new()));
}

#[test]
fn a_lost_second_factor_is_taken_off_on_the_shops_machine_and_the_journal_tells() {
    let dir = tempfile::tempdir().unwrap();
    let record = dir.path().join("record").display().to_string();
    let store = shop(&dir.path().join("record"));
    let by = By { who: "owner", at: web::when::now() };
    store.begin_second_factor(by, 1).unwrap();
    drop(store);
    rusqlite::Connection::open(dir.path().join("record/shop.sqlite"))
        .unwrap()
        .execute_batch("UPDATE second_factors SET confirmed = 1; UPDATE people SET second_factor = 1")
        .unwrap();
    let off = run(&["password", "--remove-second-factor", "owner", "--data", &record], "");
    assert!(off.code == 0 && off.told.contains("password alone"), "{}", off.told);
    let again = run(&["password", "--remove-second-factor", "owner", "--data", &record], "");
    assert!(again.code == 2 && again.told.contains("has no second factor"), "{}", again.told);
    let store = Store::open(&dir.path().join("record")).unwrap();
    assert!(!store.asks_second_factor(1).unwrap());
    let line = store.journal_latest(1).unwrap().remove(0);
    assert!(line.who == "command line" && line.record == "people" && line.after.unwrap().contains("\"second_factor\":0"));
    assert_eq!(store.security_log(1).unwrap()[0].what, "second_factor_off");
}

#[test]
fn a_shop_that_is_open_saves_itself() {
    let dir = tempfile::tempdir().unwrap();
    let at = |name: &str| dir.path().join(name);
    drop(shop(&at("record")));
    std::fs::create_dir(at("disk")).unwrap();
    let missing = run(
        &[
            "serve",
            "--listen",
            "127.0.0.1:0",
            "--plain",
            "--data",
            at("record").to_str().unwrap(),
            "--backup-to",
            at("none").to_str().unwrap(),
        ],
        "",
    );
    assert!(missing.code == 2 && missing.told.contains("make it first"), "{}", missing.told);
    let mut child = Command::new(env!("CARGO_BIN_EXE_trueround"))
        .args(["serve", "--listen", "127.0.0.1:0", "--plain", "--data"])
        .arg(at("record"))
        .arg("--backup-to")
        .arg(at("disk"))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let file = at("disk").join(format!("trueround-{}.zip", web::when::today()));
    let begun = std::time::Instant::now();
    while !file.exists() && begun.elapsed().as_secs() < 60 {
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(Store::restore(&file, &at("fresh"), store::restore::How::default()).unwrap().is_empty());
}
