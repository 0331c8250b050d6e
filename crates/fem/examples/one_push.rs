//! Runs one tube and prints its curves: `cargo run -p fem --release --example one_push -- D/t sigma0/E n push_ball/D [along around first]`.

use fem::material::Metal;
use fem::tube::{Experiment, Fineness, Tube};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let a: Vec<f64> = std::env::args().skip(1).map(|s| s.parse()).collect::<Result<_, _>>()?;
    let get = |i: usize, or: f64| a.get(i).copied().unwrap_or(or);
    let (d, dt, yield_strain, n, ball) = (20.0, get(0, 40.0), get(1, 0.002), get(2, 0.2), get(3, 0.6));
    let metal = Metal { e_n_mm2: 112_000.0, nu: 0.34, sigma0_n_mm2: 112_000.0 * yield_strain, eps0: 0.02, n };
    let mut f = Fineness::TABLE;
    (f.along, f.around, f.first) = (get(4, f.along as f64) as usize, get(5, f.around as f64) as usize, get(6, f.first));
    f.half_length = get(7, f.half_length);
    let tube = Tube { mean_diameter_mm: d, wall_mm: d / dt, metal };
    let mut x = Experiment::new(tube, f)?;
    let unit = metal.sigma0_n_mm2 * tube.wall_mm * tube.wall_mm;
    println!("unknowns {}", x.model.unknowns());
    let clock = std::time::Instant::now();
    let (curve, dents) = x.dent(0.25 * d, &[0.02 * d, 0.06 * d, 0.15 * d], 0.008 * d)?;
    for r in &curve {
        println!("in  depth/D {:.4} F/(s t2) {:.3}", r.depth_mm / d, r.force_n / unit);
    }
    println!("dent {:?} cuts {}", clock.elapsed(), x.cuts);
    for dent in &dents {
        println!("loaded {:.4} residual {:.4}", dent.loaded.depth_mm / d, dent.residual_mm / d);
        let out = x.push_out(dent, 0.5 * ball * d, 0.008 * d)?;
        for r in &out.curve {
            println!("  out depth/D {:.4} F/(s t2) {:.3}", r.depth_mm / d, r.force_n / unit);
        }
        println!("  force {:.3} over-push/D {:.4} {:?} cuts {}", out.force_n / unit, out.over_push_mm / d, clock.elapsed(), x.cuts);
    }
    Ok(())
}
