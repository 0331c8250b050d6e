//! Sizes, forces, limits, minutes and risks of the usual methods, worked out by hand for one tube each. What is common practice is
//! said in the test with its figures; what is mechanics has its closed form beside it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;
use common::*;
use reach::{DentMethods, Method, MethodKind, Rack, Tool, ToolBody, ToolChoice};
use units::ThreePoint;

fn only(tools: Vec<Tool>) -> Rack {
    Rack { tools, hand_push_n: 150.0, lean_n: 500.0 }
}

fn of(methods: &DentMethods, kind: MethodKind) -> &Method {
    methods.methods.iter().find(|w| w.kind == kind).unwrap_or_else(|| panic!("{}", show(methods)))
}

fn why_not(methods: &DentMethods, kind: MethodKind) -> String {
    methods.rejected.iter().filter(|r| r.kind == kind).map(|r| r.because.metric()).collect::<Vec<_>>().join(" | ")
}

fn from_rack(method: &Method) -> bool {
    matches!(method.tool, ToolChoice::Rack { .. })
}

fn near(got: f64, want: f64, part: f64) {
    assert!((got / want - 1.0).abs() <= part, "{got} is not {want}");
}

fn mandrel(small_mm: f64, large_mm: f64, length_mm: f64) -> Tool {
    tool("mandrel", ToolBody::Mandrel { small_mm, large_mm, length_mm })
}

/// A casing of 19 mm, 130 mm long; a dent 0.4 mm deep and 22 mm long, 60 mm from its top. A mandrel needs 0.05 mm to slide and, a piston
/// running there, leaves no more than 0.10 mm of air (common practice): 18.90 to 18.95 mm, and has to cover 49 to 71 mm.
#[test]
fn a_mandrel_in_a_cylinder() {
    let s = survey(vec![dent("d", "casing", 60.0, 0.0, 0.4)]);
    let at = |t: Tool| methods_for(&s, 200.0, &only(vec![t]));
    for (d, goes) in [(18.89, false), (18.90, true), (18.95, true), (18.96, false)] {
        let w = at(mandrel(d, d, 150.0));
        let method = of(&w, MethodKind::Mandrel);
        assert_eq!(from_rack(method), goes, "{d}: {}", method.because.metric());
        // What is made instead leaves the room to slide.
        near(method.size_mm, if goes { d } else { 18.95 }, 1e-6);
    }
    // Worn by a tenth, the thick one slides and the thin one no longer fills.
    let worn = |d: f64| at(Tool { wear_mm: 0.1, ..mandrel(d, d, 150.0) });
    near(of(&worn(19.02), MethodKind::Mandrel).size_mm, 18.92, 1e-9);
    assert!(!from_rack(of(&worn(18.96), MethodKind::Mandrel)));
    // It may go 10 mm past the dent's edge: 32 mm cover the dent from 81 back to 49, 31 do not.
    assert!(from_rack(of(&at(mandrel(18.9, 18.9, 32.1)), MethodKind::Mandrel)));
    let short = at(mandrel(18.9, 18.9, 31.9));
    assert!(of(&short, MethodKind::Mandrel).because.metric().contains("too short"), "{}", show(&short));
    // 18.88 to 18.98 mm over 200: its thin end goes to the end, 130 mm in; 70 mm before that end, under the dent, it is 18.915.
    near(of(&at(mandrel(18.88, 18.98, 200.0)), MethodKind::Mandrel).size_mm, 18.915, 1e-6);
    // The thicker of two is taken.
    let two = methods_for(&s, 200.0, &only(vec![mandrel(18.91, 18.91, 150.0), mandrel(18.94, 18.94, 150.0), mandrel(18.92, 18.92, 150.0)]));
    near(of(&two, MethodKind::Mandrel).size_mm, 18.94, 1e-9);
    // The nose of 8° with friction 0.15 takes 0.4468 of the wall's force (incline, C), the wall's force goes with the dent's.
    let force = |n: f64| of(&methods_for(&s, n, &only(vec![mandrel(18.9, 18.9, 150.0)])), MethodKind::Mandrel).force_hand_n.value;
    near(force(400.0) / force(200.0), 2.0, 1e-6);
}

