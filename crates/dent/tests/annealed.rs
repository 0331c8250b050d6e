//! What an anneal leaves of force and over-push: the force table asked with the soft curve, against the own model's runs of a wall dented
//! hard, annealed as it lies and pushed out (crates/fem/data/annealed_rows.csv, generator crates/fem/examples/annealed.rs).
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that cannot go on may stop")]

mod common;

use dent::{Assessment, annealed, force};
use instrument::{Dent, EarlierRepair, Site};
use metal::{Curve, Temper, anneal};
use units::{Known, Origin, Unit};

struct Row {
    d_over_t: f64,
    depth: f64,
    soft: (f64, f64),
    force: [f64; 3],
    over_push: [f64; 3],
}

/// The rows; forces over the soft σ₀t² and over-pushes over D, each hard, annealed after the dent, soft before it.
fn rows() -> Vec<Row> {
    let lines = include_str!("../../fem/data/annealed_rows.csv").lines().skip(1);
    lines
        .map(|l| {
            let w: Vec<&str> = l.split(',').collect();
            let g = |i: usize| w[i].parse::<f64>().unwrap();
            Row { d_over_t: g(1), depth: g(2), soft: (g(5), g(6)), force: [g(7), g(8), g(9)], over_push: [g(10), g(11), g(12)] }
        })
        .collect()
}

fn rms(x: impl Iterator<Item = f64>) -> f64 {
    let x: Vec<f64> = x.collect();
    (x.iter().map(|v| v * v).sum::<f64>() / x.len() as f64).sqrt()
}

/// The doubt that is stated is what the runs show between a wall annealed after it was dented and one soft before.
#[test]
fn the_doubt_is_that_of_the_runs() {
    let all = rows();
    assert!(all.len() >= 5);
    let force = rms(all.iter().map(|r| (r.force[1] / r.force[2]).ln()));
    let over_push = rms(all.iter().map(|r| (r.over_push[1] / r.over_push[2]).ln()));
    println!("force {force:.3} over-push {over_push:.3}");
    assert!((annealed::DOUBT - force.max(over_push)).abs() < 0.003, "{force} {over_push}");
}

/// What is shipped, the table with the soft curve, against the annealed runs themselves: within a fifth, as docs/validation.md says. The
/// hard wall would not do: it asks 1.4 to 2.3 times as much.
#[test]
fn the_table_asked_soft_is_the_annealed_wall() {
    for r in rows() {
        let (e, d) = (112_000.0, 20.0);
        let after = |strain: f64| e * r.soft.0 * (1.0 + strain / 0.02).powf(r.soft.1);
        let wall = d / r.d_over_t;
        let f = force::force_inside(&force::Inside {
            e_mpa: e,
            near_mpa: after(force::NEAR),
            far_mpa: after(force::FAR),
            diameter_mm: d,
            wall_mm: wall,
            depth_mm: r.depth * d,
            bend_factor: 1.0,
        });
        let unit = e * r.soft.0 * wall * wall;
        let (force, over_push) = (f.n / unit / r.force[1], f.over_push_part * r.depth / r.over_push[1]);
        println!("D/t {} depth {}: force {force:.3} over-push {over_push:.3} away {}", r.d_over_t, r.depth, f.away);
        // At D/t 80 σ₀/E and n of the soft wall both lie outside the held table (away 1.6): there a fifth to either side. Its 1.04 before
        // rested on a table that stood a tenth too high between D/t 47 and 160 (docs/validation.md).
        let least = if f.away > 1.0 { 0.83 } else { 0.97 };
        assert!((least..1.2).contains(&force) && (0.83..1.2).contains(&over_push), "D/t {}: {force} {over_push}", r.d_over_t);
        assert!(r.force[0] / r.force[1] > 1.35, "{:?}", r.force);
    }
}

fn hard_site() -> Site {
    Site { temper: Known::new("temper", 4.0, 0.2, Unit::NumbersHard, Origin::Measured), ..common::site() }
}

fn assessed(more: impl Fn(&mut Dent)) -> Assessment {
    let mut dent = common::dent();
    more(&mut dent);
    dent::assess(&dent, &hard_site())
}

/// By hand: the temper that is left, and the force of the table with that temper's curve; neither the hardness measured before nor
/// earlier work is in it.
#[test]
fn the_soft_force_is_that_of_the_annealed_curve_whatever_was_done_before() {
    let a = assessed(|_| {});
    let soft = a.after_anneal.as_ref().unwrap();
    let site = hard_site();
    let left = anneal::on_the_bench(site.alloy, Temper(4.0));
    assert!((soft.temper.value - left.temper.0).abs() < 1e-9 && soft.temper.value < 0.1);
    assert!((soft.temper.sd * units::figure::Z90 - (left.tempers.1.0 - left.temper.0)).abs() < 1e-6, "{:?}", soft.temper);
    let curve = Curve::fit(site.alloy, left.temper);
    let inside = dent::force_case(&common::dent(), &site);
    let by_hand =
        force::force_inside(&force::Inside { near_mpa: curve.stress_mpa(force::NEAR), far_mpa: curve.stress_mpa(force::FAR), ..inside });
    assert!((soft.force_inside_n.value / by_hand.n - 1.0).abs() < 1e-9, "{} {}", soft.force_inside_n.value, by_hand.n);
    assert!((soft.overpush_mm.value / (by_hand.over_push_part * inside.depth_mm) - 1.0).abs() < 1e-9);
    assert!(soft.force_inside_n.value < 0.75 * a.force_inside_n.value && soft.passes.value <= a.passes.value);
    let worked = assessed(|d| d.earlier_repair = Some(EarlierRepair { note: "rolled once".into(), thinned_mm: None }));
    let measured = assessed(|d| d.hardness_hv = Some(Known::new("hardness", 160.0, 5.0, Unit::Hv, Origin::Measured)));
    assert!(worked.force_inside_n.value > 1.02 * a.force_inside_n.value && measured.force_inside_n.value < a.force_inside_n.value);
    for b in [worked, measured] {
        assert!((b.after_anneal.unwrap().force_inside_n.value / soft.force_inside_n.value - 1.0).abs() < 1e-9);
    }
}

/// How far the heat softens is not well known: that stands among the reasons of the force, and widens it.
#[test]
fn what_the_heat_leaves_is_among_the_reasons() {
    let a = assessed(|_| {});
    let soft = a.after_anneal.unwrap();
    let share = |name: &str| soft.force_inside_n.reason.inputs.iter().find(|i| i.known.name == name).map(|i| i.share);
    assert!(share("temper after the anneal").unwrap() > 0.0);
    assert!(share("temper").is_none());
    let width = |f: &units::Figure| (f.high / f.low).ln();
    assert!(width(&soft.force_inside_n) > width(&a.force_inside_n));
}
