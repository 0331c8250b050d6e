//! What is sent as a photo is looked at: only pictures are kept, none too large, and a picture comes back as it was sent.

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::connect_info::MockConnectInfo;
use axum::http::{Request, StatusCode};
use std::net::SocketAddr;
use store::counter::NewInstrument;
use store::people::PersonRole;
use store::{By, Store};
use tower::ServiceExt;
use web::App;
use web::auth::COOKIE_NAME;
use web::limits::UPLOAD_BYTES;
use web::routes::router;

/// The smallest PNG: one pixel.
const PNG: &[u8] = b"\x89PNG\x0d\x0a\x1a\x0a\x00\x00\x00\x0dIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x06\x00\x00\x00\x1f\x15\xc4\x89\x00\x00\x00\x0dIDATx\x9cc\xf8\xcf\xc0\xf0\x1f\x00\x05\x00\x01\xff\x89\x99=\x1d\x00\x00\x00\x00IEND\xaeB`\x82";

fn shop() -> (tempfile::TempDir, Router) {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let by = By { who: "test", at: web::when::now() };
    let person = store.add_person(by, "ramon", "Ramon Achterberg", PersonRole::Technician, "not a hash").unwrap();
    store.open_session(by, person, "127.0.0.1", ("the-session", "the-csrf"), i64::MAX).unwrap();
    let customer = store.add_customer(by, "Juniper Vale Community Band", "", "", "").unwrap();
    let instrument = store.add_instrument(by, &NewInstrument { customer, kind: "bugle", ..NewInstrument::default() }).unwrap();
    store.add_job(by, instrument, "photos", "", None).unwrap();
    let router = router(App::new(store, false)).layer(MockConnectInfo(SocketAddr::from(([127, 0, 0, 1], 1))));
    (dir, router)
}

async fn send(router: &Router, bytes: Vec<u8>) -> StatusCode {
    let request = Request::post("/jobs/1/photos")
        .header("cookie", format!("{COOKIE_NAME}=the-session"))
        .header("x-csrf", "the-csrf")
        .header("content-type", "application/octet-stream")
        .body(Body::from(bytes))
        .unwrap();
    router.clone().oneshot(request).await.unwrap().status()
}

#[tokio::test]
async fn what_is_no_picture_is_not_kept() {
    let (dir, router) = shop();
    for bytes in [&b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>"[..], b"%PDF-1.7", b"MZ\x90\0", b""] {
        let status = send(&router, bytes.to_vec()).await;
        assert!(status.is_client_error(), "{status} for {:?}", String::from_utf8_lossy(bytes));
    }
    assert_eq!(std::fs::read_dir(dir.path().join("photos")).unwrap().count(), 0);
}

#[tokio::test]
async fn what_is_too_large_is_not_read_to_its_end() {
    let (_dir, router) = shop();
    let mut bytes = PNG.to_vec();
    bytes.resize(UPLOAD_BYTES + 1, 0);
    assert_eq!(send(&router, bytes).await, StatusCode::PAYLOAD_TOO_LARGE);
}

#[tokio::test]
async fn a_picture_comes_back_as_it_was_sent_and_is_never_taken_for_a_page() {
    let (_dir, router) = shop();
    assert_eq!(send(&router, PNG.to_vec()).await, StatusCode::CREATED);
    let request = Request::get("/jobs/1/photos/1").header("cookie", format!("{COOKIE_NAME}=the-session")).body(Body::empty()).unwrap();
    let answer = router.oneshot(request).await.unwrap();
    assert_eq!(answer.headers()["content-type"], "image/png");
    assert_eq!(answer.headers()["x-content-type-options"], "nosniff");
    assert_eq!(to_bytes(answer.into_body(), 1_000_000).await.unwrap(), PNG);
}
