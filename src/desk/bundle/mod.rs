//! A case as one zip, and back: the members' originals with their fingerprints, what was measured
//! and found, and a page that stands alone.

pub mod corrections;
pub mod make;
pub mod manifest;
pub mod take;

/// A name for use within a zip: whatever unpacks it, it leads nowhere.
#[must_use]
pub fn entry_name(n: usize, file_name: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_');
    let kept: String = (file_name.chars())
        .map(|c| if plain(c) { c } else { '_' })
        .take(80)
        .collect();
    format!("{n}-{}", kept.trim_start_matches('.'))
}

#[cfg(test)]
mod tests {
    use super::entry_name;

    #[test]
    fn names_lead_nowhere() {
        assert_eq!(entry_name(1, "memo 1.m4a"), "1-memo_1.m4a");
        assert_eq!(entry_name(2, "../../x"), "2-_.._x");
        assert_eq!(entry_name(3, "📻.ogg"), "3-_.ogg");
    }
}
