//! From the input values to every number of an assessment, once through.

use crate::force::{self, Force};
use crate::inputs::{self, By, COUNT, Inputs};
use crate::spring::{Bent, Springs};
use crate::strain::{Field, Place, Sample};
use crate::{geometry, strain, wall_strain};
use instrument::Direction;
use metal::springback;
use metal::{Alloy, Curve, Temper, Value, ductility};
use units::Source;

/// Source of the accumulated strain.
pub const ACCUMULATED: Source = Source::closed_form(
    "accumulated equivalent plastic strain: forming (2/√3 · temper steps · 0.116) + dent + way back (reverse bending with over-push)",
);

/// Surface strain that one pass may take, so that the wall can be watched. Common practice, no source.
const STRAIN_A_PASS: f64 = 0.04;
/// What is left of a dent when it counts as out, mm: what a straightedge and light still show. Common practice, no source.
const WANTED_MM: f64 = 0.1;

/// What stays the same while the inputs vary.
pub struct Case<'a> {
    /// The inputs (how depth and widths were come by).
    pub inputs: &'a Inputs,
    /// Alloy.
    pub alloy: Alloy,
    /// Section along the axis.
    pub along: &'a [Sample],
    /// Section round the tube.
    pub across: &'a [Sample],
    /// Means of f and f² over the width round the tube.
    pub means: (f64, f64),
    /// Whether there is a fold line or a measured edge, and how it lies.
    pub fold: Option<Fold>,
    /// The hardness was measured at the dent: the temper holds the dent's own work already.
    pub hardness_at_dent: bool,
    /// How far a crack or a hole lies from the dent's middle along the tube, mm; 0 its own; none where there is none.
    pub crack_mm: Option<f64>,
    /// Whether the rolling direction is known to lie along the tube (a drawn tube). In a spun or hammered bell it is not: the bad way
    /// counts for both.
    pub drawn: bool,
}

/// The sharpest line of the dent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fold {
    /// A crease that lies in this direction.
    Crease(Direction),
    /// An edge whose radius was measured; it is taken to bend the way in which the dent is tighter.
    Edge,
}

/// Where the effective strain is greatest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Worst {
    /// A place of the smooth surface.
    Surface(Place),
    /// The fold.
    Fold,
}

/// Every number of an assessment.
#[derive(Clone, Copy, Debug)]
pub struct Out {
    pub depth_mm: f64,
    pub across_mm: f64,
    pub along_mm: f64,
    pub depth_over_diameter: f64,
    /// 1/R₁ at the sharpest place round the tube, 1/mm.
    pub curvature_now_across: f64,
    /// 1/|R₂|, 1/mm.
    pub curvature_now_along: f64,
    pub sharpness: f64,
    pub passage_mm: f64,
    pub area_left: f64,
    pub strain_across: f64,
    pub strain_along: f64,
    pub strain_membrane: f64,
    pub effective: f64,
    /// The same by the closed form alone.
    pub closed: f64,
    pub worst: Worst,
    pub forming: f64,
    /// Strain of the dent, of earlier work and of the way back, so far as the temper does not hold it already.
    pub spent: f64,
    /// Strain of the way back alone.
    pub back: f64,
    /// Mean strain that the metal bears at this temper, and its standard deviation.
    pub capacity: f64,
    pub capacity_sd: f64,
    pub overpush_mm: f64,
    /// Over-push by bending of the wall alone, mm.
    pub bending_mm: f64,
    pub passes: f64,
    pub force_n: f64,
    /// What the force was asked with.
    pub inside: force::Inside,
    /// The force before its doubts, and how well the table covers it.
    pub force: Force,
    /// Strain against compression counted by its weight: what a crack on the outside sees.
    pub harm: f64,
    /// How much more strain a stopped crack or a hole sees than the worst place of the sound wall, 1 where none is near.
    pub concentration: f64,
    /// What kind of strain it is.
    pub kind: ductility::Kind,
}

