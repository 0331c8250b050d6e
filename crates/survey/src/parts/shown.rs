//! What stands on a part's sheet, in the words of a person.

use crate::damage::Form;
use crate::damage::write::clock_text;
use crate::given::Given;
use crate::words::{TEMPERS, Word};
use instrument::fields::{Field, fit as f, joint as j, overlay as o, run as r, whole as w};
use instrument::{Axis, Cover, Finish, Interpolation, Joint, JointKind, MovingFit, Overlay, Point, Profile, Run, Segment, Survey};
use metal::{Alloy, Temper};
use units::measured::{Gauge, show_measured};
use units::{Known, LengthUnit, Origin, Unit};

pub(super) fn run(run: &Run, unit: LengthUnit) -> Form {
    let measured = |p: &Profile, text: &dyn Fn(&Profile) -> String| if is_measured(p) { text(p) } else { String::new() };
    Form::default()
        .with(&r::ALLOY, run.alloy.word())
        .with(&r::FINISH, run.finish.word())
        .with(&r::WALL, &measured(&run.wall_mm, &|p| along(p, &r::WALL.gauge(), unit)))
        .with(&r::TEMPER, &measured(&run.temper, &|p| tempers(p, run.alloy, unit)))
        .with(&r::BORE, &measured(&run.bore_mm, &|p| along(p, &r::BORE.gauge(), unit)))
        .with(&r::ROLE, run.role.word())
        .with(&r::AXIS, &axis(&run.axis, unit))
        .with(&r::FLARE, if run.bore_mm.between == Interpolation::Monotone { "yes" } else { "no" })
        .with(&r::BERYLLIUM, if run.may_be_beryllium { "yes" } else { "no" })
}

/// The pieces of an axis, a line for each.
fn axis(axis: &Axis, unit: LengthUnit) -> String {
    let piece = |s: &Segment| match *s {
        Segment::Straight { length_mm } => format!("straight {}", rule(length_mm, unit)),
        Segment::Bend { radius_mm, angle_deg, plane_deg } => {
            format!("bend {}, {}°, {}", rule(radius_mm, unit), short(angle_deg), clock_text(plane_deg))
        }
    };
    axis.segments.iter().map(piece).collect::<Vec<_>>().join("\n")
}

/// A length as a rule says it.
fn rule(mm: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Mm => format!("{} mm", short(mm)),
        LengthUnit::Inch => format!("{} in", trimmed(&format!("{:.3}", mm / unit.in_mm()))),
    }
}

/// What a pattern says of a run where nobody measured.
pub(super) fn pattern(run: &Run, field: &Field, unit: LengthUnit) -> Option<String> {
    let ends = |p: &Profile, text: &dyn Fn(&Point) -> String| {
        let (first, last) = (p.points.first()?, p.points.last()?);
        let (first, last) = (text(first), text(last));
        Some(if first == last { format!("pattern {first}") } else { format!("pattern {first} to {last}") })
    };
    let plain =
        |gauge: Gauge| move |p: &Point| show_measured(&known(&Point { origin: Origin::Measured, sd: gauge.sd_mm, ..*p }), &gauge, unit);
    match field.key {
        key if key == r::WALL.key => ends(&run.wall_mm, &plain(r::WALL.gauge())),
        key if key == r::BORE.key => ends(&run.bore_mm, &plain(r::BORE.gauge())),
        key if key == r::TEMPER.key => ends(&run.temper, &|p| numbers(p.value)),
        _ => None,
    }
}

pub(super) fn joint(joint: &Joint, unit: LengthUnit) -> Form {
    let (held_by, filler) = held_by(&joint.kind);
    Form::default().with(&j::HELD_BY, held_by).with(&j::FILLER, filler).with(&j::OVERLAP, &rule(joint.overlap_mm, unit))
}

/// How a joint holds, and with what, in the file's words.
pub(super) fn held_by(kind: &JointKind) -> (&'static str, &'static str) {
    match kind {
        JointKind::SoftSoldered { filler } => ("soft solder", filler.word()),
        JointKind::SilverBrazed { filler } => ("silver braze", filler.word()),
        JointKind::SlidingFit => ("slide", ""),
        JointKind::Threaded => ("thread", ""),
        JointKind::Pressed => ("pressed", ""),
        JointKind::Fixed => ("fixed", ""),
    }
}

/// The pattern's clearance, where nobody measured it.
pub(super) fn pattern_clearance(fit: &MovingFit, field: &Field, unit: LengthUnit) -> Option<String> {
    let k = fit.clearance_mm.as_ref().filter(|_| field.key == f::CLEARANCE.key)?;
    Some(show_measured(k, &f::CLEARANCE.gauge(), unit))
}

