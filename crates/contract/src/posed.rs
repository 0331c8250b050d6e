//! The bare problem that a contract poses.

use crate::bare::{self, Choice, Problem};
use crate::model::{Contract, Horn, Offer, Standing};
use plan::Level;
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// The name of a level in the bare problem.
pub fn key(level: Level) -> String {
    level.key().to_owned()
}

/// The offer that stands, of what was begun.
pub(crate) fn begun(h: &Horn) -> Option<(&Offer, &str, f64)> {
    match &h.standing {
        Standing::Begun { level, bench, spent_min } => h.offer(*level).map(|o| (o, bench.as_str(), *spent_min)),
        _ => None,
    }
}

/// Of what was begun: mean minutes still to go at the shop's standard. A job that has taken all its time has a tenth of it
/// still to go (common practice, no source: what overran is nearly done, and nobody knows).
pub(crate) fn to_go(offer: &Offer, spent_standard_min: f64) -> f64 {
    (offer.mean_min - spent_standard_min).max(0.1 * offer.mean_min)
}

/// The bare problem, with so many minutes given to each bench.
pub fn problem(contract: &Contract, given: &[f64]) -> Problem {
    let tenth = |m: f64| (m * 10.0).round() / 10.0;
    let benches = contract.benches.iter().zip(given).map(|(b, g)| bare::Bench { id: b.id.clone(), minutes: (g * 10.0).floor() / 10.0 });
    let horns = contract.horns.iter().filter(|h| !matches!(h.standing, Standing::Done { .. }));
    let instruments = horns.filter_map(|h| {
        let option = |o: &Offer, minutes: BTreeMap<String, f64>| Choice {
            id: key(o.level),
            cost: o.cost,
            value: h.value(o, contract.points),
            minutes,
            tools: o.tools.clone(),
        };
        if let Some((o, bench, spent)) = begun(h) {
            let pace = contract.bench(bench).map_or(1.0, |b| b.pace);
            let minutes = BTreeMap::from([(bench.to_owned(), tenth(to_go(o, spent / pace) * pace))]);
            return Some(bare::Instrument { id: h.tag.clone(), must: true, options: vec![option(o, minutes)] });
        }
        let options: Vec<Choice> = h
            .open_offers(contract)
            .into_iter()
            .map(|o| {
                let able = contract.benches.iter().filter(|b| o.skills.is_subset(&b.skills));
                option(o, able.map(|b| (b.id.clone(), tenth(o.mean_min * b.pace))).collect())
            })
            .collect();
        let agreed = matches!(h.standing, Standing::Agreed { .. });
        let must = (agreed || h.owed(contract.minimum)) && !options.is_empty();
        (!options.is_empty()).then(|| bare::Instrument { id: h.tag.clone(), must, options })
    });
    let cost = |t: &crate::model::Tool| if t.there { Decimal::ZERO } else { t.cost };
    Problem {
        budget: (contract.budget - contract.spent()).max(Decimal::ZERO),
        benches: benches.collect(),
        tools: contract.tools.iter().map(|t| bare::Tool { id: t.id.clone(), cost: cost(t) }).collect(),
        instruments: instruments.collect(),
        answer: None,
    }
}
