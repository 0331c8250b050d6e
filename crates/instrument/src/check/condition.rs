//! What is wrong with a condition: whether what it concerns is there and of its kind, each field against the range that is
//! believed of it, then what only shows against the instrument.

use super::damage::{ranges, run_hint};
use crate::fields::Field;
#[cfg(test)]
use crate::fields::Kind;
use crate::fields::condition as c;
use crate::problem::Found;
use crate::{Concerns, Condition, ConditionKind, FitKind, JointKind, OverlayKind, Role, Run, Survey};
use units::text;
use units::text::{given_mm, mm};

/// What stands out of line by more than this part of the length over which it was measured is no line any more (27°).
const STEEPEST: f64 = 0.5;
/// The mean of an oval's two diameters may differ from the tube's own by this part: the girth hardly changes as a tube is
/// squeezed (an ellipse of 3 : 2 keeps its girth with a mean that is 1 % less). Common practice, no source.
const MEAN_OFF: f64 = 0.15;

pub(super) fn condition(found: &mut Found, survey: &Survey, one: &Condition) {
    let whose = format!("condition {}", one.id);
    let path = |field: &Field| format!("conditions.{}.{}", one.id, field.key);
    // Its own fields alone.
    let own = one.kind.named_by();
    for (field, _) in one.said().iter().filter(|(f, _)| !one.kind.takes(f)) {
        found.error(
            path(field),
            format!("{whose}: {} has no {}", one.kind.words(), field.name),
            format!("leave {} out; {} is told by {}", field.key, one.kind.words(), listed(one.kind)),
        );
    }
    let run = concerned(found, survey, one, &whose, path(own));
    // A wrong name hides no other mistake.
    alone(found, one, run);
    if let Some(run) = run {
        section(found, one, run, &whose, path);
    }
}

/// What shows of a condition without what it concerns.
pub(super) fn alone(found: &mut Found, one: &Condition, run: Option<&Run>) {
    let whose = format!("condition {}", one.id);
    let path = |field: &Field| format!("conditions.{}.{}", one.id, field.key);
    let said = one.said();
    let mine: Vec<_> = said.iter().filter(|(f, _)| one.kind.takes(f)).copied().collect();
    ranges(found, &whose, run, &mine, path);
    if let (Some(from), Some(to)) = (one.from_mm, one.to_mm)
        && from > to
    {
        found.error(
            path(&c::FROM),
            text!("{}: {} lies behind {}", whose, given_mm(from), given_mm(to)),
            "give the place nearer the mouthpiece end first",
        );
    }
    line(found, one, &whose, path);
}

/// The fields of a kind, for a hint.
fn listed(kind: ConditionKind) -> String {
    let keys: Vec<&str> = kind.fields().iter().map(|f| f.key).collect();
    keys.join(", ")
}

