//! A second factor to sign in with: a code of six digits that changes every half minute (TOTP, RFC 6238 over RFC 4226 with HMAC-SHA-1,
//! which is what the phones' programs know), and recovery codes for the day on which the phone is gone.

use crate::agreements::hash_of;
use crate::connection::{By, Store};
use crate::error::{Result, StoreError};
use crate::sql;
use hkdf::hmac::{Hmac, KeyInit, Mac};
use rusqlite::Connection;
use sha1::Sha1;

/// Seconds for which a code holds. RFC 6238, 5.2: recommended.
const STEP_S: i64 = 30;
/// Digits of a code. RFC 4226, 5.3: at least six.
const DIGITS: u32 = 6;
/// Steps before and after that are taken too: a phone's clock is off, a person types slowly. RFC 6238, 5.2: at most one back.
const WINDOW: i64 = 1;
/// Bytes of a secret. RFC 4226, 4, R6: 160 bits recommended.
const SECRET_BYTES: usize = 20;
/// Recovery codes that are made at once, and characters of one: 80 bits.
const CODES: usize = 10;
const CODE_CHARS: usize = 16;

/// The one-time password of a counter. RFC 4226, 5.3.
fn hotp(secret: &[u8], counter: u64, digits: u32) -> Option<u32> {
    let mut mac = <Hmac<Sha1> as KeyInit>::new_from_slice(secret).ok()?;
    mac.update(&counter.to_be_bytes());
    let sum = mac.finalize().into_bytes();
    let at = usize::from(sum[sum.len() - 1] & 0x0F);
    let four: [u8; 4] = sum.get(at..at + 4)?.try_into().ok()?;
    Some((u32::from_be_bytes(four) & 0x7FFF_FFFF) % 10_u32.pow(digits))
}

/// The step whose code this is, where it is one of the window and newer than the last that was taken.
fn step_of(secret: &[u8], code: &str, now: i64, last: i64) -> Option<i64> {
    let code: u32 = Some(code).filter(|c| c.len() == DIGITS as usize && c.bytes().all(|b| b.is_ascii_digit()))?.parse().ok()?;
    let step = now.div_euclid(STEP_S);
    let fits = |s: &i64| u64::try_from(*s).ok().and_then(|s| hotp(secret, s, DIGITS)) == Some(code);
    (step - WINDOW..=step + WINDOW).filter(fits).rfind(|s| *s > last)
}

const BASE32: &[u8; 32] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";

/// RFC 4648, section 6, without padding.
fn base32(bytes: &[u8]) -> String {
    let (mut text, mut held, mut bits) = (String::new(), 0_u32, 0_u32);
    for byte in bytes {
        held = (held << 8 | u32::from(*byte)) & 0xFFFF;
        bits += 8;
        while bits >= 5 {
            bits -= 5;
            text.push(char::from(BASE32[(held >> bits & 31) as usize]));
        }
    }
    if bits > 0 {
        text.push(char::from(BASE32[(held << (5 - bits) & 31) as usize]));
    }
    text
}

/// How somebody's second factor stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SecondFactor {
    /// None.
    None,
    /// Begun, and no code of it shown yet: the secret, base 32.
    Begun(String),
    /// Asked for at sign-in; so many recovery codes are left.
    On(usize),
    /// The person had one, and it stayed behind when the record was restored or imported: it must be set up anew.
    LeftBehind,
}

impl Store {
    /// How a person's second factor stands.
    ///
    /// # Errors
    /// Where there is no such person.
    pub fn second_factor(&self, person: i64) -> Result<SecondFactor> {
        let (had, kept, left): (bool, Option<(String, bool)>, i64) = self.read(|c| {
            let had = sql::one(c, "person", person, "SELECT second_factor FROM people WHERE id = ?1", [person], |r| r.get(0))?;
            let kept =
                sql::maybe(c, "SELECT sealed, confirmed FROM second_factors WHERE id = ?1", [person], |r| Ok((r.get(0)?, r.get(1)?)))?;
            let left = sql::one(c, "codes", "", "SELECT count(*) FROM recovery_codes WHERE person = ?1", [person], |r| r.get(0))?;
            Ok((had, kept, left))
        })?;
        Ok(match kept {
            Some((_, true)) => SecondFactor::On(usize::try_from(left).unwrap_or(0)),
            Some((sealed, false)) => self.secret(person, &sealed).map_or(SecondFactor::None, |s| SecondFactor::Begun(base32(&s))),
            None if had => SecondFactor::LeftBehind,
            None => SecondFactor::None,
        })
    }

