//! Makes the shipped force table of the rows that `tabulate` wrote, or measures it against fresh rows.
//!
//! `cargo run -p fem --release --example make_table -- DATE crates/fem/data/*_rows.csv > crates/dent/src/force_table_data.rs`
//! `... --example make_table -- check fresh.csv` compares the table with each fresh row, prints the figures of
//! `ERROR` (to be pasted into force_table.rs) and times a look-up.

#[path = "../../dent/src/force_table.rs"]
#[allow(dead_code, unused_imports)]
mod force_table;

use std::collections::BTreeMap;

type Fail = Box<dyn std::error::Error>;

/// Depth aimed at, and the table's line for it, over D.
const MOVED: [(f64, f64); 3] = [(0.01, 0.008), (0.27, 0.29), (0.14, 0.15)];

/// One row of `tabulate`.
struct Row {
    held: bool,
    /// D/t, σ₀/E, n, ball/D, depth aimed at/D.
    place: [f64; 5],
    /// Depth left/D.
    depth: f64,
    /// Force in, force out, over-push to stand true exactly, strain in, back, both.
    answer: [f64; 6],
    /// What was left after the last letting go, over the dent.
    left: f64,
}

/// The columns of `tabulate`.
fn rows(path: &str) -> Result<Vec<Row>, Fail> {
    let mut all = Vec::new();
    for line in std::fs::read_to_string(path)?.lines().filter(|l| l.starts_with("cradle,") || l.starts_with("held,")) {
        let (hold, rest) = line.split_once(',').ok_or("no columns")?;
        let v: Vec<f64> = rest.split(',').map(|w| w.trim().parse()).collect::<Result<_, _>>()?;
        let [dt, strain, n, ball, aim, depth, _loaded, force_in, force_out, over, left, strain_in, back, both] = v[..] else {
            return Err(format!("not the columns of tabulate: {line}").into());
        };
        // What the last step left of the dent is added to the over-push, because the yielding wall keeps what it is pushed.
        let over = (over + left).max(1e-4);
        all.push(Row {
            held: hold == "held",
            place: [dt, strain, n, ball, aim],
            depth,
            answer: [force_in, force_out, over, strain_in, back.max(1e-5), both],
            left: left / depth,
        });
    }
    Ok(all)
}

fn main() -> Result<(), Fail> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.first().map(String::as_str) {
        Some("check") => check(&words[1..]),
        Some(date) => make(date, &words[1..]),
        None => Err("say a date and the files of rows, or check and a file".into()),
    }
}

fn make(date: &str, files: &[String]) -> Result<(), Fail> {
    let mut all = Vec::new();
    for file in files {
        all.extend(rows(file)?);
    }
    let worst = all.iter().map(|r| r.left.abs()).fold(0.0, f64::max);
    println!(
        "//! The force table's numbers; do not edit: made on {date} by crate fem, examples `tabulate` (meshes `Fineness::TABLE` and `HELD`) and\n//! `make_table`, of {} rows, each of which ends within {:.2} % of the dent of true. The rows are kept in crates/fem/data.\n",
        all.len(),
        100.0 * worst
    );
    for (name, held) in [("cradle", false), ("held", true)] {
        let part: Vec<&Row> = all.iter().filter(|r| r.held == held).collect();
        grid(name, &part)?;
    }
    Ok(())
}

