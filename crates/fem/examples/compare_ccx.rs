//! The own model against CalculiX on the same tube, mesh, metal and ball: force at five depths and springback.
//!
//! `docs/validation/compare_ccx.sh`, or `cargo run -p fem --release --example compare_ccx -- [OUT_DIR [WORK_DIR]]`; needs
//! `ccx` (Debian: calculix-ccx) on the path. For each depth one deck: pressed so far, then the ball taken away. Decks and
//! CalculiX's answers go to WORK_DIR (default: in the folder for temporary files), where an answer to the same deck is used
//! again, so that a run that was cut short goes on. Prints the table and writes `compare_ccx.csv` (both curves and what
//! is left at each depth) and `compare_ccx.svg` to OUT_DIR (default docs/validation). Half an hour on one free core.

use fem::ccx_deck::{DeckBall, deck};
use fem::material::Metal;
use fem::tube::{Experiment, Fineness, Reading, Tube, held};
use std::path::{Path, PathBuf};
use std::process::Command;

/// Travel of the ball from first touch, mm.
const TRAVELS: [f64; 5] = [0.4, 1.0, 1.6, 2.3, 3.0];
const RADIUS: f64 = 5.0;
const TUBE: Tube =
    Tube { mean_diameter_mm: 20.0, wall_mm: 0.5, metal: Metal { e_n_mm2: 112_000.0, nu: 0.34, sigma0_n_mm2: 224.0, eps0: 0.02, n: 0.2 } };

type Fail = Box<dyn std::error::Error>;

/// A wall pressed to a depth and let go.
#[derive(Clone, Copy)]
struct Pressed {
    loaded: Reading,
    left_mm: f64,
}

impl Pressed {
    fn springback_mm(&self) -> f64 {
        self.loaded.depth_mm - self.left_mm
    }
}

fn main() -> Result<(), Fail> {
    let out = PathBuf::from(std::env::args().nth(1).unwrap_or_else(|| "docs/validation".into()));
    let work = std::env::args().nth(2).map_or_else(|| std::env::temp_dir().join("compare_ccx"), PathBuf::from);
    std::fs::create_dir_all(&out)?;
    std::fs::create_dir_all(&work)?;
    // Two bricks with one pair of points each through the wall: exactly two C3D20R.
    let same = Fineness { along: 12, around: 12, first: 0.04, half_length: 2.5, sub_layers: 1, layers: 2 };
    let (own, table) = (own(same)?, own(Fineness::TABLE)?);
    let mut theirs = Vec::new();
    let mut curve = Vec::new();
    for i in 1..=TRAVELS.len() {
        let (pressed, way) = calculix(same, i, &work)?;
        theirs.push(pressed);
        curve = way;
    }
    let percent = |a: f64, b: f64| 100.0 * (a / b - 1.0);
    println!(
        "| ball travel mm | depth mm, own | CalculiX | force N, own | CalculiX | difference | table's mesh | difference |\n|---|---|---|---|---|---|---|---|"
    );
    for (i, t) in TRAVELS.iter().enumerate() {
        let (a, b, c) = (own[i].loaded, theirs[i].loaded, table[i].loaded);
        println!(
            "| {t} | {:.3} | {:.3} | {:.1} | {:.1} | {:+.1} % | {:.1} | {:+.1} % |",
            a.depth_mm,
            b.depth_mm,
            a.force_n,
            b.force_n,
            percent(a.force_n, b.force_n),
            c.force_n,
            percent(c.force_n, b.force_n)
        );
    }
    println!(
        "\n| ball travel mm | springback mm, own | CalculiX | difference | table's mesh | difference | left mm, own | CalculiX |\n|---|---|---|---|---|---|---|---|"
    );
    for (i, t) in TRAVELS.iter().enumerate() {
        let (a, b, c) = (own[i], theirs[i], table[i]);
        println!(
            "| {t} | {:.3} | {:.3} | {:+.1} % | {:.3} | {:+.1} % | {:.3} | {:.3} |",
            a.springback_mm(),
            b.springback_mm(),
            percent(a.springback_mm(), b.springback_mm()),
            c.springback_mm(),
            percent(c.springback_mm(), b.springback_mm()),
            a.left_mm,
            b.left_mm
        );
    }
    let mut csv = String::from("who,depth_mm,force_n,left_mm\n");
    for (who, all) in [("own", &own), ("own on the table's mesh", &table), ("calculix", &theirs)] {
        for p in all {
            csv += &format!("{who},{:.5},{:.4},{:.5}\n", p.loaded.depth_mm, p.loaded.force_n, p.left_mm);
        }
    }
    for r in &curve {
        csv += &format!("calculix on the way,{:.5},{:.4},\n", r.depth_mm, r.force_n);
    }
    std::fs::write(out.join("compare_ccx.csv"), csv)?;
    std::fs::write(out.join("compare_ccx.svg"), plot(&curve, &own, &theirs))?;
    Ok(())
}

/// The own model at each depth.
fn own(fineness: Fineness) -> Result<Vec<Pressed>, Fail> {
    let mut all = Vec::new();
    for i in 1..=TRAVELS.len() {
        let (readings, left_mm) = Experiment::new(TUBE, fineness)?.press(RADIUS, &TRAVELS[..i], 0.1)?;
        all.push(Pressed { loaded: readings[i - 1], left_mm });
    }
    Ok(all)
}

