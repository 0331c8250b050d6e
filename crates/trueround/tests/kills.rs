//! The server is killed at random moments while eight writers save: no change that was acknowledged is lost, and the
//! database stays sound. `KILLS` sets how often (12 where it is not set; 200 for the figure in docs/reliability.md).

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use store::counter::NewInstrument;
use store::people::PersonRole;
use store::{By, Store};

const WRITERS: u64 = 8;

/// Saves a new dent; whether the server acknowledged it.
fn save(address: SocketAddr, token: &str) -> bool {
    let Ok(mut stream) = TcpStream::connect(address) else { return false };
    let _ = stream.set_read_timeout(Some(Duration::from_secs(5)));
    let body = format!(r#"{{"name":null,"token":"{token}","from":0,"run":"bell-stem","at_mm":50,"clock_deg":90,"depth":"2 mm"}}"#);
    let request = format!(
        "POST /jobs/1/survey/dents HTTP/1.1\r\nHost: localhost\r\nCookie: {}=session-of-the-test\r\nx-csrf: csrf-of-the-test\r\nContent-Type: application/json\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
        web::auth::COOKIE_NAME,
        body.len()
    );
    let mut answer = String::new();
    stream.write_all(request.as_bytes()).is_ok()
        && stream.read_to_string(&mut answer).is_ok()
        && answer.starts_with("HTTP/1.1 200")
        && answer.contains("\"version\":1")
}

#[test]
fn no_acknowledged_change_is_lost() {
    let kills: u64 = std::env::var("KILLS").ok().and_then(|k| k.parse().ok()).unwrap_or(12);
    let dir = tempfile::tempdir().unwrap();
    {
        let store = Store::open(dir.path()).unwrap();
        let by = By { who: "test", at: web::when::now() };
        let person = store.add_person(by, "ottilie", "Ottilie Brandt", PersonRole::Owner, "no hash").unwrap();
        store.open_session(by, person, "127.0.0.1", ("session-of-the-test", "csrf-of-the-test"), i64::MAX).unwrap();
        let customer = store.add_customer(by, "Juniper Vale Community Band", "", "", "").unwrap();
        let instrument = store.add_instrument(by, &NewInstrument { customer, kind: "bugle", ..NewInstrument::default() }).unwrap();
        let job = store.add_job(by, instrument, "kills", "", None).unwrap();
        let survey = survey::read_survey("trueround_survey = 1\n[instrument]\npattern = \"bugle\"\n").unwrap().survey;
        store.save_survey_body(by, job, 0, &serde_json::to_string(&survey).unwrap()).unwrap();
    }
    let acknowledged: Arc<Mutex<Vec<String>>> = Arc::default();
    let next = Arc::new(AtomicU64::new(0));
    let mut dice = 0x9E37_79B9_7F4A_7C15_u64;
    for _ in 0..kills {
        let (mut child, address) = common::serve(dir.path(), &[]);
        let stop = Arc::new(AtomicBool::new(false));
        let writers: Vec<_> = (0..WRITERS)
            .map(|_| {
                let (address, stop, next, acknowledged) = (address, stop.clone(), next.clone(), acknowledged.clone());
                std::thread::spawn(move || {
                    while !stop.load(Ordering::Relaxed) {
                        let token = format!("t{}", next.fetch_add(1, Ordering::Relaxed));
                        if save(address, &token) {
                            acknowledged.lock().unwrap().push(token);
                        }
                    }
                })
            })
            .collect();
        dice ^= dice << 13;
        dice ^= dice >> 7;
        dice ^= dice << 17;
        std::thread::sleep(Duration::from_millis(20 + dice % 230));
        child.kill().unwrap(); // SIGKILL
        child.wait().unwrap();
        stop.store(true, Ordering::Relaxed);
        for w in writers {
            w.join().unwrap();
        }
    }
    let store = Store::open(dir.path()).unwrap();
    assert_eq!(store.faults().unwrap(), Vec::<String>::new());
    let kept: std::collections::HashSet<String> = store.marks_of_dents(1).unwrap().into_iter().collect();
    let acknowledged = acknowledged.lock().unwrap();
    let lost: Vec<&String> = acknowledged.iter().filter(|t| !kept.contains(*t)).collect();
    println!("{kills} kills, {} acknowledged, {} kept, {} lost", acknowledged.len(), kept.len(), lost.len());
    assert!(acknowledged.len() as u64 > kills, "the writers hardly wrote: {}", acknowledged.len());
    assert!(lost.is_empty(), "lost: {lost:?}");
}
