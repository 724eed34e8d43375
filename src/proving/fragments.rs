//! Corpus files are fragments of a scenario family that are laid over each other: what varies in
//! every scene, then the chain from the listener's set to the file, then the scene on the air.
//!
//! A fragment may hold `choice` tables: of each group one table is drawn and laid over it, so
//! that values which belong together are drawn together, and a thing can also be absent:
//!
//! ```toml
//! [[choice.courtesy]]
//!
//! [[choice.courtesy]]
//! repeater.courtesy.delay_s = { from = 0.2, to = 1.5 }
//! ```

use crate::error::{Error, Result};
use crate::simulate::rng::stream;
use rand::RngExt;
use toml::{Table, Value};

/// Lays `fragments` over each other, later ones on top, drawing their choices by `seed`.
///
/// # Errors
/// [`Error::BadSetting`] for a `choice` that is not a table of lists of tables.
pub fn lay(fragments: &[(&str, &Table)], seed: u64) -> Result<Table> {
    let mut scene = Table::new();
    for (file, fragment) in fragments {
        let mut fragment = (*fragment).clone();
        let choices = fragment.remove("choice");
        overlay(&mut scene, fragment);
        match choices {
            None => {}
            Some(Value::Table(groups)) => {
                for (group, options) in groups {
                    overlay(&mut scene, pick(&group, options, file, seed)?);
                }
            }
            Some(_) => return Err(bad(file, "choice")),
        }
    }
    Ok(scene)
}

fn pick(group: &str, options: Value, file: &str, seed: u64) -> Result<Table> {
    let key = format!("choice.{group}");
    let Value::Array(options) = options else {
        return Err(bad(file, &key));
    };
    if options.is_empty() {
        return Err(bad(file, &key));
    }
    let index = stream(seed, &key).random_range(0..options.len());
    match options.into_iter().nth(index) {
        Some(Value::Table(table)) => Ok(table),
        _ => Err(bad(file, &key)),
    }
}

/// Lays `top` over `base`: tables merge key by key, everything else is replaced. A range or a
/// list of alternatives is a value, not a table.
fn overlay(base: &mut Table, top: Table) {
    for (key, value) in top {
        match (base.get_mut(&key), value) {
            (Some(Value::Table(below)), Value::Table(above))
                if !is_drawn(below) && !is_drawn(&above) =>
            {
                overlay(below, above);
            }
            (_, value) => {
                base.insert(key, value);
            }
        }
    }
}

fn is_drawn(table: &Table) -> bool {
    table.contains_key("any_of") || (table.contains_key("from") && table.contains_key("to"))
}

fn bad(file: &str, key: &str) -> Error {
    Error::BadSetting {
        place: format!("{file}: key `{key}`"),
        what: "is no list of tables".into(),
        remedy: format!("write [[{key}]] blocks, an empty one for `nothing`"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(text: &str) -> Table {
        text.parse().unwrap()
    }

    #[test]
    fn later_fragments_win_and_ranges_are_values() {
        let below = table("a = 1\n[r]\nhang_s = { from = 1, to = 2 }\nkey = 3\n[r.s]\nx = 1");
        let above = table("a = 2\n[r]\nhang_s = { any_of = [4, 5] }\n[r.s]\ny = 2");
        let laid = lay(&[("below", &below), ("above", &above)], 0).unwrap();
        let expected =
            table("a = 2\n[r]\nhang_s = { any_of = [4, 5] }\nkey = 3\n[r.s]\nx = 1\ny = 2");
        assert_eq!(laid, expected);
    }

    #[test]
    fn of_each_group_one_is_drawn_by_seed() {
        let fragment = table("[[choice.g]]\n[[choice.g]]\nx = 1\n[[choice.h]]\ny = 2");
        let mut seen = std::collections::BTreeSet::new();
        for seed in 0..40 {
            let laid = lay(&[("f", &fragment)], seed).unwrap();
            assert_eq!(laid, lay(&[("f", &fragment)], seed).unwrap());
            assert_eq!(laid.get("y"), Some(&Value::Integer(2)));
            assert!(!laid.contains_key("choice"));
            seen.insert(laid.contains_key("x"));
        }
        assert_eq!(seen.len(), 2);
    }

    #[test]
    fn what_is_no_choice_is_named() {
        let error = lay(&[("f.toml", &table("choice.g = 3"))], 0)
            .unwrap_err()
            .to_string();
        assert!(error.starts_with("f.toml: key `choice.g`"), "{error}");
        assert!(lay(&[("f.toml", &table("choice = 3"))], 0).is_err());
    }
}
