//! What the tests of papers share.
#![allow(clippy::unwrap_used, clippy::panic, dead_code, reason = "a test that cannot go on may stop; not every test needs all")]

use paper::{Block, Color, Flow, Laid, Paper, Seen, Setter, Sheet, Titled, Type, Words};

pub const SHEET: Sheet = Sheet { width_mm: 100.0, height_mm: 120.0, margin_mm: 10.0 };
pub const PLAIN: Type = Type::of(10.0, Color(0, 0, 0));

/// Sets what flows.
pub fn set(flows: &[Flow]) -> Paper {
    let mut setter = Setter::default();
    let pages = setter.flow(flows, SHEET.printed_mm());
    Paper::of(SHEET, pages, setter)
}

/// A page with one thing laid on it.
pub fn one(lay: impl FnOnce(&mut Setter) -> Laid) -> Paper {
    let mut setter = Setter::default();
    let laid = lay(&mut setter);
    Paper::of(SHEET, vec![laid], setter)
}

/// Its file, read by a library that did not write it.
pub fn read(paper: &Paper) -> lopdf::Document {
    let titled = Titled { title: "A paper".to_owned(), author: "A. Shop".to_owned() };
    lopdf::Document::load_mem(&paper.pdf(&titled).unwrap()).unwrap()
}

pub fn line(text: &str) -> Block {
    Block::text(Words::of(text, PLAIN))
}

/// The letters on a page in the order in which they are set: text, left, baseline, width.
pub fn letters(page: &[Seen]) -> Vec<(String, f64, f64, f64)> {
    let of = |s: &Seen| match s {
        Seen::Letters { text, x_mm, baseline_mm, width_mm, .. } => Some((text.clone(), *x_mm, *baseline_mm, *width_mm)),
        _ => None,
    };
    page.iter().filter_map(of).collect()
}
