//! Passwords (argon2id) and random tokens.

use crate::problem::{Outcome, Problem};
use argon2::password_hash::PasswordHasher;
use argon2::{Algorithm, Argon2, Block, Params, PasswordHash, Version};

/// Fewest characters of a password. NIST SP 800-63B asks for at least 8 (from memory).
pub const LEAST: usize = 8;
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
    if password.len() > MOST_BYTES {
        return Err(Problem::Bad(format!("that password is longer than {MOST_BYTES} bytes")));
    }
    Ok(Argon2::default().hash_password(password.as_bytes()).map_err(|e| Problem::Broken(e.to_string()))?.to_string())
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
        assert!(hash("short").is_err());
        assert_ne!(hash("brass and solder").unwrap(), h);
    }

    #[test]
    fn tokens_differ() {
        let (a, b) = (token().unwrap(), token().unwrap());
        assert_eq!(a.len(), 43);
        assert_ne!(a, b);
    }
}
