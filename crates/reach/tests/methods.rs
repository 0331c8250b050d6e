//! The methods that need tools of their own: burnishing, the expanding plug, the draw ring, the filled bend, raising.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;
use common::*;
use instrument::{FitId, FitKind, FitState, JointId, Kind, MovingFit, Survey};
use metal::Fill;
use reach::{DentMethods, Method, MethodKind, Opened, Rack, ToolBody, ToolChoice};
use units::{Known, Origin, Unit};

/// The small shop's rack with what these methods need.
fn full() -> Rack {
    let mut r = rack();
    r.tools.extend([
        tool("inside_burnisher", ToolBody::Burnisher { diameter_mm: 12.0, length_mm: 320.0, head_mm: 16.0 }),
        tool("expander", ToolBody::Expander { smallest_mm: 17.5, largest_mm: 20.5, jaws_mm: 12.0, length_mm: 160.0, limit_n: 20_000.0 }),
        tool("ring", ToolBody::DrawRing { bore_mm: 20.56 }),
        tool("draw_bench", ToolBody::DrawBench { length_mm: 800.0, limit_n: 5_000.0 }),
        tool("true_mandrel", ToolBody::Mandrel { small_mm: 19.5, large_mm: 19.5, length_mm: 150.0 }),
        tool("fill_95", ToolBody::Fill { fill: Fill::Alloy95 }),
        tool("pitch", ToolBody::Fill { fill: Fill::Pitch }),
        tool("bell_stake", ToolBody::Stake { crown_radius_mm: 70.0, face_mm: 60.0, diameter_mm: 30.0, length_mm: 500.0 }),
    ]);
    r
}

fn of(methods: &DentMethods, kind: MethodKind) -> Vec<&Method> {
    methods.methods.iter().filter(|w| w.kind == kind).collect()
}

fn why_not(methods: &DentMethods, kind: MethodKind) -> String {
    methods.rejected.iter().filter(|r| r.kind == kind).map(|r| r.because.metric()).collect::<Vec<_>>().join(" | ")
}

fn from_rack(method: &Method) -> bool {
    matches!(method.tool, ToolChoice::Rack { .. })
}

fn without(mut r: Rack, out: impl Fn(&ToolBody) -> bool) -> Rack {
    r.tools.retain(|t| !out(&t.body));
    r
}

/// A small ding, 12 by 10 mm.
fn ding(run: &str, at_mm: f64, depth_mm: f64) -> instrument::Dent {
    let mm = |name: &'static str, v: f64| Some(Known::new(name, v, 0.02 * v, Unit::Mm, Origin::Measured));
    let mut d = dent("d", run, at_mm, 0.0, depth_mm);
    (d.width_along_mm, d.width_across_mm) = (mm("width along", 12.0), mm("width across", 10.0));
    d
}

fn with_fit(mut s: Survey, run: &str, clearance: Option<f64>) -> Survey {
    s.instrument.fits = vec![MovingFit {
        id: FitId("fit".into()),
        name: "the slide".into(),
        kind: FitKind::TuningSlide,
        inner: "slide_crook".into(),
        outer: run.into(),
        clearance_mm: clearance.map(|c| Known::new("clearance", c, 0.01, Unit::Mm, Origin::Measured)),
        state: Some(FitState::Free),
    }];
    s
}

/// The case of the issue: half a millimetre in a trombone's inner hand slide. A mandrel or a burnisher, and no ball driven
/// through a hard tube that is plated outside; with the rack's tools and, where it has none, with one to make.
#[test]
fn a_ding_in_an_inner_hand_slide_is_rubbed_not_driven() {
    let instrument = instrument::patterns::pattern(Kind::Trombone).unwrap();
    let run = instrument.runs.iter().find(|r| r.role == instrument::Role::HandSlideInner).unwrap().id.clone();
    for at in [120.0, 350.0] {
        let s = Survey { instrument: instrument.clone(), ..survey(vec![ding(&run.0, at, 0.5)]) };
        let a = dent::assess_all(&s);
        for r in [full(), without(full(), |b| matches!(b, ToolBody::Mandrel { .. }))] {
            let w = &reach::methods(&s, &a, &r)[0];
            let gentle = [of(w, MethodKind::Mandrel), of(w, MethodKind::Burnishing), of(w, MethodKind::DrawRing)].concat();
            assert!(!gentle.is_empty(), "{}", show(w));
            for m in [MethodKind::BallTrain, MethodKind::PullOutside] {
                assert!(of(w, m).is_empty() && !why_not(w, m).is_empty(), "{}", show(w));
            }
            // The first of the list is one of them.
            assert!(matches!(w.methods[0].kind, MethodKind::Mandrel | MethodKind::Burnishing | MethodKind::Rolling), "{}", show(w));
        }
    }
}

