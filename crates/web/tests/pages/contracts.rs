//! School contracts on the pages: imported whole or not at all, planned one at a time, stopped with the best so far, made again with what
//! changes; money for those who quote, work lists for all.

use crate::common::{FORM, Shop, encoded, shop_with};
use axum::http::{Request, StatusCode};
use contract::Standing;
use fixtures::voice::{self, Matter, Reader};
use quote::learn::{FinishedStep, learned, sorted};
use std::time::Duration;
use store::By;
use store::contracts::ContractTexts;
use store::people::PersonRole;
use survey::contract::templates;
use survey::contract_rows::{ContractTable, rows};
use units::LengthUnit;
use web::auth::COOKIE_NAME;
use web::contract_ground::KeptPlan;
use web::contract_planner::{Run, Stage};
use web::{contract_planning, learning, when};

/// What a form sends.
type Fields<'a> = &'a [(&'a str, &'a str)];

fn by() -> By<'static> {
    By { who: "ottilie", at: when::now() }
}

fn template(of: ContractTable) -> String {
    templates().into_iter().find(|(name, _)| *name == of.file()).unwrap().1
}

/// Twelve horns, two benches: the budget is short. `wrong`: three mistakes among them.
fn texts(wrong: bool) -> ContractTexts {
    let (mut instruments, mut dents) = (template(ContractTable::Instruments), template(ContractTable::Dents));
    for n in 1..=12 {
        let pattern = if n % 4 == 0 { "trombone" } else { "trumpet" };
        let pattern = if wrong && n == 5 { "trumpett" } else { pattern };
        let must = if n < 3 { "yes" } else { "" };
        instruments += &format!("H-{n},{pattern},Tessaly,Wagtail,{n},North,,{must},$700,,,,,\n");
        let tag = if wrong && n == 7 { "H-77".to_owned() } else { format!("H-{n}") };
        let depth = if wrong && n == 9 { "deep" } else { "0.12" };
        dents += &format!("{tag},bell flare,5,{n} o'clock,{depth},0.6,0.5,,,,\n");
        let tube = if n % 4 == 0 { "tuning slide crook" } else { "leadpipe" };
        dents += &format!("H-{n},{tube},2,3 o'clock,0.09,0.4,0.3,,,,\n");
    }
    let head = format!(
        "trueround_contract = 1\ncustomer = \"Fen Road\"\nbudget = \"$900\"\nstarts = \"{}\"\ndeadline = \"{}\"\ninstruments = \"instruments.csv\"\ndents = \"dents.csv\"\ndone = \"done.csv\"\n\n[[bench]]\nid = \"bench 1\"\nperson = \"Ottilie\"\nhours = \"4 h\"\n\n[[bench]]\nid = \"bench 2\"\nperson = \"Wren\"\nhours = \"4 h\"\npace = 1.6\n",
        when::in_days(0),
        when::in_days(30)
    );
    ContractTexts { head, instruments, dents, done: template(ContractTable::Done) }
}

/// A shop with a contract: of twelve horns, or without instruments yet.
fn shop(filled: bool) -> (Shop, i64) {
    let shop = Shop::of(shop_with("trumpet"));
    let all = texts(false);
    let empty = ContractTexts { instruments: template(ContractTable::Instruments), dents: template(ContractTable::Dents), ..all.clone() };
    let id = shop.app.store().add_contract(by(), 1, if filled { &all } else { &empty }).unwrap();
    (shop, id)
}

impl Shop {
    fn version(&self, id: i64) -> String {
        self.app.store().contract(id).unwrap().version.to_string()
    }

    fn newest(&self, id: i64) -> KeptPlan {
        KeptPlan::last(self.app.store(), id).unwrap().unwrap()
    }

