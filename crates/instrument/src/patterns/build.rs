//! What the patterns share: laying a line of tube from the mouthpiece to the bell, valves, slides, ferrules, braces and
//! guards, so that each end meets its neighbour.

use crate::{
    Axis, Cover, End, Finish, FitKind, Instrument, Interpolation, Joint, JointKind, Kind, MovingFit, Overlay, OverlayKind, Point, Profile,
    Role, Run, RunEnd, RunId, Segment,
};
use metal::{Alloy, Filler};
use units::{Known, Origin, Unit};

/// Spread of a pattern's bore, as a part of it; of its wall; of its temper, numbers hard. Common practice, no source.
const BORE_PART: f64 = 0.025;
const WALL_PART: f64 = 0.13;
const TEMPER_SD: f64 = 0.7;

/// A straight length, mm.
pub fn straight(length_mm: f64) -> Segment {
    Segment::Straight { length_mm }
}

/// A bend: centre-line radius, mm; angle; the clock angle towards which it turns.
pub fn bend(radius_mm: f64, angle_deg: f64, plane_deg: f64) -> Segment {
    Segment::Bend { radius_mm, angle_deg, plane_deg }
}

/// A tube to lay.
pub struct Tube<'a> {
    pub id: &'a str,
    pub name: &'a str,
    pub role: Role,
    pub axis: Vec<Segment>,
    /// Bore at both ends, mm.
    pub bore: (f64, f64),
    pub wall: f64,
    /// Numbers hard.
    pub temper: f64,
    pub alloy: Alloy,
}

impl<'a> Tube<'a> {
    /// A yellow-brass tube with the wall and the temper that its role usually has.
    pub fn new(id: &'a str, name: &'a str, role: Role, axis: Vec<Segment>, bore: (f64, f64), wall: f64) -> Self {
        // Drawn tube is left at about half hard; what was bent or hammered was annealed for it and is softer; slide
        // inners are nickel silver, drawn hard. Common practice, no source.
        let (temper, alloy) = match role {
            Role::TuningSlideInner | Role::HandSlideInner => (3.0, Alloy::NickelSilver),
            Role::TuningSlideOuter | Role::HandSlideOuter => (3.0, Alloy::YellowBrass),
            Role::Leadpipe | Role::Tube | Role::Branch => (2.2, Alloy::YellowBrass),
            Role::Receiver => (2.5, Alloy::NickelSilver),
            Role::Knuckle => (0.6, Alloy::YellowBrass),
            Role::Casing | Role::Bow | Role::TuningSlideCrook | Role::HandSlideCrook => (1.0, Alloy::YellowBrass),
            Role::Piston => (4.0, Alloy::NickelSilver),
            Role::BellStem | Role::BellFlare | Role::Rim => (1.6, Alloy::YellowBrass),
        };
        Self { id, name, role, axis, bore, wall, temper, alloy }
    }

    /// The same tube of another alloy.
    pub fn of(mut self, alloy: Alloy) -> Self {
        self.alloy = alloy;
        self
    }
}

/// A valve's loop.
pub struct Loop {
    /// Length of each straight leg of its slide, mm.
    pub leg_mm: f64,
    /// Radius of its crook, mm.
    pub crook_radius_mm: f64,
}

/// The kind of valves and their dimensions.
pub struct Valves<'a> {
    pub kind: FitKind,
    pub bore_mm: f64,
    pub wall_mm: f64,
    pub casing_bore_mm: f64,
    pub casing_length_mm: f64,
    pub loops: &'a [Loop],
}

/// An instrument being built, with the length of tube that the air takes with no valve down.
pub struct Build {
    pub instrument: Instrument,
    pub open_length_mm: f64,
    /// The run at which the line has arrived.
    last: Option<String>,
}

impl Build {
    pub fn new(kind: Kind) -> Self {
        Self {
            instrument: Instrument {
                kind,
                maker: String::new(),
                model: String::new(),
                serial: String::new(),
                value_money: None,
                runs: vec![],
                joints: vec![],
                overlays: vec![],
                fits: vec![],
            },
            open_length_mm: 0.0,
            last: None,
        }
    }

