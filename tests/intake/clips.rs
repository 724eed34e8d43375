//! Clips of a voice-activated recorder on one clock.

use crate::signal::chirps;
use crate::tools::{collect, ffmpeg, file, folder, run, text, write_wav};
use std::path::{Path, PathBuf};
use tailbeat::intake::open_clips;

const RATE: u32 = 8_000;

/// A steady tone, so that zeros can only be the join's.
fn tone(length_s: f64) -> Vec<f32> {
    let count = (length_s * f64::from(RATE)) as usize;
    (0..count)
        .map(|i| 0.4 + 0.1 * (i as f32 * 0.7).sin())
        .collect()
}

fn clip(folder: &tempfile::TempDir, name: &str, length_s: f64) -> PathBuf {
    let path = file(folder, name);
    write_wav(&path, RATE, 1, &tone(length_s));
    path
}

fn refused(paths: &[PathBuf]) -> String {
    let line = match open_clips(paths).and_then(collect) {
        Ok(heard) => panic!("accepted: {:?}", heard.info.clips),
        Err(error) => error.to_string(),
    };
    assert_eq!(line.lines().count(), 1, "{line}");
    line
}

fn set_changed(path: &Path, unix_s: f64) {
    let time = std::time::UNIX_EPOCH + std::time::Duration::from_secs_f64(unix_s);
    std::fs::File::options()
        .write(true)
        .open(path)
        .expect("open")
        .set_modified(time)
        .expect("time");
}

#[test]
fn clips_lie_where_their_names_say_with_exact_zeros_between() {
    let folder = folder();
    clip(&folder, "tb_20260412_183110.wav", 1.5);
    clip(&folder, "tb_20260412_183055.wav", 2.0);
    clip(&folder, "tb_20260412_183102.wav", 0.4);
    std::fs::write(file(&folder, "notes.txt"), "not a recording").expect("a note");
    std::fs::write(file(&folder, ".hidden"), "nor this").expect("a hidden file");
    let heard = collect(open_clips(&[folder.path().to_owned()]).expect("clips")).expect("read");
    let join = heard.info.clips.expect("a join");
    let spans: Vec<(f64, f64)> = join.spans.iter().map(|(a, b)| (a.get(), b.get())).collect();
    assert_eq!(spans, [(0.0, 2.0), (7.0, 7.4), (15.0, 16.5)]);
    assert_eq!((join.count, join.clock_resolution.get()), (3, 1.0));
    assert_eq!(join.skipped.len(), 1, "{:?}", join.skipped);
    assert_eq!(join.skipped[0].name, "notes.txt");
    assert_eq!(
        heard.info.started_at.as_deref(),
        Some("2026-04-12T18:30:55")
    );
    for (index, sample) in heard.samples.iter().enumerate() {
        let t = index as f64 / f64::from(RATE);
        let inside = spans.iter().any(|(a, b)| (*a..*b).contains(&t));
        assert_eq!(*sample != 0.0, inside, "at {t} s: {sample}");
    }
}

#[test]
fn the_digest_is_that_of_the_checksum_list() {
    let folder = folder();
    let a = clip(&folder, "20260412_183055.wav", 1.0);
    let b = clip(&folder, "20260412_183105.wav", 1.0);
    let heard = collect(open_clips(&[b.clone(), a.clone()]).expect("clips")).expect("read");
    let listed = std::process::Command::new("sh")
        .args([
            "-c",
            "sha256sum 20260412_183055.wav 20260412_183105.wav | sha256sum",
        ])
        .current_dir(folder.path())
        .output()
        .expect("sha256sum");
    let listed = String::from_utf8(listed.stdout).expect("text");
    assert!(
        listed.starts_with(&heard.info.sha256),
        "{listed} {}",
        heard.info.sha256
    );
}

#[test]
fn a_clip_that_begins_within_the_clock_s_resolution_of_the_last_end_follows_it() {
    let folder = folder();
    clip(&folder, "20260412_183055.wav", 5.6);
    clip(&folder, "20260412_183100.wav", 1.0);
    let heard = collect(open_clips(&[folder.path().to_owned()]).expect("clips")).expect("read");
    let spans = heard.info.clips.expect("a join").spans;
    assert_eq!((spans[1].0.get(), spans[1].1.get()), (5.6, 6.6));
}

