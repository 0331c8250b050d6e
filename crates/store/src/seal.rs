//! A backup encrypted by a passphrase, in the age format, version 1 (<https://age-encryption.org/v1>, C2SP `age.md`): any age
//! program opens it too. The format's own library brings 62 crates and other features of crates that everything here is built
//! from; the one recipient that is needed (scrypt) is written here over the same primitives, and held to that library's files.

use chacha20poly1305::aead::{Aead, KeyInit};
use chacha20poly1305::{ChaCha20Poly1305, Nonce};
use hkdf::Hkdf;
use hkdf::hmac::{Hmac, Mac};
use sha2::Sha256;
use std::io::{self, BufRead, Read, Write};

/// The first line of every sealed file.
const INTRO: &str = "age-encryption.org/v1";
/// Bytes of a chunk: the format's.
const CHUNK: usize = 64 * 1024;
/// Bytes that a chunk grows by: the tag of Poly1305.
const TAG: usize = 16;
/// scrypt's work: 2^18 blocks of 1 KiB, 256 MB and about a second. The format's own tools take 2^18 (from memory).
const WORK: u8 = 18;
/// Most work that a file may ask: 2^20, 1 GB. A crafted file must not stop the machine.
const MOST_WORK: u8 = 20;
/// Fewest characters of a passphrase: a file that was stolen can be guessed at for years.
pub const LEAST_PASSPHRASE: usize = 12;

/// Whether a file begins as a sealed one.
pub fn is_sealed(start: &[u8]) -> bool {
    start.starts_with(INTRO.as_bytes())
}

/// Seals what is read into what is written.
///
/// # Errors
/// Where reading or writing fails, or the system gives no random bytes.
pub fn seal(passphrase: &str, from: &mut impl Read, to: &mut impl Write) -> io::Result<()> {
    seal_with(passphrase, WORK, from, to)
}

fn seal_with(passphrase: &str, work: u8, from: &mut impl Read, to: &mut impl Write) -> io::Result<()> {
    let (mut file_key, mut salt, mut nonce) = ([0; 16], [0; 16], [0; 16]);
    for bytes in [&mut file_key, &mut salt, &mut nonce] {
        getrandom::fill(bytes).map_err(io::Error::other)?;
    }
    let wrapped =
        cipher(&wrapping_key(passphrase, &salt, work)?)?.encrypt(&Nonce::default(), &file_key[..]).map_err(|_| bad("sealing failed"))?;
    let header = format!("{INTRO}\n-> scrypt {} {work}\n{}\n---", base64(&salt), base64(&wrapped));
    writeln!(to, "{header} {}", base64(&header_mac(&file_key, header.as_bytes())?))?;
    to.write_all(&nonce)?;
    let cipher = cipher(&derived(&file_key, &nonce, b"payload")?)?;
    let (mut chunk, mut next) = (filled(from)?, Vec::new());
    for count in 0_u64.. {
        if chunk.len() == CHUNK {
            next = filled(from)?;
        }
        let last = next.is_empty();
        to.write_all(&cipher.encrypt(&counted(count, last), &chunk[..]).map_err(|_| bad("sealing failed"))?)?;
        if last {
            break;
        }
        chunk = std::mem::take(&mut next);
    }
    Ok(())
}

