//! Random words that open doors, and what is kept of them.

use rand::RngExt;
use sha2::{Digest, Sha256};

/// Letters that cannot be mistaken for each other when read out; 32 of them, so 5 bits each.
const LETTERS: &[u8; 32] = b"abcdefghjkmnpqrstuvwxyz023456789";
/// 130 bits: nobody guesses it.
pub const LENGTH: usize = 26;

/// A new word from the system's generator of secrets.
#[must_use]
pub fn word() -> String {
    let mut rng = rand::rng();
    (0..LENGTH)
        .map(|_| char::from(LETTERS[rng.random_range(0..LETTERS.len())]))
        .collect()
}

/// What is kept of a word: whoever reads the database cannot go in by it. The word is random and
/// long, so a plain digest does.
#[must_use]
pub fn kept(word: &str) -> String {
    hex(&Sha256::digest(word.as_bytes()))
}

/// A word that follows from another by a purpose, so that a repeated request gives the same.
#[must_use]
pub fn derived(word: &str, purpose: &str) -> String {
    let digest = Sha256::new()
        .chain_update(purpose)
        .chain_update([0])
        .chain_update(word)
        .finalize();
    (digest.iter().take(LENGTH))
        .map(|byte| char::from(LETTERS[usize::from(byte & 31)]))
        .collect()
}

/// Whether two secrets are the same, in a time that tells nothing: digests are compared.
#[must_use]
pub fn same(one: &str, other: &str) -> bool {
    Sha256::digest(one) == Sha256::digest(other)
}

/// Lower-case hexadecimal digits.
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_differ_and_keep_to_their_letters() {
        let words: std::collections::BTreeSet<String> = (0..200).map(|_| word()).collect();
        assert_eq!(words.len(), 200);
        for word in &words {
            assert_eq!(word.len(), LENGTH);
            assert!(word.bytes().all(|b| LETTERS.contains(&b)), "{word}");
        }
    }

    #[test]
    fn what_is_derived_hangs_on_word_and_purpose_alone() {
        assert_eq!(derived("a", "receipt"), derived("a", "receipt"));
        assert_ne!(derived("a", "receipt"), derived("a", "other"));
        assert_ne!(derived("a", "receipt"), derived("b", "receipt"));
        assert_eq!(derived("a", "receipt").len(), LENGTH);
    }

    #[test]
    fn only_equal_secrets_are_the_same() {
        assert!(same("abc", "abc"));
        assert!(!same("abc", "abd") && !same("abc", ""));
    }
}
