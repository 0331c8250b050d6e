//! The same tube, metal and balls written as an input deck of the open solver CalculiX, for the comparison.
//!
//! Pure: returns the text; the example `compare_ccx` writes it, runs `ccx` and reads the answer.
//!
//! What makes the whole cycle go through with contact (CalculiX 2.20): the default contact scaling softens and then restores
//! the contact, after which the residual jumps, so the scaling is set to 1; the balls are caps of second-order bricks with
//! their middle nodes on the sphere, because facets make the force jump from one to the next; surface to surface; and a pair
//! is taken out or put in only to change balls, never to let go.

use crate::material::Metal;
use crate::mesh::Mesh;
use std::fmt::Write as _;

/// A ball that moves up and down in the plane of symmetry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeckBall {
    /// Radius, mm.
    pub radius_mm: f64,
    /// Height of its centre at the start, mm.
    pub centre_y_mm: f64,
    /// Pressure for each mm of overlap, N/mm³.
    pub stiffness_n_mm3: f64,
    /// Whether it meets the outside of the wall.
    pub outside: bool,
}

/// The ways of a cycle: the outer ball goes to each of its heights in turn, then the balls change, then the inner one.
#[derive(Debug, Clone, PartialEq)]
pub struct Cycle<'a> {
    /// The outer ball.
    pub outer: DeckBall,
    /// The inner ball.
    pub inner: DeckBall,
    /// Displacements of the outer ball along y at the end of each of its steps, mm.
    pub outer_to_mm: &'a [f64],
    /// The same of the inner ball.
    pub inner_to_mm: &'a [f64],
    /// Largest way of a ball in one increment, mm.
    pub most_mm: f64,
}

/// The whole deck. The wall is read at node `probe`.
#[must_use]
pub fn deck(mesh: &Mesh, metal: &Metal, held: &[usize], cycle: &Cycle<'_>, probe: usize) -> String {
    let mut out = String::from("** written by the example compare_ccx of trueround's crate fem; N, mm\n*NODE, NSET=NTUBE\n");
    // Writing to a String cannot fail; the results of write! are dropped on purpose.
    for (i, [x, y, z]) in mesh.nodes.iter().enumerate() {
        let _ = writeln!(out, "{},{x:.12e},{y:.12e},{z:.12e}", i + 1);
    }
    bricks(&mut out, "*ELEMENT, TYPE=C3D20R, ELSET=ETUBE", &mesh.elements, 0, 0);
    let layers = mesh.counts[2];
    for (name, layer, face) in [("SOUTER", layers - 1, "S2"), ("SINNER", 0, "S1")] {
        // Face S1 is that of the lower four corners, S2 that of the upper.
        let _ = writeln!(out, "*SURFACE, NAME={name}");
        for i in (0..mesh.elements.len()).filter(|i| i % layers == layer) {
            let _ = writeln!(out, "{},{face}", i + 1);
        }
    }
    let (mut nodes, mut elements) = (mesh.nodes.len(), mesh.elements.len());
    for (ball, name) in [(&cycle.outer, "OUT"), (&cycle.inner, "IN")] {
        let cap = cap(ball);
        let _ = writeln!(out, "*NODE, NSET=NBALL{name}");
        for (i, [x, y, z]) in cap.nodes.iter().enumerate() {
            let _ = writeln!(out, "{},{x:.12e},{y:.12e},{z:.12e}", nodes + i + 1);
        }
        bricks(&mut out, &format!("*ELEMENT, TYPE=C3D20, ELSET=EBALL{name}"), &cap.elements, nodes, elements);
        let _ = writeln!(out, "*SURFACE, NAME=SBALL{name}");
        for i in 0..cap.elements.len() {
            let _ = writeln!(out, "{},S2", elements + i + 1);
        }
        nodes += cap.nodes.len();
        elements += cap.elements.len();
    }
    let _ = writeln!(out, "*NSET, NSET=NPROBE\n{}", probe + 1);
    let _ = writeln!(out, "*MATERIAL, NAME=METAL\n*ELASTIC\n{},{}\n*PLASTIC", metal.e_n_mm2, metal.nu);
    for i in 0..=60 {
        let alpha = (f64::from(i) / 60.0).powi(3);
        let _ = writeln!(out, "{:.8e},{alpha:.8e}", metal.flow(alpha).0);
    }
    let _ = writeln!(out, "*MATERIAL, NAME=STIFF\n*ELASTIC\n{},0.3", metal.e_n_mm2);
    out.push_str("*SOLID SECTION, ELSET=ETUBE, MATERIAL=METAL\n*SOLID SECTION, ELSET=EBALLOUT, MATERIAL=STIFF\n");
    out.push_str("*SOLID SECTION, ELSET=EBALLIN, MATERIAL=STIFF\n");
    for (ball, name) in [(&cycle.outer, "OUT"), (&cycle.inner, "IN")] {
        let _ = writeln!(
            out,
            "*SURFACE INTERACTION, NAME=TOUCH{name}\n*SURFACE BEHAVIOR, PRESSURE-OVERCLOSURE=LINEAR\n{:.8e}\n*CONTACT PAIR, INTERACTION=TOUCH{name}, TYPE=SURFACE TO SURFACE\n{},SBALL{name}",
            ball.stiffness_n_mm3,
            if ball.outside { "SOUTER" } else { "SINNER" }
        );
    }
    out.push_str("*BOUNDARY\n");
    for d in held {
        let _ = writeln!(out, "{},{c},{c}", d / 3 + 1, c = d % 3 + 1);
    }
    out.push_str("NBALLOUT,1,3\nNBALLIN,1,3\n");
    let mut at = 0.0;
    let mut first = true;
    for (name, ways) in [("OUT", cycle.outer_to_mm), ("IN", cycle.inner_to_mm)] {
        if name == "IN" {
            (at, first) = (0.0, true);
        }
        for &to in ways {
            // Letting go is elastic and bears larger steps.
            let back = (to > at) == (name == "OUT");
            let most = if back { 3.0 * cycle.most_mm } else { cycle.most_mm };
            let part = (most / f64::abs(to - at).max(1e-9)).min(1.0);
            let _ = writeln!(out, "*STEP, NLGEOM, INC=5000\n*STATIC\n{:.6e},1.,1e-7,{part:.6e}", 0.2 * part);
            out.push_str("*CONTROLS, PARAMETERS=CONTACT\n0.001,0.1,1.,100\n");
            if first {
                let pairs: [(&str, &str); 2] = if name == "OUT" {
                    [("REMOVE", "SINNER,SBALLIN"), ("", "")]
                } else {
                    [("REMOVE", "SOUTER,SBALLOUT"), ("ADD", "SINNER,SBALLIN")]
                };
                for (what, pair) in pairs.iter().filter(|p| !p.0.is_empty()) {
                    let _ = writeln!(out, "*MODEL CHANGE, TYPE=CONTACT PAIR, {what}\n{pair}");
                }
            }
            let _ = writeln!(
                out,
                "*BOUNDARY\nNBALL{name},2,2,{to:.10e}\n*NODE PRINT, NSET=NBALL{name}, TOTALS=ONLY\nRF\n*NODE PRINT, NSET=NPROBE\nU\n*END STEP"
            );
            (at, first) = (to, false);
        }
    }
    out
}

