//! How a surveyed instrument sounds with its dents: every state of its valves, every mode that is played, by how many
//! cents each dent and all of them move it, and the sentence for the customer.

use crate::change::{AREA, Change};
use crate::hearing;
use crate::mouthpiece::Mouthpiece;
use crate::notes::{self, Note, PLAYED};
use crate::passage::{self, Apart, NoPassage, Passage};
use crate::resonance::{Resonance, cents};
use crate::sensitivity::{ADJOINT, Sensitivity};
use crate::tube::{Model, Tube};
use crate::ways::{Way, ways};
use dent::Assessment;
use dent::geometry::WIDTH_OVER_S;
use instrument::{Dent, DentId, RunId, Survey};
use rayon::prelude::*;
use units::figure::Z90;
use units::{Figure, Known, Origin, Text, Unit, text};

/// How far a dent pushed in from one side is from a round narrowing of the same area, as a part of its cents, one standard deviation.
/// Its stiffness is exact (the volume), its mass is not (the flow goes round it, and its ends are blunt). Common practice, no source:
/// no measurement of single dents was at hand.
pub const ONE_SIDED: f64 = 0.3;
/// Doubt of where a place lies on the standing wave, where the bore is not measured: part of the bore's length. Common practice.
pub const UNMEASURED: f64 = 0.01;

/// How it is asked.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Ask {
    /// Air, losses, end, waves.
    pub model: Model,
    /// The mouthpiece; none: the bore begins with the receiver.
    pub mouthpiece: Option<Mouthpiece>,
    /// Which states of the valves are asked.
    pub valves: Valves,
}

/// States of the valves, and positions of a hand slide.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Valves {
    /// All that are played.
    #[default]
    All,
    /// Valves up and slide in, and of the others those in which the air meets a dent that it met in none before: enough to say what each dent does
    /// to one note, in a fraction of the time.
    WhereDented,
}

/// A mode in one state of the valves.
#[derive(Clone, Debug, PartialEq)]
pub struct ModeSound {
    /// Which.
    pub mode: usize,
    /// Its note, where the kind's pitch is known and the mode is played.
    pub note: Option<Note>,
    /// The resonance of the sound bore.
    pub sound: Resonance,
    /// With all dents, Hz.
    pub dented_hz: f64,
    /// Cents from sound to dented, all dents together.
    pub cents: Figure,
    /// Cents of the sound bore's resonance from its note, less what all modes of the open instrument are off in the mean
    /// (the tuning slide takes that).
    pub off_note: Option<f64>,
}

/// One state of the valves.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// The valves that are pressed: their casings.
    pub pressed: Vec<RunId>,
    /// Position of the hand slide: 1 pushed in, also where there is none.
    pub position: u8,
    /// On the longer side of a double instrument, what that is called: `F side`.
    pub side: Option<String>,
    /// By how many half tones they lower.
    pub half_tones: i32,
    /// Its bore.
    pub passage: Passage,
    /// The bore as it is swept, with the mouthpiece.
    pub bore: crate::Bore,
    /// The same with all dents.
    pub dented: crate::Bore,
    /// Its dents as changes of area, on the stations of `bore`.
    pub changes: Vec<(DentId, Change)>,
    /// Its modes.
    pub modes: Vec<ModeSound>,
}

/// One dent on one mode.
#[derive(Clone, Debug, PartialEq)]
pub struct DentMode {
    /// Index of the state.
    pub state: usize,
    /// Which mode.
    pub mode: usize,
    /// Cents that this dent alone moves it by.
    pub cents: Figure,
}

/// What one dent does.
#[derive(Clone, Debug, PartialEq)]
pub struct DentSound {
    /// The dent.
    pub dent: DentId,
    /// Why the air does not meet it; none where it does.
    pub apart: Option<Apart>,
    /// Every mode that is played, in every state in which the air meets it; by sensitivity.
    pub modes: Vec<DentMode>,
    /// The mode that it moves most, worked out with the dent in the bore: index into `modes`.
    pub worst: Option<usize>,
}

/// How an instrument sounds.
#[derive(Clone, Debug, PartialEq)]
pub struct Sound {
    /// The states of the valves, then the positions of a hand slide: open first.
    pub states: Vec<State>,
    /// The dents, in the survey's order.
    pub dents: Vec<DentSound>,
    /// State and index of the mode that all dents together move most.
    pub worst: Option<(usize, usize)>,
    /// What was assumed.
    pub assumed: Vec<Text>,
    /// The customer's sentence.
    pub sentence: String,
}