/// The run that stations are on, of what the condition concerns; none, and told, where that is not there or is of another kind.
fn concerned<'s>(found: &mut Found, survey: &'s Survey, one: &Condition, whose: &str, path: String) -> Option<&'s Run> {
    let i = &survey.instrument;
    let words = one.kind.words();
    match one.kind.concerns() {
        Concerns::Metal | Concerns::Run => {
            let id = one.run.as_ref()?;
            let Some(run) = i.run(id) else {
                found.error(path, format!("{whose} is in a run “{id}” that is not there"), run_hint(i, id));
                return None;
            };
            let bell = matches!(run.role, Role::BellStem | Role::BellFlare | Role::Rim);
            if one.kind == ConditionKind::BentBell && !bell {
                found.error(
                    path,
                    format!("{whose}: {} is no bell", run.name),
                    "name a run of the bell, or say “out of line” of another tube",
                );
                return None;
            }
            Some(run)
        }
        Concerns::Brace => {
            let id = one.overlay.as_ref()?;
            let braces = || i.overlays.iter().filter(|o| o.kind == OverlayKind::Brace).map(|o| o.id.0.as_str());
            let Some(overlay) = i.overlay(id) else {
                found.error(path, format!("{whose}: there is no brace “{id}”"), name_one(&id.0, "brace", braces()));
                return None;
            };
            if overlay.kind != OverlayKind::Brace {
                let kind = overlay.kind.words();
                found.error(path, format!("{whose}: {} is a {kind}, no brace", overlay.name), name_one(&id.0, "brace", braces()));
                return None;
            }
            i.run(&overlay.covers.first()?.run)
        }
        Concerns::Joint => {
            let id = one.joint.as_ref()?;
            let soldered = |k: &JointKind| !matches!(k, JointKind::SlidingFit | JointKind::Threaded | JointKind::Fixed);
            let names = || i.joints.iter().filter(|j| soldered(&j.kind)).map(|j| j.id.0.as_str());
            let Some(joint) = i.joint(id) else {
                found.error(path, format!("{whose}: there is no joint “{id}”"), name_one(&id.0, "joint", names()));
                return None;
            };
            if !soldered(&joint.kind) {
                let held = match joint.kind {
                    JointKind::SlidingFit => "slides",
                    JointKind::Threaded => "is screwed",
                    _ => "is of one piece",
                };
                found.error(
                    path,
                    format!("{whose}: {} {held}: it cannot be {words}", joint.name),
                    "name a soldered or pressed joint, or say “out of line” of the tube",
                );
                return None;
            }
            i.run(&joint.a.run)
        }
        Concerns::HandSlide => {
            let id = one.fit.as_ref()?;
            let slides = || i.fits.iter().filter(|f| f.kind == FitKind::HandSlide).map(|f| f.id.0.as_str());
            let Some(fit) = i.fit(id) else {
                found.error(path, format!("{whose}: there is no hand slide “{id}”"), name_one(&id.0, "hand slide", slides()));
                return None;
            };
            if fit.kind != FitKind::HandSlide {
                found.error(
                    path,
                    format!("{whose}: {} is no hand slide", fit.name),
                    "say “out of line” or “oval” of the slide's tube, or name the hand slide",
                );
                return None;
            }
            i.run(&fit.outer)
        }
    }
}

fn name_one<'n>(wrong: &str, what: &str, names: impl Iterator<Item = &'n str> + Clone) -> String {
    /// More names than this fill the screen.
    const MOST: usize = 12;
    let lower = wrong.to_lowercase();
    let nearest = names.clone().map(|n| (strsim::osa_distance(&lower, &n.to_lowercase()), n)).min();
    if let Some((distance, name)) = nearest
        && distance <= 1 + name.len() / 4
    {
        return format!("did you mean {name}?");
    }
    let some: Vec<&str> = names.clone().take(MOST).collect();
    match some.len() {
        0 => format!("this instrument has no {what} in its survey: add it first"),
        n => format!("name a {what}: {}{}", some.join(", "), if names.count() > n { ", …" } else { "" }),
    }
}

/// How far out of line, over what length.
fn line(found: &mut Found, one: &Condition, whose: &str, path: impl Fn(&Field) -> String) {
    if !one.kind.takes(&c::OUT_OF_LINE) {
        return;
    }
    if let (Some(out), Some(over)) = (&one.out_of_line_mm, &one.over_mm)
        && out.value > STEEPEST * over.value
    {
        found.error(
            path(&c::OUT_OF_LINE),
            text!("{}: {} out of line over {} is folded, not bent", whose, given_mm(out.value), given_mm(over.value)),
            "look whether the two were swapped, or the unit is wrong",
        );
    }
    if one.offset_mm().is_none() {
        found.warning(
            path(&c::OUT_OF_LINE),
            format!("{whose}: nobody measured how far it stands out of line"),
            "a straight edge and a rule take it in a minute; without it its time is wide",
        );
    }
}

