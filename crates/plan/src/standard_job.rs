//! The shop's own list of standard jobs: what a ticket asks for beside dents, with its minutes, its parts, its hazards, who may do it and
//! what it needs. Plain data; the shop's file is read at the rim.

use crate::{Caution, Step, StepKind};
use instrument::{FitKind, Instrument, Role, Survey, Work, WorkId};
use serde::{Deserialize, Serialize};
use units::ThreePoint;

/// When on the bench a job is done.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, strum::IntoStaticStr, strum::EnumString, strum::VariantArray,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum When {
    /// First, before it is taken apart: what is stuck is freed.
    First,
    /// With the metal: before the dents of its tube.
    #[default]
    Metal,
    /// When all is soldered: slides and valves.
    Fits,
    /// When all metal is done and cold: the finish.
    Finish,
    /// As it is put together: corks, felts, springs.
    Assembly,
}

/// What a job needs of the instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, strum::IntoStaticStr, strum::EnumString, strum::VariantArray)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Need {
    /// Flushed and degreased.
    Cleaned,
    /// Its slides drawn.
    SlidesOut,
    /// Its valves out.
    ValvesOut,
    /// A soldered joint apart: the one that the work names.
    JointOpen,
}

/// A step of the plan that a job may be the same as, so that it is done and billed once.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, strum::IntoStaticStr, strum::EnumString, strum::VariantArray)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum SameAs {
    /// The cleaning.
    Clean,
    /// A slide that is freed.
    FreeSlide,
    /// A valve that is freed.
    FreeValve,
    /// A slide that is trued.
    FitSlide,
    /// A valve that is trued.
    FitValve,
    /// A hand slide that is straightened.
    StraightenHandSlide,
    /// A bell that is straightened.
    StraightenBell,
    /// Another tube that is straightened.
    StraightenTube,
    /// An oval tube that is rounded.
    RoundTube,
}

impl SameAs {
    /// All.
    pub const ALL: &'static [Self] = <Self as strum::VariantArray>::VARIANTS;

    /// Its key in files and forms.
    pub fn key(self) -> &'static str {
        self.into()
    }

    /// In the words of the bench.
    pub fn words(self) -> &'static str {
        match self {
            Self::Clean => "the cleaning",
            Self::FreeSlide => "freeing a slide",
            Self::FreeValve => "freeing a valve",
            Self::FitSlide => "freeing up a slide's fit",
            Self::FitValve => "freeing up a valve's fit",
            Self::StraightenHandSlide => "straightening the hand slide",
            Self::StraightenBell => "straightening the bell",
            Self::StraightenTube => "straightening a tube",
            Self::RoundTube => "rounding an oval tube",
        }
    }

    /// Whether a step of the plan does it.
    pub fn is(self, step: &Step, instrument: &Instrument) -> bool {
        let kind = match self {
            Self::Clean => StepKind::Clean,
            Self::FreeSlide | Self::FreeValve => StepKind::Free,
            Self::FitSlide | Self::FitValve => StepKind::TrueFit,
            Self::StraightenHandSlide => StepKind::StraightenSlide,
            Self::StraightenBell | Self::StraightenTube => StepKind::Straighten,
            Self::RoundTube => StepKind::RoundOut,
        };
        let run = || step.run.as_ref();
        let bell = || run().and_then(|r| instrument.run(r)).is_some_and(|r| matches!(r.role, Role::BellStem | Role::BellFlare | Role::Rim));
        let valve = || {
            let fits = run().map_or_else(Vec::new, |r| instrument.fits_of(r));
            fits.iter().any(|f| matches!(f.kind, FitKind::PistonInCasing | FitKind::RotorInCasing))
        };
        step.kind == kind
            && match self {
                Self::FreeValve | Self::FitValve => valve(),
                Self::FreeSlide | Self::FitSlide => !valve(),
                Self::StraightenBell => bell(),
                Self::StraightenTube => !bell(),
                Self::Clean | Self::StraightenHandSlide | Self::RoundTube => true,
            }
    }
}

