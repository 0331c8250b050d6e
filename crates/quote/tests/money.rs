//! A bill against a table that was worked by hand, to the cent.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test's helpers fail the test")]

#[path = "../../plan/tests/common/case.rs"]
mod case;

use case::Bench;
use fixtures::{pattern, survey};
use instrument::{Kind, Work};
use plan::{Level, Plan, StandardJob, StepKind};
use quote::{Discount, Line, LineKind, Off, Shop, TaxRounding, offer::offer};
use rust_decimal::Decimal;
use units::ThreePoint;

fn cents(c: i64) -> Decimal {
    Decimal::new(c, 2)
}

fn certain(minutes: f64) -> ThreePoint {
    ThreePoint::new(minutes, minutes, minutes)
}

/// A slide that takes an hour and a part of $10; a cork that takes 6 min, each further one a third, and a part of $1.25.
fn bench() -> Bench {
    let mut bench = Bench::new(survey(pattern(Kind::Trumpet), vec![]));
    bench.survey.work = vec![Work::new("w1", "slide"), Work { count: 2, ..Work::new("w2", "cork") }];
    let job = |key: &str, customer: &str, minutes: f64, parts_money: f64| StandardJob {
        customer: customer.to_owned(),
        minutes: certain(minutes),
        parts_money,
        ..StandardJob::new(key)
    };
    bench.standards.jobs = vec![job("slide", "Hand slide aligned", 60.0, 10.0), job("cork", "New cork", 6.0, 1.25)];
    bench.standards.minutes.insert(StepKind::AcceptanceCheck, certain(6.0));
    bench
}

fn shop(bench: &Bench) -> Shop {
    let mut shop = Shop { standards: bench.standards.clone(), ..Shop::common_practice() };
    let rate = Decimal::new(725, 4);
    (shop.tax_on_parts, shop.tax_on_supplies) = (rate, rate);
    (shop.supplies, shop.overhead_per_job, shop.rush) = (cents(5), cents(1200), cents(25));
    (shop.round_to, shop.deposit) = (cents(5), cents(50));
    shop.terms.rush = true;
    shop.terms.discount = Some(Discount { off: Off::Part(cents(10)), reason: "school contract".to_owned() });
    shop
}

/// What a line holds, in cents: labor, parts, tax.
type Row<'a> = (LineKind, &'a str, i64, i64, i64);

fn is(lines: &[Line], rows: &[Row]) {
    let got: Vec<_> = lines.iter().map(|l| (l.kind, l.what.as_str(), l.labour, l.parts, l.tax)).collect();
    let want: Vec<_> = rows.iter().map(|(k, w, l, p, t)| (*k, *w, cents(*l), cents(*p), cents(*t))).collect();
    assert_eq!(got, want);
}

/// By hand, at $85 an hour: the final check of 6 min 8.50; the slide 85.00 and 10.00 · 1.2 = 12.00; two corks 8 min, 11.33, and
/// 2.50 · 1.2 = 3.00. Labor 104.83; supplies 5 % of it 5.24. With handling 12.00 labor is 116.83: rush 25 % is 29.21. In all 166.28, of
/// which labor 146.04: a discount of 10 % is 16.63, of which labor 14.61. Tax 7.25 %: 0.87 + 0.2175 + 0.3799, less the discount's share
/// 1.4674 · 16.63 / 166.28 = 0.14676, is 1.32064, so 1.32; the lines get 0.87, 0.22, 0.38 and −0.15. 149.65 + 1.32 = 150.97, to five cents
/// 150.95. Half of that is 75.475, to five cents 75.50.
#[test]
fn the_table_worked_by_hand() {
    use LineKind::{Discount, Handling, Rounding, Rush, Supplies, Work};
    let bench = bench();
    let o = offer(&bench.survey, &bench.plan(), &shop(&bench), Some(cents(25_000)));
    is(
        &o.bill.lines,
        &[
            (Work, "Valves, slides and final check", 850, 0, 0),
            (Work, "Hand slide aligned", 8500, 1200, 87),
            (Work, "New cork (2)", 1133, 300, 22),
            (Supplies, "Shop supplies", 0, 524, 38),
            (Handling, "Shop handling", 1200, 0, 0),
            (Rush, "Rush", 2921, 0, 0),
            (Discount, "Discount 10 %: school contract", -1461, -202, -15),
            (Rounding, "Rounding", -2, 0, 0),
        ],
    );
    assert_eq!((o.bill.tax, o.bill.total, o.bill.deposit, o.bill.after_deposit()), (cents(132), cents(15_095), cents(7550), cents(7545)));
    assert_eq!(o.bill.lines.iter().map(Line::total).sum::<Decimal>(), o.bill.total);
    assert_eq!(o.bill.on_quote().iter().map(|l| l.1).sum::<Decimal>(), o.bill.total);
    // Repair against value, of this very price: 150.95 of 250 is 60.38 %, and the shop advises against it above 60.
    assert_eq!(o.verdict.worth_it, Some(false));
    assert_eq!(o.deposit_words("$").unwrap(), "A deposit of $75.50 is due when you say yes, the other $75.45 at pickup.");
}