/// Where the lean of 500 N is not enough the shop's press leads it; where that is not, one is named by the next 500 N.
#[test]
fn a_mandrel_is_leaned_on_or_pressed() {
    let s = survey(vec![dent("d", "casing", 60.0, 0.0, 3.0)]);
    let press = |limit_n: f64| tool("press", ToolBody::Press { limit_n, travel_mm: None });
    let with = |n: f64, more: Vec<Tool>| methods_for(&s, n, &only(std::iter::once(mandrel(18.9, 18.9, 150.0)).chain(more).collect()));
    let light = with(200.0, vec![]);
    let asked = of(&light, MethodKind::Mandrel).force_hand_n.value;
    assert!(asked < 200.0 && of(&light, MethodKind::Mandrel).force_limit_n == 500.0);
    // Four times what the lean gives: the press.
    let n = 200.0 * 2000.0 / asked;
    let pressed = with(n, vec![press(3000.0)]);
    let method = of(&pressed, MethodKind::Mandrel);
    assert!(
        method.force_limit_n == 3000.0 && matches!(&method.tool, ToolChoice::Rack { tools } if tools.len() == 2),
        "{}",
        method.because.metric()
    );
    assert!(method.force_hand_n.value > 500.0 && method.force_hand_n.value <= 3000.0);
    // A press weaker than the lean is none. What is to be had is a multiple of 500 N that is enough, and the one before is not.
    let bought = with(n, vec![press(400.0)]);
    let method = of(&bought, MethodKind::Mandrel);
    let ToolChoice::ToMake { make, .. } = &method.tool else { panic!("{}", method.because.metric()) };
    let ToolBody::Press { limit_n, travel_mm } = make.pieces[0].body else { panic!("{}", make.words().metric()) };
    assert!(limit_n % 500.0 == 0.0 && method.force_hand_n.value <= limit_n && limit_n == method.force_limit_n, "{}", make.words().metric());
    // It goes from one side of the dent to the other, with 40 mm to take hold in.
    assert!(travel_mm.is_some_and(|mm| mm > 40.0 && mm.fract() == 0.0), "{travel_mm:?}");
    let weaker = with(n, vec![press(limit_n - 500.0)]);
    assert!(!from_rack(of(&weaker, MethodKind::Mandrel)), "{}", show(&weaker));
    assert!(from_rack(of(&with(n, vec![press(limit_n)]), MethodKind::Mandrel)));
    // More than 10 kN no bench press gives (common practice).
    let none = with(25_000.0 * 200.0 / asked, vec![press(3000.0)]);
    assert!(why_not(&none, MethodKind::Mandrel).contains("a bench press gives 10000 N"), "{}", show(&none));
}

/// A branch that grows from 20 to 32 mm over 420; a dent 1 mm deep, 22 by 18 mm, at 300 mm, where the bore is 28.57.
fn branch(n: f64, tools: Vec<Tool>) -> DentMethods {
    methods_for(&survey(vec![dent("d", "first_branch", 300.0, 0.0, 1.0)]), n, &only(tools))
}

fn minutes(got: ThreePoint, want: [f64; 3]) {
    for (g, w) in [got.least, got.likely, got.most].into_iter().zip(want) {
        near(g, w, 2e-3);
    }
}

/// Common practice by hand. Size: √(1/2) · (396/300)^¼ = 0.7579 of a dent 2 mm deep and 300 mm². A rod's 1, 1.5, 3 minutes of setting up and 1, 2, 4 that go with the size; 4 passes
/// of 15 s and 16 strokes of 4 s are 2.067 minutes, 0.6, 1 and 1.8 of it. Its head of 22 fills 0.770 of the bore: risk
/// 0.030 (1 + 2 · 0.03), truth 0.90 − 0.35 · 0.18.
#[test]
fn minutes_risk_and_truth_of_a_rod() {
    let rod = |d: f64, l: f64, h: f64| tool("rod", ToolBody::StraightRod { diameter_mm: d, length_mm: l, head_mm: h });
    let w = branch(200.0, vec![rod(16.0, 600.0, 22.0)]);
    let method = of(&w, MethodKind::StraightRod);
    let strokes = method.strokes.unwrap();
    assert!((strokes.passes, strokes.strokes) == (4.0, 16.0) && (strokes.lift_mm - 0.25).abs() < 1e-9, "{}", show(&w));
    minutes(method.minutes, [2.998, 5.083, 9.752]);
    near(method.risk, 0.0318, 2e-3);
    near(method.finish_quality, 0.837, 1e-3);
    // In the vise, 120 + 20 mm free: 650 N/mm² · 402 mm³/140 mm is 1867 N, said to 10 N; a person leans with 500.
    assert!(method.because.metric().contains("bears 1870 N") && method.force_limit_n == 500.0, "{}", method.because.metric());
    // 0.9 of the lean reaches the head: at the hand a ninth more than the wall is asked. A magnet's ball of that size, held on the same wall.
    // From the narrow end only a thin one goes in, 300 + 20 mm free: it springs by a thirtieth, 10.7 mm, at 3·E·I·10.67/320³ = 209 N, said as 210, and
    // bows by 0.1925 of its deflection.
    let thin = branch(200.0, vec![rod(12.0, 500.0, 16.0)]);
    let method = of(&thin, MethodKind::StraightRod);
    assert!(method.because.metric().contains("bears 210 N"), "{}", method.because.metric());
    let bow = 0.19245 * method.force_hand_n.value * 320.0_f64.powi(3) / (3.0 * 210_000.0 * 1017.876);
    assert!(method.because.metric().contains(&format!("bows {bow:.2} mm")), "{bow} {}", method.because.metric());
}

