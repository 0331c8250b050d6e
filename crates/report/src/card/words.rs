//! All texts of the bench card that do not come from the plan, to be read together.

use instrument::{DentId, RunId, Survey};
use plan::{Step, StepKind};
use reach::{MethodKind, ToolPiece};
use units::LengthUnit;
use units::force::force_symbol;
use units::temperature::temperature_symbol;

/// What the paper is.
pub(crate) const KIND: &str = "Bench card";

pub(super) const APART: &str = "What comes apart, and each heat";
pub(super) const SETUPS: &str = "Setups in working order";
pub(super) const TOOLS: &str = "Lay out";
pub(super) const LEGEND: &str = "In the drawings the tube is straightened and seen from its 3 o'clock side, 12 o'clock up. Dents on the far side are dashed. The black arrow shows where the tool goes in. Sections are seen from mouthpiece to bell.";
pub(super) const LAY_OUT: &str = "Lay out:";
pub(super) const NUMBERS: &str = "Dents by their numbers";
pub(super) const MUST_NOT: &str = "Do not";
pub(super) const PLAYS: &str = "Tuning.";
pub(super) const WATCH: &str = "Watch, at these steps";
pub(super) const REPLACE: &str = "Replace or straighten";
pub(super) const CHECK_COLUMNS: [&str; 6] = ["", "step", "check", "wanted", "found", "by"];
/// Where the words of a caution stand.
pub(super) const AGAIN: &str = "read page";

/// Heads of the columns of what comes apart.
pub(super) fn apart_columns(unit: LengthUnit) -> [String; 5] {
    let heat = format!("heat to, {}", temperature_symbol(unit));
    ["step".to_owned(), "back at".to_owned(), "what".to_owned(), heat, "protect, and how far away".to_owned()]
}

/// Heads of the columns of a sheet with dents.
pub(super) fn dent_columns(unit: LengthUnit) -> [String; 11] {
    let force = force_symbol(unit);
    [
        "",
        "step",
        "dent",
        "",
        "tool and size",
        &format!("force, {force}"),
        &format!("stop, {force}"),
        "strokes",
        "passes",
        "crack",
        "measured",
    ]
    .map(str::to_owned)
}

/// The job's title.
pub(crate) fn title(survey: &Survey) -> &str {
    if survey.title.is_empty() { "Untitled job" } else { &survey.title }
}

/// The instrument's line: maker, model, what it is, serial number.
pub(crate) fn instrument_line(survey: &Survey) -> String {
    let i = &survey.instrument;
    let kind = format!("{:?}", i.kind).to_lowercase();
    let kind = match i.kind {
        instrument::Kind::AltoHorn => "alto horn",
        instrument::Kind::Other => "brass instrument",
        _ => kind.as_str(),
    };
    let named = [i.maker.as_str(), i.model.as_str(), kind].into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join(" ");
    if i.serial.is_empty() { named } else { format!("{named}, serial {}", i.serial) }
}

pub(super) fn customer(name: &str) -> String {
    format!("for {name}")
}

pub(super) fn surveyed(by: &str, on: &str) -> String {
    match (by.is_empty(), on.is_empty()) {
        (true, true) => String::new(),
        (false, true) => format!("surveyed by {by}"),
        (true, false) => format!("surveyed on {on}"),
        (false, false) => format!("surveyed by {by} on {on}"),
    }
}

pub(crate) fn footer(shop: &str) -> String {
    let said = "to scale at 100 %; the hand and the eye come first, local codes before all";
    if shop.is_empty() { format!("Drawings {said}") } else { format!("{shop} · drawings {said}") }
}

pub(super) fn not_done_title(agreed: bool) -> &'static str {
    if agreed { "Stays, by agreement" } else { "Not done" }
}

pub(super) fn would_take(tool: &str) -> String {
    format!("It would take: {tool}.")
}

pub(super) fn replacement(run: &str, replace: bool, straighten: &str, new: &str) -> String {
    format!("{}: {} (straightening {straighten}, a new part {new}).", capital(run), if replace { "replace" } else { "straighten" })
}

