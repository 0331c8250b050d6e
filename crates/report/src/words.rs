//! The words of the papers: names of methods, steps, tools and cautions; figures with their units and reasons.

use instrument::{JointKind, OverlayKind, Survey};
use reach::{MethodKind, Opened, Rack, ToolChoice};
use units::duration::show_minutes;
use units::force::show_force;
use units::length::show_length;
use units::likelihood::show_likelihood;
use units::temperature::show_temperature;
use units::{Figure, LengthUnit, Origin, Rank, Source, Unit};

/// What a method is called.
pub fn method(m: MethodKind) -> &'static str {
    match m {
        MethodKind::StraightRod => "straight rod",
        MethodKind::CurvedRod => "curved rod",
        MethodKind::Mandrel => "mandrel",
        MethodKind::BallTrain => "ball train",
        MethodKind::Rolling => "rolling over a support",
        MethodKind::Hammering => "hammering over a support",
        MethodKind::Magnet => "magnet and steel ball",
        MethodKind::PullOutside => "pull from outside",
        MethodKind::Burnishing => "burnishing from inside",
        MethodKind::Expander => "expanding plug",
        MethodKind::DrawRing => "drawing through a ring over a mandrel",
        MethodKind::FilledBend => "raising, then work over a fill",
        MethodKind::Raising => "raising on a stake",
    }
}

/// What stands at the foot of a customer's paper: who wrote it and where to call.
pub fn footer(shop: &str, contact: &quote::Contact) -> String {
    [shop, &contact.telephone, &contact.email].into_iter().filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" · ")
}

/// A value in its unit for a person.
pub fn value(v: f64, of: Unit, unit: LengthUnit) -> String {
    match of {
        Unit::Mm => show_length(v, unit),
        Unit::N => show_force(v, unit),
        Unit::DegC => show_temperature(v, unit),
        Unit::Min => show_minutes(v),
        Unit::Probability => show_likelihood(v),
        _ => {
            let (v, symbol) = of.in_system(v, unit);
            let gap = if symbol.is_empty() || symbol == "°" { "" } else { " " };
            let digits = if v.abs() >= 100.0 {
                format!("{v:.0}")
            } else if v.abs() >= 1.0 {
                format!("{v:.1}")
            } else {
                format!("{v:.3}")
            };
            format!("{digits}{gap}{symbol}")
        }
    }
}

/// Where a source stands, in words.
pub fn source(s: &Source) -> String {
    let rank = match s.rank {
        Rank::Published => "",
        Rank::ClosedForm => " (closed form)",
        Rank::FromMemory => " (from memory)",
        Rank::CommonPractice => " (common practice, no source)",
        Rank::OwnModel => " (own model)",
    };
    if s.text.is_empty() { rank.trim().to_owned() } else { format!("{}{rank}", s.text) }
}

/// Where a value comes from, in a word.
pub fn origin(o: Origin) -> &'static str {
    match o {
        Origin::Measured => "measured",
        Origin::ByEye => "by eye",
        Origin::Shop => "shop's setting",
        Origin::Handbook => "handbook",
        Origin::Computed => "computed",
        Origin::Pattern => "pattern, not measured",
        Origin::Assumed => "assumed",
    }
}

/// A figure with its range.
pub fn ranged(name: &str, f: &Figure, unit: LengthUnit) -> String {
    format!("{name}: {} (9 in 10: {} to {})", value(f.value, f.unit, unit), value(f.low, f.unit, unit), value(f.high, f.unit, unit))
}

/// How a figure is worked out, and whence that is.
pub fn formula(f: &Figure) -> String {
    format!("{}; source: {}.", f.reason.formula, source(&f.reason.source))
}

/// The three inputs that matter most; empty where none does.
pub fn inputs(f: &Figure, unit: LengthUnit) -> String {
    let mut inputs: Vec<_> = f.reason.inputs.iter().filter(|i| i.share >= 0.05).collect();
    inputs.sort_by(|a, b| b.share.total_cmp(&a.share));
    let said: Vec<String> = inputs
        .iter()
        .take(3)
        .map(|i| {
            let k = &i.known;
            format!("{} {} ({}, {} of the spread)", k.name, value(k.value, k.unit, unit), origin(k.origin), show_likelihood(i.share))
        })
        .collect();
    if said.is_empty() { String::new() } else { format!(" From {}.", said.join(", ")) }
}

/// A tool's name, with the shape it is in where the shop said something of it.
pub(crate) fn tool_with_condition(t: &reach::Tool) -> String {
    if t.condition.is_empty() { t.name.clone() } else { format!("{} [{}]", t.name, t.condition) }
}

/// A tool of the rack: its name and where it hangs.
fn on_rack(rack: &Rack, id: &reach::ToolId) -> String {
    match rack.tools.iter().find(|t| t.id == *id) {
        Some(t) if t.place.is_empty() => tool_with_condition(t),
        Some(t) => format!("{} ({})", tool_with_condition(t), t.place),
        None => id.0.clone(),
    }
}

/// The tools of a method, with where they hang.
pub fn tools(choice: &ToolChoice, rack: &Rack, unit: LengthUnit) -> String {
    match choice {
        ToolChoice::Rack { tools } if tools.is_empty() => "by hand".to_owned(),
        ToolChoice::Rack { tools } => tools.iter().map(|t| on_rack(rack, t)).collect::<Vec<_>>().join(" + "),
        ToolChoice::ToMake { make, with } => {
            let mut all = vec![format!("to make: {}", make.words().show(unit))];
            all.extend(with.iter().map(|t| on_rack(rack, t)));
            all.join(" + ")
        }
    }
}

/// A joint or overlay: its name, and what holds it.
pub fn opened(survey: &Survey, what: &Opened) -> (String, String) {
    match what {
        Opened::Joint(id) => match survey.instrument.joint(id) {
            Some(j) => (j.name.clone(), joint_kind(&j.kind)),
            None => (id.0.clone(), String::new()),
        },
        Opened::Overlay(id) => match survey.instrument.overlay(id) {
            Some(o) => {
                let held = o.filler.map_or_else(|| "held without solder".to_owned(), |f| f.name().to_owned());
                (o.name.clone(), format!("{}, {held}", overlay_kind(o.kind)))
            }
            None => (id.0.clone(), String::new()),
        },
    }
}

fn joint_kind(k: &JointKind) -> String {
    match k {
        JointKind::SoftSoldered { filler } => format!("soft solder, {}", filler.name()),
        JointKind::SilverBrazed { filler } => format!("silver braze, {}", filler.name()),
        JointKind::SlidingFit => "slides by hand".to_owned(),
        JointKind::Threaded => "thread".to_owned(),
        JointKind::Pressed => "pressed".to_owned(),
        JointKind::Fixed => "not opened on the bench".to_owned(),
    }
}

fn overlay_kind(k: OverlayKind) -> &'static str {
    match k {
        OverlayKind::Ferrule => "ferrule",
        OverlayKind::Brace => "brace",
        OverlayKind::Guard => "guard",
        OverlayKind::RimWire => "rim wire",
        OverlayKind::Garland => "garland",
        OverlayKind::Patch => "patch",
    }
}