/// What rules a rod out, by hand. From the wide end the dent is 120 mm in: 20 mm to the vise and 60 in it make 200 mm (common practice);
/// 27.57 mm are left under it. From the narrow end, 20 mm, it is 300 mm in.
#[test]
fn rods_that_do_not_do() {
    let rod = |d: f64, l: f64, h: f64| tool("bar", ToolBody::StraightRod { diameter_mm: d, length_mm: l, head_mm: h });
    let told = |t: Tool| {
        let w = branch(200.0, vec![t]);
        let rods = w.methods.iter().filter(|w| w.kind == MethodKind::StraightRod && from_rack(w)).count();
        let words = show(&w);
        (rods, words)
    };
    assert!(told(rod(16.0, 200.0, 22.0)).0 > 0 && told(rod(16.0, 199.0, 22.0)).0 == 0);
    assert!(told(rod(16.0, 199.0, 22.0)).1.contains("bar is 199 mm long, 200 mm wanted"));
    assert!(told(rod(16.0, 199.0, 22.0)).1.contains("bar is 199 mm long, 380 mm wanted"));
    assert!(told(rod(16.0, 600.0, 27.5)).0 > 0 && told(rod(16.0, 600.0, 27.7)).0 == 0);
    assert!(told(rod(16.0, 600.0, 27.7)).1.contains("bar: head 27.7 mm, 27.6 mm left under the dent"));
    // Worn it is smaller.
    assert!(told(Tool { wear_mm: 0.2, ..rod(16.0, 600.0, 27.7) }).0 > 0);
    assert!(told(rod(10.0, 600.0, 22.0)).1.contains("bar: head 22 mm, bore 20 mm 0 mm in"));
    // Four millimetres: at 140 mm free it springs a thirtieth, 4.67 mm, at 3·E·I·4.67/140³ = 13 N, said to 10 N; at 320 mm at 3 N.
    let thin = told(rod(4.0, 600.0, 12.0));
    assert!(thin.0 == 0 && thin.1.contains("would spring away") && thin.1.contains("10 N borne at 140 mm"), "{}", thin.1);
}

/// None on the rack: the rod to make is long enough for its reach, gap and grip, to the next 10 mm; its head is 0.8 of what passes,
/// 27.47 mm with a tenth of room, down to the half millimetre; its shank bears the force at the hand with a safety of 1.5 (common
/// practice), up to the half millimetre, and no thinner one would (cantilever, C).
#[test]
fn a_rod_is_made_to_the_dent() {
    let w = branch(400.0, vec![]);
    let made = |w: &Method| {
        matches!(&w.tool, ToolChoice::ToMake { make, .. } if matches!(make.pieces[0].body, ToolBody::StraightRod { .. }))
            && w.because.metric().contains("200 mm long")
    };
    let method = w.methods.iter().find(|x| x.kind == MethodKind::StraightRod && made(x)).unwrap_or_else(|| panic!("{}", show(&w)));
    let ToolChoice::ToMake { make, .. } = &method.tool else { unreachable!() };
    let ToolBody::StraightRod { diameter_mm, length_mm, head_mm } = make.pieces[0].body else { panic!("{}", make.words().metric()) };
    assert!(length_mm == 200.0 && head_mm == 21.5 && method.size_mm == 21.5, "{}", make.words().metric());
    let force = method.force_hand_n.value;
    let bears = |d: f64| {
        let (w, i) = (std::f64::consts::PI * d.powi(3) / 32.0, std::f64::consts::PI * d.powi(4) / 64.0);
        (650.0 / 1.5 * w / 140.0).min(3.0 * 210_000.0 * i * (140.0 / 30.0) / 140.0_f64.powi(3))
    };
    assert!(bears(diameter_mm) >= force && bears(diameter_mm - 0.5) < force, "{} {force}", make.words().metric());
}

