//! A district's summer: 214 horns on three benches and 1,000 on eight, to within a thousandth of the bound.
//! `cargo bench -p contract --bench summer`; figures in docs/contract.md. With `TRUEROUND_PROBLEMS=FOLDER` the problems of five districts of
//! fifty horns are written there first, each with its answer and the seconds that it took: `benches/peers/contract_ortools.py --fifty` runs
//! this and solves them again.

#![allow(clippy::unwrap_used, missing_docs, reason = "a bench that cannot go on may stop")]

#[path = "../tests/common/mod.rs"]
mod common;

use contract::solve::{Ask, solve};
use criterion::{Criterion, criterion_group, criterion_main};
use std::path::Path;
use std::time::Instant;

/// Five districts of fifty horns, solved to the end and written down.
fn written(folder: &Path) {
    std::fs::create_dir_all(folder).unwrap();
    for seed in 100..105 {
        let mut problem = common::district(seed, 50, 3);
        let begin = Instant::now();
        let solved = solve(&problem, &Ask { gap: 0.0, ..Ask::default() }, &|| true, &mut |_| {});
        let seconds = begin.elapsed().as_secs_f64();
        problem.answer = solved.answer;
        let mut json = serde_json::to_value(&problem).unwrap();
        json["seconds"] = seconds.into();
        std::fs::write(folder.join(format!("fifty-{seed}.json")), json.to_string()).unwrap();
    }
}

fn summer(c: &mut Criterion) {
    if let Some(folder) = std::env::var_os("TRUEROUND_PROBLEMS") {
        written(Path::new(&folder));
        return;
    }
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
