//! The whole of a job: the demo's cases, the stages of the tuba, growth with the dents, a batch of horns.
//! `cargo bench -p job --bench work_out`; figures in docs/performance.md.

#[path = "../tests/common/mod.rs"]
mod common;

use common::{overrule, tuba_with};
use criterion::{BatchSize, BenchmarkId, Criterion, criterion_group, criterion_main};
use fixtures::demo::{CASES, rack_and_shop, read};
use fixtures::dents_all_over;
use instrument::{Kind, Survey};
use job::{work_out, work_out_after};
use plan::{Decision, Heats, Overrules};

/// The three cases together are to stay under 200 ms.
fn cases(c: &mut Criterion) {
    let (rack, shop) = rack_and_shop();
    let none = Overrules::default();
    let surveys = CASES.map(read);
    let mut group = c.benchmark_group("job");
    group.sample_size(10);
    for (name, survey) in CASES.iter().zip(&surveys) {
        group.bench_function(*name, |b| b.iter(|| work_out(survey.clone(), rack.clone(), shop.clone(), &none)));
    }
    group.bench_function("all three", |b| {
        b.iter(|| surveys.iter().map(|s| work_out(s.clone(), rack.clone(), shop.clone(), &none).plan.steps.len()).sum::<usize>());
    });
    group.finish();
}

/// Where the tuba's time goes.
fn stages(c: &mut Criterion) {
    let (rack, shop) = rack_and_shop();
    let none = Overrules::default();
    let survey = read("ox-tuba");
    let assessments = dent::assess_all(&survey);
    let methods = reach::methods(&survey, &assessments, &rack);
    let mut group = c.benchmark_group("stages");
    group.sample_size(10);
    group.bench_function("assess", |b| b.iter(|| dent::assess_all(&survey)));
    group.bench_function("ways", |b| b.iter(|| reach::methods(&survey, &assessments, &rack)));
    group.bench_function("plan", |b| {
        b.iter(|| plan::plan(&survey, &assessments, &methods, &Heats::new(&survey.instrument, &rack), &shop.standards, &none))
    });
    group.bench_function("plans of all levels", |b| {
        b.iter(|| job::plans(plan::Level::Good, &survey, &assessments, &methods, &Heats::new(&survey.instrument, &rack), &shop, &none))
    });
    let (plan, others) =
        job::plans(plan::Level::Good, &survey, &assessments, &methods, &Heats::new(&survey.instrument, &rack), &shop, &none);
    group.bench_function("quote", |b| b.iter(|| quote::quote(&survey, &plan, &others, &shop)));
    group.finish();
}

/// A decision on the tuba, when the job without it is known: each is to stay under 40 ms.
fn what_if(c: &mut Criterion) {
    let (rack, shop) = rack_and_shop();
    let survey = read("ox-tuba");
    let before = work_out(survey.clone(), rack.clone(), shop.clone(), &Overrules::default());
    let dent = before.plan.choices[0].dent.clone();
    let tool = before.plan.choices.iter().find_map(|c| match &c.method.tool {
        reach::ToolChoice::Rack { tools } => tools.first().cloned(),
        reach::ToolChoice::ToMake { .. } => None,
    });
    let joint = before.plan.opened.iter().find_map(|o| if let reach::Opened::Joint(j) = o { Some(j.clone()) } else { None });
    // The tuba's plan takes nothing off; some of its methods do.
    let opens = before.methods.iter().flat_map(|m| &m.methods).flat_map(|m| &m.opens).chain(&before.plan.opened);
    let overlay = opens.filter_map(|o| if let reach::Opened::Overlay(o) = o { Some(o.clone()) } else { None }).next();
    let other = before.plan.choices.iter().find_map(|c| {
        let methods = &before.methods.iter().find(|m| m.dent == c.dent)?.methods;
        let method = methods.iter().find(|m| m.kind != c.method.kind)?.kind;
        Some(Decision::UseMethod { dent: c.dent.clone(), method })
    });
    let mut decisions = vec![("leave a dent", Decision::LeaveDent { dent }), ("no flame", Decision::NoFlame { run: None })];
    decisions.extend(other.map(|o| ("work by a method", o)));
    decisions.extend(tool.map(|tool| ("a tool away", Decision::WithoutTool { tool })));
    decisions.extend(joint.map(|joint| ("a joint shut", Decision::KeepShut { joint })));
    decisions.extend(overlay.map(|overlay| ("an overlay on", Decision::KeepOn { overlay })));
    decisions.push(("no tools made", Decision::MakeNoTools));
    assert_eq!(decisions.len(), 7, "the tuba's plan does not show every kind of decision");
    let mut group = c.benchmark_group("what_if");
    group.sample_size(10);
    for (name, decision) in decisions {
        let said = overrule(decision);
        // Each time after a job of its own: what a decision adds to what is known must not be there already.
        group.bench_function(name, |b| {
            b.iter_batched(
                || work_out(survey.clone(), rack.clone(), shop.clone(), &Overrules::default()),
                |before| work_out_after(Some(&before), plan::Level::Good, survey.clone(), rack.clone(), shop.clone(), &said),
                BatchSize::PerIteration,
            );
        });
    }
    group.finish();
}

/// The demo's tuba with more and more dents: the whole job, and the plan alone, the methods being known. 60 dents are to stay
/// under 100 ms.
fn growth(c: &mut Criterion) {
    let (rack, shop) = rack_and_shop();
    let none = Overrules::default();
    let mut group = c.benchmark_group("tuba with dents");
    group.sample_size(10);
    for count in [5, 20, 41, 60, 100, 200] {
        let survey = tuba_with(count);
        group.bench_function(BenchmarkId::new("whole job", count), |b| {
            b.iter(|| work_out(survey.clone(), rack.clone(), shop.clone(), &none));
        });
        let assessments = dent::assess_all(&survey);
        let methods = reach::methods(&survey, &assessments, &rack);
        group.bench_function(BenchmarkId::new("plan", count), |b| {
            b.iter(|| plan::plan(&survey, &assessments, &methods, &Heats::new(&survey.instrument, &rack), &shop.standards, &none));
        });
    }
    group.finish();
}

/// 300 horns with eight dents each, planned on two cores, methods and all: to stay under 10 s.
fn horns(c: &mut Criterion) {
    let (rack, shop) = rack_and_shop();
    let none = Overrules::default();
    let batch: Vec<Survey> = (0..300).map(|i| dents_all_over(Kind::Horn, 8, i)).collect();
    let mut group = c.benchmark_group("batch");
    group.sample_size(10);
    group.bench_function("300 horns, 2 threads", |b| {
        b.iter(|| {
            std::thread::scope(|scope| {
                let halves = batch.chunks(150).map(|half| {
                    let (rack, shop, none) = (&rack, &shop, &none);
                    scope.spawn(move || {
                        half.iter().map(|s| work_out(s.clone(), rack.clone(), shop.clone(), none).plan.steps.len()).sum::<usize>()
                    })
                });
                halves.collect::<Vec<_>>().into_iter().map(|h| h.join().unwrap_or(0)).sum::<usize>()
            })
        });
    });
    group.finish();
}

criterion_group!(benches, cases, stages, what_if, growth, horns);
criterion_main!(benches);
