//! Small helps for reading rows.

use crate::error::{Result, StoreError};
use rusqlite::{Connection, OptionalExtension, Params, Row};

/// All rows of a query.
pub fn all<T>(c: &Connection, sql: &str, params: impl Params, row: impl FnMut(&Row<'_>) -> rusqlite::Result<T>) -> Result<Vec<T>> {
    let mut statement = c.prepare_cached(sql)?;
    let rows = statement.query_map(params, row)?.collect::<rusqlite::Result<Vec<_>>>()?;
    Ok(rows)
}

/// The first row, where there is one.
pub fn maybe<T>(c: &Connection, sql: &str, params: impl Params, row: impl FnOnce(&Row<'_>) -> rusqlite::Result<T>) -> Result<Option<T>> {
    Ok(c.prepare_cached(sql)?.query_row(params, row).optional()?)
}

/// The one row; its absence is an error that names it.
pub fn one<T>(
    c: &Connection,
    what: &'static str,
    key: impl ToString,
    sql: &str,
    params: impl Params,
    row: impl FnOnce(&Row<'_>) -> rusqlite::Result<T>,
) -> Result<T> {
    maybe(c, sql, params, row)?.ok_or_else(|| StoreError::Missing { what, key: key.to_string() })
}

/// Runs a statement; returns the number of rows changed.
pub fn run(c: &Connection, sql: &str, params: impl Params) -> Result<usize> {
    Ok(c.prepare_cached(sql)?.execute(params)?)
}

/// Runs a statement that must change a row; its absence is an error that names it.
pub fn run_one(c: &Connection, what: &'static str, key: impl ToString, sql: &str, params: impl Params) -> Result<()> {
    if run(c, sql, params)? == 0 { Err(StoreError::Missing { what, key: key.to_string() }) } else { Ok(()) }
}

/// Inserts a row; returns its id.
pub fn insert(c: &Connection, sql: &str, params: impl Params) -> Result<i64> {
    run(c, sql, params)?;
    Ok(c.last_insert_rowid())
}

/// Text typed by a person as a LIKE pattern that finds it anywhere (escape character `\`).
pub fn anywhere(text: &str) -> String {
    let mut pattern = String::from("%");
    for ch in text.trim().chars() {
        if matches!(ch, '%' | '_' | '\\') {
            pattern.push('\\');
        }
        pattern.push(ch);
    }
    pattern.push('%');
    pattern
}
