//! What each thing costs in the plan's eyes: time, finish, heat risk, crack risk, traces that stay. Expected money; the
//! quote makes prices of the steps, this only weighs one method against another.
//!
//! | part | reckoned as | rank |
//! |---|---|---|
//! | time | PERT mean of the minutes × the shop's rate | PERT from memory, rate the shop's |
//! | finish | length spoiled by the flame × the shop's price per mm | length by finite volumes, limits common practice |
//! | flame | minutes that a flame burns longer than a usual one | finite volumes, the torch's power by common practice |
//! | heat risk | the shop's likelihood that a heat spoils something × price of the part | common practice |
//! | crack risk | crack likelihood of the assessment × what a crack costs: stopped and patched, or the part replaced | the assessment's |
//! | method's risk | likelihood of spoiling the part by this method × what replacing it costs | `reach`, common practice |
//! | seam | likelihood that what stays on over a dent opens at its seam × what soldering it again costs | common practice |
//! | trace | (1 − truth of the method) × the shop's figure × how much looks count at this level | common practice |

use crate::case::Case;
use crate::consequence::{crack_money, replace_money};
use crate::effort::{Spread, force_factor, widen};
use crate::flame::Flaming;
use crate::heats::Moved;
use crate::level::{Matters, matters};
use crate::opening_price::SOFTENED_PART;
use crate::shop::Standards;
use crate::step_kind::StepKind;
use dent::{Advice, Assessment};
use instrument::{Dent, DentId, Run, RunId};
use reach::{Method, MethodKind, Opened, ToolBody};
use units::{Figure, Known, Origin, Source, ThreePoint, Unit};

pub use crate::opening_price::{flame_min, opening_min, opening_money};

/// Where the sum comes from.
pub const EXPECTED: Source = Source::own_model(
    "expected cost: minutes × rate + likelihood of a crack × what a crack costs + risk of the way × what a spoiled part costs + trace left × the shop's figure",
);

/// Minutes of flame beyond the usual, with what is likely at the least and at the most.
pub fn flame_minutes(flame_s: &Figure) -> ThreePoint {
    ThreePoint::new(flame_min(flame_s.low), flame_min(flame_s.value), flame_min(flame_s.high))
}

/// The work on a dent by a way.
#[derive(Clone, Debug, PartialEq)]
pub struct Work {
    /// Minutes of the field of the dent, widened by what is not measured.
    pub dent: ThreePoint,
    /// Minutes of its crease; nothing where there is none.
    pub crease: ThreePoint,
    /// Minutes of stopping its crack.
    pub stabilise: ThreePoint,
    /// Minutes of the patch afterwards.
    pub patch: ThreePoint,
    /// How often it is annealed between passes, besides the first anneal.
    pub relit: u32,
    /// Minutes of these anneals.
    pub between: ThreePoint,
    /// Likelihood of a crack.
    pub crack: f64,
}

impl Work {
    /// Each anneal between passes burns as long as the first: the minutes beyond the usual, so many each.
    pub fn burns_as_long(mut self, beyond_min: f64) -> Self {
        let minutes = beyond_min * f64::from(self.relit);
        self.between = self.between.plus(ThreePoint::new(minutes, minutes, minutes));
        self
    }

    /// All minutes.
    pub fn mean_min(&self) -> f64 {
        [self.dent, self.crease, self.stabilise, self.patch, self.between].into_iter().map(ThreePoint::mean).sum()
    }
}

/// Whether a dent gets its crack stopped, and whether it is patched or sealed afterwards.
pub fn crack_and_patch(dent: &Dent, a: &Assessment) -> (bool, bool) {
    let cracked = dent.crack.is_some();
    let through = dent.crack.as_ref().is_some_and(|c| c.through != Some(false));
    (cracked || a.advice == Advice::StabiliseThenWork, through || a.advice == Advice::Patch)
}