fn bricks(out: &mut String, head: &str, elements: &[[usize; 20]], nodes_before: usize, elements_before: usize) {
    let _ = writeln!(out, "{head}");
    for (i, e) in elements.iter().enumerate() {
        let ids: Vec<String> = e.iter().map(|n| (nodes_before + n + 1).to_string()).collect();
        let _ = writeln!(out, "{},{},\n{}", elements_before + i + 1, ids[..10].join(","), ids[10..].join(","));
    }
}

/// The cap of a ball as one layer of twenty-node bricks with every outer node on the sphere, their upper faces (S2) towards
/// the wall: 55° along each of x and z, and a little over the planes of symmetry.
fn cap(ball: &DeckBall) -> Mesh {
    const CUTS: usize = 14;
    let reach = 55f64.to_radians();
    let cuts: Vec<f64> = (0..=CUTS).map(|i| -0.06 * reach + 1.06 * reach * i as f64 / CUTS as f64).collect();
    // Which way the cap looks: down on the wall from outside, up from inside. The local axes stay right-handed.
    let up = if ball.outside { -1.0 } else { 1.0 };
    Mesh::structured([&cuts, &cuts, &[0.85, 1.0]], |[a, b, shell]| {
        let (x, z) = if ball.outside { (a, b) } else { (b, a) };
        let (u, v) = (x.tan(), z.tan());
        let r = shell * ball.radius_mm / (1.0 + u * u + v * v).sqrt();
        [u * r, ball.centre_y_mm + up * r, v * r]
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::element::{rule, sites};

    #[test]
    fn caps_are_round_and_right_side_out() {
        for outside in [true, false] {
            let ball = DeckBall { radius_mm: 5.0, centre_y_mm: 3.0, stiffness_n_mm3: 1.0, outside };
            let cap = cap(&ball);
            for (p, l) in cap.nodes.iter().zip(&cap.lattice) {
                let r = (p[0] * p[0] + (p[1] - 3.0).powi(2) + p[2] * p[2]).sqrt();
                assert!(l[2] != 2 || (r - 5.0).abs() < 1e-12);
            }
            for e in &cap.elements {
                assert!(sites(&e.map(|n| cap.nodes[n]), &rule(1)).is_ok(), "turned inside out");
            }
        }
    }
}
