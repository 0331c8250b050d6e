//! Texts as they stand in an address.

use std::fmt::Write as _;

/// A text percent-encoded: all but the unreserved characters (RFC 3986 §2.3), so that it stands in a path, a query and a mail draft
/// (RFC 6068 §5: no `+` for a space).
pub fn encoded(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for b in text.bytes() {
        if b.is_ascii_alphanumeric() || b"-._~".contains(&b) {
            out.push(b as char);
        } else {
            // Writing to a String cannot fail.
            let _ = write!(out, "%{b:02X}");
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::encoded;

    /// RFC 3986 §2.1 and §2.5: "%20" for a space, the octets of UTF-8 for what is not ASCII ("À" is %C3%80 there).
    #[test]
    fn as_the_rfc_writes_it() {
        assert_eq!(encoded("a b-~_.À&=?"), "a%20b-~_.%C3%80%26%3D%3F");
        assert_eq!(encoded("x\r\ny"), "x%0D%0Ay");
    }
}
