//! A trumpet at 2,000 frequencies in 500 pieces: the fast losses and the Bessel functions, on all cores and on one.
//! `benches/peers/sweep_numpy.py` runs this and the same sums in numpy side by side.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use acoustics::{Bore, Losses, Model, Tube};
use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;

/// The trumpet of the tests, cut into 500 pieces.
fn trumpet(losses: Losses) -> Tube {
    let text = include_str!("../tests/data/trumpet.csv");
    let rows = text.lines().skip(1).map(|l| {
        let (s, d) = l.split_once(',').unwrap();
        (s.parse().unwrap(), d.parse().unwrap())
    });
    let bore = Bore::new(rows).unwrap();
    let mut model = Model { losses, ..Model::default() };
    // As fine as it takes for 500 pieces, and not one more.
    for i in 0..4000 {
        model.cut.longest_kl = 0.25 - f64::from(i) * 5e-5;
        model.cut.largest_ratio = 1.06;
        let tube = Tube::new(&bore, &model, 2000.0);
        if tube.segments.len() >= 500 {
            return tube;
        }
    }
    panic!("no 500 pieces")
}

/// The best of many runs, ms: what the sums take where nothing else runs. The peer takes the best of its runs too.
fn best(what: &str, run: impl Fn()) {
    let mut least = f64::INFINITY;
    for _ in 0..300 {
        let started = std::time::Instant::now();
        run();
        least = least.min(started.elapsed().as_secs_f64() * 1e3);
    }
    println!("best of 300, {what}: {least:.3} ms");
}

fn sweep(c: &mut Criterion) {
    let hz: Vec<f64> = (1..=2000).map(f64::from).collect();
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    for (name, losses) in [("fast", Losses::Fast), ("Bessel", Losses::Full)] {
        let tube = trumpet(losses);
        best(&format!("{name}, all cores"), || drop(black_box(tube.impedance(black_box(&hz)))));
        best(&format!("{name}, one core"), || drop(black_box(one.install(|| tube.impedance(black_box(&hz))))));
    }
    if std::env::var_os("BEST_ONLY").is_some() {
        return;
    }
    for (name, losses) in [("fast", Losses::Fast), ("Bessel", Losses::Full)] {
        let tube = trumpet(losses);
        let pieces = tube.segments.len();
        c.bench_function(&format!("2000 frequencies, {pieces} pieces, {name}"), |b| b.iter(|| tube.impedance(black_box(&hz))));
        c.bench_function(&format!("2000 frequencies, {pieces} pieces, {name}, one core"), |b| {
            b.iter(|| one.install(|| tube.impedance(black_box(&hz))))
        });
    }
    let tube = trumpet(Losses::Full);
    c.bench_function("sensitivity of every resonance to 2000 Hz by every piece", |b| b.iter(|| tube.sensitivities(20.0, 2000.0)));
}

criterion_group!(benches, sweep);
criterion_main!(benches);
