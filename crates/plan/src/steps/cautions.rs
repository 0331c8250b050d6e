//! Which cautions stand beside which step.

use crate::case::Case;
use crate::caution::{Caution, sorted};
use crate::step::StepKind;
use instrument::{Finish, RunId};
use metal::Filler;
use reach::MethodKind;

/// Cautions of a flame that melts a filler (or anneals, where there is none) on some runs.
pub fn of_flame(case: &Case, filler: Option<Filler>, runs: &[RunId]) -> Vec<Caution> {
    let mut all = vec![Caution::Flame];
    if let Some(f) = filler {
        if f.contains_lead() {
            all.push(Caution::Lead);
        }
        if f.contains_cadmium() {
            all.push(Caution::Cadmium);
        }
        all.push(Caution::Acid);
    }
    for run in runs.iter().filter_map(|r| case.run(r)) {
        match run.finish {
            Finish::Lacquer => all.push(Caution::LacquerFume),
            Finish::ChromePlate => all.push(Caution::Chromium),
            _ => {}
        }
    }
    sorted(all)
}

/// Cautions of working a dent by a method.
pub fn of_method(kind: MethodKind, brittle: bool) -> Vec<Caution> {
    let mut all = match kind {
        MethodKind::StraightRod
        | MethodKind::CurvedRod
        | MethodKind::BallTrain
        | MethodKind::Mandrel
        | MethodKind::Hammering
        | MethodKind::Burnishing
        | MethodKind::Expander
        | MethodKind::DrawRing
        | MethodKind::FilledBend
        | MethodKind::Raising => vec![Caution::FlyingTool],
        MethodKind::PullOutside => vec![Caution::Flame, Caution::FlyingTool],
        MethodKind::Rolling | MethodKind::Magnet => vec![],
    };
    if brittle {
        all.push(Caution::Splinter);
    }
    sorted(all)
}

/// Cautions that every step of a kind has.
pub fn of_kind(kind: StepKind) -> Vec<Caution> {
    match kind {
        StepKind::Clean => vec![Caution::Acid, Caution::Solvent],
        StepKind::Free => vec![Caution::FlyingTool],
        StepKind::MakeTool => vec![Caution::FlyingTool, Caution::Dust],
        StepKind::Finish => vec![Caution::Dust],
        StepKind::BrazeBrace => vec![Caution::Flame, Caution::Acid],
        StepKind::NewBrace => vec![Caution::Dust],
        StepKind::MakeBrace => vec![Caution::Flame, Caution::Acid, Caution::FlyingTool, Caution::Dust],
        StepKind::Align => vec![Caution::Acid],
        StepKind::Straighten | StepKind::StraightenSlide | StepKind::RoundOut => vec![Caution::FlyingTool],
        StepKind::StabiliseCrack => vec![Caution::Splinter],
        _ => vec![],
    }
}
