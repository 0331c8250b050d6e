//! The reasons behind a bench card, on request: formulas, sources, uncertainty, other ways that were weighed. For the desk, not for the
//! bench.

use crate::card::words::{capital, footer, instrument_line, title};
use crate::job_view::JobView;
use crate::look::{
    About, BODY, H1, H2, HAIRLINE, NARROW, SMALL, SMALL_STRONG, STRONG, THIN, WIDE, bullets, chapter, flowing, paragraph, table,
};
use crate::typeset::{Body, Made, ReportError, picture};
use crate::words;
use paper::{Block, Columns, Flow, Foot, Frame, Grid, Rules, Track, Words};
use plan::{Choice, Step, StepKind};
use units::duration::{show_minutes, show_minutes_between};
use units::{Figure, LengthUnit, text};

/// The reasons as PDF.
///
/// # Errors
/// Where the paper cannot be set: a defect of the program.
pub fn reasons_pdf(job: &JobView) -> Result<Vec<u8>, ReportError> {
    made(job).pdf()
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

pub(crate) fn made(job: &JobView) -> Made {
    let plan = job.plan;
    let mut formulas = Formulas::default();
    let heats = heats(job, &mut formulas);
    let steps: Vec<Reason> = plan.steps.iter().map(|s| step(job, s, &mut formulas)).collect();
    let about = About {
        name: "reasons",
        kind: "Reasons".to_owned(),
        title: title(job.survey).to_owned(),
        instrument: instrument_line(job.survey),
        shop: job.shop.name.clone(),
        footer: footer(&job.shop.name),
        paper: job.paper,
    };
    let lead = format!(
        "Why the bench card says what it says: each figure with its range (nine times in ten) and the inputs that decide it; its formula and source stand at the end under its number in brackets. {}",
        quote::learn::apply::rests_on(job.shop).words()
    );
    let head = [Block::heading(1, Words::of(about.title.as_str(), H1)), Block::text(Words::of(about.instrument.as_str(), BODY))];
    let mut flows = vec![Flow::block(Block::stack(2.4, head), 0.0, 3.8), paragraph(Words::of(lead, BODY))];
    flows.extend(charts(job));
    let list = |flows: &mut Vec<Flow>, title: &str, items: Vec<Words>| {
        if !items.is_empty() {
            flows.extend([chapter(title), bullets(items)]);
        }
    };
    let assumption = |a: &plan::Assumption| Words::of(job.say(&a.what), BODY).and(" ", BODY).and(job.say(&a.would_change), SMALL);
    list(&mut flows, "Assumptions", plan.assumptions.iter().map(assumption).collect());
    if !heats.is_empty() {
        flows.push(chapter("Heats"));
        flows.extend(heats.into_iter().map(|h| paragraph(Words::of(h, SMALL))));
    }
    if !plan.tools_to_make.is_empty() {
        flows.push(chapter("Tools to make or buy"));
        let tool = |make: &reach::ToolPiece| Words::of(job.say(&make.words()), STRONG).and(" ", BODY).and(job.say(&make.because), SMALL);
        flows.extend(plan.tools_to_make.iter().map(|(make, _)| paragraph(tool(make))));
    }
    let worth = job.worth.iter().flat_map(|w| w.worth_the_walk());
    let measuring = worth.map(|w| {
        let hangs_on = job.say(&w.hangs_on(&job.shop.currency));
        Words::of(format!("Dent {}, {}: {hangs_on}", w.dent, w.field.label.to_lowercase()), BODY)
    });
    list(&mut flows, "Worth measuring", measuring.collect());
    list(&mut flows, "Final checks", checks(job).into_iter().map(|c| Words::of(c, SMALL)).collect());
    flows.extend(in_columns("Step by step", steps.iter().flat_map(Reason::flows)));
    flows.extend(in_columns("Other ways that were weighed", others(job).iter().flat_map(Reason::flows)));
    let numbered =
        formulas.0.into_iter().enumerate().map(|(i, f)| Words::of(format!("[{}]", i + 1), SMALL_STRONG).and(format!(" {f}"), SMALL));
    flows.extend(in_columns("Formulas and their sources", numbered.map(|w| Flow::block(Block::text(w), LINES_MM, LINES_MM))));
    let disclaimer = Block::text(Words::of(DISCLAIMER, SMALL));
    flows.push(Flow::block(Block::Frame(Box::new(Frame::around(disclaimer, THIN, 2.5))), 6.8, 0.0));
    Made { about, body: Body::Flows(flows) }
}

const DISCLAIMER: &str = "Forces, heats and likelihoods are computed from the survey by the formulas named beside them, with ranges that hold nine times in ten. A missing measurement widens them. Minutes of a step run from all going well to its fighting back. The range of the whole job's hours holds eight times in ten. The hand and the eye at the bench come first.";

/// Room between paragraphs in columns, mm.
const LINES_MM: f64 = 2.1;

/// A chapter in two columns; nothing where it would be empty.
fn in_columns(title: &str, flows: impl Iterator<Item = Flow>) -> Vec<Flow> {
    let flows: Vec<Flow> = flows.collect();
    if flows.is_empty() { Vec::new() } else { vec![chapter(title), Flow::Columns(Columns { count: 2, gap_mm: 6.0, flows })] }
}

/// The charts of the job at the foot of a page each, their tables in the text; then those of its heats, two beside each other.
fn charts(job: &JobView) -> Vec<Flow> {
    let mut flows = Vec::new();
    let wide = crate::charts::of_the_job(job, CHART_MM);
    for c in &wide {
        let shown = Block::Picture(picture(c.drawing.clone(), c.drawing_alt()).within(CHART_MM));
        let block = Block::stack(3.8, [Block::text(Words::of(c.title.as_str(), H2)), shown]);
        flows.push(Flow::Foot(Foot { block, clear_mm: 5.0 }));
    }
    for c in wide.iter().filter(|c| !c.rows.is_empty()) {
        flows.extend([chapter(c.title.as_str()), flowing(figures(c))]);
    }
    let heats = crate::charts::of_heats(job, HALF_MM);
    let each = heats.iter().flat_map(|c| {
        let shown = Block::Picture(picture(c.drawing.clone(), c.drawing_alt()).within(HALF_MM));
        let mut of = vec![Flow::kept(Block::text(Words::of(c.title.as_str(), STRONG)), 5.0, 1.0), Flow::kept(shown, 0.0, 1.5)];
        if c.rows.is_empty() {
            of.push(Flow::block(Block::nothing(), 0.0, 0.0));
        } else {
            of.push(Flow::block(figures(c), 0.0, 4.0));
        }
        of
    });
    let columns: Vec<Flow> = each.collect();
    if !columns.is_empty() {
        flows.push(chapter("How hot the tube gets along itself, heat by heat"));
        flows.push(paragraph(Words::of(draw::chart::HEAT_KEY, SMALL)));
        flows.push(Flow::Columns(Columns { count: 2, gap_mm: 6.0, flows: columns }));
    }
    flows
}

/// A chart's table.
fn figures(c: &crate::Chart) -> Block {
    let columns = (0..c.columns.len()).map(|i| if i == c.wide { Track::Part(1.0) } else { Track::Auto }).collect();
    let heads: Vec<&str> = c.columns.iter().map(String::as_str).collect();
    let rows = c.rows.iter().map(|row| row.iter().map(|w| Words::of(w.as_str(), NARROW)).collect()).collect();
    let of = table(columns, &c.numbers, (&heads, NARROW), rows);
    Grid { inset_mm: (1.0, 0.9, 1.0), rules: Rules { header: Some(WIDE), rows: Some(HAIRLINE), ..Rules::default() }, ..of }.block()
}

/// Something with its reasons.
struct Reason {
    head: String,
    lines: Vec<String>,
}

impl Reason {
    fn flows(&self) -> Vec<Flow> {
        let head = Flow::kept(Block::text(Words::of(self.head.as_str(), STRONG)), 3.4, 1.6);
        let line = |l: &String| Flow::block(Block::text(Words::of(l.as_str(), SMALL)), LINES_MM, LINES_MM);
        [head].into_iter().chain(self.lines.iter().map(line)).collect()
    }
}

/// The ways to each dent that do not go, and why.
fn others(job: &JobView) -> Vec<Reason> {
    let all = job.methods.iter().map(|m| {
        let lines = m.rejected.iter().map(|r| {
            let from = if r.opening.is_empty() { String::new() } else { format!(" from the {}", r.opening) };
            format!("{}{from}: {}", words::method(r.kind), job.say(&r.because))
        });
        Reason { head: format!("Dent {}: does not go", m.dent), lines: lines.collect() }
    });
    all.filter(|r| !r.lines.is_empty()).collect()
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
fn step(job: &JobView, s: &Step, formulas: &mut Formulas) -> Reason {
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
    Reason { head: format!("Step {}: {}", s.number, job.say(&s.what)), lines }
}
