//! Drawings on the pages.

use super::instrument_map::InstrumentMap;
use crate::unit_format::UnitFormat;
use instrument::{DentId, RunId, Survey};
use job::Job;
use maud::{Markup, PreEscaped, html};
use plan::{Step, StepKind};

/// Dents in the order in which the plan works them, then those that it does not work.
pub fn order_of_working(job: &Job) -> Vec<DentId> {
    draw::marks(&job.survey, &job.plan).into_iter().map(|m| m.dent).collect()
}

/// The runs with dents, straightened, as SVG.
pub fn strips(job: &Job, fmt: UnitFormat) -> Vec<String> {
    let marks = draw::marks(&job.survey, &job.plan);
    let mut runs: Vec<&RunId> = Vec::new();
    for d in &job.survey.dents {
        if !runs.contains(&&d.run) {
            runs.push(&d.run);
        }
    }
    runs.into_iter().filter_map(|r| draw::strip(&job.survey, r, &marks, fmt.0, 240.0)).map(|d| inline(&d)).collect()
}

/// Where the dents are: on the instrument as it lies; those on tubes that this does not show, in words. Where the
/// instrument cannot be laid out, its tubes straightened.
pub fn where_dents_are(job: &Job, fmt: UnitFormat) -> Markup {
    dents_on_map(&job.survey, &draw::marks(&job.survey, &job.plan), fmt)
}

/// These dents on the instrument as it lies; as [`where_dents_are`], without a plan.
pub fn dents_on_map(survey: &Survey, marks: &[draw::Mark], fmt: UnitFormat) -> Markup {
    let Some(map) = InstrumentMap::of(&survey.instrument) else {
        let svg = inline(&draw::overview(survey, marks, fmt.0, 200.0));
        return html! { figure.drawing { (PreEscaped(svg)) figcaption.soft.small { "Where the dents are." } } };
    };
    let value = |k: &Option<units::Known>, or: f64| k.as_ref().map_or(or, |k| k.value);
    let unit = map.unit();
    let mut dots = Vec::new();
    let mut elsewhere = Vec::new();
    let mut some_left = false;
    for mark in marks {
        let Some(dent) = survey.dents.iter().find(|d| d.id == mark.dent) else { continue };
        let run = survey.instrument.run(&dent.run);
        let middle = run.map_or(0.0, |r| r.length_mm() / 2.0);
        match map.place(&dent.run, value(&dent.at_mm, middle), value(&dent.clock_deg, 90.0)) {
            Some(at) => {
                some_left |= !mark.worked;
                dots.push((mark.label.as_str(), mark.worked, at));
            }
            None => elsewhere.push(format!("{} on the {}", number(&mark.label), run.map_or(dent.run.0.as_str(), |r| r.name.as_str()))),
        }
    }
    // Dots that would cover each other move apart along the map.
    let mut placed: Vec<(f64, f64)> = Vec::new();
    for (.., at) in &mut dots {
        for _ in 0..24 {
            let Some(near) = placed.iter().find(|p| (p.0 - at.0).hypot(p.1 - at.1) < 1.9 * unit) else { break };
            at.0 += if at.0 >= near.0 { 0.5 } else { -0.5 } * unit;
        }
        placed.push(*at);
    }
    let inside = html! {
        @for (label, worked, (x, y)) in &dots {
            circle.dot.left[!worked] cx=(format!("{x:.1}")) cy=(format!("{y:.1}")) r=(format!("{unit:.1}")) {}
            text x=(format!("{x:.1}")) y=(format!("{y:.1}")) font-size=(format!("{:.1}", 1.1 * unit)) { (number(label)) }
        }
    };
    html! {
        figure.lie-box {
            (map.svg(false, "Where the dents are, on the instrument as it lies", inside))
            figcaption.soft.small { "Where the dents are, by their numbers in the survey. " (map.caveat()) @if some_left { " A broken ring: it is left as it is." } @if !elsewhere.is_empty() { " On tubes not shown here: " (elsewhere.join("; ")) "." } }
        }
    }
}

/// A dent's name without its letter, where that leaves a number: what fits into a dot.
fn number(label: &str) -> &str {
    label.strip_prefix('d').filter(|n| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit())).unwrap_or(label)
}

/// The method by which a step works its dent; none for steps that work no dent.
pub fn worked<'a>(job: &'a Job, step: &Step) -> Option<&'a plan::Choice> {
    if step.kind != StepKind::Dent {
        return None;
    }
    step.dents.first().and_then(|d| job.plan.choices.iter().find(|c| c.dent == *d))
}

/// A step's tube with its tool in place, as an SVG document; none for steps that work no dent.
pub fn step(job: &Job, step: &Step, fmt: UnitFormat) -> Option<String> {
    let choice = worked(job, step)?;
    let view =
        draw::ToolView { survey: &job.survey, assessments: &job.assessments, method: &choice.method, rack: Some(&job.rack), unit: fmt.0 };
    draw::tool_in_tube(&view).map(|d| d.svg)
}

/// Pixels on the page for a millimetre of paper: the drawings' small print (2.3 mm) is read at arm's length.
const PX_PER_MM: f64 = 5.2;

/// A drawing as an element of a page, wide enough to be read; the style sheet keeps it on the page.
fn inline(drawing: &draw::Drawing) -> String {
    drawing.wide(PX_PER_MM * drawing.width_mm)
}
