//! What is worth measuring: each input that nobody measured is set to its low, middle and high value in turn, and the whole plan is
//! worked out again. What that moves (the crack, the way, the minutes, the cost) is what the measurement decides; its worth is the cost
//! of working the dent the way that was planned without knowing, less the cost of the way that is then best.

use crate::Job;
use dent::Assessment;
use instrument::fields::{Field, HV_PART, dent as d};
use instrument::{Dent, DentId, Site};
use metal::Temper;
use plan::{Decision, Heats, Overrule, Overrules, Plan};
use rayon::prelude::*;
use reach::MethodKind;
use serde::{Serialize, Serializer};
use units::duration::show_minutes_between;
use units::figure::Z90;
use units::likelihood::show_likelihood_between;
use units::money::{show_about, show_about_between};
use units::{Known, Origin, Text, Unit, text};

/// Weights of the 5 %, 50 % and 95 % points of a distribution: they give mean and variance of most bell-shaped ones within a few per cent.
/// Source: Keefer & Bodily, Management Science 29 (1983), the extended Pearson–Tukey approximation (from memory).
const WEIGHTS: [f64; 3] = [0.185, 0.63, 0.185];

/// So many inputs are worked through the whole plan; the others were looked at in the assessment alone, and move it less.
const MOST_LOOKED_AT: usize = 20;

/// What a measurement is worth.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Worth {
    /// The dent.
    pub dent: DentId,
    /// The field of the dent that it would fill; written by its key.
    #[serde(serialize_with = "by_key")]
    pub field: &'static Field,
    /// The plan were it measured to be low, middling, high (5 %, 50 %, 95 %).
    pub points: [Point; 3],
    /// What knowing it saves in the mean: the cost of the way planned without knowing, less that of the way that is then best, money.
    pub saves_money: f64,
    /// How far the expected cost of the job lies apart between the points: one standard deviation, money.
    pub spread_money: f64,
}

fn by_key<S: Serializer>(field: &&'static Field, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(field.key)
}

/// One of the values that a measurement may have.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Point {
    /// The value, in the field's unit.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
    /// Likelihood that the dent cracks in its work; none where it is not worked.
    pub crack_likelihood: Option<f64>,
    /// What its work costs by itself, money.
    pub dent_money: Option<f64>,
    /// How it is worked.
    pub method: Option<MethodKind>,
    /// Expected cost of the whole job, money.
    pub job_money: f64,
    /// Expected minutes of the whole job.
    pub job_min: f64,
}

/// What is worth measuring, the most useful first, and how many inputs were looked at.
#[derive(Clone, Debug, PartialEq, Default, Serialize)]
pub struct WorthKnowing {
    /// Inputs of the dents that nobody measured.
    pub missing: usize,
    /// Of these, worked through the whole plan.
    pub looked_at: usize,
    /// What each is worth.
    pub all: Vec<Worth>,
}

/// A field of a dent that nobody measured, with what it may turn out to be.
struct Missing {
    dent: usize,
    field: &'static Field,
    values: [Known; 3],
}

impl Job {
    /// What is worth measuring on this instrument.
    pub fn worth_knowing(&self) -> WorthKnowing {
        let mut all: Vec<(f64, Missing)> = self.missing().into_par_iter().map(|m| (self.at_first_sight(&m), m)).collect();
        let missing = all.len();
        all.sort_by(|a, b| b.0.total_cmp(&a.0));
        all.retain(|m| m.0 > 0.0);
        all.truncate(MOST_LOOKED_AT);
        let heats = self.heats();
        let mut worth: Vec<Worth> = all.par_iter().filter_map(|(_, m)| self.worth_of(m, &heats)).collect();
        let rank = |w: &Worth| w.saves_money + w.spread_money;
        worth.sort_by(|a, b| rank(b).total_cmp(&rank(a)));
        WorthKnowing { missing, looked_at: all.len(), all: worth }
    }

