//! From the text of a survey file to plain data, with every problem that could be found.

use crate::entries::{self, Entry, nearest};
use crate::file::{
    Along, AxisPiece, ConditionEntry, CoverEntry, DentEntry, ExactQuantity, FitEntry, InstrumentEntry, JointEntry, OverlayEntry, Quantity,
    RunEntry, SurveyFile, WishesEntry,
};
use crate::located::Located;
use crate::problem::{Problem, line_of};
use crate::words::{TEMPERS, Word, plain};
use instrument::check::{self, Severity};
use instrument::{
    Axis, Condition, Cover, Crack, Crease, Dent, Direction, EarlierRepair, End, Finish, Instrument, Interpolation, Joint, JointKind, Kind,
    MovingFit, Overlay, OverlayKind, Point, Profile, ProfilePoint, Role, Run, RunEnd, RunId, Segment, Survey, Wishes,
};
use metal::{Alloy, Filler, Temper, Value};
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use toml::Spanned;
use toml::de::DeValue;
use units::measured::{Gauge, parse_measured_mm};
use units::{Known, LengthUnit, Origin, ThreePoint, Unit};

/// A survey file larger than this is refused before it is read.
pub const MAX_SURVEY_BYTES: usize = 4 * 1024 * 1024;

/// A survey that could be read, with what somebody should look at.
#[derive(Clone, Debug)]
pub struct Read {
    /// The survey.
    pub survey: Survey,
    /// Problems that do not keep it from being planned.
    pub warnings: Vec<Problem>,
}

/// Reads a survey.
///
/// # Errors
/// All problems found (warnings too), in the order of the file, where at least one keeps the survey from being planned.
pub fn read_survey(text: &str) -> Result<Read, Vec<Problem>> {
    let mut reader = Reader { text, problems: Vec::new(), places: BTreeMap::new(), default: None };
    let survey = reader.file().map(|file| reader.survey(file));
    if let Some(survey) = &survey
        // What is wrong with a run would be told again of every dent in it.
        && reader.problems.iter().all(|p| p.warning || p.field.starts_with("dent") || p.field.starts_with("condition"))
    {
        reader.plain_data(survey);
    }
    let mut problems = reader.problems;
    problems.sort_by_key(|p| p.line.unwrap_or(0));
    match survey {
        Some(survey) if problems.iter().all(|p| p.warning) => Ok(Read { survey, warnings: problems }),
        _ => Err(problems),
    }
}

struct Reader<'t> {
    text: &'t str,
    problems: Vec<Problem>,
    /// Where the parts and their fields stand, by the paths of [`check`].
    places: BTreeMap<String, Range<usize>>,
    default: Option<LengthUnit>,
}

impl<'t> Reader<'t> {
    fn problem(&mut self, span: Option<&Range<usize>>, field: impl Into<String>, what: impl Into<String>, mend: impl Into<String>) {
        let line = span.map(|s| line_of(self.text, s.start));
        self.problems.push(Problem { line, field: field.into(), what: what.into(), mend: mend.into(), warning: false });
    }

    fn place(&mut self, path: impl Into<String>, span: &Range<usize>) {
        self.places.insert(path.into(), span.clone());
    }

    // ---- TOML to the file's types, entry by entry so that one bad entry does not hide the next -------------------

    fn file(&mut self) -> Option<SurveyFile> {
        let table = match entries::table(self.text, MAX_SURVEY_BYTES, "a survey") {
            Ok(table) => table,
            Err(problems) => {
                self.problems.extend(problems);
                return None;
            }
        };
        let mut lists: BTreeMap<&'static str, Vec<Entry<'t>>> = BTreeMap::new();
        let mut head: Vec<(Spanned<String>, Entry<'t>)> = Vec::new();
        const LISTS: [&str; 6] = ["run", "joint", "overlay", "fit", "dent", "condition"];
        const HEAD: [&str; 9] = ["trueround_survey", "title", "customer", "surveyor", "date", "units", "cleaned", "instrument", "wishes"];
        for (key, value) in table {
            let span = key.span();
            let name = key.into_inner().into_owned();
            if let Some(list) = LISTS.into_iter().find(|l| **l == name) {
                match value.into_inner() {
                    DeValue::Array(entries) => lists.entry(list).or_default().extend(entries),
                    _ => self.problem(
                        Some(&span),
                        list,
                        format!("`{list}` is not a list"),
                        format!("write it as [[{list}]], with two brackets"),
                    ),
                }
            } else if HEAD.contains(&name.as_str()) {
                head.push((Spanned::new(span, name), value));
            } else {
                let mend = match nearest(&name, LISTS.into_iter().chain(HEAD)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("a survey has {}", LISTS.into_iter().chain(HEAD).collect::<Vec<_>>().join(", ")),
                };
                self.problem(Some(&span), name.clone(), format!("there is no `{name}` in a survey"), mend);
            }
        }
        let mut take = |name: &str| head.iter().position(|(k, _)| k.as_ref() == name).map(|i| head.swap_remove(i));
        let version = take("trueround_survey");
        let fields = ["title", "customer", "surveyor", "date", "units", "cleaned"].map(|n| take(n).map(|(_, v)| v));
        let (instrument, wishes) = (take("instrument"), take("wishes"));
        match version.as_ref().map(|(_, v)| v.as_ref().as_integer().map(|i| i.as_str().to_owned())) {
            Some(Some(v)) if v == "1" => {}
            Some(_) => self.problem(
                version.as_ref().map(|(k, _)| k.span()).as_ref(),
                "trueround_survey",
                "this survey's version is not known to this program",
                "write `trueround_survey = 1`, or use the program that wrote it",
            ),
            None => self.problem(
                Some(&(0..0)),
                "trueround_survey",
                "the file does not say that it is a survey",
                "begin it with the line `trueround_survey = 1`",
            ),
        }
        let [title, customer, surveyor, date, units, cleaned] = fields;
        let file = SurveyFile {
            trueround_survey: 1,
            title: self.one("title", title).unwrap_or_default(),
            customer: self.one("customer", customer).unwrap_or_default(),
            surveyor: self.one("surveyor", surveyor).unwrap_or_default(),
            date: self.date(date),
            units: self.one("units", units),
            cleaned: self.one("cleaned", cleaned),
            instrument: match instrument {
                Some((_, v)) => self.one::<InstrumentEntry>("instrument", Some(v))?,
                None => {
                    self.problem(
                        Some(&(0..0)),
                        "instrument",
                        "the survey names no instrument",
                        "add [instrument] with `pattern = \"tuba\"` (or another), or `kind` and its runs",
                    );
                    return None;
                }
            },
            run: self.all("run", lists.remove("run")),
            joint: self.all("joint", lists.remove("joint")),
            overlay: self.all("overlay", lists.remove("overlay")),
            fit: self.all("fit", lists.remove("fit")),
            dent: self.all("dent", lists.remove("dent")),
            condition: self.all("condition", lists.remove("condition")),
            wishes: match wishes {
                Some((_, v)) => self.one::<WishesEntry>("wishes", Some(v)).unwrap_or_default(),
                None => WishesEntry::default(),
            },
        };
        Some(file)
    }

    /// One field; `None` where it cannot be read (the problem is noted).
    fn one<T: Deserialize<'t>>(&mut self, field: &str, value: Option<Entry<'t>>) -> Option<T> {
        entries::entry(self.text, field, value?, &mut self.problems)
    }

