//! The sheets: one for each setup, with a row for each of its steps. A setup is the plan's own: steps that are done one after another
//! without a change of fixture, entry or flame.

use super::heat;
use super::words as card;
use crate::job_view::JobView;
use crate::typeset::picture;
use draw::{Mark, SetupView, size_words};
use paper::Picture;
use plan::{Caution, Choice, Step, StepKind};
use reach::{Method, ToolChoice, ToolId};
use units::duration::show_minutes;
use units::force::{force_digits, show_force};
use units::length::{show_length, show_tenths};

/// A setup on its sheet.
pub(crate) struct Sheet {
    /// Whether dents are worked in it.
    pub(super) dents: bool,
    /// Whether it says what the drawings show.
    pub(super) legend: bool,
    pub(super) head: Head,
    pub(super) tools: Vec<Laid>,
    pub(super) picture: Option<Picture>,
    pub(super) making: Vec<Making>,
    /// Whether it is checks.
    pub(super) checks: bool,
    /// The cautions that stand with its head.
    pub(super) cautions: Vec<Caution>,
    pub(super) rows: Vec<Row>,
}

/// The head of a setup.
pub(crate) struct Head {
    pub(super) n: String,
    pub(super) title: String,
    pub(super) sub: String,
    pub(super) time: String,
    pub(super) steps: String,
}

/// A tool that is made or bought.
pub(crate) struct Making {
    pub(super) step: String,
    pub(super) words: String,
    pub(super) dents: String,
    pub(super) drawing: Option<Picture>,
    /// Whether its drawing takes the page's whole width.
    pub(super) wide: bool,
}

/// A step's row.
pub(crate) struct Row {
    pub(super) step: String,
    pub(super) cautions: Vec<Caution>,
    pub(super) what: RowOf,
}

/// What a row tells.
pub(crate) enum RowOf {
    /// A dent that is worked.
    Dent(Box<DentRow>),
    /// Any other step: what is done, how, what is checked with what is wanted.
    Step { what: String, lines: Vec<String>, checks: Vec<(String, String)> },
}

/// The row of a dent.
pub(crate) struct DentRow {
    pub(super) dent: String,
    pub(super) section: String,
    pub(super) tool: String,
    pub(super) note: String,
    pub(super) force: String,
    pub(super) stop: String,
    pub(super) strokes: String,
    pub(super) passes: String,
    pub(super) crack: String,
}

pub(super) fn sheets(job: &JobView, marks: &[Mark], width_mm: f64) -> Vec<Sheet> {
    let mut told = Told::default();
    let mut sheets: Vec<Sheet> = groups(&job.plan.steps).into_iter().map(|steps| sheet(job, steps, marks, width_mm, &mut told)).collect();
    // What the drawings show is said beside the first of them.
    if let Some(first) = sheets.iter_mut().find(|s| s.dents) {
        first.legend = true;
    }
    sheets
}

/// The setups as the card shows them: heats in a row that only open, or only close, stand under one head; so do the tools and the rest of
/// the work without a dent.
pub(super) fn groups(steps: &[Step]) -> Vec<&[Step]> {
    use StepKind::{AcceptanceCheck, Assemble, CloseJoint, Finish, OpenJoint, OverlayBack, OverlayOff, TrueFit};
    let phase = |steps: &[Step]| -> u8 {
        let all = |k: &[StepKind]| steps.iter().all(|s| k.contains(&s.kind));
        if all(&[OpenJoint, OverlayOff]) {
            1
        } else if all(&[CloseJoint, OverlayBack]) {
            2
        } else if all(&[AcceptanceCheck, TrueFit, Finish, Assemble]) {
            3
        } else {
            0
        }
    };
    let mut groups: Vec<&[Step]> = Vec::new();
    let mut from = 0;
    for setup in plan::setups(steps) {
        let to = from + setup.len();
        match groups.last_mut() {
            Some(last) if phase(last) > 0 && phase(last) == phase(setup) => *last = &steps[from - last.len()..to],
            _ => groups.push(setup),
        }
        from = to;
    }
    groups
}

