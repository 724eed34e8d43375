//! One page.

/// What every page begins with.
pub(super) const MARK: &[u8] = b"OggS";

/// Fixed part of the header.
const HEADER_BYTES: usize = 27;

/// A page has at most 255 segments of at most 255 bytes.
pub(super) const LARGEST_BYTES: usize = HEADER_BYTES + 255 + 255 * 255;

const FIRST: u8 = 2;
const LAST: u8 = 4;

/// A whole page whose checksum holds.
#[derive(Debug, Clone, Copy)]
pub(super) struct Page<'a> {
    bytes: &'a [u8],
    body: usize,
}

impl<'a> Page<'a> {
    /// Reads the page at the front of `bytes`; `None` where there is none, or a damaged one.
    pub fn read(bytes: &'a [u8]) -> Option<Self> {
        let head = bytes.get(..HEADER_BYTES)?;
        if !head.starts_with(MARK) || head[4] != 0 {
            return None;
        }
        let body = HEADER_BYTES + usize::from(head[26]);
        let lacing = bytes.get(HEADER_BYTES..body)?;
        let length = body + lacing.iter().map(|part| usize::from(*part)).sum::<usize>();
        let bytes = bytes.get(..length)?;
        let page = Self { bytes, body };
        (checksum(bytes) == page.number(22)).then_some(page)
    }

    /// All of it.
    pub fn bytes(&self) -> &'a [u8] {
        self.bytes
    }

    /// Behind the header.
    pub fn body(&self) -> &'a [u8] {
        &self.bytes[self.body..]
    }

    /// Which stream it belongs to.
    pub fn serial(&self) -> u32 {
        self.number(14)
    }

    /// Its number in the stream.
    pub fn sequence(&self) -> u32 {
        self.number(18)
    }

    /// Time at its end, in the codec's units.
    pub fn stamp(&self) -> u64 {
        u64::from(self.number(6)) | u64::from(self.number(10)) << 32
    }

    /// Begins a stream.
    pub fn is_first(&self) -> bool {
        self.bytes[5] & FIRST != 0
    }

    /// Ends a stream.
    pub fn is_last(&self) -> bool {
        self.bytes[5] & LAST != 0
    }

    /// Packets that end on it.
    pub fn packets_ended(&self) -> usize {
        self.bytes[HEADER_BYTES..self.body]
            .iter()
            .filter(|part| **part < 255)
            .count()
    }

    /// The same page without the mark that it ends the stream, and an empty one with it.
    pub fn without_end(&self) -> Vec<u8> {
        let mut plain = self.bytes.to_vec();
        plain[5] &= !LAST;
        sign(&mut plain);
        let mut end = self.bytes[..HEADER_BYTES].to_vec();
        (end[5], end[26]) = (LAST, 0);
        end[18..22].copy_from_slice(&self.sequence().wrapping_add(1).to_le_bytes());
        sign(&mut end);
        plain.extend(end);
        plain
    }

    fn number(&self, at: usize) -> u32 {
        let bytes = [0, 1, 2, 3].map(|index| self.bytes[at + index]);
        u32::from_le_bytes(bytes)
    }
}

fn sign(page: &mut [u8]) {
    let sum = checksum(page);
    page[22..26].copy_from_slice(&sum.to_le_bytes());
}

/// CRC-32 with the polynomial 04c11db7, not reflected, starting at zero, the checksum's own
/// bytes taken as zero.
fn checksum(page: &[u8]) -> u32 {
    const TABLE: [u32; 256] = {
        let mut table = [0; 256];
        let mut index = 0;
        while index < 256 {
            let mut sum = (index as u32) << 24;
            let mut bit = 0;
            while bit < 8 {
                sum = if sum >> 31 == 1 {
                    sum << 1 ^ 0x04c1_1db7
                } else {
                    sum << 1
                };
                bit += 1;
            }
            table[index] = sum;
            index += 1;
        }
        table
    };
    page.iter().enumerate().fold(0, |sum, (at, byte)| {
        let byte = if (22..26).contains(&at) { 0 } else { *byte };
        sum << 8 ^ TABLE[usize::from((sum >> 24) as u8 ^ byte)]
    })
}

#[cfg(test)]
pub(super) fn make(sequence: u32, flags: u8, stamp: u64, packets: &[&[u8]]) -> Vec<u8> {
    let mut bytes = MARK.to_vec();
    bytes.extend([0, flags]);
    bytes.extend(stamp.to_le_bytes());
    bytes.extend(7_u32.to_le_bytes());
    bytes.extend(sequence.to_le_bytes());
    bytes.extend([0; 4]);
    bytes.push(packets.len() as u8);
    bytes.extend(packets.iter().map(|packet| packet.len() as u8));
    bytes.extend(packets.concat());
    sign(&mut bytes);
    bytes
}
