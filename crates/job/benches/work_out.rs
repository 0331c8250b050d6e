//! The whole job: the three demo cases together, and a tuba with 60 dents, from the survey to the quote.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a bench that cannot go on may stop")]

use criterion::{Criterion, criterion_group, criterion_main};
use instrument::Survey;
use job::work_out;
use plan::Overrules;

fn read(name: &str) -> String {
    std::fs::read_to_string(format!("{}/../../demo/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

fn survey_of(name: &str) -> Survey {
    survey::read_survey(&read(&format!("{name}.survey.toml"))).unwrap_or_else(|p| panic!("{p:?}")).survey
}

/// The demo's tuba with so many dents: its own first, then others set between them.
fn tuba_with(dents: usize) -> Survey {
    let mut s = survey_of("ox-tuba");
    let own = s.dents.clone();
    let placed: Vec<_> = own.iter().filter(|d| d.at_mm.is_some() && d.crack.is_none()).collect();
    for i in 0..dents.saturating_sub(own.len()) {
        let mut d = placed[i % placed.len()].clone();
        d.id = instrument::DentId(format!("e{i}"));
        let length = s.instrument.run(&d.run).map_or(0.0, instrument::Run::length_mm);
        if let Some(at) = &mut d.at_mm {
            at.value = (at.value + 0.37 * length) % length;
        }
        d.pushed_in_by = None;
        s.dents.push(d);
    }
    s.dents.truncate(dents);
    s
}

fn bench(c: &mut Criterion) {
    let (rack, _) = survey::read_rack(&read("rack.toml"));
    let (shop, _) = survey::read_shop(&read("shop.toml"));
    let mut group = c.benchmark_group("job");
    group.sample_size(20);
    let cases = ["ox-tuba", "linnet-trumpet", "heron-trombone"].map(survey_of);
    group.bench_function("three demo cases", |b| {
        b.iter(|| cases.clone().map(|s| work_out(s, rack.clone(), shop.clone(), &Overrules::default())));
    });
    for n in [5, 20, 60, 200] {
        let s = tuba_with(n);
        group.bench_function(format!("tuba with {} dents", s.dents.len()), |b| {
            b.iter(|| work_out(s.clone(), rack.clone(), shop.clone(), &Overrules::default()));
        });
    }
    group.finish();
}

criterion_group!(benches, bench);
criterion_main!(benches);
