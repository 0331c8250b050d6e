//! From what was filled in to a dent or a condition. A field that cannot be read is told and counts as not said, so that
//! nothing else is lost.

use super::filled::Filled;
use super::refusal::Refusal;
use crate::given::Given;
use crate::problem::Wrong;
use crate::quantity;
use crate::quantity::Quantity;
use crate::words::{Word, plain};
use instrument::fields::{Field, Held, Kind, condition as c, dent as d};
use instrument::{
    Condition, ConditionKind, Crack, Crease, Dent, DentId, Direction, EarlierRepair, FitId, Instrument, JointId, OverlayId, ProfilePoint,
    RunId, check,
};
use units::measured::Gauge;
use units::text::given_mm;
use units::{Known, LengthUnit, text};

/// What stands in a field that comes back as it was shown.
pub type Unchanged<'a> = &'a dyn Fn(&Field) -> Option<Held<'a>>;

/// On what a reading leans.
#[derive(Clone, Copy)]
pub struct Context<'a> {
    /// The instrument whose runs are named.
    pub instrument: &'a Instrument,
    /// Unit of bare numbers; none: they are refused.
    pub unit: Option<LengthUnit>,
    /// What stands in the fields that were not touched.
    pub unchanged: Unchanged<'a>,
}

impl<'a> Context<'a> {
    /// Where nothing stood before.
    pub fn new(instrument: &'a Instrument, unit: Option<LengthUnit>) -> Self {
        Self { instrument, unit, unchanged: &|_| None }
    }
}

/// A dent; none where its run is not said.
pub fn dent(filled: &Filled, id: &str, context: &Context<'_>) -> (Option<Dent>, Vec<Refusal>) {
    let mut r = Reading { filled, context, refusals: Vec::new() };
    // The name is the caller's: a file's own, or the record's. Here it only has to be a text.
    r.text(&d::ID);
    let run = r.run(&d::RUN);
    let crease = r.part(&d::CREASE).then(|| {
        let direction = r.word::<Direction>(&d::CREASE_LIES);
        r.needed(&d::CREASE_LIES);
        let length_mm = r.known(&d::CREASE_LENGTH);
        direction.map(|direction| Crease { direction, length_mm })
    });
    let crack = r.part(&d::CRACK).then(|| Crack {
        direction: r.word(&d::CRACK_LIES),
        length_mm: r.known(&d::CRACK_LENGTH),
        through: r.flag(&d::CRACK_THROUGH),
    });
    let earlier_repair =
        r.part(&d::REPAIR).then(|| EarlierRepair { note: r.words(&d::REPAIR_NOTE), thinned_mm: r.known(&d::REPAIR_THINNED) });
    let dent = run.map(|run| Dent {
        id: DentId(id.to_owned()),
        run,
        at_mm: r.known(&d::AT),
        clock_deg: r.known(&d::CLOCK),
        depth_mm: r.known(&d::DEPTH),
        width_along_mm: r.known(&d::ALONG),
        width_across_mm: r.known(&d::ACROSS),
        edge_radius_mm: r.known(&d::EDGE_RADIUS),
        profile_along: r.points(&d::PROFILE_ALONG),
        profile_across: r.points(&d::PROFILE_ACROSS),
        crease: crease.flatten(),
        crack,
        earlier_repair,
        hardness_hv: r.known(&d::HARDNESS),
        wall_mm: r.known(&d::WALL),
        pushed_in_by: r.text(&d::PUSHED_IN_BY).map(|o| OverlayId(o.trim().to_owned())),
        note: r.words(&d::NOTE),
    });
    (dent, r.refusals)
}

/// A condition; none where its kind is not said, or not what it concerns: the run, the brace, the joint or the hand slide.
pub fn condition(filled: &Filled, id: &str, context: &Context<'_>) -> (Option<Condition>, Vec<Refusal>) {
    let mut r = Reading { filled, context, refusals: Vec::new() };
    r.text(&c::ID);
    let kind = r.word::<ConditionKind>(&c::KIND);
    r.needed(&c::KIND);
    let own = kind.map(ConditionKind::named_by);
    if let Some(own) = own {
        r.needed(own);
    }
    let named = |text: Option<String>| text.map(|t| t.trim().to_owned());
    let run = r.named_run(&c::RUN);
    let overlay = named(r.text(&c::OVERLAY)).map(OverlayId);
    let joint = named(r.text(&c::JOINT)).map(JointId);
    let fit = named(r.text(&c::FIT)).map(FitId);
    let said = own.is_some_and(|own| match own.key {
        key if key == c::OVERLAY.key => overlay.is_some(),
        key if key == c::JOINT.key => joint.is_some(),
        key if key == c::FIT.key => fit.is_some(),
        _ => run.is_some(),
    });
    if !said {
        // What cannot stand is still read, so that the second mistake is told too.
        let ends = r.mm(&c::FROM).zip(r.mm(&c::TO));
        if let Some((from, to)) = ends.filter(|(from, to)| from > to) {
            r.refuse(
                &c::FROM,
                Wrong::new(text!("{} lies behind {}", given_mm(from), given_mm(to)), "give the place nearer the mouthpiece end first"),
            );
        }
        let _ = (r.clock_range(&c::CLOCK), r.flag(&c::THROUGH));
        for field in [&c::WALL_LEFT, &c::OUT_OF_LINE, &c::OVER, &c::ANGLE, &c::LEAST, &c::MOST] {
            let _ = r.known(field);
        }
        return (None, r.refusals);
    }
    let condition = kind.map(|kind| Condition {
        run,
        overlay,
        joint,
        fit,
        from_mm: r.mm(&c::FROM),
        to_mm: r.mm(&c::TO),
        clock_deg: r.clock_range(&c::CLOCK),
        through: r.flag(&c::THROUGH),
        wall_left_mm: r.known(&c::WALL_LEFT),
        out_of_line_mm: r.known(&c::OUT_OF_LINE),
        over_mm: r.known(&c::OVER),
        angle_deg: r.known(&c::ANGLE),
        least_mm: r.known(&c::LEAST),
        most_mm: r.known(&c::MOST),
        note: r.words(&c::NOTE),
        ..Condition::new(id, kind)
    });
    (condition.filter(|_| said), r.refusals)
}

