//! What is said of a dent or a condition, in words that are read back: exactly in a file, near enough for a person on a
//! form (where what was not touched keeps its value).

use crate::problem::Wrong;
use crate::quantity;
use crate::quantity::Quantity;
use crate::words::Word;
use instrument::ProfilePoint;
use instrument::fields::{Field, Held, Kind, Range, Said};
use units::measured::{Gauge, parse_measured_mm, show_measured};
use units::{Known, LengthUnit, Origin};

/// A field for a person, in the reader's unit.
pub(crate) fn for_a_person(field: &Field, held: &Held<'_>, unit: LengthUnit) -> String {
    match held {
        Held::Known(k) => match field.kind {
            Kind::Clock | Kind::Angle => degrees(k),
            Kind::Hardness => format!("{:.0} HV", k.value),
            Kind::Length(gauge) => length(field, k, &gauge, unit),
            _ => length(field, k, &Gauge::LENGTH, unit),
        },
        Held::Mm(mm) => station(*mm, unit),
        Held::ClockRange((from, to)) => format!("{} to {}", clock_text(*from), clock_text(*to)),
        Held::Direction(direction) => direction.word().to_owned(),
        Held::Condition(kind) => kind.word().to_owned(),
        Held::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        Held::Points(points) => points.iter().map(|p| format!("{} mm: {} mm", p.x_mm, p.depth_mm)).collect::<Vec<_>>().join("\n"),
        Held::Text(text) => (*text).to_owned(),
        Held::Part => "yes".to_owned(),
    }
}

fn length(field: &Field, k: &Known, gauge: &Gauge, unit: LengthUnit) -> String {
    if field.range == Range::OnTheRun && k.origin == Origin::Measured && (k.sd - gauge.sd_mm).abs() < 1e-9 {
        station(k.value, unit)
    } else {
        show_measured(k, gauge, unit)
    }
}

/// A station as the tablet's strip shows it: no fraction of an inch is as fine as a tap that is kept.
fn station(mm: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Mm => format!("{} mm", trimmed(format!("{mm:.2}"))),
        LengthUnit::Inch => format!("{} in", trimmed(format!("{:.3}", mm / LengthUnit::Inch.in_mm()))),
    }
}

fn trimmed(number: String) -> String {
    let short = number.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}

fn degrees(k: &Known) -> String {
    let text = format!("{}°", trimmed(format!("{:.1}", k.value)));
    if k.origin == Origin::ByEye { format!("about {text}") } else { text }
}

/// A clock angle as a time where that says the same, else in degrees.
pub(crate) fn clock_text(x: f64) -> String {
    let time = units::angle::show_clock(x);
    if units::angle::parse_angle_deg(&time) == Ok(x) { time } else { format!("{x}°") }
}

/// Fields as the lines of a TOML table.
pub(crate) fn lines(said: &[Said<'_>]) -> Vec<(&'static str, String)> {
    let mut lines = Vec::new();
    for (field, held) in said.iter().filter(|(f, _)| f.in_part().is_none()) {
        let value = match held {
            Held::Part => {
                let own = said.iter().filter_map(|(f, h)| f.in_part().filter(|(p, _)| *p == field.key).map(|(_, own)| (own, f, h)));
                let own: Vec<String> = own.map(|(key, f, h)| format!("{key} = {}", for_a_file(f, h))).collect();
                if own.is_empty() { "true".to_owned() } else { format!("{{ {} }}", own.join(", ")) }
            }
            other => for_a_file(field, other),
        };
        lines.push((field.key, value));
    }
    lines
}

fn for_a_file(field: &Field, held: &Held<'_>) -> String {
    match held {
        Held::Known(k) => match field.kind {
            Kind::Clock => clock(k),
            Kind::Angle => off(k),
            Kind::Hardness => hardness(k),
            Kind::Length(gauge) => exact_length(k, &gauge),
            _ => exact_length(k, &Gauge::LENGTH),
        },
        Held::Mm(x) => mm(*x),
        Held::ClockRange((from, to)) => format!("[{}, {}]", text(&clock_text(*from)), text(&clock_text(*to))),
        Held::Points(points) => profile(points),
        Held::Flag(flag) => flag.to_string(),
        Held::Direction(direction) => text(direction.word()),
        Held::Condition(kind) => text(kind.word()),
        Held::Text(words) => text(words),
        Held::Part => "true".to_owned(),
    }
}

fn profile(points: &[ProfilePoint]) -> String {
    list(points.iter().map(|p| format!("[{}, {}]", mm(p.x_mm), mm(p.depth_mm))))
}

/// A list on one line where it is short, else an item a line.
pub(crate) fn list(items: impl Iterator<Item = String>) -> String {
    let items: Vec<String> = items.collect();
    let one = items.join(", ");
    if one.len() < 110 { format!("[{one}]") } else { format!("[\n    {},\n]", items.join(",\n    ")) }
}

/// A TOML text, in single quotes where it holds double ones.
pub(crate) fn text(s: &str) -> String {
    toml::Value::String(s.to_owned()).to_string()
}

pub(crate) fn mm(x: f64) -> String {
    text(&format!("{x} mm"))
}

/// The first of the short forms that reads back as the same value, else the value spelt out.
pub(crate) fn short(k: &Known, forms: &[String], read: impl Fn(&str) -> Option<(f64, f64, Origin)>) -> String {
    match forms.iter().find(|f| read(f) == Some((k.value, k.sd, k.origin))) {
        Some(form) => text(form),
        None => format!("{{ value = {:?}, sd = {:?}, from = {} }}", k.value, k.sd, text(k.origin.word())),
    }
}

pub(crate) fn exact_length(k: &Known, gauge: &Gauge) -> String {
    let forms = [format!("{} mm", k.value), format!("about {} mm", k.value), format!("pattern {} mm", k.value)];
    short(k, &forms, |t| parse_measured_mm(t, gauge).ok().map(|r| (r.value, r.sd, r.origin)))
}

fn read_as(read: Result<Known, Wrong>) -> Option<(f64, f64, Origin)> {
    read.ok().map(|k| (k.value, k.sd, k.origin))
}

fn clock(k: &Known) -> String {
    let time = units::angle::show_clock(k.value);
    let forms = [time.clone(), format!("about {time}"), format!("{}°", k.value), format!("about {}°", k.value)];
    short(k, &forms, |t| read_as(quantity::clock(&Quantity::Text(t.to_owned()))))
}

fn off(k: &Known) -> String {
    short(k, &[format!("{}°", k.value), format!("about {}°", k.value)], |t| read_as(quantity::off(&Quantity::Text(t.to_owned()))))
}

fn hardness(k: &Known) -> String {
    short(k, &[format!("{} HV", k.value)], |t| read_as(quantity::hardness(&Quantity::Text(t.to_owned()))))
}
