//! Set-up, invitation, sign-in, a new password.

use super::fields::{Field, form, token, wrong};
use super::frame::{Kind, Page};
use crate::desk::view::{ComeBack, Invited, Role, SetUp, SignIn};
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

/// Somebody who has lost the password takes another.
#[must_use]
pub fn come_back(view: &ComeBack) -> String {
    let form_view = &view.form;
    let may = match view.role {
        Role::Keeper => "a keeper",
        Role::Reader => "a reader",
    };
    let fields = html! {
        // For the browser's own keeper of passwords.
        input name="user" value=(form_view.name) autocomplete="username" aria-label="Name" hidden;
        (passwords(form_view))
        button.main { "Keep it and go in" }
    };
    let body = html! {
        h1 { "A new password" }
        p.lead {
            "For " b { (form_view.name) } ", " (may) " of this desk. Whoever is signed in under this \
             name anywhere is signed out by it; tokens for programs stay as they are. This link works \
             once."
        }
        (wrong(form_view.wrong.as_deref()))
        (form(&form_view.shell, &format!("/again/{}", form_view.token), "stack", &fields))
    };
    Page::new(Kind::Door, "A new password", &form_view.shell).around(&body)
}

fn passwords(view: &SetUp) -> Markup {
    let length = format!(
        "{} characters or more. A sentence of four or five words is easy to remember and hard to \
         guess.",
        view.shortest_password
    );
    html! {
        (Field::new("password", "Password", "").kind("password").needed().hint(&length)
            .autocomplete("new-password").show())
        (Field::new("again", "The same once more", "").kind("password").needed()
            .autocomplete("new-password").show())
    }
}

fn naming(view: &SetUp, action: &str, press: &str) -> Markup {
    let fields = html! {
        (Field::new("name", "Name to sign in with", &view.name).needed().autocomplete("username")
            .show())
        (passwords(view))
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
        p.quiet {
            "Password lost? Whoever has the machine that this desk runs on can make a link for a \
             new one: " code { "tailbeat desk-readmit NAME" } "."
        }
    };
    Page::new(Kind::Door, "Sign in", &view.shell).around(&body)
}
