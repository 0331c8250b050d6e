//! Likelihoods as they are said.

/// A likelihood for a person, in whole percent and never none: `< 1 %`, `24 %`.
pub fn show_likelihood(p: f64) -> String {
    if p < 0.01 { "< 1 %".to_owned() } else { format!("{:.0} %", 100.0 * p) }
}

#[cfg(test)]
mod tests {
    use super::show_likelihood;

    #[test]
    fn never_none() {
        assert_eq!((show_likelihood(0.0), show_likelihood(0.126)), ("< 1 %".to_owned(), "13 %".to_owned()));
        assert_eq!((show_likelihood(0.0), show_likelihood(0.237)), ("< 1 %".to_owned(), "24 %".to_owned()));
        assert_eq!(show_likelihood(1.0), "100 %");
    }
}