/// By hand: 400 N halved by each 1.5 mm, through 0.5 mm of wall 317.5 N. The ball is the largest of the rack that passes the 27.57 mm
/// left; its places across 18 mm are a quarter of it apart: 3, in 4 passes 12 strokes. Up to a depth of 0.04 of the outside
/// diameter, 29.57 mm (common practice).
#[test]
fn a_magnet_s_pull_and_strokes() {
    let tools = || {
        vec![
            tool("magnet", ToolBody::Magnet { pull_n: 400.0, half_distance_mm: 1.5 }),
            tool("weak", ToolBody::Magnet { pull_n: 100.0, half_distance_mm: 1.5 }),
            tool("balls", ToolBody::BallSet { smallest_mm: 8.0, largest_mm: 50.0, step_mm: 0.5 }),
        ]
    };
    let w = branch(200.0, tools());
    let method = of(&w, MethodKind::Magnet);
    near(method.force_limit_n, 317.48, 1e-4);
    assert!(method.size_mm == 27.5 && method.strokes.unwrap().strokes == 12.0, "{}", show(&w));
    // 1, 1.5, 3 minutes of setting up, 2, 4, 9 times 0.7579; 4 passes of 10 s, 12 strokes of 3 s.
    minutes(method.minutes, [3.2758, 5.798, 12.101]);
    near(method.risk, 0.005, 1e-6);
    let at = |depth: f64| methods_for(&survey(vec![dent("d", "first_branch", 300.0, 0.0, depth)]), 100.0, &only(tools()));
    assert!(at(1.175).methods.iter().any(|w| w.kind == MethodKind::Magnet));
    assert!(why_not(&at(1.19), MethodKind::Magnet).contains("shallow smooth dent only"));
}

/// A blow's force times its lift is its work (C): a light one leaves 0.3 J, a firm one 1.2 J (common practice), and firm ones are
/// struck where light ones would be more than 300.
#[test]
fn blows_are_paid_by_their_work() {
    let hammered = |n: f64, depth: f64| {
        let tools = vec![
            tool("hammer", ToolBody::Hammer { face_radius_mm: 60.0 }),
            mandrel(18.0, 31.0, 455.0),
            tool("rod", ToolBody::StraightRod { diameter_mm: 25.0, length_mm: 800.0, head_mm: 26.0 }),
        ];
        methods_for(&survey(vec![dent("d", "first_branch", 300.0, 0.0, depth)]), n, &only(tools))
    };
    let work = |w: &DentMethods| {
        let method = of(w, MethodKind::Hammering);
        (method.force_hand_n.value * method.strokes.unwrap().lift_mm / 1000.0, method.strokes.unwrap())
    };
    // Light enough for four passes: less than a light blow's work. A crowned face is no wider than the dent, 18 mm: 5 by 4 places.
    let (j, s) = work(&hammered(200.0, 1.0));
    assert!(j < 0.3 && s.passes == 4.0 && s.strokes == 80.0, "{j} {s:?}");
    // Heavier: as much lift as 0.3 J pays for.
    let (j, s) = work(&hammered(1200.0, 2.0));
    assert!((j / 0.3 - 1.0).abs() < 0.01 && s.strokes <= 300.0 && s.lift_mm < 0.5, "{j} {s:?}");
    // Heavier still: more than 15 passes of light blows would be more than 300, so firm ones.
    let (j, s) = work(&hammered(3000.0, 3.0));
    assert!(j > 0.31 && j < 1.21 && s.strokes <= 300.0, "{j} {s:?}");
    let none = hammered(9000.0, 9.0);
    assert!(why_not(&none, MethodKind::Hammering).contains("blow"), "{}", show(&none));
}

