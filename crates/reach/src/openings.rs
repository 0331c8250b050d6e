//! Where a tool can enter: ends that lie open, ends that lie open once slides, caps and pistons are out by
//! hand, and ends after opening solder; and the runs between each of them and a run with a dent.
//!
//! A joint lies open when its two sides are apart. What holds them together besides the joint itself
//! (its ferrule, a brace between the two sides, the other end of a bow) comes off too: the least costly set is
//! a minimum cut ([`crate::min_cut`]). A valve in the way is a wall: a knuckle's mouth inside a casing is no
//! entry, and a casing is worked through its own two ends.

use crate::constraints::Constraints;
use crate::min_cut::Ties;
use crate::opened::Opened;
use instrument::{End, Instrument, Joint, JointKind, OverlayKind, Role, Run, RunEnd};
use std::collections::HashMap;
use std::sync::Arc;
use units::text::mm;
use units::{Text, text};

/// No way in longer than this is looked at, mm. Common practice: no bench tool reaches further.
pub const FARTHEST_MM: f64 = 1400.0;

/// No way in through more joints than this is looked at.
const MOST_JOINTS: usize = 4;

/// Minutes by which two sets of things to open are compared (melting and resoldering both); common
/// practice, no source. The plan uses the shop's own standards.
pub fn usual_minutes(what: &Opened, instrument: &Instrument) -> f64 {
    match what {
        Opened::Joint(id) => instrument.joints.iter().find(|j| j.id == *id).map_or(30.0, |j| match j.kind {
            JointKind::SoftSoldered { .. } => 30.0,
            JointKind::SilverBrazed { .. } => 90.0,
            JointKind::Pressed => 40.0,
            JointKind::SlidingFit | JointKind::Threaded => 0.0,
            JointKind::Fixed => f64::INFINITY,
        }),
        Opened::Overlay(id) => instrument.overlays.iter().find(|o| o.id == *id).map_or(20.0, |o| match o.kind {
            OverlayKind::Ferrule => 12.0,
            OverlayKind::Brace => 18.0,
            OverlayKind::Guard => 35.0,
            OverlayKind::RimWire | OverlayKind::Garland => 60.0,
            OverlayKind::Patch => 40.0,
        }),
    }
}

/// A flame that spoils a finish that is to be kept stands for so many minutes: more than any cold set of things to open.
const UNWANTED_MIN: f64 = 1e4;

/// Minutes of opening something for the comparison; infinite where it stays.
fn opening_cost(what: &Opened, instrument: &Instrument, constraints: &Constraints) -> f64 {
    match (constraints.barred(instrument, what), constraints.unwanted(instrument, what)) {
        (Some(_), _) => f64::INFINITY,
        (None, true) => UNWANTED_MIN + usual_minutes(what, instrument),
        (None, false) => usual_minutes(what, instrument),
    }
}

/// A run on the way in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Leg {
    /// Which run (index in the instrument).
    pub run: usize,
    /// The end by which the tool enters it.
    pub enters: End,
}

/// A way in to a run.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The end that lies open.
    pub at: RunEnd,
    /// What the bench calls it.
    pub name: String,
    /// Sets of things to open so that it lies open; each set is enough. An empty set: open already or by hand.
    pub opens: Vec<Vec<Opened>>,
    /// Runs from the opening to the run asked for, that run last.
    pub legs: Vec<Leg>,
}

/// All entries to a run from one of its ends, and why there are no more.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Entries {
    /// The entries, nearest first.
    pub entries: Vec<Entry>,
    /// Where the way outwards ends, and why, where it does not end in an open end.
    pub blocked: Option<Text>,
    /// What would let a tool in and stays shut, and by whose word.
    pub kept: Vec<Text>,
}

/// The instrument's graph with what it costs to part it.
pub struct Openings<'a> {
    instrument: &'a Instrument,
    constraints: &'a Constraints,
    by_run: HashMap<&'a str, usize>,
    ties: Ties,
    tied: Vec<Opened>,
    /// For each joint: the sets that part its sides; empty: never.
    parts: Vec<Vec<Vec<Opened>>>,
}

fn other(end: End) -> End {
    match end {
        End::Start => End::Finish,
        End::Finish => End::Start,
    }
}

/// Why a run's figures cannot be worked with, where they cannot: lengths and bores must be numbers above 0.
pub fn nonsense(run: &Run) -> Option<Text> {
    let sound = |x: f64| x.is_finite() && x > 0.0;
    let segment = |s: &instrument::Segment| match *s {
        instrument::Segment::Straight { length_mm } => sound(length_mm),
        instrument::Segment::Bend { radius_mm, angle_deg, plane_deg } => sound(radius_mm) && sound(angle_deg) && plane_deg.is_finite(),
    };
    let bore = &run.bore_mm.points;
    if run.axis.segments.is_empty() || !run.axis.segments.iter().all(segment) || run.axis.length_mm() > LONGEST_RUN_MM {
        return Some(text!("the axis of {} is not a chain of lengths above 0", run.name));
    }
    if bore.is_empty() || !bore.iter().all(|p| sound(p.value) && p.value < LONGEST_RUN_MM && p.at_mm.is_finite()) {
        return Some(text!("the bore of {} is not a size above 0 everywhere", run.name));
    }
    None
}

