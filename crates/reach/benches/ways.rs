//! `ways` on a tuba: how time grows with the number of dents.

#[path = "../tests/common/mod.rs"]
mod common;

use common::{assessment, dent, instrument, rack, survey};
use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};

fn dents(n: usize) -> instrument::Survey {
    let runs = instrument().runs;
    let tubes: Vec<_> = runs.iter().filter(|r| r.id.0 != "casing").collect();
    let all = (0..n)
        .map(|i| {
            let run = tubes[i % tubes.len()];
            let part = 0.1 + 0.8 * ((i * 37 % 101) as f64 / 101.0);
            dent(&format!("d{i}"), &run.id.0, part * run.axis.length_mm(), (i * 71 % 360) as f64, 1.0 + (i % 5) as f64)
        })
        .collect();
    survey(all)
}

fn bench(c: &mut Criterion) {
    let mut group = c.benchmark_group("ways");
    group.sample_size(10);
    for n in [5, 20, 60, 200] {
        let s = dents(n);
        let assessments: Vec<_> = s.dents.iter().map(|d| assessment(&s, d, 120.0)).collect();
        let rack = rack();
        group.bench_with_input(BenchmarkId::from_parameter(n), &n, |b, _| b.iter(|| reach::ways(&s, &assessments, &rack)));
    }
    group.finish();
}

criterion_group!(benches, bench);
criterion_main!(benches);
