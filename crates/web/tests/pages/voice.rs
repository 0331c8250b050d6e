//! How the pages speak (shared voice sheet): every page there is, of every one of the demo's surveys and in both systems of units, is read
//! as a person reads it. What must not be said, and how a page is read, stands in `fixtures::voice`.

use crate::common::{FORM, Shop, encoded, give, surveyed};
use axum::http::{Request, StatusCode};
use fixtures::voice::{self, Matter, Reader};
use instrument::Survey;
use store::By;
use units::LengthUnit;
use web::routes::map;

const BY: By<'static> = By { who: "ottilie", at: 1 };

/// Routes that give no page: pictures, papers (`report` reads those), files for programs.
const NO_PAGE: [&str; 18] = [
    "/assets/{name}",
    "/customers/{id}/all.json",
    "/instruments/{id}/label",
    "/tags/{tag}",
    "/jobs/{id}/survey.toml",
    "/jobs/{id}/photos/{photo}",
    "/jobs/{id}/photos/{photo}/small",
    "/jobs/{id}/quote.pdf",
    "/jobs/{id}/bench-card.pdf",
    "/jobs/{id}/reasons.pdf",
    "/jobs/{id}/invoice.pdf",
    "/trust/certificate.pem",
    "/contracts/tables/{name}",
    "/contracts/{id}/files/{name}",
    "/contracts/{id}/work/{name}",
    "/q/{token}/quote.pdf",
    "/q/{token}/photos/{photo}",
    "/shop/files/{name}",
];

/// The shop's names for its tools and where they hang, and what the survey's person wrote: nothing that the program says.
fn theirs(survey: &Survey) -> Vec<String> {
    let rack = survey::read_rack(web::app::EXAMPLE_RACK).0;
    let mut all: Vec<String> = rack.tools.into_iter().flat_map(|t| [t.name, t.place, t.condition]).collect();
    all.extend(survey.dents.iter().map(|d| d.note.clone()));
    all.push(survey.title.clone());
    all
}

/// The addresses of a route in this shop, `None` where the test does not know the route.
fn addresses(shop: &Shop, path: &str) -> Option<Vec<String>> {
    let job = shop.job.to_string();
    let quotes = shop.app.store().quotes_of(shop.job).unwrap();
    let agreed = shop.app.store().agreements_of(shop.job).unwrap();
    let now = shop.app.job(shop.job).unwrap();
    let each = |hole: &str, all: Vec<String>| all.iter().map(|one| path.replace("{id}", &job).replace(hole, one)).collect();
    Some(match path {
        "/" => ["/", "/?show=week", "/?show=benches", "/?show=late", "/?show=done"].map(str::to_owned).to_vec(),
        "/jobs/{id}/plan/dents/{dent}" => each("{dent}", now.survey.dents.iter().map(|d| d.id.to_string()).collect()),
        "/jobs/{id}/steps/{name}" => each(
            "{name}",
            now.plan
                .steps
                .iter()
                .filter(|s| now.step_drawing(s.number, web::unit_format::UnitFormat::default()).is_some())
                .map(|s| format!("{}.svg", s.number))
                .collect(),
        ),
        "/jobs/{id}/agreements/{name}" => each("{name}", agreed.iter().map(|a| a.id.to_string()).collect()),
        "/q/{token}" => each("{token}", quotes.iter().filter_map(|q| q.token.clone()).collect()),
        "/shop/tools/new" => [path.to_owned()]
            .into_iter()
            .chain(survey::rack_form::KINDS.iter().map(|k| format!("{path}?kind={}", encoded_word(k.word))))
            .collect(),
        "/shop/tools/{name}" => each("{name}", now.rack.tools.iter().map(|t| t.id.0.clone()).collect()),
        "/jobs/{id}/survey" => {
            let tubes = now.survey.instrument.runs.iter().map(|r| format!("/jobs/{job}/survey?tube={}", r.id));
            [format!("/jobs/{job}/survey")].into_iter().chain(tubes).collect()
        }
        _ => {
            let filled = path.replace("{id}", if path.starts_with("/jobs") { &job } else { "1" });
            if filled.contains('{') {
                return None;
            }
            vec![filled]
        }
    })
}

fn encoded_word(word: &str) -> String {
    word.replace(' ', "%20")
}

/// What is read over all pages.
#[derive(Default)]
struct Found {
    faults: Vec<String>,
    pages: usize,
}

/// The tablet's choice of units.
fn cookie(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Mm => "trueround_units=mm",
        LengthUnit::Inch => "trueround_units=in",
    }
}

