//! What finished jobs taught: each standard before and after, with what it rests on; people's paces; what a job's steps have in common; and
//! the switch.

use crate::app::App;
use crate::auth::{Need, Signed};
use crate::learning::{self, Mode};
use crate::problem::{Outcome, Problem};
use crate::view::drawings::chart;
use crate::view::figures::sentence;
use crate::view::history_tabs::tabs;
use crate::view::names::kind_name;
use crate::{layout, when};
use axum::extract::State;
use axum::response::Redirect;
use axum::{Extension, Form};
use draw::chart::{BeforeAfterRow, FEW_STEPS, before_after_chart};
use maud::{Markup, html};
use plan::{StepKind, Within, standard_words};
use quote::Times;
use quote::learn::{Drift, FAR, Learned, LearnedStandard, pace_of};
use serde::Deserialize;
use store::By;
use units::ThreePoint;
use units::duration::{show_minutes, show_minutes_between};

/// Width of the chart, mm: its type is read on a phone.
const WIDTH_MM: f64 = 76.0;

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed)).await
}

fn shown(app: &App, signed: &Signed) -> Outcome<Markup> {
    let mode = Mode::of(app.store())?;
    let mut learned = learning::read(app.store(), &app.store().setting(learning::LEARNED)?.unwrap_or_default())?;
    // What counts for nothing is counted as it stands now: it moves no time and is kept with none.
    if let (Mode::On, Some(l)) = (mode, &mut learned) {
        l.left_out = learning::sorted_steps(app.store(), &app.shop()?, when::now())?.left_out;
    }
    Ok(layout::page(
        signed,
        "What was learned",
        html! {
            h1 { "What was learned" }
            (tabs("/history/times"))
            @match &learned {
                None => p.soft { "No finished job has taught anything yet. Times are start-up times: common practice, no source, and what you set under Minutes." },
                Some(l) => {
                    p.big { (l.basis.steps) " steps of " (l.basis.jobs) " finished jobs" }
                    p { "From " (when::day_words(&when::day_of(l.from_to.0))) " to " (when::day_words(&when::day_of(l.from_to.1))) ". "
                        @match mode { Mode::On => "New quotes rest on them.", Mode::Frozen => "Frozen: new quotes rest on them, newer jobs do not move them.", Mode::Off => "Switched off: new quotes rest on start-up times." } }
                    (drift_of_all(l.drift))
                    (standards(l))
                    (people(app, l)?)
                    (job(l))
                    (left_out(l))
                    (how())
                }
            }
            @if signed.may(Need::Owner) { (switch(signed, mode)) }
        },
    ))
}

/// What a standard is called on the page.
pub fn standard_name(kind: StepKind, within: Option<Within>) -> String {
    let kind_words = standard_words::of_step(kind).name;
    match within {
        None if kind == StepKind::Dent => "Dent, all methods".to_owned(),
        None => kind_words.to_owned(),
        Some(Within::Method(m)) => format!("Dent: {}", plan::method_words(m)),
        Some(Within::Opening(o)) => {
            let what = standard_words::of_opening(o).name;
            let done = match kind {
                StepKind::OpenJoint => "open",
                StepKind::CloseJoint => "close",
                StepKind::OverlayOff => "off",
                _ => "back",
            };
            format!("{what}: {done}")
        }
    }
}

/// Eight in ten of a time.
fn eight_in_ten(t: ThreePoint) -> (f64, f64, f64) {
    let times = Times::of([t], 0.0);
    (times.p10_min, times.p50_min, times.p90_min)
}

/// Those that are told: what is told apart by methods is not told as a whole too, where each of its steps has one.
fn told(l: &Learned) -> Vec<&LearnedStandard> {
    let apart = |kind: StepKind| l.standards.iter().filter(|s| s.kind == kind && s.within.is_some()).map(|s| s.steps).sum::<u32>();
    l.standards.iter().filter(|s| s.within.is_some() || apart(s.kind) < s.steps).collect()
}

/// Steps that are over by then are drawn on an axis of their own, minutes: beside an hour they would be dots.
const SHORT_MIN: f64 = 30.0;