    /// Adds a run that is joined to nothing yet.
    pub fn loose(&mut self, t: Tube<'_>) -> String {
        let axis = Axis { segments: t.axis };
        let length = axis.length_mm();
        let point = |at_mm: f64, value: f64, sd: f64| Point { at_mm, value, sd, origin: Origin::Pattern };
        let bore = |at, v: f64| point(at, v, BORE_PART * v);
        let points = if t.bore.0 == t.bore.1 { vec![bore(0.0, t.bore.0)] } else { vec![bore(0.0, t.bore.0), bore(length, t.bore.1)] };
        self.instrument.runs.push(Run {
            id: t.id.into(),
            name: t.name.to_owned(),
            role: t.role,
            axis,
            bore_mm: Profile { points, between: Interpolation::Linear },
            wall_mm: Profile { points: vec![point(0.0, t.wall, WALL_PART * t.wall)], between: Interpolation::Linear },
            alloy: t.alloy,
            temper: Profile { points: vec![point(0.0, t.temper, TEMPER_SD)], between: Interpolation::Linear },
            finish: if matches!(t.role, Role::TuningSlideInner | Role::HandSlideInner | Role::Piston) {
                Finish::Raw
            } else {
                Finish::Lacquer
            },
        });
        t.id.to_owned()
    }

    /// Lays the next run of the main line and solders it to the last one, under a ferrule where `ferrule` says so.
    pub fn then(&mut self, t: Tube<'_>, ferrule: bool) -> &mut Self {
        let length = Axis { segments: t.axis.clone() }.length_mm();
        let id = self.loose(t);
        if let Some(last) = self.last.replace(id.clone()) {
            self.solder(&last, &id, ferrule);
        }
        self.open_length_mm += length;
        self
    }

    /// Goes on with the main line from a run that was laid and joined by hand.
    pub fn carry_on_from(&mut self, run: &str) {
        self.last = Some(run.to_owned());
    }

    /// A soft-soldered joint from the end of one run to the start of the next.
    pub fn solder(&mut self, from: &str, to: &str, ferrule: bool) {
        let id = self.joint(from, End::Finish, to, End::Start, JointKind::SoftSoldered { filler: Filler::UnknownSoft }, 8.0);
        if ferrule {
            self.ferrule(&id, from, to);
        }
    }

    /// A joint; returns its name.
    pub fn joint(&mut self, from: &str, from_end: End, to: &str, to_end: End, kind: JointKind, overlap_mm: f64) -> String {
        let id = format!("{from}--{to}");
        let name = format!("{} to {}", self.name_of(from), self.name_of(to));
        let end = |run: &str, end| RunEnd { run: run.into(), end };
        self.instrument.joints.push(Joint {
            id: id.as_str().into(),
            name,
            a: end(from, from_end),
            b: end(to, to_end),
            kind,
            overlap_mm,
            open_minutes: None,
            close_minutes: None,
        });
        id
    }

    /// A ferrule over a joint: it covers the end of one run and the start of the next.
    fn ferrule(&mut self, joint: &str, from: &str, to: &str) {
        let width = |run: &Run| (run.outside_diameter_at(0.0) * 0.5).clamp(8.0, 22.0).min(run.length_mm() * 0.45);
        let (Some(a), Some(b)) = (self.run(from), self.run(to)) else { return };
        let (la, wa, wb) = (a.length_mm(), width(a), width(b));
        let cover = |run: &str, from_mm: f64, to_mm: f64| Cover { run: run.into(), from_mm, to_mm, clock_deg: None };
        let name = format!("ferrule {} to {}", a.name, b.name);
        self.instrument.overlays.push(Overlay {
            id: format!("ferrule-{joint}").as_str().into(),
            name,
            kind: OverlayKind::Ferrule,
            covers: vec![cover(from, la - wa, la), cover(to, 0.0, wb)],
            filler: Some(Filler::UnknownSoft),
            slides_off_at: Some(joint.into()),
            off_minutes: None,
            back_minutes: None,
        });
    }

