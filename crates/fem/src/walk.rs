//! A tool that moves: a ball inside walks over a dent in strokes, from the dent's rim inwards, pass after pass, until the
//! wall stands true when let go.
//!
//! At each place the ball goes out until the wall there, let go, is left the wanted lift further out; then it is drawn back
//! and set to the next place. Places lie on the dent's line along the tube ([`Walk::walk`]), or beside it as well
//! ([`Walk::walk_round`]): there the plane of symmetry leads a second ball on the other side. The half model (plane of symmetry through axis
//! and dent) leads one ball; the quarter model leads two, mirrored in the dent's middle plane, which become one there:
//! half the cost, and docs/validation.md says what it changes.

use crate::Error;
use crate::contact::Ball;
use crate::mesh::{Mesh, graded};
use crate::model::{Load, Model, State};
use crate::tube::Tube;

/// What carries the tube against the push of the tool; all along its length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hold {
    /// The line opposite the dent cannot move up or down: a tube in the hands against a rod, or lying on the bench. The round may
    /// ovalise.
    Opposite,
    /// Lines on both sides at this clock (radians from the dent) cannot move up or down: the reaction taken beside the dent,
    /// by a mandrel that fills the bore, or by the hammer or roller that works against a stake.
    Beside(f64),
    /// The half of the section that faces away, and all that lies more than a diameter from the dent, stands fast, as in
    /// [`crate::tube::Hold::Held`]: a bell held round.
    Round,
}

/// Cuts of the mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// Size of the even elements that the tool walks over, as part of the mean diameter.
    pub fine: f64,
    /// Number of even elements on each side of the dent's middle.
    pub fine_count: usize,
    /// Growing elements from there to the end.
    pub coarse_count: usize,
    /// Elements round the half circle.
    pub around: usize,
    /// Half length, in mean diameters.
    pub half_length: f64,
    /// Pairs of integration points through the wall.
    pub sub_layers: usize,
    /// Elements through the wall.
    pub layers: usize,
    /// The whole length instead of half of it.
    pub whole_length: bool,
}

impl Cut {
    /// The mesh of the runs behind `dent::stroke`.
    pub const RUNS: Self =
        Self { fine: 0.06, fine_count: 9, coarse_count: 3, around: 9, half_length: 2.2, sub_layers: 2, layers: 1, whole_length: false };
}

/// What a pass does at each place, from the rim inwards.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// Every place that is not yet true is lifted by the pass's lift: the rim comes true first.
    RimFirst,
    /// The dent keeps its form and grows shallower by the pass's lift at its middle.
    Even,
}

/// One stroke of the tool.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Record {
    /// Pass it belongs to, from 1.
    pub pass: usize,
    /// Place along the tube from the dent's middle, mm.
    pub place_mm: f64,
    /// Place round the tube from the dent's line, radians.
    pub clock_rad: f64,
    /// Highest place of the ball's centre, mm over the tube's axis (along the radius at its clock).
    pub centre_y_mm: f64,
    /// Radial force of the ball there, N.
    pub radial_n: f64,
    /// Force along the tube that holds the ball there, N, towards the dent's middle positive: from the contact's normals, no
    /// friction.
    pub axial_n: f64,
    /// Depth at that place before, mm.
    pub before_mm: f64,
    /// Depth under load, mm.
    pub loaded_mm: f64,
    /// Depth left when let go, mm.
    pub left_mm: f64,
}

/// A place on the wall.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Spot {
    /// Along the tube from the dent's middle, mm.
    along_mm: f64,
    /// Round the tube from the dent's line, radians.
    clock_rad: f64,
}

impl Spot {
    /// On the dent's line.
    fn line(along_mm: f64) -> Self {
        Self { along_mm, clock_rad: 0.0 }
    }

    /// Outwards there, across the tube.
    fn outwards(self) -> [f64; 2] {
        let (sin, cos) = self.clock_rad.sin_cos();
        [sin, cos]
    }
}

