//! Damage to files, drawn by seed.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// What befell the bytes.
#[derive(Debug)]
pub enum Damage {
    /// The rest is missing.
    Truncated { at: usize },
    /// Bytes of chance.
    Flipped { places: Vec<usize> },
    /// A piece comes twice.
    Doubled { from: usize, to: usize },
    /// A piece is zeros.
    Zeroed { from: usize, to: usize },
    /// A piece is missing.
    Cut { from: usize, to: usize },
}

impl Damage {
    /// Draws one of five kinds by the seed.
    pub fn draw(seed: u64, length: usize) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let a = rng.random_range(0..length);
        let from = a.min(length - 2);
        let to = rng.random_range(from + 1..=length.min(from + 1 + length / 4));
        match seed % 5 {
            0 => Self::Truncated { at: a },
            1 => Self::Flipped {
                places: (0..1 + seed % 60)
                    .map(|_| rng.random_range(0..length))
                    .collect(),
            },
            2 => Self::Doubled { from, to },
            3 => Self::Zeroed { from, to },
            _ => Self::Cut { from, to },
        }
    }

    /// The damaged bytes.
    pub fn put_on(&self, whole: &[u8], seed: u64) -> Vec<u8> {
        let mut rng = ChaCha8Rng::seed_from_u64(seed ^ 0xD4);
        let mut bytes = whole.to_vec();
        match self {
            Self::Truncated { at } => bytes.truncate(*at),
            Self::Flipped { places } => {
                for at in places {
                    bytes[*at] ^= rng.random_range(1..=255u8);
                }
            }
            Self::Doubled { from, to } => {
                let piece = bytes[*from..*to].to_vec();
                bytes.splice(*to..*to, piece);
            }
            Self::Zeroed { from, to } => bytes[*from..*to].fill(0),
            Self::Cut { from, to } => drop(bytes.drain(*from..*to)),
        }
        bytes
    }
}
