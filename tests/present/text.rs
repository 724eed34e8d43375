//! The terminal.

use crate::fixtures;
use tailbeat::present::text::{Style, render};
use unicode_width::UnicodeWidthStr;

const PLAIN: Style = Style {
    width: 80,
    colour: false,
};

#[test]
fn desense_reads_as_written_down() {
    insta::assert_snapshot!(render(&fixtures::desense(), PLAIN));
}

#[test]
fn fading_reads_as_written_down() {
    insta::assert_snapshot!(render(&fixtures::fading(), PLAIN));
}

#[test]
fn inconclusive_reads_as_written_down() {
    insta::assert_snapshot!(render(&fixtures::inconclusive(), PLAIN));
}

#[test]
fn no_gaps_reads_as_written_down() {
    insta::assert_snapshot!(render(
        &fixtures::no_gaps(),
        Style {
            width: 48,
            colour: false
        }
    ));
}

#[test]
fn no_line_is_wider_than_the_terminal() {
    for (name, check) in fixtures::all() {
        for width in [40, 60, 80, 96] {
            for line in render(
                &check,
                Style {
                    width,
                    colour: false,
                },
            )
            .lines()
            {
                // A single word that is too long is left whole.
                let unbreakable = !line.trim().contains(' ');
                assert!(
                    line.width() <= width || unbreakable,
                    "{name} at {width}: {line}"
                );
            }
        }
    }
}

#[test]
fn colour_adds_escapes_and_changes_nothing_else() {
    for (name, check) in fixtures::all() {
        let plain = render(&check, PLAIN);
        let painted = render(
            &check,
            Style {
                colour: true,
                ..PLAIN
            },
        );
        assert!(!plain.contains('\u{1b}'), "{name}");
        assert!(painted.contains("\u{1b}[1m"), "{name}");
        let mut stripped = String::new();
        let mut rest = painted.as_str();
        while let Some(at) = rest.find('\u{1b}') {
            stripped.push_str(&rest[..at]);
            rest = &rest[at + rest[at..].find('m').unwrap() + 1..];
        }
        stripped.push_str(rest);
        assert_eq!(stripped, plain, "{name}");
    }
}

#[test]
fn the_four_parts_stand_in_order() {
    let said = render(&fixtures::desense(), PLAIN);
    let at = |heading: &str| said.find(heading).unwrap_or_else(|| panic!("no {heading}"));
    let order = [
        "deafening itself",
        "Numbers",
        "What it rests on",
        "Doubts",
        "Next step",
        "Before anybody",
    ];
    assert!(order.windows(2).all(|pair| at(pair[0]) < at(pair[1])));
}

#[test]
fn a_removed_gap_is_never_reported() {
    let said = render(&fixtures::no_gaps(), PLAIN);
    assert!(!said.contains("Silence before coming back"), "{said}");
    assert!(said.contains("voice activation off"));
}
