//! What the trade expects when a dent, a tube or a wish changes.

#[path = "common/case.rs"]
mod case;

use case::{Bench, bent_tube, overrule, plan_of};
use fixtures::{cracked, creased, dent, pattern, survey};
use instrument::{Condition, ConditionKind, Dent, Finish, Kind, Point};
use plan::{Decision, Level, Plan, Side, StepKind, what_changed};
use reach::{MethodKind, Opened};

fn tuba(dents: Vec<Dent>) -> Bench {
    Bench::new(survey(pattern(Kind::Tuba), dents))
}

fn side<'a>(bench: &'a Bench, plan: &'a Plan) -> Side<'a> {
    Side { survey: &bench.survey, assessments: &bench.assessments, plan, currency: "$" }
}

fn minutes(p: &Plan) -> f64 {
    p.minutes.mean()
}

/// The same without tools that are made: they hang on the rack for the next.
fn bench_minutes(p: &Plan) -> f64 {
    p.steps.iter().filter(|s| s.kind != StepKind::MakeTool).map(|s| s.minutes.mean()).sum()
}

fn hand_force(p: &Plan) -> f64 {
    p.choices[0].method.force_hand_n.value
}

/// Likelihood that the work on the first dent spoils the part.
fn risk(b: &Bench, p: &Plan) -> f64 {
    p.choices[0].method.risk + b.assessments[0].crack_likelihood.value
}

#[test]
fn a_dent_in_the_middle_of_a_bend_is_harder_than_one_on_the_straight() {
    let tube = bent_tube(24.5);
    let middle = 0.5 * tube.runs[0].length_mm();
    let at = |mm: f64| Bench::new(survey(tube.clone(), vec![dent("d", "tube", mm, 3.0, 22.0, 18.0)]));
    let (straight, bent) = (at(100.0), at(middle));
    let (a, b) = (straight.plan(), bent.plan());
    assert!(!a.choices.is_empty() && !b.choices.is_empty(), "{:?} {:?}", a.not_done, b.not_done);
    assert!(
        b.certificate.cost_money > a.certificate.cost_money && bench_minutes(&b) > bench_minutes(&a),
        "{} {}",
        a.certificate.cost_money,
        b.certificate.cost_money
    );
    // No straight rod and no mandrel goes round the bend.
    let stiff = |b: &Bench| b.methods[0].methods.iter().filter(|w| matches!(w.kind, MethodKind::StraightRod | MethodKind::Mandrel)).count();
    assert!(stiff(&straight) > 0 && stiff(&bent) == 0, "{} {}", stiff(&straight), stiff(&bent));
}

#[test]
fn half_the_bore_leaves_no_more_methods_and_none_is_quicker() {
    let dents = || vec![dent("d", "second-branch", 330.0, 5.0, 24.0, 20.0)];
    let wide = tuba(dents());
    let mut small = pattern(Kind::Tuba);
    for run in &mut small.runs {
        run.bore_mm.points = run.bore_mm.points.iter().map(|p| Point { value: p.value / 2.0, ..*p }).collect();
    }
    let narrow = Bench::new(survey(small, dents()));
    let (a, b) = (wide.plan(), narrow.plan());
    assert!(narrow.assessments[0].passage_mm.value < wide.assessments[0].passage_mm.value);
    // Kinds, not entries: how many openings the same kind comes in by hangs on what has a tool that touches there.
    let inside = |b: &Bench| {
        let of = b.methods[0].methods.iter().filter(|w| w.passage.is_some());
        of.map(|w| w.kind).collect::<std::collections::BTreeSet<_>>().len()
    };
    assert!(inside(&narrow) <= inside(&wide), "{} {}", inside(&narrow), inside(&wide));
    assert!(b.choices.is_empty() || b.choices[0].method.size_mm < a.choices[0].method.size_mm);
    // By each method the work on the dent takes no less in the narrow tube. (Which method is taken is another thing: what is opened for
    // it is quicker heated there, and a mandrel of half the size is quicker turned.)
    let quickest = |b: &Bench, kind: MethodKind| {
        b.methods[0].methods.iter().filter(|w| w.kind == kind).map(|w| w.minutes.mean()).fold(f64::INFINITY, f64::min)
    };
    for kind in narrow.methods[0].methods.iter().map(|w| w.kind) {
        let (of_wide, of_narrow) = (quickest(&wide, kind), quickest(&narrow, kind));
        assert!(of_wide.is_infinite() || of_narrow >= of_wide - 1e-9, "{kind:?} {of_wide} {of_narrow}");
    }
    assert!(quickest(&narrow, MethodKind::BallTrain) > 1.1 * quickest(&wide, MethodKind::BallTrain), "more balls from a smaller first one");
}

