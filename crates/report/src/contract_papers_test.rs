//! The papers of a contract are held to what every paper is (`papers_test`): a district with long names, some of it done, some left, other
//! work and a tool among it.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

use crate::papers_test::{PAPERS, Set, faults, set};
use crate::{ContractView, contract_files, contract_page};
use contract::{Bench, Contract, Day, Effort, Horn, Offer, Planned, Points, Skill, Spread, Standing, Tool};
use fixtures::Dice;
use plan::Level;
use rust_decimal::Decimal;
use units::Text;

const SCHOOLS: [&str; 5] = [
    "North",
    "Pelham Ridge Consolidated Middle School for Music and the Arts",
    "Saltmarsh Elementary",
    "East",
    "The Annex of the Old High School at Fen Road",
];

/// Seventy horns over five schools, two benches.
fn district() -> (Contract, Planned) {
    let mut dice = Dice(20);
    let horns = (0..70).map(|n| {
        let first = 30.0 + dice.between(0.0, 90.0);
        let offer = |level: Level, k: f64, tools: Vec<String>| Offer {
            level,
            name: String::new(),
            work: if n % 9 == 4 { vec!["Cleaned inside".to_owned(), "New valve felts and corks (3)".to_owned()] } else { vec![] },
            cost: Decimal::new((first * k * 140.0) as i64, 2),
            mean_min: first * k,
            sd_min: 0.3 * first * k,
            tools,
            skills: [Skill::Dents].into(),
            dents: 2,
            left: 0,
        };
        let tools = if n % 7 == 3 { vec!["mandrel 12 mm".to_owned()] } else { vec![] };
        Horn {
            tag: format!("PR-{n:03}"),
            name: if n % 5 == 0 {
                "Heron & Daughters Concert Model 26 bass trombone".to_owned()
            } else {
                "Tessaly Wagtail trumpet".to_owned()
            },
            school: SCHOOLS[n % SCHOOLS.len()].to_owned(),
            priority: 1 + (n % 3) as u8,
            must: n % 11 == 0,
            plays: n % 4 == 0,
            worth: Some(Decimal::from(if n % 13 == 5 { 40 } else { 1_250 })),
            wanted: None,
            offers: if n % 10 == 9 { vec![] } else { vec![offer(Level::Play, 1.0, vec![]), offer(Level::Good, 1.7, tools)] },
            standing: if n % 6 == 0 {
                Standing::Done { level: Level::Play, bench: "bench 1".to_owned(), took_min: 80.0 }
            } else {
                Standing::Open
            },
        }
    });
    let bench = |id: &str, person: &str, pace: f64| Bench {
        id: id.to_owned(),
        person: person.to_owned(),
        pace,
        skills: [Skill::Dents].into(),
        days: (6..11).chain(13..18).chain(20..23).map(|d| Day { date: format!("2026-07-{d:02}"), minutes: 240.0 }).collect(),
        begins_min: 480,
    };
    let contract = Contract {
        customer: "Pelham Ridge School District".to_owned(),
        shop: "Saltmarsh Lane Brass Repair".to_owned(),
        currency: "$".to_owned(),
        tax: contract::TaxIn::Exempt("certificate E-2210".to_owned()),
        budget: Decimal::from(7_500),
        from: "2026-07-06".to_owned(),
        deadline: "2026-07-22".to_owned(),
        likelihood: 0.8,
        minimum: Level::Play,
        advise_against_above: 0.6,
        points: Points::common_practice(),
        spread: Spread::common_practice(),
        benches: vec![bench("bench 1", "Ottilie Brandt", 1.0), bench("the window bench", "Wren Okafor", 1.6)],
        tools: vec![Tool {
            id: "mandrel 12 mm".to_owned(),
            words: Text::fill("mandrel of {} with a crowned end and a collar", &[&units::text::mm(12.0, 0)]),
            cost: Decimal::from(50),
            bill: None,
            mean_min: 30.0,
            there: false,
        }],
        tools_paid: Decimal::ZERO,
        horns: horns.collect(),
    };
    let planned = contract::plan(&contract, &Effort { nodes: 2_000, ..Effort::default() }, &|| true, &mut |_| {}).unwrap();
    (contract, planned)
}

#[test]
fn the_papers_of_a_contract_can_be_read_and_use_their_pages() {
    let (contract, planned) = district();
    let added = contract::Added::usual(&contract);
    let bought = contract::what_more_buys(&contract, &planned, &added, &|| true);
    let mut found = Vec::new();
    for (unit, paper) in PAPERS {
        let view = ContractView { contract: &contract, planned: &planned, bought: &bought, paper, unit, day: contract_files::day };
        let sets: [Set; 2] = [
            set(format!("contract report, {paper:?}"), contract_page::report(&view)),
            set(format!("work list, {paper:?}"), contract_page::work_list(&view)),
        ];
        for one in &sets {
            println!("{} pages", one.set.pages.len());
            assert!(one.set.pages.len() > 1, "it fills more than a page");
            found.extend(faults(one));
        }
    }
    assert!(found.is_empty(), "{} faults:\n{}", found.len(), found.join("\n"));
}
