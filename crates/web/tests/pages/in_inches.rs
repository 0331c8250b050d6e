//! A tablet that is told lengths in inches reads no sentence in millimetres alone, on any page of a job.

use axum::body::{Body, to_bytes};
use axum::extract::connect_info::MockConnectInfo;
use axum::http::Request;
use instrument::Survey;
use std::net::SocketAddr;
use store::By;
use survey::kept::{Kept, survey_to_json};
use tower::ServiceExt;
use web::App;
use web::auth::COOKIE_NAME;
use web::routes::router;

/// The words of a page: without its tags and what is data.
fn words(page: &str) -> String {
    let mut out = String::new();
    let mut rest = page;
    while let Some((before, tag)) = rest.split_once('<') {
        out.push_str(before);
        let script = tag.starts_with("script") || tag.starts_with("style");
        rest = if script { tag.split_once("</").map_or("", |(_, after)| after) } else { tag };
        rest = rest.split_once('>').map_or("", |(_, after)| after);
        out.push(' ');
    }
    out
}

/// Places where a length stands in millimetres; behind inches in brackets they are wanted.
fn in_mm(text: &str) -> Vec<String> {
    text.match_indices(" mm")
        .filter(|(at, _)| text[at + 3..].chars().next().is_none_or(|c| !c.is_alphanumeric() && c != '²' && c != '³'))
        .filter(|(at, _)| text[..*at].ends_with(|c: char| c.is_ascii_digit()))
        .map(|(at, _)| {
            let before: String = text[..at].chars().rev().take(60).collect();
            format!("{} mm", before.chars().rev().collect::<String>())
        })
        .filter(|around| {
            let number = around.rfind(" mm").map_or(around.as_str(), |i| &around[..i]);
            !number.rsplit_once('(').is_some_and(|(_, n)| n.chars().all(|c| c.is_ascii_digit() || c == '.'))
        })
        .collect()
}

#[tokio::test]
async fn no_page_of_a_job_speaks_millimetres_to_whoever_reads_inches() {
    let (_dir, store, job) = crate::common::shop_with("tuba");
    let by = By { who: "test", at: web::when::now() };
    let survey = fixtures::demo::read("ox-tuba");
    let body = Survey { dents: vec![], ..survey.clone() };
    store.save_survey_body(by, job, 0, &survey_to_json(&body).unwrap()).unwrap();
    for d in &survey.dents {
        store.save_dent(by, job, &d.id.0, 0, &Kept::from_dent(d).to_json().unwrap()).unwrap();
    }
    let router = router(App::new(store, false)).layer(MockConnectInfo(SocketAddr::from(([127, 0, 0, 1], 1))));
    let ask = async |path: String, units: &str| {
        let cookie = format!("{COOKIE_NAME}=token; trueround_units={units}");
        let request = Request::get(path).header("cookie", cookie).body(Body::empty()).unwrap();
        let response = router.clone().oneshot(request).await.unwrap();
        assert!(response.status().is_success(), "{}", response.status());
        String::from_utf8(to_bytes(response.into_body(), 30_000_000).await.unwrap().to_vec()).unwrap()
    };
    // What the shop calls its tools stays as the shop calls them.
    let mut names: Vec<String> = survey::read_rack(web::app::EXAMPLE_RACK).0.tools.into_iter().map(|t| t.name).collect();
    names.sort_by_key(|n| std::cmp::Reverse(n.len()));
    for page in ["plan", "bench", "checks", "quote", "survey", "survey/tubes"] {
        let mut text = words(&ask(format!("/jobs/{job}/{page}"), "in").await);
        for name in &names {
            text = text.replace(name, "tool");
        }
        let left = in_mm(&text);
        assert!(left.is_empty(), "{page}: {} lengths in mm, such as {:#?}", left.len(), &left[..left.len().min(12)]);
        assert!(text.contains(" in"), "{page} tells no inches");
    }
    // The check itself finds millimetres where they are wanted.
    assert!(in_mm(&words(&ask(format!("/jobs/{job}/plan"), "mm").await)).len() > 50);
}
