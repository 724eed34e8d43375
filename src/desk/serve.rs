//! The desk from its start to its end.

use super::analysis::worker::Worker;
use super::app::App;
use super::durable;
use super::fault::{Fault, Outcome};
use super::http;
use super::moment::{HOUR, now};
use super::objects::Objects;
use super::settings::{Bounds, Place, Settings};
use super::store::Store;
use crate::error::{Error, Result};
use std::collections::BTreeSet;
use std::future::Future;
use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::watch;

/// So often what nobody needs is cleared away.
const SWEEP_EVERY: Duration = Duration::from_secs(3600);
/// So often it is looked whether a removal is due.
const REMOVE_EVERY: Duration = Duration::from_secs(5);
/// Objects that no row names are left alone for so long: their commit may be under way.
const ORPHAN_AGE: i64 = HOUR;
/// Requests under way when the desk is asked to stop get so long.
const FAREWELL: Duration = Duration::from_secs(10);

/// So often a folder that is in use is tried once more, and after so long.
const LOCK_TRIES: u32 = 20;
const LOCK_REST: Duration = Duration::from_millis(100);

/// What has to be said to whoever starts the desk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum News {
    /// It listens here.
    Listening(String),
    /// Nobody has an account yet; the first keeper opens this link.
    FirstLink(String),
    /// Others can reach it, and nothing hides what they send.
    Unprotected,
}

/// A folder that no other desk or worker of this machine uses.
struct Claim {
    name: String,
    _lock: std::fs::File,
}

/// Runs the desk until `stop` is ready.
///
/// # Errors
/// The folder is in use, the database or the originals cannot be opened, or nobody may listen
/// there.
pub async fn desk(
    settings: Settings,
    said: impl Fn(News),
    log: fn(&str),
    stop: impl Future<Output = ()>,
) -> Result<()> {
    let claim = claim(&settings.place)?;
    let store = Store::open(&settings.place.database).await?;
    let objects = Objects::open(&settings.place.originals)?;
    let listener = (tokio::net::TcpListener::bind(settings.listen).await).map_err(|fault| {
        Error::BadSetting {
            place: format!("--listen {}", settings.listen),
            what: format!("nobody can listen there ({fault})"),
            remedy: "another desk may be running already; stop it, or give another port, such as \
                     --listen 127.0.0.1:8475"
                .into(),
        }
    })?;
    let at = (listener.local_addr()).map_err(|fault| Error::io("--listen", fault))?;
    let public = settings.public.clone().unwrap_or(format!("http://{at}"));
    let path = settings.place.address();
    std::fs::write(&path, &public).map_err(|fault| Error::io(path.display().to_string(), fault))?;
    if !at.ip().is_loopback() && !public.starts_with("https://") {
        said(News::Unprotected);
    }
    let app = Arc::new(App::new(settings, public, store, objects, log));
    begin(&app, &claim.name).await.map_err(at_start)?;
    if let Some(token) = app.store.first_opening().await.map_err(at_start)? {
        said(News::FirstLink(format!("{}/setup/{token}", app.public)));
    }
    let (stopping, stopped) = watch::channel(false);
    let worker = tokio::spawn(worker(&app, claim.name.clone()).run(stopped.clone()));
    let sweeper = tokio::spawn(sweep_for_ever(Arc::clone(&app)));
    let remover = tokio::spawn(remove_for_ever(Arc::clone(&app)));
    said(News::Listening(format!("http://{at}")));
    let service =
        http::router(Arc::clone(&app)).into_make_service_with_connect_info::<SocketAddr>();
    let mut asked = stopped.clone();
    let serving = axum::serve(listener, service).with_graceful_shutdown(async move {
        let _ = asked.changed().await;
    });
    let mut serving = std::pin::pin!(serving.into_future());
    let ended = tokio::select! {
        ended = &mut serving => ended,
        () = stop => {
            let _ = stopping.send(true);
            // Whoever has not finished by then was not confirmed, and can go on later.
            tokio::time::timeout(FAREWELL, serving).await.unwrap_or(Ok(()))
        }
    };
    sweeper.abort();
    remover.abort();
    let _ = stopping.send(true);
    let _ = worker.await;
    app.store.close().await;
    ended.map_err(|fault| Error::io("network", fault))
}

/// Runs analyses only, for a desk elsewhere, until `stop` is ready.
///
/// # Errors
/// The folder is in use, or the database or the originals cannot be opened.
pub async fn work_only(
    place: &Place,
    bounds: Bounds,
    log: fn(&str),
    stop: impl Future<Output = ()>,
) -> Result<()> {
    let claim = claim(place)?;
    let store = Store::open(&place.database).await?;
    let worker = Worker {
        objects: Objects::open(&place.originals)?,
        store: store.clone(),
        bounds,
        incoming: place.incoming(),
        name: claim.name.clone(),
        bell: Arc::default(),
        log,
    };
    store.give_back_all(&claim.name).await.map_err(at_start)?;
    let (stopping, stopped) = watch::channel(false);
    let working = tokio::spawn(worker.run(stopped));
    stop.await;
    let _ = stopping.send(true);
    let _ = working.await;
    store.close().await;
    Ok(())
}

