//! What is wrong with a survey as plain data. Never panics, whatever the numbers are; each problem says where, what
//! and how to mend it. The rim maps `path` to a line of the file.

#![allow(clippy::neg_cmp_op_on_partial_ord, reason = "written so that what is not a number falls on the bad side")]

mod condition;
mod damage;
mod work;

use crate::fields::WALL_RANGE_MM;
use crate::problem::Found;
pub use crate::problem::{Problem, Severity};
use crate::{Condition, Cover, Dent, End, Instrument, JointKind, MovingFit, Overlay, Profile, Run, RunEnd, Segment, Survey, Work};
pub use damage::run_hint;
use std::collections::BTreeSet;
use units::text;
use units::text::{given_mm, mm};

/// Ends of a soldered or pressed joint may differ by this much in bore before a warning, mm: a step that a ferrule takes
/// up. Common practice, no source.
const BORE_STEP_MM: f64 = 0.6;
/// And by this much before it is an error: no ferrule joins such ends.
const BORE_GAP_MM: f64 = 4.0;
/// Most diametral clearance of a sliding fit, mm, before it is taken for a mistake. Common practice, no source.
const SLIDE_GAP_MM: f64 = 0.8;
/// Most by which a sliding fit may look too tight, mm: one of its two diameters is the pattern's, not measured. Common
/// practice, no source.
const TIGHT_MM: f64 = 0.3;
/// Longest run that is believed, mm.
const LONGEST_MM: f64 = 6000.0;
/// Largest bore that is believed, mm (a sousaphone's bell rim is about 660 mm).
const WIDEST_MM: f64 = 800.0;

/// All problems of a survey, errors first.
pub fn problems(survey: &Survey) -> Vec<Problem> {
    let mut found = Found(Vec::new());
    let instrument = &survey.instrument;
    names(&mut found, "runs", instrument.runs.iter().map(|r| r.id.0.as_str()));
    names(&mut found, "joints", instrument.joints.iter().map(|j| j.id.0.as_str()));
    names(&mut found, "overlays", instrument.overlays.iter().map(|o| o.id.0.as_str()));
    names(&mut found, "fits", instrument.fits.iter().map(|f| f.id.0.as_str()));
    names(&mut found, "dents", survey.dents.iter().map(|d| d.id.0.as_str()));
    names(&mut found, "conditions", survey.conditions.iter().map(|c| c.id.0.as_str()));
    names(&mut found, "works", survey.work.iter().map(|w| w.id.0.as_str()));
    if instrument.runs.is_empty() {
        found.error("runs", "the instrument has no run of tube", "name a pattern under [instrument], or describe at least one [[run]]");
    }
    for r in &instrument.runs {
        run(&mut found, r);
    }
    joints(&mut found, instrument);
    for o in &instrument.overlays {
        overlay(&mut found, instrument, o);
    }
    for f in &instrument.fits {
        fit(&mut found, instrument, f);
    }
    for d in &survey.dents {
        damage::dent(&mut found, survey, d);
    }
    for c in &survey.conditions {
        condition::condition(&mut found, survey, c);
    }
    for w in &survey.work {
        work::work(&mut found, survey, w);
    }
    for joint in survey.wishes.keep_shut.iter().filter(|j| instrument.joint(j).is_none()) {
        found.error("wishes.keep_shut", format!("there is no joint “{joint}”"), "name a joint of the instrument");
    }
    for overlay in survey.wishes.keep_on.iter().filter(|o| instrument.overlay(o).is_none()) {
        found.error(
            "wishes.keep_on",
            format!("there is no brace, ferrule, guard or patch “{overlay}”"),
            "name a brace, ferrule, guard or patch of the instrument",
        );
    }
    found.0.sort_by_key(|p| std::cmp::Reverse(p.severity));
    found.0
}

/// What shows of the damage without the tubes it is in: looked at where something is wrong with the tubes themselves, so that one
/// mistake hides no other.
pub fn problems_without_tubes(survey: &Survey) -> Vec<Problem> {
    let mut found = Found(Vec::new());
    for d in &survey.dents {
        damage::dent_alone(&mut found, d, None);
    }
    for c in &survey.conditions {
        condition::alone(&mut found, c, None);
    }
    found.0
}

