//! The demo's instruments and every pattern: whole bores, notes, valves, and which dents matter.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use acoustics::passage::{Setting, half_tones, passage, passage_set, pulled_mm, valves};
use acoustics::{Apart, Ask, Mouthpiece, Sound, sound};
use instrument::{Survey, patterns};

fn heard(survey: &Survey) -> Sound {
    let ask = Ask { mouthpiece: Some(Mouthpiece::usual(survey.instrument.kind)), ..Ask::default() };
    sound(survey, &dent::assess_all(survey), &ask).unwrap()
}

/// The bore that is swept is as long as the way of the air that the instrument's own search finds, less the rolled rim.
#[test]
fn every_pattern_has_its_whole_bore() {
    for (name, instrument) in patterns::all() {
        let way: f64 = instrument.air_path().unwrap().iter().filter(|p| p.run.role != instrument::Role::Rim).map(|p| p.adds_mm).sum();
        let open = passage(&instrument, &[]).unwrap();
        assert!((open.bore.length_mm() / way - 1.0).abs() < 1e-9, "{name}: {} for {way}", open.bore.length_mm());
        assert!(open.bore.check().is_ok() && open.receiver && open.measured == 0.0 && open.assumed.len() == 1, "{name}");
    }
}

/// A valve lowers by whole half tones (the patterns' loops are laid out so, equal temperament).
#[test]
fn a_valve_adds_its_loop() {
    for (name, wanted) in [("trumpet", vec![3, 1, 2]), ("tuba", vec![2, 1, 3, 5]), ("euphonium", vec![2, 1, 3]), ("horn", vec![2, 1, 3])] {
        let instrument = patterns::named(name).unwrap();
        let open = passage(&instrument, &[]).unwrap().bore.length_mm();
        let mut found: Vec<i32> = valves(&instrument)
            .iter()
            .map(|v| half_tones(open, passage(&instrument, std::slice::from_ref(v)).unwrap().bore.length_mm()))
            .collect();
        let mut wanted = wanted;
        found.sort_unstable();
        found.dedup();
        wanted.sort_unstable();
        for w in &wanted {
            assert!(found.contains(w), "{name}: {found:?} for {wanted:?}");
        }
    }
}

/// Modes 2 to 8 of a trumpet lie where its notes lie: within 50 cents of them after tuning. Real ones lie within 30 (common practice); the
/// pattern is invented. Without the mouthpiece the upper ones run away.
#[test]
fn a_trumpet_with_its_mouthpiece_plays_its_notes() {
    let found = heard(&Survey::of(patterns::named("trumpet").unwrap()));
    let off: Vec<f64> = found.states[0].modes.iter().filter_map(|m| m.off_note).collect();
    println!("{off:?}");
    assert_eq!(off.len(), 7);
    assert!(off.iter().all(|o| o.abs() < 50.0), "{off:?}");
    assert_eq!(found.states.len(), 7);
    let names: Vec<&str> = found.states[0].modes.iter().filter_map(|m| m.note.as_ref().map(|n| n.name.as_str())).collect();
    assert_eq!(names, ["C4", "G4", "C5", "E5", "G5", "Bb5", "C6"]);
    assert_eq!(found.sentence, "No player will hear it.");
}