/// Opens what was sealed. What was written before an error is sound as far as it goes.
///
/// # Errors
/// Where the passphrase is another, the file is damaged or cut short, or reading or writing fails.
pub fn open(passphrase: &str, from: &mut impl BufRead, to: &mut impl Write) -> io::Result<()> {
    let mut line = || -> io::Result<String> {
        let mut text = Vec::new();
        from.by_ref().take(1000).read_until(b'\n', &mut text)?;
        let text = String::from_utf8(text).map_err(|_| bad("it is no sealed backup"))?;
        text.strip_suffix('\n').map(str::to_owned).ok_or_else(|| bad("it is no sealed backup, or cut short"))
    };
    let (intro, stanza, body, end) = (line()?, line()?, line()?, line()?);
    let mut words = stanza.split(' ');
    let (Some("->"), Some("scrypt"), Some(salt), Some(work), None) = (words.next(), words.next(), words.next(), words.next(), words.next())
    else {
        return Err(bad("it is not sealed by a passphrase"));
    };
    if intro != INTRO || work.starts_with(['0', '+']) {
        return Err(bad("it is sealed in a way that this program does not know"));
    }
    let work: u8 = work.parse().map_err(|_| bad("its work factor is no number"))?;
    if !(1..=MOST_WORK).contains(&work) {
        return Err(bad("opening it would ask too much work of this machine"));
    }
    let salt: [u8; 16] = unbase64(salt).and_then(|s| s.try_into().ok()).ok_or_else(|| bad("its salt is damaged"))?;
    let wrapped = unbase64(&body).filter(|b| b.len() == 32).ok_or_else(|| bad("its key is damaged"))?;
    let wrong = || bad("the passphrase does not open it");
    let file_key = cipher(&wrapping_key(passphrase, &salt, work)?)?.decrypt(&Nonce::default(), &wrapped[..]).map_err(|_| wrong())?;
    let mac = end.strip_prefix("--- ").and_then(unbase64).ok_or_else(|| bad("its header is damaged"))?;
    let header = format!("{intro}\n{stanza}\n{body}\n---");
    if mac != header_mac(&file_key, header.as_bytes())? {
        return Err(bad("its header was changed"));
    }
    let mut nonce = [0; 16];
    from.read_exact(&mut nonce)?;
    let cipher = cipher(&derived(&file_key, &nonce, b"payload")?)?;
    for count in 0_u64.. {
        let mut chunk = Vec::with_capacity(CHUNK + TAG);
        from.by_ref().take((CHUNK + TAG) as u64).read_to_end(&mut chunk)?;
        let last = from.fill_buf()?.is_empty();
        let plain = cipher.decrypt(&counted(count, last), &chunk[..]).map_err(|_| bad("it is damaged or cut short"))?;
        to.write_all(&plain)?;
        if last {
            break;
        }
    }
    Ok(())
}

fn bad(why: &str) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidData, why)
}

fn filled(from: &mut impl Read) -> io::Result<Vec<u8>> {
    let mut chunk = Vec::with_capacity(CHUNK);
    from.by_ref().take(CHUNK as u64).read_to_end(&mut chunk)?;
    Ok(chunk)
}

fn cipher(key: &[u8; 32]) -> io::Result<ChaCha20Poly1305> {
    ChaCha20Poly1305::new_from_slice(key).map_err(|_| bad("a key of the wrong length"))
}

fn wrapping_key(passphrase: &str, salt: &[u8; 16], work: u8) -> io::Result<[u8; 32]> {
    let params = scrypt::Params::new(work, 8, 1).map_err(|_| bad("a work factor that cannot be"))?;
    let salt = [b"age-encryption.org/v1/scrypt", &salt[..]].concat();
    let mut key = [0; 32];
    scrypt::scrypt(passphrase.as_bytes(), &salt, &params, &mut key).map_err(|_| bad("the key could not be derived"))?;
    Ok(key)
}

fn derived(file_key: &[u8], salt: &[u8], what: &[u8]) -> io::Result<[u8; 32]> {
    let mut key = [0; 32];
    Hkdf::<Sha256>::new(Some(salt), file_key).expand(what, &mut key).map_err(|_| bad("the key could not be derived"))?;
    Ok(key)
}

fn header_mac(file_key: &[u8], header: &[u8]) -> io::Result<Vec<u8>> {
    let mut mac = <Hmac<Sha256> as hkdf::hmac::KeyInit>::new_from_slice(&derived(file_key, b"", b"header")?)
        .map_err(|_| bad("a key of the wrong length"))?;
    mac.update(header);
    Ok(mac.finalize().into_bytes().to_vec())
}

/// The nonce of a chunk: eleven bytes that count, and one that says whether it is the last.
fn counted(count: u64, last: bool) -> Nonce {
    let mut nonce = Nonce::default();
    nonce[3..11].copy_from_slice(&count.to_be_bytes());
    nonce[11] = u8::from(last);
    nonce
}

