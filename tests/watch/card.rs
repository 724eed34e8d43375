//! A sound card that is none: the system's sound library, told by a configuration of the test's own,
//! takes what comes through a pipe for what a card records.

use crate::stream::{cycling, logged, one_episode, pipe, send, wait_for};
use std::fs::{File, OpenOptions};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;
use std::time::Duration;

/// Rate, and number of channels in 32-bit floating point, of a card that takes anything.
const RATE_HZ: u32 = 48_000;
const CHANNELS: usize = 2;
/// Written at a time: in one go or not at all, so that no frame is cut.
const PIECE: usize = 4_096;
/// After each: ten times as fast as a card, slow enough for any machine to keep up.
const PAUSE: Duration = Duration::from_millis(1);

/// The card's name and what feeds it.
struct Card {
    config: PathBuf,
    sound: PathBuf,
    /// Holds both ends: the library opens its own a few times.
    held: File,
}

fn card(dir: &Path) -> Card {
    let (config, sound) = (dir.join("alsa.conf"), dir.join("sound.fifo"));
    pipe(&sound);
    let text = format!(
        "</usr/share/alsa/alsa.conf>
        pcm.radio {{
            type file
            slave.pcm \"null\"
            file \"/dev/null\"
            infile \"{}\"
            format raw
            hint {{ show on  description \"Radio on the hill\" }}
        }}",
        sound.display()
    );
    std::fs::write(&config, text).unwrap();
    let held = OpenOptions::new().read(true).write(true).open(&sound);
    Card {
        config,
        held: held.unwrap(),
        sound,
    }
}

impl Card {
    fn watch(&self, words: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_tailbeat"));
        command
            .env("ALSA_CONFIG_PATH", &self.config)
            .arg("watch")
            .args(words)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::piped());
        command
    }

    /// Plays samples on the second channel, then silence until it is stopped.
    fn play(&self, samples: Vec<f32>, stop: &Arc<AtomicBool>) -> JoinHandle<()> {
        let mut out = OpenOptions::new().write(true).open(&self.sound).unwrap();
        let stop = Arc::clone(stop);
        let bytes: Vec<u8> = (samples.iter())
            .flat_map(|s| [0.0_f32.to_le_bytes(), s.to_le_bytes()].concat())
            .collect();
        std::thread::spawn(move || {
            let silence = [0; PIECE];
            let pieces = bytes.chunks_exact(PIECE);
            for piece in pieces.chain(std::iter::repeat(&silence[..])) {
                if stop.load(Ordering::Relaxed) {
                    return;
                }
                out.write_all(piece).unwrap();
                std::thread::sleep(PAUSE);
            }
        })
    }
}

#[test]
fn an_episode_is_heard_through_a_card() {
    let dir = tempfile::tempdir().unwrap();
    let log = dir.path().join("watch.jsonl");
    let mut card = card(dir.path());
    let times = (RATE_HZ / cycling().1) as usize;
    let sound = one_episode(3, 0)
        .into_iter()
        .flat_map(|s| std::iter::repeat_n(s, times));
    let stop = Arc::new(AtomicBool::new(false));
    let player = card.play(sound.collect(), &stop);
    let words = ["--card", "Radio on the hill", "--channel", "2"];
    let run = card
        .watch(&words)
        .args(["--log", log.to_str().unwrap()])
        .spawn()
        .unwrap();
    wait_for(&log, "episode_ended", 1);
    send("-INT", &run);
    let output = run.wait_with_output().unwrap();
    stop.store(true, Ordering::Relaxed);
    // Nobody takes anything out of the pipe any more; the player may wait for that.
    let _ = card.held.read(&mut [0; 1 << 16]).unwrap();
    player.join().unwrap();
    assert_eq!(output.status.code(), Some(130));
    assert_eq!(String::from_utf8(output.stderr).unwrap(), "");
    assert_eq!(
        logged(&log),
        ["started", "alarm", "episode_ended", "stopped"]
    );
}

#[test]
fn a_card_that_is_none_and_a_channel_that_it_has_not_are_refused() {
    let dir = tempfile::tempdir().unwrap();
    let card = card(dir.path());
    let channels = format!("among {CHANNELS}");
    for (words, said) in [
        (
            ["--card", "no-such-card", "--channel", "1"],
            "Radio on the hill",
        ),
        (["--card", "Radio on the hill", "--channel", "3"], &channels),
    ] {
        let output = card.watch(&words).output().unwrap();
        let errors = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{errors}");
        assert!(errors.contains(said), "{errors}");
        assert_eq!(errors.lines().count(), 1, "{errors}");
    }
}
