//! Every state of a job × every role × every action that could change it, sent to the pages as a person would: allowed or
//! refused, as a table. What the record's rules say beside the state stands in `store/tests/states.rs`.

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::ConnectInfo;
use axum::http::{Request, StatusCode};
use instrument::fields::dent as d;
use instrument::{Kind, Survey, patterns};
use std::net::SocketAddr;
use std::sync::atomic::{AtomicU8, Ordering};
use store::counter::{JobState, NewInstrument};
use store::people::PersonRole;
use store::{By, Store};
use survey::damage::Form;
use survey::kept::survey_to_json;
use tower::ServiceExt;
use web::App;
use web::auth::COOKIE_NAME;
use web::routes::router;

const BY: By<'static> = By { who: "test", at: 1 };

/// The actions, in the table's order: name, path, fields. `{…}` is filled in.
const ACTIONS: [(&str, &str, &str); 17] = [
    ("dent", "/jobs/{id}/survey/dents", ""),
    ("no dent", "/jobs/{id}/no-dents", "name=Ottilie&reason=stuck+slide"),
    ("overrule", "/jobs/{id}/plan/overrule", "box=whole&kind=leave&dent=d1&why=asked"),
    ("quote", "/jobs/{id}/quote", ""),
    ("replace quote", "/jobs/{id}/quote", "replace=yes"),
    ("withdraw quote", "/jobs/{id}/quote/withdraw", ""),
    ("customer's yes", "/q/{link}", "answer=yes&chosen=play&name=A.+Parent"),
    ("customer's no", "/q/{link}", "answer=no&name=A.+Parent"),
    ("decline", "/jobs/{id}/state", "act=decline"),
    ("cancel", "/jobs/{id}/state", "act=decline&name=A.+Parent&reason=sold"),
    ("reopen", "/jobs/{id}/state", "act=reopen"),
    ("start", "/jobs/{id}/bench", "key={step}&act=start"),
    ("untick", "/jobs/{id}/bench", "key={step}&act=untick"),
    ("check", "/jobs/{id}/checks", "key={check}&passed=no&figure=1+mm&reason=binds"),
    ("ready", "/jobs/{id}/ready", ""),
    ("ready, let go", "/jobs/{id}/ready", "name=Ottilie&reason=concert+tonight"),
    ("hand back", "/jobs/{id}/hand-back", "collected_by=A.+Parent"),
];

/// What the state alone allows to whoever may: the state after it, `--` where it is refused. In the order of [`ACTIONS`].
const BY_STATE: [(JobState, &str); 9] = [
    //                     dent noD over quot repl with yes no decl canc reop star unti chck read rdlg hand
    (JobState::Received, "su su rc -- -- -- -- -- de de -- -- -- -- -- -- --"),
    (JobState::Surveyed, "su su su qu qu -- -- -- de de -- su su -- -- -- --"),
    (JobState::Quoted, "qu -- qu -- qu su ap de de de -- qu qu -- -- -- --"),
    (JobState::Approved, "ap -- ap -- -- -- -- -- -- de -- be be ch -- re --"),
    (JobState::OnBench, "be -- be -- -- -- -- -- -- -- -- be be ch -- re --"),
    (JobState::Checking, "ch -- ch -- -- -- -- -- -- -- -- ch be ch -- re --"),
    (JobState::Ready, "-- -- -- -- -- -- -- -- -- -- ch -- -- ch -- -- ha"),
    (JobState::HandedBack, "-- -- -- -- -- -- -- -- -- -- re -- -- -- -- -- --"),
    (JobState::Declined, "-- -- -- -- -- -- -- -- -- -- qu -- -- -- -- -- de"),
];

/// Who gets through an action's door: owner, technician, apprentice, counter, and the customer without a session.
const BY_ROLE: [&str; 17] = [
    "otA-.", "otA-.", "ot--.", "ot-c.", "ot-c.", "ot-c.", "ot-c.", "ot-c.", "ot-c.", "ot-c.", "ot-c.", "otA-.", "otA-.", "otA-.", "otA-.",
    "otA-.", "ot-c.",
];

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

struct Shop {
    _dir: tempfile::TempDir,
    app: App,
    router: Router,
    step: String,
    check: String,
    instrument: i64,
    body: String,
    dent: String,
    made: u32,
}

