//! What an anneal of a dent leaves of the force and the over-push: the tube dented in its hard metal, annealed as it lies, pushed out.
//!
//! `cargo run -p fem --release --example annealed -- cradle|held D/t depth/D hard_sigma0/E hard_n soft_sigma0/E soft_n [ball/D]`. Prints a line for
//! the tube worked hard, for the one annealed after the dent, and for one that was soft before it was dented (what the force table
//! knows), all left equally deep; forces over the soft σ₀t².

use fem::material::Metal;
use fem::tube::{Dented, Experiment, Fineness, PushedOut, Tube};

type Fail = Box<dyn std::error::Error>;

fn main() -> Result<(), Fail> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let get = |i: usize| -> Result<f64, Fail> { Ok(words.get(i).ok_or("say cradle|held D/t depth/D and both metals")?.parse()?) };
    let f = if words.first().is_some_and(|w| w == "held") { Fineness::HELD } else { Fineness::TABLE };
    let (d, e) = (20.0, 112_000.0);
    let (dt, depth) = (get(1)?, get(2)?);
    let metal =
        |i: usize| -> Result<Metal, Fail> { Ok(Metal { e_n_mm2: e, nu: 0.34, sigma0_n_mm2: e * get(i)?, eps0: 0.02, n: get(i + 1)? }) };
    let (hard, soft) = (metal(3)?, metal(5)?);
    let ball = if words.len() > 7 { get(7)? } else { 0.62 };
    let wall_mm = d / dt;
    let unit = soft.sigma0_n_mm2 * wall_mm * wall_mm;
    let step = 0.008 * d;
    let out = |x: &mut Experiment, dent: &Dented| -> Result<PushedOut, Fail> {
        Ok(x.push_out(dent, 0.5 * ball * d, (0.8 * dent.residual_mm).clamp(0.25 * step, step))?)
    };
    let tell = |what: &str, dent: &Dented, o: &PushedOut| {
        println!(
            "{what}: left {:.4} D, out {:.3}, over-push {:.4} D, strain of the dent {:.3}, of the way back {:.3}",
            dent.residual_mm / d,
            o.force_n / unit,
            o.over_push_mm / d,
            o.strain.dent,
            o.strain.back
        );
    };
    // What is left comes out a little past what was asked: asked again, so that the dents are equally deep.
    let dented = |metal: Metal| -> Result<(Experiment, Dented), Fail> {
        let (mut asked, mut found) = (depth * d, None);
        for _ in 0..5 {
            let mut x = Experiment::new(Tube { mean_diameter_mm: d, wall_mm, metal }, f)?;
            let (_, dents) = x.dent_left(0.25 * d, &[asked], 0.5 * step)?;
            let dent = dents.into_iter().next().ok_or("no dent")?;
            let over = dent.residual_mm / (depth * d);
            found = Some((x, dent));
            if (over - 1.0).abs() < 0.01 {
                break;
            }
            asked /= over;
        }
        found.ok_or_else(|| "no dent".into())
    };
    let (mut x, dent) = dented(hard)?;
    let worked_hard = out(&mut x, &dent)?;
    tell("hard", &dent, &worked_hard);
    let mut after = dent.clone();
    x.model.anneal(&mut after.state, soft)?;
    let annealed = out(&mut x, &after)?;
    tell("annealed", &after, &annealed);
    let (mut x, dent) = dented(soft)?;
    let as_table = out(&mut x, &dent)?;
    tell("soft before", &dent, &as_table);
    println!(
        "row: {},{dt},{:.5},{},{},{},{},{:.4},{:.4},{:.4},{:.5},{:.5},{:.5}",
        words[0],
        dent.residual_mm / d,
        get(3)?,
        get(4)?,
        get(5)?,
        get(6)?,
        worked_hard.force_n / unit,
        annealed.force_n / unit,
        as_table.force_n / unit,
        worked_hard.over_push_mm / d,
        annealed.over_push_mm / d,
        as_table.over_push_mm / d
    );
    println!(
        "annealed over soft before: force {:.3}, over-push {:.3}; over hard: force {:.3}, over-push {:.3}",
        annealed.force_n / as_table.force_n,
        annealed.over_push_mm / as_table.over_push_mm,
        annealed.force_n / worked_hard.force_n,
        annealed.over_push_mm / worked_hard.over_push_mm
    );
    Ok(())
}
