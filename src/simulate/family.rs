//! A family: a scenario whose values may be ranges, so that one file makes hundreds of different
//! renderings. Written for corpora; a plain scenario is a family without ranges.
//!
//! Anywhere where a scenario takes a value, a family also takes
//!
//! | written | drawn |
//! |---|---|
//! | `{ from = 4, to = 14 }` | evenly between the ends |
//! | `{ from = 0.05, to = 5, log = true }` | evenly in the logarithm |
//! | `{ from = 2, to = 6, whole = true }` | a whole number, ends included |
//! | `{ any_of = [0, 8000, 16000] }` | one of the values, which may be tables or ranges themselves |
//!
//! Each value draws from the seed and its own key, so that adding one range leaves the others as
//! they were.

use super::rng::stream;
use super::scenario::Scenario;
use crate::error::{Error, Result};
use rand::RngExt;
use toml::{Table, Value};

/// A scenario file with ranges.
#[derive(Debug, Clone, PartialEq)]
pub struct Family {
    name: String,
    file: String,
    table: Table,
}

impl Family {
    /// Reads a family from TOML text; `file` is only for messages.
    ///
    /// # Errors
    /// [`Error::BadSetting`] for TOML that does not parse, or that does not make a sound scenario
    /// when drawn with seed 0.
    pub fn from_toml(text: &str, file: &str) -> Result<Self> {
        let table: Table = text
            .parse()
            .map_err(|e| Scenario::toml_error(file, text, &e))?;
        let name = match table.get("name") {
            Some(Value::String(name)) => name.clone(),
            _ => {
                return Err(bad(
                    file,
                    "name",
                    "is missing or not text",
                    "write name = \"...\"",
                ));
            }
        };
        if !has_ranges(&Value::Table(table.clone())) {
            // Read straight from the text, errors can name the line.
            Scenario::from_toml(text, file)?;
        }
        let family = Self {
            name,
            file: file.into(),
            table,
        };
        family.draw(0)?;
        Ok(family)
    }

    /// The scenario's name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The scenario that belongs to `seed`: every range replaced by a value.
    ///
    /// # Errors
    /// [`Error::BadSetting`] naming file, key and remedy.
    pub fn draw(&self, seed: u64) -> Result<Scenario> {
        let drawn = self.resolve(&Value::Table(self.table.clone()), "", seed)?;
        let scenario: Scenario = drawn
            .try_into()
            .map_err(|e| Scenario::toml_error(&self.file, "", &e))?;
        scenario.validated(&self.file)
    }

    fn resolve(&self, value: &Value, path: &str, seed: u64) -> Result<Value> {
        match value {
            Value::Table(table) if is_range(table) => self.draw_range(table, path, seed),
            Value::Table(table) if table.len() == 1 && table.contains_key("any_of") => {
                let Some(Value::Array(choices)) = table.get("any_of") else {
                    return Err(bad(
                        &self.file,
                        path,
                        "any_of is not a list",
                        "write [a, b]",
                    ));
                };
                if choices.is_empty() {
                    return Err(bad(&self.file, path, "any_of is empty", "give it a value"));
                }
                let index = stream(seed, path).random_range(0..choices.len());
                self.resolve(&choices[index], &format!("{path}#{index}"), seed)
            }
            Value::Table(table) => {
                let mut out = Table::new();
                for (key, inner) in table {
                    let inner_path = if path.is_empty() {
                        key.clone()
                    } else {
                        format!("{path}.{key}")
                    };
                    out.insert(key.clone(), self.resolve(inner, &inner_path, seed)?);
                }
                Ok(Value::Table(out))
            }
            Value::Array(items) => items
                .iter()
                .enumerate()
                .map(|(i, item)| self.resolve(item, &format!("{path}.{i}"), seed))
                .collect::<Result<Vec<_>>>()
                .map(Value::Array),
            other => Ok(other.clone()),
        }
    }

