//! How a measured value is read, wherever it was written: lengths, clock angles, hardness, tempers.

use crate::given::Given;
use crate::problem::Wrong;
use crate::words::{TEMPERS, Word, plain};
use instrument::fields::{ANGLE_SD_DEG, CLOCK_SD_DEG, HV_PART, HV_RANGE};
use metal::{Alloy, Temper, Value};
use schemars::JsonSchema;
use serde::Deserialize;
use std::collections::BTreeMap;
use units::measured::{Gauge, by_eye, parse_measured_mm};
use units::{Known, LengthUnit, Origin, ParseError, Unit};

/// A quantity as written: text with its unit (`"4 mm"`, `"1 1/32 in"`, `"about 4 mm"`), a bare number where the file says
/// `units` at its top, or a value with its spread spelt out.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Quantity {
    /// With its unit.
    Text(String),
    /// A bare number, in the file's `units`.
    Number(f64),
    /// Value and spread spelt out: what a program writes where no short form says the same.
    Exact(ExactQuantity),
}

/// A value with its spread, in the quantity's own unit: mm, degrees, HV, numbers hard.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExactQuantity {
    /// Best estimate.
    pub value: f64,
    /// One standard deviation.
    pub sd: f64,
    /// `"measured"`, `"by eye"`, `"pattern"`, `"shop"`, `"handbook"`, `"computed"`, `"assumed"`.
    pub from: String,
}

/// Spread of a temper given as a word, numbers hard. Common practice, no source.
const TEMPER_WORD_SD: f64 = 0.6;
/// Spread of a pattern's temper, numbers hard. Common practice, no source.
const PATTERN_TEMPER_SD: f64 = 0.7;

impl From<ParseError> for Wrong {
    fn from(e: ParseError) -> Self {
        Wrong::new(e.what(), e.hint())
    }
}

/// A given value as a quantity.
///
/// # Errors
/// Where it is a list, a yes or no, or a table that spells nothing out.
pub(crate) fn given(value: &Given) -> Result<Quantity, Wrong> {
    match value {
        Given::Text(text) => Ok(Quantity::Text(text.clone())),
        Given::Number(n) => Ok(Quantity::Number(*n)),
        Given::Table(table) => spelt_out(table).map(Quantity::Exact),
        Given::Nothing | Given::Flag(_) | Given::List(_) => {
            Err(Wrong::new("this is neither a text nor a number", "write it with its unit, in quotes, like \"11.66 mm\" or \"1 1/32 in\""))
        }
    }
}

fn spelt_out(table: &BTreeMap<String, Given>) -> Result<ExactQuantity, Wrong> {
    let hint = "write { value = 4, sd = 0.1, from = \"measured\" }, or a text with its unit";
    if let Some(other) = table.keys().find(|k| !["value", "sd", "from"].contains(&k.as_str())) {
        return Err(Wrong::new(format!("a value that is spelt out has no `{other}`"), hint));
    }
    match (table.get("value"), table.get("sd"), table.get("from")) {
        (Some(Given::Number(value)), Some(Given::Number(sd)), Some(Given::Text(from))) => {
            Ok(ExactQuantity { value: *value, sd: *sd, from: from.clone() })
        }
        _ => Err(Wrong::new("a value that is spelt out needs `value` and `sd` as numbers and `from` as a text", hint)),
    }
}

/// A length; a bare number takes the file's own unit and is refused where the file has none.
pub(crate) fn length(q: &Quantity, gauge: Gauge, unit: Option<LengthUnit>) -> Result<Known, Wrong> {
    let gauge = gauge.with_default(unit);
    match q {
        Quantity::Text(text) => Ok(parse_measured_mm(text, &gauge)?),
        Quantity::Exact(e) => exact(e, Unit::Mm),
        Quantity::Number(n) if !n.is_finite() => Err(Wrong::new(format!("{n} is not a length"), "measure it again, or leave it out")),
        Quantity::Number(n) => match unit {
            Some(unit) => Ok(Known::new("", n * unit.in_mm(), gauge.sd_mm, Unit::Mm, Origin::Measured)),
            None => Err(Wrong::new(
                format!("{n} has no unit"),
                format!("write \"{n} mm\" or \"{n} in\"; or set `units` at the top of the file"),
            )),
        },
    }
}

