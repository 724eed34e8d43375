//! Set-up, invitation, sign-in.

use super::fields::{Field, form, token, wrong};
use super::frame::{Kind, Page};
use crate::desk::view::{Invited, Role, SetUp, SignIn};
use maud::{Markup, html};

/// First run: the first keeper names themselves.
#[must_use]
pub fn set_up(view: &SetUp) -> String {
    let body = html! {
        h1 { "Set up the desk" }
        p.lead {
            "You are the first here. Choose how you sign in; you become a keeper and can invite \
             others afterwards. This link works once."
        }
        (naming(view, &format!("/setup/{}", view.token), "Set up and go in"))
    };
    Page::new(Kind::Door, "Set up", &view.shell).around(&body)
}

/// Somebody invited names themselves.
#[must_use]
pub fn invited(view: &Invited) -> String {
    let may = match view.role {
        Role::Keeper => "You will be a keeper: you can judge, correct, open cases and delete.",
        Role::Reader => "You will be a reader: you can see everything and change nothing.",
    };
    let body = html! {
        h1 { "You are invited" }
        p.lead { (view.by) " invites you to this desk. " (may) }
        (naming(&view.form, &format!("/invited/{}", view.form.token), "Come in"))
    };
    Page::new(Kind::Door, "Invitation", &view.form.shell).around(&body)
}

fn naming(view: &SetUp, action: &str, press: &str) -> Markup {
    let length = format!(
        "{} characters or more. A sentence of four or five words is easy to remember and hard to \
         guess.",
        view.shortest_password
    );
    let fields = html! {
        (Field::new("name", "Name to sign in with", &view.name).needed().autocomplete("username")
            .show())
        (Field::new("password", "Password", "").kind("password").needed().hint(&length)
            .autocomplete("new-password").show())
        (Field::new("again", "The same once more", "").kind("password").needed()
            .autocomplete("new-password").show())
        button.main { (press) }
    };
    html! {
        (wrong(view.wrong.as_deref()))
        (form(&view.shell, action, "stack", &fields))
    }
}

/// The door for those who belong here.
#[must_use]
pub fn sign_in(view: &SignIn) -> String {
    let body = html! {
        h1 { "Sign in" }
        p.lead {
            "For the keepers of the repeaters. If you want to send a recording in, use the link \
             that your club has posted: no account is needed for that."
        }
        (wrong(view.wrong.as_deref()))
        form.stack method="post" action="/sign-in" {
            (token(&view.shell))
            input type="hidden" name="then" value=(view.then);
            (Field::new("name", "Name", &view.name).needed().autocomplete("username").show())
            (Field::new("password", "Password", "").kind("password").needed()
                .autocomplete("current-password").show())
            button.main { "Sign in" }
        }
    };
    Page::new(Kind::Door, "Sign in", &view.shell).around(&body)
}
