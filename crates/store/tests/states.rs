//! What a job's state allows: every state with every action, as a table; and the facts that decide beside it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{BY, YES, given};
use store::acceptance::{AcceptanceRecord, Required};
use store::bench::{PlannedStep, StepAct};
use store::counter::{JobState, NewInstrument};
use store::people::PersonRole;
use store::states::{Action, Facts, QuoteFact, Said, next};
use store::{By, Store, StoreError};

const SAID: Said<'static> = Said { name: "Ottilie Brandt", reason: "the concert is tonight" };

/// A state in two letters; `--` is a refusal.
fn letters(state: JobState) -> &'static str {
    match state {
        JobState::Received => "rc",
        JobState::Surveyed => "su",
        JobState::Quoted => "qu",
        JobState::Approved => "ap",
        JobState::OnBench => "be",
        JobState::Checking => "ch",
        JobState::Ready => "re",
        JobState::HandedBack => "ha",
        JobState::Declined => "de",
    }
}

fn row(state: JobState, facts: &Facts<'_>) -> String {
    Action::ALL.map(|action| next(state, action, facts).map_or("--", letters)).join(" ")
}

/// The quote as it stands in a job of that state.
fn usual(state: JobState) -> Facts<'static> {
    let quote = match state {
        JobState::Received | JobState::Surveyed => QuoteFact::None,
        JobState::Quoted => QuoteFact::Out,
        JobState::Declined => QuoteFact::No,
        _ => QuoteFact::Yes,
    };
    Facts { dents: 3, quote, sure: true, said: Some(SAID), ..Facts::default() }
}

/// Every pair where the facts are as good as they can be: only the state decides.
#[test]
fn every_state_with_every_action() {
    //                     survey noDent overr quote wdraw accept decl reopn suppl work untick note check ready hand
    let table = [
        (JobState::Received, "su su rc qu -- -- de -- -- -- -- rc -- -- --"),
        (JobState::Surveyed, "su su su qu -- -- de -- -- su su su -- -- --"),
        (JobState::Quoted, "qu -- qu qu su ap de -- -- qu qu qu -- -- --"),
        (JobState::Approved, "ap -- ap -- -- -- de -- ap be be ap ch re --"),
        (JobState::OnBench, "be -- be -- -- -- -- -- be be be be ch re --"),
        (JobState::Checking, "ch -- ch -- -- -- -- -- ch ch be ch ch re --"),
        (JobState::Ready, "-- -- -- -- -- -- -- ch -- -- -- re ch -- ha"),
        (JobState::HandedBack, "-- -- -- -- -- -- -- re -- -- -- ha -- -- --"),
        (JobState::Declined, "-- -- -- -- -- -- -- qu -- -- -- de -- -- de"),
    ];
    assert_eq!(table.len(), JobState::ALL.len());
    for (state, wanted) in table {
        assert_eq!(row(state, &usual(state)), wanted, "{state:?}");
    }
}

/// Every pair where nothing speaks for it: no dent, no quote, nobody asked, open steps and nobody who lets them go.
#[test]
fn every_state_with_every_action_where_the_facts_are_against_it() {
    let facts = Facts { not_met: vec!["40 of 51 steps are open".to_owned()], ..Facts::default() };
    //                     survey noDent overr quote wdraw accept decl reopn suppl work untick note check ready hand
    let table = [
        (JobState::Received, "rc -- rc -- -- -- de -- -- -- -- rc -- -- --"),
        (JobState::Surveyed, "rc -- su -- -- -- de -- -- su su su -- -- --"),
        (JobState::Quoted, "qu -- qu -- -- -- de -- -- qu qu qu -- -- --"),
        (JobState::Approved, "ap -- ap -- -- -- -- -- ap be be ap ch -- --"),
        (JobState::OnBench, "be -- be -- -- -- -- -- be be be be ch -- --"),
        (JobState::Checking, "ch -- ch -- -- -- -- -- ch ch be ch ch -- --"),
        (JobState::Ready, "-- -- -- -- -- -- -- ch -- -- -- re ch -- --"),
        (JobState::HandedBack, "-- -- -- -- -- -- -- re -- -- -- ha -- -- --"),
        (JobState::Declined, "-- -- -- -- -- -- -- rc -- -- -- de -- -- --"),
    ];
    for (state, wanted) in table {
        assert_eq!(row(state, &facts), wanted, "{state:?}");
    }
}

