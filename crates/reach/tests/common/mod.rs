//! A small instrument, a rack and assessments for the tests. Invented, dimensionally plausible.
#![allow(dead_code, reason = "each test uses a part of it")]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

pub use fixtures::{SOFT, bend, joint, straight, tool};

use dent::{Advice, Assessment, Effect, Form};
use instrument::*;
use reach::{Rack, ToolBody};
use units::{Figure, Known, Origin, Source, Unit};

/// A tube in its role; the bore by its stations.
pub fn run(id: &str, role: Role, segments: Vec<Segment>, bore: &[(f64, f64)]) -> Run {
    Run { role, ..fixtures::run(id, segments, bore) }
}

/// A tuba's tail in small: casing, knuckle, tuning slide, first branch, bottom bow, second branch, bell, with
/// ferrules over the soldered joints, a brace between the branches and a guard on the bow.
pub fn instrument() -> Instrument {
    use End::{Finish, Start};
    let bow_length = 95.0 * std::f64::consts::PI;
    let runs = vec![
        run("casing", Role::Casing, vec![straight(130.0)], &[(0.0, 19.0)]),
        run("knuckle", Role::Knuckle, vec![bend(25.0, 60.0)], &[(0.0, 18.0)]),
        run("slide_outer", Role::TuningSlideOuter, vec![straight(140.0)], &[(0.0, 19.6)]),
        run("slide_crook", Role::TuningSlideCrook, vec![straight(100.0), bend(40.0, 180.0), straight(100.0)], &[(0.0, 18.0)]),
        run("slide_return", Role::TuningSlideOuter, vec![straight(140.0)], &[(0.0, 19.6)]),
        run("first_branch", Role::Branch, vec![straight(420.0)], &[(0.0, 20.0), (420.0, 32.0)]),
        run("bottom_bow", Role::Bow, vec![bend(95.0, 180.0)], &[(0.0, 32.0), (bow_length, 44.0)]),
        run("second_branch", Role::Branch, vec![straight(380.0)], &[(0.0, 44.0), (380.0, 62.0)]),
        run("bell", Role::BellFlare, vec![straight(300.0)], &[(0.0, 62.0), (150.0, 100.0), (240.0, 180.0), (300.0, 380.0)]),
    ];
    let joints = vec![
        joint("knuckle_casing", ("casing", Start), ("knuckle", Start), JointKind::Fixed),
        joint("knuckle_slide", ("knuckle", Finish), ("slide_outer", Start), SOFT),
        joint("slide_in", ("slide_outer", Finish), ("slide_crook", Start), JointKind::SlidingFit),
        joint("slide_out", ("slide_crook", Finish), ("slide_return", Start), JointKind::SlidingFit),
        joint("return_branch", ("slide_return", Finish), ("first_branch", Start), SOFT),
        joint("branch_bow", ("first_branch", Finish), ("bottom_bow", Start), SOFT),
        joint("bow_branch", ("bottom_bow", Finish), ("second_branch", Start), SOFT),
        joint("branch_bell", ("second_branch", Finish), ("bell", Start), SOFT),
    ];
    let cover = |r: &str, from_mm: f64, to_mm: f64, clock_deg: Option<(f64, f64)>| Cover { run: r.into(), from_mm, to_mm, clock_deg };
    let overlay = |id: &str, kind: OverlayKind, covers: Vec<Cover>, slides_off_at: Option<&str>| Overlay {
        id: id.into(),
        name: id.replace('_', " "),
        kind,
        covers,
        filler: Some(metal::Filler::Sn63Pb37),
        slides_off_at: slides_off_at.map(Into::into),
        off_minutes: None,
        back_minutes: None,
    };
    let overlays = vec![
        overlay(
            "bow_ferrule",
            OverlayKind::Ferrule,
            vec![cover("first_branch", 405.0, 420.0, None), cover("bottom_bow", 0.0, 15.0, None)],
            Some("branch_bow"),
        ),
        overlay(
            "bow_ferrule_2",
            OverlayKind::Ferrule,
            vec![cover("bottom_bow", bow_length - 15.0, bow_length, None), cover("second_branch", 0.0, 15.0, None)],
            Some("bow_branch"),
        ),
        overlay(
            "branch_brace",
            OverlayKind::Brace,
            vec![cover("first_branch", 200.0, 230.0, Some((60.0, 120.0))), cover("second_branch", 150.0, 180.0, Some((60.0, 120.0)))],
            None,
        ),
        overlay("bow_guard", OverlayKind::Guard, vec![cover("bottom_bow", 60.0, 240.0, Some((120.0, 240.0)))], None),
    ];
    Instrument { kind: Kind::Tuba, maker: "Northgate Works".into(), model: "Ox".into(), overlays, ..fixtures::instrument_of(runs, joints) }
}

/// A dent of one size in everything but its depth.
pub fn dent(id: &str, run: &str, at_mm: f64, clock_deg: f64, depth_mm: f64) -> Dent {
    let clock = Known::new("clock", clock_deg, 5.0, Unit::Deg, Origin::Measured);
    Dent { clock_deg: Some(clock), ..fixtures::dent(id, run, at_mm, depth_mm, 22.0, 18.0) }
}

pub fn survey(dents: Vec<Dent>) -> Survey {
    fixtures::survey(instrument(), dents)
}

/// A pattern with a dent at each of these parts of every run.
pub fn dents_everywhere(kind: Kind, parts: &[f64], depth_over_bore: f64, clock_deg: f64) -> Survey {
    let instrument = fixtures::pattern(kind);
    let mut dents = Vec::new();
    for run in instrument.runs.iter().filter(|r| r.role != Role::Piston) {
        for part in parts {
            let at = part * run.axis.length_mm();
            dents.push(dent(&format!("d{}", dents.len()), &run.id.0, at, clock_deg, depth_over_bore * run.bore_at(at).value));
        }
    }
    fixtures::survey(instrument, dents)
}