    /// Whether a person is asked for a code at sign-in.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn asks_second_factor(&self, person: i64) -> Result<bool> {
        self.read(|c| {
            let sql = "SELECT EXISTS (SELECT 1 FROM second_factors WHERE id = ?1 AND confirmed = 1)";
            sql::one(c, "second factor", "", sql, [person], |r| r.get(0))
        })
    }

    /// Makes a secret; it is not asked for until a code of it was shown ([`Store::confirm_second_factor`]).
    ///
    /// # Errors
    /// Where one is on already.
    pub fn begin_second_factor(&self, by: By<'_>, person: i64) -> Result<()> {
        let secret = random::<SECRET_BYTES>()?;
        let key = self.key().ok_or_else(|| StoreError::Refused("the record is only read".to_owned()))?;
        let sealed = key.seal(&used_for(person), &secret)?;
        self.write(by, |c| {
            if on(c, person)? {
                return Err(StoreError::Refused("a second factor is on already; take it off first".to_owned()));
            }
            sql::run(c, "DELETE FROM second_factors WHERE id = ?1", [person])?;
            sql::run(c, "INSERT INTO second_factors (id, sealed) VALUES (?1, ?2)", (person, &sealed)).map(|_| ())
        })
    }

    /// Turns a second factor on with a first code of it; returns the recovery codes, which are shown this once. None where the code
    /// is not right.
    ///
    /// # Errors
    /// Where none was begun.
    pub fn confirm_second_factor(&self, by: By<'_>, person: i64, code: &str) -> Result<Option<Vec<String>>> {
        let codes: Vec<(String, String)> =
            (0..CODES).map(|_| Ok((new_code()?, crate::people::hex(&random::<16>()?)))).collect::<Result<_>>()?;
        self.write(by, |c| {
            let none = || StoreError::Refused("no second factor was begun; begin it again".to_owned());
            let sealed = "SELECT sealed FROM second_factors WHERE id = ?1 AND confirmed = 0";
            let sealed: String = sql::maybe(c, sealed, [person], |r| r.get(0))?.ok_or_else(none)?;
            let secret = self.secret(person, &sealed).ok_or_else(none)?;
            let Some(step) = step_of(&secret, &tidied(code), by.at, 0) else { return Ok(None) };
            sql::run(c, "UPDATE second_factors SET confirmed = 1, last_step = ?2 WHERE id = ?1", (person, step))?;
            sql::run(c, "UPDATE people SET second_factor = 1 WHERE id = ?1", [person])?;
            sql::run(c, "DELETE FROM recovery_codes WHERE person = ?1", [person])?;
            for (code, salt) in &codes {
                let sql = "INSERT INTO recovery_codes (person, salt, code_hash) VALUES (?1, ?2, ?3)";
                sql::run(c, sql, (person, salt, code_hash(salt, &tidied(code))))?;
            }
            Ok(Some(codes.into_iter().map(|(code, _)| code).collect()))
        })
    }

    /// Whether a code lets a person in: one of the phone's, each once; or a recovery code, which is spent by it.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn take_second_factor(&self, by: By<'_>, person: i64, code: &str) -> Result<bool> {
        let code = tidied(code);
        self.write(by, |c| {
            let kept = "SELECT sealed, last_step FROM second_factors WHERE id = ?1 AND confirmed = 1";
            let Some((sealed, last)) = sql::maybe(c, kept, [person], |r| Ok((r.get::<_, String>(0)?, r.get::<_, i64>(1)?)))? else {
                return Ok(false);
            };
            // Without the key beside the record only the recovery codes are left.
            if let Some(step) = self.secret(person, &sealed).and_then(|secret| step_of(&secret, &code, by.at, last)) {
                sql::run(c, "UPDATE second_factors SET last_step = ?2 WHERE id = ?1", (person, step))?;
                return Ok(true);
            }
            let all = "SELECT id, salt, code_hash FROM recovery_codes WHERE person = ?1";
            let all = sql::all(c, all, [person], |r| Ok((r.get::<_, i64>(0)?, r.get::<_, String>(1)?, r.get::<_, String>(2)?)))?;
            let spent = all.into_iter().find(|(_, salt, hash)| code.len() == CODE_CHARS && code_hash(salt, &code) == *hash);
            if let Some((id, ..)) = &spent {
                sql::run(c, "DELETE FROM recovery_codes WHERE id = ?1", [id])?;
            }
            Ok(spent.is_some())
        })
    }

    /// Takes a person's second factor off; returns whether there was one.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn remove_second_factor(&self, by: By<'_>, person: i64) -> Result<bool> {
        self.write(by, |c| {
            let rows = sql::run(c, "DELETE FROM second_factors WHERE id = ?1", [person])?;
            sql::run(c, "DELETE FROM recovery_codes WHERE person = ?1", [person])?;
            let was = sql::run(c, "UPDATE people SET second_factor = 0 WHERE id = ?1 AND second_factor = 1", [person])?;
            Ok(rows + was > 0)
        })
    }

    fn secret(&self, person: i64, sealed: &str) -> Option<Vec<u8>> {
        self.key()?.open(&used_for(person), sealed)
    }
}

