//! The customer's words: no term of the bench.

use crate::place::{at_place, place};
use crate::shop::Prices;
use crate::statements::{Done, Mishap, Statement, Unsound, WORTH_A_SENTENCE};
use crate::work::work_done;
use instrument::{DentId, Survey};
use plan::{Level, Mend, Mending, Plan, PlannedWork, StepKind, WhyReplaced};
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use units::money::show_money;

/// Dents by place, most first: `bell (4), valves (1)`.
pub fn where_they_are<'a>(survey: &Survey, dents: impl IntoIterator<Item = &'a DentId>) -> String {
    let mut count: BTreeMap<&str, usize> = BTreeMap::new();
    for d in dents {
        if let Some(run) = survey.dent(d).and_then(|d| survey.instrument.run(&d.run)) {
            *count.entry(place(run.role)).or_default() += 1;
        }
    }
    let mut all: Vec<(&str, usize)> = count.into_iter().collect();
    all.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
    all.iter().map(|(p, n)| format!("{p} ({n})")).collect::<Vec<_>>().join(", ")
}

/// Name of an offer.
pub fn name(level: Level) -> &'static str {
    match level {
        Level::Play => "Playing condition",
        Level::Good => "Dents out",
        Level::Beautiful => "Restored",
    }
}

/// Name of an offer for an instrument on which nothing is damaged: only work is asked for.
pub fn name_of_work(level: Level) -> &'static str {
    if level == Level::Beautiful { "With the optional work" } else { "The work you asked for" }
}

/// Several pieces of work in one sentence.
fn works<'a>(all: impl IntoIterator<Item = &'a PlannedWork>) -> Option<String> {
    let all: Vec<String> = all.into_iter().map(|w| lowered(&work_done(w))).collect();
    (!all.is_empty()).then(|| format!("{}.", capital(&all.join(", "))))
}

/// What a price promises, in a word or two.
pub fn price_name(prices: Prices) -> &'static str {
    match prices {
        Prices::Fixed => "Fixed price",
        Prices::Estimate => "Estimate",
    }
}

/// What a price promises, in a sentence.
pub fn price_means(prices: Prices) -> &'static str {
    match prices {
        Prices::Fixed => "This is what you pay, however long the work takes. We ask before doing anything extra.",
        Prices::Estimate => "This is what we expect the work to cost. We ask before it costs more.",
    }
}

/// From which multiple on a customer is told that more is done of the same. Common practice, no source.
const MORE_OF_IT: f64 = 1.2;

/// What a plan does beyond another, the less of the two first.
pub fn adds(survey: &Survey, before: &Plan, plan: &Plan) -> Vec<String> {
    let mut all = Vec::new();
    let worked = |p: &Plan, d: &DentId| p.choices.iter().any(|c| c.dent == *d);
    let more: Vec<&DentId> = plan.choices.iter().map(|c| &c.dent).filter(|d| !worked(before, d)).collect();
    if !more.is_empty() {
        let n = more.len();
        all.push(format!("{n} more dent{} out: {}.", if n == 1 { " comes" } else { "s come" }, where_they_are(survey, more)));
    }
    let new: Vec<&str> = plan
        .replacements
        .iter()
        .filter(|r| r.replace && !before.replacements.iter().any(|b| b.replace && b.run == r.run))
        .filter_map(|r| survey.instrument.run(&r.run).map(|run| run.name.as_str()))
        .collect();
    if !new.is_empty() {
        all.push(format!("New: {}.", new.join(", ")));
    }
    let mends = plan.mended.iter().filter(|m| !before.mended.iter().any(|b| b.condition == m.condition));
    let mends: Vec<String> = mends.filter_map(|m| mended(survey, m)).collect();
    if !mends.is_empty() {
        all.push(format!("{}.", capital(&mends.join(", "))));
    }
    all.extend(works(plan.work.iter().filter(|w| !before.work.iter().any(|b| b.work == w.work))));
    let deeper = plan.level == Level::Beautiful && before.choices.iter().any(|c| worked(plan, &c.dent));
    if deeper {
        all.push("The same dents are worked until as little shows as the metal allows.".to_owned());
    }
    let smoothing = |p: &Plan| p.steps.iter().filter(|s| s.kind == StepKind::Finish).map(|s| s.minutes.mean()).sum::<f64>();
    match (smoothing(before), smoothing(plan)) {
        (less, more) if less <= 0.0 && more > 0.0 => all.push("The surface is smoothed where we worked.".to_owned()),
        (less, more) if more > MORE_OF_IT * less => all.push("The surface is smoothed further where we worked.".to_owned()),
        _ => {}
    }
    let marks = plan.steps.iter().filter_map(|s| s.heat.as_ref()).any(|h| h.finish_burns_mm.value > 0.5);
    if plan.level == Level::Beautiful && before.level != Level::Beautiful && marks {
        all.push("The finish is repaired where heat marks it.".to_owned());
    }
    if all.is_empty() {
        all.push("Nothing more: the offer before it takes care of all that is wrong.".to_owned());
    }
    all
}

