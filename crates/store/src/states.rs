//! The allowed changes of a job's state, in one place. Every call of the store that changes a state, or presupposes one, asks
//! here inside its own transaction: what is decided is decided on the record as it then stands, and two tablets at once
//! cannot both be right.

use crate::connection::{By, Store};
use crate::counter::JobState;
use crate::error::{Result, StoreError};
use crate::sql;
use rusqlite::Connection;
use std::fmt;

/// What somebody does to a job that its state must allow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Action {
    /// The survey is written: a dent saved or taken out, what holds for the whole instrument.
    Survey,
    /// It is said by name that there is no dent to record.
    NoDents,
    /// The plan is overruled, or an overrule withdrawn.
    Overrule,
    /// A quote is given.
    Quote,
    /// The quote that is out is taken back.
    WithdrawQuote,
    /// The customer says yes.
    Accept,
    /// The customer says no.
    Decline,
    /// What was closed, or called ready, is opened again.
    Reopen,
    /// A supplement to what was agreed is offered or answered.
    Supplement,
    /// A step is started, ticked or left out.
    Work,
    /// A step's tick is taken back.
    Untick,
    /// A timer is stopped, a note kept, a time corrected.
    Note,
    /// A final check is taken.
    Check,
    /// The job is called ready.
    Ready,
    /// The instrument is handed back.
    HandBack,
}

impl Action {
    /// All of them.
    pub const ALL: [Self; 15] = [
        Self::Survey,
        Self::NoDents,
        Self::Overrule,
        Self::Quote,
        Self::WithdrawQuote,
        Self::Accept,
        Self::Decline,
        Self::Reopen,
        Self::Supplement,
        Self::Work,
        Self::Untick,
        Self::Note,
        Self::Check,
        Self::Ready,
        Self::HandBack,
    ];

    /// Its name in the record.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Survey => "survey",
            Self::NoDents => "no_dents",
            Self::Overrule => "overrule",
            Self::Quote => "quote",
            Self::WithdrawQuote => "withdraw_quote",
            Self::Accept => "accept",
            Self::Decline => "decline",
            Self::Reopen => "reopen",
            Self::Supplement => "supplement",
            Self::Work => "work",
            Self::Untick => "untick",
            Self::Note => "note",
            Self::Check => "check",
            Self::Ready => "ready",
            Self::HandBack => "hand_back",
        }
    }

    /// What cannot be done, as a person says it.
    fn words(self) -> &'static str {
        match self {
            Self::Survey => "its survey stays as it is",
            Self::NoDents => "nothing more is said about its dents",
            Self::Overrule => "its plan stays as it is",
            Self::Quote => "no quote can be given",
            Self::WithdrawQuote => "there is no quote to take back",
            Self::Accept => "no offer can be accepted",
            Self::Decline => "it cannot be declined",
            Self::Reopen => "there is nothing to open again",
            Self::Supplement => "no supplement can be offered or agreed",
            Self::Work => "its steps cannot be worked",
            Self::Untick => "its steps stay as they are",
            Self::Note => "no note can be kept",
            Self::Check => "no final check can be taken",
            Self::Ready => "it cannot be called ready",
            Self::HandBack => "it cannot be picked up",
        }
    }
}

/// Where the newest quote stands that was not taken back.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum QuoteFact {
    /// None was given.
    #[default]
    None,
    /// It waits for its answer.
    Out,
    /// The customer took none of its offers.
    No,
    /// The customer took one.
    Yes,
}

/// Who lets something go that is not met, and why.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Said<'a> {
    /// Name.
    pub name: &'a str,
    /// Reason.
    pub reason: &'a str,
}

impl<'a> Said<'a> {
    /// Name and reason, where both are given.
    pub fn both(name: &'a str, reason: &'a str) -> Option<Self> {
        let said = Self { name: name.trim(), reason: reason.trim() };
        said.whole().then_some(said)
    }

    fn whole(self) -> bool {
        !self.name.trim().is_empty() && !self.reason.trim().is_empty()
    }
}

/// What a decision rests on besides the state.
#[derive(Clone, Debug, Default)]
pub struct Facts<'a> {
    /// Dents in the survey.
    pub dents: i64,
    /// Pieces of work in it that are asked for by name.
    pub work: i64,
    /// Whether somebody said by name that there is none to record.
    pub no_dents_said: bool,
    /// The newest quote.
    pub quote: QuoteFact,
    /// Whether an older quote is there that would be out again.
    pub older_quote: bool,
    /// Whether whoever asks was asked first, where work would be thrown away.
    pub sure: bool,
    /// What is not met: open steps, checks that are missing or failed, accessories that did not go back.
    pub not_met: Vec<String>,
    /// Who lets it go, and why.
    pub said: Option<Said<'a>>,
}

