//! Equilibrium by Newton's method: a mesh, a metal, held and driven nodes, and a ball.

use crate::Error;
use crate::contact::{self, Ball, Face};
use crate::element::{self, DOFS, NODES, Site, Stiffness};
use crate::material::{History, Metal};
use crate::mesh::Mesh;
use crate::sparse::Symmetric;

/// All that changes with the load; cloned to go back to.
#[derive(Debug, Clone)]
pub struct State {
    /// Displacement of each degree of freedom, mm (three for each node).
    pub u_mm: Vec<f64>,
    /// Memory of every integration point.
    pub history: Vec<History>,
}

/// What acts in a step: displacement of driven degrees of freedom, forces on free ones, and at most one ball.
#[derive(Debug, Clone, Default)]
pub struct Load {
    /// Degree of freedom and its displacement, mm; must be among the model's driven ones.
    pub driven: Vec<(usize, f64)>,
    /// Degree of freedom and force on it, N.
    pub forces: Vec<(usize, f64)>,
    /// The ball, and whether it meets the outer faces.
    pub ball: Option<(Ball, bool)>,
    /// How far the ball has come since the state given, mm. The first turn lets the wall follow it by the tangent, as
    /// it does for driven nodes; otherwise the ball would leap into the wall by the whole step.
    pub ball_moved_mm: [f64; 3],
}

/// Result of a converged step.
#[derive(Debug, Clone)]
pub struct Step {
    /// Internal force at each degree of freedom, N; at held and driven ones this is the reaction.
    pub reaction_n: Vec<f64>,
    /// Force of the ball on the wall, N.
    pub ball_n: [f64; 3],
    /// Newton turns it took.
    pub turns: usize,
}

/// A body ready to be loaded.
pub struct Model {
    /// The mesh.
    pub mesh: Mesh,
    /// The metal.
    pub metal: Metal,
    sites: Vec<Vec<Site>>,
    points: usize,
    /// Unknown of each degree of freedom; `None` for held and driven ones.
    unknown: Vec<Option<usize>>,
    matrix: Symmetric,
    scatter: Vec<Vec<u32>>,
    outer: Vec<Face>,
    inner: Vec<Face>,
    /// Relative size of the residual at which a step has converged.
    pub tolerance: f64,
    /// Force below which a residual does not matter, N.
    pub force_floor_n: f64,
    /// Newton turns before the step is given up.
    pub most_turns: usize,
    /// Dashpot at every free degree of freedom for one step, N for each mm moved in it: carries the wall over a snap
    /// ([`crate::tube`]'s drive, which ends every move without it). Zero: none.
    pub dashpot_n_mm: f64,
}

const NOWHERE: u32 = u32::MAX;

impl Model {
    /// Prepares a body; `fixed` lists the degrees of freedom that are held or driven.
    ///
    /// # Errors
    /// [`Error::Inverted`] for a bad mesh, [`Error::BadInput`] for an empty one.
    pub fn new(mesh: Mesh, metal: Metal, sub_layers: usize, fixed: &[usize]) -> Result<Self, Error> {
        if mesh.elements.is_empty() || sub_layers == 0 {
            return Err(Error::BadInput("the mesh needs at least one element and one layer of integration points".into()));
        }
        let rule = element::rule(sub_layers);
        let sites = mesh.elements.iter().map(|e| element::sites(&e.map(|n| mesh.nodes[n]), &rule)).collect::<Result<Vec<_>, _>>()?;
        let mut unknown: Vec<Option<usize>> = vec![Some(0); 3 * mesh.nodes.len()];
        for &d in fixed {
            unknown[d] = None;
        }
        // Numbered along the longest side, so that the matrix keeps a narrow band.
        let mut sides = [0, 1, 2];
        sides.sort_by_key(|s| std::cmp::Reverse(mesh.counts[*s]));
        let mut nodes: Vec<usize> = (0..mesh.nodes.len()).collect();
        nodes.sort_by_key(|n| sides.map(|s| mesh.lattice[*n][s]));
        let mut count = 0;
        for dof in nodes.into_iter().flat_map(|n| 3 * n..3 * n + 3) {
            if let Some(slot) = &mut unknown[dof] {
                *slot = count;
                count += 1;
            }
        }
        let dofs = |e: &[usize; NODES]| -> [usize; DOFS] { std::array::from_fn(|k| 3 * e[k / 3] + k % 3) };
        let cliques = mesh.elements.iter().map(|e| dofs(e).iter().filter_map(|&d| unknown[d]).collect());
        let matrix = Symmetric::new(count, cliques);
        let scatter = mesh
            .elements
            .iter()
            .map(|e| {
                let d = dofs(e);
                let mut map = Vec::with_capacity(DOFS * (DOFS + 1) / 2);
                for r in 0..DOFS {
                    for c in r..DOFS {
                        let at = unknown[d[r]].zip(unknown[d[c]]).and_then(|(a, b)| matrix.position(a, b));
                        map.push(at.and_then(|p| u32::try_from(p).ok()).unwrap_or(NOWHERE));
                    }
                }
                map
            })
            .collect();
        let (outer, inner) = (contact::faces(&mesh, true), contact::faces(&mesh, false));
        Ok(Self {
            mesh,
            metal,
            sites,
            points: rule.len(),
            unknown,
            matrix,
            scatter,
            outer,
            inner,
            tolerance: 1e-5,
            force_floor_n: 1e-9,
            most_turns: 24,
            dashpot_n_mm: 0.0,
        })
    }