    /// A brace with a foot on each of two runs, at a part (0 to 1) of each run's length and a clock angle.
    pub fn brace(&mut self, id: &str, name: &str, feet: [(&str, f64, f64); 2]) {
        let covers = feet
            .iter()
            .filter_map(|(run, part, clock)| {
                let r = self.run(run)?;
                let at = r.length_mm() * part;
                let half = (r.outside_diameter_at(at) * 0.35).clamp(6.0, 18.0).min(r.length_mm() * 0.4);
                let spread = (half / (r.outside_diameter_at(at) / 2.0).max(1.0)).to_degrees().min(70.0);
                let turn = |d: f64| (clock + d).rem_euclid(360.0);
                Some(Cover {
                    run: (*run).into(),
                    from_mm: (at - half).max(0.0),
                    to_mm: (at + half).min(r.length_mm()),
                    clock_deg: Some((turn(-spread), turn(spread))),
                })
            })
            .collect();
        self.overlay(id, name, OverlayKind::Brace, covers, Some(Filler::UnknownSoft));
    }

    /// A guard over the outside of a bow: the middle part of its length, 100° wide on the side away from the bend's centre.
    pub fn guard(&mut self, id: &str, name: &str, bow: &str, plane_deg: f64) {
        let Some(r) = self.run(bow) else { return };
        let length = r.length_mm();
        let outer = plane_deg + 180.0;
        let cover = Cover {
            run: bow.into(),
            from_mm: 0.15 * length,
            to_mm: 0.85 * length,
            clock_deg: Some(((outer - 50.0).rem_euclid(360.0), (outer + 50.0).rem_euclid(360.0))),
        };
        self.overlay(id, name, OverlayKind::Guard, vec![cover], Some(Filler::UnknownSoft));
    }

    fn overlay(&mut self, id: &str, name: &str, kind: OverlayKind, covers: Vec<Cover>, filler: Option<Filler>) {
        self.instrument.overlays.push(Overlay {
            id: id.into(),
            name: name.to_owned(),
            kind,
            covers,
            filler,
            slides_off_at: None,
            off_minutes: None,
            back_minutes: None,
        });
    }

    /// A slide in the main line: outer leg, inner leg, crook, inner leg, outer leg. The inner legs lie in the outer ones
    /// when it is pushed home, so that each leg counts once in the open length.
    pub fn slide(&mut self, id: &str, name: &str, bore: (f64, f64), wall: f64, leg_mm: f64, crook_radius_mm: f64) -> &mut Self {
        let ends = self.slide_parts(id, name, bore, wall, leg_mm, crook_radius_mm);
        if let Some(last) = self.last.take() {
            self.solder(&last, &ends.0, true);
        }
        self.last = Some(ends.1);
        self.open_length_mm += 2.0 * leg_mm + std::f64::consts::PI * crook_radius_mm;
        self
    }

    /// The five runs of a slide with their joints and fits; returns the outer legs' names, first and last.
    fn slide_parts(
        &mut self,
        id: &str,
        name: &str,
        (b0, b1): (f64, f64),
        wall: f64,
        leg_mm: f64,
        crook_radius_mm: f64,
    ) -> (String, String) {
        let mid = (b0 + b1) / 2.0;
        let inner_wall = 0.5;
        // The outer legs clear the inner legs' outsides by 0.07 mm (fits: 0.05–0.10 mm, common practice).
        let outer = |b: f64| b + 2.0 * inner_wall + 0.07;
        let part = |suffix: &str| format!("{id}-{suffix}");
        let words = |suffix: &str| format!("{name} {suffix}");
        let (oa, ia, c, ib, ob) = (part("outer-a"), part("inner-a"), part("crook"), part("inner-b"), part("outer-b"));
        let names =
            [words("first outer leg"), words("first inner leg"), words("crook"), words("second inner leg"), words("second outer leg")];
        self.loose(Tube::new(&oa, &names[0], Role::TuningSlideOuter, vec![straight(leg_mm)], (outer(b0), outer(b0)), wall));
        self.loose(Tube::new(&ia, &names[1], Role::TuningSlideInner, vec![straight(leg_mm)], (b0, b0), inner_wall));
        self.loose(Tube::new(&c, &names[2], Role::TuningSlideCrook, vec![bend(crook_radius_mm, 180.0, 90.0)], (b0, mid.max(b1)), wall));
        self.loose(Tube::new(&ib, &names[3], Role::TuningSlideInner, vec![straight(leg_mm)], (b1, b1), inner_wall));
        self.loose(Tube::new(&ob, &names[4], Role::TuningSlideOuter, vec![straight(leg_mm)], (outer(b1), outer(b1)), wall));
        self.joint(&oa, End::Finish, &ia, End::Start, JointKind::SlidingFit, leg_mm * 0.9);
        self.solder(&ia, &c, true);
        self.solder(&c, &ib, true);
        self.joint(&ib, End::Finish, &ob, End::Start, JointKind::SlidingFit, leg_mm * 0.9);
        for (leg, inner, outer) in [("a", &ia, &oa), ("b", &ib, &ob)] {
            self.fit(&format!("{id}-fit-{leg}"), &format!("{name}, leg {leg}"), FitKind::TuningSlide, inner, outer, 0.07, 0.02);
        }
        self.brace(&format!("{id}-brace"), &format!("{name} brace"), [(&ia, 0.85, 90.0), (&ib, 0.15, 90.0)]);
        (oa, ob)
    }

