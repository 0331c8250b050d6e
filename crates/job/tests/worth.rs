//! What is worth measuring is what changes the plan: what is promised of a measurement is held against taking it, the whole job worked out
//! from nothing.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::worked;
use fixtures::demo::{ALL_CASES, rack_and_shop, read};
use instrument::fields::dent as d;
use instrument::{Dent, Survey};
use job::worth::Worth;
use job::{Job, work_out};
use plan::Overrules;
use units::{Known, Origin, Unit};

/// A horn whose leadpipe is pushed in at the inside of its bend, the width not taken because the wrap is in the way.
const HORN: &str = r#"
trueround_survey = 1
cleaned = true
[instrument]
pattern = "horn"
value = "$2,900"
finish = "lacquer"
[[run]]
id = "leadpipe"
wall = "0.48 mm"
[[dent]]
id = "first"
run = "leadpipe"
at = "70 mm"
clock = "3 o'clock"
depth = "1.2 mm"
along = "12 mm"
across = "6 mm"
[[dent]]
id = "second"
run = "leadpipe"
at = "300 mm"
clock = "12 o'clock"
depth = "about 2 mm"
along = "15 mm"
"#;

fn horn() -> Survey {
    survey::read_survey(HORN).unwrap().survey
}

fn set(dent: &mut Dent, w: &Worth, value: f64) {
    let known = |unit, sd| Some(Known::new(w.field.name, value, sd, unit, Origin::Measured));
    match w.field.key {
        "depth" => dent.depth_mm = known(Unit::Mm, w.field.gauge().sd_mm),
        "along" => dent.width_along_mm = known(Unit::Mm, w.field.gauge().sd_mm),
        "across" => dent.width_across_mm = known(Unit::Mm, w.field.gauge().sd_mm),
        "edge_radius" => dent.edge_radius_mm = known(Unit::Mm, w.field.gauge().sd_mm),
        "wall" => dent.wall_mm = known(Unit::Mm, w.field.gauge().sd_mm),
        "hardness" => dent.hardness_hv = known(Unit::Hv, instrument::fields::HV_PART * value),
        other => panic!("{other}"),
    }
}

/// The job with a field measured, from nothing.
fn measured(job: &Job, w: &Worth, value: f64) -> Job {
    let mut survey = job.survey.clone();
    set(survey.dents.iter_mut().find(|d| d.id == w.dent).unwrap(), w, value);
    work_out(survey, job.rack.clone(), job.shop.clone(), &Overrules::default())
}

#[test]
fn the_width_that_nobody_took_is_found_and_does_what_is_said_of_it() {
    let job = worked(horn());
    let found = job.worth_knowing();
    let width = found.all.iter().find(|w| w.dent.0 == "second" && w.field.key == d::ACROSS.key).expect("the missing width is looked at");
    let (low, high) = width.crack_range().unwrap();
    assert!(high - low > 0.05, "crack {low} to {high}");
    let (cheap, dear) = width.money_range().unwrap();
    assert!(dear - cheap > 10.0, "{cheap} to {dear}");
    assert!(width.matters());
    for p in &width.points {
        let then = measured(&job, width, p.value);
        let choice = then.plan.choices.iter().find(|c| c.dent == width.dent);
        let a = then.assessments.iter().find(|a| a.dent == width.dent).unwrap();
        assert_eq!(choice.map(|c| c.method.kind), p.method, "{}", p.value);
        assert!((then.plan.crack_likelihood(a).value - p.crack_likelihood.unwrap()).abs() < 1e-9);
        assert!((choice.unwrap().cost_money.value - p.dent_money.unwrap()).abs() < 1e-6);
        assert!((then.plan.certificate.cost_money - p.job_money).abs() < 1e-6, "{} {}", then.plan.certificate.cost_money, p.job_money);
    }
    let words = found.measure_next("$").metric();
    assert!(words.contains("of dent") && words.contains("may be"), "{words}");
}

#[test]
fn once_measured_it_is_not_asked_for_again() {
    let job = worked(horn());
    let first = job.worth_knowing();
    let width = first.all.iter().find(|w| w.dent.0 == "second" && w.field.key == d::ACROSS.key).unwrap();
    let then = measured(&job, width, width.points[1].value).worth_knowing();
    assert!(then.all.iter().all(|w| !(w.dent == width.dent && w.field.key == width.field.key)));
    assert_eq!(then.missing, first.missing - 1);
}

#[test]
fn the_most_useful_stands_first_and_none_costs() {
    for name in ALL_CASES {
        let job = worked(read(name));
        let found = job.worth_knowing();
        assert!(found.looked_at <= found.missing && found.all.len() <= found.looked_at, "{name}");
        let rank = |w: &Worth| w.saves_money + w.spread_money;
        assert!(found.all.windows(2).all(|w| rank(&w[0]) >= rank(&w[1])), "{name}");
        for w in &found.all {
            assert!(w.saves_money >= 0.0 && w.spread_money >= 0.0 && w.points[0].value < w.points[2].value, "{name}: {w:?}");
            // What is asked for is a measurement that a person has not taken.
            let dent = job.survey.dent(&w.dent).unwrap();
            let taken = dent.said().iter().any(|(f, held)| {
                f.key == w.field.key && matches!(held, instrument::fields::Held::Known(k) if k.origin == Origin::Measured)
            });
            assert!(!taken, "{name}: {} of {}", w.field.key, w.dent);
        }
        assert_eq!(found, job.worth_knowing(), "{name}: it comes out the same again");
    }
    let (_, shop) = rack_and_shop();
    assert!(!shop.currency.is_empty());
}
