//! Who may do what, and the cookie that carries a session.

use crate::unit_format::UnitFormat;
use axum::http::HeaderMap;
use store::people::{Person, PersonRole};

/// What a route needs. The order of the variants has no meaning.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Need {
    /// Nothing: sign-in page, assets, the customer's own page.
    Nobody,
    /// Anybody signed in: look at jobs.
    Look,
    /// Customers, instruments, jobs.
    Counter,
    /// Write a survey.
    Survey,
    /// Overrule a plan.
    Overrule,
    /// Give a quote.
    Quote,
    /// Work a job's steps.
    Bench,
    /// Take acceptance checks.
    AcceptanceCheck,
    /// Close a job: ready, handed back.
    HandBack,
    /// See how long people take.
    History,
    /// Accounts, settings, journal, backup.
    Owner,
}

impl Need {
    /// Whether a role has it.
    pub fn allows(self, role: PersonRole) -> bool {
        use PersonRole::{Apprentice, Counter, Owner, Technician};
        match self {
            Need::Nobody | Need::Look => true,
            Need::Counter | Need::Quote | Need::HandBack => matches!(role, Owner | Technician | Counter),
            Need::Survey | Need::Bench | Need::AcceptanceCheck => matches!(role, Owner | Technician | Apprentice),
            Need::Overrule | Need::History => matches!(role, Owner | Technician),
            Need::Owner => role == Owner,
        }
    }
}

/// A person who is signed in.
#[derive(Clone, Debug)]
pub struct Signed {
    /// Who.
    pub person: Person,
    /// The token that every form must bring.
    pub csrf: String,
    /// How this tablet is told lengths.
    pub fmt: UnitFormat,
}

impl Signed {
    /// Whether this person may.
    pub fn may(&self, need: Need) -> bool {
        need.allows(self.person.role)
    }
}

/// Name of the session's cookie.
pub const COOKIE_NAME: &str = "trueround_session";
/// Name of the cookie by which a tablet is known on which a person has signed in before.
pub const TABLET_COOKIE: &str = "trueround_tablet";
/// How long a session lasts, seconds: fourteen days, so that a bench's tablet need not be signed in daily with greasy hands.
pub const SESSION_SECONDS: i64 = 14 * 24 * 3600;

/// The session's token among the cookies.
pub fn session_token(headers: &HeaderMap) -> Option<String> {
    crate::cookies::cookie_value(headers, COOKIE_NAME)
}

/// The cookie that carries a token; an empty token takes the cookie away.
pub fn cookie(token: &str, secure: bool) -> String {
    let age = if token.is_empty() { 0 } else { SESSION_SECONDS };
    let secure = if secure { "; Secure" } else { "" };
    format!("{COOKIE_NAME}={token}; Path=/; Max-Age={age}; HttpOnly; SameSite=Lax{secure}")
}

/// The cookie by which a tablet is known: for half a year, to our own pages only.
pub fn tablet_cookie(token: &str, secure: bool) -> String {
    let secure = if secure { "; Secure" } else { "" };
    format!("{TABLET_COOKIE}={token}; Path=/sign-in; Max-Age=15552000; HttpOnly; SameSite=Strict{secure}")
}