fn shop() -> Shop {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    for role in PersonRole::ALL {
        let id = store.add_person(BY, role.as_str(), role.as_str(), role, "not a hash").unwrap();
        store.open_session(By { who: "test", at: web::when::now() }, id, "127.0.0.1", (role.as_str(), "csrf"), 4_000_000_000).unwrap();
    }
    let customer = store.add_customer(BY, "Fen Road", "", "", "").unwrap();
    let instrument = store.add_instrument(BY, &NewInstrument { customer, kind: "bugle", ..NewInstrument::default() }).unwrap();
    let survey = Survey::of(patterns::pattern(Kind::Bugle).unwrap());
    let body = survey_to_json(&survey).unwrap();
    let form =
        [(&d::RUN, "bell-stem"), (&d::AT, "60 mm"), (&d::CLOCK, "90°"), (&d::DEPTH, "2 mm"), (&d::ALONG, "20 mm"), (&d::ACROSS, "12 mm")];
    let form = form.iter().fold(Form::default(), |form, (field, text)| form.with(field, text));
    let dent = form.dent("d1", &survey.instrument, None).0.unwrap().to_json().unwrap();
    let app = App::new(store, false);
    let router = router(app.clone());
    let mut shop = Shop { _dir: dir, app, router, step: String::new(), check: String::new(), instrument, body, dent, made: 0 };
    let job = shop.job_in(JobState::Surveyed).0;
    let worked = shop.app.job(job).unwrap();
    shop.step = job::key::step_key(worked.plan.steps.iter().find(|s| s.after.is_empty()).unwrap());
    shop.check = job::acceptance::acceptance_checks(&worked.survey, &worked.plan).remove(0).key;
    shop
}

fn encoded(text: &str) -> String {
    text.bytes().map(|b| format!("%{b:02X}")).collect()
}

impl Shop {
    /// A job in a state, come there as jobs do, and the link of its quote.
    fn job_in(&mut self, state: JobState) -> (i64, String) {
        self.made += 1;
        let link = format!("link-{}", self.made);
        let store = self.app.store();
        let job = store.add_job(BY, self.instrument, "Sat on", "", None).unwrap();
        store.save_survey_body(BY, job, 0, &self.body).unwrap();
        if state == JobState::Received {
            return (job, link);
        }
        store.save_dent(BY, job, "d1", 0, &self.dent).unwrap();
        if state == JobState::Surveyed {
            return (job, link);
        }
        crate::common::give(&self.app, BY, job, &link);
        match state {
            JobState::Quoted => {}
            JobState::Declined => store.decline(BY, &link, "A", "", store::evidence::CameFrom::default()).unwrap(),
            _ => self.agreed(job, &link, state),
        }
        assert_eq!(store.job(job).unwrap().state, state);
        (job, link)
    }

    fn agreed(&self, job: i64, link: &str, state: JobState) {
        let store = self.app.store();
        crate::common::say_yes(&self.app, BY, job, link);
        if state != JobState::Approved {
            store.import_job_state(BY, job, state).unwrap();
        }
    }

    async fn post(&self, path: &str, session: Option<PersonRole>, kind: &str, body: String) -> (StatusCode, String) {
        let mut request = Request::post(path).header("content-type", kind).header("x-csrf", "csrf");
        if let Some(role) = session {
            request = request.header("cookie", format!("{COOKIE_NAME}={}", role.as_str()));
        }
        // Each from its own tablet: the limit of tries is another test's.
        static TABLET: AtomicU8 = AtomicU8::new(1);
        let tablet = SocketAddr::from(([127, 0, 1, TABLET.fetch_add(1, Ordering::Relaxed)], 1));
        let request = request.extension(ConnectInfo(tablet));
        let response = self.router.clone().oneshot(request.body(Body::from(body)).unwrap()).await.unwrap();
        let status = response.status();
        let bytes = to_bytes(response.into_body(), 10_000_000).await.unwrap();
        (status, String::from_utf8_lossy(&bytes).into_owned())
    }

    /// Sends an action; returns the status and what was said.
    async fn send(&self, action: usize, job: i64, link: &str, role: Option<PersonRole>) -> (StatusCode, String) {
        let (name, path, fields) = ACTIONS[action];
        let path = path.replace("{id}", &job.to_string()).replace("{link}", link);
        if name == "dent" {
            let dent = serde_json::json!({ "name": null, "token": format!("t{job}-{role:?}"), "from": 0, "form": 2, "run": "bell-stem", "at": "90 mm", "depth": "1 mm" });
            return self.post(&path, role, "application/json", dent.to_string()).await;
        }
        let fields = fields.replace("{step}", &encoded(&self.step)).replace("{check}", &encoded(&self.check));
        self.post(&path, role, "application/x-www-form-urlencoded", format!("csrf=csrf&{fields}")).await
    }
}

