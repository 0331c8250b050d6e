//! Runs one tube and prints its curves: `cargo run -p fem --release --example one_push -- cradle|held D/t sigma0/E n push_ball/D depths/D
//! [along around first half_length step/D [curves]]`, depths as 0.01,0.05.

use fem::material::Metal;
use fem::tube::{Experiment, Fineness, Tube};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let get = |i: usize, or: f64| words.get(i).map_or(Ok(or), |w| w.parse());
    let mut f = if words.first().is_some_and(|w| w == "held") { Fineness::HELD } else { Fineness::TABLE };
    let (d, dt, yield_strain, n, ball) = (20.0, get(1, 40.0)?, get(2, 0.002)?, get(3, 0.2)?, get(4, 0.62)?);
    let depths: Vec<f64> =
        words.get(5).map_or("0.01,0.03,0.1", String::as_str).split(',').map(|w| w.parse::<f64>()).collect::<Result<_, _>>()?;
    let metal = Metal { e_n_mm2: 112_000.0, nu: 0.34, sigma0_n_mm2: 112_000.0 * yield_strain, eps0: 0.02, n };
    (f.along, f.around, f.first) = (get(6, f.along as f64)? as usize, get(7, f.around as f64)? as usize, get(8, f.first)?);
    f.half_length = get(9, f.half_length)?;
    let step = get(10, 0.008)?;
    let tube = Tube { mean_diameter_mm: d, wall_mm: d / dt, metal };
    let mut x = Experiment::new(tube, f)?;
    let unit = metal.sigma0_n_mm2 * tube.wall_mm * tube.wall_mm;
    let clock = std::time::Instant::now();
    let left: Vec<f64> = depths.iter().map(|v| v * d).collect();
    let (curve, dents) = x.dent_left(0.25 * d, &left, step * d)?;
    println!("unknowns {} dent {:.1?} cuts {}", x.model.unknowns(), clock.elapsed(), x.cuts);
    if words.len() > 11 {
        for r in &curve {
            println!("in  depth/D {:.4} F/(s t2) {:.3}", r.depth_mm / d, r.force_n / unit);
        }
    }
    for dent in &dents {
        let out = x.push_out(dent, 0.5 * ball * d, (0.8 * dent.residual_mm).clamp(0.25 * step * d, step * d))?;
        if words.len() > 11 {
            for r in &out.curve {
                println!("  out depth/D {:.4} F/(s t2) {:.3}", r.depth_mm / d, r.force_n / unit);
            }
        }
        println!(
            "loaded {:.4} residual {:.4} in {:.3} out {:.3} over-push/D {:.4} left/dent {:.4} strain in {:.4} back {:.4} both {:.4} {:.1?} cuts {}",
            dent.loaded.depth_mm / d,
            dent.residual_mm / d,
            dent.loaded.force_n / unit,
            out.force_n / unit,
            out.over_push_mm / d,
            out.left_mm / dent.residual_mm,
            out.strain.dent,
            out.strain.back,
            out.strain.both,
            clock.elapsed(),
            x.cuts
        );
    }
    Ok(())
}
