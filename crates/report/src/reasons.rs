//! The reasons behind a bench card, on request: formulas, sources, uncertainty, other ways that were weighed. For the desk, not for the
//! bench.

use crate::card::words::{footer, instrument_line, title};
use crate::job_view::JobView;
use crate::typeset::{Pictures, ReportError, pdf};
use crate::words;
use plan::{Choice, Step, StepKind};
use serde_json::{Value, json};
use units::text;

/// The reasons as PDF.
///
/// # Errors
/// Where the typesetter refuses the template: a defect of the program.
pub fn reasons_pdf(job: &JobView) -> Result<Vec<u8>, ReportError> {
    pdf("reasons", include_str!("../templates/reasons.typ"), &data(job), Pictures::default())
}

fn data(job: &JobView) -> Value {
    let plan = job.plan;
    json!({
        "kind": "Reasons",
        "paper": job.paper.name(),
        "title": title(job.survey),
        "instrument": instrument_line(job.survey),
        "shop": job.shop.name,
        "footer": footer(&job.shop.name),
        "lead": "Why the bench card says what it says: each figure with its range (nine times in ten), its formula, its source and the inputs that decide it.",
        "says": {
            "assumptions": "Assumptions",
            "heats": "Heats",
            "tools": "Tools to make or buy",
            "measuring": "Worth measuring",
            "steps": "Step by step",
            "others": "Other ways that were weighed",
        },
        "assumptions": plan.assumptions.iter().map(|a| json!({ "what": job.say(&a.what), "change": job.say(&a.would_change) })).collect::<Vec<_>>(),
        // One flame's reasons stand for all: the same formula, other lengths.
        "heats": plan.steps.iter().find_map(|s| s.heat.as_ref().map(|h| (s, h))).map_or_else(Vec::new, |(s, h)| {
            let neighbour = h.neighbours.first().map(|n| words::reasons(&format!("Step {}, its nearest neighbor", s.number), &n.temperature_degc, job.unit));
            let flame = h.flame_s.as_ref().map(|f| words::reasons(&format!("Step {}, time of the flame", s.number), f, job.unit));
            let finish = words::reasons(&format!("Step {}, finish burned on either side", s.number), &h.finish_burns_mm, job.unit);
            neighbour.into_iter().chain(flame).chain([finish]).collect::<Vec<_>>()
        }),
        "tools": plan.tools_to_make.iter().map(|(make, _)| json!({ "words": job.say(&make.words()), "because": job.say(&make.because) })).collect::<Vec<_>>(),
        "measuring": job.worth.iter().flat_map(|w| w.worth_the_walk()).map(|w| format!("Dent {}, {}: {}", w.dent, w.field.label.to_lowercase(), job.say(&w.hangs_on(&job.shop.currency)))).collect::<Vec<_>>(),
        "steps": plan.steps.iter().filter_map(|s| step(job, s)).collect::<Vec<_>>(),
        "others": job.methods.iter().map(|m| {
            let lines: Vec<String> = m.rejected.iter().map(|r| {
                let from = if r.opening.is_empty() { String::new() } else { format!(" from the {}", r.opening) };
                format!("{}{from}: {}", words::method(r.kind), job.say(&r.because))
            }).collect();
            json!({ "head": format!("Dent {}: does not go", m.dent), "lines": lines })
        }).filter(|v| v["lines"].as_array().is_some_and(|l| !l.is_empty())).collect::<Vec<_>>(),
        "disclaimer": "Forces, heats and likelihoods are computed from the survey by the formulas named beside them, with ranges that hold nine times in ten; a missing measurement widens them. Minutes of a step run from all going well to its fighting back; the range of the whole job's hours holds eight times in ten. The hand and the eye at the bench come first.",
    })
}

fn choice<'a>(job: &JobView<'a>, step: &Step) -> Option<&'a Choice> {
    let dent = step.dents.first().filter(|_| matches!(step.kind, StepKind::Dent | StepKind::Crease))?;
    job.plan.choices.iter().find(|c| c.dent == *dent)
}

/// Why a step is as it is.
fn step(job: &JobView, s: &Step) -> Option<Value> {
    let mut lines = vec![s.because.clone()];
    let mut figures = Vec::new();
    if let Some(c) = choice(job, s) {
        if c.method.because != s.because {
            lines.push(c.method.because.clone());
        }
        lines.push(c.because.clone());
        figures.push(words::reasons("Force at the hand", &c.method.force_hand_n, job.unit));
        if let Some(way) = &c.method.way {
            figures.push(words::reasons("Force on the dent", &way.dent_n, job.unit));
            figures.push(words::reasons("To draw the tool back", &way.back.hand_n, job.unit));
        }
        if let Some(a) = job.assessments.iter().find(|a| a.dent == c.dent) {
            lines.push(text!("Metal: {}", a.advice_because));
            if c.method.kind.goes_past_true() {
                figures.push(words::reasons("Past true", a.overpush(c.method.annealed), job.unit));
            }
            figures.push(words::reasons("Crack likelihood", job.plan.crack_likelihood(a), job.unit));
        }
    }
    if let Some(h) = &s.heat {
        lines.push(h.temper_note.clone());
    }
    let mut lines: Vec<String> = lines.iter().filter(|l| !l.is_empty()).map(|l| job.say(l)).collect();
    lines.extend(figures);
    let time =
        [words::minutes(s.minutes.mean()), words::minutes_range(s.minutes)].into_iter().filter(|w| !w.is_empty()).collect::<Vec<_>>();
    lines.push(format!("Time: {}", time.join(", ")));
    (!lines.is_empty()).then(|| json!({ "head": format!("Step {}: {}", s.number, job.say(&s.what)), "lines": lines }))
}
