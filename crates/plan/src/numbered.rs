//! The steps when their order stands: their numbers, their settings, and what is set up once.

use crate::order;
use crate::shop::{Standards, opening_kind};
use crate::step::Step;
use crate::step_kind::{StepKind, Within};
use crate::steps;
use crate::steps::chosen::Worked;
use crate::timed::timed_as;
use instrument::Instrument;
use reach::MethodKind;
use units::ThreePoint;

/// The steps in the order of a sequence, with their numbers and settings.
pub fn numbered(draft: &steps::Draft, sequence: &[usize], tasks: &[order::Task]) -> Vec<Step> {
    let mut number = vec![0_u32; draft.steps.len()];
    for (i, t) in (1..).zip(sequence) {
        number[*t] = i;
    }
    let (mut setting, mut setup) = (0, None);
    sequence
        .iter()
        .map(|t| {
            if setup != Some(tasks[*t].setup) {
                (setting, setup) = (setting + 1, Some(tasks[*t].setup));
            }
            let mut step = draft.steps[*t].step.clone();
            step.number = number[*t];
            step.setting = setting;
            step.after = draft.after[*t].iter().map(|a| number[*a]).collect();
            step.after.sort_unstable();
            for n in step.heat.iter_mut().flat_map(|h| &mut h.neighbours) {
                n.resoldered_by = n.resoldered_by.map(|a| number[a as usize]);
            }
            step
        })
        .collect()
}

/// Says on each step by which standard it is timed, and what that standard was before timed steps moved it.
pub(crate) fn stamp(steps: &mut [Step], worked: &[Worked], instrument: &Instrument, standards: &Standards) {
    for s in steps {
        s.within = match s.kind {
            StepKind::Dent => worked.iter().find(|w| s.dents.first() == Some(&w.dent)).map(|w| Within::Method(w.method.kind)),
            StepKind::OpenJoint | StepKind::CloseJoint | StepKind::OverlayOff | StepKind::OverlayBack => {
                s.opened.as_ref().and_then(|o| opening_kind(instrument, o)).map(Within::Opening)
            }
            _ => None,
        };
        if !standards.timed.is_empty() {
            let (kind, within) = timed_as(s.kind, s.within);
            s.standard = Some(standards.timed.factor(kind, within).off(s.minutes));
        }
    }
}

/// Of the least minutes of a dent this part is its own, however much of them setting up would be: they were made less where little is
/// measured. Common practice, no source.
const LEAST_LEFT: f64 = 0.25;

/// A dent that is worked by the same kind of method in the same setting as one before it finds the tool set up. The choice counts each
/// dent's own setting up: what it saves here is known when the order stands.
pub fn set_up_once(steps: &mut [Step], worked: &[Worked], standards: &Standards) {
    let mut ready: Vec<(u32, MethodKind)> = Vec::new();
    for s in steps.iter_mut().filter(|s| s.kind == StepKind::Dent) {
        let Some(w) = worked.iter().find(|w| s.dents.first() == Some(&w.dent)) else { continue };
        let here = (s.setting, w.method.kind);
        if ready.contains(&here) {
            let factor = standards.timed.factor(StepKind::Dent, Some(Within::Method(w.method.kind)));
            s.minutes = without_setting_up(s.minutes, w.method.set_up.times(factor.mean));
        } else {
            ready.push(here);
        }
    }
}

fn without_setting_up(minutes: ThreePoint, up: ThreePoint) -> ThreePoint {
    let least = (minutes.least - up.least).max(LEAST_LEFT * minutes.least);
    let likely = (minutes.likely - up.likely).max(least);
    ThreePoint::new(least, likely, (minutes.most - up.most).max(likely))
}

#[cfg(test)]
mod tests {
    use crate::bench::Bench;
    use crate::step_kind::StepKind;
    use crate::{Level, Overrules};
    use fixtures::{dent, pattern, survey};
    use instrument::Kind;
    use units::ThreePoint;

    /// Three like dents beside each other on a branch: the first of a setting takes its whole time,
    /// those after it what is left without setting up (by a mandrel 1, 2, 4 min; by balls 2, 4, 8).
    #[test]
    fn the_next_dent_finds_the_tool_set_up() {
        let dents = (0..3).map(|i| dent(&format!("d{i}"), "second-branch", 200.0 + 60.0 * f64::from(i), 4.0, 26.0, 24.0)).collect();
        let bench = Bench::new(survey(pattern(Kind::Tuba), dents));
        let (heats, none) = (bench.heats(), Overrules::default());
        let case = crate::case::Case::new(&bench.survey, &bench.assessments, &bench.methods, &heats, &bench.standards, &none, Level::Good);
        let plan = bench.plan();
        let (mut first, mut after) = (0, 0);
        let mut ready: Vec<(u32, reach::MethodKind)> = Vec::new();
        for s in plan.steps.iter().filter(|s| s.kind == StepKind::Dent) {
            let c = plan.choices.iter().find(|c| c.dent == s.dents[0]).expect("it is worked");
            let a = case.assessment(&c.dent).expect("it is assessed");
            let d = case.dent(&c.dent).expect("it is there");
            let (whole, up) = (crate::price::work(&case, d, a, &c.method, c.method.annealed).dent, c.method.set_up);
            let here = (s.setting, c.method.kind);
            let want = if ready.contains(&here) {
                after += 1;
                super::without_setting_up(whole, up)
            } else {
                first += 1;
                ready.push(here);
                whole
            };
            for (got, want) in [(s.minutes.least, want.least), (s.minutes.likely, want.likely), (s.minutes.most, want.most)] {
                assert!((got - want).abs() < 1e-9, "{}: {got} {want}", c.dent);
            }
        }
        assert!(first >= 1 && after >= 1, "{first} {after}");
    }

    /// By hand: 6, 10, 20 min less 2, 4, 8; and 1.6 min, of which 2 would be setting up: a quarter of it stays.
    #[test]
    fn a_dent_keeps_a_time_of_its_own() {
        let t = ThreePoint::new;
        assert_eq!(super::without_setting_up(t(6.0, 10.0, 20.0), t(2.0, 4.0, 8.0)), t(4.0, 6.0, 12.0));
        assert_eq!(super::without_setting_up(t(1.6, 6.0, 20.0), t(2.0, 4.0, 8.0)), t(0.4, 2.0, 12.0));
    }
}
