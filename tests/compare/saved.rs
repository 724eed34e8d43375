//! Saved results read back.

use crate::exhibits::test as stepped;
use tailbeat::backoff::report::{BackoffOptions, report};
use tailbeat::backoff::typed;
use tailbeat::compare::{Content, Exhibit};
use tailbeat::present::compare::{looks_saved, read};
use tailbeat::present::site::json::{BackoffJson, line};
use tailbeat::units::Decibels;

#[test]
fn a_stepped_test_comes_back_as_it_was() {
    let trials = typed::read(
        "t.csv",
        "backoff_db,trials,came_back\n2,3,3\n4,2,2\n6,2,1\n8,3,0\n",
    )
    .unwrap();
    let options = BackoffOptions {
        hysteresis: Some(Decibels(2.0)),
        ..BackoffOptions::default()
    };
    let made = report(trials, &options).unwrap();
    let text = line(&BackoffJson::from(&made));
    assert!(looks_saved(text.as_bytes()) && looks_saved(b"\xef\xbb\xbf \n{"));
    let Ok([Content::SavedTest(read)]) = read("t", &text)
        .as_deref()
        .map(|c| <&[Content; 1]>::try_from(c).unwrap().clone())
    else {
        panic!("one test")
    };
    assert_eq!(read.trials, made.trials.trials);
    assert_eq!(read.hysteresis, Some(Decibels(2.0)));
    let again: Exhibit = stepped("t", &[(2.0, 3, 3), (4.0, 2, 2), (6.0, 2, 1), (8.0, 3, 0)]);
    let Content::SavedTest(by_hand) = &again.content[0] else {
        panic!("a test")
    };
    assert_eq!(by_hand.trials, read.trials);
}

#[test]
fn recordings_do_not_look_like_results() {
    for start in [
        &b"RIFF\x24\0\0\0WAVE"[..],
        b"fLaC",
        b"OggS",
        b"\0\0\0\x20ftypM4A ",
        b"",
    ] {
        assert!(!looks_saved(start));
    }
}

#[test]
fn what_is_no_result_is_refused_with_its_line() {
    let complaint = |text: &str| read("r.json", text).unwrap_err().to_string();
    let cases = [
        (
            "{\"schema\":\"tailbeat.tee/1\"}",
            "r.json line 1: a result of the kind tailbeat.tee/1",
        ),
        (
            "{\"a\":1}",
            "r.json line 1: this is JSON, but no saved result",
        ),
        (
            "{\"schema\":\"tailbeat.check/1\"",
            "r.json line 1: the saved result is damaged",
        ),
        (
            "{\"schema\":\"tailbeat.check/1\"}",
            "does not keep to its form",
        ),
        (
            "{\"schema\":\"tailbeat.error/1\",\"error\":{\"message\":\"it is empty\"}}",
            "could not be checked (it is empty)",
        ),
    ];
    for (text, expected) in cases {
        let said = complaint(text);
        assert!(said.contains(expected), "{said}");
        assert!(said.contains("; "), "no remedy: {said}");
    }
    let good = "{\"schema\":\"tailbeat.backoff/1\",\"trials\":[],\"excluded\":[],\"levels\":[],\
        \"desense\":{},\"in_order\":true}";
    let second = complaint(&format!("{good}\n{good}\n{{\"schema\":\"x/1\"}}\n"));
    assert!(second.starts_with("r.json line 3:"), "{second}");
    assert_eq!(read("r", &format!("{good}\n{good}\n")).unwrap().len(), 2);
}
