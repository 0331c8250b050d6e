//! The assessment and the plan as they follow from the survey; every figure opens its reasons; overrules with theirs.

use super::jobs::head;
use crate::agreeing;
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::decisions::{method_key, method_name};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::view::form::filled;
use crate::{layout, when};
use axum::extract::{Path, State};
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use dent::{Advice, Assessment, Effect, Form as DentForm};
use job::Job;
use maud::{Markup, PreEscaped, html};
use plan::Choice;
use reach::{MethodKind, ToolChoice, ToolId};
use rust_decimal::Decimal;
use serde::Deserialize;
use store::By;
use store::offers::SavedOverrule;
use store::states::{self, Action, Facts};
use strum::VariantArray;
use units::money::show_money;

/// What the overrule's form sends.
#[derive(Deserialize)]
pub struct Overruled {
    kind: String,
    #[serde(default)]
    dent: String,
    #[serde(default)]
    method: String,
    #[serde(default)]
    joint: String,
    #[serde(default)]
    overlay: String,
    #[serde(default)]
    tool: String,
    #[serde(default)]
    time: String,
    #[serde(default)]
    run: String,
    #[serde(default)]
    condition: String,
    why: String,
}

/// What the form for taking an overrule back sends.
#[derive(Deserialize)]
pub struct Withdrawn {
    overrule: i64,
    /// The second tap.
    #[serde(default)]
    sure: String,
}

/// The plan's page.
///
/// # Errors
/// Where there is no such job or no survey yet.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, id, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, id: i64, redisplay: &Redisplay) -> Outcome<Markup> {
    let fmt = signed.fmt;
    let line = app.store().board_line(id)?;
    let job = app.job(id)?;
    let overrules = app.store().overrules(id)?;
    // What would be refused has no form.
    let may = signed.may(Need::Overrule) && states::next(line.job.state, Action::Overrule, &Facts::default()).is_ok();
    let plan = &job.plan;
    let money = |x: f64| show_money(Decimal::from_f64_retain(x).unwrap_or_default().round_dp(2), &job.quote.currency);
    Ok(layout::page(
        signed,
        "Plan",
        html! {
            (head(&line, "plan"))
            (redisplay.head())
            (looked_at(app, signed, id, &job)?)
            (super::quote::late_by_order(&line, &job))
            p.warn { a href={ "/jobs/" (id) "/plan/measure" } { strong { "Measure next" } } @if let Some(worth) = job.worth_if_known() { ": " (fmt.text(&worth.measure_next(&job.quote.currency))) "." } @else { ": what hangs on each measurement that nobody took." } }
            div.cards {
                section.card { h2 { "Dents" } p.big { (plan.seen_to().len()) " of " (job.survey.dents.len()) } p.soft { "are brought back." @if !plan.not_done.is_empty() { " " a href="#not-done" { "What is not done, and why" } } } }
                section.card { h2 { "Bench time" } @if let Some((half, tenth, nine)) = job.quote.of_level(plan.level).map(quote::Offer::hours) { p.big.num { (format!("{half:.1} h")) } p.soft.num { (format!("{tenth:.1} to {nine:.1} h, eight times in ten; flame lit {} times", plan.lit())) } } }
                section.card { h2 { "Comes apart" } p.big { (plan.opened.len()) } p.soft { @if plan.opened.is_empty() { "nothing but by hand" } @else { @for (i, o) in plan.opened.iter().enumerate() { @if i > 0 { ", " } (opened_name(&job, o)) } } } @if !plan.stays_on().is_empty() { p.soft { "Stays on, the dent pushed out under it: " @for (i, o) in plan.stays_on().into_iter().enumerate() { @if i > 0 { ", " } (opened_name(&job, &reach::Opened::Overlay(o.clone()))) } } } }
                section.card { h2 { "Expected cost" } p.big.num { (money(plan.certificate.cost_money)) } p.soft.num { "to the shop: time, finish, heat and crack risk. " (plan.how_good(&job.quote.currency)) } }
            }
            (super::what_if::changes(&job, fmt))
            h2 { "Where the dents are" }
            (job.where_dents_are(fmt))
            @for drawing in crate::view::drawings::strips(&job, fmt) { figure.drawing { (PreEscaped(drawing)) } }
            h2 { "Dent by dent, in order of working" }
            p.soft.small { "In brackets: nine times in ten the figure lies between these two." }
            @for dent in crate::view::drawings::order_of_working(&job) {
                @if let Some(a) = job.assessments.iter().find(|a| a.dent == dent) { (one_dent(signed, id, &job, a, plan.choices.iter().find(|c| c.dent == dent), may, redisplay)) }
            }
            @if !plan.replacements.is_empty() {
                h2 { "Straighten or replace" }
                p.soft.small { "What each costs the shop; in brackets: nine times in ten between these two." }
                @for r in &plan.replacements { section.card { h3 { (run_name(&job, &r.run)) ": " @if r.replace { "replace" } @else { "straighten" } } div { "Straighten " (fmt.figure_in(&r.straighten_money, &job.quote.currency)) } div { "Replace " (fmt.figure_in(&r.replace_money, &job.quote.currency)) } p { (fmt.sentence(&r.because)) } } }
            }
            @if !plan.tools_to_make.is_empty() {
                h2 { "Tools to make" }
                ul { @for (tool, dents) in &plan.tools_to_make { li { (tool.verb()) " " (fmt.text(&tool.words())) ", for " @for (i, d) in dents.iter().enumerate() { @if i > 0 { ", " } (d) } ". " span.soft { (fmt.text(&tool.because)) } } } }
            }
            @if !plan.not_done.is_empty() {
                h2 id="not-done" { "Not done" }
                ul { @for n in &plan.not_done { li { strong { (fmt.text(&n.what)) } ": " (fmt.sentence(&n.because)) } } }
            }
            @if !plan.assumptions.is_empty() {
                h2 { "Taken for granted" }
                ul { @for a in &plan.assumptions { li { (fmt.text(&a.what)) " " span.soft { (fmt.text(&a.would_change)) } } } }
            }
            (super::what_if::others(&job, fmt))
            h2 { "Overrules" }
            @if overrules.is_empty() { p.soft { "None: the plan is as it was worked out." } }
            ul { @for o in &overrules {
                li { (crate::decisions::words(&o.body, &job.survey)) ". Because: " (o.why) " " span.soft { "(" (o.who) ", " (when::moment(o.at)) ")" }
                    @if may { (take_back(signed, id, o)) } }
            } }
            @if may { (overrule_form(signed, id, &job, redisplay)) }
        },
    ))
}