impl Facts<'_> {
    fn surveyed(&self) -> bool {
        self.dents > 0 || self.work > 0 || self.no_dents_said
    }

    fn let_go(&self) -> bool {
        self.said.is_some_and(Said::whole)
    }
}

/// Why something is not done, and how to mend it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// Where the job stands and what therefore is not done.
    pub what: String,
    /// How to mend it.
    pub mend: String,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.what, self.mend)
    }
}

/// Where a job stands, in the middle of a sentence.
fn standing(state: JobState) -> &'static str {
    match state {
        JobState::Received => "is not surveyed",
        JobState::Surveyed => "is surveyed and not quoted",
        JobState::Quoted => "is quoted and not answered",
        JobState::Approved => "is approved",
        JobState::OnBench => "is on the bench",
        JobState::Checking => "is in its final checks",
        JobState::Ready => "is ready for pickup",
        JobState::HandedBack => "was picked up",
        JobState::Declined => "was declined",
    }
}

/// How to get from a state to where an action is possible.
fn mend(state: JobState, action: Action) -> &'static str {
    use JobState::{Approved, Checking, Declined, HandedBack, OnBench, Quoted, Ready, Received, Surveyed};
    match (state, action) {
        (_, Action::Reopen) => "It is open already.",
        (HandedBack | Declined, Action::Decline | Action::WithdrawQuote | Action::HandBack) => "It is closed already.",
        (HandedBack | Declined, _) => "Open it again on the job's page first.",
        (Ready, Action::Decline | Action::Accept | Action::WithdrawQuote) => "The work is done. It waits for pickup.",
        (Ready, _) => "If it is not ready after all, send it back to the final checks on the job's page.",
        (Received, Action::WithdrawQuote) => "None was given.",
        (Received, _) => "Survey it first: record at least one dent, add other work, or say by name that there is no dent.",
        (Surveyed, Action::Accept | Action::WithdrawQuote) => "Give a quote first.",
        (Surveyed | Quoted, Action::HandBack) => "If the customer takes it as it is, mark it declined on the job's page.",
        (Surveyed | Quoted, _) => "The customer has to say yes to an offer first.",
        (Approved | OnBench | Checking, Action::Quote) => "The customer said yes to an offer. Offer a supplement for what comes on top.",
        (Approved | OnBench | Checking, Action::Accept | Action::WithdrawQuote) => "The customer said yes already.",
        (OnBench | Checking, Action::Decline) => "Work has begun. Call it ready and say what is not done, by whom and why.",
        (Approved | OnBench | Checking, Action::HandBack) => "Call it ready first, on the page of the final checks.",
        (Approved | OnBench | Checking, _) => "See the job's page for what comes next.",
    }
}

