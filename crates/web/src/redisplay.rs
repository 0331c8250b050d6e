//! A form that is refused is shown again as it was typed, with every problem and how to mend it. Where its page cannot be
//! shown again, what was typed stands on the page that says why.

use crate::problem::{Outcome, Problem};
use axum::body::Body;
use axum::extract::{Form, FromRequest, Request};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};

/// The fields of a form as they were sent, in their order.
pub type Fields = Vec<(String, String)>;

/// What was sent under a name; none where nothing was.
pub fn sent_as<'f>(fields: &'f [(String, String)], name: &str) -> Option<&'f str> {
    fields.iter().find(|(key, _)| key == name).map(|(_, text)| text.as_str())
}

/// The same; empty where nothing was sent.
pub fn typed_in<'f>(fields: &'f [(String, String)], name: &str) -> &'f str {
    sent_as(fields, name).unwrap_or_default()
}

/// What a form sent, as the door of the route read it.
#[derive(Clone, Debug, Default)]
pub struct Sent {
    path: String,
    fields: Fields,
}

/// Bytes of what was typed that are shown again; of a pasted book nobody copies from here.
const MOST_SHOWN: usize = 64 * 1024;

/// Fields that nobody typed, or that are never shown.
const NOT_TYPED: &[&str] = &[
    "csrf",
    "password",
    "old_password",
    "code",
    "step",
    "signature",
    "key",
    "version",
    "which",
    "act",
    "passed",
    "answer",
    "chosen",
    "kind",
    "box",
    "overrule",
    "fits",
    "replace",
    "part",
    "also",
    "tube",
    "seen",
    "place",
    "at",
    "tag",
    "from",
    "sure",
];

impl Sent {
    /// Reads the fields of a form's body; nothing where it is none.
    pub async fn read(path: &str, bytes: &[u8]) -> Self {
        let request = Request::post(path).header(CONTENT_TYPE, "application/x-www-form-urlencoded").body(Body::from(bytes.to_vec()));
        let form = match request {
            Ok(request) => Form::<Vec<(String, String)>>::from_request(request, &()).await.ok(),
            Err(_) => None,
        };
        Self { path: path.to_owned(), fields: form.map_or_else(Vec::new, |f| f.0) }
    }

    /// Does what the form asks; where that is refused, shows its page again.
    ///
    /// # Errors
    /// What the deed returns, where no page can be shown for it.
    pub fn taken(self, deed: impl FnOnce() -> Outcome<Redirect>, page: impl FnOnce(&Redisplay) -> Outcome<Markup>) -> Outcome<Response> {
        let problem = match deed() {
            Ok(done) => return Ok(done.into_response()),
            Err(problem) => problem,
        };
        let (problems, beside, moved) = match &problem {
            Problem::Bad(words) => (vec![words.clone()], vec![], false),
            Problem::Several(all) => (all.clone(), vec![], false),
            Problem::Fields(all) => {
                let (beside, whole): (Vec<_>, Vec<_>) = all.iter().cloned().partition(|(key, _)| !key.is_empty());
                (whole.into_iter().map(|(_, words)| words).collect(), beside, false)
            }
            Problem::Conflict(words) => (vec![words.clone()], vec![], true),
            _ => return Err(problem),
        };
        let redisplay = Redisplay { sent: Some(self), problems, beside, moved };
        match page(&redisplay) {
            Ok(page) => Ok((problem.status(), page).into_response()),
            Err(_) => Err(problem),
        }
    }

    /// What was typed, to be copied from; nothing where no words were.
    pub fn words(&self) -> Markup {
        let typed = || self.fields.iter().filter(|(name, text)| !NOT_TYPED.contains(&name.as_str()) && !text.trim().is_empty());
        let all: usize = typed().map(|(_, text)| text.len()).sum();
        html! {
            @if all > MOST_SHOWN {
                section.card { p.soft { "What you typed is not saved, and too long to be shown here: go back to it." } }
            } @else if typed().next().is_some() {
                section.card {
                    h2 { "What you typed" }
                    p.soft { "It is not saved. Copy it from here." }
                    @for (name, text) in typed() {
                        label { span { (crate::view::figures::sentence(&name.replace('_', " ")).trim_end_matches('.')) }
                            textarea readonly rows=(text.lines().count().clamp(1, 18)) { "\n" (text) } }
                    }
                }
            }
        }
    }
}

/// A page's refused form; none where the page is shown for the first time.
#[derive(Default)]
pub struct Redisplay {
    sent: Option<Sent>,
    problems: Vec<String>,
    /// What is said beside a field, by its key.
    beside: Vec<(String, String)>,
    /// What the form is about has changed under it: the form may no longer stand on the page.
    moved: bool,
}

