//! The summary in the terminal: dents in the order of working, method, tool and size, force, risk, time, price.

use anstyle::{AnsiColor, Style};
use dent::{Assessment, Effect};
use job::Job;
use job::worth::WorthKnowing;
use plan::{Choice, StepKind};
use reach::{MethodKind, ToolChoice};
use std::fmt::Write;
use units::duration::{show_minutes, show_minutes_between};
use units::force::{force_digits, show_force};
use units::length::{LengthUnit, show_size};
use units::likelihood::show_likelihood;
use units::money::{show_about, show_whole};

const BOLD: Style = Style::new().bold();
const WARN: Style = AnsiColor::Yellow.on_default().bold();
const SOFT: Style = Style::new().dimmed();

/// The whole summary.
pub fn summary(job: &Job, worth: &WorthKnowing, unit: LengthUnit) -> String {
    let mut out = String::new();
    let i = &job.survey.instrument;
    let name = [i.maker.as_str(), i.model.as_str()].iter().filter(|s| !s.is_empty()).copied().collect::<Vec<_>>().join(" ");
    let title = if job.survey.title.is_empty() { format!("{:?}", i.kind) } else { job.survey.title.clone() };
    line(&mut out, &format!("{BOLD}{title}{BOLD:#}{}", if name.is_empty() { String::new() } else { format!("  ({name})") }));
    line(
        &mut out,
        &format!(
            "{} dents, {} removed, {} steps, {} joints and parts come off",
            job.survey.dents.len(),
            job.plan.seen_to().len(),
            job.plan.steps.len(),
            job.plan.opened.len()
        ),
    );
    let name = |id: &instrument::OverlayId| job.survey.instrument.overlay(id).map_or_else(|| id.to_string(), |o| o.name.clone());
    let on: Vec<String> = job.plan.stays_on().into_iter().map(name).collect();
    if !on.is_empty() {
        line(&mut out, &format!("{} stays on; the dents under it are pushed out from inside (--take-off removes it first)", on.join(", ")));
    }
    line(&mut out, &format!("Tuning. {} {SOFT}{}{SOFT:#}", job.played.words(&job.plan).show(unit), job::played::LEFT_OUT));
    out.push('\n');
    dents(&mut out, job, unit);
    other_work(&mut out, job);
    replacements(&mut out, job, unit);
    tools(&mut out, job, unit);
    not_done(&mut out, job, unit);
    cautions(&mut out, job);
    measure(&mut out, job, worth, unit);
    check(&mut out, job);
    others(&mut out, job, unit);
    offers(&mut out, job);
    out
}

fn line(out: &mut String, text: &str) {
    out.push_str(text);
    out.push('\n');
}

fn dents(out: &mut String, job: &Job, unit: LengthUnit) {
    if job.survey.dents.is_empty() {
        return;
    }
    line(
        out,
        &format!(
            "{SOFT}{:<5} {:<24} {:<22} {:<30} {:>20} {:>6} {:>16} {:>8}{SOFT:#}",
            "dent", "where", "method", "tool and size", "force", "crack", "time", "cost"
        ),
    );
    for choice in in_order(job) {
        let Some(a) = job.assessments.iter().find(|a| a.dent == choice.dent) else { continue };
        let run = job.survey.instrument.run(&a.run).map_or_else(|| a.run.to_string(), |r| r.name.clone());
        let minutes = job
            .plan
            .steps
            .iter()
            .filter(|s| matches!(s.kind, StepKind::Dent | StepKind::Crease) && s.dents.contains(&a.dent))
            .map(|s| s.minutes);
        let (least, most) = minutes.fold((0.0, 0.0), |(l, m), t| (l + t.least, m + t.most));
        let f = &choice.method.force_hand_n;
        let marks = marks(job, a, choice);
        line(
            out,
            &format!(
                "{BOLD}{:<5}{BOLD:#} {:<24} {:<22} {:<30} {:>20} {:>6} {:>16} {:>8}{}",
                a.dent.0,
                cut(&run, 24),
                method_words(choice.method.kind),
                cut(&tool(job, choice, unit), 30),
                format!("{} ({}–{})", show_force(f.value, unit), force_digits(f.low, unit), force_digits(f.high, unit)),
                show_likelihood(job.plan.crack_likelihood(a).value),
                show_minutes_between(least, most),
                show_about(choice.cost_money.value, &job.shop.currency),
                if marks.is_empty() { String::new() } else { format!("\n      {WARN}{}{WARN:#}", marks.join(", ")) },
            ),
        );
    }
    line(out, &format!("{SOFT}{RANGES}{SOFT:#}"));
}