/// The problems of one dent alone, for a page that is told of dents one by one.
pub fn dent_problems(survey: &Survey, one: &Dent) -> Vec<Problem> {
    let mut found = Found(Vec::new());
    damage::dent(&mut found, survey, one);
    found.0.sort_by_key(|p| std::cmp::Reverse(p.severity));
    found.0
}

/// The problems of one condition alone.
pub fn condition_problems(survey: &Survey, one: &Condition) -> Vec<Problem> {
    let mut found = Found(Vec::new());
    condition::condition(&mut found, survey, one);
    found.0.sort_by_key(|p| std::cmp::Reverse(p.severity));
    found.0
}

/// The problems of one piece of work alone.
pub fn work_problems(survey: &Survey, one: &Work) -> Vec<Problem> {
    let mut found = Found(Vec::new());
    work::work(&mut found, survey, one);
    found.0
}

fn names<'a>(found: &mut Found, list: &str, ids: impl Iterator<Item = &'a str>) {
    let mut seen = BTreeSet::new();
    for id in ids {
        if id.trim().is_empty() {
            found.error(format!("{list}."), format!("one of the {list} has an empty id"), "give it a name of its own, or leave `id` out");
        } else if !seen.insert(id) {
            found.error(format!("{list}.{id}"), format!("two of the {list} are called “{id}”"), "give every part an id of its own");
        }
    }
}

fn run(found: &mut Found, r: &Run) {
    let path = |field: &str| format!("runs.{}.{field}", r.id);
    let length = r.length_mm();
    if r.axis.segments.is_empty() || !(length > 0.0) {
        found.error(path("axis"), format!("run {} has no length", r.id), "give its axis, as a straight length or bends");
    } else if !(length <= LONGEST_MM) {
        found.error(
            path("axis"),
            text!("run {} is {} long", r.id, mm(length, 0)),
            text!("give a length of at most {}; split longer tubes", mm(LONGEST_MM, 0)),
        );
    }
    for s in &r.axis.segments {
        let fine = match *s {
            Segment::Straight { length_mm } => length_mm > 0.0 && length_mm.is_finite(),
            Segment::Bend { radius_mm, angle_deg, plane_deg } => {
                radius_mm > 0.0 && angle_deg > 0.0 && angle_deg <= 360.0 && radius_mm.is_finite() && plane_deg.is_finite()
            }
        };
        if !fine {
            found.error(
                path("axis"),
                "a piece of the axis has a length, radius or angle that is not above zero",
                "give every straight its length and every bend its radius and angle (up to 360°)",
            );
        }
    }
    // What lies at stations of a run of no length would be told again and again.
    if axis_is_bad(r) {
        return;
    }
    profile(found, &path("bore"), "bore", &r.bore_mm, length, 0.5, WIDEST_MM);
    profile(found, &path("wall"), "wall", &r.wall_mm, length, WALL_RANGE_MM.0, WALL_RANGE_MM.1);
    profile(found, &path("temper"), "temper", &r.temper, length, 0.0, 10.0);
    for p in &r.bore_mm.points {
        let wall = r.wall_mm.at(p.at_mm).value;
        // One beyond all belief was told already.
        if wall > p.value / 2.0 && wall <= WALL_RANGE_MM.1 {
            found.error(
                path("wall"),
                text!("the wall of {} is thicker than the bore's radius of {}", given_mm(wall), given_mm(p.value / 2.0)),
                "look whether wall and bore were swapped or an inch was taken for a millimeter",
            );
            break;
        }
    }
    // A bend whose inside would fold onto itself.
    let mut start = 0.0;
    for s in &r.axis.segments {
        let end = start + s.length_mm();
        if let Segment::Bend { radius_mm, .. } = *s {
            let outside = r.outside_diameter_at((start + end) / 2.0) / 2.0;
            if outside > radius_mm {
                found.error(
                    path("axis"),
                    text!("a bend of radius {} is tighter than the tube's own half diameter of {}", given_mm(radius_mm), mm(outside, 1)),
                    "give the radius of the bend's center line",
                );
            }
        }
        start = end;
    }
}