/// Seven positions, each a half tone lower: second harmonics, sounding, from memory (a' = 440 Hz): Bb2 116.54, A2 110.00, Ab2 103.83,
/// G2 98.00, F#2 92.50, F2 87.31, E2 82.41 Hz. The legs' way to the seventh is about 56 cm (common practice: "a long arm"), to the second
/// about 8 cm.
#[test]
fn a_hand_slide_has_its_seven_positions() {
    let survey = Survey::of(patterns::named("trombone").unwrap());
    let found = heard(&survey);
    let names: Vec<String> = found.states.iter().map(acoustics::sound::fingering).collect();
    assert_eq!(names, ["", "2nd position", "3rd position", "4th position", "5th position", "6th position", "7th position"]);
    assert_eq!(found.states.iter().map(|s| s.half_tones).collect::<Vec<_>>(), [0, 1, 2, 3, 4, 5, 6]);
    let second = |s: usize| found.states[s].modes.iter().find(|m| m.mode == 2).unwrap();
    for (s, (name, hz)) in
        [("Bb2", 116.54), ("A2", 110.0), ("Ab2", 103.83), ("G2", 98.0), ("F#2", 92.5), ("F2", 87.31), ("E2", 82.41)].iter().enumerate()
    {
        let note = second(s).note.as_ref().unwrap();
        assert!(note.name == *name && (note.hz - hz).abs() < 0.01, "{note:?}");
        // What was tuned in first position is within a quarter tone in the others: a player sets the slide by ear.
        assert!((second(s).off_note.unwrap() - second(0).off_note.unwrap()).abs() < 50.0, "{name}: {:?}", second(s).off_note);
    }
    let open = passage(&survey.instrument, &[]).unwrap().bore.length_mm();
    let way = |p| pulled_mm(&survey.instrument, open, p).unwrap();
    assert!(way(1) == 0.0 && (75.0..90.0).contains(&way(2)) && (530.0..600.0).contains(&way(7)), "{} {}", way(2), way(7));
    // Both legs together.
    let longer = passage_set(&survey.instrument, &Setting { pulled_mm: way(7), ..Setting::default() }).unwrap().bore.length_mm() - open;
    assert!((longer - 2.0 * way(7)).abs() < 1e-6, "{longer}");
    assert_eq!(pulled_mm(&patterns::named("trumpet").unwrap(), 1300.0, 2), None);
}

/// What an inner leg covers in first position, the air meets further out; what lies where the outer leg is always bare, in all of them.
#[test]
fn a_dent_that_the_inner_leg_covers_is_met_further_out() {
    let mut survey = Survey::of(patterns::named("trombone").unwrap());
    let dent = |id: &str, at: f64| fixtures::dent(id, "hand-slide-upper-outer", at, 1.5, 15.0, 12.0);
    survey.dents = vec![dent("covered", 300.0), dent("bare", 640.0)];
    let found = heard(&survey);
    let met = |id: &str| found.states.iter().map(|s| s.changes.iter().any(|c| c.0.0 == id)).collect::<Vec<_>>();
    // 615 mm are covered in first position; 300 mm in from the leg's end is bare from the fifth on, when it is pulled by 351 mm.
    assert_eq!(met("covered"), [false, false, false, false, true, true, true]);
    assert_eq!(met("bare"), [true; 7]);
    // Enough of the states to say what each does: first position, and the first in which the covered one is met.
    let ask = Ask { mouthpiece: Some(Mouthpiece::usual(survey.instrument.kind)), valves: acoustics::Valves::WhereDented, ..Ask::default() };
    let quick = sound(&survey, &dent::assess_all(&survey), &ask).unwrap();
    assert_eq!(quick.states.iter().map(|s| s.position).collect::<Vec<_>>(), [1, 5]);
    assert!(quick.dents.iter().all(|d| d.apart.is_none() && d.worst.is_some()));
}

/// A single horn in F is one in F, by its bore: open second harmonic F2 87.31 Hz, read C3 (from memory). All other patterns are in their
/// kind's usual key.
#[test]
fn each_pattern_is_in_its_key() {
    for (name, instrument) in patterns::all() {
        let kind = instrument.kind;
        let found = heard(&Survey::of(instrument));
        let second = found.states[0].modes.iter().find(|m| m.mode == 2).unwrap().note.clone().unwrap();
        let told = found.assumed.iter().any(|t| t.metric().contains("is one in F, not in Bb"));
        if name == "single horn" {
            assert!(told && second.name == "C3" && (second.hz - 87.31).abs() < 0.01, "{second:?}");
        } else {
            let usual = acoustics::notes::note(acoustics::notes::pitch(kind).unwrap(), 2, 0);
            assert!(!told && second == usual, "{name}: {second:?}, {:?}", found.assumed.iter().map(|t| t.metric()).collect::<Vec<_>>());
        }
    }
}

