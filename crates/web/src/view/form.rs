//! What forms send, tidied.

/// A field's text without the spaces round it; none where nothing is left.
pub fn filled(text: &str) -> Option<&str> {
    Some(text.trim()).filter(|t| !t.is_empty())
}
