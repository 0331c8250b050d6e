//! A second factor at the door: set up on one's own page, asked for on every tablet, held back after wrong codes; and what ends with a
//! new password.

use crate::common::{FORM, Shop, encoded, shop_with};
use axum::body::{Body, to_bytes};
use axum::http::{HeaderMap, Request, StatusCode};
use store::By;
use store::second_factor::SecondFactor;
use tower::ServiceExt;
use web::password;

const PASSWORD: &str = "brass and solder";

fn by() -> By<'static> {
    By { who: "ottilie", at: web::when::now() }
}

fn shop() -> Shop {
    let shop = Shop::of(shop_with("bugle"));
    shop.app.store().set_password(by(), 1, &password::hash(PASSWORD).unwrap()).unwrap();
    shop.app.store().open_session(by(), 1, "127.0.0.1", ("token", "csrf"), i64::MAX).unwrap();
    shop
}

impl Shop {
    async fn own(&self, path: &str, fields: &[(&str, &str)]) -> (StatusCode, String) {
        let (status, _, bytes) = self.send(Request::post(path).header("content-type", FORM), encoded(fields)).await;
        (status, String::from_utf8_lossy(&bytes).into_owned())
    }

    async fn own_page(&self) -> String {
        let (_, _, bytes) = self.send(Request::get("/me/second-factor"), "").await;
        String::from_utf8_lossy(&bytes).into_owned()
    }

    /// As a stranger, or from a tablet with cookies.
    async fn door(&self, path: &str, cookies: &str, fields: &[(&str, &str)]) -> (StatusCode, HeaderMap, String) {
        let request = Request::post(path).header("content-type", FORM).header("cookie", cookies).body(Body::from(encoded(fields)));
        let response = self.router.clone().oneshot(request.unwrap()).await.unwrap();
        let (status, headers) = (response.status(), response.headers().clone());
        (status, headers, String::from_utf8_lossy(&to_bytes(response.into_body(), 1_000_000).await.unwrap()).into_owned())
    }

    async fn password(&self, cookies: &str) -> (StatusCode, HeaderMap, String) {
        self.door("/sign-in", cookies, &[("login", "ottilie"), ("password", PASSWORD)]).await
    }

    /// Sets it up; the recovery codes.
    async fn set_up(&self) -> Vec<String> {
        assert!(self.own("/me/second-factor", &[("old_password", PASSWORD)]).await.0.is_redirection());
        let page = self.own_page().await;
        assert!(page.contains("<svg") && !page.contains("otpauth"), "the secret is in the picture and to be typed, in no link");
        let SecondFactor::Begun(secret) = self.app.store().second_factor(1).unwrap() else { panic!("not begun") };
        assert!(page.contains(&secret[..4]) && page.contains(&secret[28..]));
        let (status, page) = self.own("/me/second-factor/confirm", &[("code", &code(&secret))]).await;
        assert_eq!(status, StatusCode::OK, "{page}");
        let codes: Vec<String> = page.split("<li>").skip(1).map(|li| li.split('<').next().unwrap().to_owned()).collect();
        assert_eq!(codes.len(), 10, "{page}");
        codes
    }
}

/// The hidden field of the page that asks for a code.
fn step(page: &str) -> String {
    page.split("name=\"step\" value=\"").nth(1).unwrap_or_else(|| panic!("{page}")).split('"').next().unwrap().to_owned()
}

/// The code of now, worked out here from the secret as it is typed into a phone (RFC 6238, RFC 4648).
fn code(secret: &str) -> String {
    code_at(secret, web::when::now())
}

fn code_at(secret: &str, now: i64) -> String {
    use hkdf::hmac::{Hmac, KeyInit, Mac};
    let (mut bits, mut held, mut key) = (0_u32, 0_u64, Vec::new());
    for c in secret.bytes() {
        let value = u64::from(if c.is_ascii_digit() { c - b'2' + 26 } else { c - b'A' });
        held = held << 5 | value;
        bits += 5;
        if bits >= 8 {
            bits -= 8;
            key.push((held >> bits & 0xFF) as u8);
        }
    }
    let mut mac = Hmac::<sha1::Sha1>::new_from_slice(&key).unwrap();
    mac.update(&u64::try_from(now / 30).unwrap().to_be_bytes());
    let sum = mac.finalize().into_bytes();
    let at = usize::from(sum[19] & 15);
    let four = [sum[at] & 0x7F, sum[at + 1], sum[at + 2], sum[at + 3]];
    format!("{:06}", u32::from_be_bytes(four) % 1_000_000)
}

