//! Decisions against the plan from the command line.

use crate::args::WhatIf;
use crate::fail::{Done, Fail};
use instrument::Survey;
use plan::{Decision, Overrule, Overrules};
use reach::{MethodKind, Rack};

/// All that was decided; an unknown name is refused with the names there are.
pub fn overrules(w: &WhatIf, survey: &Survey, rack: &Rack) -> Done<Overrules> {
    let i = &survey.instrument;
    let dents: Vec<&str> = survey.dents.iter().map(|d| d.id.0.as_str()).collect();
    let left: Vec<&str> = dents.iter().copied().chain(survey.conditions.iter().map(|c| c.id.0.as_str())).collect();
    let joints: Vec<&str> = i.joints.iter().map(|j| j.id.0.as_str()).collect();
    let overlays: Vec<&str> = i.overlays.iter().map(|o| o.id.0.as_str()).collect();
    let runs: Vec<&str> = i.runs.iter().map(|r| r.id.0.as_str()).collect();
    let tools: Vec<&str> = rack.tools.iter().map(|t| t.id.0.as_str()).collect();
    let mut all: Vec<Decision> = Vec::new();
    let mut wrong: Vec<String> = Vec::new();
    let mut add = |found: Result<Decision, String>| match found {
        Ok(d) => all.push(d),
        Err(e) => wrong.push(e),
    };
    for text in &w.work_by {
        add(text.split_once('=').ok_or_else(|| format!("--work-by {text}: say the dent and the way, as in d3=straight-rod.")).and_then(
            |(dent, method)| {
                let dent = known("--work-by", "dent", dent, &dents)?;
                Ok(Decision::UseMethod { dent: dent.into(), method: method_named(method)? })
            },
        ));
    }
    for x in &w.leave {
        // What else is wrong is left by its name too; a dent of the same name comes first.
        let other = survey.conditions.iter().find(|c| c.id.0 == x.trim() && !dents.contains(&x.trim()));
        add(match other {
            Some(c) => Ok(Decision::LeaveCondition { condition: c.id.clone() }),
            None => known("--leave", "dent", x, &left).map(|dent| Decision::LeaveDent { dent: dent.into() }),
        });
    }
    for x in &w.anneal {
        add(known("--anneal", "dent", x, &dents).map(|dent| Decision::AnnealDent { dent: dent.into() }));
    }
    for x in &w.keep_shut {
        add(known("--keep-shut", "joint", x, &joints).map(|joint| Decision::KeepShut { joint: joint.into() }));
    }
    for x in &w.keep_on {
        add(known("--keep-on", "brace, ferrule, guard or patch", x, &overlays).map(|overlay| Decision::KeepOn { overlay: overlay.into() }));
    }
    for x in &w.take_off {
        add(known("--take-off", "brace, ferrule, guard or patch", x, &overlays)
            .map(|overlay| Decision::TakeOff { overlay: overlay.into() }));
    }
    for x in &w.no_flame {
        add(if x == "all" {
            Ok(Decision::NoFlame { run: None })
        } else {
            known("--no-flame", "run", x, &runs).map(|run| Decision::NoFlame { run: Some(run.into()) })
        });
    }
    for x in &w.without {
        add(known("--without", "tool", x, &tools).map(|tool| Decision::WithoutTool { tool: reach::ToolId(tool.to_owned()) }));
    }
    if w.make_no_tools {
        add(Ok(Decision::MakeNoTools));
    }
    if let Some(text) = &w.deadline {
        add(units::duration::parse_minutes(text)
            .map(|minutes| Decision::Deadline { minutes })
            .map_err(|e| format!("--deadline {text}: {e}")));
    }
    if !wrong.is_empty() {
        return Err(Fail::Input(wrong));
    }
    let one = |decision| Overrule { decision, who: String::new(), why: "asked on the command line".to_owned() };
    Ok(Overrules { all: all.into_iter().map(one).collect() })
}

fn known<'n>(flag: &str, what: &str, name: &str, names: &[&'n str]) -> Result<&'n str, String> {
    /// More names than this fill the screen.
    const MOST_TOLD: usize = 60;
    names.iter().find(|n| **n == name.trim()).copied().ok_or_else(|| {
        let printed: Vec<&str> = names.iter().copied().take(MOST_TOLD).collect();
        let more = if names.len() > MOST_TOLD { format!(" and {} more", names.len() - MOST_TOLD) } else { String::new() };
        format!("{flag} {name}: there is no {what} of that name. To mend it: take one of {}{more}.", printed.join(", "))
    })
}

fn method_named(text: &str) -> Result<MethodKind, String> {
    let key = text.trim().replace('-', "_");
    serde_json::from_value(serde_json::Value::String(key)).map_err(|_| {
        format!(
            "--work-by …={text}: there is no such way. To mend it: take one of straight-rod, curved-rod, mandrel, ball-train, rolling, hammering, magnet, pull-outside."
        )
    })
}