    /// The unloaded state.
    #[must_use]
    pub fn rest(&self) -> State {
        State { u_mm: vec![0.0; 3 * self.mesh.nodes.len()], history: vec![History::default(); self.points * self.mesh.elements.len()] }
    }

    /// Anneals the whole body where it stands: it is of `metal` from now on, without stress and without memory of its work; its form
    /// stays. In logarithmic strain that is a plastic strain equal to the whole strain, and nothing accumulated.
    ///
    /// # Errors
    /// [`Error::Inverted`] where the body is.
    pub fn anneal(&mut self, state: &mut State, metal: Metal) -> Result<(), Error> {
        self.metal = metal;
        for (i, e) in self.mesh.elements.iter().enumerate() {
            let place: [[f64; 3]; NODES] = std::array::from_fn(|a| std::array::from_fn(|d| state.u_mm[3 * e[a] + d]));
            for (site, memory) in self.sites[i].iter().zip(&mut state.history[i * self.points..]) {
                let plastic = crate::log_strain::strain(&element::deformation(site, &place))?;
                *memory = History { plastic, alpha: 0.0 };
            }
        }
        Ok(())
    }

    /// Number of unknowns.
    #[must_use]
    pub fn unknowns(&self) -> usize {
        self.matrix.size()
    }

    /// Internal minus ball force, ball force, new memory; fills the matrix. `rise` is a driven displacement still to
    /// come, whose stiffness times step goes to the right-hand side.
    #[allow(clippy::type_complexity)]
    fn assemble(
        &mut self,
        u: &[f64],
        old: &[History],
        ball: Option<&(Ball, bool)>,
        ball_rise: [f64; 3],
        rise: Option<&[f64]>,
    ) -> Result<(Vec<f64>, [f64; 3], Vec<History>, Vec<f64>), Error> {
        let mut force = vec![0.0; u.len()];
        let mut extra = vec![0.0; u.len()];
        let mut new = old.to_vec();
        self.matrix.clear();
        let mut k = Stiffness::default();
        for (i, e) in self.mesh.elements.iter().enumerate() {
            let place: [[f64; 3]; NODES] = std::array::from_fn(|a| std::array::from_fn(|d| u[3 * e[a] + d]));
            let span = i * self.points..(i + 1) * self.points;
            element::integrate(&self.metal, &self.sites[i], &place, &old[span.clone()], &mut new[span], &mut k)?;
            for a in 0..DOFS {
                force[3 * e[a / 3] + a % 3] += k.force[a];
            }
            let map = &self.scatter[i];
            let mut at = 0;
            for r in 0..DOFS {
                for v in &k.matrix[r][r..] {
                    if map[at] != NOWHERE {
                        self.matrix.add(map[at] as usize, *v);
                    }
                    at += 1;
                }
            }
            if let Some(rise) = rise {
                let d: [usize; DOFS] = std::array::from_fn(|a| 3 * e[a / 3] + a % 3);
                if d.iter().any(|&x| rise[x] != 0.0) {
                    for r in 0..DOFS {
                        for c in r..DOFS {
                            extra[d[r]] += k.matrix[r][c] * rise[d[c]];
                            if c > r {
                                extra[d[c]] += k.matrix[r][c] * rise[d[r]];
                            }
                        }
                    }
                }
            }
        }
        let mut on_wall = [0.0; 3];
        if let Some((ball, outer)) = ball {
            for face in if *outer { &self.outer } else { &self.inner } {
                let place = face.nodes.map(|n| std::array::from_fn(|d| self.mesh.nodes[n][d] + u[3 * n + d]));
                let Some((f, m)) = contact::push(ball, face, &place) else { continue };
                let d: [usize; 24] = std::array::from_fn(|a| 3 * face.nodes[a / 3] + a % 3);
                for r in 0..24 {
                    force[d[r]] -= f[r];
                    on_wall[r % 3] += f[r];
                    for c in 0..24 {
                        extra[d[r]] -= m[r][c] * ball_rise[c % 3];
                        if let (Some(a), Some(b)) = (self.unknown[d[r]], self.unknown[d[c]])
                            && a >= b
                            && let Some(p) = self.matrix.position(a, b)
                        {
                            self.matrix.add(p, m[r][c]);
                        }
                    }
                }
            }
        }
        Ok((force, on_wall, new, extra))
    }