/// How often a dent that wants it is annealed between its passes: one fewer than passes, from one to four.
fn anneals_between(a: &Assessment, method: &Method) -> u32 {
    if a.advice != Advice::AnnealBetweenPasses {
        return 0;
    }
    // Passes that cannot be counted are two.
    let passes = a.pass_count(method.annealed).value.round();
    (1..=4).rev().find(|n| passes > f64::from(*n)).unwrap_or(1)
}

/// The work on a dent by a way, cold or after an anneal.
pub fn work(case: &Case, dent: &Dent, a: &Assessment, method: &Method, annealed: bool) -> Work {
    let s = case.standards;
    let spread = Spread::of(a).log_sd();
    let (stop, patch) = crack_and_patch(dent, a);
    let minutes = |yes: bool, kind: StepKind| if yes { s.minutes_of(kind) } else { ThreePoint::ZERO };
    let relit = if annealed { anneals_between(a, method) } else { 0 };
    Work {
        dent: s.minutes_of_method(
            method.kind,
            widen(method.minutes.times(force_factor(method, a)), spread).plus(s.minutes_of(StepKind::Dent)),
        ),
        crease: widen(minutes(dent.crease.is_some(), StepKind::Crease), spread),
        stabilise: minutes(stop, StepKind::StabiliseCrack),
        patch: minutes(patch, StepKind::Patch),
        relit,
        between: s.minutes_of(StepKind::Anneal).times(f64::from(relit)),
        crack: if annealed { a.crack_likelihood_annealed.value } else { a.crack_likelihood.value }.clamp(0.0, 1.0),
    }
}

/// The expected cost of working a dent by a way, with its reasons; without what is opened, heated or made for it.
pub fn method_figure(case: &Case, a: &Assessment, method: &Method, work: &Work) -> Figure {
    let minutes = [work.dent, work.crease, work.stabilise, work.patch, work.between];
    let sd = minutes.iter().map(|m| m.sd().powi(2)).sum::<f64>().sqrt();
    let crack = a.crack_likelihood.known("likelihood of a crack");
    let mut inputs = vec![
        Known::new("minutes of bench work", work.mean_min(), sd, Unit::Min, Origin::Computed),
        Known::new("labor per minute", case.per_minute(), 0.0, Unit::Money, Origin::Shop),
        Known::new("likelihood of a crack", work.crack, crack.sd.min(0.3), Unit::Probability, Origin::Computed),
        Known::new("risk of the way", method.risk, 0.3 * method.risk, Unit::Probability, Origin::Handbook),
        Known::new("what a crack costs (patched, or the part replaced)", crack_money(case, &a.run), 0.0, Unit::Money, Origin::Shop),
        Known::new("what a spoiled part costs, replaced", replace_money(case, &a.run), 0.0, Unit::Money, Origin::Shop),
        Known::new("trace left (1 less the truth of the way)", 1.0 - method.finish_quality, 0.0, Unit::One, Origin::Handbook),
        Known::new("what a trace is worth here", trace_worth(case, a), 0.0, Unit::Money, Origin::Shop),
    ];
    let mut formula =
        "minutes × labor per minute + likelihood of a crack × what it costs + risk of the way × what a spoiled part costs + trace left × what a trace is worth"
            .to_owned();
    if method.left_on.is_some() {
        formula += " + likelihood that a seam opens × what soldering it again costs";
        inputs.push(Known::new("likelihood that a seam opens", SEAM_OPENS, 0.5 * SEAM_OPENS, Unit::Probability, Origin::Handbook));
        inputs.push(Known::new("what soldering it again costs", again_money(case, method), 0.0, Unit::Money, Origin::Shop));
    }
    Figure::derive(Unit::Money, formula, EXPECTED, &inputs, |x| {
        let seam = if let [opens, again] = x[8..] { opens.max(0.0) * again } else { 0.0 };
        x[0] * x[1] + x[2].clamp(0.0, 1.0) * x[4] + x[3].max(0.0) * x[5] + x[6] * x[7] + seam
    })
}

