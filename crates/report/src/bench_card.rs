//! The bench card: the job at a glance, the order of working, a drawing for each dent, tools to make, acceptance checks.

use crate::job_view::JobView;
use crate::typeset::{Pictures, ReportError, pdf};
use crate::words;
use draw::{Mark, ToolView, size_words};
use instrument::DentId;
use plan::{Caution, Choice, Heat, Step, StepKind};
use reach::{Method, MethodKind};
use serde_json::{Value, json};
use units::length::show_length;
use units::text::mm;
use units::{LengthUnit, text};

/// Width of the drawings on the paper, mm: A4 less its margins, also on Letter.
const WIDTH_MM: f64 = 182.0;

/// The bench card as PDF.
///
/// # Errors
/// Where the typesetter refuses the template: a defect of the program.
pub fn bench_card_pdf(job: &JobView) -> Result<Vec<u8>, ReportError> {
    let (data, pictures) = data(job);
    pdf("bench card", include_str!("../templates/bench_card.typ"), &data, pictures)
}

/// The instrument's line: maker, model, what it is, serial number.
pub(crate) fn instrument_line(survey: &instrument::Survey) -> String {
    let i = &survey.instrument;
    let kind = format!("{:?}", i.kind).to_lowercase();
    let kind = match i.kind {
        instrument::Kind::AltoHorn => "alto horn",
        instrument::Kind::Other => "brass instrument",
        _ => kind.as_str(),
    };
    let named = [i.maker.as_str(), i.model.as_str(), kind].into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join(" ");
    if i.serial.is_empty() { named } else { format!("{named}, serial {}", i.serial) }
}

fn data(job: &JobView) -> (Value, Pictures) {
    let (survey, plan) = (job.survey, job.plan);
    let marks = draw::marks(survey, plan);
    let mut pictures = Pictures::default();
    let overview =
        pictures.add(draw::overview(survey, &marks, job.unit, WIDTH_MM), "The tubes laid out straight with a labelled dot for each dent");
    let legend =
        pictures.add(draw::strip::legend(WIDTH_MM).finish("What the signs mean"), "What the signs mean in the drawings of the runs");
    let strips: Vec<Value> = survey
        .instrument
        .runs
        .iter()
        .filter(|r| survey.dents.iter().any(|d| d.run == r.id))
        .filter_map(|r| draw::strip(survey, &r.id, &marks, job.unit, WIDTH_MM).map(|d| (d, r)))
        .map(|(d, r)| pictures.add(d, &format!("{} straightened, with its dents", r.name)))
        .collect();
    let steps: Vec<Value> = plan.steps.iter().map(|s| step(job, s, &mut pictures)).collect();
    let tools: Vec<Value> = plan
        .tools_to_make
        .iter()
        .map(|(make, dents)| {
            let drawing = draw::piece_svg(make, job.unit).map(|d| pictures.add(d, &format!("Drawing: {}", job.say(&make.words()))));
            json!({
                "words": format!("{}: {}", if make.is_bought() { "buy" } else { "make" }, job.say(&make.words())),
                "because": job.say(&make.because),
                "dents": dents_words(dents),
                "drawing": drawing,
            })
        })
        .collect();
    let data = json!({
        "paper": job.paper.name(),
        "title": if survey.title.is_empty() { "Untitled job" } else { &survey.title },
        "instrument": instrument_line(survey),
        "shop": job.shop.name,
        "agreed": job.agreed.unwrap_or_default(),
        "not_done_title": if job.agreed.is_some() { "Stays, by agreement" } else { "Not done" },
        "customer": survey.customer,
        "surveyor": survey.surveyor,
        "date": survey.date,
        "footer": format!("{} · drawings to the scale beside each bar when printed at 100 %", job.shop.name),
        "totals": totals(job, &marks),
        "warnings": warnings(job),
        "overview": overview,
        "stays_on": stays_on(job),
        "opens": opens(job),
        "heats": heats(job),
        // One flame's reasons stand for all: the same formula, other lengths.
        "reasons": plan.steps.iter().filter_map(|s| step_reasons(job, s)).collect::<Vec<_>>(),
        "heat_reasons": plan.steps.iter().find_map(|s| s.heat.as_ref().map(|h| (s, h))).map_or_else(Vec::new, |(s, h)| {
            let neighbour = h.neighbours.first().map(|n| words::reasons(&format!("Step {}, its nearest neighbour", s.number), &n.temperature_degc, job.unit));
            let finish = words::reasons(&format!("Step {}, finish spoiled on either side", s.number), &h.finish_burns_mm, job.unit);
            neighbour.into_iter().chain([finish]).collect::<Vec<_>>()
        }),
        "cautions": cautions(job),
        "order": plan.steps.iter().enumerate().map(|(i, s)| order_row(job, s, i > 0 && plan.steps[i - 1].setting != s.setting)).collect::<Vec<_>>(),
        "legend": legend,
        "strips": strips,
        "steps": steps,
        "tools": tools,
        "not_done": plan.not_done.iter().map(|n| json!({
            "what": job.say(&n.what),
            "because": job.say(&n.because),
            "make": n.make.as_ref().map_or(String::new(), |m| job.say(&m.words())),
        })).collect::<Vec<_>>(),
        "replacements": plan.replacements.iter().map(|r| {
            let money = |f: &units::Figure| format!("{}{:.0}", job.shop.currency, f.value);
            json!({
                "run": survey.instrument.run(&r.run).map_or(r.run.0.as_str(), |x| x.name.as_str()),
                "straighten": money(&r.straighten_money), "replace": money(&r.replace_money),
                "verdict": if r.replace { "Replaced" } else { "Straightened" }, "because": job.say(&r.because),
            })
        }).collect::<Vec<_>>(),
        "checks": job::acceptance::acceptance_checks(survey, plan).iter().map(|p| json!({ "what": job.say(&p.what), "wanted": job.say(&p.wanted) })).collect::<Vec<_>>(),
        "measuring": job.worth.iter().flat_map(|w| w.worth_the_walk()).map(|w| json!({
            "what": format!("Dent {}, {}:", w.dent, w.field.label.to_lowercase()),
            "decides": format!("{}.", job.say(&w.hangs_on(&job.shop.currency))),
        })).collect::<Vec<_>>(),
        "assumptions": plan.assumptions.iter().map(|a| json!({ "what": job.say(&a.what), "change": job.say(&a.would_change) })).collect::<Vec<_>>(),
        "disclaimer": "Forces, heats and likelihoods are computed from the survey by the formulas named beside them, with ranges that hold nine times in ten; a measurement that lacks widens them. Under the minutes of a step: from all going well to its fighting back; of the whole job's hours the range holds eight times in ten. The hand and the eye at the bench come first. Cautions are the usual ones of the trade; local codes and licensed practice go before them.",
    });
    (data, pictures)
}