/// A double horn's F side: the tube of 3,750 mm that the pattern is laid out with, and its own valves' slides. Second harmonics of
/// the F side, sounding, from memory (a' = 440 Hz): open F2 87.31 Hz, second valve E2 82.41, first Eb2 77.78, first and second D2 73.42.
#[test]
fn a_double_horn_s_f_side() {
    let instrument = patterns::named("horn").unwrap();
    assert!(acoustics::passage::is_double(&instrument));
    for (name, single) in patterns::all().iter().filter(|(n, _)| *n != "horn") {
        assert!(!acoustics::passage::is_double(single), "{name}");
    }
    let long = |pressed: &[instrument::RunId]| {
        passage_set(&instrument, &Setting { pressed, longer_side: true, ..Setting::default() }).unwrap().bore.length_mm()
    };
    let open = passage(&instrument, &[]).unwrap().bore.length_mm();
    assert!((12.0 * (long(&[]) / open).log2() - 5.0).abs() < 0.5, "{} {open}", long(&[]));
    let mut survey = Survey::of(instrument.clone());
    let lie = |id: &str, run: &str| fixtures::dent(id, run, 30.0, 1.0, 15.0, 12.0);
    survey.dents = vec![lie("f", "f-tube"), lie("loop", "f-first-slide-crook"), lie("both", "first-bow")];
    let found = heard(&survey);
    let second = |pressed: &[&str]| {
        found
            .states
            .iter()
            .filter(|s| s.side.as_deref() == Some("F side"))
            .find(|s| s.pressed.iter().map(|p| p.0.trim_end_matches("-valve-casing")).eq(pressed.iter().copied()))
            .and_then(|s| s.modes.iter().find(|m| m.mode == 2))
            .and_then(|m| m.note.as_ref().map(|n| n.hz))
            .unwrap()
    };
    for (pressed, hz) in [(&[][..], 87.31), (&["second"], 82.41), (&["first"], 77.78), (&["first", "second"], 73.42)] {
        assert!((second(pressed) - hz).abs() < 0.01, "{pressed:?}: {}", second(pressed));
    }
    // What lies on the F side alone is met there alone, and is told by it.
    let sides = |id: &str| {
        let d = found.dents.iter().find(|d| d.dent.0 == id).unwrap();
        let on = |f: bool| d.modes.iter().filter(|m| found.states[m.state].side.is_some() == f).count();
        (on(false) > 0, on(true) > 0)
    };
    assert_eq!((sides("f"), sides("loop"), sides("both")), ((false, true), (false, true), (true, true)));
    assert!(found.states.iter().filter(|s| s.side.is_some()).any(|s| acoustics::sound::fingering(s) == "first valve on the F side"));
}

/// The middle of a dent may be measured a hair beyond a tube's end: to a millimeter (common practice: what a rule reads) it is met there.
#[test]
fn a_dent_at_a_tube_s_very_end() {
    let instrument = patterns::named("trumpet").unwrap();
    let open = passage(&instrument, &[]).unwrap();
    let part = open.parts.iter().find(|p| p.run.0 == "leadpipe").unwrap();
    let at = |beyond: f64| open.station(&instrument, &part.run, part.to_mm + beyond);
    assert!(at(0.0).is_ok() && at(0.9).is_ok());
    assert_eq!(at(1.1), Err(Apart::Covered));
}

#[test]
fn the_demo_s_trumpet() {
    let survey = fixtures::demo::read("linnet-trumpet");
    let found = heard(&survey);
    println!("{}", found.sentence);
    for (d, cents) in found.ranked() {
        println!("{} {:?} {cents:.2} {:?}", d.dent, d.apart, d.worst.map(|w| (&d.modes[w].cents.low, &d.modes[w].cents.high)));
    }
    for m in &found.states[0].modes {
        println!(
            "{} {:?} {:.2} Hz Q {:.1} {:+.2} cents ({:+.2} to {:+.2}), off {:?}",
            m.mode,
            m.note.as_ref().map(|n| &n.name),
            m.sound.hz,
            m.sound.q,
            m.cents.value,
            m.cents.low,
            m.cents.high,
            m.off_note
        );
    }
    // A ding in a casing is the valve's, not the air's.
    let by = |id: &str| found.dents.iter().find(|d| d.dent.0 == id).unwrap();
    assert_eq!(by("d6").apart, Some(Apart::Valve));
    // By its depth a dent in the leadpipe moves more than one in the flare.
    let size = |id: &str| by(id).worst.map_or(0.0, |w| by(id).modes[w].cents.value.abs());
    assert!(size("d1") / 1.6 > 2.5 * size("d5") / 3.0, "{} {}", size("d1"), size("d5"));
    // Together they are about the sum.
    let (s, m) = found.worst.unwrap();
    let mode = &found.states[s].modes[m];
    let sum: f64 = found.dents.iter().flat_map(|d| &d.modes).filter(|o| o.state == s && o.mode == mode.mode).map(|o| o.cents.value).sum();
    assert!((sum - mode.cents.value).abs() < 0.25 * mode.cents.value.abs() + 0.5, "{sum} {}", mode.cents.value);
    assert!(mode.cents.low < mode.cents.value && mode.cents.high > mode.cents.value);
}

