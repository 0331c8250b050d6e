//! The customer's words: no term of the bench.

use instrument::{DentId, Role, Survey};
use plan::{Level, Mend, Mending, Plan, StepKind};
use std::collections::BTreeMap;

/// A place on the instrument as its player calls it.
pub fn place(role: Role) -> &'static str {
    match role {
        Role::Receiver => "where the mouthpiece goes in",
        Role::Leadpipe => "first pipe behind the mouthpiece",
        Role::TuningSlideInner | Role::TuningSlideOuter | Role::TuningSlideCrook => "tuning slides",
        Role::Knuckle | Role::Casing | Role::Piston => "valves",
        Role::Branch | Role::Tube => "long tubes",
        Role::Bow => "large bends",
        Role::BellStem | Role::BellFlare | Role::Rim => "bell",
        Role::HandSlideInner | Role::HandSlideOuter | Role::HandSlideCrook => "hand slide",
    }
}

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
        Level::Play => "Make it play",
        Level::Good => "Make it good",
        Level::Beautiful => "Make it beautiful",
    }
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
    let count = |k: StepKind| plan.steps.iter().filter(|s| s.kind == k).count();
    all.push(match plan.level {
        Level::Play => {
            "We make it work again: what moves will move, what leaks will be tight, and what blocks the air is taken out.".to_owned()
        }
        Level::Good => "We make it work and take out the dents; close up, some traces can still be seen.".to_owned(),
        Level::Beautiful => "We make it work, take out every dent as far as the metal lets us, and make the surface good.".to_owned(),
    });
    if !worked.is_empty() {
        all.push(format!("We bring back {}: {}.", dents(worked.len()), where_they_are(survey, worked.iter().copied())));
    }
    let mended: Vec<String> = plan.mended.iter().filter_map(|m| mended(survey, m)).collect();
    if !mended.is_empty() {
        all.push(format!("{}.", capital(&mended.join("; "))));
    }
    let fits = count(StepKind::TrueFit);
    if fits > 0 {
        all.push(format!("{} valve or slide part{} made to run freely again.", fits, if fits == 1 { " is" } else { "s are" }));
    }
    let new: Vec<&str> =
        plan.replacements.iter().filter(|r| r.replace).filter_map(|r| survey.instrument.run(&r.run)).map(|r| r.name.as_str()).collect();
    if !new.is_empty() {
        all.push(format!("The metal of the {} is past saving: a new one is fitted.", new.join(" and the ")));
    }
    let apart = plan.opened.len();
    if apart > 0 {
        all.push(format!("For this {apart} soldered part{} taken apart and soldered again.", if apart == 1 { " is" } else { "s are" }));
    }
    let heat = plan.steps.iter().filter_map(|s| s.heat.as_ref()).any(|h| h.finish_burns_mm.value > 0.5);
    if heat {
        all.push(match plan.level {
            Level::Beautiful => "Heat will mark the finish in places; we make it good there.".to_owned(),
            _ => "Heat will mark the finish in places; that stays to be seen.".to_owned(),
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
