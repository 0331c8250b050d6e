//! Where the dents of the demo's cases and of dents all over every pattern lie in the groups of the force table:
//! `cargo run -p job --example places`. Prints one line for each dent, and the quantiles.

#[path = "../tests/common/mod.rs"]
mod common;

use instrument::Kind::{AltoHorn, Baritone, Bugle, Cornet, Euphonium, Flugelhorn, Horn, Sousaphone, Trombone, Trumpet, Tuba};

fn main() {
    let mut surveys: Vec<(String, instrument::Survey)> =
        fixtures::demo::CASES.iter().map(|c| ((*c).to_owned(), fixtures::demo::read(c))).collect();
    for kind in [Trumpet, Cornet, Flugelhorn, Trombone, Horn, AltoHorn, Baritone, Euphonium, Tuba, Sousaphone, Bugle] {
        surveys.push((format!("{kind:?}"), fixtures::dents_all_over(kind, 60, 0)));
    }
    let mut all: Vec<[f64; 4]> = Vec::new();
    for (name, s) in &surveys {
        for d in &s.dents {
            let Some(site) = s.site(d) else { continue };
            let i = dent::force_case(d, &site);
            let q = dent::force::place(&i, dent::force::BALL_PART * i.diameter_mm);
            let n = (q.flow_at_5_percent_mpa / q.yield_mpa).ln() / 3.5_f64.ln();
            let at = [i.diameter_mm / i.wall_mm, q.yield_mpa / q.e_mpa, n, i.depth_mm / i.diameter_mm];
            println!(
                "{name} {}: D {:.1} D/t {:.1} σ₀/E {:.5} n {:.3} d/D {:.4} 20 mm head/D {:.3}",
                d.id.0,
                i.diameter_mm,
                at[0],
                at[1],
                at[2],
                at[3],
                20.0 / i.diameter_mm
            );
            all.push(at);
        }
    }
    for (k, what) in ["D/t", "σ₀/E", "n", "d/D"].iter().enumerate() {
        let mut v: Vec<f64> = all.iter().map(|a| a[k]).collect();
        v.sort_by(f64::total_cmp);
        let q = |p: f64| v[((v.len() - 1) as f64 * p) as usize];
        println!("{what}: {:.4} {:.4} {:.4} {:.4} {:.4} {:.4} {:.4}", q(0.0), q(0.025), q(0.25), q(0.5), q(0.75), q(0.975), q(1.0));
    }
}
