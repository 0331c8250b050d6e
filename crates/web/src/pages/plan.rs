//! The plan as it follows from the survey: what it comes to, what comes apart, what to watch, and the dents setup by setup.

use super::job_head::head;
use super::overrule_form::{overrule_form, take_back};
use super::plan_dent::{form_name, inside};
use crate::agreeing;
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::contract_making;
use crate::decisions::method_name;
use crate::problem::Outcome;
use crate::redisplay::Redisplay;
use crate::view::figures::sentence;
use crate::view::names::{opened_name, run_name};
use crate::view::range::range;
use crate::{layout, when};
use axum::Extension;
use axum::extract::{Path, State};
use dent::Assessment;
use job::Job;
use maud::{Markup, html};
use plan::Choice;
use store::states::{self, Action, Facts};
use units::likelihood::show_likelihood;
use units::money::show_whole;

/// The plan's page.
///
/// # Errors
/// Where there is no such job or no survey yet.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, id, &Redisplay::default())).await
}

pub(super) fn shown(app: &App, signed: &Signed, id: i64, redisplay: &Redisplay) -> Outcome<Markup> {
    let fmt = signed.fmt;
    let line = app.store().board_line(id)?;
    if let Some(page) = super::job_head::comes_first(app, signed, &line, "plan")? {
        return Ok(page);
    }
    let job = app.job(id)?;
    let overrules = app.store().overrules(id)?;
    // What would be refused has no form.
    let may = signed.may(Need::Overrule) && states::next(line.job.state, Action::Overrule, &Facts::default()).is_ok();
    let plan = &job.plan;
    let making = contract_making::of(app, id, plan)?;
    let offer = job.quote.of_level(plan.level);
    let currency = &job.quote.currency;
    Ok(layout::page(
        signed,
        "Plan",
        html! {
            (head(&line, "plan"))
            (redisplay.head())
            (looked_at(app, signed, id, &job)?)
            (super::quote::late_by_order(&line, &job))
            div.answers {
                div { @if job.survey.has_damage() { span.figure-of-page { (plan.seen_to().len()) } " of " (job.survey.dents.len()) " dents removed" } @else { span.figure-of-page { (plan.work.len()) } @if plan.work.len() == 1 { " job from the list" } @else { " jobs from the list" } } @if !plan.not_done.is_empty() { br; a href="#not-done" { "What stays, and why" } } }
                @if let Some(offer) = offer {
                    div { span.figure-of-page { (offer.time()) } " at the bench" br; span.soft.small { (offer.times_between()) ", eight jobs in ten" } }
                    div { span.figure-of-page { (show_whole(offer.bill.total, currency)) } " estimated price" br; a.small href={ "/jobs/" (id) "/quote" } { "The quote" } }
                }
            }
            (super::what_if::changes(&job, fmt))
            div.plan-head {
                @if job.survey.has_damage() {
                    section {
                        h2 { "Where the dents are" }
                        (job.where_dents_are(fmt))
                    }
                }
                section {
                    h2 { "Comes apart" }
                    @if plan.opened.is_empty() { p { "Nothing but what comes apart by hand." } }
                    ol { @for o in &plan.opened { li { (opened_name(&job, o)) } } }
                    @if !plan.stays_on().is_empty() { p.soft { "Stays on, with the dent pushed out under it: " @for (i, o) in plan.stays_on().into_iter().enumerate() { @if i > 0 { ", " } (opened_name(&job, &reach::Opened::Overlay(o.clone()))) } "." } }
                    (watch(plan))
                    p.note { a href={ "/jobs/" (id) "/plan/measure" } { "What to measure next" } @if let Some(worth) = job.worth_if_known() { ": " (fmt.text(&worth.measure_next(currency))) "." } }
                    div.row { a.button.plain href={ "/jobs/" (id) "/bench-card.pdf" } { "Bench card" } a.button.plain href={ "/jobs/" (id) "/reasons.pdf" } { "Reasons" } }
                    p.soft.small { "The reasons hold the formulas, sources and ranges behind the card." }
                }
            }
            details.charts data-from={ "/jobs/" (id) "/plan/charts" } {
                summary { "Charts: time by setup, cracks, heat, notes" }
                div.inside { a href={ "/jobs/" (id) "/plan/charts" } { "The charts" } }
            }
            @if job.survey.has_damage() { (super::plan_played::played(&job, fmt)) }
            @if job.survey.has_damage() {
                h2 { "Dents, setup by setup" }
                p.soft.small { "In the order of work. The bar shows where the figure lies nine times in ten; the dot is the middle, the tick the limit." }
                (setups(signed, id, &job, may, redisplay))
            }
            @if !plan.work.is_empty() {
                h2 { "Other work" }
                ul { @for w in &plan.work { li { (w.name) @if w.count > 1 { ", " (w.count) " times" }
                    @if let Some(step) = plan.steps.iter().find(|s| s.work.contains(&w.work)) { ": step " (step.number) }
                    @if w.merged { ", done with the plan’s own step and billed once" }
                    @if let Some(days) = w.sent_out_days { ", sent out for about " (days) " days" } "." } } }
            }
            @if !plan.replacements.is_empty() {
                h2 { "Straighten or replace" }
                p.soft.small { "What each costs the shop; in brackets: nine times in ten between these two." }
                @for r in &plan.replacements { section.card { h3 { (run_name(&job, &r.run)) ": " @if r.replace { "replace" } @else { "straighten" } } div { "Straighten " (fmt.figure_in(&r.straighten_money, currency)) } div { "Replace " (fmt.figure_in(&r.replace_money, currency)) } p { (fmt.sentence(&r.because)) } } }
            }
            @if !plan.tools_to_make.is_empty() {
                h2 { "Tools to make" }
                ul { @for (tool, dents) in &plan.tools_to_make { li { (tool.verb()) " " (fmt.text(&tool.words())) ", for " @for (i, d) in dents.iter().enumerate() { @if i > 0 { ", " } (d) } ". " @if let Some(e) = making.of_piece(tool) { (e.words()) " " } p.why { (fmt.sentence(&tool.because)) } } } }
            }
            @if !plan.not_done.is_empty() {
                h2 id="not-done" { "Not done" }
                ul { @for n in &plan.not_done { li { strong { (fmt.text(&n.what)) } ": " (fmt.sentence(&n.because)) } } }
            }
            @if !plan.assumptions.is_empty() {
                h2 { "Assumptions" }
                ul { @for a in &plan.assumptions { li { (fmt.text(&a.what)) " " span.soft { (fmt.text(&a.would_change)) } } } }
            }
            (super::what_if::others(&job, fmt))
            details { summary { "Is there a better plan?" } p { (plan.how_good(currency)) } }
            h2 { "Changed by hand" }
            @if overrules.is_empty() { p.soft { "Nothing: the plan is as it was worked out." } }
            ul { @for o in &overrules {
                li { (crate::decisions::words(&o.body, &job.survey)) ". Reason: " (o.why) " " span.soft { "(" (o.who) ", " (when::moment(o.at)) ")" }
                    @if may { (take_back(signed, id, o)) } }
            } }
            @if may { (overrule_form(signed, id, &job, redisplay)) }
        },
    ))
}

