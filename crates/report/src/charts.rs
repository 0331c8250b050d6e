//! The charts of a job with their tables, for the reasons on paper and for the plan's page: time by setup, likelihood of a crack,
//! temperature along the tube, cents of each note, input impedance. What is drawn is what the plan says; nothing is worked out here.

use crate::card;
use crate::job_view::{JobView, Paper};
use crate::words;
use draw::Drawing;
use draw::chart::{CentsRow, CrackRow, HEAT_KEY, HeatMark, HeatView, TimeRow, cents_chart, crack_chart, heat_chart, time_chart};
use draw::graph::Curve;
use instrument::Survey;
use job::Job;
use plan::{Heat, HeatNeighbour, Plan, Step};
use units::LengthUnit;
use units::duration::show_minutes;
use units::likelihood::show_likelihood;
use units::temperature::{show_temperature, temperature_digits};

/// A chart with its table.
#[derive(Clone, Debug)]
pub struct Chart {
    /// What it shows.
    pub title: String,
    /// The chart.
    pub drawing: Drawing,
    /// The heads of its table's columns.
    pub columns: Vec<String>,
    /// Its table's rows.
    pub rows: Vec<Vec<String>>,
    /// Which columns hold numbers.
    pub numbers: Vec<bool>,
    /// Which column takes the room that the others leave.
    pub wide: usize,
    /// What its signs mean, where that stands beside it and not in it.
    pub key: String,
}

/// All charts of a job that have something to show, `width_mm` wide.
pub fn charts(job: &Job, unit: LengthUnit, width_mm: f64) -> Vec<Chart> {
    let view = JobView::of(job, unit, Paper::default());
    let mut all = of_the_job(&view, width_mm);
    all.extend(of_heats(&view, width_mm));
    all
}

impl Chart {
    /// What a reader hears who does not see it; the table tells the rest.
    pub(crate) fn drawing_alt(&self) -> String {
        format!("{}. The table beside it tells the same.", self.title)
    }
}

/// Those of the whole job.
pub(crate) fn of_the_job(job: &JobView, width_mm: f64) -> Vec<Chart> {
    time(job, width_mm).into_iter().chain(cracks(job, width_mm)).chain(notes(job, width_mm)).chain(impedance(job, width_mm)).collect()
}

fn chart(title: &str, drawing: Drawing, wide: usize, columns: &[&str], numbers: &[bool], rows: Vec<Vec<String>>) -> Chart {
    let columns = columns.iter().map(|c| (*c).to_owned()).collect();
    Chart { title: title.to_owned(), drawing, columns, rows, numbers: numbers.to_vec(), wide, key: String::new() }
}

/// Time by setup, in working order.
fn time(job: &JobView, width_mm: f64) -> Option<Chart> {
    let setups = card::setups_in_order(job);
    if setups.is_empty() {
        return None;
    }
    let bars: Vec<TimeRow> = setups
        .iter()
        .map(|s| TimeRow {
            name: format!("{} {}", s.number, s.title),
            minutes: (s.minutes.least, s.minutes.mean(), s.minutes.most),
            shown: show_minutes(s.minutes.mean()),
        })
        .collect();
    let rows = setups
        .iter()
        .map(|s| {
            vec![
                s.number.clone(),
                s.title.clone(),
                show_minutes(s.minutes.least),
                show_minutes(s.minutes.mean()),
                show_minutes(s.minutes.most),
            ]
        })
        .collect();
    Some(chart(
        "Time by setup, in working order",
        time_chart(&bars, width_mm),
        1,
        &["setup", "what", "all goes well", "as the card says", "fights back"],
        &[false, false, true, true, true],
        rows,
    ))
}

/// The likelihood that a crack starts in each dent that is worked, in working order.
fn cracks(job: &JobView, width_mm: f64) -> Option<Chart> {
    let plan = job.plan;
    let marks = draw::marks(job.survey, plan);
    let worked = marks.iter().filter(|m| plan.choices.iter().any(|c| c.dent == m.dent));
    let all: Vec<(&draw::Mark, &dent::Assessment)> =
        worked.filter_map(|m| Some((m, job.assessments.iter().find(|a| a.dent == m.dent)?))).collect();
    if all.is_empty() {
        return None;
    }
    let rows: Vec<CrackRow> = all
        .iter()
        .map(|(m, a)| CrackRow {
            label: m.label.clone(),
            cold: a.crack_likelihood.value,
            annealed: a.crack_likelihood_annealed.value,
            shown: show_likelihood(plan.crack_likelihood(a).value),
        })
        .collect();
    let table = all
        .iter()
        .map(|(m, a)| {
            let [cold, annealed, planned] =
                [&a.crack_likelihood, &a.crack_likelihood_annealed, plan.crack_likelihood(a)].map(|f| show_likelihood(f.value));
            vec![if m.is_number() { format!("{} {}", m.label, m.dent) } else { m.label.clone() }, cold, annealed, planned]
        })
        .collect();
    Some(chart(
        "Likelihood of a crack, cold and after an anneal",
        crack_chart(&rows, dent::ACCEPTED, width_mm),
        0,
        &["dent", "cold", "annealed", "as planned"],
        &[false, true, true, true],
        table,
    ))
}