    /// A moving fit with its clearance on the diameter, mm, and that clearance's spread.
    #[expect(clippy::too_many_arguments, reason = "a fit is named by its parts; a struct would say the same twice")]
    pub fn fit(&mut self, id: &str, name: &str, kind: FitKind, inner: &str, outer: &str, clearance_mm: f64, sd_mm: f64) {
        self.instrument.fits.push(MovingFit {
            id: id.into(),
            name: name.to_owned(),
            kind,
            inner: inner.into(),
            outer: outer.into(),
            clearance_mm: Some(Known::new("clearance", clearance_mm, sd_mm, Unit::Mm, Origin::Pattern)),
            state: None,
        });
    }

    /// The valves in the main line: casings with their pistons or rotors, knuckles between them, and each valve's loop with
    /// its slide. The line goes straight through the casings.
    pub fn valves(&mut self, v: &Valves<'_>) -> &mut Self {
        let piston = v.kind == FitKind::PistonInCasing;
        let moving = if piston { "piston" } else { "rotor" };
        let ordinal = ["first", "second", "third", "fourth", "fifth"];
        let mut before = self.last.take();
        for (i, l) in v.loops.iter().enumerate() {
            let n = i + 1;
            let nth = ordinal[i.min(4)];
            let casing = format!("v{n}-casing");
            self.loose(Tube::new(
                &casing,
                &format!("{nth} valve casing"),
                Role::Casing,
                vec![straight(v.casing_length_mm)],
                (v.casing_bore_mm, v.casing_bore_mm),
                v.casing_wall(),
            ));
            let inner = format!("v{n}-{moving}");
            let inner_wall = 0.8;
            let bore = v.casing_bore_mm - 0.05 - 2.0 * inner_wall;
            self.loose(Tube::new(
                &inner,
                &format!("{nth} valve {moving}"),
                Role::Piston,
                vec![straight(v.casing_length_mm * 0.75)],
                (bore, bore),
                inner_wall,
            ));
            self.fit(&format!("v{n}-fit"), &format!("{nth} valve"), v.kind, &inner, &casing, 0.05, 0.012);
            // The tube into this casing: the line's last run, or the knuckle between two casings.
            let into = match before.take() {
                Some(run) if i == 0 => {
                    let knuckle = self.knuckle(&format!("v{n}-inlet"), &format!("{nth} valve inlet knuckle"), v);
                    self.solder(&run, &knuckle, true);
                    self.open_length_mm += self.run(&knuckle).map_or(0.0, Run::length_mm);
                    Some(knuckle)
                }
                other => other,
            };
            if let Some(into) = into {
                self.joint(&into, End::Finish, &casing, End::Start, JointKind::Fixed, 3.0);
            }
            self.open_length_mm += v.casing_bore_mm;
            // The loop.
            let (ka, kb) = (
                self.knuckle(&format!("v{n}-knuckle-a"), &format!("{nth} valve slide knuckle, out"), v),
                self.knuckle(&format!("v{n}-knuckle-b"), &format!("{nth} valve slide knuckle, back"), v),
            );
            self.joint(&casing, End::Finish, &ka, End::Start, JointKind::Fixed, 3.0);
            let name = format!("{nth} valve slide");
            let (oa, ob) = self.slide_parts(&format!("v{n}-slide"), &name, (v.bore_mm, v.bore_mm), v.wall_mm, l.leg_mm, l.crook_radius_mm);
            self.solder(&ka, &oa, true);
            self.solder(&ob, &kb, true);
            self.joint(&kb, End::Finish, &casing, End::Finish, JointKind::Fixed, 3.0);
            // The knuckle on to the next casing, or out of the last one.
            let last = n == v.loops.len();
            let (id, name) = if last {
                (format!("v{n}-outlet"), format!("{nth} valve outlet knuckle"))
            } else {
                (format!("v{n}-v{}", n + 1), format!("knuckle between valves {n} and {}", n + 1))
            };
            let out = self.knuckle(&id, &name, v);
            self.open_length_mm += self.run(&out).map_or(0.0, Run::length_mm);
            self.joint(&casing, End::Start, &out, End::Start, JointKind::Fixed, 3.0);
            before = Some(out);
        }
        self.last = before;
        self
    }

