//! The walking tool of the own model against CalculiX on the same tube, mesh, metal and balls: force of every stroke and what
//! is left after it.
//!
//! `cargo run -p fem --release --example compare_ccx_walk -- [WORK_DIR]`; needs `ccx` (Debian: calculix-ccx) on the path. The own
//! model chooses the strokes; CalculiX repeats the ball's way. Prints the table; an answer to the same deck in WORK_DIR is used
//! again. A quarter of an hour on one free core.

use fem::ccx_walk::{Place, Run, deck, readings};
use fem::material::Metal;
use fem::tube::Tube;
use fem::walk::{Cut, Hold, Order, Record, Walk, held};
use std::path::{Path, PathBuf};
use std::process::Command;

type Fail = Box<dyn std::error::Error>;

const TUBE: Tube =
    Tube { mean_diameter_mm: 20.0, wall_mm: 0.6, metal: Metal { e_n_mm2: 112_000.0, nu: 0.34, sigma0_n_mm2: 224.0, eps0: 0.02, n: 0.2 } };
/// Two bricks with one pair of points each through the wall: exactly two C3D20R.
const CUT: Cut =
    Cut { fine: 0.08, fine_count: 6, coarse_count: 4, around: 9, half_length: 2.0, sub_layers: 1, layers: 2, whole_length: false };
const OUTSIDE: f64 = 5.0;
const INSIDE: f64 = 5.0;

fn main() -> Result<(), Fail> {
    let work = std::env::args().nth(1).map_or_else(|| std::env::temp_dir().join("compare_ccx_walk"), PathBuf::from);
    std::fs::create_dir_all(&work)?;
    let d = TUBE.mean_diameter_mm;
    let mut x = Walk::new(TUBE, CUT, Hold::Opposite)?;
    let start = x.touch_mm(&x.model.rest(), 0.0, OUTSIDE, true);
    let (dent, mut state) = x.dent(OUTSIDE, 0.07 * d, 0.02 * d)?;
    eprintln!("{dent:?}");
    let clear = x.touch_mm(&state, 0.0, INSIDE, false) - 0.05 * d;
    let lift = 0.5 * x.depth_mm(&state, 0.0);
    let mut strokes = x.walk(&mut state, INSIDE, Order::Even, lift, 0.16 * d, 0.05)?;
    // One pass from the rim to the middle: three places.
    strokes.retain(|r| r.pass == 1);
    for r in &strokes {
        eprintln!("{r:?}");
    }
    let places: Vec<Place> = strokes.iter().map(|r| Place { place_mm: r.place_mm, centre_y_mm: r.centre_y_mm }).collect();
    let mut probes: Vec<usize> = strokes.iter().map(|r| x.probe(r.place_mm)).chain([x.probe(0.0)]).collect();
    probes.sort_unstable();
    probes.dedup();
    let fixed = held(&x.model.mesh, Hold::Opposite, false);
    let run = Run {
        mesh: &x.model.mesh,
        metal: &TUBE.metal,
        held: &fixed,
        stiffness_n_mm3: x.contact_stiffness_n_mm3(),
        outside_mm: OUTSIDE,
        outside_y_mm: [start, dent.centre_y_mm],
        inside_mm: INSIDE,
        clear_y_mm: clear,
        places: &places,
        probes: &probes,
    };
    let text = deck(&run);
    let file = |ending: &str| work.join(format!("walk.{ending}"));
    let wanted = readings(strokes.len());
    let known = std::fs::read_to_string(file("inp")).is_ok_and(|old| old == text)
        && read_dat(&file("dat")).is_ok_and(|r| r.iter().any(|s| (s.time - wanted[wanted.len() - 1] as f64).abs() < 1e-6));
    if !known {
        std::fs::write(file("inp"), text)?;
        let log = std::fs::File::create(file("log"))?;
        let status = Command::new("ccx").arg("walk").current_dir(&work).env("OMP_NUM_THREADS", "1").stdout(log).status()?;
        if !status.success() {
            eprintln!("ccx ended with {status}; see {}", file("log").display());
        }
    }
    let rows = read_dat(&file("dat"))?;
    let at = |step: usize| rows.iter().find(|r| (r.time - step as f64).abs() < 1e-6);
    let depth = |shot: &Shot, place: f64| shot.depths.iter().find(|(n, _)| *n == x.probe(place) + 1).map_or(f64::NAN, |(_, v)| *v);
    println!(
        "| stroke | place mm | radial N, own | CalculiX | difference | along N, own | CalculiX | left mm, own | CalculiX |\n|---|---|---|---|---|---|---|---|---|"
    );
    let all: Vec<(String, Record)> =
        std::iter::once(("dent".to_owned(), dent)).chain(strokes.iter().map(|r| (format!("pass {}", r.pass), *r))).collect();
    for ((what, r), steps) in all.iter().zip(wanted.chunks(2)) {
        let (Some(pushed), Some(free)) = (at(steps[0]), at(steps[1])) else {
            println!("| {what} | CalculiX did not get there |");
            break;
        };
        let whole = if r.place_mm > 1e-9 { 2.0 } else { 4.0 };
        let (fy, fz) = (whole * pushed.force[1].abs(), whole * pushed.force[2]);
        let along = if r.place_mm > 1e-9 { format!("{:.1} | {:.1}", r.axial_n, fz) } else { "– | –".to_owned() };
        println!(
            "| {what} | {:.1} | {:.1} | {fy:.1} | {:+.1} % | {along} | {:.3} | {:.3} |",
            r.place_mm,
            r.radial_n,
            100.0 * (r.radial_n / fy - 1.0),
            r.left_mm,
            depth(free, r.place_mm)
        );
    }
    Ok(())
}

/// What CalculiX printed at a time.
struct Shot {
    time: f64,
    force: [f64; 3],
    depths: Vec<(usize, f64)>,
}

fn read_dat(path: &Path) -> Result<Vec<Shot>, Fail> {
    let text = std::fs::read_to_string(path)?;
    let mut shots: Vec<Shot> = Vec::new();
    let mut force = false;
    for line in text.lines() {
        if let Some((what, time)) = line.split_once("and time") {
            let time: f64 = time.trim().parse()?;
            force = what.contains("total force");
            if shots.last().is_none_or(|s| (s.time - time).abs() > 1e-12) {
                shots.push(Shot { time, force: [0.0; 3], depths: vec![] });
            }
            continue;
        }
        let values: Vec<f64> = line.split_whitespace().filter_map(|w| w.parse().ok()).collect();
        let Some(shot) = shots.last_mut() else { continue };
        if force && values.len() == 3 {
            shot.force = [values[0], values[1], values[2]];
        } else if !force && values.len() == 4 {
            shot.depths.push((values[0] as usize, -values[2]));
        }
    }
    Ok(shots)
}
