//! One dent of the plan with all its figures and their reasons: fetched when it is opened.

use super::job_head::{comes_first, head};
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::decisions::{method_key, method_name};
use crate::layout;
use crate::problem::{Outcome, Problem};
use crate::redisplay::Redisplay;
use crate::view::names::{run_name, tool_placed};
use axum::Extension;
use axum::extract::{Path, Query, State};
use dent::{Advice, Assessment, Effect, Form as DentForm};
use job::Job;
use maud::{Markup, html};
use plan::Choice;
use reach::{MethodKind, ToolChoice};
use serde::Deserialize;
use store::states::{self, Action, Facts};

/// What may stand behind the address.
#[derive(Deserialize, Default)]
pub struct Asked {
    /// Only the dent, without the page round it: for a page that is open already.
    #[serde(default)]
    part: String,
}

/// A dent's page, or the part of it that is put into the plan's page.
///
/// # Errors
/// Where there is no such job or dent.
pub async fn page(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path((id, dent)): Path<(i64, String)>,
    Query(asked): Query<Asked>,
) -> Outcome<Markup> {
    app.blocking(move |app| {
        let line = app.store().board_line(id)?;
        if let Some(page) = comes_first(app, &signed, &line, "plan")? {
            return Ok(page);
        }
        let job = app.job(id)?;
        let of = job.assessments.iter().find(|a| a.dent.0 == dent).ok_or_else(|| Problem::Missing(format!("there is no dent {dent} on this job")))?;
        let may = signed.may(Need::Overrule) && states::next(line.job.state, Action::Overrule, &Facts::default()).is_ok();
        let inside = inside(&signed, id, &job, of, may, &Redisplay::default());
        if !asked.part.is_empty() {
            return Ok(inside);
        }
        Ok(layout::page(&signed, &format!("Dent {dent}"), html! { (head(&line, "plan")) p { a href={ "/jobs/" (id) "/plan#dent-" (dent) } { "Back to the plan" } } h2 { "Dent " (dent) } (inside) }))
    })
    .await
}

/// The methods by which a dent could be worked, but the one that is chosen.
fn other_methods(methods: &reach::DentMethods, choice: Option<&Choice>) -> Vec<MethodKind> {
    let mut found: Vec<MethodKind> = Vec::new();
    for method in methods.methods.iter().chain(&methods.after_anneal) {
        if Some(method.kind) != choice.map(|c| c.method.kind) && !found.contains(&method.kind) {
            found.push(method.kind);
        }
    }
    found
}

