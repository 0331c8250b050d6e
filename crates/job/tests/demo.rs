//! The main job on the demo's cases: what the trade expects of the plan, whatever its figures are.

use dent::Effect;
use instrument::{DentId, Survey};
use job::{Job, work_out};
use plan::{Overrules, Step, StepKind};
use reach::{Opened, ToolChoice};

fn read(name: &str) -> Survey {
    let path = format!("{}/../../demo/{name}.survey.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap();
    survey::read_survey(&text).unwrap_or_else(|p| panic!("{p:?}")).survey
}

fn worked(survey: Survey) -> Job {
    let file = |name: &str| std::fs::read_to_string(format!("{}/../../demo/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let (rack, problems) = survey::read_rack(&file("rack.toml"));
    assert!(problems.is_empty(), "{problems:?}");
    let (shop, problems) = survey::read_shop(&file("shop.toml"));
    assert!(problems.is_empty(), "{problems:?}");
    work_out(survey, rack, shop, &Overrules::default())
}

fn step_of<'a>(job: &'a Job, kind: StepKind, dent: &DentId) -> Option<&'a Step> {
    job.plan.steps.iter().find(|s| s.kind == kind && s.dents.contains(dent))
}

fn step_for<'a>(job: &'a Job, kind: StepKind, opened: &Opened) -> &'a Step {
    job.plan
        .steps
        .iter()
        .find(|s| s.kind == kind && s.opened.as_ref() == Some(opened))
        .unwrap_or_else(|| panic!("no {kind:?} for {opened:?}"))
}

/// Every precedence that a step names is kept.
fn in_order(job: &Job) {
    for s in &job.plan.steps {
        for before in &s.after {
            assert!(*before < s.number, "step {} waits for step {before}", s.number);
        }
    }
}

#[test]
fn the_tubas_covered_dents_have_their_covers_off_before_and_back_after() {
    let job = worked(read("ox-tuba"));
    in_order(&job);
    let mut covered = 0;
    for choice in &job.plan.choices {
        let dent = job.survey.dent(&choice.dent).unwrap();
        let Some(work) = step_of(&job, StepKind::Dent, &dent.id) else { continue };
        for overlay in job.survey.site(dent).unwrap().under {
            let opened = Opened::Overlay(overlay);
            let off = step_for(&job, StepKind::OverlayOff, &opened);
            let back = step_for(&job, StepKind::OverlayBack, &opened);
            assert!(
                off.number < work.number && work.number < back.number,
                "{} under {opened:?}: {} {} {}",
                dent.id,
                off.number,
                work.number,
                back.number
            );
            covered += 1;
        }
    }
    // The ferrule's, the guard's and the brace's.
    assert!(covered >= 3, "{covered}");
}

#[test]
fn the_tubas_crack_is_stopped_before_its_dent_and_the_v_is_worked_unlike_its_neighbour() {
    let job = worked(read("ox-tuba"));
    let cracked = job.survey.dents.iter().find(|d| d.crack.is_some()).unwrap();
    let stop = step_of(&job, StepKind::StabiliseCrack, &cracked.id).expect("the crack is stopped");
    if let Some(work) = step_of(&job, StepKind::Dent, &cracked.id) {
        assert!(stop.number < work.number);
    }
    let v = job.survey.dents.iter().find(|d| d.crease.is_some() && !d.profile_across.is_empty()).unwrap();
    let fold = step_of(&job, StepKind::Crease, &v.id).expect("the fold is eased first");
    assert!(fold.number < step_of(&job, StepKind::Dent, &v.id).unwrap().number);
    assert!(!fold.because.is_empty());
    let smooth = job.survey.dents.iter().find(|d| d.run == v.run && d.note.contains("smooth")).unwrap();
    assert!(step_of(&job, StepKind::Crease, &smooth.id).is_none());
    assert!(step_of(&job, StepKind::Dent, &smooth.id).is_some());
}

#[test]
fn the_casing_and_the_slide_are_function_and_not_looks() {
    let job = worked(read("ox-tuba"));
    for role in [instrument::Role::Casing, instrument::Role::TuningSlideOuter] {
        let dents: Vec<_> = job.survey.dents.iter().filter(|d| job.survey.instrument.run(&d.run).unwrap().role == role).collect();
        assert!(!dents.is_empty(), "{role:?}");
        for d in dents {
            let a = job.assessments.iter().find(|a| a.dent == d.id).unwrap();
            assert!(matches!(a.effects[0], Effect::MovingFit { .. }), "{}: {:?}", d.id, a.effects);
        }
    }
}

