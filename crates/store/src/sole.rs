//! One server on one record: what is kept in memory (limits, plans worked out) would be two things in two of them.

use crate::error::{Result, StoreError};
use crate::private;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read, Seek, Write};
use std::path::Path;

/// The file that whoever serves a record has locked. It stays when the server goes; its lock does not, however the server ends.
const LOCK: &str = "serving.lock";

/// The record is served by this process alone, as long as this lives.
#[derive(Debug)]
pub struct Sole {
    _file: File,
}

impl Sole {
    /// Takes the record for this process.
    ///
    /// # Errors
    /// Where another process serves it; its number is told.
    pub fn take(folder: &Path) -> Result<Self> {
        private::folder(folder)?;
        let path = folder.join(LOCK);
        let fail = |e| StoreError::file(&path, e);
        let mut options = OpenOptions::new();
        options.read(true).write(true).create(true).truncate(false);
        let mut file = options.open(&path).map_err(fail)?;
        private::restrict(&path, 0o600);
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                let mut who = String::new();
                let _ = file.read_to_string(&mut who);
                let who = who.trim();
                let process = if who.is_empty() { String::new() } else { format!(" (process {who})") };
                return Err(StoreError::Refused(format!(
                    "another trueround{process} has the record in {} open. Two at once would not know of each other: stop that one first",
                    folder.display()
                )));
            }
            // A file system without locks must not shut the shop.
            Err(TryLockError::Error(e)) if e.kind() == std::io::ErrorKind::Unsupported => {}
            Err(TryLockError::Error(e)) => return Err(fail(e)),
        }
        // Who it is helps whoever comes second; a full disk that cannot take the number must not shut the shop.
        let _ = file.set_len(0).and_then(|()| file.rewind()).and_then(|()| writeln!(file, "{}", std::process::id()));
        Ok(Self { _file: file })
    }
}
