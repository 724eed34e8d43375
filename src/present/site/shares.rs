//! Shares as people say them.

/// Shares with a name of their own, and how near one must be to be called by it.
const NAMED: [(f64, &str); 9] = [
    (0.1, "a tenth"),
    (0.2, "a fifth"),
    (0.25, "a quarter"),
    (1.0 / 3.0, "a third"),
    (0.5, "half"),
    (2.0 / 3.0, "two thirds"),
    (0.75, "three quarters"),
    (0.8, "four fifths"),
    (0.9, "nine tenths"),
];
/// A share this near to a named one bears its name.
const NEAR: f64 = 0.026;

/// `three quarters`, `nearly all`, `hardly any`.
#[must_use]
pub fn in_words(share: f64) -> &'static str {
    let nearest = NAMED
        .iter()
        .min_by(|a, b| (a.0 - share).abs().total_cmp(&(b.0 - share).abs()));
    match nearest {
        Some((named, words)) if (named - share).abs() <= NEAR => words,
        _ if share < 0.05 => "hardly any",
        _ if share < 0.1 => "less than a tenth",
        _ if share < 0.2 => "between a tenth and a fifth",
        _ if share < 1.0 / 3.0 => "between a quarter and a third",
        _ if share < 0.5 => "between a third and a half",
        _ if share < 2.0 / 3.0 => "between a half and two thirds",
        _ if share < 0.75 => "between two thirds and three quarters",
        _ if share < 0.9 => "between four fifths and nine tenths",
        _ if share < 0.95 => "more than nine tenths",
        _ => "nearly all",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stay_true_to_the_share() {
        assert_eq!(in_words(0.7488), "three quarters");
        assert_eq!(in_words(0.01), "hardly any");
        assert_eq!(in_words(0.97), "nearly all");
        assert_eq!(in_words(0.85), "between four fifths and nine tenths");
        assert_eq!(in_words(0.29), "between a quarter and a third");
        assert_eq!(in_words(0.07), "less than a tenth");
    }
}
