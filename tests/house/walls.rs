//! The sources against the plan.

use crate::imports::{Import, imports, longest_climb};
use crate::plan::{BASEMENT, EXCEPTIONS, ROOMS, TYPE_FILES};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Every source file: its path under `src/` and its text, in order of name.
fn sources() -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    walk(&root, &mut files);
    files.sort();
    (files.iter())
        .map(|path| {
            let name = path.strip_prefix(&root).unwrap().to_str().unwrap();
            (
                name.replace('\\', "/"),
                std::fs::read_to_string(path).unwrap(),
            )
        })
        .collect()
}

fn walk(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            walk(&path, files);
        } else if path.extension().is_some_and(|e| e == "rs") {
            files.push(path);
        }
    }
}

fn room_of(file: &str) -> &str {
    let first = file.split('/').next().unwrap();
    first.strip_suffix(".rs").unwrap_or(first)
}

/// The room that a path leads to; the root's own names stand for where they come from.
fn leads_to(path: &str) -> &str {
    match path.split("::").next().unwrap() {
        "Error" | "Result" => "error",
        "Check" | "CheckOptions" | "check_file" => "check",
        room => room,
    }
}

fn within(path: &str, allowed: &str) -> bool {
    allowed == "*"
        || leads_to(path) == allowed
        || path
            .strip_prefix(allowed)
            .is_some_and(|rest| rest.is_empty() || rest.starts_with("::"))
}

fn planned(file: &str, path: &str) -> bool {
    let room = room_of(file);
    let (_, allowed) = (ROOMS.iter())
        .find(|(name, _)| *name == room)
        .unwrap_or_else(|| panic!("src/{file}: `{room}` has no place in tests/house/plan.rs"));
    leads_to(path) == room
        || BASEMENT.contains(&leads_to(path))
        || allowed.iter().any(|a| within(path, a))
}

fn excepted(file: &str, path: &str) -> bool {
    (EXCEPTIONS.iter()).any(|(where_, what, _)| *where_ == file && within(path, what))
}

fn list(faults: &[String]) -> String {
    format!("{} forbidden:\n{}", faults.len(), faults.join("\n"))
}

#[test]
fn nobody_looks_through_a_wall() {
    let mut faults = Vec::new();
    let mut seen = 0;
    for (file, text) in sources() {
        for Import { line, path } in imports(&text) {
            seen += 1;
            if !planned(&file, &path) && !excepted(&file, &path) {
                faults.push(format!("src/{file}:{line}: crate::{path}"));
            }
        }
    }
    assert!(seen > 300, "only {seen} imports were read");
    assert!(faults.is_empty(), "{}", list(&faults));
}

#[test]
fn type_files_see_only_the_basement_and_each_other() {
    let mut faults = Vec::new();
    for name in TYPE_FILES {
        let file = format!("{}.rs", name.replace("::", "/"));
        let (_, text) = (sources().into_iter())
            .find(|(f, _)| *f == file)
            .unwrap_or_else(|| panic!("src/{file} is missing"));
        for Import { line, path } in imports(&text) {
            let type_file = TYPE_FILES.iter().any(|t| within(&path, t));
            if !BASEMENT.contains(&leads_to(&path)) && !type_file {
                faults.push(format!("src/{file}:{line}: crate::{path}"));
            }
        }
        if longest_climb(&text) > 0 {
            faults.push(format!("src/{file}: super::"));
        }
    }
    assert!(faults.is_empty(), "{}", list(&faults));
}

/// Only `crate::` leads out of a room, so that the walls can be read off.
#[test]
fn nobody_climbs_out_of_a_room() {
    let mut faults = Vec::new();
    for (file, text) in sources() {
        // `a/mod.rs` is one level down, `a/b.rs` two.
        let depth = file.trim_end_matches("/mod.rs").split('/').count();
        let climb = longest_climb(&text);
        if climb >= depth {
            faults.push(format!("src/{file}: {}", "super::".repeat(climb)));
        }
    }
    assert!(faults.is_empty(), "{}", list(&faults));
}

#[test]
fn every_exception_is_still_needed() {
    let sources = sources();
    for (file, what, reason) in EXCEPTIONS {
        assert!(!reason.is_empty());
        let text = sources.iter().find(|(f, _)| f == file);
        let (_, text) = text.unwrap_or_else(|| panic!("src/{file} is gone"));
        let used = imports(text)
            .iter()
            .any(|i| within(&i.path, what) && !planned(file, &i.path));
        assert!(
            used,
            "src/{file} does not see {what} any more: strike it off"
        );
    }
}

#[test]
fn the_plan_names_what_there_is() {
    let rooms: BTreeSet<String> = sources()
        .iter()
        .map(|(f, _)| room_of(f).to_string())
        .collect();
    let planned: BTreeSet<String> = ROOMS.iter().map(|(name, _)| (*name).to_string()).collect();
    assert_eq!(rooms, planned);
}
