//! Every route with every role: nothing is readable without a session but the sign-in page, the assets and the
//! customer's own page; nobody gets through a door that their role does not open; no form is taken without its token.

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::connect_info::MockConnectInfo;
use axum::http::{Method, Request, StatusCode};
use std::net::SocketAddr;
use store::people::PersonRole;
use store::{By, Store};
use tower::ServiceExt;
use web::App;
use web::auth::{COOKIE_NAME, Need};
use web::routes::{map, router};

const BY: By<'static> = By { who: "test", at: 1 };
const FAR: i64 = 4_000_000_000;

struct Shop {
    _dir: tempfile::TempDir,
    router: Router,
}

/// A shop with one person of each role signed in, the token of whose session is the role's name.
fn shop() -> Shop {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    for role in PersonRole::ALL {
        let id = store.add_person(BY, role.as_str(), role.as_str(), role, "not a hash").unwrap();
        store.open_session(By { who: "test", at: web::when::now() }, id, "127.0.0.1", (role.as_str(), "right-csrf"), FAR).unwrap();
    }
    store.add_customer(BY, "Secret Customer", "", "", "").unwrap();
    let router = router(App::new(store, false)).layer(MockConnectInfo(SocketAddr::from(([127, 0, 0, 1], 1))));
    Shop { _dir: dir, router }
}

impl Shop {
    async fn ask(&self, method: &str, path: &str, role: Option<PersonRole>, csrf: Option<&str>) -> (StatusCode, String) {
        let path = path
            .replace("{id}", "1")
            .replace("{tag}", "T00001")
            .replace("{name}", "d1")
            .replace("{token}", "unknown-token")
            .replace("{photo}", "1");
        let mut request = Request::builder().method(Method::from_bytes(method.as_bytes()).unwrap()).uri(path);
        if let Some(role) = role {
            request = request.header("cookie", format!("{COOKIE_NAME}={}", role.as_str()));
        }
        if let Some(csrf) = csrf {
            request = request.header("x-csrf", csrf);
        }
        let request = request.header("content-type", "application/x-www-form-urlencoded").body(Body::empty()).unwrap();
        let response = self.router.clone().oneshot(request).await.unwrap();
        let status = response.status();
        let body = to_bytes(response.into_body(), 10_000_000).await.unwrap();
        (status, String::from_utf8_lossy(&body).into_owned())
    }
}

#[tokio::test]
async fn without_a_session_only_the_public_pages_answer() {
    let shop = shop();
    for route in map() {
        let (status, body) = shop.ask(route.method, route.path, None, Some("right-csrf")).await;
        assert!(!body.contains("Secret Customer"), "{} {}", route.method, route.path);
        if route.need == Need::Nobody {
            continue;
        }
        let turned_away = status == StatusCode::UNAUTHORIZED || status == StatusCode::SEE_OTHER;
        assert!(turned_away, "{} {} answered {status} without a session", route.method, route.path);
    }
}

#[tokio::test]
async fn the_public_routes_are_just_these() {
    let mut open: Vec<String> = map().iter().filter(|r| r.need == Need::Nobody).map(|r| format!("{} {}", r.method, r.path)).collect();
    open.sort();
    let allowed = [
        "GET /assets/{name}",
        "GET /q/{token}",
        "GET /q/{token}/quote.pdf",
        "GET /q/{token}/photos/{photo}",
        "GET /sign-in",
        "GET /trust",
        "GET /trust/certificate.pem",
        "POST /q/{token}",
        "POST /sign-in",
        "POST /sign-in/code",
    ];
    for route in open {
        assert!(allowed.contains(&route.as_str()), "{route} is open to anybody");
    }
}

#[tokio::test]
async fn every_role_gets_through_its_own_doors_and_no_others() {
    let shop = shop();
    for route in map().iter().filter(|r| r.need != Need::Nobody) {
        if route.path == "/sign-out" {
            continue; // It would end the session that the next routes are walked with.
        }
        for role in PersonRole::ALL {
            let (status, _) = shop.ask(route.method, route.path, Some(role), Some("right-csrf")).await;
            let let_in = status != StatusCode::FORBIDDEN && status != StatusCode::UNAUTHORIZED;
            // Changing one's own role or password signs the owner out; the walk goes on with a fresh shop then.
            assert_eq!(let_in, route.need.allows(role), "{} {} as {}: {status}", route.method, route.path, role.as_str());
            assert_ne!(status, StatusCode::INTERNAL_SERVER_ERROR, "{} {} broke", route.method, route.path);
        }
    }
}

#[tokio::test]
async fn no_form_is_taken_without_its_token() {
    let shop = shop();
    for route in map().iter().filter(|r| r.need != Need::Nobody && r.method == "POST") {
        for csrf in [None, Some("wrong")] {
            let (status, _) = shop.ask("POST", route.path, Some(PersonRole::Owner), csrf).await;
            assert_eq!(status, StatusCode::FORBIDDEN, "{} with token {csrf:?}", route.path);
        }
    }
}

#[tokio::test]
async fn a_name_cannot_be_tried_without_end() {
    let shop = shop();
    let mut last = StatusCode::OK;
    for _ in 0..12 {
        let request = Request::builder()
            .method("POST")
            .uri("/sign-in")
            .header("content-type", "application/x-www-form-urlencoded")
            .body(Body::from("login=nobody&password=guess-guess"))
            .unwrap();
        last = shop.router.clone().oneshot(request).await.unwrap().status();
    }
    assert_eq!(last, StatusCode::TOO_MANY_REQUESTS);
}

#[tokio::test]
async fn answers_carry_the_safe_headers() {
    let shop = shop();
    let response = shop.router.clone().oneshot(Request::builder().uri("/sign-in").body(Body::empty()).unwrap()).await.unwrap();
    let headers = response.headers();
    assert!(headers["content-security-policy"].to_str().unwrap().contains("frame-ancestors 'none'"));
    assert_eq!(headers["x-content-type-options"], "nosniff");
    assert_eq!(headers["cache-control"], "no-store");
}