pub(super) fn drawing_of(what: &str) -> String {
    format!("Drawing to scale: {what}")
}

/// What the map shows, for a reader who does not see it.
pub(super) fn map_alt(dents: usize, apart: usize) -> String {
    format!("The instrument as the player sees it, with {dents} numbered dents and {apart} places that come apart, numbered by step")
}

/// What the drawing of a setup shows.
pub(super) fn setup_alt(run: &str, dents: &[DentId]) -> String {
    format!("{run} straightened to scale, with {} in place and a section through each with the tool under it", dents_list(dents))
}

pub(super) fn make_or_buy(piece: &ToolPiece, words: &str) -> String {
    format!("{}: {words}", if piece.is_bought() { "Buy" } else { "Make" })
}

/// A tool that is made first, in a short list.
pub(super) fn tool_of_step(step: u32) -> String {
    format!("tool of step {step}")
}

pub(super) fn made_in(steps: &[u32]) -> String {
    format!("what is made or bought in {}", self::steps(steps))
}

pub(super) fn to_make(words: &str) -> String {
    format!("{words}, to make")
}

pub(super) fn to_buy(words: &str) -> String {
    format!("{words}, to buy")
}

pub(super) fn dents_list(dents: &[DentId]) -> String {
    let ids: Vec<&str> = dents.iter().map(|d| d.0.as_str()).collect();
    match ids.len() {
        0 => String::new(),
        1 => format!("dent {}", ids[0]),
        _ => format!("dents {}", ids.join(", ")),
    }
}

pub(super) fn for_dents(dents: &[DentId]) -> String {
    format!("For {}", dents_list(dents))
}

pub(crate) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// A text as a sentence: it begins with a capital and ends with a stop.
pub(super) fn sentence(words: &str) -> String {
    let words = capital(words.trim());
    if words.is_empty() || words.ends_with(['.', '!', '?']) { words } else { format!("{words}.") }
}

/// Rising numbers as ranges: `4, 21–43, 85`.
pub(super) fn ranges(numbers: &[u32]) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for n in numbers {
        match runs.last_mut() {
            Some((_, to)) if *to + 1 == *n => *to = *n,
            _ => runs.push((*n, *n)),
        }
    }
    runs.iter().map(|(a, b)| if a == b { a.to_string() } else { format!("{a}–{b}") }).collect::<Vec<_>>().join(", ")
}

/// `step 4`, `steps 4–7`; nothing where there is none.
pub(super) fn steps(numbers: &[u32]) -> String {
    match numbers {
        [] => String::new(),
        [one] => format!("step {one}"),
        _ => format!("steps {}", ranges(numbers)),
    }
}

/// What a setup without dents is called.
pub(super) fn setup_title(steps: &[Step], run: &dyn Fn(&RunId) -> String) -> String {
    let all = |k: &[StepKind]| steps.iter().all(|s| k.contains(&s.kind));
    let heats = steps.iter().filter(|s| s.heat.is_some()).count();
    if all(&[StepKind::OpenJoint, StepKind::OverlayOff]) {
        return if heats > 0 { "Take apart by flame" } else { "Take apart" }.to_owned();
    }
    if all(&[StepKind::CloseJoint, StepKind::OverlayBack]) {
        return if heats > 0 { "Solder back together" } else { "Put back together" }.to_owned();
    }
    if all(&[StepKind::MakeTool]) {
        return "Make and buy the tools".to_owned();
    }
    let mut names: Vec<&str> = Vec::new();
    for s in steps {
        if !names.contains(&kind(s.kind)) {
            names.push(kind(s.kind));
        }
    }
    let run = steps.iter().find_map(|s| s.run.as_ref()).map_or(String::new(), run);
    let same = steps.iter().all(|s| s.run == steps[0].run);
    let names = capital(&names.join(", "));
    if run.is_empty() || !same { names } else { format!("{names}: {run}") }
}

