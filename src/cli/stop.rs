//! What is left to do when the user or the system asks the program to stop.

/// Calls `last` on a thread of its own at the first Ctrl-C or SIGTERM, with the exit status that
/// shells expect. Whoever asks a second time does not want to wait for that: the program ends at
/// once. Where no thread can be made it does so at the first. What is asked after this has returned is
/// heard.
pub fn at_stop(last: impl FnOnce(i32) + Send + 'static) {
    let (listening, listens) = std::sync::mpsc::channel::<()>();
    let _ = named("stop").spawn(move || {
        let built = tokio::runtime::Builder::new_current_thread()
            .enable_io()
            .build();
        let Ok(runtime) = built else { return };
        let Some((asked, status)) = runtime.block_on(async {
            let mut asked = Asked::new()?;
            drop(listening);
            let status = asked.next().await?;
            Some((asked, status))
        }) else {
            return;
        };
        // On its own thread before `last` begins, which may wait for whatever is stuck.
        let _ = named("stop at once").spawn(move || {
            let mut asked = asked;
            if let Some(status) = runtime.block_on(asked.next()) {
                std::process::exit(status);
            }
        });
        last(status);
    });
    // Ends when the thread listens, and when there is none.
    let _ = listens.recv();
}

fn named(name: &str) -> std::thread::Builder {
    std::thread::Builder::new().name(name.into())
}

/// Hears of each time that the program is asked to stop.
#[cfg(unix)]
struct Asked {
    interrupt: tokio::signal::unix::Signal,
    terminate: tokio::signal::unix::Signal,
}

#[cfg(unix)]
impl Asked {
    /// Numbers that shells know the signals by.
    const INTERRUPT: i32 = 2;
    const TERMINATE: i32 = 15;

    fn new() -> Option<Self> {
        use tokio::signal::unix::{SignalKind, signal};
        Some(Self {
            interrupt: signal(SignalKind::interrupt()).ok()?,
            terminate: signal(SignalKind::terminate()).ok()?,
        })
    }

    async fn next(&mut self) -> Option<i32> {
        let number = tokio::select! {
            some = self.interrupt.recv() => some.map(|()| Self::INTERRUPT),
            some = self.terminate.recv() => some.map(|()| Self::TERMINATE),
        };
        number.map(|n| 128 + n)
    }
}

#[cfg(not(unix))]
struct Asked;

#[cfg(not(unix))]
impl Asked {
    fn new() -> Option<Self> {
        Some(Self)
    }

    async fn next(&mut self) -> Option<i32> {
        tokio::signal::ctrl_c().await.ok().map(|()| 1)
    }
}
