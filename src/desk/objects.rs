//! The originals: in a folder, or in an S3-compatible store. Each is written under a name that
//! was never used before, so that writing and removing cannot hit each other.

use super::durable;
use super::fault::{Fault, Outcome};
use super::secrets;
use super::settings::Originals;
use crate::error::{Error, Result};
use futures_util::StreamExt;
use futures_util::stream::BoxStream;
use object_store::aws::AmazonS3Builder;
use object_store::local::LocalFileSystem;
use object_store::path::Path as Place;
use object_store::{ObjectStore, ObjectStoreExt, PutPayload, RetryConfig, WriteMultipart};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;
use tokio::io::AsyncReadExt;

/// Bytes of a part that goes to a store on another machine: the least that such stores take.
const PART_BYTES: usize = 5 * 1024 * 1024;
/// After so long the store is not asked once more.
const STORE_PATIENCE: Duration = Duration::from_secs(10);
/// Letters that tell two storings of one content apart.
const MARK_LETTERS: usize = 8;

/// The store of originals.
#[derive(Clone)]
pub struct Objects {
    store: Arc<dyn ObjectStore>,
    prefix: String,
    folder: Option<PathBuf>,
}

impl Objects {
    /// Opens it.
    ///
    /// # Errors
    /// The folder cannot be made, or the address or the environment's settings make no sense.
    pub fn open(originals: &Originals) -> Result<Self> {
        match originals {
            Originals::Folder(folder) => {
                let name = folder.display().to_string();
                std::fs::create_dir_all(folder).map_err(|fault| Error::io(&name, fault))?;
                let folder = folder.canonicalize().map_err(|f| Error::io(&name, f))?;
                durable::sync_name_of(&folder).map_err(|fault| Error::io(&name, fault))?;
                let store = LocalFileSystem::new_with_prefix(&folder)
                    .map_err(|fault| Error::io(name, std::io::Error::other(fault)))?;
                Ok(Self {
                    store: Arc::new(store),
                    prefix: String::new(),
                    folder: Some(folder),
                })
            }
            Originals::Bucket(url) => bucket(url),
        }
    }

    /// Takes a finished file of this machine in, which is left where it is: until the database
    /// has committed it may be needed once more. When this returns, the object is on the disk or
    /// with the store.
    ///
    /// # Errors
    /// The store or the system fails.
    pub async fn take(&self, file: &Path, sha256: &str) -> Outcome<String> {
        let mark: String = secrets::word().chars().take(MARK_LETTERS).collect();
        let place = format!("{}/{sha256}-{mark}", sha256.get(..2).unwrap_or("xx"));
        match &self.folder {
            Some(folder) => link_durably(file, &folder.join(&place)).await?,
            None => self.send(file, &place).await?,
        }
        Ok(place)
    }

    async fn send(&self, file: &Path, place: &str) -> Outcome<()> {
        let mut source = tokio::fs::File::open(file).await?;
        let length = source.metadata().await?.len();
        let at = self.at(place)?;
        if length <= PART_BYTES as u64 {
            let mut bytes = Vec::new();
            source.read_to_end(&mut bytes).await?;
            self.store.put(&at, PutPayload::from(bytes)).await?;
            return Ok(());
        }
        let upload = self.store.put_multipart(&at).await?;
        let mut writer = WriteMultipart::new_with_chunk_size(upload, PART_BYTES);
        let mut part = vec![0; PART_BYTES];
        loop {
            let got = source.read(&mut part).await?;
            if got == 0 {
                break;
            }
            // No more than two parts are under way, whatever the file's length.
            writer.wait_for_capacity(1).await?;
            writer.write(part.get(..got).unwrap_or_default());
        }
        writer.finish().await?;
        Ok(())
    }