fn worker(app: &Arc<App>, name: String) -> Worker {
    Worker {
        store: app.store.clone(),
        objects: app.objects.clone(),
        bounds: app.settings.bounds,
        incoming: app.incoming(),
        name,
        bell: Arc::clone(&app.bell),
        log: app.log,
    }
}

/// After a crash: what this desk had leased waits again, what it had half received goes.
async fn begin(app: &App, name: &str) -> Outcome<()> {
    app.store.give_back_all(name).await?;
    // The folder is ours alone, so no request works on these any more.
    for entry in std::fs::read_dir(app.incoming())? {
        let entry = entry?;
        let file = entry.file_name();
        if !file.to_string_lossy().starts_with(http::PARTS_PREFIX) {
            std::fs::remove_file(entry.path())?;
        }
    }
    match sweep(app).await {
        // Whoever reads verdicts needs no store; what lies in it is cleared away later.
        Err(fault) if fault.is_store_away() => {
            (app.log)(&format!("clearing away: {fault}"));
            Ok(())
        }
        swept => swept,
    }
}

async fn remove_for_ever(app: Arc<App>) {
    loop {
        tokio::time::sleep(REMOVE_EVERY).await;
        if let Err(fault) = app.remove_what_is_due().await {
            (app.log)(&format!("removing: {fault}"));
        }
    }
}

async fn sweep_for_ever(app: Arc<App>) {
    loop {
        tokio::time::sleep(SWEEP_EVERY).await;
        if let Err(fault) = sweep(&app).await {
            (app.log)(&format!("clearing away: {fault}"));
        }
    }
}

/// Clears away what nobody needs: uploads that were never finished, originals that were deleted
/// or whose commit never came.
async fn sweep(app: &App) -> Outcome<()> {
    let open: BTreeSet<String> = app.store.forget_uploads().await?.into_iter().collect();
    for entry in std::fs::read_dir(app.incoming())? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let part = name.strip_prefix(http::PARTS_PREFIX);
        if part.is_some_and(|part| !open.contains(part)) {
            std::fs::remove_file(entry.path())?;
        }
    }
    app.remove_what_is_due().await?;
    for (place, written) in app.objects.all().await? {
        if written < now() - ORPHAN_AGE && !app.store.is_needed(&place).await? {
            app.objects.remove(&place).await?;
        }
    }
    Ok(())
}

/// Makes the folder and keeps other desks of this machine out of it.
fn claim(place: &Place) -> Result<Claim> {
    let io = |path: &Path| {
        let name = path.display().to_string();
        move |fault| Error::io(name, fault)
    };
    let incoming = place.incoming();
    std::fs::create_dir_all(&incoming).map_err(io(&incoming))?;
    for folder in [&place.folder, &incoming] {
        keep_others_out(folder).map_err(io(folder))?;
    }
    durable::sync_name_of(&place.folder).map_err(io(&place.folder))?;
    let path = place.folder.join("desk.lock");
    let lock = std::fs::File::create(&path).map_err(io(&path))?;
    hold(&lock).map_err(|_| Error::BadSetting {
        place: format!("--folder {}", place.folder.display()),
        what: "another desk or worker is using this folder".into(),
        remedy: "stop it first, or give this one a folder of its own".into(),
    })?;
    let path = place.folder.join("name");
    let name = match std::fs::read_to_string(&path) {
        Ok(name) if !name.trim().is_empty() => name.trim().to_owned(),
        _ => {
            let name = super::secrets::word();
            std::fs::write(&path, &name).map_err(io(&path))?;
            name
        }
    };
    Ok(Claim { name, _lock: lock })
}

/// Takes the lock. A desk that was killed in the moment of starting an analysis leaves a child that
/// holds it until it has become another program, so one refusal is not believed.
fn hold(lock: &std::fs::File) -> std::result::Result<(), std::fs::TryLockError> {
    let mut tries = LOCK_TRIES;
    loop {
        tries -= 1;
        match lock.try_lock() {
            Err(_) if tries > 0 => std::thread::sleep(LOCK_REST),
            ended => return ended,
        }
    }
}

/// Members' voices are nobody else's business on this machine.
#[cfg(unix)]
fn keep_others_out(folder: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    std::fs::set_permissions(folder, std::fs::Permissions::from_mode(0o700))
}

#[cfg(not(unix))]
fn keep_others_out(_folder: &Path) -> std::io::Result<()> {
    Ok(())
}

fn at_start(fault: Fault) -> Error {
    match fault {
        Fault::Library(fault) => fault,
        other => Error::io("the desk's start", std::io::Error::other(other)),
    }
}
