//! What the customer is told of metal, odds, new parts and waiting: from the plan's own figures, exact, in plain words.

#[path = "../../plan/tests/common/case.rs"]
mod case;

use case::Bench;
use fixtures::{cracked, dent, pattern, survey};
use instrument::{Condition, ConditionKind, Kind, Survey};
use plan::{Level, Plan, WhyReplaced};
use quote::Statement;
use quote::bill::{priced, stretch};
use quote::place::place;
use quote::statements::{Done, Mishap, Unsound};
use quote::{Offer, Shop};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

fn condition(kind: ConditionKind, run: &str, from: f64, to: f64, through: bool) -> Condition {
    Condition { run: Some(run.into()), from_mm: Some(from), to_mm: Some(to), through: Some(through), ..Condition::new("c", kind) }
}

fn offer(survey: Survey, shop: &Shop) -> (Bench, Plan, Offer) {
    let bench = Bench::new(survey);
    let plan = bench.plan();
    let offer = quote::offer::offer(&bench.survey, &plan, shop, None);
    (bench, plan, offer)
}

fn trumpet() -> Survey {
    survey(pattern(Kind::Trumpet), vec![dent("d1", "leadpipe", 120.0, 1.5, 15.0, 8.0), dent("d2", "bell-flare", 60.0, 4.0, 30.0, 30.0)])
}

#[test]
fn what_follows_is_priced_as_a_bill_would_be() {
    let mut shop = Shop::common_practice();
    // A crack stopped in 5/8/20 and patched in 20/35/70 min, 85 an hour: by hand (57 + 230) / 6 · 85 / 60.
    assert!((priced((57.0 + 230.0) / 6.0, 0.0, &shop) - 67.764).abs() < 0.001);
    (shop.tax_on_labour, shop.tax_on_parts, shop.markup_on_parts) = (Decimal::new(10, 2), Decimal::new(725, 4), Decimal::new(20, 2));
    // An hour with 10 % tax, a part of 45 with a fifth on it and 7.25 % tax: 93.5 + 57.915.
    assert!((priced(60.0, 45.0, &shop) - 151.415).abs() < 0.001);
}

#[test]
fn the_odds_told_are_those_of_the_plan() {
    let dents = vec![
        dent("a", "second-branch", 300.0, 16.0, 24.0, 24.0),
        dent("b", "bell-stem", 300.0, 12.0, 20.0, 20.0),
        dent("c", "top-bow", 100.0, 6.0, 30.0, 28.0),
    ];
    let shop = Shop::common_practice();
    let (bench, plan, offer) = offer(survey(pattern(Kind::Tuba), dents), &shop);
    let mut sound: BTreeMap<&str, f64> = BTreeMap::new();
    for c in &plan.choices {
        let a = bench.assessments.iter().find(|a| a.dent == c.dent).unwrap();
        assert!((c.odds.crack - plan.crack_likelihood(a).value.clamp(0.0, 1.0)).abs() < 1e-12, "{}", c.dent);
        assert_eq!(c.odds.spoiled, c.method.risk);
        *sound.entry(place(bench.survey.instrument.run(&a.run).unwrap().role)).or_insert(1.0) *= 1.0 - c.odds.crack;
    }
    let likeliest = 1.0 - sound.values().copied().fold(1.0, f64::min);
    assert!(likeliest > 0.02, "the case cracks nowhere and tests nothing: {likeliest}");
    let cracks: Vec<&Statement> =
        offer.statements.iter().filter(|s| matches!(s, Statement::Chance { mishap: Mishap::Cracks, .. })).collect();
    let Statement::Chance { likelihood, patched, adds, charged, role: Some(role), .. } = cracks[0] else { panic!("{cracks:?}") };
    assert!((likelihood - likeliest).abs() < 1e-9 && *charged == Decimal::ONE, "{cracks:?}");
    // Where one dent is at that place, what follows is its own: the patch's minutes at the shop's rate, as the bill stretches them.
    let there: Vec<_> = plan
        .choices
        .iter()
        .filter(|c| place(bench.survey.instrument.run(&bench.survey.dent(&c.dent).unwrap().run).unwrap().role) == place(*role))
        .collect();
    assert_eq!(there.len(), 1);
    let then = there[0].odds.if_cracks;
    let minutes = then.minutes * stretch(&offer.times, offer.times.mean_min, shop.charged_at);
    assert_eq!(then.patched, *patched);
    assert!((f64::try_from(*adds).unwrap() - priced(minutes, then.part_money, &shop)).abs() < 0.01);
    assert!(cracks.len() <= 2, "one or two plain sentences: {cracks:?}");
}

#[test]
fn where_little_can_crack_that_is_told_once() {
    let one = survey(pattern(Kind::Tuba), vec![dent("a", "bell-flare", 100.0, 2.0, 60.0, 60.0)]);
    let (_, plan, offer) = offer(one, &Shop::common_practice());
    assert!(plan.choices.iter().all(|c| c.odds.crack < 0.02), "{:?}", plan.choices[0].odds);
    let told = offer.told("$");
    assert_eq!(told.iter().filter(|t| t.contains("crack")).count(), 1, "{told:?}");
    assert!(told.iter().any(|t| t.contains("fewer than 1 in 50")), "{told:?}");
}