/// Prints one table.
fn grid(name: &str, rows: &[&Row]) -> Result<(), Fail> {
    // Keys in millionths keep them sortable.
    let key = |v: f64| (v * 1e6).round() as i64;
    let axes: [Vec<i64>; 5] = std::array::from_fn(|k| {
        let mut a: Vec<i64> = rows.iter().map(|r| key(r.place[k])).collect();
        a.sort_unstable();
        a.dedup();
        a
    });
    // Curves over the depth left, one for each other place of the grid.
    let mut curves: BTreeMap<[i64; 4], Vec<(f64, [f64; 6])>> = BTreeMap::new();
    for r in rows {
        curves.entry(std::array::from_fn(|k| key(r.place[k]))).or_default().push((r.depth.ln(), r.answer.map(f64::ln)));
    }
    // The outermost lines stand a little beyond the depths aimed at, so that the work's shallowest and deepest dents lie inside; the
    // curves are drawn on to them.
    let mut axes = axes;
    for line in &mut axes[4] {
        if let Some((_, to)) = MOVED.iter().find(|(from, _)| *line == key(*from)) {
            *line = key(*to);
        }
    }
    let depths: Vec<f64> = axes[4].iter().map(|v| (*v as f64 / 1e6).ln()).collect();
    let mut values = String::new();
    let (mut count, mut holes) = (0_usize, Vec::new());
    let own = |key: [i64; 4]| -> Vec<Option<[f64; 6]>> {
        let mut curve = curves.get(&key).cloned().unwrap_or_default();
        curve.sort_by(|x, y| x.0.total_cmp(&y.0));
        depths.iter().map(|depth| at(&curve, *depth)).collect()
    };
    // Not every tube was pushed by every ball: what a ball between two others has no row for lies between theirs.
    let line = |[a, b, c, d]: [i64; 4]| {
        let mut line = own([a, b, c, d]);
        let pushed = |ball: &&i64| curves.contains_key(&[a, b, c, **ball]);
        let (below, above) = (axes[3].iter().filter(|x| **x < d).rfind(pushed), axes[3].iter().filter(|x| **x > d).find(pushed));
        if let (Some(&below), Some(&above)) = (below, above) {
            let w = (d as f64 / below as f64).ln() / (above as f64 / below as f64).ln();
            for (v, (x, y)) in line.iter_mut().zip(own([a, b, c, below]).into_iter().zip(own([a, b, c, above]))) {
                if let (None, Some(x), Some(y)) = (&v, x, y) {
                    *v = Some(std::array::from_fn(|k| x[k] * (1.0 - w) + y[k] * w));
                }
            }
        }
        pool(&mut line);
        line
    };
    let mut finished: BTreeMap<[usize; 5], [f64; 6]> = BTreeMap::new();
    for (ia, &a) in axes[0].iter().enumerate() {
        for (ib, &b) in axes[1].iter().enumerate() {
            for (ic, &c) in axes[2].iter().enumerate() {
                for (id, &d) in axes[3].iter().enumerate() {
                    let mut here = line([a, b, c, d]);
                    // No answer of the model: as the other ball's in the same tube, in the proportion of the two in the next softer tube;
                    // failing that (held), as in the softer tube, in the proportion of the two in the next thicker wall; failing that, the limit
                    // load formula's growth with depth (d to the power 1/2) from the depth before.
                    let other = axes[3][usize::from(id == 0)];
                    let same = line([a, b, c, other]);
                    let (soft, soft_other) = if ib > 0 {
                        (line([a, axes[1][ib - 1], c, d]), line([a, axes[1][ib - 1], c, other]))
                    } else {
                        (vec![None; depths.len()], vec![None; depths.len()])
                    };
                    for (i, depth) in depths.iter().enumerate() {
                        if here[i].is_none() {
                            holes.push(count);
                            let both = |x: [f64; 6], y: [f64; 6], z: [f64; 6]| Some(std::array::from_fn(|k| x[k] + y[k] - z[k]));
                            // The same in the wall of the line before, hard and soft.
                            let thicker = |strain: usize| finished.get(&[ia.checked_sub(1)?, strain, ic, id, i]).copied();
                            here[i] = match (same[i], soft[i], soft_other[i]) {
                                (Some(x), Some(y), Some(z)) => both(x, y, z),
                                (_, Some(y), _) if name == "held" && ib > 0 && thicker(ib).is_some() => {
                                    thicker(ib).zip(thicker(ib - 1)).and_then(|(x, z)| both(x, y, z))
                                }
                                _ if i > 0 => {
                                    let growth = 0.5 * (depth - depths[i - 1]);
                                    here[i - 1].map(|v| [v[0] + growth, v[1] + growth, v[2], v[3] + growth, v[4] + growth, v[5] + growth])
                                }
                                _ => None,
                            };
                            if i > 0
                                && let (Some(before), Some(now)) = (here[i - 1], &mut here[i])
                            {
                                now[1] = now[1].max(before[1]);
                            }
                        }
                        let v = here[i].ok_or_else(|| format!("{name}: a curve without its shallowest dent: {:?}", [a, b, c, d]))?;
                        finished.insert([ia, ib, ic, id, i], v);
                        let digits: Vec<String> = v.iter().map(|x| format!("{x:.4}")).collect();
                        values += &format!("        [{}],\n", digits.join(", "));
                        count += 1;
                    }
                }
            }
        }
    }
    eprintln!("{name}: {count} places, {} without an answer", holes.len());
    let list = |k: usize, ln: bool| {
        let text: Vec<String> = axes[k].iter().map(|v| *v as f64 / 1e6).map(|v| format!("{:.6}", if ln { v.ln() } else { v })).collect();
        format!("[f64; {}] = [{}]", axes[k].len(), text.join(", "))
    };
    println!("pub mod {name} {{");
    println!("    /// ln(mean diameter over wall).\n    pub const LN_D_OVER_T: {};", list(0, true));
    println!("    /// ln(yield stress over Young's modulus).\n    pub const LN_YIELD_STRAIN: {};", list(1, true));
    println!("    /// Hardening exponent.\n    pub const EXPONENT: {};", list(2, false));
    println!("    /// ln(ball over mean diameter).\n    pub const LN_BALL: {};", list(3, true));
    println!("    /// ln(depth left over mean diameter).\n    pub const LN_DEPTH: {};", list(4, true));
    println!(
        "    /// ln of force in, force out (both in σ₀t²), over-push over mean diameter, and the plastic strains of the dent, of the way back\n    /// and of both; the last group runs fastest.\n    #[rustfmt::skip]\n    pub const LN_VALUES: [[f32; 6]; {count}] = [\n{values}    ];\n    /// Places for which the model found no answer: filled as the other ball's, or with the growth of the limit load formula.\n    pub const NOT_COMPUTED: [usize; {}] = {holes:?};\n}}",
        holes.len()
    );
    Ok(())
}