/// No run of any instrument is longer, mm.
const LONGEST_RUN_MM: f64 = 20_000.0;

fn by_hand(joint: &Joint) -> bool {
    matches!(joint.kind, JointKind::SlidingFit | JointKind::Threaded)
}

impl<'a> Openings<'a> {
    /// Reads the graph and parts every joint once.
    pub fn new(instrument: &'a Instrument, constraints: &'a Constraints) -> Self {
        let by_run: HashMap<&str, usize> = instrument.runs.iter().enumerate().map(|(i, r)| (r.id.0.as_str(), i)).collect();
        let mut ties = Ties::new(instrument.runs.len());
        let mut tied = Vec::new();
        let piston = |i: usize| instrument.runs[i].role == Role::Piston;
        for j in &instrument.joints {
            let (Some(&a), Some(&b)) = (by_run.get(j.a.run.0.as_str()), by_run.get(j.b.run.0.as_str())) else { continue };
            if a == b || by_hand(j) || piston(a) || piston(b) {
                continue;
            }
            let what = Opened::Joint(j.id.clone());
            ties.tie(vec![a, b], opening_cost(&what, instrument, constraints));
            tied.push(what);
        }
        for o in instrument.overlays.iter().filter(|o| !constraints.missing.contains(&o.id)) {
            let mut runs: Vec<usize> = o.covers.iter().filter_map(|c| by_run.get(c.run.0.as_str()).copied()).collect();
            runs.sort_unstable();
            runs.dedup();
            if runs.len() < 2 {
                continue;
            }
            let what = Opened::Overlay(o.id.clone());
            ties.tie(runs, opening_cost(&what, instrument, constraints));
            tied.push(what);
        }
        let mut all = Self { instrument, constraints, by_run, ties, tied, parts: Vec::new() };
        all.parts = instrument.joints.iter().map(|j| all.part(j)).collect();
        all
    }

    /// Index of a run.
    pub fn run_index(&self, id: &str) -> Option<usize> {
        self.by_run.get(id).copied()
    }

    /// Sets that part the two sides of a joint: the least costly, and taking out either run whole where that
    /// is another set.
    fn part(&self, j: &Joint) -> Vec<Vec<Opened>> {
        let (Some(a), Some(b)) = (self.run_index(&j.a.run.0), self.run_index(&j.b.run.0)) else { return Vec::new() };
        if a == b {
            return Vec::new();
        }
        let named = |ties: &[usize]| {
            let mut opened: Vec<Opened> = ties.iter().map(|t| self.tied[*t].clone()).collect();
            opened.sort();
            opened
        };
        let Some(least) = self.ties.part(a, b) else { return Vec::new() };
        let mut sets = vec![named(&least)];
        for run in [a, b] {
            let holding = self.ties.holding(run);
            if self.ties.may_open(&holding) && !least.iter().all(|t| holding.contains(t)) {
                sets.push(named(&holding));
            }
        }
        sets
    }

    /// What must come off with an overlay: itself, and what parts the joint over which it slides.
    pub fn overlay_off(&self, id: &instrument::OverlayId) -> Result<Vec<Opened>, Text> {
        let Some(o) = self.instrument.overlays.iter().find(|o| o.id == *id) else { return Ok(Vec::new()) };
        if let Some(said) = self.constraints.barred(self.instrument, &Opened::Overlay(id.clone())) {
            return Err(text!("{} covers it and stays on ({})", o.name, said.words()));
        }
        let mut all = vec![Opened::Overlay(id.clone())];
        if let Some(j) = o.slides_off_at.as_ref().and_then(|j| self.instrument.joints.iter().position(|x| x.id == *j)) {
            match self.parts[j].first() {
                Some(set) => all.extend(set.iter().cloned()),
                None => {
                    return Err(text!(
                        "{} covers it and slides off only over {}, which does not open",
                        o.name,
                        self.instrument.joints[j].name
                    ));
                }
            }
        }
        all.sort();
        all.dedup();
        Ok(all)
    }

