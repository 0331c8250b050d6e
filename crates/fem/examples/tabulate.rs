//! Runs the model over the grid of the force table and appends one row for each dent and ball to a file; rows that are there
//! already are not run again, so that a run that was cut short goes on.
//!
//! `cargo run -p fem --release --example tabulate -- cradle|held FILE [SHARD SHARDS [backwards]]` runs every SHARDS-th tube from SHARD on;
//! `... -- cradle|held FILE also D/t HUNDREDTHS [σ₀/E n]` runs every tube of that D/t at one depth more;
//! `... -- cradle|held FILE at D/t σ₀/E n BALLS DEPTHS` runs one tube with balls and depths of its own (over the diameter, with commas);
//! `... -- random cradle|held FILE COUNT SEED` runs COUNT places off the grid, to measure the table's error.
//! The example `make_table` makes the shipped table of the rows.

use fem::material::Metal;
use fem::tube::{Experiment, Fineness, Hold, Tube};
use std::io::Write as _;

/// The groups' lines: mean diameter over wall, first yield stress over Young's modulus, hardening exponent of σ₀(1 + α/0.02)ⁿ, ball
/// inside over mean diameter, depth left over mean diameter.
struct Grid {
    name: &'static str,
    fineness: Fineness,
    d_over_t: &'static [f64],
    yield_strain: &'static [f64],
    exponent: &'static [f64],
    ball: &'static [f64],
    depth: &'static [f64],
    /// Ball that makes the dent, over the mean diameter: half of it in the cradle; held, 0.3 of it, because a wide thin bell is dented by
    /// something small against it (under a ball of half its diameter a thin hard one only snaps in and out, elastically, until half flat).
    dented_by: f64,
    /// Way of the ball in a step, over the mean diameter.
    step: f64,
}

const CRADLE: Grid = Grid {
    name: "cradle",
    fineness: Fineness::TABLE,
    d_over_t: &[9.0, 15.0, 27.0, 47.0, 80.0],
    yield_strain: &[0.001, 0.0021, 0.0048],
    exponent: &[0.02, 0.5],
    ball: &[0.2, 0.62],
    depth: &[0.01, 0.03, 0.09, 0.27],
    dented_by: 0.5,
    step: 0.008,
};

const HELD: Grid = Grid {
    name: "held",
    fineness: Fineness::HELD,
    d_over_t: &[47.0, 87.0, 160.0, 310.0, 600.0],
    yield_strain: &[0.0016, 0.0042],
    exponent: &[0.03, 0.35],
    ball: &[0.08, 0.22, 0.36, 0.5, 0.62],
    depth: &[0.005, 0.011, 0.025, 0.06, 0.14],
    dented_by: 0.3,
    step: 0.008,
};

type Fail = Box<dyn std::error::Error>;

const HEAD: &str = "hold,d_over_t,yield_strain,exponent,ball_over_d,aim_over_d,residual_over_d,loaded_over_d,force_in,force_out,over_push_over_d,left_over_d,strain_in,strain_back,strain_both";

fn main() -> Result<(), Fail> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let random = words.first().is_some_and(|w| w == "random");
    let words = &words[usize::from(random)..];
    let grid = match words.first().map(String::as_str) {
        Some("cradle") => CRADLE,
        Some("held") => HELD,
        _ => return Err("say cradle or held, and a file".into()),
    };
    let file = words.get(1).ok_or("say a file")?;
    let number = |i: usize, or: u64| -> Result<u64, Fail> { Ok(words.get(i).map_or(Ok(or), |w| w.parse())?) };
    let mut book = Book::open(file)?;
    let edge = |a: &[f64]| (a[0], a[a.len() - 1]);
    if random {
        // A small linear congruential generator: the draws need to be repeatable, not good.
        let mut seed = number(3, 1)?;
        let mut draw = move |(lo, hi): (f64, f64)| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            lo + (hi - lo) * (seed >> 11) as f64 / (1u64 << 53) as f64
        };
        let ln = |(a, b): (f64, f64)| (a.ln(), b.ln());
        for _ in 0..number(2, 1)? {
            let dt = draw(ln(edge(grid.d_over_t))).exp();
            let strain = draw(ln(edge(grid.yield_strain))).exp();
            let (n, ball) = (draw(edge(grid.exponent)), draw(ln(edge(grid.ball))).exp());
            let depth = draw(ln(edge(grid.depth))).exp();
            run(&grid, &mut book, dt, strain, n, &[ball], &[depth])?;
        }
        return Ok(());
    }
    if words.get(2).is_some_and(|w| w == "at") {
        let list = |i: usize| -> Result<Vec<f64>, Fail> {
            words.get(i).ok_or("say D/t, σ₀/E, n, balls and depths")?.split(',').map(|w| Ok(w.parse()?)).collect()
        };
        let one = |i: usize| Ok::<f64, Fail>(list(i)?[0]);
        return run(&grid, &mut book, one(3)?, one(4)?, one(5)?, &list(6)?, &list(7)?);
    }
    if words.get(2).is_some_and(|w| w == "also") {
        // A depth more for the thinnest tube of the cradle, whose deepest dents find no equilibrium on the way back.
        let (dt, depth) = (number(3, 80)? as f64, number(4, 15)? as f64 / 100.0);
        // With σ₀/E and n only that tube.
        let only = |i: usize, v: f64| words.get(i).is_none_or(|w| w.parse() == Ok(v));
        for &n in grid.exponent {
            for strain in grid.yield_strain.iter().copied().filter(|s| only(5, *s) && only(6, n)) {
                run(&grid, &mut book, dt, strain, n, grid.ball, &[depth])?;
            }
        }
        return Ok(());
    }
    let (shard, shards) = (number(2, 0)?, number(3, 1)?.max(1));
    let mut tubes = Vec::new();
    for &n in grid.exponent {
        for &strain in grid.yield_strain {
            tubes.extend(grid.d_over_t.iter().map(|&dt| (dt, strain, n)));
        }
    }
    if words.get(4).is_some_and(|w| w == "backwards") {
        tubes.reverse();
    }
    for (_, (dt, strain, n)) in tubes.into_iter().enumerate().filter(|(at, _)| *at as u64 % shards == shard) {
        run(&grid, &mut book, dt, strain, n, grid.ball, grid.depth)?;
    }
    Ok(())
}

