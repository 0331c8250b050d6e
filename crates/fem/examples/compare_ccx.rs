//! The own model against CalculiX on the same tube, mesh, metal and ball: force at five depths and springback.
//!
//! `cargo run -p fem --release --example compare_ccx -- [OUT_DIR]`; needs `ccx` (Debian: calculix-ccx) on the path.
//! Writes the deck and CalculiX's answer to a temporary folder, prints the table, and writes `compare_ccx.csv` (both
//! curves) and `compare_ccx.svg` to OUT_DIR (default docs/validation). Takes some minutes.

use fem::ccx_deck::{DeckBall, deck};
use fem::material::Metal;
use fem::tube::{Experiment, Fineness, Reading, Tube, held};
use std::path::{Path, PathBuf};
use std::process::Command;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let out = PathBuf::from(std::env::args().nth(1).unwrap_or_else(|| "docs/validation".into()));
    std::fs::create_dir_all(&out)?;
    let metal = Metal { e_n_mm2: 112_000.0, nu: 0.34, sigma0_n_mm2: 224.0, eps0: 0.02, n: 0.2 };
    let tube = Tube { mean_diameter_mm: 20.0, wall_mm: 0.5, metal };
    // Two bricks with one pair of points each through the wall: exactly two C3D20R.
    let same = Fineness { along: 12, around: 12, first: 0.04, half_length: 2.5, sub_layers: 1, layers: 2 };
    let travels = [0.4, 1.0, 1.6, 2.3, 3.0];
    let radius = 5.0;
    let mut own = Experiment::new(tube, same)?;
    let (readings, left) = own.press(radius, &travels, 0.1)?;
    let mut shipped = Experiment::new(tube, Fineness::TABLE)?;
    let (table_mesh, table_left) = shipped.press(radius, &travels, 0.1)?;

    let ball = DeckBall { radius_mm: radius, centre_y_mm: own.outside_touch_mm(radius), stiffness_n_mm3: own.contact_stiffness_n_mm3() };
    let down: Vec<f64> = travels.iter().map(|t| -t).collect();
    let text = deck(&own.model.mesh, &metal, &held(&own.model.mesh), &ball, &down, own.probe());
    let folder = std::env::temp_dir().join(format!("compare_ccx-{}", std::process::id()));
    std::fs::create_dir_all(&folder)?;
    std::fs::write(folder.join("tube.inp"), text)?;
    eprintln!("CalculiX runs in {}", folder.display());
    let log = std::fs::File::create(folder.join("tube.log"))?;
    let status = Command::new("ccx").arg("tube").current_dir(&folder).env("OMP_NUM_THREADS", "1").stdout(log).status()?;
    if !status.success() {
        return Err(format!("ccx ended with {status}; see {}/tube.log", folder.display()).into());
    }
    let theirs = read_dat(&folder.join("tube.dat"))?;
    let ends: Vec<Reading> =
        (1..=down.len() + 1).filter_map(|i| theirs.iter().find(|(t, _)| (t - i as f64).abs() < 1e-6).map(|(_, r)| *r)).collect();
    if ends.len() != down.len() + 1 {
        return Err(format!("CalculiX finished {} of {} steps; see {}", ends.len(), down.len() + 1, folder.display()).into());
    }
    let percent = |a: f64, b: f64| 100.0 * (a / b - 1.0);
    println!(
        "| ball travel mm | depth mm, own | CalculiX | force N, own | CalculiX | difference | table's mesh | difference |\n|---|---|---|---|---|---|---|---|"
    );
    for (i, t) in travels.iter().enumerate() {
        let (a, b, c) = (readings[i], ends[i], table_mesh[i]);
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
    let last = travels.len() - 1;
    let (sa, sb) = (readings[last].depth_mm - left, ends[last].depth_mm - ends[last + 1].depth_mm);
    let sc = table_mesh[last].depth_mm - table_left;
    println!(
        "\nSpringback from {:.2} mm: own {sa:.3} mm, CalculiX {sb:.3} mm ({:+.1} %), table's mesh {sc:.3} mm ({:+.1} %); depth left: own {left:.3}, CalculiX {:.3} mm.",
        ends[last].depth_mm,
        percent(sa, sb),
        percent(sc, sb),
        ends[last + 1].depth_mm
    );
    let mut csv = String::from("who,depth_mm,force_n\n");
    for r in &readings {
        csv += &format!("own,{:.5},{:.4}\n", r.depth_mm, r.force_n);
    }
    csv += &format!("own,{left:.5},0\n");
    for (_, r) in &theirs {
        csv += &format!("calculix,{:.5},{:.4}\n", r.depth_mm, r.force_n);
    }
    std::fs::write(out.join("compare_ccx.csv"), csv)?;
    let mut own_points = readings.clone();
    own_points.push(Reading { depth_mm: left, force_n: 0.0 });
    let curve: Vec<Reading> = theirs.iter().map(|(_, r)| *r).collect();
    std::fs::write(out.join("compare_ccx.svg"), plot(&curve, &own_points))?;
    Ok(())
}

/// Time, depth of the wall and force of the ball on the whole tube, from CalculiX's printed answer.
fn read_dat(path: &Path) -> Result<Vec<(f64, Reading)>, Box<dyn std::error::Error>> {
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

/// Force against depth: CalculiX as a line, the own model as dots.
fn plot(line: &[Reading], dots: &[Reading]) -> String {
    let wide = line.iter().chain(dots).map(|r| r.depth_mm).fold(1e-9, f64::max) * 1.05;
    let high = line.iter().chain(dots).map(|r| r.force_n).fold(1e-9, f64::max) * 1.08;
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
    for r in dots {
        s += &format!("<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"5\" fill=\"#b5532a\"/>\n", x(r.depth_mm), y(r.force_n));
    }
    s + "<text x=\"320\" y=\"385\" text-anchor=\"middle\">depth of the wall under the ball, mm</text>\n<text x=\"70\" y=\"20\">force, N: line CalculiX (C3D20R), dots the own model on the same mesh</text>\n</svg>\n"
}
