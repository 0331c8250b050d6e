//! What the calls cost that every dent makes: properties, a fit, a springback; and one heating.

use criterion::{Criterion, criterion_group, criterion_main};
use metal::heat_net::{Flame, Loss, Net, Piece};
use metal::{Alloy, Curve, Temper, springback};
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
    let piece = Piece {
        length_mm: 8.0,
        bore_mm: 14.0,
        wall_mm: 0.55,
        extra_mm2: 0.0,
        extra_conducts_mm2: 0.0,
        share: 1.0,
        conductivity_w_mk: 121.0,
        capacity_j_mm3k: 8530.0 * 375.0 * 1e-9,
    };
    let mut net = Net::new(Loss::StillAir { emissivity: 0.6 }, 20.0);
    net.under_flame(&piece);
    for i in 1..60 {
        let cell = net.add(&piece);
        net.join(if i == 31 { 0 } else { i - 1 }, cell);
    }
    let flame = Flame { watts: 400.0, degc: 230.0, hold_s: 20.0, gentle_s: 10.0 };
    c.bench_function("heat a joint with 60 pieces about it", |b| b.iter(|| black_box(&net).burn(flame, &[])));
}

criterion_group!(benches, calls);
criterion_main!(benches);
