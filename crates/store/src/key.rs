//! The key beside the record: what must be shown or checked again and yet must not be read out of a stolen backup (customers' links,
//! the secrets of second factors) is sealed under it. It lies in the record's folder, is this account's alone, and goes into no backup
//! and no export. Where it is lost, or the record was restored elsewhere, what was sealed opens no more: links and second factors are
//! made anew, and nothing else is lost.

use crate::error::{Result, StoreError};
use crate::people::hex;
use chacha20poly1305::aead::{Aead, KeyInit, Payload};
use chacha20poly1305::{ChaCha20Poly1305, Nonce};
use std::io::Write;
use std::path::Path;

/// Its file.
const FILE: &str = "sealing.key";
/// Bytes of a nonce (RFC 8439, 2.8). Random ones: of the few thousand that a shop makes no two are alike.
const NONCE: usize = 12;

/// The key.
pub(crate) struct Key(ChaCha20Poly1305);

impl Key {
    /// The key of a folder; none where there is none.
    pub(crate) fn of(folder: &Path) -> Result<Option<Self>> {
        let path = folder.join(FILE);
        let text = match std::fs::read_to_string(&path) {
            Ok(text) => text,
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(None),
            Err(e) => return Err(StoreError::file(&path, e)),
        };
        let garbled = || StoreError::Garbled {
            what: path.display().to_string(),
            why: "it is no key; put the right file back, or move it away: links and second factors are made anew then".to_owned(),
        };
        let bytes = unhex(text.trim()).ok_or_else(garbled)?;
        ChaCha20Poly1305::new_from_slice(&bytes).map(|cipher| Some(Self(cipher))).map_err(|_| garbled())
    }

    /// The key of a folder, made where there is none: whole or not at all.
    pub(crate) fn made(folder: &Path) -> Result<Self> {
        if let Some(key) = Self::of(folder)? {
            return Ok(key);
        }
        let path = folder.join(FILE);
        let fail = |e: std::io::Error| StoreError::file(&path, e);
        let mut bytes = [0; 32];
        getrandom::fill(&mut bytes).map_err(|e| fail(std::io::Error::other(e)))?;
        let mut file = tempfile::NamedTempFile::new_in(folder).map_err(fail)?; // for this account alone, by its maker
        writeln!(file, "{}", hex(&bytes)).map_err(fail)?;
        file.as_file().sync_all().map_err(fail)?;
        // Another program that opens the same record at once may have been first: its key holds.
        let _ = file.persist_noclobber(&path);
        Self::of(folder)?.ok_or_else(|| fail(std::io::Error::from(std::io::ErrorKind::NotFound)))
    }

    /// Seals something for one use: under another it does not open.
    pub(crate) fn seal(&self, used_for: &str, plain: &[u8]) -> Result<String> {
        let failed = |why: String| StoreError::Garbled { what: "sealing".to_owned(), why };
        let mut nonce = [0; NONCE];
        getrandom::fill(&mut nonce).map_err(|e| failed(e.to_string()))?;
        let sealed = self
            .0
            .encrypt(&Nonce::from(nonce), Payload { msg: plain, aad: used_for.as_bytes() })
            .map_err(|_| failed("it did not work".to_owned()))?;
        Ok(hex(&nonce) + &hex(&sealed))
    }

    /// Opens what was sealed for this use; none where it was sealed by another key, for something else, or was changed.
    pub(crate) fn open(&self, used_for: &str, sealed: &str) -> Option<Vec<u8>> {
        let bytes = unhex(sealed)?;
        let (nonce, sealed) = bytes.split_at_checked(NONCE)?;
        let nonce: [u8; NONCE] = nonce.try_into().ok()?;
        self.0.decrypt(&Nonce::from(nonce), Payload { msg: sealed, aad: used_for.as_bytes() }).ok()
    }
}

/// Bytes written as hexadecimal digits; none where they are not.
pub(crate) fn unhex(text: &str) -> Option<Vec<u8>> {
    if !text.len().is_multiple_of(2) || !text.is_ascii() {
        return None;
    }
    (0..text.len()).step_by(2).map(|i| u8::from_str_radix(&text[i..i + 2], 16).ok()).collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;

    #[test]
    fn what_is_sealed_opens_for_its_use_under_its_key_alone() {
        let (here, there) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let key = Key::made(here.path()).unwrap();
        let sealed = key.seal("link 1", b"secret").unwrap();
        assert!(!sealed.contains(&hex(b"secret")) && sealed != key.seal("link 1", b"secret").unwrap());
        assert_eq!(Key::made(here.path()).unwrap().open("link 1", &sealed).unwrap(), b"secret", "read again from its file");
        assert!(key.open("link 2", &sealed).is_none());
        assert!(Key::made(there.path()).unwrap().open("link 1", &sealed).is_none());
        let mut changed = sealed.clone().into_bytes();
        changed[30] ^= 1;
        assert!(key.open("link 1", &String::from_utf8(changed).unwrap()).is_none());
        assert!(key.open("link 1", "").is_none() && key.open("link 1", "zz").is_none());
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            assert_eq!(std::fs::metadata(here.path().join(FILE)).unwrap().permissions().mode() & 0o777, 0o600);
        }
        // What is no key is told, and not written over.
        std::fs::write(here.path().join(FILE), "nonsense").unwrap();
        assert!(matches!(Key::made(here.path()), Err(StoreError::Garbled { .. })));
    }
}
