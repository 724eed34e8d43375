//! The encryption beneath connections to other machines.

/// Chooses it for the whole process, before the first connection; a second time changes nothing.
pub fn ready() {
    // It fails only where one is chosen already.
    let _ = rustls::crypto::ring::default_provider().install_default();
}
