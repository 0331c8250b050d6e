//! Decisions against the plan in words, from the form, and as the record keeps them.

use crate::problem::{Outcome, Problem};
use instrument::{ConditionId, DentId, JointId, OverlayId, RunId, Survey};
use plan::{Decision, Overrule, Overrules};
use reach::{MethodKind, ToolId};
use store::offers::SavedOverrule;
use units::duration::show_minutes;

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
        "overlay" => Decision::KeepOn { overlay: OverlayId(chosen(overlay, "the brace, ferrule, guard or patch")?) },
        "overlay-off" => Decision::TakeOff { overlay: OverlayId(chosen(overlay, "the brace, ferrule, guard or patch")?) },
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

/// A kept decision in words, with the names that the bench knows.
pub fn words(body: &str, survey: &Survey) -> String {
    let i = &survey.instrument;
    let run = |id: &RunId| i.run(id).map_or_else(|| id.0.clone(), |r| r.name.clone());
    let joint = |id: &JointId| i.joint(id).map_or_else(|| id.0.clone(), |j| j.name.clone());
    let overlay = |id: &OverlayId| i.overlay(id).map_or_else(|| id.0.clone(), |o| o.name.clone());
    let condition =
        |id: &ConditionId| survey.condition(id).map_or_else(|| id.0.clone(), |c| format!("{}: {}", c.of_what(i), c.kind.words()));
    match serde_json::from_str::<Decision>(body) {
        Ok(Decision::UseMethod { dent, method }) => format!("Dent {dent}: {}", method_name(method).to_lowercase()),
        Ok(Decision::LeaveDent { dent }) => format!("Dent {dent} is left"),
        Ok(Decision::WorkDent { dent }) => format!("Dent {dent} is worked"),
        Ok(Decision::AnnealDent { dent }) => format!("Dent {dent} is annealed all the same"),
        Ok(Decision::LeaveCondition { condition: c }) => format!("{} is left as it is", condition(&c)),
        Ok(Decision::MendCondition { condition: c }) => format!("{} is mended all the same", condition(&c)),
        Ok(Decision::KeepShut { joint: j }) => format!("Joint {} stays shut", joint(&j)),
        Ok(Decision::KeepOn { overlay: o }) => format!("{} stays on", overlay(&o)),
        Ok(Decision::TakeOff { overlay: o }) => format!("{} comes off over what is worked under it", overlay(&o)),
        Ok(Decision::NoFlame { run: Some(r) }) => format!("No flame on {}", run(&r)),
        Ok(Decision::NoFlame { run: None }) => "The finish must not burn: no flame".to_owned(),
        Ok(Decision::WithoutTool { tool }) => format!("Without the tool {}", tool.0),
        Ok(Decision::ToolLent { tool, until }) => format!("Without the tool {}, away until {until}", tool.0),
        Ok(Decision::MakeNoTools) => "No tool is made".to_owned(),
        Ok(Decision::ReplaceRun { run: r }) => format!("{} is replaced", run(&r)),
        Ok(Decision::StraightenRun { run: r }) => format!("{} is straightened", run(&r)),
        Ok(Decision::Deadline { minutes }) => format!("At most {} on the bench", show_minutes(minutes)),
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
        let survey = fixtures::demo::read("leadpipe-red-rot");
        let joint = &survey.instrument.joints[0];
        let brace = &survey.instrument.overlays[0];
        let of = |kind: &str| {
            let body = from_form(kind, "d1", "", &joint.id.0, &brace.id.0, "", "", "leadpipe", "rot");
            body.map(|body| words(&body, &survey)).unwrap_or_default()
        };
        assert!(joint.id.0.contains('-') && !joint.name.contains('-'));
        assert_eq!(of("joint"), format!("Joint {} stays shut", joint.name));
        assert_eq!(of("overlay"), format!("{} stays on", brace.name));
        assert_eq!(of("overlay-off"), format!("{} comes off over what is worked under it", brace.name));
        assert_eq!(of("replace"), "leadpipe is replaced");
        assert_eq!(of("straighten"), "leadpipe is straightened");
        assert_eq!(of("work"), "Dent d1 is worked");
        assert_eq!(of("leave-condition"), "leadpipe: red rot is left as it is");
        assert_eq!(of("mend-condition"), "leadpipe: red rot is mended all the same");
        assert!(from_form("replace", "", "", "", "", "", "", "", "").is_err());
        assert!(from_form("leave-condition", "", "", "", "", "", "", "", "").is_err());
    }
}
