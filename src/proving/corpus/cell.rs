//! The name of one recording of the corpus.

use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fmt;

/// A scene heard over a chain, and which one of its drawings; written `scene@chain:index`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Cell {
    /// Scene: what happens on the air.
    pub scene: String,
    /// Chain: listener's set, recorder and file.
    pub chain: String,
    /// Number of the drawing, from 0.
    pub index: u32,
}

impl Cell {
    /// Reads `scene@chain:index`.
    ///
    /// # Errors
    /// [`Error::BadSetting`] when it is not so written.
    pub fn parse(text: &str) -> Result<Self> {
        let parts = text
            .split_once('@')
            .and_then(|(scene, rest)| Some((scene, rest.rsplit_once(':')?)))
            .and_then(|(scene, (chain, index))| Some((scene, chain, index.parse().ok()?)));
        match parts {
            Some((scene, chain, index)) if !scene.is_empty() && !chain.is_empty() => Ok(Self {
                scene: scene.into(),
                chain: chain.into(),
                index,
            }),
            _ => Err(Error::BadSetting {
                place: text.into(),
                what: "is no recording of the corpus".into(),
                remedy: "write SCENE@CHAIN:NUMBER, as in cycling-steady@line-scanner:0".into(),
            }),
        }
    }

    /// The family for splits: `scene@chain`.
    #[must_use]
    pub fn family(&self) -> String {
        format!("{}@{}", self.scene, self.chain)
    }

    /// Whether the cell's family, if it is of the fit part, is spared by the fitting of the network:
    /// three in ten, by the first byte of the SHA-256 of its name, as in
    /// `tests/training/network.py`.
    #[must_use]
    pub fn spared(&self) -> bool {
        Sha256::digest(self.family())[0] % 10 < 3
    }

    /// Seed of the rendering: 48 bits of FNV-1a over the name, so that no two cells draw alike
    /// and every JSON reader keeps all digits.
    #[must_use]
    pub fn seed(&self) -> u64 {
        let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
        for byte in self.to_string().bytes() {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
        hash >> 16
    }
}

impl fmt::Display for Cell {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}@{}:{}", self.scene, self.chain, self.index)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_read_back() {
        let cell = Cell::parse("cycling-steady@line-scanner:12").unwrap();
        assert_eq!((cell.scene.as_str(), cell.index), ("cycling-steady", 12));
        assert_eq!(cell.to_string(), "cycling-steady@line-scanner:12");
        for text in ["", "a", "a@b", "a:1", "@b:1", "a@:1", "a@b:x", "a@b:-1"] {
            assert!(Cell::parse(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_family_is_spared_whole() {
        let spared = |text: &str| Cell::parse(text).unwrap().spared();
        // First bytes of the digests by Python's hashlib: 0x1c, 0x82, 0x4d.
        assert!(!spared("cycling-steady@line-scanner:0"));
        assert!(spared("fading-walk@phone-near:0"));
        assert!(spared("fading-walk@phone-near:1"));
        assert!(!spared("talk-two@codec-memo:0"));
    }

    #[test]
    fn seeds_differ_and_fit_a_double() {
        let seed = |text: &str| Cell::parse(text).unwrap().seed();
        assert_ne!(seed("a@b:0"), seed("a@b:1"));
        assert_ne!(seed("a@b:0"), seed("b@a:0"));
        assert!(seed("a@b:0") < 1 << 53);
    }
}
