//! What the plan took for granted, and what would change if it is not so.

use crate::case::{Case, Flame};
use crate::outcome::Assumption;
use crate::softening::advised;
use crate::steps::chosen::Chosen;
use crate::steps::{dents_words, some_of};
use instrument::{ConditionKind, DentId, FitState};
use units::{Origin, Text, text};

/// The list.
pub fn assumptions(case: &Case, chosen: &Chosen) -> Vec<Assumption> {
    let mut all = Vec::new();
    let mut add = |what: Text, would_change: &str| all.push(Assumption { what, would_change: would_change.to_owned().into() });
    if case.survey.cleaned != Some(true) && case.survey.has_damage() {
        add(
            "The survey was taken before flushing and degreasing.".to_owned().into(),
            "Creases and cracks under dirt come to light: survey again after the first step.",
        );
    }
    let stuck: Vec<&str> = case.instrument().fits.iter().filter(|f| f.state == Some(FitState::Stuck)).map(|f| f.name.as_str()).collect();
    if !stuck.is_empty() {
        add(
            format!("{} will come free without harm.", stuck.join(", ")).into(),
            "What lies behind was measured without taking it apart: the survey can be trusted only after it is free.",
        );
    }
    let unknown: Vec<String> =
        chosen.opened.iter().filter(|o| case.filler(o).is_some_and(|f| f.is_unknown())).map(|o| case.opened_name(o)).collect();
    if !unknown.is_empty() {
        add(
            format!(
                "The filler of {} is not known. It is taken to melt as early as any of its kind: soft solder to hold lead, silver to hold cadmium.",
                some_of(&unknown)
            ).into(),
            "A higher melting solder needs more heat and spoils more finish. Without lead or cadmium those cautions fall.",
        );
    }
    let placeless: Vec<&str> = ids(chosen, |d| case.dent(d).is_some_and(|x| x.at_mm.is_none()));
    if !placeless.is_empty() {
        add(
            format!("Nobody said where on its run {} lies: the middle was taken, wide.", dents_words(&placeless)).into(),
            "Another place changes reach, what comes off, and time.",
        );
    }
    let pattern: Vec<&str> = ids(chosen, |d| {
        case.dent(d)
            .and_then(|x| Some((x, case.run(&x.run)?)))
            .is_some_and(|(x, r)| r.bore_at(case.station_mm(x)).origin >= Origin::Pattern)
    });
    if !pattern.is_empty() {
        add(
            format!("Bores at {} come from the pattern or a guess, not from this instrument.", dents_words(&pattern)).into(),
            "A bore other than the pattern's changes ball and head sizes, and which rod fits.",
        );
    }
    let cold: Vec<&str> = chosen
        .worked
        .iter()
        .filter(|w| w.anneal.is_none() && case.assessment(&w.dent).is_some_and(|a| advised(case, a)))
        .map(|w| w.dent.0.as_str())
        .collect();
    let barred = |d: &&str| case.dent(&DentId((*d).to_owned())).is_some_and(|x| case.flame_to_anneal(&x.run) != Flame::Free);
    let (barred, dear): (Vec<&str>, Vec<&str>) = cold.into_iter().partition(barred);
    if !barred.is_empty() {
        add(
            format!("An anneal is advised for {}, but no flame may be lit there: worked cold.", dents_words(&barred)).into(),
            "With a flame allowed the risk of a crack falls to what the assessment gives after an anneal.",
        );
    }
    if !dear.is_empty() {
        add(
            format!(
                "An anneal is advised for {}, but it would burn or soften more than the risk of a crack is worth. It is worked cold, in short passes.",
                dents_words(&dear)
            ).into(),
            "If the metal feels harder than it should, or the first pass shows a line, anneal before going on.",
        );
    }
    let against: Vec<String> =
        chosen.opened.iter().filter(|o| matches!(case.flame_to_open(o), Flame::Unwanted(_))).map(|o| case.opened_name(o)).collect();
    if !against.is_empty() {
        let runs = chosen.opened.iter().filter(|o| matches!(case.flame_to_open(o), Flame::Unwanted(_))).flat_map(|o| case.touches(o));
        let mut finishes: Vec<&str> = runs.filter_map(|t| Some(case.run(&t.run)?.finish.words())).collect();
        finishes.sort_unstable();
        finishes.dedup();
        add(
            format!("The {} is to be kept, and there is no way without a flame at {}.", finishes.join(" and the "), against.join(", "))
                .into(),
            "Leaving the dents behind it would keep the finish: ask the customer.",
        );
    }
    for (tool, said) in &case.constraints.away {
        add(text!("Planned without the tool {} ({}).", tool.0, said.words()), "With it the plan may be another: work it out again.");
    }
    if let Some(said) = &case.constraints.make_no_tools {
        add(text!("No tool is made ({}).", said.words()), "With a tool made for it more dents may be removed.");
    }
    for c in chosen.mended.iter().filter_map(|m| case.survey.condition(&m.condition)).filter(|c| crate::mend::unmeasured(c)) {
        let of = if c.kind == ConditionKind::Oval { "how oval it is" } else { "how far it is out of line" };
        add(
            text!("{}: {} ({}), and nobody measured {}: its time is wide.", c.id.0, c.kind.words(), c.of_what(case.instrument()), of),
            "A straight edge or a caliper takes it in a minute; a few tenths are done in half of the time, a fold may take three times it.",
        );
    }
    for c in case.survey.conditions.iter().filter(|c| matches!(c.kind, ConditionKind::Thin | ConditionKind::SeasonCracking)) {
        let name = c.of_what(case.instrument());
        match c.kind {
            ConditionKind::Thin => {
                add(format!("{name} is thin but holds.").into(), "If it gives under the finger it wants a patch or a new tube.")
            }
            _ => add(
                format!("{name} has season cracks: relieved by a low heat before it is worked, and no more found.").into(),
                "Cracks that run on under work make the run one to replace.",
            ),
        }
    }
    all
}

fn ids<'c>(chosen: &'c Chosen, f: impl Fn(&instrument::DentId) -> bool) -> Vec<&'c str> {
    chosen.worked.iter().filter(|w| f(&w.dent)).map(|w| w.dent.0.as_str()).collect()
}
