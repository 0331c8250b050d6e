//! The whole bore of a surveyed instrument, valves up or down, and where on it a place of a run lies.

use crate::bore::{Bend, Bore, Point};
use instrument::{End, Instrument, Interpolation, Joint, JointKind, Role, Run, RunEnd, RunId, Segment};
use units::{Origin, Text, text};

/// A run, or what is left of one, on the way of the air.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// The run.
    pub run: RunId,
    /// The end by which the air enters it.
    pub enters: End,
    /// Stations of the run between which the air touches it, mm.
    pub from_mm: f64,
    /// See above.
    pub to_mm: f64,
    /// Where it begins on the whole bore, mm.
    pub station_mm: f64,
}

/// The bore with its valves in one state.
#[derive(Clone, Debug, PartialEq)]
pub struct Passage {
    /// The valves that are pressed: their casings' runs, in the order in which the air meets them.
    pub pressed: Vec<RunId>,
    /// The bore.
    pub bore: Bore,
    /// The runs along it; a casing's straight port is a part too, without a stretch of its run.
    pub parts: Vec<Part>,
    /// Part of its length that was measured on this instrument, 0 to 1.
    pub measured: f64,
    /// Whether it begins with a receiver.
    pub receiver: bool,
    /// What was assumed of it.
    pub assumed: Vec<Text>,
}

/// Why the air does not meet a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Apart {
    /// On a casing or a piston: the air runs through the port.
    Valve,
    /// The inner leg of a slide lies over it.
    Covered,
    /// In a loop whose valve is up, or in a run that leads nowhere.
    Elsewhere,
}

impl Apart {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Valve => "on a valve: the air runs through the piston; what it costs is the valve's movement",
            Self::Covered => "a slide's inner leg lies over it: what it costs is the slide's movement",
            Self::Elsewhere => "not on the way of the air that the survey describes",
        }
    }
}

/// Why an instrument has no bore that could be swept.
#[derive(Clone, Debug, PartialEq)]
pub struct NoPassage {
    /// What is wrong.
    pub what: Text,
    /// How to mend it.
    pub hint: Text,
}

impl Passage {
    /// Where a station of a run lies on the bore, mm.
    ///
    /// # Errors
    /// Why the air does not meet it.
    pub fn station(&self, instrument: &Instrument, run: &RunId, at_mm: f64) -> Result<f64, Apart> {
        if instrument.run(run).is_some_and(|r| matches!(r.role, Role::Casing | Role::Piston)) {
            return Err(Apart::Valve);
        }
        let part = self.parts.iter().find(|p| p.run == *run).ok_or(Apart::Elsewhere)?;
        // A dent's middle at a run's very end counts.
        const EDGE_MM: f64 = 1.0;
        if at_mm < part.from_mm - EDGE_MM || at_mm > part.to_mm + EDGE_MM {
            return Err(Apart::Covered);
        }
        let into = if part.enters == End::Start { at_mm - part.from_mm } else { part.to_mm - at_mm };
        Ok(part.station_mm + into)
    }
}

/// A tube that the air goes through: the run and the end by which it enters.
type Step<'a> = (&'a Run, End);

/// The casings of the valves on the way, in their order.
pub fn valves(instrument: &Instrument) -> Vec<RunId> {
    let path = instrument.air_path().unwrap_or_default();
    path.iter()
        .filter(|p| p.run.role == Role::Casing && loop_of(instrument, p.run, &[], false).is_some())
        .map(|p| p.run.id.clone())
        .collect()
}

/// By how many half tones a valve lowers: from its loop over the open bore, equal temperament (closed form).
pub fn half_tones(open_mm: f64, with_valve_mm: f64) -> i32 {
    (12.0 * (with_valve_mm / open_mm).log2()).round() as i32
}

/// The bore of an instrument with these valves pressed.
///
/// # Errors
/// Where the survey's runs do not lead from an open end to a bell.
pub fn passage(instrument: &Instrument, pressed: &[RunId]) -> Result<Passage, NoPassage> {
    passage_set(instrument, &Setting { pressed, ..Setting::default() })
}

