//! Offers on real plans: exact to the cent, in the customer's words.

#[path = "../../plan/tests/common/case.rs"]
mod case;

use case::Bench;
use fixtures::{dent, pattern, survey};
use instrument::{Dent, Kind};
use plan::{Level, Overrules, plan_to};
use proptest::prelude::*;
use quote::{Line, Quote, Shop, Terms, offer::verdict, quote};
use rust_decimal::Decimal;
use std::sync::LazyLock;

fn quoted(bench: &Bench, shop: &Shop) -> Quote {
    let to = |l| plan_to(l, &bench.survey, &bench.assessments, &bench.methods, &bench.heats(), &shop.standards, &Overrules::default());
    quote(&bench.survey, &bench.plan(), &[to(Level::Play), to(Level::Beautiful)], shop)
}

fn dents() -> Vec<Dent> {
    vec![
        dent("bore", "first-branch", 300.0, 7.0, 26.0, 18.0),
        dent("a", "second-branch", 300.0, 5.0, 30.0, 28.0),
        dent("b", "bell-stem", 300.0, 5.0, 40.0, 40.0),
        dent("c", "top-bow", 100.0, 6.0, 30.0, 28.0),
    ]
}

static TUBA: LazyLock<Bench> = LazyLock::new(|| Bench::new(survey(pattern(Kind::Tuba), dents())));

#[test]
fn three_offers_grow_and_each_says_what_it_leaves() {
    let q = quoted(&TUBA, &Shop::common_practice());
    assert_eq!(q.offers.iter().map(|o| o.level).collect::<Vec<_>>(), [Level::Play, Level::Good, Level::Beautiful]);
    assert!(q.offers.windows(2).all(|o| o[0].bill.total < o[1].bill.total && o[0].dents.len() <= o[1].dents.len()));
    for o in &q.offers {
        assert_eq!(o.dents.len() + o.left.len(), TUBA.survey.dents.len());
        assert!(o.range.0 <= o.bill.total && o.bill.total <= o.range.1);
        assert!(o.times.p10_min < o.times.p50_min && o.times.p50_min < o.times.p90_min);
        assert!(o.left.is_empty() || o.words.iter().any(|w| w.contains("as it is") || w.contains("as they are")));
    }
}

/// A contract pays a tool once over its horns: the job's bill has no line of it, whatever part the shop charges others, and the customer
/// reads who pays it.
#[test]
fn a_tool_that_a_contract_pays_is_told_and_not_charged_again() {
    let part = |charged: i64| Shop { tools_charged: Decimal::from(charged), ..Shop::common_practice() };
    let terms = Terms { tools_by_contract: true, ..Terms::default() };
    let plan = TUBA.plan();
    assert!(!plan.tools_to_make.is_empty());
    let of = |shop: &Shop| quote::offer::offer(&TUBA.survey, &plan, shop, None);
    let (all, none, under) = (of(&part(1)), of(&part(0)), of(&Shop { terms, ..part(1) }));
    assert!(all.bill.total > none.bill.total && none.bill.tools_borne > Decimal::ZERO);
    assert_eq!((under.bill.total, under.bill.tools_borne), (none.bill.total, Decimal::ZERO));
    assert!(under.bill.lines.iter().all(|l| l.kind != quote::LineKind::Tools));
    // Making it is labor, its material parts, whichever part of it is charged.
    let line = |o: &quote::Offer| o.bill.lines.iter().find(|l| l.kind == quote::LineKind::Tools).cloned().unwrap();
    let half = of(&Shop { tools_charged: Decimal::new(5, 1), ..Shop::common_practice() });
    let material =
        |n: i64| Decimal::from(n) * Decimal::try_from(Shop::common_practice().standards.tool_material).unwrap() / Decimal::from(2);
    let tools = i64::try_from(plan.tools_to_make.len()).unwrap();
    assert_eq!((line(&all).parts, line(&half).parts), (material(2 * tools), material(tools)));
    assert!(line(&all).labour > Decimal::ZERO && (line(&all).labour - line(&half).labour * Decimal::TWO).abs() <= Decimal::new(2, 2));
    let said = |o: &quote::Offer| o.told("$").iter().any(|w| w.contains("Your contract pays it once"));
    assert!(said(&under) && !said(&all) && !said(&none));
}

