//! Makes the shipped force table of the rows that `tabulate` printed, or measures it against fresh rows.
//!
//! `cargo run -p fem --release --example make_table -- DATE crates/fem/data/push_rows.csv > crates/dent/src/force_table_data.rs`
//! `... --example make_table -- check fresh.csv` compares the table with each fresh row, prints the figures of
//! `ERROR` (to be pasted into force_table.rs) and times a look-up.

#[path = "../../dent/src/force_table.rs"]
#[allow(dead_code, unused_imports)]
mod force_table;

use std::collections::BTreeMap;

type Fail = Box<dyn std::error::Error>;

/// The columns of `tabulate`, as numbers.
fn rows(path: &str) -> Result<Vec<Vec<f64>>, Fail> {
    std::fs::read_to_string(path)?
        .lines()
        .filter(|l| l.starts_with(|c: char| c.is_ascii_digit()))
        .map(|l| l.split(',').map(|w| w.trim().parse::<f64>().map_err(Into::into)).collect())
        .collect()
}

/// Over-push to stand true exactly: what the last step left of the dent (or took too much) is added to it, because the
/// yielding wall keeps what it is pushed.
fn over_push(row: &[f64]) -> f64 {
    (row[8] + row[9]).max(1e-4)
}

const DEPTHS: [f64; 5] = [0.01, 0.025, 0.06, 0.14, 0.3];

fn main() -> Result<(), Fail> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.first().map(String::as_str) {
        Some("check") => check(words.get(1).ok_or("say the file of fresh rows")?),
        Some(date) => make(date, &words[1..]),
        None => Err("say a date and the files of rows, or check and a file".into()),
    }
}

fn make(date: &str, files: &[String]) -> Result<(), Fail> {
    // Curves over the depth left, one for each other place of the grid; keys in millionths keep them sortable.
    let mut curves: BTreeMap<[i64; 4], Vec<(f64, [f64; 3])>> = BTreeMap::new();
    for file in files {
        for r in rows(file)? {
            let key = std::array::from_fn(|k| (r[k] * 1e6).round() as i64);
            curves.entry(key).or_default().push((r[4].ln(), [r[6].ln(), r[7].ln(), over_push(&r).ln()]));
        }
    }
    let axis = |k: usize| {
        let mut a: Vec<i64> = curves.keys().map(|key| key[k]).collect();
        a.sort_unstable();
        a.dedup();
        a
    };
    let axes: [Vec<i64>; 4] = std::array::from_fn(axis);
    let mut values = String::new();
    let (mut count, mut holes) = (0_usize, Vec::new());
    for &a in &axes[0] {
        for &b in &axes[1] {
            for &c in &axes[2] {
                for &d in &axes[3] {
                    let mut curve = curves.get(&[a, b, c, d]).cloned().unwrap_or_default();
                    curve.sort_by(|x, y| x.0.total_cmp(&y.0));
                    let mut rows: Vec<Option<[f64; 3]>> = DEPTHS.iter().map(|depth| at(&curve, depth.ln())).collect();
                    pool(&mut rows);
                    for (i, depth) in DEPTHS.iter().enumerate() {
                        if rows[i].is_none() && i > 0 {
                            // No answer of the model: the limit load formula's growth with depth (d to the power 1/2) from the depth before.
                            holes.push(count);
                            let growth = 0.5 * (depth / DEPTHS[i - 1]).ln();
                            rows[i] = rows[i - 1].map(|v| [v[0] + growth, v[1] + growth, v[2]]);
                        }
                        let v = rows[i].ok_or("a curve without its shallowest dent")?;
                        values += &format!("    [{:.4}, {:.4}, {:.4}],\n", v[0], v[1], v[2]);
                        count += 1;
                    }
                }
            }
        }
    }
    eprintln!("{count} places, {} without an answer", holes.len());
    let list = |v: Vec<f64>| v.iter().map(|x| format!("{x:.6}")).collect::<Vec<_>>().join(", ");
    let logs = |k: usize| list(axes[k].iter().map(|v| (*v as f64 / 1e6).ln()).collect());
    println!(
        "//! The force table's numbers; do not edit: made on {date} by crate fem, examples `tabulate` (mesh `Fineness::TABLE`,\n//! 13 by 12 twenty-node bricks on a quarter tube, two pairs of points through the wall) and `make_table`. The model's\n//! rows are kept in crates/fem/data/push_rows.csv.\n"
    );
    println!("/// ln(mean diameter over wall).\npub const LN_D_OVER_T: [f64; {}] = [{}];", axes[0].len(), logs(0));
    println!("/// ln(yield stress over Young's modulus).\npub const LN_YIELD_STRAIN: [f64; {}] = [{}];", axes[1].len(), logs(1));
    println!(
        "/// Hardening exponent.\npub const EXPONENT: [f64; {}] = [{}];",
        axes[2].len(),
        list(axes[2].iter().map(|v| *v as f64 / 1e6).collect())
    );
    println!("/// ln(ball over mean diameter).\npub const LN_BALL: [f64; {}] = [{}];", axes[3].len(), logs(3));
    println!(
        "/// ln(depth left over mean diameter).\npub const LN_DEPTH: [f64; {}] = [{}];",
        DEPTHS.len(),
        list(DEPTHS.map(f64::ln).to_vec())
    );
    println!(
        "/// ln of force in, force out (both in σ₀t²) and over-push over mean diameter; the last group runs fastest.\n#[rustfmt::skip]\npub const LN_VALUES: [[f64; 3]; {count}] = [\n{values}];\n/// Rows for which the model found no answer: filled with the growth of the limit load formula.\npub const NOT_COMPUTED: [usize; {}] = {holes:?};",
        holes.len()
    );
    Ok(())
}