/// A tube on which a tool walks.
pub struct Walk {
    /// The finite-element model.
    pub model: Model,
    tube: Tube,
    cut: Cut,
    /// Outer and inner node of each station of the dent's line, with its place.
    line: Vec<(f64, usize, usize)>,
    /// Every node of the outside with its place along and its clock before any load.
    skin: Vec<(f64, f64, usize)>,
    /// Load steps cut because Newton's method failed at their full size.
    pub cuts: usize,
    /// Times that the wall found no equilibrium when the ball was taken away at once.
    pub stuck: usize,
    /// Newton turns in all.
    pub turns: usize,
}

/// Mesh of the tube, whole length or half.
#[must_use]
pub fn mesh(tube: &Tube, cut: &Cut) -> Mesh {
    let d = tube.mean_diameter_mm;
    let even = cut.fine * cut.fine_count as f64 * d;
    let mut half: Vec<f64> = (0..=cut.fine_count).map(|i| cut.fine * i as f64 * d).collect();
    half.extend(graded(cut.half_length * d - even, cut.coarse_count, 1.4 * cut.fine * d).iter().skip(1).map(|z| even + z));
    let mut z: Vec<f64> = if cut.whole_length { half.iter().rev().map(|z| -z).take(half.len() - 1).collect() } else { vec![] };
    z.extend(half);
    let clock = graded(std::f64::consts::PI, cut.around, 2.0 * cut.fine);
    Mesh::half_tube(d / 2.0, tube.wall_mm, &z, &clock, cut.layers)
}

/// Degrees of freedom that symmetry and the hold take.
#[must_use]
pub fn held(mesh: &Mesh, hold: Hold, whole_length: bool) -> Vec<usize> {
    let (around, outer) = (2 * mesh.counts[1], 2 * mesh.counts[2]);
    let mut fixed: Vec<usize> = mesh.select(move |p| p[1] == 0 || p[1] == around).map(|n| 3 * n).collect();
    let line = match hold {
        Hold::Round => {
            let d = 2.0 * mesh.nodes.iter().map(|p| p[0].hypot(p[1])).fold(0.0, f64::max);
            let away = |n: &usize| mesh.nodes[*n][1] <= 1e-9 * d || mesh.nodes[*n][2].abs() >= d;
            fixed.extend((0..mesh.nodes.len()).filter(away).flat_map(|n| [3 * n, 3 * n + 1, 3 * n + 2]));
            if !whole_length {
                fixed.extend(mesh.select(|p| p[0] == 0).map(|n| 3 * n + 2));
            }
            fixed.sort_unstable();
            fixed.dedup();
            return fixed;
        }
        Hold::Opposite => around,
        Hold::Beside(clock) => {
            // The line of corner nodes next to that clock.
            let of = |n: usize| mesh.nodes[n][0].atan2(mesh.nodes[n][1]);
            mesh.select(|p| p[0] == 0 && p[2] == outer && p[1] % 2 == 0)
                .min_by(|a, b| (of(*a) - clock).abs().total_cmp(&(of(*b) - clock).abs()))
                .map_or(around, |n| mesh.lattice[n][1])
        }
    };
    fixed.extend(mesh.select(move |p| p[1] == line && p[2] == outer).map(|n| 3 * n + 1));
    if whole_length {
        // Nothing along the tube holds it; one node does.
        let middle = mesh.counts[0];
        fixed.extend(mesh.select(move |p| p[0] == middle && p[1] == around && p[2] == outer).map(|n| 3 * n + 2));
    } else {
        fixed.extend(mesh.select(|p| p[0] == 0).map(|n| 3 * n + 2));
    }
    fixed.sort_unstable();
    fixed.dedup();
    fixed
}

/// Where the ball is to leave the wall, and in what steps it goes there.
#[derive(Debug, Clone, Copy)]
struct Aim {
    target_mm: f64,
    step_mm: f64,
    /// Ball's centre up to where the wall is known to give elastically only.
    known_y_mm: Option<f64>,
    /// Springback for each newton as last seen there, mm/N.
    give: Option<f64>,
    close_mm: f64,
}