impl Sound {
    /// The dents by what they do to the worst mode, the gravest first.
    pub fn ranked(&self) -> Vec<(&DentSound, f64)> {
        let size = |d: &DentSound| d.worst.map_or(0.0, |w| d.modes[w].cents.value.abs());
        let mut all: Vec<(&DentSound, f64)> = self.dents.iter().map(|d| (d, size(d))).collect();
        all.sort_by(|a, b| b.1.total_cmp(&a.1));
        all
    }

    /// What a mode is called: its note, or its number.
    pub fn name(&self, state: usize, mode: &ModeSound) -> String {
        let note = mode.note.as_ref().map_or_else(|| format!("mode {}", mode.mode), |n| n.name.clone());
        match self.states.get(state).map(fingering) {
            Some(f) if !f.is_empty() => format!("{note} ({f})"),
            _ => note,
        }
    }
}

impl State {
    /// Cents of each mode from the sound bore with these changes in it instead of the dents: after a step of the repair, with what it leaves.
    pub fn with(&self, changes: &[Change], model: &Model) -> Vec<f64> {
        let hz: Vec<f64> = self.modes.iter().map(|m| m.sound.hz).collect();
        if changes.is_empty() {
            return vec![0.0; hz.len()];
        }
        hz.iter().zip(peaks_with(&self.bore, changes, &hz, model)).map(|(from, to)| to.map_or(0.0, |to| cents(*from, to))).collect()
    }
}

/// What is pressed or pulled, in words: `first and third valve`, `4th position`, `first valve on the F side`; empty where nothing is.
pub fn fingering(state: &State) -> String {
    const POSITIONS: [&str; 6] = ["2nd", "3rd", "4th", "5th", "6th", "7th"];
    if let Some(position) = state.position.checked_sub(2).and_then(|p| POSITIONS.get(usize::from(p))) {
        return format!("{position} position");
    }
    let names: Vec<String> = state.pressed.iter().map(|c| c.0.trim_end_matches("-valve-casing").replace('-', " ")).collect();
    let pressed = match names.as_slice() {
        [] => None,
        [one] => Some(format!("{one} valve")),
        more => Some(format!("{} valves", more.join(" and "))),
    };
    match (pressed, &state.side) {
        (Some(pressed), Some(side)) => format!("{pressed} on the {side}"),
        (None, Some(side)) => side.clone(),
        (pressed, None) => pressed.unwrap_or_default(),
    }
}

/// A dent as a change of area at a station of the bore. `values` are depth, width along and width round, mm.
pub fn change_of(dent: &Dent, station_mm: f64, [depth_mm, along_mm, across_mm]: [f64; 3]) -> Change {
    let deepest = dent.profile_along.iter().map(|p| p.depth_mm).fold(0.0, f64::max);
    let mut profile: Vec<(f64, f64)> = if deepest > 0.0 && dent.profile_along.len() >= 5 {
        dent.profile_along
            .iter()
            .map(|p| (p.x_mm, (p.depth_mm / deepest).max(0.0)))
            .filter(|p| p.0.is_finite() && p.1.is_finite())
            .collect()
    } else {
        vec![]
    };
    profile.sort_by(|a, b| a.0.total_cmp(&b.0));
    Change::Dent { station_mm, depth_mm, along_mm, across_mm, profile }
}

/// A dent where the air meets it, in one state.
struct Met<'a> {
    index: usize,
    dent: &'a Dent,
    change: Change,
    inputs: Vec<Known>,
}

