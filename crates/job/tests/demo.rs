//! The main job on the demo's cases: what the trade expects of the plan, whatever its figures are.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::worked;
use dent::Effect;
use fixtures::demo::{CASES, rack_and_shop, read};
use instrument::DentId;
use job::{Job, work_out};
use plan::{Overrules, Step, StepKind};
use reach::{Opened, ToolChoice};

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
        for overlay in job.survey.site(dent).unwrap().under.into_iter().filter(|o| !choice.method.stays_on().contains(o)) {
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
    // The brace's foot comes off; guard and ferrule may stay on where the dent is pushed out under them, and then each seam is looked along.
    let on = job.plan.stays_on();
    assert!(covered >= 1 && covered + on.len() >= 3 && !on.is_empty(), "{covered} off, {on:?} on");
    for id in on {
        let seam = |c: &plan::Check| matches!(c, plan::Check::Holds { overlay } if overlay == id);
        assert!(job.plan.steps.iter().any(|s| s.checks.iter().any(seam)), "{id}");
    }
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
        if let ToolChoice::ToMake { make, .. } = &choice.method.tool {
            let words = make.words().metric();
            assert!(words.contains("mm") && words.chars().any(|c| c.is_ascii_digit()), "{words}");
            let listed: Vec<_> = job.plan.tools_to_make.iter().filter(|(_, dents)| dents.contains(&choice.dent)).map(|(t, _)| t).collect();
            assert!(!listed.is_empty(), "{}: {words}", choice.dent);
            assert_eq!(listed.len(), make.pieces.len(), "{}: {words}", choice.dent);
            for tool in listed {
                assert!(make.pieces.iter().any(|p| p.body == tool.body), "{}: {words} has no {tool:?}", choice.dent);
            }
        }
    }
    // With an empty rack but for a torch, every dent that is still worked from inside needs a tool to make.
    let mut bare = job.rack.clone();
    bare.tools.retain(|t| matches!(t.body, reach::ToolBody::Torch { .. } | reach::ToolBody::PullStud { .. }));
    let without = work_out(job.survey.clone(), bare, job.shop.clone(), &Overrules::default());
    let named = without.plan.choices.iter().filter(|c| matches!(c.method.tool, ToolChoice::ToMake { .. })).count()
        + without.plan.not_done.iter().filter(|n| n.make.is_some()).count();
    assert!(named > 0, "no tool to make is named");
    // A tool is listed once, with all the dents that it serves.
    let list = &without.plan.tools_to_make;
    let mut words: Vec<String> = list.iter().map(|(t, _)| t.words().metric()).collect();
    words.sort_unstable();
    words.dedup();
    assert_eq!(words.len(), list.len(), "a tool is listed twice");
    // Whether any of the tuba's tools serves two of its dents hangs on the methods that are cheapest. Two dents across from each other at one
    // station have one bore, whatever works them: they must share their tool. (They lay 70 mm apart before, where two tapers do not share a
    // mandrel; a ball was cheaper there until a spoiled branch counted the lacquer that its openings burn.)
    let a = fixtures::dent("a", "second-branch", 330.0, 4.0, 22.0, 18.0);
    let mut b = instrument::Dent { id: "b".into(), ..a.clone() };
    if let Some(clock) = &mut b.clock_deg {
        clock.value = (clock.value + 180.0) % 360.0;
    }
    assert!(a.clock_deg.is_some() && a.clock_deg != b.clock_deg);
    let two = fixtures::survey(instrument::patterns::pattern(instrument::Kind::Tuba).unwrap(), vec![a, b]);
    let mut bare = job.rack.clone();
    bare.tools.retain(|t| matches!(t.body, reach::ToolBody::Torch { .. }));
    let two = work_out(two, bare, job.shop.clone(), &Overrules::default());
    let list = &two.plan.tools_to_make;
    assert!(!list.is_empty() && list.iter().any(|(_, dents)| dents.len() == 2), "{list:?}");
}

#[test]
fn red_rot_in_a_leadpipe_turns_straighten_into_replace_with_both_prices() {
    let job = worked(read("leadpipe-red-rot"));
    let r = &job.plan.replacements[0];
    assert!(r.replace && r.straighten_money.value > 0.0 && r.replace_money.value > 0.0, "{r:?}");
    assert!(r.because.metric().contains("rot"), "{}", r.because.metric());
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
    let (known, worth) = (full.worth_knowing(), less.worth_knowing());
    assert!(worth.missing > known.missing && worth.worth_the_walk().next().is_some(), "{worth:?}");
    // Of its own length: without the widths a fold looks rounder and asks fewer steps, so the plans are not alike.
    let wide = |m: &units::ThreePoint| (m.most - m.least) / m.mean();
    assert!(wide(&less.plan.minutes) >= wide(&full.plan.minutes), "{:?} {:?}", less.plan.minutes, full.plan.minutes);
}