/// Whether a run's axis is no axis.
fn axis_is_bad(r: &Run) -> bool {
    let length = r.length_mm();
    let narrowest = r.bore_mm.points.iter().map(|p| p.value / 2.0).fold(f64::INFINITY, f64::min);
    let piece = |s: &Segment| match *s {
        Segment::Straight { length_mm } => length_mm > 0.0,
        Segment::Bend { radius_mm, angle_deg, .. } => {
            radius_mm > 0.0 && angle_deg > 0.0 && !(radius_mm < narrowest && narrowest.is_finite())
        }
    };
    !(length > 0.0 && length <= LONGEST_MM && r.axis.segments.iter().all(piece))
}

fn profile(found: &mut Found, path: &str, name: &str, p: &Profile, length: f64, least: f64, most: f64) {
    if p.points.is_empty() {
        found.error(path, format!("no {name} is given"), format!("give the {name} as one value, or at distances from the mouthpiece end"));
        return;
    }
    for point in &p.points {
        if !(point.value >= least && point.value <= most) {
            let temper = name == "temper";
            let of = |value: f64| if temper { units::Text::from(format!("{value} temper steps")) } else { text!("{}", given_mm(value)) };
            found.error(
                path,
                text!("a {} of {} is not possible", name, of(point.value)),
                text!("give a {} between {} and {}; look whether the unit is right", name, of(least), of(most)),
            );
        }
        if !(point.sd >= 0.0 && point.sd.is_finite()) {
            found.error(path, format!("the {name}'s uncertainty of {} is not possible", point.sd), "give it as a length of zero or more");
        }
        if !(point.at_mm >= -0.5 && point.at_mm <= length + 0.5 + 0.002 * length) {
            found.error(
                path,
                text!("a {} is given at {}, outside the run of {}", name, given_mm(point.at_mm), mm(length, 1)),
                text!("give distances between 0 and {}, from the mouthpiece end", mm(length, 1)),
            );
        }
    }
    if p.points.windows(2).any(|w| !(w[0].at_mm < w[1].at_mm)) {
        found.error(path, format!("the distances of the {name} do not rise"), "list them from the mouthpiece end to the bell end");
    }
}

/// Bore and outside diameter at an end.
fn at_end(r: &Run, end: End) -> (f64, f64) {
    let at = match end {
        End::Start => 0.0,
        End::Finish => r.length_mm(),
    };
    (r.bore_mm.at(at).value, r.outside_diameter_at(at))
}