/// Pools neighbours whose force out falls with depth (isotonic regression).
fn pool(rows: &mut [Option<[f64; 3]>]) {
    let mut blocks: Vec<(f64, f64)> = Vec::new();
    for v in rows.iter().flatten() {
        blocks.push((v[1], 1.0));
        while let [.., a, b] = blocks[..] {
            if b.0 >= a.0 {
                break;
            }
            blocks.truncate(blocks.len() - 2);
            blocks.push(((a.0 * a.1 + b.0 * b.1) / (a.1 + b.1), a.1 + b.1));
        }
    }
    let pooled = blocks.into_iter().flat_map(|(v, n)| std::iter::repeat_n(v, n as usize));
    for (v, p) in rows.iter_mut().flatten().zip(pooled) {
        v[1] = p;
    }
}

/// The curve at `x`: linear between its points, and over its ends by no more than a fifth of the depth.
fn at(curve: &[(f64, [f64; 3])], x: f64) -> Option<[f64; 3]> {
    let (first, last) = (curve.first()?, curve.last()?);
    if curve.len() < 2 || x < first.0 - 0.2 || x > last.0 + 0.2 {
        return None;
    }
    let i = curve.iter().skip(1).take(curve.len() - 2).filter(|p| x >= p.0).count();
    let w = (x - curve[i].0) / (curve[i + 1].0 - curve[i].0);
    Some(std::array::from_fn(|k| curve[i].1[k] * (1.0 - w) + curve[i + 1].1[k] * w))
}

fn check(file: &str) -> Result<(), Fail> {
    let mut worst = 0.0_f64;
    let mut squares = [0.0; 3];
    let mut runs = 0;
    println!("| D/t | σ₀/E | n | ball/D | depth/D | F out/(σ₀t²), model | table | difference |\n|---|---|---|---|---|---|---|---|");
    for r in rows(file)? {
        let e = 112_000.0;
        let q = force_table::Question {
            mean_diameter_mm: 1.0,
            wall_mm: 1.0 / r[0],
            e_mpa: e,
            yield_mpa: r[1] * e,
            flow_at_5_percent_mpa: r[1] * e * 3.5_f64.powf(r[2]),
            ball_mm: r[3],
            depth_mm: r[4],
        };
        let unit = q.yield_mpa * q.wall_mm * q.wall_mm;
        match force_table::look_up(&q) {
            Some(a) if a.away == 0.0 => {
                let out = a.force_out_n / unit;
                let d = [(a.force_in_n / unit / r[6]).ln(), (out / r[7]).ln(), (a.over_push_mm / over_push(&r)).ln()];
                for (s, v) in squares.iter_mut().zip(d) {
                    *s += v * v;
                }
                worst = worst.max(d[1].abs());
                runs += 1;
                println!(
                    "| {:.1} | {:.5} | {:.2} | {:.2} | {:.4} | {:.2} | {out:.2} | {:+.1} % |",
                    r[0],
                    r[1],
                    r[2],
                    r[3],
                    r[4],
                    r[7],
                    100.0 * d[1].exp_m1()
                );
            }
            _ => println!("| {:.1} | {:.5} | {:.2} | {:.2} | {:.4} | {:.2} | outside | |", r[0], r[1], r[2], r[3], r[4], r[7]),
        }
    }
    let rms = squares.map(|s| (s / f64::from(runs.max(1))).sqrt());
    println!(
        "\nTableError {{ runs: {runs}, force_out_rms: {:.3}, force_out_max: {worst:.3}, force_in_rms: {:.3}, over_push_rms: {:.3} }}",
        rms[1], rms[0], rms[2]
    );
    let q = force_table::Question {
        mean_diameter_mm: 20.45,
        wall_mm: 0.45,
        e_mpa: 112_000.0,
        yield_mpa: 230.0,
        flow_at_5_percent_mpa: 330.0,
        ball_mm: 10.0,
        depth_mm: 2.0,
    };
    let clock = std::time::Instant::now();
    let count = 1_000_000;
    for _ in 0..count {
        std::hint::black_box(force_table::look_up(std::hint::black_box(&q)));
    }
    println!("{} ns for a look-up", clock.elapsed().as_nanos() / count);
    Ok(())
}