    fn heats(&self) -> Heats<'_> {
        // The torches that are away are told to the plan by its decisions; flames are reckoned as the job's own were.
        Heats::new(&self.survey.instrument, &self.rack).knowing(&self.flames)
    }

    fn missing(&self) -> Vec<Missing> {
        let mut all = Vec::new();
        for (i, dent) in self.survey.dents.iter().enumerate() {
            let (Some(site), Some(a)) = (self.survey.site(dent), self.assessments.iter().find(|a| a.dent == dent.id)) else { continue };
            for field in [&d::DEPTH, &d::ALONG, &d::ACROSS, &d::EDGE_RADIUS, &d::WALL, &d::HARDNESS] {
                if let Some(values) = values(field, dent, &site, a) {
                    all.push(Missing { dent: i, field, values });
                }
            }
        }
        all
    }

    /// How far a measurement moves the assessment between its ends, in shares of what a person weighs: the order in which the inputs are
    /// looked at, no more.
    fn at_first_sight(&self, m: &Missing) -> f64 {
        let at = |value: &Known| self.assessed(m, value);
        let (Some(low), Some(high)) = (at(&m.values[0]), at(&m.values[2])) else { return 0.0 };
        let crack = |a: &Assessment| a.crack_likelihood.value + a.crack_likelihood_annealed.value;
        let ratio = |a: f64, b: f64| if a > 0.0 && b > 0.0 { (a / b).ln().abs() } else { 0.0 };
        let passage = (low.passage_mm.value - high.passage_mm.value).abs() / low.passage_mm.value.max(1.0);
        4.0 * (crack(&low) - crack(&high)).abs()
            + 0.5 * ratio(low.force_inside_n.value, high.force_inside_n.value)
            + passage
            + f64::from(u8::from(low.advice != high.advice))
    }

    fn assessed(&self, m: &Missing, value: &Known) -> Option<Assessment> {
        let dent = with(&self.survey.dents[m.dent], m.field, value);
        let site = self.survey.site(&dent)?;
        Some(dent::assess(&dent, &site))
    }

    fn worth_of(&self, m: &Missing, heats: &Heats) -> Option<Worth> {
        let id = &self.survey.dents[m.dent].id;
        let now = self.plan.choices.iter().find(|c| c.dent == *id).map(|c| c.method.kind);
        let mut points = Vec::new();
        let (mut saves, mut mean, mut square) = (0.0, 0.0, 0.0);
        for (value, weight) in m.values.iter().zip(WEIGHTS) {
            let (assessments, plan, as_planned) = self.conditioned(m, value, now, heats)?;
            let choice = plan.choices.iter().find(|c| c.dent == *id);
            let a = assessments.iter().find(|a| a.dent == *id)?;
            let money = plan.certificate.cost_money;
            saves += weight * (as_planned - money).max(0.0);
            mean += weight * money;
            square += weight * money * money;
            points.push(Point {
                value: value.value,
                unit: value.unit,
                crack_likelihood: choice.map(|_| plan.crack_likelihood(a).value),
                dent_money: choice.map(|c| c.cost_money.value),
                method: choice.map(|c| c.method.kind),
                job_money: money,
                job_min: plan.minutes.mean(),
            });
        }
        let spread_money = (square - mean * mean).max(0.0).sqrt();
        Some(Worth { dent: id.clone(), field: m.field, points: points.try_into().ok()?, saves_money: saves, spread_money })
    }

    /// The plan were a field of this value, and what it costs to work the dent as it is planned now all the same. What stands in the way of
    /// other dents is taken as it was.
    fn conditioned(&self, m: &Missing, value: &Known, now: Option<MethodKind>, heats: &Heats) -> Option<(Vec<Assessment>, Plan, f64)> {
        let mut survey = self.survey.clone();
        survey.dents[m.dent] = with(&self.survey.dents[m.dent], m.field, value);
        let id = survey.dents[m.dent].id.clone();
        let mut assessments = self.assessments.clone();
        *assessments.iter_mut().find(|a| a.dent == id)? = self.assessed(m, value)?;
        let plan_with = |overrules: &Overrules| {
            let constraints = overrules.constraints(&survey);
            let known = self.remembered.without(m.dent);
            let (methods, _) = reach::methods_after(Some((&self.methods, &known)), &survey, &assessments, &self.rack, &constraints);
            plan::plan_to(self.plan.level, &survey, &assessments, &methods, heats, &self.shop.standards, overrules)
        };
        let plan = plan_with(&self.overrules);
        let then = plan.choices.iter().find(|c| c.dent == id).map(|c| c.method.kind);
        let as_planned = if then == now {
            plan.certificate.cost_money
        } else {
            let decision = match now {
                Some(method) => Decision::UseMethod { dent: id, method },
                None => Decision::LeaveDent { dent: id },
            };
            let mut held = self.overrules.clone();
            held.all.push(Overrule { decision, who: String::new(), why: String::new() });
            plan_with(&held).certificate.cost_money
        };
        Some((assessments, plan, as_planned))
    }
}

