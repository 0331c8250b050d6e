//! Page one of the card.

use super::words as card;
use super::{heat, sheets};
use crate::job_view::JobView;
use crate::typeset::picture;
use crate::words;
use draw::{MapView, Mark};
use instrument::{JointKind, OverlayKind};
use paper::Picture;
use plan::{Caution, Heat, Step, StepKind};
use reach::Opened;
use units::ThreePoint;
use units::duration::show_minutes;
use units::temperature::temperature_digits;

/// The picture is no higher than this, mm.
const HIGHEST_MM: f64 = 165.0;
/// Scales of the picture that are tried, each so much smaller than the one before: the largest that leaves page one room for the rest is
/// taken.
const TRIED: i32 = 9;
const SMALLER: f64 = 1.1;
/// What must not be done and what to lay out stands beside the picture where it has this width, mm; else below it.
const BESIDE_MM: f64 = 62.0;
/// Room between the picture and what stands beside it, mm.
pub(super) const GUTTER_MM: f64 = 4.0;

/// What stands on page one.
pub(crate) struct Front {
    pub(super) totals: Vec<Total>,
    /// How it plays; empty where nobody worked it out.
    pub(super) plays: String,
    /// The instrument's picture, the largest first.
    pub(super) maps: Vec<Map>,
    /// What holds most of what comes apart, in a sentence; empty where nothing does.
    pub(super) apart_held: String,
    pub(super) apart: Vec<ApartRow>,
    pub(super) setup_columns: usize,
    pub(super) setups: Vec<SetupRow>,
    pub(super) tools: Vec<sheets::Laid>,
    /// Numbers of dents that have names, with their names.
    pub(super) numbers: Vec<(String, String)>,
    pub(super) not: Vec<String>,
    /// Each caution by name, with its steps.
    pub(super) watch: Vec<(String, String)>,
}

/// A figure at the head of the page.
pub(crate) struct Total {
    pub(super) name: &'static str,
    pub(super) value: String,
    pub(super) note: String,
}

/// The instrument's picture.
pub(crate) struct Map {
    pub(super) picture: Picture,
    /// Whether nothing stands beside it.
    pub(super) alone: bool,
}

/// What comes apart or is heated, as a row.
pub(crate) struct ApartRow {
    pub(super) open: String,
    pub(super) close: String,
    pub(super) what: String,
    /// The heat, °C or °F without its sign, or how else.
    pub(super) to: String,
    pub(super) protect: String,
}

/// A setup with its tools.
pub(crate) struct SetupRow {
    pub(super) n: String,
    pub(super) title: String,
    pub(super) tools: String,
    pub(super) time: String,
}

/// The sheets on which the picture is tried, the largest first.
fn sheets_mm(job: &JobView, width_mm: f64) -> Vec<(f64, f64)> {
    let Some(thing) = draw::map::extent_mm(job.survey) else { return vec![(width_mm, HIGHEST_MM)] };
    let edge = draw::map::EDGE_MM;
    let largest = (thing.0 / (width_mm - 2.0 * edge.0)).max(thing.1 / (HIGHEST_MM - 2.0 * edge.1));
    let sheet = |scale: f64| {
        let wide = thing.0 / scale + 2.0 * edge.0;
        // What is not beside it gives its room to the numbers.
        let wide = if width_mm - wide - GUTTER_MM < BESIDE_MM { width_mm } else { wide };
        (wide, thing.1 / scale + 2.0 * edge.1)
    };
    (0..TRIED).map(|i| sheet(largest * SMALLER.powi(i))).collect()
}

pub(super) fn front(job: &JobView, marks: &[Mark], width_mm: f64) -> Front {
    let apart = apart(job);
    let numbers: Vec<draw::map::Apart> =
        apart.iter().filter_map(|a| a.opened.clone().map(|o| (a.open.first().map_or(String::new(), u32::to_string), o))).collect();
    let view = MapView { survey: job.survey, assessments: job.assessments, marks, apart: &numbers, unit: job.unit };
    let map = |sheet: (f64, f64)| Map {
        picture: picture(draw::map(&view, sheet), card::map_alt(marks.len(), numbers.len())),
        alone: sheet.0 >= width_mm,
    };
    let usual = usual(&apart);
    let setups = setups(job);
    let row = |a: &Apart| ApartRow {
        open: card::ranges(&a.open),
        close: card::ranges(&a.close),
        what: if a.held.is_empty() || Some(&a.held) == usual.as_ref() { a.what.clone() } else { format!("{} ({})", a.what, a.held) },
        to: a
            .heats
            .iter()
            .map(|h| h.target_degc)
            .reduce(f64::max)
            .map_or_else(|| card::BY_HAND.to_owned(), |t| temperature_digits(t, job.unit)),
        protect: if a.heats.is_empty() { String::new() } else { heat::protect(job, &a.heats) },
    };
    let labels = job.survey.dents.iter().map(|d| (draw::label(job.survey, &d.id), d.id.0.clone()));
    Front {
        totals: totals(job, marks),
        plays: job.played.map_or_else(String::new, |p| job.say(&p.words(job.plan))),
        maps: sheets_mm(job, width_mm).into_iter().map(map).collect(),
        apart_held: usual.as_deref().map_or(String::new(), card::held_by),
        apart: apart.iter().map(row).collect(),
        setup_columns: if setups.len() > 16 { 3 } else { 2 },
        setups,
        tools: tools(job),
        numbers: labels.filter(|(label, name)| label != name).collect(),
        not: must_not(job),
        watch: watch(job),
    }
}