fn dents_words(dents: &[DentId]) -> String {
    let ids: Vec<&str> = dents.iter().map(|d| d.0.as_str()).collect();
    match ids.len() {
        0 => String::new(),
        1 => format!("dent {}", ids[0]),
        _ => format!("dents {}", ids.join(", ")),
    }
}

fn totals(job: &JobView, marks: &[Mark]) -> Vec<Value> {
    let plan = job.plan;
    let worked = marks.iter().filter(|m| m.worked).count();
    let left = marks.len() - worked;
    let making: f64 = plan.steps.iter().filter(|s| s.kind == plan::StepKind::MakeTool).map(|s| s.minutes.mean()).sum();
    let (hours, range) = job.quote.of_level(plan.level).map_or_else(
        || (words::minutes(plan.minutes.mean()), String::new()),
        |o| {
            let (half, tenth, nine) = o.hours();
            (format!("{half:.1} h"), format!("{tenth:.1} to {nine:.1} h, eight times in ten"))
        },
    );
    let one = |name: &str, value: String, note: String| json!({ "name": name, "value": value, "note": note });
    vec![
        one("time on the instrument", hours, range),
        one(
            "dents worked",
            worked.to_string(),
            if left > 0 {
                if job.agreed.is_some() { format!("{left} stay") } else { format!("{left} left, see Not done") }
            } else {
                "none left".into()
            },
        ),
        one("to open or take off", plan.opened.len().to_string(), "joints and overlays".into()),
        one("flame lit", plan.lit().to_string(), "times in all".into()),
        one(
            "tools to make",
            plan.tools_to_make.len().to_string(),
            if making > 0.0 { format!("{} besides", words::minutes(making)) } else { String::new() },
        ),
    ]
}

/// What of the overlays stays on over a dent that is pushed out under it; empty where nothing does.
fn stays_on(job: &JobView) -> String {
    let name = |id: &instrument::OverlayId| job.survey.instrument.overlay(id).map_or_else(|| id.0.clone(), |o| o.name.clone());
    let names: Vec<String> = job.plan.stays_on().into_iter().map(name).collect();
    names.join(", ")
}

