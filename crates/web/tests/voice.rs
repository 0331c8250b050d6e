//! How the pages speak (shared voice sheet): every page of the demo's surveys is read as a person reads it, and must not say what
//! nobody says at a bench, nor name an amount without its currency, nor run on.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use axum::http::Request;
use common::{give, surveyed};
use store::By;

/// What is not said, and what is said in its place.
const NOT_SAID: [(&str, &str); 27] = [
    ("bring back", "remove"),
    ("brought back", "removed"),
    ("taken for granted", "Assumptions"),
    ("handed back", "Picked up"),
    ("ready to be fetched", "Ready for pickup"),
    ("worth in sound order", "Value in good condition"),
    ("dear to you", "means a lot to you"),
    ("that stays to be seen", "these marks will show"),
    ("whatever goes beyond", "We ask before doing anything extra"),
    ("taking in and handling", "Shop handling"),
    ("to the least charge", "Minimum charge"),
    ("i take “", "Choose"),
    ("take none of them", "Decline"),
    ("wipe the", "Clear"),
    ("take the tick back", "Undo"),
    ("leave out", "Skip"),
    ("why otherwise", "Reason"),
    ("do it so", "Use this method"),
    ("give it anew", "Send a new quote"),
    ("worked out anew", "worked out again"),
    ("with the way back", "total strain after removal"),
    ("the metal bears", "the limit here"),
    ("going round", "minimum bend radius"),
    ("in by ", "enter from"),
    ("make it play", "Playing condition"),
    ("make it good", "Dents out"),
    ("make it beautiful", "Restored"),
];

/// The page as it is read: without marks, scripts and what stands in attributes; blocks apart.
fn read(html: &str) -> String {
    let mut out = String::new();
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        out.push_str(&rest[..at]);
        let tag = &rest[at..];
        let skip = ["<script", "<style", "<title"].iter().find(|t| tag.starts_with(**t));
        let end = match skip {
            Some(t) => tag.find(&format!("</{}", &t[1..])).and_then(|e| tag[e..].find('>').map(|g| e + g)),
            None => tag.find('>'),
        };
        let Some(end) = end else { break };
        let inline =
            ["<strong", "</strong", "<span", "</span", "<a ", "</a", "<b>", "</b", "<em", "</em"].iter().any(|t| tag.starts_with(t));
        if !inline {
            out.push('\n');
        }
        rest = &tag[end + 1..];
    }
    out.push_str(rest);
    out.replace("&amp;", "&").replace("&quot;", "\"").replace("&lt;", "<").replace("&gt;", ">")
}

/// Faults of a page, each with its words.
fn faults(path: &str, text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for line in text.lines().map(str::trim).filter(|l| !l.is_empty()) {
        let low = line.to_lowercase();
        for (not, but) in NOT_SAID {
            if low.contains(not) {
                found.push(format!("{path}: “{line}” says “{not}”; say “{but}”"));
            }
        }
        // A number with two decimals and no unit behind it is an amount: it has its sign.
        let words: Vec<&str> = line.split_whitespace().collect();
        for (i, w) in words.iter().enumerate() {
            let bare = w.trim_matches(|c: char| "().,;:–".contains(c));
            let (whole, cents) = bare.split_once('.').unwrap_or(("", ""));
            let amount = cents.len() == 2 && whole.len() >= 2 && (whole.to_owned() + cents).chars().all(|c| c.is_ascii_digit() || c == ',');
            let unit = words.get(i + 1).is_some_and(|n| n.starts_with(|c: char| c.is_alphabetic() || "%°±(".contains(c)));
            if amount && whole.contains(',') && !unit {
                found.push(format!("{path}: the amount {w} has no currency: “{line}”"));
            }
        }
    }
    found
}

#[tokio::test]
async fn no_page_says_what_nobody_says_at_a_bench() {
    let mut all = Vec::new();
    for (kind, name) in
        [("tuba", "ox-tuba"), ("trumpet", "linnet-trumpet"), ("trombone", "heron-trombone"), ("trumpet", "leadpipe-red-rot")]
    {
        let shop = surveyed(kind, &fixtures::demo::read(name));
        give(&shop.app, By { who: "ottilie", at: web::when::now() }, shop.job, "voice-token");
        let job = shop.job;
        let mut paths: Vec<String> =
            ["/", "/?show=week", "/?show=benches", "/customers", "/history", "/money", "/people", "/shop", "/journal", "/doctor", "/me"]
                .map(str::to_owned)
                .to_vec();
        paths.extend(
            ["", "/survey", "/plan", "/plan/charts", "/quote", "/bench", "/checks", "/hand-back"].map(|p| format!("/jobs/{job}{p}")),
        );
        paths.push("/q/voice-token".to_owned());
        for path in paths {
            let (status, _, page) = shop.send(Request::get(&path), "").await;
            assert!(status.is_success(), "{path}: {status}");
            // What is behind a dent's line is fetched when it is opened.
            assert!(!path.ends_with("/plan") || page.len() < 150_000, "{name} {path} weighs {} bytes", page.len());
            all.extend(faults(&format!("{name} {path}"), &read(&String::from_utf8_lossy(&page))));
        }
    }
    all.sort();
    all.dedup();
    assert!(all.is_empty(), "{} faults:\n{}", all.len(), all.iter().take(40).cloned().collect::<Vec<_>>().join("\n"));
}

#[test]
fn the_reader_of_this_test_reads() {
    let html = "<p>We <strong>bring</strong> back d1.</p><script>do it so</script><td>1,915.00</td>";
    let found = faults("x", &read(html));
    assert_eq!(found.len(), 2, "{found:?}");
}
