//! Decisions that cannot both hold: what the words alone show. What only shows once the methods are known, a job finds
//! (`job::Job::contradictions`).

use crate::overrule::{Decision, Overrules};
use instrument::{DentId, RunId, Survey};
use reach::MethodKind;
use serde::{Deserialize, Serialize};
use units::{Text, text};

/// Two decisions of which one must go.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Contradiction {
    /// The one that was taken first.
    pub one: Decision,
    /// The other.
    pub other: Decision,
    /// Why they cannot both hold.
    pub because: Text,
}

impl Contradiction {
    /// For the person who decides.
    pub fn words(&self, survey: &Survey) -> Text {
        text!("{}, and {}: {}. Take one of the two back", self.one.words(survey), self.other.words(survey), self.because)
    }
}

impl Overrules {
    /// Decisions that contradict each other, whatever the methods are.
    pub fn contradictions(&self, survey: &Survey) -> Vec<Contradiction> {
        let mut all = Vec::new();
        for (i, one) in self.all.iter().enumerate() {
            for other in &self.all[i + 1..] {
                let because = between(survey, &one.decision, &other.decision).or_else(|| between(survey, &other.decision, &one.decision));
                if let Some(because) = because {
                    all.push(Contradiction { one: one.decision.clone(), other: other.decision.clone(), because: because.into() });
                }
            }
        }
        all
    }
}

/// The dent that a decision wants worked.
fn works(decision: &Decision) -> Option<&DentId> {
    match decision {
        Decision::UseMethod { dent, .. } | Decision::WorkDent { dent } | Decision::AnnealDent { dent } => Some(dent),
        _ => None,
    }
}

/// Why two decisions cannot both hold, looked at from the first.
fn between(survey: &Survey, one: &Decision, other: &Decision) -> Option<&'static str> {
    let run_of = |dent: &DentId| survey.dent(dent).map(|d| &d.run);
    let cold = |dent: &DentId, run: &Option<RunId>| run.is_none() || run.as_ref() == run_of(dent);
    let found = match (one, other) {
        (Decision::LeaveDent { dent }, other) if works(other) == Some(dent) => "a dent cannot be left and worked",
        (Decision::UseMethod { dent, method }, Decision::UseMethod { dent: same, method: another })
            if dent == same && method != another =>
        {
            "a dent is worked one way"
        }
        (Decision::ReplaceRun { run }, Decision::StraightenRun { run: same }) if run == same => "a tube is replaced or straightened",
        (Decision::ReplaceRun { run }, other) if works(other).and_then(run_of) == Some(run) => "what is replaced is not worked",
        (Decision::NoFlame { run }, Decision::AnnealDent { dent }) if cold(dent, run) => "an anneal needs a flame",
        (Decision::NoFlame { run }, Decision::UseMethod { dent, method: MethodKind::PullOutside }) if cold(dent, run) => {
            "a pull stud is soldered on, which needs a flame"
        }
        (Decision::LeaveCondition { condition }, Decision::MendCondition { condition: same }) if condition == same => {
            "a thing cannot be left and mended"
        }
        (Decision::KeepOn { overlay }, Decision::TakeOff { overlay: same }) if overlay == same => "a thing stays on or comes off",
        (Decision::Deadline { minutes }, Decision::Deadline { minutes: other }) if (minutes - other).abs() > 1e-9 => {
            "there is one deadline"
        }
        _ => return None,
    };
    Some(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Overrule;
    use instrument::{Dent, Instrument, Kind};

    fn found(one: Decision, other: Decision) -> usize {
        let mut survey = Survey::of(Instrument::new(Kind::Other));
        survey.dents = vec![Dent::new("a", "bow"), Dent::new("b", "leadpipe")];
        let said = |decision| Overrule { decision, who: String::new(), why: String::new() };
        let count = |all: [&Decision; 2]| {
            let all = Overrules { all: all.map(|d| said(d.clone())).to_vec() }.contradictions(&survey);
            assert!(all.iter().all(|c| !c.because.is_empty() && c.words(&survey).metric().contains("Take one of the two back")));
            all.len()
        };
        // In whichever order they were taken.
        let n = count([&one, &other]);
        assert_eq!(n, count([&other, &one]));
        n
    }

    /// What the bench calls a part stands in the words, not its id.
    #[test]
    fn parts_have_their_names() {
        let survey = fixtures::survey(fixtures::pattern(Kind::Tuba), vec![]);
        let joint = &survey.instrument.joints[0];
        let run = &survey.instrument.runs[3];
        assert!(joint.name != joint.id.0 && run.name != run.id.0);
        let words = |d: Decision| d.words(&survey);
        assert_eq!(words(Decision::KeepShut { joint: joint.id.clone() }), format!("the joint {} stays shut", joint.name));
        assert_eq!(words(Decision::ReplaceRun { run: run.id.clone() }), format!("the {} is replaced", run.name));
        assert_eq!(words(Decision::NoFlame { run: Some(run.id.clone()) }), format!("no flame is lit on the {}", run.name));
    }

    #[test]
    fn what_cannot_both_hold_is_found_and_nothing_else() {
        let dent = |id: &str| DentId(id.to_owned());
        let by = |id: &str, method| Decision::UseMethod { dent: dent(id), method };
        let leave = |id: &str| Decision::LeaveDent { dent: dent(id) };
        let anneal = |id: &str| Decision::AnnealDent { dent: dent(id) };
        let replace = |run: &str| Decision::ReplaceRun { run: run.into() };
        let no_flame = |run: Option<&str>| Decision::NoFlame { run: run.map(Into::into) };
        for (one, other, contradict) in [
            (leave("a"), by("a", MethodKind::Magnet), true),
            (leave("a"), by("b", MethodKind::Magnet), false),
            (leave("a"), anneal("a"), true),
            (leave("a"), Decision::WorkDent { dent: dent("a") }, true),
            (leave("a"), leave("b"), false),
            (by("a", MethodKind::Magnet), by("a", MethodKind::Rolling), true),
            (by("a", MethodKind::Magnet), by("a", MethodKind::Magnet), false),
            (by("a", MethodKind::Magnet), anneal("a"), false),
            (replace("bow"), Decision::StraightenRun { run: "bow".into() }, true),
            (replace("bow"), by("a", MethodKind::Magnet), true),
            (replace("bow"), by("b", MethodKind::Magnet), false),
            (no_flame(None), anneal("b"), true),
            (no_flame(Some("bow")), anneal("a"), true),
            (no_flame(Some("bow")), anneal("b"), false),
            (no_flame(Some("bow")), by("a", MethodKind::PullOutside), true),
            (no_flame(Some("bow")), by("a", MethodKind::Rolling), false),
            (Decision::LeaveCondition { condition: "c1".into() }, Decision::MendCondition { condition: "c1".into() }, true),
            (Decision::LeaveCondition { condition: "c1".into() }, Decision::MendCondition { condition: "c2".into() }, false),
            (Decision::KeepOn { overlay: "guard".into() }, Decision::TakeOff { overlay: "guard".into() }, true),
            (Decision::KeepOn { overlay: "guard".into() }, Decision::TakeOff { overlay: "ferrule".into() }, false),
            (Decision::Deadline { minutes: 60.0 }, Decision::Deadline { minutes: 90.0 }, true),
        ] {
            assert_eq!(found(one.clone(), other.clone()), usize::from(contradict), "{one:?} {other:?}");
        }
    }
}
