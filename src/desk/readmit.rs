//! A way back in for a keeper who has lost the password: whoever has the machine asks for it.

use super::fault::Fault;
use super::settings::Place;
use super::store::Store;
use crate::error::{Error, Result};

/// Makes a one-time link for somebody who has an account. The desk may be running or not.
///
/// # Errors
/// There is no desk, nobody of that name, or the database fails.
pub async fn link(place: &Place, public: Option<String>, name: &str) -> Result<String> {
    place.expect_desk()?;
    let public = public.map_or_else(|| address(place), Ok)?;
    let store = Store::open(&place.database).await?;
    let made = store.readmit(name.trim()).await;
    store.close().await;
    let fresh = made.map_err(outward)?;
    Ok(format!("{public}/again/{}", fresh.word))
}

/// Where others reached the desk when it last started.
fn address(place: &Place) -> Result<String> {
    let path = place.address();
    let told = std::fs::read_to_string(&path).unwrap_or_default();
    if told.trim().is_empty() {
        return Err(Error::BadSetting {
            place: path.display().to_string(),
            what: "no desk has said here under which address it is reached".into(),
            remedy:
                "give it by --public, such as --public http://127.0.0.1:8474; or the folder that \
                     the desk was started with by --folder"
                    .into(),
        });
    }
    Ok(told.trim().to_owned())
}

fn outward(fault: Fault) -> Error {
    match fault {
        Fault::Bad(what) => {
            let (what, remedy) = what.split_once("; ").unwrap_or((&what, "give another"));
            Error::BadSetting {
                place: "NAME".into(),
                what: what.into(),
                remedy: remedy.into(),
            }
        }
        Fault::Library(fault) => fault,
        other => Error::io("the desk's database", std::io::Error::other(other)),
    }
}
