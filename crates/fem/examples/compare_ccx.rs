//! The own model against CalculiX over the whole cycle: a ball presses a tube in from outside, is drawn back, another goes out
//! from inside and is let go again and again until the wall stands past true. Same mesh, metal, balls and ways.
//!
//! `docs/validation/compare_ccx.sh`, or `cargo run -p fem --release --example compare_ccx -- [OUT_DIR [WORK_DIR [D/t [MESH]]]]`;
//! needs `ccx` (Debian: calculix-ccx) on the path. Decks and CalculiX's answers go to WORK_DIR (default: in the folder for
//! temporary files), where a finished answer to the same deck is used again. Prints the table and writes its rows to
//! `compare_ccx.csv` in OUT_DIR (default docs/validation), where the rows of other tubes and meshes stay. With a D/t only that
//! tube. MESH is `table` (the table's own density and length, the default) or `coarse`. `own` in place of OUT_DIR: only the own
//! model's side.

#[path = "../../dent/src/force_table.rs"]
#[allow(dead_code, unused_imports)]
mod force_table;

use fem::ccx_deck::{Cycle, DeckBall, deck};
use fem::material::Metal;
use fem::tube::{Experiment, Fineness, Reading, Tube, to_true};
use std::path::{Path, PathBuf};
use std::process::Command;

const D: f64 = 20.0;
const METAL: Metal = Metal { e_n_mm2: 112_000.0, nu: 0.34, sigma0_n_mm2: 224.0, eps0: 0.02, n: 0.2 };
/// Outer ball: half the diameter, as in the table; inner ball: 0.62 of it.
const OUTER: f64 = 0.25 * D;
const INNER: f64 = 0.31 * D;
/// D/t, way in, ways out from where the inner ball touches the wall before it is dented, mm: about the over-push of the own model.
const TUBES: [(f64, f64, [f64; 3]); 3] = [(24.0, 2.4, [0.0, 0.3, 0.5]), (40.0, 2.4, [0.0, 0.4, 0.65]), (80.0, 2.4, [0.0, 0.6, 1.0])];
/// Two bricks with one pair of points each through the wall: exactly two C3D20R. Cuts and length of the table's mesh.
const AS_THE_TABLE: Fineness = Fineness { sub_layers: 1, layers: 2, ..Fineness::TABLE };
/// A third of the time.
const COARSE: Fineness = Fineness { along: 10, around: 10, first: 0.045, half_length: 2.5, ..AS_THE_TABLE };
/// Most way in one increment, mm.
const STEP: f64 = 0.01 * D;

type Fail = Box<dyn std::error::Error>;

/// One solver's cycle.
struct Went {
    way_in: Reading,
    dented_mm: f64,
    tries: Vec<(Reading, f64)>,
}

