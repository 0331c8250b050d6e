//! A trumpet with many dents, for the drawings. Invented.
#![allow(dead_code, clippy::unwrap_used)] // helpers of tests

use dent::Assessment;
use draw::Mark;
use instrument::*;
use reach::{BallStep, Method, Opening, Passage, PassagePart, Pose, Rack, Tool, ToolBody, ToolChoice, ToolId, Way};
use units::{Figure, Known, Origin, Source, ThreePoint, Unit};

pub fn run(id: &str, segments: Vec<Segment>, bore_mm: f64) -> Run {
    Run {
        id: id.into(),
        name: id.replace('-', " "),
        role: Role::Branch,
        axis: Axis { segments },
        bore_mm: Profile::constant(bore_mm, 0.05, Origin::Measured),
        wall_mm: Profile::constant(0.5, 0.02, Origin::Measured),
        alloy: metal::Alloy::YellowBrass,
        temper: Profile::constant(2.0, 0.5, Origin::Pattern),
        finish: Finish::Lacquer,
    }
}

pub fn dent(id: &str, run: &str, at_mm: f64, clock_deg: f64) -> Dent {
    let mm = |name: &'static str, v: f64| Some(Known::new(name, v, 0.2, Unit::Mm, Origin::Measured));
    Dent {
        id: id.into(),
        run: run.into(),
        at_mm: mm("station", at_mm),
        clock_deg: Some(Known::new("clock", clock_deg, 5.0, Unit::Deg, Origin::Measured)),
        depth_mm: mm("depth", 2.0),
        width_along_mm: mm("width along", 14.0),
        width_across_mm: mm("width round", 12.0),
        edge_radius_mm: None,
        profile_along: vec![],
        profile_across: vec![],
        crease: None,
        crack: None,
        earlier_repair: None,
        hardness_hv: None,
        wall_mm: None,
        pushed_in_by: None,
        note: String::new(),
    }
}

/// A straight pipe of 400 mm and a bow of 60 mm radius, bore 20 mm. `<` and `&` are in the names on purpose.
pub fn survey(dents: Vec<Dent>) -> Survey {
    let straight = run("pipe", vec![Segment::Straight { length_mm: 400.0 }], 20.0);
    let mut bow = run("bow", vec![Segment::Bend { radius_mm: 60.0, angle_deg: 180.0, plane_deg: 0.0 }], 20.0);
    bow.name = "bow <main> & guard".into();
    let joint = Joint {
        id: "j".into(),
        name: "pipe to bow".into(),
        a: RunEnd { run: "pipe".into(), end: End::Finish },
        b: RunEnd { run: "bow".into(), end: End::Start },
        kind: JointKind::SoftSoldered { filler: metal::Filler::Sn63Pb37 },
        overlap_mm: 10.0,
        open_minutes: None,
        close_minutes: None,
    };
    Survey {
        title: "Test & <trial>".into(),
        customer: String::new(),
        surveyor: String::new(),
        date: String::new(),
        instrument: Instrument {
            kind: Kind::Other,
            maker: String::new(),
            model: String::new(),
            serial: String::new(),
            value_money: None,
            runs: vec![straight, bow],
            joints: vec![joint],
            overlays: vec![],
            fits: vec![],
        },
        dents,
        conditions: vec![],
        wishes: Wishes::default(),
        cleaned: Some(true),
    }
}

pub fn forty(run: &str, length_mm: f64) -> Vec<Dent> {
    (0..40).map(|i| dent(&format!("d{i}"), run, length_mm * (0.2 + 0.4 * f64::from(i) / 40.0), f64::from(i * 47 % 360))).collect()
}

pub fn marks(survey: &Survey) -> Vec<Mark> {
    survey.dents.iter().enumerate().map(|(i, d)| Mark { dent: d.id.clone(), number: i + 1, worked: i % 7 != 6 }).collect()
}

pub fn assessments(survey: &Survey) -> Vec<Assessment> {
    dent::assess_all(survey)
}

pub fn rack() -> Rack {
    let tool = |id: &str, body| Tool { id: ToolId(id.into()), name: id.into(), place: String::new(), wear_mm: 0.0, body };
    let tools = vec![
        tool("rod", ToolBody::StraightRod { diameter_mm: 10.0, length_mm: 600.0, head_mm: 14.0 }),
        tool("balls", ToolBody::BallSet { smallest_mm: 10.0, largest_mm: 30.0, step_mm: 0.5 }),
        tool("cable", ToolBody::Cable { length_mm: 1500.0, limit_n: 900.0 }),
        tool("mandrel", ToolBody::Mandrel { small_mm: 18.0, large_mm: 19.8, length_mm: 300.0 }),
        tool("roller", ToolBody::Roller { diameter_mm: 25.0 }),
        tool("stud", ToolBody::PullStud { foot_mm: 8.0 }),
    ];
    Rack { tools, hand_push_n: 200.0, lean_n: 500.0 }
}

pub fn way(survey: &Survey, dent: &Dent, method: Method, tools: &[&str], size_mm: f64, pose: Option<Pose>) -> Way {
    let at = dent.at_mm.as_ref().unwrap().value;
    let mut parts = vec![];
    if dent.run.0 == "bow" {
        let pipe = survey.instrument.runs[0].length_mm();
        parts.push(PassagePart { run: "pipe".into(), enters: End::Start, from_mm: 0.0, to_mm: pipe, dents: vec![] });
    }
    parts.push(PassagePart { run: dent.run.clone(), enters: End::Start, from_mm: 0.0, to_mm: at, dents: vec![] });
    let length_mm = parts.iter().map(|p| p.to_mm - p.from_mm).sum();
    Way {
        dent: dent.id.clone(),
        method,
        tool: ToolChoice::Rack { tools: tools.iter().map(|t| ToolId((*t).into())).collect() },
        size_mm,
        passage: Some(Passage {
            opening: Opening { at: RunEnd { run: "pipe".into(), end: End::Start }, opens: vec![], name: "pipe, mouthpiece end".into() },
            parts,
            length_mm,
        }),
        opens: vec![],
        after: vec![],
        train: if method == Method::BallTrain {
            vec![BallStep { ball_mm: 18.0, drive_n: 300.0 }, BallStep { ball_mm: size_mm, drive_n: 420.0 }]
        } else {
            vec![]
        },
        force_hand_n: Figure::stated(120.0, 80.0, 170.0, Unit::N, "stated for the test", Source::common_practice("test"), &[]),
        force_limit_n: 300.0,
        minutes: ThreePoint::new(5.0, 8.0, 15.0),
        risk: 0.02,
        truth: 0.9,
        pose,
        because: "test".into(),
    }
}