/// What the wall asks of the tool.
#[derive(Clone, Copy, Debug)]
pub struct Pushed {
    /// Force from inside, N.
    pub force_n: f64,
    /// How far past true, mm.
    pub overpush_mm: f64,
    /// What the force was asked with.
    pub inside: force::Inside,
    /// The force before its doubts, and how well the table covers it.
    pub force: Force,
}

/// What a run at the best estimates found and the runs around it can use again.
#[derive(Clone, Copy, Debug)]
pub struct Found {
    worst: Worst,
    springs: Springs,
    temper: Temper,
    curve: Curve,
    capacity: Value,
    kind: ductility::Kind,
}

/// Depth and widths, mm, from the inputs.
fn size(x: &[f64; COUNT], inputs: &Inputs, diameter: f64) -> (f64, f64, f64) {
    let given = |input: usize| x[input].max(1e-3);
    let along_given = (inputs.along_by == By::Itself).then(|| given(inputs::ALONG));
    let across_known = match (inputs.across_by, along_given) {
        (By::Itself, _) => Some(given(inputs::ACROSS)),
        (By::OtherWidth, Some(along)) => Some(along / given(inputs::ACROSS)),
        _ => None,
    };
    let depth = match (inputs.depth_by, across_known) {
        (By::Itself, _) => given(inputs::DEPTH),
        (By::Width, Some(w)) => {
            // The segment's own depth: chord c gives d = D/2 − √(D²/4 − c²/4).
            let chord = (w / inputs::chord_ratio()).min(diameter);
            given(inputs::DEPTH) * (diameter - (diameter * diameter - chord * chord).max(0.0).sqrt()) / 2.0
        }
        _ => given(inputs::DEPTH) * diameter,
    }
    .clamp(1e-3, diameter);
    let widest = geometry::WIDEST_PART * std::f64::consts::PI * diameter;
    let across = across_known.unwrap_or_else(|| given(inputs::ACROSS) * geometry::chord_mm(depth, diameter)).clamp(0.2, widest.max(0.2));
    let along = along_given.unwrap_or_else(|| given(inputs::ALONG) * across).max(0.2);
    (depth, across, along)
}

/// Wall and bore, mm, within what an instrument can have.
fn walls(x: &[f64; COUNT]) -> (f64, f64) {
    (x[inputs::WALL].clamp(0.02, 20.0), x[inputs::BORE].clamp(0.5, 5_000.0))
}

/// Temper and strength over the table's, within what the tables hold.
fn metal_of(x: &[f64; COUNT]) -> (Temper, f64) {
    (Temper(x[inputs::TEMPER].clamp(0.0, 8.0)), x[inputs::STRENGTH].clamp(0.2, 5.0))
}

/// Passes over the dent: what the strain of the way back asks, and tries for the over-push.
pub fn passes(back: f64, overpush_mm: f64) -> f64 {
    springback::passes(back, STRAIN_A_PASS, overpush_mm, WANTED_MM, force::OVERPUSH_DOUBT)
}