#[test]
fn a_shallow_ding_is_burnished_a_deep_dent_is_roughed_out_first() {
    let at = |d: f64, r: &Rack| methods_for(&survey(vec![ding("slide_outer", 60.0, d)]), 250.0, r);
    let shallow = at(0.6, &full());
    let b = of(&shallow, MethodKind::Burnishing);
    assert!(b.iter().any(|w| from_rack(w)), "{}", show(&shallow));
    for w in &b {
        assert!(
            w.force_hand_n.value <= w.force_limit_n && w.pose.is_some() && w.because.metric().contains("rubs"),
            "{}",
            w.because.metric()
        );
        // A rub asks less than the one push and more than nothing.
        assert!(w.force_hand_n.value < 250.0 && w.force_hand_n.value > 0.15 * 250.0, "{}", w.because.metric());
    }
    let deep = at(3.0, &full());
    assert!(
        of(&deep, MethodKind::Burnishing).is_empty() && why_not(&deep, MethodKind::Burnishing).contains("roughed out first"),
        "{}",
        show(&deep)
    );
    // 8 % of 19.6 mm is 1.57 mm.
    assert!(!of(&at(1.5, &full()), MethodKind::Burnishing).is_empty() && of(&at(1.65, &full()), MethodKind::Burnishing).is_empty());
    let mut long = ding("slide_outer", 60.0, 0.6);
    long.width_along_mm = Some(Known::new("width along", 45.0, 1.0, Unit::Mm, Origin::Measured));
    let long = methods_for(&survey(vec![long]), 250.0, &full());
    assert!(why_not(&long, MethodKind::Burnishing).contains("waves"), "{}", show(&long));
}

/// A bar that is too thin springs away before a rub leaves anything: that is said, with the force at which it would.
#[test]
fn a_thin_bar_leaves_nothing() {
    let mut r = without(full(), |b| matches!(b, ToolBody::Burnisher { .. }));
    r.tools.push(tool("needle", ToolBody::Burnisher { diameter_mm: 4.0, length_mm: 320.0, head_mm: 6.0 }));
    let w = methods_for(&survey(vec![ding("slide_outer", 60.0, 0.6)]), 600.0, &r);
    assert!(!of(&w, MethodKind::Burnishing).iter().any(|w| from_rack(w)), "{}", show(&w));
    // More force at the wall takes more rubs or a stronger bar, never less force.
    let force = |n: f64| {
        let w = methods_for(&survey(vec![ding("slide_outer", 60.0, 0.6)]), n, &full());
        of(&w, MethodKind::Burnishing).iter().map(|w| w.force_hand_n.value).fold(f64::INFINITY, f64::min)
    };
    assert!(force(300.0) > force(200.0) && force(200.0) > force(100.0));
}

#[test]
fn a_burnisher_is_made_where_nothing_else_reaches() {
    let r = without(full(), |b| !matches!(b, ToolBody::Roller { .. } | ToolBody::Hammer { .. }));
    let w = methods_for(&survey(vec![ding("slide_outer", 60.0, 0.6)]), 250.0, &r);
    let made: Vec<&Method> = of(&w, MethodKind::Burnishing).into_iter().filter(|w| !from_rack(w)).collect();
    let ToolChoice::ToMake { make, .. } = &made.first().unwrap_or_else(|| panic!("{}", show(&w))).tool else { panic!() };
    let ToolBody::Burnisher { diameter_mm, length_mm, head_mm } = make.pieces[0].body else { panic!("{make:?}") };
    // It goes under the dent, it fills at most nine tenths of the bore, it reaches from the vise.
    assert!(head_mm <= 0.9 * 19.6 && head_mm >= diameter_mm && length_mm >= 80.0 + 60.0, "{make:?}");
    assert!(make.words().metric().contains("polished nose"), "{make:?}");
}