/// Of guards that stay on while the dent under them is pushed out, so many open at their seam and are soldered again. Common practice, no
/// source.
const SEAM_OPENS: f64 = 0.1;

/// What it costs to solder again what stays on, money: with its flame and the finish that it burns.
fn again_money(case: &Case, method: &Method) -> f64 {
    let one = |id: &instrument::OverlayId| {
        let what = Opened::Overlay(id.clone());
        let burnt_mm = case.heats.solder_flame(&what).map_or(0.0, |f| case.heats.warm(&f, Moved::None).spoiled_all_mm());
        case.standards.open_close(case.instrument(), &what).close.mean() * case.per_minute()
            + burnt_mm * case.standards.finish_per_mm.max(0.0)
    };
    method.stays_on().iter().map(one).sum()
}

/// The same as a number, with the finish that a soldered stud burns and the heat of a patch.
pub fn method_money(case: &Case, a: &Assessment, method: &Method, work: &Work) -> f64 {
    work.mean_min() * case.per_minute()
        + work.crack * crack_money(case, &a.run)
        + method.risk.max(0.0) * replace_money(case, &a.run)
        + (1.0 - method.finish_quality).max(0.0) * trace_worth(case, a)
        + stud_burn(case, a, method)
        + SEAM_OPENS * again_money(case, method)
        + if work.patch.most > 0.0 { patch_heat_money(case, &a.dent) } else { 0.0 }
}

fn trace_worth(case: &Case, a: &Assessment) -> f64 {
    case.standards.untrue_place.max(0.0) * case.level.trace_counts(matters(a))
}

/// A stud is soldered on with this.
pub const STUD_FILLER: metal::Filler = metal::Filler::Sn96Ag4;
/// A stud's flame covers this, mm. Common practice, no source.
const STUD_MM: f64 = 15.0;

/// The flame that solders a stud on a dent.
pub fn stud_flame(case: &Case, dent: &Dent) -> Option<Flaming> {
    case.heats.spot_flame(&dent.run, case.station_mm(dent), STUD_MM, STUD_FILLER)
}

fn stud_burn(case: &Case, a: &Assessment, method: &Method) -> f64 {
    if method.kind != MethodKind::PullOutside {
        return 0.0;
    }
    let spoiled = case.dent(&a.dent).and_then(|dent| stud_flame(case, dent)).map(|f| case.heats.warm(&f, Moved::None).spoiled_all_mm());
    spoiled.unwrap_or(0.0) * case.standards.finish_per_mm.max(0.0)
}

/// A patch is soldered on with this.
pub const PATCH_FILLER: metal::Filler = metal::Filler::Sn96Ag4;
/// A patch's flame covers this, mm. Common practice, no source.
pub const PATCH_MM: f64 = 20.0;

/// The flame that solders a patch on a run.
pub fn patch_flame(case: &Case, run: &RunId, at_mm: f64) -> Option<Flaming> {
    case.heats.spot_flame(run, at_mm, PATCH_MM, PATCH_FILLER)
}

/// What a patch's heat asks beyond the soldering: minutes of setting it up and of its flame, and money for finish burnt and the risk of
/// the heat. What it lets go is soldered again besides ([`lets_go`]).
pub fn patch_heat(case: &Case, run: &RunId, at_mm: f64) -> (f64, f64) {
    let warm = patch_flame(case, run, at_mm).map(|f| case.heats.warm(&f, Moved::None));
    let (spoiled_mm, burned_s) = warm.map_or((0.0, 0.0), |w| (w.spoiled_all_mm(), w.burned_s));
    let risk = case.standards.heat_risk.clamp(0.0, 1.0) * case.part_price(run);
    (case.standards.heat_setup.mean() + flame_min(burned_s), spoiled_mm * case.standards.finish_per_mm.max(0.0) + risk)
}

