//! A dent and the tool that walks over it as an input deck of the open solver CalculiX, for the comparison of [`crate::walk`].
//!
//! One run: a ball presses in from outside and is drawn back; a ball inside takes its place and goes through the strokes, drawn
//! back after each. The balls are smooth caps of second-order bricks; the contact stays on while a ball moves. Pure: returns
//! the text; the example `compare_ccx_walk` runs `ccx` and reads the answer.

use crate::material::Metal;
use crate::mesh::Mesh;
use std::fmt::Write as _;

/// What the ball inside does: place along the tube and highest centre over the tube's axis, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// From the dent's middle, mm.
    pub place_mm: f64,
    /// Highest centre, mm.
    pub centre_y_mm: f64,
}

/// The run.
#[derive(Debug, Clone)]
pub struct Run<'a> {
    /// The tube's mesh.
    pub mesh: &'a Mesh,
    /// Its metal.
    pub metal: &'a Metal,
    /// Degrees of freedom held.
    pub held: &'a [usize],
    /// Pressure for each mm of overlap, N/mm³.
    pub stiffness_n_mm3: f64,
    /// Radius of the ball outside, mm.
    pub outside_mm: f64,
    /// Its centre when it just touches, and where it has dented the wall, mm.
    pub outside_y_mm: [f64; 2],
    /// Radius of the ball inside, mm.
    pub inside_mm: f64,
    /// Height of its centre clear of the wall, mm.
    pub clear_y_mm: f64,
    /// Its strokes.
    pub places: &'a [Place],
    /// Nodes whose movement is printed.
    pub probes: &'a [usize],
}

/// Steps that end with a reading: dented, let go, then for each stroke pushed and let go.
#[must_use]
pub fn readings(strokes: usize) -> Vec<usize> {
    // 1 dent, 2 back, 3 the balls change places; then for each stroke: along, out, back.
    let mut all = vec![1, 2];
    for i in 0..strokes {
        all.extend([3 * i + 5, 3 * i + 6]);
    }
    all
}

const CUTS: usize = 14;

/// Cap of a ball about its centre: `up` faces +y and spans both ways along the tube, else −y and z ≥ 0 with a little over.
fn cap(radius_mm: f64, up: bool) -> Mesh {
    let reach = 55f64.to_radians();
    let angles = |both: bool, n: usize| -> Vec<f64> {
        let from = if both { -reach } else { -0.08 * reach };
        (0..=n).map(|i| from + (reach - from) * i as f64 / n as f64).collect()
    };
    let (across, along) = (angles(false, CUTS), angles(up, if up { 2 * CUTS } else { CUTS }));
    let shell = [0.8, 1.0];
    let on = |a: f64, b: f64, s: f64| {
        let (u, v) = (a.tan(), b.tan());
        let r = s * radius_mm / (1.0 + u * u + v * v).sqrt();
        (u * r, r, v * r)
    };
    // Right-handed about the outward normal: z, x, +y; x, z, −y.
    if up {
        Mesh::structured([&along, &across, &shell], |[v, u, s]| {
            let (x, y, z) = on(u, v, s);
            [x, y, z]
        })
    } else {
        Mesh::structured([&across, &along, &shell], |[u, v, s]| {
            let (x, y, z) = on(u, v, s);
            [x, -y, z]
        })
    }
}

