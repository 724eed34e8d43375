//! What is left to do when the user or the system asks the program to stop.

/// Numbers that shells know the signals by.
#[cfg(unix)]
const INTERRUPT: i32 = 2;
#[cfg(unix)]
const TERMINATE: i32 = 15;

/// Calls `last` on a thread of its own at the first Ctrl-C or SIGTERM, with the exit status that
/// shells expect. Without this the program ends at once, as it does where no thread can be made.
pub fn at_stop(last: impl FnOnce(i32) + Send + 'static) {
    let _ = std::thread::Builder::new()
        .name("stop".into())
        .spawn(move || {
            let built = tokio::runtime::Builder::new_current_thread()
                .enable_io()
                .build();
            let Ok(runtime) = built else { return };
            if let Some(status) = runtime.block_on(asked()) {
                last(status);
            }
        });
}

#[cfg(unix)]
async fn asked() -> Option<i32> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut interrupt = signal(SignalKind::interrupt()).ok()?;
    let mut terminate = signal(SignalKind::terminate()).ok()?;
    let number = tokio::select! {
        _ = interrupt.recv() => INTERRUPT,
        _ = terminate.recv() => TERMINATE,
    };
    Some(128 + number)
}

#[cfg(not(unix))]
async fn asked() -> Option<i32> {
    tokio::signal::ctrl_c().await.ok().map(|()| 1)
}
