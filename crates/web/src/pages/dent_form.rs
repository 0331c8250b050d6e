//! The form of one dent, from the fields of a dent ([`instrument::fields::dent`]): which of them a practised hand fills in
//! first, and how each kind of field is filled in with a thumb. It knows no field by itself.

use crate::unit_format::UnitFormat;
use instrument::Instrument;
use instrument::fields::{Field, Kind, dent as d};
use maud::{Markup, html};
use survey::damage::form::{asked_for, choices, own};

/// What is filled in first; a part brings its own fields. All others stand below, folded.
const FIRST: [&Field; 5] = [&d::DEPTH, &d::ALONG, &d::ACROSS, &d::CREASE, &d::CRACK];
/// Where it is: said by the tap, corrected here.
const PLACE: [&Field; 2] = [&d::AT, &d::CLOCK];
/// Fields that are stepped up and down with two buttons.
const STEPPED: [&Field; 5] = [&d::DEPTH, &d::ALONG, &d::ACROSS, &d::AT, &d::CLOCK];
/// Fields that have quick buttons.
const QUICK: [&Field; 3] = [&d::DEPTH, &d::ALONG, &d::ACROSS];

/// The keys that the form fills in: all but the dent's name and its tube, which the tap gives.
pub fn keys() -> Vec<&'static str> {
    on_the_form(d::FIELDS.iter().copied()).filter(|f| f.kind != Kind::Part || asked_for(d::FIELDS, f)).map(|f| f.key).collect()
}

fn on_the_form(fields: impl Iterator<Item = &'static Field>) -> impl Iterator<Item = &'static Field> {
    fields.filter(|f| !matches!(f.kind, Kind::Id | Kind::Run))
}

/// The form, empty and hidden: the page's script fills it in with the dent that is chosen.
pub fn editor(fmt: UnitFormat, instrument: &Instrument, job: i64) -> Markup {
    let form = DentForm { fmt, instrument };
    let rest = on_the_form(d::FIELDS.iter().copied()).filter(|f| f.in_part().is_none() && !FIRST.contains(f) && !PLACE.contains(f));
    html! {
        p.soft id="no-dent" { "Tap the picture where a dent is, or a number to change it." }
        div.card id="editor" hidden {
            div.editor-head {
                div.title { h2 id="editor-title" tabindex="-1" { "Dent" } button.plain type="button" data-next="" hidden { "Next dent" } }
                p.soft.small id="editor-where" {}
                p id="crack-likelihood" { "Crack likelihood: " strong { "needs the depth" } }
            }
            div id="clash" class="note" role="alert" hidden {}
            div id="draft" class="row" hidden { span.soft { "A draft on this tablet: not in the survey yet." } button.plain type="button" id="keep-draft" { "Keep it" } }
            @for field in FIRST { (form.field(field)) }
            div.place {
                (clock_face())
                div { @for field in PLACE { (form.field(field)) } }
            }
            ul.warnings id="warnings" aria-live="polite" {}
            p.why id="says" aria-live="polite" {}
            details {
                summary { "Tube, edge, wall, hardness, note" }
                p.soft.small { "Lengths with their unit: " (if fmt.inches() { "5/32 in, about 1/8 in, 1/8 to 3/16 in" } else { "4 mm, about 4 mm, 3 to 5 mm" }) ". A bare number is in " (if fmt.inches() { "inches" } else { "millimeters" }) "." }
                (form.field(&d::RUN))
                @for field in rest { (form.field(field)) }
                fieldset.units { legend { "Buttons in" }
                    label data-both-units="" { input type="radio" name="units" value="mm"; "mm" } label data-both-units="" { input type="radio" name="units" value="in"; "inches" }
                }
            }
            div data-photo={ "/jobs/" (job) "/photos" } { label { span { "Photo" } input type="file" accept="image/jpeg,image/png,image/webp" capture="environment"; } div.thumbs id="thumbs" {} }
            button.quiet type="button" id="remove" { "Delete this dent" }
        }
        div.foot id="foot" hidden { span.soft.small id="dent-state" role="status" {} div.row { button.plain type="button" data-next="" hidden { "Next" } button type="button" id="dent-done" { "Done" } } }
    }
}

/// A clock to tap: where round the tube the dent is. 12 is the side of the seam.
fn clock_face() -> Markup {
    let hours = (0..12_i32).map(|h| (h, (f64::from(h) * 30.0).to_radians()));
    let at = |v: f64| format!("{v:.1}");
    html! {
        svg.clock-face id="clock-face" viewBox="-60 -60 120 120" role="slider" tabindex="0" aria-label="Clock: where round the tube; 12 is the side of the seam" aria-valuemin="0" aria-valuemax="345" aria-valuenow="0" aria-valuetext="not said" {
            circle.rim r="58" {}
            @for (h, a) in hours { @if h % 3 == 0 { text x=(at(44.0 * a.sin())) y=(at(-44.0 * a.cos())) { (if h == 0 { 12 } else { h }) } } @else { line.tick x1=(at(50.0 * a.sin())) y1=(at(-50.0 * a.cos())) x2=(at(56.0 * a.sin())) y2=(at(-56.0 * a.cos())) {} } }
            g.hand { line x1="0" y1="0" x2="0" y2="-34" {} circle cy="-34" r="6" {} }
        }
    }
}

/// Where it is said why a field was refused, or what measuring it is worth.
fn beside(key: &str) -> Markup {
    html! { span.beside.small data-beside=(key) {} }
}

struct DentForm<'a> {
    fmt: UnitFormat,
    instrument: &'a Instrument,
}