impl Case<'_> {
    /// What the wall asks where it is of the inputs' temper, with no work of its own in it (annealed as it lies).
    pub fn unworked(&self, x: &[f64; COUNT]) -> Pushed {
        let (wall, bore) = walls(x);
        let (depth, _, _) = size(x, self.inputs, bore + 2.0 * wall);
        let (temper, strength) = metal_of(x);
        self.pushed(x, depth, [force::NEAR, force::FAR], 1.0, &Curve::fit(self.alloy, temper).times(strength))
    }

    /// What a wall asks whose stresses after [`force::NEAR`] and [`force::FAR`] are those of the curve at these strains, times a part.
    fn pushed(&self, x: &[f64; COUNT], depth_mm: f64, at: [f64; 2], part: f64, curve: &Curve) -> Pushed {
        let (wall, bore) = walls(x);
        let bend_factor = if self.inputs.known[inputs::BEND].is_some() { x[inputs::BEND].max(1.0) } else { 1.0 };
        let inside = force::Inside {
            e_mpa: curve.e_mpa,
            near_mpa: part * curve.stress_mpa(at[0]),
            far_mpa: part * curve.stress_mpa(at[1]),
            diameter_mm: bore + wall,
            wall_mm: wall,
            depth_mm,
            bend_factor,
        };
        let force = force::force_inside(&inside);
        Pushed {
            force_n: force.n * x[inputs::FORMULA].max(0.05) * x[inputs::TABLE].max(0.05),
            overpush_mm: force.over_push_part * depth_mm * x[inputs::OVERPUSH].max(0.05),
            inside,
            force,
        }
    }

    /// Runs the model. `found` is what a run at the best estimates found; none: find it.
    pub fn run(&self, x: &[f64; COUNT], found: Option<&Found>) -> (Out, Found) {
        let (wall, bore) = walls(x);
        let diameter = bore + 2.0 * wall;
        let radius = (bore + wall) / 2.0;
        let (depth, across, along) = size(x, self.inputs, diameter);
        let has = |input: usize| self.inputs.known[input].is_some();

        let shape = x[inputs::SHAPE].clamp(1.0, 20.0);
        let from_width = |input: usize, width: f64| if has(input) { x[input].max(1e-5) } else { geometry::curvature(depth, width, shape) };
        let round = from_width(inputs::CURVATURE_ACROSS, across);
        let lengthwise = from_width(inputs::CURVATURE_ALONG, along);
        // A fold's middle lies half a wall outside its inside radius.
        let fold = if self.fold.is_some() { 1.0 / (x[inputs::FOLD].max(0.01) + wall / 2.0) } else { 0.0 };
        // Part of the fold's curvature that bends round, along, and twists: a slanting fold at 45° has half of each (Mohr's circle, closed form).
        let (fold_round, fold_along, fold_twist) = match self.fold {
            Some(Fold::Crease(Direction::Along)) => (fold, 0.0, 0.0),
            Some(Fold::Crease(Direction::Across)) => (0.0, fold, 0.0),
            Some(Fold::Crease(Direction::Oblique)) => (fold / 2.0, fold / 2.0, fold / 2.0),
            Some(Fold::Edge) if lengthwise > round => (0.0, fold, 0.0),
            Some(Fold::Edge) => (fold, 0.0, 0.0),
            None => (0.0, 0.0, 0.0),
        };
        let (tight_round, tight_along) = (round.max(fold_round), lengthwise.max(fold_along));
        let now_across = geometry::wall_curvature(radius, depth, tight_round);
        let e1 = strain::across(wall, 1.0 / radius, now_across);
        let e2 = strain::along(wall, -tight_along);
        let e3 = strain::membrane(depth, along);

        let over = (x[inputs::STRAINED].max(0.1), x[inputs::BACK].max(0.1));
        let field =
            Field { wall_mm: wall, radius_mm: radius, depth_mm: depth, curvature_along: lengthwise, curvature_across: round, membrane: e3 };
        let at_fold = if self.fold.is_some() { strain::effective(e1, e2 + e3, wall * fold_twist) } else { 0.0 };
        let (worst, closed) = match found.map(|f| f.worst) {
            Some(Worst::Fold) => (Worst::Fold, at_fold),
            Some(Worst::Surface(place)) => (Worst::Surface(place), field.effective(&place)),
            None => {
                let (place, e) = field.worst(self.along, self.across);
                if at_fold > over.0 * e { (Worst::Fold, at_fold) } else { (Worst::Surface(place), e) }
            }
        };
        // The model's dent is smooth: its strain stands for a smooth wall, not for a fold, whose radius is measured or said.
        let over = if worst == Worst::Fold { (1.0, over.1) } else { over };
        let effective = closed * over.0;
        let (temper, strength) = metal_of(x);
        // Only the temper changes the table's curve and what it bears.
        let table = match found {
            Some(f) if f.temper == temper => f.curve,
            _ => Curve::fit(self.alloy, temper),
        };
        let curve = table.times(strength);
        let kinematic = x[inputs::KINEMATIC].clamp(0.0, 1.0);
        // The broad field decides the springback; a fold is too narrow to carry the dent back.
        let change = (round - depth / (radius * radius)).abs().max(lengthwise);
        let bent = Bent { strain: change * wall, temper: temper.0, strength, kinematic };
        let springs = found.map_or_else(|| Springs::about(self.alloy, bent), |f| f.springs);
        let spring = springs.near(bent);
        let kind = found.map_or_else(
            || {
                let [x, y, _] = match worst {
                    Worst::Fold => [e1, e2 + e3, 0.0],
                    Worst::Surface(place) => field.strains(&place),
                };
                let lengthwise = if self.drawn { y * y / (x * x + y * y).max(1e-18) } else { 0.0 };
                let (larger, smaller) = if x.abs() >= y.abs() { (x, y) } else { (y, x) };
                let ratio = if larger.abs() > 1e-12 { smaller / larger } else { 0.0 };
                // On the way back the wall grows shorter again: only the over-push stretches it through.
                let over_push = spring.overpush_part * depth;
                let through = strain::effective(0.0, strain::membrane(over_push, along), 0.0) / (closed * over.0).max(1e-12);
                ductility::Kind { lengthwise, through: through.clamp(0.0, 1.0), ratio }
            },
            |f| f.kind,
        );

        let capacity = match found {
            Some(f) if f.temper == temper => f.capacity,
            _ => ductility::capacity(self.alloy, temper, kind),
        };
        // Reverse bending with its over-push, times what the model's outside sees beside it.
        let back = effective * spring.way_back * over.1;
        let earlier = if has(inputs::EARLIER) { 2.0 * effective * x[inputs::EARLIER].max(0.0) } else { 0.0 };
        let spent = if self.hardness_at_dent { back } else { effective + back + earlier };
        // The outside, stretched on the way back, was pressed by the dent; the inside the other way about. Pressing harms
        // less than stretching.
        let harm = if self.hardness_at_dent {
            back
        } else {
            back + x[inputs::PRESSED].clamp(0.0, 1.0) * (wall_strain::outside() * effective + earlier)
        };
        // A Gaussian dent's strain falls off as the dent itself.
        let concentration = self.crack_mm.map_or(1.0, |away| {
            let s = along / geometry::WIDTH_OVER_S;
            (x[inputs::HOLE] * (-away * away / (2.0 * s * s)).exp()).max(1.0)
        });
        let rolled = temper.rolling_strain();
        let forming = if self.hardness_at_dent { (rolled - effective).max(0.0) } else { rolled };

        // Through the wall the strain falls to nothing at its middle: the mean is half that of the surface.
        let broad = strain::effective(wall / 2.0 * round, wall / 2.0 * lengthwise + e3, 0.0) / 2.0;
        let earlier_work = if has(inputs::EARLIER) { 2.0 * broad * x[inputs::EARLIER].max(0.0) } else { 0.0 };
        // The table dents the wall itself: it wants the metal before the dent. A hardness taken at the dent holds its work
        // already; what the dent added is taken off.
        let before = if self.hardness_at_dent { curve.stress_mpa(0.0) / curve.stress_mpa(broad) } else { 1.0 };
        let at = [force::NEAR, force::FAR].map(|strain| earlier_work + strain);
        let Pushed { force_n, overpush_mm, inside, force } = self.pushed(x, depth, at, before, &curve);

        let out = Out {
            depth_mm: depth,
            across_mm: across,
            along_mm: along,
            depth_over_diameter: depth / diameter,
            curvature_now_across: now_across,
            curvature_now_along: tight_along,
            sharpness: wall * round.max(lengthwise).max(fold),
            passage_mm: geometry::passage_mm(bore, depth),
            area_left: geometry::area_left(bore, depth, across, self.means),
            strain_across: e1,
            strain_along: e2,
            strain_membrane: e3,
            effective,
            closed,
            worst,
            forming,
            spent,
            back,
            capacity: capacity.value * x[inputs::CAPACITY].max(0.02),
            capacity_sd: capacity.sd * x[inputs::CAPACITY].max(0.02),
            overpush_mm,
            bending_mm: spring.overpush_part * depth,
            passes: passes(back, overpush_mm),
            force_n,
            inside,
            force,
            harm,
            concentration,
            kind,
        };
        (out, Found { worst, springs, temper, curve: table, capacity, kind })
    }
}