fn dents(n: usize) -> String {
    match n {
        0 => "no dents".to_owned(),
        1 => "1 dent".to_owned(),
        n => format!("{n} dents"),
    }
}

/// What an offer means, sentence by sentence.
pub fn sentences(survey: &Survey, plan: &Plan) -> Vec<String> {
    let mut all = Vec::new();
    let worked: Vec<&DentId> = plan.choices.iter().map(|c| &c.dent).collect();
    if !survey.has_damage() {
        all.extend(works(&plan.work));
        return all;
    }
    all.push(match plan.level {
        Level::Play => {
            "It plays again: everything that should move moves, leaks are closed, and dents that get in the way come out.".to_owned()
        }
        Level::Good => "It plays again and the dents come out. Close up, you may still see traces.".to_owned(),
        Level::Beautiful => "It plays again, every dent comes out as far as the metal allows, and the surface is made good.".to_owned(),
    });
    if !worked.is_empty() {
        all.push(format!("We remove {}: {}.", dents(worked.len()), where_they_are(survey, worked.iter().copied())));
    }
    let mended: Vec<String> = plan.mended.iter().filter_map(|m| mended(survey, m)).collect();
    if !mended.is_empty() {
        all.push(format!("{}.", capital(&mended.join(", "))));
    }
    all.extend(works(&plan.work));
    let fits = plan.steps.iter().filter(|s| s.kind == StepKind::TrueFit && s.work.is_empty()).count();
    if fits > 0 {
        all.push(format!("{} valve or slide part{} freed up.", fits, if fits == 1 { " is" } else { "s are" }));
    }
    let apart = plan.opened.len();
    if apart > 0 {
        all.push(format!("For this, {apart} soldered part{} taken off and soldered back on.", if apart == 1 { " is" } else { "s are" }));
    }
    let heat = plan.steps.iter().filter_map(|s| s.heat.as_ref()).any(|h| h.finish_burns_mm.value > 0.5);
    if heat {
        all.push(match plan.level {
            Level::Beautiful => "Heat will mark the finish in places. We repair it there.".to_owned(),
            _ => "Heat will mark the finish in places. These marks will show.".to_owned(),
        });
    }
    let stays: Vec<String> =
        plan.not_done.iter().filter_map(|n| survey.condition(n.condition.as_ref()?)).map(|c| c.of_what(&survey.instrument)).collect();
    if !stays.is_empty() {
        all.push(format!("Not touched, although something is wrong there: {}.", stays.join(", ")));
    }
    let left = plan.not_done.iter().filter(|n| n.dent.is_some()).count();
    if left > 0 {
        all.push(format!(
            "{} {} as {}.",
            capital(&dents(left)),
            if left == 1 { "stays" } else { "stay" },
            if left == 1 { "it is" } else { "they are" }
        ));
    }
    all
}

/// What is mended, in the customer's words.
fn mended(survey: &Survey, m: &Mending) -> Option<String> {
    let name = survey.condition(&m.condition)?.of_what(&survey.instrument);
    Some(match m.mend {
        Mend::Patch => format!("what leaks in the {name} is closed with a patch"),
        Mend::SolderBrace => format!("the loose {name} is soldered again"),
        Mend::BrazeBrace => format!("the broken {name} is brazed and soldered on again"),
        Mend::NewBrace => format!("a new {name} is fitted"),
        Mend::MakeBrace => format!("a new {name} is made and fitted"),
        Mend::AlignJoint => format!("the joint {name} is taken apart, lined up and soldered again"),
        Mend::Straighten => format!("the {name} is straightened"),
        Mend::StraightenSlide => format!("the {name} is straightened"),
        Mend::RoundOut => format!("the {name} is made round again"),
    })
}

