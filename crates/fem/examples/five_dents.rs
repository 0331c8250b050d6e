//! Force to move a 3 mm dent in five places of an instrument, by the model itself and by the shipped table.
//!
//! `cargo run -p fem --release --example five_dents`. Sizes, alloys and tempers in the middle of the patterns' runs
//! (`crates/dent/tests/force.rs` has the same places); σ₀ and n of σ₀ (1 + α/0.02)ⁿ through the alloy's stresses after 1 %
//! and 15 % plastic strain, as `crates/dent/src/force.rs` lays them. Each dent is also made with a ball half as large: how much
//! the form of the dent matters.

#[path = "../../dent/src/force_table.rs"]
#[allow(dead_code, unused_imports)]
mod force_table;

use fem::material::Metal;
use fem::tube::{Experiment, Fineness, Tube};

/// What, bore mm, wall mm, E, σ₀ N/mm², n.
const PLACES: [(&str, f64, f64, f64, f64, f64); 5] = [
    ("tuba branch", 24.5, 0.6, 112_000.0, 383.0, 0.151),
    ("tuning slide, inner leg", 11.66, 0.5, 125_000.0, 550.1, 0.0393),
    ("leadpipe", 10.52, 0.5, 112_000.0, 416.5, 0.1305),
    ("bell stem", 18.69, 0.5, 112_000.0, 351.5, 0.1675),
    ("bow (as if straight)", 14.4, 0.5, 112_000.0, 217.4, 0.2831),
];

fn main() -> Result<(), Box<dyn std::error::Error>> {
    println!(
        "| place | bore × wall mm | dented by a ball of | D/t | depth/D | ball inside mm | force out N, model | table | over-push mm | force in N | Wierzbicki–Suh N |\n|---|---|---|---|---|---|---|---|---|---|---|"
    );
    for (what, bore, wall, e_mpa, yield_mpa, n, ball_in) in
        PLACES.iter().flat_map(|p| [0.25, 0.125].map(|ball| (p.0, p.1, p.2, p.3, p.4, p.5, ball)))
    {
        let d = bore + wall;
        let metal = Metal { e_n_mm2: e_mpa, nu: 0.34, sigma0_n_mm2: yield_mpa, eps0: 0.02, n };
        let ball = 0.62 * d;
        let mut x = Experiment::new(Tube { mean_diameter_mm: d, wall_mm: wall, metal }, Fineness::TABLE)?;
        let (_, dents) = x.dent_left(ball_in * d, &[3.0], 0.008 * d)?;
        let dent = dents.first().ok_or("no dent")?;
        let out = x.push_out(dent, 0.5 * ball, 0.008 * d)?;
        let flow = metal.flow(0.05).0;
        let table = force_table::look_up(&force_table::Question {
            mean_diameter_mm: d,
            wall_mm: wall,
            e_mpa,
            yield_mpa,
            flow_at_5_percent_mpa: flow,
            ball_mm: ball,
            depth_mm: dent.residual_mm,
        });
        // 16 M₀ √((2π/3)(δ/t)·¾), M₀ = σt²/4 with the flow stress at 5 % (Wierzbicki & Suh 1988, from memory).
        let wedge = 4.0 * flow * wall * wall * (2.0 * std::f64::consts::FRAC_PI_3 * 0.75 * dent.residual_mm / wall).sqrt();
        println!(
            "| {what} | {bore} × {wall} | {:.2} D | {:.0} | {:.3} | {ball:.1} | {:.0} | {} | {:.2} | {:.0} | {wedge:.0} |",
            2.0 * ball_in,
            d / wall,
            dent.residual_mm / d,
            out.force_n,
            table.map_or_else(|| "none".into(), |a| format!("{:.0}{}", a.force_out_n, if a.away > 0.0 { " (edge)" } else { "" })),
            out.over_push_mm,
            dent.loaded.force_n
        );
    }
    Ok(())
}