impl Walk {
    /// Builds the model.
    ///
    /// # Errors
    /// [`Error::BadInput`] where tube or mesh make no sense.
    pub fn new(tube: Tube, cut: Cut, hold: Hold) -> Result<Self, Error> {
        let m = tube.metal;
        let positive = [tube.mean_diameter_mm, tube.wall_mm, m.e_n_mm2, m.sigma0_n_mm2, m.eps0, cut.fine];
        let even = cut.fine * cut.fine_count as f64;
        if positive.iter().any(|v| !(v.is_finite() && *v > 0.0)) || tube.wall_mm > 0.2 * tube.mean_diameter_mm {
            return Err(Error::BadInput("diameter, wall (at most a fifth of it), metal and mesh sizes must be positive".into()));
        }
        if cut.fine_count == 0 || cut.coarse_count == 0 || cut.around == 0 || cut.layers == 0 || !(cut.half_length > even) {
            return Err(Error::BadInput("the mesh needs elements each way and ends beyond its fine part".into()));
        }
        let mesh = mesh(&tube, &cut);
        let fixed = held(&mesh, hold, cut.whole_length);
        let outer = 2 * cut.layers;
        let mut line: Vec<(f64, usize, usize)> = mesh
            .select(|p| p[1] == 0 && p[2] == outer)
            .filter_map(|n| {
                let at = mesh.lattice[n];
                let inner = mesh.lattice.iter().position(|p| p[0] == at[0] && p[1] == 0 && p[2] == 0)?;
                Some((mesh.nodes[n][2], n, inner))
            })
            .collect();
        line.sort_by(|a, b| a.0.total_cmp(&b.0));
        let clock = |p: [f64; 3]| p[0].atan2(p[1]);
        let skin = mesh.select(|p| p[2] == outer).map(|n| (mesh.nodes[n][2], clock(mesh.nodes[n]), n)).collect();
        let mut model = Model::new(mesh, tube.metal, cut.sub_layers, &fixed)?;
        model.force_floor_n = 1e-3 * tube.metal.sigma0_n_mm2 * tube.wall_mm * tube.wall_mm;
        // A step that has not settled by then seldom does; half of it costs less than waiting.
        model.most_turns = 13;
        Ok(Self { model, tube, cut, line, skin, cuts: 0, stuck: 0, turns: 0 })
    }

    /// σ₀t², N.
    #[must_use]
    pub fn unit_n(&self) -> f64 {
        self.tube.metal.sigma0_n_mm2 * self.tube.wall_mm * self.tube.wall_mm
    }

    /// Pressure for each mm of overlap, N/mm³ (as in [`crate::tube`]).
    #[must_use]
    pub fn contact_stiffness_n_mm3(&self) -> f64 {
        self.tube.metal.e_n_mm2 / self.tube.wall_mm
    }

    /// Station of the line nearest to `place_mm`.
    fn station(&self, place_mm: f64) -> (f64, usize, usize) {
        // The line has at least three stations: `new` refuses a mesh without elements.
        self.line.iter().copied().min_by(|a, b| (a.0 - place_mm).abs().total_cmp(&(b.0 - place_mm).abs())).unwrap_or((0.0, 0, 0))
    }

    /// Depth of the outer wall on the dent's line, mm.
    #[must_use]
    pub fn depth_mm(&self, state: &State, place_mm: f64) -> f64 {
        -state.u_mm[3 * self.station(place_mm).1 + 1]
    }

    /// Node of the outside nearest to a place.
    fn node(&self, at: Spot) -> (f64, f64, usize) {
        let r = 0.5 * self.tube.mean_diameter_mm;
        let away = |s: &(f64, f64, usize)| (s.0 - at.along_mm).hypot(r * (s.1 - at.clock_rad));
        // The outside has nodes: `new` refuses a mesh without elements.
        self.skin.iter().copied().min_by(|a, b| away(a).total_cmp(&away(b))).unwrap_or((0.0, 0.0, 0))
    }

    /// Depth of the outer wall at a place beside the dent's line, mm, along the radius there.
    fn depth_at(&self, state: &State, at: Spot) -> f64 {
        let n = self.node(at).2;
        let e = at.outwards();
        -(state.u_mm[3 * n] * e[0] + state.u_mm[3 * n + 1] * e[1])
    }

