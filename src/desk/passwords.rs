//! Passwords: Argon2id, never more than two at work, since each takes 19 MiB for a moment.

use super::fault::{Fault, Outcome};
use argon2::Argon2;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use std::sync::LazyLock;
use tokio::sync::Semaphore;

/// Fewest characters of a password.
pub const SHORTEST: usize = 10;
/// Most bytes: more is no password but a load.
const LONGEST_BYTES: usize = 256;

static AT_WORK: Semaphore = Semaphore::const_new(2);

/// What nobody has; a sign-in with an unknown name takes as long as one with a wrong password.
static NOBODYS: LazyLock<String> =
    LazyLock::new(|| digest("nobody has this password").unwrap_or_default());

/// A password that may be chosen.
///
/// # Errors
/// What is wrong with it.
pub fn acceptable(password: &str, again: &str) -> Outcome<()> {
    if password.chars().count() < SHORTEST {
        return Err(Fault::Bad(format!(
            "the password is too short; take {SHORTEST} characters or more, several words for \
             instance"
        )));
    }
    if password.len() > LONGEST_BYTES {
        return Err(Fault::Bad("the password is too long".into()));
    }
    if password != again {
        return Err(Fault::Bad(
            "the two passwords are not the same; type both once more".into(),
        ));
    }
    Ok(())
}

/// What is kept of a password.
///
/// # Errors
/// The system gives no random numbers.
pub async fn kept(password: String) -> Outcome<String> {
    at_work(move || digest(&password)).await?
}

/// Whether the password is the one; against nobody's where there is none to compare with.
///
/// # Errors
/// The check cannot be made.
pub async fn fits(password: String, kept: Option<String>) -> Outcome<bool> {
    if password.len() > LONGEST_BYTES {
        return Ok(false);
    }
    at_work(move || {
        let known = kept.is_some();
        let kept = kept.unwrap_or_else(|| NOBODYS.clone());
        let fits = Argon2::default().verify_password(password.as_bytes(), kept.as_str());
        known && fits.is_ok()
    })
    .await
}

fn digest(password: &str) -> Outcome<String> {
    // The default of the package is Argon2id with the parameters of RFC 9106's second choice,
    // as OWASP words it: 19 MiB, two passes.
    let kept = Argon2::default()
        .hash_password(password.as_bytes())
        .map_err(|fault| Fault::Broken(fault.to_string()))?;
    Ok(kept.to_string())
}

async fn at_work<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Outcome<T> {
    let broken = |fault: String| Fault::Broken(fault);
    let _one = (AT_WORK.acquire().await).map_err(|fault| broken(fault.to_string()))?;
    let done = tokio::task::spawn_blocking(work).await;
    done.map_err(|fault| broken(fault.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_password_fits_itself_alone() {
        let kept = digest("a long enough one").unwrap();
        assert!(kept.starts_with("$argon2id$"), "{kept}");
        let fits = |word: &str| {
            Argon2::default()
                .verify_password(word.as_bytes(), kept.as_str())
                .is_ok()
        };
        assert!(fits("a long enough one") && !fits("a long enough on"));
    }

    #[test]
    fn short_long_and_mistyped_ones_are_refused() {
        assert!(acceptable("0123456789", "0123456789").is_ok());
        assert!(acceptable("012345678", "012345678").is_err());
        assert!(acceptable("0123456789", "0123456788").is_err());
        let long = "x".repeat(LONGEST_BYTES + 1);
        assert!(acceptable(&long, &long).is_err());
    }
}