    fn knuckle(&mut self, id: &str, name: &str, v: &Valves<'_>) -> String {
        let radius = v.bore_mm * 1.4;
        self.loose(Tube::new(
            id,
            name,
            Role::Knuckle,
            vec![straight(6.0), bend(radius, 40.0, 0.0), straight(6.0)],
            (v.bore_mm, v.bore_mm),
            v.wall_mm * 0.85,
        ))
    }

    /// A bell flare with its rim and rim wire: soft in the throat, harder towards the rim where it was spun.
    /// `points` are (part of the length, bore).
    pub fn bell(&mut self, length_mm: f64, points: &[(f64, f64)], wall: f64) -> &mut Self {
        let (first, last) = (points.first().map_or(0.0, |p| p.1), points.last().map_or(0.0, |p| p.1));
        self.then(Tube::new("bell-flare", "bell flare", Role::BellFlare, vec![straight(length_mm)], (first, last), wall), false);
        if let Some(r) = self.instrument.runs.last_mut() {
            let point = |at_mm: f64, value: f64, sd: f64| Point { at_mm, value, sd, origin: Origin::Pattern };
            r.bore_mm = Profile {
                points: points.iter().map(|(p, b)| point(p * length_mm, *b, BORE_PART * b)).collect(),
                between: Interpolation::Monotone,
            };
            r.temper.points = vec![point(0.0, 0.8, TEMPER_SD), point(length_mm, 2.6, TEMPER_SD)];
            r.wall_mm.points = vec![point(0.0, wall * 1.1, WALL_PART * wall), point(length_mm, wall * 0.85, WALL_PART * wall)];
        }
        // The rim is rolled from the flare itself: one piece.
        self.loose(Tube::new("rim", "bell rim", Role::Rim, vec![straight(4.0)], (last, last + 2.0), wall));
        self.joint("bell-flare", End::Finish, "rim", End::Start, JointKind::Fixed, 0.0);
        let cover = Cover { run: "rim".into(), from_mm: 0.0, to_mm: 4.0, clock_deg: None };
        self.overlay("rim-wire", "rim wire", OverlayKind::RimWire, vec![cover], None);
        self
    }

    fn run(&self, id: &str) -> Option<&Run> {
        let id = RunId(id.to_owned());
        self.instrument.run(&id)
    }

    fn name_of(&self, id: &str) -> String {
        self.run(id).map_or_else(|| id.to_owned(), |r| r.name.clone())
    }
}

impl Valves<'_> {
    /// Casings are thick: 1.0 mm on a small valve, 1.4 mm on a large one.
    fn casing_wall(&self) -> f64 {
        if self.casing_bore_mm > 24.0 { 1.3 } else { 1.0 }
    }
}