fn main() -> Result<(), Fail> {
    let word = |i: usize| std::env::args().nth(i);
    let own_only = word(1).is_some_and(|w| w == "own");
    let out = PathBuf::from(word(1).unwrap_or_else(|| "docs/validation".into()));
    let work = word(2).map_or_else(|| std::env::temp_dir().join("compare_ccx"), PathBuf::from);
    let wanted: Option<f64> = word(3).map(|w| w.parse()).transpose()?;
    let same = match word(4).as_deref() {
        None | Some("table") => AS_THE_TABLE,
        Some("coarse") => COARSE,
        Some(_) => return Err("the mesh is table or coarse".into()),
    };
    let bricks = format!("{}x{}x{}", same.along, same.around, same.layers);
    std::fs::create_dir_all(&work)?;
    let mut rows = Vec::new();
    let mut whole = String::new();
    println!(
        "| D/t | place | way of the ball mm | depth mm, own | CalculiX | force N, own | CalculiX | difference | left mm, own | CalculiX |\n|---|---|---|---|---|---|---|---|---|---|"
    );
    for (dt, way_in, ways) in TUBES.into_iter().filter(|t| wanted.is_none_or(|w| w == t.0)) {
        let tube = Tube { mean_diameter_mm: D, wall_mm: D / dt, metal: METAL };
        let own = own(tube, same, way_in, &ways)?;
        if own_only {
            println!("{dt}: in {:?} dented {:.4} tries {:?} true {:?}", own.way_in, own.dented_mm, own.tries, to_true(&own.tries));
            continue;
        }
        let theirs = calculix(tube, same, way_in, &ways, &own, &work)?;
        let percent = |a: f64, b: f64| 100.0 * (a / b - 1.0);
        let line = |place: &str, way: f64, a: (Reading, f64), b: (Reading, f64)| {
            format!(
                "| {dt} | {place} | {way} | {:.3} | {:.3} | {:.1} | {:.1} | {:+.1} % | {:.3} | {:.3} |",
                a.0.depth_mm,
                b.0.depth_mm,
                a.0.force_n,
                b.0.force_n,
                percent(a.0.force_n, b.0.force_n),
                a.1,
                b.1
            )
        };
        println!("{}", line("in", way_in, (own.way_in, own.dented_mm), (theirs.way_in, theirs.dented_mm)));
        for (i, way) in ways.iter().enumerate().take(theirs.tries.len()) {
            println!("{}", line("out", *way, own.tries[i], theirs.tries[i]));
        }
        for (who, w) in [("own", &own), ("calculix", &theirs)] {
            rows.push(format!("{dt},{bricks},{who},in,{way_in},{:.5},{:.4},{:.5}", w.way_in.depth_mm, w.way_in.force_n, w.dented_mm));
            for (way, (r, left)) in ways.iter().zip(&w.tries) {
                rows.push(format!("{dt},{bricks},{who},out,{way},{:.5},{:.4},{left:.5}", r.depth_mm, r.force_n));
            }
        }
        // The table's answer (of the cradle, in which this tube lies) to the dent that CalculiX left.
        let table = force_table::look_up_in(
            &force_table::Question {
                mean_diameter_mm: D,
                wall_mm: D / dt,
                e_mpa: METAL.e_n_mm2,
                yield_mpa: METAL.sigma0_n_mm2,
                flow_at_5_percent_mpa: METAL.flow(0.05).0,
                ball_mm: 2.0 * INNER,
                depth_mm: theirs.dented_mm,
            },
            false,
        );
        if let (Some(a), Some(b), Some(t)) = (to_true(&own.tries), to_true(&theirs.tries), table) {
            whole += &format!(
                "| {dt} | {:.3} | {:.1} | {:.1} | {:+.1} % | {:.3} | {:.3} | {:+.1} % | {:.1} | {:+.1} % | {:.3} | {:+.1} % |\n",
                theirs.dented_mm,
                a.0,
                b.0,
                percent(a.0, b.0),
                a.1,
                b.1,
                percent(a.1, b.1),
                t.force_out_n,
                percent(t.force_out_n, b.0),
                t.over_push_mm,
                percent(t.over_push_mm, b.1)
            );
        }
    }
    println!(
        "\n| D/t | dent mm | force out N, own | CalculiX | difference | over-push mm, own | CalculiX | difference | table, force N | to CalculiX | table, over-push mm | to CalculiX |\n|---|---|---|---|---|---|---|---|---|---|---|---|\n{whole}"
    );
    if !own_only {
        std::fs::create_dir_all(&out)?;
        keep(&out.join("compare_ccx.csv"), &rows)?;
    }
    Ok(())
}

/// Puts the rows into the file in place of those of the same tubes and mesh.
fn keep(path: &Path, rows: &[String]) -> Result<(), Fail> {
    // Tube and mesh: the first two columns.
    let of = |row: &str| row.splitn(3, ',').take(2).map(str::to_owned).collect::<Vec<_>>();
    let old = std::fs::read_to_string(path).unwrap_or_default();
    let mut all: Vec<String> =
        old.lines().skip(1).filter(|l| rows.iter().all(|r| of(r) != of(l))).map(str::to_owned).chain(rows.iter().cloned()).collect();
    // By tube; rows of one tube stay in their order.
    all.sort_by_key(|l| l.split(',').next().and_then(|w| w.parse::<u32>().ok()));
    all.insert(0, "d_over_t,bricks,who,what,way_mm,depth_mm,force_n,left_mm".into());
    Ok(std::fs::write(path, all.join("\n") + "\n")?)
}

