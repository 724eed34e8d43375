//! A form that was not taken: its page is shown again with what was typed, so that nobody has to type
//! it twice.

/// The form, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotTaken {
    /// Which: the last word of its address but for keys.
    pub form: &'static str,
    /// Why.
    pub why: String,
    /// What was typed, in order; names may repeat. Never a password.
    pub typed: Vec<(String, String)>,
}

impl NotTaken {
    /// This form of a page, if it is the one that was not taken.
    #[must_use]
    pub fn of<'a>(wrong: &'a Option<Self>, form: &str) -> Option<&'a Self> {
        wrong.as_ref().filter(|wrong| wrong.form == form)
    }

    /// How many fields of this name it had.
    #[must_use]
    pub fn count(&self, name: &str) -> usize {
        self.typed.iter().filter(|(field, _)| field == name).count()
    }

    /// What was typed into the `n`-th field of this name.
    #[must_use]
    pub fn field(&self, name: &str, n: usize) -> Option<&str> {
        let mut of = self.typed.iter().filter(|(field, _)| field == name);
        of.nth(n).map(|(_, value)| value.as_str())
    }
}
