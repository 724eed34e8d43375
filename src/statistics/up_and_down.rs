//! The up-and-down method: one trial a step, down after a response, up after none.

/// Which outcome is counted: the rarer one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rarer {
    /// Responses were rarer.
    Responses,
    /// Non-responses were rarer.
    NonResponses,
}

/// Result of Dixon and Mood's sums.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UpAndDown {
    /// Number of the rarer outcome, `N`.
    pub count: u64,
    /// `sum i n_i`.
    pub a: u64,
    /// `sum i^2 n_i`.
    pub b: u64,
    /// Level at which half respond.
    pub mean: f64,
    /// `(N B - A^2) / N^2`.
    pub bracket: f64,
    /// Standard deviation of the threshold; `None` where the bracket is too small for the
    /// approximation.
    pub sd: Option<f64>,
}

/// Below this bracket the published approximation of the standard deviation does not hold
/// (Dixon and Mood, JASA 43, 1948; from memory).
const LEAST_BRACKET: f64 = 0.3;

/// Dixon and Mood (1948): `m = y0 + d (A/N -+ 1/2)` (minus for responses, plus for
/// non-responses), `s = 1.620 d ((N B - A^2)/N^2 + 0.029)`; `counts[i]` is the number of the
/// rarer outcome at `lowest + i step`. `None` without counts.
#[must_use]
pub fn dixon_mood(lowest: f64, step: f64, counts: &[u64], rarer: Rarer) -> Option<UpAndDown> {
    let count: u64 = counts.iter().sum();
    if count == 0 {
        return None;
    }
    let indexed = || (0u64..).zip(counts);
    let a: u64 = indexed().map(|(i, n)| i * n).sum();
    let b: u64 = indexed().map(|(i, n)| i * i * n).sum();
    let n = count as f64;
    let half = match rarer {
        Rarer::Responses => -0.5,
        Rarer::NonResponses => 0.5,
    };
    let bracket = (n * b as f64 - (a * a) as f64) / (n * n);
    Some(UpAndDown {
        count,
        a,
        b,
        mean: lowest + step * (a as f64 / n + half),
        bracket,
        sd: (bracket > LEAST_BRACKET).then_some(1.620 * step * (bracket + 0.029)),
    })
}