/// How valves and slides stand.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Setting<'a> {
    /// The valves that are pressed: their casings.
    pub pressed: &'a [RunId],
    /// By how much each leg of the hand slide is pulled, mm ([`pulled_mm`]).
    pub pulled_mm: f64,
    /// Whether the air takes the longer side of a double instrument ([`is_double`]).
    pub longer_side: bool,
}

/// Whether the air can take another, longer way through the same valves: a double horn's F side.
pub fn is_double(instrument: &Instrument) -> bool {
    let way: Vec<Step> = instrument.air_path().unwrap_or_default().iter().map(|p| (p.run, p.enters)).collect();
    longer_side(instrument, &way).is_some()
}

/// By how far each leg of a hand slide is pulled in a position (1 to 7), mm: both legs together lengthen the open bore by a half tone a
/// position, equal temperament (closed form). None where the instrument has no hand slide, or its outer legs would come off.
pub fn pulled_mm(instrument: &Instrument, open_mm: f64, position: u8) -> Option<f64> {
    let outer = |id: &RunId| instrument.run(id).is_some_and(|r| r.role == Role::HandSlideOuter);
    let reach_mm = instrument
        .joints
        .iter()
        .filter(|j| j.kind == JointKind::SlidingFit && (outer(&j.a.run) || outer(&j.b.run)))
        .map(|j| j.overlap_mm)
        .reduce(f64::min)?;
    let pulled = open_mm / 2.0 * ((f64::from(position.max(1)) - 1.0) / 12.0).exp2() - open_mm / 2.0;
    (pulled < reach_mm).then_some(pulled)
}

/// The bore with valves and slides as they are set.
///
/// # Errors
/// Where the survey's runs do not lead from an open end to a bell, or it has no longer side.
pub fn passage_set(instrument: &Instrument, set: &Setting) -> Result<Passage, NoPassage> {
    let mut assumed = Vec::new();
    let way: Vec<Step> = match instrument.air_path() {
        Some(path) => path.iter().map(|p| (p.run, p.enters)).collect(),
        None => loose(instrument, &mut assumed)?,
    };
    let way = if set.longer_side {
        longer_side(instrument, &way).ok_or_else(|| NoPassage {
            what: "the survey's tubes have one way for the air, not two sides".into(),
            hint: "add the tubes and joints of the other side from the change valve on (trueround pattern horn)".into(),
        })?
    } else {
        way
    };
    let mut steps: Vec<Step> = Vec::new();
    let mut through = Vec::new();
    for (run, enters) in &way {
        steps.push((run, *enters));
        let pressed = run.role == Role::Casing && set.pressed.contains(&run.id);
        if let Some(around) = loop_of(instrument, run, &way, set.longer_side).filter(|_| pressed) {
            steps.extend(around);
            steps.push((run, *enters));
            through.push(run.id.clone());
        }
    }
    steps.retain(|(run, _)| run.role != Role::Rim);
    let (bore, parts, measured_mm) = lay(instrument, &steps, set.pulled_mm);
    let wrong = |e: crate::BoreError| NoPassage {
        what: text!("the tubes of the survey make no bore: {}", e),
        hint: "give every tube on the way of the air a length and a bore".into(),
    };
    bore.check().map_err(wrong)?;
    let measured = (measured_mm / bore.length_mm()).clamp(0.0, 1.0);
    let receiver = steps.first().is_some_and(|(r, _)| r.role == Role::Receiver);
    if measured < 0.99 {
        assumed.push(text!(
            "{} of the bore's length is as the pattern has it, not measured on this instrument",
            format!("{:.0} %", 100.0 * (1.0 - measured))
        ));
    }
    Ok(Passage { pressed: through, bore, parts, measured, receiver, assumed })
}

