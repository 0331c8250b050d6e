//! A tool that moves: the law against the model's stored runs, the audit's figures, and the published formula of incremental
//! forming. Source beside each check.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that cannot go on may stop")]

use dent::stroke::{self, Hold, Stroke, force_part, least_part, left_within, lift_within, part_to};

/// Bore, wall mm, E, σ₀ N/mm², n of the five places of crates/fem/examples/five_dents.rs, in which an audit ran the model;
/// dents of 3 mm.
const PLACES: [(&str, f64, f64, f64, f64, f64); 5] = [
    ("tuba branch", 24.5, 0.6, 112_000.0, 383.0, 0.151),
    ("tuning slide, inner leg", 11.66, 0.5, 125_000.0, 550.1, 0.0393),
    ("leadpipe", 10.52, 0.5, 112_000.0, 416.5, 0.1305),
    ("bell stem", 18.69, 0.5, 112_000.0, 351.5, 0.1675),
    ("bow (as if straight)", 14.4, 0.5, 112_000.0, 217.4, 0.2831),
];

fn place(p: &(&str, f64, f64, f64, f64, f64)) -> Stroke {
    let &(_, bore, wall_mm, e, yield_mpa, hardening_n) = p;
    Stroke {
        mean_diameter_mm: bore + wall_mm,
        wall_mm,
        yield_strain: yield_mpa / e,
        hardening_n,
        depth_mm: 3.0,
        width_along_mm: 16.0,
        width_across_mm: 10.0,
        head_mm: 0.5 * bore,
        lift_mm: 0.3,
        hold: Hold::Hand,
    }
}

/// The column names of crates/fem/data/stroke_rows.csv and its rows.
fn rows() -> Vec<std::collections::HashMap<&'static str, &'static str>> {
    let mut lines = include_str!("../../fem/data/stroke_rows.csv").lines();
    let names: Vec<&str> = lines.next().unwrap().split(',').collect();
    lines.map(|l| names.iter().copied().zip(l.split(',')).collect()).collect()
}

/// Law and model, both as force over σ₀t², for a column that holds parts of the model's own one push. The law's part of the way to
/// `stroke::LEFT[k]`; 4π M₀ is π 3.5^n σ₀t² (flow stress after 5 % strain).
fn both(row: &std::collections::HashMap<&str, &str>, column: &str, k: usize) -> (f64, f64) {
    let g = |k: &str| row[k].parse::<f64>().unwrap();
    let d = 20.0;
    let s = Stroke {
        mean_diameter_mm: d,
        wall_mm: d / g("d_over_t"),
        yield_strain: g("yield_strain"),
        hardening_n: g("exponent"),
        depth_mm: g("depth_over_d") * d,
        width_along_mm: d,
        width_across_mm: d,
        head_mm: g("head_over_d") * d,
        lift_mm: g("lift_over_depth") * g("depth_over_d") * d,
        hold: if row["hold"] == "opposite" { Hold::Hand } else { Hold::Mandrel },
    };
    (stroke::over_collapse(&s)[k] * std::f64::consts::PI * 3.5f64.powf(g("exponent")), g(column) * g("full_force"))
}

/// Rows of the fit and the fresh ones are told apart by their column `use`.
fn misses(which: &str, column: &str, k: usize, walk: f64) -> Vec<f64> {
    let all: Vec<f64> = rows()
        .iter()
        .filter(|r| r["use"] == which)
        .map(|r| {
            let (law, model) = both(r, column, k);
            (law / walk / model).ln()
        })
        .collect();
    println!("{which} {column}: {all:.3?}");
    all
}

/// What the fitted rows may miss by, root mean square of the logarithm: what they did when the law was laid.
const FITTED: [f64; 4] = [0.0745, 0.0443, 0.0215, 0.0968];

fn rms(x: &[f64]) -> f64 {
    (x.iter().map(|v| v * v).sum::<f64>() / x.len() as f64).sqrt()
}

/// Column of the rows, its place in `stroke::LEFT`, and the walk's force over the column's: from 20 to 80 % is one push at the
/// middle, of which the walk in lifts of a tenth asked 0.648/0.668 = 0.97.
const COLUMNS: [(&str, usize, f64); 4] = [("first_25th", 0, 1.0), ("walk_half", 1, 1.0), ("from_20_to_80", 2, 0.97), ("walk_true", 4, 1.0)];

