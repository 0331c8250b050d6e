//! A name for a step that stays the same when the plan is worked out anew, so that ticks and times stay with it.

use plan::{Check, Step, StepKind};
use reach::Opened;

/// The step's name: its kind and what it is about.
pub fn step_key(step: &Step) -> String {
    let kind = serde_name(step);
    if step.kind == StepKind::OtherWork {
        let work: Vec<&str> = step.work.iter().map(|w| w.0.as_str()).collect();
        return format!("{kind}:{}", work.join("+"));
    }
    // Two that are wrong with one brace or tube have a step each.
    if let Some(condition) = &step.condition {
        return format!("{kind}:{condition}");
    }
    let about = match &step.opened {
        Some(Opened::Joint(id)) => Some(id.0.clone()),
        Some(Opened::Overlay(id)) => Some(id.0.clone()),
        None => None,
    };
    // Bores are checked together, the whole in one step: its kind of check names it.
    if let Some(check) = step.checks.first() {
        return match check {
            Check::Bore { .. } => format!("{kind}:bores"),
            Check::Holds { .. } if step.run.is_some() => format!("{kind}:seams"),
            Check::Holds { .. } | Check::InLine { .. } | Check::Round { .. } => format!("{kind}:mended"),
            Check::Fit { .. } | Check::Tight => format!("{kind}:{}", check.key()),
            Check::Pull | Check::Look { .. } | Check::Plays => format!("{kind}:whole"),
        };
    }
    let dents: Vec<&str> = step.dents.iter().map(|d| d.0.as_str()).collect();
    let about = about
        .or_else(|| (!dents.is_empty()).then(|| dents.join("+")))
        .or_else(|| step.joint.as_ref().map(|j| j.0.clone()))
        .or_else(|| step.run.as_ref().map(|r| r.0.clone()));
    match about {
        // Two tools for the same dents have a step each; the first has the name that it had when there was no other.
        Some(about) if step.further_tool > 0 => format!("{kind}:{about}:{}", step.further_tool + 1),
        Some(about) => format!("{kind}:{about}"),
        None => kind.to_owned(),
    }
}

/// The kind's name as the record and plan.json write it.
pub fn serde_name(step: &Step) -> &'static str {
    step.kind.into()
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_records_key_is_the_files() {
        for kind in [plan::StepKind::StabiliseCrack, plan::StepKind::OverFill, plan::StepKind::ReplaceRun, plan::StepKind::AcceptanceCheck]
        {
            let key: &'static str = kind.into();
            assert_eq!(serde_json::to_value(kind).unwrap(), serde_json::Value::String(key.to_owned()));
        }
    }
}