/// A wider range is no dearer where the middle is charged, and dearer by what the range says where 90 % is.
#[test]
fn a_corrected_spread_moves_the_range_and_not_the_middle() {
    let with = |spread: Option<f64>, charged_at: f64| {
        let correction = spread.map(|spread| quote::Correction { mean: 1.0, spread, jobs: 12 });
        let shop = Shop { correction, charged_at, round_to: Decimal::new(1, 2), ..Shop::common_practice() };
        quoted(&TUBA, &shop).offers.remove(1)
    };
    let (plain, wide) = (with(None, 0.5), with(Some(1.8), 0.5));
    assert!((plain.bill.total - wide.bill.total).abs() <= Decimal::new(5, 2), "{} {}", plain.bill.total, wide.bill.total);
    assert!((plain.times.p50_min - wide.times.p50_min).abs() < 1e-9);
    let log = |o: &quote::Offer| (o.times.p90_min / o.times.p50_min).ln();
    assert!((log(&wide) / log(&plain) - 1.8).abs() < 1e-6);
    let (plain, wide) = (with(None, 0.9), with(Some(1.8), 0.9));
    let dearer: f64 = (wide.bill.labour / plain.bill.labour).try_into().unwrap();
    assert!((dearer - wide.times.p90_min / plain.times.p90_min).abs() < 1e-3, "{dearer}");
}

#[test]
fn the_customers_words_hold_no_term_of_the_bench() {
    let q = quoted(&TUBA, &Shop::common_practice());
    for o in &q.offers {
        let all = o.words.join(" ").to_lowercase()
            + &o.verdict.words.to_lowercase()
            + &o.told("$").join(" ").to_lowercase()
            + &o.bill.lines.iter().map(|l| l.what.to_lowercase()).collect::<String>();
        for term in
            ["anneal", "mandrel", "ferrule", "station", "temper", "burnish", "yield", "strain", "springback", "knuckle", "p90", "n/mm"]
        {
            assert!(!all.contains(term), "{term}: {all}");
        }
    }
}

#[test]
fn one_more_dent_never_makes_the_best_plan_cheaper() {
    let all = dents();
    let mut last = 0.0;
    for n in 1..=all.len() {
        let bench = Bench::new(survey(pattern(Kind::Tuba), all[..n].to_vec()));
        let cost = bench.plan().certificate.cost_money;
        assert!(cost >= last - 1e-9, "{n} dents: {cost} after {last}");
        last = cost;
    }
}

#[test]
fn the_verdict_follows_the_value() {
    let shop = Shop::common_practice();
    let at = |price: i64, value: i64| verdict(Decimal::from(price), Some(Decimal::from(value)), &shop);
    assert_eq!(at(100, 1000).worth_it, Some(true));
    assert_eq!(at(700, 1000).worth_it, Some(false));
    assert!(at(1500, 1000).words.contains("more than"));
    assert_eq!(verdict(Decimal::ONE, None, &shop).worth_it, None);
    assert_eq!(verdict(Decimal::ONE, Some(Decimal::ZERO), &shop).of_value, None);
}

/// Money between 0 and so many cents.
fn cents(most: i64) -> impl Strategy<Value = Decimal> {
    (0..=most).prop_map(|c| Decimal::new(c, 2))
}

fn part(most: i64) -> impl Strategy<Value = Decimal> {
    (0..=most).prop_map(|c| Decimal::new(c, 4))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]
    #[test]
    fn totals_are_the_sum_of_their_lines_to_the_cent(
        rate in 0.0..400.0_f64,
        (labour_tax, parts_tax, markup) in (part(3000), part(3000), part(9000)),
        (overhead, minimum) in (cents(20_000), cents(90_000)),
        round_to in proptest::sample::select(vec![Decimal::ZERO, Decimal::new(1, 2), Decimal::new(5, 2), Decimal::ONE, Decimal::from(5)]),
        charged_at in 0.0..1.0_f64,
        correlation in -0.5..1.5_f64,
        tools in part(10_000),
    ) {
        let mut shop = Shop::common_practice();
        shop.standards.labour_per_hour = rate;
        (shop.tax_on_labour, shop.tax_on_parts, shop.markup_on_parts) = (labour_tax, parts_tax, markup);
        (shop.overhead_per_job, shop.minimum_charge, shop.round_to) = (overhead, minimum, round_to);
        (shop.charged_at, shop.correlation, shop.tools_charged) = (charged_at, correlation, tools);
        // One plan serves: only the prices change.
        static PLAN: LazyLock<plan::Plan> = LazyLock::new(|| TUBA.plan());
        let o = quote::offer::offer(&TUBA.survey, &PLAN, &shop, Some(Decimal::from(5000)));
        let b = &o.bill;
        prop_assert_eq!(b.lines.iter().map(Line::total).sum::<Decimal>(), b.total);
        prop_assert_eq!(b.labour + b.parts + b.tax, b.total);
        for l in &b.lines {
            for amount in [l.labour, l.parts, l.tax] {
                prop_assert!(amount.scale() <= 2, "{amount} is finer than a cent");
            }
        }
        if round_to > Decimal::ZERO {
            prop_assert!((b.total % round_to).is_zero(), "{} is no multiple of {}", b.total, round_to);
        }
        let net: Decimal = b.lines.iter().filter(|l| l.what != "Rounding").map(|l| l.labour + l.parts).sum();
        prop_assert!(net >= minimum);
        prop_assert!(o.times.p10_min <= o.times.p90_min && o.times.p90_min.is_finite());
    }
}