#[test]
fn a_dent_on_the_first_branch_about_4_mm_deep_is_enough_for_a_plan() {
    let job = worked(read("barely-measured"));
    assert_eq!(job.plan.choices.len() + job.plan.not_done.len(), 1);
    assert!(job.worth_knowing().worth_the_walk().next().is_some() && !job.plan.assumptions.is_empty());
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
    for name in CASES {
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

#[test]
fn each_offer_does_all_that_the_cheaper_one_does_and_its_range_lies_around_it() {
    for name in CASES {
        let job = worked(read(name));
        let [play, good, best] = &job.quote.offers[..] else { panic!("{name}: {} offers", job.quote.offers.len()) };
        for (less, more) in [(play, good), (good, best)] {
            let lost: Vec<_> = less.dents.iter().filter(|d| !more.dents.contains(d)).collect();
            // A dent that only stood in the way may be worked for another's sake.
            let wanted = lost.iter().filter(|d| job.assessments.iter().any(|a| a.dent == ***d && plan::Level::Play.wants(a)));
            assert_eq!(wanted.count(), 0, "{name}: {} does not do {lost:?} of {}", more.name, less.name);
        }
        for o in &job.quote.offers {
            let t = &o.times;
            assert!(t.p10_min < t.p50_min && t.p50_min < t.p90_min, "{name} {}: {t:?}", o.name);
            assert!(o.range.0 <= o.bill.total && o.bill.total <= o.range.1, "{name} {}: {:?} around {}", o.name, o.range, o.bill.total);
            assert_eq!(o.dents.len() + o.left.len(), job.survey.dents.len(), "{name} {}", o.name);
        }
        // What keeps it from playing is done by the first offer, or said.
        for a in job.assessments.iter().filter(|a| plan::Level::Play.wants(a)) {
            assert!(play.dents.contains(&a.dent) || play.left.contains(&a.dent), "{name}: {} is forgotten", a.dent);
        }
    }
}

#[test]
fn every_dent_states_its_own_force() {
    // A ball that serves several dents asks a force at each of them.
    for name in CASES {
        let job = worked(read(name));
        assert!(!job.plan.choices.is_empty());
        for c in &job.plan.choices {
            let f = &c.method.force_hand_n;
            assert!(f.value > 0.0 && f.low > 0.0 && f.low <= f.value && f.value <= f.high, "{name} {}: {f:?}", c.dent);
        }
    }
}

#[test]
fn the_tubas_order_is_that_of_the_bench() {
    let job = worked(read("ox-tuba"));
    in_order(&job);
    let steps = &job.plan.steps;
    let of = |k: &dyn Fn(&Step) -> bool| steps.iter().filter(|s| k(s)).map(|s| s.number).collect::<Vec<_>>();
    let work = of(&|s| matches!(s.kind, StepKind::Dent | StepKind::Crease));
    let (first, last) = (work[0], work[work.len() - 1]);
    // Free and take apart first; nothing is closed, proved or finished before the last dent; the finish after all heat.
    assert!(of(&|s| matches!(s.kind, StepKind::Clean | StepKind::Free | StepKind::Strip)).iter().all(|n| *n < first));
    assert!(of(&|s| s.kind == StepKind::Finish).iter().all(|n| *n > last));
    let hot = steps.iter().filter(|s| s.heat.is_some()).map(|s| s.number).max().unwrap();
    assert!(of(&|s| s.kind == StepKind::Finish).iter().all(|n| *n > hot));
    // A crack is stopped before anything on its run moves; an anneal comes before its dents.
    for s in steps.iter().filter(|s| s.kind == StepKind::StabiliseCrack) {
        let on_run = of(&|x| matches!(x.kind, StepKind::Dent | StepKind::Crease | StepKind::Anneal) && x.run == s.run);
        assert!(!on_run.is_empty() && on_run.iter().all(|n| *n > s.number), "step {} and {on_run:?}", s.number);
    }
    for s in steps.iter().filter(|s| s.kind == StepKind::Anneal) {
        assert!(s.dents.iter().all(|d| step_of(&job, StepKind::Dent, d).unwrap().number > s.number));
    }
    // What keeps it from playing goes first: a dent that is only seen comes before it only in the same setting up, or
    // where it stands in the way.
    let plays = |s: &Step| {
        s.dents.iter().any(|d| {
            job.assessments.iter().any(|a| a.dent == *d && a.effects.iter().any(|e| *e != Effect::Cosmetic && *e != Effect::Structural))
        })
    };
    let dents: Vec<&Step> = steps.iter().filter(|s| s.kind == StepKind::Dent).collect();
    assert!(dents.iter().any(|s| plays(s)) && dents.iter().any(|s| !plays(s)));
    let shared = |s: &Step| dents.iter().any(|x| plays(x) && x.setting == s.setting);
    // A step that stands in the way of one that plays, or is done in the same setting up as such a one.
    let waited_for = |s: &Step| {
        let in_way = |y: &&Step| y.setting == s.setting && dents.iter().any(|x| plays(x) && x.after.contains(&y.number));
        dents.iter().any(in_way)
    };
    let last_function = dents.iter().filter(|s| plays(s)).map(|s| s.number).max().unwrap();
    for s in dents.iter().filter(|s| !plays(s) && s.number < last_function) {
        assert!(shared(s) || waited_for(s), "step {} ({}) comes before what keeps the tuba from playing", s.number, s.what.metric());
    }
}

#[test]
fn one_setting_up_is_not_left_and_come_back_to() {
    let job = worked(read("ox-tuba"));
    let steps = &job.plan.steps;
    assert!(steps.windows(2).all(|w| w[1].setting == w[0].setting || w[1].setting == w[0].setting + 1));
    // Dents of one run through one opening are worked in one go where nothing between them forbids it: fewer settings up
    // than dents.
    let dents: Vec<_> = steps.iter().filter(|s| s.kind == StepKind::Dent).collect();
    let mut settings: Vec<u32> = dents.iter().map(|s| s.setting).collect();
    settings.dedup();
    assert!(2 * settings.len() <= dents.len(), "{} settings up for {} dents", settings.len(), dents.len());
    // Proofs of bores and tool marks are one step each.
    let count = |k: StepKind| steps.iter().filter(|s| s.kind == k).count();
    assert_eq!(count(StepKind::Finish), 1);
    assert!(steps.iter().filter(|s| s.kind == StepKind::AcceptanceCheck && s.what.metric().contains("bore")).count() <= 1);
}

#[test]
fn an_anneal_is_for_metal_that_is_used_up() {
    let job = worked(read("ox-tuba"));
    let annealed: Vec<&DentId> = job.plan.steps.iter().filter(|s| s.kind == StepKind::Anneal).flat_map(|s| &s.dents).collect();
    assert!(!annealed.is_empty());
    for d in &annealed {
        let a = job.assessments.iter().find(|a| a.dent == **d).unwrap();
        // Cold, more than two thirds of what the metal bears would be gone.
        assert!(a.ductility_used.value > 2.0 / 3.0, "{d}: {}", a.ductility_used.value);
    }
    // A slide's leg must stay hard: a dent that has not used it up is worked cold.
    let leg =
        job.survey.dents.iter().find(|d| job.survey.instrument.run(&d.run).unwrap().role == instrument::Role::TuningSlideOuter).unwrap();
    assert!(!annealed.contains(&&leg.id));
    // The folded V is annealed, and so is the crook whose ductility the dent has spent.
    let fold = job.survey.dents.iter().find(|d| d.crease.is_some() && !d.profile_across.is_empty()).unwrap();
    assert!(annealed.contains(&&fold.id));
}

#[test]
fn a_ferrule_goes_back_in_the_heat_of_its_joint() {
    let job = worked(read("ox-tuba"));
    let mut seen = 0;
    for o in &job.survey.instrument.overlays {
        let (over, Some(joint)) = (Opened::Overlay(o.id.clone()), &o.slides_off_at) else { continue };
        if job.plan.opened.contains(&over) {
            let (close, back) =
                (step_for(&job, StepKind::CloseJoint, &Opened::Joint(joint.clone())), step_for(&job, StepKind::OverlayBack, &over));
            assert_eq!(close.setting, back.setting, "{} and its joint", o.name);
            seen += 1;
        }
    }
    assert!(seen > 0);
}

/// One set of figures: the offer of the plan's level has the plan's own steps, times and dents, and its lines are its total.
#[test]
fn the_offer_of_a_level_is_of_its_plan() {
    for name in CASES {
        for level in plan::Level::ALL {
            let (rack, shop) = rack_and_shop();
            let job = job::work_out_after(None, level, read(name), rack, shop, &plan::Overrules::default());
            let offer = job.quote.of_level(level).unwrap();
            let on_it = job.plan.steps.iter().filter(|s| s.kind != StepKind::MakeTool);
            let mean: f64 = on_it.map(|s| s.minutes.mean()).sum();
            assert!((offer.times.mean_min - mean).abs() < 1e-9 * mean, "{name} {level:?}: {} against {mean}", offer.times.mean_min);
            assert_eq!(offer.dents, job.plan.seen_to(), "{name} {level:?}");
            let heats = job.plan.steps.iter().filter(|s| s.heat.is_some()).count();
            assert!(job.plan.lit() <= heats && (job.plan.lit() > 0) == (heats > 0), "{name} {level:?}");
            // The same whichever level is looked at.
            let other = worked(read(name));
            assert_eq!(other.quote.of_level(level), Some(offer), "{name} {level:?}");
        }
    }
}
