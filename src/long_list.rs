//! A list of small records that may grow for days in bounded memory: the latest thousands are held as
//! they are, what came before lies in an unnamed temporary file. A list of ordinary length never
//! touches a disk.

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::fs::File;
use std::io::{Read, Seek, SeekFrom, Write};
use std::ops::Range;
use std::sync::Mutex;

/// So many records are held at most: hours of cycling, in about a megabyte.
const HELD: usize = 4_096;
/// So many are read back at a time.
const READ: usize = 512;

/// A record of fixed length when it is written out.
pub trait Record: Copy {
    /// That length in bytes.
    const BYTES: usize;
    /// Appends it, exactly as it is.
    fn write(&self, out: &mut Written);
    /// Reads what [`Record::write`] wrote.
    fn read(from: &mut Written) -> Self;
}

/// Bytes of records.
#[derive(Debug, Default)]
pub struct Written {
    bytes: Vec<u8>,
    at: usize,
}

impl Written {
    /// Appends bytes.
    pub fn put(&mut self, bytes: &[u8]) {
        self.bytes.extend_from_slice(bytes);
    }

    /// The next bytes; zeros beyond the end, where nobody reads.
    pub fn take<const N: usize>(&mut self) -> [u8; N] {
        let found = self.bytes.get(self.at..self.at + N);
        self.at += N;
        found.and_then(|b| b.try_into().ok()).unwrap_or([0; N])
    }

    /// Appends a number.
    pub fn put_number(&mut self, number: f64) {
        self.put(&number.to_le_bytes());
    }

    /// The next number.
    pub fn number(&mut self) -> f64 {
        f64::from_le_bytes(self.take())
    }

    /// Appends a number that may be unknown.
    pub fn put_maybe(&mut self, number: Option<f64>) {
        self.put(&[u8::from(number.is_some())]);
        self.put_number(number.unwrap_or(0.0));
    }

    /// The next number that may be unknown.
    pub fn maybe(&mut self) -> Option<f64> {
        let [known] = self.take();
        let number = self.number();
        (known != 0).then_some(number)
    }
}

/// The list.
pub struct LongList<T> {
    /// Records in the file: all that came before those held.
    away: usize,
    file: Option<Mutex<File>>,
    /// No temporary file can be written: everything is held from here on.
    no_room: bool,
    held: Vec<T>,
}

impl<T> Default for LongList<T> {
    fn default() -> Self {
        Self {
            away: 0,
            file: None,
            no_room: false,
            held: Vec::new(),
        }
    }
}

impl<T: Record> LongList<T> {
    /// Appends a record.
    pub fn push(&mut self, record: T) {
        self.held.push(record);
        if self.held.len() >= HELD && !self.no_room {
            self.no_room = self.put_away().is_err();
        }
    }

    fn put_away(&mut self) -> std::io::Result<()> {
        let mut written = Written::default();
        written.bytes.reserve_exact(self.held.len() * T::BYTES);
        for record in &self.held {
            record.write(&mut written);
        }
        debug_assert_eq!(written.bytes.len(), self.held.len() * T::BYTES);
        let file = match self.file.take() {
            Some(file) => file,
            None => Mutex::new(tempfile::tempfile()?),
        };
        let file = self.file.insert(file);
        let file = file
            .get_mut()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        file.seek(SeekFrom::Start((self.away * T::BYTES) as u64))?;
        file.write_all(&written.bytes)?;
        self.away += self.held.len();
        self.held.clear();
        Ok(())
    }

    /// Records from the file.
    ///
    /// # Panics
    /// The file, which was written before, cannot be read: then there is nothing to go on with.
    fn fetch(&self, range: Range<usize>, into: &mut Vec<T>) {
        into.clear();
        let mut written = Written {
            bytes: vec![0; range.len() * T::BYTES],
            at: 0,
        };
        let read = self.file.as_ref().map(|file| {
            let mut file = file
                .lock()
                .unwrap_or_else(std::sync::PoisonError::into_inner);
            file.seek(SeekFrom::Start((range.start * T::BYTES) as u64))?;
            file.read_exact(&mut written.bytes)
        });
        if let Some(Err(fault)) = read {
            panic!("the temporary file of a long recording cannot be read back: {fault}");
        }
        into.extend(range.map(|_| T::read(&mut written)));
    }

    /// How many there are.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.away + self.held.len()
    }

    /// Whether there are none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// All of it.
    #[must_use]
    pub const fn all(&self) -> Part<'_, T> {
        Part {
            list: self,
            from: 0,
            to: self.len(),
        }
    }

    /// The records at these positions, as far as there are any.
    #[must_use]
    pub fn part(&self, range: Range<usize>) -> Part<'_, T> {
        self.all().part(range)
    }

    /// One record.
    #[must_use]
    pub fn get(&self, at: usize) -> Option<T> {
        if at >= self.away {
            return self.held.get(at - self.away).copied();
        }
        let mut one = Vec::with_capacity(1);
        self.fetch(at..at + 1, &mut one);
        one.pop()
    }

    /// The last one.
    #[must_use]
    pub fn last(&self) -> Option<T> {
        self.get(self.len().checked_sub(1)?)
    }

    /// In order.
    #[must_use]
    pub fn iter(&self) -> Iter<'_, T> {
        self.all().iter()
    }

    /// All in memory.
    #[must_use]
    pub fn to_vec(&self) -> Vec<T> {
        self.iter().collect()
    }
}

/// Some neighbours of a list.
pub struct Part<'a, T> {
    list: &'a LongList<T>,
    from: usize,
    to: usize,
}

impl<T> Clone for Part<'_, T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for Part<'_, T> {}

