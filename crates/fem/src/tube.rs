//! The repairer's experiment: a tube lying on its back line is dented by a ball from outside, let go, and pushed back
//! to true by a ball from inside.
//!
//! A quarter of the tube is modelled (half round, half long). The line opposite the dent is held (the tube in its
//! cradle), the far end is free to draw in. Depth is what a gauge reads: how far the outer wall under the ball has
//! come nearer to the line opposite.

use crate::Error;
use crate::contact::Ball;
use crate::material::Metal;
use crate::mesh::{Mesh, graded};
use crate::model::{Load, Model, State, Step};

/// Tube and metal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tube {
    /// Diameter at the middle of the wall, mm.
    pub mean_diameter_mm: f64,
    /// Wall, mm.
    pub wall_mm: f64,
    /// The metal.
    pub metal: Metal,
}

/// How finely the tube is cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fineness {
    /// Elements along the half length.
    pub along: usize,
    /// Elements round the half circle.
    pub around: usize,
    /// Size of the element under the ball, as part of the mean diameter.
    pub first: f64,
    /// Half length, in mean diameters.
    pub half_length: f64,
    /// Pairs of integration points through the wall.
    pub sub_layers: usize,
    /// Elements through the wall.
    pub layers: usize,
}

impl Fineness {
    /// The mesh behind the shipped table.
    pub const TABLE: Self = Self { along: 13, around: 12, first: 0.038, half_length: 3.0, sub_layers: 2, layers: 1 };
}

/// One point of a push: how far the wall has moved and the force of the ball.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Depth of the outer wall under the ball, mm; negative is a bulge.
    pub depth_mm: f64,
    /// Force of the ball, N, always positive.
    pub force_n: f64,
}

/// A dent made and let go.
#[derive(Debug, Clone)]
pub struct Dented {
    /// Depth under load.
    pub loaded: Reading,
    /// Depth left, mm.
    pub residual_mm: f64,
    /// The state left, to push back from.
    pub state: State,
}

/// A dent pushed back.
#[derive(Debug, Clone)]
pub struct PushedOut {
    /// Greatest force on the way to true, N.
    pub force_n: f64,
    /// How far past true the wall must go under load to come back true, mm.
    pub over_push_mm: f64,
    /// Depth left after letting go, mm; negative when the last step went a little too far.
    pub left_mm: f64,
    /// The whole curve.
    pub curve: Vec<Reading>,
}

/// A tube ready for the ball.
pub struct Experiment {
    /// The finite-element model.
    pub model: Model,
    tube: Tube,
    fineness: Fineness,
    top_dof: usize,
    inner_top: usize,
    /// Load steps cut because Newton's method failed at their full size.
    pub cuts: usize,
}

/// Degrees of freedom that symmetry and the cradle hold.
#[must_use]
pub fn held(mesh: &Mesh) -> Vec<usize> {
    let around = 2 * mesh.counts[1];
    let outer = 2 * mesh.counts[2];
    let mut fixed: Vec<usize> = mesh.select(move |p| p[1] == 0 || p[1] == around).map(|n| 3 * n).collect();
    fixed.extend(mesh.select(|p| p[0] == 0).map(|n| 3 * n + 2));
    fixed.extend(mesh.select(move |p| p[1] == around && p[2] == outer).map(|n| 3 * n + 1));
    fixed
}

/// Quarter of the tube with smaller elements towards the dent.
#[must_use]
pub fn mesh(tube: &Tube, f: &Fineness) -> Mesh {
    let d = tube.mean_diameter_mm;
    let z = graded(f.half_length * d, f.along, f.first * d);
    let clock = graded(std::f64::consts::PI, f.around, 2.0 * f.first);
    Mesh::half_tube(d / 2.0, tube.wall_mm, &z, &clock, f.layers)
}

