//! Parts of forms.

use crate::desk::view::{NotTaken, Shell};
use maud::{Markup, html};

/// A form that posts, with its token.
pub fn form(shell: &Shell, action: &str, class: &str, body: &Markup) -> Markup {
    html! {
        form method="post" action=(action) class=(class) {
            (token(shell))
            (body)
        }
    }
}

/// The hidden token that every form carries.
pub fn token(shell: &Shell) -> Markup {
    html! { input type="hidden" name="csrf" value=(shell.csrf); }
}

/// One field with its label.
#[derive(Debug, Clone, Copy)]
pub struct Field<'a> {
    /// Unique on the page.
    pub id: &'a str,
    /// In the form.
    pub name: &'a str,
    /// Above it.
    pub label: &'a str,
    /// Below the label.
    pub hint: &'a str,
    /// What is in it.
    pub value: &'a str,
    /// `text`, `password`, `date` and so on.
    pub kind: &'a str,
    /// Whether it must be filled in.
    pub needed: bool,
    /// For the browser's memory; empty for none.
    pub autocomplete: &'a str,
    /// Keyboard of a telephone; empty for the usual.
    pub keyboard: &'a str,
}

impl<'a> Field<'a> {
    /// A line of text that may stay empty.
    pub const fn new(name: &'a str, label: &'a str, value: &'a str) -> Self {
        Self {
            id: name,
            name,
            label,
            hint: "",
            value,
            kind: "text",
            needed: false,
            autocomplete: "off",
            keyboard: "",
        }
    }

    /// With words below the label.
    pub const fn hint(self, hint: &'a str) -> Self {
        Self { hint, ..self }
    }

    /// That must be filled in.
    pub const fn needed(self) -> Self {
        Self {
            needed: true,
            ..self
        }
    }

    /// Of another kind.
    pub const fn kind(self, kind: &'a str) -> Self {
        Self { kind, ..self }
    }

    /// For a number with decimals.
    pub const fn number(self) -> Self {
        Self {
            keyboard: "decimal",
            ..self
        }
    }

    /// Known to the browser's memory.
    pub const fn autocomplete(self, autocomplete: &'a str) -> Self {
        Self {
            autocomplete,
            ..self
        }
    }

    /// With an id of its own, where a page has the same name twice.
    pub const fn id(self, id: &'a str) -> Self {
        Self { id, ..self }
    }

    /// As HTML.
    pub fn show(self) -> Markup {
        let keyboard = (!self.keyboard.is_empty()).then_some(self.keyboard);
        self.around(&html! {
            input id=(self.id) name=(self.name) type=(self.kind) value=(self.value)
                autocomplete=(self.autocomplete) inputmode=[keyboard] required[self.needed]
                aria-describedby=[self.described()];
        })
    }

    /// As HTML, for several lines of text.
    pub fn area(self, rows: usize) -> Markup {
        self.around(&html! {
            textarea id=(self.id) name=(self.name) rows=(rows) required[self.needed]
                aria-describedby=[self.described()] { (self.value) }
        })
    }

    /// As HTML, for one of several: fixed word and name.
    pub fn one_of(self, choices: &[(String, String)]) -> Markup {
        self.around(&html! {
            select id=(self.id) name=(self.name) aria-describedby=[self.described()] {
                @for (word, name) in choices {
                    option value=(word) selected[word == self.value] { (name) }
                }
            }
        })
    }

    fn described(&self) -> Option<String> {
        (!self.hint.is_empty()).then(|| format!("{}-hint", self.id))
    }

    fn around(&self, field: &Markup) -> Markup {
        html! {
            div.field {
                label for=(self.id) { (self.label) }
                @if let Some(id) = self.described() { p.hint id=(id) { (self.hint) } }
                (field)
            }
        }
    }
}

/// What was wrong with a form, above it.
pub fn wrong(what: Option<&str>) -> Markup {
    html! { @if let Some(what) = what { p.notice.bad role="alert" { (sentence(what)) } } }
}

/// The forms of a page of which one may not have been taken.
#[derive(Debug, Clone, Copy)]
pub struct Forms<'a>(pub &'a Option<NotTaken>);

impl<'a> Forms<'a> {
    /// What was wrong with one of them, above it.
    pub fn refused(self, form: &str) -> Markup {
        wrong(NotTaken::of(self.0, form).map(|said| said.why.as_str()))
    }

    /// Whether it is this one, so that what hides it has to be open.
    pub fn is(self, form: &str) -> bool {
        NotTaken::of(self.0, form).is_some()
    }

    /// What was typed into one of its fields; else what usually stands there.
    pub fn typed(self, form: &str, name: &str, usual: &'a str) -> &'a str {
        let typed = NotTaken::of(self.0, form).and_then(|form| form.field(name, 0));
        typed.unwrap_or(usual)
    }
}

/// A line as a terminal says it, as a sentence.
pub fn sentence(line: &str) -> String {
    let mut letters = line.chars();
    let first: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .collect();
    let stop = if line.ends_with(['.', '!', '?']) {
        ""
    } else {
        "."
    };
    format!("{first}{}{stop}", letters.as_str())
}