#[test]
fn an_expander_takes_a_straight_cylinder_and_nothing_else() {
    let tube = |run: &str, at: f64, d: f64| methods_for(&survey(vec![ding(run, at, d)]), 250.0, &full());
    let slide = tube("slide_outer", 60.0, 1.5);
    let e = of(&slide, MethodKind::Expander);
    assert!(e.iter().any(|w| from_rack(w)), "{}", show(&slide));
    // Yellow brass half hard yields at 350, E 112 000 N/mm²: a ring of 20.1 mm springs back 0.063 mm.
    assert!(e[0].because.metric().contains("19.66 mm") && e[0].because.metric().contains("0.06 mm past"), "{}", e[0].because.metric());
    assert!(why_not(&tube("slide_crook", 160.0, 1.5), MethodKind::Expander).contains("bent"), "a bend");
    assert!(why_not(&tube("first_branch", 100.0, 1.5), MethodKind::Expander).contains("bore changes"), "a taper");
    // Shut it is 17.5 mm: 19.6 − 2.3 is less.
    let deep = tube("slide_outer", 60.0, 2.3);
    assert!(!of(&deep, MethodKind::Expander).iter().any(|w| from_rack(w)), "{}", show(&deep));
    // It goes 160 mm in; at 70 mm from the far end nothing opens nearer.
    let mut cracked = ding("slide_outer", 60.0, 1.5);
    cracked.crack = Some(instrument::Crack { direction: Some(instrument::Direction::Along), length_mm: None, through: None });
    assert!(why_not(&methods_for(&survey(vec![cracked]), 250.0, &full()), MethodKind::Expander).contains("crack"), "a crack");
}

#[test]
fn an_expander_minds_the_fit() {
    let at = |clearance: Option<f64>| {
        methods_for(&with_fit(survey(vec![ding("slide_outer", 60.0, 1.5)]), "slide_outer", clearance), 250.0, &full())
    };
    let (wide, tight, unknown) = (at(Some(0.10)), at(Some(0.02)), at(None));
    assert!(!of(&wide, MethodKind::Expander).is_empty(), "{}", show(&wide));
    assert!(
        of(&tight, MethodKind::Expander).is_empty() && why_not(&tight, MethodKind::Expander).contains("half of the fit's"),
        "{}",
        show(&tight)
    );
    assert!(of(&unknown, MethodKind::Expander)[0].because.metric().contains("not measured"), "{}", show(&unknown));
}

#[test]
fn an_expander_s_screw_has_to_hold() {
    let mut r = full();
    r.tools.iter_mut().for_each(|t| {
        if let ToolBody::Expander { limit_n, .. } = &mut t.body {
            *limit_n = 2_000.0;
        }
    });
    let w = methods_for(&survey(vec![ding("slide_outer", 60.0, 1.5)]), 250.0, &r);
    assert!(
        !of(&w, MethodKind::Expander).iter().any(|w| from_rack(w)) && why_not(&w, MethodKind::Expander).contains("bears 2000 N"),
        "{}",
        show(&w)
    );
}

#[test]
fn a_ring_wants_the_tube_free_at_both_ends_and_straight() {
    let s = |run: &str, at: f64| survey(vec![ding(run, at, 1.5)]);
    let w = methods_for(&s("slide_outer", 60.0), 250.0, &full());
    let d = of(&w, MethodKind::DrawRing);
    assert!(!d.is_empty() && from_rack(d[0]), "{}", show(&w));
    // Its soldered end apart; the other comes out by hand.
    assert!(d[0].opens.contains(&Opened::Joint(JointId("knuckle_slide".into()))), "{}", show(&w));
    let ToolChoice::Rack { tools } = &d[0].tool else { panic!() };
    let named: Vec<&str> = tools.iter().map(|t| t.0.as_str()).collect();
    assert!(named[0] == "ring" && named.contains(&"draw_bench") && named.contains(&"true_mandrel"), "{named:?}");
    // 350·(1 + B)/B·(1 − 0.96^B)·π·20.1·0.48, B = 0.07/tan 10°: 350·0.0572·30.3 N ≈ 610 N.
    assert!((550.0..680.0).contains(&d[0].force_hand_n.value), "{}", d[0].because.metric());
    assert!(why_not(&methods_for(&s("slide_crook", 50.0), 250.0, &full()), MethodKind::DrawRing).contains("bent"));
    assert!(why_not(&methods_for(&s("first_branch", 100.0), 250.0, &full()), MethodKind::DrawRing).contains("one ring fits"));
    let mut kept = s("slide_outer", 60.0);
    kept.wishes.keep_shut = vec!["knuckle_slide".into()];
    assert!(why_not(&methods_for(&kept, 250.0, &full()), MethodKind::DrawRing).contains("both ends must be free"));
}