    /// Node on the outside of the dent's line nearest to a place.
    #[must_use]
    pub fn probe(&self, place_mm: f64) -> usize {
        self.station(place_mm).1
    }

    /// The dent's line: place and depth, mm.
    #[must_use]
    pub fn profile(&self, state: &State) -> Vec<(f64, f64)> {
        self.line.iter().map(|(z, n, _)| (*z, -state.u_mm[3 * n + 1])).collect()
    }

    /// Force on the whole tube for each newton on the piece that is modelled.
    fn whole(&self, at: Spot) -> f64 {
        let along = if self.cut.whole_length || at.along_mm > 1e-9 { 1.0 } else { 2.0 };
        along * if at.clock_rad > 1e-9 { 1.0 } else { 2.0 }
    }

    /// Height of the centre of a ball that just touches the wall's nodes, from inside or outside, mm.
    #[must_use]
    pub fn touch_mm(&self, state: &State, place_mm: f64, radius_mm: f64, outside: bool) -> f64 {
        self.touch_at(state, Spot::line(place_mm), radius_mm, outside)
    }

    fn touch_at(&self, state: &State, at: Spot, radius_mm: f64, outside: bool) -> f64 {
        let e = at.outwards();
        let around = self.model.mesh.counts[1];
        let layer = if outside { 2 * self.cut.layers } else { 0 };
        let mut y: Option<f64> = None;
        for n in self.model.mesh.select(move |p| p[2] == layer && p[1] <= around) {
            let p: [f64; 3] = std::array::from_fn(|k| self.model.mesh.nodes[n][k] + state.u_mm[3 * n + k]);
            let (out, side) = (p[0] * e[0] + p[1] * e[1], p[0] * e[1] - p[1] * e[0]);
            let rest = radius_mm * radius_mm - side * side - (p[2] - at.along_mm).powi(2);
            if rest > 0.0 && out > 0.0 {
                let here = out + if outside { rest.sqrt() } else { -rest.sqrt() };
                y = Some(y.map_or(here, |v: f64| if outside { v.max(here) } else { v.min(here) }));
            }
        }
        y.unwrap_or(0.0)
    }

    /// Moves the ball's centre in the plane of symmetry from `from` to `to` (y, z), halving where Newton's method fails; returns
    /// the force of the ball on the whole tube, y and z.
    pub fn lead(&mut self, state: &mut State, radius_mm: f64, outside: bool, from: [f64; 2], to: [f64; 2]) -> Result<[f64; 2], Error> {
        self.lead_at(state, radius_mm, outside, 0.0, from, to)
    }

    fn lead_at(
        &mut self,
        state: &mut State,
        radius_mm: f64,
        outside: bool,
        clock_rad: f64,
        from: [f64; 2],
        to: [f64; 2],
    ) -> Result<[f64; 2], Error> {
        let spot = Spot { along_mm: to[1], clock_rad };
        let e = spot.outwards();
        let (mut done, mut part) = (0.0_f64, 1.0_f64);
        loop {
            let goal = (done + part).min(1.0);
            let at = |s: f64| {
                let out = from[0] + s * (to[0] - from[0]);
                [out * e[0], out * e[1], from[1] + s * (to[1] - from[1])]
            };
            let (old, centre_mm) = (at(done), at(goal));
            let ball = Ball { centre_mm, radius_mm, stiffness_n_mm3: self.contact_stiffness_n_mm3() };
            let ball_moved_mm = std::array::from_fn(|k| centre_mm[k] - old[k]);
            match self.model.step(state, &Load { ball: Some((ball, outside)), ball_moved_mm, ..Load::default() }) {
                Ok(step) => {
                    self.turns += step.turns;
                    if goal >= 1.0 {
                        let whole = self.whole(spot);
                        let radial_n = step.ball_n[0] * e[0] + step.ball_n[1] * e[1];
                        // In the plane of symmetry the other half takes up what is pushed aside.
                        return Ok([whole * if clock_rad > 1e-9 { radial_n } else { step.ball_n[1] }, whole * step.ball_n[2]]);
                    }
                    done = goal;
                    part *= 1.5;
                }
                Err(e @ (Error::BadInput(_) | Error::Factorisation(_))) => return Err(e),
                Err(_) => {
                    self.turns += self.model.most_turns;
                    self.cuts += 1;
                    part *= 0.5;
                    if part < 4e-3 {
                        return Err(Error::NotConverged(format!(
                            "at place {:.3} mm, clock {clock_rad:.3}, depth {:.4} mm",
                            to[1],
                            self.depth_at(state, spot)
                        )));
                    }
                }
            }
        }
    }