/// Which of the three plans this is: what was agreed, or what the shop looks at until then.
fn looked_at(app: &App, signed: &Signed, id: i64, job: &Job) -> Outcome<Markup> {
    if let Some(line) = agreeing::agreed_line(app, id)? {
        let found = match app.agreement(id)? {
            Some(a) => agreeing::since(app, &a)?.is_some(),
            None => false,
        };
        return Ok(html! {
            p { strong { (line) } " This is the plan that was agreed." @if found { " " a href={ "/jobs/" (id) "/supplement" } { "What was found since" } } }
            @if signed.may(Need::Overrule) { p.soft { "An overrule now changes what was agreed: it goes to the customer as a supplement." } }
        });
    }
    Ok(html! {
        form.row method="post" action={ "/jobs/" (id) "/level" } {
            (layout::csrf(signed))
            span { "Looked at: " strong { (quote::words::name(job.plan.level)) } }
            @if signed.may(Need::Overrule) { @for level in plan::Level::ALL.into_iter().filter(|l| *l != job.plan.level) { button.plain type="submit" name="level" value=(level.key()) { (quote::words::name(level)) } } }
        }
    })
}

/// A decision is taken back only after a second tap: what was thought through by hand goes, and the plan changes at once.
fn take_back(signed: &Signed, id: i64, o: &SavedOverrule) -> Markup {
    html! {
        details {
            summary { "Take back" }
            form.stack method="post" action={ "/jobs/" (id) "/plan/withdraw" } {
                (layout::csrf(signed)) input type="hidden" name="overrule" value=(o.id);
                p { "The plan is worked out without it at once. It can be put back on the job’s page, under “Taken out”." }
                button.plain type="submit" name="sure" value="yes" { "Yes, take it back" }
            }
        }
    }
}

/// Adds an overrule; the plan is worked out anew at once.
///
/// # Errors
/// Where no reason is given or the overrule makes no sense.
pub async fn overrule(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Overruled>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| overruled(app, &signed, id, &f), |redisplay| shown(app, &signed, id, redisplay))).await
}

fn overruled(app: &App, signed: &Signed, id: i64, f: &Overruled) -> Outcome<Redirect> {
    let why = filled(&f.why)
        .ok_or_else(|| Problem::Bad("an overrule needs a reason: the next person at the bench will ask for it".to_owned()))?;
    let body = crate::decisions::from_form(&f.kind, &f.dent, &f.method, &f.joint, &f.overlay, &f.tool, &f.time, &f.run, &f.condition)?;
    // Told before it is kept: of two decisions that cannot both hold the person who takes the second says which stays.
    if let Some(decision) = crate::decisions::read(&body) {
        let more = plan::Overrule { decision, who: signed.person.name.clone(), why: why.to_owned() };
        let job = app.job(id)?;
        let told: Vec<String> = job.contradictions_with(more).iter().map(|c| signed.fmt.text(&c.words(&job.survey))).collect();
        if !told.is_empty() {
            return Err(Problem::Several(told));
        }
    }
    app.store().add_overrule(By { who: &signed.person.login, at: when::now() }, id, &body, why)?;
    Ok(Redirect::to(&format!("/jobs/{id}/plan")))
}

