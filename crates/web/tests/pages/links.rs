//! The customer's link: how long it opens, what it says when not, how an answer came, and that a changed quote is told.

use crate::common::{FORM, Shop, encoded};
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode};
use store::By;
use store::counter::JobState;
use store::offers::NewQuote;
use tower::ServiceExt;
use web::doctor::{Stands, examine};

fn by() -> By<'static> {
    By { who: "ottilie", at: web::when::now() }
}

/// The day so many days ago.
fn ago(days: i64) -> String {
    web::when::day_of(web::when::now() - days * 86_400)
}

impl Shop {
    /// As the customer asks: without a session, from a browser with a name.
    async fn customer(&self, path: &str, answer: Option<&str>) -> (StatusCode, String) {
        let body = encoded(&[("chosen", "play"), ("name", "A. Parent"), ("signature", ""), ("answer", answer.unwrap_or_default())]);
        let request = match answer {
            None => Request::get(path).body(Body::empty()),
            Some(_) => Request::post(path).header("content-type", FORM).header("user-agent", "Telephone/7 <script>").body(Body::from(body)),
        };
        let response = self.router.clone().oneshot(request.unwrap()).await.unwrap();
        let status = response.status();
        (status, String::from_utf8_lossy(&to_bytes(response.into_body(), 50_000_000).await.unwrap()).into_owned())
    }

    async fn owner(&self, path: &str) -> String {
        let (status, _, bytes) = self.send(Request::get(path), "").await;
        assert!(status.is_success(), "{path}: {status}");
        String::from_utf8_lossy(&bytes).into_owned()
    }

    /// Gives the quote of now, holding until a day.
    fn give_until(&self, token: &str, until: &str) {
        crate::common::give(&self.app, by(), self.job, "draft");
        let store = self.app.store();
        let given = store.quotes_of(self.job).unwrap().remove(0);
        store.withdraw_quote(by(), self.job).unwrap();
        let new = NewQuote { token, body: &given.body, valid_until: Some(until), made_from: given.made_from.as_deref(), adds_to: None };
        store.add_quote(by(), self.job, &new).unwrap();
    }
}

fn shop() -> Shop {
    crate::common::surveyed("trumpet", &fixtures::demo::read("linnet-trumpet"))
}

#[tokio::test]
async fn past_its_date_a_link_is_read_for_a_while_and_takes_no_answer() {
    for (days, set, status, says) in [
        (0, None, StatusCode::OK, "Accept this offer"),
        (1, None, StatusCode::OK, "can no longer be accepted here"),
        (14, None, StatusCode::OK, "can no longer be accepted here"),
        (15, None, StatusCode::GONE, "could be read until 14 days"),
        (60, None, StatusCode::GONE, "could be read until 14 days"),
        (60, Some("90"), StatusCode::OK, "can no longer be accepted here"),
        (1, Some("0"), StatusCode::GONE, "could be read until 0 days"),
    ] {
        let s = shop();
        if let Some(set) = set {
            let (kept, page) = s.submit("/shop/links", &[("days_after", set)]).await;
            s.app
                .store()
                .set_setting(store::By { who: "ottilie", at: 0 }, web::app::SHOP, "trueround_shop = 1\ntelephone = \"555-0100\"\n")
                .unwrap();
            assert!(kept.is_redirection(), "{page}");
        }
        s.give_until("the-link", &ago(days));
        let (got, page) = s.customer("/q/the-link", None).await;
        assert_eq!(got, status, "{days} {set:?}");
        assert!(page.contains(says), "{days} {set:?}: {page}");
        assert_eq!(s.customer("/q/the-link/quote.pdf", None).await.0, status, "{days} {set:?}: the paper");
        if days > 0 {
            assert!(
                !page.contains("name=\"signature\"") && page.contains(if set.is_some() { "call us: 555-0100" } else { "call us." }),
                "{page}"
            );
            for answer in ["yes", "no"] {
                let (got, page) = s.customer("/q/the-link", Some(answer)).await;
                assert!(got.is_client_error() && page.contains("call us"), "{days} {answer}: {got}");
            }
            assert_eq!(s.app.store().job(s.job).unwrap().state, JobState::Quoted);
        }
    }
    let s = shop();
    for bad in ["-1", "366", "soon", ""] {
        assert_eq!(s.submit("/shop/links", &[("days_after", bad)]).await.0, StatusCode::UNPROCESSABLE_ENTITY, "{bad}");
    }
}

#[tokio::test]
async fn a_shop_has_one_telephone() {
    let said = |s: &Shop| s.app.shop().unwrap().contact.telephone;
    let old = |s: &Shop| s.app.store().setting("shop.telephone").unwrap().unwrap_or_default();
    for (file, number) in [
        ("trueround_shop = 1\nname = \"Fen\" # ours\n", "555-0100"),
        ("trueround_shop = 1\nname = \"Fen\" # ours\ntelephone = \"555-0111\"\n", "555-0111"),
    ] {
        let s = shop();
        s.app.store().set_setting(by(), web::app::SHOP, file).unwrap();
        s.app.store().set_setting(by(), "shop.telephone", " 555-0100 ").unwrap();
        web::link::one_telephone(&s.app).unwrap();
        assert_eq!((said(&s).as_str(), old(&s).as_str()), (number, ""));
        assert!(s.app.store().setting(web::app::SHOP).unwrap().unwrap().contains("# ours"), "the rest of the file stays");
        // Once is enough: a second start writes nothing.
        let lines = s.app.store().journal_latest(100).unwrap().len();
        web::link::one_telephone(&s.app).unwrap();
        assert_eq!(s.app.store().journal_latest(100).unwrap().len(), lines);
    }
    // Where the example's prices still stand in, the number waits for the shop's own file, and is told meanwhile.
    let s = shop();
    s.app.store().set_setting(by(), "shop.telephone", "555-0100").unwrap();
    web::link::one_telephone(&s.app).unwrap();
    assert_eq!(old(&s), "555-0100");
    s.give_until("the-link", &ago(1));
    assert!(s.customer("/q/the-link", None).await.1.contains("call us: 555-0100"));
    let start = [("which", "shop"), ("with", "empty"), ("version", "0")];
    assert!(s.submit("/shop/start", &start).await.0.is_redirection());
    assert_eq!((said(&s).as_str(), old(&s).as_str()), ("555-0100", ""));
}

