//! The record as a shop uses it: kept, journalled, backed up, exported, and never overwritten unseen.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{BY, PNG, YES, given};
use store::acceptance::AcceptanceRecord;
use store::bench::{PlannedStep, StepAct, StepState, Tap};
use store::contract_jobs::NewContractJob;
use store::contracts::ContractTexts;
use store::counter::{JobHead, JobState, NewInstrument};
use store::people::PersonRole;
use store::photos::{NewPhoto, Sent};
use store::restore::How;
use store::{By, Store, StoreError};

fn shop() -> (tempfile::TempDir, Store) {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    (dir, store)
}

fn a_job(store: &Store) -> i64 {
    let customer = store.add_customer(BY, "Juniper Vale Community Band", "555-0102", "", "").unwrap();
    let new = NewInstrument { customer, kind: "tuba", serial: "HQ-1", value: Some("3800.00"), ..NewInstrument::default() };
    let instrument = store.add_instrument(BY, &new).unwrap();
    store.add_job(BY, instrument, "Fell down the stair", "", Some("2026-12-01")).unwrap()
}

#[test]
fn a_change_is_in_the_journal_with_who_when_and_from_what() {
    let (_dir, store) = shop();
    let id = store.add_customer(BY, "Pelham Ridge", "", "", "").unwrap();
    let mut customer = store.customer(id).unwrap();
    customer.name = "Pelham Ridge School District".to_owned();
    store.change_customer(By { who: "ramon", at: BY.at + 60 }, &customer).unwrap();
    let mut journal = store.journal_latest(50).unwrap();
    journal.reverse();
    journal.retain(|e| e.record == "customers" && e.row == id);
    assert_eq!(journal.iter().map(|e| (e.who.as_str(), e.act.as_str())).collect::<Vec<_>>(), [("ottilie", "insert"), ("ramon", "update")]);
    assert!(journal[1].before.as_ref().unwrap().contains("\"Pelham Ridge\""));
    assert!(journal[1].after.as_ref().unwrap().contains("School District"));
    assert_eq!(journal[1].at, BY.at + 60);
}

#[test]
fn passwords_and_links_never_enter_the_journal() {
    let (_dir, store) = shop();
    let id = store.add_person(BY, "wren", "Wren Okafor", PersonRole::Apprentice, "SECRET-HASH").unwrap();
    let job = a_job(&store);
    store.save_dent(BY, job, "d1", 0, "{}").unwrap();
    store.add_quote(BY, job, &given("SECRET-LINK")).unwrap();
    store.set_password(BY, id, "OTHER-SECRET-HASH").unwrap();
    let all = store.journal_latest(1000).unwrap();
    assert!(!all.is_empty());
    for e in all {
        let text = format!("{:?}{:?}", e.before, e.after);
        assert!(!text.contains("SECRET"), "{text}");
    }
}

#[test]
fn a_failed_change_leaves_nothing_behind() {
    let (_dir, store) = shop();
    let before = store.journal_latest(10).unwrap().len();
    assert!(store.add_job(BY, 999, "no such instrument", "", None).is_err());
    assert!(store.open_jobs(10).unwrap().is_empty());
    assert_eq!(store.journal_latest(10).unwrap().len(), before);
}

#[test]
fn two_tablets_on_one_dent_do_not_overwrite_each_other() {
    let (_dir, store) = shop();
    let job = a_job(&store);
    let name = store.add_dent(BY, job, Some("tablet-1"), |n| Ok(format!("{{\"id\":\"{n}\"}}"))).unwrap().0;
    assert_eq!(store.add_dent(BY, job, Some("tablet-1"), |_| panic!("it is there already")).unwrap(), (name.clone(), false));
    assert_eq!(store.save_dent(BY, job, &name, 1, "{\"depth\":4}").unwrap(), 2);
    let second = store.save_dent(BY, job, &name, 1, "{\"depth\":5}");
    match second {
        Err(StoreError::Conflict { version: 2, body: Some(body), .. }) => assert_eq!(body, "{\"depth\":4}"),
        other => panic!("a conflict was expected: {other:?}"),
    }
    // Another dent of the same survey is free.
    store.save_dent(BY, job, "d99", 0, "{}").unwrap();
    assert_eq!(store.add_dent(BY, job, None, |_| Ok("{}".to_owned())).unwrap(), ("d100".to_owned(), true));
}