pub(super) fn overlay(overlay: &Overlay, unit: LengthUnit) -> Form {
    let cover = |c: &Cover| {
        let clock = c.clock_deg.map_or_else(String::new, |(from, to)| format!(", {} to {}", clock_text(from), clock_text(to)));
        format!("{}: {} to {}{clock}", c.run, rule(c.from_mm, unit), rule(c.to_mm, unit))
    };
    Form::default()
        .with(&o::KIND, overlay.kind.word())
        .with(&o::FILLER, overlay.filler.map_or("none", Word::word))
        .with(&o::COVERS, &overlay.covers.iter().map(cover).collect::<Vec<_>>().join("\n"))
}

pub(super) fn fit(fit: &MovingFit, unit: LengthUnit) -> Form {
    let measured = fit.clearance_mm.as_ref().filter(|k| !matches!(k.origin, Origin::Pattern | Origin::Assumed));
    let clearance = measured.map_or_else(String::new, |k| show_measured(k, &f::CLEARANCE.gauge(), unit));
    Form::default().with(&f::MOVES, fit.state.map_or("", Word::word)).with(&f::CLEARANCE, &clearance)
}

pub(super) fn whole(survey: &Survey) -> Form {
    let flag = |f| if f { "yes" } else { "no" };
    let mut form = Form::default()
        .with(&w::CLEANED, survey.cleaned.map_or("", flag))
        .with(&w::FINISH, coat(survey).map_or("", Word::word))
        .with(&w::KEEP_FINISH, flag(survey.wishes.keep_finish));
    let list = |ids: Vec<&str>| Given::List(ids.into_iter().map(Given::from).collect());
    form.0.insert(w::KEEP_SHUT.key.to_owned(), list(survey.wishes.keep_shut.iter().map(|id| id.0.as_str()).collect()));
    form.0.insert(w::KEEP_ON.key.to_owned(), list(survey.wishes.keep_on.iter().map(|id| id.0.as_str()).collect()));
    form
}

/// The finish of most of the runs that take the instrument's own.
pub(super) fn coat(survey: &Survey) -> Option<Finish> {
    let coats: Vec<Finish> = survey.instrument.runs.iter().filter(|r| r.role.takes_the_coat()).map(|r| r.finish).collect();
    coats.iter().copied().max_by_key(|finish| coats.iter().filter(|f| *f == finish).count())
}

fn is_measured(p: &Profile) -> bool {
    p.points.iter().any(|point| !matches!(point.origin, Origin::Pattern | Origin::Assumed))
}

fn known(p: &Point) -> Known {
    Known::new("", p.value, p.sd, Unit::Mm, p.origin)
}

fn along(profile: &Profile, gauge: &Gauge, unit: LengthUnit) -> String {
    at_stations(profile, unit, |p| show_measured(&known(p), gauge, unit))
}

fn tempers(profile: &Profile, alloy: Alloy, unit: LengthUnit) -> String {
    at_stations(profile, unit, |p| match p.origin {
        Origin::Measured => format!("{} HV", short(hardness(alloy, p.value))),
        Origin::Pattern => format!("pattern {}", numbers(p.value)),
        _ => numbers(p.value),
    })
}

fn at_stations(profile: &Profile, unit: LengthUnit, text: impl Fn(&Point) -> String) -> String {
    match profile.points.as_slice() {
        [only] if only.at_mm == 0.0 => text(only),
        points => points.iter().map(|p| format!("{}: {}", station(p.at_mm, unit), text(p))).collect::<Vec<_>>().join("\n"),
    }
}

fn station(mm: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Mm => format!("{} mm", short(mm)),
        LengthUnit::Inch => format!("{} in", short(mm / unit.in_mm())),
    }
}

fn numbers(n: f64) -> String {
    TEMPERS.iter().find(|(_, m)| *m == n).map_or_else(|| format!("{} temper steps", short(n)), |(word, _)| (*word).to_owned())
}

fn short(x: f64) -> String {
    trimmed(&format!("{x:.2}")).to_owned()
}

fn trimmed(decimals: &str) -> &str {
    decimals.trim_end_matches('0').trim_end_matches('.')
}

/// The hardness from which a temper was read, to a hundredth: nobody reads a tester finer.
pub(super) fn hardness(alloy: Alloy, numbers_hard: f64) -> f64 {
    (metal::vickers::vickers(alloy, Temper(numbers_hard)).value * 100.0).round() / 100.0
}
