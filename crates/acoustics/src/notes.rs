//! Which note a resonance speaks: names as players of the kind read them, and the pitch that it should have.

use instrument::Kind;
use units::Source;

/// Source of the notes.
pub const NOTES: Source = Source::closed_form(
    "equal temperament from a' = 440 Hz (ISO 16); mode n of the open tube speaks the n-th harmonic, each half tone of the valves 2^(−1/12)",
);

/// How a kind of instrument is pitched and read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pitch {
    /// Half tones of its open second harmonic's octave below: MIDI number of the fundamental, sounding.
    pub fundamental_midi: i32,
    /// What is written lies so many half tones above what sounds.
    pub written_above: i32,
}

/// The usual pitch of a kind: Bb trumpet, cornet and flugelhorn, G bugle, Eb alto horn, Bb trombone, baritone and
/// euphonium, the Bb side of a horn, BBb tuba and sousaphone. Common practice. Trombone, euphonium, baritone and tubas read as they
/// sound.
pub fn pitch(kind: Kind) -> Option<Pitch> {
    let of = |fundamental_midi, written_above| Some(Pitch { fundamental_midi, written_above });
    match kind {
        Kind::Trumpet | Kind::Cornet | Kind::Flugelhorn => of(46, 2),
        Kind::Bugle => of(43, 5),
        Kind::AltoHorn => of(39, 9),
        Kind::Trombone | Kind::Baritone | Kind::Euphonium => of(34, 0),
        Kind::Horn => of(34, 7),
        Kind::Tuba | Kind::Sousaphone => of(22, 0),
        Kind::Other => None,
    }
}

/// Below this a bore is the usual one of its kind, out of tune; from it on it is one in another key. Cents; half of the way from Bb to C.
pub const OTHER_KEY: f64 = 150.0;

impl Pitch {
    /// The pitch of an instrument of a kind whose open tube speaks so many cents from the usual one's notes: a C trumpet, a single horn
    /// in F, a tuba in Eb. Trumpets, bugles and alto horns read their own open tube as C; horns read in F, and the low brass as it
    /// sounds, whatever they are built in. Common practice.
    pub fn of_bore(self, kind: Kind, off_cents: f64) -> Self {
        if !(off_cents.abs() >= OTHER_KEY && off_cents.abs() <= 1200.0) {
            return self;
        }
        let by = (off_cents / 100.0).round() as i32;
        let own = matches!(kind, Kind::Trumpet | Kind::Cornet | Kind::Flugelhorn | Kind::Bugle | Kind::AltoHorn);
        Self { fundamental_midi: self.fundamental_midi + by, written_above: self.written_above - if own { by } else { 0 } }
    }
}

/// Frequency of a MIDI number in equal temperament, Hz.
pub fn midi_hz(midi: f64) -> f64 {
    440.0 * ((midi - 69.0) / 12.0).exp2()
}

/// A note that a state of the valves and a mode speak.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// As the player reads it: `F4` is the F above middle C.
    pub name: String,
    /// What it should sound, equal temperament, Hz.
    pub hz: f64,
}

/// The note of a mode with the tube lowered by so many half tones.
pub fn note(pitch: Pitch, mode: usize, half_tones: i32) -> Note {
    // The nearest half tone of the harmonic: the 7th is 31 cents flat of one, the 11th halfway.
    let harmonic = (12.0 * (mode.max(1) as f64).log2()).round() as i32;
    let sounding = pitch.fundamental_midi - half_tones + harmonic;
    Note { name: name(sounding + pitch.written_above), hz: midi_hz(f64::from(sounding)) }
}

/// In which key a tube stands that is lowered by so many half tones: `F`.
pub fn key(pitch: Pitch, half_tones: i32) -> &'static str {
    NAMES[(pitch.fundamental_midi - half_tones).rem_euclid(12) as usize]
}

const NAMES: [&str; 12] = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];

fn name(midi: i32) -> String {
    format!("{}{}", NAMES[midi.rem_euclid(12) as usize], midi.div_euclid(12) - 1)
}

/// Modes that are played: the first is a pedal tone, which lies far off its resonance; above the eighth the notes lie so close that the
/// lip decides.
pub const PLAYED: std::ops::RangeInclusive<usize> = 2..=8;

#[cfg(test)]
mod tests {
    use super::*;

    /// From memory: Bb trumpet, open: written C4 sounds Bb3, 233.08 Hz; first and third valve, written low G sounds F3, 174.61 Hz.
    #[test]
    fn notes_of_a_trumpet() {
        let trumpet = pitch(Kind::Trumpet).unwrap();
        let low = note(trumpet, 2, 0);
        assert!(low.name == "C4" && (low.hz - 233.08).abs() < 0.01, "{low:?}");
        assert_eq!(note(trumpet, 2, 5).name, "G3");
        assert_eq!((note(trumpet, 5, 0).name.as_str(), note(trumpet, 6, 3).name.as_str()), ("E5", "E5"));
    }

    /// From memory, open second harmonics: a C trumpet sounds C4 (261.63 Hz) and reads C4; a single horn in F sounds F2 (87.31 Hz) and reads
    /// C3; a tuba in Eb sounds Eb2 (77.78 Hz) and reads it so. What is half a half tone off is out of tune, not in another key.
    #[test]
    fn other_keys_of_a_kind() {
        let open = |kind, off| note(pitch(kind).unwrap().of_bore(kind, off), 2, 0);
        for (kind, off, name, hz) in [
            (Kind::Trumpet, 188.0, "C4", 261.63),
            (Kind::Horn, -515.0, "C3", 87.31),
            (Kind::Tuba, 480.0, "Eb2", 77.78),
            (Kind::Tuba, 60.0, "Bb1", 58.27),
        ] {
            let n = open(kind, off);
            assert!(n.name == name && (n.hz - hz).abs() < 0.01, "{kind:?}: {n:?}");
        }
    }

    /// From memory: second harmonics of the open tube, sounding, Hz: trombone Bb2 116.54, tuba Bb1 58.27, horn (Bb side) Bb2 116.54, read an
    /// F4 fifth above; alto horn Eb3 155.56, read C4; bugle in G, G3 196.00.
    #[test]
    fn second_harmonics_of_the_kinds() {
        for (kind, name, hz) in [
            (Kind::Trombone, "Bb2", 116.54),
            (Kind::Tuba, "Bb1", 58.27),
            (Kind::Horn, "F3", 116.54),
            (Kind::AltoHorn, "C4", 155.56),
            (Kind::Bugle, "C4", 196.00),
            (Kind::Cornet, "C4", 233.08),
            (Kind::Euphonium, "Bb2", 116.54),
            (Kind::Sousaphone, "Bb1", 58.27),
        ] {
            let n = note(pitch(kind).unwrap(), 2, 0);
            assert!(n.name == name && (n.hz - hz).abs() < 0.01, "{kind:?}: {n:?}");
        }
        assert_eq!(pitch(Kind::Other), None);
    }
}
