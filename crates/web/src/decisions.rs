//! Decisions against the plan in words, from the form, and as the record keeps them.

use crate::problem::{Outcome, Problem};
use instrument::{ConditionId, DentId, JointId, OverlayId, RunId};
use plan::{Decision, Overrule, Overrules};
use reach::{MethodKind, ToolId};
use store::offers::SavedOverrule;

/// A method's name in the form.
pub fn method_key(kind: MethodKind) -> &'static str {
    kind.into()
}

/// The decision that a form sends, as the record keeps it.
///
/// # Errors
/// Where a part is missing.
#[allow(clippy::too_many_arguments, reason = "one for each field of the form")]
pub fn from_form(
    kind: &str,
    dent: &str,
    method: &str,
    joint: &str,
    overlay: &str,
    tool: &str,
    time: &str,
    run: &str,
    condition: &str,
) -> Outcome<String> {
    let chosen = |text: &str, what: &str| {
        if text.is_empty() { Err(Problem::Bad(format!("choose {what} from the list"))) } else { Ok(text.to_owned()) }
    };
    let decision = match kind {
        "method" => Decision::UseMethod {
            dent: DentId(chosen(dent, "the dent")?),
            method: method.parse().map_err(|_| Problem::Bad("choose the way from the list".to_owned()))?,
        },
        "leave" => Decision::LeaveDent { dent: DentId(chosen(dent, "the dent")?) },
        "anneal" => Decision::AnnealDent { dent: DentId(chosen(dent, "the dent")?) },
        "work" => Decision::WorkDent { dent: DentId(chosen(dent, "the dent")?) },
        "leave-condition" => Decision::LeaveCondition { condition: ConditionId(chosen(condition, "what else is wrong")?) },
        "mend-condition" => Decision::MendCondition { condition: ConditionId(chosen(condition, "what else is wrong")?) },
        "replace" => Decision::ReplaceRun { run: RunId(chosen(run, "the tube")?) },
        "straighten" => Decision::StraightenRun { run: RunId(chosen(run, "the tube")?) },
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

/// A kept decision; none where this program does not know it.
pub fn read(body: &str) -> Option<Decision> {
    serde_json::from_str(body).ok()
}

/// A kept decision in words.
pub fn words(body: &str) -> String {
    match serde_json::from_str::<Decision>(body) {
        Ok(Decision::UseMethod { dent, method }) => format!("Dent {dent}: {}", method_name(method).to_lowercase()),
        Ok(Decision::LeaveDent { dent }) => format!("Dent {dent} is left"),
        Ok(Decision::WorkDent { dent }) => format!("Dent {dent} is worked"),
        Ok(Decision::AnnealDent { dent }) => format!("Dent {dent} is annealed all the same"),
        Ok(Decision::LeaveCondition { condition }) => format!("{condition} is left as it is"),
        Ok(Decision::MendCondition { condition }) => format!("{condition} is mended all the same"),
        Ok(Decision::KeepShut { joint }) => format!("Joint {joint} stays shut"),
        Ok(Decision::KeepOn { overlay }) => format!("{overlay} stays on"),
        Ok(Decision::NoFlame { run: Some(run) }) => format!("No flame on {run}"),
        Ok(Decision::NoFlame { run: None }) => "The finish must not burn: no flame".to_owned(),
        Ok(Decision::WithoutTool { tool }) => format!("Without the tool {}", tool.0),
        Ok(Decision::ToolLent { tool, until }) => format!("Without the tool {}, away until {until}", tool.0),
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

/// What a method is called at the bench.
pub fn method_name(kind: MethodKind) -> &'static str {
    match kind {
        MethodKind::StraightRod => "Straight rod",
        MethodKind::CurvedRod => "Curved rod",
        MethodKind::Mandrel => "Mandrel",
        MethodKind::BallTrain => "Balls driven through",
        MethodKind::Rolling => "Rolled over a support",
        MethodKind::Hammering => "Hammered over a support",
        MethodKind::Magnet => "Magnet and ball",
        MethodKind::PullOutside => "Pulled from outside",
        MethodKind::Burnishing => "Burnished from inside",
        MethodKind::Expander => "Expanding plug",
        MethodKind::DrawRing => "Drawn through a ring on a mandrel",
        MethodKind::FilledBend => "Raised, then worked over a fill",
        MethodKind::Raising => "Raised on a stake",
    }
}

#[cfg(test)]
mod tests {
    use super::{from_form, words};

    #[test]
    fn tubes_are_replaced_or_straightened_and_dents_worked_by_the_form() {
        let of = |kind: &str| from_form(kind, "d1", "", "", "", "", "", "leadpipe", "c1").map(|body| words(&body)).unwrap_or_default();
        assert_eq!(of("replace"), "leadpipe is replaced");
        assert_eq!(of("straighten"), "leadpipe is straightened");
        assert_eq!(of("work"), "Dent d1 is worked");
        assert_eq!(of("leave-condition"), "c1 is left as it is");
        assert_eq!(of("mend-condition"), "c1 is mended all the same");
        assert!(from_form("replace", "", "", "", "", "", "", "", "").is_err());
        assert!(from_form("leave-condition", "", "", "", "", "", "", "", "").is_err());
    }
}