/// By hand: 20 N/mm² (half of tin–lead's strength) on a foot of 8 mm hold 1005 N. 14, 22, 45 minutes of 1.0719 and one pass of 15 s with
/// one pull of 3 s; risk 0.12, truth 0.50 (common practice), twice the risk at half the wall.
#[test]
fn a_stud_is_the_last_resort() {
    let s = survey(vec![dent("d", "second_branch", 200.0, 0.0, 2.0)]);
    let pulled = |n: f64, foot_mm: f64| methods_for(&s, n, &only(vec![tool("stud", ToolBody::PullStud { foot_mm })]));
    let w = pulled(150.0, 8.0);
    let method = of(&w, MethodKind::PullOutside);
    assert!(from_rack(method) && method.size_mm == 8.0, "{}", show(&w));
    near(method.force_limit_n, 1005.31, 1e-4);
    minutes(method.minutes, [15.007 + 0.18, 23.582 + 0.3, 48.236 + 0.54]);
    near(method.risk, 0.12, 1e-6);
    near(method.finish_quality, 0.50, 1e-6);
    // Too small a foot: one is made that holds, to the next whole millimetre.
    let made = pulled(1500.0, 4.0);
    let method = of(&made, MethodKind::PullOutside);
    let ToolChoice::ToMake { make, .. } = &method.tool else { panic!("{}", show(&made)) };
    let foot = (4.0 * method.force_hand_n.value / (std::f64::consts::PI * 20.0)).sqrt().ceil();
    assert!(
        matches!(make.pieces[0].body, ToolBody::PullStud { foot_mm } if foot_mm == foot) && method.size_mm == foot,
        "{} {foot}",
        make.words().metric()
    );
    assert!(method.force_limit_n >= method.force_hand_n.value);
    // The force goes with the dent's.
    near(method.force_hand_n.value / of(&w, MethodKind::PullOutside).force_hand_n.value, 10.0, 1e-6);
}

/// A waist on the way in, 18.9 mm between the mouth and the dent, holds a mandrel of 18.94 mm back that fits at the mouth and under the
/// dent; one of 18.84 mm passes. Two narrower waists would keep a mandrel that passes them off the wall between: of 18.6 mm, 0.2 mm
/// and more ((19 − 18.6)/2, C) stay free over the dent.
#[test]
fn a_waist_holds_a_mandrel_back() {
    use instrument::{Interpolation, Point, Profile};
    use units::Origin;
    let mut s = survey(vec![dent("d", "slide_outer", 60.0, 0.0, 0.4)]);
    let point = |(at_mm, value): (f64, f64)| Point { at_mm, value, sd: 0.0, origin: Origin::Measured };
    let mut goes = |waist: f64, d: f64| {
        let points = [(0.0, 19.0), (20.0, waist), (40.0, 19.0), (90.0, 19.0), (110.0, waist), (130.0, 19.0)];
        s.instrument.runs[2].bore_mm = Profile { points: points.into_iter().map(point).collect(), between: Interpolation::Linear };
        let w = methods_for(&s, 200.0, &only(vec![mandrel(d, d, 150.0)]));
        w.methods.iter().any(|w| w.kind == MethodKind::Mandrel && from_rack(w))
    };
    assert!(goes(18.9, 18.84) && !goes(18.9, 18.86) && !goes(18.9, 18.94));
    assert!(!goes(18.6, 18.54));
}

/// A flare bends away from a straight taper: at the kink of this one, 150 mm in, the bore grows by 38 mm over 150 before it and by 80
/// mm over 90 past it. A straight mandrel laid along the one leaves (80/90 − 38/150)/2 · 11 mm = 3.5 mm of air at the dent's far edge, laid
/// between both still more than a millimetre: it does not touch, and none is made. On the cone before it one of its taper does.
#[test]
fn a_mandrel_for_a_flare_does_not_touch_past_its_kink() {
    let w = methods_for(&survey(vec![dent("d", "bell", 150.0, 0.0, 2.0)]), 100.0, &only(vec![]));
    assert!(w.methods.iter().all(|w| w.kind != MethodKind::Mandrel), "{}", show(&w));
    let why: Vec<String> = w.rejected.iter().filter(|r| r.kind == MethodKind::Mandrel).map(|r| r.because.metric()).collect();
    assert!(why.iter().any(|w| w.contains("no straight taper")), "{why:?}");
    let w = methods_for(&survey(vec![dent("d", "bell", 75.0, 0.0, 2.0)]), 100.0, &only(vec![]));
    let method = of(&w, MethodKind::Mandrel);
    assert!(method.contact.as_ref().unwrap().end.gap_mm.value <= 0.15, "{}", show(&w));
}

