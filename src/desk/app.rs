//! What every handler works with.

use super::arriving::{PathOf, Whole};
use super::fault::{Fault, Outcome};
use super::limits::Knocks;
use super::objects::Objects;
use super::settings::Settings;
use super::store::Store;
use super::store::recordings::{Arrived, Told};
use std::collections::HashSet;
use std::path::PathBuf;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::sync::Notify;

/// The desk at work.
pub struct App {
    /// What it was told.
    pub settings: Settings,
    /// Address under which others reach it, without a slash at its end.
    pub public: String,
    /// The database.
    pub store: Store,
    /// The originals.
    pub objects: Objects,
    /// Rings the workers of this process.
    pub bell: Arc<Notify>,
    /// How often somebody may try to sign in.
    pub sign_ins: Knocks,
    /// How often somebody may send something without an account.
    pub senders: Knocks,
    /// What is counted since the start.
    pub counts: Counts,
    /// Uploads in parts that a request works on just now.
    busy: Mutex<HashSet<String>>,
    /// Where faults go.
    pub log: fn(&str),
}

/// What is counted since the start.
#[derive(Default)]
pub struct Counts {
    /// Recordings received.
    pub received: AtomicU64,
    /// Bytes of them.
    pub received_bytes: AtomicU64,
    /// Requests by hundreds of their status.
    pub answers: [AtomicU64; 6],
    /// Sign-ins refused.
    pub refused_sign_ins: AtomicU64,
}

impl App {
    /// Puts it together.
    #[must_use]
    pub fn new(
        settings: Settings,
        public: String,
        store: Store,
        objects: Objects,
        log: fn(&str),
    ) -> Self {
        Self {
            settings,
            public,
            store,
            objects,
            bell: Arc::default(),
            // Ten tries at once, then one in twenty seconds: slow enough against guessing.
            sign_ins: Knocks::new(10, Duration::from_secs(20)),
            // A telephone that sends in parts knocks a few times a second.
            senders: Knocks::new(600, Duration::from_millis(100)),
            counts: Counts::default(),
            busy: Mutex::default(),
            log,
        }
    }

    /// Whether browsers reach it over TLS only.
    #[must_use]
    pub fn is_secure(&self) -> bool {
        self.public.starts_with("https://")
    }

    /// The folder where uploads arrive.
    #[must_use]
    pub fn incoming(&self) -> PathBuf {
        self.settings.place.incoming()
    }

    /// Keeps others from an upload while a request works on it.
    ///
    /// # Errors
    /// Another one does.
    pub fn occupy(self: &Arc<Self>, upload: &str) -> Outcome<Occupied> {
        let mut busy = self.busy.lock().unwrap_or_else(PoisonError::into_inner);
        if !busy.insert(upload.to_owned()) {
            return Err(Fault::Conflict(
                "another request is sending this file just now".into(),
            ));
        }
        Ok(Occupied {
            app: Arc::clone(self),
            upload: upload.to_owned(),
        })
    }

    /// Takes in a whole file; when this returns it is committed, and cannot be lost any more.
    ///
    /// # Errors
    /// Too many have come within the hour, or the disk or the database fails.
    pub async fn receive(&self, whole: Whole, sent: Sent<'_>) -> Outcome<String> {
        self.room_for_one_more(sent.repeater).await?;
        let place = self.objects.take(whole.path(), &whole.sha256).await?;
        let arrived = Arrived {
            repeater: sent.repeater.into(),
            place: place.clone(),
            sha256: whole.sha256.clone(),
            bytes: i64::try_from(whole.bytes).unwrap_or(i64::MAX),
            file_name: sent.file_name,
            receipt: sent.receipt,
            told: sent.told,
        };
        // Should the commit's answer be lost, the object stays: the next sweep sees to it.
        let received = self.store.receive(&arrived, sent.upload).await?;
        if received.spare {
            self.remove(&place).await;
        }
        if let PathOf::Parts(path) = &whole.path {
            let _ = tokio::fs::remove_file(path).await;
        }
        self.counts.received.fetch_add(1, Ordering::Relaxed);
        (self.counts.received_bytes).fetch_add(whole.bytes, Ordering::Relaxed);
        self.bell.notify_one();
        Ok(received.id)
    }

    /// Whether a repeater may get one more within this hour.
    ///
    /// # Errors
    /// It may not, or the database fails.
    pub async fn room_for_one_more(&self, repeater: &str) -> Outcome<()> {
        let most = i64::from(self.settings.limits.recordings_an_hour);
        if self.store.received_within_the_hour(repeater).await? >= most {
            return Err(Fault::TooMany(600));
        }
        Ok(())
    }

    /// Removes the objects that were put down, until one will not go: what stopped that one would
    /// stop the next as well.
    ///
    /// # Errors
    /// The database fails.
    pub async fn remove_what_is_due(&self) -> Outcome<()> {
        for place in self.store.removals_due().await? {
            if !self.remove(&place).await {
                break;
            }
        }
        Ok(())
    }

    /// Removes one object that was put down; gives whether it is gone. One that is not is tried
    /// again by and by: it stays put down until then, whatever happens to this process.
    pub async fn remove(&self, place: &str) -> bool {
        let struck_off = match self.objects.remove(place).await {
            Ok(()) => self.store.removed(place).await,
            Err(fault) => {
                (self.log)(&format!("{place} is to be removed: {fault}"));
                return match self.store.not_removed(place).await {
                    Ok(()) => false,
                    Err(fault) => {
                        (self.log)(&format!("{place} is to be removed: {fault}"));
                        false
                    }
                };
            }
        };
        if let Err(fault) = struck_off {
            (self.log)(&format!("{place} is removed: {fault}"));
        }
        true
    }
}

/// What comes with a file.
pub struct Sent<'a> {
    /// Key of the repeater.
    pub repeater: &'a str,
    /// Name, already made harmless.
    pub file_name: String,
    /// The word that opens the receipt.
    pub receipt: String,
    /// What the sender says.
    pub told: Told,
    /// What is kept of the upload in parts.
    pub upload: Option<&'a str>,
}

/// While it lives, no other request works on the upload.
pub struct Occupied {
    app: Arc<App>,
    upload: String,
}

impl Drop for Occupied {
    fn drop(&mut self) {
        let mut busy = (self.app.busy.lock()).unwrap_or_else(PoisonError::into_inner);
        busy.remove(&self.upload);
    }
}
