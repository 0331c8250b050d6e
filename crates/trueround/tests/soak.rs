//! Fifty tablets at work for as long as is asked, beside a client that never finishes, forms of 2 MB and ten thousand tries to sign in:
//! the pages stay quick and the memory flat.
//!
//! `SOAK_MINUTES=60 cargo test --workspace --test soak -- --ignored --nocapture`; `SOAK_PROGRAM` names another build of the program (a
//! release build: this test's own is slower). `SOAK_JOBS` is how many jobs the shop has (2000).

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::Server;
use socket2::{Domain, Socket, Type};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::process::Command;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

const TABLETS: u8 = 50;
const TRIES: u64 = 10_000;

fn number(name: &str, or: f64) -> f64 {
    std::env::var(name).ok().and_then(|n| n.parse().ok()).unwrap_or(or)
}

fn demo(jobs: u64) -> Server {
    let dir = tempfile::tempdir().unwrap();
    let program = std::env::var("SOAK_PROGRAM").unwrap_or_else(|_| env!("CARGO_BIN_EXE_trueround").to_owned());
    let mut program = Command::new(program);
    program.args(["demo", "--listen", "127.0.0.1:0", "--fill", &jobs.to_string(), "--data"]).arg(dir.path());
    let (child, at) = common::listening(program);
    Server { child, at, _dir: dir }
}

/// A connection from an address of its own, as each tablet has one.
fn connect(at: SocketAddr, from: Ipv4Addr) -> std::io::Result<TcpStream> {
    let socket = Socket::new(Domain::IPV4, Type::STREAM, None)?;
    socket.set_reuse_address(true)?;
    socket.bind(&SocketAddr::from((from, 0)).into())?;
    socket.connect(&at.into())?;
    let stream: TcpStream = socket.into();
    stream.set_read_timeout(Some(Duration::from_secs(60)))?;
    stream.set_nodelay(true)?;
    Ok(stream)
}

/// One request and its whole answer, which says how long it is.
fn ask(stream: &mut TcpStream, request: &[u8]) -> std::io::Result<(u16, String)> {
    stream.write_all(request)?;
    let mut reader = BufReader::new(stream);
    let (mut head, mut long) = (String::new(), None);
    loop {
        let mut line = String::new();
        if reader.read_line(&mut line)? == 0 {
            return Err(std::io::ErrorKind::UnexpectedEof.into());
        }
        if let Some(n) = line.to_ascii_lowercase().strip_prefix("content-length:") {
            long = n.trim().parse::<usize>().ok();
        }
        if line.trim().is_empty() {
            break;
        }
        head.push_str(&line);
    }
    let mut body = vec![0; long.unwrap_or(0)];
    reader.read_exact(&mut body)?;
    Ok((head.get(9..12).and_then(|s| s.parse().ok()).unwrap_or(0), head + &String::from_utf8_lossy(&body)))
}

fn get(path: &str, cookie: &str) -> Vec<u8> {
    format!("GET {path} HTTP/1.1\r\nHost: localhost\r\nCookie: {cookie}\r\n\r\n").into_bytes()
}

fn form(path: &str, cookie: &str, body: &str) -> Vec<u8> {
    format!(
        "POST {path} HTTP/1.1\r\nHost: localhost\r\nCookie: {cookie}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    )
    .into_bytes()
}

fn kb_now(pid: u32) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{pid}/status")).unwrap();
    let line = status.lines().find(|l| l.starts_with("VmRSS")).unwrap();
    line.split_whitespace().nth(1).unwrap().parse().unwrap()
}