/// C: a blow of J joules pays for what it lifts and for what springs back, p·F·(d/n + ½·p·s). Up to half the depth the part p does not hang
/// on the lift, so n = d/(1000 J/(p F) − ½ p s), to the next whole blow.
#[test]
fn mallet_blows_by_their_work() {
    let stroke = dent::stroke::Stroke {
        mean_diameter_mm: 120.0,
        wall_mm: 0.5,
        yield_strain: 0.003,
        hardening_n: 0.15,
        depth_mm: 6.0,
        width_along_mm: 40.0,
        width_across_mm: 40.0,
        head_mm: 60.0,
        lift_mm: 0.6,
        hold: dent::stroke::Hold::Stake,
    };
    let p = dent::stroke::force_part(&stroke).force_part;
    assert!(p > 0.3 && p < 1.0, "{p}");
    for (newtons, springs, joules) in [(600.0, 0.4, 0.55), (900.0, 0.5, 0.55), (900.0, 0.0, 0.55), (400.0, 0.8, 0.4)] {
        let n: f64 = 6.0 / (1000.0 * joules / (p * newtons) - 0.5 * p * springs);
        assert!(n > 2.0 && (n - n.round()).abs() > 0.02, "{n}");
        assert_eq!(reach::raising::blows(&stroke, newtons, springs, joules), Some(n.ceil() as u32), "{newtons} {springs} {n}");
    }
    // What springs back takes all of the blow.
    assert_eq!(reach::raising::blows(&stroke, 900.0, 1100.0 / (p * p * 900.0) * 1.01, 0.55), None);
}

/// What an anneal would do is said with its force: the assessment's force after the anneal, and the law's part until 0.35 is left with the
/// annealed metal's curve; nothing is said where that would not do either, nor where nobody worked out what the anneal leaves.
#[test]
fn what_an_anneal_would_spare() {
    use dent::stroke::{Hold, Stroke, part_to};
    const SPARED: f64 = 0.55;
    let rod = || vec![tool("rod", ToolBody::StraightRod { diameter_mm: 25.0, length_mm: 800.0, head_mm: 26.0 })];
    let s = survey(vec![dent("d", "first_branch", 300.0, 0.0, 1.0)]);
    let site = s.site(&s.dents[0]).unwrap();
    let said = |n: f64, known: bool| {
        let mut a = assessment(&s, &s.dents[0], n);
        let temper = units::Known::new("temper after the anneal", 0.0, 0.2, units::Unit::NumbersHard, units::Origin::Computed);
        let force_inside_n = assessment(&s, &s.dents[0], SPARED * n).force_inside_n;
        let (overpush_mm, passes) = (a.overpush_mm.clone(), a.passes.clone());
        a.after_anneal = known.then_some(dent::AfterAnneal { temper, force_inside_n, overpush_mm, passes });
        let why = why_not(&reach::methods(&s, &[a], &only(rod())).swap_remove(0), MethodKind::StraightRod);
        let number = |after: &str| -> Option<f64> { why.split(after).nth(1)?.trim_start().split(' ').next()?.parse().ok() };
        (number("needs at least"), number("annealed,"))
    };
    let part = |numbers: f64| {
        let curve = metal::Curve::fit(metal::Alloy::YellowBrass, metal::Temper(numbers));
        let (first, hardening_n) = dent::force::laid_through(curve.stress_mpa(0.01), curve.stress_mpa(0.15));
        part_to(
            &Stroke {
                mean_diameter_mm: site.bore_mm.value + site.wall_mm.value,
                wall_mm: site.wall_mm.value,
                yield_strain: first / curve.e_mpa,
                hardening_n,
                depth_mm: 1.0,
                width_along_mm: 20.0,
                width_across_mm: 20.0,
                head_mm: 26.0,
                lift_mm: 1.0,
                hold: Hold::Hand,
            },
            0.35,
        )
    };
    let (least, annealed) = said(1000.0, true);
    near(annealed.unwrap() / least.unwrap(), SPARED * part(0.0) / part(site.temper.value), 0.01);
    assert!(least.unwrap() > 450.0 && annealed.unwrap() <= 450.0, "{least:?} {annealed:?}");
    assert_eq!(said(1000.0, false).1, None);
    // Twice as hard to move: a person's 450 N at the head are too little even then.
    assert_eq!(said(2500.0, true).1, None);
}

