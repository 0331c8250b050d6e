//! What must be checked before a job may close: each check ends with a figure or a reason. The plan's steps say what is
//! checked; here it is put in words.

use instrument::{ConditionId, ConditionKind, FitKind, JointKind, OverlayKind, Survey};
use plan::{BALL_PLAY_MM, Check, Plan};
use serde::{Deserialize, Serialize};
use units::text::{given_mm, mm};
use units::{Text, text};

/// A check to take.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct AcceptanceCheck {
    /// Names the check, whatever its place.
    pub key: String,
    /// What to do, in the words of the bench.
    pub what: Text,
    /// What is wanted, with its unit, in as few words as the card has room for.
    pub wanted: Text,
    /// Whence that figure is, for the desk; empty where nothing is measured.
    pub because: Text,
    /// What is wanted of a length, to compare the figure with; none where no length is asked for.
    pub wanted_mm: Option<WantedLength>,
}

/// Between what a length must lie that a check asks for.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct WantedLength {
    /// The least reading that will do, mm.
    pub least_mm: Option<f64>,
    /// The largest reading that will do, mm.
    pub most_mm: Option<f64>,
    /// Whether the check is its figure (a ball that passes). Else it is told by hand (a piston that falls), and a figure is
    /// compared where one is taken.
    pub figure_needed: bool,
}

impl WantedLength {
    /// A length that will do.
    pub fn one_mm(self) -> f64 {
        match (self.least_mm, self.most_mm) {
            (Some(least), Some(most)) => 0.5 * (least + most),
            (least, most) => least.or(most).unwrap_or(0.0),
        }
    }
}

/// What stands behind the lengths that are wanted.
const USUAL: &str = "common practice, no source";

/// How far a size in inches on a page or a gauge may stand below what it means, mm: fractions are told to within 0.001 in
/// (`units::length::show_inch`).
const BALL_READING_MM: f64 = 0.001 * units::length::MM_PER_INCH;

/// The checks of a plan's steps, in their order.
pub fn acceptance_checks(survey: &Survey, plan: &Plan) -> Vec<AcceptanceCheck> {
    plan.steps.iter().flat_map(|s| &s.checks).map(|c| in_words(survey, c)).collect()
}

