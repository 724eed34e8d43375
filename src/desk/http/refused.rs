//! A form that leads onwards, or comes back on its own page.

use super::answer::Shown;
use super::guard::Posted;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::view::NotTaken;
use axum::response::{Html, IntoResponse, Redirect, Response};

/// Fields that never stand in a page again.
const PASSWORDS: [&str; 3] = ["old", "password", "again"];

impl Posted {
    /// Onwards to an address; or the form's own page again, as `page` makes it.
    pub async fn onwards<Made: Future<Output = Outcome<String>>>(
        &self,
        form: &'static str,
        to: Outcome<String>,
        page: impl FnOnce(NotTaken) -> Made,
    ) -> Shown<Response> {
        match to {
            Ok(to) => Ok(Redirect::to(&to).into_response()),
            Err(fault) => self.once_more(form, fault, page).await,
        }
    }

    /// The page of a form that was not taken, as `page` makes it. What no typing mends is not for the
    /// form to say.
    pub async fn once_more<Made: Future<Output = Outcome<String>>>(
        &self,
        form: &'static str,
        fault: Fault,
        page: impl FnOnce(NotTaken) -> Made,
    ) -> Shown<Response> {
        if fault.is_ours() || matches!(fault, Fault::Missing | Fault::Forbidden) {
            return Err(fault.into());
        }
        let typed = self.fields.0.iter();
        let wrong = NotTaken {
            form,
            why: fault.words(),
            typed: typed
                .filter(|(name, _)| !PASSWORDS.contains(&name.as_str()))
                .cloned()
                .collect(),
        };
        let mut response = (fault.status(), Html(page(wrong).await?)).into_response();
        fault.dress(&mut response);
        Ok(response)
    }
}
