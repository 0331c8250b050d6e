//! The reasons behind a bench card, on request: formulas, sources, uncertainty, other ways that were weighed. For the desk, not for the
//! bench.

use crate::card::words::{capital, footer, instrument_line, title};
use crate::job_view::JobView;
use crate::typeset::{Pictures, ReportError, pdf};
use crate::words;
use plan::{Choice, Step, StepKind};
use serde_json::{Value, json};
use units::duration::{show_minutes, show_minutes_between};
use units::{Figure, LengthUnit, text};

/// What the paper looks like.
pub(crate) const TEMPLATE: &str = include_str!("../templates/reasons.typ");

/// The reasons as PDF.
///
/// # Errors
/// Where the typesetter refuses the template: a defect of the program.
pub fn reasons_pdf(job: &JobView) -> Result<Vec<u8>, ReportError> {
    let (data, pictures) = data(job);
    pdf("reasons", TEMPLATE, &data, pictures)
}

/// Width of the charts, and of each of the heats', which stand two beside each other, mm.
const CHART_MM: f64 = 184.0;
const HALF_MM: f64 = 89.0;

/// Formulas with their sources, each once: a figure names its own by its number.
#[derive(Default)]
struct Formulas(Vec<String>);

impl Formulas {
    /// A figure with its range, the number of its formula and its inputs.
    fn line(&mut self, name: &str, f: &Figure, unit: LengthUnit) -> String {
        let formula = words::formula(f);
        let number = self.0.iter().position(|k| *k == formula).unwrap_or_else(|| {
            self.0.push(formula);
            self.0.len() - 1
        });
        format!("{} [{}].{}", words::ranged(name, f, unit), number + 1, words::inputs(f, unit))
    }
}

pub(crate) fn data(job: &JobView) -> (Value, Pictures) {
    let plan = job.plan;
    let mut formulas = Formulas::default();
    let heats = heats(job, &mut formulas);
    let steps: Vec<Value> = plan.steps.iter().filter_map(|s| step(job, s, &mut formulas)).collect();
    let mut pictures = Pictures::default();
    let mut charts = |of: Vec<crate::Chart>| -> Vec<Value> {
        let one = |c: crate::Chart| {
            let alt = c.drawing_alt();
            json!({ "title": c.title, "picture": pictures.add(c.drawing, &alt), "columns": c.columns, "numbers": c.numbers, "wide": c.wide, "rows": c.rows })
        };
        of.into_iter().map(one).collect()
    };
    let (wide, half) = (charts(crate::charts::of_the_job(job, CHART_MM)), charts(crate::charts::of_heats(job, HALF_MM)));
    let data = json!({
        "charts": wide,
        "heat_charts": half,
        "heat_key": draw::chart::HEAT_KEY,
        "kind": "Reasons",
        "paper": job.paper.name(),
        "title": title(job.survey),
        "instrument": instrument_line(job.survey),
        "shop": job.shop.name,
        "footer": footer(&job.shop.name),
        "lead": format!(
            "Why the bench card says what it says: each figure with its range (nine times in ten) and the inputs that decide it; its formula and source stand at the end under its number in brackets. {}",
            quote::learn::apply::rests_on(job.shop).words()
        ),
        "says": {
            "assumptions": "Assumptions",
            "heats": "Heats",
            "heat_charts": "How hot the tube gets along itself, heat by heat",
            "tools": "Tools to make or buy",
            "measuring": "Worth measuring",
            "checks": "Final checks",
            "steps": "Step by step",
            "others": "Other ways that were weighed",
            "formulas": "Formulas and their sources",
        },
        "assumptions": plan.assumptions.iter().map(|a| json!({ "what": job.say(&a.what), "change": job.say(&a.would_change) })).collect::<Vec<_>>(),
        "heats": heats,
        "tools": plan.tools_to_make.iter().map(|(make, _)| json!({ "words": job.say(&make.words()), "because": job.say(&make.because) })).collect::<Vec<_>>(),
        "measuring": job.worth.iter().flat_map(|w| w.worth_the_walk()).map(|w| format!("Dent {}, {}: {}", w.dent, w.field.label.to_lowercase(), job.say(&w.hangs_on(&job.shop.currency)))).collect::<Vec<_>>(),
        "checks": checks(job),
        "steps": steps,
        "formulas": formulas.0,
        "others": job.methods.iter().map(|m| {
            let lines: Vec<String> = m.rejected.iter().map(|r| {
                let from = if r.opening.is_empty() { String::new() } else { format!(" from the {}", r.opening) };
                format!("{}{from}: {}", words::method(r.kind), job.say(&r.because))
            }).collect();
            json!({ "head": format!("Dent {}: does not go", m.dent), "lines": lines })
        }).filter(|v| v["lines"].as_array().is_some_and(|l| !l.is_empty())).collect::<Vec<_>>(),
        "disclaimer": "Forces, heats and likelihoods are computed from the survey by the formulas named beside them, with ranges that hold nine times in ten. A missing measurement widens them. Minutes of a step run from all going well to its fighting back. The range of the whole job's hours holds eight times in ten. The hand and the eye at the bench come first.",
    });
    (data, pictures)
}

