//! Trials at one dose, and whether doses part the answers without overlap.

/// Trials at one dose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DoseGroup {
    /// The dose.
    pub dose: f64,
    /// Trials.
    pub trials: u32,
    /// Trials with a response.
    pub responses: u32,
}

impl DoseGroup {
    /// `responses / trials`; NaN without trials.
    #[must_use]
    pub fn fraction(&self) -> f64 {
        f64::from(self.responses) / f64::from(self.trials)
    }
}

/// What a table allows to be fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Separation {
    /// Responses and non-responses overlap: maximum likelihood has an answer.
    Overlap,
    /// One dose at most holds both outcomes and all others are parted by it: the slope of
    /// maximum likelihood is infinite.
    Parted,
    /// There are only responses, only non-responses, or only one dose.
    OneOutcome,
}

/// Sorts a table into the cases of [`Separation`]. Groups without trials do not count.
#[must_use]
pub fn separation(groups: &[DoseGroup]) -> Separation {
    let used = || groups.iter().filter(|g| g.trials > 0);
    let extremes = |pick: &dyn Fn(&DoseGroup) -> bool| {
        used()
            .filter(|g| pick(g))
            .fold(None, |range: Option<(f64, f64)>, g| match range {
                None => Some((g.dose, g.dose)),
                Some((low, high)) => Some((low.min(g.dose), high.max(g.dose))),
            })
    };
    let yes = extremes(&|g| g.responses > 0);
    let no = extremes(&|g| g.responses < g.trials);
    let (Some(yes), Some(no)) = (yes, no) else {
        return Separation::OneOutcome;
    };
    if used().all(|g| g.dose == yes.0) {
        Separation::OneOutcome
    } else if yes.1 <= no.0 || no.1 <= yes.0 {
        Separation::Parted
    } else {
        Separation::Overlap
    }
}