impl<'a, T: Record> Part<'a, T> {
    /// How many there are.
    #[must_use]
    pub const fn len(self) -> usize {
        self.to - self.from
    }

    /// Whether there are none.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.len() == 0
    }

    /// The records at these positions within the part, as far as there are any.
    #[must_use]
    pub fn part(self, range: Range<usize>) -> Self {
        let to = (self.from + range.end).min(self.to);
        Self {
            from: (self.from + range.start).min(to),
            to,
            ..self
        }
    }

    /// One record.
    #[must_use]
    pub fn get(self, at: usize) -> Option<T> {
        (at < self.len())
            .then(|| self.list.get(self.from + at))
            .flatten()
    }

    /// In order.
    #[must_use]
    pub fn iter(self) -> Iter<'a, T> {
        Iter {
            part: self,
            fetched: Vec::new(),
            first: 0,
        }
    }

    /// How many of the first records have it; those that have it must come before the others.
    #[must_use]
    pub fn partition_point(self, has: impl Fn(&T) -> bool) -> usize {
        let (mut low, mut high) = (0, self.len());
        while low < high {
            let middle = usize::midpoint(low, high);
            if self.get(middle).is_some_and(|record| has(&record)) {
                low = middle + 1;
            } else {
                high = middle;
            }
        }
        low
    }
}

/// Goes through a list.
pub struct Iter<'a, T> {
    part: Part<'a, T>,
    /// Records that were read back, and the position of the first.
    fetched: Vec<T>,
    first: usize,
}

impl<T: Record> Iterator for Iter<'_, T> {
    type Item = T;

    fn next(&mut self) -> Option<T> {
        let at = self.part.from;
        if at >= self.part.to {
            return None;
        }
        self.part.from += 1;
        let list = self.part.list;
        if at >= list.away {
            return list.held.get(at - list.away).copied();
        }
        if !(self.first..self.first + self.fetched.len()).contains(&at) {
            let to = (at + READ).min(list.away).min(self.part.to);
            list.fetch(at..to, &mut self.fetched);
            self.first = at;
        }
        self.fetched.get(at - self.first).copied()
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        (self.part.len(), Some(self.part.len()))
    }
}

impl<T: Record> ExactSizeIterator for Iter<'_, T> {}

impl<'a, T: Record> IntoIterator for &'a LongList<T> {
    type Item = T;
    type IntoIter = Iter<'a, T>;

    fn into_iter(self) -> Iter<'a, T> {
        self.iter()
    }
}

impl<'a, T: Record> IntoIterator for Part<'a, T> {
    type Item = T;
    type IntoIter = Iter<'a, T>;

    fn into_iter(self) -> Iter<'a, T> {
        self.iter()
    }
}

impl<T: Record> FromIterator<T> for LongList<T> {
    fn from_iter<I: IntoIterator<Item = T>>(records: I) -> Self {
        let mut list = Self::default();
        records.into_iter().for_each(|record| list.push(record));
        list
    }
}

impl<T: Record> From<Vec<T>> for LongList<T> {
    fn from(records: Vec<T>) -> Self {
        records.into_iter().collect()
    }
}

impl<T: Record> Clone for LongList<T> {
    fn clone(&self) -> Self {
        self.iter().collect()
    }
}

impl<T: Record + PartialEq> PartialEq for LongList<T> {
    fn eq(&self, other: &Self) -> bool {
        self.iter().eq(other.iter())
    }
}

impl<T: Record + fmt::Debug> fmt::Debug for LongList<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_list().entries(self.iter()).finish()
    }
}

impl<T: Record + Serialize> Serialize for LongList<T> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_seq(self.iter())
    }
}

impl<'de, T: Record + Deserialize<'de>> Deserialize<'de> for LongList<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Vec::deserialize(from).map(Self::from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, Clone, Copy, PartialEq)]
    struct Pair(f64, Option<f64>);

    impl Record for Pair {
        const BYTES: usize = 17;

        fn write(&self, out: &mut Written) {
            out.put_number(self.0);
            out.put_maybe(self.1);
        }

        fn read(from: &mut Written) -> Self {
            Self(from.number(), from.maybe())
        }
    }

    fn pair(n: usize) -> Pair {
        Pair(
            n as f64 / 3.0,
            (!n.is_multiple_of(3)).then_some(-(n as f64)),
        )
    }

    #[test]
    fn what_lies_in_the_file_is_as_it_was_and_stands_where_it_stood() {
        for count in [0, 1, HELD - 1, HELD, HELD + 1, 5 * HELD + 77] {
            let list: LongList<Pair> = (0..count).map(pair).collect();
            assert_eq!(list.len(), count);
            assert_eq!(list.file.is_some(), count >= HELD);
            assert!(list.held.len() < HELD);
            assert!(list.iter().eq((0..count).map(pair)), "{count}");
            assert_eq!(list.last(), count.checked_sub(1).map(pair));
            assert_eq!(list.get(count), None);
            for range in [0..count, count / 3..count / 2, count..count + 5] {
                let part = list.part(range.clone());
                let want = range.start..range.end.min(count);
                assert_eq!(part.iter().len(), want.len());
                assert!(part.iter().eq(want.map(pair)), "{count} {range:?}");
            }
            let below = list.all().partition_point(|p| p.0 < 1_000.0);
            assert_eq!(below, count.min(3_000));
            assert_eq!(list.clone(), list);
        }
    }

    #[test]
    fn without_a_place_for_the_file_everything_is_held() {
        let mut list = LongList {
            no_room: true,
            ..LongList::default()
        };
        (0..3 * HELD).for_each(|n| list.push(pair(n)));
        assert!(list.file.is_none() && list.iter().eq((0..3 * HELD).map(pair)));
    }
}
