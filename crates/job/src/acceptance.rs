//! What must be checked before a job may close: each check ends with a figure or a reason. The plan's steps say what is
//! checked; here it is put in words.

use instrument::{FitKind, JointKind, Survey};
use plan::{Check, Plan};
use serde::{Deserialize, Serialize};
use units::text::{given_mm, mm};
use units::{Text, text};

/// A check to take.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct AcceptanceCheck {
    /// Names the check, whatever its place.
    pub key: String,
    /// What to do, in the words of the bench.
    pub what: Text,
    /// What is wanted, with its unit and its rank.
    pub wanted: Text,
}

/// What a ball needs to pass freely, mm. Common practice, no source.
const BALL_PLAY_MM: f64 = 0.1;

/// The checks of a plan's steps, in their order.
pub fn acceptance_checks(survey: &Survey, plan: &Plan) -> Vec<AcceptanceCheck> {
    plan.steps.iter().flat_map(|s| &s.checks).map(|c| in_words(survey, c)).collect()
}

fn in_words(survey: &Survey, check: &Check) -> AcceptanceCheck {
    let instrument = &survey.instrument;
    let (what, wanted): (Text, Text) = match check {
        Check::Bore { run, bore_mm } => {
            let name = instrument.run(run).map_or(run.0.as_str(), |r| r.name.as_str());
            let ball = (bore_mm - BALL_PLAY_MM).max(0.0);
            (
                text!("Largest ball that passes the {}", name),
                text!("{} or larger: the bore at the dents less {} (common practice, no source)", mm(ball, 1), given_mm(BALL_PLAY_MM)),
            )
        }
        Check::Fit { fit } => {
            let found = instrument.fit(fit);
            let name = found.map_or(fit.0.as_str(), |f| f.name.as_str());
            let (what, wanted) = match found.map(|f| f.kind) {
                Some(FitKind::PistonInCasing) => ("falls and rises by its own spring over its whole stroke", clear(0.04, 0.08)),
                Some(FitKind::RotorInCasing) => ("turns freely over its whole stroke", "no catch, no grating".into()),
                Some(FitKind::HandSlide) => ("runs out of the last position by its own weight", clear(0.08, 0.15)),
                Some(FitKind::TuningSlide) | None => ("drops by its own weight when oiled, and holds when greased", clear(0.05, 0.1)),
            };
            (text!("{}: {}", name, what), text!("{} (common practice, no source)", wanted))
        }
        Check::Tight => {
            let slides = instrument.joints.iter().any(|j| matches!(j.kind, JointKind::SlidingFit));
            (
                "Tightness: bell stopped, pressure or smoke at the receiver, every joint that was opened watched".into(),
                if slides { "no bubble, no draught; with slides greased" } else { "no bubble, no draught" }.into(),
            )
        }
        Check::Pull => ("Pull test: each tuning slide drawn with its valve shut".into(), "a clear pop, or the hiss named".into()),
        Check::Look { dents } => (
            "Before and after: each dent looked at along the light, photo beside the first one".into(),
            text!("{} dents compared; what is left is named", dents),
        ),
        Check::Plays => ("Played over its range, every valve and slide".into(), "speaks as the player expects".into()),
    };
    AcceptanceCheck { key: check.key(), what, wanted }
}

/// No catch, and a clearance on the diameter between two sizes, mm. Common practice, no source.
fn clear(least_mm: f64, most_mm: f64) -> Text {
    text!("no catch; diametral clearance {} to {}", mm(least_mm, 2).bare(), mm(most_mm, 2))
}

#[cfg(test)]
mod tests {
    use super::*;
    use instrument::Kind;

    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn a_ball_passes_a_tenth_under_the_bore() {
        let survey = Survey::of(instrument::patterns::pattern(Kind::Trumpet).unwrap());
        let run = survey.instrument.runs[0].id.clone();
        let check = in_words(&survey, &Check::Bore { run, bore_mm: 20.0 });
        assert!(check.wanted.metric().starts_with("19.9 mm or larger: the bore at the dents less 0.1 mm"), "{}", check.wanted.metric());
    }
}
