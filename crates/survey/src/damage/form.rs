//! A dent or a condition as a form holds it: a text a field, under the field's key, empty where nothing was said. What
//! was typed is kept beside what it means, so that the next person sees the same words.

use super::filled::{Filled, Written};
use super::read::{self, Context};
use super::refusal::{Refusal, dent_refusals};
use super::write;
use crate::given::Given;
use crate::words::Word;
use instrument::fields::{Choice, Field, Held, Kind, Range, Said, condition as c, dent as d};
use instrument::{Condition, ConditionKind, Dent, Direction, Finish, FitState, Instrument, OverlayKind, Role, Survey};
use metal::{Alloy, Filler};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use units::LengthUnit;

/// What a form holds. A key that is not there at all was not on the form: what stood there stays.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Form(pub BTreeMap<String, Given>);

/// A dent as the record keeps it.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    /// As typed.
    pub typed: Form,
    /// What it means.
    pub dent: Dent,
}

/// The fields that belong to a part.
pub fn own(fields: &'static [&'static Field], part: &Field) -> impl Iterator<Item = &'static Field> {
    let key = part.key;
    fields.iter().copied().filter(move |f| f.in_part().is_some_and(|(p, _)| p == key))
}

/// Whether a form asks for a part by itself: one of whose fields must be said asks for that field.
pub fn asked_for(fields: &'static [&'static Field], part: &Field) -> bool {
    part.kind == Kind::Part && own(fields, part).all(|f| !f.needed)
}

/// The words from which a field is chosen, where it is.
pub fn choices(field: &Field) -> Vec<&'static str> {
    fn words<T: Word>() -> Vec<&'static str> {
        let mut out: Vec<&str> = Vec::new();
        for (choice, _) in T::WORDS {
            if !out.contains(&choice.word()) {
                out.push(choice.word());
            }
        }
        out
    }
    match field.kind {
        Kind::Direction => words::<Direction>(),
        Kind::Condition => words::<ConditionKind>(),
        Kind::Flag | Kind::Part => vec!["no", "yes"],
        Kind::Choice(Choice::Alloy) => words::<Alloy>(),
        Kind::Choice(Choice::Finish) => words::<Finish>(),
        Kind::Choice(Choice::Role) => words::<Role>(),
        Kind::Choice(Choice::HeldBy) => vec!["soft solder", "silver braze", "slide", "thread", "pressed", "fixed"],
        Kind::Choice(Choice::Filler) => words::<Filler>(),
        Kind::Choice(Choice::OverlayFiller) => {
            let soft = words::<Filler>().into_iter().filter(|w| Filler::read(w).is_some_and(|f| f.is_soft()));
            soft.chain(["none"]).collect()
        }
        Kind::Choice(Choice::OverlayKind) => words::<OverlayKind>(),
        Kind::Choice(Choice::FitState) => words::<FitState>(),
        _ => vec![],
    }
}

impl Form {
    /// What stands in a field; empty where nothing does.
    pub fn text(&self, field: &Field) -> &str {
        self.0.get(field.key).map_or("", Given::text)
    }

    /// The form with a field filled in.
    #[must_use]
    pub fn with(mut self, field: &Field, text: &str) -> Self {
        self.0.insert(field.key.to_owned(), text.into());
        self
    }

    /// What is said of a dent or a condition, in the words of a person.
    pub fn of(fields: &'static [&'static Field], said: &[Said<'_>], unit: LengthUnit) -> Self {
        let shown = said.iter().filter(|(f, _)| f.kind != Kind::Id && (f.kind != Kind::Part || asked_for(fields, f)));
        Self(shown.map(|(f, held)| (f.key.to_owned(), Given::Text(write::for_a_person(f, held, unit)))).collect())
    }

