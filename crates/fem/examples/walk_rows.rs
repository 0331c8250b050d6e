//! Runs of the walking tool, one row for each: the data behind `crates/dent/src/stroke.rs`.
//!
//! `cargo run -p fem --release --example walk_rows -- screen` runs one group after the other off a middle case;
//! `... -- random COUNT SEED` runs COUNT cases anywhere within the ranges. Rows (kept in crates/fem/data/stroke_rows.csv) hold, in
//! units of the one push to true by a ball of 0.62 D: the push that first lifts the middle by 1/25, the push from 20 to 80 %
//! lifted, and the greatest stroke of the walking tool until half, a fifth, a tenth and 3 % of the dent is left in the middle
//! and every place of its line.

use fem::material::Metal;
use fem::tube::Tube;
use fem::walk::{Cut, Hold, Order, Record, Walk};

type Fail = Box<dyn std::error::Error>;

/// D/t, σ₀/E, n, depth/D, head/D, lift/depth.
const MIDDLE: [f64; 6] = [36.0, 0.0025, 0.2, 0.1, 0.45, 0.25];
const LOW: [f64; 6] = [20.0, 0.0012, 0.05, 0.04, 0.22, 0.1];
const HIGH: [f64; 6] = [48.0, 0.0042, 0.45, 0.18, 0.75, 0.5];

#[derive(Clone, Copy)]
struct How {
    hold: Hold,
    order: Order,
    whole: bool,
    pitch: f64,
}

const PLAIN: How = How { hold: Hold::Opposite, order: Order::Even, whole: false, pitch: 0.12 };

fn main() -> Result<(), Fail> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    println!(
        "d_over_t,yield_strain,exponent,depth_over_d,head_over_d,lift_over_depth,hold,order,length,pitch_over_d,full_force,over_push_over_d,first_25th,from_20_to_80,walk_half,walk_fifth,walk_tenth,walk_true,walk_over_push_over_d,axial_over_radial,strokes,lowest_over_depth"
    );
    match words.first().map(String::as_str) {
        Some("screen") => {
            // Lift and head at a lift of a quarter; the lift does nearly nothing, so the others at half: fewer passes to run.
            if !words.iter().any(|w| w == "rest") {
                show(MIDDLE, PLAIN);
            }
            for k in [5, 4, 0, 1, 2, 3] {
                for end in [LOW, HIGH] {
                    let mut x = MIDDLE;
                    if k < 4 {
                        x[5] = HIGH[5];
                    }
                    x[k] = end[k];
                    if !words.iter().any(|w| w == "rest") || k < 4 {
                        show(x, PLAIN);
                    }
                }
            }
        }
        Some("ways") => {
            let x = [MIDDLE[0], MIDDLE[1], MIDDLE[2], MIDDLE[3], MIDDLE[4], HIGH[5]];
            show(x, How { hold: Hold::Beside(0.9), ..PLAIN });
            show(x, How { whole: true, ..PLAIN });
            show(x, How { order: Order::RimFirst, ..PLAIN });
            show(x, How { pitch: 0.06, ..PLAIN });
        }
        Some("random") => {
            let number = |i: usize| -> Result<u64, Fail> { Ok(words.get(i).ok_or("say random COUNT SEED")?.parse()?) };
            // A small linear congruential generator: the draws need to be repeatable, not good.
            let mut seed = number(2)?;
            for _ in 0..number(1)? {
                let x = std::array::from_fn(|k| {
                    seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                    let part = (seed >> 11) as f64 / (1u64 << 53) as f64;
                    // Lifts from a quarter on: what smaller ones change is in the screening.
                    let part = if k == 5 { 0.57 + 0.43 * part } else { part };
                    // The exponent as it is, the rest in its logarithm.
                    if k == 2 { LOW[k] + part * (HIGH[k] - LOW[k]) } else { LOW[k] * (HIGH[k] / LOW[k]).powf(part) }
                });
                show(x, PLAIN);
            }
        }
        _ => return Err("say screen, ways, or random COUNT SEED".into()),
    }
    Ok(())
}

/// One run; one that fails is said on stderr and leaves no row.
fn show(x: [f64; 6], how: How) {
    let clock = std::time::Instant::now();
    if std::env::var("SKIP").is_ok_and(|s| s == format!("{}", x[0])) {
        return;
    }
    match row(x, how) {
        Ok(row) => println!("{row}"),
        Err(e) => eprintln!("{x:?}: {e}"),
    }
    eprintln!("{x:?}: {:.0?}", clock.elapsed());
}

fn row([dt, strain, n, depth, head, lift]: [f64; 6], how: How) -> Result<String, Fail> {
    let d = 20.0;
    let metal = Metal { e_n_mm2: 112_000.0, nu: 0.34, sigma0_n_mm2: 112_000.0 * strain, eps0: 0.02, n };
    let tube = Tube { mean_diameter_mm: d, wall_mm: d / dt, metal };
    let mut w = Walk::new(tube, Cut { whole_length: how.whole, ..Cut::RUNS }, how.hold)?;
    let (_, dented) = w.dent(0.25 * d, depth * d, 0.02 * d)?;
    let deep = w.depth_mm(&dented, 0.0);
    let pushes = w.push(&mut dented.clone(), 0.31 * d, &[0.96, 0.2, 0.0], 0.015 * d)?;
    let full = pushes.iter().map(|r| r.radial_n).fold(0.0, f64::max);
    let over = pushes.last().map_or(0.0, |r| -r.loaded_mm);
    let mut state = dented.clone();
    let strokes = w.walk(&mut state, 0.5 * head * d, how.order, lift * deep, how.pitch * d, 0.03)?;
    // Greatest force up to the first stroke at the middle that leaves so much.
    let until = |part: f64| {
        let end = strokes.iter().position(|r| r.place_mm == 0.0 && r.left_mm <= part * deep).map_or(strokes.len(), |i| i + 1);
        strokes[..end].iter().map(|r| r.radial_n).fold(0.0, f64::max) / full
    };
    let most = strokes.iter().map(|r| r.radial_n).fold(0.0, f64::max) / full;
    let walk_over = strokes.iter().map(|r| -r.loaded_mm).fold(0.0, f64::max);
    let axial = strokes.iter().map(|r: &Record| (r.axial_n / r.radial_n).abs()).fold(0.0, f64::max);
    let lowest = w.profile(&state).iter().map(|(_, v)| *v).fold(0.0, f64::min) / deep;
    let hold = if how.hold == Hold::Opposite { "opposite" } else { "beside" };
    let order = if how.order == Order::Even { "even" } else { "rim first" };
    let length = if how.whole { "whole" } else { "half" };
    Ok(format!(
        "{dt:.3},{strain:.6},{n:.4},{:.5},{head:.4},{lift:.4},{hold},{order},{length},{},{:.4},{:.5},{:.4},{:.4},{:.4},{:.4},{:.4},{most:.4},{:.5},{axial:.3},{},{lowest:.4}",
        deep / d,
        how.pitch,
        full / w.unit_n(),
        over / d,
        pushes[0].radial_n / full,
        pushes[1].radial_n / full,
        until(0.51),
        until(0.21),
        until(0.105),
        walk_over / d,
        strokes.len()
    ))
}