/// What a level is called: as its offer is.
fn level_name(job: &Job, level: plan::Level) -> String {
    job.quote.of_level(level).map_or_else(|| quote::words::name(level).to_owned(), |o| o.name.clone())
}

/// What can hurt or spoil, each once with the steps that bring it.
fn watch(plan: &plan::Plan) -> Markup {
    let all = plan.cautions();
    html! {
        @if !all.is_empty() {
            h2 { "Watch" }
            @for c in &all {
                details { summary.caution { (sentence(c.name).trim_end_matches('.')) ": step" @if c.steps.len() > 1 { "s" } " " (c.steps_words()) } p { (c.text) @if let Some(l) = c.limit { " " span.small { "Limit as quoted from " (l.source) ": " (l.text) "." } } } }
            }
            p.small { (plan::caution::DEFERS) }
        }
    }
}

/// The dents that are worked, a table a setup; a row opens all that is known of its dent.
fn setups(signed: &Signed, id: i64, job: &Job, may: bool, redisplay: &Redisplay) -> Markup {
    let plan = &job.plan;
    let of = |d: &instrument::DentId| job.assessments.iter().find(|a| a.dent == *d);
    let choice = |d: &instrument::DentId| plan.choices.iter().find(|c| c.dent == *d);
    // One axis a setup, so that bars can be compared down its column.
    let axes = |steps: &[&plan::Step]| {
        let dents = || steps.iter().flat_map(|s| &s.dents);
        let force = dents().filter_map(choice).map(|c| c.method.force_hand_n.high.max(c.method.force_limit_n)).fold(0.0, f64::max);
        (force, dents().filter_map(of).map(|a| plan.crack_likelihood(a).high).fold(0.05, f64::max))
    };
    let mut groups: Vec<(u32, Vec<&plan::Step>)> = Vec::new();
    for step in plan.steps.iter().filter(|s| s.kind == plan::StepKind::Dent) {
        match groups.last_mut() {
            Some((setting, steps)) if *setting == step.setting => steps.push(step),
            _ => groups.push((step.setting, vec![step])),
        }
    }
    let others: Vec<&Assessment> = job.assessments.iter().filter(|a| choice(&a.dent).is_none()).collect();
    html! {
        @for (at, (_, steps)) in groups.iter().enumerate() {
            section.setup {
                h3 { "Setup " (at + 1) @if let Some(c) = steps.first().and_then(|s| s.dents.first()).and_then(choice) { ": " (method_name(c.method.kind)) @if let Some(a) = of(&c.dent) { ", " (run_name(job, &a.run)) } } }
                div.dents {
                    @let (force, crack) = axes(steps);
                    @for dent in steps.iter().flat_map(|s| &s.dents) {
                        @if let (Some(a), Some(c)) = (of(dent), choice(dent)) { (row(signed, id, job, a, Some((c, force, crack)), may, redisplay)) }
                    }
                }
            }
        }
        @if !others.is_empty() {
            section.setup { h3 { "Not worked by themselves" } div.dents { @for a in others { (row(signed, id, job, a, None, may, redisplay)) } } }
        }
    }
}

