//! A logger's rotated files on one clock.

use crate::logger::{beat, folder, lines_of, tailbeat, word};

#[test]
fn rotated_files_are_heard_as_one_and_the_beat_goes_over_their_borders() {
    let dir = folder();
    let root = dir.path();
    // One recording, cut at midnight and 15 s later, in the middle of beats.
    beat(&root.join("hill/2026-03-01_23-59-40.wav"), 0, 20);
    beat(&root.join("hill/2026-03-02_00-00-00.wav"), 20, 35);
    beat(&root.join("hill/2026-03-02_00-00-15.wav"), 35, 60);
    // Another time, and another site at the same time.
    beat(&root.join("hill/2026-03-02_06-00-00.wav"), 0, 12);
    beat(&root.join("mast/2026-03-02_00-00-15.wav"), 35, 60);
    let whole = root.join("whole.wav");
    beat(&whole, 0, 60);
    let (_, joined, errors) = lines_of(
        tailbeat()
            .args(["batch", "--join"])
            .args([word(&root.join("hill")), word(&root.join("mast"))]),
    );
    assert_eq!(joined.len(), 3, "{errors}");
    let long = joined
        .iter()
        .find(|l| l["files"].as_array().unwrap().len() == 3)
        .unwrap();
    assert_eq!(long["coverage"]["recorded_s"], 60.0);
    assert_eq!(
        long["check"]["recording"]["started_at"],
        "2026-03-01T23:59:40"
    );
    assert!(
        long["files"]
            .as_array()
            .unwrap()
            .iter()
            .all(|f| f["sha256"].is_string())
    );
    let (_, single, _) = lines_of(tailbeat().args(["check", "--json", word(&whole)]));
    let drops = |check: &serde_json::Value| {
        let drops = check["drops"].as_array().unwrap();
        drops
            .iter()
            .map(|d| d["drop_s"].as_f64().unwrap())
            .collect::<Vec<_>>()
    };
    let (ours, theirs) = (drops(&long["check"]), drops(&single[0]));
    assert!(theirs.len() >= 18, "{theirs:?}");
    assert_eq!(ours.len(), theirs.len(), "{ours:?} {theirs:?}");
    assert!(ours.iter().zip(&theirs).all(|(a, b)| (a - b).abs() < 0.01));
}

#[test]
fn what_overlaps_or_tells_no_time_stands_alone() {
    let dir = folder();
    let root = dir.path().join("hill");
    beat(&root.join("2026-03-01_10-00-00.wav"), 0, 20);
    beat(&root.join("2026-03-01_10-00-08.wav"), 0, 20);
    beat(&root.join("untold.wav"), 0, 20);
    std::fs::write(root.join("2026-03-01_10-00-28.wav"), "no sound").unwrap();
    let (status, lines, _) = lines_of(tailbeat().args(["batch", "--join", word(&root)]));
    assert_eq!((status, lines.len()), (1, 4));
}
