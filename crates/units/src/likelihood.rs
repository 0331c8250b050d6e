//! Likelihoods as they are said.

/// A likelihood for a person, in whole percent and never none: `< 1 %`, `24 %`.
pub fn show_likelihood(p: f64) -> String {
    if p < 0.01 { "< 1 %".to_owned() } else { format!("{:.0} %", 100.0 * p) }
}

/// A likelihood with its range: `24 % (3 to 60 %)`, `< 1 % (< 1 to 4 %)`.
pub fn show_likelihood_range(p: f64, low: f64, high: f64) -> String {
    format!("{} ({} to {})", show_likelihood(p), show_likelihood(low).trim_end_matches(" %"), show_likelihood(high))
}

/// From so likely to so likely: `< 1 to 4 %`; once where both are said alike.
pub fn show_likelihood_between(low: f64, high: f64) -> String {
    let (low, high) = (show_likelihood(low), show_likelihood(high));
    if low == high { low } else { format!("{} to {high}", low.trim_end_matches(" %")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn never_none() {
        assert_eq!((show_likelihood(0.0), show_likelihood(0.126)), ("< 1 %".to_owned(), "13 %".to_owned()));
        assert_eq!((show_likelihood(0.0), show_likelihood(0.237)), ("< 1 %".to_owned(), "24 %".to_owned()));
        assert_eq!(show_likelihood(1.0), "100 %");
        assert_eq!(show_likelihood_range(0.005, 0.0, 0.04), "< 1 % (< 1 to 4 %)");
        assert_eq!(
            (show_likelihood_between(0.0, 0.24), show_likelihood_between(0.0, 0.001)),
            ("< 1 to 24 %".to_owned(), "< 1 %".to_owned())
        );
    }
}