/// A value with its spread spelt out.
pub(crate) fn exact(e: &ExactQuantity, unit: Unit) -> Result<Known, Wrong> {
    let Some(origin) = Origin::read(&e.from) else {
        return Err(Wrong::new(format!("“{}” is no origin of a value", e.from), format!("write one of {}", Origin::choices())));
    };
    if !(e.value.is_finite() && e.sd.is_finite() && e.sd >= 0.0) {
        return Err(Wrong::new("the value or its spread is not a number", "give `value` and `sd` as numbers, `sd` zero or more"));
    }
    Ok(Known::new("", e.value, e.sd, unit, origin))
}

/// An angle, degrees.
pub(crate) fn angle(text: &str) -> Result<f64, Wrong> {
    Ok(units::angle::parse_angle_deg(text)?)
}

/// A clock angle.
pub(crate) fn clock(q: &Quantity) -> Result<Known, Wrong> {
    match q {
        Quantity::Exact(e) => exact(e, Unit::Deg),
        Quantity::Text(text) => {
            let (rest, sd, origin) =
                by_eye(text).map_or((text.as_str(), CLOCK_SD_DEG, Origin::Measured), |rest| (rest, 2.0 * CLOCK_SD_DEG, Origin::ByEye));
            Ok(Known::new("", angle(rest)?.rem_euclid(360.0), sd, Unit::Deg, origin))
        }
        Quantity::Number(n) => Err(Wrong::new(format!("{n} has no unit"), format!("write \"{n} o'clock\" or \"{n}°\""))),
    }
}

/// An angle off a line, in degrees: a clock angle says where, not by how much.
pub(crate) fn off(q: &Quantity) -> Result<Known, Wrong> {
    let hint = "write it in degrees, like \"3°\" or \"3 deg\"";
    match q {
        Quantity::Exact(e) => exact(e, Unit::Deg),
        Quantity::Text(text) => {
            let (rest, sd, origin) =
                by_eye(text).map_or((text.as_str(), ANGLE_SD_DEG, Origin::Measured), |rest| (rest, 2.0 * ANGLE_SD_DEG, Origin::ByEye));
            let clock = rest.contains(':') || rest.to_lowercase().contains("clock");
            let deg = if clock { None } else { units::angle::parse_angle_deg(rest).ok() };
            let deg = deg.ok_or_else(|| Wrong::new(format!("“{text}” is no angle off a line"), hint))?;
            Ok(Known::new("", deg, sd, Unit::Deg, origin))
        }
        Quantity::Number(n) => Err(Wrong::new(format!("{n} has no unit"), format!("write \"{n}°\""))),
    }
}

/// A Vickers hardness.
pub(crate) fn hardness(q: &Quantity) -> Result<Known, Wrong> {
    let text = match q {
        Quantity::Exact(e) => return exact(e, Unit::Hv),
        Quantity::Number(n) => return Err(Wrong::new(format!("{n} has no unit"), format!("write \"{n} HV\""))),
        Quantity::Text(text) => text,
    };
    match vickers(text) {
        Some(hv) => Ok(Known::new("", hv, HV_PART * hv, Unit::Hv, Origin::Measured)),
        None => {
            let (least, most) = HV_RANGE;
            Err(Wrong::new(
                format!("“{text}” is no hardness of a wall"),
                format!("write a Vickers hardness like \"110 HV\", between {least} and {most} HV"),
            ))
        }
    }
}

fn vickers(text: &str) -> Option<f64> {
    let lower = text.trim().to_lowercase();
    lower.strip_suffix("hv").and_then(|n| n.trim().parse().ok()).filter(|hv| (HV_RANGE.0..=HV_RANGE.1).contains(hv))
}

/// A temper as a word, in numbers hard, or as a Vickers hardness: value, standard deviation, origin.
pub(crate) fn temper(text: &str, alloy: Alloy) -> Option<(f64, f64, Origin)> {
    let word = plain(text);
    let (word, pattern) = word.strip_prefix("pattern ").map_or((word.as_str(), false), |w| (w.trim(), true));
    let named = TEMPERS.iter().find(|(w, _)| *w == word).map(|(_, n)| *n);
    let numbers = ["numbers hard", "numbers", "temper steps"].iter().find_map(|unit| word.strip_suffix(unit));
    let numbers = numbers.and_then(|n| n.trim().parse::<f64>().ok());
    if let Some(n) = named.or(numbers.filter(|n| (0.0..=8.0).contains(n))) {
        return Some(if pattern { (n, PATTERN_TEMPER_SD, Origin::Pattern) } else { (n, TEMPER_WORD_SD, Origin::ByEye) });
    }
    let hv = vickers(text)?;
    let read = Temper::from_vickers(alloy, Value::new(hv, HV_PART * hv))?;
    Some((read.temper.0, read.sd, Origin::Measured))
}
