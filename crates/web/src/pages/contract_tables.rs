//! The tables of a contract: what is wrong is told all at once, row by row, and mended where it is told; nothing is imported until all
//! of it can be read.

use crate::app::App;
use crate::auth::Signed;
use crate::contract_ground::{HEAD, is_empty, read, read_tables, table, table_mut, unfilled};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Fields, sent_as};
use crate::view::contract_frame::{beside, head, placed};
use crate::{layout, when};
use ::survey::contract::InFile;
use ::survey::contract_form::{head_form, with_head, with_tables};
use ::survey::contract_rows::{ContractTable, Row, row_at, rows, with_cells, with_line};
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use std::collections::BTreeSet;
use std::hash::{DefaultHasher, Hash, Hasher};
use store::By;
use store::contracts::{ContractRow, ContractTexts};

/// Fields for mending shown at once: a form holds no more than a hundred, and nobody mends more at a time.
const MOST_MENDED: usize = 80;

/// Where something is mended: a cell, or a whole line that is no row.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Place {
    table: ContractTable,
    line: usize,
    /// None: the whole line.
    column: Option<&'static str>,
}

impl Place {
    /// Where a problem is mended; none where it is of the head, or of no line.
    fn of(texts: &ContractTexts, p: &InFile) -> Option<Self> {
        let of = ContractTable::named(&p.file)?;
        let line = p.problem.line?;
        let row = row_at(of, table(texts, of), line);
        let cell = row.as_ref().and_then(|r| r.cells.iter().find(|c| c.column == p.problem.field)).map(|c| c.column);
        // A cell of a column that the table lacks is added with its column.
        let column = cell.or_else(|| of.columns().map(|c| c.0).find(|c| row.is_some() && *c == p.problem.field));
        Some(Self { table: of, line, column })
    }

    /// The field's name in the form.
    fn name(&self) -> String {
        format!("mend.{}.{}.{}", self.table.file(), self.line, self.column.unwrap_or_default())
    }

    /// The place of a field's name.
    fn named(name: &str) -> Option<Self> {
        let rest = name.strip_prefix("mend.")?;
        let of = ContractTable::ALL.into_iter().find(|t| rest.starts_with(t.file()))?;
        let (line, column) = rest.strip_prefix(of.file())?.strip_prefix('.')?.split_once('.')?;
        let column = if column.is_empty() { None } else { Some(of.columns().map(|c| c.0).find(|c| *c == column)?) };
        Some(Self { table: of, line: line.parse().ok()?, column })
    }

    /// What stands there.
    fn text(&self, texts: &ContractTexts) -> String {
        let text = table(texts, self.table);
        match self.column {
            Some(column) => row_at(self.table, text, self.line).map_or_else(String::new, |r| r.get(column).to_owned()),
            None => text.lines().nth(self.line.saturating_sub(1)).unwrap_or_default().to_owned(),
        }
    }

    /// The texts with something else there.
    fn mended(&self, texts: &mut ContractTexts, to: &str) {
        let text = table_mut(texts, self.table);
        *text = match self.column {
            Some(column) => with_cells(text, self.line, &[(column, to)]),
            None => with_line(text, self.line, to),
        };
    }
}

/// A mark of the texts that the fields for mending belong to.
fn mark(texts: &ContractTexts) -> String {
    let mut h = DefaultHasher::new();
    texts.hash(&mut h);
    format!("{:016x}", h.finish())
}

/// What is shown above the tables.
#[derive(Default)]
struct Told {
    /// What is wrong.
    problems: Vec<InFile>,
    /// What else there is to say, as a problem.
    words: Vec<String>,
}

/// The page.
///
/// # Errors
/// Where there is no such contract.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let (row, texts) = app.store().contract_with_texts(id)?;
        Ok(shown(&signed, &row, &texts, row.version, &Told::default()))
    })
    .await
}