/// What the heat of a dent's patch costs, money; nothing where it gets none.
pub fn patch_heat_money(case: &Case, dent: &DentId) -> f64 {
    let Some(dent) = case.dent(dent) else { return 0.0 };
    let (minutes, money) = patch_heat(case, &dent.run, case.station_mm(dent));
    minutes * case.per_minute() + money
}

/// What a flame lets go besides what it is meant to melt.
pub fn lets_go(case: &Case, flame: Option<Flaming>) -> Vec<Opened> {
    flame.map_or_else(Vec::new, |f| case.heats.warm(&f, Moved::None).lets_go(&f.aims).cloned().collect())
}

/// Minutes of soldering something again that let go in the heat beside it, while the torch and the cloths are there.
pub fn resoldering_minutes(case: &Case, what: &Opened) -> ThreePoint {
    let close = case.standards.open_close(case.instrument(), what).close;
    let (all, setup) = (close.mean(), case.standards.heat_setup.mean());
    if all > 0.0 { close.times(((all - setup) / all).max(0.0)) } else { ThreePoint::ZERO }
}

/// Minutes of setting up the two heats (opening, closing) of joints that share them.
pub fn heat_min(case: &Case) -> f64 {
    2.0 * case.standards.heat_setup.mean()
}

/// Minutes of filling a bend and melting it out again.
pub fn fill_min(case: &Case) -> f64 {
    case.standards.minutes_of(StepKind::Fill).mean() + case.standards.minutes_of(StepKind::MeltOut).mean()
}

/// Minutes of an anneal.
pub fn anneal_min(case: &Case) -> f64 {
    case.standards.minutes_of(StepKind::Anneal).mean()
}

/// Minutes that the flame of an anneal burns beyond the usual.
pub fn anneal_flame_min(case: &Case, run: &RunId, from_mm: f64, to_mm: f64) -> f64 {
    case.heats.anneal_flame(run, from_mm, to_mm).map_or(0.0, |f| flame_min(case.heats.warm(&f, Moved::None).burned_s))
}

/// Cost of annealing a stretch of a run.
pub fn anneal_money(case: &Case, run: &Run, from_mm: f64, to_mm: f64) -> f64 {
    let warm = case.heats.anneal_flame(&run.id, from_mm, to_mm).map(|f| case.heats.warm(&f, Moved::None));
    let (spoiled_mm, burned_s) = warm.map_or((0.0, 0.0), |w| (w.spoiled_all_mm(), w.burned_s));
    let hard = if run.role.must_stay_hard() { SOFTENED_PART } else { 0.0 };
    (anneal_min(case) + flame_min(burned_s)) * case.per_minute()
        + spoiled_mm * case.standards.finish_per_mm.max(0.0)
        + (case.standards.heat_risk.clamp(0.0, 1.0) + hard) * case.part_price(&run.id)
}

/// What a tool to make asks, against the shop's usual one.
///
/// Common practice, no source: a rod or a curved rod is the usual tool; a ball is turned in 0.6 of that time for each ball
/// plus what its section asks, (diameter / 40 mm)²; a mandrel in proportion to its surface, at least the usual time; what is bought
/// (a shaft, a cable, a press) in a quarter of the time.
pub fn tool_size(tool: &ToolBody) -> f64 {
    match *tool {
        ToolBody::Ball { diameter_mm } => 0.6 * (1.0 + (diameter_mm / 40.0).powi(2)),
        ToolBody::Mandrel { large_mm, length_mm, .. } => (large_mm * length_mm / 6000.0).max(1.0),
        ref bought if bought.is_bought() => 0.25,
        _ => 1.0,
    }
}

