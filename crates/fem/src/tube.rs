//! The repairer's experiment: a tube lying on its back line is dented by a ball from outside, let go, and pushed back
//! to true by a ball from inside.
//!
//! A quarter of the tube is modelled (half round, half long). The line opposite the dent is held (the tube in its
//! cradle), the far end is free to draw in. Depth is what a gauge reads: how far the outer wall under the ball has
//! come nearer to the line opposite.

use crate::Error;
use crate::contact::Ball;
use crate::material::{History, Metal};
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
    /// What is held.
    pub hold: Hold,
}

impl Fineness {
    /// The mesh behind the shipped table in the cradle.
    pub const TABLE: Self = Self { along: 13, around: 12, first: 0.038, half_length: 3.0, sub_layers: 2, layers: 1, hold: Hold::Cradle };
    /// The mesh behind the shipped table of thin held tubes: smaller than √(R t), the length over which a thin shell bends,
    /// wherever a dent's rim comes to lie (0.029 D at D/t 600).
    pub const HELD: Self = Self { along: 15, around: 14, first: 0.028, half_length: 1.0, sub_layers: 2, layers: 1, hold: Hold::Held };
}

/// What keeps the tube where it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Hold {
    /// The tube lies on the line opposite the dent; its far end is free. The whole section may go oval.
    #[default]
    Cradle,
    /// Two hands, a stake or a mandrel keep the wall round about the dent: the half of the section that faces away, and all that
    /// lies beyond the half length, is held fast (the edges at the clock of a quarter turn and at the end are held in all three
    /// directions; what lies behind them does not move and is not modelled). A thin wide tube that merely lies on its back line
    /// goes oval as a whole before the dent gives, which nobody at a bench lets it do.
    Held,
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
    /// Depth left after letting go, mm, within [`TRUE_WITHIN`] of the dent; negative when the wall stands a little past true.
    pub left_mm: f64,
    /// Plastic strain of the dent and of the way back.
    pub strain: Strains,
    /// The whole curve, without the letting go in between.
    pub curve: Vec<Reading>,
}

/// What a cycle of given ways came to ([`Experiment::cycle`]).
#[derive(Debug, Clone)]
pub struct Cycled {
    /// The outer ball's curve.
    pub way_in: Vec<Reading>,
    /// Depth left by it, mm.
    pub dented_mm: f64,
    /// The inner ball's curve, with every return to it.
    pub way_out: Vec<Reading>,
    /// For each way out the reading under load and the depth left, mm.
    pub tries: Vec<(Reading, f64)>,
}

impl Cycled {
    /// Greatest force on the way to true, and over-push, mm: between the two tries about true (straight between them). None where the
    /// tries do not come to both sides of true.
    #[must_use]
    pub fn to_true(&self) -> Option<(f64, f64)> {
        to_true(&self.tries)
    }
}

/// See [`Cycled::to_true`]; the force of a try is the greatest so far.
#[must_use]
pub fn to_true(tries: &[(Reading, f64)]) -> Option<(f64, f64)> {
    let mut most = 0.0_f64;
    for pair in tries.windows(2) {
        let ((a, left_a), (b, left_b)) = (pair[0], pair[1]);
        most = most.max(a.force_n);
        if left_a > 0.0 && left_b <= 0.0 {
            let w = left_a / (left_a - left_b);
            return Some((most.max(a.force_n + w * (b.force_n - a.force_n)), -(a.depth_mm + w * (b.depth_mm - a.depth_mm))));
        }
    }
    None
}

/// How near to true a push must end, as a part of the dent.
pub const TRUE_WITHIN: f64 = 0.01;

/// Greatest equivalent plastic strain (accumulated, J2), anywhere in the wall.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Strains {
    /// Added by the dent.
    pub dent: f64,
    /// Added by the way back, at the place where that is greatest.
    pub back: f64,
    /// Of both, at the place where their sum is greatest.
    pub both: f64,
}

/// A place on the way out: the state under the ball, and what was left when it was let go from there (none: not tried).
struct Place {
    state: State,
    y: f64,
    reading: Reading,
    left_mm: Option<f64>,
}