    /// A date: TOML's own, or text.
    fn date(&mut self, value: Option<Entry<'t>>) -> String {
        match value.as_ref().and_then(|v| v.get_ref().as_datetime()) {
            Some(date) => date.to_string(),
            None => self.one("date", value).unwrap_or_default(),
        }
    }

    fn all<T: Deserialize<'t>>(&mut self, list: &str, entries: Option<Vec<Entry<'t>>>) -> Vec<T> {
        let mut out = Vec::new();
        for entry in entries.unwrap_or_default() {
            let id = entry.get_ref().get("id").and_then(|v| v.get_ref().as_str());
            let field = id.map_or_else(|| list.to_owned(), |id| format!("{list} {id}"));
            out.extend(entries::entry(self.text, &field, entry, &mut self.problems));
        }
        out
    }

    // ---- quantities -----------------------------------------------------------------------------------------------

    fn measured(&mut self, q: &Quantity, span: &Range<usize>, field: &str, gauge: Gauge) -> Option<Known> {
        let gauge = gauge.with_default(self.default);
        let text = match q {
            Quantity::Text(text) => text.clone(),
            Quantity::Exact(exact) => return self.exact(exact, span, field, Unit::Mm),
            Quantity::Number(n) if !n.is_finite() => {
                self.problem(Some(span), field, format!("{n} is not a length"), "measure it again, or leave it out");
                return None;
            }
            Quantity::Number(n) => match self.default {
                Some(unit) => {
                    let mm = n * unit.in_mm();
                    return Some(Known::new("", mm, gauge.sd_mm, Unit::Mm, Origin::Measured));
                }
                None => {
                    self.problem(
                        Some(span),
                        field,
                        format!("{n} has no unit"),
                        format!("write \"{n} mm\" or \"{n} in\"; or set `units` at the top of the file"),
                    );
                    return None;
                }
            },
        };
        match parse_measured_mm(&text, &gauge) {
            Ok(known) => Some(known),
            Err(e) => {
                self.problem(Some(span), field, format!("“{}” cannot be read", e.read), format!("write {}", e.accepted));
                None
            }
        }
    }

    fn exact(&mut self, exact: &ExactQuantity, span: &Range<usize>, field: &str, unit: Unit) -> Option<Known> {
        let Some(origin) = Origin::read(&exact.from) else {
            self.problem(
                Some(span),
                field,
                format!("“{}” is no origin of a value", exact.from),
                format!("write one of {}", Origin::choices()),
            );
            return None;
        };
        let sound = exact.value.is_finite() && exact.sd.is_finite() && exact.sd >= 0.0;
        if !sound {
            self.problem(
                Some(span),
                field,
                "the value or its spread is not a number",
                "give `value` and `sd` as numbers, `sd` zero or more",
            );
            return None;
        }
        Some(Known::new("", exact.value, exact.sd, unit, origin))
    }

    fn located(&mut self, q: Option<&Located<Quantity>>, path: String, field: &str, gauge: Gauge) -> Option<Known> {
        let q = q?;
        self.place(path, &q.span);
        self.measured(&q.value, &q.span, field, gauge)
    }

    fn angle(&mut self, text: &str, span: &Range<usize>, field: &str) -> Option<f64> {
        match units::angle::parse_angle_deg(text) {
            Ok(deg) => Some(deg),
            Err(e) => {
                self.problem(Some(span), field, format!("“{}” cannot be read", e.read), format!("write {}", e.accepted));
                None
            }
        }
    }

    fn clock(&mut self, q: &Quantity, span: &Range<usize>, field: &str) -> Option<Known> {
        match q {
            Quantity::Exact(exact) => self.exact(exact, span, field, Unit::Deg),
            Quantity::Text(text) => match units::measured::by_eye(text) {
                Some(rest) => {
                    Some(Known::new("", self.angle(rest, span, field)?.rem_euclid(360.0), 2.0 * CLOCK_SD_DEG, Unit::Deg, Origin::ByEye))
                }
                None => Some(Known::new("", self.angle(text, span, field)?.rem_euclid(360.0), CLOCK_SD_DEG, Unit::Deg, Origin::Measured)),
            },
            Quantity::Number(n) => {
                self.problem(Some(span), field, format!("{n} has no unit"), format!("write \"{n} o'clock\" or \"{n}°\""));
                None
            }
        }
    }

    fn clock_range(&mut self, range: &[String; 2], span: &Range<usize>, field: &str) -> Option<(f64, f64)> {
        Some((self.angle(&range[0], span, field)?, self.angle(&range[1], span, field)?))
    }

    fn minutes(&mut self, three: Option<&Located<[String; 3]>>, field: &str) -> Option<ThreePoint> {
        let three = three?;
        let mut read = [0.0; 3];
        for (text, minutes) in three.value.iter().zip(&mut read) {
            match units::duration::parse_minutes(text) {
                Ok(m) => *minutes = m,
                Err(e) => {
                    self.problem(Some(&three.span), field, format!("“{}” cannot be read", e.read), format!("write {}", e.accepted));
                    return None;
                }
            }
        }
        Some(ThreePoint::new(read[0], read[1], read[2]))
    }

    fn word<T: Word>(&mut self, text: &Located<String>, field: &str) -> Option<T> {
        let found = T::read(&text.value);
        if found.is_none() {
            self.problem(Some(&text.span), field, format!("“{}” is not known here", text.value), format!("write one of {}", T::choices()));
        }
        found
    }

    fn filler(&mut self, text: &Located<String>, soft: bool, field: &str) -> Option<Filler> {
        if plain(&text.value) == "unknown" {
            return Some(if soft { Filler::UnknownSoft } else { Filler::UnknownSilver });
        }
        self.word(text, field)
    }

    // ---- the file's types to plain data -------------------------------------------------------------------------

    fn survey(&mut self, file: SurveyFile) -> Survey {
        self.default = match file.units.as_deref().map(plain).as_deref() {
            None => None,
            Some("mm") => Some(LengthUnit::Mm),
            Some("in" | "inch" | "inches") => Some(LengthUnit::Inch),
            Some(other) => {
                let at = self.text.find("units").map(|i| i..i);
                self.problem(
                    at.as_ref(),
                    "units",
                    format!("“{other}” is not a unit for a whole file"),
                    "write units = \"mm\" or units = \"in\", or leave it out and give every length its unit",
                );
                None
            }
        };
        let mut instrument = self.instrument(&file.instrument);
        for entry in &file.run {
            self.run(&mut instrument, entry, file.instrument.finish.as_ref());
        }
        for entry in &file.joint {
            self.joint(&mut instrument, entry);
        }
        for entry in &file.overlay {
            self.overlay(&mut instrument, entry);
        }
        for entry in &file.fit {
            self.fit(&mut instrument, entry);
        }
        let mut taken: BTreeSet<String> = file.dent.iter().filter_map(|d| d.id.as_ref().map(|i| i.value.clone())).collect();
        let dents = file.dent.iter().enumerate().map(|(i, entry)| self.dent(&instrument, entry, free_name(&mut taken, 'd', i))).collect();
        let mut taken: BTreeSet<String> = file.condition.iter().filter_map(|d| d.id.as_ref().map(|i| i.value.clone())).collect();
        let conditions = file
            .condition
            .iter()
            .enumerate()
            .filter_map(|(i, entry)| self.condition(&instrument, entry, free_name(&mut taken, 'c', i)))
            .collect();
        Survey {
            title: file.title,
            customer: file.customer,
            surveyor: file.surveyor,
            date: file.date,
            instrument,
            dents,
            conditions,
            wishes: Wishes {
                keep_finish: file.wishes.keep_finish,
                keep_shut: file.wishes.keep_shut.iter().map(|s| s.as_str().into()).collect(),
                keep_on: file.wishes.keep_on.iter().map(|s| s.as_str().into()).collect(),
            },
            cleaned: file.cleaned,
        }
    }

    fn instrument(&mut self, entry: &InstrumentEntry) -> Instrument {
        let mut instrument = Instrument {
            kind: Kind::Other,
            maker: String::new(),
            model: String::new(),
            serial: String::new(),
            value_money: None,
            runs: vec![],
            joints: vec![],
            overlays: vec![],
            fits: vec![],
        };
        if let Some(kind) = &entry.kind
            && let Some(kind) = self.word(kind, "instrument: kind")
        {
            instrument.kind = kind;
        }
        if let Some(pattern) = &entry.pattern {
            match pattern_named(&pattern.value) {
                Some(found) => instrument = found,
                None => {
                    let known: Vec<&str> = instrument::patterns::names().collect();
                    self.problem(
                        Some(&pattern.span),
                        "instrument: pattern",
                        format!("there is no pattern “{}”", pattern.value),
                        format!("name one of {}", known.join(", ")),
                    );
                }
            }
        }
        instrument.maker.clone_from(&entry.maker);
        instrument.model.clone_from(&entry.model);
        instrument.serial.clone_from(&entry.serial);
        if let Some(value) = &entry.value {
            match units::money::parse_money(&value.value) {
                Ok(amount) => instrument.value_money = amount.to_string().parse().ok(),
                Err(e) => self.problem(
                    Some(&value.span),
                    "instrument: value",
                    format!("“{}” cannot be read", e.read),
                    format!("write {}", e.accepted),
                ),
            }
        }
        if let Some(finish) = &entry.finish
            && let Some(finish) = self.word::<Finish>(finish, "instrument: finish")
        {
            for run in &mut instrument.runs {
                // A casing's chrome or a piston's plate is not the instrument's coat.
                if !matches!(run.role, Role::Piston | Role::TuningSlideInner | Role::HandSlideInner) {
                    run.finish = finish;
                }
            }
        }
        instrument
    }

    fn run(&mut self, instrument: &mut Instrument, e: &RunEntry, finish: Option<&Located<String>>) {
        let id = &e.id.value;
        let label = |field: &str| format!("run {id}: {field}");
        let path = |field: &str| format!("runs.{id}.{field}");
        self.place(format!("runs.{id}"), &e.id.span);
        let known = instrument.runs.iter().position(|r| r.id.0 == *id);
        let axis = match (&e.axis, &e.length) {
            (Some(axis), _) => {
                self.place(path("axis"), &axis.span);
                self.axis(&axis.value, &axis.span, &label("axis"))
            }
            (None, Some(length)) => {
                self.located(Some(length), path("axis"), &label("length"), Gauge::LENGTH).map(|k| Axis::straight(k.value))
            }
            (None, None) => None,
        };
        let bore = e.bore.as_ref().and_then(|b| self.profile(b, &path("bore"), &label("bore"), Gauge::CALLIPER));
        let wall = e.wall.as_ref().and_then(|w| self.profile(w, &path("wall"), &label("wall"), Gauge::WALL));
        let alloy = e.alloy.as_ref().and_then(|a| self.word::<Alloy>(a, &label("alloy")));
        let role = e.role.as_ref().and_then(|r| self.word::<Role>(r, &label("role")));
        let own_finish = e.finish.as_ref().and_then(|f| self.word::<Finish>(f, &label("finish")));
        let at = match known {
            Some(i) => i,
            None => {
                // A run of its own: what decides the shape must be there; the rest is assumed, wide, and said by its origin.
                if axis.is_none() && e.axis.is_none() && e.length.is_none() {
                    self.problem(
                        Some(&e.id.span),
                        label("axis"),
                        "this run has no length, and the pattern has no run of this id",
                        self.run_hint(instrument, id),
                    );
                }
                if bore.is_none() && e.bore.is_none() {
                    self.problem(
                        Some(&e.id.span),
                        label("bore"),
                        "this run has no bore, and the pattern has no run of this id",
                        "measure the inside diameter at both ends",
                    );
                }
                let finish = own_finish.or_else(|| finish.and_then(|f| Finish::read(&f.value))).unwrap_or(Finish::Raw);
                instrument.runs.push(Run {
                    id: id.as_str().into(),
                    name: e.name.clone().unwrap_or_else(|| id.replace(['-', '_'], " ")),
                    role: role.unwrap_or(Role::Tube),
                    axis: Axis { segments: vec![] },
                    bore_mm: Profile { points: vec![], between: Interpolation::Linear },
                    wall_mm: Profile::constant(ASSUMED_WALL.0, ASSUMED_WALL.1, Origin::Assumed),
                    alloy: Alloy::YellowBrass,
                    temper: Profile::constant(ASSUMED_TEMPER.0, ASSUMED_TEMPER.1, Origin::Assumed),
                    finish,
                });
                if e.alloy.is_none() {
                    let line = Some(line_of(self.text, e.id.span.start));
                    self.problems.push(Problem {
                        line,
                        field: label("alloy"),
                        what: "nobody said the alloy; yellow brass is assumed".to_owned(),
                        mend: "add `alloy = …`: nickel silver is harder, rose brass softer".to_owned(),
                        warning: true,
                    });
                }
                instrument.runs.len() - 1
            }
        };
        let run = &mut instrument.runs[at];
        if let Some(name) = &e.name {
            run.name.clone_from(name);
        }
        if let Some(role) = role {
            run.role = role;
        }
        if let Some(axis) = axis {
            // A pattern's profiles are stretched to the measured length.
            let (old, new) = (run.axis.length_mm(), axis.length_mm());
            if old > 0.0 && new > 0.0 {
                for p in run.bore_mm.points.iter_mut().chain(&mut run.wall_mm.points).chain(&mut run.temper.points) {
                    p.at_mm *= new / old;
                }
            }
            run.axis = axis;
        }
        if let Some(mut bore) = bore {
            bore.between = if e.flare.unwrap_or(run.bore_mm.between == Interpolation::Monotone) {
                Interpolation::Monotone
            } else {
                Interpolation::Linear
            };
            run.bore_mm = bore;
        } else if let Some(flare) = e.flare {
            run.bore_mm.between = if flare { Interpolation::Monotone } else { Interpolation::Linear };
        }
        if let Some(wall) = wall {
            run.wall_mm = wall;
        }
        if let Some(flare) = e.wall_flare {
            run.wall_mm.between = if flare { Interpolation::Monotone } else { Interpolation::Linear };
        }
        if let Some(alloy) = alloy {
            run.alloy = alloy;
        }
        if let Some(finish) = own_finish {
            run.finish = finish;
        }
        let alloy = run.alloy;
        if let Some(temper) = e.temper.as_ref().and_then(|t| self.temper(t, alloy, &path("temper"), &label("temper"))) {
            instrument.runs[at].temper = temper;
        }
        if let Some(flare) = e.temper_flare {
            instrument.runs[at].temper.between = if flare { Interpolation::Monotone } else { Interpolation::Linear };
        }
    }

    fn run_hint(&self, instrument: &Instrument, id: &str) -> String {
        match nearest(id, instrument.runs.iter().map(|r| r.id.0.as_str())) {
            Some(near) => format!("did you mean `{near}`? Else give its `axis` or `length`"),
            None => "give its `axis` or `length`".to_owned(),
        }
    }

    fn axis(&mut self, pieces: &[AxisPiece], span: &Range<usize>, field: &str) -> Option<Axis> {
        let mut segments = Vec::new();
        for piece in pieces {
            let segment = match (&piece.straight, &piece.bend) {
                (Some(length), None) => Segment::Straight { length_mm: self.measured(length, span, field, Gauge::LENGTH)?.value },
                (None, Some(radius)) => {
                    let radius_mm = self.measured(radius, span, field, Gauge::LENGTH)?.value;
                    let Some(angle) = &piece.angle else {
                        self.problem(
                            Some(span),
                            field,
                            "a bend has no angle",
                            "write { bend = \"60 mm\", angle = \"180°\", plane = \"12 o'clock\" }",
                        );
                        return None;
                    };
                    let angle_deg = self.angle(angle, span, field)?;
                    let plane_deg = match &piece.plane {
                        Some(plane) => self.angle(plane, span, field)?,
                        None => 0.0,
                    };
                    Segment::Bend { radius_mm, angle_deg, plane_deg }
                }
                _ => {
                    self.problem(
                        Some(span),
                        field,
                        "a piece of the axis is neither a straight nor a bend",
                        "write { straight = \"120 mm\" } or { bend = \"60 mm\", angle = \"180°\" }",
                    );
                    return None;
                }
            };
            segments.push(segment);
        }
        Some(Axis { segments })
    }

    fn profile(&mut self, along: &Located<Along>, path: &str, field: &str, gauge: Gauge) -> Option<Profile> {
        self.place(path, &along.span);
        let point = |at_mm: f64, k: Known| Point { at_mm, value: k.value, sd: k.sd, origin: k.origin };
        let points = match &along.value {
            Along::One(q) => vec![point(0.0, self.measured(q, &along.span, field, gauge)?)],
            Along::Many(list) => {
                let mut points = Vec::new();
                for p in list {
                    let at = self.measured(&p.at, &along.span, field, Gauge::LENGTH)?;
                    points.push(point(at.value, self.measured(&p.is, &along.span, field, gauge)?));
                }
                points
            }
        };
        Some(Profile { points, between: Interpolation::Linear })
    }

    fn temper(&mut self, along: &Located<Along>, alloy: Alloy, path: &str, field: &str) -> Option<Profile> {
        self.place(path, &along.span);
        let mut points = Vec::new();
        let list: Vec<(f64, Quantity)> = match &along.value {
            Along::One(q) => vec![(0.0, q.clone())],
            Along::Many(list) => {
                let mut out = Vec::new();
                for p in list {
                    out.push((self.measured(&p.at, &along.span, field, Gauge::LENGTH)?.value, p.is.clone()));
                }
                out
            }
        };
        for (at_mm, q) in list {
            let text = match &q {
                Quantity::Text(t) => t.clone(),
                Quantity::Number(n) => n.to_string(),
                Quantity::Exact(exact) => {
                    let k = self.exact(exact, &along.span, field, Unit::NumbersHard)?;
                    points.push(Point { at_mm, value: k.value, sd: k.sd, origin: k.origin });
                    continue;
                }
            };
            let Some((value, sd, origin)) = read_temper(&text, alloy) else {
                let mend = "write a temper like \"half hard\", \"H04\" or \"2.5 numbers\", or a hardness like \"110 HV\"";
                self.problem(Some(&along.span), field, format!("“{text}” is no temper"), mend);
                return None;
            };
            points.push(Point { at_mm, value, sd, origin });
        }
        Some(Profile { points, between: Interpolation::Linear })
    }

    fn run_end(&mut self, text: &Located<String>, instrument: &Instrument, field: &str) -> Option<RunEnd> {
        let (run, end) = text.value.trim().rsplit_once(' ').unwrap_or((&text.value, ""));
        let end = match plain(end).as_str() {
            "start" => End::Start,
            "end" | "finish" => End::Finish,
            _ => {
                self.problem(
                    Some(&text.span),
                    field,
                    format!("“{}” is no end of a run", text.value),
                    "write it like \"first-branch start\" (mouthpiece side) or \"first-branch end\" (bell side)",
                );
                return None;
            }
        };
        Some(RunEnd { run: resolve(instrument, run), end })
    }

    fn joint(&mut self, instrument: &mut Instrument, e: &JointEntry) {
        let id = &e.id.value;
        let label = |field: &str| format!("joint {id}: {field}");
        self.place(format!("joints.{id}"), &e.id.span);
        let from = e.from.as_ref().and_then(|t| self.run_end(t, instrument, &label("from")));
        let to = e.to.as_ref().and_then(|t| self.run_end(t, instrument, &label("to")));
        let overlap = self.located(e.overlap.as_ref(), format!("joints.{id}.overlap"), &label("overlap"), Gauge::LENGTH).map(|k| k.value);
        let held = e.held_by.as_ref().map(|h| plain(&h.value));
        let filler_text = e.filler.clone();
        let kind = match held.as_deref() {
            None => None,
            Some("soft solder") => Some(JointKind::SoftSoldered {
                filler: filler_text.and_then(|f| self.filler(&f, true, &label("filler"))).unwrap_or(Filler::UnknownSoft),
            }),
            Some("silver braze" | "silver solder") => Some(JointKind::SilverBrazed {
                filler: filler_text.and_then(|f| self.filler(&f, false, &label("filler"))).unwrap_or(Filler::UnknownSilver),
            }),
            Some("slide") => Some(JointKind::SlidingFit),
            Some("thread") => Some(JointKind::Threaded),
            Some("pressed") => Some(JointKind::Pressed),
            Some("fixed") => Some(JointKind::Fixed),
            Some(other) => {
                let span = e.held_by.as_ref().map(|h| h.span.clone());
                self.problem(
                    span.as_ref(),
                    label("held_by"),
                    format!("“{other}” holds no joint"),
                    "write \"soft solder\", \"silver braze\", \"slide\", \"thread\", \"pressed\" or \"fixed\"",
                );
                None
            }
        };
        let (open, close) = (self.minutes(e.open.as_ref(), &label("open")), self.minutes(e.close.as_ref(), &label("close")));
        if let Some(j) = instrument.joints.iter_mut().find(|j| j.id.0 == *id) {
            j.name = e.name.clone().unwrap_or_else(|| j.name.clone());
            j.a = from.unwrap_or_else(|| j.a.clone());
            j.b = to.unwrap_or_else(|| j.b.clone());
            j.kind = kind.unwrap_or(j.kind);
            j.overlap_mm = overlap.unwrap_or(j.overlap_mm);
            j.open_minutes = open.or(j.open_minutes);
            j.close_minutes = close.or(j.close_minutes);
            return;
        }
        let (Some(a), Some(b), Some(kind)) = (from, to, kind) else {
            if e.from.is_none() || e.to.is_none() || e.held_by.is_none() {
                self.problem(
                    Some(&e.id.span),
                    format!("joint {id}"),
                    "a new joint needs `from`, `to` and `held_by`",
                    "write both ends like \"leadpipe end\" and what holds it",
                );
            }
            return;
        };
        instrument.joints.push(Joint {
            id: id.as_str().into(),
            name: e.name.clone().unwrap_or_else(|| id.replace(['-', '_'], " ")),
            a,
            b,
            kind,
            overlap_mm: overlap.unwrap_or(0.0),
            open_minutes: open,
            close_minutes: close,
        });
    }

    fn overlay(&mut self, instrument: &mut Instrument, e: &OverlayEntry) {
        let id = &e.id.value;
        let label = |field: &str| format!("overlay {id}: {field}");
        self.place(format!("overlays.{id}"), &e.id.span);
        let kind = e.kind.as_ref().and_then(|k| self.word::<OverlayKind>(k, &label("kind")));
        let covers = e
            .covers
            .as_ref()
            .map(|c| c.value.iter().filter_map(|cover| self.cover(cover, &c.span, instrument, &label("covers"))).collect::<Vec<_>>());
        let filler = match &e.filler {
            Some(f) if plain(&f.value) == "none" => Some(None),
            Some(f) => self.filler(f, true, &label("filler")).map(Some),
            None => None,
        };
        let slides = e.slides_off_at.as_ref().map(|j| j.value.as_str().into());
        let (off, back) = (self.minutes(e.off.as_ref(), &label("off")), self.minutes(e.back.as_ref(), &label("back")));
        if let Some(o) = instrument.overlays.iter_mut().find(|o| o.id.0 == *id) {
            o.name = e.name.clone().unwrap_or_else(|| o.name.clone());
            o.kind = kind.unwrap_or(o.kind);
            o.covers = covers.unwrap_or_else(|| o.covers.clone());
            o.filler = filler.unwrap_or(o.filler);
            o.slides_off_at = slides.or_else(|| o.slides_off_at.clone());
            o.off_minutes = off.or(o.off_minutes);
            o.back_minutes = back.or(o.back_minutes);
            return;
        }
        let (Some(kind), Some(covers)) = (kind, covers) else {
            if e.kind.is_none() || e.covers.is_none() {
                self.problem(
                    Some(&e.id.span),
                    format!("overlay {id}"),
                    "a new overlay needs `kind` and `covers`",
                    "write covers = [{ run = \"first-branch\", from = \"0 mm\", to = \"20 mm\" }]",
                );
            }
            return;
        };
        instrument.overlays.push(Overlay {
            id: id.as_str().into(),
            name: e.name.clone().unwrap_or_else(|| id.replace(['-', '_'], " ")),
            filler: filler.unwrap_or(if kind == OverlayKind::RimWire { None } else { Some(Filler::UnknownSoft) }),
            kind,
            covers,
            slides_off_at: slides,
            off_minutes: off,
            back_minutes: back,
        });
    }

    fn cover(&mut self, c: &CoverEntry, span: &Range<usize>, instrument: &Instrument, field: &str) -> Option<Cover> {
        let from_mm = self.measured(&c.from, span, field, Gauge::LENGTH)?.value;
        let to_mm = self.measured(&c.to, span, field, Gauge::LENGTH)?.value;
        let clock_deg = match &c.clock {
            Some(range) => Some(self.clock_range(range, span, field)?),
            None => None,
        };
        Some(Cover { run: resolve(instrument, &c.run), from_mm, to_mm, clock_deg })
    }

    fn fit(&mut self, instrument: &mut Instrument, e: &FitEntry) {
        let id = &e.id.value;
        let label = |field: &str| format!("fit {id}: {field}");
        self.place(format!("fits.{id}"), &e.id.span);
        let kind = e.kind.as_ref().and_then(|k| self.word(k, &label("kind")));
        let state = e.moves.as_ref().and_then(|m| self.word(m, &label("moves")));
        let clearance = self
            .located(e.clearance.as_ref(), format!("fits.{id}.clearance"), &label("clearance"), CLEARANCE)
            .map(|k| k.named("clearance"));
        let inner = e.inner.as_ref().map(|r| resolve(instrument, &r.value));
        let outer = e.outer.as_ref().map(|r| resolve(instrument, &r.value));
        if let Some(f) = instrument.fits.iter_mut().find(|f| f.id.0 == *id) {
            f.name = e.name.clone().unwrap_or_else(|| f.name.clone());
            f.kind = kind.unwrap_or(f.kind);
            f.inner = inner.unwrap_or_else(|| f.inner.clone());
            f.outer = outer.unwrap_or_else(|| f.outer.clone());
            f.clearance_mm = clearance.or_else(|| f.clearance_mm.clone());
            f.state = state.or(f.state);
            return;
        }
        let (Some(kind), Some(inner), Some(outer)) = (kind, inner, outer) else {
            if e.kind.is_none() || e.inner.is_none() || e.outer.is_none() {
                self.problem(Some(&e.id.span), format!("fit {id}"), "a new fit needs `kind`, `inner` and `outer`", "name both runs");
            }
            return;
        };
        instrument.fits.push(MovingFit {
            id: id.as_str().into(),
            name: e.name.clone().unwrap_or_else(|| id.replace(['-', '_'], " ")),
            kind,
            inner,
            outer,
            clearance_mm: clearance,
            state,
        });
    }

    /// The run that a dent or a condition names; told where there is none.
    fn known_run(&mut self, instrument: &Instrument, text: &Located<String>, field: &str) -> RunId {
        let id = resolve(instrument, &text.value);
        if instrument.run(&id).is_none() && !instrument.runs.is_empty() {
            let ids = || instrument.runs.iter().map(|r| r.id.0.as_str());
            let mend = match nearest(&text.value, ids()) {
                Some(near) => format!("did you mean `{near}`?"),
                None if instrument.runs.len() <= 20 => format!("name one of {}", ids().collect::<Vec<_>>().join(", ")),
                None => format!("name one of its {} runs, by id or name; `trueround pattern NAME` lists them", instrument.runs.len()),
            };
            self.problem(Some(&text.span), field, format!("there is no run “{}”", text.value), mend);
        }
        id
    }

    fn direction(&mut self, text: &str, span: &Range<usize>, field: &str) -> Direction {
        Direction::read(text).unwrap_or_else(|| {
            self.problem(
                Some(span),
                field,
                format!("“{text}” is no direction on a tube"),
                format!("write one of {}", Direction::choices()),
            );
            Direction::Oblique
        })
    }

    fn dent(&mut self, instrument: &Instrument, e: &DentEntry, free: String) -> Dent {
        let id = e.id.as_ref().map_or(free, |i| i.value.clone());
        let label = |field: &str| format!("dent {id}: {field}");
        let path = |field: &str| format!("dents.{id}.{field}");
        self.place(format!("dents.{id}"), e.id.as_ref().map_or(&e.run.span, |i| &i.span));
        self.place(path("run"), &e.run.span);
        let clock_deg = e.clock.as_ref().and_then(|c| {
            self.place(path("clock"), &c.span);
            self.clock(&c.value, &c.span, &label("clock")).map(|k| k.named("clock"))
        });
        let hardness_hv = e.hardness.as_ref().and_then(|h| {
            self.place(path("hardness"), &h.span);
            let text = match &h.value {
                Quantity::Exact(exact) => return self.exact(exact, &h.span, &label("hardness"), Unit::Hv).map(|k| k.named("hardness")),
                Quantity::Text(text) => text.clone(),
                Quantity::Number(n) => n.to_string(),
            };
            let found = read_hv(&text);
            if found.is_none() {
                self.problem(Some(&h.span), label("hardness"), format!("“{text}” is no hardness"), "write it like \"110 HV\"");
            }
            found.map(|hv| Known::new("hardness", hv, HV_PART * hv, Unit::Hv, Origin::Measured))
        });
        let crease = e.crease.as_ref().map(|c| {
            self.place(path("crease"), &c.span);
            Crease {
                direction: self.direction(&c.value.lies, &c.span, &label("crease")),
                length_mm: c
                    .value
                    .length
                    .as_ref()
                    .and_then(|l| self.measured(l, &c.span, &label("crease"), Gauge::WIDTH))
                    .map(|k| k.named("crease length")),
            }
        });
        let crack = e.crack.as_ref().map(|c| {
            self.place(path("crack"), &c.span);
            Crack {
                direction: self.direction(&c.value.lies, &c.span, &label("crack")),
                length_mm: c
                    .value
                    .length
                    .as_ref()
                    .and_then(|l| self.measured(l, &c.span, &label("crack"), Gauge::WIDTH))
                    .map(|k| k.named("crack length")),
                through: c.value.through,
            }
        });
        let earlier_repair = e.earlier_repair.as_ref().map(|r| EarlierRepair {
            note: r.value.note.clone(),
            thinned_mm: r
                .value
                .thinned
                .as_ref()
                .and_then(|t| self.measured(t, &r.span, &label("earlier_repair"), Gauge::WALL))
                .map(|k| k.named("wall lost")),
        });
        Dent {
            run: self.known_run(instrument, &e.run, &label("run")),
            at_mm: self.located(e.at.as_ref(), path("at"), &label("at"), STATION).map(|k| k.named("station")),
            clock_deg,
            depth_mm: self.located(e.depth.as_ref(), path("depth"), &label("depth"), Gauge::DEPTH).map(|k| k.named("depth")),
            width_along_mm: self.located(e.along.as_ref(), path("along"), &label("along"), Gauge::WIDTH).map(|k| k.named("width along")),
            width_across_mm: self
                .located(e.across.as_ref(), path("across"), &label("across"), Gauge::WIDTH)
                .map(|k| k.named("width across")),
            edge_radius_mm: self
                .located(e.edge_radius.as_ref(), path("edge_radius"), &label("edge_radius"), EDGE)
                .map(|k| k.named("edge radius")),
            profile_along: self.points(e.profile_along.as_ref(), path("profile_along"), &label("profile_along")),
            profile_across: self.points(e.profile_across.as_ref(), path("profile_across"), &label("profile_across")),
            crease,
            crack,
            earlier_repair,
            hardness_hv,
            wall_mm: self.located(e.wall.as_ref(), path("wall"), &label("wall"), Gauge::WALL).map(|k| k.named("wall")),
            pushed_in_by: e.pushed_in_by.as_ref().map(|o| {
                self.place(path("pushed_in_by"), &o.span);
                o.value.as_str().into()
            }),
            note: e.note.clone(),
            id: id.into(),
        }
    }

    fn points(&mut self, points: Option<&Located<Vec<[Quantity; 2]>>>, path: String, field: &str) -> Vec<ProfilePoint> {
        let Some(points) = points else { return Vec::new() };
        self.place(path, &points.span);
        let read = points.value.iter().map(|[x, depth]| {
            let x_mm = self.measured(x, &points.span, field, Gauge::LENGTH)?.value;
            Some(ProfilePoint { x_mm, depth_mm: self.measured(depth, &points.span, field, Gauge::DEPTH)?.value })
        });
        // The first bad point is told; the rest of the list would only repeat it.
        read.collect::<Option<Vec<_>>>().unwrap_or_default()
    }

    fn condition(&mut self, instrument: &Instrument, e: &ConditionEntry, free: String) -> Option<Condition> {
        let id = e.id.as_ref().map_or(free, |i| i.value.clone());
        let label = |field: &str| format!("condition {id}: {field}");
        self.place(format!("conditions.{id}"), e.id.as_ref().map_or(&e.run.span, |i| &i.span));
        Some(Condition {
            kind: self.word(&e.kind, &label("kind"))?,
            run: self.known_run(instrument, &e.run, &label("run")),
            from_mm: self.located(e.from.as_ref(), format!("conditions.{id}.from"), &label("from"), STATION).map(|k| k.value),
            to_mm: self.located(e.to.as_ref(), format!("conditions.{id}.to"), &label("to"), STATION).map(|k| k.value),
            clock_deg: e.clock.as_ref().and_then(|c| self.clock_range(&c.value, &c.span, &label("clock"))),
            through: e.through,
            wall_left_mm: self
                .located(e.wall_left.as_ref(), format!("conditions.{id}.wall_left"), &label("wall_left"), Gauge::WALL)
                .map(|k| k.named("wall left")),
            note: e.note.clone(),
            id: id.into(),
        })
    }

    /// A pattern's joint or overlay that no longer agrees does so because of a run that the file changed.
    fn cause(&self, survey: &Survey, part: &str) -> Option<&Range<usize>> {
        let (list, id) = part.split_once('.')?;
        let i = &survey.instrument;
        let runs: Vec<&RunId> = match list {
            "joints" => i.joints.iter().find(|j| j.id.0 == id).map(|j| vec![&j.a.run, &j.b.run])?,
            "overlays" => i.overlays.iter().find(|o| o.id.0 == id).map(|o| o.covers.iter().map(|c| &c.run).collect())?,
            "fits" => i.fits.iter().find(|f| f.id.0 == id).map(|f| vec![&f.inner, &f.outer])?,
            _ => return None,
        };
        let fields = ["bore", "axis", "wall"];
        let field = runs.iter().find_map(|r| fields.iter().find_map(|f| self.places.get(&format!("runs.{r}.{f}"))));
        field.or_else(|| runs.iter().find_map(|r| self.places.get(&format!("runs.{r}"))))
    }

    /// The problems of the plain data, brought back to their lines.
    fn plain_data(&mut self, survey: &Survey) {
        let told: BTreeSet<String> = self.problems.iter().filter(|p| !p.warning).map(|p| p.field.clone()).collect();
        for p in check::problems(survey) {
            let part = p.path.splitn(3, '.').take(2).collect::<Vec<_>>().join(".");
            let place = self.places.get(&p.path).or_else(|| self.places.get(&part)).or_else(|| self.cause(survey, &part));
            // What a pattern brought needs no warning that its user cannot mend.
            if place.is_none() && p.severity == Severity::Warning {
                continue;
            }
            let mut words = p.path.splitn(3, '.');
            let list = words.next().unwrap_or_default().trim_end_matches('s').to_owned();
            let field = match (words.next(), words.next()) {
                (Some(id), Some(field)) => format!("{list} {id}: {field}"),
                (Some(id), None) => format!("{list} {id}"),
                _ => list,
            };
            // A field that could not be read is not told to be missing as well.
            if told.contains(&field) {
                continue;
            }
            let line = place.map(|s| line_of(self.text, s.start));
            self.problems.push(Problem { line, field, what: p.what, mend: p.mend, warning: p.severity == Severity::Warning });
        }
    }
}