fn sheet(job: &JobView, steps: &[Step], marks: &[Mark], width_mm: f64, told: &mut Told) -> Sheet {
    let chosen: Vec<&Choice> = once(steps.iter().filter_map(|s| choice(job, s)));
    let methods: Vec<&Method> = chosen.iter().map(|c| &c.method).collect();
    let run = steps.iter().find(|s| choice(job, s).is_some()).and_then(|s| s.run.as_ref()).and_then(|r| job.survey.instrument.run(r));
    let drawn = run.and_then(|run| {
        let view =
            SetupView { survey: job.survey, assessments: job.assessments, rack: job.rack, marks, run, methods: &methods, unit: job.unit };
        draw::setup(&view, width_mm)
    });
    let (shown, letters) = match (drawn, run) {
        (Some((drawing, letters)), Some(run)) => {
            let dents: Vec<_> = methods.iter().map(|m| m.dent.clone()).collect();
            (Some(picture(drawing, card::setup_alt(&run.name, &dents))), letters)
        }
        _ => (None, vec![None; methods.len()]),
    };
    let mut laid: Vec<Laid> = Vec::new();
    for t in methods.iter().flat_map(|m| tools(job, m)) {
        if !laid.contains(&t) {
            laid.push(t);
        }
    }
    let opening = methods.iter().find_map(|m| m.passage.as_ref()).map_or(String::new(), |p| card::enters(&p.opening.name));
    let cold = run.is_some_and(|r| r.role.must_stay_hard()) && methods.iter().all(|m| !m.annealed);
    let sub = [opening.as_str(), if cold { card::COLD } else { "" }].into_iter().filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ");
    let numbers: Vec<u32> = steps.iter().map(|s| s.number).collect();
    let rows: Vec<Row> = steps
        .iter()
        .map(|s| match choice(job, s) {
            Some(c) => {
                let letter = chosen.iter().position(|x| x.dent == c.dent).and_then(|i| letters.get(i).cloned().flatten());
                dent_row(job, s, c, letter)
            }
            None => step_row(job, s, told),
        })
        .collect();
    Sheet {
        dents: !methods.is_empty(),
        legend: false,
        head: Head {
            n: number(steps),
            title: title(job, steps),
            sub,
            time: show_minutes(steps.iter().map(|s| s.minutes.mean()).sum()),
            steps: card::steps(&numbers),
        },
        tools: laid,
        picture: shown,
        making: making(job, steps, width_mm),
        checks: methods.is_empty() && steps.iter().any(|s| !s.checks.is_empty()),
        cautions: sheet_cautions(steps),
        rows,
    }
}

/// The plan's numbers of a sheet's setups.
pub(super) fn number(steps: &[Step]) -> String {
    let mut settings: Vec<u32> = steps.iter().map(|s| s.setting).collect();
    settings.dedup();
    card::ranges(&settings)
}

/// What stands with a sheet's head: its first step's; of a sheet that is one piece, all.
fn sheet_cautions(steps: &[Step]) -> Vec<Caution> {
    let made = steps.iter().all(|s| s.kind == StepKind::MakeTool);
    let mut all: Vec<Caution> = steps.iter().take(if made { steps.len() } else { 1 }).flat_map(|s| s.cautions.clone()).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// The tools that a setup makes or buys, with their drawings; none where it does anything else.
fn making(job: &JobView, steps: &[Step], width_mm: f64) -> Vec<Making> {
    if !steps.iter().all(|s| s.kind == StepKind::MakeTool) || steps.len() != job.plan.tools_to_make.len() {
        return Vec::new();
    }
    // One drawing alone has the page's whole width, its notes beside it.
    let drawn = job.plan.tools_to_make.iter().filter(|(piece, _)| draw::piece_svg(piece, job.unit).is_some()).count();
    let made = steps.iter().zip(&job.plan.tools_to_make);
    made.map(|(s, (piece, dents))| {
        let words = job.say(&piece.words());
        let drawing = if drawn == 1 {
            draw::piece_wide(piece, job.unit, width_mm)
        } else {
            draw::piece_half(piece, job.unit, (width_mm - 5.0) / 2.0)
        }
        .map(|d| picture(d, card::drawing_of(&words)));
        Making {
            step: s.number.to_string(),
            words: card::make_or_buy(piece, &words),
            dents: card::for_dents(dents),
            drawing,
            wide: drawn == 1,
        }
    })
    .collect()
}

/// Each choice once.
fn once<'a>(all: impl Iterator<Item = &'a Choice>) -> Vec<&'a Choice> {
    let mut out: Vec<&Choice> = Vec::new();
    for c in all {
        if !out.iter().any(|o| o.dent == c.dent) {
            out.push(c);
        }
    }
    out
}