/// The law against the own model's runs, kept in crates/fem/data/stroke_rows.csv: those it was fitted to, and fresh ones whose
/// deviation is the error that it states.
#[test]
fn the_law_returns_the_models_runs() {
    for (i, (column, k, walk)) in COLUMNS.into_iter().enumerate() {
        let fitted = misses("fit", column, k, walk);
        assert!(fitted.len() == 12 && rms(&fitted) < FITTED[i], "{column} {} {fitted:?}", rms(&fitted));
        let fresh = misses("fresh", column, k, walk);
        assert!(fresh.len() == stroke::ERROR.runs && fresh.len() >= 8);
        let found = rms(&fresh);
        assert!((found - stroke::ERROR.log_rms[i]).abs() < 0.002, "{column}: stated {:?}, found {found}", stroke::ERROR);
    }
}

/// A tenth left was run at one lift only (the others pass it in their last pass): a tenth over a fifth there.
#[test]
fn a_tenth_left_asks_what_the_run_in_small_lifts_asked() {
    let all = rows();
    let row = all.iter().find(|r| r["lift_over_depth"] == "0.1000").unwrap();
    let (law, model) = both(row, "walk_tenth", 3);
    assert!((law / model).ln().abs() < 0.05, "{law} {model}");
    let (law, model) = both(row, "walk_fifth", 2);
    assert!((law / model).ln().abs() < 0.05, "{law} {model}");
    // The tenth goes with the fifth wherever the case lies: one run tells no more.
    let over_fifth = row["walk_tenth"].parse::<f64>().unwrap() / row["walk_fifth"].parse::<f64>().unwrap();
    for p in &PLACES {
        let f = stroke::over_collapse(&place(p));
        assert!((f[3] / f[2] / over_fifth - 1.0).abs() < 0.01, "{} {}", p.0, f[3] / f[2]);
    }
    let force = force_part(&place(&PLACES[0]));
    assert!((force.force_part - part_to(&place(&PLACES[0]), stroke::ROUGHED)).abs() < 1e-12);
}

/// Yield lines about a point load: 4π M₀ (Johansen; from memory). The law's stroke that leaves half of the dent, in the middle of what
/// was run, is that within 5 %.
#[test]
fn half_of_the_dent_asks_the_point_load_of_yield_lines() {
    let all = rows();
    let row = all.iter().find(|r| r["use"] == "fit").unwrap();
    let (law, _) = both(row, "walk_half", 1);
    // M₀ = σ₀ 3.5^n t²/4 in units of σ₀t².
    let collapse = 4.0 * std::f64::consts::PI * 3.5f64.powf(0.2) / 4.0;
    assert!((law / collapse - 1.0).abs() < 0.05, "{law} {collapse}");
}

/// Own model, places beside the dent's line worked as well (rows `round`): the stated doubt is the law's deviation, until a tenth is left, from
/// the greatest of their strokes; and the law is not below them by more than a few per cent.
#[test]
fn worked_beside_the_line_as_well_the_stated_doubt_covers() {
    let off: Vec<f64> = rows()
        .iter()
        .filter(|r| r["use"] == "round")
        .map(|r| {
            let (law, model) = both(r, "walk_true", 3);
            (law / model).ln()
        })
        .collect();
    assert!(off.len() == 2 && off.iter().all(|v| *v > -0.05), "{off:.3?}");
    assert!((rms(&off) - stroke::BESIDE_LINE).abs() < 0.003, "{off:.3?} {}", rms(&off));
}

/// Own model at D/t 10, half of the smallest that was fitted (rows `outside`): within twice the doubt that is stated outside the range, for
/// half, a fifth and true. The first lift is not: it asks up to 1.8 times the law (docs/validation.md).
#[test]
fn thick_tubes_outside_the_range_lie_within_twice_the_stated_doubt() {
    let log_sd = 2.0 * stroke::ERROR.log_rms[3].hypot(stroke::MIRRORED).hypot(stroke::BESIDE_LINE);
    for (column, k, walk) in &COLUMNS[1..] {
        let off = misses("outside", column, *k, *walk);
        assert!(off.len() == 3 && off.iter().all(|v| v.abs() < 2.0 * log_sd) && rms(&off) < log_sd, "{column} {off:.3?}");
    }
    let first = misses("outside", "first_25th", 0, 1.0);
    assert!(first.iter().all(|v| (-0.6..0.0).contains(v)), "{first:.3?}");
}

/// Own model, one pair of runs: with the reaction taken beside the dent the strokes ask for a little more.
#[test]
fn held_beside_the_dent_asks_for_more() {
    let all = rows();
    let row = all.iter().find(|r| r["hold"] == "beside").unwrap();
    for (column, k) in [("walk_half", 1), ("walk_true", 4)] {
        let (law, model) = both(row, column, k);
        assert!((law / model).ln().abs() < 0.08, "{column} {law} {model}");
    }
}

