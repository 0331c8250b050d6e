//! What must be proved before a job may close: each proof ends with a figure or a reason.

use instrument::{FitKind, JointKind, Survey};
use plan::{Plan, StepKind};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A proof to take.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Proof {
    /// Names the proof, whatever its place.
    pub key: String,
    /// What to do, in the words of the bench.
    pub what: String,
    /// What is wanted, with its unit and its rank.
    pub wanted: String,
}

/// The proofs that a plan asks for: the bore where it was worked, every moving fit that was touched or complained of,
/// tightness where joints were opened, and the look.
pub fn proofs(survey: &Survey, plan: &Plan) -> Vec<Proof> {
    let mut proofs = Vec::new();
    let instrument = &survey.instrument;

    // Bore passage: per run worked that a ball proves, the narrowest true bore among its dents, less what a ball needs to
    // move freely.
    let mut narrowest: BTreeMap<&str, f64> = BTreeMap::new();
    for choice in &plan.choices {
        let Some(dent) = survey.dents.iter().find(|d| d.id == choice.dent) else { continue };
        let Some(site) = survey.site(dent) else { continue };
        let bore = narrowest.entry(dent.run.0.as_str()).or_insert(f64::INFINITY);
        *bore = bore.min(site.bore_mm.value);
    }
    let by_ball = |r: &&instrument::Run| narrowest.contains_key(r.id.0.as_str()) && plan::proved_by_ball(instrument, &r.id);
    for run in instrument.runs.iter().filter(by_ball) {
        let ball = (narrowest[run.id.0.as_str()] - 0.1).max(0.0);
        proofs.push(Proof {
            key: format!("passage:{}", run.id),
            what: format!("Largest ball that passes the {}", run.name),
            wanted: format!("{ball:.1} mm or larger: the bore at the dents less 0.1 mm (common practice, no source)"),
        });
    }

    let worked: Vec<&str> = narrowest.keys().copied().collect();
    for fit in &instrument.fits {
        let touched = worked.contains(&fit.inner.0.as_str()) || worked.contains(&fit.outer.0.as_str());
        let complained = fit.state.is_some_and(|s| s != instrument::FitState::Free);
        if !touched && !complained {
            continue;
        }
        let (what, wanted) = match fit.kind {
            FitKind::PistonInCasing => {
                ("falls and rises by its own spring over its whole stroke", "no catch; diametral clearance 0.04–0.08 mm")
            }
            FitKind::RotorInCasing => ("turns freely over its whole stroke", "no catch, no grating"),
            FitKind::TuningSlide => {
                ("drops by its own weight when oiled, and holds when greased", "no catch; diametral clearance 0.05–0.10 mm")
            }
            FitKind::HandSlide => ("runs out of the last position by its own weight", "no catch; diametral clearance 0.08–0.15 mm"),
        };
        proofs.push(Proof {
            key: format!("fit:{}", fit.id),
            what: format!("{}: {what}", fit.name),
            wanted: format!("{wanted} (common practice, no source)"),
        });
    }

    let opened = plan
        .steps
        .iter()
        .any(|s| matches!(s.kind, StepKind::CloseJoint | StepKind::Patch | StepKind::ReplaceRun | StepKind::StabiliseCrack));
    if opened {
        let slides = instrument.joints.iter().any(|j| matches!(j.kind, JointKind::SlidingFit));
        proofs.push(Proof {
            key: "tight".to_owned(),
            what: "Tightness: bell stopped, pressure or smoke at the receiver, every joint that was opened watched".to_owned(),
            wanted: if slides { "no bubble, no draught; with slides greased".to_owned() } else { "no bubble, no draught".to_owned() },
        });
    }
    if instrument.joints.iter().any(|j| matches!(j.kind, JointKind::SlidingFit)) {
        proofs.push(Proof {
            key: "pull".to_owned(),
            what: "Pull test: each tuning slide drawn with its valve shut".to_owned(),
            wanted: "a clear pop, or the hiss named".to_owned(),
        });
    }
    proofs.push(Proof {
        key: "map".to_owned(),
        what: "Before and after: each dent looked at along the light, photo beside the first one".to_owned(),
        wanted: format!("{} dents compared; what is left is named", plan.choices.len()),
    });
    proofs.push(Proof {
        key: "plays".to_owned(),
        what: "Played over its range, every valve and slide".to_owned(),
        wanted: "speaks as the player expects".to_owned(),
    });
    proofs
}