fn in_words(survey: &Survey, check: &Check) -> AcceptanceCheck {
    let instrument = &survey.instrument;
    let (mut wanted_mm, mut because) = (None, Text::default());
    let (what, wanted): (Text, Text) = match check {
        Check::Bore { run, bore_mm, dents, before_mm } => {
            let name = instrument.run(run).map_or(run.0.as_str(), |r| r.name.as_str());
            // What is compared is what the page says: a ball to the tenth.
            let ball = (10.0 * (bore_mm - BALL_PLAY_MM).max(0.0) + 1e-6).floor() / 10.0;
            wanted_mm = Some(WantedLength { least_mm: Some(ball - BALL_READING_MM), most_mm: None, figure_needed: true });
            let ids: Vec<&str> = dents.iter().map(|d| d.0.as_str()).collect();
            let places = match &ids[..] {
                [] => String::new(),
                ids => format!(" at {}", ids.join(", ")),
            };
            let before = before_mm.map_or_else(Text::default, |b| text!("; {} passed before", mm(b, 1)));
            because = text!("what the work leaves open there less {} ({})", given_mm(BALL_PLAY_MM), USUAL);
            (text!("Largest ball that passes the {}{}", name, places), text!("{} or larger{}", mm(ball, 1), before))
        }
        Check::Fit { fit } => {
            let found = instrument.fit(fit);
            let name = found.map_or(fit.0.as_str(), |f| f.name.as_str());
            // Diametral clearances, mm: common practice, no source.
            let (what, clearance_mm) = match found.map(|f| f.kind) {
                Some(FitKind::PistonInCasing) => ("falls and rises by its own spring over its whole stroke", Some((0.04, 0.08))),
                Some(FitKind::RotorInCasing) => ("turns freely over its whole stroke", None),
                Some(FitKind::HandSlide) => ("runs out of the last position by its own weight", Some((0.08, 0.15))),
                Some(FitKind::TuningSlide) | None => ("drops by its own weight when oiled, and holds when greased", Some((0.05, 0.1))),
            };
            wanted_mm = clearance_mm.map(|(least, most)| WantedLength { least_mm: Some(least), most_mm: Some(most), figure_needed: false });
            let wanted = clearance_mm.map_or_else(|| "no catch, no grating".into(), |(least, most)| clear(least, most));
            if clearance_mm.is_some() {
                because = USUAL.into();
            }
            (text!("{}: {}", name, what), wanted)
        }
        Check::Holds { overlay } => {
            let found = instrument.overlay(overlay);
            let name = found.map_or(overlay.0.as_str(), |o| o.name.as_str());
            let seam = found.is_some_and(|o| matches!(o.kind, OverlayKind::Guard | OverlayKind::Ferrule));
            if seam {
                (
                    text!("{}: looked at along its whole seam, then tapped", name),
                    "solder unbroken along its edges, no rattle; where open, run solder in".into(),
                )
            } else {
                (
                    text!("{}: pushed and pulled by hand each way, then tapped", name),
                    "no play at any foot, no rattle, solder round the whole of each foot".into(),
                )
            }
        }
        Check::InLine { condition, most_mm, over_mm } => {
            let name = of_what(survey, condition);
            let how = match survey.condition(condition).map(|c| c.kind) {
                Some(ConditionKind::BentHandSlide) => "the leg rolled on the surface plate, a feeler under it",
                Some(ConditionKind::PulledJoint) => "a straight edge over the joint, on two sides",
                _ => "a straight edge along it, on two sides",
            };
            // What is compared is what the page says: to the hundredth.
            let most = (100.0 * most_mm).round() / 100.0;
            wanted_mm = Some(WantedLength { least_mm: None, most_mm: Some(most), figure_needed: true });
            because = USUAL.into();
            (text!("{} in line: {}", name, how), text!("{} or less out of line over {}", mm(most, 2), mm(*over_mm, 0)))
        }
        Check::Round { condition, most_mm } => {
            let name = of_what(survey, condition);
            let most = (100.0 * most_mm).round() / 100.0;
            wanted_mm = Some(WantedLength { least_mm: None, most_mm: Some(most), figure_needed: true });
            because = USUAL.into();
            (text!("{} round: its largest outside diameter less its least, by a caliper", name), text!("{} or less", mm(most, 2)))
        }
        Check::Tight => {
            let slides = instrument.joints.iter().any(|j| matches!(j.kind, JointKind::SlidingFit));
            (
                "Tightness: bell stopped, pressure or smoke at the receiver, every joint that was opened watched".into(),
                if slides { "no bubble, no draught; with slides greased" } else { "no bubble, no draught" }.into(),
            )
        }
        Check::Pull => ("Pull test: each tuning slide drawn with its valve shut".into(), "a clear pop, or the hiss named".into()),
        Check::Look { dents, stay_mm } => {
            // Most dents may keep the same: those that may keep more are named.
            let usual = stay_mm.iter().map(|s| s.1).fold(f64::INFINITY, f64::min);
            let more: Vec<Text> = stay_mm.iter().filter(|s| s.1 > usual + 0.05).map(|(d, most)| text!("{} {}", d, mm(*most, 1))).collect();
            let named = if more.is_empty() { Text::default() } else { text!(", but {}", Text::join(&more, ", ")) };
            (
                "Before and after: each dent looked at along the light, photo beside the first one".into(),
                if stay_mm.is_empty() {
                    text!("{} dents compared; what is left is named", dents)
                } else {
                    text!("{} dents compared; none is deeper than {}{}", dents, mm(usual, 2), named)
                },
            )
        }
        Check::Plays => ("Played over its range, every valve and slide".into(), "speaks as the player expects".into()),
    };
    AcceptanceCheck { key: check.key(), what, wanted, because, wanted_mm }
}