/// Without a way through joints: the runs one behind the other as the survey lists them, where it has no joints at all.
fn loose<'a>(instrument: &'a Instrument, assumed: &mut Vec<Text>) -> Result<Vec<Step<'a>>, NoPassage> {
    let tubes: Vec<Step> =
        instrument.runs.iter().filter(|r| !matches!(r.role, Role::Casing | Role::Piston | Role::Rim)).map(|r| (r, End::Start)).collect();
    let bell = tubes.last().is_some_and(|(r, _)| matches!(r.role, Role::BellFlare | Role::BellStem));
    if !instrument.joints.is_empty() || !bell {
        return Err(NoPassage {
            what: "the survey's tubes do not lead from a receiver to a bell, so it cannot be said how the instrument sounds".into(),
            hint:
                "start from the pattern of its kind (trueround pattern), or add the tubes and joints that are missing on the way of the air"
                    .into(),
        });
    }
    assumed.push("the survey names no joints: its tubes are taken one behind the other as they are listed".into());
    Ok(tubes)
}

/// How many tubes the search for a longer side may try: a double horn needs a hundred.
const TRIED: usize = 10_000;

/// The longer side of a double instrument: the longest way that leaves the open one at a casing, goes by tubes of which the open one
/// uses none, through any casings, and comes back to the open one at a later casing. The whole way, from the receiver to the bell.
fn longer_side<'a>(instrument: &'a Instrument, way: &[Step<'a>]) -> Option<Vec<Step<'a>>> {
    let mut search = Detours { instrument, way, left: TRIED, best: None };
    for (i, (run, _)) in way.iter().enumerate() {
        if run.role == Role::Casing {
            search.leave(i, run, &mut Vec::new());
        }
    }
    let (length_mm, from, to, steps) = search.best?;
    let passed_mm: f64 = way[from + 1..to].iter().filter(|s| s.0.role != Role::Casing).map(|s| s.0.length_mm()).sum();
    (length_mm > passed_mm).then(|| way[..=from].iter().copied().chain(steps).chain(way[to..].iter().copied()).collect())
}

/// The search for the longest detour: its length, the casings of the way where it leaves and comes back, its steps.
struct Detours<'a, 'w> {
    instrument: &'a Instrument,
    way: &'w [Step<'a>],
    left: usize,
    best: Option<(f64, usize, usize, Vec<Step<'a>>)>,
}

impl<'a> Detours<'a, '_> {
    /// Tries every tube out of a casing, after the way has been left at `from` and `steps` gone.
    fn leave(&mut self, from: usize, casing: &Run, steps: &mut Vec<Step<'a>>) {
        let instrument = self.instrument;
        for out in instrument.joints.iter().filter_map(|j| other(j, &casing.id)) {
            if self.left == 0 {
                return;
            }
            let gone = steps.len();
            if let Some((met, end)) = self.follow(out, casing, steps) {
                let passed = |id: &RunId| self.way[from].0.id == *id || steps.iter().any(|s| s.0.id == *id);
                if !passed(&met.id) {
                    if let Some(to) = self.way.iter().position(|s| s.0.id == met.id).filter(|to| *to > from) {
                        let length: f64 = steps.iter().filter(|s| s.0.role != Role::Casing).map(|s| s.0.length_mm()).sum();
                        if self.best.as_ref().is_none_or(|b| length > b.0) {
                            self.best = Some((length, from, to, steps.clone()));
                        }
                    }
                    steps.push((met, end));
                    self.leave(from, met, steps);
                }
            }
            steps.truncate(gone);
        }
    }

    /// Tube by tube until a casing is met, and by which end.
    fn follow(&mut self, out: &RunEnd, casing: &Run, steps: &mut Vec<Step<'a>>) -> Option<(&'a Run, End)> {
        let mut at = out.clone();
        loop {
            self.left = self.left.checked_sub(1)?;
            let run = self.instrument.run(&at.run)?;
            if run.role == Role::Casing {
                // Two casings with nothing between them are no way.
                return (run.id != casing.id && steps.last().is_some_and(|s| s.0.role != Role::Casing)).then_some((run, at.end));
            }
            let used = |s: &Step| s.0.id == run.id;
            if run.role == Role::Piston || self.way.iter().any(used) || steps.iter().any(used) {
                return None;
            }
            steps.push((run, at.end));
            let leaves = RunEnd { run: at.run.clone(), end: if at.end == End::Start { End::Finish } else { End::Start } };
            at = self.instrument.joints_at(&leaves).into_iter().find_map(|j| other(j, &leaves.run))?.clone();
        }
    }
}

