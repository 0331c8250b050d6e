//! The place of a dent, against closed forms.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{deg, dent, mm, tuba};
use instrument::{Condition, ConditionKind, Dent, JointKind, Shape, Site, Survey};
use units::{Known, Origin, Unit};

fn site(survey: &Survey, d: &Dent) -> Site {
    survey.site(d).unwrap()
}

fn names(site: &Site) -> Vec<&str> {
    site.under.iter().map(|o| o.0.as_str()).collect()
}

/// An even guess over a length l has the standard deviation l/√12 (C).
#[test]
fn a_station_that_nobody_gave_lies_anywhere_on_the_run() {
    let survey = tuba();
    let run = survey.instrument.run(&"third-branch".into()).unwrap();
    let found = site(&survey, &dent("third-branch"));
    let length = run.length_mm();
    assert!((found.at_mm.value - length / 2.0).abs() < 1e-9);
    assert!((found.at_mm.sd - length / 12.0_f64.sqrt()).abs() < 1e-9);
    assert_eq!(found.at_mm.origin, Origin::Assumed);
    // The bore runs from 55 to 75 mm: 20/√12 of it is not known, besides the pattern's own spread.
    let own = run.bore_at(length / 2.0).sd;
    assert!((found.bore_mm.sd - own.hypot(20.0 / 12.0_f64.sqrt())).abs() < 1e-9);
    // A short foot somewhere on the run cannot be told to cover it.
    assert_eq!(names(&found), [""; 0]);
}

#[test]
fn a_bend_that_cannot_be_told_is_unsure() {
    let survey = tuba();
    let Shape::Unsure { bent_part, radius_mm } = site(&survey, &dent("bottom-bow")).shape else { panic!("not unsure") };
    // 180° at 108 mm between two straights of 45 mm.
    let bent = 108.0 * std::f64::consts::PI;
    assert!((bent_part - bent / (bent + 90.0)).abs() < 1e-9 && radius_mm == 108.0);
    let placed = |at| site(&survey, &Dent { at_mm: mm(at), ..dent("bottom-bow") }).shape;
    assert_eq!(placed(20.0), Shape::Straight);
    assert_eq!(placed(200.0), Shape::Bent { radius_mm: 108.0 });
    assert_eq!(site(&survey, &dent("third-branch")).shape, Shape::Straight);
}

/// Half angle of a cone: atan of half the growth of its diameter by its length (C).
#[test]
fn the_taper_is_the_cones() {
    let survey = tuba();
    let found = site(&survey, &Dent { at_mm: mm(300.0), ..dent("third-branch") });
    assert!((found.taper_half_angle_deg - (20.0_f64 / 2.0 / 690.0).atan().to_degrees()).abs() < 1e-9);
}

#[test]
fn what_was_measured_at_the_dent_goes_before_the_run() {
    let survey = tuba();
    let wall = Some(Known::new("", 0.41, 0.02, Unit::Mm, Origin::Measured));
    let hard = Some(Known::new("", 150.0, 5.0, Unit::Hv, Origin::Measured));
    let at = Dent { at_mm: mm(345.0), ..dent("third-branch") };
    let plain = site(&survey, &at);
    let measured = site(&survey, &Dent { wall_mm: wall, hardness_hv: hard, ..at });
    assert_eq!((plain.wall_mm.value, plain.wall_mm.origin), (0.6, Origin::Pattern));
    assert_eq!((measured.wall_mm.value, measured.wall_mm.sd, measured.wall_mm.origin), (0.41, 0.02, Origin::Measured));
    assert_eq!((plain.temper.origin, measured.temper.origin), (Origin::Pattern, Origin::Measured));
}

#[test]
fn an_overlay_covers_by_station_and_clock() {
    let survey = tuba();
    let at = |at: f64, clock: Option<f64>| {
        let d = Dent { at_mm: mm(at), clock_deg: clock.and_then(deg), ..dent("bottom-bow") };
        names(&site(&survey, &d)).into_iter().map(str::to_owned).collect::<Vec<_>>()
    };
    // The guard lies on the outside of the bow, away from clock 0.
    assert_eq!(at(250.0, Some(180.0)), ["bottom-bow-guard"]);
    assert_eq!(at(250.0, Some(0.0)), [""; 0]);
    // A clock that nobody gave could be under it.
    assert_eq!(at(250.0, None), ["bottom-bow-guard"]);
    // The ferrule goes all round.
    assert_eq!(at(10.0, Some(0.0)), ["third-branch--bottom-bow-ferrule"]);
    let pushed = Dent { at_mm: mm(300.0), pushed_in_by: Some("second-branch-brace".into()), ..dent("third-branch") };
    assert!(names(&site(&survey, &pushed)).contains(&"second-branch-brace"));
}