/// The run of an id or of the bench's name for it.
pub(crate) fn resolve(instrument: &Instrument, text: &str) -> RunId {
    let wanted = plain(text);
    let by_id = instrument.runs.iter().find(|r| r.id.0 == text.trim() || plain(&r.id.0) == wanted);
    by_id
        .or_else(|| instrument.runs.iter().find(|r| plain(&r.name) == wanted))
        .map_or_else(|| RunId(text.trim().to_owned()), |r| r.id.clone())
}

struct Reading<'a, 'c> {
    filled: &'a Filled,
    context: &'a Context<'c>,
    refusals: Vec<Refusal>,
}

impl<'a> Reading<'a, '_> {
    fn refuse(&mut self, field: &Field, wrong: Wrong) {
        let at = match field.in_part() {
            Some((part, _)) if self.filled.get(field).is_none() => self.filled.at(part),
            _ => self.filled.at(field.key),
        };
        self.refusals.push(Refusal { key: field.key.to_owned(), what: wrong.what, hint: wrong.hint, warning: false, at });
    }

    /// What a field was read as; nothing, and told, where it could not be.
    fn read<T>(&mut self, field: &Field, how: impl FnOnce(&'a Given) -> Result<T, Wrong>) -> Option<T> {
        match how(self.filled.get(field)?) {
            Ok(read) => Some(read),
            Err(wrong) => {
                self.refuse(field, wrong);
                None
            }
        }
    }

    /// Tells a field that must be said and is not; one that was said and could not be read is told already.
    fn needed(&mut self, field: &Field) {
        if self.filled.get(field).is_none() {
            let key = field.in_part().map_or(field.key, |(_, own)| own);
            self.refuse(field, Wrong::new(format!("`{key}` is missing"), format!("give `{key}`: {}", lower(field.about))));
        }
    }

    fn known(&mut self, field: &Field) -> Option<Known> {
        if let Some(Held::Known(known)) = (self.context.unchanged)(field) {
            return Some(known.clone());
        }
        let unit = self.context.unit;
        self.read(field, |g| known(field, g, unit))
    }

    /// A length that is kept without its spread.
    fn mm(&mut self, field: &Field) -> Option<f64> {
        match (self.context.unchanged)(field) {
            Some(Held::Mm(mm)) => Some(mm),
            _ => self.known(field).map(|k| k.value),
        }
    }

    fn word<T: Word>(&mut self, field: &Field) -> Option<T> {
        self.read(field, |g| match g {
            Given::Text(text) => T::read(text).ok_or_else(|| Wrong::new(format!("“{text}” is not known here"), T::hint(text))),
            other => Err(Wrong::new(format!("this is {}", other.kind()), format!("write one of {}", T::choices()))),
        })
    }

    fn flag(&mut self, field: &Field) -> Option<bool> {
        self.read(field, yes_or_no)
    }

    /// Whether a part is there: said to be, or one of its fields is.
    fn part(&mut self, field: &Field) -> bool {
        let has = self.filled.has_of(field);
        self.read(field, |g| yes_or_no(g).map_err(|wrong| as_a_table(field, wrong))).unwrap_or(false) || has
    }

    fn text(&mut self, field: &Field) -> Option<String> {
        if let Some(Held::Text(text)) = (self.context.unchanged)(field) {
            return Some(text.to_owned());
        }
        self.read(field, |g| match g {
            Given::Text(text) => Ok(text.clone()),
            other => Err(Wrong::new(format!("this is {}", other.kind()), "write a text here, in quotes")),
        })
    }

    fn words(&mut self, field: &Field) -> String {
        self.text(field).unwrap_or_default()
    }

    fn run(&mut self, field: &Field) -> Option<RunId> {
        self.needed(field);
        self.named_run(field)
    }

    fn named_run(&mut self, field: &Field) -> Option<RunId> {
        let text = self.text(field)?;
        let instrument = self.context.instrument;
        let id = resolve(instrument, &text);
        if instrument.run(&id).is_none() && !instrument.runs.is_empty() {
            self.refuse(field, Wrong::new(format!("there is no run “{text}”"), check::run_hint(instrument, &id)));
        }
        Some(id)
    }

    fn points(&mut self, field: &Field) -> Vec<ProfilePoint> {
        if let Some(Held::Points(points)) = (self.context.unchanged)(field) {
            return points.to_vec();
        }
        let unit = self.context.unit;
        self.read(field, |g| points(g, unit)).unwrap_or_default()
    }

    fn clock_range(&mut self, field: &Field) -> Option<(f64, f64)> {
        if let Some(Held::ClockRange(range)) = (self.context.unchanged)(field) {
            return Some(range);
        }
        self.read(field, |g| {
            let (from, to) = match g {
                Given::List(list) => match list.as_slice() {
                    [Given::Text(from), Given::Text(to)] => (from.as_str(), to.as_str()),
                    _ => return Err(no_range()),
                },
                Given::Text(text) => text.split_once(" to ").ok_or_else(no_range)?,
                _ => return Err(no_range()),
            };
            Ok((quantity::angle(from)?, quantity::angle(to)?))
        })
    }
}