/// How long each page took, by its kind, ms.
type Took = Arc<Mutex<Vec<(&'static str, f64)>>>;

fn tablet(i: u8, at: SocketAddr, cookie: &str, csrf: &str, jobs: u64, stop: &AtomicBool, took: &Took) {
    let from = Ipv4Addr::new(127, 0, 2, i + 1);
    let mut dice = fixtures::Dice(u64::from(i) + 1);
    let own: Vec<u64> = (0..3).map(|_| 41 + dice.below(jobs as usize - 41) as u64).collect();
    let mut stream = connect(at, from).unwrap();
    std::thread::sleep(Duration::from_millis(dice.below(1000) as u64));
    while !stop.load(Ordering::Relaxed) {
        let job = if dice.below(10) < 7 { own[dice.below(3)] } else { 41 + dice.below(jobs as usize - 41) as u64 };
        let (kind, request) = match dice.below(9) {
            0 => ("board", get("/", cookie)),
            1 => ("find", get(&format!("/?find=T{job:05}"), cookie)),
            2 | 3 => ("job", get(&format!("/jobs/{job}"), cookie)),
            4 => ("survey", get(&format!("/jobs/{job}/survey"), cookie)),
            5 => ("plan", get(&format!("/jobs/{job}/plan"), cookie)),
            6 => ("bench", get(&format!("/jobs/{job}/bench"), cookie)),
            7 => ("level", form(&format!("/jobs/{job}/level"), cookie, &format!("csrf={csrf}&level=good"))),
            _ => {
                ("customer", form("/customers", cookie, &format!("csrf={csrf}&name=Soak+{i}+{}&phone=&email=&note=", dice.below(1 << 30))))
            }
        };
        let began = Instant::now();
        match ask(&mut stream, &request) {
            Ok((status, answer)) => {
                assert!(status < 500, "{kind} {job}: {answer:.500}");
                took.lock().unwrap().push((kind, began.elapsed().as_secs_f64() * 1000.0));
            }
            // A kept connection that the server closed while the tablet paused.
            Err(_) => stream = connect(at, from).unwrap(),
        }
        std::thread::sleep(Duration::from_millis(500 + dice.below(1000) as u64));
    }
}

#[test]
#[ignore = "runs as long as it is told"]
fn fifty_tablets() {
    let lasts = Duration::from_secs_f64(60.0 * number("SOAK_MINUTES", 60.0));
    let jobs = number("SOAK_JOBS", 2000.0) as u64;
    let server = demo(jobs);
    let (at, pid) = (server.at, server.child.id());
    let mut first = connect(at, Ipv4Addr::new(127, 0, 2, 1)).unwrap();
    let (status, answer) = ask(&mut first, &form("/sign-in", "", "login=ottilie&password=saltmarsh+lane")).unwrap();
    assert_eq!(status, 303, "{answer}");
    let cookie = answer.lines().find_map(|l| l.split_once("trueround_session=")).unwrap().1.split(';').next().unwrap();
    let cookie = format!("trueround_session={cookie}");
    let (_, board) = ask(&mut first, &get("/", &cookie)).unwrap();
    let csrf = board.split("name=\"csrf\" content=\"").nth(1).unwrap().split('"').next().unwrap().to_owned();
    let (stop, took) = (Arc::new(AtomicBool::new(false)), Took::default());
    let mut threads = Vec::new();
    for i in 0..TABLETS {
        let (cookie, csrf, stop, took) = (cookie.clone(), csrf.clone(), stop.clone(), took.clone());
        threads.push(std::thread::spawn(move || tablet(i, at, &cookie, &csrf, jobs, &stop, &took)));
    }
    // One that never finishes its request, byte by byte.
    threads.push(std::thread::spawn({
        let stop = stop.clone();
        move || {
            while !stop.load(Ordering::Relaxed) {
                let Ok(mut slow) = connect(at, Ipv4Addr::new(127, 0, 3, 1)) else { continue };
                for byte in b"POST /sign-in HTTP/1.1\r\nHost: localhost\r\nContent-Length: 900\r\n\r\nlogin=".iter().cycle() {
                    if stop.load(Ordering::Relaxed) || slow.write_all(&[*byte]).is_err() {
                        break;
                    }
                    std::thread::sleep(Duration::from_millis(400));
                }
            }
        }
    }));
    // Forms of 2 MB, of a stranger and of somebody signed in.
    threads.push(std::thread::spawn({
        let (stop, cookie, csrf) = (stop.clone(), cookie.clone(), csrf.clone());
        move || {
            let huge = format!("csrf={csrf}&name={}", "%3Cb%3E".repeat(270_000));
            while !stop.load(Ordering::Relaxed) {
                for cookie in ["", &cookie] {
                    if let Ok(mut stream) = connect(at, Ipv4Addr::new(127, 0, 3, 2)) {
                        let _ = ask(&mut stream, &form("/customers", cookie, &huge));
                    }
                }
                std::thread::sleep(Duration::from_secs(10));
            }
        }
    }));
    let tries = Arc::new(AtomicU64::new(0));
    threads.push(std::thread::spawn({
        let (stop, tries) = (stop.clone(), tries.clone());
        let pause = lasts.mul_f64(0.9) / TRIES as u32;
        move || {
            let began = Instant::now();
            while !stop.load(Ordering::Relaxed) && tries.load(Ordering::Relaxed) < TRIES {
                let n = tries.fetch_add(1, Ordering::Relaxed);
                if let Ok(mut stream) = connect(at, Ipv4Addr::new(127, 0, 4, (n % 5) as u8 + 1)) {
                    let _ = ask(&mut stream, &form("/sign-in", "", &format!("login=name{}&password=wrong+wrong+wrong", n % 700)));
                }
                std::thread::sleep((pause * (n as u32 + 1)).saturating_sub(began.elapsed()));
            }
        }
    }));
    let began = Instant::now();
    let mut memory = Vec::new();
    let mut told = Instant::now();
    while began.elapsed() < lasts {
        std::thread::sleep(Duration::from_secs(1));
        memory.push(kb_now(pid));
        if told.elapsed() > Duration::from_secs(60) {
            told = Instant::now();
            println!(
                "{:?}: {} kB, {} pages, {} tries",
                began.elapsed(),
                memory.last().unwrap(),
                took.lock().unwrap().len(),
                tries.load(Ordering::Relaxed)
            );
        }
    }
    stop.store(true, Ordering::Relaxed);
    for t in threads {
        t.join().unwrap();
    }
    let mean = |part: &[u64]| part.iter().sum::<u64>() as f64 / part.len().max(1) as f64;
    let quarter = memory.len() / 4;
    let (early, late) = (mean(&memory[quarter..2 * quarter]), mean(&memory[3 * quarter..]));
    let took = took.lock().unwrap();
    let part = |kind: &str, p: f64| {
        let mut ms: Vec<f64> = took.iter().filter(|(k, _)| kind.is_empty() || *k == kind).map(|(_, ms)| *ms).collect();
        ms.sort_by(f64::total_cmp);
        ms.get(((ms.len() as f64 * p) as usize).min(ms.len().saturating_sub(1))).copied().unwrap_or(0.0)
    };
    for kind in ["board", "find", "job", "survey", "plan", "bench", "level", "customer", ""] {
        println!("{:10} half {:7.1} ms, 99 % {:7.1} ms", if kind.is_empty() { "all" } else { kind }, part(kind, 0.5), part(kind, 0.99));
    }
    println!(
        "{lasts:?}, {TABLETS} tablets, {} pages, {} tries: memory {early:.0} kB in the second quarter, {late:.0} kB in the last, at most {} kB",
        took.len(),
        tries.load(Ordering::Relaxed),
        memory.iter().max().unwrap()
    );
    assert!((late / early - 1.0).abs() < 0.10, "memory is not flat: {early:.0} kB, then {late:.0} kB");
    if std::env::var("SOAK_PROGRAM").is_ok() {
        assert!(part("", 0.99) < 150.0, "99 % within {:.0} ms", part("", 0.99));
    }
}
