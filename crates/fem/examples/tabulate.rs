//! Runs the model over the grid of the force table and prints one row for each dent and ball.
//!
//! `cargo run -p fem --release --example tabulate -- SHARD SHARDS > rows.csv` runs every SHARDS-th tube from SHARD on;
//! `... -- random COUNT SEED > fresh.csv` runs COUNT tubes off the grid, to measure the table's error.
//! The example `make_table` makes the shipped table of the rows.

use fem::material::Metal;
use fem::tube::{Experiment, Fineness, Tube};

/// Mean diameter over wall.
const D_OVER_T: [f64; 4] = [15.0, 27.0, 47.0, 80.0];
/// First yield stress over Young's modulus.
const YIELD_STRAIN: [f64; 3] = [0.001, 0.0021, 0.0045];
/// Hardening exponent of σ₀(1 + α/0.02)ⁿ.
const EXPONENT: [f64; 2] = [0.02, 0.5];
/// Ball inside over mean diameter.
const BALL: [f64; 2] = [0.25, 0.62];
/// Depth left over mean diameter.
const DEPTH: [f64; 5] = [0.01, 0.025, 0.06, 0.14, 0.3];

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let number = |i: usize| -> Result<u64, Box<dyn std::error::Error>> {
        Ok(words.get(i).ok_or("say SHARD SHARDS, or random COUNT SEED")?.parse()?)
    };
    println!("d_over_t,yield_strain,exponent,ball_over_d,residual_over_d,loaded_over_d,force_in,force_out,over_push_over_d,left_over_d");
    if words.first().is_some_and(|w| w == "random") {
        // A small linear congruential generator: the draws need to be repeatable, not good.
        let mut seed = number(2)?;
        let mut draw = move |lo: f64, hi: f64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            lo + (hi - lo) * (seed >> 11) as f64 / (1u64 << 53) as f64
        };
        for _ in 0..number(1)? {
            let dt = draw(15f64.ln(), 80f64.ln()).exp();
            let strain = draw(0.001f64.ln(), 0.0045f64.ln()).exp();
            let (n, ball) = (draw(0.02, 0.5), draw(0.25f64.ln(), 0.62f64.ln()).exp());
            let depth = draw(0.01f64.ln(), 0.3f64.ln()).exp();
            run(dt, strain, n, &[ball], &[depth]);
        }
        return Ok(());
    }
    let (shard, shards) = (number(0)?, number(1)?.max(1));
    let mut at = 0;
    for dt in D_OVER_T {
        for strain in YIELD_STRAIN {
            for n in EXPONENT {
                if at % shards == shard {
                    run(dt, strain, n, &BALL, &DEPTH);
                }
                at += 1;
            }
        }
    }
    Ok(())
}

/// One tube: its dents and every ball; a run that fails is said on stderr and leaves no row.
fn run(dt: f64, strain: f64, n: f64, balls: &[f64], depths: &[f64]) {
    let clock = std::time::Instant::now();
    let d = 20.0;
    let metal = Metal { e_n_mm2: 112_000.0, nu: 0.34, sigma0_n_mm2: 112_000.0 * strain, eps0: 0.02, n };
    let tube = Tube { mean_diameter_mm: d, wall_mm: d / dt, metal };
    let unit = metal.sigma0_n_mm2 * tube.wall_mm * tube.wall_mm;
    let at = format!("D/t {dt:.2} yield strain {strain:.5} n {n:.3}");
    let mut experiment = match Experiment::new(tube, Fineness::TABLE) {
        Ok(x) => x,
        Err(e) => return eprintln!("{at}: {e}"),
    };
    let mut dents = Vec::new();
    let left: Vec<f64> = depths.iter().map(|x| x * d).collect();
    match experiment.dent_left(0.25 * d, &left, 0.015 * d) {
        Ok((_, all)) => dents.extend(all),
        Err(e) => eprintln!("{at}: dent: {e}"),
    }
    for dent in &dents {
        for &ball in balls {
            match experiment.push_out(dent, 0.5 * ball * d, 0.015 * d) {
                Ok(out) => println!(
                    "{dt:.4},{strain:.6},{n:.4},{ball:.4},{:.6},{:.6},{:.5},{:.5},{:.6},{:.6}",
                    dent.residual_mm / d,
                    dent.loaded.depth_mm / d,
                    dent.loaded.force_n / unit,
                    out.force_n / unit,
                    out.over_push_mm / d,
                    out.left_mm / d
                ),
                Err(e) => eprintln!("{at} ball {ball} left {:.4}: {e}", dent.residual_mm / d),
            }
        }
    }
    eprintln!("{at}: {:.0?}, steps cut {}", clock.elapsed(), experiment.cuts);
}