fn shown(signed: &Signed, row: &ContractRow, texts: &ContractTexts, version: i64, told: &Told) -> Markup {
    let refused = !told.problems.is_empty() || !told.words.is_empty();
    let (instruments, dents) = (rows(ContractTable::Instruments, &texts.instruments).len(), rows(ContractTable::Dents, &texts.dents).len());
    let warnings = if refused { vec![] } else { read_tables(texts).map(|r| r.warnings).unwrap_or_default() };
    let files = |id: i64, name: &str| html! { a.button.plain href={ "/contracts/" (id) "/files/" (name) } { "Download " (name) } };
    layout::page(
        signed,
        &format!("{}: tables", row.name),
        html! {
            (head(signed, row, "/tables"))
            @if !refused {
                @if instruments == 0 { p { "No instruments yet. Choose the two tables, or paste them. Empty ones with all their columns stand below." } }
                @else { p { (instruments) " instruments, " (dents) " dents. What you import here replaces the tables." } }
            }
            @if !warnings.is_empty() {
                details { summary { (warnings.len()) " things worth a look" } ul { @for w in &warnings { li { (placed(signed.fmt, w)) } } } }
            }
            form method="post" action={ "/contracts/" (row.id) "/tables" } {
                (layout::csrf(signed))
                input type="hidden" name="version" value=(version);
                @if refused { (mending(signed, texts, told)) }
                @for of in [ContractTable::Instruments, ContractTable::Dents] { (box_of(of.file(), table(texts, of), refused || instruments == 0)) }
                details {
                    summary { "What is done, and the contract itself, as files" }
                    (box_of(ContractTable::Done.file(), &texts.done, false))
                    p.soft { "The contract’s own file holds budget, days and benches. The forms under “Budget and benches” change the same." }
                    (box_of(HEAD, &texts.head, false))
                }
                button type="submit" { "Check and import" }
            }
            h2 { "As files" }
            div.row { @for of in ContractTable::ALL { (files(row.id, of.file())) } (files(row.id, HEAD)) }
            p { "Empty ones, with what stands in each column:" }
            div.row { @for of in ContractTable::ALL { a.button.plain href={ "/contracts/tables/" (of.file()) } { "Empty " (of.file()) } } }
        },
    )
}

fn box_of(name: &str, text: &str, open: bool) -> Markup {
    let (id, end) = (format!("text-{}", name.replace('.', "-")), if name == HEAD { ".toml" } else { ".csv" });
    html! {
        section.card {
            h3 { (name) }
            label { span { "Choose a file" } input type="file" accept=(end) data-into=(id); }
            p role="status" data-told-of=(id) {}
            details open[open] {
                summary { "The text" }
                label { span.visually-hidden { (name) } textarea.file id=(id) name=(name) rows="10" spellcheck="false" { "\n" (text) } }
            }
        }
    }
}

/// The refused rows, each with its cells to mend.
fn mending(signed: &Signed, texts: &ContractTexts, told: &Told) -> Markup {
    let mut places: Vec<Place> = Vec::new();
    for p in told.problems.iter().filter_map(|p| Place::of(texts, p)) {
        if !places.contains(&p) {
            places.push(p);
        }
    }
    places.sort();
    let shown = &places[..places.len().min(MOST_MENDED)];
    let lines: BTreeSet<(ContractTable, usize)> = shown.iter().map(|p| (p.table, p.line)).collect();
    let elsewhere: Vec<String> = told
        .problems
        .iter()
        .filter(|p| Place::of(texts, p).is_none())
        .map(|p| placed(signed.fmt, p))
        .chain(told.words.iter().cloned())
        .collect();
    let all = told.problems.len() + told.words.len();
    html! {
        input type="hidden" name="seen" value=(mark(texts));
        div.refused.problem role="alert" tabindex="-1" autofocus {
            p { "Nothing is imported. " (all) @if all == 1 { " thing" } @else { " things" } " to mend." }
        }
        @if !elsewhere.is_empty() { ul { @for words in &elsewhere { li { span.problem { (words) } } } } }
        ul.plain.lines.problems {
            @for (of, line) in &lines {
                li { fieldset.bare {
                    legend { strong { (of.file()) ", line " (line) } @if let Some(row) = row_at(*of, table(texts, *of), *line) { ": " span.soft { (in_short(&row)) } } }
                    @for place in shown.iter().filter(|p| (p.table, p.line) == (*of, *line)) {
                        label {
                            span { @match place.column { Some(column) => (head_of(texts, place, column)), None => "The whole line" } }
                            input name=(place.name()) value=(place.text(texts)) autocomplete="off";
                            @for p in told.problems.iter().filter(|p| Place::of(texts, p).as_ref() == Some(place)) { span.problem.small { (beside(signed.fmt, p)) } }
                        }
                    }
                } }
            }
        }
        @if places.len() > shown.len() { p { "Then " (places.len() - shown.len()) " more." } }
        p { button type="submit" { "Check and import" } }
    }
}

