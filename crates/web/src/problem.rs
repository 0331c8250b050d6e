//! What a page answers when it cannot do what was asked.

use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::html;
use store::StoreError;

/// A page's result.
pub type Outcome<T> = Result<T, Problem>;

/// Why a page cannot do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum Problem {
    /// Not signed in.
    #[error("sign in first")]
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
    /// Somebody else saved in between.
    #[error("{0}")]
    Conflict(String),
    /// Too many requests.
    #[error("too many tries; wait a minute and try again")]
    TooMany,
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
            Problem::Bad(_) => StatusCode::UNPROCESSABLE_ENTITY,
            Problem::Conflict(_) => StatusCode::CONFLICT,
            Problem::TooMany => StatusCode::TOO_MANY_REQUESTS,
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

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let status = self.status();
        if status.is_server_error() {
            eprintln!("{self}");
        }
        let page = crate::layout::bare(
            "That did not work",
            html! {
                h1 { "That did not work" }
                @if status.is_server_error() {
                    p.problem role="alert" { "Something broke in the program. What was saved before is safe." }
                    details { summary { "For whoever looks after it" } p.small.broken { (self.to_string()) } }
                } @else { p.problem role="alert" { (crate::pages::figures::sentence(&self.to_string())) } }
                p { a href="/" { "To the board" } }
            },
        );
        (status, page).into_response()
    }
}