#[test]
fn rot_that_goes_through_is_told_with_the_new_part_and_its_wait() {
    let mut s = trumpet();
    s.conditions.push(condition(ConditionKind::RedRot, "leadpipe", 60.0, 175.0, true));
    let mut shop = Shop::common_practice();
    let (_, plan, first) = offer(s.clone(), &shop);
    assert!(plan.replacements.iter().any(|r| r.replace && r.why == WhyReplaced::Metal), "{:?}", plan.replacements);
    let rot = first
        .statements
        .iter()
        .filter(|s| matches!(s, Statement::Metal { is: Unsound::RedRot, through: true, done: Done::Replaced(WhyReplaced::Metal), .. }));
    assert_eq!(rot.count(), 1, "{:?}", first.statements);
    // Told once: not as a new part a second time.
    assert!(!first.statements.iter().any(|s| matches!(s, Statement::New { .. })));
    assert_eq!(first.delivery_days(), Some(10));
    assert!(first.told("$").iter().any(|t| t.contains("about 10 days later")), "{:?}", first.told("$"));
    // A shop that has its parts waits for none.
    shop.delivery_days = 0;
    assert_eq!(offer(s, &shop).2.delivery_days(), None);
    let sound = offer(trumpet(), &Shop::common_practice()).2;
    assert_eq!(sound.delivery_days(), None);
    assert!(!sound.statements.iter().any(|s| matches!(s, Statement::Metal { .. } | Statement::New { .. })), "{:?}", sound.statements);
}

#[test]
fn rot_that_is_kept_says_that_it_goes_on_and_a_crack_that_it_is_closed() {
    let mut s = trumpet();
    s.conditions.push(condition(ConditionKind::RedRot, "bell-flare", 10.0, 30.0, false));
    s.dents.push(cracked(dent("d3", "first-bow", 60.0, 2.0, 15.0, 12.0)));
    if s.instrument.run(&"first-bow".into()).is_none() {
        let run = s.instrument.runs.iter().find(|r| r.role == instrument::Role::Bow).unwrap().id.clone();
        s.dents.last_mut().unwrap().run = run;
    }
    let (_, plan, offer) = offer(s, &Shop::common_practice());
    assert!(plan.replacements.iter().all(|r| !r.replace), "{:?}", plan.replacements);
    let told = offer.told("$");
    assert!(told.iter().any(|t| t.contains("red rot") && t.contains("get worse")), "{told:?}");
    assert!(told.iter().any(|t| t.contains("dent that is cracked") && t.contains("stop the crack")), "{told:?}");
}

#[test]
fn the_shops_rule_says_who_pays() {
    let dents = vec![dent("a", "second-branch", 300.0, 16.0, 24.0, 24.0)];
    let mut shop = Shop::common_practice();
    shop.crack_charged = Decimal::ZERO;
    let bears = offer(survey(pattern(Kind::Tuba), dents.clone()), &shop).2.told("$");
    let asks = offer(survey(pattern(Kind::Tuba), dents), &Shop::common_practice()).2.told("$");
    assert!(bears.iter().any(|t| t.contains("metal cracks") && t.contains("at our cost")), "{bears:?}");
    assert!(asks.iter().any(|t| t.contains("metal cracks") && t.contains("we ask you first")), "{asks:?}");
}

/// No sentence is long, none has a name of the file or a term of the bench, and all money has its sign.
#[test]
fn what_is_told_is_plain() {
    let dents = vec![dent("a", "second-branch", 300.0, 16.0, 24.0, 24.0), dent("b", "top-bow", 100.0, 14.0, 22.0, 22.0)];
    let mut s = survey(pattern(Kind::Tuba), dents);
    s.conditions.push(condition(ConditionKind::SeasonCracking, "bell-stem", 60.0, 175.0, false));
    s.conditions.push(condition(ConditionKind::Hole, "first-branch", 60.0, 65.0, true));
    s.conditions.push(condition(ConditionKind::Thin, "top-bow", 60.0, 75.0, false));
    for level in Level::ALL {
        let bench = Bench::new(s.clone());
        let plan = bench.plan_to(level);
        let told = quote::offer::offer(&bench.survey, &plan, &Shop::common_practice(), None).told("$");
        assert!(told.len() >= 4, "{told:?}");
        for text in &told {
            for sentence in text.split_inclusive('.') {
                assert!(sentence.split_whitespace().count() <= 30, "{sentence}");
            }
            for term in ["anneal", "mandrel", "temper", "yield", "strain", "season", "second-branch", "top-bow", "first-branch"] {
                assert!(!text.contains(term), "{term}: {text}");
            }
        }
    }
}

/// A crack that lies where a cracked dent does is that dent's; one elsewhere on the same tube is told by itself.
#[test]
fn a_crack_beside_a_cracked_dent_is_not_that_dents() {
    let told = |from: f64, to: f64| {
        let mut s = survey(pattern(Kind::Tuba), vec![cracked(dent("a", "second-branch", 300.0, 4.0, 26.0, 20.0))]);
        s.conditions.push(condition(ConditionKind::Crack, "second-branch", from, to, true));
        let (_, _, offer) = offer(s, &Shop::common_practice());
        offer.statements.iter().filter(|s| matches!(s, Statement::Metal { is: Unsound::Crack, .. })).count()
    };
    assert_eq!((told(298.0, 304.0), told(60.0, 70.0)), (0, 1));
}
