use super::*;

fn repeater() -> Repeater {
    Repeater {
        id: "p".into(),
        name: "QQ0TB Nordau".into(),
        output_mhz: String::new(),
        place: String::new(),
        hang_s: Some(3.0),
        hysteresis_db: Some(2.0),
        word: String::new(),
        link: "l".into(),
        linked_at: 0,
        made_at: 0,
    }
}

fn recording() -> Recording {
    Recording {
        id: "r".into(),
        repeater: "p".into(),
        sha256: "ab".repeat(32),
        file_name: "memo.m4a".into(),
        bytes: 1,
        received_at: 0,
        seen_at: None,
        place: "the hill".into(),
        radio: String::new(),
        squelch: "unknown".into(),
        noticed: "words of a member".into(),
        sender: "QQ1AB".into(),
        state: "done".into(),
        fault_code: None,
        fault: None,
        label: Some("inconclusive".into()),
        probability: Some(0.5),
        hang_s: Some(2.9),
        drops: Some(3),
        trials: Some(3),
        came_back: Some(3),
        beats: None,
        duration_s: Some(61.5),
        corrected: Some("self_desense".into()),
        corrected_by: Some("Ada".into()),
        corrected_at: Some(0),
        correction_note: Some("I stood beside it.".into()),
        corrected_hang_s: Some(2.5),
        corrected_mode: Some("open_squelch".into()),
    }
}

/// Written as the export writes it, read as the corpus is read.
fn exported(recording: &Recording, heard: Option<ListeningMode>) -> Option<Truth> {
    let truth = truth(&repeater(), recording, heard, "1-memo")?;
    let text = serde_json::to_vec(&truth).unwrap();
    Some(Truth::read(&text).unwrap())
}

#[test]
fn what_the_keeper_states_comes_first() {
    let truth = exported(&recording(), Some(ListeningMode::Squelched)).unwrap();
    assert_eq!(truth.cause, Cause::SelfDesense);
    assert_eq!(truth.mode, ListeningMode::OpenSquelch);
    assert_eq!(
        (truth.hang_time_s, truth.hysteresis_db),
        (Some(2.5), Some(2.0))
    );
    assert_eq!(truth.duration_s.to_bits(), 61.5_f64.to_bits());
    assert!(truth.description.contains("as the keeper states it"));
    assert!(truth.description.ends_with("I stood beside it."));
}

#[test]
fn what_the_keeper_does_not_state_is_the_repeaters_or_what_was_heard_never_what_was_measured() {
    let silent = Recording {
        corrected_hang_s: None,
        corrected_mode: None,
        correction_note: None,
        ..recording()
    };
    let truth = exported(&silent, Some(ListeningMode::NoGaps)).unwrap();
    assert_eq!(truth.mode, ListeningMode::NoGaps);
    assert_eq!(
        (truth.recorder, truth.tier),
        (RecorderKind::VoiceActivated, Tier::Cut)
    );
    assert_eq!(
        truth.hang_time_s,
        Some(3.0),
        "not the 2.9 s that the program measured"
    );
    assert!(truth.description.ends_with("as the program heard it."));
    assert!(truth.transmissions.is_empty() && truth.events.is_empty() && truth.drops.is_empty());
}

#[test]
fn no_word_of_a_member_leaves() {
    let text = serde_json::to_string(&exported(&recording(), None)).unwrap();
    for word in ["words of a member", "QQ1AB", "the hill"] {
        assert!(!text.contains(word), "{word}");
    }
}

#[test]
fn what_settles_nothing_or_could_not_be_heard_is_left_out() {
    for left_out in [
        Recording {
            corrected: Some("inconclusive".into()),
            ..recording()
        },
        Recording {
            duration_s: None,
            ..recording()
        },
    ] {
        assert_eq!(exported(&left_out, None), None);
    }
}
