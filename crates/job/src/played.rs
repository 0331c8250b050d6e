//! How the instrument plays: as it came in, after each step and after each offer, by what its dents do to every note.

use acoustics::notes::PLAYED;
use acoustics::sound::{DentSound, ModeSound, Sound};
use acoustics::{Ask, Bore, Change, Losses, Model, Mouthpiece, Tube, Valves, hearing};
use dent::{Assessment, Effect};
use instrument::{DentId, Survey};
use plan::{Plan, StepId, StepKind};
use serde::Serialize;
use std::collections::BTreeMap;
use units::{Source, Text, text};

/// Source of what is left of a note's cents in the course of the work.
pub const LEFT: Source = Source::own_model(
    "the bore once more with what is left in it: of a dent that is worked as much as its method leaves of its depth, known to within as much again; of one that is not, all",
);

/// How an instrument plays with its dents, and why nothing can be said where nothing can.
#[derive(Clone, Debug, PartialEq)]
pub enum Played {
    /// Its bore is known well enough to be asked.
    Known {
        /// How it sounds.
        sound: Box<Sound>,
        /// How deep each dent is, mm.
        depth_mm: BTreeMap<DentId, f64>,
    },
    /// The survey's tubes make no bore: what is wrong, and how it is mended.
    NoBore {
        /// What is wrong.
        what: Text,
        /// How it is mended.
        hint: Text,
    },
}

/// Where the note that is off most stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OffMost {
    /// The note, with the valves.
    pub note: String,
    /// By how many cents it is off, nine times in ten between the two others.
    pub cents: f64,
    /// See above.
    pub low: f64,
    /// See above.
    pub high: f64,
}

impl OffMost {
    /// Its cents with their interval: `-12.1 cents (-15.0 to -9.2)`.
    pub fn show(&self) -> String {
        format!("{:+.1} cents ({:+.1} to {:+.1})", self.cents, self.low, self.high)
    }

    /// What the customer is told of it.
    pub fn sentence(&self) -> String {
        hearing::sentence(&self.note, self.cents, self.low, self.high)
    }
}

/// A note, as it came in and after the plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NoteLeft {
    /// The note, with the valves.
    pub note: String,
    /// State of the valves, as an index into the sound's.
    pub state: usize,
    /// The mode.
    pub mode: usize,
    /// As it came in.
    pub now: OffMost,
    /// After the plan.
    pub after: OffMost,
}

/// In dry air of 20 °C, with the fast losses, a hundredth of a cent from the full (`acoustics::losses`).
fn model() -> Model {
    Model { losses: Losses::Fast, ..Model::default() }
}

/// A peak of the impedance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peak {
    /// The mode.
    pub mode: usize,
    /// Where it lies as it came in, Hz.
    pub now_hz: f64,
    /// After the plan, Hz.
    pub after_hz: f64,
    /// How sharp it is without dents.
    pub q: f64,
}

/// The size of the input impedance, as it came in and after a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Impedance {
    /// Frequencies, Hz.
    pub hz: Vec<f64>,
    /// As it came in, Pa s/m³.
    pub now: Vec<f64>,
    /// After the plan, Pa s/m³.
    pub after: Vec<f64>,
    /// Its peaks.
    pub peaks: Vec<Peak>,
}

/// How the instrument plays, asked with the usual mouthpiece of its kind in dry air of 20 °C: valves up, and where a dent is met only with
/// some pressed, with those.
pub fn played(survey: &Survey, assessments: &[Assessment]) -> Played {
    let ask = Ask { model: model(), mouthpiece: Some(Mouthpiece::usual(survey.instrument.kind)), valves: Valves::WhereDented };
    match acoustics::sound(survey, assessments, &ask) {
        Ok(sound) => {
            Played::Known { sound: Box::new(sound), depth_mm: assessments.iter().map(|a| (a.dent.clone(), a.depth_mm.value)).collect() }
        }
        Err(none) => Played::NoBore { what: none.what, hint: none.hint },
    }
}

/// A dent that moves a note so far that players notice is in the way of function, whatever it looks like.
pub fn effects(played: &Played, assessments: &mut [Assessment]) {
    let Some(sound) = played.known() else { return };
    for d in &sound.dents {
        let Some(worst) = d.worst.map(|w| &d.modes[w]) else { continue };
        let Some(a) = assessments.iter_mut().find(|a| a.dent == d.dent) else { continue };
        if worst.cents.value.abs() < hearing::AMATEUR {
            continue;
        }
        let note = mode_of(sound, worst.state, worst.mode).map_or_else(String::new, |m| sound.name(worst.state, m));
        a.effects.retain(|e| !matches!(e, Effect::Cosmetic));
        let at = a.effects.iter().take_while(|e| matches!(e, Effect::MovingFit { .. } | Effect::Bore)).count();
        a.effects.insert(at, Effect::Pitch { note, cents: worst.cents.value });
    }
}

fn mode_of(sound: &Sound, state: usize, mode: usize) -> Option<&ModeSound> {
    sound.states.get(state)?.modes.iter().find(|m| m.mode == mode)
}