#[test]
fn a_ring_is_made_to_the_tube_and_pulled_by_what_there_is() {
    let s = survey(vec![ding("slide_outer", 60.0, 1.5)]);
    let no_ring = methods_for(&s, 250.0, &without(full(), |b| matches!(b, ToolBody::DrawRing { .. })));
    let d = of(&no_ring, MethodKind::DrawRing);
    let ToolChoice::ToMake { make, .. } = &d[0].tool else { panic!("{}", show(&no_ring)) };
    // 20.6 mm outside less twice 4 % of half a millimetre.
    assert!(matches!(make.pieces[0].body, ToolBody::DrawRing { bore_mm } if (bore_mm - 20.56).abs() < 1e-9), "{make:?}");
    // The press travels 150 mm: enough for 140; without either there is nothing.
    let press = methods_for(&s, 250.0, &without(full(), |b| matches!(b, ToolBody::DrawBench { .. })));
    assert_eq!(
        of(&press, MethodKind::DrawRing).is_empty(),
        !rack().tools.iter().any(|t| matches!(t.body, ToolBody::Press { limit_n, .. } if limit_n > 700.0))
    );
    let none = methods_for(&s, 250.0, &without(full(), |b| matches!(b, ToolBody::DrawBench { .. } | ToolBody::Press { .. })));
    assert!(why_not(&none, MethodKind::DrawRing).contains("no draw bench"), "{}", show(&none));
}

#[test]
fn a_bend_is_filled_after_its_dent_is_raised() {
    let s = survey(vec![dent("d", "bottom_bow", 150.0, 0.0, 5.0)]);
    let w = methods_for(&s, 200.0, &full());
    let f = of(&w, MethodKind::FilledBend);
    assert_eq!(f.len(), 1, "{}", show(&w));
    let joint = |j: &str| Opened::Joint(JointId(j.into()));
    // Both ends apart, its guard and ferrules off.
    assert!(f[0].opens.contains(&joint("branch_bow")) && f[0].opens.contains(&joint("bow_branch")), "{}", show(&w));
    assert!(f[0].opens.contains(&Opened::Overlay("bow_guard".into())), "{}", show(&w));
    // 32 to 44 mm over 298 mm is 340 cm³: 3.3 kg of alloy.
    assert_eq!(f[0].fill, Some(Fill::Alloy95));
    assert!(f[0].because.metric().contains("3.3 kg") && f[0].because.metric().contains("lifts nothing"), "{}", f[0].because.metric());
    let raised = [MethodKind::BallTrain, MethodKind::CurvedRod, MethodKind::StraightRod].map(|m| of(&w, m)).concat();
    let least = raised.iter().map(|w| w.minutes.mean()).fold(f64::INFINITY, f64::min);
    assert!(f[0].minutes.mean() > least + 5.0 && f[0].finish_quality > 0.9, "{}", show(&w));
}

#[test]
fn a_bend_is_not_filled_without_need() {
    let filled = |d: instrument::Dent, r: &Rack| methods_for(&survey(vec![d]), 200.0, r);
    let shallow = filled(dent("d", "bottom_bow", 150.0, 0.0, 1.5), &full());
    assert!(why_not(&shallow, MethodKind::FilledBend).contains("no ridge"), "{}", show(&shallow));
    let straight = filled(dent("d", "second_branch", 150.0, 0.0, 5.0), &full());
    assert!(why_not(&straight, MethodKind::FilledBend).contains("straight there"), "{}", show(&straight));
    let empty = filled(dent("d", "bottom_bow", 150.0, 0.0, 5.0), &without(full(), |b| matches!(b, ToolBody::Fill { .. })));
    assert!(why_not(&empty, MethodKind::FilledBend).contains("no fill on the rack: 3.3 kg of alloy 95"), "{}", show(&empty));
    let mut kept = survey(vec![dent("d", "bottom_bow", 150.0, 0.0, 5.0)]);
    kept.wishes.keep_shut = vec!["bow_branch".into()];
    let kept = methods_for(&kept, 200.0, &full());
    assert!(why_not(&kept, MethodKind::FilledBend).contains("does not come apart"), "{}", show(&kept));
    // A wider bow asks more alloy than a pot holds: pitch, which bears less.
    let mut wide = survey(vec![dent("d", "bottom_bow", 150.0, 0.0, 8.0)]);
    wide.instrument.runs.iter_mut().find(|r| r.id.0 == "bottom_bow").unwrap().bore_mm.points.iter_mut().for_each(|p| p.value *= 1.15);
    let wide = methods_for(&wide, 60.0, &full());
    let f = of(&wide, MethodKind::FilledBend);
    assert!(f.first().is_some_and(|w| w.fill == Some(Fill::Pitch)), "{}", show(&wide));
}