impl When {
    /// All, in the order of the bench.
    pub const ALL: &'static [Self] = <Self as strum::VariantArray>::VARIANTS;

    /// Its key in files and forms.
    pub fn key(self) -> &'static str {
        self.into()
    }

    /// In the words of the bench.
    pub fn words(self) -> &'static str {
        match self {
            Self::First => "first, before it is taken apart",
            Self::Metal => "before the dents",
            Self::Fits => "when all is soldered",
            Self::Finish => "when all metal is done",
            Self::Assembly => "as it is put together",
        }
    }
}

impl Need {
    /// All.
    pub const ALL: &'static [Self] = <Self as strum::VariantArray>::VARIANTS;

    /// Its key in files and forms.
    pub fn key(self) -> &'static str {
        self.into()
    }

    /// In the words of the bench.
    pub fn words(self) -> &'static str {
        match self {
            Self::Cleaned => "cleaned inside",
            Self::SlidesOut => "slides out",
            Self::ValvesOut => "valves out",
            Self::JointOpen => "a joint apart",
        }
    }
}

/// A standard job.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StandardJob {
    /// Its key in files, in the record and for learning: it stays.
    pub key: String,
    /// What the bench calls it: "Align the hand slide".
    pub name: String,
    /// What the customer reads that was done: "Hand slide aligned".
    pub customer: String,
    /// Minutes for one.
    pub minutes: ThreePoint,
    /// What each further one of the same takes, as a part of those minutes.
    pub further: f64,
    /// What parts cost the shop for one, money; of work that is sent out what the other shop charges.
    pub parts_money: f64,
    /// What may hurt.
    pub hazards: Vec<Caution>,
    /// The skill that somebody must have for it; empty: anybody.
    pub skill: String,
    /// What it needs.
    pub needs: Vec<Need>,
    /// When it is done.
    pub when: When,
    /// The plan's own step that does the same, so that it is done and billed once: a cleaning asked for is the plan's cleaning.
    pub same_as: Option<SameAs>,
    /// Days away, where it is sent out.
    pub sent_out_days: Option<u32>,
    /// Whether it is off the list: what was asked for before stays.
    pub retired: bool,
    /// Whether the shop's file says nothing of it: common practice.
    #[serde(default)]
    pub usual: bool,
}

/// Each further one of the same takes this part of the first, where the shop says nothing. Common practice, no source: as with bores
/// and legs, which are found and wiped once.
pub const FURTHER: f64 = 1.0 / 3.0;

impl StandardJob {
    /// A job of which only the key is known: half an hour, nothing else said. Common practice, no source.
    pub fn new(key: impl Into<String>) -> Self {
        let key = key.into();
        let words = key.replace(['_', '-'], " ");
        Self {
            name: words.clone(),
            customer: words,
            key,
            minutes: ThreePoint::new(15.0, 30.0, 60.0),
            further: FURTHER,
            parts_money: 0.0,
            hazards: vec![],
            skill: String::new(),
            needs: vec![],
            when: When::default(),
            same_as: None,
            sent_out_days: None,
            retired: false,
            usual: false,
        }
    }

    /// Minutes for so many.
    pub fn minutes_for(&self, count: u32) -> ThreePoint {
        let further = if self.further.is_finite() { self.further.clamp(0.0, 1.0) } else { FURTHER };
        self.minutes.times(1.0 + f64::from(count.max(1) - 1) * further)
    }

    /// Whether it needs this.
    pub fn needs(&self, need: Need) -> bool {
        self.needs.contains(&need)
    }

    /// Whether something is taken apart by hand for it.
    pub fn taken_apart(&self) -> bool {
        self.needs(Need::SlidesOut) || self.needs(Need::ValvesOut)
    }
}

