//! How a field of a part's sheet is filled in with a thumb: what is chosen from few words by one tap, from many by a list,
//! what is measured by typing.

use crate::redisplay::Refill;
use crate::unit_format::UnitFormat;
use ::survey::damage::Form as Filled;
use ::survey::damage::form::choices;
use ::survey::given::Given;
use ::survey::parts::Part;
use instrument::Survey;
use instrument::fields::{Choice, Field, Kind};
use maud::{Markup, html};

/// The form of one part.
pub(super) struct SheetForm<'a> {
    pub(super) survey: &'a Survey,
    pub(super) fmt: UnitFormat,
    /// Whether the reader may survey.
    pub(super) may: bool,
    pub(super) part: &'a Part,
    pub(super) shown: &'a Filled,
    pub(super) refill: Refill<'a>,
    /// What stands before its keys: empty but for the second of two parts on one form.
    pub(super) prefix: &'a str,
    /// Of which of two parts a field is; empty where the form has one.
    pub(super) of: &'a str,
}

impl SheetForm<'_> {
    pub(super) fn field(&self, field: &'static Field) -> Markup {
        let may = self.may;
        let (key, saved) = (&*self.key(field), self.shown.text(field));
        let text = || self.refill.text(key, saved);
        let label = self.label(field);
        match field.kind {
            Kind::Choice(Choice::Alloy | Choice::Finish | Choice::FitState) => self.taps(field, &choices(field)),
            Kind::Flag if saved.is_empty() || field.key == instrument::fields::whole::CLEANED.key => self.taps(field, &choices(field)),
            Kind::Flag => html! {
                input type="hidden" name=(key) value="no" disabled[!may];
                label { input type="checkbox" name=(key) value="yes" checked[self.refill.has(key, "yes", saved == "yes")] disabled[!may]; (label) }
                (self.refill.beside(key, saved))
            },
            Kind::Choice(_) => html! {
                label { span { (label) } select name=(key) disabled[!may] {
                    @if !choices(field).contains(&saved) { option value="" selected[self.refill.has(key, "", true)] { "–" } }
                    @for word in choices(field) { option value=(word) selected[self.refill.has(key, word, saved == word)] { (word) } }
                } (self.refill.beside(key, saved)) }
            },
            Kind::Joints => {
                let joints = self.survey.instrument.joints.iter().map(|j| (j.id.0.as_str(), j.name.as_str()));
                self.list(field, joints.collect())
            }
            Kind::Overlays => {
                let overlays = self.survey.instrument.overlays.iter().map(|o| (o.id.0.as_str(), o.name.as_str()));
                self.list(field, overlays.collect())
            }
            Kind::Along(_) | Kind::TemperAlong => html! {
                label { span { (label) }
                    textarea name=(key) rows=(text().lines().count().clamp(1, 8)) placeholder=(self.instead(field)) autocomplete="off" disabled[!may] { "\n" (text()) }
                    (self.refill.beside(key, saved))
                    span.worth.soft.small data-worth={ (self.part.name()) "/" (field.key) } {}
                }
            },
            Kind::Axis | Kind::Covers => html! {
                label { span { (label) }
                    textarea name=(key) rows=(text().lines().count().clamp(1, 8)) autocomplete="off" disabled[!may] { "\n" (text()) }
                    span.soft.small { (field.about) " Written so: " (self.example(field)) "." }
                    (self.refill.beside(key, saved))
                }
            },
            _ => html! {
                label { span { (label) }
                    input name=(key) value=(text()) placeholder=(self.instead(field)) autocomplete="off" disabled[!may];
                    (self.refill.beside(key, saved))
                }
            },
        }
    }

    fn key(&self, field: &Field) -> String {
        format!("{}{}", self.prefix, field.key)
    }

    fn label(&self, field: &Field) -> String {
        if self.of.is_empty() { field.label.to_owned() } else { format!("{}: {}", self.of, field.label.to_lowercase()) }
    }

    /// How the lines of a shape are written, in the tablet's unit.
    fn example(&self, field: &Field) -> &'static str {
        match (field.kind, self.fmt.inches()) {
            (Kind::Axis, false) => "straight 120 mm, and on the next line bend 60 mm, 180°, 12 o'clock",
            (Kind::Axis, true) => "straight 4 3/4 in, and on the next line bend 2 3/8 in, 180°, 12 o'clock",
            (_, false) => "bottom-bow: 66 mm to 374 mm, 4 o'clock to 8 o'clock",
            (_, true) => "bottom-bow: 2.6 in to 14.7 in, 4 o'clock to 8 o'clock",
        }
    }

    /// What stands in a field that nobody filled in.
    fn instead(&self, field: &Field) -> String {
        self.part.instead(self.survey, field, self.fmt.0).unwrap_or_else(|| "not measured".to_owned())
    }

    /// Words of which one is tapped.
    fn taps(&self, field: &Field, words: &[&str]) -> Markup {
        let (key, saved) = (&*self.key(field), self.shown.text(field));
        let optional = saved.is_empty() || matches!(field.kind, Kind::Flag | Kind::Choice(Choice::FitState));
        let tap = |value: &str, words: &str| {
            html! { label.chip.tap { input type="radio" name=(key) value=(value) checked[self.refill.has(key, value, saved == value)] disabled[!self.may]; (words) } }
        };
        html! {
            fieldset.taps { legend { (self.label(field)) }
                div.chips {
                    @for word in words { (tap(word, word)) }
                    @if optional { (tap("", "not said")) }
                }
                (self.refill.beside(key, saved))
            }
        }
    }

    /// Parts of which any are ticked; folded away.
    fn list(&self, field: &Field, parts: Vec<(&str, &str)>) -> Markup {
        let key = &*self.key(field);
        let saved = |id: &str| match self.shown.0.get(field.key) {
            Some(Given::List(list)) => list.iter().any(|one| one.text() == id),
            _ => false,
        };
        let ticked = parts.iter().filter(|(id, _)| saved(id)).count();
        html! {
            details open[self.refill.refused()] {
                summary { (field.label) " " span.soft { @if ticked > 0 { "(" (ticked) ")" } @else { "(none)" } } }
                input type="hidden" name=(key) value="" disabled[!self.may];
                @for (id, name) in &parts {
                    label { input type="checkbox" name=(key) value=(id) checked[self.refill.ticked(key, id, saved(id))] disabled[!self.may]; (name) }
                }
                (self.refill.beside(key, ""))
            }
        }
    }
}