impl Experiment {
    /// Builds the model.
    ///
    /// # Errors
    /// [`Error::BadInput`] where tube or mesh make no sense.
    pub fn new(tube: Tube, fineness: Fineness) -> Result<Self, Error> {
        let m = tube.metal;
        let positive = [tube.mean_diameter_mm, tube.wall_mm, m.e_n_mm2, m.sigma0_n_mm2, m.eps0, fineness.first, fineness.half_length];
        if positive.iter().any(|v| !(v.is_finite() && *v > 0.0)) || tube.wall_mm > 0.2 * tube.mean_diameter_mm {
            return Err(Error::BadInput("diameter, wall (at most a fifth of it), metal and mesh sizes must be positive".into()));
        }
        if fineness.along == 0 || fineness.around == 0 || fineness.layers == 0 {
            return Err(Error::BadInput("the mesh needs at least one element each way".into()));
        }
        let mesh = mesh(&tube, &fineness);
        let fixed = held(&mesh);
        let outer = 2 * fineness.layers;
        let find = |layer| mesh.lattice.iter().position(|p| *p == [0, 0, layer]).ok_or(Error::Inverted);
        let (top, inner_top) = (find(outer)?, find(0)?);
        let mut model = Model::new(mesh, tube.metal, fineness.sub_layers, &fixed)?;
        model.force_floor_n = 1e-3 * tube.metal.sigma0_n_mm2 * tube.wall_mm * tube.wall_mm;
        Ok(Self { model, tube, fineness, top_dof: 3 * top + 1, inner_top, cuts: 0 })
    }

    /// Depth of the outer wall under the ball, mm.
    #[must_use]
    pub fn depth_mm(&self, state: &State) -> f64 {
        -state.u_mm[self.top_dof]
    }

    /// The mesh in use.
    #[must_use]
    pub fn fineness(&self) -> &Fineness {
        &self.fineness
    }

    /// Pressure for each mm of overlap between ball and wall: a wall's stiffness through its own thickness, so that
    /// the overlap is a few thousandths of the wall.
    #[must_use]
    pub fn contact_stiffness_n_mm3(&self) -> f64 {
        self.tube.metal.e_n_mm2 / self.tube.wall_mm
    }

    fn ball(&self, radius_mm: f64, centre_y_mm: f64) -> Ball {
        Ball { centre_mm: [0.0, centre_y_mm, 0.0], radius_mm, stiffness_n_mm3: self.contact_stiffness_n_mm3() }
    }

    /// Moves the ball's centre from `from` to `to`, halving where Newton's method fails.
    fn drive(&mut self, state: &mut State, radius_mm: f64, outside: bool, from: f64, to: f64) -> Result<Step, Error> {
        let mut at = from;
        let mut part = to - from;
        loop {
            let goal = if (to - at).abs() <= part.abs() * 1.0001 { to } else { at + part };
            let load = Load { ball: Some((self.ball(radius_mm, goal), outside)), ball_moved_mm: [0.0, goal - at, 0.0], ..Load::default() };
            match self.model.step(state, &load) {
                Ok(step) if goal == to => return Ok(step),
                Ok(_) => {
                    at = goal;
                    part *= 1.5;
                }
                Err(e @ (Error::BadInput(_) | Error::Factorisation(_))) => return Err(e),
                Err(_) => {
                    part *= 0.5;
                    self.cuts += 1;
                    if part.abs() < 1e-3 * (to - from).abs() {
                        return Err(Error::NotConverged(format!("at depth {:.4} mm", self.depth_mm(state))));
                    }
                }
            }
        }
    }

    /// Dents the tube from outside with a ball, in steps of the ball of `step_mm`, until the wall has come in
    /// `depths_mm` (rising); at each depth the ball is taken away and the dent left is kept. Returns the loading
    /// curve and the dents.
    ///
    /// # Errors
    /// [`Error::NotConverged`] with the depth reached.
    pub fn dent(&mut self, ball_radius_mm: f64, depths_mm: &[f64], step_mm: f64) -> Result<(Vec<Reading>, Vec<Dented>), Error> {
        self.dent_until(ball_radius_mm, depths_mm, step_mm, false)
    }

    /// As [`Experiment::dent`], but `depths_mm` are the depths to be left after letting go (met within 8 %).
    ///
    /// # Errors
    /// [`Error::NotConverged`] with the depth reached.
    pub fn dent_left(&mut self, ball_radius_mm: f64, depths_mm: &[f64], step_mm: f64) -> Result<(Vec<Reading>, Vec<Dented>), Error> {
        self.dent_until(ball_radius_mm, depths_mm, step_mm, true)
    }