#[test]
fn a_dents_name_is_never_given_again_in_its_job() {
    let (_dir, store) = shop();
    let job = a_job(&store);
    let add = |store: &Store, job| store.add_dent(BY, job, None, |_| Ok("{}".to_owned())).unwrap().0;
    assert_eq!((add(&store, job), add(&store, job)), ("d1".to_owned(), "d2".to_owned()));
    store.remove_dent(BY, job, "d2", 1).unwrap();
    assert_eq!(add(&store, job), "d3");
    // All out, and the count goes on; through an export and back too.
    store.remove_dent(BY, job, "d1", 1).unwrap();
    store.remove_dent(BY, job, "d3", 1).unwrap();
    let out = tempfile::tempdir().unwrap();
    let folder = out.path().join("export");
    store.export(&folder).unwrap();
    let (_dir2, other) = shop();
    other.import(BY, &folder).unwrap();
    assert_eq!((add(&store, job), add(&other, job)), ("d4".to_owned(), "d4".to_owned()));
    // An export from before the count was kept still comes in.
    std::fs::remove_file(folder.join("dent_names.jsonl")).unwrap();
    let (_dir3, older) = shop();
    older.import(BY, &folder).unwrap();
    assert_eq!(add(&older, job), "d1");
    // Another job has its own names; a name out of all measure does not stop the count.
    let second = a_job(&store);
    store.save_dent(BY, second, "d9223372036854775807", 0, "{}").unwrap();
    assert_eq!(add(&store, second), "d1");
}

#[test]
fn a_record_from_before_counts_on_from_its_journal() {
    // The record as the second step of the schema left it, with a dent that the journal alone remembers.
    let dir = tempfile::tempdir().unwrap();
    let raw = rusqlite::Connection::open(dir.path().join("shop.sqlite")).unwrap();
    raw.execute_batch(include_str!("../migrations/001_shop.sql")).unwrap();
    raw.execute_batch(include_str!("../migrations/002_board_indexes.sql")).unwrap();
    raw.execute_batch(
        "INSERT INTO customers (id, name) VALUES (1, 'Fen Road');
         INSERT INTO instruments (id, customer, kind, tag) VALUES (1, 1, 'tuba', 'T00001');
         INSERT INTO jobs (id, instrument, title, state, received_at) VALUES (1, 1, 'Fell', 'on_bench', 1800000000);
         INSERT INTO dents (job, name, body, version) VALUES (1, 'd1', '{}', 1);
         INSERT INTO journal (at, who, act, record, row, after) VALUES (1800000000, 'ottilie', 'insert', 'dents', 2, '{\"job\":1,\"name\":\"d2\"}');
         INSERT INTO quotes (job, token, body, made_at) VALUES (1, 'given-before', '{}', 1800000000);
         PRAGMA user_version = 2;",
    )
    .unwrap();
    let old = "INSERT INTO steps (job, key, kind, what, likely_s, state) VALUES (1, ?1, ?2, '', 60, 'done')";
    for (key, kind) in [
        ("prove:Prove tightness: bell stopped", "prove"),
        ("prove:third_valve", "prove"),
        ("assemble:Assemble, grease and oil", "assemble"),
        ("dent:d1", "dent"),
    ] {
        raw.execute(old, (key, kind)).unwrap();
    }
    drop(raw);
    let store = Store::open(dir.path()).unwrap();
    assert_eq!(store.add_dent(BY, 1, None, |_| Ok("{}".to_owned())).unwrap().0, "d3");
    // The steps' names of before follow.
    let keys: Vec<String> = store.steps(1).unwrap().into_iter().map(|s| s.key).collect();
    assert_eq!(keys, ["acceptance_check:tight", "acceptance_check:third_valve", "assemble", "dent:d1"]);
    assert!(store.acceptance_records(1).unwrap().is_empty());
    // A quote whose ground was not kept cannot become an agreement.
    let given = store.quote_by_token("given-before").unwrap();
    assert!(given.made_from.is_none() && given.adds_to.is_none());
}