/// Mass of the metal that a tool is made from, kg: steel, 7850 kg/m³ (closed form of the body's volume).
fn tool_kg(tool: &ToolBody) -> f64 {
    const KG_PER_MM3: f64 = 7.85e-6;
    let rod = |d: f64, l: f64| std::f64::consts::FRAC_PI_4 * d * d * l;
    let mm3 = match *tool {
        ToolBody::Ball { diameter_mm } => std::f64::consts::PI / 6.0 * diameter_mm.powi(3),
        ToolBody::StraightRod { diameter_mm, length_mm, .. } | ToolBody::CurvedRod { diameter_mm, length_mm, .. } => {
            rod(diameter_mm, length_mm)
        }
        ToolBody::Mandrel { large_mm, length_mm, .. } => rod(large_mm, length_mm),
        ToolBody::FlexibleShaft { diameter_mm, length_mm, .. } => rod(diameter_mm, length_mm),
        _ => 0.0,
    };
    mm3 * KG_PER_MM3
}

/// Price of bar per kilogram, money. Common practice, no source.
const BAR_PER_KG: f64 = 6.0;

/// What a tool's stuff or the tool that is bought costs, money, without the bar's weight: the shop's usual figure, but for a press, which is
/// a machine. Common practice, no source: a small screw or arbor press at 100, and 3 for each 100 N.
pub fn tool_price(standards: &Standards, tool: &ToolBody) -> f64 {
    match *tool {
        ToolBody::Press { limit_n, .. } => PRESS.0 + PRESS.1 * limit_n.max(0.0),
        _ => standards.tool_material.max(0.0),
    }
}

/// Price of a press: so much, and so much a newton.
const PRESS: (f64, f64) = (100.0, 0.03);

/// Minutes of making a tool.
pub fn tool_minutes(case: &Case, tool: &ToolBody) -> ThreePoint {
    case.standards.minutes_of(StepKind::MakeTool).times(tool_size(tool))
}

/// Cost of making a tool.
pub fn tool_money(case: &Case, tool: &ToolBody) -> f64 {
    tool_minutes(case, tool).mean() * case.per_minute() + tool_price(case.standards, tool) + BAR_PER_KG * tool_kg(tool)
}

/// Over how many jobs a tool to make is spread. A mandrel or a curved rod fits one shape of tube only and serves half as
/// many as a ball or a shaft. Common practice, no source.
pub fn tool_jobs(case: &Case, tool: &ToolBody) -> f64 {
    let jobs = case.standards.tool_serves_jobs;
    let one_shape = matches!(tool, ToolBody::Mandrel { .. } | ToolBody::CurvedRod { .. });
    if jobs.is_finite() { (jobs * if one_shape { 0.5 } else { 1.0 }).max(1.0) } else { 1.0 }
}

/// What a tool to make costs this job: it hangs on the rack afterwards, so its cost is spread over the jobs that it serves.
pub fn tool_share(case: &Case, tool: &ToolBody) -> f64 {
    tool_money(case, tool) / tool_jobs(case, tool)
}

/// Whether a tool is worth making for a run: nobody makes one whose share in this job is more than the part costs. Common
/// practice, no source.
pub fn worth_making(case: &Case, tool: &ToolBody, run: &RunId) -> bool {
    tool_share(case, tool) <= case.part_price(run).max(case.standards.spoiled_part)
}

/// What it is worth to the customer that a dent does not stay, money.
pub fn worth_of(case: &Case, a: &Assessment) -> f64 {
    let worth = &case.standards.worth;
    let worth = match matters(a) {
        Matters::Function => worth.function,
        Matters::Strength => worth.structural,
        Matters::Looks => worth.cosmetic,
    };
    worth.max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_large_ball_is_dearer_than_a_small_one() {
        let (one, large) = (ToolBody::Ball { diameter_mm: 20.0 }, ToolBody::Ball { diameter_mm: 120.0 });
        assert!((tool_size(&one) - 0.75).abs() < 1e-9);
        assert!(tool_size(&large) > 7.0 * tool_size(&one));
        // A steel ball of 120 mm: π/6 · 120³ mm³ · 7.85e-6 kg/mm³ = 7.1 kg.
        assert!((tool_kg(&large) - 7.1).abs() < 0.01);
    }
}

#[cfg(test)]
#[path = "price_test.rs"]
mod by_hand;