    /// A part of an original as a stream.
    ///
    /// # Errors
    /// The store fails, or it is not there.
    pub async fn read(
        &self,
        place: &str,
        range: std::ops::Range<u64>,
    ) -> Outcome<BoxStream<'static, object_store::Result<axum::body::Bytes>>> {
        let options = object_store::GetOptions {
            range: Some(object_store::GetRange::Bounded(range)),
            ..object_store::GetOptions::default()
        };
        let got = self.store.get_opts(&self.at(place)?, options).await?;
        Ok(got.into_stream())
    }

    /// An original as a file of this machine: itself, or a copy among `incoming` that goes when
    /// the handle does.
    ///
    /// # Errors
    /// The store or the system fails.
    pub async fn as_file(&self, place: &str, incoming: &Path) -> Outcome<Borrowed> {
        if let Some(folder) = &self.folder {
            return Ok(Borrowed::Own(folder.join(place)));
        }
        let copy = tempfile::Builder::new()
            .prefix("copy-")
            .tempfile_in(incoming)?;
        let mut out = tokio::fs::File::from_std(copy.reopen()?);
        let mut stream = self.store.get(&self.at(place)?).await?.into_stream();
        while let Some(bytes) = stream.next().await {
            tokio::io::AsyncWriteExt::write_all(&mut out, &bytes?).await?;
        }
        tokio::io::AsyncWriteExt::flush(&mut out).await?;
        Ok(Borrowed::Copy(copy))
    }

    /// Removes an object; one that is gone already is no fault.
    ///
    /// # Errors
    /// The store fails.
    pub async fn remove(&self, place: &str) -> Outcome<()> {
        match self.store.delete(&self.at(place)?).await {
            Ok(()) | Err(object_store::Error::NotFound { .. }) => Ok(()),
            Err(fault) => Err(fault.into()),
        }
    }

    /// All objects with the moment they were written (microseconds).
    ///
    /// # Errors
    /// The store fails.
    pub async fn all(&self) -> Outcome<Vec<(String, i64)>> {
        let prefix = (!self.prefix.is_empty()).then(|| Place::from(self.prefix.as_str()));
        let mut list = self.store.list(prefix.as_ref());
        let mut found = Vec::new();
        while let Some(entry) = list.next().await {
            let entry = entry?;
            let whole = entry.location.to_string();
            let place = whole
                .strip_prefix(self.prefix.as_str())
                .unwrap_or(&whole)
                .trim_start_matches('/');
            found.push((place.to_owned(), entry.last_modified.timestamp_micros()));
        }
        Ok(found)
    }

    fn at(&self, place: &str) -> Outcome<Place> {
        let whole = if self.prefix.is_empty() {
            place.to_owned()
        } else {
            format!("{}/{place}", self.prefix)
        };
        Place::parse(&whole).map_err(|fault| Fault::Broken(fault.to_string()))
    }
}

/// An original as a file.
pub enum Borrowed {
    /// The original itself.
    Own(PathBuf),
    /// A copy.
    Copy(tempfile::NamedTempFile),
}

impl Borrowed {
    /// Where it is.
    #[must_use]
    pub fn path(&self) -> &Path {
        match self {
            Self::Own(path) => path,
            Self::Copy(file) => file.path(),
        }
    }
}

/// Keys come from the environment, as the store's own tools read them.
fn bucket(url: &str) -> Result<Objects> {
    let bad = |what: String| Error::BadSetting {
        place: "--objects".into(),
        what,
        remedy: "give s3://BUCKET/PREFIX, and AWS_ACCESS_KEY_ID, AWS_SECRET_ACCESS_KEY, \
                 AWS_REGION and, for a store of your own, AWS_ENDPOINT and AWS_ALLOW_HTTP=true \
                 in the environment"
            .into(),
    };
    let rest = url.strip_prefix("s3://").unwrap_or_default();
    let (bucket, prefix) = rest.split_once('/').unwrap_or((rest, ""));
    if bucket.is_empty() {
        return Err(bad(format!("{url} names no bucket")));
    }
    // Already chosen is as good.
    let _ = rustls::crypto::ring::default_provider().install_default();
    let store = AmazonS3Builder::from_env()
        .with_bucket_name(bucket)
        .with_retry(patience())
        .build()
        .map_err(|fault| bad(fault.to_string()))?;
    Ok(Objects {
        store: Arc::new(store),
        prefix: prefix.trim_matches('/').to_owned(),
        folder: None,
    })
}

/// Somebody waits for the answer: a store that is away must be said to be so within seconds.
fn patience() -> RetryConfig {
    RetryConfig {
        max_retries: 3,
        retry_timeout: STORE_PATIENCE,
        ..RetryConfig::default()
    }
}

/// Gives a file whose bytes are on the disk already a second name, and makes sure that this is
/// there too.
async fn link_durably(from: &Path, to: &Path) -> Outcome<()> {
    let (from, to) = (from.to_owned(), to.to_owned());
    let linked = tokio::task::spawn_blocking(move || -> std::io::Result<()> {
        let folder = to.parent().unwrap_or(Path::new("."));
        std::fs::create_dir_all(folder)?;
        // Another disk, or one without links.
        if std::fs::hard_link(&from, &to).is_err() {
            std::fs::copy(&from, &to)?;
            std::fs::File::open(&to)?.sync_all()?;
        }
        durable::sync_names(folder)?;
        // Also where the folder is there already: whoever made it may not have come to this yet.
        durable::sync_name_of(folder)
    });
    linked
        .await
        .map_err(|fault| Fault::Broken(fault.to_string()))??;
    Ok(())
}