/// The loop of a valve: the shortest way from its casing back to it that meets no other casing and none of `way`. On the longer side of
/// a double instrument the longest one: what lowers a longer tube by as much is longer.
fn loop_of<'a>(instrument: &'a Instrument, casing: &Run, way: &[Step], longest: bool) -> Option<Vec<Step<'a>>> {
    let mut best: Option<(f64, Vec<Step>)> = None;
    for joint in instrument.joints.iter() {
        let Some(out) = other(joint, &casing.id) else { continue };
        let Some((back, steps)) = walk(instrument, out, &casing.id, way) else { continue };
        // One direction of two: as the joints name them, from their a to their b.
        if !back {
            continue;
        }
        let length: f64 = steps.iter().map(|(r, _)| r.length_mm()).sum();
        if best.as_ref().is_none_or(|(known, _)| if longest { length > *known } else { length < *known }) {
            best = Some((length, steps));
        }
    }
    best.map(|(_, steps)| steps)
}

fn other<'a>(joint: &'a Joint, run: &RunId) -> Option<&'a RunEnd> {
    if joint.a.run == *run {
        Some(&joint.b)
    } else if joint.b.run == *run {
        Some(&joint.a)
    } else {
        None
    }
}

/// From a tube's end on until the casing is met again; whether it was entered by its mouthpiece end.
fn walk<'a>(instrument: &'a Instrument, from: &RunEnd, casing: &RunId, way: &[Step]) -> Option<(bool, Vec<Step<'a>>)> {
    let mut steps: Vec<Step> = Vec::new();
    let mut at = from.clone();
    loop {
        let run = instrument.run(&at.run)?;
        if matches!(run.role, Role::Casing | Role::Piston) || way.iter().any(|(r, _)| r.id == run.id) || steps.len() > 64 {
            return None;
        }
        steps.push((run, at.end));
        let leaves = RunEnd { run: at.run.clone(), end: if at.end == End::Start { End::Finish } else { End::Start } };
        let next = instrument.joints_at(&leaves).into_iter().find_map(|j| other(j, &at.run))?;
        if next.run == *casing {
            return Some((from.end == End::Start, steps));
        }
        at = next.clone();
    }
}

/// How much of a tube's end a slide's inner leg covers, mm: of the outer of the two, which is the one called so, or the wider.
fn covered(instrument: &Instrument, run: &Run, end: End, neighbor: &Run, pulled_mm: f64) -> f64 {
    let here = RunEnd { run: run.id.clone(), end };
    let slide = |j: &&Joint| j.kind == JointKind::SlidingFit && other(j, &run.id).is_some_and(|o| o.run == neighbor.id);
    let Some(joint) = instrument.joints_at(&here).into_iter().find(slide) else { return 0.0 };
    let bore = |r: &Run| r.bore_mm.at(if r.id == run.id && end == End::Finish { r.length_mm() } else { 0.0 }).value;
    let outer = match (run.role, neighbor.role) {
        (Role::TuningSlideOuter | Role::HandSlideOuter, _) => true,
        (_, Role::TuningSlideOuter | Role::HandSlideOuter) => false,
        _ => bore(run) > bore(neighbor),
    };
    let pulled = if [run.role, neighbor.role].contains(&Role::HandSlideOuter) { pulled_mm } else { 0.0 };
    if outer { (joint.overlap_mm - pulled).clamp(0.0, run.length_mm()) } else { 0.0 }
}