/// Cents that each note is off, as it came in and after the plan.
fn notes(job: &JobView, width_mm: f64) -> Option<Chart> {
    let all = job.played?.notes(job.plan);
    if all.is_empty() {
        return None;
    }
    let cents = |v: f64| format!("{v:+.1}").replace("+0.0", "0.0").replace("-0.0", "0.0");
    let rows: Vec<CentsRow> = all
        .iter()
        .map(|n| CentsRow {
            note: n.note.clone(),
            now: n.now.cents,
            after: n.after.cents,
            shown: format!("{}, {}", cents(n.now.cents), cents(n.after.cents)),
        })
        .collect();
    let table = all
        .iter()
        .map(|n| {
            let range = |o: &job::played::OffMost| format!("{} ({} to {})", cents(o.cents), cents(o.low), cents(o.high));
            vec![n.note.clone(), range(&n.now), range(&n.after)]
        })
        .collect();
    Some(chart(
        "Cents that each note is off, as it came in and after the work",
        cents_chart(&rows, width_mm),
        0,
        &["note", "as it came in", "after the work"],
        &[false, true, true],
        table,
    ))
}

/// Frequencies of the impedance's chart: three to a millimeter of the widest sheet.
const FREQUENCIES: u32 = 500;

/// The input impedance with valves up, as it came in and after the plan, with its peaks.
fn impedance(job: &JobView, width_mm: f64) -> Option<Chart> {
    let z = job.played?.impedance(job.plan, FREQUENCIES)?;
    let points = |sizes: &[f64]| z.hz.iter().copied().zip(sizes.iter().copied()).collect::<Vec<_>>();
    let (now, after) = (points(&z.now), points(&z.after));
    let curves =
        [Curve { name: "as it came in", points: &now, dashed: true }, Curve { name: "after the work", points: &after, dashed: false }];
    let title = "Input impedance, valves up: each peak is a note it holds";
    let rows = z
        .peaks
        .iter()
        .map(|p| vec![p.mode.to_string(), format!("{:.1}", p.now_hz), format!("{:.1}", p.after_hz), format!("{:.0}", p.q)])
        .collect();
    Some(chart(
        title,
        draw::graph::curves(title, false, "Pa s/m³", &curves, width_mm, 0.3 * width_mm + 45.0),
        0,
        &["peak", "as it came in, Hz", "after the work, Hz", "Q"],
        &[true, true, true, true],
        rows,
    ))
}

/// The heats that differ: one of each that brings the same place to the same heat with the same neighbors.
pub(crate) fn of_heats(job: &JobView, width_mm: f64) -> Vec<Chart> {
    differing(job.plan).into_iter().filter(|(_, h)| h.along.len() > 1).map(|(s, h)| heat(job, s, h, width_mm)).collect()
}

/// The first step of each heat that is not as one before it.
fn differing(plan: &Plan) -> Vec<(&Step, &Heat)> {
    let mut all: Vec<(&Step, &Heat)> = Vec::new();
    for s in &plan.steps {
        let Some(h) = &s.heat else { continue };
        let same = |o: &Heat| o.run == h.run && (o.at_mm - h.at_mm).abs() < 1.0 && (o.target_degc - h.target_degc).abs() < 1.0;
        if !all.iter().any(|(_, o)| same(o)) {
            all.push((s, h));
        }
    }
    all
}

fn heat(job: &JobView, step: &Step, h: &Heat, width_mm: f64) -> Chart {
    let unit = job.unit;
    let near: Vec<&HeatNeighbour> =
        h.neighbours.iter().filter(|n| n.sink || n.too_close || n.temperature_degc.high > n.melts_at_degc - card::NEAR_DEGC).collect();
    let marks: Vec<HeatMark> = near
        .iter()
        .enumerate()
        .map(|(i, n)| HeatMark {
            number: i + 1,
            x_mm: along_mm(job.survey, h, n),
            degc: (n.temperature_degc.low, n.temperature_degc.value, n.temperature_degc.high),
            melts_degc: n.melts_at_degc,
        })
        .collect();
    let along: Vec<(f64, f64)> = h.along.iter().map(|p| (p.at_mm - h.at_mm, p.degc)).collect();
    let view = HeatView { along: &along, target_degc: h.target_degc, marks: &marks, unit };
    let rows = near
        .iter()
        .enumerate()
        .map(|(i, n)| {
            let t = &n.temperature_degc;
            vec![
                (i + 1).to_string(),
                words::opened(job.survey, &n.what).0,
                card::away(n.distance_mm, unit),
                format!(
                    "{} ({} to {})",
                    show_temperature(t.value, unit),
                    temperature_digits(t.low, unit),
                    temperature_digits(t.high, unit)
                ),
                show_temperature(n.melts_at_degc, unit),
            ]
        })
        .collect();
    let name = job.survey.instrument.run(&h.run).map_or(h.run.0.as_str(), |r| r.name.as_str());
    let drawn = chart(
        &format!("Step {}: heat along the {name}", step.number),
        heat_chart(&view, width_mm),
        1,
        &["", "neighbor", "from the flame", "gets", "melts from"],
        &[true, false, true, true, true],
        rows,
    );
    Chart { key: HEAT_KEY.to_owned(), ..drawn }
}

/// Where a neighbor lies from the flame along the tube, mm, below zero towards the mouthpiece. On another tube it lies as far as heat
/// goes to it, on the side on which that tube stands in the survey's order of tubes.
fn along_mm(survey: &Survey, h: &Heat, n: &HeatNeighbour) -> f64 {
    let index = |run: &instrument::RunId| survey.instrument.runs.iter().position(|r| r.id == *run);
    match &n.on {
        Some(on) if *on == h.run => n.at_mm - h.at_mm,
        Some(on) if index(on) < index(&h.run) => -n.distance_mm,
        _ => n.distance_mm,
    }
}