#[test]
fn tidying_empties_the_log_into_the_database_and_nothing_is_lost() {
    let (dir, store) = shop();
    store.tidy().unwrap();
    let size = |name: &str| std::fs::metadata(dir.path().join(name)).unwrap().len();
    let before = size("shop.sqlite");
    let job = a_job(&store);
    let body = format!("{{\"note\":\"{}\"}}", "x".repeat(4000));
    for _ in 0..300 {
        store.add_dent(BY, job, None, |_| Ok(body.clone())).unwrap();
    }
    // A save leaves the database file alone; tidying carries everything over, and the next write begins the log anew.
    assert_eq!(size("shop.sqlite"), before);
    store.tidy().unwrap();
    assert!(size("shop.sqlite") > before + 1_000_000);
    let log = size("shop.sqlite-wal");
    for _ in 0..50 {
        store.add_dent(BY, job, None, |_| Ok(body.clone())).unwrap();
    }
    assert_eq!(size("shop.sqlite-wal"), log);
    assert!(store.faults().unwrap().is_empty());
}

#[test]
fn the_last_owner_stays_an_owner() {
    let (_dir, store) = shop();
    let id = store.add_person(BY, "ottilie", "Ottilie Brandt", PersonRole::Owner, "h").unwrap();
    assert!(matches!(store.change_person(BY, id, 1, "Ottilie", PersonRole::Technician, true), Err(StoreError::Refused(_))));
    assert_eq!(store.people().unwrap()[0].role, PersonRole::Owner);
}

#[test]
fn a_session_ends_and_a_person_put_out_is_signed_out() {
    let (_dir, store) = shop();
    store.add_person(BY, "ottilie", "Ottilie Brandt", PersonRole::Owner, "h").unwrap();
    let wren = store.add_person(BY, "wren", "Wren Okafor", PersonRole::Apprentice, "h").unwrap();
    store.open_session(BY, wren, "127.0.0.1", ("token", "csrf"), BY.at + 100).unwrap();
    assert!(store.session("token", BY.at + 99).unwrap().is_some());
    assert!(store.session("token", BY.at + 100).unwrap().is_none());
    assert!(store.session("other", BY.at).unwrap().is_none());
    store.change_person(BY, wren, 1, "Wren Okafor", PersonRole::Apprentice, false).unwrap();
    assert!(store.session("token", BY.at).unwrap().is_none());
}

#[test]
fn a_step_is_timed_over_pauses_and_puts_the_job_on_the_bench() {
    let (_dir, store) = shop();
    let person = store.add_person(BY, "ramon", "Ramon Achterberg", PersonRole::Technician, "h").unwrap();
    let job = a_job(&store);
    store.save_dent(BY, job, "d1", 0, "{}").unwrap();
    store.add_quote(BY, job, &given("t")).unwrap();
    store.agree(BY, "t", &YES).unwrap();
    let step = PlannedStep { key: "dent:d1", kind: "dent", what: "Bring d1 back", likely_s: 600, timed_by: "" };
    let at = |s| By { who: "ramon", at: BY.at + s };
    store.act_on_step(at(0), job, &step, person, StepAct::Start).unwrap();
    store.act_on_step(at(100), job, &step, person, StepAct::Pause).unwrap();
    store.act_on_step(at(500), job, &step, person, StepAct::Start).unwrap();
    let done = store.act_on_step(at(550), job, &step, person, StepAct::Tick).unwrap().0;
    assert_eq!((done.state, done.spent_s, done.person), (StepState::Done, 150, Some(person)));
    assert_eq!(store.job(job).unwrap().state, JobState::OnBench);
    assert_eq!(store.times_taken(10).unwrap()[0].spent_s, 150);
    assert!(store.act_on_step(at(600), job, &step, person, StepAct::Skip(" ")).is_err());
}

#[test]
fn a_check_needs_a_figure_or_a_reason() {
    let (_dir, store) = shop();
    let job = a_job(&store);
    store.import_job_state(BY, job, JobState::OnBench).unwrap();
    let mut check = AcceptanceRecord {
        key: "passage".to_owned(),
        what: "Largest ball that passes".to_owned(),
        wanted: "17.5 mm".to_owned(),
        figure: String::new(),
        passed: Some(true),
        reason: String::new(),
        measured_mm: None,
        least_mm: None,
        most_mm: None,
        let_go_by: String::new(),
        who: String::new(),
        at: None,
    };
    assert!(store.save_acceptance(BY, job, &check).is_err());
    check.figure = "17.5 mm".to_owned();
    store.save_acceptance(BY, job, &check).unwrap();
    check.passed = Some(false);
    assert!(store.save_acceptance(BY, job, &check).is_err());
    assert_eq!(store.acceptance_records(job).unwrap()[0].who, "ottilie");
}