/// A dent's station is marked by eye at its deepest place: ± 3 mm. Common practice, no source.
pub(crate) const STATION: Gauge = Gauge { sd_mm: 3.0, pattern_part: 0.05, default: None };
/// A radius gauge's leaf at a dent's edge: ± 0.3 mm. Common practice, no source.
pub(crate) const EDGE: Gauge = Gauge { sd_mm: 0.3, pattern_part: 0.25, default: None };
/// A clearance from two callipers: ± 0.015 mm. Common practice, no source.
pub(crate) const CLEARANCE: Gauge = Gauge { sd_mm: 0.015, pattern_part: 0.3, default: None };
/// A clock angle judged by eye: ± 10°. Common practice, no source.
pub(crate) const CLOCK_SD_DEG: f64 = 10.0;
/// A portable hardness tester on a thin wall: ± 7 %. Common practice, no source.
pub(crate) const HV_PART: f64 = 0.07;
/// Wall of a run that nobody measured and no pattern has, mm, and its spread. Common practice, no source.
const ASSUMED_WALL: (f64, f64) = (0.5, 0.12);
/// Temper of such a run, numbers hard, and its spread. Common practice, no source.
const ASSUMED_TEMPER: (f64, f64) = (2.0, 1.3);
/// Spread of a temper given as a word, numbers hard. Common practice, no source.
const TEMPER_WORD_SD: f64 = 0.6;

