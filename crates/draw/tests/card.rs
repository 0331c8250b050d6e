//! The bench card's drawings: the map's numbers and the setups' planes can be read, one beside the other.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests

mod fixture;

use draw::{Drawing, MapView, SetupView, map, setup};
use fixture::{assessments, dent, forty, marks, method, rack, survey};
use fixtures::drawn::{Box, faults, number, overlap, texts};
use instrument::{Kind, patterns};
use reach::{Method, MethodKind, Opened};
use roxmltree::{Document, Node};
use units::LengthUnit;

/// No text on another, none beyond the sheet's edge, two pens.
#[track_caller]
fn readable(drawing: &Drawing) {
    if let Ok(dir) = std::env::var("LOOK") {
        let title = drawing.svg.split("<title>").nth(1).unwrap().split('<').next().unwrap();
        let name: String = title.chars().filter(char::is_ascii_alphanumeric).collect();
        std::fs::write(format!("{dir}/{name}.svg"), &drawing.svg).unwrap();
    }
    let faults = faults(&drawing.svg);
    assert!(faults.is_empty(), "{faults:#?}");
}

/// Forty-one dents and every joint of a tuba: each number can be read, no dot and no number lies on another.
#[test]
fn the_maps_dots_and_numbers_do_not_cover_each_other() {
    for (kind, sheet) in
        [(Kind::Tuba, (184.0, 92.0)), (Kind::Trumpet, (184.0, 70.0)), (Kind::Horn, (184.0, 105.0)), (Kind::Trombone, (184.0, 60.0))]
    {
        let instrument = patterns::pattern(kind).unwrap();
        let runs: Vec<_> = instrument.runs.iter().filter(|r| r.length_mm() > 100.0).map(|r| (r.id.clone(), r.length_mm())).collect();
        let dents = (0..41_u32)
            .map(|i| {
                let (run, length) = &runs[(i as usize * 3) % runs.len()];
                dent(&format!("d{}", i + 1), &run.0, length * (0.1 + 0.8 * f64::from(i * 13 % 41) / 41.0), f64::from(i * 47 % 360))
            })
            .collect();
        let s = fixtures::survey(instrument, dents);
        let apart: Vec<(String, Opened)> = s
            .instrument
            .joints
            .iter()
            .filter(|j| matches!(j.kind, instrument::JointKind::SoftSoldered { .. }))
            .take(8)
            .enumerate()
            .map(|(i, j)| (format!("{}", 9 + i), Opened::Joint(j.id.clone())))
            .collect();
        let (a, m) = (assessments(&s), marks(&s));
        let drawing = map(&MapView { survey: &s, assessments: &a, marks: &m, apart: &apart, unit: LengthUnit::Mm }, sheet);
        readable(&drawing);
        let document = Document::parse(&drawing.svg).unwrap();
        let dots: Vec<(f64, f64)> =
            document.descendants().filter(|n| n.has_tag_name("circle")).map(|n| (number(&n, "cx"), number(&n, "cy"))).collect();
        assert_eq!(dots.len(), 41, "{kind:?}");
        for (i, p) in dots.iter().enumerate() {
            for q in &dots[..i] {
                assert!((p.0 - q.0).hypot(p.1 - q.1) >= 2.0 * draw::map::DOT_MM, "{kind:?}: dots on each other at {p:?}");
            }
        }
        // The instrument leaves room for a number of three letters and its leader at either side.
        let edge = |n: Node| {
            n.attribute("points").unwrap().split(' ').map(|p| p.split(',').next().unwrap().parse::<f64>().unwrap()).collect::<Vec<_>>()
        };
        let xs: Vec<f64> = document.descendants().filter(|n| n.has_tag_name("polygon")).flat_map(edge).collect();
        assert!(xs.iter().all(|x| *x >= 12.0 && *x <= sheet.0 - 12.0), "{kind:?}");
        // Every brace stands on its tubes, with feet that can be seen.
        let feet = document
            .descendants()
            .filter(|n| n.has_tag_name("rect") && n.attribute("fill") == Some("#d8d3c4") && number(n, "width") >= 1.2);
        let braces = s.instrument.overlays.iter().filter(|o| o.kind == instrument::OverlayKind::Brace).count();
        assert!(feet.count() >= braces, "{kind:?}: {braces} braces");
        let tags: Vec<Box> = document
            .descendants()
            .filter(|n| n.has_tag_name("rect") && number(n, "height") == 4.2)
            .map(|n| (number(&n, "x"), number(&n, "y"), number(&n, "x") + number(&n, "width"), number(&n, "y") + number(&n, "height")))
            .collect();
        assert!(tags.len() > 41);
        for (i, t) in tags.iter().enumerate() {
            assert!(tags[..i].iter().all(|u| !overlap(*t, *u)), "{kind:?}: numbers on each other at {t:?}");
        }
    }
}

/// Each dent has its plane with a letter, and its section under the same letter; what is drawn is to scale.
#[test]
fn a_setup_shows_every_dent_with_its_section() {
    let mut dents: Vec<_> = forty("pipe", 400.0).into_iter().step_by(5).collect();
    dents.extend([dent("far", "pipe", 380.0, 260.0), dent("near", "pipe", 12.0, 80.0)]);
    let s = survey(dents.clone());
    let (a, m, rack) = (assessments(&s), marks(&s), rack());
    let methods: Vec<Method> = dents.iter().map(|d| method(&s, d, MethodKind::BallTrain, &["balls", "cable"], 19.5, None)).collect();
    let of: Vec<&Method> = methods.iter().collect();
    for unit in [LengthUnit::Mm, LengthUnit::Inch] {
        let view = SetupView {
            survey: &s,
            assessments: &a,
            rack: &rack,
            marks: &m,
            run: s.instrument.run(&"pipe".into()).unwrap(),
            methods: &of,
            unit,
        };
        let (drawing, letters) = setup(&view, 184.0).unwrap();
        readable(&drawing);
        assert!(drawing.height_mm < 110.0, "{}", drawing.height_mm);
        let document = Document::parse(&drawing.svg).unwrap();
        let all: Vec<String> = texts(&document).into_iter().map(|t| t.0).collect();
        let mut seen: Vec<&String> = letters.iter().flatten().collect();
        seen.sort();
        seen.dedup();
        assert_eq!(seen.len(), dents.len());
        for (letter, d) in letters.iter().zip(&dents) {
            let letter = letter.as_ref().unwrap();
            assert_eq!(all.iter().filter(|t| *t == letter).count(), 1, "{letter}");
            assert!(all.iter().any(|t| t.starts_with(&format!("{letter}–{letter}")) && t.ends_with(&d.id.0)), "{letter} {all:?}");
            // Its own tag on the side view.
            assert!(all.contains(&d.id.0));
        }
    }
    // A lone dent on a short bow.
    let d = dent("a", "bow", 90.0, 200.0);
    let s = survey(vec![d.clone()]);
    let (a, m) = (assessments(&s), marks(&s));
    let w = method(&s, &d, MethodKind::Mandrel, &["mandrel"], 19.0, None);
    let view = SetupView {
        survey: &s,
        assessments: &a,
        rack: &rack,
        marks: &m,
        run: s.instrument.run(&"bow".into()).unwrap(),
        methods: &[&w],
        unit: LengthUnit::Mm,
    };
    readable(&setup(&view, 184.0).unwrap().0);
}
