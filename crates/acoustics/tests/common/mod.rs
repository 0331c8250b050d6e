//! What the tests share.
#![allow(dead_code, reason = "each test uses its part")]

use acoustics::{Bore, Model, Tube};

/// A bore from a file of station and diameter, mm.
pub fn bore(text: &str) -> Bore {
    let rows = text.lines().skip(1).map(|l| {
        let (s, d) = l.split_once(',').unwrap();
        (s.trim().parse().unwrap(), d.trim().parse().unwrap())
    });
    Bore::new(rows).unwrap()
}

/// The measured trumpet.
pub fn trumpet() -> Bore {
    bore(include_str!("../data/trumpet.csv"))
}

/// The measured trombone.
pub fn trombone() -> Bore {
    bore(include_str!("../data/trombone.csv"))
}

/// A cylinder.
pub fn cylinder(length_mm: f64, diameter_mm: f64) -> Bore {
    Bore::new([(0.0, diameter_mm), (length_mm, diameter_mm)]).unwrap()
}

/// The peaks, Hz.
pub fn peaks(bore: &Bore, model: &Model, from: f64, to: f64) -> Vec<f64> {
    Tube::new(bore, model, to).resonances(from, to).iter().map(|r| r.hz).collect()
}