fn capital(text: &str) -> String {
    let mut c = text.chars();
    c.next().map_or_else(String::new, |f| f.to_uppercase().chain(c).collect())
}

/// A statement, in one to three sentences.
pub fn said(statement: &Statement, currency: &str) -> String {
    match statement {
        Statement::Metal { is, through, part, role, done } => {
            let what = match is {
                Unsound::RedRot if *through => "has red rot: the metal is eaten through from inside",
                Unsound::RedRot => "has red rot: in places the metal has gone soft and brittle from inside",
                Unsound::SeasonCracks => "has fine cracks of age",
                Unsound::Crack => "has a crack",
                Unsound::CrackedDent => "has a dent that is cracked",
                Unsound::Hole => "has a hole",
                Unsound::Thin => "is worn thin in one place",
            };
            let then = match (done, is) {
                (Done::Replaced(why), _) => {
                    return format!("The {part} ({}) {what}. A new one is fitted: {}.", place(*role), why_new(*why));
                }
                (Done::Closed, Unsound::CrackedDent | Unsound::Crack) => "We stop the crack so that it runs no further, and close it.",
                (Done::Closed, _) => "We close it with a patch.",
                (Done::Stays, Unsound::Thin) => "It holds; we take no more metal off there.",
                (Done::Stays, Unsound::RedRot) => "It holds for now, but it will get worse. Some day it needs a new one.",
                (Done::Stays, Unsound::SeasonCracks) => "They may grow, with or without work. Then it needs a new one.",
                (Done::Stays, _) => "It stays as it is in this offer.",
            };
            format!("The {part} ({}) {what}. {then}", place(*role))
        }
        Statement::New { part, role, why } => {
            format!("A new {part} ({}) is fitted: {}.", place(*role), why_new(*why))
        }
        Statement::Chance { likelihood, mishap: Mishap::Cracks, role: None, .. } if *likelihood < WORTH_A_SENTENCE => {
            "We do not expect the metal to crack: fewer than 1 in 50 such repairs do.".to_owned()
        }
        // What costs the customer nothing needs no odds.
        Statement::Chance { mishap: Mishap::Spoiled, charged, .. } if *charged <= Decimal::ZERO => {
            "If our work spoils a part, we make that right at our cost.".to_owned()
        }
        Statement::Chance { mishap, role, likelihood, patched, adds, charged } => {
            let how_often = how_often(*likelihood);
            let what = match (mishap, role) {
                (Mishap::Cracks, Some(role)) => format!("the metal cracks {}", at_place(*role)),
                (Mishap::Cracks, None) => "it cracks somewhere else".to_owned(),
                (Mishap::Spoiled, _) => "a part is spoiled in the work".to_owned(),
            };
            let then = if *patched { "Then a patch follows" } else { "Then a new part follows" };
            format!("In about {how_often} such repairs {what}. {then}, {}.", who_pays(*adds, *charged, currency))
        }
        Statement::Plays { now, after } if now == after => {
            format!("What the dents do to its tuning, today and after this work: {}", lowered(now))
        }
        Statement::Plays { now, after } => {
            format!("What the dents do to its tuning today: {} After this work: {}", lowered(now), lowered(after))
        }
        Statement::SentOut { what, days } => {
            format!("{what}: that part is done by another shop, and the instrument is away about {days} days for it.")
        }
        Statement::ToolByContract => {
            "This work needs a tool that we make or buy. Your contract pays it once, for all instruments that need it.".to_owned()
        }
        Statement::Ordered { days } => {
            format!("The new part is ordered: the instrument is ready about {days} days later than without it.")
        }
    }
}