/// What a setup is called.
pub(super) fn title(job: &JobView, steps: &[Step]) -> String {
    let dents = once(steps.iter().filter_map(|s| choice(job, s)));
    let run = steps.iter().find(|s| choice(job, s).is_some()).and_then(|s| s.run.as_ref());
    match run {
        Some(run) => {
            let name = job.survey.instrument.run(run).map_or(run.0.as_str(), |r| r.name.as_str());
            card::dents_title(name, dents.len())
        }
        None => card::setup_title(steps, &|run| job.survey.instrument.run(run).map_or_else(|| run.0.clone(), |r| r.name.clone())),
    }
}

/// The method chosen for a step's dent, where the step works it.
pub(super) fn choice<'a>(job: &JobView<'a>, step: &Step) -> Option<&'a Choice> {
    if !matches!(step.kind, StepKind::Dent | StepKind::Crease) {
        return None;
    }
    let dent = step.dents.first()?;
    job.plan.choices.iter().find(|c| c.dent == *dent)
}

/// A tool to lay out.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Laid {
    /// What the shop calls it.
    pub(super) name: String,
    /// Where it hangs; empty where nobody said, or it is made first.
    pub(super) place: String,
    /// The step that makes or buys it.
    pub(super) made_in: Option<u32>,
}

impl Laid {
    /// Its name in a short list.
    pub(super) fn short(&self) -> String {
        self.made_in.map_or_else(|| self.name.clone(), card::tool_of_step)
    }
}

/// The tools of a method, those of the rack with where they hang.
pub(super) fn tools(job: &JobView, method: &Method) -> Vec<Laid> {
    let dent = &method.dent;
    let rack = |id: &ToolId| match job.rack.tools.iter().find(|t| t.id == *id) {
        Some(t) => Laid { name: crate::words::tool_with_condition(t), place: t.place.clone(), made_in: None },
        None => Laid { name: id.0.clone(), place: String::new(), made_in: None },
    };
    match &method.tool {
        ToolChoice::Rack { tools } => tools.iter().map(rack).collect(),
        ToolChoice::ToMake { make, with } => {
            let made = make.pieces.iter().map(|p| {
                let words = job.say(&p.words());
                if let Some((_, place)) = job.made_elsewhere.iter().find(|(e, _)| e.body == p.body) {
                    return Laid { name: words, place: place.clone(), made_in: None };
                }
                let all = &job.plan.tools_to_make;
                let at = all
                    .iter()
                    .position(|(piece, dents)| piece.body == p.body && dents.contains(dent))
                    .or_else(|| all.iter().position(|(piece, _)| piece.body == p.body));
                let made_in = at.and_then(|i| job.plan.steps.iter().filter(|s| s.kind == StepKind::MakeTool).nth(i)).map(|s| s.number);
                Laid { name: if p.is_bought() { card::to_buy(&words) } else { card::to_make(&words) }, place: String::new(), made_in }
            });
            made.chain(with.iter().map(rack)).collect()
        }
    }
}

