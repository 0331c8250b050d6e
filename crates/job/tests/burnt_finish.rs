//! Finish that a flame spoils on a neighbouring run is named where it is made good, and charged.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use fixtures::demo::{rack_and_shop, read};
use plan::{Heats, Level, Overrules, StepKind};
use std::collections::BTreeMap;

#[test]
fn every_run_whose_finish_burns_is_named_and_charged() {
    let mut beside = 0;
    for case in ["ox-tuba", "linnet-trumpet"] {
        let survey = read(case);
        let (rack, shop) = rack_and_shop();
        let assessments = dent::assess_all(&survey);
        let methods = reach::methods(&survey, &assessments, &rack);
        let heats = Heats::new(&survey.instrument, &rack);
        let plan = plan::plan_to(Level::Beautiful, &survey, &assessments, &methods, &heats, &shop.standards, &Overrules::default());
        let finish = plan.steps.iter().find(|s| s.kind == StepKind::Finish).unwrap();
        let mut burnt: BTreeMap<String, f64> = BTreeMap::new();
        for h in plan.steps.iter().filter_map(|s| s.heat.as_ref()) {
            assert!(h.finish_burns_beside.iter().all(|(run, mm)| *run != h.run && *mm >= 2.0), "{:?}", h.finish_burns_beside);
            beside += h.finish_burns_beside.len();
            for (run, mm) in h.burnt_mm() {
                let most = burnt.entry(run.0.clone()).or_insert(0.0);
                *most = most.max(mm);
            }
        }
        for run in burnt.keys() {
            let name = &survey.instrument.run(&run.as_str().into()).unwrap().name;
            assert!(finish.what.metric().contains(&format!("mm of {name}")), "{case} {name}: {}", finish.what.metric());
        }
        let charged: f64 = quote::bill::parts(&plan, &survey, &shop).iter().filter(|p| p.0.starts_with("Finish")).map(|p| p.1).sum();
        assert!((charged - burnt.values().sum::<f64>() * shop.standards.finish_per_mm).abs() < 1e-6, "{case} {charged}");
    }
    assert!(beside > 0);
}