/// A dent with a field measured.
fn with(dent: &Dent, field: &Field, value: &Known) -> Dent {
    let mut dent = dent.clone();
    let place = match field.key {
        k if k == d::DEPTH.key => &mut dent.depth_mm,
        k if k == d::ALONG.key => &mut dent.width_along_mm,
        k if k == d::ACROSS.key => &mut dent.width_across_mm,
        k if k == d::EDGE_RADIUS.key => &mut dent.edge_radius_mm,
        k if k == d::WALL.key => &mut dent.wall_mm,
        _ => &mut dent.hardness_hv,
    };
    *place = Some(value.clone());
    dent
}

/// What a field may turn out to be: the 5 %, 50 % and 95 % points of what the assessment takes it for; none where it is measured, or
/// plays no part.
fn values(field: &'static Field, dent: &Dent, site: &Site, a: &Assessment) -> Option<[Known; 3]> {
    let measured = |k: &Option<Known>| k.as_ref().is_some_and(|k| !k.origin.could_be_measured());
    let of = |points: [f64; 3], unit: Unit, sd: &dyn Fn(f64) -> f64| {
        // A length or a hardness is above zero, however wide its spread.
        let least = LEAST_PART * points[1];
        let fine = points.iter().all(|v| v.is_finite()) && points[1] > 0.0 && points[2] > points[0].max(least);
        fine.then(|| points.map(|v| Known::new(field.name, v.max(least), sd(v), unit, Origin::Measured)))
    };
    let length = |low: f64, middle: f64, high: f64| of([low, middle, high], Unit::Mm, &|_| field.gauge().sd_mm);
    let spread = |k: &Known| length(k.value - Z90 * k.sd, k.value, k.value + Z90 * k.sd);
    let (along, across) = (!dent.profile_along.is_empty(), !dent.profile_across.is_empty());
    match field.key {
        k if k == d::DEPTH.key => {
            let f = &a.depth_mm;
            (!measured(&dent.depth_mm) && !along && !across).then(|| length(f.low, f.value, f.high))?
        }
        k if k == d::ALONG.key => {
            let f = &a.width_along_mm;
            (!measured(&dent.width_along_mm) && !along).then(|| length(f.low, f.value, f.high))?
        }
        k if k == d::ACROSS.key => {
            let f = &a.width_across_mm;
            (!measured(&dent.width_across_mm) && !across).then(|| length(f.low, f.value, f.high))?
        }
        k if k == d::EDGE_RADIUS.key => {
            // Only a fold or a sharp edge has one: where the assessment takes one for granted.
            let radius = |i: &&units::Input| i.known.unit == Unit::Mm && i.known.name == dent::FOLD_RADIUS_NOT_MEASURED;
            spread(&a.crack_likelihood.reason.inputs.iter().find(radius)?.known)
        }
        k if k == d::WALL.key => site.wall_mm.origin.could_be_measured().then(|| spread(&site.wall_mm))?,
        k if k == d::HARDNESS.key => {
            let t = &site.temper;
            let hv = |n: f64| metal::vickers::vickers(site.alloy, Temper(n)).value;
            let points = [t.value - Z90 * t.sd, t.value, t.value + Z90 * t.sd].map(hv);
            t.origin.could_be_measured().then(|| of(points, Unit::Hv, &|v| HV_PART * v))?
        }
        _ => None,
    }
}