fn own(tube: Tube, fineness: Fineness, way_in: f64, ways: &[f64]) -> Result<Went, Fail> {
    let mut x = Experiment::new(tube, fineness)?;
    x.contact_part = contact_part(&tube);
    let went = x.cycle(OUTER, way_in, INNER, ways, STEP)?;
    let last = went.way_in.last().copied().ok_or("no way in")?;
    Ok(Went { way_in: last, dented_mm: went.dented_mm, tries: went.tries })
}

/// CalculiX does not draw the ball back from the thinnest tube with the contact as stiff as the table's: a tenth of it there, in both
/// models (the overlap is then a hundredth of the wall).
fn contact_part(tube: &Tube) -> f64 {
    if tube.mean_diameter_mm / tube.wall_mm > 60.0 { 0.1 } else { 1.0 }
}

fn calculix(tube: Tube, same: Fineness, way_in: f64, ways: &[f64], own: &Went, work: &Path) -> Result<Went, Fail> {
    let dt = tube.mean_diameter_mm / tube.wall_mm;
    let mut x = Experiment::new(tube, same)?;
    x.contact_part = contact_part(&tube);
    let stiffness_n_mm3 = x.contact_stiffness_n_mm3();
    // The inner ball waits clear of the dent.
    let waits = own.dented_mm + 0.02 * D;
    let cycle = Cycle {
        outer: DeckBall { radius_mm: OUTER, centre_y_mm: x.outside_touch_mm(OUTER), stiffness_n_mm3, outside: true },
        inner: DeckBall { radius_mm: INNER, centre_y_mm: x.inside_touch_mm(INNER) - waits, stiffness_n_mm3, outside: false },
        outer_to_mm: &[-way_in, -0.2 * way_in],
        // Drawn back by a little more than the wall springs in the own model: less empty way before it touches again.
        inner_to_mm: &ways
            .iter()
            .zip(&own.tries)
            .flat_map(|(w, (r, left))| [waits + w, waits + w - (left - r.depth_mm) - BACK])
            .collect::<Vec<_>>(),
        most_mm: if dt > 60.0 { 0.25 * STEP } else { 0.5 * STEP },
    };
    let text = deck(&x.model.mesh, &tube.metal, &fem::tube::held(&x.model.mesh), &cycle, x.probe());
    let name = format!("cycle-{dt:.0}-{}x{}", same.along, same.around);
    let file = |ending: &str| work.join(format!("{name}.{ending}"));
    let steps = 2 + 2 * ways.len();
    let done = |rows: &[(f64, Reading)]| rows.last().is_some_and(|(t, _)| (t - steps as f64).abs() < 1e-6);
    let known = std::fs::read_to_string(file("inp")).is_ok_and(|old| old == text) && read_dat(&file("dat")).is_ok_and(|r| done(&r));
    if !known {
        std::fs::write(file("inp"), text)?;
        eprintln!("CalculiX runs: {}", file("inp").display());
        let log = std::fs::File::create(file("log"))?;
        let status = Command::new("ccx").arg(&name).current_dir(work).env("OMP_NUM_THREADS", "1").stdout(log).status()?;
        if !status.success() {
            eprintln!("ccx ended with {status}; see {}", file("log").display());
        }
    }
    let rows = read_dat(&file("dat"))?;
    let at = |step: usize| {
        rows.iter()
            .find(|(t, _)| (t - step as f64).abs() < 1e-6)
            .map(|(_, r)| *r)
            .ok_or_else(|| format!("CalculiX did not finish step {step} of {name}"))
    };
    let mut tries = Vec::new();
    for i in 0..ways.len() {
        let (Ok(loaded), Ok(free)) = (at(3 + 2 * i), at(4 + 2 * i)) else { break };
        tries.push((loaded, free.depth_mm));
    }
    Ok(Went { way_in: at(1)?, dented_mm: at(2)?.depth_mm, tries })
}

/// How much further than the wall springs the inner ball is drawn back, mm.
const BACK: f64 = 0.15;

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