#[test]
fn a_backup_taken_while_running_restores_whole() {
    let (_dir, store) = shop();
    let job = a_job(&store);
    let png = PNG;
    let Sent::Kept(photo, None) = store.add_photo(BY, job, &NewPhoto::default(), png).unwrap() else { panic!("no photo") };
    let out = tempfile::tempdir().unwrap();
    let zip = out.path().join("monday.zip");
    assert!(store.backup(&zip, None).unwrap().missing.is_empty());
    store.add_customer(BY, "came later", "", "", "").unwrap();
    let fresh = out.path().join("fresh");
    assert!(Store::restore(&zip, &fresh, How::default()).unwrap().is_empty());
    let restored = Store::open(&fresh).unwrap();
    assert_eq!(restored.job(job).unwrap(), store.job(job).unwrap());
    assert_eq!(restored.photo(job, photo).unwrap().1, png);
    assert!(restored.customers("came later", 9).unwrap().is_empty());
    assert!(restored.faults().unwrap().is_empty());
    assert!(matches!(Store::restore(&zip, &fresh, How::default()), Err(StoreError::Refused(_))));
    std::fs::write(&zip, b"not a zip").unwrap();
    assert!(matches!(Store::restore(&zip, &out.path().join("other"), How::default()), Err(StoreError::Garbled { .. })));
    assert!(!out.path().join("other/shop.sqlite").exists());
}

#[test]
fn an_export_comes_back_the_same() {
    let (_dir, store) = shop();
    let job = a_job(&store);
    store.save_survey_body(BY, job, 0, "{\"title\":\"Ox\"}").unwrap();
    store.save_dent(BY, job, "d1", 0, "{}").unwrap();
    let out = tempfile::tempdir().unwrap();
    let folder = out.path().join("export");
    store.export(&folder).unwrap();
    let (_dir2, other) = shop();
    other.import(BY, &folder).unwrap();
    assert_eq!(other.survey(job).unwrap(), store.survey(job).unwrap());
    assert_eq!(other.board_line(job).unwrap(), store.board_line(job).unwrap());
    assert!(matches!(other.import(BY, &folder), Err(StoreError::Refused(_))));
    // A garbled line names itself and nothing is kept.
    std::fs::write(folder.join("jobs.jsonl"), "{\"id\": 1, \"colour\": 2}\n").unwrap();
    let (_dir3, third) = shop();
    let error = third.import(BY, &folder).unwrap_err().to_string();
    assert!(error.contains("jobs.jsonl, line 1") && error.contains("colour"), "{error}");
    assert!(third.customers("", 9).unwrap().is_empty());
}

#[test]
fn a_contract_comes_through_an_export_and_a_backup_with_its_plans() {
    let (_dir, store) = shop();
    let district = store.add_customer(BY, "A District", "", "", "").unwrap();
    let texts = |budget: &str| ContractTexts { head: budget.to_owned(), instruments: "tag\nA-1\n".to_owned(), ..ContractTexts::default() };
    let id = store.add_contract(BY, district, &texts("$1")).unwrap();
    let made_from = format!("{{\"head\":\"{}\"}}", store.contract(id).unwrap().head);
    store.add_contract_plan(BY, id, &made_from, b"{\"plan\":1}", b"{}").unwrap();
    store.change_contract(BY, id, 1, &texts("$2")).unwrap();
    let dents = [("d1".to_owned(), "{}".to_owned())];
    let new = NewContractJob {
        contract: id,
        instrument: NewInstrument { customer: district, kind: "trumpet", asset: "A-1", ..NewInstrument::default() },
        title: "A-1: dents out",
        due: None,
        person: None,
        level: "good",
        bench: "bench 1",
        price: "85.00",
        tools: "[[\"mandrel 12 mm\",\"45\"]]",
        survey: "{}",
        dents: &dents,
        no_dents: store::states::Said { name: "", reason: "" },
    };
    let (job, _) = store.open_contract_job(BY, &new).unwrap();
    let out = tempfile::tempdir().unwrap();
    let (folder, zip, fresh) = (out.path().join("export"), out.path().join("monday.zip"), out.path().join("fresh"));
    store.export(&folder).unwrap();
    store.backup(&zip, None).unwrap();
    assert_eq!(Store::restore(&zip, &fresh, How::default()).unwrap(), Vec::<String>::new());
    let (_dir2, other) = shop();
    other.import(BY, &folder).unwrap();
    for again in [&Store::open(&fresh).unwrap(), &other] {
        assert_eq!(again.contract_with_texts(id).unwrap(), store.contract_with_texts(id).unwrap());
        let plans = again.contract_plans(id).unwrap();
        assert_eq!(plans, store.contract_plans(id).unwrap());
        assert_eq!(again.content(&plans[0].plan).unwrap(), b"{\"plan\":1}");
        assert_eq!(again.contract_of_job(job).unwrap(), Some((id, "A-1".to_owned())));
        assert_eq!(again.contract_jobs(id, 0, "").unwrap(), store.contract_jobs(id, 0, "").unwrap());
        assert_eq!(again.open_contract_job(BY, &new).unwrap(), (job, false));
        assert_eq!((again.faults().unwrap(), again.journal_faults().unwrap()), (vec![], vec![]));
    }
    // A hash that is none is refused; an export from before there were contracts comes in.
    let lines = std::fs::read_to_string(folder.join("contracts.jsonl")).unwrap();
    std::fs::write(folder.join("contracts.jsonl"), lines.replace(&store.contract(id).unwrap().dents, "../../etc/passwd")).unwrap();
    let (_dir3, third) = shop();
    assert!(third.import(BY, &folder).unwrap_err().to_string().contains("contracts.jsonl, line 1"));
    for name in ["contracts.jsonl", "contract_plans.jsonl", "contract_jobs.jsonl"] {
        std::fs::remove_file(folder.join(name)).unwrap();
    }
    third.import(BY, &folder).unwrap();
    assert!(third.contracts().unwrap().is_empty());
}