    /// Takes the ball away: at once, or where that finds no equilibrium after it has been drawn back some way.
    pub fn let_go(&mut self, state: &mut State, radius_mm: f64, outside: bool, at: [f64; 2]) -> Result<(), Error> {
        self.let_go_at(state, radius_mm, outside, 0.0, at)
    }

    fn let_go_at(&mut self, state: &mut State, radius_mm: f64, outside: bool, clock_rad: f64, at: [f64; 2]) -> Result<(), Error> {
        let mut y = at[0];
        let mut by = if outside { 0.006 } else { -0.006 } * self.tube.mean_diameter_mm;
        for _ in 0..30 {
            let most = std::mem::replace(&mut self.model.most_turns, 16);
            let free = self.model.step(state, &Load::default());
            self.model.most_turns = most;
            if let Ok(step) = free {
                self.turns += step.turns;
                return Ok(());
            }
            self.turns += 16;
            self.stuck += 1;
            self.lead_at(state, radius_mm, outside, clock_rad, [y, at[1]], [y + by, at[1]])?;
            y += by;
            by *= 1.5;
        }
        Err(Error::NotConverged("while the ball was drawn back".into()))
    }

    /// Goes out (or in) until the wall, let go, is left at the target, and lets go. The wall is let go on trial where its
    /// give, as last seen at that place, says that the target is near; a step that went too far is taken again in part.
    fn stroke(&mut self, state: &mut State, at: Spot, radius_mm: f64, outside: bool, aim: Aim) -> Result<(Record, f64), Error> {
        let sign = if outside { -1.0 } else { 1.0 };
        let d = self.tube.mean_diameter_mm;
        let (place_mm, clock_rad) = (at.along_mm, at.clock_rad);
        let before_mm = self.depth_at(state, at);
        let start = self.touch_at(state, at, radius_mm, outside) - sign * 1e-3 * d;
        let missing = |left: f64| sign * (left - aim.target_mm);
        let (close, whole) = (aim.close_mm, missing(before_mm));
        let mut give = aim.give;
        let mut y = start;
        let mut loaded_state = state.clone();
        // Missing at the last place kept.
        let mut last = whole;
        let mut by = aim.known_y_mm.map_or(0.5 * aim.step_mm, |known| (0.9 * sign * (known - start)).max(0.5 * aim.step_mm));
        let mut most = aim.step_mm;
        for _ in 0..300 {
            let kept = (loaded_state.clone(), y);
            let force = self.lead_at(&mut loaded_state, radius_mm, outside, clock_rad, [y, place_mm], [y + sign * by, place_mm])?;
            y += sign * by;
            let loaded_mm = self.depth_at(&loaded_state, at);
            if !outside && loaded_mm < -0.3 * d {
                return Err(Error::NotConverged("the wall springs back from 0.3 diameters beyond true: no ball alone sets it".into()));
            }
            let radial_n = sign * force[0];
            let guess = give.map(|g| missing(loaded_mm + sign * g * radial_n));
            let now = match guess {
                Some(g) if g > (0.25 * whole).max(2.0 * close) => g,
                _ => {
                    let mut free = loaded_state.clone();
                    self.let_go_at(&mut free, radius_mm, outside, clock_rad, [y, place_mm])?;
                    let left_mm = self.depth_at(&free, at);
                    let now = missing(left_mm);
                    if radial_n > 0.0 {
                        give = Some((sign * (left_mm - loaded_mm) / radial_n).max(0.0));
                    }
                    if now.abs() <= close || (now < 0.0 && by < 1e-5 * d) {
                        *state = free;
                        // What leads the ball: on a flank the wall drives it out of the dent.
                        let axial_n = if place_mm > 1e-9 {
                            -force[1]
                        } else if place_mm < -1e-9 || self.cut.whole_length {
                            force[1]
                        } else {
                            // In the plane of symmetry the other half's push takes it up.
                            0.0
                        };
                        let record =
                            Record { pass: 0, place_mm, clock_rad, centre_y_mm: y, radial_n, axial_n, before_mm, loaded_mm, left_mm };
                        return Ok((record, give.unwrap_or(0.0)));
                    }
                    now
                }
            };
            if now < -close {
                // Too far: again from the place before, where the line through both says.
                (loaded_state, y) = kept;
                by *= (last / (last - now)).clamp(0.1, 0.8);
                most = by;
                continue;
            }
            let rate = (last - now) / by;
            by = if rate > 0.02 { (now / rate).min(most) } else { most }.max(0.02 * aim.step_mm);
            last = now;
        }
        Err(Error::NotConverged(format!("at place {place_mm:.3} mm on the way to {:.4} mm", aim.target_mm)))
    }