/// A tube ready for the ball.
pub struct Experiment {
    /// The finite-element model.
    pub model: Model,
    tube: Tube,
    fineness: Fineness,
    top_dof: usize,
    inner_top: usize,
    /// Part of the ball's stiffness that is used: 1, less where another solver cannot follow so stiff a contact.
    pub contact_part: f64,
    /// Load steps cut because Newton's method failed at their full size.
    pub cuts: usize,
    /// Newton turns of all steps that converged.
    pub turns: usize,
    /// Snaps passed ([`crate::model::Model::dashpot_n_mm`]).
    pub snaps: usize,
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

/// Degrees of freedom that symmetry and the hands hold ([`Hold::Held`]).
#[must_use]
pub fn held_round(mesh: &Mesh) -> Vec<usize> {
    let (along, around) = (2 * mesh.counts[0], 2 * mesh.counts[1]);
    let mut fixed: Vec<usize> = mesh.select(move |p| p[0] == along || p[1] == around).flat_map(|n| [3 * n, 3 * n + 1, 3 * n + 2]).collect();
    fixed.extend(mesh.select(|p| p[1] == 0).map(|n| 3 * n));
    fixed.extend(mesh.select(|p| p[0] == 0).map(|n| 3 * n + 2));
    fixed
}

/// Quarter of the tube with smaller elements towards the dent.
#[must_use]
pub fn mesh(tube: &Tube, f: &Fineness) -> Mesh {
    let d = tube.mean_diameter_mm;
    let z = graded(f.half_length * d, f.along, f.first * d);
    let end = match f.hold {
        Hold::Cradle => std::f64::consts::PI,
        Hold::Held => std::f64::consts::FRAC_PI_2,
    };
    let clock = graded(end, f.around, 2.0 * f.first);
    Mesh::half_tube(d / 2.0, tube.wall_mm, &z, &clock, f.layers)
}

/// Accumulated plastic strain on both surfaces of every column of integration points of every element.
fn surface(history: &[History], sub_layers: usize) -> Vec<f64> {
    // Order of the points: `element::rule`, four in the plane of the wall, then the next level.
    let levels = 2 * sub_layers;
    let at = crate::element::rule(sub_layers);
    let zeta = |level: usize| at[4 * level].0[2];
    let mut out = Vec::with_capacity(history.len() / levels * 2);
    for element in history.chunks(4 * levels) {
        for column in 0..4 {
            for (outer, next) in [(0, 1), (levels - 1, levels - 2)] {
                let (a, b) = (element[4 * outer + column].alpha, element[4 * next + column].alpha);
                let beyond = if sub_layers > 1 { (1.0 - zeta(outer).abs()) / (zeta(outer) - zeta(next)).abs() } else { 0.0 };
                out.push((a + beyond * (a - b)).max(a));
            }
        }
    }
    out
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
        let fixed = match fineness.hold {
            Hold::Cradle => held(&mesh),
            Hold::Held => held_round(&mesh),
        };
        let outer = 2 * fineness.layers;
        let find = |layer| mesh.lattice.iter().position(|p| *p == [0, 0, layer]).ok_or(Error::Inverted);
        let (top, inner_top) = (find(outer)?, find(0)?);
        let mut model = Model::new(mesh, tube.metal, fineness.sub_layers, &fixed)?;
        model.force_floor_n = 1e-3 * tube.metal.sigma0_n_mm2 * tube.wall_mm * tube.wall_mm;
        Ok(Self { model, tube, fineness, top_dof: 3 * top + 1, inner_top, contact_part: 1.0, cuts: 0, turns: 0, snaps: 0 })
    }

    /// Depth of the outer wall under the ball, mm.
    #[must_use]
    pub fn depth_mm(&self, state: &State) -> f64 {
        -state.u_mm[self.top_dof]
    }

