//! Rows as Parquet, group by group, so that no more than a group is ever in memory.
//!
//! Such a file is of no use before its end is written. So rows are kept as text beside it until all are there, where a
//! run that was killed takes them up again; the file itself appears whole, under its name, or not at all.

use std::fs::File;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use coolwright::ask::Grid;
use coolwright::ask::grid::{Column, Field, Holds};
use coolwright::refusal::Refusal;
use parquet::basic::{LogicalType, Repetition, Type as Physical};
use parquet::column::reader::{ColumnReader, ColumnReaderImpl};
use parquet::data_type::{ByteArray, ByteArrayType, DataType, DoubleType, Int64Type};
use parquet::errors::{ParquetError, Result as Written};
use parquet::file::properties::{EnabledStatistics, WriterProperties};
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::schema::types::Type;

use super::super::files::{self, Beside};
use super::text::Rows as Text;
use super::{Counted, foreign, no_piece, of_file};

/// So many rows are a group: what is in memory at once.
const GROUP: usize = 4096;

/// Whether a file of this name is one.
pub(super) fn is_meant(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("parquet"))
}

/// Where the rows of a file are kept until all are there.
pub(super) fn kept(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".part");
    PathBuf::from(name)
}

fn refused(path: &Path, error: &ParquetError) -> Refusal {
    of_file(path, &error.to_string())
}

/// Turns the rows that were kept into the file, and takes them away.
pub(super) fn turn(path: &Path, grid: &Grid<'_>) -> Result<(), Refusal> {
    let kept = kept(path);
    let mut rows = Text::open(&kept, grid)?;
    let mut out = Out::new(path, grid)?;
    while let Some((_, row)) = rows.next(grid)? {
        out.write(&row)?;
    }
    out.done()?;
    std::fs::remove_file(&kept).map_err(|error| of_file(&kept, &files::message(&error)))
}

/// Counts the rows of a file that is there already, which must be all of these cases.
pub(super) fn count(
    path: &Path,
    grid: &Grid<'_>,
    cases: Range<usize>,
    counted: &mut Counted,
) -> Result<(), Refusal> {
    let mut rows = Rows::open(path, grid).map_err(|_| foreign(path))?;
    for wanted in cases {
        match rows.next(grid)? {
            Some((case, row)) if case == wanted => counted.count(grid, &row),
            _ => return Err(foreign(path)),
        }
    }
    if rows.next(grid)?.is_some() {
        return Err(foreign(path));
    }
    // A kill may have left the rows that it was made from.
    let kept = kept(path);
    if kept.exists() && Text::open(&kept, grid).is_ok() {
        std::fs::remove_file(&kept).map_err(|error| of_file(&kept, &files::message(&error)))?;
    }
    Ok(())
}

/// A file that is written beside its place until it is whole.
pub(super) struct Out {
    writer: SerializedFileWriter<File>,
    place: Beside,
    path: PathBuf,
    columns: Vec<Column>,
    rows: Vec<Vec<Field>>,
}

impl Out {
    pub(super) fn new(path: &Path, grid: &Grid<'_>) -> Result<Self, Refusal> {
        let said = |error: std::io::Error| of_file(path, &files::message(&error));
        let place = Beside::new(path).map_err(said)?;
        let columns = grid.columns();
        let file = place.file().map_err(said)?;
        let writer = schema(&columns)
            .and_then(|schema| SerializedFileWriter::new(file, schema, Arc::new(properties())));
        let writer = writer.map_err(|error| refused(path, &error))?;
        Ok(Self { writer, place, path: path.to_owned(), columns, rows: Vec::new() })
    }

    pub(super) fn write(&mut self, row: &str) -> Result<(), Refusal> {
        self.rows.push(Grid::fields(&self.columns, row));
        if self.rows.len() < GROUP { Ok(()) } else { self.group() }
    }

    /// Writes what has come as a group.
    fn group(&mut self) -> Result<(), Refusal> {
        let rows = std::mem::take(&mut self.rows);
        let written = self.writer.next_row_group().and_then(|mut group| {
            for (k, column) in self.columns.iter().enumerate() {
                let fields = rows.iter().map(|row| row.get(k).unwrap_or(&Field::Empty));
                match column.holds {
                    Holds::Counts => column_of::<Int64Type>(&mut group, fields, |field| {
                        if let Field::Count(count) = field { Some(*count) } else { None }
                    }),
                    Holds::Numbers => column_of::<DoubleType>(&mut group, fields, |field| {
                        if let Field::Number(number) = field { Some(*number) } else { None }
                    }),
                    Holds::Words => column_of::<ByteArrayType>(&mut group, fields, |field| {
                        if let Field::Words(text) = field {
                            Some(text.as_str().into())
                        } else {
                            None
                        }
                    }),
                }?;
            }
            group.close().map(|_| ())
        });
        written.map_err(|error| refused(&self.path, &error))
    }

    /// Writes the rest and the end, and puts the file in its place.
    pub(super) fn done(mut self) -> Result<(), Refusal> {
        if !self.rows.is_empty() {
            self.group()?;
        }
        self.writer.close().map_err(|error| refused(&self.path, &error))?;
        self.place.placed().map_err(|error| of_file(&self.path, &files::message(&error)))
    }
}