fn warnings(job: &JobView) -> Vec<String> {
    let mut out = Vec::new();
    if job.survey.cleaned != Some(true) {
        out.push("Not flushed and degreased before the survey, as far as it says: what lies under the dirt may change the plan. Look again after cleaning.".to_owned());
    }
    if job.survey.wishes.keep_finish {
        out.push(
            "The customer wants the finish kept: no flame that would spoil it wherever another way exists; a step that needs one says so."
                .to_owned(),
        );
    }
    out
}

fn opens(job: &JobView) -> Vec<Value> {
    let of = |s: &Step| matches!(s.kind, StepKind::OpenJoint | StepKind::OverlayOff);
    job.plan
        .steps
        .iter()
        .filter(|s| of(s))
        .filter_map(|s| s.opened.as_ref().map(|o| (s, words::opened(job.survey, o))))
        .map(|(s, (what, held))| json!({ "step": s.number.to_string(), "what": what, "held": held }))
        .collect()
}

fn degc(x: f64, job: &JobView) -> String {
    match job.unit {
        units::LengthUnit::Mm => format!("{x:.0} °C"),
        units::LengthUnit::Inch => format!("{:.0} °F ({x:.0} °C)", x * 1.8 + 32.0),
    }
}

/// To the nearest ten: no torch is led more finely.
fn tens(x: f64) -> f64 {
    10.0 * (x / 10.0).round()
}

fn heats(job: &JobView) -> Vec<Value> {
    let survey = job.survey;
    job.plan
        .steps
        .iter()
        .filter_map(|s| s.heat.as_ref().map(|h| (s, h)))
        .map(|(s, h)| {
            let run = survey.instrument.run(&h.run).map_or(h.run.0.as_str(), |r| r.name.as_str());
            let named = |n: &plan::HeatNeighbour| words::opened(survey, &n.what).0;
            let sinks: Vec<String> = h.neighbours.iter().filter(|n| n.sink && !n.too_close).map(named).collect();
            let going: Vec<String> = h.neighbours.iter().filter(|n| n.too_close).map(named).collect();
            let mut protect = Vec::new();
            if !sinks.is_empty() {
                protect.push(format!("wet cloth or heat sink towards {}", sinks.join(", ")));
            }
            if !going.is_empty() {
                protect.push(format!("lets go too, bind it: {}", going.join(", ")));
            }
            let protect = if protect.is_empty() { "nothing near it melts".to_owned() } else { protect.join("; ") };
            json!({
                "step": s.number.to_string(),
                "place": format!("{run} at {}", show_length(h.at_mm, job.unit)),
                "target": degc(h.target_degc, job),
                "protect": protect,
            })
        })
        .collect()
}

/// Every caution of the job with its words and its steps.
fn cautions(job: &JobView) -> Vec<Value> {
    let steps = |c: Caution| -> Vec<u32> { job.plan.steps.iter().filter(|s| s.cautions.contains(&c)).map(|s| s.number).collect() };
    Caution::ALL
        .into_iter()
        .map(|c| (c, steps(c)))
        .filter(|(_, steps)| !steps.is_empty())
        .map(|(c, steps)| json!({ "name": c.name(), "words": c.text(), "steps": ranges(&steps) }))
        .collect()
}

/// Rising numbers as ranges: `4, 21–43, 85`.
fn ranges(numbers: &[u32]) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for n in numbers {
        match runs.last_mut() {
            Some((_, to)) if *to + 1 == *n => *to = *n,
            _ => runs.push((*n, *n)),
        }
    }
    runs.iter().map(|(a, b)| if a == b { a.to_string() } else { format!("{a}–{b}") }).collect::<Vec<_>>().join(", ")
}

/// The dents of a step in a narrow column.
fn few(dents: &[DentId]) -> String {
    if dents.len() > 3 { format!("{} dents", dents.len()) } else { dents.iter().map(|d| d.0.as_str()).collect::<Vec<_>>().join(", ") }
}

/// The method chosen for a step's first dent, where the step works it.
fn choice<'a>(job: &JobView<'a>, step: &Step) -> Option<&'a Choice> {
    if !matches!(step.kind, StepKind::Dent | StepKind::Crease) {
        return None;
    }
    let dent = step.dents.first()?;
    job.plan.choices.iter().find(|c| c.dent == *dent)
}