    /// What was filled in.
    pub fn filled(&self, fields: &'static [&'static Field]) -> (Filled, Vec<Refusal>) {
        let written = self.0.iter().filter(|(_, value)| !value.is_blank());
        let written = written.map(|(key, value)| Written { key: key.clone(), value: value.clone(), at: 0..0 });
        Filled::new(fields, 0..0, written.collect())
    }

    /// A dent of this name, over the one that is kept: a field that comes back as it was shown keeps its value, so that a
    /// form opened and saved unchanged changes nothing. None where it names no run.
    pub fn dent(&self, name: &str, instrument: &Instrument, before: Option<&Kept>) -> (Option<Kept>, Vec<Refusal>) {
        self.dent_of(None, name, instrument, before)
    }

    /// As [`Form::dent`], as a tablet takes it: a bare number is in the unit that the tablet shows, and what is refused, by
    /// itself or in its place on the instrument, is told and not kept: what stood there before stands.
    pub fn dent_in(&self, unit: LengthUnit, name: &str, survey: &Survey, before: Option<&Kept>) -> (Option<Kept>, Vec<Refusal>) {
        let mut form = self.with_symbols(d::FIELDS);
        let mut told: Vec<Refusal> = Vec::new();
        let stood = before.map(|b| b.shown(unit));
        // What stood there may be refused beside what is new: a second look, and a third, is enough to have put all back.
        for look in 0..3 {
            let (kept, mut refusals) = form.dent_of(Some(unit), name, &survey.instrument, before);
            if let Some(kept) = &kept {
                refusals = dent_refusals(survey, &kept.dent, &refusals);
            }
            let refused: Vec<String> = refusals.iter().filter(|r| !r.warning && r.key != d::RUN.key).map(|r| r.key.clone()).collect();
            let known: Vec<String> = told.iter().map(|r| r.key.clone()).collect();
            told.extend(refusals.into_iter().filter(|r| !known.contains(&r.key)));
            if refused.is_empty() || kept.is_none() || look == 2 {
                return (kept, told);
            }
            for key in refused {
                form.put_back(&key, stood.as_ref());
            }
        }
        (None, told)
    }

    /// A field as it stood before; of a part that is nothing without the field the whole part.
    fn put_back(&mut self, key: &str, stood: Option<&Self>) {
        let field = d::FIELDS.iter().find(|f| f.key == key);
        let part = field.filter(|f| f.needed).and_then(|f| f.in_part()).map(|(part, _)| part);
        let with: Vec<&str> = match part {
            Some(part) => {
                d::FIELDS.iter().map(|f| f.key).filter(|k| *k == part || k.split_once('.').is_some_and(|(p, _)| p == part)).collect()
            }
            None => vec![key],
        };
        for key in with {
            match stood.and_then(|s| s.0.get(key)) {
                Some(text) => self.0.insert(key.to_owned(), text.clone()),
                None => self.0.insert(key.to_owned(), Given::from("")),
            };
        }
        if field.is_none() {
            self.0.remove(key);
        }
    }

    /// Bare numbers of fields that have one unit alone, with it.
    fn with_symbols(&self, fields: &[&Field]) -> Self {
        let mut form = self.clone();
        for field in fields {
            let symbol = match field.kind {
                Kind::Clock | Kind::Angle => "°",
                Kind::Hardness => " HV",
                _ => continue,
            };
            if let Some(Given::Text(text)) = form.0.get_mut(field.key)
                && text.trim().replace(',', ".").parse::<f64>().is_ok()
            {
                *text = format!("{}{symbol}", text.trim());
            }
        }
        form
    }

    fn dent_of(
        &self,
        unit: Option<LengthUnit>,
        name: &str,
        instrument: &Instrument,
        before: Option<&Kept>,
    ) -> (Option<Kept>, Vec<Refusal>) {
        let mut form = self.clone();
        let said = before.map_or_else(Vec::new, |b| b.dent.said());
        let same = before.map_or_else(Vec::new, |b| form.untouched(d::FIELDS, &[b.shown(LengthUnit::Mm), b.shown(LengthUnit::Inch)]));
        let (filled, mut refusals) = form.filled(d::FIELDS);
        let unchanged = |field: &Field| held(&said, &same, field);
        let (dent, more) = read::dent(&filled, name, &Context { instrument, unit, unchanged: &unchanged });
        refusals.extend(more);
        // What no field is called was told, and is not kept.
        form.0.retain(|key, _| d::FIELDS.iter().any(|f| f.key == key));
        // What was not touched stays in the words in which it was typed.
        if let Some(before) = before {
            for key in same {
                match before.typed.0.get(key) {
                    Some(text) => form.0.insert(key.to_owned(), text.clone()),
                    None => form.0.remove(key),
                };
            }
        }
        (dent.map(|dent| Kept { typed: form, dent }), refusals)
    }

    /// A condition of this name, over the one that is kept; none where it says not what it is, or of what.
    pub fn condition(&self, name: &str, instrument: &Instrument, before: Option<&Condition>) -> (Option<Condition>, Vec<Refusal>) {
        self.condition_of(None, name, instrument, before)
    }

    /// As [`Form::condition`]; a bare number is in the unit that the tablet shows.
    pub fn condition_in(
        &self,
        unit: LengthUnit,
        name: &str,
        instrument: &Instrument,
        before: Option<&Condition>,
    ) -> (Option<Condition>, Vec<Refusal>) {
        self.with_symbols(c::FIELDS).condition_of(Some(unit), name, instrument, before)
    }

    fn condition_of(
        &self,
        unit: Option<LengthUnit>,
        name: &str,
        instrument: &Instrument,
        before: Option<&Condition>,
    ) -> (Option<Condition>, Vec<Refusal>) {
        let mut form = self.clone();
        let said = before.map_or_else(Vec::new, Condition::said);
        let shown = [LengthUnit::Mm, LengthUnit::Inch].map(|unit| Self::of(c::FIELDS, &said, unit));
        let same = if before.is_some() { form.untouched(c::FIELDS, &shown) } else { vec![] };
        let (filled, mut refusals) = form.filled(c::FIELDS);
        let unchanged = |field: &Field| held(&said, &same, field);
        let (condition, more) = read::condition(&filled, name, &Context { instrument, unit, unchanged: &unchanged });
        refusals.extend(more);
        (condition, refusals)
    }

    /// The keys of the fields that came back as they were shown, on a tablet of either unit; what was not on the form at all
    /// is filled in as it was shown.
    fn untouched(&mut self, fields: &'static [&'static Field], shown: &[Self; 2]) -> Vec<&'static str> {
        let mut same = Vec::new();
        for field in fields {
            let old = shown[0].0.get(field.key);
            match self.0.get(field.key) {
                None => {
                    self.0.extend(old.map(|text| (field.key.to_owned(), text.clone())));
                    same.push(field.key);
                }
                Some(text) if Some(text) == old || Some(text) == shown[1].0.get(field.key) => same.push(field.key),
                Some(_) => {}
            }
        }
        same
    }
}