/// How much of each dent stays in the bore after a plan, or after some of its steps: all of what is not worked or lies under a patch, nothing of
/// what goes with its tube, of the rest what the method leaves of the depth.
fn stays(depth_mm: &BTreeMap<DentId, f64>, plan: &Plan, until: Option<StepId>) -> BTreeMap<DentId, f64> {
    let mut stays = BTreeMap::new();
    for step in &plan.steps {
        for dent in &step.dents {
            match step.kind {
                StepKind::ReplaceRun => drop(stays.insert(dent.clone(), 0.0)),
                StepKind::Dent => {
                    let left_mm = plan.choices.iter().find(|c| c.dent == *dent).map_or(0.0, |c| c.method.stays_mm);
                    let depth = depth_mm.get(dent).copied().unwrap_or(0.0);
                    let left = if depth > 0.0 { (left_mm / depth).clamp(0.0, 1.0) } else { 0.0 };
                    stays.insert(dent.clone(), left);
                }
                _ => {}
            }
        }
        if Some(step.number) == until {
            break;
        }
    }
    stays
}

/// The modes that are played, with the index of their state.
fn notes(sound: &Sound) -> impl Iterator<Item = (usize, &ModeSound)> {
    sound.states.iter().enumerate().flat_map(|(s, state)| state.modes.iter().filter(|m| PLAYED.contains(&m.mode)).map(move |m| (s, m)))
}

/// Every note that is played with so much of each dent left (all of those that are not named), in the order of [`notes`].
fn left(sound: &Sound, stays: &BTreeMap<DentId, f64>) -> Vec<OffMost> {
    let part = |dent: &DentId| stays.get(dent).copied().unwrap_or(1.0);
    let mut all = Vec::new();
    for (s, state) in sound.states.iter().enumerate() {
        let untouched = state.changes.iter().all(|(dent, _)| part(dent) == 1.0);
        let still = state.changes.iter().filter(|(dent, _)| part(dent) != 0.0);
        let changes: Vec<Change> = still.map(|(dent, c)| c.left(part(dent))).collect();
        let cents = if untouched { vec![] } else { state.with(&changes, &model()) };
        for (i, mode) in state.modes.iter().enumerate().filter(|(_, m)| PLAYED.contains(&m.mode)) {
            let cents = cents.get(i).copied().unwrap_or(mode.cents.value);
            let half = half_of(sound, s, mode.mode, &part);
            all.push(OffMost { note: sound.name(s, mode), cents, low: cents - half, high: cents + half });
        }
    }
    all
}

/// Half the 90 % interval of a mode, cents: the dents' own, as far as they are left, variances added.
fn half_of(sound: &Sound, state: usize, mode: usize, part: &impl Fn(&DentId) -> f64) -> f64 {
    let of = |d: &DentSound| {
        let Some(m) = d.modes.iter().find(|m| m.state == state && m.mode == mode) else { return 0.0 };
        let part = part(&d.dent);
        // What a method leaves is known to within as much again.
        let doubt = if part < 1.0 { part * m.cents.value.abs() } else { 0.0 };
        (part * (m.cents.high - m.cents.low) / 2.0).powi(2) + doubt.powi(2)
    };
    sound.dents.iter().map(of).sum::<f64>().sqrt()
}

fn worst(sound: &Sound, stays: &BTreeMap<DentId, f64>) -> Option<OffMost> {
    left(sound, stays).into_iter().max_by(|a, b| a.cents.abs().total_cmp(&b.cents.abs()))
}

impl Played {
    /// The sound, where it is known.
    pub fn known(&self) -> Option<&Sound> {
        match self {
            Self::Known { sound, .. } => Some(sound),
            Self::NoBore { .. } => None,
        }
    }

    fn depths(&self) -> &BTreeMap<DentId, f64> {
        const NONE: &BTreeMap<DentId, f64> = &BTreeMap::new();
        match self {
            Self::Known { depth_mm, .. } => depth_mm,
            Self::NoBore { .. } => NONE,
        }
    }

    /// The note that is off most as it came in.
    pub fn now(&self) -> Option<OffMost> {
        worst(self.known()?, &BTreeMap::new())
    }

    /// The note that is off most after a plan.
    pub fn after(&self, plan: &Plan) -> Option<OffMost> {
        worst(self.known()?, &stays(self.depths(), plan, None))
    }

    /// The note that is off most after each step that works a dent, with the step's number.
    pub fn after_each(&self, plan: &Plan) -> Vec<(StepId, OffMost)> {
        let Some(sound) = self.known() else { return vec![] };
        let steps = plan.steps.iter().filter(|s| matches!(s.kind, StepKind::Dent | StepKind::ReplaceRun) && !s.dents.is_empty());
        steps.filter_map(|s| Some((s.number, worst(sound, &stays(self.depths(), plan, Some(s.number)))?))).collect()
    }