#[test]
fn heat_meets_the_joints_beyond_a_short_neighbour_too() {
    let survey = tuba();
    // 30 mm before the end of the second branch: its own joint, and over the bow of 92 mm radius none (289 mm long).
    let end = survey.instrument.run(&"second-branch".into()).unwrap().length_mm();
    let found = site(&survey, &Dent { at_mm: mm(end - 30.0), ..dent("second-branch") }).joints_near;
    assert_eq!(found.iter().map(|(id, _)| id.0.as_str()).collect::<Vec<_>>(), ["second-branch--top-bow"]);
    assert!((found[0].1 - 30.0).abs() < 1e-9);
    // 40 mm behind the start of the small bow, 207 mm long: its start, its end, no further.
    let found = site(&survey, &Dent { at_mm: mm(40.0), ..dent("small-bow") }).joints_near;
    assert_eq!(found.iter().map(|(id, _)| id.0.as_str()).collect::<Vec<_>>(), ["first-branch--small-bow", "small-bow--second-branch"]);
    // The first branch 20 mm behind the slide: the slide's outer leg is 150 mm long, then comes the loose fit; and 670 mm on nothing.
    let found = site(&survey, &Dent { at_mm: mm(20.0), ..dent("first-branch") }).joints_near;
    assert_eq!(found.iter().map(|(id, _)| id.0.as_str()).collect::<Vec<_>>(), ["tuning-slide-second-outer--first-branch"]);
    // The leadpipe's receiver, 62 mm long, is open behind: one joint; the knuckle's neighbour on a casing is none.
    let found = site(&survey, &Dent { at_mm: mm(10.0), ..dent("exit-knuckle") }).joints_near;
    let first = survey.instrument.joint(&found[0].0).unwrap();
    assert!(matches!(first.kind, JointKind::SoftSoldered { .. }) && found[0].0.0 == "exit-knuckle--tuning-slide-first-outer");
    assert_eq!(found.len(), 1);
}

#[test]
fn red_rot_is_where_it_is() {
    let mut survey = tuba();
    survey.conditions.push(Condition {
        from_mm: Some(100.0),
        to_mm: Some(200.0),
        ..Condition::new("rot", ConditionKind::RedRot).on("leadpipe")
    });
    let red = |at| {
        let found = site(&survey, &Dent { at_mm: at, ..dent("leadpipe") });
        (found.red_rot, found.red_rot_through)
    };
    assert_eq!(red(mm(150.0)), (true, None));
    assert_eq!(red(mm(400.0)), (false, None));
    assert_eq!(red(None), (true, None));
    assert!(!site(&survey, &dent("third-branch")).red_rot);
}

#[test]
fn a_brace_that_is_missing_lies_over_nothing() {
    let mut survey = tuba();
    let brace = survey.instrument.overlays.iter().find(|o| o.kind == instrument::OverlayKind::Brace).unwrap().clone();
    let foot = &brace.covers[0];
    let under = Dent { at_mm: mm(0.5 * (foot.from_mm + foot.to_mm)), ..dent(&foot.run.0) };
    assert!(site(&survey, &under).under.contains(&brace.id));
    survey.conditions.push(Condition { overlay: Some(brace.id.clone()), ..Condition::new("c1", ConditionKind::LooseBrace) });
    assert!(site(&survey, &under).under.contains(&brace.id) && !survey.lacks(&brace.id));
    survey.conditions[0].kind = ConditionKind::MissingBrace;
    assert!(!site(&survey, &under).under.contains(&brace.id) && survey.lacks(&brace.id));
    let lies = survey.conditions[0].lies(&survey.instrument);
    assert_eq!(lies.len(), brace.covers.len());
    assert_eq!((lies[0].run.clone(), lies[0].from_mm), (foot.run.clone(), Some(foot.from_mm)));
}

#[test]
fn a_dent_in_no_run_has_no_place() {
    assert_eq!(tuba().site(&dent("fifth-branch")), None);
}