fn dent_row(job: &JobView, s: &Step, c: &Choice, letter: Option<String>) -> Row {
    let crease = s.kind == StepKind::Crease;
    let method = if crease { c.method.easing() } else { c.method.clone() };
    let unit = job.unit;
    let assessment = job.assessments.iter().find(|a| a.dent == c.dent);
    let site = job.survey.dent(&c.dent).and_then(|d| job.survey.site(d));
    let dent = job.survey.dent(&c.dent);
    let overlay = |id: &instrument::OverlayId| job.survey.instrument.overlay(id).map_or_else(|| id.0.clone(), |o| o.name.clone());
    let stays: Vec<String> = method.stays_on().iter().map(overlay).collect();
    let past = assessment
        .filter(|_| method.kind.goes_past_true() && !crease)
        .map(|a| show_tenths(method.strokes.map_or(a.overpush(method.annealed).value, |x| x.past_true_mm), unit));
    let label = draw::label(job.survey, &c.dent);
    let note = card::dent_note(&card::DentNote {
        name: (label != c.dent.0).then_some(c.dent.0.as_str()),
        at: dent.and_then(|d| d.at_mm.as_ref()).map(|at| show_length(at.value, unit)),
        clock_deg: site.as_ref().and_then(|x| x.clock_deg.as_ref()).map(|c| c.value),
        depth: assessment.map_or(String::new(), |a| show_tenths(a.depth_mm.value, unit)),
        past_true: past,
        takes_back: method.way.as_ref().map(|w| show_force(w.back.hand_n.value, unit)),
        annealed: method.annealed,
        stays_on: &stays,
    });
    let limit = method.force_limit_n;
    let first = method.train.first().filter(|_| method.train.len() > 1).map(|b| size_words(b.ball_mm, unit));
    let row = DentRow {
        dent: label,
        section: letter.unwrap_or_default(),
        tool: card::tool(method.kind, &size_words(method.size_mm, unit), first.as_deref(), crease),
        note,
        force: force_digits(method.force_hand_n.value, unit),
        stop: if limit.is_finite() && limit > 0.0 { force_digits(limit, unit) } else { "–".to_owned() },
        strokes: method.strokes.filter(|_| !crease).map_or_else(|| "–".to_owned(), |x| format!("{:.0}", x.strokes.ceil().max(1.0))),
        passes: assessment
            .filter(|_| !crease)
            .map_or_else(|| "–".to_owned(), |a| format!("{:.0}", a.pass_count(method.annealed).value.ceil().max(1.0))),
        crack: assessment.map_or(String::new(), |a| units::likelihood::show_likelihood(job.plan.crack_likelihood(a).value)),
    };
    Row { step: s.number.to_string(), cautions: s.cautions.clone(), what: RowOf::Dent(Box::new(row)) }
}

/// The heats that were told in full, with the step and the setup that told them.
type Told = Vec<(Vec<String>, u32, u32)>;

/// A step without a dent of its own. A heat that a step before has told in full is not told again: in the same heat not at all, in
/// another in one line.
fn step_row(job: &JobView, s: &Step, told: &mut Told) -> Row {
    let hard = s.run.as_ref().and_then(|r| job.survey.instrument.run(r)).is_some_and(|r| r.role.must_stay_hard());
    let lines = s.heat.as_ref().map_or_else(Vec::new, |h| {
        let lines = heat::lines(job, h, hard || s.kind == StepKind::Anneal);
        let same_heat = |(said, _, setting): &&(Vec<String>, u32, u32)| *said == lines && *setting == s.setting;
        if told.iter().any(|t| same_heat(&t)) {
            return Vec::new();
        }
        match told.iter().find(|(said, ..)| *said == lines).map(|t| t.1) {
            Some(step) => {
                told.push((lines, step, s.setting));
                vec![heat::again(job, h, step)]
            }
            None => {
                told.push((lines.clone(), s.number, s.setting));
                lines
            }
        }
    });
    let mut what = card::sentence(&job.say(&s.what));
    for w in job.plan.work.iter().filter(|w| s.work.contains(&w.work)) {
        if !w.skill.is_empty() {
            what += &format!(" For somebody who knows {}.", w.skill);
        }
        if let Some(days) = w.sent_out_days {
            what += &format!(" Away for about {days} days.");
        }
    }
    Row { step: s.number.to_string(), cautions: s.cautions.clone(), what: RowOf::Step { what, lines, checks: checks(job, s) } }
}

/// What a step checks, with what is wanted.
fn checks(job: &JobView, s: &Step) -> Vec<(String, String)> {
    let all = job::acceptance::acceptance_checks(job.survey, job.plan);
    let before: usize = job.plan.steps.iter().take_while(|x| x.number != s.number).map(|x| x.checks.len()).sum();
    let mine = all.iter().skip(before).take(s.checks.len());
    mine.map(|c| (card::capital(&job.say(&c.what)), job.say(&c.wanted))).collect()
}
