//! Passwords (argon2id) and random tokens.

use crate::problem::{Outcome, Problem};
use argon2::password_hash::PasswordHasher;
use argon2::{Algorithm, Argon2, Block, Params, PasswordHash, Version};

/// Fewest characters of a password. OWASP ASVS 4.0.3, 2.1.1 asks for 12 (from memory).
pub const LEAST: usize = 12;
/// Most bytes of one: beyond that nothing is hashed.
pub const MOST_BYTES: usize = 1000;

/// The hash of a new password.
///
/// # Errors
/// [`Problem::Bad`] where it is too short or absurdly long.
pub fn hash(password: &str) -> Outcome<String> {
    if password.chars().count() < LEAST {
        return Err(Problem::Bad(format!("a password needs at least {LEAST} characters")));
    }
    if let Some(why) = guessed_first(password) {
        return Err(Problem::Bad(format!("that password is among the first that are guessed: {why}")));
    }
    if password.len() > MOST_BYTES {
        return Err(Problem::Bad(format!("that password is longer than {MOST_BYTES} bytes")));
    }
    Ok(Argon2::default().hash_password(password.as_bytes()).map_err(|e| Problem::Broken(e.to_string()))?.to_string())
}

/// Words that the commonest passwords are made of. From memory, of the lists that are published after break-ins each year; and what
/// lies near in this house.
const COMMON: &[&str] = &[
    "password",
    "passwort",
    "qwerty",
    "qwertz",
    "qwertyuiop",
    "asdfghjkl",
    "zxcvbnm",
    "letmein",
    "welcome",
    "iloveyou",
    "admin",
    "administrator",
    "monkey",
    "dragon",
    "football",
    "baseball",
    "basketball",
    "superman",
    "batman",
    "princess",
    "sunshine",
    "shadow",
    "master",
    "trustno1",
    "abc123",
    "secret",
    "login",
    "starwars",
    "whatever",
    "changeme",
    "default",
    "computer",
    "internet",
    "pokemon",
    "michael",
    "jordan",
    "trueround",
    "trumpet",
    "trombone",
    "tuba",
    "cornet",
    "brass",
    "owner",
    "technician",
    "apprentice",
    "counter",
    "repair",
    "shop",
];

/// Why a password is guessed at once; none where it is not: nothing but common words, digits and signs at their ends, one letter over
/// and over, or a row of the keyboard or the alphabet.
fn guessed_first(password: &str) -> Option<&'static str> {
    let plain = password.to_lowercase();
    let mut letters: Vec<char> = plain.chars().collect();
    let steps: Vec<i64> = letters.windows(2).map(|w| i64::from(u32::from(w[1])) - i64::from(u32::from(w[0]))).collect();
    letters.sort_unstable();
    letters.dedup();
    if letters.len() < 5 {
        return Some("it has fewer than five different characters");
    }
    if steps.iter().filter(|s| matches!(s, 1 | -1)).count() * 4 > steps.len() * 3 {
        return Some("it counts on");
    }
    // What is left when the common words, the digits and the signs are taken out.
    let mut rest = plain.replace('@', "a").replace('0', "o").replace('3', "e").replace('$', "s");
    let mut words: Vec<&&str> = COMMON.iter().collect();
    words.sort_by_key(|w| std::cmp::Reverse(w.len()));
    for word in words {
        rest = rest.replace(*word, "");
    }
    let left = rest.chars().filter(|c| c.is_alphabetic()).count();
    (rest.len() < plain.len() && left < 4).then_some("it is made of common words")
}

/// Whether a password fits a hash, worked in memory that is used again. With no hash (nobody of that name) the same work is done and
/// the answer is no, so that the time does not tell which names exist.
pub fn fits(password: &str, hash: Option<&str>, memory: &mut Vec<Block>) -> bool {
    const NOBODY: &str = "$argon2id$v=19$m=19456,t=2,p=1$c29tZXNhbHRzb21lc2FsdA$0000000000000000000000000000000000000000000";
    let real = hash.is_some();
    same_hash(password, hash.unwrap_or(NOBODY), memory).unwrap_or(false) && real
}

/// Whether a password has this hash; none where the hash cannot be read.
fn same_hash(password: &str, hash: &str, memory: &mut Vec<Block>) -> Option<bool> {
    let known = PasswordHash::new(hash).ok()?;
    let params = Params::try_from(&known).ok()?;
    let algorithm = Algorithm::new(known.algorithm.as_str()).ok()?;
    let version = known.version.map_or(Ok(Version::default()), Version::try_from).ok()?;
    let (salt, wanted) = (known.salt?, known.hash?);
    memory.resize(params.block_count(), Block::default());
    let mut got = vec![0; wanted.len()];
    Argon2::new(algorithm, version, params).hash_password_into_with_memory(password.as_bytes(), &salt, &mut got, memory).ok()?;
    Some(crate::guard::same(&got, wanted.as_bytes()))
}

/// A random token of 256 bits, in URL-safe characters.
///
/// # Errors
/// Where the system gives no random bytes.
pub fn token() -> Outcome<String> {
    const ALPHABET: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
    let mut bytes = [0_u8; 43];
    getrandom::fill(&mut bytes).map_err(|e| Problem::Broken(e.to_string()))?;
    Ok(bytes.iter().map(|b| char::from(ALPHABET[usize::from(b & 63)])).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use argon2::PasswordVerifier;

    #[test]
    fn a_password_fits_its_own_hash_only() {
        let h = hash("brass and solder").unwrap();
        let mut memory = Vec::new();
        assert!(fits("brass and solder", Some(&h), &mut memory));
        assert!(!fits("brass and Solder", Some(&h), &mut memory));
        assert!(fits("brass and solder", Some(&h), &mut memory), "memory that was used before");
        assert!(!fits("anything", None, &mut memory) && !fits("anything", Some("no hash"), &mut memory));
        // The library's own answer, by its own memory.
        let known = PasswordHash::new(&h).unwrap();
        assert!(Argon2::default().verify_password(b"brass and solder", &known).is_ok());
        assert!(hash("short").is_err() && hash("eleven char").is_err());
        assert_ne!(hash("brass and solder").unwrap(), h);
    }

    #[test]
    fn what_is_guessed_first_is_no_password() {
        for bad in [
            "password1234",
            "P@ssw0rd2026!",
            "aaaaaaaaaaaaaaaa",
            "123456789012",
            "abcdefghijklmn",
            "qwertyuiop123",
            "trueround2026",
            "TrumpetTrumpet",
        ] {
            assert!(guessed_first(bad).is_some(), "{bad}");
            assert!(hash(bad).is_err(), "{bad}");
        }
        for good in ["brass and solder", "the demo of this house", "Xk3-vv9_Qhe7Lm2p", "mandrel 1903 blue door", "owl kettle passport"] {
            assert!(guessed_first(good).is_none(), "{good}");
        }
    }

    #[test]
    fn tokens_differ() {
        let (a, b) = (token().unwrap(), token().unwrap());
        assert_eq!(a.len(), 43);
        assert_ne!(a, b);
    }
}
