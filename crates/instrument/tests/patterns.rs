//! The patterns hold together, and their air columns are as long as their pitch asks for.

use instrument::check::problems;
use instrument::{End, JointKind, Kind, OverlayKind, Role, RunEnd, Survey, patterns};

#[test]
fn no_pattern_has_a_problem() {
    for (name, instrument) in patterns::all() {
        assert_eq!(problems(&Survey::of(instrument)), [], "{name}");
    }
}

/// An open tube whose resonances make a full harmonic series on the fundamental f has the effective length c/(2f) (closed
/// form; c 343.2 m/s at 20 °C). The tube itself is held to it within a tenth, no closer, because the
/// mouthpiece adds the length of its volume, the open end adds 0.6133 of its radius (Levine & Schwinger 1948), and a flare
/// turns the low modes back before they come to the rim.
#[test]
fn a_pattern_is_as_long_as_its_pitch_asks_for() {
    let pitch_hz = |name: &str| match name {
        "trumpet" | "cornet" | "flugelhorn" => 116.54,
        "bugle" => 98.00,
        "alto horn" => 77.78,
        "trombone" | "bass trombone" | "baritone" | "euphonium" | "horn" => 58.27,
        "single horn" => 43.65,
        "tuba" | "sousaphone" => 29.14,
        other => panic!("no pitch for {other}"),
    };
    let mut off = Vec::new();
    for (name, instrument) in patterns::all() {
        let path = instrument.air_path().unwrap_or_else(|| panic!("{name}: no way for the air"));
        let length: f64 = path.iter().map(|p| p.adds_mm).sum();
        let wanted = 343_200.0 / (2.0 * pitch_hz(name));
        if (length / wanted - 1.0).abs() >= 0.1 {
            off.push(format!("{name}: {length:.0} mm for {wanted:.0} mm, {:.3}", length / wanted));
        }
    }
    assert!(off.is_empty(), "{off:#?}");
}

/// With the Bb side shut off, a double horn's air goes the F side's way: c/(2f) for F1, 43.65 Hz, as above.
#[test]
fn a_double_horn_is_an_f_horn_as_well() {
    let mut horn = patterns::named("horn").unwrap();
    let (before, joints) = (horn.air_path().unwrap(), horn.joints.len());
    assert!(before.iter().any(|p| p.run.id.0 == "front-change-to-first-knuckle"));
    horn.joints.retain(|j| !["front-change-to-first-knuckle", "third-to-rear-change-knuckle"].contains(&j.a.run.0.as_str()));
    assert_eq!(horn.joints.len(), joints - 2);
    let length: f64 = horn.air_path().unwrap().iter().map(|p| p.adds_mm).sum();
    let wanted = 343_200.0 / (2.0 * 43.65);
    assert!((length / wanted - 1.0).abs() < 0.1, "{length:.0} mm for {wanted:.0} mm");
}

/// Nothing is open but the mouthpiece's end and the bell's; what stands still is tied together.
#[test]
fn a_pattern_is_open_at_its_two_ends_only() {
    for (name, instrument) in patterns::all() {
        let mut open = Vec::new();
        for run in instrument.runs.iter().filter(|r| !matches!(r.role, Role::Casing | Role::Piston)) {
            for end in [End::Start, End::Finish] {
                if instrument.joints_at(&RunEnd { run: run.id.clone(), end }).is_empty() {
                    open.push(format!("{} {end:?}", run.id));
                }
            }
        }
        assert_eq!(open, ["receiver Start", "rim Finish"], "{name}");
    }
}

/// A valve's loop leaves its casing and comes back to it, and is as long as equal temperament asks for (C):
/// open tube times 2^(n/12) − 1.
#[test]
fn valve_loops_lower_by_whole_half_tones() {
    let tuba = patterns::named("tuba").unwrap();
    let open: f64 = tuba.air_path().unwrap().iter().map(|p| p.adds_mm).sum();
    for (ordinal, half_tones) in [("first", 2.0), ("second", 1.0), ("third", 3.0), ("fourth", 5.0)] {
        let of_loop = |id: &str| id.starts_with(&format!("{ordinal}-slide")) && !id.ends_with("inner");
        let length: f64 = tuba.runs.iter().filter(|r| of_loop(&r.id.0)).map(|r| r.length_mm()).sum();
        let wanted = open * ((half_tones / 12.0_f64).exp2() - 1.0);
        assert!((length / wanted - 1.0).abs() < 0.01, "{ordinal}: {length:.0} mm for {wanted:.0} mm");
    }
}

/// Every pattern has what its kind has, and its temper changes along its runs.
#[test]
fn a_pattern_is_a_whole_instrument() {
    for (name, instrument) in patterns::all() {
        let overlays = |kind| instrument.overlays.iter().filter(|o| o.kind == kind).count();
        assert_eq!(overlays(OverlayKind::RimWire), 1, "{name}");
        assert!(overlays(OverlayKind::Ferrule) >= 4 && overlays(OverlayKind::Brace) >= 3, "{name}");
        for o in instrument.overlays.iter().filter(|o| o.kind == OverlayKind::Brace) {
            assert_eq!(o.covers.len(), 2, "{name}: {} has lost a foot", o.id);
        }
        let valves = match name {
            "trombone" | "bugle" => 0,
            "bass trombone" => 2,
            "tuba" | "euphonium" => 4,
            "horn" => 5,
            _ => 3,
        };
        assert_eq!(instrument.runs.iter().filter(|r| r.role == Role::Casing).count(), valves, "{name}");
        let slides = instrument.joints.iter().filter(|j| j.kind == JointKind::SlidingFit).count();
        assert!(slides > 0 && instrument.fits.len() >= valves, "{name}");
        for flare in instrument.runs.iter().filter(|r| r.role == Role::BellFlare) {
            let (low, high) = flare.temper.range_between(0.0, flare.length_mm());
            assert!(high - low > 1.5, "{name}: a bell is hard in one place and soft in another");
        }
    }
}

#[test]
fn every_kind_but_other_has_a_pattern() {
    for kind in patterns::KINDS {
        assert_eq!(patterns::pattern(kind).map(|p| p.kind), Some(kind));
    }
    assert_eq!(patterns::pattern(Kind::Other), None);
    assert_eq!(patterns::names().count(), patterns::all().len());
    assert!(patterns::names().all(|name| patterns::named(name).is_some()));
}