/// The state after an action, or why not.
///
/// # Errors
/// Where the state or the facts do not allow it.
pub fn next(state: JobState, action: Action, facts: &Facts<'_>) -> std::result::Result<JobState, Refusal> {
    use JobState::{Approved, Checking, Declined, HandedBack, OnBench, Quoted, Ready, Received, Surveyed};
    let no = || Err(Refusal { what: format!("This job {}: {}.", standing(state), action.words()), mend: mend(state, action).to_owned() });
    let lacks = |what: String, mend: &str| Err(Refusal { what, mend: mend.to_owned() });
    match (action, state) {
        (Action::Note, _) => Ok(state),
        (Action::Survey, Received | Surveyed) => Ok(if facts.surveyed() { Surveyed } else { Received }),
        (Action::Survey | Action::Overrule, Quoted | Approved | OnBench | Checking) | (Action::Overrule, Received | Surveyed) => Ok(state),
        (Action::NoDents, Received | Surveyed) if facts.let_go() => Ok(Surveyed),
        (Action::NoDents, Received | Surveyed) => {
            lacks("Nobody stands for there being no dent.".to_owned(), "Give the name of whoever looked, and what the job is for.")
        }
        (Action::Quote, Received | Surveyed | Quoted) if !facts.surveyed() => lacks(
            "No dent is recorded and no other work, so there is nothing to quote.".to_owned(),
            "Survey it first, add other work, or say by name that there is no dent.",
        ),
        (Action::Quote, Received | Surveyed | Quoted) if facts.quote == QuoteFact::Out && !facts.sure => lacks(
            "The customer has a quote that is not answered.".to_owned(),
            "A new one ends it: its link stops working. Say that you want to replace it.",
        ),
        (Action::Quote, Received | Surveyed | Quoted) => Ok(Quoted),
        (Action::WithdrawQuote, Quoted) if facts.quote == QuoteFact::Out => Ok(if facts.older_quote {
            Quoted
        } else if facts.surveyed() {
            Surveyed
        } else {
            Received
        }),
        (Action::Accept, Quoted) if facts.quote == QuoteFact::Out => Ok(Approved),
        (Action::Decline, Received | Surveyed | Quoted) => Ok(Declined),
        (Action::Decline, Approved) if facts.let_go() => Ok(Declined),
        (Action::Decline, Approved) => {
            lacks("The customer said yes to an offer.".to_owned(), "To cancel it, say who cancels and why. Nothing is owed for it then.")
        }
        (Action::Reopen, Declined) => Ok(match facts.quote {
            QuoteFact::Yes => Approved,
            QuoteFact::Out | QuoteFact::No => Quoted,
            QuoteFact::None if facts.surveyed() => Surveyed,
            QuoteFact::None => Received,
        }),
        (Action::Reopen, HandedBack) => Ok(Ready),
        (Action::Reopen, Ready) => Ok(Checking),
        (Action::Supplement, Approved | OnBench | Checking) => Ok(state),
        // Before the yes the bench may begin (flushing and freeing belong to the survey); the bench's page says that it is unpaid.
        (Action::Work | Action::Untick, Surveyed | Quoted) => Ok(state),
        (Action::Work | Action::Untick, Approved | OnBench) | (Action::Untick, Checking) => Ok(OnBench),
        (Action::Work, Checking) | (Action::Check, Approved | OnBench | Checking | Ready) => Ok(Checking),
        (Action::Ready, Approved | OnBench | Checking) if facts.not_met.is_empty() || facts.let_go() => Ok(Ready),
        (Action::HandBack, Ready) if facts.not_met.is_empty() || facts.let_go() => Ok(HandedBack),
        // An instrument whose owner said no is fetched too.
        (Action::HandBack, Declined) if facts.not_met.is_empty() || facts.let_go() => Ok(Declined),
        (Action::Ready, Approved | OnBench | Checking) => {
            lacks(format!("It is not ready: {}.", few(&facts.not_met)), "Finish it, or say who lets it go and why.")
        }
        (Action::HandBack, Ready | Declined) => {
            lacks(format!("Not everything goes back: {}.", few(&facts.not_met)), "Tick it, or say who lets it go and why.")
        }
        _ => no(),
    }
}

/// The first of a list, and how many more.
fn few(all: &[String]) -> String {
    const SHOWN: usize = 5;
    let mut words = all.iter().take(SHOWN).map(String::as_str).collect::<Vec<_>>().join("; ");
    if all.len() > SHOWN {
        words.push_str(&format!("; and {} more", all.len() - SHOWN));
    }
    words
}

/// What the asker brings: the rest of the facts is read from the record.
#[derive(Clone, Debug, Default)]
pub(crate) struct Brought<'a> {
    pub sure: bool,
    pub not_met: Vec<String>,
    pub said: Option<Said<'a>>,
}

/// Does an action inside a transaction that is open: the job moves, and what was let go is kept with name and reason.
pub(crate) fn act(c: &Connection, by: By<'_>, job: i64, action: Action, brought: Brought<'_>) -> Result<JobState> {
    let state: JobState = sql::one(c, "job", job, "SELECT state FROM jobs WHERE id = ?1", [job], |r| r.get(0))?;
    let facts = facts(c, job, brought)?;
    let to = next(state, action, &facts).map_err(|why| StoreError::Refused(why.to_string()))?;
    if matches!(action, Action::Reopen | Action::Ready) {
        sql::run(c, "UPDATE let_go SET stands = 0 WHERE job = ?1 AND at_act <> 'no_dents' AND stands = 1", [job])?;
    }
    let cancelled = action == Action::Decline && state == JobState::Approved;
    if let Some(said) = facts.said.filter(|_| action == Action::NoDents || cancelled || !facts.not_met.is_empty()) {
        let what = match action {
            Action::NoDents => vec!["no dent to record".to_owned()],
            Action::Decline => vec!["an agreed offer was cancelled".to_owned()],
            _ => facts.not_met,
        };
        keep_let_go(c, by, job, action, &what, said)?;
    }
    if to != state {
        move_job(c, by, job, to)?;
    }
    Ok(to)
}

/// As [`act`], where nothing but the record decides.
pub(crate) fn plainly(c: &Connection, by: By<'_>, job: i64, action: Action) -> Result<JobState> {
    act(c, by, job, action, Brought::default())
}