/// One flame's reasons stand for all: the same formula, other lengths.
fn heats(job: &JobView, formulas: &mut Formulas) -> Vec<String> {
    let Some((s, h)) = job.plan.steps.iter().find_map(|s| s.heat.as_ref().map(|h| (s, h))) else { return Vec::new() };
    let mut lines = Vec::new();
    if let Some(n) = h.neighbours.first() {
        lines.push(formulas.line(&format!("Step {}, its nearest neighbor", s.number), &n.temperature_degc, job.unit));
    }
    if let Some(f) = &h.flame_s {
        lines.push(formulas.line(&format!("Step {}, time of the flame", s.number), f, job.unit));
    }
    lines.push(formulas.line(&format!("Step {}, finish burned on either side", s.number), &h.finish_burns_mm, job.unit));
    lines
}

/// Whence the figures are that the final checks want.
fn checks(job: &JobView) -> Vec<String> {
    let all = job::acceptance::acceptance_checks(job.survey, job.plan);
    let line =
        |c: &job::acceptance::AcceptanceCheck| format!("{}: {}. {}.", job.say(&c.what), job.say(&c.wanted), capital(&job.say(&c.because)));
    all.iter().filter(|c| !c.because.is_empty()).map(line).collect()
}

fn choice<'a>(job: &JobView<'a>, step: &Step) -> Option<&'a Choice> {
    let dent = step.dents.first().filter(|_| matches!(step.kind, StepKind::Dent | StepKind::Crease))?;
    job.plan.choices.iter().find(|c| c.dent == *dent)
}

/// Why a step is as it is.
fn step(job: &JobView, s: &Step, formulas: &mut Formulas) -> Option<Value> {
    let mut lines = vec![s.because.clone()];
    let mut figures = Vec::new();
    if let Some(c) = choice(job, s) {
        if c.method.because != s.because {
            lines.push(c.method.because.clone());
        }
        lines.push(c.because.clone());
        figures.push(formulas.line("Force at the hand", &c.method.force_hand_n, job.unit));
        if let Some(way) = &c.method.way {
            figures.push(formulas.line("Force on the dent", &way.dent_n, job.unit));
            figures.push(formulas.line("To draw the tool back", &way.back.hand_n, job.unit));
        }
        if let Some(a) = job.assessments.iter().find(|a| a.dent == c.dent) {
            lines.push(text!("Metal: {}", a.advice_because));
            if c.method.kind.goes_past_true() {
                figures.push(formulas.line("Past true", a.overpush(c.method.annealed), job.unit));
            }
            figures.push(formulas.line("Crack likelihood", job.plan.crack_likelihood(a), job.unit));
        }
    }
    if let Some(h) = &s.heat {
        lines.push(h.temper_note.clone());
    }
    let mut lines: Vec<String> = lines.iter().filter(|l| !l.is_empty()).map(|l| job.say(l)).collect();
    lines.extend(figures);
    lines.push(format!("Time: {} ({})", show_minutes(s.minutes.mean()), show_minutes_between(s.minutes.least, s.minutes.most)));
    (!lines.is_empty()).then(|| json!({ "head": format!("Step {}: {}", s.number, job.say(&s.what)), "lines": lines }))
}
