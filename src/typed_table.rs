//! Tables typed by hand or saved by a spreadsheet: rows that know their line, so that every
//! complaint can name it.

use crate::error::{Error, Result};

/// A table with a header line.
#[derive(Debug, Clone, PartialEq)]
pub struct TypedTable {
    file: String,
    header: Vec<String>,
    decimal_comma: bool,
    rows: Vec<(u64, Vec<String>)>,
}

/// One row of a [`TypedTable`].
#[derive(Debug, Clone, Copy)]
pub struct TypedRow<'a> {
    table: &'a TypedTable,
    cells: &'a [String],
    /// Line in the file, from 1.
    pub line: u64,
}

impl TypedTable {
    /// Reads comma-, semicolon- or tab-separated text; the header line tells which. Blank lines
    /// and lines that start with `#` are skipped. Where columns are parted by semicolons or tabs,
    /// a decimal comma is understood.
    ///
    /// # Errors
    /// No header line, a required column missing, a row of another length than the header.
    pub fn read(file: &str, text: &str, required: &[&str]) -> Result<Self> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let is_content = |line: &&str| !line.trim().is_empty() && !line.trim().starts_with('#');
        let expected = format!("the first line must read {}", required.join(","));
        let empty = || Error::BadSetting {
            place: file.into(),
            what: "the table is empty".into(),
            remedy: expected.clone(),
        };
        let Some(first) = text.lines().find(is_content) else {
            return Err(empty());
        };
        let delimiter = [b';', b'\t']
            .into_iter()
            .find(|d| first.contains(char::from(*d)));
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter.unwrap_or(b','))
            .has_headers(false)
            .flexible(true)
            .trim(csv::Trim::All)
            .comment(Some(b'#'))
            .from_reader(text.as_bytes());
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|e| Error::BadSetting {
                place: file.into(),
                what: format!("the table cannot be read ({e})"),
                remedy: "save it as plain CSV in UTF-8".into(),
            })?;
            // The reader's position lies before the comments and blanks that it skipped.
            let line = record.position().map_or(0, |position| {
                let rest = text.get(position.byte() as usize..).unwrap_or("");
                let skipped = rest.lines().take_while(|line| !is_content(line)).count();
                position.line() + skipped as u64
            });
            let cells: Vec<String> = record.iter().map(one_line).collect();
            if cells.iter().any(|cell| !cell.is_empty()) {
                rows.push((line, cells));
            }
        }
        if rows.is_empty() {
            return Err(empty());
        }
        let (header_line, header) = rows.remove(0);
        let header: Vec<String> = header.iter().map(|name| name.to_lowercase()).collect();
        let table = Self {
            file: file.into(),
            header,
            decimal_comma: delimiter.is_some(),
            rows,
        };
        if let Some(missing) = required.iter().find(|name| !table.has(name)) {
            return Err(table.complain(
                header_line,
                format!("the column {missing} is missing"),
                &expected,
            ));
        }
        let width = table.header.len();
        match table.rows.iter().find(|(_, cells)| cells.len() != width) {
            Some((line, cells)) => Err(table.complain(
                *line,
                format!("{} cells, but the header has {width}", cells.len()),
                "give every row as many cells as the header",
            )),
            None => Ok(table),
        }
    }

    /// Whether there is such a column.
    #[must_use]
    pub fn has(&self, column: &str) -> bool {
        self.header.iter().any(|name| name == column)
    }

    /// Rows in the order of the file.
    pub fn rows(&self) -> impl Iterator<Item = TypedRow<'_>> {
        self.rows.iter().map(|(line, cells)| TypedRow {
            table: self,
            cells,
            line: *line,
        })
    }

    /// An error that names the file and a line.
    #[must_use]
    pub fn complain(&self, line: u64, what: String, remedy: &str) -> Error {
        Error::BadSetting {
            place: format!("{} line {line}", self.file),
            what,
            remedy: remedy.into(),
        }
    }
}

/// A cell as one line: a stray quote can swallow the lines after it, and complaints repeat cells.
fn one_line(cell: &str) -> String {
    cell.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}

impl TypedRow<'_> {
    /// The cell's text; `None` where it is empty or there is no such column.
    #[must_use]
    pub fn text(&self, column: &str) -> Option<&str> {
        let at = self.table.header.iter().position(|name| name == column)?;
        Some(self.cells[at].as_str()).filter(|cell| !cell.is_empty())
    }

    /// The cell as a finite number; `None` where it is empty or there is no such column.
    ///
    /// # Errors
    /// There is something else in it.
    pub fn optional_number(&self, column: &str) -> Result<Option<f64>> {
        let Some(text) = self.text(column) else {
            return Ok(None);
        };
        let comma = self.table.decimal_comma && !text.contains('.');
        let spelled = if comma {
            text.replace(',', ".")
        } else {
            text.into()
        };
        match spelled.parse::<f64>() {
            Ok(number) if number.is_finite() => Ok(Some(number)),
            _ => Err(self.complain(
                format!("{column} is \"{text}\", which is not a number"),
                "write a bare number without its unit, such as 2.5",
            )),
        }
    }

    /// The cell as a finite number.
    ///
    /// # Errors
    /// It is empty or something else.
    pub fn number(&self, column: &str) -> Result<f64> {
        self.optional_number(column)?.ok_or_else(|| {
            self.complain(
                format!("{column} is empty"),
                "fill it in or take the row out",
            )
        })
    }

    /// An error that names the file and this line.
    #[must_use]
    pub fn complain(&self, what: String, remedy: &str) -> Error {
        self.table.complain(self.line, what, remedy)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refusal(text: &str) -> String {
        TypedTable::read("t.csv", text, &["a", "b"])
            .unwrap_err()
            .to_string()
    }

    #[test]
    fn rows_know_their_line_through_comments_and_blanks() {
        let text = "\u{feff}# mine\n\nA;b\n1,5;x\n\n# note\n2;\n";
        let table = TypedTable::read("t.csv", text, &["a", "b"]).unwrap();
        let rows: Vec<_> = table.rows().collect();
        assert_eq!((rows[0].line, rows[1].line), (4, 7));
        assert_eq!(rows[0].number("a").unwrap(), 1.5);
        assert_eq!(rows[1].text("b"), None);
        assert_eq!(
            rows[0].number("b").unwrap_err().to_string(),
            "t.csv line 4: b is \"x\", which is not a number; write a bare number without its \
             unit, such as 2.5"
        );
    }

    #[test]
    fn complaints_name_the_line_and_the_remedy() {
        assert_eq!(
            refusal("# x\na,c\n1,2\n"),
            "t.csv line 2: the column b is missing; the first line must read a,b"
        );
        assert_eq!(
            refusal("a,b\n1,2\n1\n"),
            "t.csv line 3: 1 cells, but the header has 2; give every row as many cells as the \
             header"
        );
        assert!(refusal("\n# nothing\n").contains("empty"));
    }
}
