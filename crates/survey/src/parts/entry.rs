//! From a part's sheet to the entry that a file would hold, and over the survey by the file's own reader. A field that was
//! emptied says that nobody measured: the pattern's value stands again.

use super::shown::{coat as coat_of, hardness, held_by};
use crate::damage::read::yes_or_no;
use crate::damage::{Form, Refusal};
use crate::file::{Along, AtStation, AxisPiece, CoverEntry, FitEntry, JointEntry, OverlayEntry, RunEntry};
use crate::given::Given;
use crate::located::Located;
use crate::problem::Wrong;
use crate::quantity::Quantity;
use crate::read::Reader;
use crate::words::Word;
use instrument::fields::{Field, HV_PART, fit as f, joint as j, overlay as o, run as r, whole as w};
use instrument::{Finish, FitId, Instrument, JointId, OverlayId, Profile, Run, RunId, Survey, patterns};
use metal::{Alloy, Temper, Value};
use units::Origin;

fn located<T>(value: T) -> Located<T> {
    Located { value, span: 0..0 }
}

/// What was typed in a field; none where it was not touched or was emptied.
fn typed<'a>(form: &'a Form, field: &Field) -> Option<&'a str> {
    Some(form.text(field).trim()).filter(|t| !t.is_empty())
}

fn word(form: &Form, field: &Field) -> Option<Located<String>> {
    typed(form, field).map(|t| located(t.to_owned()))
}

/// Whether a field was emptied.
fn emptied(form: &Form, field: &Field) -> bool {
    form.0.get(field.key).is_some_and(Given::is_blank)
}

fn refusal(field: &Field, wrong: Wrong) -> Refusal {
    Refusal { key: field.key.to_owned(), what: wrong.what, hint: wrong.hint, warning: false, at: 0..0 }
}

pub(super) fn run(reader: &mut Reader<'_>, instrument: &mut Instrument, id: &RunId, form: &Form, refusals: &mut Vec<Refusal>) {
    let pattern = patterns::pattern(instrument.kind);
    let kind = instrument.kind;
    let Some(run) = instrument.runs.iter_mut().find(|r| r.id == *id) else { return };
    let own = pattern.as_ref().and_then(|p| p.run(id));
    for (field, of) in [(&r::WALL, WALL), (&r::TEMPER, TEMPER), (&r::BORE, BORE)] {
        if emptied(form, field) {
            match own {
                Some(own) => *of.1(run) = stretched(of.0(own), own.length_mm(), run.length_mm()),
                None => refusals.push(refusal(
                    field,
                    Wrong::new(
                        format!("the pattern of a {} has no such tube, so nothing stands for it", kind.word()),
                        "say what it is, or about what",
                    ),
                )),
            }
        }
    }
    if emptied(form, &r::AXIS) {
        match own {
            Some(own) => lie_as(run, own),
            None => refusals.push(refusal(&r::AXIS, Wrong::new("a tube has a length", "write straight 210 mm, or its pieces"))),
        }
    }
    let mut flag = |field: &Field| match form.0.get(field.key).filter(|given| !given.is_blank()).map(yes_or_no) {
        Some(Err(wrong)) => {
            refusals.push(refusal(field, wrong));
            None
        }
        flag => flag.and_then(Result::ok),
    };
    let (flare, may_be_beryllium) = (flag(&r::FLARE), flag(&r::BERYLLIUM));
    let before = run.alloy;
    let entry = RunEntry {
        id: located(id.0.clone()),
        name: None,
        role: word(form, &r::ROLE),
        axis: axis(form, refusals),
        length: None,
        bore: along(form, &r::BORE, refusals),
        flare,
        wall_flare: None,
        temper_flare: None,
        wall: along(form, &r::WALL, refusals),
        alloy: word(form, &r::ALLOY),
        temper: along(form, &r::TEMPER, refusals),
        finish: word(form, &r::FINISH),
        may_be_beryllium,
    };
    let says_temper = entry.temper.is_some();
    reader.run(instrument, &entry, None);
    if let Some(run) = instrument.runs.iter_mut().find(|r| r.id == *id)
        && !says_temper
        && run.alloy != before
    {
        read_hardness_again(run, before);
    }
}

/// The axis of the pattern's own tube again, with what was measured along this one in its places.
fn lie_as(run: &mut Run, own: &Run) {
    let (from, to) = (run.length_mm(), own.length_mm());
    for profile in [&mut run.bore_mm, &mut run.wall_mm, &mut run.temper] {
        *profile = stretched(profile, from, to);
    }
    run.axis = own.axis.clone();
}