    /// Every note that is played, as it came in and after a plan.
    pub fn notes(&self, plan: &Plan) -> Vec<NoteLeft> {
        let Some(sound) = self.known() else { return vec![] };
        let now = left(sound, &BTreeMap::new());
        let after = left(sound, &stays(self.depths(), plan, None));
        let notes = notes(sound).zip(now.into_iter().zip(after));
        notes.map(|((s, m), (now, after))| NoteLeft { note: now.note.clone(), state: s, mode: m.mode, now, after }).collect()
    }

    /// Size of the input impedance with valves up, as it came in and after a plan, and its peaks; at so many frequencies, evenly spaced.
    pub fn impedance(&self, plan: &Plan, count: u32) -> Option<Impedance> {
        let sound = self.known()?;
        let (open, model) = (sound.states.first()?, model());
        let highest_hz = 1.1 * open.modes.last()?.sound.hz;
        let hz: Vec<f64> = (1..=count).map(|i| highest_hz * f64::from(i) / f64::from(count)).collect();
        let stays = stays(self.depths(), plan, None);
        let left: Vec<Change> = open.changes.iter().map(|(dent, c)| c.left(stays.get(dent).copied().unwrap_or(1.0))).collect();
        let sizes = |bore: &Bore| Tube::new(bore, &model, highest_hz).impedance(&hz).iter().map(|z| z.norm()).collect();
        let (now, after) = (sizes(&open.dented), sizes(&open.bore.changed(&left)));
        let peaks = open.modes.iter().zip(open.with(&left, &model));
        let peaks = peaks.map(|(m, cents)| Peak {
            mode: m.mode,
            now_hz: m.dented_hz,
            after_hz: m.sound.hz * (cents / 1200.0).exp2(),
            q: m.sound.q,
        });
        Some(Impedance { peaks: peaks.collect(), hz, now, after })
    }

    /// Both in a line for the shop: as it came in, and after the plan; or why nothing can be said.
    pub fn words(&self, plan: &Plan) -> Text {
        match (self.now(), self.after(plan), self) {
            (Some(now), Some(after), _) => text!("As it came in: {} After this plan: {}", now.sentence(), after.sentence()),
            (_, _, Self::NoBore { what, hint }) => text!("Nothing can be said of its tuning: {}. To mend it: {}.", what, hint),
            _ => text!("Nothing can be said of its tuning: no resonance was found."),
        }
    }

    /// What one dent does to the note that it moves most.
    pub fn of_dent(&self, dent: &DentId) -> Option<OffMost> {
        let sound = self.known()?;
        let of: &DentSound = sound.dents.iter().find(|d| d.dent == *dent)?;
        let worst = &of.modes[of.worst?];
        let note = sound.name(worst.state, mode_of(sound, worst.state, worst.mode)?);
        Some(OffMost { note, cents: worst.cents.value, low: worst.cents.low, high: worst.cents.high })
    }
}

/// What a dent does to the note that it moves most, or why the air does not meet it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DentTold {
    /// The dent.
    pub dent: DentId,
    /// The note and its cents, with this dent alone.
    #[serde(flatten)]
    pub moves: Option<OffMost>,
    /// Why the air does not meet it.
    pub apart: Option<&'static str>,
}

/// The note that is off most after a step.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StepTold {
    /// The step.
    pub step: StepId,
    /// The note.
    #[serde(flatten)]
    pub off: OffMost,
}

/// All of it as plain values, for a file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Told {
    /// The note that is off most as it came in.
    pub now: Option<OffMost>,
    /// After the plan.
    pub after: Option<OffMost>,
    /// After each step that works a dent.
    pub after_each: Vec<StepTold>,
    /// Every note that is played.
    pub notes: Vec<NoteLeft>,
    /// Each dent alone.
    pub dents: Vec<DentTold>,
    /// What was assumed of the bore.
    pub assumed: Vec<Text>,
    /// Why nothing can be said, where nothing can.
    pub no_bore: Option<Text>,
    /// What the model leaves out.
    pub left_out: &'static str,
    /// Where the cents that are left come from.
    pub source: Source,
}

/// Where the model stops.
pub const LEFT_OUT: &str = "Left out: how freely it responds, and what the wall, leaks and the player do.";

impl Played {
    /// All of it for a plan.
    pub fn told(&self, plan: &Plan) -> Told {
        let sound = self.known();
        let dents = sound.into_iter().flat_map(|s| &s.dents);
        Told {
            now: self.now(),
            after: self.after(plan),
            after_each: self.after_each(plan).into_iter().map(|(step, off)| StepTold { step, off }).collect(),
            notes: self.notes(plan),
            dents: dents
                .map(|d| DentTold { dent: d.dent.clone(), moves: self.of_dent(&d.dent), apart: d.apart.map(acoustics::Apart::words) })
                .collect(),
            assumed: sound.map_or_else(Vec::new, |s| s.assumed.clone()),
            no_bore: match self {
                Self::NoBore { what, .. } => Some(what.clone()),
                Self::Known { .. } => None,
            },
            left_out: LEFT_OUT,
            source: LEFT,
        }
    }
}