/// The least that a length is taken for, as a part of its middle value.
const LEAST_PART: f64 = 0.1;

impl Point {
    /// Its value with its unit.
    pub fn value_words(&self) -> Text {
        match self.unit {
            Unit::Mm => text!("{}", units::text::mm(self.value, if self.value < 1.0 { 2 } else { 1 })),
            unit => format!("{:.0} {}", self.value, unit.symbol()).into(),
        }
    }
}

impl Worth {
    /// The least and the most of a figure over the points; none where a point has it not.
    fn range(&self, of: impl Fn(&Point) -> Option<f64>) -> Option<(f64, f64)> {
        let all: Option<Vec<f64>> = self.points.iter().map(of).collect();
        let all = all?;
        Some((all.iter().copied().fold(f64::INFINITY, f64::min), all.iter().copied().fold(f64::NEG_INFINITY, f64::max)))
    }

    /// The range of the likelihood that the dent cracks.
    pub fn crack_range(&self) -> Option<(f64, f64)> {
        self.range(|p| p.crack_likelihood)
    }

    /// The range of what its work costs.
    pub fn money_range(&self) -> Option<(f64, f64)> {
        self.range(|p| p.dent_money)
    }

    /// The ways that it may be worked, each once.
    pub fn ways(&self) -> Vec<Option<MethodKind>> {
        let mut all: Vec<Option<MethodKind>> = Vec::new();
        for p in &self.points {
            if !all.contains(&p.method) {
                all.push(p.method);
            }
        }
        all
    }

    /// What it is and what hangs on it, in a sentence.
    pub fn words(&self, currency: &str) -> Text {
        let (least, most) = (self.points[0].value_words(), self.points[2].value_words());
        let mut said = text!("{} of dent {}: it may be {} to {}", self.field.label.to_lowercase(), self.dent, least, most);
        let hangs = self.hangs_on(currency);
        if !hangs.is_empty() {
            said += text!(". It decides: {}", hangs);
        }
        said
    }

    /// What hangs on it, without its name; nothing where nothing does.
    pub fn hangs_on(&self, currency: &str) -> Text {
        let mut parts: Vec<Text> = Vec::new();
        if let Some((low, high)) = self.crack_range().filter(|(low, high)| high - low >= 0.01) {
            parts.push(format!("crack likelihood {}", show_likelihood_between(low, high)).into());
        }
        if let Some((low, high)) = self.money_range().filter(|(low, high)| high - low >= 1.0) {
            parts.push(format!("its cost {}", show_about_between(low, high, currency)).into());
        }
        let (low, high) = self.range(|p| Some(p.job_min)).unwrap_or_default();
        if high - low >= 1.0 {
            parts.push(format!("the whole time {}", show_minutes_between(low, high)).into());
        }
        let ways: Vec<Text> = self.ways().iter().map(|w| w.map_or("left", plan::method_words).into()).collect();
        if ways.len() > 1 {
            parts.push(text!("the method is {}", Text::join(&ways, " or ")));
        }
        if self.saves_money >= 1.0 {
            parts.push(format!("measuring it saves {} on average", show_about(self.saves_money, currency)).into());
        }
        Text::join(&parts, " · ")
    }
}