/// Reads every page of a shop.
async fn read(shop: &Shop, name: &str, unit: LengthUnit, reader: &Reader, found: &mut Found) {
    let mut all = String::new();
    for route in map().iter().filter(|r| r.method == "GET" && !NO_PAGE.contains(&r.path)) {
        let addresses = addresses(shop, route.path).unwrap_or_else(|| panic!("{} is read by nobody: say how", route.path));
        for address in addresses {
            let (status, _, body) = shop.send_as(Request::get(&address), cookie(unit), "").await;
            // What comes first is said on a page, too.
            assert!(
                status.is_success() || status == StatusCode::CONFLICT || status == StatusCode::NOT_FOUND || status.is_redirection(),
                "{address}: {status}"
            );
            let text = String::from_utf8_lossy(&body).into_owned();
            // What is behind a dent's line is fetched when it is opened.
            assert!(!address.ends_with("/plan") || text.len() < 150_000, "{name} {address} weighs {} bytes", text.len());
            // What is worth measuring comes as JSON, a text for each field.
            let page = voice::html(&if text.starts_with('{') { text.replace("\",\"", "\n") } else { text.clone() });
            let at = format!("{name} {address}");
            found.faults.extend(reader.faults(&at, &page.said, Matter::Said));
            found.faults.extend(reader.faults(&at, &page.reasons, Matter::Reasons));
            found.pages += 1;
            all.push_str(&format!("\n==== {at} {status}\n{}\n---- reasons\n{}", page.said, page.reasons));
        }
    }
    voice::keep(&format!("pages-{name}-{unit:?}"), &all);
}

/// A form of the job that must be taken.
async fn taken(shop: &Shop, unit: LengthUnit, path: &str, fields: &[(&str, &str)]) {
    let request = Request::post(format!("/jobs/{}{path}", shop.job)).header("content-type", FORM);
    let (status, _, page) = shop.send_as(request, cookie(unit), encoded(fields)).await;
    assert!(status.is_redirection(), "{path}: {}", voice::html(&String::from_utf8_lossy(&page)).said);
}

async fn all_pages_of(kind: &str, name: &str, to_the_end: bool) -> Found {
    let mut found = Found::default();
    let survey = fixtures::demo::read(name);
    for unit in [LengthUnit::Mm, LengthUnit::Inch] {
        let shop = surveyed(kind, &survey);
        let reader = Reader::new(unit, theirs(&survey));
        give(&shop.app, By { at: web::when::now(), ..BY }, shop.job, "voice-token");
        read(&shop, &format!("{name} quoted"), unit, &reader, &mut found).await;
        if !to_the_end {
            continue;
        }
        crate::common::say_yes(&shop.app, By { at: web::when::now(), ..BY }, shop.job, "voice-token");
        let keys: Vec<String> = shop.app.job(shop.job).unwrap().plan.steps.iter().map(job::key::step_key).collect();
        taken(&shop, unit, "/bench", &[("key", &keys[0]), ("act", "tick")]).await;
        taken(&shop, unit, "/payments", &[("act", "take"), ("amount", "20.10"), ("how", "card"), ("note", "deposit")]).await;
        read(&shop, &format!("{name} on the bench"), unit, &reader, &mut found).await;
        taken(&shop, unit, "/ready", &[("name", "Ottilie"), ("reason", "the parade is at noon")]).await;
        taken(&shop, unit, "/hand-back", &[("collected_by", "A. Parent")]).await;
        read(&shop, &format!("{name} picked up"), unit, &reader, &mut found).await;
    }
    found
}

#[tokio::test]
async fn the_tubas_pages_speak_as_at_the_bench() {
    let found = all_pages_of("tuba", "ox-tuba", false).await;
    assert!(found.pages > 150, "{}", found.pages);
    voice::none(found.faults);
}

#[tokio::test]
async fn the_trumpets_pages_speak_as_at_the_bench_to_the_end() {
    let found = all_pages_of("trumpet", "linnet-trumpet", true).await;
    assert!(found.pages > 300, "{}", found.pages);
    voice::none(found.faults);
}

#[tokio::test]
async fn the_trombones_pages_and_those_of_red_rot_speak_as_at_the_bench() {
    let mut found = all_pages_of("trombone", "heron-trombone", false).await;
    found.faults.extend(all_pages_of("trumpet", "leadpipe-red-rot", false).await.faults);
    voice::none(found.faults);
}