/// Each caution by its name with the numbers of its steps; what to do stands on the bench card.
fn cautions(out: &mut String, job: &Job) {
    let named: Vec<String> = job.cautions().iter().map(|c| format!("{} ({})", c.name, c.steps_words())).collect();
    if !named.is_empty() {
        out.push('\n');
        line(out, &format!("{BOLD}Cautions{BOLD:#} (steps): {}", named.join(", ")));
        line(out, &format!("{SOFT}What to do stands on the bench card. {}{SOFT:#}", plan::caution::DEFERS));
    }
}

/// What the ranges of the table are.
const RANGES: &str = "Force: the likeliest, and the range that holds nine times in ten. Time: from an easy dent to one that fights back.";

/// Choices in the order in which the plan works their dents.
fn in_order(job: &Job) -> Vec<&Choice> {
    let place =
        |c: &Choice| job.plan.steps.iter().position(|s| s.kind == StepKind::Dent && s.dents.contains(&c.dent)).unwrap_or(usize::MAX);
    let mut choices: Vec<&Choice> = job.plan.choices.iter().collect();
    choices.sort_by_key(|c| place(c));
    choices
}

/// What a repairer must not miss about a dent.
fn marks(job: &Job, a: &Assessment, choice: &Choice) -> Vec<String> {
    let mut marks = Vec::new();
    for e in &a.effects {
        match e {
            Effect::MovingFit { fit } => {
                let name = job.survey.instrument.fit(fit).map_or_else(|| fit.to_string(), |f| f.name.clone());
                marks.push(format!("matters for {name}"));
                break;
            }
            Effect::Bore => {
                marks.push("matters for the bore".to_owned());
                break;
            }
            Effect::Pitch { note, cents } => {
                marks.push(format!("pitch: {note} {cents:+.0} cents"));
                break;
            }
            _ => {}
        }
    }
    let Some(dent) = job.survey.dent(&a.dent) else { return marks };
    if dent.crack.is_some() {
        marks.push("crack: stopped first".to_owned());
    }
    if job.plan.steps.iter().any(|s| s.kind == StepKind::Crease && s.dents.contains(&a.dent)) {
        marks.push("crease: eased first".to_owned());
    }
    if job.plan.steps.iter().any(|s| s.kind == StepKind::Anneal && s.dents.contains(&a.dent)) {
        marks.push("annealed first".to_owned());
    }
    let under: Vec<String> = job
        .survey
        .site(dent)
        .map(|s| s.under)
        .unwrap_or_default()
        .iter()
        .filter_map(|o| job.survey.instrument.overlay(o))
        .map(|o| o.name.clone())
        .collect();
    if !under.is_empty() {
        marks.push(format!("under the {}", under.join(" and the ")));
    }
    if matches!(choice.method.tool, ToolChoice::ToMake { .. }) {
        marks.push("tool to make".to_owned());
    }
    marks
}

fn tool(job: &Job, choice: &Choice, unit: LengthUnit) -> String {
    let size = show_size(choice.method.size_mm, unit);
    match &choice.method.tool {
        ToolChoice::Rack { tools } => {
            // What is worked over stands last, and the size is its own.
            let over = matches!(choice.method.kind, MethodKind::Rolling | MethodKind::Hammering);
            let shown = if over { tools.last() } else { tools.first() };
            let name = shown.and_then(|t| job.rack.tools.iter().find(|x| x.id == *t)).map_or("", |t| t.name.as_str());
            format!("{size}, {name}")
        }
        ToolChoice::ToMake { make, .. } => format!("make {}", make.words().show(unit)),
    }
}