fn used_for(person: i64) -> String {
    format!("second factor {person}")
}

fn on(c: &Connection, person: i64) -> Result<bool> {
    let sql = "SELECT EXISTS (SELECT 1 FROM second_factors WHERE id = ?1 AND confirmed = 1)";
    sql::one(c, "second factor", "", sql, [person], |r| r.get(0))
}

fn random<const N: usize>() -> Result<[u8; N]> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|e| StoreError::Refused(format!("the system gives no random bytes: {e}")))?;
    Ok(bytes)
}

/// Four times four characters of base 32.
fn new_code() -> Result<String> {
    let text = base32(&random::<{ CODE_CHARS * 5 / 8 }>()?).to_lowercase();
    Ok([&text[..4], &text[4..8], &text[8..12], &text[12..]].join("-"))
}

/// As it was typed, without blanks and dashes, in small letters.
fn tidied(code: &str) -> String {
    code.chars().filter(|c| !c.is_whitespace() && *c != '-').take(64).flat_map(char::to_lowercase).collect()
}

fn code_hash(salt: &str, code: &str) -> String {
    hash_of(format!("{salt} {code}").as_bytes())
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;
    use crate::people::PersonRole;

    const SEED: &[u8] = b"12345678901234567890";

    /// RFC 4226, appendix D, and RFC 6238, appendix B (the lines of SHA-1, eight digits).
    #[test]
    fn the_published_codes_come_again() {
        let hotps = [755_224, 287_082, 359_152, 969_429, 338_314, 254_676, 287_922, 162_583, 399_871, 520_489];
        for (counter, wanted) in (0..).zip(hotps) {
            assert_eq!(hotp(SEED, counter, 6), Some(wanted), "{counter}");
        }
        for (time, wanted) in [
            (59, 94_287_082),
            (1_111_111_109, 7_081_804),
            (1_111_111_111, 14_050_471),
            (1_234_567_890, 89_005_924),
            (2_000_000_000, 69_279_037),
            (20_000_000_000_i64, 65_353_130),
        ] {
            assert_eq!(hotp(SEED, u64::try_from(time / STEP_S).unwrap(), 8), Some(wanted), "{time}");
        }
        // RFC 4648, section 10.
        for (plain, wanted) in
            [("", ""), ("f", "MY"), ("fo", "MZXQ"), ("foo", "MZXW6"), ("foob", "MZXW6YQ"), ("fooba", "MZXW6YTB"), ("foobar", "MZXW6YTBOI")]
        {
            assert_eq!(base32(plain.as_bytes()), wanted);
        }
    }

    #[test]
    fn a_code_holds_a_step_to_either_side_and_once() {
        // 59 s is step 1: 287082.
        assert_eq!(step_of(SEED, "287082", 59, 0), Some(1));
        assert_eq!([0, 29, 89, 90].map(|now| step_of(SEED, "287082", now, 0)), [Some(1), Some(1), Some(1), None]);
        assert_eq!(step_of(SEED, "287082", 59, 1), None, "taken before");
        for no in ["287083", "28708", "2870820", "+87082", "", "28708x"] {
            assert_eq!(step_of(SEED, no, 59, 0), None, "{no}");
        }
    }

    fn code_at(store: &Store, person: i64, now: i64) -> String {
        let sealed: String =
            store.read(|c| sql::one(c, "x", "", "SELECT sealed FROM second_factors WHERE id = ?1", [person], |r| r.get(0))).unwrap();
        let secret = store.secret(person, &sealed).unwrap();
        format!("{:06}", hotp(&secret, u64::try_from(now / STEP_S).unwrap(), DIGITS).unwrap())
    }

    #[test]
    fn it_is_asked_for_once_a_code_was_shown_and_recovery_codes_let_in_once() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        let at = |at| By { who: "ottilie", at };
        let one = store.add_person(at(1), "ottilie", "Ottilie", PersonRole::Owner, "-").unwrap();
        let two = store.add_person(at(1), "wren", "Wren", PersonRole::Apprentice, "-").unwrap();
        let now = 1_800_000_000;
        assert_eq!(store.second_factor(one).unwrap(), SecondFactor::None);
        store.begin_second_factor(at(now), one).unwrap();
        assert!(matches!(store.second_factor(one).unwrap(), SecondFactor::Begun(s) if s.len() == 32));
        assert!(!store.asks_second_factor(one).unwrap(), "not before a code was shown");
        assert_eq!(store.confirm_second_factor(at(now), one, "000000").unwrap(), None);
        let first = code_at(&store, one, now);
        let codes = store.confirm_second_factor(at(now), one, &first).unwrap().unwrap();
        assert_eq!(store.second_factor(one).unwrap(), SecondFactor::On(10));
        assert!(store.asks_second_factor(one).unwrap() && !store.asks_second_factor(two).unwrap());
        assert!(!store.take_second_factor(at(now), one, &first).unwrap(), "the code that turned it on is spent");
        let next = code_at(&store, one, now + 60);
        assert!(store.take_second_factor(at(now + 60), one, &format!(" {} {}", &next[..3], &next[3..])).unwrap());
        assert!(!store.take_second_factor(at(now + 60), one, &next).unwrap(), "twice");
        // Each recovery code once, however it is typed; of another person none.
        assert_eq!(codes.iter().collect::<std::collections::BTreeSet<_>>().len(), 10);
        assert!(!store.take_second_factor(at(now), two, &codes[0]).unwrap());
        assert!(store.take_second_factor(at(now), one, &codes[0].to_uppercase().replace('-', " ")).unwrap());
        assert!(!store.take_second_factor(at(now), one, &codes[0]).unwrap() && !store.take_second_factor(at(now), one, "").unwrap());
        assert_eq!(store.second_factor(one).unwrap(), SecondFactor::On(9));
        // A second one is not laid over it, and without the key the recovery codes still let in.
        assert!(store.begin_second_factor(at(now), one).is_err());
        drop(store);
        std::fs::remove_file(dir.path().join("sealing.key")).unwrap();
        let store = Store::open(dir.path()).unwrap();
        assert!(store.asks_second_factor(one).unwrap());
        assert!(store.take_second_factor(at(now), one, &codes[1]).unwrap());
        // Taken off, in the journal.
        assert!(store.remove_second_factor(at(now), one).unwrap() && !store.remove_second_factor(at(now), one).unwrap());
        assert!(!store.asks_second_factor(one).unwrap());
        let line = store.journal_latest(1).unwrap().remove(0);
        assert!(line.record == "people" && line.after.unwrap().contains("\"second_factor\":0"));
    }
}