/// Something that comes apart, or is heated.
struct Apart<'a> {
    open: Vec<u32>,
    close: Vec<u32>,
    what: String,
    held: String,
    opened: Option<Opened>,
    heats: Vec<&'a Heat>,
    setting: u32,
}

/// What comes apart in working order: what is opened in one heat is one line; then every other heat.
fn apart<'a>(job: &JobView<'a>) -> Vec<Apart<'a>> {
    let mut all: Vec<Apart> = Vec::new();
    let name = |o: &Opened| (words::opened(job.survey, o).0, held(job, o));
    for s in &job.plan.steps {
        match (s.kind, &s.opened) {
            (StepKind::OpenJoint | StepKind::OverlayOff, Some(o)) => {
                let (what, held) = name(o);
                let ferrule =
                    matches!(o, Opened::Overlay(id) if job.survey.instrument.overlay(id).is_some_and(|x| x.kind == OverlayKind::Ferrule));
                match all.last_mut().filter(|a| s.heat.is_some() && a.setting == s.setting && !a.open.is_empty()) {
                    Some(a) => {
                        a.open.push(s.number);
                        a.what.push_str(&if ferrule { card::WITH_FERRULE.to_owned() } else { format!(", {what}") });
                    }
                    None => all.push(Apart {
                        open: vec![s.number],
                        close: Vec::new(),
                        what,
                        held,
                        opened: Some(o.clone()),
                        heats: s.heat.iter().collect(),
                        setting: s.setting,
                    }),
                }
            }
            (StepKind::CloseJoint | StepKind::OverlayBack, Some(o)) => {
                let mine = |a: &&mut Apart| job.plan.steps.iter().any(|x| a.open.contains(&x.number) && x.opened.as_ref() == Some(o));
                // What lets go in another heat and is soldered again is named by that heat's line.
                if let Some(a) = all.iter_mut().find(mine) {
                    a.close.push(s.number);
                    a.heats.extend(&s.heat);
                }
            }
            _ => {
                if let Some(h) = &s.heat {
                    let what = if s.kind == StepKind::Anneal { card::anneal(&s.dents) } else { job.say(&s.what) };
                    all.push(Apart {
                        open: vec![s.number],
                        close: Vec::new(),
                        what,
                        held: String::new(),
                        opened: None,
                        heats: vec![h],
                        setting: s.setting,
                    });
                }
            }
        }
    }
    all
}

/// What holds it, in a word: its filler where it has one.
fn held(job: &JobView, what: &Opened) -> String {
    let instrument = &job.survey.instrument;
    let filler = match what {
        Opened::Joint(id) => instrument.joint(id).and_then(|j| match &j.kind {
            JointKind::SoftSoldered { filler } | JointKind::SilverBrazed { filler } => Some(*filler),
            _ => None,
        }),
        Opened::Overlay(id) => instrument.overlay(id).and_then(|o| o.filler),
    };
    filler.map_or_else(|| words::opened(job.survey, what).1, |f| f.name().to_owned())
}

/// What holds most of what comes apart, where it is more than one.
fn usual(apart: &[Apart]) -> Option<String> {
    let times = |held: &str| apart.iter().filter(|a| a.held == held).count();
    let most = apart.iter().filter(|a| !a.held.is_empty()).max_by_key(|a| times(&a.held))?;
    (times(&most.held) > 1).then(|| most.held.clone())
}

fn totals(job: &JobView, marks: &[Mark]) -> Vec<Total> {
    let plan = job.plan;
    let worked = marks.iter().filter(|m| m.worked).count();
    let making: f64 = plan.steps.iter().filter(|s| s.kind == StepKind::MakeTool).map(|s| s.minutes.mean()).sum();
    let (hours, range) = job
        .quote
        .of_level(plan.level)
        .map_or_else(|| (show_minutes(plan.minutes.mean()), String::new()), |o| (o.time(), card::hours_range(&o.times_between())));
    let one = |i: usize, value: String, note: String| Total { name: card::TOTALS[i], value, note };
    vec![
        one(0, hours, range),
        one(1, worked.to_string(), card::dents_left(marks.len() - worked, job.agreed.is_some())),
        one(2, plan.opened.len().to_string(), card::PLACES.to_owned()),
        one(3, plan.lit().to_string(), card::TIMES.to_owned()),
        one(4, plan.tools_to_make.len().to_string(), if making > 0.0 { card::making(&show_minutes(making)) } else { String::new() }),
    ]
}

