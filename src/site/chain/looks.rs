//! Intermittent faults: how many looks without desense make a section clean?

/// Chance that a fault which one look shows with probability `shows` hides from all of `looks`:
/// `(1 - q)^n`.
#[must_use]
pub fn hides(shows: f64, looks: u32) -> f64 {
    (1.0 - shows).powf(f64::from(looks))
}

/// Looks without desense after which it would have shown itself with this confidence:
/// `ln(1 - confidence) / ln(1 - q)`, rounded up. `None` where no number of looks is enough, or
/// for numbers that are no probabilities.
#[must_use]
pub fn needed(shows: f64, confidence: f64) -> Option<u32> {
    let sound = shows > 0.0 && shows <= 1.0 && confidence > 0.0 && confidence < 1.0;
    if !sound {
        return None;
    }
    if shows == 1.0 {
        return Some(1);
    }
    let exact = (1.0 - confidence).ln() / (-shows).ln_1p();
    // A whole number missed by rounding alone is that number.
    Some((exact - 1e-9).ceil().max(1.0) as u32)
}