#[tokio::test]
async fn a_link_is_closed_by_who_may_quote_made_anew_and_points_at_a_newer_quote() {
    let s = shop();
    s.give_until("the-link", &web::when::in_days(30));
    let page = s.owner(&format!("/jobs/{}/quote", s.job)).await;
    assert!(page.contains("/q/the-link") && page.contains("Close the link"));
    let id = s.app.store().quotes_of(s.job).unwrap()[0].id.to_string();
    let act = |what: &str| format!("/jobs/{}/quote/link/{what}", s.job);
    assert!(s.submit(&act("close"), &[("quote", &id)]).await.0.is_redirection());
    let (status, page) = s.customer("/q/the-link", None).await;
    assert!(status == StatusCode::GONE && page.contains("closed by the shop") && !page.contains("Fen Road"), "{status}");
    assert_eq!(s.customer("/q/the-link", Some("yes")).await.0, StatusCode::GONE);
    assert!(s.owner("/journal").await.contains("link revoked"));
    assert!(s.submit(&act("renew"), &[("quote", &id)]).await.0.is_redirection());
    assert_eq!(s.customer("/q/the-link", None).await.0, StatusCode::NOT_FOUND);
    let token = s.app.store().quotes_of(s.job).unwrap()[0].token.clone().unwrap();
    assert_eq!(s.customer(&format!("/q/{token}"), None).await.0, StatusCode::OK);
    let (status, page) = s.submit(&format!("/jobs/{}/quote", s.job), &[("replace", "yes")]).await;
    assert!(status.is_redirection(), "{page}");
    let (status, page) = s.customer(&format!("/q/{token}"), None).await;
    assert!(status.is_success() && page.contains("There is a newer quote") && !page.contains("name=\"signature\""), "{page}");
}

#[tokio::test]
async fn how_an_answer_came_is_shown_and_a_quote_that_was_changed_since_is_told() {
    let s = shop();
    s.give_until("the-link", &web::when::in_days(30));
    let (status, page) = s.customer("/q/the-link", Some("yes")).await;
    assert!(status.is_redirection(), "{page}");
    let path = format!("/jobs/{}/quote", s.job);
    let page = s.owner(&path).await;
    for part in ["127.0.0.1", "Telephone/7 &lt;script&gt;", "is the one that was answered"] {
        assert!(page.contains(part), "{part}");
    }
    let export = s.owner("/customers/1/all.json").await;
    assert!(export.contains("Telephone/7") && export.contains("answered_text") && !export.contains("link_hash"));
    let answered = || examine(s.app.store(), web::when::now()).unwrap().into_iter().find(|f| f.of == "answered quotes").unwrap();
    assert_eq!(answered().stands, Stands::Well);
    // Whoever has the file makes the price another one.
    let raw = rusqlite::Connection::open(s.dir.path().join("shop.sqlite")).unwrap();
    assert_eq!(
        raw.execute("UPDATE quotes SET body = replace(body, '\"currency\":\"$\"', '\"currency\":\"€\"') WHERE signed_at IS NOT NULL", [])
            .unwrap(),
        1
    );
    let page = s.owner(&path).await;
    assert!(page.contains("is not what was answered"), "{page}");
    assert!(answered().stands == Stands::Bad && answered().says.contains("text, dates or amount"), "{:?}", answered());
}

/// An answered link stays readable while the job is on, however long that takes.
#[tokio::test]
async fn an_answered_link_is_read_until_its_job_is_over() {
    let s = shop();
    s.give_until("the-link", &web::when::in_days(0));
    assert!(s.customer("/q/the-link", Some("yes")).await.0.is_redirection());
    let (status, page) = s.customer("/q/the-link", None).await;
    assert!(status.is_success() && page.contains("Thank you, A. Parent"));
    // Its prices ended long ago, and the work goes on.
    let raw = rusqlite::Connection::open(s.dir.path().join("shop.sqlite")).unwrap();
    raw.execute("UPDATE quotes SET valid_until = ?1", [ago(200)]).unwrap();
    assert_eq!(s.customer("/q/the-link", None).await.0, StatusCode::OK);
    for (days, status) in [(5, StatusCode::OK), (60, StatusCode::GONE)] {
        let then = By { who: "test", at: web::when::now() - days * 86_400 };
        s.app.store().import_job_state(by(), s.job, JobState::OnBench).unwrap();
        s.app.store().import_job_state(then, s.job, JobState::HandedBack).unwrap();
        assert_eq!(s.customer("/q/the-link", None).await.0, status, "handed back {days} days ago");
    }
}
