//! What the torch does to the plan.

#[path = "common/case.rs"]
mod case;

use case::Bench;
use fixtures::{dent, pattern, rack, survey};
use instrument::Kind;
use plan::{Caution, Overrules, Plan};
use reach::ToolBody;

fn bench() -> Bench {
    Bench::new(survey(
        pattern(Kind::Tuba),
        vec![
            dent("a", "top-bow", 100.0, 7.0, 30.0, 28.0),
            dent("b", "top-bow", 190.0, 7.0, 30.0, 28.0),
            dent("c", "small-bow", 100.0, 6.0, 26.0, 22.0),
        ],
    ))
}

fn plan_with(bench: &Bench, watts: Option<f64>) -> Plan {
    let mut rack = rack();
    for t in &mut rack.tools {
        if let ToolBody::Torch { watts: w } = &mut t.body {
            *w = watts;
        }
    }
    let heats = plan::Heats::new(&bench.survey.instrument, &rack);
    plan::plan(&bench.survey, &bench.assessments, &bench.methods, &heats, &bench.standards, &Overrules::default())
}

#[test]
fn a_torch_too_small_is_said_and_costs_time() {
    let bench = bench();
    let (strong, weak) = (plan_with(&bench, Some(4000.0)), plan_with(&bench, Some(150.0)));
    assert!(strong.steps.iter().any(|s| s.heat.is_some()));
    assert!(strong.steps.iter().all(|s| !s.cautions.contains(&Caution::WeakTorch)));
    let mut said = 0;
    for s in weak.steps.iter().filter(|s| s.heat.is_some()) {
        let h = s.heat.as_ref().unwrap();
        if let Some(w) = h.too_weak {
            said += 1;
            assert!(s.cautions.contains(&Caution::WeakTorch) && w.wants_w > 150.0 && w.got_degc < h.target_degc, "{s:?}");
        }
    }
    assert!(said > 0);
    assert!(weak.minutes.mean() > strong.minutes.mean() && weak.certificate.cost_money > strong.certificate.cost_money);
}

#[test]
fn a_torch_without_watts_is_wide_and_said() {
    let bench = bench();
    let (known, unknown) = (plan_with(&bench, Some(1500.0)), plan_with(&bench, None));
    let flame = |p: &Plan| {
        let h = p.steps.iter().find_map(|s| s.heat.clone()).unwrap();
        (h.flame_s.clone().unwrap(), h)
    };
    let ((a, known), (b, unknown)) = (flame(&known), flame(&unknown));
    assert_eq!((&known.run, known.at_mm), (&unknown.run, unknown.at_mm));
    assert!((a.value - b.value).abs() < 1e-9 && b.high / b.low > a.high / a.low, "{a:?} {b:?}");
    assert!(unknown.torch.contains("does not say") && known.torch.contains("1500 W"));
}
