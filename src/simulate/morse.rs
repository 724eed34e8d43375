//! Morse code: timing by ITU-R M.1677-1 (second-hand): dot 1 unit, dash 3, inside a letter 1,
//! between letters 3, between words 7. A unit is `1.2 / wpm` seconds, from the word PARIS with
//! its space, 50 units (custom).

use super::tone::Note;

/// Length of one unit.
#[must_use]
pub fn unit_s(wpm: f64) -> f64 {
    1.2 / wpm
}

/// Dots and dashes of a letter, digit or sign.
#[must_use]
pub fn code(letter: char) -> Option<&'static str> {
    Some(match letter.to_ascii_uppercase() {
        'A' => ".-",
        'B' => "-...",
        'C' => "-.-.",
        'D' => "-..",
        'E' => ".",
        'F' => "..-.",
        'G' => "--.",
        'H' => "....",
        'I' => "..",
        'J' => ".---",
        'K' => "-.-",
        'L' => ".-..",
        'M' => "--",
        'N' => "-.",
        'O' => "---",
        'P' => ".--.",
        'Q' => "--.-",
        'R' => ".-.",
        'S' => "...",
        'T' => "-",
        'U' => "..-",
        'V' => "...-",
        'W' => ".--",
        'X' => "-..-",
        'Y' => "-.--",
        'Z' => "--..",
        '0' => "-----",
        '1' => ".----",
        '2' => "..---",
        '3' => "...--",
        '4' => "....-",
        '5' => ".....",
        '6' => "-....",
        '7' => "--...",
        '8' => "---..",
        '9' => "----.",
        '/' => "-..-.",
        '?' => "..--..",
        '=' => "-...-",
        _ => return None,
    })
}

/// Text as notes; unknown signs are left out.
#[must_use]
pub fn notes(text: &str, pitch_hz: f64, wpm: f64) -> Vec<Note> {
    let unit = unit_s(wpm);
    let mut notes = Vec::new();
    for (w, word) in text.split_whitespace().enumerate() {
        if w > 0 {
            notes.push(Note::rest(7.0 * unit));
        }
        for (l, letter) in word.chars().filter_map(code).enumerate() {
            if l > 0 {
                notes.push(Note::rest(3.0 * unit));
            }
            for (e, element) in letter.chars().enumerate() {
                if e > 0 {
                    notes.push(Note::rest(unit));
                }
                notes.push(Note::tone(
                    pitch_hz,
                    if element == '-' { 3.0 } else { 1.0 } * unit,
                ));
            }
        }
    }
    notes
}
