//! What the README shows of the commands' output stands in the reports that they made.

use std::path::Path;

fn read(name: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
}

#[test]
fn the_outputs_shown_are_the_ones_in_the_reports() {
    let readme = read("README.md");
    let reports: Vec<String> = [
        "check/self-desense",
        "check/inconclusive",
        "1-verdict",
        "2-desense",
        "2-tee",
        "3-search",
        "4-found",
        "5-proof",
        "6-verified",
    ]
    .map(|name| {
        let folder = if name.contains('/') { "" } else { "afternoon/" };
        read(&format!("reports/{folder}{name}.txt"))
    })
    .to_vec();
    let mut checked = 0;
    for block in readme.split("```text\n").skip(1) {
        let block = block.split("```").next().unwrap();
        let command = block.lines().next().unwrap();
        let report = reports
            .iter()
            .find(|r| r.starts_with(&format!("{command}\n")));
        let report = report.unwrap_or_else(|| panic!("no report of: {command}"));
        // What is left out is marked; what is shown comes in the report's order.
        let mut rest = report.as_str();
        for piece in block.split("...\n") {
            let at = rest.find(piece);
            let at = at.unwrap_or_else(|| panic!("not in the report any more:\n{piece}"));
            rest = &rest[at + piece.len()..];
            checked += 1;
        }
    }
    assert!(checked >= 15, "{checked}");
}

#[test]
fn the_first_two_are_what_the_program_says() {
    for name in ["self-desense", "inconclusive"] {
        let kept = read(&format!("reports/check/{name}.txt"));
        let command = kept.lines().next().unwrap();
        let words = command.strip_prefix("$ tailbeat ").unwrap();
        let run = assert_cmd::Command::cargo_bin("tailbeat")
            .unwrap()
            .args(words.split(' '))
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .env("COLUMNS", "80")
            .env("NO_COLOR", "1")
            .assert()
            .success();
        let said = String::from_utf8(run.get_output().stdout.clone()).unwrap();
        assert_eq!(kept, format!("{command}\n\n{said}"));
    }
}

#[test]
fn the_pictures_shown_are_there() {
    let readme = read("README.md");
    let mut seen = 0;
    for link in readme.split("](").skip(1) {
        let target = link.split(')').next().unwrap();
        if target.contains("://") {
            continue;
        }
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(target);
        assert!(path.exists(), "{target}");
        seen += usize::from(target.ends_with(".svg"));
    }
    assert!(seen >= 4, "{seen} pictures");
}