/// By hand: on each line the tax is 0.87, 0.22, 0.38 and −0.15, so 1.32 as well; but without a discount 0.87 + 0.22 + 0.38 = 1.47, as
/// 1.4674 is. With the corks alone: 3.00 · 0.0725 = 0.2175 and 0.57 · 0.0725 = 0.041325 are 0.22 + 0.04 by line, 0.26 by sum.
#[test]
fn exempt_and_undiscounted_bills_follow() {
    let bench = bench();
    let mut shop = shop(&bench);
    shop.terms.discount = None;
    (shop.round_to, shop.terms.rush) = (cents(1), false);
    let plan = bench.plan();
    let of = |shop: &Shop| offer(&bench.survey, &plan, shop, None).bill;
    assert_eq!((of(&shop).tax, of(&shop).total), (cents(147), cents(13_854)));
    shop.tax_rounding = TaxRounding::Line;
    assert_eq!(of(&shop).tax, cents(147));
    shop.terms.exempt = "certificate E-2210".to_owned();
    assert_eq!((of(&shop).tax, of(&shop).total), (Decimal::ZERO, cents(13_707)));
    // A deposit is asked for from so much on only.
    shop.deposit_from = cents(13_708);
    assert_eq!(of(&shop).deposit, Decimal::ZERO);
    // An amount off that is more than the bill takes all of it, and no more.
    shop.terms.discount = Some(Discount { off: Off::Amount(cents(99_900)), reason: String::new() });
    assert_eq!(of(&shop).total, Decimal::ZERO);
}

/// The minimum is looked at before rush and discount.
#[test]
fn a_small_job_pays_the_minimum() {
    let mut bench = bench();
    bench.survey.work.remove(0);
    let mut shop = shop(&bench);
    (shop.minimum_charge, shop.round_to) = (cents(6000), cents(1));
    // By hand: 8.50 + 8.50 for one cork of the two: 6 min and 2 min are 11.33; 8.50 + 11.33 = 19.83; supplies 0.99; handling 12.00; parts
    // 3.00: 35.82, so 24.18 lack. Labor 56.01: rush 14.00. 74.00 less 7.40.
    let bill = offer(&bench.survey, &bench.plan(), &shop, None).bill;
    let of = |kind: LineKind| bill.lines.iter().filter(|l| l.kind == kind).map(|l| l.labour + l.parts).sum::<Decimal>();
    let found = [LineKind::Supplies, LineKind::Minimum, LineKind::Rush, LineKind::Discount].map(of);
    assert_eq!(found, [cents(99), cents(2418), cents(1400), cents(-740)]);
}

#[test]
fn work_alone_is_one_offer_and_optional_work_another() {
    let mut bench = bench();
    let shop = shop(&bench);
    let quoted = |bench: &Bench| {
        let plans: Vec<Plan> = Level::ALL.into_iter().map(|l| bench.plan_to(l)).collect();
        quote::quote(&bench.survey, &plans[1], &[plans[0].clone(), plans[2].clone()], &shop)
    };
    let q = quoted(&bench);
    assert_eq!(q.offers.iter().map(|o| (o.level, o.name.as_str())).collect::<Vec<_>>(), [(Level::Good, "The work you asked for")]);
    assert_eq!(q.offers[0].words, ["Hand slide aligned, new cork (2)."]);
    bench.survey.work[1].optional = true;
    let q = quoted(&bench);
    let [plain, full] = &q.offers[..] else { panic!("two offers: {}", q.offers.len()) };
    assert!(plain.bill.lines.iter().all(|l| l.what != "New cork (2)") && full.bill.lines.iter().any(|l| l.what == "New cork (2)"));
    assert_eq!((full.name.as_str(), &full.adds[..]), ("With the optional work", &["New cork (2).".to_owned()][..]));
}

/// A tool that a contract pays is a bill of its own. By hand, at $85 an hour: 20 min are 28.33, the material 12.00; supplies 5 % of the labor
/// are 1.42; in all 41.75. 10 % of it is 4.175, so 4.18 off, of which labor 4.18 · 28.33 / 41.75 = 2.84. Tax: 4 % of 28.33 is 1.1332, 7.25 %
/// of 12.00 is 0.87 and of 1.42 is 0.10295: 2.10615, less the discount's share 2.10615 · 4.18 / 41.75 = 0.21087, is 1.89528, so 1.90; the
/// lines get 2.01, 0.10 and −0.21. 37.57 + 1.90 = 39.47, to five cents 39.45. Neither handling, minimum, rush nor deposit is in it.
#[test]
fn a_tool_s_own_bill_worked_by_hand() {
    use LineKind::{Rounding, Supplies, Tools};
    let mut shop = shop(&bench());
    (shop.tax_on_labour, shop.minimum_charge) = (cents(4), cents(6000));
    let of = |shop: &Shop| quote::bill::of_tool("ball", 20.0, 12.0, shop);
    let bill = of(&shop);
    is(
        &bill.lines,
        &[
            (Tools, "ball", 2833, 1200, 201),
            (Supplies, "Shop supplies", 0, 142, 10),
            (LineKind::Discount, "Discount 10 %: school contract", -284, -134, -21),
            (Rounding, "Rounding", -2, 0, 0),
        ],
    );
    assert_eq!((bill.tax, bill.total, bill.deposit, bill.tools_borne), (cents(190), cents(3945), Decimal::ZERO, Decimal::ZERO));
    assert_eq!(bill.lines.iter().map(Line::total).sum::<Decimal>(), bill.total);
    // An amount comes off the jobs: 41.75 and 2.11 tax are 43.86, to five cents 43.85.
    shop.terms.discount = Some(Discount { off: Off::Amount(cents(2500)), reason: String::new() });
    assert_eq!(of(&shop).total, cents(4385));
    shop.terms.exempt = "certificate E-2210".to_owned();
    assert_eq!((of(&shop).tax, of(&shop).total), (Decimal::ZERO, cents(4175)));
    // 5.00 and −3.00 are no times and no prices to charge.
    assert_eq!(quote::bill::of_tool("ball", -5.0, -3.0, &shop).total, Decimal::ZERO);
}