#[test]
fn a_bell_is_raised_on_a_stake_whose_crown_suits_it() {
    let s = |at: f64, d: f64| survey(vec![dent("d", "bell", at, 0.0, d)]);
    // A crown of 70 mm in a bore of 144 mm; at 190 mm (bore 136) it would stand on the edges of its face.
    let w = methods_for(&s(200.0, 4.0), 250.0, &full());
    let r = of(&w, MethodKind::Raising);
    assert!(r.iter().any(|w| from_rack(w)), "{}", show(&w));
    assert!(r[0].force_hand_n.value <= r[0].force_limit_n && r[0].because.metric().contains("mallet blows"), "{}", r[0].because.metric());
    let told = r[0].strokes.as_ref().expect("a mallet moves");
    assert!((told.lift_mm * told.strokes - 4.0).abs() < 1e-6, "{told:?}");
    // (4/9)²/2: 10 %.
    assert!(r[0].because.metric().contains("thins by about 10 %"), "{}", r[0].because.metric());
    let narrow = methods_for(&survey(vec![dent("d", "second_branch", 200.0, 0.0, 4.0)]), 250.0, &full());
    assert!(why_not(&narrow, MethodKind::Raising).contains("takes no stake"), "{}", show(&narrow));
    let none = methods_for(&s(200.0, 4.0), 250.0, &without(full(), |b| matches!(b, ToolBody::Stake { .. })));
    assert!(!of(&none, MethodKind::Raising).iter().any(|w| from_rack(w)), "{}", show(&none));
    // So hard that a mallet only bounces.
    let hard = methods_for(&s(200.0, 4.0), 60_000.0, &full());
    assert!(of(&hard, MethodKind::Raising).is_empty() && why_not(&hard, MethodKind::Raising).contains("springs back"), "{}", show(&hard));
    let blows =
        |n: f64| methods_for(&s(200.0, 4.0), n, &full()).methods.iter().find(|w| w.kind == MethodKind::Raising).map(|w| w.minutes.mean());
    assert!(blows(3000.0) > blows(250.0), "{:?} {:?}", blows(3000.0), blows(250.0));
}

/// Nonsense among the further tools is told and left out.
#[test]
fn nonsense_of_the_further_tools_is_told() {
    let mut r = rack();
    r.tools.extend([
        tool("thin_nose", ToolBody::Burnisher { diameter_mm: 12.0, length_mm: 300.0, head_mm: 9.0 }),
        tool("does_not_open", ToolBody::Expander { smallest_mm: 20.0, largest_mm: 20.0, jaws_mm: 12.0, length_mm: 160.0, limit_n: 8000.0 }),
        tool("all_jaws", ToolBody::Expander { smallest_mm: 18.0, largest_mm: 20.0, jaws_mm: 200.0, length_mm: 160.0, limit_n: 8000.0 }),
        tool("no_bore", ToolBody::DrawRing { bore_mm: 0.0 }),
        tool("no_pull", ToolBody::DrawBench { length_mm: 500.0, limit_n: f64::NAN }),
    ]);
    let named: Vec<String> = r.problems().iter().map(|p| p.tool.0.clone()).collect();
    assert_eq!(named, ["thin_nose", "does_not_open", "all_jaws", "no_bore", "no_pull"]);
    assert!(r.problems().iter().all(|p| !p.hint.is_empty()));
}