#[tokio::test]
async fn the_code_is_asked_for_on_a_known_tablet_too_and_each_lets_in_once() {
    let shop = shop();
    // Before: the password alone.
    let (status, headers, _) = shop.password("").await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let tablet = headers.get_all("set-cookie").iter().map(|c| c.to_str().unwrap()).find(|c| c.starts_with("trueround_tablet")).unwrap();
    let tablet = tablet.split(';').next().unwrap().to_owned();
    let (status, page) = shop.own("/me/second-factor", &[("old_password", "brass and flux")]).await;
    assert!(status.is_client_error() && page.contains("password of now is another"));
    let codes = shop.set_up().await;
    for cookies in ["", &tablet] {
        let (status, headers, page) = shop.password(cookies).await;
        assert!(status == StatusCode::OK && page.contains("Your code"), "{status}");
        assert!(headers.get("set-cookie").is_none(), "no session before the code");
        let step = step(&page);
        let (status, headers, page) = shop.door("/sign-in/code", cookies, &[("step", &step), ("code", "000000")]).await;
        assert!(status == StatusCode::UNPROCESSABLE_ENTITY && page.contains("not right") && headers.get("set-cookie").is_none());
        let code = if cookies.is_empty() { &codes[0] } else { &codes[1] };
        let (status, headers, _) = shop.door("/sign-in/code", cookies, &[("step", &step), ("code", code)]).await;
        assert_eq!(status, StatusCode::SEE_OTHER);
        assert_eq!(headers.get_all("set-cookie").iter().count(), 2);
        // Neither the step nor the code lets in again.
        for again in [&step, &self::step(&shop.password(cookies).await.2)] {
            let (status, headers, _) = shop.door("/sign-in/code", cookies, &[("step", again), ("code", code)]).await;
            assert!(status == StatusCode::UNPROCESSABLE_ENTITY && headers.get("set-cookie").is_none(), "{status}");
        }
    }
    assert_eq!(shop.app.store().second_factor(1).unwrap(), SecondFactor::On(8));
    // A wrong password is told as before, and says nothing of codes.
    let (status, _, page) = shop.door("/sign-in", "", &[("login", "ottilie"), ("password", "brass and flux")]).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && !page.contains("code"), "{status}");
    let (status, _, _) = shop.door("/sign-in/code", "", &[("step", "made-up"), ("code", &codes[2])]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn wrong_codes_are_held_back_as_wrong_passwords_are_on_known_tablets_too() {
    let shop = shop();
    let (_, headers, _) = shop.password("").await;
    let tablet = headers.get_all("set-cookie").iter().map(|c| c.to_str().unwrap()).find(|c| c.starts_with("trueround_tablet")).unwrap();
    let tablet = tablet.split(';').next().unwrap().to_owned();
    let codes = shop.set_up().await;
    let step_one = step(&shop.password(&tablet).await.2);
    for _ in 0..5 {
        assert_eq!(
            shop.door("/sign-in/code", &tablet, &[("step", &step_one), ("code", "000000")]).await.0,
            StatusCode::UNPROCESSABLE_ENTITY
        );
    }
    // The sixth asks for the password again; and with it the name waits, whatever the code.
    let (status, _, page) = shop.door("/sign-in/code", &tablet, &[("step", &step_one), ("code", &codes[0])]).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && page.contains("Sign in again"), "{page}");
    let step_two = step(&shop.password(&tablet).await.2);
    let (status, _, page) = shop.door("/sign-in/code", &tablet, &[("step", &step_two), ("code", &codes[0])]).await;
    assert!(status == StatusCode::TOO_MANY_REQUESTS && page.contains("Too many wrong codes"), "{status} {page}");
    assert_eq!(shop.app.store().second_factor(1).unwrap(), SecondFactor::On(10), "no code was spent");
    assert!(shop.app.store().security_log(9).unwrap().iter().any(|l| l.login == "ottilie code" && l.what == "refused"));
}

#[tokio::test]
async fn it_is_taken_off_with_password_and_code_alone() {
    let shop = shop();
    let codes = shop.set_up().await;
    for (old, code, why) in [("brass and flux", codes[0].as_str(), "password of now"), (PASSWORD, "123 456", "code is not right")] {
        let (status, page) = shop.own("/me/second-factor/remove", &[("old_password", old), ("code", code)]).await;
        assert!(status.is_client_error() && page.contains(why) && !page.contains(PASSWORD) && !page.contains(code), "{status} {why}");
    }
    assert!(shop.own("/me/second-factor/remove", &[("old_password", PASSWORD), ("code", &codes[0])]).await.0.is_redirection());
    assert_eq!(shop.app.store().second_factor(1).unwrap(), SecondFactor::None);
    assert_eq!(shop.password("").await.0, StatusCode::SEE_OTHER);
    for what in ["second_factor_on", "second_factor_off"] {
        assert!(shop.app.store().security_log(9).unwrap().iter().any(|l| l.what == what), "{what}");
    }
}

#[tokio::test]
async fn a_new_password_forgets_the_known_tablets() {
    let shop = shop();
    let (_, headers, _) = shop.password("").await;
    let tablet = headers.get_all("set-cookie").iter().map(|c| c.to_str().unwrap()).find(|c| c.starts_with("trueround_tablet")).unwrap();
    let tablet = tablet.split(';').next().unwrap().trim_start_matches("trueround_tablet=").to_owned();
    assert!(shop.app.store().tablet_is_known(&tablet, 1).unwrap());
    assert!(shop.own("/me", &[("old_password", PASSWORD), ("password", "owl kettle passport")]).await.0.is_redirection());
    assert!(!shop.app.store().tablet_is_known(&tablet, 1).unwrap());
    assert!(shop.app.store().session("token", web::when::now()).unwrap().is_none());
}