#[test]
fn fractions_and_broadcast_fields_make_the_clock_finer() {
    let folder = folder();
    clip(&folder, "20260412_183055.250.wav", 1.0);
    clip(&folder, "20260412_183057.500.wav", 1.0);
    let join = collect(open_clips(&[folder.path().to_owned()]).expect("clips")).expect("read");
    let join = join.info.clips.expect("a join");
    assert_eq!(
        (join.spans[1].0.get(), join.clock_resolution.get()),
        (2.25, 0.001)
    );

    let other = crate::tools::folder();
    for (name, time, samples) in [
        ("a", "18:30:55", "533240000"),
        ("b", "18:30:57", "533258000"),
    ] {
        let plain = clip(&other, "plain.wav", 1.0);
        let origin = format!("origination_time={time}");
        let reference = format!("time_reference={samples}");
        let words = [
            "-write_bext",
            "1",
            "-metadata",
            "origination_date=2026-04-12",
            "-metadata",
            &origin,
            "-metadata",
            &reference,
        ];
        ffmpeg(&plain, &words, &file(&other, &format!("{name}.wav")));
        std::fs::remove_file(plain).expect("remove");
    }
    let heard = collect(open_clips(&[other.path().to_owned()]).expect("clips")).expect("read");
    let join = heard.info.clips.expect("a join");
    assert_eq!(join.spans[1].0.get(), 2.25);
    assert_eq!(join.clock_resolution.get(), 1.0 / 8_000.0);
}

#[test]
fn file_times_count_from_the_clip_s_end() {
    let folder = folder();
    for (name, length_s, changed_s) in [
        ("REC001.wav", 2.0, 1_776_018_657.0),
        ("REC002.wav", 1.0, 1_776_018_667.5),
    ] {
        set_changed(&clip(&folder, name, length_s), changed_s);
    }
    let heard = collect(open_clips(&[folder.path().to_owned()]).expect("clips")).expect("read");
    let join = heard.info.clips.expect("a join");
    assert_eq!(join.spans[1].0.get(), 11.5);
    assert_eq!(join.clock_resolution.get(), 1.0);
    assert_eq!(
        heard.info.started_at.as_deref(),
        Some("2026-04-12T18:30:55Z")
    );
}

#[test]
fn compressed_clips_join_too() {
    let folder = folder();
    let original = file(&folder, "original.wav");
    write_wav(&original, RATE, 1, &chirps(RATE));
    for name in ["2026-04-12_18-30-55.mp3", "2026-04-12_18-31-10.mp3"] {
        ffmpeg(&original, &["-b:a", "16k"], &file(&folder, name));
    }
    std::fs::remove_file(original).expect("remove");
    let heard = collect(open_clips(&[folder.path().to_owned()]).expect("clips")).expect("read");
    assert_eq!(heard.info.container, "mp3");
    let second = &heard.samples[15 * RATE as usize..];
    let late = crate::signal::lateness_s(second, RATE);
    assert!(late.iter().all(|late| late.abs() < 1e-3), "{late:?}");
}

#[test]
fn what_cannot_be_put_in_order_is_answered_clearly() {
    let folder = folder();
    let first = clip(&folder, "20260412_183055.wav", 9.0);
    let overlapping = clip(&folder, "20260412_183100.wav", 1.0);
    let line = refused(&[first.clone(), overlapping]);
    assert!(
        line.contains("20260412_183100.wav") && line.contains("before"),
        "{line}"
    );

    let nameless = clip(&folder, "morning.wav", 1.0);
    let line = refused(&[first.clone(), nameless.clone()]);
    assert!(
        line.contains("morning.wav: its name tells no start time"),
        "{line}"
    );

    let far = clip(&folder, "20260512_183055.wav", 1.0);
    let line = refused(&[first.clone(), far]);
    assert!(line.contains("30.0 days"), "{line}");

    let faster = file(&folder, "20260412_183200.wav");
    run("sox", &[text(&nameless), "-r", "16000", text(&faster)]);
    let line = refused(&[first, faster]);
    assert!(line.contains("16000 Hz"), "{line}");

    let empty = crate::tools::folder();
    let line = refused(&[empty.path().to_owned()]);
    assert!(line.contains("no recording in it"), "{line}");
}

#[test]
fn copied_files_that_all_have_one_time_are_refused() {
    let folder = folder();
    for name in ["a.wav", "b.wav", "c.wav"] {
        set_changed(&clip(&folder, name, 5.0), 1_776_018_657.0);
    }
    let line = refused(&[folder.path().to_owned()]);
    assert!(line.contains("copying can change file times"), "{line}");
}

#[test]
fn the_radio_s_channel_is_found_over_all_clips_together() {
    let folder = folder();
    for (index, name) in ["20260412_183055.wav", "20260412_183105.wav"]
        .iter()
        .enumerate()
    {
        let left = chirps(RATE);
        let stereo: Vec<f32> = left
            .iter()
            .flat_map(|s| [1e-4 * (index as f32), *s])
            .collect();
        write_wav(&file(&folder, name), RATE, 2, &stereo);
    }
    let heard = collect(open_clips(&[folder.path().to_owned()]).expect("clips")).expect("read");
    let choice = heard.info.channel_choice;
    assert_eq!(choice, tailbeat::intake::recording::ChannelChoice::Only(1));
}