/// Lays the steps end to end: the bore, its parts, and the length that was measured, mm.
fn lay(instrument: &Instrument, steps: &[Step], pulled_mm: f64) -> (Bore, Vec<Part>, f64) {
    let (mut points, mut bends, mut parts) = (Vec::<Point>::new(), Vec::new(), Vec::new());
    let (mut at, mut measured) = (0.0, 0.0);
    let push = |points: &mut Vec<Point>, station_mm: f64, diameter_mm: f64| {
        let point = Point { station_mm, diameter_mm };
        if points.last() != Some(&point) {
            points.push(point);
        }
    };
    for (i, (run, enters)) in steps.iter().enumerate() {
        let before = i.checked_sub(1).map(|b| steps[b].0);
        let after = steps.get(i + 1).map(|s| s.0);
        if run.role == Role::Casing {
            // A port goes straight across, as wide as the tubes that meet it. Common practice.
            let across = run.bore_mm.at(0.0).value;
            let wide = points.last().map_or(across, |p| p.diameter_mm);
            parts.push(Part { run: run.id.clone(), enters: *enters, from_mm: 0.0, to_mm: 0.0, station_mm: at });
            push(&mut points, at, wide);
            at += across;
            push(&mut points, at, wide);
            continue;
        }
        let length = run.length_mm();
        let forth = *enters == End::Start;
        let (near, far) = if forth { (End::Start, End::Finish) } else { (End::Finish, End::Start) };
        let near_cut = before.map_or(0.0, |b| covered(instrument, run, near, b, pulled_mm));
        let far_cut = after.map_or(0.0, |a| covered(instrument, run, far, a, pulled_mm));
        let (from, to) = if forth { (near_cut, length - far_cut) } else { (far_cut, length - near_cut) };
        let to = to.max(from);
        parts.push(Part { run: run.id.clone(), enters: *enters, from_mm: from, to_mm: to, station_mm: at });
        let place = |s: f64| at + if forth { s - from } else { to - s };
        let mut stations = stations(run, from, to);
        if !forth {
            stations.reverse();
        }
        for s in stations {
            push(&mut points, place(s), run.bore_mm.at(s).value);
        }
        let mut start = 0.0;
        for segment in &run.axis.segments {
            let end = start + segment.length_mm();
            if let Segment::Bend { radius_mm, .. } = segment {
                let (a, b) = (place(start.clamp(from, to)), place(end.clamp(from, to)));
                if (b - a).abs() > 0.0 {
                    bends.push(Bend { from_mm: a.min(b), to_mm: a.max(b), radius_mm: *radius_mm });
                }
            }
            start = end;
        }
        let known = |s: f64| matches!(run.bore_mm.at(s).origin, Origin::Measured | Origin::Computed);
        let share = (0..16).filter(|i| known(from + (to - from) * (f64::from(*i) + 0.5) / 16.0)).count();
        measured += (to - from) * share as f64 / 16.0;
        at += to - from;
    }
    bends.sort_by(|a, b| a.from_mm.total_cmp(&b.from_mm));
    (Bore { points, bends }, parts, measured)
}

/// Pieces into which a curved stretch between two measured points is laid out as cones: even in the station.
const CURVED: usize = 24;

/// Stations of a run at which its bore turns, or often enough where it is curved.
fn stations(run: &Run, from: f64, to: f64) -> Vec<f64> {
    let mut all = vec![from, to];
    let own: Vec<f64> = run.bore_mm.points.iter().map(|p| p.at_mm).collect();
    all.extend(own.iter().copied());
    if run.bore_mm.between == Interpolation::Monotone {
        for w in own.windows(2) {
            all.extend((1..CURVED).map(|i| w[0] + (w[1] - w[0]) * i as f64 / CURVED as f64));
        }
    }
    all.retain(|s| *s >= from && *s <= to);
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}