#[test]
fn a_search_takes_percent_signs_as_they_are() {
    let (_dir, store) = shop();
    store.add_customer(BY, "100% Brass", "", "", "").unwrap();
    store.add_customer(BY, "Plain Brass", "", "", "").unwrap();
    assert_eq!(store.customers("100%", 9).unwrap().len(), 1);
    assert_eq!(store.customers("%", 9).unwrap().len(), 1);
}

#[test]
fn what_a_tablet_sends_twice_is_kept_once() {
    let (_dir, store) = shop();
    let job = a_job(&store);
    let png = PNG;
    // A photo of a dent that the record does not have yet waits for it.
    let of_new = NewPhoto { dent_made_as: Some("the tablet's dent"), made_as: Some("the tablet's photo"), ..NewPhoto::default() };
    assert_eq!(store.add_photo(BY, job, &of_new, png).unwrap(), Sent::DentNotYet);
    assert!(store.photos(job).unwrap().is_empty());
    let (name, _) = store.add_dent(BY, job, Some("the tablet's dent"), |_| Ok("{}".to_owned())).unwrap();
    let first = store.add_photo(BY, job, &of_new, png).unwrap();
    assert!(matches!(&first, Sent::Kept(_, Some(dent)) if *dent == name));
    assert_eq!(store.add_photo(BY, job, &of_new, png).unwrap(), first);
    // The dent was taken out in between: it is still that one.
    store.remove_dent(BY, job, &name, 1).unwrap();
    let second = NewPhoto { made_as: Some("another photo"), ..of_new };
    assert!(matches!(store.add_photo(BY, job, &second, png).unwrap(), Sent::Kept(_, Some(dent)) if dent == name));
    assert_eq!(store.photos(job).unwrap().len(), 2);
    // The same picture without a mark is another photo: somebody chose it twice.
    for _ in 0..2 {
        store.add_photo(BY, job, &NewPhoto::default(), png).unwrap();
    }
    assert_eq!(store.photos(job).unwrap().len(), 4);
}