/// The usual list, until the shop says otherwise. Common practice, no source: minutes as a bench reckons them, parts as small packs of
/// them cost.
pub fn common_practice() -> Vec<StandardJob> {
    use Caution as C;
    use Need as N;
    let job = |key: &str, name: &str, customer: &str, minutes: [f64; 3]| StandardJob {
        name: name.to_owned(),
        customer: customer.to_owned(),
        minutes: ThreePoint::new(minutes[0], minutes[1], minutes[2]),
        usual: true,
        ..StandardJob::new(key)
    };
    let apart = || vec![N::SlidesOut, N::ValvesOut];
    vec![
        StandardJob {
            same_as: Some(SameAs::Clean),
            hazards: vec![C::Eyes],
            when: When::First,
            ..job("clean_inside", "Clean inside", "Cleaned inside", [15.0, 25.0, 45.0])
        },
        StandardJob {
            hazards: vec![C::FlyingTool],
            when: When::First,
            ..job("free_mouthpiece", "Free a stuck mouthpiece", "Stuck mouthpiece freed", [2.0, 5.0, 20.0])
        },
        StandardJob {
            same_as: Some(SameAs::FreeSlide),
            hazards: vec![C::PenetratingOil, C::FlyingTool, C::Eyes],
            when: When::First,
            ..job("free_slide", "Free a stuck slide", "Stuck slide freed", [5.0, 15.0, 60.0])
        },
        StandardJob {
            hazards: vec![C::PenetratingOil, C::Eyes],
            when: When::First,
            ..job("free_valve_cap", "Free a stuck valve cap", "Stuck valve cap freed", [3.0, 8.0, 30.0])
        },
        StandardJob {
            same_as: Some(SameAs::StraightenHandSlide),
            hazards: vec![C::Eyes, C::FlyingTool],
            skill: "hand slides".to_owned(),
            needs: vec![N::Cleaned, N::SlidesOut],
            when: When::Fits,
            ..job("align_hand_slide", "Align the hand slide", "Hand slide aligned", [15.0, 30.0, 60.0])
        },
        StandardJob {
            same_as: Some(SameAs::StraightenBell),
            hazards: vec![C::Eyes, C::FlyingTool, C::Vise],
            ..job("straighten_bell", "Straighten the bent bell", "Bent bell straightened", [6.0, 15.0, 35.0])
        },
        StandardJob {
            hazards: vec![C::Eyes, C::FlyingTool],
            ..job("straighten_brace", "Straighten a twisted brace", "Twisted brace straightened", [4.0, 8.0, 20.0])
        },
        StandardJob {
            same_as: Some(SameAs::FitValve),
            hazards: vec![C::Solvent],
            skill: "valves".to_owned(),
            needs: vec![N::Cleaned, N::ValvesOut],
            when: When::Fits,
            further: 0.8,
            ..job("fit_valve", "Lap a valve in and fit it", "Valve fitted", [15.0, 25.0, 50.0])
        },
        StandardJob {
            skill: "valves".to_owned(),
            needs: vec![N::ValvesOut],
            when: When::Assembly,
            ..job("time_valves", "Time the valves: ports in line, open and down", "Valves timed", [8.0, 15.0, 30.0])
        },
        StandardJob {
            parts_money: 3.0,
            needs: vec![N::ValvesOut],
            when: When::Assembly,
            ..job("valve_felts", "New felts and corks on a valve", "New valve felts and corks", [3.0, 6.0, 12.0])
        },
        StandardJob {
            parts_money: 4.0,
            hazards: vec![C::Eyes],
            needs: vec![N::ValvesOut],
            when: When::Assembly,
            ..job("valve_spring", "New spring in a valve", "New valve spring", [2.0, 4.0, 8.0])
        },
        StandardJob {
            parts_money: 1.0,
            when: When::Assembly,
            ..job("water_key_cork", "New cork on a water key", "New water-key cork", [3.0, 5.0, 10.0])
        },
        StandardJob {
            parts_money: 2.5,
            hazards: vec![C::Eyes],
            when: When::Assembly,
            ..job("water_key_spring", "New spring on a water key", "New water-key spring", [4.0, 8.0, 20.0])
        },
        StandardJob {
            parts_money: 2.0,
            needs: vec![N::SlidesOut],
            when: When::Assembly,
            ..job("slide_bumpers", "New corks in the hand slide's cork barrels", "New hand-slide corks", [4.0, 8.0, 15.0])
        },
        StandardJob {
            needs: vec![N::SlidesOut],
            when: When::Assembly,
            further: 0.8,
            ..job("grease_slides", "Clean a slide's legs and grease it", "Slide cleaned and greased", [2.0, 4.0, 8.0])
        },
        StandardJob {
            needs: apart(),
            parts_money: 260.0,
            when: When::Finish,
            sent_out_days: Some(21),
            ..job("relacquer", "Pack and send out to be stripped and lacquered", "Newly lacquered", [20.0, 35.0, 60.0])
        },
        StandardJob {
            needs: apart(),
            parts_money: 420.0,
            when: When::Finish,
            sent_out_days: Some(28),
            ..job("replate", "Pack and send out to be plated", "Newly plated", [20.0, 35.0, 60.0])
        },
    ]
}

