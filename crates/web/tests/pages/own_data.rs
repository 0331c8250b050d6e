//! One's own password, a customer's own data, what the owner is reminded of, and a quote that cannot be read back.

use crate::common::{Shop, shop_with};
use axum::http::{Request, StatusCode};
use store::By;
use store::backup::LastBackup;
use store::counter::JobState;
use store::offers::NewQuote;
use web::password;

fn by() -> By<'static> {
    By { who: "ottilie", at: web::when::now() }
}

impl Shop {
    async fn answer(&self, path: &str) -> (StatusCode, String) {
        let (status, _, bytes) = self.send(Request::get(path), "").await;
        (status, String::from_utf8_lossy(&bytes).into_owned())
    }

    fn signs_in_with(&self, words: &str) -> bool {
        let (_, hash) = self.app.store().person_to_sign_in("ottilie").unwrap().unwrap();
        self.app.hashing().with_memory(|memory| password::fits(words, Some(&hash), memory))
    }
}

#[tokio::test]
async fn everybody_sets_their_own_password_and_is_signed_out() {
    let shop = Shop::of(shop_with("bugle"));
    let old = password::hash("brass and solder").unwrap();
    let store = shop.app.store();
    store.set_password(by(), 1, &old).unwrap();
    store.open_session(by(), 1, "127.0.0.1", ("token", "csrf"), i64::MAX).unwrap();
    assert_eq!(shop.answer("/me").await.0, StatusCode::OK);
    for (now, new, why) in [
        ("brass and flux", "owl kettle passport", "password of now is another"),
        ("brass and solder", "short", "at least 12"),
        ("brass and solder", "password1234", "first that are guessed"),
    ] {
        let (status, page) = shop.submit("/me", &[("old_password", now), ("password", new)]).await;
        assert!(status.is_client_error() && page.contains(why), "{status} {why}");
        assert!(!page.contains(new) && !page.contains(now), "the page shows a password");
    }
    assert!(shop.signs_in_with("brass and solder"));
    let (status, _) = shop.submit("/me", &[("old_password", "brass and solder"), ("password", "owl kettle passport")]).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    assert!(shop.signs_in_with("owl kettle passport") && store.session("token", web::when::now()).unwrap().is_none());
    assert!(store.security_log(9).unwrap().iter().any(|l| l.what == "password_set" && l.login == "ottilie"));
}

/// One's own page tells where one is signed in and signs out there: a lost tablet asks for the sign-in again, this one goes on.
#[tokio::test]
async fn a_lost_tablet_is_signed_out_from_ones_own_page() {
    let shop = Shop::of(shop_with("bugle"));
    let store = shop.app.store();
    for (token, address) in [("lost", "10.0.0.7"), ("bench", "10.0.0.8"), ("home", "10.0.0.9")] {
        store.open_session(by(), 1, address, (token, "csrf"), i64::MAX).unwrap();
    }
    let (_, page) = shop.answer("/me").await;
    for wanted in ["10.0.0.7", "10.0.0.8", "10.0.0.9", "This one", "Sign out everywhere but here"] {
        assert!(page.contains(wanted), "{wanted}: {page}");
    }
    let row = page.split("<tr>").find(|r| r.contains("10.0.0.7")).unwrap();
    let action = row.split("action=\"").nth(1).unwrap().split('"').next().unwrap().to_owned();
    assert_eq!(shop.submit(&action, &[]).await.0, StatusCode::SEE_OTHER);
    let open = |token: &str| store.session(token, web::when::now()).unwrap().is_some();
    assert!(!open("lost") && open("bench") && open("home"));
    assert_eq!(shop.submit(&action, &[]).await.0, StatusCode::SEE_OTHER, "ended already is as good");
    assert_eq!(shop.submit("/me/sessions/end-others", &[]).await.0, StatusCode::SEE_OTHER);
    assert!(!open("bench") && !open("home") && shop.answer("/me").await.0 == StatusCode::OK, "this one goes on");
    assert!(
        store.security_log(9).unwrap().iter().filter(|l| l.what == "signed_out" && l.login == "ottilie").map(|l| l.count).sum::<i64>() >= 2
    );
    assert_eq!(shop.submit("/sign-out", &[]).await.0, StatusCode::SEE_OTHER);
    assert_ne!(shop.answer("/me").await.0, StatusCode::OK);
}