/// A kind of step in a word or two.
fn kind(k: StepKind) -> &'static str {
    match k {
        StepKind::Clean => "clean",
        StepKind::Free => "free",
        StepKind::Strip => "take apart by hand",
        StepKind::StabiliseCrack => "stop cracks",
        StepKind::OpenJoint => "open joints",
        StepKind::OverlayOff => "take parts off",
        StepKind::Anneal => "anneal",
        StepKind::Dent => "remove dents",
        StepKind::Crease => "ease creases",
        StepKind::Fill => "fill the bend",
        StepKind::OverFill => "work over the fill",
        StepKind::MeltOut => "melt the fill out",
        StepKind::MakeTool => "make tools",
        StepKind::Patch => "patch",
        StepKind::ReplaceRun => "replace",
        StepKind::OverlayBack => "put parts back",
        StepKind::CloseJoint => "close joints",
        StepKind::BrazeBrace => "braze a brace",
        StepKind::NewBrace => "fit a new brace",
        StepKind::MakeBrace => "make a brace",
        StepKind::Align => "line up",
        StepKind::Straighten => "straighten",
        StepKind::StraightenSlide => "straighten the slide",
        StepKind::RoundOut => "round",
        StepKind::TrueFit => "fit moving parts",
        StepKind::AcceptanceCheck => "check",
        StepKind::Finish => "finish",
        StepKind::Assemble => "assemble",
        StepKind::OtherWork => "other work",
    }
}

/// What a setup with dents is called.
pub(super) fn dents_title(run: &str, dents: usize) -> String {
    format!("{}: {dents} {}", capital(run), if dents == 1 { "dent" } else { "dents" })
}

pub(super) const COLD: &str = "Cold, in short passes; look between.";

/// From where its tools go in.
pub(super) fn enters(opening: &str) -> String {
    format!("Enter from the {opening}.")
}

/// A dent's method in the table: how, and with what size.
pub(super) fn tool(kind: MethodKind, size: &str, first: Option<&str>, crease: bool) -> String {
    let how = match kind {
        MethodKind::StraightRod => "straight rod",
        MethodKind::CurvedRod => "curved rod",
        MethodKind::Mandrel => "mandrel",
        MethodKind::BallTrain => "ball",
        MethodKind::Rolling => "roll over",
        MethodKind::Hammering => "hammer over",
        MethodKind::Magnet => "magnet, ball",
        MethodKind::PullOutside => "pull from outside",
        MethodKind::Burnishing => "burnish from inside",
        MethodKind::Expander => "expanding plug",
        MethodKind::DrawRing => "draw ring over mandrel",
        MethodKind::FilledBend => "raise, then fill",
        MethodKind::Raising => "raise on a stake",
    };
    let how = first.map_or_else(|| how.to_owned(), |first| format!("balls {first} to"));
    if crease { format!("ease the crease first: {how} {size}") } else { format!("{how} {size}") }
}

/// The small line under it.
pub(super) struct DentNote<'a> {
    /// Its name, where its number stands in the table.
    pub(super) name: Option<&'a str>,
    pub(super) at: Option<String>,
    pub(super) clock_deg: Option<f64>,
    pub(super) depth: String,
    pub(super) past_true: Option<String>,
    pub(super) takes_back: Option<String>,
    pub(super) annealed: bool,
    pub(super) stays_on: &'a [String],
}

pub(super) fn dent_note(n: &DentNote) -> String {
    let mut parts: Vec<String> = n.name.iter().map(|name| (*name).to_owned()).collect();
    if let Some(at) = &n.at {
        parts.push(format!("at {at}"));
    }
    if let Some(clock) = n.clock_deg {
        parts.push(oclock(clock));
    }
    parts.push(format!("{} deep", n.depth));
    if let Some(past) = &n.past_true {
        parts.push(format!("push {past} past true"));
    }
    if let Some(back) = &n.takes_back {
        parts.push(format!("{back} back"));
    }
    if n.annealed {
        parts.push("annealed before".to_owned());
    }
    if !n.stays_on.is_empty() {
        parts.push(format!("{} on: look along the seam", n.stays_on.join(", ") + if n.stays_on.len() == 1 { " stays" } else { " stay" }));
    }
    parts.join(", ")
}