/// The rows' file.
struct Book {
    path: String,
    file: std::fs::File,
    there: Vec<String>,
}

impl Book {
    fn open(path: &str) -> Result<Self, Fail> {
        let old = std::fs::read_to_string(path).unwrap_or_default();
        let mut file = std::fs::OpenOptions::new().create(true).append(true).open(path)?;
        if old.is_empty() {
            writeln!(file, "{HEAD}")?;
        }
        let mut book = Self { path: path.to_owned(), file, there: Vec::new() };
        book.read();
        Ok(book)
    }

    /// Reads what is there by now: other processes may write to the same file. A row, or a line "# why: key" for one that found no
    /// answer, or "# runs: tube" for a tube that somebody has taken.
    fn read(&mut self) {
        let text = std::fs::read_to_string(&self.path).unwrap_or_default();
        self.there = text.lines().map(|l| l.rsplit_once(": ").map_or(l, |(_, key)| key).to_owned()).collect();
    }

    fn has(&self, key: &str) -> bool {
        self.there.iter().any(|l| l.starts_with(key))
    }

    fn write(&mut self, line: &str) -> Result<(), Fail> {
        writeln!(self.file, "{line}")?;
        Ok(self.file.flush()?)
    }
}

/// One tube: its dents and every ball. A run that fails leaves a line that says why.
fn run(grid: &Grid, book: &mut Book, dt: f64, strain: f64, n: f64, balls: &[f64], depths: &[f64]) -> Result<(), Fail> {
    let d = 20.0;
    let metal = Metal { e_n_mm2: 112_000.0, nu: 0.34, sigma0_n_mm2: 112_000.0 * strain, eps0: 0.02, n };
    let tube = Tube { mean_diameter_mm: d, wall_mm: d / dt, metal };
    let unit = metal.sigma0_n_mm2 * tube.wall_mm * tube.wall_mm;
    let key = |ball: f64, depth: f64| format!("{},{dt:.4},{strain:.6},{n:.4},{ball:.4},{depth:.5}", grid.name);
    // Walls whose deepest dents find no equilibrium and take long over it: in a cradle, on the way back, thinner than a 60th; held, on
    // being let go, thin and hard (what is left leaps there). Those stop at a lesser depth.
    let cradle = grid.fineness.hold == Hold::Cradle;
    let most = if cradle && dt > 60.0 {
        0.2
    } else if !cradle && dt > 300.0 && strain > 0.004 {
        0.07
    } else {
        f64::INFINITY
    };
    let mut depths: Vec<f64> = depths.iter().copied().filter(|depth| *depth <= most).collect();
    if !cradle && most < 0.1 && depths.len() > 1 {
        depths.push(most);
    }
    if depths.iter().all(|depth| balls.iter().all(|ball| book.has(&key(*ball, *depth)))) {
        return Ok(());
    }
    // Taken by another process; to take up a run that was cut short, delete its "# runs" lines.
    let tube_key = format!("{}/{dt:.4},{strain:.6},{n:.4}/{depths:?}", grid.name);
    book.read();
    if book.has(&tube_key) {
        return Ok(());
    }
    book.write(&format!("# runs: {tube_key}"))?;
    let clock = std::time::Instant::now();
    let mut experiment = Experiment::new(tube, grid.fineness)?;
    let mut dents = Vec::new();
    // One depth after the other, so that a tube that cannot be dented to the last still gives the first.
    for count in (1..=depths.len()).rev() {
        let left: Vec<f64> = depths[..count].iter().map(|x| x * d).collect();
        match experiment.dent_left(0.5 * grid.dented_by * d, &left, grid.step * d) {
            Ok((_, all)) => {
                dents = all;
                break;
            }
            Err(e) => {
                for ball in balls {
                    book.write(&format!("# dent: {e}: {}", key(*ball, depths[count - 1])))?;
                }
            }
        }
    }
    for (dent, depth) in dents.iter().zip(&depths) {
        for &ball in balls {
            let key = key(ball, *depth);
            if book.has(&key) {
                continue;
            }
            let step = (0.8 * dent.residual_mm).clamp(0.25 * grid.step * d, grid.step * d);
            match experiment.push_out(dent, 0.5 * ball * d, step) {
                Ok(out) => book.write(&format!(
                    "{key},{:.6},{:.6},{:.5},{:.5},{:.6},{:.6},{:.6},{:.6},{:.6}",
                    dent.residual_mm / d,
                    dent.loaded.depth_mm / d,
                    dent.loaded.force_n / unit,
                    out.force_n / unit,
                    out.over_push_mm / d,
                    out.left_mm / d,
                    out.strain.dent,
                    out.strain.back,
                    out.strain.both,
                ))?,
                Err(e) => book.write(&format!("# out: {e}: {key}"))?,
            }
        }
    }
    eprintln!(
        "{} D/t {dt:.2} σ₀/E {strain:.5} n {n:.3}: {:.0?}, steps cut {}, snaps {}, turns {}",
        grid.name,
        clock.elapsed(),
        experiment.cuts,
        experiment.snaps,
        experiment.turns
    );
    Ok(())
}