#[tokio::test]
async fn every_state_with_every_action_for_whoever_may() {
    let mut shop = shop();
    assert_eq!(BY_STATE.len(), JobState::ALL.len());
    for (state, wanted) in BY_STATE {
        let wanted: Vec<&str> = wanted.split_whitespace().collect();
        assert_eq!(wanted.len(), ACTIONS.len(), "{state:?}");
        for (i, (name, ..)) in ACTIONS.iter().enumerate() {
            let (job, link) = shop.job_in(state);
            let (status, said) = shop.send(i, job, &link, Some(PersonRole::Owner)).await;
            let after = shop.app.store().job(job).unwrap().state;
            let allowed = status.is_success() || status.is_redirection();
            let got = if allowed { letters(after) } else { "--" };
            assert_eq!(got, wanted[i], "{state:?}, {name}: {status} {}", &said[..said.len().min(3000)]);
            assert!(allowed || (after == state && status.is_client_error()), "{state:?}, {name}: {status}");
        }
    }
}

/// A role that may not is refused in every state and changes none, so one job of a state serves for all of them; one that may is refused
/// or let through as the owner is, who is asked above.
#[tokio::test]
async fn every_state_with_every_role_and_every_action() {
    let mut shop = shop();
    let mut asked = [0, 0];
    for (state, wanted) in BY_STATE {
        let wanted: Vec<&str> = wanted.split_whitespace().collect();
        let untouched = shop.job_in(state);
        for (i, (name, path, _)) in ACTIONS.iter().enumerate() {
            for role in PersonRole::ALL.map(Some).into_iter().chain([None]) {
                let letter = match role {
                    Some(PersonRole::Owner) => continue,
                    Some(PersonRole::Technician) => 't',
                    Some(PersonRole::Apprentice) => 'A',
                    Some(PersonRole::Counter) => 'c',
                    None => '.',
                };
                // The customer's own page asks for no session; every other does.
                let may = if role.is_none() { path.starts_with("/q/") } else { BY_ROLE[i].contains(letter) };
                asked[usize::from(may)] += 1;
                let (job, link) = if may { shop.job_in(state) } else { untouched.clone() };
                let (status, _) = shop.send(i, job, &link, role).await;
                let after = shop.app.store().job(job).unwrap().state;
                if may {
                    let got = if status.is_success() || status.is_redirection() { letters(after) } else { "--" };
                    assert_eq!(got, wanted[i], "{state:?}, {name}, {role:?}: {status}");
                } else {
                    let door = if role.is_none() { StatusCode::UNAUTHORIZED } else { StatusCode::FORBIDDEN };
                    assert_eq!((status, after), (door, state), "{state:?}, {name}, {role:?}");
                }
            }
        }
    }
    assert_eq!(asked[0] + asked[1], 9 * 17 * 4);
    assert!(asked[0] > 200 && asked[1] > 200, "{asked:?}");
}

#[tokio::test]
async fn what_is_refused_says_where_what_and_how_to_mend_it() {
    let mut shop = shop();
    let (job, link) = shop.job_in(JobState::HandedBack);
    let at = |name: &str| ACTIONS.iter().position(|a| a.0 == name).unwrap();
    let (_, said) = shop.send(at("quote"), job, &link, Some(PersonRole::Owner)).await;
    assert!(said.contains("This job was picked up: no quote can be given. Open it again"), "{said}");
    let (job, link) = shop.job_in(JobState::OnBench);
    let (_, said) = shop.send(at("ready"), job, &link, Some(PersonRole::Owner)).await;
    assert!(said.contains("steps are open") && said.contains("say who lets it go and why"), "{said}");
    let steps = shop.app.job(job).unwrap().plan.steps.len();
    shop.send(at("ready, let go"), job, &link, Some(PersonRole::Owner)).await;
    // The hand-back's page says what was not met and who let it go.
    let request = Request::get(format!("/jobs/{job}/hand-back")).header("cookie", format!("{COOKIE_NAME}=owner")).body(Body::empty());
    let response = shop.router.clone().oneshot(request.unwrap()).await.unwrap();
    let page = String::from_utf8(to_bytes(response.into_body(), 10_000_000).await.unwrap().to_vec()).unwrap();
    assert!(page.contains(&format!("{steps} of {steps} steps are open")) && page.contains("Let go by Ottilie: concert tonight"), "{page}");
}

/// Nothing that a person does goes past the rules.
#[test]
fn no_page_lays_a_state_past_the_rules() {
    let mut folders = vec![std::path::PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/src"))];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let text = std::fs::read_to_string(&path).unwrap_or_default();
                assert!(!text.contains("import_job_state"), "{}", path.display());
            }
        }
    }
}