fn joints(found: &mut Found, instrument: &Instrument) {
    for j in &instrument.joints {
        let path = format!("joints.{}", j.id);
        let ends: Vec<Option<&Run>> = [&j.a, &j.b].iter().map(|e| instrument.run(&e.run)).collect();
        for (end, run) in [&j.a, &j.b].iter().zip(&ends) {
            if run.is_none() {
                found.error(
                    path.clone(),
                    format!("joint {} names a run “{}” that is not there", j.id, end.run),
                    "name a run of the instrument",
                );
            }
        }
        if j.a == j.b {
            found.error(path.clone(), format!("joint {} joins an end to itself", j.id), "name two ends");
        }
        if !(j.overlap_mm >= 0.0 && j.overlap_mm.is_finite()) {
            found.error(format!("{path}.overlap"), "the overlap is not a length", "give zero or more");
        }
        let (Some(a), Some(b)) = (ends[0], ends[1]) else { continue };
        if axis_is_bad(a) || axis_is_bad(b) {
            continue;
        }
        let ((bore_a, out_a), (bore_b, out_b)) = (at_end(a, j.a.end), at_end(b, j.b.end));
        match j.kind {
            JointKind::SlidingFit => {
                // One goes into the other: the smaller outside into the larger bore.
                let gap = if out_a < out_b { bore_b - out_a } else { bore_a - out_b };
                if !(-TIGHT_MM..=SLIDE_GAP_MM).contains(&gap) {
                    found.warning(
                        path,
                        text!(
                            "joint {}: the ends of {} and {} do not slide in each other (gap {} on the diameter)",
                            j.id,
                            a.name,
                            b.name,
                            mm(gap, 2)
                        ),
                        "look at both bores and walls",
                    );
                }
            }
            JointKind::Fixed | JointKind::Threaded => {}
            JointKind::SoftSoldered { .. } | JointKind::SilverBrazed { .. } | JointKind::Pressed => {
                // End to end under a ferrule, or one slipped into the other.
                let step = (bore_a - bore_b).abs().min((bore_a - out_b).abs()).min((bore_b - out_a).abs());
                if !(step <= BORE_GAP_MM) {
                    found.error(
                        path,
                        text!(
                            "joint {}: {} ends with a bore of {} and {} begins with {}: they do not meet",
                            j.id,
                            a.name,
                            mm(bore_a, 1),
                            b.name,
                            mm(bore_b, 1)
                        ),
                        "measure both ends again, or name the run between them",
                    );
                } else if step > BORE_STEP_MM {
                    found.warning(
                        path,
                        text!("joint {}: a step of {} between {} and {}", j.id, mm(step, 1), a.name, b.name),
                        "measure both ends again",
                    );
                }
            }
        }
    }
    let joined = |r: &Run| {
        let ends = [End::Start, End::Finish].map(|end| RunEnd { run: r.id.clone(), end });
        ends.iter().any(|e| !instrument.joints_at(e).is_empty()) || !instrument.fits_of(&r.id).is_empty()
    };
    if instrument.runs.len() > 1 {
        for r in instrument.runs.iter().filter(|r| !joined(r)) {
            found.error(
                format!("runs.{}", r.id),
                format!("run {} meets nothing", r.id),
                "add the [[joint]] that ties it to its neighbor, or take the run out",
            );
        }
    }
}

fn overlay(found: &mut Found, instrument: &Instrument, o: &Overlay) {
    let path = format!("overlays.{}", o.id);
    if o.covers.is_empty() {
        found.error(
            path.clone(),
            format!("{} {} covers nothing", o.kind.words(), o.id),
            "say which run it covers, and from where to where",
        );
    }
    if let Some(joint) = &o.slides_off_at
        && instrument.joint(joint).is_none()
    {
        found.error(
            path.clone(),
            format!("{} {} slides off at a joint “{joint}” that is not there", o.kind.words(), o.id),
            "name a joint of the instrument",
        );
    }
    let covers = format!("{path}.covers");
    for Cover { run, from_mm, to_mm, clock_deg } in &o.covers {
        let Some(r) = instrument.run(run) else {
            found.error(
                covers.clone(),
                format!("{} {} covers a run “{run}” that is not there", o.kind.words(), o.id),
                run_hint(instrument, run),
            );
            continue;
        };
        if axis_is_bad(r) {
            continue;
        }
        let length = r.length_mm();
        let slack = 0.5 + 0.002 * length;
        if !(*from_mm >= -slack && from_mm < to_mm && *to_mm <= length + slack) {
            found.error(
                covers.clone(),
                text!(
                    "{} {} covers {} to {} of {}, which runs from 0 to {}",
                    o.kind.words(),
                    o.id,
                    given_mm(*from_mm).bare(),
                    given_mm(*to_mm),
                    run,
                    mm(length, 1)
                ),
                text!("give two rising distances between 0 and {}", mm(length, 1)),
            );
        }
        if let Some((a, b)) = clock_deg
            && !(a.is_finite() && b.is_finite())
        {
            found.error(covers.clone(), "a clock angle is not a number", "give it like 3 o'clock or 90°");
        }
    }
}

