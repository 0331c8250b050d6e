//! Drawings on the pages.

use instrument::{DentId, RunId};
use job::Job;
use plan::{Step, StepKind};
use units::LengthUnit;

/// Dents in the order in which the plan works them, then those that it does not work.
pub fn order_of_working(job: &Job) -> Vec<DentId> {
    draw::marks(&job.survey, &job.plan).into_iter().map(|m| m.dent).collect()
}

/// The runs with dents, straightened, as SVG.
pub fn strips(job: &Job) -> Vec<String> {
    let marks = draw::marks(&job.survey, &job.plan);
    let mut runs: Vec<&RunId> = Vec::new();
    for d in &job.survey.dents {
        if !runs.contains(&&d.run) {
            runs.push(&d.run);
        }
    }
    runs.into_iter().filter_map(|r| draw::strip(&job.survey, r, &marks, LengthUnit::Mm, 240.0)).map(|d| inline(&d.svg)).collect()
}

/// Where the dents are, on the instrument as a whole.
pub fn overview(job: &Job) -> String {
    let marks = draw::marks(&job.survey, &job.plan);
    inline(&draw::overview(&job.survey, &marks, LengthUnit::Mm, 200.0).svg)
}

/// A step's tube with its tool in place, as SVG; none for steps that work no dent.
pub fn step(job: &Job, step: &Step) -> Option<String> {
    if step.kind != StepKind::Dent {
        return None;
    }
    let choice = step.dents.first().and_then(|d| job.plan.choices.iter().find(|c| c.dent == *d))?;
    let view = draw::ToolView {
        survey: &job.survey,
        assessments: &job.assessments,
        way: &choice.way,
        rack: Some(&job.rack),
        unit: LengthUnit::Mm,
    };
    draw::tool_in_tube(&view).map(|d| inline(&d.svg))
}

/// An SVG document without its XML declaration, for a page.
fn inline(svg: &str) -> String {
    svg.find("<svg").map_or(String::new(), |i| svg[i..].to_owned())
}
