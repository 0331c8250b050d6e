//! What cannot even be read (an address with a word for a number, a body that is no JSON) is answered in the program's words, not in those
//! of a library.

use crate::common::{Shop, surveyed};
use axum::http::{Request, StatusCode};
use instrument::{Kind, Survey, patterns};

#[tokio::test]
async fn what_cannot_be_read_is_answered_as_everything_else() {
    let shop: Shop = surveyed("trumpet", &Survey::of(patterns::pattern(Kind::Trumpet).unwrap()));
    for address in ["/jobs/new", "/jobs/99999999999999999999", "/jobs/1/steps/first.svg", "/customers/x"] {
        let (status, _, page) = shop.send(Request::get(address), "").await;
        let page = String::from_utf8_lossy(&page);
        assert_eq!(status, StatusCode::NOT_FOUND, "{address}: {page}");
        assert!(page.contains("That did not work") && page.contains("To the board"), "{address}: {page}");
        assert!(!page.contains("parse") && !page.contains("i64"), "{address}: {page}");
    }
    let dents = format!("/jobs/{}/survey/dents", shop.job);
    for (body, kind) in [("{", "application/json"), ("[]", "application/json"), ("a=b", "text/plain")] {
        let (status, _, page) = shop.send(Request::post(&dents).header("content-type", kind), body).await;
        let page = String::from_utf8_lossy(&page);
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{body}: {page}");
        assert!(page.contains("What was sent cannot be read; load the page again"), "{body}: {page}");
    }
}