/// A value of a field that holds one.
pub(crate) fn known(field: &Field, given: &Given, unit: Option<LengthUnit>) -> Result<Known, Wrong> {
    let q = quantity::given(given)?;
    let read = match field.kind {
        Kind::Clock => quantity::clock(&q),
        Kind::Angle => quantity::off(&q),
        Kind::Hardness => quantity::hardness(&q),
        Kind::Length(gauge) => quantity::length(&q, gauge, unit),
        _ => quantity::length(&q, Gauge::LENGTH, unit),
    };
    Ok(read?.named(field.name))
}

/// A part is written as a table of its own fields.
fn as_a_table(part: &Field, wrong: Wrong) -> Wrong {
    let own = d::FIELDS.iter().filter_map(|f| f.in_part().filter(|(p, _)| *p == part.key).map(|(_, own)| own));
    let own: Vec<&str> = own.collect();
    let first = own.first().copied().unwrap_or_default();
    Wrong::new(wrong.what, format!("write {} = {{ {first} = … }}; it may have {}", part.key, own.join(", ")))
}

/// Yes or no, as a file says it or as a form does.
pub(crate) fn yes_or_no(given: &Given) -> Result<bool, Wrong> {
    let hint = "write true or false, or leave it out";
    match given {
        Given::Flag(flag) => Ok(*flag),
        Given::Text(text) => match plain(text).as_str() {
            "yes" | "true" => Ok(true),
            "no" | "false" => Ok(false),
            _ => Err(Wrong::new(format!("“{text}” is neither yes nor no"), hint)),
        },
        other => Err(Wrong::new(format!("this is {}", other.kind()), hint)),
    }
}

/// The points of a profile gauge: a list of pairs, or a text with a point a line (or between semicolons), `-8 mm: 0.2 mm`.
/// The first bad point is told; the rest of the list would only repeat it.
pub(crate) fn points(given: &Given, unit: Option<LengthUnit>) -> Result<Vec<ProfilePoint>, Wrong> {
    let point = |x: &Quantity, depth: &Quantity| {
        let x_mm = quantity::length(x, Gauge::LENGTH, unit)?.value;
        Ok(ProfilePoint { x_mm, depth_mm: quantity::length(depth, Gauge::DEPTH, unit)?.value })
    };
    match given {
        Given::List(list) => list
            .iter()
            .map(|pair| match pair {
                Given::List(pair) => match pair.as_slice() {
                    [x, depth] => point(&quantity::given(x)?, &quantity::given(depth)?),
                    _ => Err(no_points()),
                },
                _ => Err(no_points()),
            })
            .collect(),
        Given::Text(text) => text
            .split(['\n', ';'])
            .filter(|line| !line.trim().is_empty())
            .map(|line| {
                let (x, depth) = line.split_once(':').ok_or_else(no_points)?;
                point(&Quantity::Text(x.to_owned()), &Quantity::Text(depth.to_owned()))
            })
            .collect(),
        _ => Err(no_points()),
    }
}

fn no_points() -> Wrong {
    Wrong::new(
        "a profile is pairs of distance and depth",
        "write [[\"-8 mm\", \"0.2 mm\"], [\"0 mm\", \"3 mm\"], …] in a file, a line like -8 mm: 0.2 mm for each point on a form",
    )
}

fn no_range() -> Wrong {
    Wrong::new("a clock range has two ends", "write [\"10 o'clock\", \"2 o'clock\"] in a file, 10 o'clock to 2 o'clock on a form")
}

/// A sentence's first letter small, to stand behind a colon.
fn lower(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().collect::<String>() + letters.as_str().trim_end_matches('.'))
}
