//! Drawings of tools: read back by a CAD file reader that is not ours.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests

use draw::{tool_to_make_dxf, tool_to_make_svg};
use dxf::Drawing;
use dxf::entities::EntityType;
use dxf::enums::AcadVersion;
use reach::ToolBody;
use units::LengthUnit;

fn read(body: ToolBody) -> Drawing {
    let text = tool_to_make_dxf(&body, LengthUnit::Mm).unwrap();
    Drawing::load(&mut text.as_bytes()).unwrap()
}

fn texts(drawing: &Drawing) -> Vec<String> {
    drawing
        .entities()
        .filter_map(|e| match &e.specific {
            EntityType::Text(t) => Some(t.value.clone()),
            _ => None,
        })
        .collect()
}

#[test]
fn a_straight_rod_opens_at_full_size() {
    let drawing = read(ToolBody::StraightRod { diameter_mm: 9.0, length_mm: 310.0, head_mm: 14.5 });
    assert_eq!(drawing.header.version, AcadVersion::R12);
    let outline: Vec<_> = drawing.entities().filter(|e| e.common.layer == "OUTLINE").collect();
    let mut furthest = 0.0_f64;
    let mut head = None;
    for e in outline {
        match &e.specific {
            EntityType::Line(l) => furthest = furthest.max(l.p1.x.max(l.p2.x)),
            EntityType::Arc(a) => head = Some((a.center.x, a.radius)),
            other => panic!("{other:?}"),
        }
    }
    let (centre, radius) = head.unwrap();
    assert!((radius - 7.25).abs() < 1e-3);
    assert!((centre + radius - 310.0).abs() < 1e-3, "the tip lies at the length");
    // The shank ends where it meets the head's circle (Pythagoras).
    assert!((centre - furthest - (7.25_f64.powi(2) - 4.5_f64.powi(2)).sqrt()).abs() < 1e-3);
    let said = texts(&drawing);
    for words in ["310 mm", "%%c 9 mm", "%%c 14.5 mm"] {
        assert!(said.iter().any(|t| t == words), "{words} in {said:?}");
    }
}

#[test]
fn a_curved_rod_has_its_radius() {
    let drawing = read(ToolBody::CurvedRod { diameter_mm: 12.0, length_mm: 300.0, radius_mm: 95.0, head_mm: 20.0 });
    let mut radii: Vec<f64> = drawing
        .entities()
        .filter_map(|e| match &e.specific {
            EntityType::Arc(a) => {
                let span = (a.end_angle - a.start_angle).rem_euclid(360.0);
                // Along the centre line to the head's middle: 300 less its radius.
                assert!((span.to_radians() * 95.0 - 290.0).abs() < 1e-2);
                Some(a.radius)
            }
            _ => None,
        })
        .collect();
    radii.sort_by(f64::total_cmp);
    assert_eq!(radii.iter().map(|r| (r * 1e3).round() / 1e3).collect::<Vec<_>>(), [89.0, 95.0, 101.0]);
}

#[test]
fn every_body_that_can_be_turned_has_both_drawings_and_the_rest_none() {
    let bodies = [
        ToolBody::StraightRod { diameter_mm: 4.0, length_mm: 900.0, head_mm: 4.0 },
        ToolBody::CurvedRod { diameter_mm: 8.0, length_mm: 60.0, radius_mm: 400.0, head_mm: 12.0 },
        ToolBody::Mandrel { small_mm: 11.4, large_mm: 11.8, length_mm: 250.0 },
        ToolBody::Ball { diameter_mm: 14.5 },
        ToolBody::BallSet { smallest_mm: 8.0, largest_mm: 40.0, step_mm: 0.25 },
        ToolBody::Roller { diameter_mm: 25.0 },
        ToolBody::PullStud { foot_mm: 8.0 },
    ];
    for body in bodies {
        for unit in [LengthUnit::Mm, LengthUnit::Inch] {
            let svg = tool_to_make_svg(&body, unit).unwrap();
            assert!(roxmltree::Document::parse(&svg.svg).is_ok());
            assert!(svg.width_mm <= 176.0 + 1e-9 && svg.height_mm < 120.0, "{body:?} {} × {}", svg.width_mm, svg.height_mm);
            let text = tool_to_make_dxf(&body, unit).unwrap();
            assert!(text.is_ascii());
            let drawing = Drawing::load(&mut text.as_bytes()).unwrap();
            assert_eq!(drawing.entities().count(), text.lines().filter(|l| ["LINE", "CIRCLE", "ARC", "TEXT"].contains(l)).count());
        }
    }
    for body in
        [ToolBody::Torch { watts: None }, ToolBody::Press { limit_n: 1000.0, travel_mm: None }, ToolBody::Ball { diameter_mm: f64::NAN }]
    {
        assert!(tool_to_make_svg(&body, LengthUnit::Mm).is_none());
        assert!(tool_to_make_dxf(&body, LengthUnit::Mm).is_none());
    }
}

