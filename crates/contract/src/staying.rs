//! A plan that is made again stays near the one before: schools and benches have been told who gets what where, and a change for a point
//! or two is none. Each instrument that keeps its offer and its bench counts for so much more in the search; what that costs in points is
//! said.

use crate::bare::{Choice, Problem};
use crate::solve::Choices;
use std::collections::BTreeMap;

/// What it must bring to give an instrument another offer or bench than it was told, or to drop it, points. Common practice, no source: a
/// twentieth of what taking the dents out of a horn of usual priority that plays is worth.
pub const WORTH_STAYING: f64 = 1.0;

/// What stands behind an option's name where it is chosen on the bench of before.
const AS_BEFORE: &str = " as before";

/// The problem in which staying is worth something: each instrument of the plan before whose offer is still there has it once more, on its
/// bench alone.
pub(crate) fn problem(p: &Problem, before: &Choices) -> Problem {
    let mut p = Problem { answer: None, ..p.clone() };
    for i in &mut p.instruments {
        let Some((option, bench)) = before.get(&i.id) else { continue };
        let stays = i.options.iter().find(|o| o.id == *option).and_then(|o| {
            let minutes = BTreeMap::from([(bench.clone(), *o.minutes.get(bench)?)]);
            Some(Choice { id: format!("{}{AS_BEFORE}", o.id), value: o.value + WORTH_STAYING, minutes, ..o.clone() })
        });
        i.options.extend(stays);
    }
    p
}

/// Choices in the names of [`problem`]: those that stand as before by the option that stays.
pub(crate) fn named(chosen: &Choices, before: &Choices) -> Choices {
    let name = |tag: &String, option: &String, bench: &String| {
        let stays = before.get(tag).is_some_and(|b| (&b.0, &b.1) == (option, bench));
        (if stays { format!("{option}{AS_BEFORE}") } else { option.clone() }, bench.clone())
    };
    chosen.iter().map(|(tag, (option, bench))| (tag.clone(), name(tag, option, bench))).collect()
}

/// Choices of [`problem`] in the names of the problem that it was made from.
pub(crate) fn plain(chosen: &Choices) -> Choices {
    let bare = |option: &String| option.strip_suffix(AS_BEFORE).unwrap_or(option).to_owned();
    chosen.iter().map(|(tag, (option, bench))| (tag.clone(), (bare(option), bench.clone()))).collect()
}

/// How many instruments stand as before.
pub(crate) fn count(chosen: &Choices, before: &Choices) -> usize {
    chosen.iter().filter(|(tag, place)| before.get(*tag) == Some(place)).count()
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;
    use crate::bare::{Bench, Instrument};
    use crate::solve::{Ask, solve};
    use rust_decimal::Decimal;

    /// Two horns and two benches with room for one each; the first horn is worth so much more on the second bench's offer.
    fn asked(gain: f64) -> Choices {
        let minutes = || BTreeMap::from([("b1".to_owned(), 60.0), ("b2".to_owned(), 60.0)]);
        let option = |id: &str, value: f64, minutes| Choice { id: id.to_owned(), cost: Decimal::TEN, value, minutes, tools: vec![] };
        let only = BTreeMap::from([("b2".to_owned(), 60.0)]);
        let p = Problem {
            budget: Decimal::ONE_HUNDRED,
            benches: ["b1", "b2"].map(|id| Bench { id: id.to_owned(), minutes: 60.0 }).to_vec(),
            instruments: vec![
                Instrument {
                    id: "h1".to_owned(),
                    must: false,
                    options: vec![option("good", 80.0, minutes()), option("best", 80.0 + gain, only)],
                },
                Instrument { id: "h2".to_owned(), must: false, options: vec![option("good", 80.0, minutes())] },
            ],
            ..Problem::default()
        };
        let before: Choices = [("h1", "good", "b1"), ("h2", "good", "b2"), ("gone", "good", "b1")]
            .into_iter()
            .map(|(tag, option, bench)| (tag.to_owned(), (option.to_owned(), bench.to_owned())))
            .collect();
        let staying = problem(&p, &before);
        assert_eq!(staying.wrong(), Vec::<String>::new());
        let start = named(&before, &before);
        let found = solve(&staying, &Ask { start: Some(&start), ..Ask::default() }, &|| true, &mut |_| {}).answer.unwrap();
        let chosen = plain(&found.chosen);
        assert!(p.holds(&chosen));
        let value = p.tally(&chosen).unwrap().value;
        assert!((found.value - value - WORTH_STAYING * count(&chosen, &before) as f64).abs() < 1e-9);
        chosen
    }

    /// Both would have to change places: it is done for more than two points and not for less.
    #[test]
    fn two_instruments_change_places_for_more_than_two_points() {
        assert_eq!(asked(1.9)["h1"], ("good".to_owned(), "b1".to_owned()));
        assert_eq!(asked(2.1)["h1"], ("best".to_owned(), "b2".to_owned()));
    }
}