/// Common practice: a smooth dent takes 0.9 of a rounded one's minutes besides setting up and 0.8 of its risk, a sharp one 1.4 and 1.6, a fold 1.9 and 2.2;
/// of how true it comes they cost nothing, 0.06 and 0.14. Thin walls mark more, in proportion from half to twice a wall of half a
/// millimetre; a small head more by twice what it lacks to 0.8 of the bore.
#[test]
fn form_wall_and_head_weigh_in() {
    use dent::Form;
    let rod = |h: f64| vec![tool("rod", ToolBody::StraightRod { diameter_mm: 10.0, length_mm: 600.0, head_mm: h })];
    let method = |form: Form, wall: f64, head: f64| {
        let mut s = survey(vec![dent("d", "first_branch", 300.0, 0.0, 1.0)]);
        s.instrument.runs.iter_mut().for_each(|r| r.wall_mm = instrument::Profile::constant(wall, 0.02, units::Origin::Measured));
        let mut a = assessment(&s, &s.dents[0], 100.0);
        a.form = form;
        let w = reach::methods(&s, &[a], &only(rod(head))).swap_remove(0);
        let found = w.methods.iter().find(|w| w.kind == MethodKind::StraightRod && w.size_mm == head);
        found.unwrap_or_else(|| panic!("{}", show(&w))).clone()
    };
    let plain = method(Form::Rounded, 0.5, 22.0);
    let moving = plain.minutes.likely - 1.5 - 2.0 * 0.757_95;
    assert!(moving > 0.0);
    for (form, time, risk, lost) in [(Form::Smooth, 0.9, 0.8, 0.0), (Form::Sharp, 1.4, 1.6, 0.06), (Form::VShaped, 1.9, 2.2, 0.14)] {
        let w = method(form, 0.5, 22.0);
        near(w.minutes.likely, 1.5 + 2.0 * 0.757_95 * time + moving, 1e-3);
        near(w.risk / plain.risk, risk, 1e-6);
        near(plain.finish_quality - lost, w.finish_quality, 1e-6);
    }
    for (wall, thin) in [(0.25, 2.0), (0.4, 1.25), (0.2, 2.0), (0.625, 0.8), (1.2, 0.6)] {
        near(method(Form::Rounded, wall, 22.0).risk / plain.risk, thin, 1e-6);
    }
    // 14 mm in 28.57: 0.49 of the bore, 0.31 short of 0.8 and 0.46 of 0.95.
    let small = method(Form::Rounded, 0.5, 14.0);
    near(small.risk, 0.030 * 1.62, 1e-3);
    near(small.finish_quality, 0.90 - 0.35 * 0.46, 1e-3);
    // 27.2 mm is 0.952: nothing is lost, nothing more marked.
    let full = method(Form::Rounded, 0.5, 27.2);
    near(full.risk, 0.030, 1e-9);
    near(full.finish_quality, 0.90, 1e-9);
}

/// In a moving fit hundredths count: a burnisher's line costs 0.12 of how true it comes, a plug's jaws 0.05, a mandrel's whole bore
/// nothing (common practice).
#[test]
fn a_fit_asks_for_hundredths() {
    let s = survey(vec![dent("d", "casing", 60.0, 0.0, 0.4)]);
    let w = methods_for(&s, 200.0, &only(vec![]));
    near(of(&w, MethodKind::Mandrel).finish_quality, 0.96, 1e-6);
    near(of(&w, MethodKind::Expander).finish_quality, 0.85, 1e-6);
    let burnished = of(&w, MethodKind::Burnishing);
    near(burnished.finish_quality, 0.92 - 0.12 - 0.35 * (0.95 - burnished.size_mm / 19.0), 1e-6);
}