fn standards(l: &Learned) -> Markup {
    let told = told(l);
    let (short, long): (Vec<&LearnedStandard>, Vec<&LearnedStandard>) =
        told.iter().partition(|s| eight_in_ten(s.before).2.max(eight_in_ten(s.after).2) <= SHORT_MIN);
    html! {
        h2 { "Each kind of step" }
        div.charts {
            @if !short.is_empty() { (drawn("Short steps, before and as learned", &short)) }
            @if !long.is_empty() { (drawn("Longer steps, before and as learned", &long)) }
        }
        details { summary { "Every standard: whence, how many, before and after" }
            div.scroll tabindex="0" role="region" aria-label="Every standard" { (every(&told)) }
        }
    }
}

fn between(t: ThreePoint) -> String {
    let (low, _, high) = eight_in_ten(t);
    show_minutes_between(low, high)
}

/// A chart with what it draws as its table.
fn drawn(title: &str, all: &[&LearnedStandard]) -> Markup {
    let rows: Vec<BeforeAfterRow> = all
        .iter()
        .map(|s| BeforeAfterRow {
            name: standard_name(s.kind, s.within),
            before: eight_in_ten(s.before),
            after: eight_in_ten(s.after),
            shown: s.steps.to_string(),
            few: (s.steps as usize) < FEW_STEPS,
        })
        .collect();
    let table = html! {
        table data-sorts="" {
            thead { tr { th scope="col" { "Standard" } th.n scope="col" { "Before" } th.n scope="col" { "Learned" } } }
            tbody { @for s in all { tr { th scope="row" { (standard_name(s.kind, s.within)) } td.n data-v=(s.before.mean()) { (between(s.before)) } td.n data-v=(s.after.mean()) { (between(s.after)) } } } }
        }
    };
    chart(title, &before_after_chart(&rows, WIDTH_MM), "", &table)
}

fn every(all: &[&LearnedStandard]) -> Markup {
    html! {
        table data-sorts="" {
            thead { tr { th scope="col" { "Standard" } th.n scope="col" { "Steps" } th.n scope="col" { "Jobs" } th.n scope="col" { "Before, mean" } th.n scope="col" { "8 of 10" } th.n scope="col" { "Learned, mean" } th.n scope="col" { "8 of 10" } th scope="col" { "Lately" } th scope="col" { "Whence" } } }
            tbody { @for s in all { tr {
                th scope="row" { (standard_name(s.kind, s.within)) } td.n { (s.steps) } td.n { (s.jobs) }
                td.n data-v=(s.before.mean()) { (show_minutes(s.before.mean())) } td.n { (between(s.before)) }
                td.n data-v=(s.after.mean()) { (show_minutes(s.after.mean())) } td.n { (between(s.after)) }
                td { @match s.drift { Some(d) => (lately(d)), None => "as before" } }
                td { (whence(s)) }
            } } }
        }
    }
}

fn whence(s: &LearnedStandard) -> String {
    let factor = s.after.mean() / s.before.mean().max(1e-9);
    let by = if (0.98..=1.02).contains(&factor) { "as the standard says".to_owned() } else { format!("{factor:.2} times the standard") };
    format!("{by}, from {} {} here", s.steps, if s.steps == 1 { "step" } else { "steps" })
}

fn lately(d: Drift) -> String {
    format!("{} by {:.2} times over the last {} steps", if d.factor > 1.0 { "longer" } else { "shorter" }, d.factor, d.newest)
}

fn drift_of_all(d: Option<Drift>) -> Markup {
    html! {
        @if let Some(d) = d {
            p.note { strong { "Something has changed. " } "The last " (d.newest) " jobs took " (format!("{:.2}", d.factor)) " times what the jobs before them say. The times follow slowly; look what is different: a new tool, a new person, other instruments." }
        }
    }
}

fn people(app: &App, l: &Learned) -> Outcome<Markup> {
    let shop = app.shop()?;
    let mut names: Vec<&str> = l.people.iter().map(|p| p.name.as_str()).collect();
    names.extend(shop.people.iter().map(|p| p.name.as_str()).filter(|n| !l.people.iter().any(|p| p.name == *n)));
    let set = |name: &str| shop.people.iter().find(|p| p.name == name).map_or_else(|| "–".to_owned(), |p| format!("{:.2}", p.pace));
    Ok(html! {
        h2 { "People" }
        p { "Time taken over what the shop takes. Somebody new starts from the pace that was set, or from everybody’s. A pace moves hours and days, never a price." }
        div.scroll tabindex="0" role="region" aria-label="People" {
            table data-sorts="" {
                thead { tr { th scope="col" { "Who" } th.n scope="col" { "Steps" } th.n scope="col" { "Set, over the standard" } th.n scope="col" { "Timed, over the shop" } th.n scope="col" { "9 times in 10 between" } } }
                tbody { @for name in names {
                    @let pace = pace_of(&shop, Some(l), name);
                    tr { th scope="row" { (name) } td.n { (pace.steps) } td.n { (set(name)) } td.n { (format!("{:.2}", pace.over_shop)) } td.n { @if let Some((low, high)) = pace.range { (format!("{low:.2} to {high:.2}")) } } }
                } }
            }
        }
    })
}

