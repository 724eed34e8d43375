//! What symphonia's Matroska reader leaves out: whether it is WebM, and the date in the header.
//! Layout: RFC 9559 (from memory).

mod resume;

use super::front::Front;
use super::start::Moment;
use crate::units::Seconds;

pub(super) use resume::Resuming;

/// Nanoseconds from 1970 to 2001, where these files begin to count.
const FROM_1970_TO_2001_NS: i128 = 978_307_200_000_000_000;

/// Reads the first bytes of the file.
pub(super) fn look(head: &[u8]) -> Front {
    let after = |mark: &[u8]| {
        let at = head.windows(mark.len()).position(|bytes| bytes == mark)?;
        head.get(at + mark.len()..)
    };
    // Document type, four letters.
    let webm = after(&[0x42, 0x82, 0x84]).is_some_and(|rest| rest.starts_with(b"webm"));
    // Date, eight bytes, inside the information element.
    let started = after(&[0x15, 0x49, 0xa9, 0x66]).and_then(|information| {
        let at = information
            .windows(3)
            .position(|bytes| bytes == [0x44, 0x61, 0x88])?;
        let date = i64::from_be_bytes(*information.get(at + 3..)?.first_chunk()?);
        Moment::from_unix_nanoseconds(i128::from(date) + FROM_1970_TO_2001_NS, Seconds(1.0))
    });
    Front {
        container: if webm { "webm" } else { "matroska" },
        started,
        ..Front::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_date_counts_nanoseconds_from_2001() {
        let mut head = vec![0x42, 0x82, 0x84];
        head.extend(b"webm");
        head.extend([0x15, 0x49, 0xa9, 0x66, 0x90, 0x44, 0x61, 0x88]);
        head.extend((797_711_455_i64 * 1_000_000_000).to_be_bytes());
        let front = look(&head);
        assert_eq!(front.container, "webm");
        let started = front.started.map(|moment| moment.rfc3339());
        assert_eq!(started.as_deref(), Some("2026-04-12T18:30:55Z"));
    }

    #[test]
    fn without_a_date_there_is_none() {
        assert!(
            look(&[0x1a, 0x45, 0xdf, 0xa3, 0x44, 0x61, 0x88])
                .started
                .is_none()
        );
    }
}
