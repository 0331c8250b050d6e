//! Passwords (argon2id) and random tokens.

use crate::problem::{Outcome, Problem};
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use argon2::{Argon2, PasswordHash};

/// Fewest characters of a password. NIST SP 800-63B asks for at least 8 (from memory).
pub const LEAST: usize = 8;

/// The hash of a new password.
///
/// # Errors
/// [`Problem::Bad`] where it is too short or absurdly long.
pub fn hash(password: &str) -> Outcome<String> {
    if password.chars().count() < LEAST {
        return Err(Problem::Bad(format!("a password needs at least {LEAST} characters")));
    }
    if password.len() > 1000 {
        return Err(Problem::Bad("that password is longer than 1000 bytes".to_owned()));
    }
    Ok(Argon2::default().hash_password(password.as_bytes()).map_err(|e| Problem::Broken(e.to_string()))?.to_string())
}

/// Whether a password fits a hash. With no hash (nobody of that name) the same work is done and the answer is no, so
/// that the time does not tell which names exist.
pub fn fits(password: &str, hash: Option<&str>) -> bool {
    const NOBODY: &str = "$argon2id$v=19$m=19456,t=2,p=1$c29tZXNhbHRzb21lc2FsdA$0000000000000000000000000000000000000000000";
    let real = hash.is_some();
    PasswordHash::new(hash.unwrap_or(NOBODY)).is_ok_and(|h| Argon2::default().verify_password(password.as_bytes(), &h).is_ok()) && real
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

    #[test]
    fn a_password_fits_its_own_hash_only() {
        let h = hash("brass and solder").unwrap();
        assert!(fits("brass and solder", Some(&h)));
        assert!(!fits("brass and Solder", Some(&h)));
        assert!(!fits("anything", None));
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
