//! Mean, standard deviation and coefficient of variation.

/// Arithmetic mean. `None` when empty.
#[must_use]
pub fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// Standard deviation with `n - 1`. `None` for fewer than two values.
#[must_use]
pub fn standard_deviation(values: &[f64]) -> Option<f64> {
    if values.len() < 2 {
        return None;
    }
    let centre = mean(values)?;
    let squares: f64 = values.iter().map(|v| (v - centre).powi(2)).sum();
    Some((squares / (values.len() - 1) as f64).sqrt())
}

/// Standard deviation (with `n - 1`) over mean: 0 for a steady beat, about 1 for intervals that
/// know nothing of each other. `None` for fewer than two values or a mean that is not positive.
#[must_use]
pub fn coefficient_of_variation(values: &[f64]) -> Option<f64> {
    let centre = mean(values)?;
    (centre > 0.0).then_some(())?;
    Some(standard_deviation(values)? / centre)
}
