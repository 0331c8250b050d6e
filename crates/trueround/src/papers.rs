//! Every file of a plan: bench card, quote, drawings, plan.json.

use crate::fail::{Done, Fail};
use crate::plan_json::plan_json;
use job::Job;
use job::worth::WorthKnowing;
use plan::StepKind;
use report::{JobView, Paper};
use units::LengthUnit;

/// The files with their names in the plan's folder; with `reasons` those of the bench card too.
pub fn all(job: &Job, worth: &WorthKnowing, unit: LengthUnit, reasons: bool) -> Done<Vec<(String, Vec<u8>)>> {
    // Inches go with Letter paper.
    let paper = if unit == LengthUnit::Inch { Paper::Letter } else { Paper::A4 };
    let view = JobView { worth: Some(worth), ..JobView::of(job, unit, paper) };
    let report = |e: report::ReportError| Fail::Machine(format!("typesetting: {e}"));
    let json = plan_json(job, worth).map_err(|e| Fail::Machine(format!("plan.json: {e}")))?;
    let mut files = vec![
        ("bench-card.pdf".to_owned(), report::bench_card_pdf(&view).map_err(report)?),
        ("quote.pdf".to_owned(), report::quote_pdf(&view).map_err(report)?),
        ("plan.json".to_owned(), json),
    ];
    if reasons {
        files.push(("reasons.pdf".to_owned(), report::reasons_pdf(&view).map_err(report)?));
    }
    files.extend(drawings(job, unit).into_iter().map(|(name, svg)| (format!("drawings/{name}"), svg.into_bytes())));
    Ok(files)
}

fn drawings(job: &Job, unit: LengthUnit) -> Vec<(String, String)> {
    let marks = draw::marks(&job.survey, &job.plan);
    let mut out = vec![("strips.svg".to_owned(), draw::strip_sheet(&job.survey, &marks, unit, 280.0).svg)];
    out.push(("overview.svg".to_owned(), draw::overview(&job.survey, &marks, unit, 280.0).svg));
    for step in job.plan.steps.iter().filter(|s| s.kind == StepKind::Dent) {
        let Some(choice) = step.dents.first().and_then(|d| job.plan.choices.iter().find(|c| c.dent == *d)) else { continue };
        let view =
            draw::ToolView { survey: &job.survey, assessments: &job.assessments, method: &choice.method, rack: Some(&job.rack), unit };
        if let Some(d) = draw::tool_in_tube(&view) {
            out.push((format!("step-{:03}-{}.svg", step.number, choice.dent), d.svg));
        }
    }
    for (i, (tool, _)) in job.plan.tools_to_make.iter().enumerate() {
        if let Some(d) = draw::piece_svg(tool, unit) {
            out.push((format!("tool-to-make-{}.svg", i + 1), d.svg));
        }
        if let Some(dxf) = draw::piece_dxf(tool, unit) {
            out.push((format!("tool-to-make-{}.dxf", i + 1), dxf));
        }
    }
    out
}