#[test]
fn the_demo_s_tuba_and_trombone() {
    for name in ["ox-tuba", "heron-trombone", "leadpipe-red-rot", "barely-measured"] {
        let survey = fixtures::demo::read(name);
        let started = std::time::Instant::now();
        let found = heard(&survey);
        println!("{name}: {} ({:.0?})", found.sentence, started.elapsed());
        for (d, cents) in found.ranked() {
            println!(
                "  {} {:?} {cents:.2} {:?}",
                d.dent,
                d.apart,
                d.worst.map(|w| (d.modes[w].mode, d.modes[w].cents.low, d.modes[w].cents.high))
            );
        }
        for m in &found.states[0].modes {
            println!(
                "  {} {:?} {:.2} Hz {:+.2} cents, off {:?}",
                m.mode,
                m.note.as_ref().map(|n| &n.name),
                m.sound.hz,
                m.cents.value,
                m.off_note
            );
        }
        for t in &found.assumed {
            println!("  assumed: {}", t.metric());
        }
        assert_eq!(found.dents.len(), survey.dents.len());
        assert!(found.states.iter().all(|s| !s.modes.is_empty()));
        if name == "heron-trombone" {
            // At 455 mm of the outer leg, which the inner one covers for 615 mm when the slide is in: bare from the 3rd position on,
            // when each leg is pulled by 165 mm (2,700 mm of tube, two half tones).
            assert_eq!(found.dents[0].apart, None);
            assert_eq!(found.dents[0].modes.iter().map(|m| found.states[m.state].position).min(), Some(3));
        }
        if name == "barely-measured" {
            // Where nothing was measured the interval says so.
            let w = found.dents[0].worst.map(|w| &found.dents[0].modes[w].cents).unwrap();
            assert!(w.high - w.low > w.value.abs(), "{w:?}");
        }
    }
}

/// What is not there is said, with how to mend it.
#[test]
fn tubes_that_lead_nowhere_are_refused() {
    let mut instrument = patterns::named("trumpet").unwrap();
    instrument.runs.retain(|r| r.id.0 != "bell-bow");
    let survey = Survey::of(instrument);
    let refused = sound(&survey, &[], &Ask::default()).unwrap_err();
    assert!(refused.what.metric().contains("do not lead"), "{refused:?}");
    // Without any joint the tubes are taken as listed, and that is said.
    let mut loose = patterns::named("bugle").unwrap();
    loose.joints.clear();
    let found = sound(&Survey::of(loose), &[], &Ask::default()).unwrap();
    assert!(found.assumed.iter().any(|t| t.metric().contains("no joints")));
}

/// Doubt of what was not measured widens the interval, a doubt of everything the more: the figures' inputs carry it.
#[test]
fn an_unmeasured_bore_and_a_dent_from_one_side_widen_the_interval() {
    let mut survey = fixtures::demo::read("linnet-trumpet");
    survey.dents.retain(|d| d.id.0 == "d1");
    let found = heard(&survey);
    let one = &found.dents[0].modes[found.dents[0].worst.unwrap()].cents;
    let input = |name: &str| one.reason.inputs.iter().find(|i| i.known.name == name).unwrap();
    // Common practice, both: 30 % of the cents, 1 % of the bore's length where it is the pattern's.
    assert_eq!(input("a dent from one side as a round narrowing").known.sd, 0.3);
    let part = found.states[0].passage.measured;
    let lies = input("station on the whole bore").known.sd;
    let length = found.states[0].bore.length_mm();
    let own = survey.site(&survey.dents[0]).unwrap().at_mm.sd;
    assert!((lies - own.hypot(0.01 * (1.0 - part) * length)).abs() < 1e-9, "{lies}");
    assert!(part > 0.1 && part < 0.5, "{part}");
    assert!(one.high - one.low > 2.0 * 1.64 * 0.3 * one.value.abs());
}

