//! What is wrong apart from dents and is mended: braces, joints, lines and sections. Whether it is wanted, which ways there
//! are, what each asks, and how true it must be afterwards. Figures are common practice, no source, unless told.

use crate::Level;
use crate::case::{Case, Flame};
use crate::consequence::may_be_patched;
use crate::effort::widen;
use crate::level::Matters;
use crate::opening_price::opening_money;
use crate::outcome::Mend;
use crate::overrule::Decision;
use crate::price::{self, PATCH_FILLER};
use crate::step::Check;
use crate::step_kind::StepKind;
use instrument::{Concerns, Condition, ConditionKind, Dent, FitKind, MovingFit, Run, RunId};
use reach::Opened;
use units::text::mm;
use units::{Text, ThreePoint, text};

/// A way to mend a condition.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// What is done.
    pub mend: Mend,
    /// What must be open for it: it is closed again anyway.
    pub opens: Vec<Opened>,
    /// What is soldered where it lies, in a heat of its own.
    pub solders: Option<Opened>,
    /// Minutes of the mending itself.
    pub minutes: ThreePoint,
    /// Parts and material, money.
    pub parts: f64,
    /// Likelihood that the part is spoiled, and its price: kinked or cracked as it is bent back.
    pub risk_money: f64,
    /// Where a patch is soldered on.
    pub patch: Option<(RunId, f64)>,
}

/// A tube is straight by a straight edge within this part of its length, and never better than the second figure, mm.
const LINE: (f64, f64) = (0.002, 0.3);
/// Length over which a joint is held against a straight edge where nobody said, mm.
const JOINT_OVER_MM: f64 = 100.0;
/// A tube is round within this part of its diameter, and never better than the second figure, mm.
const ROUND: (f64, f64) = (0.005, 0.1);
/// An oval of this part of the diameter matters to the player, as a dent of that depth does (common practice, one list of
/// check-values: "a dent in the tubing matters to the player from about 15 % of the diameter").
const OVAL_FELT: f64 = 0.15;
/// Passes in which the standard's time sets a line right: each halves what is left.
const USUAL_PASSES: f64 = 3.0;
/// Least and most of the standard's time, whatever was measured.
const PASSES_STRETCH: (f64, f64) = (0.5, 3.0);
/// Spread of the logarithm of the time where nobody measured: half to twice the standard's time in nine of ten cases, ln 2 /
/// 1.645 (closed form of the 90 % points).
pub(crate) const UNMEASURED_LOG_SD: f64 = 0.42;
/// Likelihood that a tube is kinked as it is bent back.
const KINK: f64 = 0.02;

/// Whether the metal leaks there: it is patched, or its run replaced. What else is wrong with the metal is only looked after.
pub fn leaks(c: &Condition) -> bool {
    matches!(c.kind, ConditionKind::Crack | ConditionKind::Hole) || (c.kind == ConditionKind::RedRot && c.through == Some(true))
}

/// Conditions that are mended, whose brace, joint, slide or tube the instrument has; without cracks that go with their dent.
pub fn conditions<'c, 'a: 'c>(case: &'c Case<'a>) -> impl Iterator<Item = &'a Condition> + 'c {
    let survey = case.survey;
    let with_a_dent = |c: &Condition| survey.dents.iter().any(|d| is_of_dent(case, c, d) && case.wants_dent(&d.id));
    survey
        .conditions
        .iter()
        .filter(|c| (c.kind.concerns() != Concerns::Metal || leaks(c)) && !c.lies(&survey.instrument).is_empty())
        .filter(move |c| !with_a_dent(c))
}

/// Whether a crack is that of a dent, surveyed once more by itself: on its run, where it lies.
pub fn is_of_dent(case: &Case, c: &Condition, d: &Dent) -> bool {
    if c.kind != ConditionKind::Crack || !c.is_on(&d.run) || d.crack.is_none() {
        return false;
    }
    let half = 0.5 * case.assessment(&d.id).map_or(0.0, |a| a.width_along_mm.value);
    let long = d.crack.as_ref().and_then(|x| x.length_mm.as_ref()).map_or(0.0, |l| l.value);
    (case.station_mm(d) - case.condition_mm(c)).abs() <= half.max(0.5 * long)
}