/// The two diameters of an oval.
fn section(found: &mut Found, one: &Condition, run: &Run, whose: &str, path: impl Fn(&Field) -> String) {
    if !one.kind.takes(&c::LEAST) {
        return;
    }
    let (Some(least), Some(most)) = (&one.least_mm, &one.most_mm) else {
        found.warning(
            path(if one.least_mm.is_none() { &c::LEAST } else { &c::MOST }),
            format!("{whose}: nobody measured both diameters"),
            "a caliper takes them in a minute, across and along the flat; without them its time is wide",
        );
        return;
    };
    if least.value > most.value {
        found.error(
            path(&c::LEAST),
            text!("{}: the least diameter of {} is more than the largest of {}", whose, given_mm(least.value), given_mm(most.value)),
            "swap the two",
        );
        return;
    }
    let at = match (one.from_mm, one.to_mm) {
        (Some(a), Some(b)) => 0.5 * (a + b),
        (Some(a), None) | (None, Some(a)) => a,
        (None, None) => return,
    };
    let (mean, own) = (0.5 * (least.value + most.value), run.outside_diameter_at(at));
    if (mean - own).abs() > MEAN_OFF * own {
        found.warning(
            path(&c::MOST),
            text!("{}: {} to {} across, where {} is {} outside", whose, given_mm(least.value), given_mm(most.value), run.name, mm(own, 1)),
            "measure both outside diameters at one place, or the tube's bore again",
        );
    }
}

