//! Force to move a 3 mm dent in five places of an instrument, by the model itself and by the shipped table.
//!
//! `cargo run -p fem --release --example five_dents`. Sizes and tempers are invented, typical values; the stress–strain
//! curves are check-values.md's yield stresses with σ₀ (1 + α/0.02)ⁿ.

#[path = "../../dent/src/force_table.rs"]
#[allow(dead_code, unused_imports)]
mod force_table;

use fem::material::Metal;
use fem::tube::{Experiment, Fineness, Tube};

/// What, bore mm, wall mm, yield N/mm², n.
const PLACES: [(&str, f64, f64, f64, f64); 5] = [
    ("tuning-slide leg, hard", 11.7, 0.5, 495.0, 0.04),
    ("leadpipe, half hard", 9.5, 0.45, 350.0, 0.12),
    ("tuba branch (18 to 30 bore, at 24), half hard", 24.0, 0.6, 350.0, 0.12),
    ("bell stem, quarter hard", 20.0, 0.45, 230.0, 0.25),
    ("bow, annealed", 35.0, 0.5, 145.0, 0.49),
];

fn main() -> Result<(), Box<dyn std::error::Error>> {
    println!(
        "| place | bore × wall mm | D/t | depth/D | ball mm | force out N, model | table | over-push mm | force in N | Wierzbicki–Suh N |\n|---|---|---|---|---|---|---|---|---|---|"
    );
    for (what, bore, wall, yield_mpa, n) in PLACES {
        let d = bore + wall;
        let metal = Metal { e_n_mm2: 112_000.0, nu: 0.34, sigma0_n_mm2: yield_mpa, eps0: 0.02, n };
        let ball = 0.6 * d;
        let mut x = Experiment::new(Tube { mean_diameter_mm: d, wall_mm: wall, metal }, Fineness::TABLE)?;
        let (_, dents) = x.dent_left(0.25 * d, &[3.0], 0.015 * d)?;
        let dent = dents.first().ok_or("no dent")?;
        let out = x.push_out(dent, 0.5 * ball, 0.015 * d)?;
        let flow = metal.flow(0.05).0;
        let table = force_table::look_up(&force_table::Question {
            mean_diameter_mm: d,
            wall_mm: wall,
            e_mpa: 112_000.0,
            yield_mpa,
            flow_at_5_percent_mpa: flow,
            ball_mm: ball,
            depth_mm: dent.residual_mm,
        });
        // 16 M₀ √((2π/3)(δ/t)·¾), M₀ = σt²/4 with the flow stress at 5 % (Wierzbicki & Suh 1988, from memory).
        let wedge = 4.0 * flow * wall * wall * (2.0 * std::f64::consts::FRAC_PI_3 * 0.75 * dent.residual_mm / wall).sqrt();
        println!(
            "| {what} | {bore} × {wall} | {:.0} | {:.3} | {ball:.1} | {:.0} | {} | {:.2} | {:.0} | {wedge:.0} |",
            d / wall,
            dent.residual_mm / d,
            out.force_n,
            table.map_or_else(|e| e.to_string(), |a| format!("{:.0}", a.force_out_n)),
            out.over_push_mm,
            dent.loaded.force_n
        );
    }
    Ok(())
}