    /// Dents the tube from outside with a ball at the middle until about `depth_mm` is left (within 5 %), and lets go.
    ///
    /// # Errors
    /// [`Error::NotConverged`] with the depth reached.
    pub fn dent(&mut self, radius_mm: f64, depth_mm: f64, step_mm: f64) -> Result<(Record, State), Error> {
        let mut state = self.model.rest();
        let aim = Aim { target_mm: depth_mm, step_mm, known_y_mm: None, close_mm: 0.01 * depth_mm, give: None };
        let (record, _) = self.stroke(&mut state, Spot::line(0.0), radius_mm, true, aim)?;
        Ok((record, state))
    }

    /// Pushes at the middle that leave these parts of the dent in turn; `&[0.0]` is the one push to true (within 0.5 % of the
    /// dent when let go).
    ///
    /// # Errors
    /// [`Error::NotConverged`] with the depth reached.
    pub fn push(&mut self, state: &mut State, radius_mm: f64, leave: &[f64], step_mm: f64) -> Result<Vec<Record>, Error> {
        let depth = self.depth_mm(state, 0.0);
        let (mut known_y_mm, mut give, mut all) = (None, None, Vec::<Record>::new());
        for part in leave {
            let aim = Aim { target_mm: part * depth, step_mm, known_y_mm, close_mm: 0.005 * depth, give };
            let (mut record, g) = self.stroke(state, Spot::line(0.0), radius_mm, false, aim)?;
            record.pass = all.len() + 1;
            (known_y_mm, give) = (Some(record.centre_y_mm), Some(g));
            all.push(record);
        }
        Ok(all)
    }

    /// Pushes at the middle `times` times with the same force.
    ///
    /// # Errors
    /// [`Error::NotConverged`] with the depth reached.
    pub fn same_push(&mut self, state: &mut State, radius_mm: f64, force_n: f64, times: usize) -> Result<Vec<Record>, Error> {
        let mut all = Vec::new();
        for pass in 1..=times {
            // Bisection-free: small steps up to the force; the last step overshoots by a few per cent at most.
            let mut y = self.touch_mm(state, 0.0, radius_mm, false) - 1e-3 * self.tube.mean_diameter_mm;
            let before_mm = self.depth_mm(state, 0.0);
            let mut by = 1e-3 * self.tube.mean_diameter_mm;
            let (mut f, mut force) = (0.0, [0.0; 2]);
            for _ in 0..60 {
                force = self.lead(state, radius_mm, false, [y, 0.0], [y + by, 0.0])?;
                y += by;
                let slope = (force[0] - f) / by;
                f = force[0];
                if f >= 0.99 * force_n {
                    break;
                }
                by = if slope > 0.0 { ((force_n - f) / slope).clamp(1e-5, 4e-3 * self.tube.mean_diameter_mm) } else { by };
            }
            let loaded_mm = self.depth_mm(state, 0.0);
            self.let_go(state, radius_mm, false, [y, 0.0])?;
            let left_mm = self.depth_mm(state, 0.0);
            all.push(Record {
                pass,
                place_mm: 0.0,
                clock_rad: 0.0,
                centre_y_mm: y,
                radial_n: f,
                axial_n: force[1],
                before_mm,
                loaded_mm,
                left_mm,
            });
        }
        Ok(all)
    }