/// A temper as a word, in numbers hard, or as a Vickers hardness: value, standard deviation, origin.
pub fn read_temper(text: &str, alloy: Alloy) -> Option<(f64, f64, Origin)> {
    let word = plain(text);
    let (word, pattern) = word.strip_prefix("pattern ").map_or((word.as_str(), false), |w| (w.trim(), true));
    let named = TEMPERS.iter().find(|(w, _)| *w == word).map(|(_, n)| *n);
    let numbers = word.strip_suffix("numbers").or_else(|| word.strip_suffix("numbers hard")).and_then(|n| n.trim().parse::<f64>().ok());
    if let Some(n) = named.or(numbers.filter(|n| (0.0..=8.0).contains(n))) {
        return Some(if pattern { (n, PATTERN_TEMPER_SD, Origin::Pattern) } else { (n, TEMPER_WORD_SD, Origin::ByEye) });
    }
    let hv = read_hv(text)?;
    let read = Temper::from_vickers(alloy, Value::new(hv, HV_PART * hv))?;
    Some((read.temper.0, read.sd, Origin::Measured))
}

/// Spread of a pattern's temper, numbers hard. Common practice, no source.
pub(crate) const PATTERN_TEMPER_SD: f64 = 0.7;

fn read_hv(text: &str) -> Option<f64> {
    let lower = text.trim().to_lowercase();
    lower.strip_suffix("hv").and_then(|n| n.trim().parse().ok()).filter(|hv: &f64| hv.is_finite() && *hv > 0.0)
}

/// A pattern by its own name or by another word for its kind.
pub(crate) fn pattern_named(text: &str) -> Option<Instrument> {
    instrument::patterns::named(&plain(text)).or_else(|| Kind::read(text).and_then(instrument::patterns::pattern))
}

/// The run of an id or of the bench's name for it.
fn resolve(instrument: &Instrument, text: &str) -> RunId {
    let wanted = plain(text);
    let by_id = instrument.runs.iter().find(|r| r.id.0 == text.trim() || plain(&r.id.0) == wanted);
    by_id
        .or_else(|| instrument.runs.iter().find(|r| plain(&r.name) == wanted))
        .map_or_else(|| RunId(text.trim().to_owned()), |r| r.id.clone())
}

fn free_name(taken: &mut BTreeSet<String>, letter: char, i: usize) -> String {
    let mut n = i + 1;
    while !taken.insert(format!("{letter}{n}")) {
        n += 1;
    }
    format!("{letter}{n}")
}