fn job(l: &Learned) -> Markup {
    // A factor either way, as one deviation of a logarithm says it.
    let factor = |variance: f64| format!("{:.2}", variance.max(0.0).sqrt().exp());
    html! {
        h2 { "A job as a whole" }
        p { "An instrument that fights back does so at every step: from job to job all steps together move by a factor of about " (factor(l.job_log_variance)) " either way. With who does it, and how well the shop’s level is known, " (factor(l.common_log_variance)) ". The range of a quote is the sum of its steps with that in common." }
        @if !l.families.is_empty() {
            details { summary { "By instrument" }
                div.scroll tabindex="0" role="region" aria-label="By instrument" {
                    table data-sorts="" {
                        thead { tr { th scope="col" { "Kind of step" } th scope="col" { "On" } th.n scope="col" { "Steps" } th.n scope="col" { "Times the kind’s" } } }
                        tbody { @for f in &l.families { tr { th scope="row" { (standard_words::of_step(f.kind).name) } td { (kind_name(f.family)) } td.n { (f.steps) } td.n { (format!("{:.2}", f.log_mean.exp())) } } } }
                    }
                }
            }
        }
    }
}

fn left_out(l: &Learned) -> Markup {
    let some = l.left_out.values().any(|n| *n > 0) || l.corrected > 0 || l.winsorised > 0;
    html! {
        @if some {
            h2 { "What does not count, and what counts otherwise" }
            ul {
                @for (why, n) in &l.left_out { @if *n > 0 { li { (n) " left out: " (why.words()) "." } } }
                @if l.corrected > 0 { li { (l.corrected) " counted with the time that was set by hand." } }
                @if l.winsorised > 0 { li { (l.winsorised) " counted as less far off than they were: what lies more than " (format!("{FAR:.0}")) " deviations from what is expected counts as that far." } }
            }
        }
    }
}

fn how() -> Markup {
    html! {
        details { summary { "How it is worked out" }
            p { "A step’s time over its standard is the shop’s pace, times that of its kind, its method, the person, the instrument and the job, times chance. What is seen few times stays near what is believed of all. Jobs count once their final checks are done, for two years." }
            p.why { (sentence(&quote::learn::model::UPDATE.text)) }
            p.why { "Drift: " (sentence(&quote::learn::drift::CUSUM.text)) }
        }
    }
}

fn switch(signed: &Signed, mode: Mode) -> Markup {
    html! {
        section.card id="switch" {
            h2 { "Learning" }
            form.stack method="post" action="/history/times" {
                (layout::csrf(signed))
                fieldset.bare {
                    legend.visually-hidden { "Learning" }
                    @for m in Mode::ALL { label { input type="radio" name="mode" value=(m.key()) checked[m == mode]; span { (m.words()) "." } } }
                }
                p.soft.small { "Quotes that were given and jobs that were agreed keep the times that they were made with." }
                div.row {
                    button type="submit" name="act" value="mode" { "Keep" }
                    @if mode == Mode::On { button.plain type="submit" name="act" value="again" { "Learn again now" } }
                }
            }
        }
    }
}

/// What the switch sends.
#[derive(Deserialize)]
pub struct Switch {
    #[serde(default)]
    mode: String,
    #[serde(default)]
    act: String,
}

/// Sets how the shop learns, or learns again.
///
/// # Errors
/// Where there is no such way.
pub async fn keep(State(app): State<App>, Extension(signed): Extension<Signed>, Form(f): Form<Switch>) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let by = By { who: &signed.person.login, at: when::now() };
        if f.act != "again" {
            let mode = Mode::read(&f.mode).ok_or_else(|| Problem::Bad("choose one of the three".to_owned()))?;
            app.store().set_setting(by, learning::MODE, mode.key())?;
        }
        learning::renew(app.store(), by, &app.shop()?)?;
        Ok(Redirect::to("/history/times"))
    })
    .await
}