/// What a condition matters to.
pub fn matters(case: &Case, c: &Condition) -> Matters {
    let in_fit = || c.run.as_ref().is_some_and(|run| !case.instrument().fits_of(run).is_empty());
    match c.kind {
        ConditionKind::PulledJoint | ConditionKind::BentHandSlide => Matters::Function,
        _ if leaks(c) => Matters::Function,
        ConditionKind::OutOfLine | ConditionKind::Oval if in_fit() => Matters::Function,
        ConditionKind::OutOfLine | ConditionKind::BentBell => Matters::Looks,
        ConditionKind::Oval => match (c.ovality_mm(), diameter_mm(case, c)) {
            (Some(oval), Some(d)) if oval < OVAL_FELT * d => Matters::Looks,
            // Nobody measured it: it may be felt.
            _ => Matters::Function,
        },
        // A loose brace rattles, and what it should hold works its joints open.
        _ => Matters::Strength,
    }
}

/// Whether a condition is to be mended: by the level, or because a person said so. What is true within what is asked for is not.
pub fn wanted(case: &Case, c: &Condition) -> bool {
    match case.overrules.of_condition(&c.id).map(|o| &o.decision) {
        Some(Decision::LeaveCondition { .. }) => false,
        Some(_) => true,
        None => within(case, c).is_none() && (case.level != Level::Play || matters(case, c) > Matters::Looks),
    }
}

/// That it is true already within what is asked for; none where it is not, or nobody measured.
pub fn within(case: &Case, c: &Condition) -> Option<Text> {
    let (is, most) = (is_mm(c)?, tolerance_mm(case, c)?);
    (is <= most).then(|| text!("{} is within the {} that are asked for", mm(is, 2), mm(most, 2)))
}

/// How far it is out of line or out of round, mm.
fn is_mm(c: &Condition) -> Option<f64> {
    if c.kind == ConditionKind::Oval { c.ovality_mm() } else { c.offset_mm() }
}

/// How far it may be off afterwards, mm; none of a brace.
pub fn tolerance_mm(case: &Case, c: &Condition) -> Option<f64> {
    match c.kind {
        ConditionKind::PulledJoint | ConditionKind::OutOfLine | ConditionKind::BentBell => Some((LINE.0 * over_mm(case, c)).max(LINE.1)),
        ConditionKind::BentHandSlide => c.fit.as_ref().and_then(|id| case.instrument().fit(id)).map(|f| 0.5 * clearance_mm(f)),
        ConditionKind::Oval => {
            let run = c.run.as_ref()?;
            let fits = case.instrument().fits_of(run);
            let in_fit = fits.iter().map(|f| 0.5 * clearance_mm(f)).fold(f64::INFINITY, f64::min);
            Some((ROUND.0 * diameter_mm(case, c)?).max(ROUND.1).min(in_fit))
        }
        _ => None,
    }
}

/// Clearance of a fit on the diameter, mm: measured, else the least of common practice for its kind. What is bent or oval by half
/// of it (the clearance on the radius) touches the other tube (closed form).
fn clearance_mm(fit: &MovingFit) -> f64 {
    let usual = match fit.kind {
        FitKind::PistonInCasing | FitKind::RotorInCasing => 0.04,
        FitKind::TuningSlide => 0.05,
        FitKind::HandSlide => 0.08,
    };
    fit.clearance_mm.as_ref().map(|k| k.value).filter(|mm| *mm > 0.0 && mm.is_finite()).unwrap_or(usual)
}

/// Over what length its line is held against a straight edge, mm: as measured, else where it was said to lie, else all of it.
pub fn over_mm(case: &Case, c: &Condition) -> f64 {
    let stretch = c.from_mm.zip(c.to_mm).map(|(from, to)| to - from);
    let said = c.over_mm.as_ref().map(|k| k.value).or(stretch);
    let whole = || match &c.run {
        Some(run) => case.run(run).map_or(JOINT_OVER_MM, Run::length_mm),
        None => JOINT_OVER_MM,
    };
    said.filter(|mm| *mm > 0.0 && mm.is_finite()).unwrap_or_else(whole)
}

/// Outside diameter of a round tube there, mm: the mean of what was measured, else the tube's own.
fn diameter_mm(case: &Case, c: &Condition) -> Option<f64> {
    let measured = c.least_mm.as_ref().zip(c.most_mm.as_ref()).map(|(a, b)| 0.5 * (a.value + b.value));
    let own = || c.run.as_ref().and_then(|r| case.run(r)).map(|r| r.outside_diameter_at(case.condition_mm(c)));
    measured.or_else(own).filter(|mm| *mm > 0.0 && mm.is_finite())
}

/// What must hold of it afterwards.
pub fn check(case: &Case, c: &Condition) -> Option<Check> {
    match (&c.overlay, c.kind) {
        (Some(overlay), _) => Some(Check::Holds { overlay: overlay.clone() }),
        (None, ConditionKind::Oval) => Some(Check::Round { condition: c.id.clone(), most_mm: tolerance_mm(case, c)? }),
        (None, _) => {
            // A leg is looked at over all of it.
            let leg = || c.fit.as_ref().and_then(|f| case.run(&case.instrument().fit(f)?.outer)).map(Run::length_mm);
            let over = if c.kind == ConditionKind::BentHandSlide { leg()? } else { over_mm(case, c) };
            Some(Check::InLine { condition: c.id.clone(), most_mm: tolerance_mm(case, c)?, over_mm: over })
        }
    }
}