const ALPHABET: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// RFC 4648, section 4, without padding.
fn base64(bytes: &[u8]) -> String {
    let mut text = String::new();
    for three in bytes.chunks(3) {
        let n = three.iter().fold(0_u32, |n, b| n << 8 | u32::from(*b)) << (8 * (3 - three.len()));
        for i in 0..=three.len() {
            text.push(char::from(ALPHABET[(n >> (18 - 6 * i) & 63) as usize]));
        }
    }
    text
}

fn unbase64(text: &str) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    for four in text.as_bytes().chunks(4) {
        let mut n = 0_u32;
        for c in four {
            n = n << 6 | u32::try_from(ALPHABET.iter().position(|a| a == c)?).ok()?;
        }
        n <<= 6 * (4 - four.len());
        bytes.extend(&n.to_be_bytes()[1..four.len()]);
    }
    // One way to write it only.
    (base64(&bytes) == text).then_some(bytes)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;

    /// Sealed by the `age` crate 0.11 (another's implementation of the format) with “brass and solder”, work 2^10, on 2026-11-26.
    const BY_ANOTHER: &str = "YWdlLWVuY3J5cHRpb24ub3JnL3YxCi0+IHNjcnlwdCB3NzBhMmVZY2lCOXIwd3RudkFKWGp3IDEwClhCY2RiODhqQkZQLzd0WmhBSW42VVBjQU0xajJuQ04vc3hvRHNxb0JGT3MKLS0tIDV6MHVOMGhLcDRjNjFHeGppRmxrMCs2dC9uSEJxK3praFZ5S3cxeHZSQVUKJ3n7FbE1+rxZV8nObbz1IuC3hsESs3KY8vOjkAQCwUX95bOaYCpcQMq4x3Eb4pqL";

    fn opened(passphrase: &str, sealed: &[u8]) -> Result<Vec<u8>, String> {
        let mut plain = Vec::new();
        open(passphrase, &mut &sealed[..], &mut plain).map(|()| plain).map_err(|e| e.to_string())
    }

    fn sealed(plain: &[u8]) -> Vec<u8> {
        let mut out = Vec::new();
        seal_with("brass and solder", 10, &mut &plain[..], &mut out).unwrap();
        out
    }

    #[test]
    fn what_another_program_sealed_is_opened() {
        let file = unbase64(BY_ANOTHER).unwrap();
        assert_eq!(opened("brass and solder", &file).unwrap(), b"the whole record");
        assert!(opened("brass and Solder", &file).unwrap_err().contains("passphrase"));
    }

    #[test]
    fn what_is_sealed_opens_at_every_length_and_nothing_changed_does() {
        for long in [0, 1, 16, CHUNK - 1, CHUNK, CHUNK + 1, 3 * CHUNK] {
            let plain: Vec<u8> = (0..long).map(|i| (i * 31 % 251) as u8).collect();
            let file = sealed(&plain);
            assert!(is_sealed(&file));
            assert_eq!(opened("brass and solder", &file).unwrap(), plain, "{long}");
        }
        let file = sealed(&[7; 2 * CHUNK + 9]);
        for at in (0..file.len()).step_by(file.len() / 97) {
            let mut changed = file.clone();
            changed[at] ^= 1;
            assert!(opened("brass and solder", &changed).is_err(), "{at}");
            assert!(opened("brass and solder", &file[..at]).is_err(), "cut at {at}");
        }
        // Chunks in another order do not open.
        let start = file.len() - (2 * (CHUNK + TAG) + 9 + TAG);
        let mut swapped = file[..start].to_vec();
        swapped.extend(&file[start + CHUNK + TAG..start + 2 * (CHUNK + TAG)]);
        swapped.extend(&file[start..start + CHUNK + TAG]);
        swapped.extend(&file[start + 2 * (CHUNK + TAG)..]);
        assert!(opened("brass and solder", &swapped).is_err());
    }

    #[test]
    fn a_file_that_asks_for_endless_work_is_refused_at_once() {
        let text = String::from_utf8_lossy(&unbase64(BY_ANOTHER).unwrap()[..60]).replace(" 10\n", " 30\n") + &"A".repeat(43) + "\n--- A\n";
        let begun = std::time::Instant::now();
        let error = opened("brass and solder", text.as_bytes()).unwrap_err();
        assert!(error.contains("too much work") && begun.elapsed().as_secs() < 1, "{error}");
    }
}