    fn dent_until(&mut self, radius_mm: f64, depths_mm: &[f64], step_mm: f64, left: bool) -> Result<(Vec<Reading>, Vec<Dented>), Error> {
        if !(radius_mm > 0.0 && step_mm > 0.0) {
            return Err(Error::BadInput("ball and step must be larger than nothing".into()));
        }
        let mut state = self.model.rest();
        let mut y = self.outside_touch_mm(radius_mm);
        let (mut curve, mut dents) = (Vec::<Reading>::new(), Vec::<Dented>::new());
        // Give of the wall on letting go, mm for each N: first the elastic slope, then what the last dent showed.
        let mut give = 0.0;
        for &target in depths_mm {
            loop {
                let now = curve.last().copied().unwrap_or(Reading { depth_mm: 0.0, force_n: 0.0 });
                let missing = target - (now.depth_mm - if left { give * now.force_n } else { 0.0 });
                if missing <= 1e-3 * target {
                    let mut free = state.clone();
                    let residual_mm = self.let_go(&mut free, radius_mm, true, y, now.force_n)?;
                    give = (now.depth_mm - residual_mm) / now.force_n;
                    if !left || residual_mm > 0.92 * target {
                        dents.push(Dented { loaded: now, residual_mm, state: free });
                        break;
                    }
                }
                // A short first step: a ball just touching finds its patch of contact.
                let by = step_mm.min(missing.max(0.05 * step_mm)).min(if curve.is_empty() { 0.1 * step_mm } else { step_mm });
                let step = self.drive(&mut state, radius_mm, true, y, y - by)?;
                y -= by;
                curve.push(Reading { depth_mm: self.depth_mm(&state), force_n: -4.0 * step.ball_n[1] });
                if curve.len() == 1 && curve[0].force_n > 0.0 {
                    give = curve[0].depth_mm / curve[0].force_n;
                }
                if curve.len() > 1000 {
                    return Err(Error::NotConverged("on the way in".into()));
                }
            }
        }
        Ok((curve, dents))
    }

    /// Presses a ball in from outside by each of `travels_mm` (rising, from first touch), reading the wall at each, then
    /// lets go. The comparison with another solver drives both by the same travel.
    ///
    /// # Errors
    /// [`Error::NotConverged`] with the depth reached.
    pub fn press(&mut self, radius_mm: f64, travels_mm: &[f64], step_mm: f64) -> Result<(Vec<Reading>, f64), Error> {
        let start = self.outside_touch_mm(radius_mm);
        let (mut state, mut at, mut readings) = (self.model.rest(), 0.0, Vec::new());
        for &travel in travels_mm {
            let parts = ((travel - at) / step_mm).ceil().max(1.0);
            let by = (travel - at) / parts;
            let mut force_n = 0.0;
            for _ in 0..parts as usize {
                force_n = -4.0 * self.drive(&mut state, radius_mm, true, start - at, start - at - by)?.ball_n[1];
                at += by;
            }
            readings.push(Reading { depth_mm: self.depth_mm(&state), force_n });
        }
        let last = readings.last().map_or(0.0, |r| r.force_n);
        let left = self.let_go(&mut state, radius_mm, true, start - at, last)?;
        Ok((readings, left))
    }

    /// Height of the centre of a ball that just touches the wall from outside, mm.
    #[must_use]
    pub fn outside_touch_mm(&self, radius_mm: f64) -> f64 {
        self.tube.mean_diameter_mm / 2.0 + self.tube.wall_mm / 2.0 + radius_mm
    }

    /// The node under the ball on the outside of the wall.
    #[must_use]
    pub fn probe(&self) -> usize {
        self.top_dof / 3
    }