/// Whether a field is one that a person gives as a figure.
#[cfg(test)]
fn is_figure(field: &Field) -> bool {
    matches!(field.kind, Kind::Length(_) | Kind::Angle)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::{Severity, condition_problems};
    use crate::patterns::pattern;
    use units::{Known, Origin, Unit};

    fn mm(value: f64) -> Option<Known> {
        Some(Known::new("x", value, 0.1, Unit::Mm, Origin::Measured))
    }

    /// Path and words of the errors, and of the warnings.
    fn told(kind: crate::Kind, one: &Condition) -> (Vec<String>, Vec<String>) {
        let survey = Survey::of(pattern(kind).unwrap());
        let all = condition_problems(&survey, one);
        let of =
            |s| all.iter().filter(|p| p.severity == s).map(|p| format!("{}: {}; {}", p.path, p.what.metric(), p.hint.metric())).collect();
        (of(Severity::Error), of(Severity::Warning))
    }

    #[test]
    fn a_brace_that_is_no_overlay_and_an_overlay_that_is_no_brace() {
        let brace = |id: &str| Condition { overlay: Some(id.into()), ..Condition::new("c1", ConditionKind::LooseBrace) };
        assert_eq!(told(crate::Kind::Trombone, &brace("bell-brace")), (vec![], vec![]));
        let near = told(crate::Kind::Trombone, &brace("bell-brce")).0;
        assert!(
            near.len() == 1 && near[0].starts_with("conditions.c1.overlay: ") && near[0].contains("did you mean bell-brace?"),
            "{near:?}"
        );
        let tuba = pattern(crate::Kind::Tuba).unwrap();
        let guard = tuba.overlays.iter().find(|o| o.kind == OverlayKind::Guard).unwrap();
        let wrong = told(crate::Kind::Tuba, &brace(&guard.id.0)).0;
        assert!(wrong.len() == 1 && wrong[0].contains("is a guard, no brace") && wrong[0].contains("name a brace: "), "{wrong:?}");
    }

    #[test]
    fn a_joint_that_is_none_and_one_that_cannot_be_pulled() {
        let pulled =
            |id: &str| Condition { joint: Some(id.into()), out_of_line_mm: mm(2.0), ..Condition::new("c1", ConditionKind::PulledJoint) };
        let trombone = pattern(crate::Kind::Trombone).unwrap();
        let soldered = trombone.joints.iter().find(|j| matches!(j.kind, JointKind::SoftSoldered { .. })).unwrap();
        let sliding = trombone.joints.iter().find(|j| j.kind == JointKind::SlidingFit).unwrap();
        assert_eq!(told(crate::Kind::Trombone, &pulled(&soldered.id.0)), (vec![], vec![]));
        assert!(told(crate::Kind::Trombone, &pulled(&sliding.id.0)).0[0].contains("slides: it cannot be a pulled joint"));
        assert!(told(crate::Kind::Trombone, &pulled("nowhere")).0[0].contains("there is no joint “nowhere”; name a joint: "));
    }

    #[test]
    fn figures_that_cannot_be() {
        let bent =
            |out: f64, over: f64| Condition { out_of_line_mm: mm(out), over_mm: mm(over), ..Condition::new("c1", ConditionKind::BentBell) };
        let on = |one: Condition| told(crate::Kind::Trumpet, &one);
        assert_eq!(on(bent(4.0, 300.0).on("bell-stem")), (vec![], vec![]));
        assert!(
            on(bent(300.0, 4.0).on("bell-stem")).0.iter().any(|p| p.contains("conditions.c1.out_of_line") && p.contains("not possible"))
        );
        assert!(on(bent(40.0, 50.0).on("bell-stem")).0[0].contains("is folded, not bent; look whether the two were swapped"));
        assert!(on(bent(4.0, 300.0).on("leadpipe")).0[0].contains("is no bell; name a run of the bell"));
        let oval = |least: f64, most: f64| Condition {
            least_mm: mm(least),
            most_mm: mm(most),
            from_mm: Some(50.0),
            ..Condition::new("c1", ConditionKind::Oval)
        };
        let own = pattern(crate::Kind::Trumpet).unwrap().run(&"leadpipe".into()).unwrap().outside_diameter_at(50.0);
        assert_eq!(on(oval(own - 0.5, own + 0.5).on("leadpipe")), (vec![], vec![]));
        assert!(on(oval(own + 0.5, own - 0.5).on("leadpipe")).0[0].contains("is more than the largest of"));
        // Half of the tube's own: somebody measured another tube, or read the wrong scale.
        let (errors, warnings) = on(oval(0.5 * own, 0.5 * own + 0.5).on("leadpipe"));
        assert!(errors.is_empty() && warnings[0].contains("measure both outside diameters at one place"), "{warnings:?}");
        // What nobody measured is told once.
        assert!(on(Condition::new("c1", ConditionKind::Oval).on("leadpipe")).1[0].contains("nobody measured both diameters"));
        let slide = Condition { fit: Some("tuning-slide-first".into()), ..Condition::new("c1", ConditionKind::BentHandSlide) };
        assert!(told(crate::Kind::Trombone, &slide).0[0].contains("hand slide"), "{:?}", told(crate::Kind::Trombone, &slide));
    }

    #[test]
    fn each_kind_has_its_own_fields_and_no_others() {
        for kind in [ConditionKind::LooseBrace, ConditionKind::RedRot, ConditionKind::Oval, ConditionKind::BentHandSlide] {
            assert!(kind.takes(kind.named_by()) && kind.takes(&c::NOTE), "{kind:?}");
        }
        let both = Condition { overlay: Some("bell-brace".into()), least_mm: mm(12.0), ..Condition::new("c1", ConditionKind::LooseBrace) };
        let told = told(crate::Kind::Trombone, &both.on("bell-stem")).0;
        assert_eq!(told.len(), 2, "{told:?}");
        assert!(told.iter().any(|p| p.starts_with("conditions.c1.run: condition c1: a loose brace has no run; leave run out")), "{told:?}");
        // Every figure belongs to some kind.
        for field in c::FIELDS.iter().filter(|f| is_figure(f)) {
            assert!([ConditionKind::RedRot, ConditionKind::OutOfLine, ConditionKind::Oval].iter().any(|k| k.takes(field)), "{}", field.key);
        }
    }
}
