//! Sources of every kind, their ends and returns.

use crate::stream::{bytes, cycling, events, fed, happenings, one_episode, wait_for, watch};
use std::io::Write;
use std::process::{Command, Stdio};

fn plain() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tailbeat"));
    command
        .arg("watch")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

/// A WAV stream's head, whose writer does not know how much will come.
fn head(channels: u16) -> Vec<u8> {
    let rate = cycling().1;
    let mut h = b"RIFF\xff\xff\xff\xffWAVEfmt \x10\0\0\0\x01\0".to_vec();
    h.extend(channels.to_le_bytes());
    h.extend(rate.to_le_bytes());
    h.extend((rate * 2 * u32::from(channels)).to_le_bytes());
    h.extend((2 * channels).to_le_bytes());
    h.extend([16, 0]);
    h.extend(b"data\xff\xff\xff\xff");
    h
}

#[test]
fn wav_without_a_length_is_watched_and_a_channel_can_be_chosen() {
    let samples = one_episode(5, 40);
    let stereo: Vec<f32> = samples.iter().flat_map(|s| [0.0, *s]).collect();
    for (words, alarm) in [
        (&["--channel", "2"][..], true),
        (&["--channel", "1"], false),
    ] {
        let mut run = plain().args(words).spawn().unwrap();
        let mut input = run.stdin.take().unwrap();
        input.write_all(&head(2)).unwrap();
        input.write_all(&bytes(&stereo)).unwrap();
        drop(input);
        let output = run.wait_with_output().unwrap();
        assert_eq!(
            events(&output).contains(&"alarm".to_owned()),
            alarm,
            "{words:?}"
        );
    }
}

#[test]
fn what_a_finished_file_has_behind_its_samples_is_not_heard() {
    let sound = bytes(&one_episode(2, 1));
    // Full noise, were it sound; of an odd number of bytes, in pieces of any length.
    let noise: Vec<u8> = (0..300_001u32)
        .map(|i| (i.wrapping_mul(2_654_435_761) >> 24) as u8)
        .collect();
    let told = |behind: &[u8]| {
        let mut file = head(1);
        file.extend(&sound);
        file.extend(behind);
        let whole = (file.len() as u32 - 8).to_le_bytes();
        file[4..8].copy_from_slice(&whole);
        file[40..44].copy_from_slice(&(sound.len() as u32).to_le_bytes());
        let mut run = plain().spawn().unwrap();
        let mut input = run.stdin.take().unwrap();
        for piece in file.chunks(7_777) {
            input.write_all(piece).unwrap();
        }
        drop(input);
        let output = run.wait_with_output().unwrap();
        assert!(output.status.success());
        let mut lines = happenings(&output);
        // What the clock on the wall said differs.
        for line in &mut lines {
            let told = line.as_object_mut().unwrap();
            told.retain(|key, _| !["at", "start", "end"].contains(&key.as_str()));
        }
        lines
    };
    let chunk = [b"junk".as_slice(), &300_001u32.to_le_bytes(), &noise, &[0]].concat();
    let plain = told(&[]);
    assert!(plain.len() > 2, "{plain:?}");
    assert_eq!(told(&chunk), plain);
}

#[test]
fn what_is_no_source_is_refused_in_one_line() {
    let cases: [(&[&str], &[u8], i32); 5] = [
        (&[], b"OggS and so on, for quite a while", 1),
        (&[], b"RIF", 1),
        (&["/not/there.wav"], b"", 1),
        (&["--rate", "8000"], b"", 2),
        (&["--rate", "100", "--format", "s16le"], b"", 2),
    ];
    for (words, input, status) in cases {
        let mut run = plain().args(words).spawn().unwrap();
        // Who refuses at once does not read.
        let _ = run.stdin.take().unwrap().write_all(input);
        let output = run.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(status), "{words:?}");
        assert!(output.stdout.is_empty(), "{words:?}");
        assert!(!output.stderr.is_empty());
    }
    let quiet = fed(watch(&[]), &[]);
    assert_eq!(events(&quiet), ["started", "stopped"]);
}

#[cfg(unix)]
#[test]
fn a_pipe_whose_writer_goes_away_and_comes_back_is_watched_on() {
    let dir = tempfile::tempdir().unwrap();
    let pipe = dir.path().join("radio.fifo");
    crate::stream::pipe(&pipe);
    let log = dir.path().join("log.jsonl");
    let mut command = watch(&["--reopen", "--log", log.to_str().unwrap()]);
    command
        .arg(&pipe)
        .stdin(Stdio::null())
        .stdout(Stdio::null());
    let mut run = command.spawn().unwrap();
    let write = |samples: &[f32]| {
        let mut pipe = std::fs::OpenOptions::new().write(true).open(&pipe).unwrap();
        pipe.write_all(&bytes(samples)).unwrap();
    };
    let samples = one_episode(5, 0);
    write(&samples);
    wait_for(&log, "source_lost", 1);
    write(&samples);
    wait_for(&log, "source_lost", 2);
    run.kill().unwrap();
    run.wait().unwrap();
    let text = std::fs::read_to_string(&log).unwrap();
    let list: Vec<serde_json::Value> = text
        .lines()
        .map(|l| serde_json::from_str(l).unwrap())
        .collect();
    let names: Vec<&str> = list.iter().map(|h| h["event"].as_str().unwrap()).collect();
    let once = ["alarm", "episode_ended", "source_lost"];
    let told = [&["started"], &once[..], &["source_back"], &once[..]].concat();
    assert_eq!(names, told);
    assert_eq!(list[5]["episode"], 2);
}

#[test]
fn sound_that_is_fed_in_a_trickle_is_heard_like_the_rest() {
    let samples = one_episode(5, 40);
    let mut run = watch(&["--began", "2026-03-01T12:00:00"]).spawn().unwrap();
    let mut input = run.stdin.take().unwrap();
    // Odd lengths cut samples in two.
    for piece in bytes(&samples).chunks(4_801) {
        input.write_all(piece).unwrap();
    }
    drop(input);
    let trickled = run.wait_with_output().unwrap();
    let flood = fed(watch(&["--began", "2026-03-01T12:00:00"]), &samples);
    assert_eq!(events(&trickled), events(&flood));
    let drops = |o: &std::process::Output| happenings(o)[2]["drops"].clone();
    assert_eq!(drops(&trickled), drops(&flood));
}
