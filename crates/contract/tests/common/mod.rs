//! Problems for tests and benches: invented, of a district's kind, the same from the same seed.
#![allow(dead_code, reason = "each test takes some of it")]

use contract::bare::{Bench, Choice, Instrument, Problem, Tool};
use fixtures::Dice;
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// So many horns with three to five options each, on so many benches; the last bench is an apprentice's. About half of what
/// all would take is there, in money and in minutes.
pub fn district(seed: u64, horns: usize, benches: usize) -> Problem {
    let mut dice = Dice(seed);
    let pace = |b: usize| {
        if b + 1 == benches && benches > 1 {
            1.6
        } else if b % 3 == 1 {
            1.1
        } else {
            1.0
        }
    };
    let tools: Vec<Tool> = (0..horns / 4).map(|t| Tool { id: format!("t{t}"), cost: Decimal::from(20 + dice.below(60)) }).collect();
    let (mut all_money, mut all_minutes) = (Decimal::ZERO, 0.0);
    let mut instruments = Vec::new();
    for h in 0..horns {
        let weight = [1, 2, 2, 3][dice.below(4)];
        let first = 20.0 + dice.between(0.0, 100.0);
        let mut options = Vec::new();
        let (mut minutes, mut value) = (0.0, 0);
        for o in 0..3 + dice.below(3) {
            minutes += (first * [1.0, 0.8, 1.2, 0.7, 0.9][o] * dice.between(0.5, 1.5) * 10.0).round() / 10.0;
            value += weight * [60, 20, 10, 5, 4][o];
            let cost = Decimal::new((minutes * 140.0).round() as i64 + dice.below(2_000) as i64, 2);
            // The apprentice is given no long work.
            let on = |b: usize| {
                (b + 1 < benches || benches == 1 || minutes < 150.0).then(|| (format!("b{b}"), (minutes * pace(b) * 10.0).round() / 10.0))
            };
            let tools = if !tools.is_empty() && dice.below(4) == 0 { vec![tools[dice.below(tools.len())].id.clone()] } else { vec![] };
            options.push(Choice {
                id: format!("o{o}"),
                cost,
                value: f64::from(value),
                minutes: (0..benches).filter_map(on).collect(),
                tools,
            });
        }
        let last = options.last().unwrap();
        all_money += last.cost;
        all_minutes += minutes;
        instruments.push(Instrument { id: format!("h{h:04}"), must: dice.below(6) == 0, options });
    }
    let each = (all_minutes * 0.5 / benches as f64 * 10.0).round() / 10.0;
    let benches = (0..benches).map(|b| Bench { id: format!("b{b}"), minutes: each * [1.0, 0.9, 1.1][b % 3] }).collect();
    Problem { budget: (all_money * Decimal::new(44, 2)).round_dp(0), benches, tools, instruments, answer: None }
}

/// Small and of no kind at all: every bench takes as long as it likes, values and costs lie anywhere.
pub fn anything(seed: u64, horns: usize, benches: usize) -> Problem {
    let mut dice = Dice(seed);
    let tools: Vec<Tool> = (0..1 + dice.below(4)).map(|t| Tool { id: format!("t{t}"), cost: Decimal::from(dice.below(40)) }).collect();
    let instruments = (0..horns)
        .map(|h| {
            let options = (0..1 + dice.below(3))
                .map(|o| {
                    let mut minutes = BTreeMap::new();
                    for b in 0..benches {
                        if dice.below(5) > 0 {
                            minutes.insert(format!("b{b}"), 1.0 + dice.below(300) as f64 / 10.0);
                        }
                    }
                    let tools = tools.iter().filter(|_| dice.below(4) == 0).map(|t| t.id.clone()).collect();
                    Choice {
                        id: format!("o{o}"),
                        cost: Decimal::new(dice.below(5_000) as i64, 2),
                        value: dice.below(100) as f64,
                        minutes,
                        tools,
                    }
                })
                .collect();
            Instrument { id: format!("h{h}"), must: dice.below(5) == 0, options }
        })
        .collect();
    let benches =
        (0..benches).map(|b| Bench { id: format!("b{b}"), minutes: dice.between(5.0, 14.0 * horns as f64 / benches as f64) }).collect();
    Problem { budget: Decimal::new((horns * (600 + dice.below(2_000))) as i64, 2), benches, tools, instruments, answer: None }
}