/// The pieces of an axis, a line for each: `straight 120 mm`, `bend 60 mm, 180°, 12 o'clock`; one length alone is a straight tube.
fn axis(form: &Form, refusals: &mut Vec<Refusal>) -> Option<Located<Vec<AxisPiece>>> {
    let text = typed(form, &r::AXIS)?;
    let lines: Vec<&str> = text.split(['\n', ';']).map(str::trim).filter(|l| !l.is_empty()).collect();
    let quantity = |t: &str| Some(Quantity::Text(t.trim().to_owned()));
    let alone = lines.len() == 1;
    let mut pieces = Vec::new();
    for line in lines {
        let none = AxisPiece { straight: None, bend: None, angle: None, plane: None };
        let (word, rest) = line.split_once(char::is_whitespace).unwrap_or((line, ""));
        pieces.push(match word.to_lowercase().as_str() {
            "straight" => AxisPiece { straight: quantity(rest), ..none },
            "bend" => {
                let mut said = rest.split(',').map(|t| t.trim().to_owned()).filter(|t| !t.is_empty());
                AxisPiece { bend: said.next().map(Quantity::Text), angle: said.next(), plane: said.next(), ..none }
            }
            _ if alone => AxisPiece { straight: quantity(line), ..none },
            _ => {
                let hint = "write a line for each piece: straight 120 mm, then bend 60 mm, 180°, 12 o'clock";
                refusals.push(refusal(&r::AXIS, Wrong::new(format!("“{line}” is neither a straight nor a bend"), hint)));
                return None;
            }
        });
    }
    Some(located(pieces))
}

/// A tester's reading stays what it was when the alloy is corrected, and says another temper.
fn read_hardness_again(run: &mut Run, before: Alloy) {
    let alloy = run.alloy;
    for p in run.temper.points.iter_mut().filter(|p| p.origin == Origin::Measured) {
        let hv = hardness(before, p.value);
        if let Some(read) = Temper::from_vickers(alloy, Value::new(hv, HV_PART * hv)) {
            (p.value, p.sd) = (read.temper.0, read.sd);
        }
    }
}

type Of = (fn(&Run) -> &Profile, fn(&mut Run) -> &mut Profile);
const WALL: Of = (|r| &r.wall_mm, |r| &mut r.wall_mm);
const TEMPER: Of = (|r| &r.temper, |r| &mut r.temper);
const BORE: Of = (|r| &r.bore_mm, |r| &mut r.bore_mm);

fn stretched(profile: &Profile, from_mm: f64, to_mm: f64) -> Profile {
    let mut profile = profile.clone();
    if from_mm > 0.0 {
        profile.points.iter_mut().for_each(|p| p.at_mm *= to_mm / from_mm);
    }
    profile
}

/// One value, or a line for each station: `240 mm: 0.459 in`.
fn along(form: &Form, field: &Field, refusals: &mut Vec<Refusal>) -> Option<Located<Along>> {
    let text = typed(form, field)?;
    let lines: Vec<&str> = text.split(['\n', ';']).map(str::trim).filter(|l| !l.is_empty()).collect();
    let quantity = |t: &str| Quantity::Text(t.trim().to_owned());
    if let [one] = lines.as_slice()
        && !one.contains(':')
    {
        return Some(located(Along::One(quantity(one))));
    }
    let mut points = Vec::new();
    for line in lines {
        let Some((at, is)) = line.split_once(':') else {
            let hint = "write one value, or a line for each place: 0 mm: 8.9 mm, then 240 mm: 0.459 in";
            refusals.push(refusal(field, Wrong::new(format!("“{line}” says no place"), hint)));
            return None;
        };
        points.push(AtStation { at: quantity(at), is: quantity(is) });
    }
    Some(located(Along::Many(points)))
}

pub(super) fn joint(reader: &mut Reader<'_>, instrument: &mut Instrument, id: &JointId, form: &Form) {
    let pattern = patterns::pattern(instrument.kind);
    let Some(joint) = instrument.joints.iter_mut().find(|j| j.id == *id) else { return };
    if emptied(form, &j::OVERLAP)
        && let Some(own) = pattern.as_ref().and_then(|p| p.joint(id))
    {
        joint.overlap_mm = own.overlap_mm;
    }
    let (held, filler) = held_by(&joint.kind);
    // A filler that was emptied is one that nobody knows.
    let unknown = emptied(form, &j::FILLER) && !filler.is_empty() && typed(form, &j::HELD_BY).is_none();
    let entry = JointEntry {
        id: located(id.0.clone()),
        name: None,
        from: None,
        to: None,
        held_by: word(form, &j::HELD_BY).or_else(|| unknown.then(|| located(held.to_owned()))),
        filler: word(form, &j::FILLER),
        overlap: typed(form, &j::OVERLAP).map(|t| located(Quantity::Text(t.to_owned()))),
        open: None,
        close: None,
    };
    reader.joint(instrument, &entry);
}

pub(super) fn overlay(reader: &mut Reader<'_>, instrument: &mut Instrument, id: &OverlayId, form: &Form, refusals: &mut Vec<Refusal>) {
    if emptied(form, &o::COVERS) {
        let own = patterns::pattern(instrument.kind).and_then(|p| p.overlay(id).map(|o| o.covers.clone()));
        match (own, instrument.overlays.iter_mut().find(|o| o.id == *id)) {
            (Some(own), Some(overlay)) => overlay.covers = own,
            _ => refusals.push(refusal(&o::COVERS, Wrong::new("what lies over nothing is not there", "write bottom-bow: 60 mm to 300 mm"))),
        }
    }
    let unknown = emptied(form, &o::FILLER).then(|| located("unknown".to_owned()));
    let entry = OverlayEntry {
        id: located(id.0.clone()),
        name: None,
        kind: word(form, &o::KIND),
        covers: covers(form, refusals),
        filler: word(form, &o::FILLER).or(unknown),
        slides_off_at: None,
        off: None,
        back: None,
    };
    reader.overlay(instrument, &entry);
}

