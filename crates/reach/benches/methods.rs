//! `methods` on the pattern tuba: how time grows with the number of dents.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

#[path = "../tests/common/mod.rs"]
mod common;

use common::rack;
use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use fixtures::dents_all_over;

fn bench(c: &mut Criterion) {
    let mut group = c.benchmark_group("ways");
    group.sample_size(20);
    for n in [5, 20, 60, 200] {
        let survey = dents_all_over(instrument::Kind::Tuba, n, 0);
        let assessments = dent::assess_all(&survey);
        let rack = rack();
        group.bench_with_input(BenchmarkId::from_parameter(n), &n, |b, _| b.iter(|| reach::methods(&survey, &assessments, &rack)));
    }
    group.finish();
}

criterion_group!(benches, bench);
criterion_main!(benches);