/// The whole deck.
#[must_use]
pub fn deck(run: &Run) -> String {
    let mut out = String::from("** written by the example compare_ccx_walk of trueround's crate fem; N, mm\n");
    // Writing to a String cannot fail; the results of write! are dropped on purpose.
    let (mut node, mut element) = (1, 1);
    let mut body = |out: &mut String, name: &str, mesh: &Mesh, at: [f64; 3]| {
        let _ = writeln!(out, "*NODE, NSET=N{name}");
        for (i, [x, y, z]) in mesh.nodes.iter().enumerate() {
            let _ = writeln!(out, "{},{:.12e},{:.12e},{:.12e}", node + i, x + at[0], y + at[1], z + at[2]);
        }
        let _ = writeln!(out, "*ELEMENT, TYPE=C3D20R, ELSET=E{name}");
        for (i, e) in mesh.elements.iter().enumerate() {
            let ids: Vec<String> = e.iter().map(|n| (n + node).to_string()).collect();
            let _ = writeln!(out, "{},{},\n{}", element + i, ids[..10].join(","), ids[10..].join(","));
        }
        // S2 is the face of the upper four corners, S1 of the lower.
        let layers = mesh.counts[2];
        for (surface, layer, face) in [("TOP", layers - 1, "S2"), ("BOTTOM", 0, "S1")] {
            let _ = writeln!(out, "*SURFACE, NAME={surface}{name}");
            for i in (0..mesh.elements.len()).filter(|i| i % layers == layer) {
                let _ = writeln!(out, "{},{face}", element + i);
            }
        }
        node += mesh.nodes.len();
        element += mesh.elements.len();
    };
    body(&mut out, "TUBE", run.mesh, [0.0; 3]);
    body(&mut out, "PRESS", &cap(run.outside_mm, false), [0.0, run.outside_y_mm[0], 0.0]);
    body(&mut out, "TOOL", &cap(run.inside_mm, true), [0.0, run.clear_y_mm, 0.0]);
    let probes: Vec<String> = run.probes.iter().map(|n| (n + 1).to_string()).collect();
    let _ = writeln!(out, "*NSET, NSET=NPROBE\n{}", probes.join(",\n"));
    let _ = writeln!(out, "*MATERIAL, NAME=METAL\n*ELASTIC\n{},{}\n*PLASTIC", run.metal.e_n_mm2, run.metal.nu);
    for i in 0..=60 {
        let alpha = (f64::from(i) / 60.0).powi(3);
        let _ = writeln!(out, "{:.8e},{alpha:.8e}", run.metal.flow(alpha).0);
    }
    let _ = writeln!(out, "*MATERIAL, NAME=STIFF\n*ELASTIC\n{},0.3", run.metal.e_n_mm2);
    out.push_str("*SOLID SECTION, ELSET=ETUBE, MATERIAL=METAL\n*SOLID SECTION, ELSET=EPRESS, MATERIAL=STIFF\n*SOLID SECTION, ELSET=ETOOL, MATERIAL=STIFF\n");
    let _ = writeln!(out, "*SURFACE INTERACTION, NAME=TOUCH\n*SURFACE BEHAVIOR, PRESSURE-OVERCLOSURE=LINEAR\n{:.8e}", run.stiffness_n_mm3);
    out.push_str("*CONTACT PAIR, INTERACTION=TOUCH, TYPE=SURFACE TO SURFACE\nTOPTUBE,TOPPRESS\n*CONTACT PAIR, INTERACTION=TOUCH, TYPE=SURFACE TO SURFACE\nBOTTOMTUBE,TOPTOOL\n*BOUNDARY\n");
    for d in run.held {
        let _ = writeln!(out, "{},{c},{c}", d / 3 + 1, c = d % 3 + 1);
    }
    out.push_str("NPRESS,1,3\nNTOOL,1,3\n");
    let step = |out: &mut String, span_mm: f64, change: &str, who: &str, y: f64, z: f64| {
        let part = (0.08 / span_mm.abs().max(1e-9)).min(0.5);
        // The default scaling softens the contact and restores it, after which the residual jumps: switched off.
        let _ = writeln!(
            out,
            "*STEP, NLGEOM, INC=2000\n*STATIC\n{:.6e},1.,1e-9,{part:.6e}\n*CONTROLS, PARAMETERS=CONTACT\n0.001, 0.1, 1., 100\n{change}*BOUNDARY\nN{who},2,2,{y:.10e}\nN{who},3,3,{z:.10e}\n*NODE PRINT, NSET=N{who}, TOTALS=ONLY\nRF\n*NODE PRINT, NSET=NPROBE\nU\n*END STEP",
            0.25 * part
        );
    };
    let travel = run.outside_y_mm[1] - run.outside_y_mm[0];
    step(&mut out, travel, "*MODEL CHANGE, TYPE=CONTACT PAIR, REMOVE\nBOTTOMTUBE,TOPTOOL\n", "PRESS", travel, 0.0);
    step(&mut out, travel, "", "PRESS", 0.05 * run.outside_mm, 0.0);
    let swap = "*MODEL CHANGE, TYPE=CONTACT PAIR, REMOVE\nTOPTUBE,TOPPRESS\n*MODEL CHANGE, TYPE=CONTACT PAIR, ADD\nBOTTOMTUBE,TOPTOOL\n";
    step(&mut out, 0.16, swap, "TOOL", 0.0, 0.0);
    for p in run.places {
        let out_mm = p.centre_y_mm - run.clear_y_mm;
        step(&mut out, 0.16, "", "TOOL", 0.0, p.place_mm);
        step(&mut out, out_mm, "", "TOOL", out_mm, p.place_mm);
        step(&mut out, out_mm, "", "TOOL", 0.0, p.place_mm);
    }
    out
}
