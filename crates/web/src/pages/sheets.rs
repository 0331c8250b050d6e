//! The sheets of the instrument's parts on the survey's page: a tube, a joint, a brace, a moving fit, the whole. What a sheet
//! takes and refuses is the survey file's own ([`survey::parts`]); each is saved by itself, and only where nobody saved the
//! same part in between.

use super::sheet_form::SheetForm;
use crate::app::App;
use crate::auth::Signed;
use crate::layout;
use crate::problem::{Outcome, Problem};
use crate::recorded::body_read;
use crate::redisplay::Redisplay;
use crate::when;
use ::survey::damage::Form as Filled;
use ::survey::given::Given;
use ::survey::kept::survey_to_json;
use ::survey::parts::Part;
use axum::response::Redirect;
use instrument::fields::Kind;
use instrument::{Joint, Overlay, Run, Survey};
use maud::{Markup, html};
use store::counter::JobHead;
use store::{By, StoreError};
use units::{LengthUnit, text};

/// Saves a sheet.
///
/// # Errors
/// Where a field is refused, or somebody saved the same part in between.
pub fn saved(app: &App, signed: &Signed, id: i64, fields: &[(String, String)]) -> Outcome<Redirect> {
    let field = |key: &str| fields.iter().find(|(k, _)| k == key).map_or("", |(_, text)| text.as_str());
    let part = Part::named(field("part")).ok_or_else(|| Problem::Bad(format!("there is no part “{}”", field("part"))))?;
    let form = filled(&part, fields);
    let unit = signed.fmt.0;
    loop {
        let body = app.store().survey_body(id)?.ok_or_else(|| Problem::Missing("this job has no survey yet".to_owned()))?;
        let before = body_read(&body)?;
        let (next, refusals) = part.changed(&before, &form, unit);
        let Some(next) = next else {
            let words = |r: &::survey::damage::Refusal| (r.key.clone(), signed.fmt.text(&text!("{}; {}", r.what, r.hint)));
            let all: Vec<_> = refusals.iter().filter(|r| !r.warning).map(words).collect();
            return Err(if all.is_empty() {
                Problem::Missing(format!("there is no {} any more", field("part")))
            } else {
                Problem::Fields(all)
            });
        };
        // Sent again after a lost answer it says what stands there already.
        if next == before {
            break;
        }
        if mark(&part, &before) != field("seen") {
            return Err(Problem::Conflict("another tablet saved this in between; look at both, then save again".to_owned()));
        }
        let text = survey_to_json(&next).map_err(|e| Problem::Broken(e.to_string()))?;
        match app.store().save_survey_body(By { who: &signed.person.login, at: when::now() }, id, body.version, &text) {
            // Somebody saved another part of the same survey: this one is read again over it.
            Err(StoreError::Conflict { .. }) => {}
            done => {
                done?;
                break;
            }
        }
    }
    Ok(Redirect::to(&format!("/jobs/{id}/survey")))
}

/// Where the day and the customer's words are sent.
fn asks_action(job: i64) -> String {
    format!("/jobs/{job}/survey/asks")
}

fn asks_mark(job: &store::counter::JobCard) -> String {
    hash(&format!("{:?} {:?}", job.due, job.words))
}

/// Keeps the day on which the customer wants it, and what they ask for.
///
/// # Errors
/// Where the day is none, or somebody changed it in between.
pub fn asked(app: &App, signed: &Signed, id: i64, fields: &[(String, String)]) -> Outcome<Redirect> {
    let field = |key: &str| fields.iter().find(|(k, _)| k == key).map_or("", |(_, text)| text.as_str());
    let before = app.store().job(id)?;
    let (due, words) = (super::jobs::day(field("due"))?, field("words").replace("\r\n", "\n"));
    let words = words.trim();
    // Sent again after a lost answer it says what stands there already.
    if (before.due.as_deref(), before.words.as_str()) != (due, words) {
        if asks_mark(&before) != field("seen") {
            return Err(Problem::Conflict("another tablet saved this in between; look at both, then save again".to_owned()));
        }
        let by = By { who: &signed.person.login, at: when::now() };
        app.store().change_job(by, id, before.version, &JobHead { title: &before.title, words, due, bench: before.bench })?;
    }
    Ok(Redirect::to(&format!("/jobs/{id}/survey")))
}