    /// Peak plastic strains of a dent and its way back, on the wall's surface: the outermost two integration points of each column
    /// through the wall, drawn on in a straight line (with one pair of points: the point itself). The strain of bending is linear through
    /// the wall, so that the outermost point itself reads less, by a fifth where bending is all there is.
    #[must_use]
    pub fn strains(&self, dented: &State, back: &State) -> Strains {
        let mut most = Strains::default();
        let before = surface(&dented.history, self.fineness.sub_layers);
        let after = surface(&back.history, self.fineness.sub_layers);
        for (a, b) in before.into_iter().zip(after) {
            most.dent = most.dent.max(a);
            most.back = most.back.max(b - a);
            most.both = most.both.max(b);
        }
        most
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
        self.contact_part * self.tube.metal.e_n_mm2 / self.tube.wall_mm
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
                Ok(step) if goal == to => {
                    self.turns += step.turns;
                    return Ok(step);
                }
                Ok(step) => {
                    self.turns += step.turns;
                    at = goal;
                    part *= 1.5;
                }
                Err(e @ (Error::BadInput(_) | Error::Factorisation(_))) => return Err(e),
                Err(_) => {
                    part *= 0.5;
                    self.cuts += 1;
                    if part.abs() < 0.2 * (to - from).abs()
                        && let Some(step) = self.snap(state, &load)
                    {
                        if goal == to {
                            return Ok(step);
                        }
                        at = goal;
                        continue;
                    }
                    if part.abs() < 1e-3 * (to - from).abs() {
                        return Err(Error::NotConverged(format!("at depth {:.4} mm", self.depth_mm(state))));
                    }
                }
            }
        }
    }

    /// Lets the wall run to its next rest where it snaps (a thin wall's rim buckles and leaps): dashpots carry it there in steps of
    /// pseudo-time that grow, and the last step is taken without them, so that where it ends is an equilibrium.
    fn snap(&mut self, state: &mut State, load: &Load) -> Option<Step> {
        let mut at = state.clone();
        let mut now = load.clone();
        // A dashpot as stiff as the wall's dent itself, E t²/R: then a move of the ball alone is a good step.
        let stiff = self.tube.metal.e_n_mm2 * self.tube.wall_mm * self.tube.wall_mm / self.tube.mean_diameter_mm;
        let mut dashpot = 0.01 * stiff;
        let mut end = None;
        for _ in 0..14 {
            self.model.dashpot_n_mm = dashpot;
            if self.model.step(&mut at, &now).is_ok() {
                now.ball_moved_mm = [0.0; 3];
                dashpot *= 0.2;
                self.model.dashpot_n_mm = 0.0;
                if dashpot < 1e-3 * stiff
                    && let Ok(step) = self.model.step(&mut at, &now)
                {
                    end = Some(step);
                    break;
                }
            } else {
                dashpot *= 6.0;
            }
        }
        self.model.dashpot_n_mm = 0.0;
        self.snaps += usize::from(end.is_some());
        if end.is_some() {
            *state = at;
        }
        end
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
            // The last place from which too little is left, and the nearest from which too much is.
            let mut under = (state.clone(), y, curve.len());
            let mut over: Option<f64> = None;
            let mut tried_mm = 0.0;
            for turn in 0.. {
                let now = curve.last().copied().unwrap_or(Reading { depth_mm: 0.0, force_n: 0.0 });
                let mut missing = target - (now.depth_mm - if left { give * now.force_n } else { 0.0 });
                // A wall that snaps stops springing back all at once: its give is measured again after every half of the depth wanted.
                let leapt = left && now.depth_mm > target && now.depth_mm - tried_mm > 0.5 * target.max(2.0 * step_mm);
                if missing <= 1e-3 * target || leapt || over.is_some() {
                    let mut free = state.clone();
                    let residual_mm = self.let_go(&mut free, radius_mm, true, y, now.force_n)?;
                    give = (now.depth_mm - residual_mm) / now.force_n;
                    tried_mm = now.depth_mm;
                    // Too much: back, and half way, eight times at most (where what is left leaps, the upper side of the leap is it).
                    let tight = over.map_or(step_mm, |o| (under.1 - o).abs()) < 0.004 * step_mm;
                    if !left
                        || (0.92 * target..1.1 * target).contains(&residual_mm)
                        || (residual_mm >= 0.92 * target && (tight || turn > 400))
                    {
                        dents.push(Dented { loaded: now, residual_mm, state: free });
                        break;
                    }
                    if residual_mm < target {
                        under = (state.clone(), y, curve.len());
                    } else {
                        over = Some(y);
                    }
                    missing = target - residual_mm;
                }
                // A short first step: a ball just touching finds its patch of contact.
                let mut by = step_mm.min(missing.max(0.05 * step_mm)).min(if curve.is_empty() { 0.1 * step_mm } else { step_mm });
                if let Some(over) = over {
                    (state, y) = (under.0.clone(), under.1);
                    curve.truncate(under.2);
                    by = 0.5 * (y - over);
                }
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

    /// A cycle driven by the balls' ways alone, as another solver can be driven: the outer ball presses in by `in_mm` from first
    /// touch and is drawn back; the inner ball, whose way counts from where it would touch the wall before it was dented, goes to
    /// each of `out_mm` (rising) and is let go after each. Returns the curve of all that is under load, the depth left by the
    /// outer ball, and for each way out the reading and what was left.
    ///
    /// # Errors
    /// [`Error::NotConverged`] with the depth reached.
    pub fn cycle(&mut self, outer_radius_mm: f64, in_mm: f64, inner_radius_mm: f64, out_mm: &[f64], step_mm: f64) -> Result<Cycled, Error> {
        let mut state = self.model.rest();
        let drive = |x: &mut Self, state: &mut State, radius: f64, outside: bool, from: f64, to: f64| -> Result<Vec<Reading>, Error> {
            let parts = (f64::abs(to - from) / step_mm).ceil().max(1.0);
            let mut curve = Vec::new();
            for i in 0..parts as usize {
                let at = |k: usize| from + (to - from) * k as f64 / parts;
                let force = x.drive(state, radius, outside, at(i), at(i + 1))?.ball_n[1];
                curve.push(Reading { depth_mm: x.depth_mm(state), force_n: 4.0 * force.abs() });
            }
            Ok(curve)
        };
        let start = self.outside_touch_mm(outer_radius_mm);
        let way_in = drive(self, &mut state, outer_radius_mm, true, start, start - in_mm)?;
        let last = way_in.last().map_or(0.0, |r| r.force_n);
        let dented_mm = self.let_go(&mut state, outer_radius_mm, true, start - in_mm, last)?;
        let true_y = self.inside_touch_mm(inner_radius_mm);
        let mut at = true_y - dented_mm;
        let (mut way_out, mut tries) = (Vec::new(), Vec::new());
        for &to in out_mm {
            let curve = drive(self, &mut state, inner_radius_mm, false, at, true_y + to)?;
            let reading = curve.last().copied().unwrap_or(Reading { depth_mm: dented_mm, force_n: 0.0 });
            way_out.extend(curve);
            let mut free = state.clone();
            let left = self.let_go(&mut free, inner_radius_mm, false, true_y + to, reading.force_n)?;
            tries.push((reading, left));
            // It goes on from where it was let go, and touches again there.
            state = free;
            at = true_y - left - 0.002 * self.tube.mean_diameter_mm;
        }
        Ok(Cycled { way_in, dented_mm, way_out, tries })
    }

    /// Height of the centre of a ball that just touches the wall from inside before it is dented, mm.
    #[must_use]
    pub fn inside_touch_mm(&self, radius_mm: f64) -> f64 {
        self.tube.mean_diameter_mm / 2.0 - self.tube.wall_mm / 2.0 - radius_mm
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

    /// Pushes a dent out from inside with a ball until the wall springs back to true.
    ///
    /// True is verified by letting go: what is then left is within [`TRUE_WITHIN`] of the dent ([`PushedOut::left_mm`] says
    /// where it stands). The ball's travel is bracketed between a place from which a dent is left and one from which
    /// the wall stays past true, and the bracket is closed from its lower end, so that the wall is never worked back. The
    /// force is the greatest on the way.
    ///
    /// # Errors
    /// [`Error::NotConverged`] with the depth reached.
    pub fn push_out(&mut self, dent: &Dented, ball_radius_mm: f64, step_mm: f64) -> Result<PushedOut, Error> {
        if !(ball_radius_mm > 0.0 && step_mm > 0.0) {
            return Err(Error::BadInput("ball and step must be larger than nothing".into()));
        }
        let close = TRUE_WITHIN * dent.residual_mm;
        if dent.residual_mm.is_nan() || close <= 0.0 {
            return Err(Error::BadInput("there is no dent to push out".into()));
        }
        let d = self.tube.mean_diameter_mm;
        let inner = self.model.mesh.nodes[self.inner_top][1] + dent.state.u_mm[3 * self.inner_top + 1];
        // Every place on the way, the first the dent as it lies: from there something is left for certain, so that going back
        // ends there at the latest.
        let start = Place {
            state: dent.state.clone(),
            y: inner - ball_radius_mm,
            reading: Reading { depth_mm: dent.residual_mm, force_n: 0.0 },
            left_mm: Some(dent.residual_mm),
        };
        let mut way = vec![start];
        // Give of the wall on letting go, mm for each N: measured when the wall first stands at true, and again each time the over-push
        // has doubled or the wall seems to spring back to true, because a bulging wall stiffens.
        let (mut give, mut measure_at) = (0.0, 0.0);
        let (mut guess_before, mut by) = (f64::INFINITY, 0.1 * step_mm);
        let mut past = loop {
            let here = &mut way[..];
            let Some(now) = here.last_mut() else { return Err(Error::Inverted) };
            let (y, reading) = (now.y, now.reading);
            let mut guess = reading.depth_mm + give * reading.force_n;
            if guess <= close || reading.depth_mm < measure_at {
                let mut free = now.state.clone();
                let left = self.let_go(&mut free, ball_radius_mm, false, y, reading.force_n)?;
                if let Some(now) = way.last_mut() {
                    now.left_mm = Some(left);
                }
                if left.abs() <= close {
                    return Ok(self.stood_true(&way, &free, dent, left));
                }
                if left < 0.0 {
                    break (y, left);
                }
                give = if reading.force_n > 0.0 { ((left - reading.depth_mm) / reading.force_n).max(0.0) } else { 0.0 };
                (guess, guess_before) = (left, f64::INFINITY);
                measure_at = (2.0 * reading.depth_mm).min(-0.01 * d);
            }
            if reading.depth_mm < -0.3 * d {
                return Err(Error::NotConverged("the wall springs back from 0.3 diameters beyond true: no ball alone sets it".into()));
            }
            // By the slope last seen; where none is known, as if the wall followed the ball and its give did not grow, which falls short.
            let slope = (guess_before - guess) / by;
            if way.len() > 1 {
                by = if slope.is_finite() && slope > 0.0 { guess / slope } else { guess };
            }
            by = by.max(0.05 * step_mm).min(step_mm);
            guess_before = guess;
            self.go_on(&mut way, ball_radius_mm, by)?;
            if way.len() > 1000 {
                return Err(Error::NotConverged("on the way back to true".into()));
            }
        };
        // Close the bracket.
        for turn in 0..60 {
            // Back to a place from which something is left.
            let (low_y, low_left) = loop {
                let Some(low) = way.last() else { return Err(Error::Inverted) };
                let (y, reading) = (low.y, low.reading);
                let left = match low.left_mm {
                    Some(left) => left,
                    None => {
                        let mut free = low.state.clone();
                        let left = self.let_go(&mut free, ball_radius_mm, false, y, reading.force_n)?;
                        if left.abs() <= close {
                            return Ok(self.stood_true(&way, &free, dent, left));
                        }
                        if let Some(low) = way.last_mut() {
                            low.left_mm = Some(left);
                        }
                        left
                    }
                };
                if left > 0.0 {
                    break (y, left);
                }
                past = (y, left);
                way.pop();
            };
            let span = past.0 - low_y;
            if span < 1e-7 * d {
                return Err(Error::NotConverged(format!("the wall leaps from {low_left:.4} mm left to {:.4} mm past true", -past.1)));
            }
            // Secant, kept off the ends; every third turn the middle, so that a bent curve cannot hold one end for ever.
            let part = if turn % 3 == 2 { 0.5 } else { (low_left / (low_left - past.1)).clamp(0.05, 0.95) };
            self.go_on(&mut way, ball_radius_mm, part * span)?;
        }
        Err(Error::NotConverged("between left and past true".into()))
    }

    /// One step of the inner ball from the last place of the way.
    fn go_on(&mut self, way: &mut Vec<Place>, radius_mm: f64, by: f64) -> Result<(), Error> {
        let Some(last) = way.last() else { return Err(Error::Inverted) };
        let (mut state, y) = (last.state.clone(), last.y);
        let step = self.drive(&mut state, radius_mm, false, y, y + by)?;
        let reading = Reading { depth_mm: self.depth_mm(&state), force_n: 4.0 * step.ball_n[1] };
        way.push(Place { state, y: y + by, reading, left_mm: None });
        Ok(())
    }

    fn stood_true(&self, way: &[Place], free: &State, dent: &Dented, left_mm: f64) -> PushedOut {
        let curve: Vec<Reading> = way.iter().map(|p| p.reading).collect();
        PushedOut {
            force_n: curve.iter().map(|r| r.force_n).fold(0.0, f64::max),
            over_push_mm: -curve.last().map_or(0.0, |r| r.depth_mm),
            left_mm,
            strain: self.strains(&dent.state, free),
            curve,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn surface_strain_is_the_line_through_the_outer_points() {
        // α = 0.1 |ζ| at every point: 0.1 on both surfaces (closed form).
        for sub_layers in [2, 3] {
            let history: Vec<History> =
                crate::element::rule(sub_layers).iter().map(|(x, _)| History { alpha: 0.1 * x[2].abs(), ..History::default() }).collect();
            assert!(surface(&history, sub_layers).iter().all(|a| (a - 0.1).abs() < 1e-12));
        }
        // One pair has no second point on its side: the point itself.
        let one = vec![History { alpha: 0.03, ..History::default() }; 8];
        assert!(surface(&one, 1).iter().all(|a| *a == 0.03));
    }

    #[test]
    fn true_lies_between_two_tries() {
        let at = |depth_mm: f64, force_n: f64| Reading { depth_mm, force_n };
        let tries = [(at(0.0, 90.0), 0.4), (at(-0.4, 80.0), 0.1), (at(-0.8, 120.0), -0.1)];
        let (force, over) = to_true(&tries).unwrap();
        assert!((force - 100.0).abs() < 1e-9 && (over - 0.6).abs() < 1e-9);
        assert_eq!(to_true(&tries[..2]), None);
    }
}
