//! Whole tables out and in, for backups: the same text from either engine, so that a backup of
//! one can be restored into the other.

use super::{Store, Work};
use crate::desk::fault::{Fault, Outcome};
use serde_json::{Map, Value};
use sqlx::any::{AnyRow, AnyTypeInfoKind};
use sqlx::{Column, Row, TypeInfo, ValueRef};

/// All tables, each after those that it refers to. Sessions end with the desk they belong to.
pub const TABLES: [&str; 14] = [
    "keepers",
    "openings",
    "bearers",
    "repeaters",
    "originals",
    "removals",
    "recordings",
    "results",
    "jobs",
    "cases",
    "case_recordings",
    "measurements",
    "notes",
    "audit",
];

impl Store {
    /// A table's rows, each as one line of JSON, as they are to this piece of work.
    ///
    /// # Errors
    /// The database fails.
    pub async fn dump(&self, look: &mut Work, table: &'static str) -> Outcome<String> {
        let sql = sqlx::AssertSqlSafe(format!("SELECT * FROM {table}"));
        let rows = sqlx::query(sql).fetch_all(&mut **look).await?;
        let mut text = String::new();
        for row in &rows {
            text.push_str(&Value::Object(object(row)?).to_string());
            text.push('\n');
        }
        Ok(text)
    }

    /// Whether nobody has ever used this database.
    ///
    /// # Errors
    /// The database fails.
    pub async fn is_unused(&self) -> Outcome<bool> {
        let sql = "SELECT (SELECT COUNT(*) FROM keepers) + (SELECT COUNT(*) FROM repeaters)";
        let count: i64 = sqlx::query_scalar(sql).fetch_one(&self.pool).await?;
        Ok(count == 0)
    }

    /// The objects of all originals, as they are to this piece of work.
    ///
    /// # Errors
    /// The database fails.
    pub async fn places(look: &mut Work) -> Outcome<Vec<String>> {
        let sql = "SELECT place FROM originals ORDER BY place";
        Ok(sqlx::query_scalar(sql).fetch_all(&mut **look).await?)
    }

    /// All originals with their objects.
    ///
    /// # Errors
    /// The database fails.
    pub async fn originals_in(work: &mut Work) -> Outcome<Vec<(String, String)>> {
        let sql = "SELECT sha256, place FROM originals ORDER BY place";
        Ok(sqlx::query_as(sql).fetch_all(&mut **work).await?)
    }

    /// An original lies in another object now.
    ///
    /// # Errors
    /// The database fails.
    pub async fn move_original(work: &mut Work, sha256: &str, place: &str) -> Outcome<()> {
        sqlx::query("UPDATE originals SET place = $1 WHERE sha256 = $2")
            .bind(place)
            .bind(sha256)
            .execute(&mut **work)
            .await?;
        Ok(())
    }

    /// Puts a row of a dump back.
    ///
    /// # Errors
    /// It does not fit the table, or the database fails.
    pub async fn put_back(work: &mut Work, table: &'static str, line: &str) -> Outcome<()> {
        let damaged = |what: String| Fault::Bad(format!("the backup is damaged: {table}: {what}"));
        let row: Map<String, Value> =
            serde_json::from_str(line).map_err(|fault| damaged(fault.to_string()))?;
        let kept: Vec<(&String, &Value)> = row.iter().filter(|(_, v)| !v.is_null()).collect();
        let plain = |name: &str| {
            name.bytes()
                .all(|b| b.is_ascii_lowercase() || b == b'_' || b.is_ascii_digit())
        };
        if let Some((name, _)) = kept.iter().find(|(name, _)| !plain(name)) {
            return Err(damaged(format!("{name} is no column")));
        }
        let names: Vec<&str> = kept.iter().map(|(name, _)| name.as_str()).collect();
        let places: Vec<String> = (1..=kept.len()).map(|n| format!("${n}")).collect();
        let sql = format!(
            "INSERT INTO {table} ({}) VALUES ({})",
            names.join(", "),
            places.join(", ")
        );
        let mut query = sqlx::query(sqlx::AssertSqlSafe(sql));
        for (name, value) in kept {
            query = match (value.as_i64(), value.as_f64(), value.as_str()) {
                (Some(number), _, _) => query.bind(number),
                (_, Some(number), _) => query.bind(number),
                (_, _, Some(text)) => query.bind(text.to_owned()),
                _ => return Err(damaged(format!("{name} is of no known kind"))),
            };
        }
        query.execute(&mut **work).await?;
        Ok(())
    }
}

fn object(row: &AnyRow) -> Outcome<Map<String, Value>> {
    let mut object = Map::new();
    for column in row.columns() {
        let at = column.ordinal();
        let raw = row.try_get_raw(at)?;
        let value = if raw.is_null() {
            Value::Null
        } else {
            match raw.type_info().kind() {
                AnyTypeInfoKind::Text => row.try_get::<String, _>(at)?.into(),
                AnyTypeInfoKind::Real | AnyTypeInfoKind::Double => {
                    row.try_get::<f64, _>(at)?.into()
                }
                AnyTypeInfoKind::SmallInt | AnyTypeInfoKind::Integer | AnyTypeInfoKind::BigInt => {
                    row.try_get::<i64, _>(at)?.into()
                }
                _ => {
                    let what = format!("a column of the kind {}", raw.type_info().name());
                    return Err(Fault::Broken(what));
                }
            }
        };
        object.insert(column.name().to_owned(), value);
    }
    Ok(object)
}
