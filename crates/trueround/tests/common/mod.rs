//! The program as a server, for tests that speak to it over the network.

#![allow(dead_code, reason = "not every test that shares this file asks all of it")]

use std::io::{BufRead, BufReader};
use std::net::SocketAddr;
use std::path::Path;
use std::process::{Child, Command, Stdio};

/// Serves a record over plain HTTP on this machine; the process and where it listens.
pub fn serve(data: &Path, more: &[&str]) -> (Child, SocketAddr) {
    let mut program = Command::new(env!("CARGO_BIN_EXE_trueround"));
    program.args(["serve", "--listen", "127.0.0.1:0", "--data"]).arg(data).args(more);
    listening(program)
}

/// Starts a program that serves, and waits until it says where.
pub fn listening(mut program: Command) -> (Child, SocketAddr) {
    let mut child = program.stdout(Stdio::piped()).stderr(Stdio::inherit()).spawn().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let at = loop {
        let line = lines.next().expect("the server says where it listens").unwrap();
        if let Some((_, rest)) = line.split_once("http://") {
            break rest.split_whitespace().next().unwrap().parse().unwrap();
        }
    };
    (child, at)
}

/// A server with its own folder: it ends with the test.
pub struct Server {
    pub child: Child,
    pub at: SocketAddr,
    pub _dir: tempfile::TempDir,
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