/// How a survey's instrument sounds.
///
/// # Errors
/// Where its runs make no bore.
pub fn sound(survey: &Survey, assessments: &[Assessment], ask: &Ask) -> Result<Sound, NoPassage> {
    let open = passage::passage(&survey.instrument, &[])?;
    let open_mm = open.bore.length_mm();
    let mut pitch = notes::pitch(survey.instrument.kind);
    let mut assumed = open.assumed.clone();
    let mut states = Vec::new();
    let mut met_of: Vec<Vec<DentMode>> = vec![Vec::new(); survey.dents.len()];
    let mut apart: Vec<Option<Apart>> = vec![Some(Apart::Elsewhere); survey.dents.len()];
    // Each side of a double instrument has its own tuning slide.
    let mut mean_off = [None, None];
    let mut met_before = vec![false; survey.dents.len()];
    let mut side = None;
    for Way { pressed, position, pulled_mm, longer_side } in ways(&survey.instrument, open_mm) {
        let first = pressed.is_empty() && position == 1 && !longer_side;
        let set = passage::Setting { pressed: &pressed, pulled_mm, longer_side };
        let passage = if first { open.clone() } else { passage::passage_set(&survey.instrument, &set)? };
        let half_tones = passage::half_tones(open_mm, passage.bore.length_mm());
        if longer_side && side.is_none() {
            side = Some(pitch.map_or_else(|| "longer side".to_owned(), |p| format!("{} side", notes::key(p, half_tones))));
        }
        let (bore, shift_mm) = with_mouthpiece(&passage, ask.mouthpiece.as_ref());
        let filled_mm = ask.mouthpiece.filter(|_| passage.receiver).map_or(f64::NEG_INFINITY, |m| m.inserted_mm);
        let met = meet(survey, assessments, &passage, &Mouth { shift_mm, filled_mm }, &bore, &mut apart);
        if ask.valves == Valves::WhereDented && !first && met.iter().all(|m| met_before[m.index]) {
            continue;
        }
        for m in &met {
            met_before[m.index] = true;
        }
        let index = states.len();
        let worked = Worked::of(&bore, &met, &ask.model, index);
        for (which, one) in worked.alone {
            met_of[which].extend(one);
        }
        let mut modes: Vec<ModeSound> = worked.modes;
        if let Some(usual) = pitch.filter(|_| first) {
            let own = usual.of_bore(survey.instrument.kind, mean_off_cents(usual, &modes));
            if own != usual {
                assumed.push(text!(
                    "its open tube is one in {}, not in {} as is usual for its kind",
                    notes::key(own, 0),
                    notes::key(usual, 0)
                ));
            }
            pitch = Some(own);
        }
        for m in &mut modes {
            m.note = pitch.filter(|_| PLAYED.contains(&m.mode)).map(|p| notes::note(p, m.mode, half_tones));
        }
        let off = |m: &ModeSound| m.note.as_ref().map(|n| cents(n.hz, m.sound.hz));
        let mean = *mean_off[usize::from(longer_side)].get_or_insert_with(|| {
            let all: Vec<f64> = modes.iter().filter_map(off).collect();
            if all.is_empty() { 0.0 } else { all.iter().sum::<f64>() / all.len() as f64 }
        });
        for m in &mut modes {
            m.off_note = off(m).map(|o| o - mean);
        }
        let dented = bore.changed(&met.iter().map(|m| m.change.clone()).collect::<Vec<_>>());
        let changes = met.iter().map(|m| (m.dent.id.clone(), m.change.clone())).collect();
        let side = side.clone().filter(|_| longer_side);
        states.push(State { pressed, position, side, half_tones, passage, dented, changes, bore, modes });
    }
    if let Some(usual) = ask.mouthpiece {
        assumed.push(text!("with a mouthpiece of throat {}, the usual one of its kind", units::text::mm(usual.throat_mm, 1)));
    }
    let mut dents: Vec<DentSound> = survey
        .dents
        .iter()
        .zip(met_of.into_iter().zip(apart))
        .map(|(d, (modes, apart))| {
            let worst = (0..modes.len()).max_by(|a, b| modes[*a].cents.value.abs().total_cmp(&modes[*b].cents.value.abs()));
            DentSound { dent: d.id.clone(), apart: if modes.is_empty() { apart } else { None }, modes, worst }
        })
        .collect();
    alone(&states, &mut dents, ask);
    let worst = states
        .iter()
        .enumerate()
        .flat_map(|(s, state)| state.modes.iter().enumerate().map(move |(m, mode)| ((s, m), mode)))
        .filter(|(_, mode)| PLAYED.contains(&mode.mode))
        .map(|(at, mode)| (at, mode.cents.value.abs()))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|w| w.0);
    let mut sound = Sound { states, dents, worst, assumed, sentence: String::new() };
    sound.sentence = match worst {
        Some((s, m)) => {
            let mode = &sound.states[s].modes[m];
            hearing::sentence(&sound.name(s, mode), mode.cents.value, mode.cents.low, mode.cents.high)
        }
        None => "Nothing can be said of how it sounds: no resonance was found.".to_owned(),
    };
    Ok(sound)
}

/// By how many cents the played modes of the open tube lie off their notes in the mean; 0 where there is none.
fn mean_off_cents(pitch: notes::Pitch, modes: &[ModeSound]) -> f64 {
    let off: Vec<f64> =
        modes.iter().filter(|m| PLAYED.contains(&m.mode)).map(|m| cents(notes::note(pitch, m.mode, 0).hz, m.sound.hz)).collect();
    if off.is_empty() { 0.0 } else { off.iter().sum::<f64>() / off.len() as f64 }
}