/// Sizes are those that were asked for: the greatest extent of the outline, full size, and each in words.
#[test]
fn the_further_tools_have_their_sizes() {
    let stake = ToolBody::Stake { crown_radius_mm: 70.0, face_mm: 60.0, diameter_mm: 30.0, length_mm: 500.0 };
    let expander = ToolBody::Expander { smallest_mm: 17.5, largest_mm: 20.5, jaws_mm: 12.0, length_mm: 160.0, limit_n: 8000.0 };
    for (body, long, said) in [
        (ToolBody::Burnisher { diameter_mm: 12.0, length_mm: 320.0, head_mm: 16.0 }, 320.0, vec!["320 mm", "%%c 12 mm", "%%c 16 mm"]),
        (expander, 160.0, vec!["160 mm", "12 mm", "shut %%c 17.5 mm", "open %%c 20.5 mm"]),
        (stake, 500.0, vec!["500 mm", "60 mm", "%%c 30 mm", "crown R 70 mm"]),
    ] {
        let svg = tool_to_make_svg(&body, LengthUnit::Mm).unwrap();
        assert!(!svg.svg.contains("NaN") && svg.width_mm <= 176.0 + 1e-6 && svg.height_mm < 130.0, "{body:?}");
        let drawing = read(body.clone());
        let texts = texts(&drawing);
        for words in said {
            assert!(texts.iter().any(|t| t == words), "{words} in {texts:?}");
        }
        let mut x = (f64::MAX, f64::MIN);
        for e in drawing.entities().filter(|e| e.common.layer == "OUTLINE") {
            let mut put = |v: f64| x = (x.0.min(v), x.1.max(v));
            match &e.specific {
                EntityType::Line(l) => {
                    put(l.p1.x);
                    put(l.p2.x);
                }
                EntityType::Arc(a) if !matches!(body, ToolBody::Stake { .. }) => put(a.center.x + a.radius),
                _ => {}
            }
        }
        assert!((x.1 - x.0 - long).abs() < 1e-3, "{body:?}: {x:?}");
        if let Ok(dir) = std::env::var("LOOK") {
            std::fs::write(format!("{dir}/make-{long:.0}.svg"), &svg.svg).unwrap();
        }
    }
    let ring = read(ToolBody::DrawRing { bore_mm: 20.56 });
    let lands = ring.entities().filter(|e| matches!(&e.specific, EntityType::Line(l) if (l.p1.y.abs() - 10.28).abs() < 1e-6 && (l.p2.y.abs() - 10.28).abs() < 1e-6 && l.p1.y == l.p2.y && e.common.layer == "OUTLINE"));
    assert_eq!(lands.count(), 2, "a land above and one below");
    assert!(texts(&ring).iter().any(|t| t == "%%c 20.56 mm"), "{:?}", texts(&ring));
    if let Ok(dir) = std::env::var("LOOK") {
        std::fs::write(
            format!("{dir}/make-ring.svg"),
            tool_to_make_svg(&ToolBody::DrawRing { bore_mm: 20.56 }, LengthUnit::Mm).unwrap().svg,
        )
        .unwrap();
    }
    // What is bought is not drawn.
    for body in [ToolBody::Fill { fill: metal::Fill::Pitch }, ToolBody::DrawBench { length_mm: 500.0, limit_n: 3000.0 }] {
        assert!(tool_to_make_svg(&body, LengthUnit::Mm).is_none());
    }
}

/// What a shop needs to turn them: a ball on a 3 mm cord has a hole of 3.5 mm, one that is screwed to a shaft its thread (M6 in 12 mm, at
/// most half of it); tolerances, material, what it bears; a shaft is bought and has no drawing.
#[test]
fn a_piece_can_be_turned_from_its_drawing() {
    use reach::{Led, Load, ToolPiece};
    let piece = |body: ToolBody, load: Load| ToolPiece::new(body, units::Text::default()).under(load).unwrap();
    let said = |p: &ToolPiece| {
        let svg = draw::piece_svg(p, LengthUnit::Mm).unwrap();
        assert!(svg.width_mm <= 176.0 + 1e-6, "{}", svg.width_mm);
        assert!(draw::piece_dxf(p, LengthUnit::Mm).unwrap().is_ascii());
        svg.svg
    };
    let ball = |led: Led| piece(ToolBody::Ball { diameter_mm: 12.0 }, Load { led: Some(led), ..Load::steady(400.0, 0.0) });
    let cord = said(&ball(Led::Cord { cord_mm: 3.0 }));
    for words in ["3.5 mm", "ISO 2768-f", "±0.05", "58 HRC", "400 N"] {
        assert!(cord.contains(words), "{words}");
    }
    assert!(said(&ball(Led::Screwed)).contains("tapped M6"));
    let stake = ToolBody::Stake { crown_radius_mm: 70.0, face_mm: 40.0, diameter_mm: 12.0, length_mm: 160.0 };
    let stake = piece(stake, Load::steady(201.0, 100.0));
    let inches = draw::piece_svg(&stake, LengthUnit::Inch).unwrap().svg;
    let stake = said(&stake);
    // By hand: 32·201·100/(π·12³) = 118 N/mm² of 650/1.5.
    assert!(stake.contains("118 N/mm²") && stake.contains("433 allowed") && stake.contains("42CrMo4"), "{stake}");
    // 201 N are 45 lbf (4.448 N each); 433 N/mm² are 62,800 psi (145.04 psi to 1 N/mm²).
    assert!(
        inches.contains("45 lbf")
            && inches.contains("62800 allowed")
            && !inches.contains(" N ")
            && !inches.contains(" N,")
            && !inches.contains("N/mm²"),
        "{inches}"
    );
    let shaft = ToolBody::FlexibleShaft { diameter_mm: 6.0, length_mm: 900.0, least_radius_mm: 45.0, limit_n: 300.0 };
    let shaft = ToolPiece::new(shaft, units::Text::default());
    assert!(shaft.is_bought() && draw::piece_svg(&shaft, LengthUnit::Mm).is_none());
}