/// All that is known of a dent and of how it is worked.
pub(super) fn inside(signed: &Signed, id: i64, job: &Job, a: &Assessment, may: bool, redisplay: &Redisplay) -> Markup {
    let choice = job.plan.choices.iter().find(|c| c.dent == a.dent);
    let fmt = signed.fmt;
    let action = format!("/jobs/{id}/plan/overrule");
    let refill = redisplay.form_with(&action, "box", a.dent.0.as_str());
    let methods = job.methods.iter().find(|w| w.dent == a.dent);
    html! {
        p { strong { (plan_words(job, a, choice)) } " " @for e in &a.effects { span.state { (effect_name(e)) } " " } }
        @if choice.is_none_or(|c| c.method.annealed == advises_anneal(a)) { p { (fmt.sentence(&a.advice_because)) } }
            @if let Some(c) = choice {
                p.why { (fmt.sentence(&c.method.because)) " " (fmt.sentence(&c.because)) }
                p { @match &c.method.tool {
                    ToolChoice::Rack { tools } => { "Tools: " @for (i, t) in tools.iter().enumerate() { @if i > 0 { " · " } (tool_placed(job, t)) } },
                    ToolChoice::ToMake { make, .. } => { "To make: " (fmt.text(&make.words())) },
                } }
            }
            div.scroll tabindex="0" role="region" aria-label={ "Figures of dent " (a.dent) } {
                table { tbody {
                    @for (name, f) in [
                        ("Depth", &a.depth_mm), ("Width along", &a.width_along_mm), ("Width across", &a.width_across_mm), ("Largest ball that passes", &a.passage_mm),
                        ("Bore area left", &a.area_left), ("Strain, worst place", &a.strain_effective), ("Ductility used", &a.ductility_used),
                        ("Crack likelihood, cold", &a.crack_likelihood), ("Crack likelihood, annealed", &a.crack_likelihood_annealed),
                        ("Push past true", &a.overpush_mm), ("Passes", &a.passes), ("Force on the wall", &a.force_inside_n),
                    ] { tr { th scope="row" { (name) } td { (fmt.figure(f)) } } }
                    @if let Some(soft) = &a.after_anneal {
                        @for (name, f) in [("Push past true, annealed", &soft.overpush_mm), ("Force on the wall, annealed", &soft.force_inside_n)] {
                            tr { th scope="row" { (name) } td { (fmt.figure(f)) } }
                        }
                    }
                    @if let Some(c) = choice { tr { th scope="row" { "Force at the hand" } td { (fmt.figure(&c.method.force_hand_n)) } } tr { th scope="row" { "Cost to the shop, risk included" } td { (fmt.figure_in(&c.cost_money, &job.quote.currency)) } } }
                } }
            }
            @if let Some(o) = job.played.of_dent(&a.dent) { p { "Alone it moves the " (o.note) " by " (o.show()) ". " (o.sentence()) } }
            @if !a.missing.is_empty() { h3 { "Not measured" } ul { @for m in &a.missing { li { (m.what) ": " (fmt.text(&m.instead)) } } } }
            @if may {
                (refill.problems())
                form.row method="post" action=(action) {
                    (layout::csrf(signed)) input type="hidden" name="box" value=(a.dent); input type="hidden" name="dent" value=(a.dent);
                    label.grow { span { "Reason" } input name="why" required maxlength="300" value=(refill.text("why", "")); }
                    @if let Some(w) = methods { label { span { "Method" } select name="method" { @for m in other_methods(w, choice) { option value=(method_key(m)) selected[refill.has("method", method_key(m), false)] { (method_name(m)) } } } } button.plain type="submit" name="kind" value="method" { "Use this method" } }
                    button.plain type="submit" name="kind" value="leave" { "Leave this dent" }
                }
            }
            @if let Some(w) = methods {
                details { summary { "Other methods (" (w.methods.len() + w.after_anneal.len()) ") and those ruled out (" (w.rejected.len()) ")" }
                    ul.why { @for method in &w.methods { li { strong { (method_name(method.kind)) " " (fmt.size(method.size_mm)) } ": " (fmt.text(&method.because)) } }
                        @for method in &w.after_anneal { li { strong { (method_name(method.kind)) " " (fmt.size(method.size_mm)) ", annealed first" } ": " (fmt.text(&method.because)) } } }
                    ul.why { @for r in &w.rejected { li { strong { (method_name(r.kind)) } " " (r.opening) ": " (fmt.text(&r.because)) } } }
                }
            }
    }
}

/// How sharp a dent is, in a word.
pub(super) fn form_name(form: DentForm) -> &'static str {
    match form {
        DentForm::Smooth => "smooth",
        DentForm::Rounded => "rounded",
        DentForm::Sharp => "sharp",
        DentForm::VShaped => "V-shaped",
    }
}

/// What the plan does with the dent, in a sentence.
fn plan_words(job: &Job, a: &Assessment, choice: Option<&Choice>) -> String {
    let does = match choice {
        Some(c) if c.method.annealed => format!("Anneal first, then {}.", method_name(c.method.kind).to_lowercase()),
        Some(c) => format!("{}, cold.", method_name(c.method.kind)),
        None if job.plan.gone().any(|d| *d == a.dent) => "The tube is replaced.".to_owned(),
        None if job.plan.seen_to().contains(&a.dent) => "It is patched.".to_owned(),
        None => "It stays.".to_owned(),
    };
    format!("{does} {}", crate::view::figures::sentence(&format!("{}, on the {}", form_name(a.form), run_name(job, &a.run))))
}

/// Whether the dent alone would have it annealed before it is worked.
fn advises_anneal(a: &Assessment) -> bool {
    matches!(a.advice, Advice::AnnealFirst | Advice::AnnealBetweenPasses)
}

fn effect_name(effect: &Effect) -> String {
    match effect {
        Effect::MovingFit { fit } => format!("function: {fit}"),
        Effect::Bore => "bore".to_owned(),
        Effect::Pitch { note, cents } => format!("pitch: {note} {cents:+.0} cents"),
        Effect::Joint => "joint".to_owned(),
        Effect::Structural => "strength".to_owned(),
        Effect::Cosmetic => "looks".to_owned(),
    }
}