/// An assessment of stated figures: only what reach reads matters here.
pub fn assessment(survey: &Survey, dent: &Dent, force_n: f64) -> Assessment {
    let source = || Source::common_practice("stated in the test");
    let f = |v: f64, unit: Unit| {
        Figure::stated(
            v,
            0.8 * v,
            1.25 * v,
            unit,
            "stated",
            source(),
            &[Known::new("wall at the dent", 0.5, 0.03, Unit::Mm, Origin::Measured)],
        )
    };
    let site = survey.site(dent).expect("the test's dent has a place");
    let depth = dent.depth_mm.as_ref().map_or(3.0, |k| k.value);
    let bore = site.bore_mm.value;
    Assessment {
        dent: dent.id.clone(),
        run: dent.run.clone(),
        depth_mm: f(depth, Unit::Mm),
        width_along_mm: f(dent.width_along_mm.as_ref().map_or(20.0, |k| k.value), Unit::Mm),
        width_across_mm: f(dent.width_across_mm.as_ref().map_or(20.0, |k| k.value), Unit::Mm),
        depth_over_diameter: f(depth / (bore + 1.0), Unit::One),
        radius_across_mm: f(10.0, Unit::Mm),
        radius_along_mm: f(15.0, Unit::Mm),
        sharpness: f(0.05, Unit::One),
        form: Form::Rounded,
        passage_mm: f((bore - depth).max(0.0), Unit::Mm),
        area_left: f(0.9, Unit::One),
        strain_across: f(0.02, Unit::One),
        strain_along: f(0.02, Unit::One),
        strain_membrane: f(0.01, Unit::One),
        strain_effective: f(0.04, Unit::One),
        worst_place: "bottom".into(),
        strain_forming: f(0.2, Unit::One),
        strain_accumulated: f(0.3, Unit::One),
        ductility_used: f(0.4, Unit::One),
        crack_likelihood: f(0.01, Unit::Probability),
        crack_likelihood_annealed: f(0.001, Unit::Probability),
        overpush_mm: f(0.15 * depth, Unit::Mm),
        passes: f(3.0, Unit::One),
        force_inside_n: f(force_n, Unit::N),
        after_anneal: None,
        effects: vec![Effect::Cosmetic],
        advice: Advice::WorkCold,
        advice_because: units::Text::default(),
        missing: vec![],
    }
}

/// A small shop's rack.
pub fn rack() -> Rack {
    let rod = |d: f64, l: f64, h: f64| {
        tool(&format!("rod_{d:.0}_{l:.0}_{h:.0}"), ToolBody::StraightRod { diameter_mm: d, length_mm: l, head_mm: h })
    };
    let bent = |d: f64, l: f64, r: f64, h: f64| {
        tool(&format!("bent_{d:.0}_{r:.0}_{h:.0}"), ToolBody::CurvedRod { diameter_mm: d, length_mm: l, radius_mm: r, head_mm: h })
    };
    Rack {
        tools: vec![
            rod(6.0, 300.0, 9.0),
            rod(10.0, 400.0, 14.0),
            rod(12.0, 500.0, 16.0),
            rod(16.0, 600.0, 22.0),
            rod(20.0, 700.0, 30.0),
            rod(25.0, 800.0, 45.0),
            bent(12.0, 300.0, 95.0, 20.0),
            bent(16.0, 350.0, 95.0, 26.0),
            tool("mandrel_long", ToolBody::Mandrel { small_mm: 18.0, large_mm: 31.0, length_mm: 455.0 }),
            tool("balls", ToolBody::BallSet { smallest_mm: 8.0, largest_mm: 50.0, step_mm: 0.5 }),
            tool("shaft", ToolBody::FlexibleShaft { diameter_mm: 10.0, length_mm: 1200.0, least_radius_mm: 60.0, limit_n: 900.0 }),
            tool("cable", ToolBody::Cable { length_mm: 3000.0, limit_n: 800.0 }),
            tool("press", ToolBody::Press { limit_n: 1500.0, travel_mm: None }),
            tool("magnet", ToolBody::Magnet { pull_n: 400.0, half_distance_mm: 1.5 }),
            tool("hammer", ToolBody::Hammer { face_radius_mm: 60.0 }),
            tool("roller", ToolBody::Roller { diameter_mm: 20.0 }),
            tool("stud", ToolBody::PullStud { foot_mm: 8.0 }),
            tool("torch", ToolBody::Torch { watts: None }),
        ],
        hand_push_n: 150.0,
        lean_n: 500.0,
    }
}

/// The methods to the only dent.
pub fn methods_for(survey: &Survey, force_n: f64, rack: &Rack) -> reach::DentMethods {
    let assessments: Vec<_> = survey.dents.iter().map(|d| assessment(survey, d, force_n)).collect();
    reach::methods(survey, &assessments, rack).swap_remove(0)
}

/// For looking at a failure.
pub fn show(w: &reach::DentMethods) -> String {
    let mut out = format!("dent {}\n", w.dent);
    for x in &w.methods {
        out.push_str(&format!(
            "  {:?} {:.1} mm F {:.0}/{:.0} opens {:?} after {:?} {:.1} min risk {:.3} truth {:.2}: {}\n",
            x.kind,
            x.size_mm,
            x.force_hand_n.value,
            x.force_limit_n,
            x.opens,
            x.after,
            x.minutes.mean(),
            x.risk,
            x.finish_quality,
            x.because.metric()
        ));
    }
    for r in &w.rejected {
        out.push_str(&format!("  not {:?} from {}: {}\n", r.kind, r.opening, r.because.metric()));
    }
    out
}
