//! Who writes, a quote as it is given, and a yes to it.

#![allow(dead_code, reason = "not every test that shares this file asks all of it")]

use std::path::Path;
use store::By;
use store::agreements::{SaidHow, Yes};
use store::evidence::CameFrom;
use store::offers::NewQuote;

pub const BY: By<'static> = By { who: "ottilie", at: 1_800_000_000 };

pub const YES: Yes<'static> = Yes {
    level: "play",
    total: "100.00",
    name: "A. Parent",
    signature: "",
    how: SaidHow::Signed,
    taken_by: "",
    plan: ("application/json", b"{}"),
    paper: None,
    from: CameFrom { address: "", browser: "", under: "" },
};

/// Behind a link, with what it was made from.
pub fn given(token: &str) -> NewQuote<'_> {
    NewQuote { token, body: "{}", valid_until: None, made_from: Some("{}"), adds_to: None }
}

/// The smallest PNG: one pixel.
pub const PNG: &[u8] = b"\x89PNG\x0d\x0a\x1a\x0a\x00\x00\x00\x0dIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x06\x00\x00\x00\x1f\x15\xc4\x89\x00\x00\x00\x0dIDATx\x9cc\xf8\xcf\xc0\xf0\x1f\x00\x05\x00\x01\xff\x89\x99=\x1d\x00\x00\x00\x00IEND\xaeB`\x82";

/// The schema's steps, as the files are named.
pub fn steps() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("migrations");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.sort();
    files.iter().map(|f| std::fs::read_to_string(f).unwrap()).collect()
}