#[tokio::test]
async fn a_stolen_tablet_does_not_guess_the_password_of_now_for_long() {
    let shop = Shop::of(shop_with("bugle"));
    shop.app.store().set_password(by(), 1, &password::hash("brass and solder").unwrap()).unwrap();
    shop.app.store().open_session(by(), 1, "127.0.0.1", ("token", "csrf"), i64::MAX).unwrap();
    let mut last = StatusCode::OK;
    for _ in 0..7 {
        last = shop.submit("/me", &[("old_password", "a guess"), ("password", "owl kettle passport")]).await.0;
    }
    assert_eq!(last, StatusCode::TOO_MANY_REQUESTS);
}

#[tokio::test]
async fn the_owner_gives_out_and_erases_a_customers_data() {
    let shop = Shop::of(shop_with("bugle"));
    let (status, json) = shop.answer("/customers/1/all.json").await;
    assert!(status.is_success() && json.contains("Fen Road"), "{status}");
    let erase = |name: &'static str| vec![("reason", "asked by letter"), ("name", name)];
    let (status, page) = shop.submit("/customers/1/erase", &erase("Fen Road")).await;
    assert!(status.is_client_error() && page.contains("still open"), "{status}");
    shop.app.store().import_job_state(by(), shop.job, JobState::Declined).unwrap();
    let (status, page) = shop.submit("/customers/1/erase", &erase("Another")).await;
    assert!(status.is_client_error() && page.contains("not this customer") && page.contains("asked by letter"), "{status}");
    assert_eq!(shop.submit("/customers/1/erase", &erase("Fen Road")).await.0, StatusCode::SEE_OTHER);
    let (_, page) = shop.answer("/customers/1").await;
    assert!(page.contains("(erased)") && !page.contains("Fen Road"));
    let (_, journal) = shop.answer("/journal").await;
    assert!(!journal.contains("Fen Road") && journal.contains("asked by letter"));
}

#[tokio::test]
async fn the_owner_is_reminded_of_a_backup_after_a_week() {
    let shop = Shop::of(shop_with("bugle"));
    let told = async || shop.answer("/").await.1;
    assert!(told().await.contains("No backup has been made yet"));
    let note = |days: i64, whole| {
        let last = LastBackup { at: web::when::now() - days * 24 * 3600, to: "monday.zip".to_owned(), whole };
        shop.app.store().note_backup(&last).unwrap();
    };
    note(8, true);
    assert!(told().await.contains("8 days old"));
    note(6, true);
    assert!(!told().await.contains("backup"));
    note(0, false);
    assert!(told().await.contains("does not hold the whole record"));
}

#[tokio::test]
async fn a_quote_that_lacks_a_field_is_told_and_is_no_broken_page() {
    let shop = crate::common::surveyed("tuba", &fixtures::demo::read("ox-tuba"));
    crate::common::give(&shop.app, by(), shop.job, "whole");
    let store = shop.app.store();
    let mut body: serde_json::Value = serde_json::from_str(&store.quote_by_token("whole").unwrap().body).unwrap();
    body.as_object_mut().unwrap().remove("currency").unwrap();
    let body = body.to_string();
    store
        .replace_quote(by(), shop.job, &NewQuote { token: "lacking", body: &body, valid_until: None, made_from: None, adds_to: None })
        .unwrap();
    let job = shop.job;
    for path in ["/q/lacking".to_owned(), "/q/lacking/quote.pdf".to_owned(), format!("/jobs/{job}/quote")] {
        let (status, page) = shop.answer(&path).await;
        assert!(status != StatusCode::INTERNAL_SERVER_ERROR, "{path}: {status}");
        assert!(page.contains("cannot be read back") && page.contains("currency"), "{path}: {page}");
    }
}