/// C: 350 N/mm² of half-hard yellow brass; R 10.05, t 0.5, jaws 12 mm: N = 2π·350·0.5·(12 + 2√5.025) = 18 124 N; a cone of
/// 12° with μ 0.15: T = tan 20.531° = 0.37451, N·T/(1 − 0.15·T) = 7192 N. A dent that asks 20 kN presses two jaws with 40 kN:
/// 15 872 N.
#[test]
fn an_expander_s_screw_by_hand() {
    let s = survey(vec![ding("slide_outer", 60.0, 1.5)]);
    for (wall_n, screw_n) in [(250.0, 7_192.0), (20_000.0, 15_872.0)] {
        let w = methods_for(&s, wall_n, &full());
        let e = of(&w, MethodKind::Expander);
        assert!((e[0].force_hand_n.value / screw_n - 1.0).abs() < 0.002, "{}", e[0].because.metric());
        assert!((e[0].force_limit_n - 20_000.0).abs() < 1e-9);
        // What is not known of temper, wall and friction shows.
        assert!(e[0].force_hand_n.high > 1.1 * screw_n && e[0].force_hand_n.low < 0.9 * screw_n);
    }
}

/// A bore that grows a little is still a cylinder to 12 mm of jaws: 0.8 mm over the tube's 140 is 0.07 mm, 1.6 mm is 0.14.
#[test]
fn an_expander_s_jaws_stand_a_little_taper() {
    let at = |grows: f64| {
        let mut s = survey(vec![ding("slide_outer", 60.0, 1.5)]);
        let run = s.instrument.runs.iter_mut().find(|r| r.id.0 == "slide_outer").unwrap();
        let first = run.bore_mm.points[0];
        run.bore_mm.points.push(instrument::Point { at_mm: 140.0, value: first.value + grows, ..first });
        methods_for(&s, 250.0, &full())
    };
    assert!(!of(&at(0.8), MethodKind::Expander).is_empty(), "{}", show(&at(0.8)));
    assert!(why_not(&at(1.6), MethodKind::Expander).contains("bore changes by 0.14"), "{}", show(&at(1.6)));
}

#[test]
fn an_expander_has_to_go_in_pass_and_open() {
    let s = survey(vec![ding("slide_outer", 60.0, 1.5)]);
    let with = |change: &dyn Fn(&mut f64, &mut f64, &mut f64)| {
        let mut r = full();
        r.tools.iter_mut().for_each(|t| {
            if let ToolBody::Expander { smallest_mm, largest_mm, length_mm, .. } = &mut t.body {
                change(smallest_mm, largest_mm, length_mm);
            }
        });
        let w = methods_for(&s, 250.0, &r);
        (of(&w, MethodKind::Expander).iter().any(|w| from_rack(w)), why_not(&w, MethodKind::Expander))
    };
    // 60 mm from the near end, and half of its jaws: 66 mm. Room: 19.6 − 1.5 = 18.1 mm. Opened to 19.66 mm.
    assert!(with(&|_, _, l| *l = 67.0).0);
    let (short, why) = with(&|_, _, l| *l = 65.0);
    assert!(!short && why.contains("goes 65 mm in"), "{why}");
    assert!(with(&|s, _, _| *s = 18.05).0);
    let (thick, why) = with(&|s, _, _| *s = 18.2);
    assert!(!thick && why.contains("18.2 mm shut, 18.1 mm pass"), "{why}");
    assert!(with(&|_, w, _| *w = 19.7).0);
    let (narrow, why) = with(&|_, w, _| *w = 19.6);
    assert!(!narrow && why.contains("19.66 mm wanted"), "{why}");
}

/// Made: three tenths of room under the dent, two tenths to spare open, so long as it has to go in, a screw in whole 500 N.
#[test]
fn an_expander_is_made_to_the_tube() {
    let s = survey(vec![ding("slide_outer", 60.0, 1.5)]);
    let mut r = rack();
    r.tools.clear();
    let w = methods_for(&s, 250.0, &r);
    let e = of(&w, MethodKind::Expander);
    // In by the slide's mouth, 80 mm, and half its jaws.
    let near = e.first().unwrap_or_else(|| panic!("{}", show(&w)));
    let ToolChoice::ToMake { make, .. } = &near.tool else { panic!() };
    let ToolBody::Expander { smallest_mm, largest_mm, jaws_mm, length_mm, limit_n } = make.pieces[0].body else { panic!() };
    assert!((smallest_mm - 17.8).abs() < 1e-9 && (largest_mm - 19.9).abs() < 1e-9, "{make:?}");
    assert!((jaws_mm, length_mm, limit_n) == (12.0, 100.0, 7500.0), "{make:?}");
    // A split plug opens by a quarter: 3.9 mm deep, 15.4 mm would have to open to 19.9.
    let deep = methods_for(&survey(vec![ding("slide_outer", 60.0, 3.9)]), 250.0, &r);
    assert!(
        of(&deep, MethodKind::Expander).is_empty() && why_not(&deep, MethodKind::Expander).contains("opens to 19.2 mm"),
        "{}",
        show(&deep)
    );
    assert!(!of(&methods_for(&survey(vec![ding("slide_outer", 60.0, 3.2)]), 250.0, &r), MethodKind::Expander).is_empty());
}