/// The ways to mend a condition.
pub fn ways(case: &Case, c: &Condition) -> Vec<Way> {
    let s = case.standards;
    let way = |mend: Mend| {
        let minutes = mend.kind().map_or(ThreePoint::ZERO, |k| s.minutes_of(k));
        Way { mend, opens: vec![], solders: None, minutes, parts: 0.0, risk_money: 0.0, patch: None }
    };
    let straightened = |mend: Mend, opens: Vec<Opened>| {
        let w = way(mend);
        let risk_money = c.lies(case.instrument()).iter().take(1).map(|l| KINK * case.part_price(&l.run)).sum();
        vec![Way { opens, minutes: by_measure(case, c, w.minutes), risk_money, ..w }]
    };
    match c.kind {
        _ if leaks(c) => {
            let patched = |run: &RunId| bears_patch(case, run) && !matches!(patch_flame_may(case, run), Flame::Never(_));
            let Some(run) = c.run.clone().filter(patched) else { return vec![] };
            let w = way(Mend::Patch);
            // A crack runs on where it is not stopped first.
            let stop = if c.kind == ConditionKind::Crack { s.minutes_of(StepKind::StabiliseCrack) } else { ThreePoint::ZERO };
            // It is seen: the same as of a dent that is patched over.
            let trace = s.untrue_place.max(0.0) * case.level.trace_counts(matters(case, c));
            vec![Way { minutes: w.minutes.plus(stop), risk_money: trace, patch: Some((run, case.condition_mm(c))), ..w }]
        }
        ConditionKind::RedRot | ConditionKind::SeasonCracking | ConditionKind::Crack | ConditionKind::Hole | ConditionKind::Thin => vec![],
        ConditionKind::LooseBrace => {
            let Some(what) = brace(c) else { return vec![] };
            vec![
                Way { solders: Some(what.clone()), ..way(Mend::SolderBrace) },
                // Where it comes off for another reason it is soldered as it goes back.
                Way { opens: vec![what], ..way(Mend::SolderBrace) },
            ]
        }
        ConditionKind::BrokenBrace => {
            let Some(what) = brace(c) else { return vec![] };
            let off = |mend, parts| Way { opens: vec![what.clone()], parts, ..way(mend) };
            vec![off(Mend::BrazeBrace, 0.0), off(Mend::NewBrace, s.brace_price.max(0.0))]
        }
        ConditionKind::MissingBrace => {
            let Some(what) = brace(c) else { return vec![] };
            let on = |mend, parts| Way { solders: Some(what.clone()), parts, ..way(mend) };
            vec![on(Mend::NewBrace, s.brace_price.max(0.0)), on(Mend::MakeBrace, s.tool_material.max(0.0))]
        }
        ConditionKind::PulledJoint => {
            let Some(joint) = &c.joint else { return vec![] };
            let w = way(Mend::AlignJoint);
            vec![Way { opens: vec![Opened::Joint(joint.clone())], minutes: by_measure(case, c, w.minutes), ..w }]
        }
        ConditionKind::OutOfLine | ConditionKind::BentBell => straightened(Mend::Straighten, braces_on(case, c)),
        ConditionKind::BentHandSlide => straightened(Mend::StraightenSlide, vec![]),
        ConditionKind::Oval => straightened(Mend::RoundOut, vec![]),
    }
}

/// Whether the flame for a patch may be lit on a run.
fn patch_flame_may(case: &Case, run: &RunId) -> Flame {
    case.flame(run, PATCH_FILLER.worked_at_degc())
}

/// Whether a patch may lie on a run.
fn bears_patch(case: &Case, run: &RunId) -> bool {
    case.run(run).is_some_and(|r| may_be_patched(r.role))
}

/// What mending a condition costs at most, by itself, money; nothing where no way is there, but for what leaks: there a new tube is all
/// that helps.
pub fn alone_money(case: &Case, c: &Condition) -> f64 {
    let one = |w: &Way| {
        let heat = w.patch.as_ref().map_or((0.0, 0.0), |(run, at)| price::patch_heat(case, run, *at));
        let opens: f64 = w.opens.iter().map(|o| opening_money(case, o) + price::heat_min(case) * case.per_minute()).sum();
        (w.minutes.mean() + heat.0) * case.per_minute() + w.parts + w.risk_money + heat.1 + opens
    };
    let least = ways(case, c).iter().map(one).fold(f64::INFINITY, f64::min);
    if least.is_finite() || leaks(c) { least } else { 0.0 }
}

