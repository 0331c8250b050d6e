//! A district's summer: 214 horns on three benches and 1,000 on eight, to within a thousandth of the bound.
//! `cargo bench -p contract --bench summer`; figures in docs/contract.md.

#![allow(clippy::unwrap_used, missing_docs, reason = "a bench that cannot go on may stop")]

#[path = "../tests/common/mod.rs"]
mod common;

use contract::solve::{Ask, solve};
use criterion::{Criterion, criterion_group, criterion_main};

fn summer(c: &mut Criterion) {
    let mut group = c.benchmark_group("summer");
    group.sample_size(10);
    for (horns, benches) in [(50, 3), (214, 3), (1_000, 8)] {
        let problem = common::district(1, horns, benches);
        let ask = Ask { gap: 1e-3, ..Ask::default() };
        group.bench_function(format!("{horns} horns, {benches} benches"), |b| b.iter(|| solve(&problem, &ask, &|| true, &mut |_| {})));
    }
    group.finish();
}

criterion_group!(benches, summer);
criterion_main!(benches);