#[test]
fn a_deeper_dent_asks_more_force_risk_time_and_money_until_nothing_passes_it() {
    let at = |depth: f64| tuba(vec![dent("d", "first-branch", 300.0, depth, 26.0, 20.0)]);
    let benches: Vec<Bench> = [2.0, 5.0, 9.0, 18.0].map(at).into();
    let plans: Vec<Plan> = benches.iter().map(Bench::plan).collect();
    for i in 1..3 {
        assert!(minutes(&plans[i]) > minutes(&plans[i - 1]));
        assert!(plans[i].certificate.cost_money > plans[i - 1].certificate.cost_money);
        assert!(benches[i].assessments[0].force_inside_n.value > benches[i - 1].assessments[0].force_inside_n.value);
        assert!(risk(&benches[i], &plans[i]) >= risk(&benches[i - 1], &plans[i - 1]));
    }
    // Nearly shut: no ball that starts beneath it can be driven through from outside the dent.
    let through = |b: &Bench| b.methods[0].methods.iter().filter(|w| w.kind == MethodKind::BallTrain).count();
    assert!(through(&benches[0]) > 0 && through(&benches[3]) == 0, "{} {}", through(&benches[0]), through(&benches[3]));
    // Then it costs more than what tools reach cold, or is not done and says why. (The one of 9 mm is annealed and opened for a train of
    // balls, which can cost more than the stud that is left for the last.)
    match plans[3].choices.first() {
        Some(_) => assert!(plans[3].certificate.cost_money > plans[1].certificate.cost_money),
        None => assert!(!plans[3].not_done[0].because.is_empty()),
    }
}

#[test]
fn a_harder_temper_asks_more_force_and_more_risk_and_costs_more() {
    let at = |numbers: f64| {
        let mut i = pattern(Kind::Tuba);
        for run in &mut i.runs {
            run.temper.points = run.temper.points.iter().map(|p| Point { value: numbers, sd: 0.2, ..*p }).collect();
        }
        Bench::new(survey(i, vec![dent("d", "third-branch", 300.0, 6.0, 26.0, 24.0)]))
    };
    let (soft, hard) = (at(0.5), at(5.0));
    let (a, b) = (soft.plan(), hard.plan());
    assert!(hard.assessments[0].force_inside_n.value > soft.assessments[0].force_inside_n.value);
    assert!(hard.assessments[0].crack_likelihood.value > soft.assessments[0].crack_likelihood.value);
    assert!(b.certificate.cost_money > a.certificate.cost_money, "{} {}", a.certificate.cost_money, b.certificate.cost_money);
    assert!(b.choices[0].method.kind != a.choices[0].method.kind || hand_force(&b) > hand_force(&a));
}

#[test]
fn red_rot_through_the_leadpipe_replaces_it_with_both_prices_and_the_reason() {
    let dents = vec![dent("d", "leadpipe", 60.0, 1.5, 16.0, 8.0)];
    let mut s = survey(pattern(Kind::Trumpet), dents);
    let sound = plan_of(s.clone());
    assert!(sound.replacements.is_empty() && sound.choices.len() == 1);
    s.conditions.push(Condition {
        from_mm: Some(30.0),
        to_mm: Some(120.0),
        through: Some(true),
        ..Condition::new("rot", ConditionKind::RedRot).on("leadpipe")
    });
    let bench = Bench::new(s);
    let rotten = bench.plan();
    let r = &rotten.replacements[0];
    assert!(r.replace && r.because.metric().contains("red rot") && r.straighten_money.value > 0.0 && r.replace_money.value > 0.0, "{r:?}");
    assert!(rotten.choices.is_empty() && rotten.steps.iter().any(|s| s.kind == StepKind::ReplaceRun && s.dents.len() == 1));
    // A person may still decide otherwise, and who and why stay with it.
    let kept = bench.plan_with(&overrule(Decision::StraightenRun { run: "leadpipe".into() }));
    assert!(!kept.replacements[0].replace && kept.replacements[0].because.metric().contains("Ottilie"));
}

#[test]
fn a_creased_v_is_worked_unlike_the_smooth_dent_beside_it() {
    let plan =
        tuba(vec![creased(dent("v", "third-branch", 300.0, 6.0, 36.0, 26.0)), dent("smooth", "third-branch", 350.0, 1.5, 34.0, 30.0)])
            .plan();
    let number =
        |kind: StepKind, dent: &str| plan.steps.iter().find(|s| s.kind == kind && s.dents.contains(&dent.into())).map(|s| s.number);
    let (crease, v, smooth) =
        (number(StepKind::Crease, "v").unwrap(), number(StepKind::Dent, "v").unwrap(), number(StepKind::Dent, "smooth").unwrap());
    assert!(crease < v && v < smooth && number(StepKind::Crease, "smooth").is_none());
    assert!(plan.steps.iter().any(|s| s.kind == StepKind::Crease && !s.because.is_empty()));
}

