//! What is wrong apart from dents is mended: braces brazed, made and soldered, joints lined up, tubes, bells and slides straightened
//! and rounded; and checked.

use super::draft::{Does, Setup, phase};
use super::{Builder, each_further, size, step};
use crate::mend;
use crate::outcome::Mend;
use crate::step::Check;
use crate::step_kind::StepKind;
use crate::steps::chosen::Mended;
use instrument::{Condition, ConditionKind};
use reach::Opened;
use units::text::mm;
use units::{Text, text};

impl Builder<'_, '_> {
    /// All mending but the soldering itself.
    pub(super) fn mends(&mut self) {
        let case = self.case;
        for m in &self.chosen.mended {
            let (Some(c), Some(kind)) = (case.survey.condition(&m.condition), m.way.mend.kind()) else { continue };
            if m.way.patch.is_some() {
                // With the patches of dents.
                continue;
            }
            let (what, because) = self.mend_words(c, m);
            let mut s = step(kind, what, m.way.minutes, because);
            s.condition = Some(c.id.clone());
            s.joint.clone_from(&c.joint);
            s.run = c.lies(case.instrument()).first().map(|l| l.run.clone());
            let (does, rank, setup) = match (&c.overlay, &c.joint) {
                (Some(overlay), _) => {
                    let what = Opened::Overlay(overlay.clone());
                    s.run = None;
                    s.opened = Some(what.clone());
                    (Does::MendsBrace(what), (phase::TOOL, 1), Setup::Heat(format!("mend {overlay}")))
                }
                (None, Some(joint)) => {
                    let what = Opened::Joint(joint.clone());
                    s.opened = Some(what.clone());
                    (Does::Aligns(what), (phase::CHECK, 1), Setup::Hand)
                }
                (None, None) => {
                    let runs = c.lies(case.instrument()).into_iter().map(|l| l.run).collect();
                    let fixture = s.run.clone().map_or(Setup::Hand, |run| Setup::Fixture(run, "line".to_owned()));
                    (Does::Straightens(runs), (phase::WORK, 0), fixture)
                }
            };
            let setup = if matches!(m.way.mend, Mend::NewBrace) { Setup::Bench } else { setup };
            let d = self.draft.add(s, does, rank, setup);
            d.needs_open.clone_from(&m.way.opens);
        }
    }

    /// A brace is soldered where it lies, unless it comes off and goes back in this plan.
    pub(super) fn solder_braces(&mut self) {
        let case = self.case;
        for m in &self.chosen.mended {
            let Some(what) = m.way.solders.clone().filter(|o| !self.chosen.opened.contains(o)) else { continue };
            let Some(c) = case.survey.condition(&m.condition) else { continue };
            let name = case.opened_name(&what);
            let runs = self.touched(&what);
            let mut s = step(
                StepKind::OverlayBack,
                text!("Solder {}: feet and tube cleaned to bright metal, bent to the tubes so that it lies on without strain", name),
                case.standards.open_close(case.instrument(), &what).close,
                brace_because(c.kind),
            );
            s.condition = Some(c.id.clone());
            s.run = runs.first().cloned();
            s.opened = Some(what.clone());
            self.heat(&mut s, case.heats.solder_flame(&what));
            let setup = if s.heat.is_some() { Setup::Heat(format!("brace {what:?}")) } else { Setup::Hand };
            let melts = case.filler(&what);
            self.draft.add(s, Does::Resolders(what), (phase::BRACE, 0), setup).known.melts = melts;
        }
    }