#[test]
fn an_expander_under_plate_is_risky() {
    let risk = |finish: instrument::Finish| {
        let mut s = survey(vec![ding("slide_outer", 60.0, 1.5)]);
        s.instrument.runs.iter_mut().find(|r| r.id.0 == "slide_outer").unwrap().finish = finish;
        let w = methods_for(&s, 250.0, &full());
        of(&w, MethodKind::Expander)[0].risk
    };
    let (plain, plated) = (risk(instrument::Finish::Lacquer), risk(instrument::Finish::ChromePlate));
    assert!((plated / plain - 3.0).abs() < 1e-9, "{plain} {plated}");
}

/// C: B = (0.15 − 0.08)/tan 10° = 0.3970; 350·(1.3970/0.3970)·(1 − 0.96^0.3970) = 19.80 N/mm² on π·20.1·0.48 = 30.31 mm²:
/// 600 N. The tube behind it bears 0.6·350·30.31 = 6365 N.
#[test]
fn a_ring_s_pull_by_hand() {
    let s = survey(vec![ding("slide_outer", 60.0, 1.5)]);
    let mut strong = full();
    strong.tools.iter_mut().for_each(|t| {
        if let ToolBody::DrawBench { limit_n, .. } = &mut t.body {
            *limit_n = 20_000.0;
        }
    });
    for (r, limit) in [(full(), 5_000.0), (strong, 6_365.0)] {
        let w = methods_for(&s, 250.0, &r);
        let d = of(&w, MethodKind::DrawRing);
        assert!((d[0].force_hand_n.value / 600.1 - 1.0).abs() < 0.003, "{}", d[0].because.metric());
        assert!((d[0].force_limit_n / limit - 1.0).abs() < 0.003, "{}", d[0].force_limit_n);
    }
    // A ring that pinches more asks more; one that pinches a fifth of the wall is none of this tube's.
    let pinched = |bore: f64| {
        let mut r = without(full(), |b| matches!(b, ToolBody::DrawRing { .. }));
        r.tools.push(tool("other", ToolBody::DrawRing { bore_mm: bore }));
        let w = methods_for(&s, 250.0, &r);
        let d = of(&w, MethodKind::DrawRing)[0];
        (from_rack(d), d.force_hand_n.value)
    };
    assert!(pinched(20.52).0 && pinched(20.52).1 > 1.8 * 600.0, "{:?}", pinched(20.52));
    assert!(!pinched(20.40).0 && !pinched(20.60).0);
}

/// Of what a sharp form takes of the truth, work on the ring and over a fill wins half back.
#[test]
fn a_ring_lays_ridges_down() {
    let s = survey(vec![ding("slide_outer", 60.0, 1.5)]);
    let mut a = vec![assessment(&s, &s.dents[0], 250.0)];
    let finish_quality = |a: &[dent::Assessment], m: MethodKind| {
        reach::methods(&s, a, &full())[0].methods.iter().find(|w| w.kind == m).unwrap().finish_quality
    };
    let (ring, mandrel) = (finish_quality(&a, MethodKind::DrawRing), finish_quality(&a, MethodKind::Mandrel));
    a[0].form = dent::Form::Sharp;
    assert!(
        (ring - finish_quality(&a, MethodKind::DrawRing) - 0.03).abs() < 1e-9
            && (mandrel - finish_quality(&a, MethodKind::Mandrel) - 0.06).abs() < 1e-9
    );
}