/// What a step does to its dent, in short: the method and its size have columns of their own.
fn deed(job: &JobView, s: &Step, method: &Method) -> String {
    let place = job.survey.dent(&method.dent).map_or_else(String::new, |d| {
        let run = job.survey.instrument.run(&d.run).map_or(d.run.0.as_str(), |r| r.name.as_str());
        d.at_mm.as_ref().map_or_else(|| format!(" ({run})"), |at| format!(" ({run}, {})", mm(at.value, 0).show(job.unit)))
    });
    match (s.kind, method.kind) {
        (StepKind::Crease, _) => format!("Ease the crease of {}{place}", method.dent),
        (_, MethodKind::FilledBend) => format!("Raise {}{place}", method.dent),
        _ => format!("Remove {}{place}", method.dent),
    }
}

/// `set_up`: fixture, entry or flame change before this step.
fn order_row(job: &JobView, s: &Step, set_up: bool) -> Value {
    let method = choice(job, s).map(|c| working(s, c));
    let method = method.as_ref();
    json!({
        "step": s.number.to_string(),
        "set_up": set_up,
        "dents": few(&s.dents),
        "what": method.map_or_else(|| job.say(&s.what), |m| deed(job, s, m)),
        "tool": method.map_or(String::new(), |w| format!("{}, {}", words::method(w.kind), size_words(w.size_mm, job.unit))),
        "force": method.map_or(String::new(), |w| words::force(w.force_hand_n.value, job.unit)),
        "time": words::minutes(s.minutes.mean()),
    })
}

/// What a step works with: a crease is eased over what stands under it when the work begins.
fn working(s: &Step, c: &Choice) -> Method {
    if s.kind == StepKind::Crease { c.method.easing() } else { c.method.clone() }
}

fn step(job: &JobView, s: &Step, pictures: &mut Pictures) -> Value {
    let chosen = choice(job, s);
    let method = chosen.map(|c| working(s, c));
    let drawing = method.as_ref().and_then(|m| {
        let view = ToolView { survey: job.survey, assessments: job.assessments, method: m, rack: Some(job.rack), unit: job.unit };
        draw::tool_in_tube(&view).map(|d| pictures.add(d, &format!("Dent {}: the tool in the tube, side view and section", m.dent)))
    });
    let force = chosen.map(|c| words::reasons("Force at the hand", &c.method.force_hand_n, job.unit));
    let dents = if s.dents.len() > 12 { format!("for {} dents", s.dents.len()) } else { dents_words(&s.dents) };
    let kind: Vec<String> = [words::step_kind(s.kind).to_owned(), dents].into_iter().filter(|w| !w.is_empty()).collect();
    json!({
        "number": s.number.to_string(),
        "kind": kind.join(" · "),
        "what": job.say(&s.what),
        "because": if chosen.is_some() { String::new() } else { job.say(&s.because) },
        "time": words::minutes(s.minutes.mean()),
        "time_range": words::minutes_range(s.minutes),
        "tool": chosen.map_or(String::new(), |c| words::tools(&c.method.tool, job.rack, job.unit)),
        "figures": method.as_ref().map_or_else(Vec::new, |m| figures(job, m)),
        "heat": s.heat.as_ref().map_or_else(Vec::new, |h| heat_lines(job, h)),
        "cautions": s.cautions.iter().map(|c| c.name()).collect::<Vec<_>>().join(" · "),
        "drawing": drawing,
        "reasons": force.into_iter().collect::<Vec<_>>(),
    })
}

/// Why this step is as it is, for the pages at the end.
fn step_reasons(job: &JobView, s: &Step) -> Option<Value> {
    let c = choice(job, s)?;
    let mut lines = vec![c.method.because.clone()];
    if s.because != c.method.because {
        lines.push(s.because.clone());
    }
    lines.push(c.because.clone());
    if let Some(a) = job.assessments.iter().find(|a| a.dent == c.dent) {
        lines.push(text!("Metal: {}", a.advice_because));
    }
    lines.retain(|l| !l.is_empty());
    let mut lines: Vec<String> = lines.iter().map(|l| job.say(l)).collect();
    if let Some(a) = job.assessments.iter().find(|a| a.dent == c.dent) {
        if c.method.kind.goes_past_true() {
            lines.push(words::reasons("Past true", a.overpush(c.method.annealed), job.unit));
        }
        lines.push(words::reasons("Crack likelihood", job.plan.crack_likelihood(a), job.unit));
    }
    Some(json!({ "step": s.number.to_string(), "lines": lines }))
}