/// A sentence in the middle of another.
fn lowered(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// Why a part is replaced.
fn why_new(why: WhyReplaced) -> &'static str {
    match why {
        WhyReplaced::Metal => "the metal of the old one is worn out",
        WhyReplaced::NoWay => "not all of the old one’s damage can be reached",
        WhyReplaced::Price => "that costs less than repairing the old one",
        WhyReplaced::Decided | WhyReplaced::CannotComeOut => "we advise it after looking at the old one",
    }
}

/// Who pays what follows: all of it, a part, or nothing.
fn who_pays(adds: Decimal, charged: Decimal, currency: &str) -> String {
    let about = |x: Decimal| {
        // Nobody believes more digits of an "about".
        let step = Decimal::from(if x < Decimal::ONE_HUNDRED { 5 } else { 10 });
        let shown = show_money((x / step).round().max(Decimal::ONE) * step, currency);
        shown.strip_suffix(".00").map_or(shown.clone(), str::to_owned)
    };
    if charged <= Decimal::ZERO || adds <= Decimal::ZERO {
        "at our cost".to_owned()
    } else if charged >= Decimal::ONE {
        format!("about {} more, and we ask you first", about(adds))
    } else {
        format!("about {}, of which you pay {}, and we ask you first", about(adds), about(adds * charged))
    }
}

/// How often, as a person says it: "1 of 12".
fn how_often(likelihood: f64) -> String {
    const SAID: [(u32, u32); 21] = [
        (1, 50),
        (1, 40),
        (1, 30),
        (1, 25),
        (1, 20),
        (1, 15),
        (1, 12),
        (1, 10),
        (1, 9),
        (1, 8),
        (1, 7),
        (1, 6),
        (1, 5),
        (1, 4),
        (1, 3),
        (2, 5),
        (1, 2),
        (2, 3),
        (3, 4),
        (4, 5),
        (9, 10),
    ];
    // By its ratio: 1 of 40 for 1 of 34 is as wrong as 1 of 4 for 1 of 3.4.
    let off = |(a, b): &(u32, u32)| (f64::from(*a) / f64::from(*b) / likelihood.max(f64::MIN_POSITIVE)).ln().abs();
    let nearest = SAID.iter().min_by(|x, y| off(x).total_cmp(&off(y)));
    nearest.map_or_else(String::new, |(a, b)| format!("{a} of {b}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use instrument::Role;

    #[test]
    fn a_likelihood_is_told_within_half_the_gap_of_the_widest_neighbors() {
        let told = |p: f64| {
            let said = how_often(p);
            let (a, b) = said.split_once(" of ").unwrap();
            a.parse::<f64>().unwrap() / b.parse::<f64>().unwrap()
        };
        for i in 20..=920 {
            let p = f64::from(i) / 1000.0;
            // The widest neighbors are 1 of 4 and 1 of 3 (and their like): half of ln(4/3) lies between.
            assert!((told(p) / p).ln().abs() <= 0.5 * (4.0_f64 / 3.0).ln() + 1e-9, "{p}: {}", how_often(p));
        }
        assert_eq!([1.0 / 12.0, 0.5, 0.71, 0.99].map(how_often), ["1 of 12", "1 of 2", "3 of 4", "9 of 10"]);
    }

    #[test]
    fn who_pays_what_follows_is_the_shops_rule() {
        let chance = |charged: Decimal, patched, role| Statement::Chance {
            mishap: Mishap::Cracks,
            role,
            likelihood: 0.083,
            patched,
            adds: Decimal::new(6137, 2),
            charged,
        };
        let of = |charged, patched, role| said(&chance(charged, patched, role), "$");
        assert_eq!(
            of(Decimal::ONE, true, Some(Role::Knuckle)),
            "In about 1 of 12 such repairs the metal cracks at a valve. Then a patch follows, about $60 more, and we ask you first."
        );
        assert!(of(Decimal::ZERO, false, None).ends_with("somewhere else. Then a new part follows, at our cost."));
        let spoiled = Statement::Chance {
            mishap: Mishap::Spoiled,
            role: None,
            likelihood: 0.3,
            patched: false,
            adds: Decimal::from(300),
            charged: Decimal::ZERO,
        };
        assert_eq!(said(&spoiled, "$"), "If our work spoils a part, we make that right at our cost.");
        assert!(of(Decimal::new(5, 1), true, None).contains("about $60, of which you pay $30, and we ask you first"));
    }
}