    /// Plans through the page and waits for it.
    async fn plan(&self, id: i64) {
        let before = self.app.store().contract_plans(id).unwrap().len();
        assert_eq!(self.submit(&format!("/contracts/{id}/plan"), &[]).await.0, StatusCode::SEE_OTHER);
        while self.app.planner().stage(id).is_some() {
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
        assert_eq!(self.app.planner().failed(id), Vec::<String>::new());
        assert_eq!(self.app.store().contract_plans(id).unwrap().len(), before + 1);
    }

    /// Somebody of a role asks for a page.
    async fn as_role(&self, role: PersonRole, path: &str) -> (StatusCode, String) {
        let store = self.app.store();
        if store.people().unwrap().iter().all(|p| p.login != role.as_str()) {
            let id = store.add_person(by(), role.as_str(), role.as_str(), role, "-").unwrap();
            store.open_session(by(), id, "127.0.0.1", (role.as_str(), "csrf"), 4_000_000_000).unwrap();
        }
        let cookie = format!("{COOKIE_NAME}={}", role.as_str());
        let request = Request::get(path).header("cookie", cookie).body(axum::body::Body::empty()).unwrap();
        let response = tower::ServiceExt::oneshot(self.router.clone(), request).await.unwrap();
        let status = response.status();
        let body = axum::body::to_bytes(response.into_body(), 50_000_000).await.unwrap();
        (status, String::from_utf8_lossy(&body).into_owned())
    }
}

/// The fields of a page's form by their names, as a browser would send them again.
fn fields_of(page: &str, action: &str) -> Vec<(String, String)> {
    let form = page.split(&format!("action=\"{action}\"")).nth(1).unwrap().split("</form>").next().unwrap();
    let plain = |t: &str| t.replace("&quot;", "\"").replace("&lt;", "<").replace("&gt;", ">").replace("&#39;", "'").replace("&amp;", "&");
    let of = |tag: &str, key: &str| tag.split(&format!(" {key}=\"")).nth(1).map(|t| plain(t.split('"').next().unwrap()));
    let mut all = Vec::new();
    for tag in form.split("<input").skip(1) {
        let tag = tag.split('>').next().unwrap();
        if let (Some(name), Some(value)) = (of(&format!(" {tag}"), "name"), of(&format!(" {tag}"), "value")) {
            all.push((name, value));
        }
    }
    for area in form.split("<textarea").skip(1) {
        let (tag, rest) = area.split_once('>').unwrap();
        let text = rest.split("</textarea>").next().unwrap();
        all.push((of(&format!(" {tag}"), "name").unwrap(), plain(text.strip_prefix('\n').unwrap_or(text))));
    }
    all
}

#[tokio::test]
async fn three_mistakes_are_told_at_once_mended_on_the_page_and_then_all_of_it_is_imported() {
    let (shop, id) = shop(false);
    let path = format!("/contracts/{id}/tables");
    let (before, wrong) = (shop.app.store().contract(id).unwrap(), texts(true));
    let (status, page) = shop
        .submit(&path, &[("version", "1"), ("instruments.csv", &wrong.instruments.replace('\n', "\r\n")), ("dents.csv", &wrong.dents)])
        .await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    // Of H-5 only the pattern is wrong: three things, as many as there are.
    for words in ["3 things to mend", "Did you mean “trumpet”", "H-77", "Nothing is imported", "instruments.csv, line"] {
        assert!(page.contains(words), "{words} is not in {}", voice::html(&page).said);
    }
    assert_eq!(shop.app.store().contract(id).unwrap(), before, "nothing is half-imported");
    let mut sent = fields_of(&page, &path);
    let line = |of: ContractTable, text: &str, tag: &str| {
        rows(of, text).into_iter().find(|r| r.get("tag") == tag).map(|r| r.line.to_string()).unwrap()
    };
    let mut mend = |file: &str, line: &str, column: &str, to: &str| {
        let name = format!("mend.{file}.{line}.{column}");
        sent.iter_mut().find(|(n, _)| *n == name).unwrap_or_else(|| panic!("{name} is not on the page")).1 = to.to_owned();
    };
    mend("instruments.csv", &line(ContractTable::Instruments, &wrong.instruments, "H-5"), "pattern", "trumpet");
    mend("dents.csv", &line(ContractTable::Dents, &wrong.dents, "H-77"), "tag", "H-7");
    let deep = rows(ContractTable::Dents, &wrong.dents).into_iter().find(|r| r.get("depth") == "deep").unwrap().line.to_string();
    mend("dents.csv", &deep, "depth", "0.12");
    // Mended on a table that was changed meanwhile they are not filled in: the lines may be others.
    let mut moved = sent.clone();
    let at = moved.iter().position(|(n, _)| n == "dents.csv").unwrap();
    moved[at].1 = moved[at].1.replacen("tag,", "# one more line\ntag,", 1);
    let pairs = |all: &[(String, String)]| all.to_vec();
    let (status, _, page) = shop.send(Request::post(&path).header("content-type", FORM), encoded(&pairs(&moved))).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(String::from_utf8_lossy(&page).contains("You changed the tables themselves"));
    let (status, _, page) = shop.send(Request::post(&path).header("content-type", FORM), encoded(&pairs(&sent))).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{}", voice::html(&String::from_utf8_lossy(&page)).said);
    let kept = shop.app.store().contract_with_texts(id).unwrap().1;
    assert_eq!((kept.instruments, kept.dents), (texts(false).instruments, texts(false).dents));
}

#[tokio::test]
async fn a_line_that_is_no_row_and_a_column_that_is_missing_are_mended_too() {
    let (shop, id) = shop(false);
    let path = format!("/contracts/{id}/tables");
    let all = texts(false);
    let dents = all.dents.replacen("tag,where", "tag,were", 1);
    let instruments = all.instruments.replacen("H-3,trumpet,Tessaly", "H-3,trumpet,\"Tessaly", 1);
    let (status, page) = shop.submit(&path, &[("version", "1"), ("instruments.csv", &instruments), ("dents.csv", &dents)]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("The whole line") && page.contains("there is no column") || page.contains("There is no column"), "{page}");
    let mut sent = fields_of(&page, &path);
    for (name, text) in &mut sent {
        if name.starts_with("mend.") {
            *text = text.replace("\"Tessaly", "Tessaly").replace("tag,were", "tag,where");
        }
    }
    let (status, _, page) = shop.send(Request::post(&path).header("content-type", FORM), encoded(&sent)).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{}", voice::html(&String::from_utf8_lossy(&page)).said);
    assert_eq!(shop.app.store().contract_with_texts(id).unwrap().1.dents, all.dents);
}

#[tokio::test]
async fn a_form_that_is_older_than_the_contract_is_told_and_changes_nothing() {
    let (shop, id) = shop(true);
    let at = |path: &str| format!("/contracts/{id}{path}");
    assert_eq!(shop.submit(&at("/head"), &[("version", "1"), ("budget", "$1,000")]).await.0, StatusCode::SEE_OTHER);
    let before = shop.app.store().contract(id).unwrap();
    let line = rows(ContractTable::Dents, &texts(false).dents)[0].line;
    let place = format!("dents.csv {line}");
    let done = [("tag", "H-1"), ("state", "done"), ("level", "play"), ("bench", "bench 1"), ("time", "40"), ("version", "1")];
    let stale: [(&str, Fields<'_>); 5] = [
        ("/head", &[("version", "1"), ("budget", "$2,000")]),
        ("/bench", &[("version", "1"), ("at", "0"), ("act", "take-out")]),
        ("/tables", &[("version", "1"), ("done.csv", "tag,state,level,bench,time\nH-1,done,play,bench 1,2 h\n")]),
        ("/instrument", &[("version", "1"), ("tag", "H-1"), ("place", &place), ("where", "bell flare"), ("depth", "0.2")]),
        ("/work", &done),
    ];
    for (path, fields) in stale {
        let (status, page) = shop.submit(&at(path), fields).await;
        assert_eq!(status, StatusCode::CONFLICT, "{path}: {}", voice::html(&page).said);
        assert_eq!(shop.app.store().contract(id).unwrap(), before, "{path}");
    }
    // Each of them is taken by whoever has seen the newest.
    for (path, fields) in stale {
        let version = shop.version(id);
        let fields: Vec<(&str, &str)> = fields.iter().map(|(k, v)| (*k, if *k == "version" { version.as_str() } else { *v })).collect();
        // A bench that is taken out first could not have done anything.
        if path == "/bench" {
            continue;
        }
        let (status, page) = shop.submit(&at(path), &fields).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{path}: {}", voice::html(&page).said);
    }
    assert_eq!(shop.version(id), "6");
}

#[tokio::test]
async fn what_cannot_be_is_told_beside_its_field_and_kept_nowhere() {
    let (shop, id) = shop(true);
    let (at, before) = (|path: &str| format!("/contracts/{id}{path}"), shop.app.store().contract(id).unwrap());
    let place = format!("dents.csv {}", rows(ContractTable::Dents, &texts(false).dents)[0].line);
    let wrong: [(&str, Fields<'_>, &str); 6] = [
        ("/head", &[("version", "1"), ("budget", "much"), ("deadline", "2001-01-01"), ("holidays", "Easter")], "3 fields were refused"),
        ("/bench", &[("version", "1"), ("at", "new"), ("id", "bench 1"), ("hours", "long")], "2 fields were refused"),
        ("/bench", &[("version", "1"), ("at", "0"), ("act", "off"), ("from", "plan"), ("first", "tomorrow")], "is no day"),
        (
            "/instrument",
            &[("version", "1"), ("tag", "H-1"), ("place", &place), ("where", "ledpipe"), ("depth", "deep")],
            "2 fields were refused",
        ),
        (
            "/work",
            &[("version", "1"), ("kind", "any"), ("tag", "H-1"), ("state", "gone"), ("level", "play"), ("bench", "bench 9"), ("time", "x")],
            "3 fields were refused",
        ),
        (
            "/work",
            &[
                ("version", "1"),
                ("kind", "any"),
                ("tag", "H-99"),
                ("state", "done"),
                ("level", "play"),
                ("bench", "bench 1"),
                ("time", "5"),
            ],
            "no instrument has the tag",
        ),
    ];
    for (path, fields, words) in wrong {
        let (status, page) = shop.submit(&at(path), fields).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{path}");
        assert!(page.to_lowercase().contains(&words.to_lowercase()), "{path}: {words} is not in {}", voice::html(&page).said);
        assert_eq!(shop.app.store().contract(id).unwrap(), before, "{path}");
    }
    // A bench at which something was done is not taken out from under it.
    let done = [("tag", "H-1"), ("state", "done"), ("level", "play"), ("bench", "bench 2"), ("time", "40"), ("version", "1")];
    assert_eq!(shop.submit(&at("/work"), &done).await.0, StatusCode::SEE_OTHER);
    let (status, page) = shop.submit(&at("/bench"), &[("version", "2"), ("at", "1"), ("act", "take-out")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("bench 2"), "{}", voice::html(&page).said);
}

#[tokio::test(flavor = "multi_thread")]
async fn planned_changed_planned_again_with_the_difference_told() {
    let (shop, id) = shop(true);
    let page = format!("/contracts/{id}");
    shop.plan(id).await;
    let first = shop.newest(id);
    assert!(first.planned.problem.holds(&first.planned.choices()) && first.planned.assigned.len() < 12, "the budget is short");
    let read = shop.read(&page).await;
    for words in ["Likelihood that all benches", "What more would buy", "What is left, and why", "Papers and files"] {
        assert!(read.contains(words), "{words}");
    }
    assert!(!read.contains("What changes from the plan before"));
    // Sifted: what is left alone.
    let left = shop.read(&format!("{page}?show=left")).await;
    let taken = &first.planned.assigned[0].tag;
    assert!(read.contains(&format!("?tag={taken}\"")) && !left.contains(&format!("?tag={taken}\"")));

    // More money, one horn done, one begun, the other bench ill for a week, another horn worse.
    let (done, begun, level, bench) =
        (&first.planned.assigned[0], &first.planned.assigned[1], first.planned.assigned[0].level.key(), &first.planned.assigned[0].bench);
    let post = async |path: &str, fields: &[(&str, &str)]| {
        let version = shop.version(id);
        let fields: Vec<(&str, &str)> = fields.iter().copied().chain([("version", version.as_str())]).collect();
        let (status, page) = shop.submit(&format!("/contracts/{id}{path}"), &fields).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{path}: {}", voice::html(&page).said);
    };
    post("/head", &[("budget", "$1,500"), ("from", "plan")]).await;
    post("/work", &[("tag", &done.tag), ("state", "done"), ("level", level), ("bench", bench), ("time", "90")]).await;
    post("/work", &[("tag", &begun.tag), ("state", "begun"), ("level", begun.level.key()), ("bench", &begun.bench), ("time", "20")]).await;
    let days = (when::in_days(1), when::in_days(5));
    post("/bench", &[("at", "1"), ("act", "off"), ("from", "plan"), ("first", &days.0), ("last", &days.1)]).await;
    let worse = first.contract.horns.iter().find(|h| h.tag != done.tag && h.tag != begun.tag).unwrap().tag.clone();
    post(
        "/instrument",
        &[
            ("tag", &worse),
            ("place", "dents.csv new"),
            ("where", "bell flare"),
            ("distance", "2"),
            ("clock", "9 o'clock"),
            ("depth", "0.1"),
            ("length", "0.5"),
            ("width", "0.5"),
        ],
    )
    .await;
    assert!(shop.read(&page).await.contains("Changed since this plan was made"));
    shop.plan(id).await;
    let second = shop.newest(id);
    let worked = |p: &KeptPlan| p.contract.bench("bench 2").unwrap().days.len();
    assert_eq!(worked(&second) + working(&days.0, 5), worked(&first));
    assert!(matches!(second.contract.horn(&done.tag).unwrap().standing, Standing::Done { took_min, .. } if took_min == 90.0));
    assert!(second.planned.of(&done.tag).is_none() && second.planned.of(&begun.tag).unwrap().begun);
    assert!(second.planned.spent > rust_decimal::Decimal::ZERO && second.planned.assigned.len() + 1 > first.planned.assigned.len());
    let read = shop.read(&page).await;
    for words in ["What changes from the plan before", "2 instruments are done or begun", "from $900 to $1,500", "Earlier plans: 1"] {
        assert!(read.contains(words), "{words}: {}", voice::html(&read).said);
    }
    // The mark is taken back.
    post("/work", &[("tag", &done.tag), ("act", "take-back")]).await;
    assert_eq!(rows(ContractTable::Done, &shop.app.store().contract_with_texts(id).unwrap().1.done).len(), 1);

    // Papers and files, each for whom it is.
    let (status, headers, report) = shop.send(Request::get(format!("/contracts/{id}/files/report.pdf")), "").await;
    assert!(status.is_success() && headers["content-type"] == "application/pdf" && report.starts_with(b"%PDF"));
    let kept: serde_json::Value = serde_json::from_str(&shop.read(&format!("/contracts/{id}/files/contract.json")).await).unwrap();
    assert_eq!(kept["trueround_contract_plan"], 1);
    let old = shop.read(&format!("/contracts/{id}/files/problem.json?plan={}", first.row.id)).await;
    assert!(old.contains("\"answer\"") && serde_json::from_str::<contract::bare::Problem>(&old).unwrap() == first.planned.problem);
    for (role, path, fine) in [
        (PersonRole::Apprentice, "", false),
        (PersonRole::Apprentice, "/files/report.pdf", false),
        (PersonRole::Apprentice, "/work", true),
        (PersonRole::Apprentice, "/work/work-list.pdf", true),
        (PersonRole::Counter, "/work/calendar.ics", true),
        (PersonRole::Counter, "/files/report.pdf", true),
        (PersonRole::Counter, "/instrument?tag=H-1", false),
        (PersonRole::Technician, "", true),
    ] {
        let (status, text) = shop.as_role(role, &format!("/contracts/{id}{path}")).await;
        assert_eq!(status.is_success(), fine, "{role:?} {path}: {status}");
        assert!(fine || status == StatusCode::FORBIDDEN);
        assert!(role != PersonRole::Apprentice || path.ends_with(".pdf") || !text.contains('$'), "no money for who does not quote: {path}");
    }
    let (_, list) = shop.as_role(PersonRole::Apprentice, "/contracts").await;
    assert!(list.contains(&format!("/contracts/{id}/work\"")) && !list.contains('$') && !list.contains("/contracts/new"));
}

/// Working days, Monday to Friday, from a day on.
fn working(from: &str, days: i64) -> usize {
    use jiff::civil::{Date, Weekday};
    let from: Date = from.parse().unwrap();
    let weekend = |d: &Date| matches!(d.weekday(), Weekday::Saturday | Weekday::Sunday);
    (0..days).map(|n| from.checked_add(jiff::Span::new().days(n)).unwrap()).filter(|d| !weekend(d)).count()
}

#[tokio::test(flavor = "multi_thread")]
async fn plans_wait_for_each_other_and_nobody_floods_the_machine() {
    let (shop, id) = shop(true);
    let more: Vec<i64> = (0..6).map(|_| shop.app.store().add_contract(by(), 1, &texts(false)).unwrap()).collect();
    // One that goes on until it is stopped.
    shop.app
        .planner()
        .ask(
            id,
            Box::new(|run: &Run| {
                run.tell(Stage::Search { best: Some(120.0), bound: 150.0 });
                while run.going() {
                    std::thread::sleep(Duration::from_millis(5));
                }
                vec!["No new plan was made.".to_owned(), "stopped".to_owned()]
            }),
        )
        .unwrap();
    while shop.app.planner().stage(id) != Some(Stage::Search { best: Some(120.0), bound: 150.0 }) {
        tokio::time::sleep(Duration::from_millis(5)).await;
    }
    let (status, headers, page) = shop.send(Request::get(format!("/contracts/{id}/progress")), "").await;
    let page = String::from_utf8_lossy(&page);
    assert!(
        status.is_success() && headers["refresh"] == "2" && page.contains("120 points") && page.contains("Stop and keep the best so far")
    );
    let mut answers = Vec::new();
    for other in &more {
        answers.push(shop.submit(&format!("/contracts/{other}/plan"), &[]).await.0);
    }
    assert_eq!(
        answers,
        [
            StatusCode::SEE_OTHER,
            StatusCode::SEE_OTHER,
            StatusCode::SEE_OTHER,
            StatusCode::SEE_OTHER,
            StatusCode::TOO_MANY_REQUESTS,
            StatusCode::TOO_MANY_REQUESTS
        ]
    );
    // The one that is being made and one that waits: asked for again they are not asked for twice.
    assert_eq!(shop.submit(&format!("/contracts/{id}/plan"), &[]).await.0, StatusCode::SEE_OTHER);
    assert_eq!(shop.submit(&format!("/contracts/{}/plan", more[0]), &[]).await.0, StatusCode::SEE_OTHER);
    assert!(shop.read(&format!("/contracts/{}/progress", more[1])).await.contains("2 other plans are made first"));
    for other in &more[..4] {
        assert_eq!(shop.submit(&format!("/contracts/{other}/stop"), &[]).await.0, StatusCode::SEE_OTHER);
    }
    assert!(more.iter().all(|other| shop.app.planner().stage(*other).is_none()));
    assert_eq!(shop.submit(&format!("/contracts/{id}/stop"), &[]).await.0, StatusCode::SEE_OTHER);
    while shop.app.planner().stage(id).is_some() {
        tokio::time::sleep(Duration::from_millis(5)).await;
    }
    assert!(shop.read(&format!("/contracts/{id}")).await.contains("No new plan was made"));
    assert!(more.iter().all(|other| shop.app.store().contract_plans(*other).unwrap().is_empty()));
    // One without instruments is not planned at all.
    let empty = ContractTexts { instruments: template(ContractTable::Instruments), ..texts(false) };
    let empty = shop.app.store().add_contract(by(), 1, &empty).unwrap();
    assert_eq!(shop.submit(&format!("/contracts/{empty}/plan"), &[]).await.0, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn stopped_in_its_search_it_keeps_the_best_so_far_and_before_it_nothing() {
    let (shop, id) = shop(true);
    let run = Run::watched(id, |stage| !matches!(stage, Stage::Offers { done: 3.., .. }));
    let why = contract_planning::plan(&shop.app, "ottilie", id, &run);
    assert!(why[0] == "No new plan was made." && why[1].contains("Stopped before a plan was found"), "{why:?}");
    assert!(shop.app.store().contract_plans(id).unwrap().is_empty());
    let run = Run::watched(id, |stage| !matches!(stage, Stage::Search { .. }));
    assert_eq!(contract_planning::plan(&shop.app, "ottilie", id, &run), Vec::<String>::new());
    let kept = shop.newest(id);
    assert!(kept.ground.stopped && kept.more.is_empty() && !kept.planned.assigned.is_empty());
    assert!(kept.planned.problem.holds(&kept.planned.choices()) && kept.planned.likelihood >= kept.contract.likelihood);
    let page = shop.read(&format!("/contracts/{id}")).await;
    assert!(page.contains("The search was stopped") && page.contains("Not worked out"));
    // What the musts need and what there is, where nothing fits; the plan before stays.
    assert_eq!(
        shop.submit(&format!("/contracts/{id}/head"), &[("version", "1"), ("budget", "$20"), ("minimum", "good")]).await.0,
        StatusCode::SEE_OTHER
    );
    let why = contract_planning::plan(&shop.app, "ottilie", id, &Run::new(id));
    assert!(why.iter().any(|w| w.contains("do not fit")), "{why:?}");
    assert_eq!(shop.app.store().contract_plans(id).unwrap().len(), 1);
}

/// Times that finished jobs have taught are those of the offers, as they are those of quotes.
#[tokio::test]
async fn the_offers_rest_on_what_finished_jobs_have_taught() {
    let (shop, id) = shop(true);
    let plan = || {
        assert_eq!(contract_planning::plan(&shop.app, "ottilie", id, &Run::new(id)), Vec::<String>::new());
        shop.newest(id)
    };
    let before = plan();
    assert_eq!(before.ground.learned, "");
    // Forty jobs whose dents all took twice the standard.
    let standards = shop.app.shop().unwrap().standards;
    let standard = standards.standard_of(plan::StepKind::Dent);
    let steps: Vec<FinishedStep> = (1..=40)
        .map(|job| FinishedStep {
            job,
            kind: plan::StepKind::Dent,
            within: None,
            family: instrument::Kind::Trumpet,
            person: Some("Ottilie".to_owned()),
            standard,
            set_then: None,
            took_min: 2.0 * standard.mean(),
            doubtful: false,
            corrected: false,
            done_at: when::now() - 60 * job,
        })
        .collect();
    let sorted = sorted(&steps, |kind, _| standards.standard_of(kind), when::now());
    let taught = learned(&sorted, shop.app.shop().unwrap().correlation, |_| None).unwrap();
    let hash = shop.app.store().keep_content(by(), "application/json", &serde_json::to_vec(&taught).unwrap()).unwrap();
    shop.app.store().set_setting(by(), learning::LEARNED, &hash).unwrap();
    let after = plan();
    assert_eq!(after.ground.learned, hash);
    let mean = |p: &KeptPlan, tag: &str| p.contract.horn(tag).unwrap().offers.last().unwrap().mean_min;
    assert!(mean(&after, "H-1") > 1.05 * mean(&before, "H-1"), "{} {}", mean(&before, "H-1"), mean(&after, "H-1"));
    // The customer's terms hold too: no tax for a school with a certificate.
    let terms = store::terms::CustomerTerms { exempt: "certificate 12".to_owned(), ..store::terms::CustomerTerms::default() };
    shop.app.store().set_customer_terms(by(), 1, &terms).unwrap();
    let cost = |p: &KeptPlan| p.contract.horn("H-1").unwrap().offers.last().unwrap().cost;
    assert!(cost(&plan()) < cost(&after));
}

/// Dearer hours change what is to do, and nothing of what is done.
#[tokio::test]
async fn what_is_done_keeps_the_price_of_the_plan_that_it_was_done_by() {
    let (shop, id) = shop(true);
    let plan = || {
        assert_eq!(contract_planning::plan(&shop.app, "ottilie", id, &Run::new(id)), Vec::<String>::new());
        shop.newest(id)
    };
    let first = plan();
    let done = &first.planned.assigned[0];
    let mark = [
        ("tag", done.tag.as_str()),
        ("state", "done"),
        ("level", done.level.key()),
        ("bench", &done.bench),
        ("time", "90"),
        ("version", "1"),
    ];
    assert_eq!(shop.submit(&format!("/contracts/{id}/work"), &mark).await.0, StatusCode::SEE_OTHER);
    let dearer = web::app::EXAMPLE_SHOP.replacen("labour_per_hour = \"$", "labour_per_hour = \"$1", 1);
    assert_ne!(dearer, web::app::EXAMPLE_SHOP);
    shop.app.store().set_setting(by(), web::app::SHOP, &dearer).unwrap();
    let version = shop.version(id);
    assert_eq!(
        shop.submit(&format!("/contracts/{id}/head"), &[("budget", "$9,000"), ("version", &version)]).await.0,
        StatusCode::SEE_OTHER
    );
    for _ in 0..2 {
        let next = plan();
        assert_eq!(next.planned.spent, done.cost);
        let other = first.planned.assigned.last().unwrap();
        let cost = |p: &KeptPlan| p.contract.horn(&other.tag).unwrap().offer(other.level).unwrap().cost;
        assert!(cost(&next) > cost(&first), "{} {}", cost(&first), cost(&next));
    }
}

#[tokio::test]
async fn a_new_contract_is_opened_from_the_shop_s_people_and_every_mistake_told() {
    let shop = Shop::of(shop_with("trumpet"));
    let (status, page) = shop.submit("/contracts", &[("budget", "lots"), ("starts", "2026-06-08"), ("hours", "")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("4 fields were refused"), "{}", voice::html(&page).said);
    let fields = [
        ("customer", "1"),
        ("budget", "$24,000"),
        ("starts", "2026-06-08"),
        ("deadline", "2026-08-14"),
        ("likelihood", ""),
        ("minimum", "play"),
        ("hours", "4 h"),
    ];
    let (status, page) = shop.submit("/contracts", &fields).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{}", voice::html(&page).said);
    let (row, kept) = shop.app.store().contract_with_texts(1).unwrap();
    assert_eq!(row.name, "Fen Road");
    let benches = survey::contract_form::bench_forms(&kept.head).unwrap();
    let people = shop.app.shop().unwrap().people;
    assert_eq!(benches.iter().map(|b| b.person.as_str()).collect::<Vec<_>>(), people.iter().map(|p| p.name.as_str()).collect::<Vec<_>>());
    assert!(benches.iter().all(|b| b.hours == "4 h"));
}

#[tokio::test]
async fn the_pages_speak_as_at_the_bench() {
    let (shop, id) = shop(true);
    let run = Run::new(id);
    assert_eq!(contract_planning::plan(&shop.app, "ottilie", id, &run), Vec::<String>::new());
    let version = shop.version(id);
    assert_eq!(
        shop.submit(&format!("/contracts/{id}/head"), &[("version", &version), ("budget", "$1,500")]).await.0,
        StatusCode::SEE_OTHER
    );
    assert_eq!(contract_planning::plan(&shop.app, "ottilie", id, &run), Vec::<String>::new());
    // What the tables hold was written by the shop.
    let theirs = ["instruments.csv", "dents.csv", "done.csv", "contract.toml", "contract.json", "problem.json"].map(str::to_owned);
    let tools: Vec<String> = shop.newest(id).contract.tools.iter().map(|t| t.id.clone()).collect();
    let reader = Reader::new(LengthUnit::Mm, theirs.into_iter().chain(tools));
    let mut faults = Vec::new();
    let mut said = String::new();
    for path in ["/contracts".to_owned(), "/contracts/new".to_owned()]
        .into_iter()
        .chain(["", "?show=left", "/head", "/tables", "/instrument?tag=H-1", "/work"].map(|p| format!("/contracts/{id}{p}")))
    {
        let page = shop.read(&path).await;
        // The tables' own text stands on their page.
        let page = page
            .split("<textarea")
            .enumerate()
            .map(|(i, part)| if i == 0 { part } else { part.split_once("</textarea>").map_or("", |(_, rest)| rest) })
            .collect::<String>();
        let read = voice::html(&page);
        faults.extend(reader.faults(&path, &read.said, Matter::Said));
        said += &format!("\n==== {path}\n{}", read.said);
    }
    voice::keep("pages-contracts", &said);
    voice::none(faults);
}