/// Work of the shop's list, each with its step.
fn other_work(out: &mut String, job: &Job) {
    if job.plan.work.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n{BOLD}Other work{BOLD:#}");
    for w in &job.plan.work {
        let times = if w.count > 1 { format!(", {} times", w.count) } else { String::new() };
        let step = job.plan.steps.iter().find(|s| s.work.contains(&w.work));
        let step = step.map_or_else(String::new, |s| format!(": step {}, {}", s.number, show_minutes(s.minutes.mean())));
        let away = w.sent_out_days.map_or_else(String::new, |days| format!(", sent out for about {days} days"));
        let _ = writeln!(out, "  {}{times}{step}{away}", w.name);
    }
}

fn replacements(out: &mut String, job: &Job, unit: LengthUnit) {
    for r in &job.plan.replacements {
        let name = job.survey.instrument.run(&r.run).map_or_else(|| r.run.to_string(), |x| x.name.clone());
        let of = |amount: f64| show_about(amount, &job.shop.currency);
        let money = |f: &units::Figure| format!("{} ({} to {})", of(f.value), of(f.low), of(f.high));
        let _ = write!(
            out,
            "\n{WARN}{}: {}{WARN:#}. Straighten {}, replace {}. {}\n",
            name,
            if r.replace { "replace" } else { "straighten" },
            money(&r.straighten_money),
            money(&r.replace_money),
            r.because.show(unit)
        );
    }
}

fn tools(out: &mut String, job: &Job, unit: LengthUnit) {
    if job.plan.tools_to_make.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n{BOLD}Tools to make or buy{BOLD:#}");
    for (tool, dents) in &job.plan.tools_to_make {
        let names: Vec<&str> = dents.iter().map(|d| d.0.as_str()).collect();
        let _ = writeln!(out, "  {} {} for {}", tool.verb(), tool.words().show(unit), names.join(", "));
    }
}

fn not_done(out: &mut String, job: &Job, unit: LengthUnit) {
    if job.plan.not_done.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n{BOLD}Not done{BOLD:#}");
    for n in &job.plan.not_done {
        let make = n.make.as_ref().map_or(String::new(), |m| format!(" Tool to make: {}.", m.words().show(unit)));
        let _ = writeln!(out, "  {}: {}.{make}", n.what.show(unit), n.because.show(unit).trim_end_matches('.'));
    }
}

fn measure(out: &mut String, job: &Job, worth: &WorthKnowing, unit: LengthUnit) {
    let _ = writeln!(out, "\n{BOLD}Measure next{BOLD:#}  {}", worth.measure_next(&job.shop.currency).show(unit));
}

fn check(out: &mut String, job: &Job) {
    let _ = writeln!(out, "\n{BOLD}How good{BOLD:#}      {}", job.plan.how_good(&job.shop.currency));
}

/// The next best plans and what separates them.
fn others(out: &mut String, job: &Job, unit: LengthUnit) {
    if job.plan.alternatives.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n{BOLD}Other plans{BOLD:#}, against this one");
    for a in &job.plan.alternatives {
        let _ = writeln!(out, "  {}", job.plan.against(a, &job.quote.currency).show(unit));
    }
}

/// What the decisions of a person change.
pub fn changes(job: &Job, unit: LengthUnit) -> String {
    let mut out = format!("{BOLD}What your decisions change{BOLD:#}\n");
    if let Some(missed) = job.deadline_missed() {
        let _ = writeln!(out, "  {WARN}{missed}{WARN:#}");
    }
    let changes = job.changes();
    if changes.is_empty() {
        out.push_str("  Nothing: the plan is the same without them.\n");
    }
    for c in &changes {
        let _ = writeln!(out, "  {}: {} → {}", c.about, c.before.show(unit), c.after.show(unit));
    }
    out
}

fn offers(out: &mut String, job: &Job) {
    let _ = writeln!(out, "\n{BOLD}Offers{BOLD:#}  price and bench time, with what eight of ten such jobs come to");
    for o in &job.quote.offers {
        let money = |x| show_whole(x, &job.quote.currency);
        let _ = writeln!(
            out,
            "  {:<18} {:>11}  ({} to {})  {} ({})  {}, {} left",
            o.name,
            money(o.bill.total),
            money(o.range.0),
            money(o.range.1),
            o.time(),
            o.times_between(),
            if o.dents.len() == 1 { "1 dent".to_owned() } else { format!("{} dents", o.dents.len()) },
            o.left.len()
        );
    }
    if let Some(o) = job.quote.of_level(job.plan.level) {
        let _ = writeln!(out, "  {}", o.verdict.words);
        if let Some(words) = o.deposit_words(&job.quote.currency) {
            let _ = writeln!(out, "  {words}");
        }
        for told in o.told(&job.quote.currency) {
            let _ = writeln!(out, "  {told}");
        }
    }
}

/// A method in the words of the bench.
fn method_words(m: MethodKind) -> &'static str {
    match m {
        MethodKind::StraightRod => "straight rod",
        MethodKind::CurvedRod => "curved rod",
        MethodKind::Mandrel => "mandrel",
        MethodKind::BallTrain => "balls driven through",
        MethodKind::Rolling => "rolled over support",
        MethodKind::Hammering => "hammered over support",
        MethodKind::Magnet => "magnet and ball",
        MethodKind::PullOutside => "pulled from outside",
        MethodKind::Burnishing => "burnished from inside",
        MethodKind::Expander => "expanding plug",
        MethodKind::DrawRing => "drawn through a ring",
        MethodKind::FilledBend => "raised, filled, worked over",
        MethodKind::Raising => "raised on a stake",
    }
}

fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most { text.to_owned() } else { text.chars().take(most.saturating_sub(1)).chain(['…']).collect() }
}
