//! The page: self-contained, escaped, whole.

use crate::fixtures;
use crate::pictures::gallery;
use tailbeat::present::html::{Sound, render};

#[test]
fn pages_are_left_for_a_look() {
    for (name, check) in fixtures::all() {
        let page = render(&check, Sound::None);
        std::fs::write(gallery().join(format!("{name}.html")), &page).unwrap();
        assert!(page.starts_with("<!DOCTYPE html>"), "{name}");
        assert!(page.len() < 1_500_000, "{name}: {} bytes", page.len());
    }
}

#[test]
fn nothing_is_fetched_from_elsewhere() {
    let page = render(
        &fixtures::desense(),
        Sound::Embedded {
            media_type: "audio/mp4",
            bytes: b"abc",
        },
    );
    for reference in ["src=\"", "href=\"", "url("] {
        for (at, _) in page.match_indices(reference) {
            let target = &page[at + reference.len()..];
            assert!(
                target.starts_with("data:") || target.starts_with('#'),
                "{}",
                &target[..40]
            );
        }
    }
    assert!(page.contains("src=\"data:audio/mp4;base64,YWJj\""));
    assert!(page.contains("src=\"data:text/vtt;base64,"));
    assert!(!page.contains("@import"));
}

#[test]
fn what_others_wrote_stays_text() {
    let check = fixtures::hostile_names();
    let page = render(
        &check,
        Sound::Linked {
            path: "../a b/<x>\".wav",
        },
    );
    assert!(!page.contains("<script>alert"));
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
    assert!(page.contains("src=\"../a%20b/%3Cx%3E%22.wav\""));
    assert_eq!(page.matches("<script>").count(), 1, "the page's own");
}

#[test]
fn all_parts_are_there_with_the_fingerprint() {
    let check = fixtures::desense();
    let page = render(&check, Sound::None);
    for part in [
        "The repeater is deafening itself",
        "What was heard",
        "Numbers",
        "What it rests on",
        "Doubts",
        "Next step",
        "Before anybody goes to work",
        "The recording",
        &check.recording.sha256,
        "47 CFR 97.105",
        "prefers-color-scheme",
        "@media print",
        "data-t0=\"0.000\"",
    ] {
        assert!(page.contains(part), "{part}");
    }
    let listening = render(&fixtures::traffic(), Sound::None);
    assert!(
        !listening.contains("Before anybody goes to work"),
        "nobody is sent to work"
    );
}

#[test]
fn the_same_result_gives_the_same_page() {
    let sound = Sound::Linked { path: "a.wav" };
    assert_eq!(
        render(&fixtures::day(), sound),
        render(&fixtures::day(), sound)
    );
}