#[test]
fn a_refusal_says_where_what_and_how_to_mend_it() {
    for state in JobState::ALL {
        for action in Action::ALL {
            let Err(why) = next(state, action, &usual(state)) else { continue };
            assert!(why.what.starts_with("This job ") && why.what.ends_with('.'), "{why}");
            assert!(why.mend.len() > 12 && why.mend.ends_with('.'), "{state:?} {action:?}: {why}");
        }
    }
    let why = next(JobState::HandedBack, Action::Quote, &usual(JobState::HandedBack)).unwrap_err();
    assert_eq!(why.to_string(), "This job was picked up: no quote can be given. Open it again on the job's page first.");
}

#[test]
fn what_is_not_met_is_told_as_far_as_one_reads() {
    let not_met: Vec<String> = (1..=8).map(|i| format!("line {i}")).collect();
    let why = next(JobState::OnBench, Action::Ready, &Facts { not_met, ..Facts::default() }).unwrap_err();
    assert!(why.what.contains("line 1; line 2; line 3; line 4; line 5; and 3 more"), "{why}");
}

#[test]
fn where_a_declined_job_opens_again_is_where_its_quote_stands() {
    let open = |quote, dents| next(JobState::Declined, Action::Reopen, &Facts { quote, dents, ..Facts::default() }).unwrap();
    assert_eq!(open(QuoteFact::None, 0), JobState::Received);
    assert_eq!(open(QuoteFact::None, 1), JobState::Surveyed);
    assert_eq!(open(QuoteFact::Out, 1), JobState::Quoted);
    assert_eq!(open(QuoteFact::No, 1), JobState::Quoted);
    assert_eq!(open(QuoteFact::Yes, 1), JobState::Approved);
}

struct Shop {
    _dir: tempfile::TempDir,
    store: Store,
    job: i64,
    person: i64,
}

fn shop() -> Shop {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let person = store.add_person(BY, "ramon", "Ramon Achterberg", PersonRole::Technician, "h").unwrap();
    let customer = store.add_customer(BY, "Juniper Vale Community Band", "", "", "").unwrap();
    let instrument = store.add_instrument(BY, &NewInstrument { customer, kind: "tuba", ..NewInstrument::default() }).unwrap();
    let job = store.add_job(BY, instrument, "Fell down the stair", "", None).unwrap();
    Shop { _dir: dir, store, job, person }
}

impl Shop {
    fn state(&self) -> JobState {
        self.store.job(self.job).unwrap().state
    }

    fn approved() -> Self {
        let shop = shop();
        shop.store.save_dent(BY, shop.job, "d1", 0, "{}").unwrap();
        shop.store.add_quote(BY, shop.job, &given("link")).unwrap();
        shop.store.agree(BY, "link", &YES).unwrap();
        shop
    }

    fn step(&self, key: &str, at: i64, act: StepAct<'_>) -> Vec<String> {
        let planned = PlannedStep { key, kind: "dent", what: key, likely_s: 600, timed_by: "" };
        let by = By { who: "ramon", at: BY.at + at };
        self.store.act_on_step(by, self.job, &planned, self.person, act).unwrap().1.into_iter().map(|t| t.what).collect()
    }
}

fn refused<T: std::fmt::Debug>(what: Result<T, StoreError>) -> String {
    match what {
        Err(StoreError::Refused(why)) => why,
        other => panic!("a refusal was expected: {other:?}"),
    }
}

#[test]
fn a_job_is_surveyed_by_its_first_dent_and_no_longer_when_the_last_is_taken_out() {
    let Shop { store, job, .. } = &shop();
    let state = || store.job(*job).unwrap().state;
    store.save_survey_body(BY, *job, 0, "{}").unwrap();
    assert_eq!(state(), JobState::Received);
    assert!(refused(store.add_quote(BY, *job, &given("a"))).contains("No dent is recorded"));
    store.add_dent(BY, *job, None, |_| Ok("{}".to_owned())).unwrap();
    assert_eq!(state(), JobState::Surveyed);
    store.remove_dent(BY, *job, "d1", 1).unwrap();
    assert_eq!(state(), JobState::Received);
    // A dent that was taken out can come back as it was.
    assert_eq!(store.dents_taken_out(*job).unwrap()[0].name, "d1");
    assert_eq!(store.restore_dent(BY, *job, "d1").unwrap(), 2);
    assert_eq!((state(), store.dents_taken_out(*job).unwrap().len()), (JobState::Surveyed, 0));
    assert!(refused(store.restore_dent(BY, *job, "d1")).contains("is there"));
}