/// What a form sent of the part's fields: of a box and the hidden field before it the box counts, ticks are a list.
fn filled(part: &Part, fields: &[(String, String)]) -> Filled {
    let mut form = Filled::default();
    for field in part.fields() {
        let mut sent = fields.iter().filter(|(k, _)| k == field.key).map(|(_, text)| text.as_str()).peekable();
        if sent.peek().is_none() {
            continue;
        }
        let given = match field.kind {
            Kind::Joints | Kind::Overlays => Given::List(sent.filter(|t| !t.is_empty()).map(Given::from).collect()),
            _ => Given::from(sent.last().unwrap_or_default()),
        };
        form.0.insert(field.key.to_owned(), given);
    }
    form
}

/// What a part says now, in a word: another where anything on its sheet is another.
pub(super) fn mark(part: &Part, survey: &Survey) -> String {
    hash(&format!("{:?}", part.shown(survey, LengthUnit::Mm)))
}

/// FNV-1a, 64 bits.
pub(super) fn hash(words: &str) -> String {
    let hash = words.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3));
    format!("{hash:016x}")
}

/// The sheets of one survey for one reader.
pub struct Sheets<'a> {
    pub(super) signed: &'a Signed,
    pub(super) job: i64,
    pub(super) survey: &'a Survey,
    /// Whether the reader may survey.
    pub(super) may: bool,
    pub(super) redisplay: &'a Redisplay,
}

