//! Surveys over the patterns, a rack and a shop for the tests. Invented.
#![allow(dead_code, reason = "each test file uses its own part")]

use dent::Assessment;
use instrument::{Crack, Crease, Dent, Direction, Instrument, Kind, Survey, Wishes};
use plan::{Level, Overrule, Overrules, Plan, Standards};
use reach::{DentMethods, Rack, Tool, ToolBody, ToolId};
use units::{Known, Origin, Unit};

pub fn rack() -> Rack {
    let tool = |id: &str, body: ToolBody| Tool {
        id: ToolId(id.to_owned()),
        name: id.to_owned(),
        place: String::new(),
        wear_mm: 0.0,
        away_until: None,
        body,
    };
    let mut tools = vec![
        tool("small balls", ToolBody::BallSet { smallest_mm: 8.0, largest_mm: 24.0, step_mm: 0.25 }),
        tool("middle balls", ToolBody::BallSet { smallest_mm: 24.5, largest_mm: 60.0, step_mm: 0.5 }),
        tool("large balls", ToolBody::BallSet { smallest_mm: 61.0, largest_mm: 120.0, step_mm: 1.0 }),
        tool("shaft", ToolBody::FlexibleShaft { diameter_mm: 6.0, length_mm: 1200.0, least_radius_mm: 45.0, limit_n: 350.0 }),
        tool("cable", ToolBody::Cable { length_mm: 2400.0, limit_n: 900.0 }),
        tool("press", ToolBody::Press { limit_n: 2000.0, travel_mm: None }),
        tool("hammer", ToolBody::Hammer { face_radius_mm: 60.0 }),
        tool("roller", ToolBody::Roller { diameter_mm: 20.0 }),
        tool("magnet", ToolBody::Magnet { pull_n: 420.0, half_distance_mm: 2.2 }),
        tool("stud", ToolBody::PullStud { foot_mm: 8.0 }),
        tool("torch", ToolBody::Torch { watts: Some(2000.0) }),
    ];
    for (d, l, h) in [(6.0, 320.0, 7.5), (8.0, 450.0, 10.0), (10.0, 600.0, 13.0), (16.0, 900.0, 22.0), (25.0, 1100.0, 40.0)] {
        tools.push(tool(&format!("rod {d} x {l}"), ToolBody::StraightRod { diameter_mm: d, length_mm: l, head_mm: h }));
    }
    for (s, g, l) in [(8.6, 11.4, 230.0), (11.5, 11.5, 280.0), (18.4, 18.4, 260.0), (24.0, 46.0, 620.0), (45.0, 120.0, 700.0)] {
        tools.push(tool(&format!("mandrel {s}-{g}"), ToolBody::Mandrel { small_mm: s, large_mm: g, length_mm: l }));
    }
    Rack { tools, hand_push_n: 150.0, lean_n: 400.0 }
}

pub fn measured(what: &'static str, value: f64) -> Option<Known> {
    Some(Known::new(what, value, 0.03 * value, Unit::Mm, Origin::Measured))
}

/// A dent measured with a gauge, at `at_mm`.
pub fn dent(id: &str, run: &str, at_mm: f64, depth: f64, along: f64, across: f64) -> Dent {
    Dent {
        id: id.into(),
        run: run.into(),
        at_mm: Some(Known::new("station", at_mm, 1.0, Unit::Mm, Origin::Measured)),
        clock_deg: Some(Known::new("clock", 90.0, 5.0, Unit::Deg, Origin::Measured)),
        depth_mm: measured("depth", depth),
        width_along_mm: measured("width along", along),
        width_across_mm: measured("width across", across),
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

pub fn creased(mut d: Dent) -> Dent {
    d.crease = Some(Crease { direction: Direction::Along, length_mm: measured("crease", 18.0) });
    d
}

pub fn cracked(mut d: Dent) -> Dent {
    d.crack = Some(Crack { direction: Some(Direction::Along), length_mm: measured("crack", 5.0), through: Some(true) });
    d
}

pub fn survey(instrument: Instrument, dents: Vec<Dent>) -> Survey {
    Survey {
        title: "test".to_owned(),
        customer: String::new(),
        surveyor: String::new(),
        date: String::new(),
        instrument,
        dents,
        conditions: vec![],
        wishes: Wishes::default(),
        cleaned: Some(true),
    }
}

pub fn pattern(kind: Kind) -> Instrument {
    instrument::patterns::pattern(kind).unwrap_or_else(|| unreachable!("every kind of the tests has a pattern"))
}

/// All that is worked out before the plan.
pub struct Bench {
    pub survey: Survey,
    pub assessments: Vec<Assessment>,
    pub methods: Vec<DentMethods>,
    pub standards: Standards,
}

impl Bench {
    pub fn new(survey: Survey) -> Self {
        let assessments = dent::assess_all(&survey);
        let methods = reach::methods(&survey, &assessments, &rack());
        Self { survey, assessments, methods, standards: Standards::common_practice() }
    }
    pub fn plan(&self) -> Plan {
        self.plan_with(&Overrules::default())
    }
    pub fn plan_with(&self, overrules: &Overrules) -> Plan {
        let methods = reach::methods_within(&self.survey, &self.assessments, &rack(), &overrules.constraints(&self.survey));
        plan::plan(&self.survey, &self.assessments, &methods, &self.heats(), &self.standards, overrules)
    }
    pub fn plan_to(&self, level: Level) -> Plan {
        plan::plan_to(level, &self.survey, &self.assessments, &self.methods, &self.heats(), &self.standards, &Overrules::default())
    }
    pub fn heats(&self) -> plan::Heats<'_> {
        plan::Heats::new(&self.survey.instrument, &rack())
    }
}

pub fn plan_of(survey: Survey) -> Plan {
    Bench::new(survey).plan()
}

pub fn overrule(decision: plan::Decision) -> Overrules {
    Overrules { all: vec![Overrule { decision, who: "Ottilie".to_owned(), why: "a test".to_owned() }] }
}

/// One tube, open at both ends: straight, half a circle, straight; the same bore all along.
pub fn bent_tube(bore: f64) -> Instrument {
    use instrument::{Axis, Finish, Profile, Role, Run, Segment};
    let run = Run {
        id: "tube".into(),
        name: "tube".to_owned(),
        role: Role::Bow,
        axis: Axis {
            segments: vec![
                Segment::Straight { length_mm: 220.0 },
                Segment::Bend { radius_mm: 80.0, angle_deg: 180.0, plane_deg: 0.0 },
                Segment::Straight { length_mm: 220.0 },
            ],
        },
        bore_mm: Profile::constant(bore, 0.1, Origin::Measured),
        wall_mm: Profile::constant(0.5, 0.02, Origin::Measured),
        alloy: metal::Alloy::YellowBrass,
        temper: Profile::constant(2.0, 0.5, Origin::Pattern),
        finish: Finish::Raw,
    };
    Instrument {
        kind: Kind::Other,
        maker: String::new(),
        model: String::new(),
        serial: String::new(),
        value_money: None,
        runs: vec![run],
        joints: vec![],
        overlays: vec![],
        fits: vec![],
    }
}