#[test]
fn that_there_is_no_dent_is_said_by_name() {
    let Shop { store, job, .. } = &shop();
    assert!(refused(store.say_no_dents(BY, *job, None)).contains("Nobody stands for"));
    store.say_no_dents(BY, *job, Some(SAID)).unwrap();
    store.save_survey_body(BY, *job, 0, "{}").unwrap();
    assert_eq!(store.job(*job).unwrap().state, JobState::Surveyed);
    store.add_quote(BY, *job, &given("a")).unwrap();
    let kept = store.let_go(*job).unwrap();
    assert_eq!((kept[0].name.as_str(), kept[0].reason.as_str(), kept[0].who.as_str()), (SAID.name, SAID.reason, "ottilie"));
}

#[test]
fn a_no_can_be_taken_back_and_then_the_same_link_accepts() {
    let Shop { store, job, .. } = &shop();
    store.save_dent(BY, *job, "d1", 0, "{}").unwrap();
    store.add_quote(BY, *job, &given("link")).unwrap();
    store.decline(BY, "link", "A. Parent", "", store::evidence::CameFrom::default()).unwrap();
    assert_eq!(store.job(*job).unwrap().state, JobState::Declined);
    assert!(refused(store.add_quote(BY, *job, &given("other"))).contains("declined"));
    assert!(refused(store.agree(BY, "link", &YES)).contains("answered already"));
    store.reopen_job(BY, *job).unwrap();
    store.agree(BY, "link", &YES).unwrap();
    assert_eq!(store.job(*job).unwrap().state, JobState::Approved);
    // A no at the counter leaves the link unanswered, and it does not accept either.
    let second = shop();
    second.store.save_dent(BY, second.job, "d1", 0, "{}").unwrap();
    second.store.add_quote(BY, second.job, &given("link")).unwrap();
    second.store.decline_job(BY, second.job, None).unwrap();
    assert!(refused(second.store.agree(BY, "link", &YES)).contains("please call us"));
}

#[test]
fn a_new_quote_over_one_that_is_out_asks_first_and_can_be_taken_back() {
    let Shop { store, job, .. } = &shop();
    store.save_dent(BY, *job, "d1", 0, "{}").unwrap();
    store.add_quote(BY, *job, &given("first")).unwrap();
    assert!(refused(store.add_quote(BY, *job, &given("second"))).contains("replace it"));
    store.replace_quote(BY, *job, &given("second")).unwrap();
    assert!(refused(store.agree(BY, "first", &YES)).contains("newer quote"));
    store.withdraw_quote(BY, *job).unwrap();
    assert_eq!((store.quotes_of(*job).unwrap().len(), store.job(*job).unwrap().state), (1, JobState::Quoted));
    assert!(refused(store.agree(BY, "second", &YES)).contains("taken back"));
    store.agree(BY, "first", &YES).unwrap();
    assert!(refused(store.replace_quote(BY, *job, &given("third"))).contains("supplement"));
    assert!(refused(store.withdraw_quote(BY, *job)).contains("said yes already"));
}

#[test]
fn what_was_agreed_is_cancelled_by_name_and_reason_only() {
    let shop = Shop::approved();
    assert!(refused(shop.store.decline_job(BY, shop.job, None)).contains("who cancels and why"));
    shop.store.decline_job(BY, shop.job, Some(SAID)).unwrap();
    assert_eq!(shop.store.let_go(shop.job).unwrap()[0].what, ["an agreed offer was cancelled"]);
    assert_eq!(shop.store.reopen_job(BY, shop.job).unwrap(), JobState::Approved);
    assert!(shop.store.let_go(shop.job).unwrap().is_empty());
}