#[test]
fn what_no_tool_of_the_rack_reaches_names_the_tool_to_make_with_its_size() {
    let job = worked(read("ox-tuba"));
    for choice in &job.plan.choices {
        if let ToolChoice::ToMake { make, .. } = &choice.way.tool {
            assert!(make.words.contains("mm") && make.words.chars().any(|c| c.is_ascii_digit()), "{}", make.words);
            assert!(job.plan.tools_to_make.iter().any(|(t, dents)| t.words == make.words && dents.contains(&choice.dent)));
        }
    }
    // With an empty rack but for a torch, every dent that is still worked from inside needs a tool to make.
    let mut bare = job.rack.clone();
    bare.tools.retain(|t| matches!(t.body, reach::ToolBody::Torch | reach::ToolBody::PullStud { .. }));
    let without = work_out(job.survey.clone(), bare, job.shop.clone(), &Overrules::default());
    let named = without.plan.choices.iter().filter(|c| matches!(c.way.tool, ToolChoice::ToMake { .. })).count()
        + without.plan.not_done.iter().filter(|n| n.make.is_some()).count();
    assert!(named > 0, "no tool to make is named");
}

#[test]
fn red_rot_in_a_leadpipe_turns_straighten_into_replace_with_both_prices() {
    let job = worked(read("leadpipe-red-rot"));
    let r = &job.plan.replacements[0];
    assert!(r.replace && r.straighten_money.value > 0.0 && r.replace_money.value > 0.0, "{r:?}");
    assert!(r.because.contains("rot"), "{}", r.because);
    assert!(job.plan.steps.iter().any(|s| s.kind == StepKind::ReplaceRun));
    let mut sound = job.survey.clone();
    sound.conditions.clear();
    assert!(worked(sound).plan.replacements.iter().all(|r| !r.replace));
}

#[test]
fn a_survey_with_a_measurement_missing_is_wider_and_says_what_would_narrow_it_most() {
    let full = read("linnet-trumpet");
    let mut less = full.clone();
    for d in &mut less.dents {
        d.width_along_mm = None;
        d.width_across_mm = None;
    }
    let (full, less) = (worked(full), worked(less));
    let wide = |f: &units::Figure| (f.high - f.low) / f.value;
    for (a, b) in full.assessments.iter().zip(&less.assessments) {
        assert!(wide(&b.force_inside_n) >= wide(&a.force_inside_n), "{}", a.dent);
        assert!(!b.missing.is_empty(), "{}", b.dent);
    }
    assert!(!less.plan.worth_measuring.is_empty());
    assert!(less.plan.minutes.most - less.plan.minutes.least >= full.plan.minutes.most - full.plan.minutes.least);
}

#[test]
fn a_dent_on_the_first_branch_about_4_mm_deep_is_enough_for_a_plan() {
    let job = worked(read("barely-measured"));
    assert_eq!(job.plan.choices.len() + job.plan.not_done.len(), 1);
    assert!(!job.plan.worth_measuring.is_empty() && !job.plan.assumptions.is_empty());
    assert_eq!(job.quote.offers.len(), 3);
}

#[test]
fn every_figure_carries_its_reason() {
    let job = worked(read("ox-tuba"));
    let json = serde_json::to_value(&job).unwrap();
    let (mut figures, mut bare) = (0, Vec::new());
    walk(&json, "", &mut |path, v| {
        if v.get("value").is_some() && v.get("low").is_some() && v.get("high").is_some() {
            figures += 1;
            let reason = &v["reason"];
            let told = reason["formula"].as_str().is_some_and(|f| !f.is_empty())
                && reason["source"]["text"].as_str().is_some_and(|s| !s.is_empty());
            let ordered = v["low"].as_f64() <= v["value"].as_f64() && v["value"].as_f64() <= v["high"].as_f64();
            if !told || !ordered {
                bare.push(path.to_owned());
            }
        }
    });
    assert!(figures > 500, "{figures}");
    assert!(bare.is_empty(), "{bare:?}");
}

fn walk(v: &serde_json::Value, path: &str, f: &mut impl FnMut(&str, &serde_json::Value)) {
    match v {
        serde_json::Value::Object(o) => {
            f(path, v);
            for (k, x) in o {
                walk(x, &format!("{path}.{k}"), f);
            }
        }
        serde_json::Value::Array(a) => {
            for (i, x) in a.iter().enumerate() {
                walk(x, &format!("{path}[{i}]"), f);
            }
        }
        _ => {}
    }
}

#[test]
fn offers_cost_what_their_lines_add_up_to_and_more_work_costs_no_less() {
    for name in ["ox-tuba", "linnet-trumpet", "heron-trombone"] {
        let job = worked(read(name));
        let mut last = None;
        for o in &job.quote.offers {
            let b = &o.bill;
            assert_eq!(b.total, b.lines.iter().map(quote::Line::total).sum(), "{name} {}", o.name);
            assert!(last.is_none_or(|l| b.total >= l), "{name}: {} is cheaper than the offer before it", o.name);
            last = Some(b.total);
        }
    }
}
