//! What the calls cost that every dent makes: properties, a fit, a springback; and one heating.

use criterion::{Criterion, criterion_group, criterion_main};
use metal::heat_line::{Line, Stretch, Torch};
use metal::{Alloy, Curve, Temper, heat_sink, springback};
use std::hint::black_box;

fn calls(c: &mut Criterion) {
    let temper = Temper(2.3);
    c.bench_function("properties", |b| b.iter(|| black_box(Alloy::YellowBrass).properties(black_box(temper))));
    c.bench_function("curve fit", |b| b.iter(|| Curve::fit(black_box(Alloy::YellowBrass), black_box(temper))));
    let curve = Curve::fit(Alloy::YellowBrass, temper);
    c.bench_function("unbend", |b| {
        b.iter(|| springback::unbend(black_box(&curve), 0.5, -0.1, black_box(0.12), springback::Bending::default()))
    });
    c.bench_function("properties, fit and unbend", |b| {
        b.iter(|| {
            let p = black_box(Alloy::YellowBrass).properties(black_box(temper));
            let curve = Curve::fit(Alloy::YellowBrass, temper);
            (p, springback::unbend(&curve, 0.5, -0.1, black_box(0.12), springback::Bending::default()))
        })
    });
    let line = Line::new(vec![Stretch::of(Alloy::YellowBrass, 400.0, (14.0, 14.0), 0.55)]);
    let torch = Torch::Held { at_mm: 200.0, width_mm: 20.0, degc: 600.0 };
    c.bench_function("protect two joints", |b| {
        b.iter(|| heat_sink::protect(black_box(&line), torch, &[(250.0, 183.0), (120.0, 183.0)], 40.0))
    });
}

criterion_group!(benches, calls);
criterion_main!(benches);