    /// That a joint stays shut because somebody said so: of itself, or of what holds its two sides together.
    fn stays_shut<'j>(&self, mut joints: impl Iterator<Item = &'j usize>) -> Option<Text> {
        joints.find_map(|j| {
            let joint = &self.instrument.joints[*j];
            let own = Opened::Joint(joint.id.clone());
            let touches = |what: &Opened| match what {
                Opened::Joint(id) => *id == joint.id,
                Opened::Overlay(id) => self.instrument.overlay(id).is_some_and(|o| {
                    o.slides_off_at.as_ref() == Some(&joint.id)
                        || [&joint.a.run, &joint.b.run].iter().all(|r| o.covers.iter().any(|c| c.run == **r))
                }),
            };
            let said =
                std::iter::once(&own).chain(&self.tied).filter(|w| touches(w)).find_map(|w| self.constraints.barred(self.instrument, w))?;
            Some(text!("{} stays shut ({})", joint.name, said.words()))
        })
    }

    fn joints_at(&self, at: &RunEnd) -> Vec<usize> {
        (0..self.instrument.joints.len()).filter(|i| self.instrument.joints[*i].a == *at || self.instrument.joints[*i].b == *at).collect()
    }

    /// All entries to a run by one of its ends.
    pub fn entries(&self, run: usize, side: End) -> Entries {
        let mut found = Entries::default();
        let mut legs = vec![Leg { run, enters: side }];
        let mut length = 0.0;
        for _ in 0..=MOST_JOINTS {
            let Some(outermost) = legs.first().copied() else { break };
            let here: &Run = &self.instrument.runs[outermost.run];
            let at = RunEnd { run: here.id.clone(), end: outermost.enters };
            let end_name = match (here.role, outermost.enters) {
                (Role::Rim | Role::BellFlare, End::Finish) => "bell rim".to_owned(),
                (Role::Receiver, End::Start) => "receiver".to_owned(),
                (_, End::Start) => format!("{}, mouthpiece end", here.name),
                (_, End::Finish) => format!("{}, bell end", here.name),
            };
            let mut add =
                |name: String, opens: Vec<Vec<Opened>>| found.entries.push(Entry { at: at.clone(), name, opens, legs: legs.clone() });
            if here.role == Role::Casing {
                add(
                    format!("{}, {}, cap and piston out", here.name, if outermost.enters == End::Start { "top" } else { "bottom" }),
                    vec![vec![]],
                );
                return found;
            }
            let joints = self.joints_at(&at);
            let Some((&first, rest)) = joints.split_first() else {
                add(end_name, vec![vec![]]);
                return found;
            };
            // The end lies open when every joint there is apart.
            let mut sets: Vec<Vec<Opened>> = self.parts[first].clone();
            for j in rest {
                sets = match self.parts[*j].first() {
                    Some(more) => sets.into_iter().map(|s| union(&s, more)).collect(),
                    None => Vec::new(),
                };
            }
            let joint = &self.instrument.joints[first];
            let beyond = if joint.a == at { &joint.b } else { &joint.a };
            let neighbour = self.run_index(&beyond.run.0);
            if !sets.is_empty() {
                let free = sets.iter().any(Vec::is_empty);
                let name = if free {
                    format!(
                        "{}, {} pulled by hand",
                        end_name,
                        self.instrument.runs.get(neighbour.unwrap_or(outermost.run)).map_or("slide", |r| &r.name)
                    )
                } else {
                    format!("{}, {} open", end_name, joint.name)
                };
                add(name, sets);
                if free {
                    return found;
                }
            } else if let Some(why) = self.stays_shut(std::iter::once(&first).chain(rest)) {
                found.kept.push(why);
            }
            let Some(next) = neighbour else {
                found.blocked = Some(text!("{} leads nowhere in the survey", joint.name));
                return found;
            };
            let next_run = &self.instrument.runs[next];
            if matches!(next_run.role, Role::Casing | Role::Piston) {
                found.blocked = Some(text!("{} stands in the way: a knuckle's mouth inside a casing is no entry", next_run.name));
                return found;
            }
            if let Some(why) = nonsense(next_run) {
                found.blocked = Some(why);
                return found;
            }
            if legs.iter().any(|l| l.run == next) {
                found.blocked = Some(text!("the way runs back into {}", next_run.name));
                return found;
            }
            length += next_run.axis.length_mm();
            if length > FARTHEST_MM {
                found.blocked = Some(text!("further than {} from any bench tool's hand", mm(FARTHEST_MM, 0)));
                return found;
            }
            legs.insert(0, Leg { run: next, enters: other(beyond.end) });
        }
        found.blocked.get_or_insert_with(|| text!("more than {} joints away", MOST_JOINTS));
        found
    }
}

/// Both sets, each thing once, in order.
pub fn union(a: &[Opened], b: &[Opened]) -> Vec<Opened> {
    let mut all: Vec<Opened> = a.iter().chain(b).cloned().collect();
    all.sort();
    all.dedup();
    all
}

/// How a run is entered by its two ends.
pub type Ends = Arc<[Entries; 2]>;

/// Both ends of a run.
pub fn ends(openings: &Openings, run: usize) -> Ends {
    Arc::new([End::Start, End::Finish].map(|side| openings.entries(run, side)))
}
