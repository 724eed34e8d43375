//! One episode, one alarm; who is told, and how.

use crate::stream::{cycling, events, fed, happenings, one_episode, watch};
use std::io::{Read, Write};
use std::net::TcpListener;
use tailbeat::check::CheckOptions;
use tailbeat::live::{Happening, Watcher};
use tailbeat::units::SampleRate;

/// What a watcher tells of samples that come in pieces of this length.
fn told(samples: &[f32], piece: usize) -> Vec<Happening> {
    let rate = SampleRate::new(cycling().1).unwrap();
    let mut watcher = Watcher::new(rate, CheckOptions::default());
    let mut list = Vec::new();
    for part in samples.chunks(piece) {
        list.extend(watcher.push(part));
    }
    list.extend(watcher.finish());
    list
}

#[test]
fn one_episode_is_one_alarm_soon_after_the_third_return() {
    let list = told(&one_episode(20, 60), 4_000);
    let [Happening::Raised(raised), Happening::Ended(ended)] = &list[..] else {
        panic!("{list:?}");
    };
    assert_eq!((raised.episode, ended.episode), (1, 1));
    assert!(
        raised.start.get() > 20.0 && raised.at > raised.start,
        "{raised:?}"
    );
    let delay = raised.delay().unwrap().get();
    assert!((0.0..30.0).contains(&delay), "{delay}");
    assert!(
        ended.drops >= raised.drops && ended.end.get() < 20.0 + 75.0,
        "{ended:?}"
    );
    assert!(ended.came_back >= 3 && ended.came_back <= ended.drops);
}

#[test]
fn two_episodes_with_calm_between_them_are_two_alarms() {
    let samples = [one_episode(10, 50), one_episode(0, 50)].concat();
    let raised = told(&samples, 4_000);
    let raised = raised.iter().filter(|h| matches!(h, Happening::Raised(_)));
    assert_eq!(raised.count(), 2);
}

#[test]
fn a_gain_that_changes_in_the_middle_makes_no_second_alarm() {
    let mut samples = one_episode(10, 60);
    let middle = (10 + 20) * cycling().1 as usize;
    samples[middle..].iter_mut().for_each(|s| *s *= 0.25);
    let raised = told(&samples, 4_000);
    let raised = raised.iter().filter(|h| matches!(h, Happening::Raised(_)));
    assert_eq!(raised.count(), 1);
}

#[test]
fn pieces_of_any_length_and_another_run_tell_the_same() {
    let samples = one_episode(10, 40);
    let whole = told(&samples, 4_000);
    assert_eq!(whole, told(&samples, 4_000));
    for piece in [1_777, 100_000] {
        assert_eq!(whole, told(&samples, piece));
    }
}

#[test]
fn silence_and_plain_hiss_give_no_alarm() {
    let rate = cycling().1;
    let mut state = 1_u32;
    let hiss: Vec<f32> = (0..rate * 90)
        .map(|_| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (f64::from(state) / f64::from(u32::MAX) - 0.5) as f32 * 0.3
        })
        .collect();
    assert_eq!(told(&hiss, 4_000), []);
    assert_eq!(told(&vec![0.0; rate as usize * 90], 4_000), []);
}

#[test]
fn a_cable_that_fell_out_is_told_once_and_its_return_too() {
    let rate = cycling().1 as usize;
    let mut samples = vec![0.1; rate];
    samples.extend(vec![0.0; rate * 700]);
    samples.extend(vec![0.1; rate]);
    let list = told(&samples, 4_000);
    let [Happening::Nothing { since }, Happening::Something { at }] = &list[..] else {
        panic!("{list:?}");
    };
    assert!((since.get() - 1.0).abs() < 0.2 && (at.get() - 701.0).abs() < 0.2);
}

#[test]
fn the_lines_keep_to_their_schema_and_midnight_is_passed() {
    let output = fed(
        watch(&["--began", "2026-12-31T23:59:40"]),
        &one_episode(10, 50),
    );
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(
        events(&output),
        ["started", "alarm", "episode_ended", "stopped"]
    );
    let schema = std::process::Command::new(env!("CARGO_BIN_EXE_tailbeat"))
        .args(["schema", "watch"])
        .output()
        .unwrap();
    let schema = serde_json::from_slice(&schema.stdout).unwrap();
    let schema = jsonschema::validator_for(&schema).unwrap();
    let list = happenings(&output);
    assert!(list.iter().all(|h| schema.is_valid(h)), "{list:?}");
    assert!(
        list[0]["at"]
            .as_str()
            .unwrap()
            .starts_with("2026-12-31T23:59:40")
    );
    assert!(
        list[3]["at"]
            .as_str()
            .unwrap()
            .starts_with("2027-01-01T00:0")
    );
}

#[cfg(unix)]
#[test]
fn a_command_reads_the_alarm_and_the_sound_is_sent_as_a_form() {
    let dir = tempfile::tempdir().unwrap();
    let seen = dir.path().join("seen.json");
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = format!("http://{}/to/KEY", listener.local_addr().unwrap());
    let server = std::thread::spawn(move || {
        let mut bodies = Vec::new();
        // The first try is turned away: it is tried again.
        for answer in [
            "503 Service Unavailable",
            "303 See Other\r\nlocation: /receipt/X",
        ] {
            let (mut stream, _) = listener.accept().unwrap();
            let mut got = Vec::new();
            let mut piece = [0; 1 << 16];
            let length = loop {
                let n = stream.read(&mut piece).unwrap();
                got.extend_from_slice(&piece[..n]);
                let text = String::from_utf8_lossy(&got).to_lowercase();
                if let Some(head) = text.find("\r\n\r\n") {
                    let at = text.find("content-length: ").unwrap() + 16;
                    let digits: String = text[at..]
                        .chars()
                        .take_while(char::is_ascii_digit)
                        .collect();
                    break head + 4 + digits.parse::<usize>().unwrap();
                }
            };
            while got.len() < length {
                let n = stream.read(&mut piece).unwrap();
                got.extend_from_slice(&piece[..n]);
            }
            stream
                .write_all(
                    format!("HTTP/1.1 {answer}\r\ncontent-length: 0\r\nconnection: close\r\n\r\n")
                        .as_bytes(),
                )
                .unwrap();
            bodies.push(got);
        }
        bodies
    });
    let command = format!("cat > {}", seen.display());
    let output = fed(
        watch(&["--run", &command, "--post", &address]),
        &one_episode(5, 40),
    );
    let errors = String::from_utf8(output.stderr.clone()).unwrap();
    assert!(
        errors.contains("503") && !errors.contains("KEY"),
        "{errors}"
    );
    let alarm: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(&seen).unwrap()).unwrap();
    assert_eq!(alarm["event"], "alarm");
    let bodies = server.join().unwrap();
    let text = String::from_utf8_lossy(&bodies[1]);
    assert!(text.starts_with("POST /to/KEY ") && text.contains("multipart/form-data"));
    assert!(text.contains("name=\"recording\"; filename=\"20") && text.contains("RIFF"));
}