/// A dent's line; what is behind it is fetched when it is opened.
fn row(
    signed: &Signed,
    id: i64,
    job: &Job,
    a: &Assessment,
    worked: Option<(&Choice, f64, f64)>,
    may: bool,
    redisplay: &Redisplay,
) -> Markup {
    let fmt = signed.fmt;
    let refused = redisplay.form_with(&format!("/jobs/{id}/plan/overrule"), "box", a.dent.0.as_str()).refused();
    let from = format!("/jobs/{id}/plan/dents/{}", a.dent);
    html! {
        details.dent-row id={ "dent-" (a.dent) } open[refused] data-from=[(!refused).then_some(from.as_str())] {
            summary {
                span.no { (a.dent) }
                span { (fmt.tenths(a.depth_mm.value)) " deep, " (form_name(a.form)) @if worked.is_none() { ", " (run_name(job, &a.run)) } }
                @match worked {
                    Some((c, force, crack)) => {
                        span { (fmt.size(c.method.size_mm)) @if c.method.annealed { ", annealed" } }
                        span.ranged { (fmt.force(c.method.force_hand_n.value)) (range(&c.method.force_hand_n, force, Some(c.method.force_limit_n), "hand force against its limit")) }
                        span.ranged { (show_likelihood(job.plan.crack_likelihood(a).value)) " crack" (range(job.plan.crack_likelihood(a), crack, None, "crack likelihood")) }
                    }
                    None => { span { @if job.plan.seen_to().contains(&a.dent) { "with its tube" } @else { "stays" } } }
                }
            }
            div.inside { @if refused { (inside(signed, id, job, a, may, redisplay)) } @else { a href=(from) { "All figures of " (a.dent) } } }
        }
    }
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
            @if signed.may(Need::Overrule) { p.soft { "A change now goes to the customer as a supplement." } }
        });
    }
    Ok(html! {
        form.row method="post" action={ "/jobs/" (id) "/level" } {
            (layout::csrf(signed))
            span { "Shown: " strong { (level_name(job, job.plan.level)) } }
            @if signed.may(Need::Overrule) { @for level in plan::Level::ALL.into_iter().filter(|l| *l != job.plan.level && (job.survey.has_damage() || job.quote.of_level(*l).is_some())) { button.plain type="submit" name="level" value=(level.key()) { (level_name(job, level)) } } }
        }
    })
}