/// A bar presses with 0.8 of what it bears as a cantilever, and never with more than 0.9 of the lean.
#[test]
fn a_burnisher_s_limit_is_its_bar_s() {
    let s = survey(vec![ding("slide_outer", 60.0, 0.6)]);
    for d in [7.0, 9.0, 14.0] {
        let mut r = without(full(), |b| matches!(b, ToolBody::Burnisher { .. }));
        r.tools.push(tool("bar", ToolBody::Burnisher { diameter_mm: d, length_mm: 320.0, head_mm: 15.0 }));
        let w = methods_for(&s, 120.0, &r);
        for b in of(&w, MethodKind::Burnishing).into_iter().filter(|w| from_rack(w)) {
            let free = b.passage.as_ref().unwrap().length_mm + reach::rod_strength::VISE_GAP_MM;
            let limit = (0.8 * reach::rod_strength::bears_n(d, free).0).min(0.9 * r.lean_n);
            assert!((b.force_limit_n / limit - 1.0).abs() < 1e-9, "{d}: {} {limit}", b.force_limit_n);
            let told = b.strokes.as_ref().expect("a burnisher moves");
            // A rub lifts a tenth of the depth at most, and a nose of 15 mm has its places along and across the ding.
            assert!(told.lift_mm <= 0.1 * 0.6 + 1e-9 && told.passes >= 10.0 && told.strokes >= told.passes, "{told:?}");
            assert!(b.minutes.mean() > 8.0 && b.minutes.mean() < 60.0, "{}", b.minutes.mean());
        }
    }
}

/// What works over a fill presses no harder than both hands, and no harder than the fill bears.
#[test]
fn over_a_fill_both_hands_press() {
    let w = methods_for(&survey(vec![dent("d", "bottom_bow", 150.0, 0.0, 5.0)]), 700.0, &full());
    for f in of(&w, MethodKind::FilledBend) {
        assert!(f.force_limit_n > 0.0 && f.force_hand_n.value <= f.force_limit_n, "{}", show(&w));
        assert!(f.risk > 0.02 && f.risk < 0.3, "{}", f.risk);
    }
    // Without a roller the hammer taps it down.
    let r = without(full(), |b| matches!(b, ToolBody::Roller { .. }));
    let tapped = methods_for(&survey(vec![dent("d", "bottom_bow", 150.0, 0.0, 5.0)]), 200.0, &r);
    assert!(of(&tapped, MethodKind::FilledBend)[0].because.metric().contains("tapped down"), "{}", show(&tapped));
    let none = without(r, |b| matches!(b, ToolBody::Hammer { .. }));
    let none = methods_for(&survey(vec![dent("d", "bottom_bow", 150.0, 0.0, 5.0)]), 200.0, &none);
    assert!(why_not(&none, MethodKind::FilledBend).contains("no roller or dent hammer"), "{}", show(&none));
}

#[test]
fn a_burnisher_s_bar_ends_somewhere() {
    let mut s = survey(vec![ding("slide_outer", 1000.0, 0.6)]);
    s.instrument.runs.iter_mut().find(|r| r.id.0 == "slide_outer").unwrap().axis.segments = vec![straight(2000.0)];
    let mut r = full();
    r.tools.push(tool("endless", ToolBody::Burnisher { diameter_mm: 15.0, length_mm: 2500.0, head_mm: 16.0 }));
    let w = methods_for(&s, 20.0, &r);
    assert!(
        of(&w, MethodKind::Burnishing).is_empty() && why_not(&w, MethodKind::Burnishing).contains("further than a bar is worked"),
        "{}",
        show(&w)
    );
    assert!(why_not(&w, MethodKind::Expander).contains("mm in,"), "{}", show(&w));
}

/// Worn jaws pass where new ones did not, and no longer open as far.
#[test]
fn an_expander_wears() {
    let s = survey(vec![ding("slide_outer", 60.0, 1.5)]);
    let works = |smallest: f64, largest: f64, wear: f64| {
        let mut r = without(full(), |b| matches!(b, ToolBody::Expander { .. }));
        let body = ToolBody::Expander { smallest_mm: smallest, largest_mm: largest, jaws_mm: 12.0, length_mm: 160.0, limit_n: 20_000.0 };
        r.tools.push(reach::Tool { wear_mm: wear, ..tool("worn", body) });
        of(&methods_for(&s, 250.0, &r), MethodKind::Expander).iter().any(|w| from_rack(w))
    };
    assert!(!works(18.2, 20.5, 0.0) && works(18.2, 20.5, 0.2));
    assert!(works(17.5, 19.7, 0.0) && !works(17.5, 19.7, 0.1));
    // C: 20.1·350/112 000 = 0.0628 mm past the true 19.6.
    assert!(works(17.5, 19.664, 0.0) && !works(17.5, 19.661, 0.0));
}