#[test]
fn a_mouthpiece_is_as_large_as_its_kind_s() {
    use instrument::Kind::{AltoHorn, Cornet, Flugelhorn, Horn, Trombone, Trumpet, Tuba};
    // Common practice: throat, mm; cup's volume, cm³; whole length, mm; what goes in, mm; end of the backbore, mm.
    for (kind, throat, volume, length, inside, end) in [
        (Trumpet, 3.6..3.9, 1.0..1.8, 84.0..92.0, 20.0..30.0, 8.4..9.6),
        (Cornet, 3.6..4.1, 1.2..2.2, 62.0..74.0, 18.0..26.0, 7.4..8.6),
        (Flugelhorn, 3.9..4.6, 1.6..2.8, 62.0..78.0, 18.0..26.0, 7.4..8.6),
        (Horn, 4.2..5.0, 3.0..5.5, 62.0..70.0, 18.0..28.0, 6.6..7.8),
        (AltoHorn, 4.4..5.1, 2.6..4.4, 64.0..74.0, 20.0..28.0, 7.8..9.0),
        (Trombone, 6.0..7.0, 5.5..10.0, 74.0..84.0, 25.0..36.0, 10.0..11.6),
        (Tuba, 7.4..8.8, 14.0..24.0, 95.0..108.0, 26.0..38.0, 12.4..14.0),
    ] {
        let m = Mouthpiece::usual(kind);
        let bowl = 2.0 / 3.0 * std::f64::consts::FRAC_PI_4 * m.cup_mm * m.cup_mm * m.depth_mm / 1000.0;
        let whole = m.depth_mm + m.throat_length_mm + m.backbore_mm;
        assert!(throat.contains(&m.throat_mm) && volume.contains(&bowl) && length.contains(&whole), "{kind:?}: {bowl} {whole}");
        assert!(inside.contains(&m.inserted_mm) && end.contains(&m.end_mm) && (3.5..7.0).contains(&m.throat_length_mm), "{kind:?}");
        assert!(m.bore().check().is_ok() && (m.bore().length_mm() - whole).abs() < 1e-9);
    }
}

/// What a repair leaves: a tenth of every dent moves a tenth, over-pushed ones move the other way, nothing moves nothing; a patch's step
/// and a stretched ring are changes like any other.
#[test]
fn what_a_repair_leaves() {
    let survey = fixtures::demo::read("linnet-trumpet");
    let found = heard(&survey);
    let open = &found.states[0];
    let model = acoustics::Model::default();
    let at = |part: f64| open.with(&open.changes.iter().map(|c| c.1.left(part)).collect::<Vec<_>>(), &model);
    let (all, tenth, over) = (at(1.0), at(0.1), at(-0.05));
    for (m, mode) in open.modes.iter().enumerate() {
        assert!((all[m] - mode.cents.value).abs() < 0.02, "{} {}", all[m], mode.cents.value);
    }
    assert!(at(0.0).iter().all(|c| c.abs() < 0.01));
    let size = |c: &[f64]| c.iter().map(|c| c * c).sum::<f64>().sqrt();
    assert!(size(&tenth) < 0.2 * size(&all) && size(&tenth) > 0.05 * size(&all));
    let against: f64 = over.iter().zip(&all).map(|(a, b)| a * b).sum();
    assert!(against < 0.0, "{over:?}");
    let patch = [acoustics::Change::Step { from_mm: 300.0, to_mm: 330.0, height_mm: 0.4, across_mm: 12.0 }];
    let ring = [acoustics::Change::Ring { from_mm: 300.0, to_mm: 330.0, diameter_mm: 0.3 }];
    let (patch, ring) = (open.with(&patch, &model), open.with(&ring, &model));
    assert!(size(&patch) > 0.2 && size(&ring) > 0.2 && patch.iter().zip(&ring).map(|(a, b)| a * b).sum::<f64>() < 0.0);
}
