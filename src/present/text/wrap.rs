//! Line breaking by display width. No-break spaces hold.

use unicode_width::UnicodeWidthStr;

/// Columns that `text` takes.
#[must_use]
pub fn width_of(text: &str) -> usize {
    UnicodeWidthStr::width(text)
}

/// Breaks `text` at spaces into lines of at most `width` columns; the first starts with `first`,
/// the others with `rest`. A word longer than a line is left whole: a hash or a name that can be
/// copied is worth more than a straight margin.
#[must_use]
pub fn hanging(first: &str, rest: &str, text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = first.to_string();
    let mut bare = true;
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let space = usize::from(!bare);
        if !bare && width_of(&line) + space + width_of(word) > width {
            lines.push(std::mem::replace(&mut line, rest.to_string()));
            bare = true;
        }
        if !bare {
            line.push(' ');
        }
        line.push_str(word);
        bare = false;
    }
    lines.push(line);
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn breaks_at_spaces_and_keeps_units_together() {
        let lines = hanging("* ", "  ", "gap of 0.21\u{a0}s heard", 12);
        assert_eq!(lines, ["* gap of", "  0.21\u{a0}s", "  heard"]);
    }

    #[test]
    fn leaves_a_long_word_whole() {
        assert_eq!(
            hanging("", "", "a 0123456789 b", 6),
            ["a", "0123456789", "b"]
        );
    }

    #[test]
    fn wide_letters_count_double() {
        assert_eq!(hanging("", "", "無線 局", 5), ["無線", "局"]);
    }
}