fn brace(c: &Condition) -> Option<Opened> {
    c.overlay.clone().map(Opened::Overlay)
}

/// The braces with a foot on the stretch that is bent: they hold it where it is.
fn braces_on(case: &Case, c: &Condition) -> Vec<Opened> {
    let Some(run) = &c.run else { return vec![] };
    let (from, to) = (c.from_mm.unwrap_or(f64::NEG_INFINITY), c.to_mm.unwrap_or(f64::INFINITY));
    let on = |o: &&instrument::Overlay| o.covers.iter().any(|x| x.run == *run && x.from_mm <= to && x.to_mm >= from);
    let braces = case.instrument().overlays.iter().filter(|o| o.kind == instrument::OverlayKind::Brace && o.filler.is_some());
    braces.filter(on).filter(|o| !case.survey.lacks(&o.id)).map(|o| Opened::Overlay(o.id.clone())).collect()
}

/// Minutes by how far it is off: every pass halves what is left, until it is true within what is asked for (own model; the
/// standard's time is meant for three passes). What nobody measured makes them wide.
fn by_measure(case: &Case, c: &Condition, minutes: ThreePoint) -> ThreePoint {
    let measured = if c.kind == ConditionKind::Oval { &c.most_mm } else { &c.out_of_line_mm };
    match (is_mm(c), tolerance_mm(case, c)) {
        (Some(is), Some(most)) if is > 0.0 && most > 0.0 => {
            let ratio = (is / most).max(1.0);
            let passes = (ratio.log2() / USUAL_PASSES).clamp(PASSES_STRETCH.0, PASSES_STRETCH.1);
            // d ln(passes) = d ln(is) / ln(ratio).
            let sd = measured.as_ref().map_or(0.0, |k| k.sd / is) / ratio.ln().max(0.5);
            widen(minutes.times(passes), sd.clamp(0.0, UNMEASURED_LOG_SD))
        }
        _ => widen(minutes, UNMEASURED_LOG_SD),
    }
}

/// Whether the time of a condition is wide because nobody measured it.
pub fn unmeasured(c: &Condition) -> bool {
    matches!(c.kind.concerns(), Concerns::Run | Concerns::Joint | Concerns::HandSlide) && is_mm(c).is_none()
}

/// Why a condition is not mended.
pub fn stays_because(case: &Case, c: &Condition) -> Text {
    if let Some(o) = case.overrules.of_condition(&c.id)
        && matches!(o.decision, Decision::LeaveCondition { .. })
    {
        return o.words().into();
    }
    if let Some(within) = within(case, c) {
        return within;
    }
    if !wanted(case, c) {
        return "it is only seen, and looks are not part of this work".into();
    }
    if let Some(run) = c.run.as_ref().filter(|run| leaks(c) && !bears_patch(case, run)) {
        return text!(
            "no patch lies where something slides or turns ({}): a new one is all that helps, and none is to be had",
            case.run_name(run)
        );
    }
    if let Some(Flame::Never(why)) = c.run.as_ref().filter(|_| leaks(c)).map(|run| patch_flame_may(case, run)) {
        return text!("a patch needs a flame that may not be lit ({})", why);
    }
    for way in ways(case, c) {
        for what in &way.opens {
            if let Some(why) = case.barred(what) {
                return text!("{} must stay as it is ({})", case.opened_name(what), why);
            }
        }
        for what in way.opens.iter().chain(&way.solders) {
            if let Flame::Never(why) = case.flame_to_open(what) {
                return text!("it needs a flame that may not be lit ({})", why);
            }
        }
    }
    match case.overrules.deadline_min() {
        Some(_) => "there is no time for it before the deadline".into(),
        None => "no way was found to mend it".into(),
    }
}

impl Mend {
    /// The kind of its own step; none where soldering is all of it.
    pub fn kind(self) -> Option<StepKind> {
        match self {
            Mend::SolderBrace => None,
            Mend::BrazeBrace => Some(StepKind::BrazeBrace),
            Mend::NewBrace => Some(StepKind::NewBrace),
            Mend::MakeBrace => Some(StepKind::MakeBrace),
            Mend::AlignJoint => Some(StepKind::Align),
            Mend::Straighten => Some(StepKind::Straighten),
            Mend::StraightenSlide => Some(StepKind::StraightenSlide),
            Mend::RoundOut => Some(StepKind::RoundOut),
            Mend::Patch => Some(StepKind::Patch),
        }
    }
}
