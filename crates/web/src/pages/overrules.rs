//! Overrules in words, and from the form.

use crate::problem::{Outcome, Problem};
use instrument::{DentId, JointId, OverlayId};
use plan::{Decision, Overrule, Overrules};
use reach::{Method, ToolId};
use store::offers::SavedOverrule;

/// Methods in the order of the form.
pub const METHODS: &[Method] = &[
    Method::StraightRod,
    Method::CurvedRod,
    Method::Mandrel,
    Method::BallTrain,
    Method::Rolling,
    Method::Hammering,
    Method::Magnet,
    Method::PullOutside,
    Method::Burnishing,
    Method::Expander,
    Method::DrawRing,
    Method::FilledBend,
    Method::Raising,
];

/// A method's name in the form.
pub fn method_key(method: Method) -> String {
    serde_json::to_value(method).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

/// The decision that a form sends, as the record keeps it.
///
/// # Errors
/// Where a part is missing.
pub fn from_form(kind: &str, dent: &str, method: &str, joint: &str, overlay: &str, tool: &str, time: &str) -> Outcome<String> {
    let chosen = |text: &str, what: &str| {
        if text.is_empty() { Err(Problem::Bad(format!("choose {what} from the list"))) } else { Ok(text.to_owned()) }
    };
    let decision = match kind {
        "method" => Decision::UseMethod {
            dent: DentId(chosen(dent, "the dent")?),
            method: METHODS
                .iter()
                .copied()
                .find(|m| method_key(*m) == method)
                .ok_or_else(|| Problem::Bad("choose the way from the list".to_owned()))?,
        },
        "leave" => Decision::LeaveDent { dent: DentId(chosen(dent, "the dent")?) },
        "anneal" => Decision::AnnealDent { dent: DentId(chosen(dent, "the dent")?) },
        "joint" => Decision::KeepShut { joint: JointId(chosen(joint, "the joint")?) },
        "overlay" => Decision::KeepOn { overlay: OverlayId(chosen(overlay, "the overlay")?) },
        "tool" => Decision::WithoutTool { tool: ToolId(chosen(tool, "the tool")?) },
        "finish" => Decision::NoFlame { run: None },
        "no-tools" => Decision::MakeNoTools,
        "deadline" => {
            Decision::Deadline { minutes: units::duration::parse_minutes(time).map_err(|e| Problem::Bad(format!("bench time: {e}")))? }
        }
        other => return Err(Problem::Bad(format!("there is no overrule {other}"))),
    };
    serde_json::to_string(&decision).map_err(|e| Problem::Broken(e.to_string()))
}

/// A kept decision in words.
pub fn words(body: &str) -> String {
    match serde_json::from_str::<Decision>(body) {
        Ok(Decision::UseMethod { dent, method }) => format!("Dent {dent}: {}", super::plan::method_name(method).to_lowercase()),
        Ok(Decision::LeaveDent { dent }) => format!("Dent {dent} is left"),
        Ok(Decision::WorkDent { dent }) => format!("Dent {dent} is worked"),
        Ok(Decision::AnnealDent { dent }) => format!("Dent {dent} is annealed all the same"),
        Ok(Decision::KeepShut { joint }) => format!("Joint {joint} stays shut"),
        Ok(Decision::KeepOn { overlay }) => format!("{overlay} stays on"),
        Ok(Decision::NoFlame { run: Some(run) }) => format!("No flame on {run}"),
        Ok(Decision::NoFlame { run: None }) => "The finish must not burn: no flame".to_owned(),
        Ok(Decision::WithoutTool { tool }) => format!("Without the tool {}", tool.0),
        Ok(Decision::MakeNoTools) => "No tool is made".to_owned(),
        Ok(Decision::ReplaceRun { run }) => format!("{run} is replaced"),
        Ok(Decision::StraightenRun { run }) => format!("{run} is straightened"),
        Ok(Decision::Deadline { minutes }) => format!("At most {minutes:.0} minutes on the bench"),
        Err(_) => "An overrule that this program does not know".to_owned(),
    }
}

/// The overrules of a job as the plan takes them.
pub fn of(saved: &[SavedOverrule]) -> Overrules {
    let one = |o: &SavedOverrule| {
        let decision = serde_json::from_str::<Decision>(&o.body).ok()?;
        Some(Overrule { decision, who: o.who.clone(), why: o.why.clone() })
    };
    Overrules { all: saved.iter().filter_map(one).collect() }
}