impl Sheets<'_> {
    /// What is known of a tube, folded away below its strip.
    pub fn run(&self, run: &Run) -> Markup {
        let part = Part::Run(run.id.clone());
        let known = format!("{}, {}", alloy(run), run.finish.words());
        self.sheet(&part, html! { "This tube" }, &known, html! { (self.here(run)) })
    }

    /// The joints and braces at a tube, by where they are.
    fn here(&self, run: &Run) -> Markup {
        let i = &self.survey.instrument;
        let joints = i.joints.iter().filter(|j| j.a.run == run.id || j.b.run == run.id);
        let overlays = i.overlays.iter().filter(|o| o.covers.iter().any(|c| c.run == run.id));
        html! {
            p.small { "Joints and braces here: "
                @for j in joints { a.chip.button.plain href={ "#" (anchor(&Part::Joint(j.id.clone()))) } { (j.name) } " " }
                @for o in overlays { a.chip.button.plain href={ "#" (anchor(&Part::Overlay(o.id.clone()))) } { (o.name) } " " }
            }
        }
    }

    /// The sheets of all joints and of what is soldered on, from the mouthpiece to the bell.
    pub fn joints(&self) -> Markup {
        let i = &self.survey.instrument;
        let first = |runs: &[&instrument::RunId]| i.runs.iter().position(|r| runs.contains(&&r.id)).unwrap_or(usize::MAX);
        let mut joints: Vec<&Joint> = i.joints.iter().collect();
        joints.sort_by_key(|j| first(&[&j.a.run, &j.b.run]));
        let mut overlays: Vec<&Overlay> = i.overlays.iter().collect();
        overlays.sort_by_key(|o| first(&o.covers.iter().map(|c| &c.run).collect::<Vec<_>>()));
        let parts: Vec<(Part, &str)> = joints
            .iter()
            .map(|j| (Part::Joint(j.id.clone()), j.name.as_str()))
            .chain(overlays.iter().map(|o| (Part::Overlay(o.id.clone()), o.name.as_str())))
            .collect();
        html! {
            details id="joints" {
                summary { strong { "Joints, braces and guards" } " " span.soft { "(" (i.joints.len() + i.overlays.len()) ")" } }
                @for (part, name) in parts { (self.sheet(&part, html! { (name) }, &held(&part, self.survey), html! {})) }
            }
        }
    }

    /// The moving fits: how each moves, and its clearance.
    pub fn fits(&self) -> Markup {
        let i = &self.survey.instrument;
        let bad = i.fits.iter().filter(|f| f.state.is_some_and(|s| s != instrument::FitState::Free)).count();
        html! {
            @if !i.fits.is_empty() {
                details id="fits" open[i.fits.iter().any(|f| self.refused(&Part::Fit(f.id.clone())))] {
                    summary { strong { "Valves and slides" } " " span.soft id="bad-fits" data-live="" { @if bad > 0 { "(" (bad) " not free)" } @else { "(" (i.fits.len()) ")" } } }
                    @for f in &i.fits { (self.form(&Part::Fit(f.id.clone()), html! { h3 { (f.name) } }, html! {})) }
                }
            }
        }
    }

    /// The whole and the wishes.
    pub fn whole(&self, job: &store::counter::JobCard) -> Markup {
        let asks = self.redisplay.form(&asks_action(self.job));
        html! {
            details id="wishes" open[self.refused(&Part::Whole) || asks.refused()] {
                summary { strong { "The whole instrument and the customer's wishes" } }
                (self.form(&Part::Whole, html! {}, html! {}))
                @if self.signed.may(crate::auth::Need::Counter) && !job.state.is_closed() {
                    form.sheet method="post" action=(asks_action(self.job)) id="asks-form" data-sheet="" data-live="" {
                        (asks.problems())
                        (layout::csrf(self.signed)) input type="hidden" name="seen" value=(asks_mark(job));
                        label { span { "Due" } input name="due" type="date" value=(asks.text("due", job.due.as_deref().unwrap_or_default())); }
                        label { span { "What the customer asks for, in their words" } textarea name="words" rows="2" { "\n" (asks.text("words", &job.words)) } }
                        button.save type="submit" { "Save" }
                    }
                } @else {
                    p.small { "Due: " (job.due.as_deref().unwrap_or("no day set")) "." @if !job.words.is_empty() { " The customer: " (job.words) } }
                }
            }
        }
    }

    /// Tubes that have no strip: pistons.
    pub fn without_strip(&self) -> Markup {
        let pistons = || self.survey.instrument.runs.iter().filter(|r| matches!(r.role, instrument::Role::Piston));
        html! {
            @if pistons().next().is_some() {
                details { summary { "Pistons" } @for r in pistons() { (self.sheet(&Part::Run(r.id.clone()), html! { (r.name) }, alloy(r), html! {})) } }
            }
        }
    }

    fn refused(&self, part: &Part) -> bool {
        self.refill(part).refused()
    }

    fn refill(&self, part: &Part) -> crate::redisplay::Refill<'_> {
        self.redisplay.form_with(&self.action(), "part", &part.name())
    }

    fn action(&self) -> String {
        format!("/jobs/{}/survey/parts", self.job)
    }

    fn sheet(&self, part: &Part, title: Markup, known: &str, more: Markup) -> Markup {
        html! {
            details.sheet id=(anchor(part)) open[self.refused(part)] {
                summary { (title) " " span.soft.small id={ (anchor(part)) "-known" } data-live="" { (known) } }
                (self.form(part, html! {}, more))
            }
        }
    }

    fn form(&self, part: &Part, head: Markup, more: Markup) -> Markup {
        let Some(shown) = part.shown(self.survey, self.signed.fmt.0) else { return html! {} };
        let refill = self.refill(part);
        let form = SheetForm { survey: self.survey, fmt: self.signed.fmt, may: self.may, part, shown: &shown, refill };
        html! {
            form.sheet method="post" action=(self.action()) id={ (anchor(part)) "-form" } data-sheet="" data-live="" {
                (head)
                (refill.problems())
                (layout::csrf(self.signed)) input type="hidden" name="part" value=(part.name()); input type="hidden" name="seen" value=(mark(part, self.survey));
                @for field in part.fields().iter().filter(|f| !f.rare) { (form.field(field)) }
                @if part.fields().iter().any(|f| f.rare) {
                    details open[refill.refused()] {
                        summary.small { "Where the pattern has it wrong" }
                        @for field in part.fields().iter().filter(|f| f.rare) { (form.field(field)) }
                    }
                }
                (more)
                @if self.may { button.save type="submit" { "Save" } }
            }
        }
    }
}

/// Where a part's sheet stands on the page.
fn anchor(part: &Part) -> String {
    format!("sheet-{}", part.name().replace(' ', "-"))
}

fn alloy(run: &Run) -> &'static str {
    use ::survey::words::Word;
    run.alloy.word()
}

/// What holds a part, in a word or two: `soft solder, unknown soft`.
fn held(part: &Part, survey: &Survey) -> String {
    let Some(shown) = part.shown(survey, LengthUnit::Mm) else { return String::new() };
    let words: Vec<&str> = part.fields().iter().filter(|f| !f.rare).map(|f| shown.text(f)).filter(|t| !t.is_empty()).collect();
    words.join(", ")
}
