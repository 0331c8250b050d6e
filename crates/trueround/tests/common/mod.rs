//! The program as a server, for tests that speak to it over the network.

use std::io::{BufRead, BufReader};
use std::net::SocketAddr;
use std::path::Path;
use std::process::{Child, Command, Stdio};

/// Serves a record over plain HTTP on this machine; the process and where it listens.
pub fn serve(data: &Path, more: &[&str]) -> (Child, SocketAddr) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_trueround"))
        .args(["serve", "--listen", "127.0.0.1:0", "--data"])
        .arg(data)
        .args(more)
        .stdout(Stdio::piped())
        .stderr(Stdio::inherit())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let at = loop {
        let line = lines.next().expect("the server says where it listens").unwrap();
        if let Some((_, rest)) = line.split_once("http://") {
            break rest.split_whitespace().next().unwrap().parse().unwrap();
        }
    };
    (child, at)
}
