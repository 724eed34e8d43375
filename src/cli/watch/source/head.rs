//! The head of a WAV stream whose length nobody knows yet.

use super::format::Format;

/// Longest head before the samples: what recorders put there is below this.
pub const LONGEST_HEAD: usize = 1 << 20;

/// What the first bytes tell.
#[derive(Debug, PartialEq)]
pub enum Head {
    /// Too few of them yet.
    More,
    /// What is wrong.
    Bad(String),
    /// Samples follow.
    Samples(Samples),
}

/// What the head says of the samples.
#[derive(Debug, PartialEq)]
pub struct Samples {
    pub rate_hz: u32,
    pub format: Format,
    pub channels: u16,
    /// Where they begin in the stream, bytes.
    pub from: usize,
    /// A finished file has more chunks behind its samples: bytes of sound before them, and how many
    /// bytes they are.
    pub trailer: Option<(u64, usize)>,
}

/// What the lengths of the whole and of the samples leave for further chunks. Whoever writes a stream
/// knows neither length and puts something that leaves none, or no believable number.
fn trailer(whole: u32, samples: u32, from: usize) -> Option<(u64, usize)> {
    if samples == 0 {
        return None;
    }
    let behind = (u64::from(whole) + 8).checked_sub(from as u64 + u64::from(samples))?;
    let behind = usize::try_from(behind).ok()?;
    (1..=LONGEST_HEAD)
        .contains(&behind)
        .then_some((samples.into(), behind))
}

/// The head of a WAV stream. That the samples end where it says is not believed: whoever writes a
/// stream does not know.
pub fn wav_head(bytes: &[u8]) -> Head {
    let word = |at: usize| -> Option<u32> {
        let four = bytes.get(at..at + 4)?;
        Some(u32::from_le_bytes([four[0], four[1], four[2], four[3]]))
    };
    let Some(start) = bytes.get(..12) else {
        return Head::More;
    };
    if !matches!(&start[..4], b"RIFF" | b"RF64") || &start[8..] != b"WAVE" {
        return Head::Bad("this is no WAV stream".into());
    }
    let mut at = 12;
    let mut form = None;
    loop {
        let (Some(name), Some(length)) = (bytes.get(at..at + 4), word(at + 4)) else {
            return Head::More;
        };
        let body = at + 8;
        match name {
            b"data" => {
                return match form {
                    Some((rate_hz, format, channels)) => Head::Samples(Samples {
                        rate_hz,
                        format,
                        channels,
                        from: body,
                        trailer: trailer(word(4).unwrap_or(0), length, body),
                    }),
                    None => Head::Bad("its samples come before their form is told".into()),
                };
            }
            b"fmt " => {
                let Some(fmt) = bytes.get(body..body + 16) else {
                    return Head::More;
                };
                let half = |n: usize| u16::from_le_bytes([fmt[n], fmt[n + 1]]);
                let mut kind = half(0);
                if kind == 0xFFFE {
                    let Some(sub) = bytes.get(body + 24..body + 26) else {
                        return Head::More;
                    };
                    kind = u16::from_le_bytes([sub[0], sub[1]]);
                }
                let format = match (kind, half(14)) {
                    (1, 8) => Format::U8,
                    (1, 16) => Format::S16le,
                    (1, 24) => Format::S24le,
                    (1, 32) => Format::S32le,
                    (3, 32) => Format::F32le,
                    (kind, bits) => {
                        return Head::Bad(format!("samples of kind {kind} with {bits} bits"));
                    }
                };
                let channels = half(2);
                if channels == 0 || channels > 8 {
                    return Head::Bad(format!("it claims {channels} channels"));
                }
                form = Some((word(body + 4).unwrap_or(0), format, channels));
            }
            _ => {}
        }
        at = body.saturating_add(length as usize + length as usize % 2);
        if at > LONGEST_HEAD {
            return Head::Bad("its head has no end".into());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn head(kind: u16, bits: u16, data: u32) -> Vec<u8> {
        let mut h = b"RIFF\xff\xff\xff\xffWAVEjunk\x03\0\0\0abc\0fmt \x10\0\0\0".to_vec();
        h.extend(kind.to_le_bytes());
        h.extend(2u16.to_le_bytes());
        h.extend(8_000u32.to_le_bytes());
        h.extend([0; 6]);
        h.extend(bits.to_le_bytes());
        h.extend(b"data");
        h.extend(data.to_le_bytes());
        h
    }

    #[test]
    fn a_head_is_read_however_it_is_cut_and_whatever_length_it_claims() {
        for data in [0, u32::MAX] {
            let whole = head(1, 16, data);
            for cut in 0..whole.len() {
                assert_eq!(wav_head(&whole[..cut]), Head::More, "{cut}");
            }
            let told = Head::Samples(Samples {
                rate_hz: 8_000,
                format: Format::S16le,
                channels: 2,
                from: whole.len(),
                trailer: None,
            });
            assert_eq!(wav_head(&whole), told);
        }
        assert!(matches!(wav_head(&head(85, 16, 0)), Head::Bad(_)));
        assert!(matches!(wav_head(b"OggS\0\0\0\0\0\0\0\0\0"), Head::Bad(_)));
    }
    #[test]
    fn only_lengths_that_agree_leave_something_behind_the_samples() {
        // 44 bytes of head, 1000 of samples, 30 behind them.
        assert_eq!(trailer(44 + 1_000 + 30 - 8, 1_000, 44), Some((1_000, 30)));
        for (whole, samples) in [
            (44 + 1_000 - 8, 1_000),
            (u32::MAX, u32::MAX),
            (0, 0),
            (u32::MAX, 0),
            (0x7FFF_F024, 0x7FFF_F000),
            (u32::MAX, 0x7FFF_F000),
            (36, 1_000),
        ] {
            assert_eq!(trailer(whole, samples, 44), None, "{whole} {samples}");
        }
    }
}
