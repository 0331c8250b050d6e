//! The sheets of the instrument's parts on the survey's page: a tube, a joint, a brace, a moving fit, the whole. What a sheet
//! takes and refuses is the survey file's own ([`survey::parts`]); each is saved by itself, and only where nobody saved the
//! same part in between.

use super::sheet_form::SheetForm;
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::layout;
use crate::problem::{Outcome, Problem};
use crate::recorded::body_read;
use crate::redisplay::{Redisplay, typed_in};
use crate::when;
use ::survey::damage::Form as Filled;
use ::survey::given::Given;
use ::survey::kept::survey_to_json;
use ::survey::parts::Part;
use axum::response::Redirect;
use instrument::fields::Kind;
use instrument::{End, Instrument, Joint, MovingFit, Overlay, OverlayId, OverlayKind, Run, RunId, Survey};
use maud::{Markup, html};
use store::counter::{JobHead, JobState};
use store::states::{self, Action, Facts};
use store::{By, StoreError};
use units::{LengthUnit, text};

/// Saves a sheet, or the sheets of the two legs of one slide in one go: either all of it is taken or nothing.
///
/// # Errors
/// Where a field is refused, or somebody saved the same part in between.
pub fn saved(app: &App, signed: &Signed, id: i64, fields: &[(String, String)]) -> Outcome<Redirect> {
    let parts = parts(fields)?;
    let unit = signed.fmt.0;
    loop {
        let body = app.store().survey_body(id)?.ok_or_else(|| Problem::Missing("this job has no survey yet".to_owned()))?;
        let before = body_read(&body)?;
        let mut next = before.clone();
        let mut refused = Vec::new();
        for (n, part) in parts.iter().enumerate() {
            let (changed, refusals) = part.changed(&next, &filled(part, &prefix(n), fields), unit);
            refused.extend(
                refusals
                    .iter()
                    .filter(|r| !r.warning)
                    .map(|r| (format!("{}{}", prefix(n), r.key), signed.fmt.text(&text!("{}; {}", r.what, r.hint)))),
            );
            match changed {
                Some(changed) => next = changed,
                None if refused.is_empty() => return Err(Problem::Missing(format!("there is no {} any more", part.name()))),
                None => {}
            }
        }
        if !refused.is_empty() {
            return Err(Problem::Fields(refused));
        }
        // Sent again after a lost answer it says what stands there already.
        if next == before {
            break;
        }
        if seen(&parts, &before) != typed_in(fields, "seen") {
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
    Ok(Redirect::to(&match tube(fields) {
        Some(tube) => format!("/jobs/{id}/survey?tube={}", tube.0),
        None => format!("/jobs/{id}/survey"),
    }))
}

/// The tube at which a sheet was filled in; none where it is no tube's.
pub(super) fn tube(fields: &[(String, String)]) -> Option<RunId> {
    // What becomes part of an address is a plain name.
    let plain = |id: &str| !id.is_empty() && id.len() <= 80 && id.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_');
    let own = match Part::named(typed_in(fields, "part")) {
        Some(Part::Run(run)) => Some(run),
        _ => None,
    };
    Some(RunId::from(typed_in(fields, "tube"))).filter(|t| plain(&t.0)).or(own).filter(|t| plain(&t.0))
}

/// The parts that a form is about.
fn parts(fields: &[(String, String)]) -> Outcome<Vec<Part>> {
    let named = |name: &str| Part::named(name).ok_or_else(|| Problem::Bad(format!("there is no part “{name}”")));
    let mut all = vec![named(typed_in(fields, "part"))?];
    // A slide has two legs; more parts stand in no form.
    if let Some((_, also)) = fields.iter().find(|(k, _)| k == "also") {
        all.push(named(also)?);
    }
    Ok(all)
}

/// What stands before the keys of a form's second part.
fn prefix(part: usize) -> String {
    if part == 0 { String::new() } else { "other.".to_owned() }
}

/// What the parts of a form say now, in a word.
fn seen(parts: &[Part], survey: &Survey) -> String {
    parts.iter().map(|p| mark(p, survey)).collect::<Vec<_>>().join("")
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
    let field = |key: &str| typed_in(fields, key);
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
fn filled(part: &Part, prefix: &str, fields: &[(String, String)]) -> Filled {
    let mut form = Filled::default();
    for field in part.fields() {
        let key = format!("{prefix}{}", field.key);
        let mut sent = fields.iter().filter(|(k, _)| *k == key).map(|(_, text)| text.as_str()).peekable();
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
#[derive(Clone, Copy)]
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
        self.sheet(&part, Some(run), html! { "This tube" }, &known)
    }

    /// The sheets of what is soldered onto a tube and of the joints at its ends, by where they are.
    pub fn on(&self, run: &Run) -> Markup {
        let i = &self.survey.instrument;
        let fmt = self.signed.fmt;
        let mut joints: Vec<&Joint> = i.joints.iter().filter(|j| j.a.run == run.id || j.b.run == run.id).collect();
        joints.sort_by_key(|j| [&j.a, &j.b].iter().any(|e| e.run == run.id && e.end == End::Finish));
        let letters: Vec<(char, &OverlayId)> = lettered(i, run).map(|(l, o)| (l, &o.id)).collect();
        // As they sit along the tube, from the mouthpiece on.
        let begins = |o: &Overlay| o.covers.iter().filter(|c| c.run == run.id).map(|c| c.from_mm).fold(f64::INFINITY, f64::min);
        let mut overlays: Vec<&Overlay> = i.overlays.iter().filter(|o| o.covers.iter().any(|c| c.run == run.id)).collect();
        overlays.sort_by(|a, b| begins(a).total_cmp(&begins(b)));
        let at = |o: &Overlay| {
            let all = o.covers.iter().filter(|c| c.run == run.id).map(|c| format!("{} to {}", fmt.tenths(c.from_mm), fmt.tenths(c.to_mm)));
            all.collect::<Vec<_>>().join(", ")
        };
        html! {
            @for o in overlays {
                @let part = Part::Overlay(o.id.clone());
                @let letter = letters.iter().find(|(_, id)| **id == o.id);
                (self.sheet(&part, Some(run), html! { @if let Some((letter, _)) = letter { span.letter { (letter) } " " } (o.name) }, &format!("{}; {}", at(o), held(&part, self.survey))))
            }
            @for j in joints {
                @let part = Part::Joint(j.id.clone());
                (self.sheet(&part, Some(run), html! { (j.name) }, &held(&part, self.survey)))
            }
        }
    }

    /// The moving fits: how each moves, and its clearance. The two legs of one slide stand on one sheet.
    pub fn fits(&self) -> Markup {
        let i = &self.survey.instrument;
        let slides: Vec<Vec<&MovingFit>> =
            plan::slides(i).into_iter().map(|legs| legs.into_iter().filter_map(|k| i.fits.get(k)).collect()).collect();
        let bad = i.fits.iter().filter(|f| f.state.is_some_and(|s| s != instrument::FitState::Free)).count();
        let fit = |f: &MovingFit| Part::Fit(f.id.clone());
        html! {
            @if !i.fits.is_empty() {
                details id="fits" open[i.fits.iter().any(|f| self.refused(&fit(f)))] {
                    summary { strong { "Valves and slides" } " " span.soft id="bad-fits" data-live="" { @if bad > 0 { "(" (bad) " not free)" } @else { "(" (i.fits.len()) ")" } } }
                    @for legs in &slides {
                        @match legs[..] {
                            [one, other] => { (self.form(&[(fit(one), &one.name), (fit(other), &other.name)], None, html! { h3 { (plan::slide_name(legs)) } })) }
                            _ => { @for one in legs { (self.form(&[(fit(one), &one.name)], None, html! { h3 { (one.name) } })) } }
                        }
                    }
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
                (self.form(&[(Part::Whole, "")], None, html! {}))
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

    fn refused(&self, part: &Part) -> bool {
        self.refill(part).refused()
    }

    fn refill(&self, part: &Part) -> crate::redisplay::Refill<'_> {
        self.redisplay.form_with(&self.action(), "part", &part.name())
    }

    fn action(&self) -> String {
        format!("/jobs/{}/survey/parts", self.job)
    }

    fn sheet(&self, part: &Part, at: Option<&Run>, title: Markup, known: &str) -> Markup {
        html! {
            details.sheet id=(anchor(part)) open[self.refused(part)] {
                summary { (title) " " span.soft.small id={ (anchor(part)) "-known" } data-live="" { (known) } }
                (self.form(&[(part.clone(), "")], at, html! {}))
            }
        }
    }

    /// The form of a part, or of two that are saved in one go, each under its name; at the tube where it stands.
    fn form(&self, parts: &[(Part, &str)], at: Option<&Run>, head: Markup) -> Markup {
        let Some((first, _)) = parts.first() else { return html! {} };
        let refill = self.refill(first);
        let known: Vec<(usize, &Part, &str, Filled)> = parts
            .iter()
            .enumerate()
            .filter_map(|(n, (part, name))| Some((n, part, *name, part.shown(self.survey, self.signed.fmt.0)?)))
            .collect();
        let marks: Vec<Part> = parts.iter().map(|(p, _)| p.clone()).collect();
        let several = parts.len() > 1;
        html! {
            form.sheet method="post" action=(self.action()) id={ (anchor(first)) "-form" } data-sheet="" data-live="" data-pair[several] {
                (head)
                (refill.problems())
                (layout::csrf(self.signed)) input type="hidden" name="part" value=(first.name());
                @for (other, _) in parts.iter().skip(1) { input type="hidden" name="also" value=(other.name()); }
                input type="hidden" name="seen" value=(seen(&marks, self.survey));
                @if let Some(run) = at { input type="hidden" name="tube" value=(run.id); }
                @for (n, part, name, shown) in &known {
                    @let prefix = prefix(*n);
                    @let form = SheetForm { survey: self.survey, fmt: self.signed.fmt, may: self.may, part, shown, refill, prefix: &prefix, of: if several { name } else { "" } };
                    @for field in part.fields().iter().filter(|f| !f.rare) { (form.field(field)) }
                    @if part.fields().iter().any(|f| f.rare) {
                        details open[refill.refused()] {
                            summary.small { "Where the pattern has it wrong" }
                            @for field in part.fields().iter().filter(|f| f.rare) { (form.field(field)) }
                        }
                    }
                }
                @if self.may { button.save type="submit" { "Save" } }
            }
        }
    }
}

/// What covers a stretch of a run, each with the letter by which the strip names it.
pub(super) fn lettered<'a>(instrument: &'a Instrument, run: &'a Run) -> impl Iterator<Item = (char, &'a Overlay)> {
    let on_it = |o: &&Overlay| o.kind != OverlayKind::RimWire && o.covers.iter().any(|c| c.run == run.id);
    ('A'..='Z').zip(instrument.overlays.iter().filter(on_it))
}

/// Whether somebody may survey a job in this state: what would be refused has no form.
pub(super) fn may_survey(signed: &Signed, state: JobState) -> bool {
    signed.may(Need::Survey) && states::next(state, Action::Survey, &Facts::default()).is_ok()
}

/// Where a part's sheet stands on the page.
pub(super) fn anchor(part: &Part) -> String {
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