/// Work of a survey that the plan does.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PlannedWork {
    /// Its name in the survey.
    pub work: WorkId,
    /// Key of its standard job.
    pub job: String,
    /// What the bench calls it.
    pub name: String,
    /// What the customer reads that was done.
    pub customer: String,
    /// How often.
    pub count: u32,
    /// What parts cost the shop in all, money.
    pub parts_money: f64,
    /// Who may do it; empty: anybody.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub skill: String,
    /// Days away, where it is sent out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sent_out_days: Option<u32>,
    /// Whether another step does it too: the plan's own cleaning, or the same asked for twice.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub merged: bool,
}

/// Work of a survey whose job the shop's list does not have.
pub fn unknown<'s>(list: &[StandardJob], survey: &'s Survey) -> Vec<&'s Work> {
    survey.work.iter().filter(|w| !list.iter().any(|j| j.key == w.job)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn the_usual_list_names_each_job_once_and_rises() {
        let all = common_practice();
        for of in [|j: &StandardJob| j.key.clone(), |j: &StandardJob| j.name.clone(), |j: &StandardJob| j.customer.clone()] {
            assert_eq!(all.iter().map(of).collect::<HashSet<_>>().len(), all.len());
        }
        for j in &all {
            assert!(0.0 < j.minutes.least && j.minutes.least < j.minutes.likely && j.minutes.likely < j.minutes.most, "{}", j.key);
            assert!(j.usual, "{}", j.key);
            assert!(j.key.chars().all(|c| c.is_ascii_lowercase() || c == '_'), "{}", j.key);
            // What is sent out costs something.
            assert_eq!(j.sent_out_days.is_some(), j.parts_money > 100.0, "{}", j.key);
        }
        // What the plan does by itself takes the plan's own minutes: the same standard under two names would drift apart.
        let steps = crate::Standards::common_practice();
        for (key, kind) in [("clean_inside", StepKind::Clean), ("free_slide", StepKind::Free), ("straighten_bell", StepKind::Straighten)] {
            assert_eq!(all.iter().find(|j| j.key == key).unwrap().minutes, steps.minutes_of(kind), "{key}");
        }
    }

    /// By hand: 15, 25, 50 min and four fifths of that for each of two more.
    #[test]
    fn further_ones_take_their_part() {
        let valve = common_practice().into_iter().find(|j| j.key == "fit_valve").unwrap();
        let three = valve.minutes_for(3);
        for (got, want) in [(three.least, 39.0), (three.likely, 65.0), (three.most, 130.0)] {
            assert!((got - want).abs() < 1e-9, "{got} {want}");
        }
        assert_eq!((valve.minutes_for(0), valve.minutes_for(1)), (valve.minutes, valve.minutes));
    }
}
