//! Whatever a request says, signed in as the owner or a stranger: no page panics (500), none hangs. The requests begin as the site's own:
//! every route of its map, every form that stands on its pages with what stands in it, the tablet's JSON, a photo.
//!
//! Papers (PDF) are left out: setting one takes seconds, and nothing of the request but its number reaches them.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use axum::body::Body;
use axum::http::{Method, Request, Uri};
use common::{Shop, surveyed};
use fixtures::fuzz;
use std::cell::RefCell;
use std::time::Duration;
use tower::ServiceExt;
use web::routes::map;

const WORDS: &[&[u8]] = &[
    b"%00",
    b"%FF",
    b"%",
    b"&",
    b"=",
    b"+",
    b"..%2F",
    b"%2e%2e/",
    b"\xff\xfe",
    b"\0",
    b"'",
    b"\"",
    b"<script>",
    b"1",
    b"0",
    b"-1",
    b"9223372036854775807",
    b"99999999999999999999",
    b"null",
    b"[]",
    b"{}",
    b"true",
    b"2026-02-30",
    b"1e999",
    b"%C2%BD",
    b"\r\n",
    b"; ",
    b"trueround_unit=inch",
    b"trueround_session=",
    b"trueround_tablet=",
    b"find=",
    b"state=",
    b"level=good",
    b"version=1",
    b"version=-1",
];

/// The forms of a page: where each is sent and what stands in its fields. Enough of HTML for our own pages.
fn forms(page: &str) -> Vec<(String, String)> {
    let attribute = |tag: &str, name: &str| {
        let from = tag.find(&format!(" {name}=\""))? + name.len() + 3;
        Some(tag[from..from + tag[from..].find('"')?].replace("&amp;", "&"))
    };
    let mut all = Vec::new();
    for form in page.split("<form").skip(1) {
        let form = form.split("</form>").next().unwrap_or(form);
        let Some(action) = form.split('>').next().and_then(|t| attribute(t, "action")) else { continue };
        let mut fields = Vec::new();
        for tag in form
            .split('<')
            .filter(|t| t.starts_with("input") || t.starts_with("select") || t.starts_with("textarea") || t.starts_with("button"))
        {
            let Some(name) = attribute(tag.split('>').next().unwrap_or(tag), "name") else { continue };
            fields.push((name, attribute(tag, "value").unwrap_or_default()));
        }
        all.push((action, common::encoded(&fields)));
    }
    all
}

fn laid(method: &str, path: &str, kind: &str, body: &[u8]) -> Vec<u8> {
    let mut all = format!("{method} {path}\n{kind}\n\n").into_bytes();
    all.extend(body);
    all
}

/// A request: method and path, the type of its body, cookies beside the session's, the body. None where it cannot be one.
fn request(input: &[u8]) -> Option<(Request<Body>, bool)> {
    let mut lines = input.splitn(4, |b| *b == b'\n');
    let first = lines.next()?;
    let (kind, cookies, body) = (lines.next()?, lines.next()?, lines.next().unwrap_or(b""));
    let space = first.iter().position(|b| *b == b' ')?;
    let method = Method::from_bytes(&first[..space]).ok()?;
    let uri = Uri::try_from(&first[space + 1..]).ok()?;
    if !uri.path().starts_with('/') || uri.path().ends_with(".pdf") {
        return None;
    }
    // One in eight comes from a stranger.
    let signed = !input.len().is_multiple_of(8);
    let mut cookie = if signed { b"trueround_session=token; ".to_vec() } else { vec![] };
    cookie.extend(cookies);
    let mut request = Request::builder().method(method).uri(uri);
    request = request.header("content-type", kind).header("cookie", cookie).header("host", "localhost");
    if signed {
        request = request.header("x-csrf", "csrf");
    }
    Some((request.body(Body::from(body.to_vec())).ok()?, signed))
}

fn shop() -> Shop {
    let text = "trueround_survey = 1\n[instrument]\npattern = \"bugle\"\n[[dent]]\nid = \"d1\"\nrun = \"bell-stem\"\nat = \"50 mm\"\ndepth = \"2 mm\"\n";
    surveyed("bugle", &survey::read_survey(text).unwrap().survey)
}