#[test]
fn a_crack_is_stopped_before_its_dent_is_worked_and_closed_after() {
    let plan =
        tuba(vec![cracked(dent("c", "third-branch", 300.0, 3.0, 26.0, 24.0)), dent("o", "third-branch", 500.0, 3.0, 30.0, 28.0)]).plan();
    let first = |kind: StepKind| plan.steps.iter().find(|s| s.kind == kind && s.dents.contains(&"c".into())).map(|s| s.number).unwrap();
    assert!(first(StepKind::StabiliseCrack) < first(StepKind::Dent) && first(StepKind::Dent) < first(StepKind::Patch));
    // Nothing on that run moves before.
    assert!(plan.steps.iter().filter(|s| s.kind == StepKind::Dent).all(|s| s.number > first(StepKind::StabiliseCrack)));
}

#[test]
fn a_guard_over_a_dent_comes_off_before_and_goes_back_after() {
    let i = pattern(Kind::Tuba);
    let guard =
        i.overlays.iter().find(|o| o.kind == instrument::OverlayKind::Guard && o.covers[0].run == "bottom-bow".into()).unwrap().clone();
    let cover = &guard.covers[0];
    let mut d = dent("g", "bottom-bow", 0.5 * (cover.from_mm + cover.to_mm), 6.0, 40.0, 36.0);
    let clock = cover.clock_deg.map_or(0.0, |(a, b)| a + 0.5 * (b - a).rem_euclid(360.0));
    d.clock_deg = Some(units::Known::new("clock", clock, 2.0, units::Unit::Deg, units::Origin::Measured));
    let plan = tuba(vec![d]).plan();
    let what = Opened::Overlay(guard.id.clone());
    let number = |kind: StepKind| plan.steps.iter().find(|s| s.kind == kind && s.opened.as_ref() == Some(&what)).map(|s| s.number).unwrap();
    let work = plan.steps.iter().find(|s| s.kind == StepKind::Dent).unwrap().number;
    assert!(number(StepKind::OverlayOff) < work && work < number(StepKind::OverlayBack));
}

#[test]
fn what_stays_shut_stays_shut_and_costs_what_it_costs() {
    let bench = tuba(vec![
        dent("a", "top-bow", 100.0, 6.0, 30.0, 28.0),
        dent("b", "top-bow", 170.0, 5.0, 30.0, 28.0),
        dent("c", "small-bow", 100.0, 5.0, 26.0, 22.0),
        dent("d", "second-branch", 300.0, 5.0, 30.0, 28.0),
    ]);
    let free = bench.plan();
    let Some(joint) = free.opened.iter().find_map(|o| if let Opened::Joint(id) = o { Some(id.clone()) } else { None }) else {
        panic!("the case opens no joint and tests nothing: {:?}", free.choices)
    };
    let shut = bench.plan_with(&overrule(Decision::KeepShut { joint: joint.clone() }));
    let name = &bench.survey.instrument.joint(&joint).unwrap().name;
    assert!(!shut.opened.contains(&Opened::Joint(joint.clone())) && shut.certificate.cost_money >= free.certificate.cost_money - 1e-9);
    let changes = what_changed(&side(&bench, &free), &side(&bench, &shut));
    assert!(changes.iter().any(|c| c.about == *name && c.before.metric() == "comes apart" && c.after.metric() == "stays"));
    assert!(what_changed(&side(&bench, &free), &side(&bench, &free)).is_empty());
}

#[test]
fn lacquer_that_must_stay_keeps_the_flame_away() {
    let mut s =
        survey(pattern(Kind::Tuba), vec![dent("a", "top-bow", 100.0, 6.0, 30.0, 28.0), dent("b", "top-bow", 170.0, 5.0, 30.0, 28.0)]);
    for r in &mut s.instrument.runs {
        r.finish = Finish::Lacquer;
    }
    let flames = |p: &Plan| p.steps.iter().filter(|s| s.heat.is_some()).count();
    let burnt = plan_of(s.clone());
    s.wishes.keep_finish = true;
    let kept = plan_of(s);
    assert!(flames(&kept) <= flames(&burnt));
    assert!(flames(&kept) == 0 || kept.assumptions.iter().any(|a| a.what.metric().contains("lacquer")));
    assert!(kept.certificate.cost_money >= burnt.certificate.cost_money - 1e-9);
}

