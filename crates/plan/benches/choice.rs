//! How long the exact choice takes, and how its time grows from 5 to 200 dents.

#[path = "../tests/common/mod.rs"]
mod common;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};

fn choice(c: &mut Criterion) {
    let mut group = c.benchmark_group("choice");
    group.sample_size(20);
    for dents in [5, 10, 20, 40, 60, 100, 200] {
        let problem = common::instrument(&mut fixtures::Dice(41), dents, 40, 30);
        group.bench_with_input(BenchmarkId::new("dents", dents), &problem, |b, p| b.iter(|| p.solve()));
    }
    group.finish();
}

criterion_group!(benches, choice);
criterion_main!(benches);