impl WorthKnowing {
    /// What to measure next and what hangs on it, in a sentence; where nothing much does, that.
    pub fn measure_next(&self, currency: &str) -> Text {
        let looked = || match (self.missing, self.looked_at) {
            (0, _) => Text::from("all that decides is measured"),
            (missing, looked) => format!("of {missing} inputs that nobody measured, {looked} were worked through the whole plan").into(),
        };
        match self.all.first().filter(|w| w.matters()) {
            None => text!("nothing would change much ({})", looked()),
            Some(w) => text!("{}. Looked at: {}", w.words(currency), looked()),
        }
    }

    /// Those worth the walk to the gauge.
    pub fn worth_the_walk(&self) -> impl Iterator<Item = &Worth> {
        self.all.iter().filter(|w| w.matters())
    }
}

/// What is worth the walk to the gauge: money saved or spread, a likelihood. Common practice, no source.
const WORTH_THE_WALK: (f64, f64) = (3.0, 0.05);

impl Worth {
    /// Whether anything hangs on it that a person would act on.
    pub fn matters(&self) -> bool {
        let crack = self.crack_range().is_some_and(|(low, high)| high - low >= WORTH_THE_WALK.1);
        crack || self.saves_money + self.spread_money >= WORTH_THE_WALK.0 || self.ways().len() > 1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Mean, variance and fourth moment of the normal (closed form: 0, 1, 3) and of a flat distribution (variance 1/12) from their 5 %,
    /// 50 % and 95 % points. The fourth moment of the normal is the point's own 1.645² times its variance: 2.71.
    #[test]
    fn the_weights_give_the_moments_of_what_they_stand_for() {
        let moment = |points: [f64; 3], n: i32| points.iter().zip(WEIGHTS).map(|(x, w)| w * x.powi(n)).sum::<f64>();
        let normal = [-Z90, 0.0, Z90];
        assert!((WEIGHTS.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        assert!(moment(normal, 1).abs() < 1e-12 && (moment(normal, 2) - 1.0).abs() < 0.005, "{}", moment(normal, 2));
        let flat = [0.05, 0.5, 0.95].map(|x| x - 0.5);
        assert!((moment(flat, 2) * 12.0 - 1.0).abs() < 0.11, "{}", moment(flat, 2) * 12.0);
    }

    #[test]
    fn a_walk_is_worth_a_crack_that_is_in_doubt_money_or_another_way() {
        let worth = |crack: f64, saves_money: f64, spread_money: f64, other: MethodKind| {
            let point = |value: f64, crack: f64, method| Point {
                value,
                unit: Unit::Mm,
                crack_likelihood: Some(crack),
                dent_money: Some(50.0),
                method: Some(method),
                job_money: 300.0,
                job_min: 200.0,
            };
            let rolled = MethodKind::Rolling;
            let points = [point(4.0, 0.01, rolled), point(8.0, 0.01, rolled), point(16.0, 0.01 + crack, other)];
            Worth { dent: "d1".into(), field: &d::ACROSS, points, saves_money, spread_money }
        };
        let same = MethodKind::Rolling;
        for (w, matters) in [
            (worth(0.0, 0.0, 0.0, same), false),
            (worth(0.045, 1.0, 1.5, same), false),
            (worth(0.055, 0.0, 0.0, same), true),
            (worth(0.0, 1.5, 2.0, same), true),
            (worth(0.0, 0.0, 0.0, MethodKind::Magnet), true),
        ] {
            assert_eq!(w.matters(), matters, "{w:?}");
            let said = WorthKnowing { missing: 3, looked_at: 1, all: vec![w.clone()] }.measure_next("$").metric();
            assert_eq!(said.starts_with("nothing"), !matters, "{said}");
            assert!(said.contains("of 3 inputs that nobody measured, 1"), "{said}");
        }
        assert_eq!(WorthKnowing::default().measure_next("$").metric(), "nothing would change much (all that decides is measured)");
    }
}
