//! Forms of bare samples.

use clap::ValueEnum;

/// Form of one sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Unsigned, 8 bits
    U8,
    /// Signed, 16 bits, low byte first
    S16le,
    /// Signed, 16 bits, high byte first
    S16be,
    /// Signed, 24 bits, low byte first
    S24le,
    /// Signed, 32 bits, low byte first
    S32le,
    /// Floating point, 32 bits, low byte first
    F32le,
}

impl Format {
    /// Length of one.
    pub const fn bytes(self) -> usize {
        match self {
            Self::U8 => 1,
            Self::S16le | Self::S16be => 2,
            Self::S24le => 3,
            Self::S32le | Self::F32le => 4,
        }
    }

    /// Its value, 1 being full scale.
    pub fn sample(self, b: &[u8]) -> f32 {
        match (self, b) {
            (Self::U8, [a]) => (f32::from(*a) - 128.0) / 128.0,
            (Self::S16le, [a, b]) => f32::from(i16::from_le_bytes([*a, *b])) / 32_768.0,
            (Self::S16be, [a, b]) => f32::from(i16::from_be_bytes([*a, *b])) / 32_768.0,
            (Self::S24le, [a, b, c]) => {
                (i32::from_le_bytes([0, *a, *b, *c]) as f64 / 2_147_483_648.0) as f32
            }
            (Self::S32le, [a, b, c, d]) => {
                (f64::from(i32::from_le_bytes([*a, *b, *c, *d])) / 2_147_483_648.0) as f32
            }
            (Self::F32le, [a, b, c, d]) => {
                let value = f32::from_le_bytes([*a, *b, *c, *d]);
                if value.is_finite() {
                    value.clamp(-8.0, 8.0)
                } else {
                    0.0
                }
            }
            _ => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn samples_of_every_form_mean_the_same() {
        let half = [
            (Format::U8, vec![192]),
            (Format::S16le, vec![0, 64]),
            (Format::S16be, vec![64, 0]),
            (Format::S24le, vec![0, 0, 64]),
            (Format::S32le, vec![0, 0, 0, 64]),
            (Format::F32le, 0.5f32.to_le_bytes().to_vec()),
        ];
        for (format, bytes) in half {
            assert_eq!(format.sample(&bytes), 0.5, "{format:?}");
        }
        assert_eq!(Format::F32le.sample(&f32::NAN.to_le_bytes()), 0.0);
    }
}
