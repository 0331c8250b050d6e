//! What one dent's assessment costs, with and without its profiles.

use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;

#[path = "../tests/common/mod.rs"]
mod common;
#[allow(dead_code, reason = "the bench uses its part of the common shapes")]
#[path = "../tests/common/gauge.rs"]
mod gauge;

fn assess(c: &mut Criterion) {
    let (one, site) = (common::dent(), common::site());
    c.bench_function("assess, depth and two widths", |b| b.iter(|| dent::assess(black_box(&one), black_box(&site))));
    let mut creased = one.clone();
    creased.width_across_mm = None;
    creased.crease = Some(instrument::Crease { direction: instrument::Direction::Along, length_mm: None });
    c.bench_function("assess, creased, one width missing", |b| b.iter(|| dent::assess(black_box(&creased), black_box(&site))));
    let mut dice = fixtures::Dice(7);
    let points = gauge::readings(&mut dice, gauge::SHAPES[0].1, 25, 0.01);
    let fit = dent::profile::fit(&points).ok();
    c.bench_function("assess, both profiles fitted before", |b| {
        b.iter(|| dent::assess_with(black_box(&one), black_box(&site), fit.as_ref(), fit.as_ref()))
    });
    c.bench_function("fit a profile of 25 points", |b| b.iter(|| dent::profile::fit(black_box(&points))));
}

criterion_group!(benches, assess);
criterion_main!(benches);