impl Redisplay {
    /// The form with this address, with what was typed where it is the one that was refused.
    pub fn form(&self, action: &str) -> Refill<'_> {
        self.form_with(action, "", "")
    }

    /// As [`Redisplay::form`], where several forms of a page have one address and are told apart by a hidden field.
    pub fn form_with(&self, action: &str, field: &str, value: &str) -> Refill<'_> {
        let mine = |s: &&Sent| s.path == action && (field.is_empty() || s.field(field) == Some(value));
        Refill { sent: self.sent.as_ref().filter(mine), problems: &self.problems, beside: &self.beside, moved: self.moved }
    }

    /// What stands at the head of a page whose forms may have gone.
    pub fn head(&self) -> Markup {
        html! {
            @if self.moved {
                (problems(&self.problems))
                @if let Some(sent) = &self.sent { (sent.words()) }
            }
        }
    }
}

impl Sent {
    fn field(&self, name: &str) -> Option<&str> {
        // Of a box and the hidden field before it the box counts.
        self.fields.iter().rev().find(|(n, _)| n == name).map(|(_, text)| text.as_str())
    }
}

/// What goes into a form's fields: what was typed where the form was refused, else what is saved.
#[derive(Clone, Copy)]
pub struct Refill<'a> {
    sent: Option<&'a Sent>,
    problems: &'a [String],
    beside: &'a [(String, String)],
    moved: bool,
}

impl<'a> Refill<'a> {
    /// Whether this is the form that was refused.
    pub fn refused(self) -> bool {
        self.sent.is_some()
    }

    /// Why it was refused: every problem.
    pub fn problems(self) -> Markup {
        let beside = self.beside.len();
        html! {
            @if self.refused() && (beside == 0 || !self.problems.is_empty()) { (problems(self.problems)) }
            @if self.refused() && beside > 0 { p.problem.refused role="alert" tabindex="-1" autofocus { "Not saved. " @if beside == 1 { "One field was" } @else { (beside) " fields were" } " refused; the reason stands beside it." } }
        }
    }

    /// What is said beside a field: why it was refused, or what another tablet saved there in between.
    pub fn beside(self, name: &str, saved: &str) -> Markup {
        self.beside_named(name, saved, str::to_owned)
    }

    /// As [`Refill::beside`], of a field whose values have names.
    pub fn beside_named(self, name: &str, saved: &str, named: impl Fn(&str) -> String) -> Markup {
        let mine = self.sent.map_or("", |s| s.field(name).unwrap_or_default());
        html! {
            @if self.refused() {
                @for (_, words) in self.beside.iter().filter(|(key, _)| key == name) { span.problem.small { (crate::view::figures::sentence(words)) } }
                @if self.moved && mine.trim() != saved.trim() {
                    span.warn.small { "Another tablet saved here: " @if saved.is_empty() { "nothing" } @else { (named(saved)) } ". Yours: " @if mine.is_empty() { "nothing" } @else { (named(mine)) } "." }
                }
            }
        }
    }

    /// The version that the form was made from: of one that is refused its own, so that what another saves in between is still seen;
    /// where that has happened, and both are shown, the one that is saved.
    pub fn version(self, saved: i64) -> Markup {
        let version = match self.sent {
            Some(sent) if !self.moved => sent.field("version").unwrap_or_default().to_owned(),
            _ => saved.to_string(),
        };
        html! { input type="hidden" name="version" value=(version); }
    }

    /// A file's text that another tablet saved in between, to be copied from; what is typed here stands in the form.
    pub fn theirs(self, name: &str, saved: &str) -> Markup {
        let mine = self.sent.map_or("", |s| s.field(name).unwrap_or_default());
        html! {
            @if self.refused() && self.moved && mine.replace("\r\n", "\n").trim() != saved.trim() {
                label { span.warn.small { "Another tablet saved this here. Yours stands in the field above. Keeping yours replaces it." }
                    textarea.file readonly rows="12" { "\n" (saved) } }
            }
        }
    }

    /// Whether a box of a list is ticked.
    pub fn ticked(self, name: &str, value: &str, saved: bool) -> bool {
        self.sent.map_or(saved, |sent| sent.fields.iter().any(|(n, text)| n == name && text == value))
    }

    /// A field's text.
    pub fn text(self, name: &str, saved: &'a str) -> &'a str {
        match self.sent {
            Some(sent) => sent.field(name).unwrap_or_default(),
            None => saved,
        }
    }

    /// Whether a choice is chosen, a box ticked.
    pub fn has(self, name: &str, value: &str, saved: bool) -> bool {
        self.sent.map_or(saved, |sent| sent.field(name).unwrap_or_default() == value)
    }
}

fn problems(all: &[String]) -> Markup {
    html! {
        div.problem.refused role="alert" tabindex="-1" autofocus {
            p { "Not saved." @if all.len() > 1 { " " (all.len()) " things to mend:" } }
            ul { @for words in all { li { (crate::view::figures::sentence(words)) } } }
        }
    }
}