/// CalculiX at the depth of the `count`-th travel, with its whole curve on the way there.
fn calculix(fineness: Fineness, count: usize, work: &Path) -> Result<(Pressed, Vec<Reading>), Fail> {
    let x = Experiment::new(TUBE, fineness)?;
    let ball = DeckBall { radius_mm: RADIUS, centre_y_mm: x.outside_touch_mm(RADIUS), stiffness_n_mm3: x.contact_stiffness_n_mm3() };
    let down: Vec<f64> = TRAVELS[..count].iter().map(|t| -t).collect();
    let text = deck(&x.model.mesh, &TUBE.metal, &held(&x.model.mesh), &ball, &down, x.probe());
    let file = |ending: &str| work.join(format!("tube-{count}.{ending}"));
    let ends = |rows: &[(f64, Reading)]| -> Option<(Reading, Reading)> {
        let at = |step: f64| rows.iter().find(|(t, _)| (t - step).abs() < 1e-6).map(|(_, r)| *r);
        Some((at(count as f64)?, at(count as f64 + 1.0)?))
    };
    let known =
        std::fs::read_to_string(file("inp")).is_ok_and(|old| old == text) && read_dat(&file("dat")).is_ok_and(|r| ends(&r).is_some());
    if !known {
        std::fs::write(file("inp"), text)?;
        eprintln!("CalculiX runs: {}", file("inp").display());
        let log = std::fs::File::create(file("log"))?;
        let status = Command::new("ccx").arg(format!("tube-{count}")).current_dir(work).env("OMP_NUM_THREADS", "1").stdout(log).status()?;
        if !status.success() {
            return Err(format!("ccx ended with {status}; see {}", file("log").display()).into());
        }
    }
    let rows = read_dat(&file("dat"))?;
    let (loaded, free) = ends(&rows).ok_or_else(|| format!("CalculiX did not finish {}", file("inp").display()))?;
    let way = rows.iter().filter(|(t, _)| *t < count as f64 + 1e-6).map(|(_, r)| *r).collect();
    Ok((Pressed { loaded, left_mm: free.depth_mm }, way))
}

/// Time, depth of the wall and force of the ball on the whole tube, from CalculiX's printed answer.
fn read_dat(path: &Path) -> Result<Vec<(f64, Reading)>, Fail> {
    let text = std::fs::read_to_string(path)?;
    let mut rows: Vec<(f64, Reading)> = Vec::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        let Some((what, time)) = line.split_once("and time") else { continue };
        let time: f64 = time.trim().parse()?;
        let values: Vec<f64> = lines
            .by_ref()
            .find(|l| !l.trim().is_empty())
            .ok_or("the answer breaks off")?
            .split_whitespace()
            .map(str::parse)
            .collect::<Result<_, _>>()?;
        if rows.last().is_none_or(|(t, _)| (t - time).abs() > 1e-12) {
            rows.push((time, Reading { depth_mm: 0.0, force_n: 0.0 }));
        }
        let Some((_, row)) = rows.last_mut() else { continue };
        if what.contains("total force") {
            row.force_n = 4.0 * values[1].abs();
        } else if what.contains("displacements") {
            row.depth_mm = -values[2];
        }
    }
    Ok(rows)
}

/// Force against depth: CalculiX as lines, pressed and let go, the own model as dots.
fn plot(line: &[Reading], own: &[Pressed], theirs: &[Pressed]) -> String {
    let all = line.iter().copied().chain(own.iter().map(|p| p.loaded));
    let wide = all.clone().map(|r| r.depth_mm).fold(1e-9, f64::max) * 1.05;
    let high = all.map(|r| r.force_n).fold(1e-9, f64::max) * 1.08;
    let x = |v: f64| 60.0 + 520.0 * v / wide;
    let y = |v: f64| 340.0 - 310.0 * v / high;
    let mut s = String::from(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 620 400\" font-family=\"sans-serif\" font-size=\"13\"><rect width=\"620\" height=\"400\" fill=\"#fff\"/>\n",
    );
    for i in 0..=6 {
        let v = 0.5 * f64::from(i);
        if v <= wide {
            s += &format!(
                "<path d=\"M{0:.1} 30V340\" stroke=\"#ddd\"/><text x=\"{0:.1}\" y=\"358\" text-anchor=\"middle\">{v}</text>\n",
                x(v)
            );
        }
    }
    let tick = 10f64.powf(high.log10().floor()) / 2.0;
    let mut v = 0.0;
    while v <= high {
        s += &format!(
            "<path d=\"M60 {0:.1}H580\" stroke=\"#ddd\"/><text x=\"54\" y=\"{1:.1}\" text-anchor=\"end\">{v}</text>\n",
            y(v),
            y(v) + 4.0
        );
        v += tick;
    }
    let path: Vec<String> = line.iter().map(|r| format!("{:.1} {:.1}", x(r.depth_mm), y(r.force_n))).collect();
    s += &format!("<path d=\"M60 340L{}\" fill=\"none\" stroke=\"#26527a\" stroke-width=\"2\"/>\n", path.join("L"));
    for p in theirs {
        let (from, to) = (p.loaded, p.left_mm);
        s += &format!(
            "<path d=\"M{:.1} {:.1}L{:.1} 340\" stroke=\"#26527a\" stroke-dasharray=\"5 4\"/>\n",
            x(from.depth_mm),
            y(from.force_n),
            x(to)
        );
    }
    for p in own {
        for (a, b) in [(p.loaded.depth_mm, p.loaded.force_n), (p.left_mm, 0.0)] {
            s += &format!("<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"4\" fill=\"#b5532a\"/>\n", x(a), y(b));
        }
    }
    s + "<text x=\"320\" y=\"385\" text-anchor=\"middle\">depth of the wall under the ball, mm</text>\n<text x=\"70\" y=\"20\">force, N: CalculiX (C3D20R) as lines, dashed when let go; the own model, same mesh, as dots</text>\n</svg>\n"
}
