//! Every drawing is well formed, keeps its labels apart, and its scale does not lie.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests

mod fixture;

use draw::{Drawing, ToolView, balloon, overview, strip, strip_sheet, tool_in_tube};
use fixture::{assessments, dent, forty, marks, method, rack, survey};
use reach::{MethodKind, Pose};
use roxmltree::{Document, Node};
use units::LengthUnit;

fn number(node: &Node, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

fn circles(document: &Document, radius: f64) -> Vec<(f64, f64)> {
    document
        .descendants()
        .filter(|n| n.has_tag_name("circle") && (number(n, "r") - radius).abs() < 1e-3)
        .map(|n| (number(&n, "cx"), number(&n, "cy")))
        .collect()
}

fn points(node: &Node) -> Vec<(f64, f64)> {
    let pair = |p: &str| {
        let (x, y) = p.split_once(',').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    node.attribute("points").unwrap().split(' ').map(pair).collect()
}

fn words(drawing: &Drawing) -> String {
    let document = Document::parse(&drawing.svg).unwrap();
    document.descendants().filter(|n| n.has_tag_name("text")).filter_map(|n| n.text()).collect::<Vec<_>>().join("\n")
}

/// Mm of the thing for one mm of paper, as the drawing says it.
fn said_scale(drawing: &Drawing) -> Vec<f64> {
    let text = words(drawing);
    text.lines()
        .filter_map(|l| l.split_once("scale ").map(|(_, s)| s))
        .map(|s| {
            let (a, b) = s.split_once(':').unwrap();
            b.parse::<f64>().unwrap() / a.parse::<f64>().unwrap()
        })
        .collect()
}

/// A page wants the drawing in pixels; what is drawn is the same.
#[test]
fn on_a_page_it_is_the_same_drawing() {
    let s = survey(forty("pipe", 400.0));
    let drawing = strip(&s, &"pipe".into(), &marks(&s), LengthUnit::Mm, 182.0).unwrap();
    let wide = drawing.wide(946.4);
    let (paper, page) = (Document::parse(&drawing.svg).unwrap(), Document::parse(&wide).unwrap());
    assert_eq!(page.root_element().attribute("style"), Some("width:946px"));
    for name in ["width", "height", "viewBox", "role"] {
        assert_eq!(page.root_element().attribute(name), paper.root_element().attribute(name));
    }
    let inside = |d: &Document| d.descendants().skip(2).map(|n| format!("{:?} {:?}", n.tag_name(), n.text())).collect::<Vec<_>>();
    assert!(inside(&page).len() > 100 && inside(&page) == inside(&paper));
}

#[test]
fn forty_dents_on_one_run_keep_their_numbers_apart() {
    let s = survey(forty("pipe", 400.0));
    let drawing = strip(&s, &"pipe".into(), &marks(&s), LengthUnit::Mm, 182.0).unwrap();
    let document = Document::parse(&drawing.svg).unwrap();
    let mut rings = circles(&document, balloon::RADIUS_MM);
    let squares =
        document.descendants().filter(|n| n.has_tag_name("rect") && (number(n, "width") - 2.0 * 0.92 * balloon::RADIUS_MM).abs() < 1e-3);
    rings.extend(squares.map(|n| (number(&n, "x") + 0.92 * balloon::RADIUS_MM, number(&n, "y") + 0.92 * balloon::RADIUS_MM)));
    assert_eq!(rings.len(), 40);
    for (i, a) in rings.iter().enumerate() {
        for b in &rings[..i] {
            let apart = (a.0 - b.0).hypot(a.1 - b.1);
            assert!(apart >= 2.0 * balloon::RADIUS_MM, "{a:?} {b:?}");
        }
        assert!(a.0 >= balloon::RADIUS_MM && a.0 <= drawing.width_mm - balloon::RADIUS_MM);
        assert!(a.1 >= balloon::RADIUS_MM && a.1 <= drawing.height_mm - balloon::RADIUS_MM);
    }
}

/// A ring holds its label of three letters in type of 3 mm, on strip and overview; rings of forty dents keep apart.
#[test]
fn a_ring_holds_its_label() {
    let s = survey(forty("pipe", 400.0));
    for drawing in [strip(&s, &"pipe".into(), &marks(&s), LengthUnit::Mm, 182.0).unwrap(), overview(&s, &marks(&s), LengthUnit::Mm, 182.0)]
    {
        let faults = fixtures::drawn::faults(&drawing.svg);
        assert!(faults.is_empty(), "{faults:#?}");
        let document = Document::parse(&drawing.svg).unwrap();
        let rings: Vec<(f64, f64, f64)> = document
            .descendants()
            .filter(|n| n.has_tag_name("circle") && number(n, "r") > 1.0)
            .map(|n| (number(&n, "cx"), number(&n, "cy"), number(&n, "r")))
            .collect();
        assert!(rings.len() > 30);
        for (i, (x, y, r)) in rings.iter().enumerate() {
            // "d39", bold: half its width from the middle, at half a capital's height.
            assert!((r * r - 1.05 * 1.05).sqrt() >= 3.0 * 3.0 * 0.48 / 2.0, "{r}");
            for (a, b, q) in &rings[..i] {
                assert!((x - a).hypot(y - b) >= r + q, "rings on each other at {x} {y}");
            }
        }
    }
}

#[test]
fn a_strip_is_as_long_as_its_scale_says() {
    let s = survey(vec![dent("a", "pipe", 120.0, 90.0)]);
    let drawing = strip(&s, &"pipe".into(), &marks(&s), LengthUnit::Mm, 182.0).unwrap();
    let scale = said_scale(&drawing)[0];
    let document = Document::parse(&drawing.svg).unwrap();
    let body = document.descendants().find(|n| n.has_tag_name("polygon") && n.attribute("fill") == Some("#e9daab")).unwrap();
    let xs: Vec<f64> = points(&body).iter().map(|p| p.0).collect();
    let ys: Vec<f64> = points(&body).iter().map(|p| p.1).collect();
    let span = |v: &[f64]| v.iter().copied().fold(f64::MIN, f64::max) - v.iter().copied().fold(f64::MAX, f64::min);
    assert!((span(&xs) * scale - 400.0).abs() < 0.05, "{}", span(&xs) * scale);
    // Bore 20 mm and twice the wall of 0.5 mm.
    assert!((span(&ys) * scale - 21.0).abs() < 0.05, "{}", span(&ys) * scale);
}

#[test]
fn the_section_and_the_head_are_to_scale() {
    let d = dent("a", "pipe", 150.0, 0.0);
    let s = survey(vec![d.clone()]);
    let a = assessments(&s);
    let line: Vec<[f64; 3]> = (0..=60).map(|i| [150.0 - 10.0 * f64::from(i), 3.0, 0.0]).collect();
    let pose = Pose { centre_line_mm: line, diameter_mm: 10.0, head_mm: 14.0, least_clearance_mm: 0.4, tightest_at_mm: 20.0 };
    let w = method(&s, &d, MethodKind::StraightRod, &["rod"], 14.0, Some(pose));
    let view = ToolView { survey: &s, assessments: &a, method: &w, rack: Some(&rack()), unit: LengthUnit::Mm };
    let drawing = tool_in_tube(&view).unwrap();
    let scales = said_scale(&drawing);
    let document = Document::parse(&drawing.svg).unwrap();
    assert_eq!(scales.len(), 2, "side view and section each say their scale");
    // The section: outside 21, bore 20, head 14 mm, the head pushed 3 mm towards 12 o'clock.
    let section = scales[1];
    let one = |mm: f64| {
        let found = circles(&document, mm / 2.0 / section);
        assert_eq!(found.len(), 1, "{mm} mm");
        found[0]
    };
    let (outside, head) = (one(21.0), one(14.0));
    one(20.0);
    assert!(((outside.1 - head.1) * section - 3.0).abs() < 0.01 && (outside.0 - head.0).abs() < 0.01);
    // The side view: a head of 14 mm, seventy-two corners.
    let side = scales[0];
    let ball = document.descendants().find(|n| n.has_tag_name("polygon") && points(n).len() == 72).unwrap();
    let xs: Vec<f64> = points(&ball).iter().map(|p| p.0).collect();
    let wide = xs.iter().copied().fold(f64::MIN, f64::max) - xs.iter().copied().fold(f64::MAX, f64::min);
    assert!((wide * side - 14.0).abs() < 0.02, "{}", wide * side);
    for said in ["tightest here: 0.4 mm clear", "head 14 mm, shank 10 mm", "true bore 20 mm", "pipe, mouthpiece end", "2 mm deep"] {
        assert!(words(&drawing).contains(said), "{said} in\n{}", words(&drawing));
    }
}

#[test]
fn every_method_has_a_drawing_that_is_well_formed() {
    let dents = vec![dent("a", "pipe", 150.0, 40.0), dent("b", "bow", 90.0, 200.0), dent("c", "bow", 20.0, 95.0)];
    let s = survey(dents.clone());
    let (a, rack) = (assessments(&s), rack());
    let methods = [
        (MethodKind::StraightRod, vec!["rod"], 14.0),
        (MethodKind::BallTrain, vec!["balls", "cable"], 19.5),
        (MethodKind::Mandrel, vec!["mandrel"], 19.0),
        (MethodKind::Rolling, vec!["roller", "mandrel"], 19.0),
        (MethodKind::Hammering, vec!["hammer that is not on the rack", "balls"], 18.0),
        (MethodKind::Magnet, vec![], 12.0),
        (MethodKind::PullOutside, vec!["stud"], 8.0),
        (MethodKind::Burnishing, vec!["burnisher"], 15.0),
        (MethodKind::Expander, vec!["expander"], 20.0),
        (MethodKind::DrawRing, vec!["ring", "bench", "mandrel"], 19.8),
        (MethodKind::FilledBend, vec!["balls", "cable", "fill", "roller"], 19.5),
        (MethodKind::Raising, vec!["stake", "hammer"], 16.0),
    ];
    for d in &dents {
        for (kind, tools, size) in &methods {
            for unit in [LengthUnit::Mm, LengthUnit::Inch] {
                let mut w = method(&s, d, *kind, tools, *size, None);
                if *kind == MethodKind::PullOutside {
                    w.passage = None;
                }
                if *kind == MethodKind::FilledBend {
                    w.fill = Some(metal::Fill::Alloy95);
                }
                let view = ToolView { survey: &s, assessments: &a, method: &w, rack: Some(&rack), unit };
                let drawing = tool_in_tube(&view).unwrap();
                assert!(Document::parse(&drawing.svg).is_ok());
                assert!(!drawing.svg.contains("NaN"));
                assert!(drawing.height_mm < 130.0, "{kind:?} {}", drawing.height_mm);
                let text = words(&drawing);
                assert!(text.contains(&format!("Dent {}", w.dent)));
                let said = match kind {
                    MethodKind::Burnishing => "rubbed to and fro",
                    MethodKind::Expander => "turned out all round",
                    MethodKind::DrawRing => "pulled through it",
                    MethodKind::FilledBend => "filled with alloy 95",
                    MethodKind::Raising => "struck down with a mallet",
                    _ => "",
                };
                assert!(text.contains(said), "{kind:?}: {text}");
                // Whoever has no steps to look at still sees what raised it.
                assert_eq!(text.contains("raised first, while empty"), *kind == MethodKind::FilledBend, "{text}");
                if let Ok(dir) = std::env::var("LOOK") {
                    std::fs::write(format!("{dir}/{kind:?}-{}-{unit:?}.svg", d.id), &drawing.svg).unwrap();
                }
                assert_eq!(text.contains(" mm"), unit == LengthUnit::Mm);
            }
        }
    }
}

#[test]
fn a_survey_with_nothing_measured_is_still_drawn() {
    let mut d = dent("a", "bow", 0.0, 0.0);
    (d.at_mm, d.clock_deg, d.width_along_mm, d.width_across_mm) = (None, None, None, None);
    let s = survey(vec![d]);
    let m = marks(&s);
    let drawings = [strip_sheet(&s, &m, LengthUnit::Inch, 182.0), overview(&s, &m, LengthUnit::Mm, 182.0)];
    for drawing in drawings {
        assert!(Document::parse(&drawing.svg).is_ok() && drawing.height_mm > 10.0);
        assert_eq!(said_scale(&drawing).len(), 1);
    }
    assert!(strip(&s, &"no such run".into(), &m, LengthUnit::Mm, 182.0).is_none());
}