impl DentForm<'_> {
    fn field(&self, field: &'static Field) -> Markup {
        let (key, label) = (field.key, field.label);
        match field.kind {
            Kind::Run => html! {
                label { span { (label) } select name=(key) { @for r in &self.instrument.runs { option value=(r.id) { (r.name) } } } (beside(key)) }
            },
            // Those of the instrument's own parts, and the dent's name, stand elsewhere.
            Kind::Id
            | Kind::Joint
            | Kind::Fit
            | Kind::Along(_)
            | Kind::TemperAlong
            | Kind::Choice(_)
            | Kind::Joints
            | Kind::Overlays
            | Kind::Axis
            | Kind::Covers => {
                html! {}
            }
            Kind::Length(_) | Kind::Clock if STEPPED.contains(&field) => html! {
                div.field {
                    label { span { (label) } input name=(key) inputmode="text" autocomplete="off" placeholder="not measured"; }
                    button.plain type="button" data-step=(key) value="-1" aria-label={ (label) " less" } { "−" }
                    button.plain type="button" data-step=(key) value="1" aria-label={ (label) " more" } { "+" }
                }
                (beside(key))
                @if QUICK.contains(&field) { div.chips data-chips=(key) {} }
            },
            Kind::Length(_) | Kind::Clock | Kind::ClockRange | Kind::Angle | Kind::Hardness => html! {
                label { span { (label) } input name=(key) autocomplete="off" placeholder="not measured"; (beside(key)) }
            },
            Kind::Words => html! { label { span { (label) } textarea name=(key) rows="2" {} (beside(key)) } },
            Kind::Points => html! {
                label { span { (label) } textarea name=(key) rows="2" placeholder=(if self.fmt.inches() { "a line for each point: -5/16 in: 1/64 in" } else { "a line for each point: -8 mm: 0.2 mm" }) {} (beside(key)) }
            },
            Kind::Overlay => html! {
                label { span { (label) } select name=(key) {
                    option value="" { "nothing that is soldered on" }
                    @for o in &self.instrument.overlays { option value=(o.id) { (o.name) } }
                } (beside(key)) }
            },
            Kind::Direction | Kind::Condition | Kind::Flag => self.chosen(field, label, "not said", None),
            Kind::Part => self.part(field),
        }
    }

    /// Buttons, one of which is pressed; `part` is taken off by the first.
    fn chosen(&self, field: &Field, label: &str, none: &str, part: Option<&Field>) -> Markup {
        let chip = |value: &str, words: &str| {
            html! { button.plain.chip type="button" data-choice=(field.key) data-part=[part.map(|p| p.key)] value=(value) aria-pressed="false" { (words) } }
        };
        html! {
            div.choice { span { (label) } div.chips role="group" aria-label=(label) {
                (chip("", none))
                @for word in choices(field).into_iter().filter(|w| part.is_none() || *w != "no") { (chip(word, word)) }
                (beside(field.key))
            } }
        }
    }

    /// A part: whether it is there, and once it is, its own fields. One that is nothing without one of its fields is asked
    /// for by that field.
    fn part(&self, part: &'static Field) -> Markup {
        let asks = if asked_for(d::FIELDS, part) { Some(part) } else { own(d::FIELDS, part).find(|f| f.needed) };
        html! {
            @if let Some(asks) = asks { (self.chosen(asks, part.label, "none", Some(part))) }
            div.part data-of=(part.key) hidden {
                @for field in own(d::FIELDS, part).filter(|f| Some(*f) != asks) { (self.field(field)) }
            }
        }
    }
}
