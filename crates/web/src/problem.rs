//! What a page answers when it cannot do what was asked.

use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use std::sync::atomic::{AtomicU64, Ordering};
use store::StoreError;

/// How often something broke since the program started.
static BROKEN: AtomicU64 = AtomicU64::new(1);

/// A page's result.
pub type Outcome<T> = Result<T, Problem>;

/// Why a page cannot do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum Problem {
    /// Not signed in.
    #[error(
        "you are signed out, and nothing was saved. What you typed still stands on the page before: sign in in a second tab, go back to it and send it again"
    )]
    SignIn,
    /// Signed in, but not allowed.
    #[error("{0}")]
    Forbidden(&'static str),
    /// The form did not come from this page.
    #[error("this form is too old; go back, load the page again and send it once more")]
    Csrf,
    /// There is no such page or record.
    #[error("{0}")]
    Missing(String),
    /// What was typed cannot be taken: what, and how to mend it.
    #[error("{0}")]
    Bad(String),
    /// As [`Problem::Bad`], several things at once.
    #[error("{}", .0.join(" · "))]
    Several(Vec<String>),
    /// As [`Problem::Bad`], each with the key of the field beside which it is said.
    #[error("{}", .0.iter().map(|(_, words)| words.as_str()).collect::<Vec<_>>().join(" · "))]
    Fields(Vec<(String, String)>),
    /// Somebody else saved in between.
    #[error("{0}")]
    Conflict(String),
    /// A request for a name that is not the shop's.
    #[error("this machine does not go by that name; use its address, or start the program with --name and the name")]
    NotOurs,
    /// Too many requests.
    #[error("too many tries; wait a minute and try again")]
    TooMany,
    /// Failed too often: how many seconds to wait.
    #[error(
        "that name was tried too often with a wrong password; wait {0} seconds and try again, or sign in on a tablet where you did before"
    )]
    Later(i64),
    /// It took too long to come in, or is too large.
    #[error("{0}")]
    TooLarge(String),
    /// What was there, and is no longer shown: why, and what to do.
    #[error("{0}")]
    Gone(String),
    /// Too many wrong codes of a second factor: how many seconds to wait.
    #[error("too many wrong codes; wait {0} seconds, then sign in again")]
    LaterCode(i64),
    /// Something broke here.
    #[error("something broke: {0}")]
    Broken(String),
}

impl Problem {
    /// The HTTP status.
    pub fn status(&self) -> StatusCode {
        match self {
            Problem::SignIn => StatusCode::UNAUTHORIZED,
            Problem::Forbidden(_) | Problem::Csrf => StatusCode::FORBIDDEN,
            Problem::Missing(_) => StatusCode::NOT_FOUND,
            Problem::Bad(_) | Problem::Several(_) | Problem::Fields(_) => StatusCode::UNPROCESSABLE_ENTITY,
            Problem::Conflict(_) => StatusCode::CONFLICT,
            Problem::NotOurs => StatusCode::MISDIRECTED_REQUEST,
            Problem::TooMany | Problem::Later(_) | Problem::LaterCode(_) => StatusCode::TOO_MANY_REQUESTS,
            Problem::Gone(_) => StatusCode::GONE,
            Problem::TooLarge(_) => StatusCode::PAYLOAD_TOO_LARGE,
            Problem::Broken(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }
}

impl From<StoreError> for Problem {
    fn from(e: StoreError) -> Self {
        match e {
            StoreError::Missing { .. } => Problem::Missing(e.to_string()),
            StoreError::Refused(why) => Problem::Bad(why),
            StoreError::Conflict { .. } => Problem::Conflict(e.to_string()),
            other => Problem::Broken(other.to_string()),
        }
    }
}

/// Left on an answer that is a page saying why not, so that the door can put what was typed on it.
#[derive(Clone)]
pub struct ErrorText {
    status: StatusCode,
    words: String,
}

impl ErrorText {
    /// The page, with what was typed.
    pub fn with(&self, typed: &Markup) -> Response {
        let page = crate::layout::bare(
            "That did not work",
            html! {
                h1 { "That did not work" }
                @if self.status.is_server_error() {
                    p.problem role="alert" { "Something broke in the program. What was saved before is safe." }
                    p.small { "Whoever looks after it finds what happened in the program's log under " code { (self.words) } "." }
                } @else { p.problem role="alert" { (crate::view::figures::sentence(&self.words)) } }
                (typed)
                p { a href="/" { "To the board" } }
            },
        );
        (self.status, page).into_response()
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let mut text = ErrorText { status: self.status(), words: self.to_string() };
        if text.status.is_server_error() {
            // The page tells a number only: what broke may name files and tables.
            let number = BROKEN.fetch_add(1, Ordering::Relaxed);
            text.words = format!("{}-{number}", crate::when::now());
            tracing::error!("{}: {self}", text.words);
        }
        let mut response = text.with(&html! {});
        response.extensions_mut().insert(text);
        response
    }
}
