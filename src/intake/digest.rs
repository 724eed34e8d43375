//! SHA-256 of the whole file, on a thread of its own beside the decoder.

use crate::error::{Error, Result};
use crate::tuning::intake::HASH_STEP_BYTES;
use sha2::{Digest as _, Sha256};
use std::fs::File;
use std::io::Read;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;

/// A digest that is known or being made.
pub(super) struct Digest {
    state: Option<State>,
    stop: Arc<AtomicBool>,
}

enum State {
    Known(String),
    Running(JoinHandle<std::io::Result<String>>),
}

/// Bytes hashed as they pass by.
#[derive(Default)]
pub(super) struct Running(Sha256);

impl Running {
    /// Takes the next bytes.
    pub fn add(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    /// Lower-case hexadecimal digits.
    pub fn hex(self) -> String {
        self.0
            .finalize()
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect()
    }
}

impl Digest {
    /// Starts hashing `file` from where it stands.
    pub fn of_file(mut file: File) -> Self {
        let stop = Arc::new(AtomicBool::new(false));
        let told = Arc::clone(&stop);
        let worker = std::thread::spawn(move || {
            let mut hash = Running::default();
            let mut step = vec![0; HASH_STEP_BYTES];
            while !told.load(Ordering::Relaxed) {
                match file.read(&mut step) {
                    Ok(0) => break,
                    Ok(got) => hash.add(&step[..got]),
                    Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
                    Err(error) => return Err(error),
                }
            }
            Ok(hash.hex())
        });
        Self {
            state: Some(State::Running(worker)),
            stop,
        }
    }

    /// A digest whose bytes have all passed by already.
    pub fn known(hash: Running) -> Self {
        Self {
            state: Some(State::Known(hash.hex())),
            stop: Arc::default(),
        }
    }

    /// Waits for the digest.
    ///
    /// # Errors
    /// The file could not be read to its end.
    pub fn join(mut self, file: &str) -> Result<String> {
        let stopped = || Err(std::io::Error::other("hashing stopped"));
        match self.state.take() {
            Some(State::Known(hex)) => Ok(hex),
            Some(State::Running(worker)) => worker.join().unwrap_or_else(|_| stopped()),
            None => stopped(),
        }
        .map_err(|source| Error::io(file, source))
    }
}

impl Drop for Digest {
    /// A recording that is given up must not leave a thread reading its file.
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_digest_of_three_letters() {
        // FIPS 180-4 example, "abc" (from memory).
        let mut hash = Running::default();
        hash.add(b"a");
        hash.add(b"bc");
        assert_eq!(
            hash.hex(),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