fn facts<'a>(c: &Connection, job: i64, brought: Brought<'a>) -> Result<Facts<'a>> {
    let dents = sql::one(c, "job", job, "SELECT count(*) FROM dents WHERE job = ?1", [job], |r| r.get(0))?;
    // The one fact inside the body that a state hangs on: how much work is asked for.
    let work =
        "SELECT coalesce(max(CASE WHEN json_valid(body) THEN json_array_length(body, '$.survey.work') END), 0) FROM surveys WHERE job = ?1";
    let work = sql::one(c, "job", job, work, [job], |r| r.get(0))?;
    let said = "SELECT EXISTS (SELECT 1 FROM let_go WHERE job = ?1 AND at_act = 'no_dents' AND stands = 1)";
    let no_dents_said = sql::one(c, "job", job, said, [job], |r| r.get(0))?;
    let quotes = sql::all(
        c,
        "SELECT chosen IS NOT NULL, signed_at IS NOT NULL FROM quotes WHERE job = ?1 AND withdrawn = 0 AND adds_to IS NULL ORDER BY id DESC LIMIT 2",
        [job],
        |r| Ok((r.get::<_, bool>(0)?, r.get::<_, bool>(1)?)),
    )?;
    let quote = match quotes.first() {
        None => QuoteFact::None,
        Some((true, _)) => QuoteFact::Yes,
        Some((false, true)) => QuoteFact::No,
        Some((false, false)) => QuoteFact::Out,
    };
    let Brought { sure, not_met, said } = brought;
    Ok(Facts { dents, work, no_dents_said, quote, older_quote: quotes.get(1) == Some(&(false, false)), sure, not_met, said })
}

fn keep_let_go(c: &Connection, by: By<'_>, job: i64, action: Action, what: &[String], said: Said<'_>) -> Result<()> {
    let what = serde_json::to_string(what).map_err(|e| StoreError::Garbled { what: "what was let go".to_owned(), why: e.to_string() })?;
    sql::insert(
        c,
        "INSERT INTO let_go (job, at_act, what, name, reason, who, at) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        (job, action.as_str(), what, said.name, said.reason, by.who, by.at),
    )
    .map(|_| ())
}

/// Moves a job inside a transaction that is open.
fn move_job(c: &Connection, by: By<'_>, id: i64, state: JobState) -> Result<()> {
    let closed_at = state.is_closed().then_some(by.at);
    sql::run_one(c, "job", id, "UPDATE jobs SET state = ?2, closed_at = ?3 WHERE id = ?1", (id, state, closed_at))
}

/// What moves a job and does nothing else.
impl Store {
    /// Lays a job in a state without asking what the state allows: for demos and imports of what happened elsewhere, and
    /// for nothing that a person does here.
    ///
    /// # Errors
    /// Where there is none of that id.
    pub fn import_job_state(&self, by: By<'_>, id: i64, state: JobState) -> Result<()> {
        self.write(by, |c| move_job(c, by, id, state))
    }

    /// The customer says no at the counter. What was agreed is cancelled only by name and reason.
    ///
    /// # Errors
    /// Where the job's state does not allow it.
    pub fn decline_job(&self, by: By<'_>, id: i64, said: Option<Said<'_>>) -> Result<JobState> {
        self.write(by, |c| act(c, by, id, Action::Decline, Brought { said, ..Brought::default() }))
    }

    /// Says by name that an instrument has no dent to record, and what the job is for.
    ///
    /// # Errors
    /// Where the job's state does not allow it, or name or reason is missing.
    pub fn say_no_dents(&self, by: By<'_>, id: i64, said: Option<Said<'_>>) -> Result<JobState> {
        self.write(by, |c| act(c, by, id, Action::NoDents, Brought { said, ..Brought::default() }))
    }

    /// Opens a job again that was closed or called ready: a no is taken back, and the quote waits for its answer again.
    ///
    /// # Errors
    /// Where the job is open.
    pub fn reopen_job(&self, by: By<'_>, id: i64) -> Result<JobState> {
        self.write(by, |c| {
            let to = plainly(c, by, id, Action::Reopen)?;
            if to == JobState::Quoted {
                sql::run(
                    c,
                    "UPDATE quotes SET signed_by = NULL, signature = NULL, signed_at = NULL WHERE chosen IS NULL AND signed_at IS NOT NULL
                     AND id = (SELECT max(id) FROM quotes WHERE job = ?1 AND withdrawn = 0)",
                    [id],
                )?;
            }
            Ok(to)
        })
    }
}
