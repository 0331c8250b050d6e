//! A bend that is filled before it is worked from outside: dried, oiled and poured full when the last dent in it is
//! raised, worked, and melted out again before any flame comes near it.

use super::draft::{Does, Setup, phase};
use super::{Builder, size, step};
use crate::caution::Act;
use crate::step_kind::StepKind;
use crate::steps::chosen::Worked;
use instrument::{DentId, RunId};
use metal::Fill;
use metal::fill::WORKED_AT_DEGC;
use reach::MethodKind;
use units::text::bath_degc;
use units::{Text, text};

/// Part of the method's minutes in which the dent is raised, before the bend is filled. Common practice, no source.
pub const RAISED_IN: f64 = 0.5;
/// How much hotter than its melting the water or the oven is, K. Common practice, no source: enough to run out, not to fume.
const HOTTER_K: f64 = 10.0;
/// Order among the steps of work: filling after everything that can be done before it.
const LATE: u32 = 900;

/// How it is poured.
fn pour_words(run: &str, fill: Fill) -> Text {
    let (inside, set) = if fill.is_alloy() {
        ("oil the inside", text!("chill it in cold water, then let it come up to about {} and work it slowly", bath_degc(WORKED_AT_DEGC)))
    } else {
        ("wax or chalk the inside", "let it set hard in cold water".into())
    };
    text!(
        "Fill {} with {}. Degrease it, dry it right through with warm air, {}, plug one end and stand it up. Pour at {}, no hotter, in one go, the tube warm. Then {}",
        run,
        fill.name(),
        inside,
        bath_degc(fill.melts_degc() + HOTTER_K),
        set
    )
}

/// How it is got out again.
fn melt_words(run: &str, fill: Fill) -> Text {
    let hot = fill.melts_degc() + HOTTER_K;
    if !fill.is_alloy() {
        return format!(
            "Melt the pitch out of {run}: warm it from the open end inward in hot water or an oven, no flame. Rinse with solvent and look right through"
        ).into();
    }
    let where_ = if fill.melts_in_water() {
        text!("in water just off the boil ({} or more), open end down and clear", bath_degc((fill.melts_degc() + 2.0).min(99.0)))
    } else {
        text!("in an oven or an oil bath at {}, open end down and clear, no flame", bath_degc(hot))
    };
    text!(
        "Melt the {} out of {} {}. Swab it while hot and look right through with a light: no bead or streak may stay",
        fill.name(),
        run,
        where_
    )
}

impl Builder<'_, '_> {
    /// The runs that are filled: each with its filling, its ridges and its melting out.
    pub(super) fn fills(&mut self) {
        let case = self.case;
        let filled = |w: &&Worked| w.method.kind == MethodKind::FilledBend;
        let mut runs: Vec<&RunId> = Vec::new();
        for d in self.chosen.worked.iter().filter(filled).filter_map(|w| case.dent(&w.dent)) {
            if !runs.contains(&&d.run) {
                runs.push(&d.run);
            }
        }
        for run in runs {
            let on_it = |w: &&Worked| case.dent(&w.dent).is_some_and(|d| d.run == *run);
            let mine: Vec<&Worked> = self.chosen.worked.iter().filter(filled).filter(on_it).collect();
            self.fill(run, &mine);
        }
    }

    fn fill(&mut self, run: &RunId, mine: &[&Worked]) {
        let Some(first) = mine.first() else { return };
        // Where an old record does not say, the messier.
        let fill = first.method.fill.unwrap_or(Fill::Pitch);
        let name = self.case.run_name(run);
        let dents: Vec<DentId> = mine.iter().map(|w| w.dent.clone()).collect();
        let mut s = step(
            StepKind::Fill,
            pour_words(&name, fill),
            self.minutes(StepKind::Fill),
            "the fill stands under the wall all round, so that it does not fall in while the ridges are laid down; it lifts nothing. Water left in the tube flashes to steam and throws the melt".to_owned(),
        );
        s.dents = dents.clone();
        s.run = Some(run.clone());
        let opens = mine.iter().flat_map(|w| w.method.opens.clone()).collect();
        let d = self.draft.add(s, Does::Fills(dents.clone()), (phase::WORK, LATE), Setup::Bench);
        d.needs_open = opens;
        d.known.fill = Some(fill);
        let mut s = step(
            StepKind::MeltOut,
            melt_words(&name, fill),
            self.minutes(StepKind::MeltOut),
            "alloy that stays inside eats into the brass and makes it brittle when it is next soldered; a filled tube under a torch bursts"
                .to_owned(),
        );
        s.dents = dents;
        s.run = Some(run.clone());
        let d = self.draft.add(s, Does::MeltsOut, (phase::WORK, LATE + 2), Setup::Hand);
        d.known.fill = Some(fill);
        if !fill.is_alloy() {
            d.known.acts.push(Act::Dissolves);
        }
        for w in mine {
            self.ridges(w, run, fill);
        }
    }

    /// The ridges of a dent worked down over the fill.
    fn ridges(&mut self, w: &Worked, run: &RunId, fill: Fill) {
        let mut s = step(
            StepKind::OverFill,
            format!("Lay down the ridges of {} from outside over the {}, in light strokes from its rim inward", w.dent, fill.name()),
            w.work.dent.times(1.0 - RAISED_IN).plus(self.minutes(StepKind::OverFill)),
            text!("raised to {} from inside before; what stands proud is worked down with the wall held", size(w.method.size_mm)),
        );
        s.dents = vec![w.dent.clone()];
        s.run = Some(run.clone());
        let fixture = Setup::Fixture(run.clone(), "filled".to_owned());
        self.draft.add(s, Does::LaysRidges(w.dent.clone()), (phase::WORK, LATE + 1), fixture);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_fill_is_poured_dry_and_melted_out_without_a_flame() {
        for fill in Fill::ALL {
            let (pour, melt) = (pour_words("the crook", fill), melt_words("the crook", fill));
            assert!(
                pour.metric().contains("dry it right through") && melt.metric().contains("look right through"),
                "{} {}",
                pour.metric(),
                melt.metric()
            );
            assert!(melt.metric().contains("water") || melt.metric().contains("no flame"), "{}", melt.metric());
        }
        // Hot enough to run, and no hotter than water or its own melting asks for.
        assert!(melt_words("x", Fill::Alloy95).metric().contains("97 °C") && melt_words("x", Fill::Alloy124).metric().contains("134 °C"));
        assert!(pour_words("x", Fill::Alloy70).metric().contains("80 °C") && pour_words("x", Fill::Alloy70).metric().contains("15 °C"));
    }

    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn practice() {
        assert!((RAISED_IN, HOTTER_K, LATE) == (0.5, 10.0, 900));
    }
}