/// Takes an overrule back.
///
/// # Errors
/// Where there is none of that number on this job.
pub async fn withdraw(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<Withdrawn>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        if f.sure != "yes" {
            return Err(Problem::Bad("a decision is taken back on the plan's page, with a second tap that says so".to_owned()));
        }
        app.store().withdraw_overrule(By { who: &signed.person.login, at: when::now() }, id, f.overrule)?;
        Ok(Redirect::to(&format!("/jobs/{id}/plan")))
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

fn one_dent(signed: &Signed, id: i64, job: &Job, a: &Assessment, choice: Option<&Choice>, may: bool, redisplay: &Redisplay) -> Markup {
    let fmt = signed.fmt;
    let action = format!("/jobs/{id}/plan/overrule");
    let refill = redisplay.form_with(&action, "box", a.dent.0.as_str());
    let methods = job.methods.iter().find(|w| w.dent == a.dent);
    html! {
        details.card id={ "dent-" (a.dent) } open[refill.refused()] {
            summary {
                strong { (a.dent) } " · " (run_name(job, &a.run)) " · " (fmt.value(a.depth_mm.value, units::Unit::Mm)) " deep, " (form_name(a.form)) " · "
                @match choice { Some(c) => { (method_name(c.method.kind)) " " span.num { (fmt.length(c.method.size_mm)) } }, None => { "not worked" } }
                " " @for e in &a.effects { span.state { (effect_name(e)) } " " }
            }
            p { strong { (advice_name(a.advice)) ". " } (fmt.sentence(&a.advice_because)) }
            @if let Some(c) = choice {
                p { (fmt.sentence(&c.method.because)) " " (fmt.sentence(&c.because)) }
                p { @match &c.method.tool {
                    ToolChoice::Rack { tools } => { "Tools: " @for (i, t) in tools.iter().enumerate() { @if i > 0 { ", " } (tool_name(job, t)) } },
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
                    @if let Some(c) = choice { tr { th scope="row" { "Force at the hand" } td { (fmt.figure(&c.method.force_hand_n)) } } tr { th scope="row" { "Expected cost" } td { (fmt.figure_in(&c.cost_money, &job.quote.currency)) } } }
                } }
            }
            @if !a.missing.is_empty() { h3 { "Not measured" } ul { @for m in &a.missing { li { (m.what) ": " (fmt.text(&m.instead)) } } } }
            @if may {
                (refill.problems())
                form.row method="post" action=(action) {
                    (layout::csrf(signed)) input type="hidden" name="box" value=(a.dent); input type="hidden" name="dent" value=(a.dent);
                    label.grow { span { "Why otherwise" } input name="why" required maxlength="300" value=(refill.text("why", "")); }
                    @if let Some(w) = methods { label { span { "Work it by" } select name="method" { @for m in other_methods(w, choice) { option value=(method_key(m)) selected[refill.has("method", method_key(m), false)] { (method_name(m)) } } } } button.plain type="submit" name="kind" value="method" { "Do it so" } }
                    button.plain type="submit" name="kind" value="leave" { "Leave this dent" }
                }
            }
            @if let Some(w) = methods {
                details { summary { "Other ways (" (w.methods.len() + w.after_anneal.len()) ") and what was ruled out (" (w.rejected.len()) ")" }
                    ul { @for method in &w.methods { li { strong { (method_name(method.kind)) " " (fmt.length(method.size_mm)) } ": " (fmt.text(&method.because)) } }
                        @for method in &w.after_anneal { li { strong { (method_name(method.kind)) " " (fmt.length(method.size_mm)) ", annealed first" } ": " (fmt.text(&method.because)) } } }
                    ul { @for r in &w.rejected { li { strong { (method_name(r.kind)) } " " (r.opening) ": " (fmt.text(&r.because)) } } }
                }
            }
        }
    }
}

fn overrule_form(signed: &Signed, id: i64, job: &Job, redisplay: &Redisplay) -> Markup {
    let action = format!("/jobs/{id}/plan/overrule");
    let refill = redisplay.form_with(&action, "box", "whole");
    let one_of = |name: &str, value: &str, words: &str| html! { option value=(value) selected[refill.has(name, value, false)] { (words) } };
    html! {
        form.stack.card.overrule id="overrule" method="post" action=(action) {
            (layout::csrf(signed)) input type="hidden" name="box" value="whole";
            h3 { "Overrule the plan" }
            (refill.problems())
            label { span { "What" } select name="kind" required {
                @for (value, words) in KINDS { (one_of("kind", value, words)) }
            } }
            div.row {
                label.only.for-method.for-leave.for-anneal { span { "Dent" } select name="dent" { option value="" { "–" } @for d in &job.survey.dents { (one_of("dent", &d.id.0, &d.id.0)) } } }
                label.only.for-method { span { "Way" } select name="method" { option value="" { "–" } @for m in MethodKind::VARIANTS { (one_of("method", method_key(*m), method_name(*m))) } } }
                label.only.for-joint { span { "Joint" } select name="joint" { option value="" { "–" } @for j in &job.survey.instrument.joints { (one_of("joint", &j.id.0, &j.name)) } } }
                label.only.for-run { span { "Tube" } select name="run" { option value="" { "–" } @for r in &job.survey.instrument.runs { (one_of("run", &r.id.0, &r.name)) } } }
                label.only.for-condition { span { "What else is wrong" } select name="condition" { option value="" { "–" } @for c in &job.survey.conditions { (one_of("condition", &c.id.0, &super::conditions::summary(&job.survey.instrument, c))) } } }
                label.only.for-overlay { span { "Overlay" } select name="overlay" { option value="" { "–" } @for o in &job.survey.instrument.overlays { (one_of("overlay", &o.id.0, &o.name)) } } }
                label.only.for-deadline { span { "Bench time, at most" } input name="time" placeholder="6 h" value=(refill.text("time", "")); }
                label.only.for-tool { span { "Tool" } select name="tool" { option value="" { "–" } @for t in &job.rack.tools { (one_of("tool", &t.id.0, &t.name)) } } }
            }
            label { span { "Why" } input name="why" required value=(refill.text("why", "")); }
            button type="submit" { "Overrule and plan anew" }
        }
    }
}

/// What can be overruled, as the form sends it and as it is said.
const KINDS: &[(&str, &str)] = &[
    ("method", "Work a dent this way"),
    ("leave", "Leave a dent"),
    ("work", "Work a dent all the same"),
    ("leave-condition", "Leave what else is wrong: a brace, a joint, a bent or oval tube"),
    ("mend-condition", "Mend it all the same"),
    ("replace", "Replace a tube"),
    ("straighten", "Straighten a tube, do not replace it"),
    ("anneal", "Anneal a dent's place all the same"),
    ("joint", "Keep a joint shut"),
    ("overlay", "Keep a brace, ferrule, guard or patch on"),
    ("overlay-off", "Take a guard or ferrule off over what is worked under it"),
    ("tool", "A tool is away"),
    ("no-tools", "No tool is made"),
    ("finish", "The finish must not burn"),
    ("deadline", "There is only so much time"),
];

/// What the bench calls something that is opened.
pub fn opened_name<'a>(job: &'a Job, opened: &'a reach::Opened) -> &'a str {
    let i = &job.survey.instrument;
    match opened {
        reach::Opened::Joint(id) => i.joints.iter().find(|j| j.id == *id).map_or(id.0.as_str(), |j| j.name.as_str()),
        reach::Opened::Overlay(id) => i.overlays.iter().find(|o| o.id == *id).map_or(id.0.as_str(), |o| o.name.as_str()),
    }
}

fn run_name<'a>(job: &'a Job, id: &'a instrument::RunId) -> &'a str {
    job.survey.instrument.run(id).map_or(id.0.as_str(), |r| r.name.as_str())
}

/// What a tool is called in the shop.
pub fn tool_name<'a>(job: &'a Job, id: &'a ToolId) -> &'a str {
    job.rack.tools.iter().find(|t| t.id == *id).map_or(id.0.as_str(), |t| t.name.as_str())
}

fn form_name(form: DentForm) -> &'static str {
    match form {
        DentForm::Smooth => "smooth",
        DentForm::Rounded => "rounded",
        DentForm::Sharp => "sharp",
        DentForm::VShaped => "V-shaped",
    }
}

fn advice_name(advice: Advice) -> &'static str {
    match advice {
        Advice::Leave => "Leave it",
        Advice::WorkCold => "Work it cold",
        Advice::AnnealFirst => "Anneal, then work it",
        Advice::AnnealBetweenPasses => "Anneal between passes",
        Advice::StabiliseThenWork => "Stop the crack, then work it",
        Advice::Patch => "Patch it",
        Advice::ReplaceRun => "Replace the tube",
    }
}

fn effect_name(effect: &Effect) -> String {
    match effect {
        Effect::MovingFit { fit } => format!("function: {fit}"),
        Effect::Bore => "bore".to_owned(),
        Effect::Joint => "joint".to_owned(),
        Effect::Structural => "strength".to_owned(),
        Effect::Cosmetic => "looks".to_owned(),
    }
}