fn of_what(survey: &Survey, id: &ConditionId) -> String {
    survey.condition(id).map_or_else(|| id.0.clone(), |c| c.of_what(&survey.instrument))
}

/// No catch, and a clearance on the diameter between two sizes, mm. Common practice, no source.
fn clear(least_mm: f64, most_mm: f64) -> Text {
    text!("no catch; {} to {} clear on the diameter", mm(least_mm, 2).bare(), mm(most_mm, 2))
}

#[cfg(test)]
mod tests {
    use super::*;
    use instrument::{Kind, RunId};

    fn bore(run: RunId, bore_mm: f64) -> Check {
        Check::Bore { run, bore_mm, dents: vec![], before_mm: None }
    }

    /// Every size of ball that can be asked for passes as it is shown, in millimeters and in inches, and not a tenth of a millimeter less.
    #[test]
    fn a_ball_as_the_page_shows_it_will_do() {
        let survey = Survey::of(instrument::patterns::pattern(Kind::Trumpet).unwrap());
        let run = survey.instrument.runs[0].id.clone();
        for hundredths in 800..9000 {
            let check = in_words(&survey, &bore(run.clone(), f64::from(hundredths) / 100.0));
            let least = check.wanted_mm.unwrap().least_mm.unwrap();
            for unit in [units::LengthUnit::Mm, units::LengthUnit::Inch] {
                let shown = check.wanted.show(unit);
                let ball = shown.split(" or larger").next().unwrap();
                let typed = units::length::parse_length_mm(ball, Some(unit)).unwrap();
                assert!(typed >= least - 0.005 && typed - 0.1 < least - 0.005, "{shown}: {typed} against {least}");
            }
        }
    }

    #[test]
    fn a_clearance_is_wanted_between_two_sizes_and_a_rotor_s_by_hand_alone() {
        let survey = Survey::of(instrument::patterns::pattern(Kind::Trumpet).unwrap());
        let piston = survey.instrument.fits.iter().find(|f| f.kind == FitKind::PistonInCasing).unwrap();
        let wanted = in_words(&survey, &Check::Fit { fit: piston.id.clone() }).wanted_mm.unwrap();
        assert_eq!((wanted.least_mm, wanted.most_mm, wanted.figure_needed), (Some(0.04), Some(0.08), false));
        assert!(in_words(&survey, &Check::Plays).wanted_mm.is_none());
        // The other kinds, said once more so that nobody changes them by a slip.
        let trombone = Survey::of(instrument::patterns::pattern(Kind::Trombone).unwrap());
        let of = |survey: &Survey, kind| {
            let fit = survey.instrument.fits.iter().find(|f| f.kind == kind).unwrap();
            in_words(survey, &Check::Fit { fit: fit.id.clone() }).wanted_mm.map(|w| (w.least_mm.unwrap(), w.most_mm.unwrap()))
        };
        assert_eq!(of(&trombone, FitKind::HandSlide), Some((0.08, 0.15)));
        assert_eq!(of(&survey, FitKind::TuningSlide), Some((0.05, 0.1)));
    }

    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn a_ball_passes_a_tenth_under_the_bore() {
        let survey = Survey::of(instrument::patterns::pattern(Kind::Trumpet).unwrap());
        let run = survey.instrument.runs[0].id.clone();
        let check = in_words(&survey, &bore(run, 20.0));
        assert_eq!(check.wanted.metric(), "19.9 mm or larger");
        assert_eq!(check.because.metric(), "what the work leaves open there less 0.1 mm (common practice, no source)");
        // The figure that the page asks for will do, in both units; a tenth less will not.
        let least = check.wanted_mm.unwrap().least_mm.unwrap();
        let inches = units::length::show_inch(19.9);
        let typed = units::length::parse_length_mm(&inches, None).unwrap();
        assert!(least <= 19.9 && least <= typed && least > 19.8, "{least} {inches} {typed}");
    }
}