/// A setup as the card shows it.
pub(crate) struct Setup<'a> {
    /// Its number, or the numbers of those that stand under one head.
    pub(crate) number: String,
    /// What it is called.
    pub(crate) title: String,
    /// Minutes of its steps.
    pub(crate) minutes: ThreePoint,
    steps: &'a [Step],
}

/// The setups in working order.
pub(crate) fn setups_in_order<'a>(job: &JobView<'a>) -> Vec<Setup<'a>> {
    sheets::groups(&job.plan.steps)
        .into_iter()
        .map(|steps| Setup {
            number: sheets::number(steps),
            title: sheets::title(job, steps),
            minutes: steps.iter().fold(ThreePoint::ZERO, |sum, s| sum.plus(s.minutes)),
            steps,
        })
        .collect()
}

/// The setups on page one, each with its tools.
fn setups(job: &JobView) -> Vec<SetupRow> {
    setups_in_order(job)
        .into_iter()
        .map(|setup| {
            let mut names: Vec<String> = Vec::new();
            for t in setup.steps.iter().filter_map(|s| sheets::choice(job, s)).flat_map(|c| sheets::tools(job, &c.method)) {
                if !names.contains(&t.short()) {
                    names.push(t.short());
                }
            }
            SetupRow { time: show_minutes(setup.minutes.mean()), n: setup.number, title: setup.title, tools: names.join(", ") }
        })
        .collect()
}

/// Every tool of the rack that a dent is worked with, with its place, by place; then what is made or bought.
fn tools(job: &JobView) -> Vec<sheets::Laid> {
    let mut all: Vec<sheets::Laid> = Vec::new();
    for c in &job.plan.choices {
        for t in sheets::tools(job, &c.method) {
            if !all.contains(&t) {
                all.push(t);
            }
        }
    }
    all.sort_by(|a, b| (&a.place, &a.name).cmp(&(&b.place, &b.name)));
    let made: Vec<u32> = job.plan.steps.iter().filter(|s| s.kind == StepKind::MakeTool).map(|s| s.number).collect();
    all.retain(|t| t.made_in.is_none());
    if !made.is_empty() {
        all.push(sheets::Laid { name: card::made_in(&made), place: String::new(), made_in: None });
    }
    all
}

fn must_not(job: &JobView) -> Vec<String> {
    let (survey, plan) = (job.survey, job.plan);
    let mut out = Vec::new();
    if survey.cleaned != Some(true) && survey.has_damage() {
        out.push(card::NOT_CLEANED.to_owned());
    }
    if survey.wishes.keep_finish {
        out.push(card::KEEP_FINISH.to_owned());
    }
    let annealed: Vec<_> = plan.steps.iter().filter(|s| s.kind == StepKind::Anneal).filter_map(|s| s.run.as_ref()).collect();
    let hard: Vec<&str> = survey
        .instrument
        .runs
        .iter()
        .filter(|r| r.role.must_stay_hard() && !annealed.contains(&&r.id))
        .filter(|r| plan.steps.iter().any(|s| s.kind == StepKind::Dent && s.run.as_ref() == Some(&r.id)))
        .map(|r| r.name.as_str())
        .collect();
    if !hard.is_empty() {
        out.push(card::must_stay_hard(&hard));
    }
    if plan.choices.iter().any(|c| c.method.force_limit_n.is_finite() && c.method.force_limit_n > 0.0) {
        out.push(card::STOP_AT.to_owned());
    }
    let stays: Vec<String> =
        plan.stays_on().into_iter().map(|id| survey.instrument.overlay(id).map_or_else(|| id.0.clone(), |o| o.name.clone())).collect();
    if !stays.is_empty() {
        out.push(card::leave_on(&stays));
    }
    if !plan.not_done.is_empty() {
        out.push(card::leave(&plan.not_done.iter().map(|n| job.say(&n.what)).collect::<Vec<_>>()));
    }
    out
}

/// Every caution of the job by name, with its steps; the words stand on the pages of those steps.
fn watch(job: &JobView) -> Vec<(String, String)> {
    let steps = |c: Caution| -> Vec<u32> { job.plan.steps.iter().filter(|s| s.cautions.contains(&c)).map(|s| s.number).collect() };
    Caution::ALL
        .into_iter()
        .map(|c| (c, steps(c)))
        .filter(|(_, steps)| !steps.is_empty())
        .map(|(c, steps)| (card::capital(c.name()), card::ranges(&steps)))
        .collect()
}