#[test]
fn a_job_with_open_steps_or_a_failed_check_is_ready_only_by_name_and_reason() {
    let shop = Shop::approved();
    let list = |keys: &[&str]| keys.iter().map(|k| ((*k).to_owned(), format!("the {k}"))).collect::<Vec<_>>();
    let required = Required { steps: list(&["one", "two", "three"]), checks: list(&["bore", "fit"]) };
    let Shop { store, job, .. } = &shop;
    shop.step("one", 0, StepAct::Tick);
    shop.step("two", 10, StepAct::Skip("not on this one"));
    let why = refused(store.ready_job(BY, *job, &required, None));
    assert!(why.contains("1 of 3 steps are open") && why.contains("not done: the three") && why.contains("not checked: the bore"), "{why}");
    assert!(refused(store.ready_job(BY, *job, &required, Some(Said { name: "Ottilie", reason: " " }))).contains("1 of 3"));
    shop.step("three", 20, StepAct::Tick);
    store.save_acceptance(BY, *job, &check("bore", Some(12.5), true)).unwrap();
    store.save_acceptance(BY, *job, &AcceptanceRecord { reason: "binds".to_owned(), ..check("fit", None, false) }).unwrap();
    assert_eq!(shop.state(), JobState::Checking);
    assert!(refused(store.ready_job(BY, *job, &required, None)).contains("failed: the fit (binds)"));
    store.ready_job(BY, *job, &required, Some(SAID)).unwrap();
    assert_eq!(shop.state(), JobState::Ready);
    let kept = store.let_go(*job).unwrap();
    assert_eq!((kept.len(), kept[0].what.clone(), kept[0].name.as_str()), (1, vec!["failed: the fit (binds)".to_owned()], SAID.name));
    // Opened again, what was let go is asked anew; once it is met, nothing is let go.
    store.reopen_job(BY, *job).unwrap();
    store.save_acceptance(BY, *job, &check("fit", Some(12.5), true)).unwrap();
    store.ready_job(BY, *job, &required, None).unwrap();
    assert!(store.let_go(*job).unwrap().is_empty());
}

fn check(key: &str, measured_mm: Option<f64>, passed: bool) -> AcceptanceRecord {
    AcceptanceRecord {
        key: key.to_owned(),
        what: format!("the {key}"),
        wanted: "12.5 mm or larger".to_owned(),
        figure: measured_mm.map_or(String::new(), |x| format!("{x} mm")),
        passed: Some(passed),
        reason: String::new(),
        measured_mm,
        least_mm: Some(12.5),
        most_mm: None,
        let_go_by: String::new(),
        who: String::new(),
        at: None,
    }
}

#[test]
fn a_figure_that_misses_has_failed_whatever_was_said() {
    let shop = Shop::approved();
    let Shop { store, job, .. } = &shop;
    let why = refused(store.save_acceptance(BY, *job, &check("bore", Some(5.0), true)));
    assert!(why.contains("5 mm misses what is wanted (12.5 mm or larger)") && why.contains("name and a reason"), "{why}");
    assert!(refused(store.save_acceptance(BY, *job, &check("bore", None, true))).contains("give the figure"));
    let said = AcceptanceRecord { reason: "old sleeve".to_owned(), let_go_by: "Ottilie".to_owned(), ..check("bore", Some(5.0), true) };
    store.save_acceptance(BY, *job, &said).unwrap();
    let kept = store.acceptance_records(*job).unwrap().remove(0);
    assert_eq!((kept.passed, kept.let_go_by.as_str(), kept.let_go()), (Some(false), "Ottilie", true));
    // A check that was let go by name does not hold the job up a second time.
    let required = Required { checks: vec![("bore".to_owned(), "the bore".to_owned())], steps: vec![] };
    store.ready_job(BY, *job, &required, None).unwrap();
    // From below and from above, to the hundredth.
    let misses = |x, least_mm, most_mm| AcceptanceRecord { least_mm, most_mm, ..check("fit", Some(x), true) }.misses();
    assert!(!misses(12.5, Some(12.5), None) && !misses(12.496, Some(12.5), None) && misses(12.494, Some(12.5), None));
    assert!(!misses(0.08, Some(0.04), Some(0.08)) && misses(0.09, Some(0.04), Some(0.08)) && misses(0.03, Some(0.04), Some(0.08)));
    assert!(misses(f64::NAN, Some(1.0), None) && !misses(5.0, None, None));
}