fn figures(job: &JobView, method: &Method) -> Vec<Value> {
    let one = |name: &str, value: String| json!({ "name": name, "value": value });
    // Two units side by side are too wide for the large figures: newtons go beside the name.
    let force = |name: &str, n: f64| match job.unit {
        LengthUnit::Inch => one(&format!("{name}, {}", words::newtons(n)), words::pounds(n)),
        LengthUnit::Mm => one(name, words::newtons(n)),
    };
    let mut out = vec![one("working size", size_words(method.size_mm, job.unit)), force("force at the hand", method.force_hand_n.value)];
    if method.force_limit_n.is_finite() && method.force_limit_n > 0.0 {
        out.push(force("stop at", method.force_limit_n));
    }
    if let Some(way) = &method.way {
        if way.turned_deg >= 0.5 {
            out.push(force("on the ball at the dent", way.dent_n.value));
        }
        out.push(force("to bring it back", way.back.hand_n.value));
    }
    if let Some(a) = job.assessments.iter().find(|a| a.dent == method.dent) {
        if method.kind.goes_past_true() {
            out.push(one(
                "go past true by",
                show_length(method.strokes.map_or(a.overpush(method.annealed).value, |s| s.past_true_mm), job.unit),
            ));
        }
        out.push(one("passes", format!("{:.0}", a.pass_count(method.annealed).value.ceil().max(1.0))));
        out.push(one("crack likelihood", format!("{:.0} %", 100.0 * job.plan.crack_likelihood(a).value)));
    }
    out
}

fn heat_lines(job: &JobView, h: &Heat) -> Vec<String> {
    let mut out = vec![format!("Heat to {} at {}.", degc(h.target_degc, job), show_length(h.at_mm, job.unit))];
    if let Some(s) = &h.flame_s {
        out.push(format!("Flame for about {:.0} s ({:.0} to {:.0}); {}.", tens(s.value), tens(s.low), tens(s.high), h.torch));
    }
    if let Some(w) = &h.too_weak {
        out.push(format!("The torch brings it to {} only: take one of about {:.0} W or more.", degc(tens(w.got_degc), job), w.wants_w));
    }
    // Those that come within 60 °C of melting or want a sink are named; the rest is counted.
    let (near, far): (Vec<_>, Vec<_>) =
        h.neighbours.iter().partition(|n| n.sink || n.too_close || n.temperature_degc.high > n.melts_at_degc - 60.0);
    for n in near {
        let (name, held) = words::opened(job.survey, &n.what);
        let on = n.on.as_ref().and_then(|r| job.survey.instrument.run(r)).map_or_else(String::new, |r| format!(" on {}", r.name));
        let action = match (n.too_close, n.resoldered_by, n.sink) {
            (true, Some(step), _) => format!(" It lets go: bind it with wire; step {step} solders it again."),
            (true, None, _) => " It lets go: bind it with wire.".to_owned(),
            (false, _, true) => " Heat sink or wet cloth between.".to_owned(),
            _ => String::new(),
        };
        let t = &n.temperature_degc;
        out.push(format!(
            "{name} ({held}){on} at {}, {} from the flame: reaches about {} ({} to {}), melts from {}.{action}",
            show_length(n.at_mm, job.unit),
            show_length(n.distance_mm, job.unit),
            degc(tens(t.value), job),
            degc(tens(t.low), job),
            degc(tens(t.high), job),
            degc(n.melts_at_degc, job),
        ));
    }
    if let Some(hottest) = far.iter().map(|n| n.temperature_degc.value).reduce(f64::max) {
        let others = if far.len() == 1 { "One other joint or part".to_owned() } else { format!("{} other joints and parts", far.len()) };
        out.push(format!("{others} nearby: no hotter than about {}, well under melting.", degc(tens(hottest), job)));
    }
    if let Some(at) = h.sink_at_mm {
        out.push(format!("Heat sink {} from the flame.", show_length(at, job.unit)));
    }
    out.push(format!("Finish spoiled for about {} on either side.", show_length(h.finish_burns_mm.value, job.unit)));
    if !h.temper_note.is_empty() {
        out.push(job.say(&h.temper_note));
    }
    out
}

#[cfg(test)]
mod tests {
    #[test]
    fn steps_in_a_row_are_a_range() {
        assert_eq!(super::ranges(&[4, 21, 22, 23, 85]), "4, 21–23, 85");
        assert_eq!(super::ranges(&[]), "");
    }
}