/// A clock's hand: `3 o'clock`, `half past 4`.
fn oclock(deg: f64) -> String {
    let halves = (deg.rem_euclid(360.0) / 15.0).round();
    let hour = (halves / 2.0).floor();
    let hour = if hour < 1.0 { 12.0 } else { hour };
    let hour = if hour > 12.0 { hour - 12.0 } else { hour };
    if halves % 2.0 >= 1.0 { format!("half past {hour:.0}") } else { format!("{hour:.0} o'clock") }
}

/// What of a heat's neighbors is done.
pub(super) fn cool(names: &[String]) -> String {
    format!("wet cloth or heat sink: {}", names.join(", "))
}

pub(super) fn bind(names: &[String]) -> String {
    format!("bind with wire, it lets go too: {}", names.join(", "))
}

pub(super) const NOTHING_MELTS: &str = "nothing near it melts";
pub(super) const BESIDE_THE_FLAME: &str = "beside the flame";
pub(super) const WITH_FERRULE: &str = " with its ferrule";

/// What holds all that has no word of its own.
pub(super) fn held_by(held: &str) -> String {
    format!("Held by {held} where nothing else is said.")
}

pub(super) const BY_HAND: &str = "by hand";
pub(super) const TORCH_TOO_SMALL: &str = "take a larger torch, see the step";

pub(super) fn heat_again(to: &str, at: &str, protect: &str, step: u32) -> String {
    format!("Heat to {to} at {at}, flame and neighbors as in step {step}. {}.", capital(protect))
}

pub(super) fn anneal(dents: &[DentId]) -> String {
    format!("Anneal for {}", dents_list(dents))
}

pub(super) fn must_stay_hard(runs: &[&str]) -> String {
    format!("Do not anneal the {}: {} must stay hard.", runs.join(", "), if runs.len() == 1 { "it" } else { "they" })
}

pub(super) const NOT_CLEANED: &str =
    "Do not start before it is flushed and degreased: the survey says nothing of cleaning. Look again afterwards.";
pub(super) const KEEP_FINISH: &str =
    "Do not light a flame that spoils the finish, except in the steps that say so: the customer wants the finish kept.";

pub(super) fn leave(what: &[String]) -> String {
    format!("Do not work {}: see the last pages.", what.join(", "))
}

pub(super) fn leave_on(names: &[String]) -> String {
    format!("Do not take off {}: the dent under it is pushed out with it on. Look along the seam afterwards.", names.join(", "))
}

pub(super) const STOP_AT: &str = "Do not go past “stop” in the tables: the tool, the press or the hand bears no more.";

/// The totals' names.
pub(super) const TOTALS: [&str; 5] = ["on the instrument", "dents", "comes apart", "flame lit", "tools to make or buy"];

pub(super) fn hours_range(range: &str) -> String {
    format!("{range}, 8 in 10")
}

pub(super) fn dents_left(left: usize, agreed: bool) -> String {
    match (left, agreed) {
        (0, _) => "none left".to_owned(),
        (n, true) => format!("{n} stay"),
        (n, false) => format!("{n} left"),
    }
}

pub(super) const PLACES: &str = "joints and parts";
pub(super) const TIMES: &str = "times";

pub(super) fn making(time: &str) -> String {
    format!("{time} besides")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_in_a_row_are_a_range() {
        assert_eq!(ranges(&[4, 21, 22, 23, 85]), "4, 21–23, 85");
        assert_eq!(ranges(&[]), "");
    }

    #[test]
    fn a_place_is_said_as_on_a_clock() {
        assert_eq!(
            (oclock(0.0), oclock(90.0), oclock(135.0), oclock(359.0)),
            ("12 o'clock".into(), "3 o'clock".into(), "half past 4".into(), "12 o'clock".into())
        );
    }
}
