//! Runs a walking tool over one dent and prints its strokes.
//!
//! `cargo run -p fem --release --example walk -- D/t sigma0/E n depth/D head/D lift/depth [pitch/D [whole|half|beside|held|round|rim …]]`.

use fem::material::Metal;
use fem::tube::Tube;
use fem::walk::{Cut, Hold, Order, Walk};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let a: Vec<f64> = words.iter().filter_map(|s| s.parse().ok()).collect();
    let get = |i: usize, or: f64| a.get(i).copied().unwrap_or(or);
    let d = 20.0;
    let (dt, strain, n, depth, head, lift) = (get(0, 40.0), get(1, 0.002), get(2, 0.2), get(3, 0.1), get(4, 0.5), get(5, 0.2));
    let pitch = get(6, 0.12);
    let metal = Metal { e_n_mm2: 112_000.0, nu: 0.34, sigma0_n_mm2: 112_000.0 * strain, eps0: 0.02, n };
    let tube = Tube { mean_diameter_mm: d, wall_mm: d / dt, metal };
    let word = |w: &str| words.iter().any(|x| x == w);
    let hold = if word("beside") {
        Hold::Beside(0.9)
    } else if word("held") {
        Hold::Round
    } else {
        Hold::Opposite
    };
    // Lines beside the dent's own, as far apart as the places along.
    let clocks: Vec<f64> = (0..if word("round") { 5 } else { 1 }).map(|i| 2.0 * pitch * f64::from(i)).collect();
    let cut = Cut { whole_length: word("whole"), ..Cut::RUNS };
    let clock = std::time::Instant::now();
    let mut x = Walk::new(tube, cut, hold)?;
    let unit = x.unit_n();
    println!("unknowns {}", x.model.unknowns());
    let (made, dented) = x.dent(0.25 * d, depth * d, 0.02 * d)?;
    println!("dent {made:?}\n{:.1?} turns {} cuts {} stuck {}", clock.elapsed(), x.turns, x.cuts, x.stuck);
    for (z, w) in x.profile(&dented) {
        print!("{:.3} {:.4}; ", z / d, w / d);
    }
    println!();
    let full = x.push(&mut dented.clone(), 0.31 * d, &[0.96, 0.8, 0.2, 0.0], 0.01 * d)?;
    for r in &full {
        println!("full F {:.3} before {:.4} loaded {:.4} left {:.4}", r.radial_n / unit, r.before_mm / d, r.loaded_mm / d, r.left_mm / d);
    }
    println!("{:.1?} turns {} cuts {} stuck {}", clock.elapsed(), x.turns, x.cuts, x.stuck);
    let most = full.last().map_or(1.0, |r| r.radial_n);
    let mut state = dented.clone();
    let depth_mm = x.depth_mm(&state, 0.0);
    let strokes = x.walk_round(
        &mut state,
        0.5 * head * d,
        if words.iter().any(|w| w == "rim") { Order::RimFirst } else { Order::Even },
        lift * depth_mm,
        pitch * d,
        &clocks,
        0.03,
    )?;
    for r in &strokes {
        println!(
            "pass {} place {:.3} clock {:.3} F {:.3} part {:.3} axial {:.3} before {:.4} loaded {:.4} left {:.4}",
            r.pass,
            r.place_mm / d,
            r.clock_rad,
            r.radial_n / unit,
            r.radial_n / most,
            r.axial_n / r.radial_n,
            r.before_mm / d,
            r.loaded_mm / d,
            r.left_mm / d
        );
    }
    let greatest = strokes.iter().map(|r| r.radial_n).fold(0.0, f64::max);
    println!("greatest {:.3} part {:.3} strokes {}", greatest / unit, greatest / most, strokes.len());
    for (z, w) in x.profile(&state) {
        print!("{:.3} {:.4}; ", z / d, w / d);
    }
    println!("\n{:.1?} turns {} cuts {} stuck {}", clock.elapsed(), x.turns, x.cuts, x.stuck);
    Ok(())
}