/// Pools neighbours whose force out falls with depth (isotonic regression).
fn pool(rows: &mut [Option<[f64; 6]>]) {
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

/// The curve at `x`: linear between its points, drawn on over its deep end by no more than a fifth of the depth, and over its
/// shallow end by no more than a half (a thin wall snaps, and what is left leaps over the shallowest dent aimed at).
fn at(curve: &[(f64, [f64; 6])], x: f64) -> Option<[f64; 6]> {
    let (first, last) = (curve.first()?, curve.last()?);
    if curve.len() < 2 || x < first.0 - 0.7 || x > last.0 + 0.2 {
        return None;
    }
    let i = curve.iter().skip(1).take(curve.len() - 2).filter(|p| x >= p.0).count();
    let w = (x - curve[i].0) / (curve[i + 1].0 - curve[i].0);
    Some(std::array::from_fn(|k| curve[i].1[k] * (1.0 - w) + curve[i + 1].1[k] * w))
}

fn check(files: &[String]) -> Result<(), Fail> {
    println!(
        "| hold | D/t | σ₀/E | n | ball/D | depth/D | F out/(σ₀t²), model | table | difference | over-push | strain in | back |\n|---|---|---|---|---|---|---|---|---|---|---|---|"
    );
    // The bands of `ERROR`: cradle, held to D/t 160, thinner.
    let band = |r: &Row| usize::from(r.held) + usize::from(r.held && r.place[0] > 160.0);
    for which in 0..3 {
        let held = which > 0;
        let (mut squares, mut worst, mut mean, mut runs) = ([0.0; 6], 0.0_f64, 0.0, 0);
        for file in files {
            for r in rows(file)?.into_iter().filter(|r| band(r) == which) {
                let e = 112_000.0;
                let [dt, strain, n, ball, _] = r.place;
                let q = force_table::Question {
                    mean_diameter_mm: 1.0,
                    wall_mm: 1.0 / dt,
                    e_mpa: e,
                    yield_mpa: strain * e,
                    flow_at_5_percent_mpa: strain * e * 3.5_f64.powf(n),
                    ball_mm: ball,
                    depth_mm: r.depth,
                };
                let unit = q.yield_mpa * q.wall_mm * q.wall_mm;
                // Each table by itself, not the passage between them.
                let Some(a) = force_table::look_up_in(&q, held) else { continue };
                let said = [a.force_in_n / unit, a.force_out_n / unit, a.over_push_mm, a.strain_in, a.strain_back, a.strain_both];
                let d: [f64; 6] = std::array::from_fn(|k| (said[k] / r.answer[k]).ln());
                if a.outside != [false; 5] {
                    println!("| {held} | {dt:.1} | outside: {:?} |", a.outside);
                    continue;
                }
                for (s, v) in squares.iter_mut().zip(d) {
                    *s += v * v;
                }
                worst = worst.max(d[1].abs());
                mean += d[1];
                runs += 1;
                let percent = |k: usize| 100.0 * d[k].exp_m1();
                println!(
                    "| {} | {dt:.1} | {strain:.5} | {n:.2} | {ball:.2} | {:.4} | {:.2} | {:.2} | {:+.1} % | {:+.1} % | {:+.1} % | {:+.1} % |",
                    if held { "held" } else { "cradle" },
                    r.depth,
                    r.answer[1],
                    said[1],
                    percent(1),
                    percent(2),
                    percent(3),
                    percent(4)
                );
            }
        }
        let n = f64::from(runs.max(1));
        let rms = squares.map(|s| (s / n).sqrt());
        println!(
            "\nTableError {{ runs: {runs}, force_out_rms: {:.3}, force_out_max: {worst:.3}, force_in_rms: {:.3}, over_push_rms: {:.3}, strain_in_rms: {:.3}, strain_back_rms: {:.3} }} mean {:+.3}\n",
            rms[1],
            rms[0],
            rms[2],
            rms[3],
            rms[4],
            mean / n
        );
    }
    println!("| D/t | ball/D | depth/D | force held over cradle | over-push held over cradle |\n|---|---|---|---|---|");
    for dt in [47.0, 80.0] {
        for (ball, depth) in [(0.25, 0.03), (0.62, 0.03), (0.25, 0.09), (0.62, 0.09)] {
            let q = force_table::Question {
                mean_diameter_mm: 1.0,
                wall_mm: 1.0 / dt,
                e_mpa: 112_000.0,
                yield_mpa: 235.0,
                flow_at_5_percent_mpa: 235.0 * 3.5_f64.powf(0.2),
                ball_mm: ball,
                depth_mm: depth,
            };
            if let (Some(a), Some(b)) = (force_table::look_up_in(&q, false), force_table::look_up_in(&q, true)) {
                println!("| {dt} | {ball} | {depth} | {:.2} | {:.2} |", b.force_out_n / a.force_out_n, b.over_push_mm / a.over_push_mm);
            }
        }
    }
    let q = force_table::Question {
        mean_diameter_mm: 20.45,
        wall_mm: 0.35,
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