/// The head of a cell's column, with its unit.
fn head_of(texts: &ContractTexts, place: &Place, column: &str) -> String {
    let row = row_at(place.table, table(texts, place.table), place.line);
    let head = row.and_then(|r| r.cells.into_iter().find(|c| c.column == column)).map(|c| c.head);
    head.unwrap_or_else(|| column.to_owned()).replace('_', " ")
}

/// The first cells of a row, by which a person knows it.
fn in_short(row: &Row) -> String {
    let said: Vec<&str> = row.cells.iter().map(|c| c.text.as_str()).filter(|t| !t.is_empty()).take(5).collect();
    said.join(", ")
}

/// Imports the tables, if all of them can be read.
///
/// # Errors
/// Where there is no such contract.
pub async fn import(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<Fields>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        let (row, saved) = app.store().contract_with_texts(id)?;
        let of = |key: &str| sent_as(&f, key);
        let text = |key: &str, saved: &str| of(key).map_or_else(|| saved.to_owned(), plain);
        let mut texts = ContractTexts {
            head: text(HEAD, &saved.head),
            instruments: text(ContractTable::Instruments.file(), &saved.instruments),
            dents: text(ContractTable::Dents.file(), &saved.dents),
            done: text(ContractTable::Done.file(), &saved.done),
        };
        // Nothing is a table too: of nothing done yet.
        if texts.done.trim().is_empty() {
            texts.done = unfilled(ContractTable::Done);
        }
        let version = of("version").and_then(|v| v.parse().ok()).unwrap_or(0);
        let mut told = Told::default();
        let mends: Vec<(Place, &str)> = f.iter().filter_map(|(k, t)| Place::named(k).map(|p| (p, t.as_str()))).collect();
        if !mends.is_empty() {
            if of("seen") == Some(mark(&texts).as_str()) {
                mends.iter().for_each(|(place, to)| place.mended(&mut texts, to));
            } else {
                told.words
                    .push("You changed the tables themselves, so the single cells were not filled in. Look at them once more.".to_owned());
            }
        }
        // The record knows the customer and the shop's files; the tables have the names that it gives them.
        match with_tables(&texts.head) {
            Ok(head) => {
                texts.head = head_form(&head)
                    .ok()
                    .and_then(|h| with_head(&head, &::survey::contract_form::HeadForm { customer: row.name.clone(), ..h }).ok())
                    .unwrap_or(head);
            }
            Err(problem) => told.problems.push(InFile { file: HEAD.to_owned(), problem }),
        }
        if told.problems.is_empty() {
            told.problems = read(&texts, &app.standard_jobs()?).err().unwrap_or_default();
        }
        told.problems.retain(|p| !p.problem.warning);
        if is_empty(&texts) && told.problems.is_empty() {
            told.words.push("The table of instruments has no row yet.".to_owned());
        }
        if !told.problems.is_empty() || !told.words.is_empty() {
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, shown(&signed, &row, &texts, version, &told)).into_response());
        }
        let by = By { who: &signed.person.login, at: when::now() };
        match app.store().change_contract(by, id, version, &texts).map_err(Problem::from) {
            Ok(()) => Ok(Redirect::to(&format!("/contracts/{id}")).into_response()),
            Err(p @ Problem::Conflict(_)) => {
                let words = "Somebody else changed this contract in between. Yours stands below. Importing it replaces theirs.".to_owned();
                let told = Told { words: vec![words], ..Told::default() };
                Ok((p.status(), shown(&signed, &row, &texts, row.version, &told)).into_response())
            }
            Err(p) => Err(p),
        }
    })
    .await
}

/// A text as it is kept: one kind of line end.
fn plain(text: &str) -> String {
    let mut text = text.replace("\r\n", "\n").replace('\r', "\n");
    if !text.is_empty() && !text.ends_with('\n') {
        text.push('\n');
    }
    text
}
