//! Object stores of the S3 kind: `s3://bucket/prefix`. Address and keys come from the environment,
//! by the names that such tools share (`AWS_ENDPOINT_URL`, `AWS_ACCESS_KEY_ID`, ...).

use crate::cli::tls;
use crate::error::{Error, Result};
use crate::intake::Far;
use futures_util::StreamExt;
use object_store::path::Path as ObjectPath;
use object_store::{ObjectStore, ObjectStoreExt};
use std::collections::BTreeMap;
use std::io::Write;
use std::sync::{Arc, Mutex, PoisonError};
use tokio::runtime::{Handle, Runtime};

/// The stores that were named, each opened once.
#[derive(Default)]
pub struct Stores {
    runtime: Option<Runtime>,
    open: BTreeMap<String, Arc<dyn ObjectStore>>,
}

/// One object.
pub struct Object {
    /// `s3://bucket/path`.
    pub address: String,
    /// `s3://bucket`.
    pub root: String,
    /// Path in the bucket.
    pub path: ObjectPath,
    /// Length.
    pub bytes: u64,
    /// Changes when the object does.
    pub version: String,
}

impl Stores {
    /// All objects at and below an address.
    ///
    /// # Errors
    /// The address makes no sense, or the store cannot be read.
    pub fn below(&mut self, address: &str) -> Result<Vec<Object>> {
        let Some((bucket, prefix)) = address.strip_prefix("s3://").map(|rest| {
            let (bucket, prefix) = rest.split_once('/').unwrap_or((rest, ""));
            (bucket.to_owned(), prefix.trim_end_matches('/').to_owned())
        }) else {
            return Err(Error::BadSetting {
                place: address.into(),
                what: "only addresses of the form s3://bucket/prefix are known".into(),
                remedy: "name a folder, a file, or such an address".into(),
            });
        };
        let root = format!("s3://{bucket}");
        let store = self.store(&root, &bucket)?;
        let failed = |fault| unreachable_store(address, fault);
        let prefix = ObjectPath::from(prefix);
        let listing = async {
            let mut objects = Vec::new();
            // What was named may be one object itself; a listing shows only what lies below.
            if !prefix.as_ref().is_empty()
                && let Ok(facts) = store.head(&prefix).await
            {
                objects.push(facts);
                return Ok(objects);
            }
            let mut stream = store.list(Some(&prefix));
            while let Some(facts) = stream.next().await {
                objects.push(facts.map_err(failed)?);
            }
            Ok(objects)
        };
        let objects = self.block_on(listing)??;
        let objects = objects.into_iter().map(|facts| Object {
            address: format!("{root}/{}", facts.location),
            root: root.clone(),
            bytes: facts.size,
            version: facts
                .e_tag
                .unwrap_or_else(|| facts.last_modified.to_rfc3339()),
            path: facts.location,
        });
        Ok(objects.collect())
    }

    fn store(&mut self, root: &str, bucket: &str) -> Result<Arc<dyn ObjectStore>> {
        if let Some(store) = self.open.get(root) {
            return Ok(Arc::clone(store));
        }
        tls::ready();
        let mut builder = object_store::aws::AmazonS3Builder::from_env().with_bucket_name(bucket);
        let plain = ["AWS_ENDPOINT_URL", "AWS_ENDPOINT"]
            .iter()
            .any(|name| std::env::var(name).is_ok_and(|url| url.starts_with("http://")));
        if plain {
            builder = builder.with_allow_http(true);
        }
        let store = builder.build().map_err(|f| unreachable_store(root, f))?;
        let store: Arc<dyn ObjectStore> = Arc::new(store);
        self.open.insert(root.to_owned(), Arc::clone(&store));
        Ok(store)
    }

    fn block_on<F: Future>(&mut self, work: F) -> Result<F::Output> {
        if self.runtime.is_none() {
            let built = tokio::runtime::Builder::new_multi_thread()
                .worker_threads(1)
                .enable_all()
                .build();
            self.runtime = Some(built.map_err(|f| Error::io("object store", f))?);
        }
        match &self.runtime {
            Some(runtime) => Ok(runtime.block_on(work)),
            None => Err(Error::io(
                "object store",
                std::io::Error::other("no runtime"),
            )),
        }
    }

    /// An object that is read piece by piece.
    ///
    /// # Errors
    /// Its store was not opened.
    pub fn far(&self, root: &str, path: &ObjectPath, bytes: u64) -> Result<FarObject> {
        let (store, runtime) = self.opened(root)?;
        Ok(FarObject {
            store: Arc::clone(store),
            runtime: runtime.handle().clone(),
            path: path.clone(),
            bytes,
            last: Mutex::default(),
        })
    }

    fn opened(&self, root: &str) -> Result<(&Arc<dyn ObjectStore>, &Runtime)> {
        let both = self.open.get(root).zip(self.runtime.as_ref());
        both.ok_or_else(|| Error::io(root, std::io::Error::other("this store was not opened")))
    }

    /// Writes an object into `out`.
    ///
    /// # Errors
    /// The store or `out` fails.
    pub fn fetch(
        &self,
        root: &str,
        path: &ObjectPath,
        address: &str,
        out: &mut dyn Write,
    ) -> Result<()> {
        let (store, runtime) = self.opened(root)?;
        runtime.block_on(async {
            let failed = |fault| unreachable_store(address, fault);
            let got = store.get(path).await.map_err(failed)?;
            let mut pieces = got.into_stream();
            while let Some(piece) = pieces.next().await {
                let piece = piece.map_err(failed)?;
                out.write_all(&piece)
                    .map_err(|fault| Error::io(address, fault))?;
            }
            Ok(())
        })
    }
}

/// Bytes fetched at a time where only a header is wanted.
const PIECE: u64 = 1 << 16;

/// An object that is read piece by piece.
pub struct FarObject {
    store: Arc<dyn ObjectStore>,
    runtime: Handle,
    path: ObjectPath,
    bytes: u64,
    /// The piece that was fetched last, and where it lies: headers are read in small steps.
    last: Mutex<(u64, Vec<u8>)>,
}

impl Far for FarObject {
    fn bytes(&self) -> u64 {
        self.bytes
    }

    fn read_at(&self, at: u64, into: &mut [u8]) -> std::io::Result<usize> {
        if at >= self.bytes {
            return Ok(0);
        }
        let mut last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        let from = at / PIECE * PIECE;
        if last.0 != from || last.1.is_empty() {
            let range = from..(from + PIECE).min(self.bytes);
            let got = self
                .runtime
                .block_on(self.store.get_range(&self.path, range));
            *last = (from, got.map_err(std::io::Error::other)?.to_vec());
        }
        let piece = last.1.get((at - from) as usize..).unwrap_or_default();
        let some = piece.len().min(into.len());
        into[..some].copy_from_slice(&piece[..some]);
        Ok(some)
    }
}

/// The last cause says what happened; what wraps it repeats the address.
fn unreachable_store(address: &str, fault: object_store::Error) -> Error {
    let mut root: &dyn std::error::Error = &fault;
    while let Some(deeper) = root.source() {
        root = deeper;
    }
    let why: String = (root.to_string().chars())
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    let kind = match fault {
        object_store::Error::NotFound { .. } => std::io::ErrorKind::NotFound,
        object_store::Error::PermissionDenied { .. }
        | object_store::Error::Unauthenticated { .. } => std::io::ErrorKind::PermissionDenied,
        _ => std::io::ErrorKind::Other,
    };
    Error::io(address, std::io::Error::new(kind, why))
}