/// Issue 10, own model: eight centre pushes at a fifth of the full force do not bring the dent back; a first lift of 1/25 asks
/// 0.26 to 0.42 of it; from 20 to 80 % lifted asks 0.49 to 0.73. The parts are of the model's own one push in those tubes (N, docs/validation.md,
/// five places), so that the force table's own error does not enter.
#[test]
fn the_audits_figures_in_its_five_tubes() {
    for (p, model_n) in PLACES.iter().zip([940.0, 844.0, 807.0, 681.0, 524.0]) {
        let s = place(p);
        assert_eq!(lift_within(&s, 0.2), None, "{}", p.0);
        assert!(left_within(&s, 0.2) > 0.97, "{} {}", p.0, left_within(&s, 0.2));
        // 4π M₀, M₀ by the flow stress after 5 % strain.
        let collapse_n = std::f64::consts::PI * p.4 * 3.5f64.powf(p.5) * p.2 * p.2;
        let [first, _, most, _, _] = stroke::over_collapse(&s).map(|f| f * collapse_n / model_n);
        println!(
            "{}: least {:.3}, first {first:.3}, to a fifth {most:.3}, roughed out {:.3}",
            p.0,
            least_part(&s),
            force_part(&s).force_part
        );
        assert!((0.26..=0.42).contains(&first), "{} {first}", p.0);
        assert!((0.49..=0.73).contains(&most), "{} {most}", p.0);
    }
}

/// Single-point incremental forming: F = 0.0716 R_m t^1.57 d^0.41 Δh^0.09 α cos α (Aerens, Eyckens, Van Bael, Duflou 2010; from
/// memory): nearly independent of the step. Five times the lift: 1.16 there; neither the model's stored runs nor the law may change by
/// more either way, where the formula that it replaces (1/√strokes) had 2.2.
#[test]
fn nearly_independent_of_the_step_as_incremental_forming_is() {
    let s = Stroke { lift_mm: 0.12, ..place(&PLACES[2]) };
    let published = 5f64.powf(0.09);
    let all = rows();
    let run = |lift: &str| {
        let row = all.iter().find(|r| r["use"] == "fit" && r["head_over_d"] == "0.4500" && r["lift_over_depth"] == lift).unwrap();
        row["walk_true"].parse::<f64>().unwrap()
    };
    let model = run("0.5000") / run("0.1000");
    assert!((1.0 / published..=published).contains(&model), "{model}");
    let ratio = force_part(&Stroke { lift_mm: 5.0 * s.lift_mm, ..s }).force_part / force_part(&s).force_part;
    assert!((1.0 / published..=published).contains(&ratio), "{ratio}");
}

/// The figures that stand beside the fit, against the runs and figures they were read from.
#[test]
fn the_constants_beside_the_fit_are_what_they_were_read_from() {
    let s = place(&PLACES[3]);
    // Issue 10: eight pushes at a fifth lifted 0.026 of 3 mm, a first lift of 1/25 asked a third in the middle of its range. The least lift
    // that counts is a hundredth.
    let power = (0.33f64 / 0.20).ln() / (0.04f64 / (0.026 / 3.0)).ln();
    let expected = (0.01f64 / 0.04).powf(power);
    assert!((least_part(&s) / part_to(&s, 0.96) / expected - 1.0).abs() < 0.02);
    // Lifts up to half of the depth were run; a lift of the whole depth is the one push.
    let at = |lift: f64| force_part(&Stroke { lift_mm: lift * s.depth_mm, ..s }).force_part;
    assert!((at(0.5) - at(0.1)).abs() < 1e-12 && (at(0.5f64.sqrt()) - at(0.5).sqrt()).abs() < 1e-9 && at(1.0) == 1.0);
    // A tenth is left for the burnisher, 3 % is what the walk ended within (crates/fem/examples/walk_rows.rs).
    assert!((left_within(&s, at(0.5)) - 0.1).abs() < 1e-9 && left_within(&s, 1.0) == 0.03);
    // One ball over the whole length against mirrored pairs, until true: half of what it changes.
    let all = rows();
    let find = |length: &str| {
        let row = all
            .iter()
            .find(|r| r["length"] == length && r["hold"] == "opposite" && r["lift_over_depth"] == "0.5000" && r["exponent"] == "0.2000")
            .unwrap();
        row["walk_true"].parse::<f64>().unwrap() * row["full_force"].parse::<f64>().unwrap()
    };
    let half = 0.5 * (find("whole") / find("half")).ln();
    assert!((stroke::MIRRORED - half).abs() < 0.003, "{half}");
    let log_sd = force_part(&Stroke { depth_mm: 2.0, ..s }).log_sd;
    assert!((log_sd - stroke::ERROR.log_rms[3].hypot(half).hypot(stroke::BESIDE_LINE)).abs() < 0.003, "{log_sd}");
}
