//! One dent on the bench: the dent, its place, the ways in to it and the tools at hand; what every method needs
//! to know, worked out once.

use crate::access::{Access, RunPaths};
use crate::left_on::{LeftOn, WorkedAs};
use crate::method::Method;
use crate::notes::Notes;
use crate::opened::Opened;
use crate::openings::{Openings, union};
use crate::place::{lies_over, overlays_off, planned_station};
use crate::{MethodKind, Opening, Passage, PassagePart, Rack, Rejected, Tool, ToolBody, ToolChoice, ToolId};
use dent::Assessment;
use instrument::{Dent, End, OverlayId, OverlayKind, Role, Run, Site, Survey};
use std::cell::{Cell, OnceCell, RefCell};
use std::f64::consts::TAU;
use units::text::{mm, newtons};
use units::{Figure, Input, Known, Origin, Source, Text, ThreePoint, Unit, text};

/// One dent on the bench.
pub struct Case<'a> {
    /// The survey.
    pub survey: &'a Survey,
    /// The tools that are sound, and what is looked at of them and of what was found before.
    pub notes: &'a Notes<'a>,
    /// The rack (for what its hands can do).
    pub rack: &'a Rack,
    /// The dent.
    pub dent: &'a Dent,
    /// Its place.
    pub site: Site,
    /// Its assessment.
    pub assessment: &'a Assessment,
    /// Its run.
    pub run: &'a Run,
    /// The station for which the ways are worked out, mm.
    pub station_mm: f64,
    /// Radius of the bend there, mm.
    pub bend_mm: Option<f64>,
    /// Clocks for which the ways are worked out, radians, in the run's frame: one where it is known.
    pub clocks_rad: Vec<f64>,
    /// What had to be taken for granted about the place, for the `because` of every method.
    pub note: Text,
    /// What lies over the dent and must come off, or why it cannot.
    pub off: Result<Vec<Opened>, Text>,
    /// Methods in.
    pub accesses: Vec<Access<'a>>,
    /// Where the ways in are blocked.
    pub blocked: Vec<Text>,
    /// How, and what was opened, for each method found so far that does with the rack's tools and comes true.
    reached: RefCell<Vec<(MethodKind, Vec<Opened>)>>,
    /// All methods found so far: some methods begin with another.
    found: RefCell<Vec<Method>>,
    /// The instrument's ends and what parts them.
    openings: &'a Openings<'a>,
    /// Every ball of the rack, worn as it is, smallest first.
    balls: OnceCell<Vec<(f64, ToolId)>>,
    /// The wall at the dent as the force table asks for it.
    inside: OnceCell<dent::force::Inside>,
    /// The dent has been annealed.
    pub annealed: bool,
    /// What lies over the dent and stays on.
    pub left_on: Option<&'a LeftOn>,
}

/// How true a method with the rack's tools must come so that no tool is made for another. Common practice, no source.
const TRUE_ENOUGH: f64 = 0.75;