#[test]
fn every_form_and_every_path() {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    let shop_now = RefCell::new((shop(), 0));
    let mut corpus = Vec::new();
    {
        let shop = &shop_now.borrow().0;
        for route in map() {
            let path = route
                .path
                .replace("{id}", "1")
                .replace("{tag}", "T00001")
                .replace("{name}", "d1")
                .replace("{token}", "t")
                .replace("{photo}", "1");
            corpus.push(laid(route.method, &path, common::FORM, b""));
            if route.method != "GET" || path.ends_with(".pdf") {
                continue;
            }
            let (_, _, page) = runtime.block_on(shop.send(Request::get(&path), ""));
            for (action, body) in forms(&String::from_utf8_lossy(&page)) {
                corpus.push(laid("POST", &action, common::FORM, body.as_bytes()));
                corpus.push(laid("GET", &format!("{action}?{body}"), common::FORM, b""));
            }
        }
        let dent = br#"{"name":"d1","token":null,"mark":"m1","after":["m0"],"from":1,"run":"bell-stem","at_mm":50,"clock_deg":90,"depth":"2 mm","length":"1/2 in"}"#;
        corpus.push(laid("POST", "/jobs/1/survey/dents", "application/json", dent));
        corpus.push(laid(
            "POST",
            "/jobs/1/survey/dents",
            "application/json",
            br#"{"name":null,"token":"t1","from":0,"run":"bell-stem","at_mm":50.5,"clock_deg":359}"#,
        ));
        corpus.push(laid("POST", "/jobs/1/survey/dents", "application/json", br#"{"name":"d1","from":1,"gone":true}"#));
        corpus.push(laid(
            "POST",
            "/jobs/1/photos?dent=d1&made_as=m",
            "application/octet-stream",
            b"\x89PNG\x0d\x0a\x1a\x0a\0\0\0\x0dIHDR\0\0\0\x01\0\0\0\x01\x08\x06\0\0\0\x1f\x15\xc4\x89\0\0\0\0IEND\xaeB`\x82",
        ));
        // What was found once: a level that is none, and a photo of a job that is none, were a 500.
        corpus.push(laid(
            "POST",
            "/jobs/983/photos?dent=d1",
            "application/octet-stream",
            b"\x89PNG\x0d\x0a\x1a\x0a\0\0\0\x0dIHDR\0\0\0\x01\0\0\0\x01\x08\x06\0\0\0\x1f\x15\xc4\x89\0\0\0\0IEND\xaeB`\x82",
        ));
        corpus.push(laid("POST", "/jobs/1/level", common::FORM, b"csrf=csrf&level=b%B5autiful"));
        corpus.retain(|c| c.len() < 20_000);
        corpus.sort();
        corpus.dedup();
    }
    assert!(corpus.len() > 100, "{} requests to begin with", corpus.len());
    let answers: RefCell<std::collections::BTreeMap<u16, u32>> = RefCell::default();
    fuzz::run("requests", &corpus, WORDS, Duration::from_secs(30), |input| {
        let Some((request, signed)) = request(input) else { return };
        let mut now = shop_now.borrow_mut();
        now.1 += 1;
        // Not for ever in one shop: what was added slows its pages.
        if now.1 % 1000 == 0 {
            *now = (self::shop(), now.1);
        }
        let status = runtime.block_on(async {
            let response = now.0.router.clone().oneshot(request).await.unwrap();
            let status = response.status();
            axum::body::to_bytes(response.into_body(), 50_000_000).await.unwrap();
            status
        });
        *answers.borrow_mut().entry(status.as_u16()).or_default() += 1;
        assert!(!status.is_server_error(), "{status}");
        if signed && status == axum::http::StatusCode::UNAUTHORIZED {
            // It signed out: the next ones are signed in again.
            let by = store::By { who: "test", at: web::when::now() };
            let _ = now.0.app.store().open_session(by, 1, "127.0.0.1", ("token", "csrf"), 4_000_000_000);
        }
    });
    println!("answers: {:?}", answers.borrow());
    let answers = answers.borrow();
    let well: u32 = answers.range(200..400).map(|(_, n)| n).sum();
    assert!(well > 50, "hardly a request came through: {answers:?}");
}
