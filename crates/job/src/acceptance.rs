//! What must be checked before a job may close: each check ends with a figure or a reason. The plan's steps say what is
//! checked; here it is put in words.

use instrument::{FitKind, JointKind, Survey};
use plan::{Check, Plan};
use serde::{Deserialize, Serialize};

/// A check to take.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct AcceptanceCheck {
    /// Names the check, whatever its place.
    pub key: String,
    /// What to do, in the words of the bench.
    pub what: String,
    /// What is wanted, with its unit and its rank.
    pub wanted: String,
}

/// What a ball needs to pass freely, mm. Common practice, no source.
const BALL_PLAY_MM: f64 = 0.1;

/// The checks of a plan's steps, in their order.
pub fn acceptance_checks(survey: &Survey, plan: &Plan) -> Vec<AcceptanceCheck> {
    plan.steps.iter().flat_map(|s| &s.checks).map(|c| in_words(survey, c)).collect()
}

fn in_words(survey: &Survey, check: &Check) -> AcceptanceCheck {
    let instrument = &survey.instrument;
    let (what, wanted) = match check {
        Check::Bore { run, bore_mm } => {
            let name = instrument.run(run).map_or(run.0.as_str(), |r| r.name.as_str());
            let ball = (bore_mm - BALL_PLAY_MM).max(0.0);
            (
                format!("Largest ball that passes the {name}"),
                format!("{ball:.1} mm or larger: the bore at the dents less {BALL_PLAY_MM} mm (common practice, no source)"),
            )
        }
        Check::Fit { fit } => {
            let found = instrument.fit(fit);
            let name = found.map_or(fit.0.as_str(), |f| f.name.as_str());
            let (what, wanted) = match found.map(|f| f.kind) {
                Some(FitKind::PistonInCasing) => {
                    ("falls and rises by its own spring over its whole stroke", "no catch; diametral clearance 0.04–0.08 mm")
                }
                Some(FitKind::RotorInCasing) => ("turns freely over its whole stroke", "no catch, no grating"),
                Some(FitKind::HandSlide) => {
                    ("runs out of the last position by its own weight", "no catch; diametral clearance 0.08–0.15 mm")
                }
                Some(FitKind::TuningSlide) | None => {
                    ("drops by its own weight when oiled, and holds when greased", "no catch; diametral clearance 0.05–0.10 mm")
                }
            };
            (format!("{name}: {what}"), format!("{wanted} (common practice, no source)"))
        }
        Check::Tight => {
            let slides = instrument.joints.iter().any(|j| matches!(j.kind, JointKind::SlidingFit));
            (
                "Tightness: bell stopped, pressure or smoke at the receiver, every joint that was opened watched".to_owned(),
                if slides { "no bubble, no draught; with slides greased" } else { "no bubble, no draught" }.to_owned(),
            )
        }
        Check::Pull => ("Pull test: each tuning slide drawn with its valve shut".to_owned(), "a clear pop, or the hiss named".to_owned()),
        Check::Look { dents } => (
            "Before and after: each dent looked at along the light, photo beside the first one".to_owned(),
            format!("{dents} dents compared; what is left is named"),
        ),
        Check::Plays => ("Played over its range, every valve and slide".to_owned(), "speaks as the player expects".to_owned()),
    };
    AcceptanceCheck { key: check.key(), what, wanted }
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
        assert!(check.wanted.starts_with("19.9 mm or larger: the bore at the dents less 0.1 mm"), "{}", check.wanted);
    }
}