/// A burnisher that is made for a casing, 60 mm in: 80 mm free and 60 in the vise; its nose 0.8 of nine tenths of the bore, down to the half
/// millimetre: 13.5. Its bar of 7.5 mm bends at 650 · 41.42/80 = 336.5 N, of which 0.8 is used; with a safety of 1.5 one of 7 stands 182.4 N, less
/// than a rub asks. 50 rubs a minute
/// on top of 2, 4, 8 minutes of setting up and 4, 7, 16 at half the usual size, the least that is reckoned (common practice).
#[test]
fn a_burnisher_by_hand() {
    let w = methods_for(&survey(vec![dent("d", "casing", 60.0, 0.0, 0.4)]), 200.0, &only(vec![]));
    let method = of(&w, MethodKind::Burnishing);
    let ToolChoice::ToMake { make, .. } = &method.tool else { panic!("{}", show(&w)) };
    let ToolBody::Burnisher { diameter_mm, length_mm, head_mm } = make.pieces[0].body else { panic!("{}", make.words().metric()) };
    assert!((diameter_mm, length_mm, head_mm) == (7.5, 140.0, 13.5), "{}", make.words().metric());
    near(method.force_limit_n, 0.8 * 336.5, 1e-3);
    assert!(method.force_hand_n.value > 0.8 * 219.0 && method.force_hand_n.value <= method.force_limit_n);
    let rubs = method.strokes.unwrap().strokes;
    minutes(method.minutes, [4.0 + 0.01 * rubs, 7.5 + 0.02 * rubs, 16.0 + 0.04 * rubs]);
    // A rub lifts a tenth of the depth, in ten passes of as many rubs each, a quarter of the nose apart both methods: 7 by 6.
    assert!((method.strokes.unwrap().lift_mm - 0.04).abs() < 1e-9 && rubs == 10.0 * 7.0 * 6.0, "{rubs}");
}

/// Each ball of a train asks the force that the share it leaves asks (dent::stroke::part_to), reckoned here anew ball by ball: what a
/// ball presses goes into what stays and what springs back (elastic unloading, C: in proportion to the force), and it is driven up the
/// dent's flank against friction (drive_force). The first balls ask less of the wall than the last.
#[test]
fn each_ball_of_a_train_asks_for_the_share_that_it_leaves() {
    use dent::stroke::{Hold, Stroke, part_to};
    use reach::drive_force::{FRICTION, drive_n};
    const WALL_N: f64 = 300.0;
    let s = survey(vec![dent("d", "first_branch", 300.0, 0.0, 4.0)]);
    let site = s.site(&s.dents[0]).unwrap();
    let bore = site.bore_mm.value;
    let rack = Rack {
        tools: vec![
            tool("balls", ToolBody::BallSet { smallest_mm: 8.0, largest_mm: 50.0, step_mm: 0.5 }),
            tool("rod", ToolBody::StraightRod { diameter_mm: 20.0, length_mm: 800.0, head_mm: 22.0 }),
        ],
        hand_push_n: 5000.0,
        lean_n: 500.0,
    };
    let found = methods_for(&s, WALL_N, &rack);
    let method = found.methods.iter().find(|w| w.kind == MethodKind::BallTrain).unwrap_or_else(|| panic!("{}", show(&found)));
    let a = assessment(&s, &s.dents[0], WALL_N);
    let curve = metal::Curve::fit(metal::Alloy::YellowBrass, metal::Temper(site.temper.value));
    let (first, hardening_n) = dent::force::laid_through(curve.stress_mpa(0.01), curve.stress_mpa(0.15));
    let stroke = Stroke {
        mean_diameter_mm: bore + site.wall_mm.value,
        wall_mm: site.wall_mm.value,
        yield_strain: first / curve.e_mpa,
        hardening_n,
        depth_mm: 4.0,
        width_along_mm: a.width_along_mm.value,
        width_across_mm: a.width_across_mm.value,
        head_mm: bore,
        lift_mm: 1.0,
        hold: Hold::Hand,
    };
    let over_push = a.overpush_mm.value;
    let (mut open, mut previous, mut parts) = (bore - 4.0, 0.0, Vec::new());
    for ball in &method.train {
        let step = ball.ball_mm - open;
        let part = |stays: f64| part_to(&stroke, 1.0 - (open - (bore - 4.0) + stays) / 4.0);
        let most = if previous > 0.0 { ball.ball_mm - previous } else { step };
        let mut stays = 0.0;
        while stays + 1e-3 < most && stays + 1e-3 + over_push * part(stays + 1e-3) <= step {
            stays += 1e-3;
        }
        let pressed = part(stays).max((step - stays) / over_push * f64::from(stays + 2e-3 > most));
        near(ball.drive_n, drive_n(WALL_N * pressed, ball.ball_mm, step, 4.0, 0.5 * a.width_along_mm.value, FRICTION.0), 0.03);
        parts.push(pressed);
        (open, previous) = (open + stays, ball.ball_mm);
    }
    assert!(parts.len() >= 3 && parts[0] < 0.85 * parts[parts.len() - 1], "{parts:?}");
}