    /// All that was mended is checked in one go, cold and with all soldered.
    pub(super) fn check_mends(&mut self) {
        let case = self.case;
        // A patch is proved with the tightness of all.
        let mended = || self.chosen.mended.iter().filter(|m| m.way.patch.is_none()).filter_map(|m| case.survey.condition(&m.condition));
        let checks: Vec<Check> = mended().filter_map(|c| mend::check(case, c)).collect();
        if checks.is_empty() {
            return;
        }
        let mut names: Vec<String> = mended().map(|c| c.of_what(case.instrument())).collect();
        names.dedup();
        let mut s = step(
            StepKind::AcceptanceCheck,
            format!("Check braces, lines and rounds, cold and all soldered: {}", names.join(", ")),
            self.minutes(StepKind::AcceptanceCheck).times(each_further(checks.len())),
            "solder pulls as it sets: what was true when it was straightened is looked at again".to_owned(),
        );
        s.checks = checks;
        self.draft.add(s, Does::ChecksMends, (phase::TIGHT, 0), Setup::Hand);
    }

    fn mend_words(&self, c: &Condition, m: &Mended) -> (Text, Text) {
        let case = self.case;
        let name = c.of_what(case.instrument());
        let off = match (c.offset_mm(), &c.over_mm) {
            (Some(out), Some(over)) => text!(" ({} out of line over {})", mm(out, 1), mm(over.value, 0)),
            (Some(out), None) => text!(" ({} out of line)", mm(out, 1)),
            (None, _) => " (nobody measured how far)".into(),
        };
        let line = || mend::tolerance_mm(case, c).map_or_else(Text::default, |most| text!("within {}", mm(most, 2)));
        match m.way.mend {
            Mend::Patch => (text!("Patch {}", name), "it leaks".into()),
            Mend::SolderBrace => (text!("Solder {}", name), brace_because(c.kind)),
            Mend::BrazeBrace => (
                text!("Braze {} at its break with cadmium-free silver, all soft solder off it first; feet in line on a jig", name),
                "soft solder left on it eats into the metal at brazing heat; a break that is only soft-soldered opens again".into(),
            ),
            Mend::NewBrace => (text!("Fit a new {}: length and feet to the tubes", name), brace_because(c.kind)),
            Mend::MakeBrace => (text!("Make {}: rod and feet, brazed, to the tubes' own distance", name), brace_because(c.kind)),
            Mend::AlignJoint => (
                text!("Clean {} to bright metal and line its tubes up{}, so that it closes without strain", name, off),
                "it is pulled: closed under strain it opens again, and while it is open it leaks".into(),
            ),
            Mend::Straighten if c.kind == ConditionKind::BentBell => (
                text!("Straighten {}{}: by hand or over a mandrel, against a straight edge along it, {}", name, off, line()),
                "before its dents: a bell that is bent back afterwards opens them again".into(),
            ),
            Mend::Straighten => (
                text!("Straighten {}{}: back past its line by what it springs, against a straight edge, {}", name, off, line()),
                "what holds it is off: straightened against a brace it springs back or tears the brace loose".into(),
            ),
            Mend::StraightenSlide => (
                text!("Straighten the bent leg of {}{}: over its own mandrel, rolled on the surface plate, {}", name, off, line()),
                "a leg bent by more than half of the clearance rubs in every position".into(),
            ),
            Mend::RoundOut => {
                let bore = c.run.as_ref().and_then(|r| case.run(r)).map(|r| r.bore_at(case.condition_mm(c)).value);
                let bore = bore.map_or_else(Text::default, |b| text!(" ({})", size(b)));
                let wide = match (&c.least_mm, &c.most_mm) {
                    (Some(a), Some(b)) => text!(" ({} to {} across)", mm(a.value, 2), mm(b.value, 2)),
                    _ => " (nobody measured how oval)".into(),
                };
                (
                    text!("Round {}{} over a mandrel or ball of its own bore{} or in a ring, {}", name, wide, bore, line()),
                    "before its dents: a dent is measured from a round tube, and a ball that fits the bore does not pass an oval one"
                        .into(),
                )
            }
        }
    }
}

fn brace_because(kind: ConditionKind) -> Text {
    match kind {
        ConditionKind::BrokenBrace => "it is broken: what it should hold works its joints open",
        ConditionKind::MissingBrace => "it is missing: what it should hold works its joints open",
        _ => "it is loose: it rattles, and what it should hold works its joints open",
    }
    .into()
}