/// The bore with the mouthpiece, and by how much its stations lie further on, mm.
pub fn with_mouthpiece(passage: &Passage, mouthpiece: Option<&Mouthpiece>) -> (crate::Bore, f64) {
    match mouthpiece {
        None => (passage.bore.clone(), 0.0),
        Some(m) => {
            let bore = m.in_front_of(&passage.bore, passage.receiver);
            let from = bore.points.first().map_or(0.0, |p| p.station_mm);
            let shift = from + bore.length_mm() - passage.bore.length_mm() - passage.bore.points.first().map_or(0.0, |p| p.station_mm);
            (bore, shift)
        }
    }
}

/// What the mouthpiece does to the stations of a passage.
struct Mouth {
    /// By how much they lie further on, mm.
    shift_mm: f64,
    /// Up to here its shank fills the receiver, mm.
    filled_mm: f64,
}

/// The dents that the air meets in one state.
fn meet<'a>(
    survey: &'a Survey,
    assessments: &[Assessment],
    passage: &Passage,
    mouth: &Mouth,
    bore: &crate::Bore,
    apart: &mut [Option<Apart>],
) -> Vec<Met<'a>> {
    let mut all = Vec::new();
    for (index, dent) in survey.dents.iter().enumerate() {
        let (Some(site), Some(a)) = (survey.site(dent), assessments.iter().find(|a| a.dent == dent.id)) else { continue };
        let station = match passage.station(&survey.instrument, &dent.run, site.at_mm.value) {
            Ok(s) if s >= mouth.filled_mm => s + mouth.shift_mm,
            // The mouthpiece's shank fills the receiver.
            covered => {
                let why = covered.err().unwrap_or(Apart::Covered);
                if apart[index].is_some_and(|known| known == Apart::Elsewhere) {
                    apart[index] = Some(why);
                }
                continue;
            }
        };
        apart[index] = None;
        let [depth, along, across] =
            [a.depth_mm.known("depth"), a.width_along_mm.known("width along the tube"), a.width_across_mm.known("width round the tube")];
        let lies = site.at_mm.sd.hypot(UNMEASURED * (1.0 - passage.measured) * bore.length_mm());
        let inputs = vec![
            depth.clone(),
            along.clone(),
            across.clone(),
            site.bore_mm.clone().named("bore at the dent"),
            Known::new("station on the whole bore", station, lies, Unit::Mm, site.at_mm.origin),
            Known::new("a dent from one side as a round narrowing", 1.0, ONE_SIDED, Unit::One, Origin::Assumed),
        ];
        let change = change_of(dent, station, [depth.value, along.value, across.value]);
        all.push(Met { index, dent, change, inputs });
    }
    all
}

/// Highest mode that is worked out.
const MODES: usize = 10;

/// One state, worked out.
struct Worked {
    modes: Vec<ModeSound>,
    alone: Vec<(usize, Vec<DentMode>)>,
}

impl Worked {
    fn of(bore: &crate::Bore, met: &[Met], model: &Model, state: usize) -> Self {
        let highest = highest_hz(bore, model);
        let whole = Tube::new(bore, model, highest);
        let mut peaks = whole.resonances(lowest_hz(bore, model), highest);
        peaks.truncate(MODES);
        let changes: Vec<Change> = met.iter().map(|m| m.change.clone()).collect();
        let hz: Vec<f64> = peaks.iter().map(|r| r.hz).collect();
        // Where the dents are it is cut finely, for both: the cents are between the same bore with and without them.
        for (peak, fine) in peaks.iter_mut().zip(tube(bore, changes.iter(), model, highest).resonances_near(&hz)) {
            peak.hz = fine.unwrap_or(peak.hz);
        }
        let dented = peaks_with(bore, &changes, &hz, model);
        // Without dents nobody asks.
        let by: Vec<Option<Sensitivity>> = if met.is_empty() { vec![None; peaks.len()] } else { whole.sensitivities_near(&hz) };
        let figures: Vec<Vec<Option<Figure>>> =
            met.par_iter().map(|m| by.iter().map(|s| s.as_ref().map(|s| figure(bore, &whole, s, m))).collect()).collect();
        let mut modes = Vec::new();
        for (i, sound) in peaks.iter().enumerate() {
            let dented_hz = dented[i].unwrap_or(sound.hz);
            let direct = cents(sound.hz, dented_hz);
            // The dents' doubts are their own: variances add.
            let half = figures.iter().filter_map(|f| f[i].as_ref()).map(|f| ((f.high - f.low) / 2.0).powi(2)).sum::<f64>().sqrt();
            let inputs: Vec<Known> =
                figures.iter().zip(met).filter_map(|(f, m)| f[i].as_ref().map(|f| f.known(format!("{} alone", m.dent.id)))).collect();
            let together = Figure::stated(
                direct,
                direct - half,
                direct + half,
                Unit::Cents,
                "1200 log₂ of the peak of |Z| with all dents over without; the dents' own intervals, variances added",
                ADJOINT,
                &inputs,
            );
            modes.push(ModeSound { mode: sound.mode, note: None, sound: *sound, dented_hz, cents: together, off_note: None });
        }
        let alone = met
            .iter()
            .zip(figures)
            .map(|(m, f)| {
                let modes = f
                    .into_iter()
                    .enumerate()
                    .filter(|(i, _)| PLAYED.contains(&peaks[*i].mode))
                    .filter_map(|(i, f)| f.map(|cents| DentMode { state, mode: peaks[i].mode, cents }))
                    .collect();
                (m.index, modes)
            })
            .collect();
        Self { modes, alone }
    }
}