/// What stands in a field that was not touched.
fn held<'a>(said: &[Said<'a>], same: &[&str], field: &Field) -> Option<Held<'a>> {
    said.iter().find(|(f, _)| f.key == field.key && same.contains(&field.key)).map(|(_, held)| *held)
}

fn is_64ths(mm: f64) -> bool {
    let n = mm / LengthUnit::Inch.in_mm() * 64.0;
    (n - n.round()).abs() < 1e-6
}

/// Whether a text that was typed says what is kept, and is what this reader should see of it.
fn stands(field: &Field, typed: &Given, held: &Held<'_>, unit: LengthUnit) -> bool {
    match held {
        // A station was tapped more often than typed: it is shown in the reader's unit.
        Held::Mm(_) | Held::ClockRange(_) => false,
        Held::Known(_) if field.range == Range::OnTheRun => false,
        Held::Known(known) => {
            let means = read::known(field, typed, None).is_ok_and(|read| {
                read.origin == known.origin && (read.value - known.value).abs() < 1e-9 && (read.sd - known.sd).abs() < 1e-9
            });
            // Millimetres that are a whole number of 64ths of an inch are read as the fraction that they are.
            let fraction = unit == LengthUnit::Inch && typed.text().ends_with("mm") && is_64ths(known.value);
            means && !fraction
        }
        Held::Points(points) => read::points(typed, None).is_ok_and(|read| read == *points),
        Held::Flag(flag) => read::yes_or_no(typed) == Ok(*flag),
        Held::Direction(direction) => Direction::read(typed.text()) == Some(*direction),
        Held::Condition(kind) => ConditionKind::read(typed.text()) == Some(*kind),
        Held::Text(text) => typed.text() == *text,
        Held::Part => read::yes_or_no(typed) == Ok(true),
    }
}

impl Kept {
    /// A dent from a survey file.
    pub fn from_dent(dent: &Dent) -> Self {
        Self { typed: Form::of(d::FIELDS, &dent.said(), LengthUnit::Mm), dent: dent.clone() }
    }

    /// What the page shows: the words as typed where they mean what is kept, else what is kept in the reader's unit. What
    /// could not be read stays as it was typed.
    pub fn shown(&self, unit: LengthUnit) -> Form {
        let said = self.dent.said();
        let mut shown = Form::of(d::FIELDS, &said, unit);
        for (key, typed) in &self.typed.0 {
            let stays = match said.iter().find(|(f, _)| f.key == key) {
                Some((field, held)) => stands(field, typed, held, unit),
                None => !typed.is_blank(),
            };
            if stays {
                shown.0.insert(key.clone(), typed.clone());
            }
        }
        shown
    }
}