impl<'a> Case<'a> {
    /// Puts a dent on the bench.
    #[allow(clippy::too_many_arguments)]
    pub fn new(
        survey: &'a Survey,
        rack: &'a Rack,
        notes: &'a Notes<'a>,
        openings: &'a Openings<'a>,
        paths: &'a RunPaths,
        (index, dent): (usize, &'a Dent),
        site: Site,
        assessment: &'a Assessment,
        run: &'a Run,
    ) -> Self {
        let (station_mm, bend_mm, mut note) = planned_station(run, &site);
        let clocks_rad = match &site.clock_deg {
            Some(c) if c.sd <= 45.0 => vec![c.value.to_radians()],
            _ => {
                if bend_mm.is_some() {
                    note += " Clock not given: worked out for the side on which it is hardest.";
                    (0..4).map(|i| TAU * f64::from(i) / 4.0).collect()
                } else {
                    vec![0.0]
                }
            }
        };
        let off = overlays_off(openings, &lies_over(survey, dent, &site));
        let mut accesses = Vec::new();
        for path in &paths.paths {
            let u_mm = path.u_of(station_mm);
            let target = path.dent_of.iter().position(|d| *d == index);
            let mut opens: Vec<Vec<Opened>> = match &off {
                Ok(off) => path.entry.opens.iter().map(|o| union(o, off)).collect(),
                Err(_) => path.entry.opens.clone(),
            };
            keep_least(&mut opens);
            let clear_ball_mm = path.tube.narrowest_bore_mm(0.0, u_mm);
            let mut access = Access {
                path,
                u_mm,
                target,
                opens,
                clear_ball_mm,
                ball_mm: clear_ball_mm.0,
                curved: OnceCell::new(),
                asked: Cell::new(false),
                tried: RefCell::default(),
                slim: Cell::new(0.0),
                stout: Cell::new(None),
            };
            for (i, d) in path.tube.dents.iter().enumerate() {
                if Some(i) != target && d.at_mm - d.half_width_mm < u_mm {
                    access.ball_mm = access.ball_mm.min(2.0 * path.tube.radius_mm(d.at_mm) - d.depth_mm);
                }
            }
            accesses.push(access);
        }
        accesses.sort_by(|a, b| a.u_mm.total_cmp(&b.u_mm));
        let blocked = paths.blocked.iter().map(|(_, why)| why.clone()).collect();
        Self {
            survey,
            notes,
            rack,
            dent,
            site,
            assessment,
            run,
            station_mm,
            bend_mm,
            clocks_rad,
            note,
            off,
            accesses,
            blocked,
            reached: RefCell::default(),
            found: RefCell::default(),
            openings,
            balls: OnceCell::new(),
            inside: OnceCell::new(),
            annealed: false,
            left_on: None,
        }
    }

    /// What the bench calls some overlays.
    fn names(&self, overlays: &[OverlayId]) -> String {
        let names: Vec<&str> = overlays.iter().filter_map(|id| self.survey.instrument.overlay(id)).map(|o| o.name.as_str()).collect();
        names.join(" and ")
    }

    /// As what the wall is worked.
    pub fn worked_as(&self) -> WorkedAs {
        match (self.annealed, self.left_on) {
            (true, _) => WorkedAs::Annealed,
            (false, Some(_)) => WorkedAs::Covered,
            (false, None) => WorkedAs::Bare,
        }
    }

    /// The same dent once it is annealed: `dent`, `site` and `assessment` are those of the soft metal. What was solved of poses serves
    /// again: an anneal moves no wall.
    pub fn softened<'s>(self, dent: &'s Dent, site: Site, assessment: &'s Assessment) -> Case<'s>
    where
        'a: 's,
    {
        let note = text!(
            "{} After the anneal: the wall needs {} from inside, {} before it.",
            self.note,
            newtons(assessment.force_inside_n.value),
            newtons(self.assessment.force_inside_n.value)
        );
        Case {
            dent,
            site,
            assessment,
            note,
            reached: RefCell::default(),
            found: RefCell::default(),
            inside: OnceCell::new(),
            annealed: true,
            ..self
        }
    }

    /// Every ball of the rack, worn as it is, smallest first.
    pub fn balls(&self) -> &[(f64, ToolId)] {
        let is_ball = |b: &ToolBody| matches!(b, ToolBody::Ball { .. } | ToolBody::BallSet { .. });
        let tools: Vec<&Tool> = self.tools_where(|_, b| is_ball(b).then_some(())).into_iter().map(|t| t.0).collect();
        self.balls.get_or_init(|| crate::balls::balls(&tools))
    }

    /// Takes note of methods found with the rack's tools.
    pub fn note_reached(&self, methods: &[Method]) {
        self.reached.borrow_mut().extend(self.reaches(methods).map(|(kind, opens)| (kind, opens.clone())));
        self.found.borrow_mut().extend(self.begins(methods).cloned());
    }

    /// What some methods reach with the rack's tools, true enough.
    pub fn reaches<'m>(&self, methods: &'m [Method]) -> impl Iterator<Item = (MethodKind, &'m Vec<Opened>)> {
        let good =
            |w: &&Method| matches!(w.tool, ToolChoice::Rack { .. }) && w.finish_quality >= TRUE_ENOUGH && w.kind != MethodKind::PullOutside;
        methods.iter().filter(good).map(|w| (w.kind, &w.opens))
    }