/// What an overlay covers, a line for each tube: `bottom-bow: 66 mm to 374 mm, 4 o'clock to 8 o'clock`.
fn covers(form: &Form, refusals: &mut Vec<Refusal>) -> Option<Located<Vec<CoverEntry>>> {
    let text = typed(form, &o::COVERS)?;
    let mut covers = Vec::new();
    for line in text.split(['\n', ';']).map(str::trim).filter(|l| !l.is_empty()) {
        let said = line.split_once(':').and_then(|(run, rest)| {
            let (stretch, clock) = rest.split_once(',').map_or((rest, None), |(stretch, clock)| (stretch, Some(clock)));
            let (from, to) = stretch.split_once(" to ")?;
            let clock = match clock {
                Some(clock) => clock.split_once(" to ").map(|(a, b)| Some([a.trim().to_owned(), b.trim().to_owned()]))?,
                None => None,
            };
            let quantity = |t: &str| Quantity::Text(t.trim().to_owned());
            Some(CoverEntry { run: run.trim().to_owned(), from: quantity(from), to: quantity(to), clock })
        });
        let Some(cover) = said else {
            let hint = "write a line for each tube: bottom-bow: 66 mm to 374 mm, 4 o'clock to 8 o'clock";
            refusals.push(refusal(&o::COVERS, Wrong::new(format!("“{line}” does not say which tube, and from where to where"), hint)));
            return None;
        };
        covers.push(cover);
    }
    Some(located(covers))
}

pub(super) fn fit(reader: &mut Reader<'_>, instrument: &mut Instrument, id: &FitId, form: &Form) {
    let pattern = patterns::pattern(instrument.kind);
    if let Some(fit) = instrument.fits.iter_mut().find(|x| x.id == *id) {
        if emptied(form, &f::MOVES) {
            fit.state = None;
        }
        if emptied(form, &f::CLEARANCE) {
            fit.clearance_mm = pattern.as_ref().and_then(|p| p.fit(id)).and_then(|own| own.clearance_mm.clone());
        }
    }
    let entry = FitEntry {
        id: located(id.0.clone()),
        name: None,
        kind: None,
        inner: None,
        outer: None,
        clearance: typed(form, &f::CLEARANCE).map(|t| located(Quantity::Text(t.to_owned()))),
        moves: word(form, &f::MOVES),
    };
    reader.fit(instrument, &entry);
}

pub(super) fn whole(survey: &mut Survey, form: &Form, refusals: &mut Vec<Refusal>) {
    let mut flag = |field: &Field| match form.0.get(field.key) {
        None => None,
        Some(given) if given.is_blank() => Some(None),
        Some(given) => match yes_or_no(given) {
            Ok(flag) => Some(Some(flag)),
            Err(wrong) => {
                refusals.push(refusal(field, wrong));
                None
            }
        },
    };
    if let Some(cleaned) = flag(&w::CLEANED) {
        survey.cleaned = cleaned;
    }
    if let Some(keep) = flag(&w::KEEP_FINISH) {
        survey.wishes.keep_finish = keep.unwrap_or(false);
    }
    if let Some(text) = typed(form, &w::FINISH) {
        match Finish::read(text) {
            Some(finish) => recoat(survey, finish),
            None => refusals.push(refusal(
                &w::FINISH,
                Wrong::new(format!("“{text}” is not known here"), format!("write one of {}", Finish::choices())),
            )),
        }
    }
    let names = |field: &Field| match form.0.get(field.key) {
        Some(Given::List(list)) => Some(list.iter().map(|one| one.text().trim().to_owned()).filter(|t| !t.is_empty()).collect::<Vec<_>>()),
        Some(Given::Text(text)) => Some(text.split(',').map(|t| t.trim().to_owned()).filter(|t| !t.is_empty()).collect()),
        _ => None,
    };
    if let Some(names) = names(&w::KEEP_SHUT) {
        survey.wishes.keep_shut = names.into_iter().map(Into::into).collect();
    }
    if let Some(names) = names(&w::KEEP_ON) {
        survey.wishes.keep_on = names.into_iter().map(Into::into).collect();
    }
}

/// Another finish for the whole: a tube of which somebody said its own keeps it.
fn recoat(survey: &mut Survey, finish: Finish) {
    let old = coat_of(survey);
    let pattern = patterns::pattern(survey.instrument.kind);
    let own = |run: &Run| Some(run.finish) != old && pattern.as_ref().and_then(|p| p.run(&run.id)).is_none_or(|p| p.finish != run.finish);
    let kept: Vec<RunId> = survey.instrument.runs.iter().filter(|r| own(r)).map(|r| r.id.clone()).collect();
    survey.instrument.coat(finish, |run| !kept.contains(&run.id));
}
