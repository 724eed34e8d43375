//! Tables as Parquet files, compressed by zstd, row group by row group.

use crate::error::{Error, Result};
use parquet::basic::{Compression, ZstdLevel};
use parquet::data_type::{BoolType, ByteArray, ByteArrayType, DataType, DoubleType, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::schema::parser::parse_message_type;
use std::io::Write;
use std::sync::Arc;

/// Rows of one table, column by column; every value may be unknown.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Name, which is the file's as well.
    pub name: &'static str,
    /// Columns of equal length.
    pub columns: Vec<Column>,
}

/// One column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Name.
    pub name: &'static str,
    /// Values.
    pub values: Values,
}

/// Values of one kind.
#[derive(Debug, Clone, PartialEq)]
pub enum Values {
    /// Words.
    Text(Vec<Option<String>>),
    /// Numbers.
    Real(Vec<Option<f64>>),
    /// Whole numbers.
    Whole(Vec<Option<i64>>),
    /// Yes or no.
    Flag(Vec<Option<bool>>),
    /// Microseconds of civil time from 1970-01-01 00:00.
    Time(Vec<Option<i64>>),
}

/// A table in the making from its rows.
pub struct Building<'a, R> {
    rows: &'a [R],
    table: Table,
}

impl Table {
    /// Begins a table of these rows.
    pub fn of<'a, R>(name: &'static str, rows: &'a [R]) -> Building<'a, R> {
        let columns = Vec::new();
        Building {
            rows,
            table: Self { name, columns },
        }
    }
}

macro_rules! column {
    ($(#[$doc:meta])* $method:ident, $kind:ident, $type:ty) => {
        $(#[$doc])*
        #[must_use]
        pub fn $method(mut self, name: &'static str, value: impl Fn(&R) -> Option<$type>) -> Self {
            let values = Values::$kind(self.rows.iter().map(value).collect());
            self.table.columns.push(Column { name, values });
            self
        }
    };
}

impl<R> Building<'_, R> {
    column! {
        /// A column of words.
        text, Text, String
    }
    column! {
        /// A column of numbers.
        real, Real, f64
    }
    column! {
        /// A column of whole numbers.
        whole, Whole, i64
    }
    column! {
        /// A column of yes and no.
        flag, Flag, bool
    }
    column! {
        /// A column of civil times.
        time, Time, i64
    }

    /// The table.
    pub fn done(self) -> Table {
        self.table
    }
}

/// One Parquet file that grows by row groups.
pub struct Writer<W: Write + Send> {
    file: String,
    inner: SerializedFileWriter<W>,
}

impl<W: Write + Send> Writer<W> {
    /// Begins a file for tables with the columns of `like`. `file` names it in errors.
    ///
    /// # Errors
    /// It cannot be written.
    pub fn new(out: W, file: &str, like: &Table) -> Result<Self> {
        let schema = message(like);
        let schema = parse_message_type(&schema).map_err(|e| failed(file, e))?;
        let properties = WriterProperties::builder()
            .set_compression(Compression::ZSTD(ZstdLevel::default()))
            .set_created_by(concat!("tailbeat ", env!("CARGO_PKG_VERSION")).to_owned())
            .build();
        let inner = SerializedFileWriter::new(out, Arc::new(schema), Arc::new(properties));
        Ok(Self {
            file: file.to_owned(),
            inner: inner.map_err(|e| failed(file, e))?,
        })
    }

    /// Adds a row group; an empty table adds none.
    ///
    /// # Errors
    /// It cannot be written.
    pub fn add(&mut self, table: &Table) -> Result<()> {
        let file = self.file.clone();
        self.group(table).map_err(|e| failed(&file, e))
    }

    fn group(&mut self, table: &Table) -> std::result::Result<(), ParquetError> {
        if table.columns.first().is_none_or(|c| c.values.is_empty()) {
            return Ok(());
        }
        let mut group = self.inner.next_row_group()?;
        for column in &table.columns {
            match &column.values {
                Values::Text(values) => {
                    let bytes = |s: &String| ByteArray::from(s.as_str());
                    put::<ByteArrayType, _, _>(&mut group, values, bytes)?;
                }
                Values::Real(values) => put::<DoubleType, _, _>(&mut group, values, |v| *v)?,
                Values::Flag(values) => put::<BoolType, _, _>(&mut group, values, |v| *v)?,
                Values::Whole(values) | Values::Time(values) => {
                    put::<Int64Type, _, _>(&mut group, values, |v| *v)?;
                }
            }
        }
        group.close()?;
        Ok(())
    }

    /// Ends the file.
    ///
    /// # Errors
    /// It cannot be written.
    pub fn finish(self) -> Result<W> {
        let file = self.file;
        self.inner.into_inner().map_err(|e| failed(&file, e))
    }
}

impl Values {
    fn is_empty(&self) -> bool {
        match self {
            Self::Text(v) => v.is_empty(),
            Self::Real(v) => v.is_empty(),
            Self::Whole(v) | Self::Time(v) => v.is_empty(),
            Self::Flag(v) => v.is_empty(),
        }
    }

    const fn written(&self) -> (&'static str, &'static str) {
        match self {
            Self::Text(_) => ("binary", " (STRING)"),
            Self::Real(_) => ("double", ""),
            Self::Whole(_) => ("int64", ""),
            Self::Flag(_) => ("boolean", ""),
            Self::Time(_) => ("int64", " (TIMESTAMP(MICROS,false))"),
        }
    }
}

/// The schema in the words of the Parquet format's own examples.
fn message(table: &Table) -> String {
    let mut text = format!("message {} {{", table.name);
    for column in &table.columns {
        let (kind, logical) = column.values.written();
        text.push_str(&format!(" optional {kind} {}{logical};", column.name));
    }
    text + " }"
}

fn put<D: DataType, T, F: Fn(&T) -> D::T>(
    group: &mut SerializedRowGroupWriter<'_, impl Write + Send>,
    values: &[Option<T>],
    written: F,
) -> std::result::Result<(), ParquetError> {
    let levels: Vec<i16> = values.iter().map(|v| i16::from(v.is_some())).collect();
    let known: Vec<D::T> = values.iter().flatten().map(written).collect();
    let Some(mut column) = group.next_column()? else {
        return Err(ParquetError::General("more columns than the schema".into()));
    };
    column
        .typed::<D>()
        .write_batch(&known, Some(&levels), None)?;
    column.close()
}

fn failed(file: &str, fault: ParquetError) -> Error {
    let source = match fault {
        ParquetError::External(inner) => match inner.downcast::<std::io::Error>() {
            Ok(io) => *io,
            Err(other) => std::io::Error::other(other),
        },
        other => std::io::Error::other(other),
    };
    Error::io(file, source)
}
