//! Writes random choices of full size with what the search found and how long it took, one JSON a line, for
//! `validation/highs.py`.
//!
//! `cargo run --release -p plan --example problems -- 20 60 40 30` writes 20 instruments with 60 dents, 40 joints and 30
//! overlays.

#[path = "../tests/common/mod.rs"]
mod common;
mod race;

fn main() {
    let numbers: Vec<usize> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    let [count, dents, joints, overlays] = numbers[..] else {
        eprintln!("usage: problems COUNT DENTS JOINTS OVERLAYS");
        return;
    };
    let mut dice = fixtures::Dice(2026);
    for _ in 0..count {
        let problem = common::instrument(&mut dice, dents, joints, overlays);
        race::run(&problem);
    }
}