    /// Walks the ball over the dent until every place stands within `close` of its depth when let go, in passes from the rim
    /// inwards. `pitch_mm` is the way from place to place.
    ///
    /// # Errors
    /// [`Error::NotConverged`] with the place and depth reached.
    pub fn walk(
        &mut self,
        state: &mut State,
        radius_mm: f64,
        order: Order,
        lift_mm: f64,
        pitch_mm: f64,
        close: f64,
    ) -> Result<Vec<Record>, Error> {
        self.walk_round(state, radius_mm, order, lift_mm, pitch_mm, &[0.0], close)
    }

    /// The same also on lines beside the dent's own, at these clocks (radians, the first of them 0).
    ///
    /// # Errors
    /// [`Error::NotConverged`] with the place and depth reached.
    #[allow(clippy::too_many_arguments)]
    pub fn walk_round(
        &mut self,
        state: &mut State,
        radius_mm: f64,
        order: Order,
        lift_mm: f64,
        pitch_mm: f64,
        clocks: &[f64],
        close: f64,
    ) -> Result<Vec<Record>, Error> {
        let deepest = self.depth_mm(state, 0.0);
        let end = self.cut.fine * self.cut.fine_count as f64 * self.tube.mean_diameter_mm;
        let count = (end / pitch_mm).floor() as i64;
        let mut places: Vec<Spot> = Vec::new();
        for i in (0..=count).rev() {
            for clock in clocks.iter().rev() {
                let (along_mm, clock_rad, _) = self.node(Spot { along_mm: i as f64 * pitch_mm, clock_rad: *clock });
                places.push(Spot { along_mm, clock_rad });
                if self.cut.whole_length && i > 0 {
                    places.push(Spot { along_mm: -along_mm, clock_rad });
                }
            }
        }
        // The rim is where a tenth of the depth is left.
        let found = state.clone();
        places.retain(|at| self.depth_at(&found, *at) > 0.1 * deepest);
        if clocks.len() > 1 {
            places.sort_by(|a, b| self.depth_at(&found, *a).total_cmp(&self.depth_at(&found, *b)));
        }
        let tolerance = close * deepest;
        let mut memory: Vec<(Option<f64>, Option<f64>)> = vec![(None, None); places.len()];
        let mut all = Vec::new();
        let most_passes = (3.0 * deepest / lift_mm).ceil() as usize + 6;
        for pass in 1..=most_passes {
            let mut touched = false;
            for (i, at) in places.iter().enumerate() {
                let depth = self.depth_at(state, *at);
                let target_mm = match order {
                    Order::RimFirst => (depth - lift_mm).max(0.0),
                    Order::Even => self.depth_at(&found, *at) * (1.0 - pass as f64 * lift_mm / deepest).max(0.0),
                };
                if depth <= target_mm + tolerance {
                    // Even passes that find nothing to do still bring the target nearer.
                    touched |= order == Order::Even && target_mm > tolerance;
                    continue;
                }
                touched = true;
                let aim = Aim {
                    target_mm,
                    step_mm: lift_mm.clamp(4e-3 * self.tube.mean_diameter_mm, 0.02 * self.tube.mean_diameter_mm),
                    known_y_mm: memory[i].0,
                    give: memory[i].1,
                    close_mm: 0.12 * (depth - target_mm),
                };
                let (mut record, g) = self.stroke(state, *at, radius_mm, false, aim)?;
                record.pass = pass;
                memory[i] = (Some(record.centre_y_mm), Some(g));
                all.push(record);
            }
            if !touched {
                return Ok(all);
            }
        }
        Err(Error::NotConverged(format!("the dent is not true after {most_passes} passes")))
    }
}