    fn draw_range(&self, table: &Table, path: &str, seed: u64) -> Result<Value> {
        let number = |key: &str| match table.get(key) {
            Some(Value::Integer(n)) => Ok(*n as f64),
            Some(Value::Float(x)) if x.is_finite() => Ok(*x),
            _ => Err(bad(
                &self.file,
                path,
                &format!("{key} is not a number"),
                "write a number",
            )),
        };
        let flag = |key: &str| matches!(table.get(key), Some(Value::Boolean(true)));
        let (from, to) = (number("from")?, number("to")?);
        if from > to {
            return Err(bad(
                &self.file,
                path,
                "from is greater than to",
                "swap them",
            ));
        }
        let mut rng = stream(seed, path);
        if flag("whole") {
            let (first, last) = (from.ceil() as i64, to.floor() as i64);
            if first > last {
                return Err(bad(&self.file, path, "holds no whole number", "widen it"));
            }
            return Ok(Value::Integer(rng.random_range(first..=last)));
        }
        let u: f64 = rng.random();
        if !flag("log") {
            return Ok(Value::Float(from + u * (to - from)));
        }
        if from <= 0.0 {
            return Err(bad(
                &self.file,
                path,
                "log needs from above 0",
                "raise from",
            ));
        }
        Ok(Value::Float(from * (to / from).powf(u)))
    }
}

/// A table that is a range and nothing else.
fn is_range(table: &Table) -> bool {
    table.contains_key("from")
        && table.contains_key("to")
        && table
            .keys()
            .all(|k| matches!(k.as_str(), "from" | "to" | "log" | "whole"))
}

fn has_ranges(value: &Value) -> bool {
    match value {
        Value::Table(table) => {
            is_range(table) || table.contains_key("any_of") || table.values().any(has_ranges)
        }
        Value::Array(items) => items.iter().any(has_ranges),
        _ => false,
    }
}

fn bad(file: &str, key: &str, what: &str, remedy: &str) -> Error {
    Error::BadSetting {
        place: format!("{file}: key `{key}`"),
        what: what.into(),
        remedy: remedy.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::Family;
    use crate::cause::verdict::Cause;

    const TEXT: &str = r#"
name = "ranges"
cause = "self_desense"
[repeater]
hang_s = { any_of = [{ from = 1, to = 2 }, 5.0] }
desense.db = { from = 4, to = 14 }
[[user]]
hold = [[{ from = 1, to = 2, whole = true }, 30]]
[recorder]
rate_hz = { any_of = [8000, 16000] }
"#;

    #[test]
    fn a_seed_draws_within_the_ranges_and_repeats() {
        let family = Family::from_toml(TEXT, "ranges.toml").unwrap();
        let mut rates = std::collections::BTreeSet::new();
        for seed in 0..50 {
            let scene = family.draw(seed).unwrap();
            assert_eq!(scene, family.draw(seed).unwrap());
            assert_eq!(scene.cause, Cause::SelfDesense);
            assert!((4.0..=14.0).contains(&scene.repeater.desense.db));
            assert!([1.0, 2.0].contains(&scene.users[0].hold[0][0]));
            let hang = scene.repeater.hang_s;
            assert!(hang == 5.0 || (1.0..=2.0).contains(&hang));
            rates.insert(scene.recorder.rate_hz);
        }
        assert_eq!(rates.len(), 2);
    }

    #[test]
    fn one_more_range_leaves_the_other_draws_alone() {
        let more = TEXT.replace("[[user]]", "key_delay_s = { from = 0, to = 1 }\n[[user]]");
        let (a, b) = (
            Family::from_toml(TEXT, "a").unwrap(),
            Family::from_toml(&more, "b").unwrap(),
        );
        let (a, b) = (a.draw(7).unwrap(), b.draw(7).unwrap());
        assert_eq!(a.repeater.desense.db, b.repeater.desense.db);
        assert_ne!(a.repeater.key_delay_s, b.repeater.key_delay_s);
    }

    #[test]
    fn errors_name_file_and_key() {
        for (from, to, expected) in [
            ("db = {", "dB = {", "dB"),
            (
                "from = 4, to = 14",
                "from = 14, to = 4",
                "repeater.desense.db",
            ),
            ("[8000, 16000]", "[]", "recorder.rate_hz"),
            (
                "from = 4, to = 14",
                "from = 70, to = 71",
                "repeater.desense.db",
            ),
            (
                "from = 1, to = 2, whole",
                "from = 1.2, to = 1.4, whole",
                "user.0.hold.0.0",
            ),
        ] {
            let error = Family::from_toml(&TEXT.replace(from, to), "f.toml").unwrap_err();
            let text = error.to_string();
            assert!(
                text.starts_with("f.toml") && text.contains(expected),
                "{text}"
            );
        }
    }
}