/// (C) Volume: a tube of 15 mm bent round 37 mm keeps 37/44.5 = 0.831 of its wall outside and has 37/29.5 = 1.254 of it inside.
#[test]
fn a_bend_thins_its_outside_and_thickens_its_inside() {
    use instrument::site::bend_thinning;
    assert!((bend_thinning(15.0, 37.0, 180.0) - 0.831).abs() < 0.001);
    assert!((bend_thinning(15.0, 37.0, 0.0) - 1.254).abs() < 0.001);
    // Each strip round the tube keeps its volume: wall × length, the length in proportion to R − (D/2) cos φ (C). The outside
    // and inside of one tube, as the site gives them.
    let survey = tuba();
    let run = survey.instrument.run(&"bottom-bow".into()).unwrap();
    let plain = run.wall_at(200.0).value;
    let diameter = run.bore_at(200.0).value + plain;
    let at = |clock: Option<f64>| site(&survey, &Dent { at_mm: mm(200.0), clock_deg: clock.and_then(deg), ..dent("bottom-bow") }).wall_mm;
    // The bow turns towards clock 0.
    let (inside, outside, unknown) = (at(Some(0.0)), at(Some(180.0)), at(None));
    for (wall, length) in [(&inside, 108.0 - diameter / 2.0), (&outside, 108.0 + diameter / 2.0)] {
        assert!((wall.value * length / (plain * 108.0) - 1.0).abs() < 1e-9, "{wall:?}");
    }
    // A fifth of what the bend changes is not known (practice, `BENT_WALL`), beside the run's own spread in the same proportion.
    let own = site(&survey, &Dent { at_mm: mm(20.0), ..dent("bottom-bow") }).wall_mm.sd;
    let f = outside.value / plain;
    assert!((outside.sd - (f * own).hypot(0.2 * (1.0 - f) * plain)).abs() < 1e-9, "{outside:?} {own}");
    // Nobody said which side: between the two, and wider.
    assert!(outside.value < unknown.value && unknown.value < inside.value && unknown.sd > outside.sd);
    // What was measured at the dent stands.
    let measured = Some(Known::new("", 0.41, 0.02, Unit::Mm, Origin::Measured));
    let d = Dent { at_mm: mm(200.0), clock_deg: deg(180.0), wall_mm: measured, ..dent("bottom-bow") };
    assert_eq!(site(&survey, &d).wall_mm.value, 0.41);
    // Straight: as it was.
    assert_eq!(site(&survey, &Dent { at_mm: mm(20.0), ..dent("bottom-bow") }).wall_mm.value, run.wall_at(20.0).value);
}

fn patch(kind: ConditionKind, from: Option<f64>, to: Option<f64>, left: Option<f64>) -> Condition {
    Condition {
        from_mm: from,
        to_mm: to,
        clock_deg: Some((0.0, 60.0)),
        through: Some(true),
        wall_left_mm: left.map(|w| Known::new("wall left", w, 0.02, Unit::Mm, Origin::Measured)),
        ..Condition::new("patch", kind).on("third-branch")
    }
}

#[test]
fn a_thin_patch_thins_the_wall_of_the_dent_in_it() {
    let mut survey = tuba();
    let at = |clock: f64| Dent { at_mm: mm(345.0), clock_deg: deg(clock), ..dent("third-branch") };
    let plain = site(&survey, &at(30.0)).wall_mm;
    survey.conditions.push(patch(ConditionKind::Thin, Some(300.0), Some(400.0), Some(0.28)));
    assert_eq!((site(&survey, &at(30.0)).wall_mm.value, site(&survey, &at(30.0)).wall_mm.origin), (0.28, Origin::Measured));
    // On the other side of the tube the wall is whole.
    assert_eq!(site(&survey, &at(200.0)).wall_mm.value, plain.value);
    // Thin by nobody knows how much: a tenth, and wider.
    survey.conditions[0].wall_left_mm = None;
    let guessed = site(&survey, &at(30.0)).wall_mm;
    assert!((guessed.value - 0.9 * plain.value).abs() < 1e-9 && guessed.sd > plain.sd);
}

#[test]
fn a_crack_near_a_dent_is_seen_with_its_distance() {
    let mut survey = tuba();
    let d = Dent { at_mm: mm(345.0), clock_deg: deg(30.0), ..dent("third-branch") };
    assert_eq!(site(&survey, &d).crack_near, None);
    survey.conditions.push(patch(ConditionKind::Crack, Some(355.0), Some(365.0), None));
    survey.conditions.push(patch(ConditionKind::Hole, Some(332.0), Some(336.0), None));
    let near = site(&survey, &d).crack_near.unwrap();
    assert!(near.hole && near.distance_mm == Some(9.0), "{near:?}");
    // Nobody said where on the run: known to be somewhere, at no distance.
    survey.conditions.truncate(1);
    (survey.conditions[0].from_mm, survey.conditions[0].to_mm) = (None, None);
    assert_eq!(site(&survey, &d).crack_near.unwrap().distance_mm, None);
    // Far away it is no neighbour.
    survey.conditions[0] = patch(ConditionKind::Crack, Some(500.0), Some(510.0), None);
    assert_eq!(site(&survey, &d).crack_near, None);
}

#[test]
fn slides_valves_and_bells_must_stay_hard() {
    use instrument::Role;
    let hard = [
        Role::HandSlideInner,
        Role::HandSlideOuter,
        Role::TuningSlideInner,
        Role::TuningSlideOuter,
        Role::Piston,
        Role::Casing,
        Role::BellStem,
        Role::BellFlare,
        Role::Rim,
    ];
    assert!(hard.iter().all(|r| r.must_stay_hard()));
    let soft =
        [Role::Leadpipe, Role::Branch, Role::Bow, Role::Knuckle, Role::TuningSlideCrook, Role::HandSlideCrook, Role::Tube, Role::Receiver];
    assert!(soft.iter().all(|r| !r.must_stay_hard()));
}
