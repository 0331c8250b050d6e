//! Tools made for one dent that serve another.

use super::*;
use instrument::DentId;
use reach::MethodKind;
use units::{Figure, Known, Origin, ThreePoint, Unit};

fn piece(body: ToolBody, because: &str) -> ToolPiece {
    ToolPiece::new(body, because.into())
}

fn ball(diameter_mm: f64) -> ToolBody {
    ToolBody::Ball { diameter_mm }
}

fn shaft(length_mm: f64) -> ToolBody {
    ToolBody::FlexibleShaft { diameter_mm: 12.0, length_mm, least_radius_mm: 72.0, limit_n: 1152.0 }
}

/// A train driven with 600 N of 1152 N.
fn train(pieces: Vec<ToolPiece>) -> Method {
    let force = Known::new("force", 600.0, 0.0, Unit::N, Origin::Computed);
    Method {
        dent: DentId("d1".into()),
        kind: MethodKind::BallTrain,
        tool: ToolChoice::ToMake { make: ToolToMake { pieces }, with: Vec::new() },
        tool_forces: vec![],
        size_mm: 89.0,
        passage: None,
        opens: Vec::new(),
        after: Vec::new(),
        train: Vec::new(),
        annealed: false,
        left_on: None,
        fill: None,
        strokes: None,
        force_hand_n: Figure::derive(Unit::N, "as said", units::Source::closed_form("a test"), &[force], |x| x[0]),
        force_limit_n: 1152.0,
        way: None,
        minutes: ThreePoint::ZERO,
        set_up: ThreePoint::ZERO,
        risk: 0.0,
        finish_quality: 0.9,
        pose: None,
        stays_mm: 0.0,
        contact: None,
        because: "It works.".into(),
    }
}

#[test]
fn each_ball_is_a_piece_and_so_is_what_drives_them() {
    let method = train(vec![piece(ball(87.0), "no ball"), piece(ball(89.0), "no ball"), piece(shaft(1300.0), "no shaft")]);
    let bodies: Vec<&ToolBody> = pieces(&method).iter().map(|p| &p.body).collect();
    assert_eq!(bodies, [&ball(87.0), &ball(89.0), &shaft(1300.0)]);
    let make = to_make(&method).unwrap();
    assert_eq!(make.words().metric(), "balls 87, 89 mm and a flexible shaft 12 mm, 1300 mm long, minimum bend radius 72 mm");
    assert_eq!(make.because().metric(), "no ball; no shaft");
    let mut rack = method;
    rack.tool = ToolChoice::Rack { tools: Vec::new() };
    assert!(pieces(&rack).is_empty() && with_tools(&rack, &[piece(ball(87.0), "")]) == rack);
}

#[test]
fn a_shaft_that_is_longer_a_ball_one_size_smaller_serve_where_force_is_to_spare() {
    let mut method = train(Vec::new());
    assert!(serves(&shaft(1400.0), &shaft(1300.0), &method) && !serves(&shaft(1300.0), &shaft(1400.0), &method));
    assert!(
        serves(&ball(88.5), &ball(89.0), &method)
            && !serves(&ball(88.0), &ball(89.0), &method)
            && !serves(&ball(89.5), &ball(89.0), &method)
    );
    method.force_limit_n = 600.0;
    assert!(!serves(&ball(88.5), &ball(89.0), &method) && serves(&ball(89.0), &ball(89.0), &method));
    let weak = ToolBody::FlexibleShaft { diameter_mm: 8.0, length_mm: 1400.0, least_radius_mm: 48.0, limit_n: 512.0 };
    assert!(!serves(&weak, &shaft(1300.0), &method), "it bears 512 N of 600 N");
    // Strong enough but softer: it serves where nothing is led round bends, not where it is.
    let soft = ToolBody::FlexibleShaft { diameter_mm: 11.0, length_mm: 1400.0, least_radius_mm: 66.0, limit_n: 968.0 };
    assert!(serves(&soft, &shaft(1300.0), &method));
    let n = method.force_hand_n.clone();
    let back = reach::Drawn { hand_n: n.clone(), limit_n: 600.0, must: true, with: "the shaft".into() };
    let (by, dent_n) = (reach::Leads::Shaft, n);
    method.way = Some(reach::WayForce { by, length_mm: 900.0, turned_deg: 90.0, dent_n, presses_n_per_mm: None, coils: false, back });
    assert!(!serves(&soft, &shaft(1300.0), &method) && serves(&shaft(1400.0), &shaft(1300.0), &method));
}

#[test]
fn what_is_made_for_another_dent_stands_in_the_way_with_its_reason() {
    let method = train(vec![piece(ball(89.0), "mine"), piece(shaft(1300.0), "mine too")]);
    let theirs = [piece(ball(89.0), "theirs"), piece(shaft(1400.0), "theirs")];
    let got = with_tools(&method, &theirs);
    assert_eq!(pieces(&got), [piece(ball(89.0), "mine"), piece(shaft(1400.0), "theirs")]);
    assert!(
        got.because
            .metric()
            .ends_with("The flexible shaft 12 mm, 1400 mm long, minimum bend radius 72 mm made for another dent serves here too.")
    );
    // Its own tools change nothing, and a tool that serves for two of them stands once.
    assert_eq!(with_tools(&method, pieces(&method)), method);
    let twice = with_tools(&method, &[theirs[0].clone(), theirs[0].clone(), theirs[1].clone()]);
    assert_eq!(pieces(&twice), pieces(&got));
}
