//! The same tube, metal and ball written as an input deck of the open solver CalculiX, for the comparison.
//!
//! Pure: returns the text; the example `compare_ccx` writes it, runs `ccx` and reads the answer.

use crate::material::Metal;
use crate::mesh::Mesh;
use std::fmt::Write as _;

const PRINT: &str = "*NODE PRINT, NSET=NBALL, TOTALS=ONLY\nRF\n*NODE PRINT, NSET=NPROBE\nU\n*END STEP";

/// A ball that moves up and down in the plane of symmetry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeckBall {
    /// Radius, mm.
    pub radius_mm: f64,
    /// Height of its centre at the start, mm.
    pub centre_y_mm: f64,
    /// Pressure for each mm of overlap, N/mm³.
    pub stiffness_n_mm3: f64,
}

/// The whole deck. `travels_mm` are the ball's displacements along y at the end of each step (down is negative); in one
/// more step the ball is taken away at once and the wall springs back. The wall is read at node `probe`.
#[must_use]
pub fn deck(mesh: &Mesh, metal: &Metal, held: &[usize], ball: &DeckBall, travels_mm: &[f64], probe: usize) -> String {
    let mut out = String::from("** written by the example compare_ccx of trueround's crate fem; N, mm\n*NODE, NSET=NTUBE\n");
    // Writing to a String cannot fail; the results of write! are dropped on purpose.
    for (i, [x, y, z]) in mesh.nodes.iter().enumerate() {
        let _ = writeln!(out, "{},{x:.12e},{y:.12e},{z:.12e}", i + 1);
    }
    out.push_str("*ELEMENT, TYPE=C3D20R, ELSET=ETUBE\n");
    for (i, e) in mesh.elements.iter().enumerate() {
        let ids: Vec<String> = e.iter().map(|n| (n + 1).to_string()).collect();
        let _ = writeln!(out, "{},{},\n{}", i + 1, ids[..10].join(","), ids[10..].join(","));
    }
    let layers = mesh.counts[2];
    out.push_str("*SURFACE, NAME=SOUTER\n");
    for i in (0..mesh.elements.len()).filter(|i| i % layers == layers - 1) {
        // Face S2 is that of the upper four corners.
        let _ = writeln!(out, "{},S2", i + 1);
    }
    let (first_node, first_element) = (mesh.nodes.len() + 1, mesh.elements.len() + 1);
    let patch = ball_patch(ball);
    out.push_str("*NODE, NSET=NBALL\n");
    for (i, [x, y, z]) in patch.nodes.iter().enumerate() {
        let _ = writeln!(out, "{},{x:.12e},{y:.12e},{z:.12e}", first_node + i);
    }
    out.push_str("*ELEMENT, TYPE=C3D8, ELSET=EBALL\n");
    for (i, e) in patch.elements.iter().enumerate() {
        let ids: Vec<String> = e.iter().map(|n| (first_node + n).to_string()).collect();
        let _ = writeln!(out, "{},{}", first_element + i, ids.join(","));
    }
    out.push_str("*SURFACE, NAME=SBALL\n");
    for i in 0..patch.elements.len() {
        let _ = writeln!(out, "{},S2", first_element + i);
    }
    let _ = writeln!(out, "*NSET, NSET=NPROBE\n{}", probe + 1);
    let _ = writeln!(out, "*MATERIAL, NAME=METAL\n*ELASTIC\n{},{}\n*PLASTIC", metal.e_n_mm2, metal.nu);
    for i in 0..=60 {
        let alpha = (f64::from(i) / 60.0).powi(3);
        let _ = writeln!(out, "{:.8e},{alpha:.8e}", metal.flow(alpha).0);
    }
    let _ = writeln!(out, "*MATERIAL, NAME=STIFF\n*ELASTIC\n{},0.3", metal.e_n_mm2);
    out.push_str("*SOLID SECTION, ELSET=ETUBE, MATERIAL=METAL\n*SOLID SECTION, ELSET=EBALL, MATERIAL=STIFF\n");
    let _ = writeln!(
        out,
        "*SURFACE INTERACTION, NAME=TOUCH\n*SURFACE BEHAVIOR, PRESSURE-OVERCLOSURE=LINEAR\n{:.8e}\n*CONTACT PAIR, INTERACTION=TOUCH, TYPE=SURFACE TO SURFACE\nSOUTER,SBALL",
        ball.stiffness_n_mm3
    );
    out.push_str("*BOUNDARY\n");
    for d in held {
        let _ = writeln!(out, "{},{c},{c}", d / 3 + 1, c = d % 3 + 1);
    }
    out.push_str("NBALL,1,3\n");
    let mut before = 0.0;
    for travel in travels_mm {
        let span: f64 = travel - before;
        before = *travel;
        // At most 0.1 mm of travel in an increment, as in the own model.
        let part = (0.1 / span.abs()).min(0.25);
        let _ = writeln!(
            out,
            "*STEP, NLGEOM, INC=2000\n*STATIC\n{:.6e},1.,1e-9,{part:.6e}\n*BOUNDARY\nNBALL,2,2,{travel:.10e}\n{PRINT}",
            0.1 * part
        );
    }
    // Drawing the ball back step by step did not converge in CalculiX 2.20; why was not found out.
    let _ = writeln!(out, "*STEP, NLGEOM, INC=2000\n*STATIC\n0.1,1.\n*MODEL CHANGE, TYPE=CONTACT PAIR, REMOVE\nSOUTER,SBALL\n{PRINT}");
    out
}

struct Patch {
    nodes: Vec<[f64; 3]>,
    elements: Vec<[usize; 8]>,
}

/// The lower cap of the ball as one layer of bricks, their upper faces (S2) towards the wall: 55° along each of x
/// and z, and a little over the planes of symmetry.
fn ball_patch(ball: &DeckBall) -> Patch {
    const CUTS: usize = 48;
    let reach = 55f64.to_radians();
    let angle = |i: usize| -0.06 * reach + 1.06 * reach * i as f64 / CUTS as f64;
    let mut nodes = Vec::new();
    for shell in [0.8, 1.0] {
        for i in 0..=CUTS {
            for k in 0..=CUTS {
                let (u, v) = (angle(i).tan(), angle(k).tan());
                let r = shell * ball.radius_mm / (1.0 + u * u + v * v).sqrt();
                nodes.push([u * r, ball.centre_y_mm - r, v * r]);
            }
        }
    }
    let side = CUTS + 1;
    let mut elements = Vec::new();
    for i in 0..CUTS {
        for k in 0..CUTS {
            // Seen from outside the ball (from below) the order x then z is right-handed about the outward normal −y.
            let quad = [i * side + k, (i + 1) * side + k, (i + 1) * side + k + 1, i * side + k + 1];
            elements.push(std::array::from_fn(|a| quad[a % 4] + if a < 4 { 0 } else { side * side }));
        }
    }
    Patch { nodes, elements }
}