#[test]
fn a_person_has_one_running_timer() {
    let shop = Shop::approved();
    assert!(shop.step("one", 0, StepAct::Start).is_empty());
    assert_eq!(shop.step("two", 100, StepAct::Start), ["one"]);
    // Another's timer runs on.
    let wren = shop.store.add_person(BY, "wren", "Wren Okafor", PersonRole::Apprentice, "h").unwrap();
    let planned = PlannedStep { key: "three", kind: "dent", what: "three", likely_s: 600, timed_by: "" };
    let by = By { who: "wren", at: BY.at + 130 };
    assert!(shop.store.act_on_step(by, shop.job, &planned, wren, StepAct::Start).unwrap().1.is_empty());
    // Starting what runs already changes nothing.
    assert!(shop.step("two", 150, StepAct::Start).is_empty());
    shop.step("two", 200, StepAct::Tick);
    let steps = shop.store.steps(shop.job).unwrap();
    let spent = |key: &str| steps.iter().find(|s| s.key == key).map(|s| (s.spent_s, s.started_at.is_some())).unwrap();
    assert_eq!((spent("one"), spent("two"), spent("three")), ((100, false), (100, false), (0, true)));
}

#[test]
fn a_time_is_corrected_with_a_note_and_the_journal_keeps_what_it_was() {
    let shop = Shop::approved();
    shop.step("one", 0, StepAct::Start);
    shop.step("one", 9 * 3600, StepAct::Tick);
    assert!(refused(shop.store.correct_time(BY, shop.job, "one", 900, " ")).contains("say why"));
    assert!(refused(shop.store.correct_time(BY, shop.job, "one", -1, "slip")).contains("hours"));
    assert!(refused(shop.store.correct_time(BY, shop.job, "one", 100 * 3600 + 1, "slip")).contains("hours"));
    shop.store.correct_time(BY, shop.job, "one", 100 * 3600, "a long one").unwrap();
    shop.store.correct_time(BY, shop.job, "one", 900, "forgot it over night").unwrap();
    let step = shop.store.steps(shop.job).unwrap().remove(0);
    assert_eq!((step.spent_s, step.time_note.as_str()), (900, "forgot it over night"));
    let last = shop.store.journal_latest(1).unwrap().remove(0);
    assert!(last.before.unwrap().contains("a long one") && last.after.unwrap().contains("forgot it over night"));
}

#[test]
fn accessories_go_back_or_somebody_says_why_not() {
    let shop = Shop::approved();
    let Shop { store, job, .. } = &shop;
    store.set_accessories(BY, *job, 1, &["case", "mouthpiece", "case"]).unwrap();
    store.set_accessories(BY, *job, 2, &["case", "strap"]).unwrap();
    let all = store.accessories(*job).unwrap();
    assert_eq!(all.iter().map(|a| a.name.as_str()).collect::<Vec<_>>(), ["case", "strap"]);
    assert!(refused(store.hand_back(BY, *job, "A. Parent", "", &[], None)).contains("Call it ready first"));
    store.ready_job(BY, *job, &Required::default(), None).unwrap();
    assert!(refused(store.hand_back(BY, *job, " ", "", &[], None)).contains("who collects"));
    assert!(refused(store.hand_back(BY, *job, "A. Parent", "", &[all[0].id], None)).contains("stays here: strap"));
    store.hand_back(BY, *job, "A. Parent", "", &[all[0].id], Some(SAID)).unwrap();
    assert_eq!(shop.state(), JobState::HandedBack);
    assert_eq!(store.accessories(*job).unwrap().iter().map(|a| a.back).collect::<Vec<_>>(), [true, false]);
    assert_eq!(store.hand_backs(*job).unwrap()[0].collected_by, "A. Parent");
    assert!(refused(store.set_accessories(BY, *job, 3, &[])).contains("picked up"));
    assert_eq!(store.reopen_job(BY, *job).unwrap(), JobState::Ready);
}

#[test]
fn a_declined_instrument_is_fetched_and_stays_declined() {
    let shop = shop();
    shop.store.decline_job(BY, shop.job, None).unwrap();
    shop.store.hand_back(BY, shop.job, "A. Parent", "", &[], None).unwrap();
    assert_eq!(shop.state(), JobState::Declined);
}

#[test]
fn a_payment_is_kept_and_a_mistake_does_not_count() {
    let shop = shop();
    let id = shop.store.add_payment(BY, shop.job, "200.00", "card", "deposit").unwrap();
    assert!(refused(shop.store.add_payment(BY, shop.job, "1.00", "shells", "")).contains("shells"));
    assert_eq!(shop.store.all_payments().unwrap(), [(shop.job, "200.00".to_owned())]);
    shop.store.void_payment(BY, shop.job, id, true).unwrap();
    assert!(shop.store.all_payments().unwrap().is_empty() && shop.store.payments(shop.job).unwrap()[0].void);
}