    /// One load step, from `state` to the load given; `state` is changed only when the step converges.
    ///
    /// # Errors
    /// [`Error::NotConverged`] after too many turns; the caller may cut the step.
    pub fn step(&mut self, state: &mut State, load: &Load) -> Result<Step, Error> {
        let mut u = state.u_mm.clone();
        let mut rise = vec![0.0; u.len()];
        for &(d, v) in &load.driven {
            if self.unknown[d].is_some() {
                return Err(Error::BadInput(format!("degree of freedom {d} is driven but not listed as fixed")));
            }
            rise[d] = v - u[d];
        }
        let moved = rise.iter().chain(&load.ball_moved_mm).any(|v| *v != 0.0);
        let mut before = load.ball;
        if let Some((ball, _)) = &mut before {
            for (c, m) in ball.centre_mm.iter_mut().zip(&load.ball_moved_mm) {
                *c -= m;
            }
        }
        let mut reference = self.force_floor_n;
        let mut last = f64::INFINITY;
        let mut went = vec![0.0; u.len()];
        let mut halved = 0;
        for turn in 0..self.most_turns {
            let first = turn == 0 && moved;
            let (ball, ball_rise) = if first { (&before, load.ball_moved_mm) } else { (&load.ball, [0.0; 3]) };
            let (force, ball_n, history, extra) =
                self.assemble(&u, &state.history, ball.as_ref(), ball_rise, first.then_some(rise.as_slice()))?;
            let mut rhs = vec![0.0; self.matrix.size()];
            let mut held = 0.0;
            for (d, slot) in self.unknown.iter().enumerate() {
                match slot {
                    Some(i) => rhs[*i] = -force[d] - extra[d],
                    None => held += force[d] * force[d],
                }
            }
            if self.dashpot_n_mm > 0.0 {
                for (d, slot) in self.unknown.iter().enumerate() {
                    if let Some(i) = slot {
                        rhs[*i] -= self.dashpot_n_mm * (u[d] - state.u_mm[d]);
                        self.matrix.stiffen(*i, self.dashpot_n_mm);
                    }
                }
            }
            let mut applied = 0.0;
            for &(d, f) in &load.forces {
                applied += f * f;
                if let Some(i) = self.unknown[d] {
                    rhs[i] += f;
                }
            }
            let residual = rhs.iter().map(|v| v * v).sum::<f64>().sqrt();
            let ball_size = ball_n.iter().map(|v| v * v).sum::<f64>();
            reference = reference.max(self.force_floor_n).max((held + applied + ball_size).sqrt());
            if !first && residual <= self.tolerance * reference {
                *state = State { u_mm: u, history };
                return Ok(Step { reaction_n: force, ball_n, turns: turn });
            }
            if !residual.is_finite() {
                break;
            }
            // A turn that made things worse went too far along a good direction (a hinge forming, a patch of contact
            // growing): go back half way, at most three times.
            if turn > 1 && residual > last && halved < 3 {
                halved += 1;
                for (v, d) in u.iter_mut().zip(&mut went) {
                    *d *= 0.5;
                    *v -= *d;
                }
                continue;
            }
            halved = 0;
            last = residual;
            self.matrix.solve(&mut rhs)?;
            for (d, slot) in self.unknown.iter().enumerate() {
                went[d] = match slot {
                    Some(i) => rhs[*i],
                    None if first => rise[d],
                    None => 0.0,
                };
                u[d] += went[d];
            }
        }
        Err(Error::NotConverged(format!("in {} turns", self.most_turns)))
    }
}
