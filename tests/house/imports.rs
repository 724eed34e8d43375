//! Reads the crate's own paths off a source file: `use` lines and paths within the code.

/// A path to another part of the crate, such as `cause::verdict::Label`, and its line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Import {
    /// Counted from 1.
    pub line: usize,
    /// Without `crate::`.
    pub path: String,
}

/// Every path that starts at the root of the crate.
pub fn imports(source: &str) -> Vec<Import> {
    let code = without_comments(source);
    let mut found = Vec::new();
    for (at, word) in code.match_indices("crate::") {
        if !starts_a_word(&code, at) {
            continue;
        }
        let line = code[..at].matches('\n').count() + 1;
        let mut paths = Vec::new();
        tree(&code[at + word.len()..], String::new(), &mut paths);
        found.extend(paths.into_iter().map(|path| Import { line, path }));
    }
    found
}

/// The longest chain of `super::` in a file, outside its own `mod tests`.
pub fn longest_climb(source: &str) -> usize {
    let code = without_comments(source);
    let body = code.split("#[cfg(test)]\nmod tests {").next().unwrap();
    let mut longest = 0;
    for (at, _) in body.match_indices("super::") {
        let mut rest = &body[at..];
        let mut length = 0;
        while let Some(after) = rest.strip_prefix("super::") {
            rest = after;
            length += 1;
        }
        longest = longest.max(length);
    }
    longest
}

fn starts_a_word(code: &str, at: usize) -> bool {
    let before = code[..at].chars().next_back();
    !before.is_some_and(|c| c.is_alphanumeric() || c == '_')
}

/// Comments become nothing; lines stay lines. Two slashes within a string end the line too, and
/// no path follows a string on its line.
fn without_comments(source: &str) -> String {
    let lines = (source.lines()).map(|line| line.split("//").next().unwrap_or_default());
    lines.flat_map(|line| [line, "\n"]).collect()
}

/// Flattens `a::{b, c::{d, e}}` into its paths; returns what follows.
fn tree<'a>(code: &'a str, before: String, paths: &mut Vec<String>) -> &'a str {
    let code = code.trim_start();
    if let Some(mut rest) = code.strip_prefix('{') {
        loop {
            rest = rest.trim_start();
            if let Some(after) = rest.strip_prefix('}') {
                return after;
            }
            rest = tree(rest, before.clone(), paths).trim_start();
            match (rest.strip_prefix(','), rest.find(['}', ','])) {
                (Some(after), _) => rest = after,
                // What follows a name, as in `name as other`.
                (None, Some(end)) => rest = &rest[end..],
                (None, None) => return rest,
            }
        }
    }
    let length = (code.find(|c: char| !(c.is_alphanumeric() || c == '_'))).unwrap_or(code.len());
    let path = match (&code[..length], before.is_empty()) {
        ("" | "self", _) => before,
        (name, true) => name.to_string(),
        (name, false) => format!("{before}::{name}"),
    };
    let rest = &code[length..];
    match rest.strip_prefix("::") {
        Some(after)
            if after
                .trim_start()
                .starts_with(|c: char| c.is_alphanumeric() || "_{".contains(c)) =>
        {
            tree(after, path, paths)
        }
        // A glob or a type's parameters: the path so far is what counts.
        _ => {
            paths.push(path);
            rest
        }
    }
}

#[test]
fn every_way_of_writing_a_path_is_read() {
    let source = "//! [`crate::error`]\n\
        use crate::{cause, intake::{self, recording::Recording as R}};\n\
        use crate::units::*;\n\
        fn f() -> crate::Result<()> { g(crate::site::cost::f::<u8>(1)) } // crate::cli\n\
        use my_crate::nothing;\n";
    let read: Vec<String> = imports(source)
        .into_iter()
        .map(|i| format!("{} {}", i.line, i.path))
        .collect();
    assert_eq!(
        read,
        [
            "2 cause",
            "2 intake",
            "2 intake::recording::Recording",
            "3 units",
            "4 Result",
            "4 site::cost::f"
        ]
    );
}

#[test]
fn climbing_is_counted() {
    assert_eq!(longest_climb("use super::x;\n"), 1);
    assert_eq!(longest_climb("f(super::super::start::g());\n"), 2);
    let tested = "use super::x;\n#[cfg(test)]\nmod tests {\n    use super::super::y;\n}\n";
    assert_eq!(longest_climb(tested), 1);
}