    /// Draws the ball back until it no longer touches; returns the depth left.
    fn let_go(&mut self, state: &mut State, radius_mm: f64, outside: bool, from: f64, force_n: f64) -> Result<f64, Error> {
        let away = if outside { 1.0 } else { -1.0 };
        let mut y = from;
        let mut by = 0.002 * self.tube.mean_diameter_mm;
        let mut before = force_n;
        for _ in 0..60 {
            let step = self.drive(state, radius_mm, outside, y, y + away * by)?;
            y += away * by;
            let now = 4.0 * step.ball_n[1].abs();
            if now <= 0.0 {
                return Ok(self.depth_mm(state));
            }
            // The next step aims at the end, by the slope just seen; the patch of contact shrinks, so it falls short.
            let slope = (before - now) / by;
            if slope > 0.0 {
                by = (now / slope).min(4.0 * by).max(5e-4 * self.tube.mean_diameter_mm);
            }
            before = now;
        }
        Err(Error::NotConverged("while the ball was drawn back".into()))
    }

    /// Pushes a dent out from inside with a ball until the wall would spring back to true.
    ///
    /// True is verified by letting go: the depth then left is at most 3 % of the dent or 0.0002 diameters. The force
    /// is the greatest on the way.
    ///
    /// # Errors
    /// [`Error::NotConverged`] with the depth reached.
    pub fn push_out(&mut self, dent: &Dented, ball_radius_mm: f64, step_mm: f64) -> Result<PushedOut, Error> {
        if !(ball_radius_mm > 0.0 && step_mm > 0.0) {
            return Err(Error::BadInput("ball and step must be larger than nothing".into()));
        }
        let mut state = dent.state.clone();
        let inner = self.model.mesh.nodes[self.inner_top][1] + state.u_mm[3 * self.inner_top + 1];
        let mut y = inner - ball_radius_mm;
        let mut curve = vec![Reading { depth_mm: self.depth_mm(&state), force_n: 0.0 }];
        let d = self.tube.mean_diameter_mm;
        let close = (0.03 * dent.residual_mm).max(2e-4 * d);
        // Give of the wall on letting go, mm for each N: measured at true, and again each time the over-push has
        // doubled or the wall seems to spring back to true, because a bulging wall stiffens.
        let mut give: Option<f64> = None;
        let mut measure_at = 0.0;
        let (mut left_before, mut by, mut most) = (f64::INFINITY, 0.1 * step_mm, step_mm);
        let mut before = (state.clone(), y);
        let left_mm = loop {
            let now = curve[curve.len() - 1];
            let mut left = now.depth_mm + give.unwrap_or(0.0) * now.force_n;
            if left <= close || now.depth_mm < measure_at {
                left = self.let_go(&mut state.clone(), ball_radius_mm, false, y, now.force_n)?;
                // Too far past true: back one step, to come up to it in smaller ones.
                if left < -2.0 * close && most > 0.02 * step_mm && curve.len() > 1 {
                    most = 0.4 * by;
                    (state, y) = before.clone();
                    curve.pop();
                    left_before = f64::INFINITY;
                    // The place gone back to was not past true; its give is measured again.
                    measure_at = f64::INFINITY;
                    continue;
                }
                if left <= close {
                    break left;
                }
                give = Some(if now.force_n > 0.0 { ((left - now.depth_mm) / now.force_n).max(0.0) } else { 0.0 });
                left_before = f64::INFINITY;
                measure_at = (2.0 * now.depth_mm).min(-0.01 * d);
            }
            if now.depth_mm < -0.3 * d {
                return Err(Error::NotConverged("the wall springs back from 0.3 diameters beyond true: no ball alone sets it".into()));
            }
            // By the slope last seen; where none is known, as if the wall followed the ball and its give did not grow,
            // which falls short.
            let slope = (left_before - left) / by;
            by = if curve.len() == 1 {
                by
            } else if slope.is_finite() && slope > 0.0 {
                left / slope
            } else {
                left
            };
            by = by.max(0.05 * step_mm).min(most);
            left_before = left;
            before = (state.clone(), y);
            let step = self.drive(&mut state, ball_radius_mm, false, y, y + by)?;
            y += by;
            curve.push(Reading { depth_mm: self.depth_mm(&state), force_n: 4.0 * step.ball_n[1] });
            if curve.len() > 400 {
                return Err(Error::NotConverged("on the way back to true".into()));
            }
        };
        let force_n = curve.iter().map(|r| r.force_n).fold(0.0, f64::max);
        Ok(PushedOut { force_n, over_push_mm: -self.depth_mm(&state), left_mm, curve })
    }
}