#[test]
fn an_act_that_a_tablet_sends_twice_is_done_once_at_the_moment_of_the_tap() {
    let (_dir, store) = shop();
    let job = a_job(&store);
    store.say_no_dents(BY, job, store::states::Said::both("Wren", "a look over")).unwrap();
    let person = store.add_person(BY, "wren", "Wren", PersonRole::Technician, "not a hash").unwrap();
    let step = PlannedStep { key: "flush", kind: "flush", what: "Flush it", likely_s: 600, timed_by: "" };
    let sent = |at: i64| By { who: "wren", at };
    let tap = |act, at, mark| Tap { act, person, at, made_as: Some(mark) };
    // The timer ran from 100 to 400, though the network came back at 1000.
    store.tap_step(sent(1000), job, &step, &tap(StepAct::Start, 100, "a")).unwrap();
    let done = store.tap_step(sent(1001), job, &step, &tap(StepAct::Tick, 400, "b")).unwrap().0;
    assert_eq!((done.state, done.spent_s, done.done_at), (StepState::Done, 300, Some(400)));
    // Another tablet takes the tick back; what the first one sends again for want of an answer does not tick it anew.
    store.act_on_step(sent(1100), job, &step, person, StepAct::Untick).unwrap();
    let again = store.tap_step(sent(1200), job, &step, &tap(StepAct::Tick, 400, "b")).unwrap().0;
    assert_eq!((again.state, again.spent_s), (StepState::ToDo, 300));
    assert!(store.tapped(job, "b").unwrap() && !store.tapped(job, "c").unwrap());
    // What was refused was not done, and its mark is free.
    assert!(store.tap_step(sent(1300), job, &step, &tap(StepAct::Skip(" "), 1300, "c")).is_err());
    assert!(!store.tapped(job, "c").unwrap());
}

#[test]
fn each_bench_is_counted_and_what_is_ready_is_not_late() {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let by = By { who: "desk", at: 1_800_000_000 };
    let ramon = store.add_person(by, "ramon", "Ramon", PersonRole::Technician, "-").unwrap();
    let customer = store.add_customer(by, "Fen Road", "", "", "").unwrap();
    let instrument = store.add_instrument(by, &NewInstrument { customer, kind: "tuba", ..NewInstrument::default() }).unwrap();
    for (due, bench) in [(Some("2026-05-01"), Some(ramon)), (Some("2026-05-09"), Some(ramon)), (Some("2026-05-01"), None), (None, None)] {
        let job = store.add_job(by, instrument, "Fell", "", due).unwrap();
        let version = store.job(job).unwrap().version;
        store.change_job(by, job, version, &JobHead { title: "Fell", words: "", due, bench }).unwrap();
    }
    assert_eq!(store.count_by_bench("2026-05-05").unwrap(), [(None, 2, 1), (Some(ramon), 2, 1)]);
    assert_eq!(store.count_due("2026-05-05", "2026-05-04", "2026-05-11").unwrap(), (2, 1));
}

#[test]
fn a_job_is_found_by_telephone_however_it_is_grouped_and_by_its_bench() {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let by = By { who: "desk", at: 1_800_000_000 };
    let ramon = store.add_person(by, "ramon", "Ramon Achterberg", PersonRole::Technician, "-").unwrap();
    let customer = store.add_customer(by, "Fen Road", "(207) 555-0117", "", "").unwrap();
    let instrument = store.add_instrument(by, &NewInstrument { customer, kind: "tuba", ..NewInstrument::default() }).unwrap();
    let job = store.add_job(by, instrument, "Fell", "", None).unwrap();
    let found = |text: &str| store.find_jobs(text, 9).unwrap().iter().map(|l| l.job.id).collect::<Vec<_>>();
    assert!(found("Achterberg").is_empty());
    let version = store.job(job).unwrap().version;
    store.change_job(by, job, version, &JobHead { title: "Fell", words: "", due: None, bench: Some(ramon) }).unwrap();
    for text in ["207 555 0117", "555-0117", "+207.555.0117", "0117", "achterberg"] {
        assert_eq!(found(text), [job], "{text}");
    }
    // Three digits stand in too many numbers.
    assert!(found("555").is_empty() && found("0118").is_empty());
    assert_eq!(store.board_line(job).unwrap().bench(), Some("Ramon Achterberg"));
}

#[test]
fn what_hangs_on_a_record_that_is_not_there_is_missing_and_leaves_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let by = By { who: "desk", at: 1_800_000_000 };
    let why = store.add_job(by, 983, "Fell", "", None).unwrap_err();
    assert!(matches!(why, StoreError::Missing { .. }), "{why}");
    let png = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x01\0\0\0\x01\x08\x02\0\0\0\0\0\0\0";
    let why = store.add_photo(by, 983, &NewPhoto::default(), png).unwrap_err();
    assert_eq!(why.to_string(), "there is no job 983");
    let kept = files_in(&dir.path().join("photos"));
    assert_eq!(kept, 0, "files without a photo");
}

fn files_in(folder: &std::path::Path) -> usize {
    std::fs::read_dir(folder).map_or(0, |all| all.flatten().map(|e| if e.path().is_dir() { files_in(&e.path()) } else { 1 }).sum())
}