fn fit(found: &mut Found, instrument: &Instrument, f: &MovingFit) {
    let path = format!("fits.{}", f.id);
    for run in [&f.inner, &f.outer] {
        if instrument.run(run).is_none() {
            found.error(path.clone(), format!("fit {} names a run “{run}” that is not there", f.id), "name a run of the instrument");
        }
    }
    if let (Some(inner), Some(outer)) = (instrument.run(&f.inner), instrument.run(&f.outer)) {
        let ends = [End::Start, End::Finish];
        let outside = ends.map(|e| at_end(inner, e).1).into_iter().fold(f64::NEG_INFINITY, f64::max);
        let bore = ends.map(|e| at_end(outer, e).0).into_iter().fold(f64::INFINITY, f64::min);
        let gap = bore - outside;
        if gap.is_finite() && !(-TIGHT_MM..=SLIDE_GAP_MM).contains(&gap) {
            found.warning(
                path.clone(),
                text!(
                    "fit {}: {} is {} outside, {} has a bore of {}: they do not move in each other",
                    f.id,
                    inner.name,
                    mm(outside, 2),
                    outer.name,
                    mm(bore, 2)
                ),
                "measure the inner's outside and the outer's bore again, or give both runs their bore and wall",
            );
        }
    }
    if let Some(c) = &f.clearance_mm
        && !(c.value.is_finite() && c.value.abs() < 5.0)
    {
        found.error(
            format!("{path}.clearance"),
            text!("a clearance of {} is not possible", given_mm(c.value)),
            "give bore of the outer less outside of the inner",
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Axis, Finish, Kind, Point, Role};
    use metal::Alloy;
    use proptest::prelude::*;
    use units::{Known, Origin, Unit};

    fn tube(bore: f64, wall: f64, length_mm: f64) -> Survey {
        let run = Run {
            id: "tube".into(),
            name: "tube".to_owned(),
            role: Role::Tube,
            axis: Axis::straight(length_mm),
            bore_mm: Profile::constant(bore, 0.1, Origin::Measured),
            wall_mm: Profile::constant(wall, 0.02, Origin::Measured),
            alloy: Alloy::YellowBrass,
            temper: Profile::constant(2.0, 0.5, Origin::Pattern),
            finish: Finish::Raw,
            may_be_beryllium: false,
        };
        Survey::of(Instrument { runs: vec![run], ..Instrument::new(Kind::Other) })
    }

    fn errors(survey: &Survey) -> Vec<String> {
        problems(survey).into_iter().filter(|p| p.severity == Severity::Error).map(|p| p.path).collect()
    }

    #[test]
    fn a_sound_tube_has_no_problem() {
        assert_eq!(problems(&tube(12.0, 0.5, 200.0)), []);
    }

    #[test]
    fn impossible_tubes_are_named() {
        assert_eq!(errors(&tube(0.0, 0.5, 200.0)), ["runs.tube.bore", "runs.tube.wall"]);
        assert_eq!(errors(&tube(12.0, f64::NAN, 200.0)), ["runs.tube.wall"]);
        assert!(errors(&tube(12.0, 0.5, f64::NAN)).contains(&"runs.tube.axis".to_owned()));
        assert_eq!(errors(&tube(12.0, 7.0, 200.0)), ["runs.tube.wall"]);
        let mut falling = tube(12.0, 0.5, 200.0);
        falling.instrument.runs[0].bore_mm.points.push(Point { at_mm: 0.0, value: 12.0, sd: 0.1, origin: Origin::Measured });
        assert_eq!(errors(&falling), ["runs.tube.bore"]);
    }

    proptest! {
        #[test]
        fn no_numbers_panic(bore in any::<f64>(), wall in any::<f64>(), length in any::<f64>(), at in any::<f64>(), depth in any::<f64>()) {
            let mut survey = tube(bore, wall, length);
            let known = |v| Some(Known::new("x", v, v, Unit::Mm, Origin::Measured));
            survey.dents.push(Dent { at_mm: known(at), depth_mm: known(depth), ..Dent::new("d1", "tube") });
            let _ = problems(&survey);
            let _ = survey.site(&survey.dents[0]);
        }
    }
}
