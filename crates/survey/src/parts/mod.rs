//! The instrument itself as the tablet's sheets say it: a run, a joint, an overlay, a moving fit, and the whole with its
//! wishes. A sheet holds a text a field, under the keys of [`instrument::fields`]; what was touched is read by the file's own
//! reader over what the survey holds, so that a sheet takes and refuses what a file does, with the same words. What was not
//! touched keeps its value to the last figure.

mod entry;
mod pattern;
mod shown;

pub use pattern::with_pattern;

use crate::damage::{Form, Refusal};
use crate::given::Given;
use crate::read::Reader;
use crate::words::part_label;
use instrument::check::{self, Severity};
use instrument::fields::{Field, fit, joint, overlay, run, whole};
use instrument::{FitId, JointId, OverlayId, RunId, Survey};
use std::collections::BTreeSet;
use units::LengthUnit;

/// A part of a survey that has a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Part {
    /// A run of tube.
    Run(RunId),
    /// A joint.
    Joint(JointId),
    /// An overlay.
    Overlay(OverlayId),
    /// A moving fit.
    Fit(FitId),
    /// The instrument as a whole, and the customer's wishes.
    Whole,
}

impl Part {
    /// A part by its name: `run bell-flare`, `whole`.
    pub fn named(name: &str) -> Option<Self> {
        match name.split_once(' ') {
            Some(("run", id)) => Some(Self::Run(id.into())),
            Some(("joint", id)) => Some(Self::Joint(id.into())),
            Some(("overlay", id)) => Some(Self::Overlay(id.into())),
            Some(("fit", id)) => Some(Self::Fit(id.into())),
            None if name == "whole" => Some(Self::Whole),
            _ => None,
        }
    }

    /// Its name, as [`Part::named`] reads it.
    pub fn name(&self) -> String {
        match self {
            Self::Run(id) => format!("run {id}"),
            Self::Joint(id) => format!("joint {id}"),
            Self::Overlay(id) => format!("overlay {id}"),
            Self::Fit(id) => format!("fit {id}"),
            Self::Whole => "whole".to_owned(),
        }
    }

    /// The fields of its sheet.
    pub fn fields(&self) -> &'static [&'static Field] {
        match self {
            Self::Run(_) => run::FIELDS,
            Self::Joint(_) => joint::FIELDS,
            Self::Overlay(_) => overlay::FIELDS,
            Self::Fit(_) => fit::FIELDS,
            Self::Whole => whole::FIELDS,
        }
    }

    /// What stands on its sheet, in the reader's unit; none where the survey has no such part. A value that comes from the
    /// pattern was not measured, and its field is empty.
    pub fn shown(&self, survey: &Survey, unit: LengthUnit) -> Option<Form> {
        let i = &survey.instrument;
        Some(match self {
            Self::Run(id) => shown::run(i.run(id)?, unit),
            Self::Joint(id) => shown::joint(i.joint(id)?, unit),
            Self::Overlay(id) => shown::overlay(i.overlay(id)?, unit),
            Self::Fit(id) => shown::fit(i.fit(id)?, unit),
            Self::Whole => shown::whole(survey),
        })
    }

    /// What stands in an empty field until somebody measures it.
    pub fn instead(&self, survey: &Survey, field: &Field, unit: LengthUnit) -> Option<String> {
        match self {
            Self::Run(id) => shown::pattern(survey.instrument.run(id)?, field, unit),
            Self::Fit(id) => shown::pattern_clearance(survey.instrument.fit(id)?, field, unit),
            _ => None,
        }
    }

    /// The survey with what a sheet says; none where the survey has no such part, or a field was refused. Warnings come with
    /// a survey. A bare number is in the unit given.
    pub fn changed(&self, survey: &Survey, form: &Form, unit: LengthUnit) -> (Option<Survey>, Vec<Refusal>) {
        let (Some(mm), Some(inch)) = (self.shown(survey, LengthUnit::Mm), self.shown(survey, LengthUnit::Inch)) else {
            return (None, vec![]);
        };
        let same = |f: &Field, given: &Given| [&mm, &inch].iter().any(|shown| texts(shown.0.get(f.key)) == texts(Some(given)));
        let touched: Form = Form(
            self.fields()
                .iter()
                .filter_map(|f| form.0.get(f.key).filter(|given| !same(f, given)).map(|given| (f.key.to_owned(), given.clone())))
                .collect(),
        );
        let mut next = survey.clone();
        let mut refusals = Vec::new();
        let mut reader = Reader::new("", Some(unit));
        match self {
            Self::Run(id) => entry::run(&mut reader, &mut next.instrument, id, &touched, &mut refusals),
            Self::Joint(id) => entry::joint(&mut reader, &mut next.instrument, id, &touched),
            Self::Overlay(id) => entry::overlay(&mut reader, &mut next.instrument, id, &touched, &mut refusals),
            Self::Fit(id) => entry::fit(&mut reader, &mut next.instrument, id, &touched),
            Self::Whole => entry::whole(&mut next, &touched, &mut refusals),
        }
        let prefix = match self {
            Self::Overlay(id) => format!("{}: ", part_label(&id.0)),
            _ => format!("{}: ", self.name()),
        };
        refusals.extend(reader.problems.into_iter().map(|p| Refusal {
            key: p.field.strip_prefix(&prefix).unwrap_or_default().to_owned(),
            what: p.what,
            hint: p.hint,
            warning: p.warning,
            at: 0..0,
        }));
        self.check(survey, &next, &touched, &mut refusals);
        let refused = refusals.iter().any(|r| !r.warning);
        ((!refused).then_some(next), refusals)
    }

    /// What only shows once the part is in its place, and was not so before.
    fn check(&self, survey: &Survey, next: &Survey, touched: &Form, refusals: &mut Vec<Refusal>) {
        let mine = match self {
            Self::Run(id) => format!("runs.{id}."),
            Self::Joint(id) => format!("joints.{id}."),
            Self::Overlay(id) => format!("overlays.{id}."),
            Self::Fit(id) => format!("fits.{id}."),
            Self::Whole => "wishes.".to_owned(),
        };
        let old: BTreeSet<(String, String)> = check::problems(survey).into_iter().map(|p| (p.path, p.what.metric())).collect();
        // What does not fit its neighbor any more does so because of a field that was touched.
        let first = self.fields().iter().find(|f| touched.0.contains_key(f.key)).map_or("", |f| f.key);
        let bore = run::BORE.key;
        let cause = if touched.0.contains_key(bore) { bore } else { first };
        // A field that could not be read is not told to be wrong as well.
        let unread: BTreeSet<String> = refusals.iter().filter(|r| !r.warning).map(|r| r.key.clone()).collect();
        for p in check::problems(next) {
            if old.contains(&(p.path.clone(), p.what.metric())) {
                continue;
            }
            let key = p.path.strip_prefix(&mine).unwrap_or(cause).to_owned();
            if !unread.contains(&key) {
                refusals.push(Refusal { key, what: p.what, hint: p.hint, warning: p.severity == Severity::Warning, at: 0..0 });
            }
        }
    }
}

/// What a field says, without what differs by the browser: nothing and an empty text are the same, and so are the ends of lines.
fn texts(given: Option<&Given>) -> Vec<String> {
    match given {
        Some(Given::Text(text)) => vec![text.replace("\r\n", "\n").trim().to_owned()],
        Some(Given::List(list)) => list.iter().map(|one| one.text().trim().to_owned()).filter(|t| !t.is_empty()).collect(),
        _ => vec![String::new()],
    }
    .into_iter()
    .filter(|t| !t.is_empty())
    .collect()
}