/// Nothing is compressed but words that come again and again, and no statistics are kept of single pages.
fn properties() -> WriterProperties {
    WriterProperties::builder()
        .set_created_by(concat!("coolwright ", env!("CARGO_PKG_VERSION")).to_owned())
        .set_statistics_enabled(EnabledStatistics::Chunk)
        .set_offset_index_disabled(true)
        .build()
}

/// The columns, headings and all, as the file tells them.
fn schema(columns: &[Column]) -> Written<Arc<Type>> {
    let fields: Written<Vec<Arc<Type>>> = columns
        .iter()
        .map(|column| {
            let of = |physical| Type::primitive_type_builder(&column.heading, physical);
            let kind = match column.holds {
                Holds::Counts => of(Physical::INT64),
                Holds::Numbers => of(Physical::DOUBLE),
                Holds::Words => {
                    of(Physical::BYTE_ARRAY).with_logical_type(Some(LogicalType::String))
                }
            };
            kind.with_repetition(Repetition::OPTIONAL).build().map(Arc::new)
        })
        .collect();
    Type::group_type_builder("rows").with_fields(fields?).build().map(Arc::new)
}

/// Writes a column of a group; a field that gives nothing is none.
fn column_of<'f, T: DataType>(
    group: &mut SerializedRowGroupWriter<'_, File>,
    fields: impl Iterator<Item = &'f Field>,
    value: impl Fn(&Field) -> Option<T::T>,
) -> Written<()> {
    let (mut values, mut there) = (Vec::new(), Vec::new());
    for field in fields {
        let value = value(field);
        there.push(i16::from(value.is_some()));
        values.extend(value);
    }
    let Some(mut column) = group.next_column()? else {
        return Err(ParquetError::General("a column too many".to_owned()));
    };
    column.typed::<T>().write_batch(&values, Some(&there), None)?;
    column.close()
}

/// The rows of a file.
pub(super) struct Rows<'p> {
    reader: SerializedFileReader<File>,
    path: &'p Path,
    /// The next group, and what is left of the one before.
    next: usize,
    read: std::vec::IntoIter<Vec<Field>>,
}

impl<'p> Rows<'p> {
    pub(super) fn open(path: &'p Path, grid: &Grid<'_>) -> Result<Self, Refusal> {
        let file = File::open(path).map_err(|error| of_file(path, &files::message(&error)))?;
        let reader = SerializedFileReader::new(file).map_err(|error| refused(path, &error))?;
        let wanted = schema(&grid.columns()).map_err(|error| refused(path, &error))?;
        if *reader.metadata().file_metadata().schema() != *wanted {
            return Err(no_piece(path));
        }
        Ok(Self { reader, path, next: 0, read: Vec::new().into_iter() })
    }

    pub(super) fn next(&mut self, grid: &Grid<'_>) -> Result<Option<(usize, String)>, Refusal> {
        while self.read.len() == 0 {
            if self.next == self.reader.num_row_groups() {
                return Ok(None);
            }
            let rows = self.group().map_err(|error| refused(self.path, &error))?;
            self.read = rows.into_iter();
            self.next += 1;
        }
        let Some(row) = self.read.next().map(|fields| Grid::row_of(&fields)) else {
            return Ok(None);
        };
        match grid.is_own(&row) {
            Some(case) => Ok(Some((case, row))),
            None => Err(of_file(self.path, "a row of it is of another grid")),
        }
    }

    /// The rows of the next group.
    fn group(&self) -> Written<Vec<Vec<Field>>> {
        let group = self.reader.get_row_group(self.next)?;
        let count = usize::try_from(group.metadata().num_rows()).unwrap_or(0);
        let mut rows: Vec<Vec<Field>> = vec![Vec::new(); count];
        for k in 0..group.num_columns() {
            match group.get_column_reader(k)? {
                ColumnReader::Int64ColumnReader(of) => into(&mut rows, of, Field::Count)?,
                ColumnReader::DoubleColumnReader(of) => into(&mut rows, of, Field::Number)?,
                ColumnReader::ByteArrayColumnReader(of) => {
                    into(&mut rows, of, |bytes| words(&bytes))?;
                }
                _ => return Err(ParquetError::General("a column of another kind".to_owned())),
            }
        }
        Ok(rows)
    }
}

fn words(bytes: &ByteArray) -> Field {
    Field::Words(String::from_utf8_lossy(bytes.data()).into_owned())
}

/// Puts the values of a column behind each row.
fn into<T: DataType>(
    rows: &mut [Vec<Field>],
    mut column: ColumnReaderImpl<T>,
    field: impl Fn(T::T) -> Field,
) -> Written<()> {
    let (mut there, mut values) = (Vec::new(), Vec::new());
    while there.len() < rows.len() {
        let before = there.len();
        column.read_records(rows.len() - before, Some(&mut there), None, &mut values)?;
        if there.len() == before {
            return Err(ParquetError::General("a column ends before its rows".to_owned()));
        }
    }
    let mut values = values.into_iter();
    for (row, there) in rows.iter_mut().zip(there) {
        let value = if there == 1 { values.next() } else { None };
        row.push(value.map_or(Field::Empty, &field));
    }
    Ok(())
}