/// Cents of one dent by one mode's sensitivity, with its interval.
fn figure(bore: &crate::Bore, tube: &Tube, by: &Sensitivity, met: &Met) -> Figure {
    let of = |x: &[f64]| {
        let change = change_of(met.dent, x[4], [x[0], x[1], x[2]]);
        let wider = x[3] / met.inputs[3].value;
        x[5] * by.of(tube, change.stretch(), |s| change.area_factor(bore.diameter_at(s) * wider, s).ln())
    };
    Figure::derive(Unit::Cents, format!("Σ ∂cents/∂ln S · ln(S'/S); {}", AREA.text), ADJOINT, &met.inputs, of)
}

/// The bore cut finely where the changes are: four pieces to a dent's s.
fn tube<'a>(bore: &crate::Bore, changes: impl Iterator<Item = &'a Change>, model: &Model, highest: f64) -> Tube {
    let mut at = Vec::new();
    for change in changes {
        let (from, to) = change.stretch();
        let step = ((to - from) / (2.0 * WIDTH_OVER_S * 4.0)).max(0.05);
        let count = ((to - from) / step).ceil().min(200.0);
        at.extend((0..=count as usize).map(|i| from + (to - from) * i as f64 / count.max(1.0)));
    }
    Tube::cut_at(bore, model, highest, &at)
}

/// The peaks of a bore with changes in it, each looked for near one of the sound bore's, Hz.
fn peaks_with(bore: &crate::Bore, changes: &[Change], near_hz: &[f64], model: &Model) -> Vec<Option<f64>> {
    tube(&bore.changed(changes), changes.iter(), model, highest_hz(bore, model)).resonances_near(near_hz)
}

/// From here on peaks are looked for: a quarter of the lowest that a tube closed at one end has, c/16L.
pub fn lowest_hz(bore: &crate::Bore, model: &Model) -> f64 {
    model.air.gas().speed * 1e3 / (16.0 * bore.length_mm())
}

/// Up to here: above the twelfth mode of a tube of this length, c/2L apart.
pub fn highest_hz(bore: &crate::Bore, model: &Model) -> f64 {
    model.air.gas().speed * 1e3 / (2.0 * bore.length_mm()) * 13.0
}

/// The worst mode of each dent once more, with the dent in the bore: what the straight line of the sensitivity misses of a deep one.
fn alone(states: &[State], dents: &mut [DentSound], ask: &Ask) {
    dents.par_iter_mut().for_each(|d| {
        let Some(worst) = d.worst else { return };
        let state = &states[d.modes[worst].state];
        let Some((_, change)) = state.changes.iter().find(|c| c.0 == d.dent) else { return };
        let change = std::slice::from_ref(change);
        let highest = highest_hz(&state.bore, &ask.model);
        let Some(mode) = state.modes.iter().find(|m| m.mode == d.modes[worst].mode) else { return };
        let hz = [mode.sound.hz];
        let before = tube(&state.bore, change.iter(), &ask.model, highest).resonances_near(&hz);
        let (Some(from), Some(to)) = (before[0], peaks_with(&state.bore, change, &hz, &ask.model)[0]) else { return };
        let was = d.modes[worst].cents.value;
        let more = cents(from, to) - was;
        let f = &mut d.modes[worst].cents;
        // The interval grows with what it is about.
        let grown = if was.abs() > 1e-9 { ((was + more) / was).abs().max(1.0) } else { 1.0 };
        (f.low, f.high) = (was + more - (was - f.low) * grown, was + more + (f.high - was) * grown);
        f.value = was + more;
    });
}

/// One dent's 90 % bound either way, cents: what could be heard at worst.
pub fn bound(figure: &Figure) -> f64 {
    let sd = (figure.high - figure.low) / (2.0 * Z90);
    figure.value.abs() + Z90 * sd
}