    /// Only what another method begins with: a mandrel for the ring; in a bend, what raises the dent before it is filled.
    pub fn begins<'m>(&self, methods: &'m [Method]) -> impl Iterator<Item = &'m Method> {
        let bent = self.bend_mm.is_some();
        methods.iter().filter(move |w| match w.kind {
            MethodKind::Mandrel => true,
            MethodKind::CurvedRod | MethodKind::StraightRod | MethodKind::BallTrain => bent,
            _ => false,
        })
    }

    /// The methods of some kind found so far.
    pub fn found(&self, kind: MethodKind) -> Vec<Method> {
        self.notes.asks(|a| a.found = true);
        self.found.borrow().iter().filter(|w| w.kind == kind).cloned().collect()
    }

    /// What sets the dent's run free: both its ends apart and all that lies over it off; or why it cannot be.
    pub fn freed(&self) -> Result<Vec<Opened>, Text> {
        let mut all: Vec<Opened> = self.off.clone()?;
        for (side, end) in [(End::Start, "mouthpiece"), (End::Finish, "bell")] {
            let own = self.accesses.iter().find(|a| a.path.entry.legs.len() == 1 && a.side() == side);
            let set = own.and_then(|a| a.path.entry.opens.iter().min_by_key(|o| o.len()));
            let set = set.ok_or_else(|| format!("its {end} end does not come apart, and both ends must be free"))?;
            all = union(&all, set);
        }
        for o in &self.survey.instrument.overlays {
            let covers = o.covers.iter().any(|c| c.run == self.run.id);
            if covers && !self.survey.lacks(&o.id) && !matches!(o.kind, OverlayKind::RimWire | OverlayKind::Patch) {
                all = union(&all, &self.openings.overlay_off(&o.id)?);
            }
        }
        Ok(all)
    }

    /// Elastic modulus of the wall, N/mm².
    pub fn e_mpa(&self) -> f64 {
        self.site.alloy.physical().e_mpa.value
    }

    /// What the wall yields at, N/mm², with what temper and piece are not known by.
    pub fn flow(&self) -> Known {
        let at = |numbers: f64| self.site.alloy.yield_mpa(metal::Temper(numbers.max(0.0)));
        let temper = &self.site.temper;
        let (here, up, down) = (at(temper.value), at(temper.value + temper.sd), at(temper.value - temper.sd));
        let sd = here.sd.hypot(0.5 * (up.value - down.value));
        Known::new("yield strength of the wall", here.value, sd, Unit::MPa, Origin::Handbook)
    }

    /// Clearances of the moving fits that run over this part, as far as they were measured, mm of diameter.
    pub fn clearances_mm(&self) -> Vec<f64> {
        let fits = self.survey.instrument.fits.iter().filter(|f| self.site.fits.contains(&f.id));
        fits.filter_map(|f| f.clearance_mm.as_ref().map(|k| k.value.max(0.0))).collect()
    }

    /// Whether a tool of the rack is known that does it with no more opened than at this opening.
    pub fn reached(&self, access: &Access) -> bool {
        self.reached_by(access, |_| true)
    }

    /// As [`Case::reached`], by some of the ways.
    pub fn reached_by(&self, access: &Access, by: impl Fn(MethodKind) -> bool) -> bool {
        self.notes.asks(|a| a.reached = true);
        let reached = self.reached.borrow();
        access.opens.iter().all(|o| reached.iter().any(|r| by(r.0) && r.1.iter().all(|x| o.contains(x))))
    }

    /// Whether a rod or stake is worth making for this opening: not where the rack has what does it with no more
    /// opened, and, where something has to be opened, not where the rack has what does it at all. Common practice, no
    /// source.
    pub fn worth_making(&self, access: &Access) -> bool {
        self.notes.asks(|a| a.reached = true);
        !self.reached(access) && (self.reached.borrow().is_empty() || access.opens.iter().any(Vec::is_empty))
    }

    /// True bore at the dent, mm.
    pub fn bore_mm(&self) -> f64 {
        2.0 * self.run_radius_mm()
    }

    fn run_radius_mm(&self) -> f64 {
        0.5 * self.run.bore_at(self.station_mm).value
    }

    /// The bore that a tool has to fill under this dent, mm.
    pub fn bore_to_fill_mm(&self) -> f64 {
        crate::practice::bore_to_fill_mm(self.bore_mm(), self.assessment.width_along_mm.value.max(self.assessment.width_across_mm.value))
    }

    /// Whether something slides or turns in this part, or it in something.
    pub fn runs_in_a_fit(&self) -> bool {
        !self.site.fits.is_empty()
            || matches!(self.site.role, Role::Casing | Role::Piston | Role::HandSlideInner | Role::HandSlideOuter | Role::TuningSlideInner)
    }

    /// Whether it is a fold, which is eased before its field moves.
    pub fn folded(&self) -> bool {
        self.dent.crease.is_some()
    }

    /// Largest ball that passes the dent now, mm.
    pub fn passage_mm(&self) -> f64 {
        self.assessment.passage_mm.value.clamp(0.0, self.bore_mm())
    }

    /// Depth, mm.
    pub fn depth_mm(&self) -> f64 {
        self.assessment.depth_mm.value.max(1e-3)
    }

    /// Half the width along, mm.
    pub fn half_width_mm(&self) -> f64 {
        (0.5 * self.assessment.width_along_mm.value).max(0.5)
    }

    /// Force that moves the wall from inside, N.
    pub fn force_n(&self) -> f64 {
        self.assessment.force_inside_n.value
    }

    /// Tools of one kind, with what a picker makes of their bodies.
    pub fn tools_where<T>(&self, pick: impl Fn(&Tool, &ToolBody) -> Option<T>) -> Vec<(&'a Tool, T)> {
        self.notes.pick(|t| pick(t, &t.body))
    }

    /// The force at the hand from the force inside and more that it hangs on: `f` gets the force inside first.
    pub fn force_with(&self, formula: &'static str, source: Source, more: &[Known], f: impl Fn(&[f64]) -> f64) -> Figure {
        let inside = &self.assessment.force_inside_n;
        let known: Vec<Known> = std::iter::once(inside.known("force that moves the wall")).chain(more.iter().cloned()).collect();
        let mut figure = Figure::derive_positive(Unit::N, formula, source, &known, f);
        if !inside.reason.inputs.is_empty() && !figure.reason.inputs.is_empty() {
            let own = figure.reason.inputs.remove(0);
            let mut leaves: Vec<Input> =
                inside.reason.inputs.iter().map(|i| Input { known: i.known.clone(), share: i.share * own.share }).collect();
            leaves.append(&mut figure.reason.inputs);
            figure.reason.inputs = leaves;
        }
        figure
    }

    /// A method as far as the case decides it.
    #[allow(clippy::too_many_arguments)]
    pub fn method(
        &self,
        kind: MethodKind,
        tool: ToolChoice,
        size_mm: f64,
        access: Option<&Access>,
        opens: Vec<Opened>,
        force: Figure,
        limit_n: f64,
        because: Text,
    ) -> Method {
        let fill = (size_mm / self.bore_to_fill_mm().max(1e-6)).clamp(0.0, 1.0);
        Method {
            dent: self.dent.id.clone(),
            kind,
            tool,
            tool_forces: Vec::new(),
            size_mm,
            passage: access.map(|a| self.passage(a, &opens)),
            opens,
            after: Vec::new(),
            train: Vec::new(),
            annealed: self.annealed,
            left_on: self.left_on.cloned(),
            fill: None,
            strokes: None,
            force_hand_n: force,
            force_limit_n: limit_n,
            way: None,
            minutes: crate::practice::minutes(kind, self.assessment, self.bend_mm.is_some(), 0),
            set_up: crate::practice::set_up(kind),
            risk: crate::practice::risk(kind, self.assessment, self.site.wall_mm.value, fill),
            finish_quality: crate::practice::finish_quality(kind, self.assessment, fill, self.runs_in_a_fit()),
            stays_mm: 0.0,
            pose: None,
            contact: None,
            because: text!("{}{}", because, self.note),
        }
    }

    /// The wall at the dent as the force table asks for it, worked out once.
    pub fn force_case(&self) -> &dent::force::Inside {
        self.inside.get_or_init(|| dent::force_case(self.dent, &self.site))
    }

    /// A method whose tool moves over the dent: the strokes are told, and the minutes and the truth follow from them.
    pub fn with_strokes(&self, mut method: Method, strokes: crate::Strokes) -> Method {
        method.minutes = crate::practice::minutes_of_strokes(method.kind, self.assessment, self.bend_mm.is_some(), &strokes);
        method.strokes = Some(strokes);
        method.stays_mm = strokes.left_mm;
        method.finish_quality = (method.finish_quality * (1.0 - strokes.left_mm / self.depth_mm())).clamp(0.05, 0.99);
        method
    }

    /// The passage of an access as it is reported.
    pub fn passage(&self, access: &Access, opens: &[Opened]) -> Passage {
        let path = access.path;
        let instrument = &self.survey.instrument;
        let mut parts = Vec::new();
        let legs = &path.entry.legs;
        for (i, leg) in legs.iter().enumerate() {
            let run = &instrument.runs[leg.run];
            let length = run.axis.length_mm();
            let from_u = path.leg_from_mm[i];
            let (from_mm, mut to_mm) = if leg.enters == End::Start { (0.0, length) } else { (length, 0.0) };
            if i + 1 == legs.len() {
                to_mm = self.station_mm;
            }
            let until_u = if i + 1 == legs.len() { access.u_mm } else { from_u + length };
            let dents = path
                .tube
                .dents
                .iter()
                .enumerate()
                .filter(|(k, d)| Some(*k) != access.target && d.at_mm >= from_u && d.at_mm <= until_u)
                .map(|(k, _)| self.survey.dents[path.dent_of[k]].id.clone())
                .collect();
            parts.push(PassagePart { run: run.id.clone(), enters: leg.enters, from_mm, to_mm, dents });
        }
        let opening = Opening { at: path.entry.at.clone(), opens: opens.to_vec(), name: path.entry.name.clone() };
        Passage { opening, parts, length_mm: access.u_mm }
    }

    /// A method that does not work.
    pub fn rejected(&self, kind: MethodKind, access: Option<&Access>, because: impl Into<Text>) -> Rejected {
        let because = match self.left_on {
            Some(on) => text!("with {} left on: {}", self.names(&on.overlays), because.into()),
            None => because.into(),
        };
        Rejected { kind, opening: access.map(|a| a.path.entry.name.clone()).unwrap_or_default(), because }
    }

    /// Why the outside cannot be worked with a tool that needs this much room, where it cannot.
    pub fn outside_closed(&self, clearance_mm: f64) -> Option<Text> {
        if matches!(self.site.role, Role::Casing) {
            return Some("a casing has no room outside for it: its neighbors and knuckles stand too close".into());
        }
        if let Some(radius) = self.bend_mm {
            let outside = self.bore_mm() + 2.0 * self.site.wall_mm.value;
            let throat = 2.0 * (radius - outside / 2.0);
            let inner = self.on_inside_of_bend();
            if inner && throat < clearance_mm {
                return Some(text!("it lies inside the bend, where {} are free and the tool wants {}", mm(throat, 0), mm(clearance_mm, 0)));
            }
        }
        None
    }

    /// Whether the dent lies on the inner side of its bend (taken as so where its clock is not known).
    pub fn on_inside_of_bend(&self) -> bool {
        if self.bend_mm.is_none() {
            return false;
        }
        if self.clocks_rad.len() > 1 {
            return true;
        }
        let towards = self.run.axis.segment_at(self.station_mm).and_then(|(s, _)| match s {
            instrument::Segment::Bend { plane_deg, .. } => Some(plane_deg.to_radians()),
            instrument::Segment::Straight { .. } => None,
        });
        match (towards, self.clocks_rad.first()) {
            (Some(t), Some(c)) => (c - t).cos() > 0.5,
            _ => true,
        }
    }
}

/// Leaves out sets that contain another.
pub fn keep_least(sets: &mut Vec<Vec<Opened>>) {
    sets.sort_by_key(Vec::len);
    let mut kept: Vec<Vec<Opened>> = Vec::new();
    for s in sets.drain(..) {
        if !kept.iter().any(|k| k.iter().all(|x| s.contains(x))) {
            kept.push(s);
        }
    }
    *sets = kept;
}

/// Minutes of a method plus what it costs to make its tool, for comparing.
pub fn tool_minutes(tool: &ToolChoice) -> ThreePoint {
    match tool {
        ToolChoice::Rack { .. } => ThreePoint::ZERO,
        // Common practice, no source: turning a ball, rod or mandrel on the shop's lathe.
        ToolChoice::ToMake { .. } => ThreePoint::new(20.0, 40.0, 90.0),
    }
}
