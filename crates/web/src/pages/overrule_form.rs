//! The forms by which a person changes the plan and undoes a change.

use crate::auth::Signed;
use crate::decisions::{method_key, method_name};
use crate::layout;
use crate::redisplay::Redisplay;
use job::Job;
use maud::{Markup, html};
use reach::MethodKind;
use store::offers::SavedOverrule;
use strum::VariantArray;

/// A decision is taken back only after a second tap: what was thought through by hand goes, and the plan changes at once.
pub(super) fn take_back(signed: &Signed, id: i64, o: &SavedOverrule) -> Markup {
    html! {
        details {
            summary { "Undo" }
            form.stack method="post" action={ "/jobs/" (id) "/plan/withdraw" } {
                (layout::csrf(signed)) input type="hidden" name="overrule" value=(o.id);
                p { "The plan is worked out again without it. You can put it back on the job’s page, under “Removed”." }
                button.plain type="submit" name="sure" value="yes" { "Yes, undo it" }
            }
        }
    }
}

/// The form for all that can be changed.
pub(super) fn overrule_form(signed: &Signed, id: i64, job: &Job, redisplay: &Redisplay) -> Markup {
    let action = format!("/jobs/{id}/plan/overrule");
    let refill = redisplay.form_with(&action, "box", "whole");
    let one_of = |name: &str, value: &str, words: &str| html! { option value=(value) selected[refill.has(name, value, false)] { (words) } };
    html! {
        form.stack.card.overrule id="overrule" method="post" action=(action) {
            (layout::csrf(signed)) input type="hidden" name="box" value="whole";
            h3 { "Change the plan" }
            (refill.problems())
            label { span { "What" } select name="kind" required {
                @for (value, words) in KINDS { (one_of("kind", value, words)) }
            } }
            div.row {
                label.only.for-method.for-leave.for-anneal { span { "Dent" } select name="dent" { option value="" { "–" } @for d in &job.survey.dents { (one_of("dent", &d.id.0, &d.id.0)) } } }
                label.only.for-method { span { "Method" } select name="method" { option value="" { "–" } @for m in MethodKind::VARIANTS { (one_of("method", method_key(*m), method_name(*m))) } } }
                label.only.for-joint { span { "Joint" } select name="joint" { option value="" { "–" } @for j in &job.survey.instrument.joints { (one_of("joint", &j.id.0, &j.name)) } } }
                label.only.for-run { span { "Tube" } select name="run" { option value="" { "–" } @for r in &job.survey.instrument.runs { (one_of("run", &r.id.0, &r.name)) } } }
                label.only.for-condition { span { "What else is wrong" } select name="condition" { option value="" { "–" } @for c in &job.survey.conditions { (one_of("condition", &c.id.0, &super::conditions::summary(&job.survey.instrument, c))) } } }
                label.only.for-overlay { span { "Brace, ferrule, guard or patch" } select name="overlay" { option value="" { "–" } @for o in &job.survey.instrument.overlays { (one_of("overlay", &o.id.0, &o.name)) } } }
                label.only.for-deadline { span { "Bench time, at most" } input name="time" placeholder="6 h" value=(refill.text("time", "")); }
                label.only.for-tool { span { "Tool" } select name="tool" { option value="" { "–" } @for t in &job.rack.tools { (one_of("tool", &t.id.0, &t.name)) } } }
            }
            label { span { "Reason" } input name="why" required value=(refill.text("why", "")); }
            button type="submit" { "Change the plan" }
        }
    }
}

/// What can be overruled, as the form sends it and as it is said.
const KINDS: &[(&str, &str)] = &[
    ("method", "Use another method on a dent"),
    ("leave", "Leave a dent"),
    ("work", "Remove a dent all the same"),
    ("leave-condition", "Leave what else is wrong: a brace, a joint, a bent or oval tube"),
    ("mend-condition", "Repair it all the same"),
    ("replace", "Replace a tube"),
    ("straighten", "Straighten a tube, do not replace it"),
    ("anneal", "Anneal at a dent all the same"),
    ("joint", "Keep a joint closed"),
    ("overlay", "Keep a brace, ferrule, guard or patch on"),
    ("overlay-off", "Take a guard or ferrule off over what is worked under it"),
    ("tool", "A tool is not in the shop"),
    ("no-tools", "Make no tool"),
    ("finish", "The finish must not burn"),
    ("deadline", "There is only so much time"),
];