#[test]
fn a_tool_taken_away_a_way_forced_and_a_dent_left_are_followed() {
    let bench =
        Bench::new(survey(bent_tube(24.5), vec![dent("a", "tube", 100.0, 3.0, 22.0, 18.0), dent("b", "tube", 150.0, 3.0, 22.0, 18.0)]));
    let free = bench.plan();
    assert_eq!(free.choices[0].dent, "a".into());
    let other = bench.methods[0].methods.iter().map(|w| w.kind).find(|m| *m != free.choices[0].method.kind).expect("two methods reach it");
    let forced = bench.plan_with(&overrule(Decision::UseMethod { dent: "a".into(), method: other }));
    assert_eq!(forced.choices[0].method.kind, other);
    assert!(forced.choices[0].because.metric().contains("Ottilie") && forced.certificate.cost_money >= free.certificate.cost_money);
    let left = bench.plan_with(&overrule(Decision::LeaveDent { dent: "a".into() }));
    assert!(left.choices.iter().all(|c| c.dent != "a".into()) && left.not_done[0].because.metric().contains("a test"));
    if let reach::ToolChoice::Rack { tools } = &free.choices[0].method.tool {
        let gone = bench.plan_with(&overrule(Decision::WithoutTool { tool: tools[0].clone() }));
        let used =
            |p: &Plan| p.choices.iter().any(|c| matches!(&c.method.tool, reach::ToolChoice::Rack { tools: t } if t.contains(&tools[0])));
        assert!(used(&free) && !used(&gone));
    }
}

#[test]
fn a_deadline_is_kept_and_what_matters_goes_first() {
    let mut dents: Vec<Dent> =
        (0..8).map(|i| dent(&format!("looks{i}"), "bell-stem", 60.0 + 60.0 * f64::from(i), 4.0, 30.0, 30.0)).collect();
    dents.push(dent("bore", "first-branch", 300.0, 7.0, 26.0, 18.0));
    let bench = tuba(dents);
    let free = bench.plan();
    let deadline = 0.7 * minutes(&free);
    let tight = bench.plan_with(&overrule(Decision::Deadline { minutes: deadline }));
    assert!(minutes(&tight) <= deadline + 1e-9, "{} of {deadline}", minutes(&tight));
    assert!(tight.choices.len() < free.choices.len() && !tight.choices.is_empty());
    let matters: Vec<_> = bench.assessments.iter().filter(|a| a.effects.contains(&dent::Effect::Bore)).map(|a| &a.dent).collect();
    assert!(matters.iter().all(|d| tight.choices.iter().any(|c| c.dent == **d)), "{matters:?}");
    assert!(tight.certificate.bound_money <= tight.certificate.cost_money);
}

#[test]
fn a_measurement_that_is_missing_widens_the_time() {
    let sure = tuba(vec![dent("d", "second-branch", 300.0, 5.0, 30.0, 28.0)]);
    let mut d = dent("d", "second-branch", 300.0, 5.0, 30.0, 28.0);
    d.width_across_mm = None;
    d.width_along_mm = None;
    d.depth_mm = Some(units::Known::new("depth", 5.0, 1.5, units::Unit::Mm, units::Origin::ByEye));
    let unsure = tuba(vec![d]);
    let width = |p: &Plan| {
        let s = p.steps.iter().find(|s| s.kind == StepKind::Dent).unwrap();
        s.minutes.most / s.minutes.least
    };
    let (a, b) = (sure.plan(), unsure.plan());
    assert!(width(&b) > width(&a), "{} {}", width(&a), width(&b));
}

#[test]
fn levels_grow() {
    let bench = tuba(vec![
        dent("bore", "first-branch", 300.0, 7.0, 26.0, 18.0),
        dent("looks", "bell-flare", 100.0, 4.0, 40.0, 50.0),
        dent("more", "bell-stem", 300.0, 5.0, 40.0, 40.0),
    ]);
    let (play, good, best) = (bench.plan_to(Level::Play), bench.plan_to(Level::Good), bench.plan_to(Level::Beautiful));
    assert!(play.choices.len() <= good.choices.len() && good.choices.len() <= best.choices.len());
    assert!(minutes(&play) < minutes(&good) && minutes(&good) < minutes(&best));
    // What is not done is said, each with a reason.
    for p in [&play, &good, &best] {
        assert_eq!(p.choices.len() + p.not_done.len(), 3);
        assert!(p.not_done.iter().all(|n| !n.because.is_empty()));
    }
}
