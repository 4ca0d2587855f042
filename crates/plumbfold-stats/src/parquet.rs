//! Records as a Parquet file (Apache Parquet format 2.x), which data tools read with its types: one
//! table, its columns as in the CSV. Only what that takes is written: one row group, one plain page a
//! column, nothing packed; the frame round it is Thrift's compact protocol.

use crate::exchange::{Column, columns};
use crate::record::{Cell, Entry, Kind};

/// Beginning and end of every such file.
const MAGIC: &[u8; 4] = b"PAR1";
/// Types of columns.
const DOUBLE: i64 = 5;
const BYTE_ARRAY: i64 = 6;
/// Encodings of values and of whether there is one.
const PLAIN: i64 = 0;
const RLE: i64 = 3;

/// Records as one table: the fields of every kind there can be side by side, empty where a record has
/// none, so that tables of several notebooks can be put under each other.
pub fn to_parquet(entries: &[Entry]) -> Vec<u8> {
    let columns = columns(entries, Kind::EVERY.iter().copied());
    let mut file = MAGIC.to_vec();
    let rows = entries.len() as i64;
    let chunks: Vec<Chunk> = columns.iter().map(|c| Chunk::write(&mut file, c, rows)).collect();
    let mut meta = Thrift::default();
    meta.int(1, 1);
    meta.list(2, STRUCT, columns.len() + 1);
    meta.begin();
    meta.text(4, "records");
    meta.int(5, columns.len() as i64);
    meta.end();
    for column in &columns {
        meta.begin();
        meta.int(1, kind(column));
        // There or not.
        meta.int(3, 1);
        meta.text(4, column.name);
        if kind(column) == BYTE_ARRAY {
            // Letters in UTF-8.
            meta.int(6, 0);
        }
        meta.end();
    }
    meta.long(3, rows);
    meta.list(4, STRUCT, 1);
    meta.begin();
    meta.list(1, STRUCT, columns.len());
    for (column, chunk) in columns.iter().zip(&chunks) {
        meta.begin();
        meta.long(2, chunk.at);
        meta.nested(3);
        meta.int(1, kind(column));
        meta.list(2, INT, 2);
        meta.element(PLAIN);
        meta.element(RLE);
        meta.list(3, BINARY, 1);
        meta.bytes(column.name);
        meta.int(4, 0);
        meta.long(5, rows);
        meta.long(6, chunk.size);
        meta.long(7, chunk.size);
        meta.long(9, chunk.at);
        meta.end();
        meta.end();
    }
    meta.long(2, chunks.iter().map(|c| c.size).sum());
    meta.long(3, rows);
    meta.end();
    meta.text(6, "plumbfold");
    meta.out.push(0);
    file.extend(&meta.out);
    file.extend((meta.out.len() as u32).to_le_bytes());
    file.extend(MAGIC);
    file
}

/// The type of a column.
fn kind(column: &Column<'_>) -> i64 {
    if column.numeric { DOUBLE } else { BYTE_ARRAY }
}

/// Where a column stands in the file.
struct Chunk {
    at: i64,
    size: i64,
}

impl Chunk {
    fn write(file: &mut Vec<u8>, column: &Column<'_>, rows: i64) -> Self {
        let mut levels = Vec::new();
        let there = |c: &Cell| !matches!(c, Cell::Empty);
        for run in column.cells.chunk_by(|a, b| there(a) == there(b)) {
            varint(&mut levels, (run.len() as u64) << 1);
            levels.push(u8::from(there(&run[0])));
        }
        let mut page = (levels.len() as u32).to_le_bytes().to_vec();
        page.extend(levels);
        for cell in &column.cells {
            match cell {
                Cell::Empty => {}
                Cell::Number(n) if column.numeric => page.extend(n.to_le_bytes()),
                Cell::Number(n) => put(&mut page, &n.to_string()),
                Cell::Text(text) => put(&mut page, text),
            }
        }
        let mut head = Thrift::default();
        head.int(1, 0);
        head.int(2, page.len() as i64);
        head.int(3, page.len() as i64);
        head.nested(5);
        head.int(1, rows);
        head.int(2, PLAIN);
        head.int(3, RLE);
        head.int(4, RLE);
        head.end();
        head.out.push(0);
        let at = file.len() as i64;
        file.extend(head.out);
        file.extend(page);
        Self { at, size: file.len() as i64 - at }
    }
}

fn put(page: &mut Vec<u8>, text: &str) {
    page.extend((text.len() as u32).to_le_bytes());
    page.extend(text.as_bytes());
}

/// Types of Thrift's compact protocol.
const INT: u8 = 5;
const LONG: u8 = 6;
const BINARY: u8 = 8;
const LIST: u8 = 9;
const STRUCT: u8 = 12;

/// Structures in Thrift's compact protocol: fields in rising order.
#[derive(Default)]
struct Thrift {
    out: Vec<u8>,
    /// Number of the last field, of this structure and of those round it.
    last: u8,
    round: Vec<u8>,
}

impl Thrift {
    fn field(&mut self, number: u8, of: u8) {
        self.out.push((number - self.last) << 4 | of);
        self.last = number;
    }

    fn int(&mut self, number: u8, value: i64) {
        self.field(number, INT);
        self.element(value);
    }

    fn long(&mut self, number: u8, value: i64) {
        self.field(number, LONG);
        self.element(value);
    }

    /// A whole number, zigzag.
    fn element(&mut self, value: i64) {
        varint(&mut self.out, ((value << 1) ^ (value >> 63)) as u64);
    }

    fn text(&mut self, number: u8, text: &str) {
        self.field(number, BINARY);
        self.bytes(text);
    }

    fn bytes(&mut self, text: &str) {
        varint(&mut self.out, text.len() as u64);
        self.out.extend(text.as_bytes());
    }

    fn list(&mut self, number: u8, of: u8, count: usize) {
        self.field(number, LIST);
        if count < 15 {
            self.out.push((count as u8) << 4 | of);
        } else {
            self.out.push(0xf0 | of);
            varint(&mut self.out, count as u64);
        }
    }

    fn nested(&mut self, number: u8) {
        self.field(number, STRUCT);
        self.begin();
    }

    fn begin(&mut self) {
        self.round.push(self.last);
        self.last = 0;
    }

    fn end(&mut self) {
        self.out.push(0);
        self.last = self.round.pop().unwrap_or(0);
    }
}

fn varint(out: &mut Vec<u8>, mut value: u64) {
    while value >= 0x80 {
        out.push(value as u8 | 0x80);
        value >>= 7;
    }
    out.push(value as u8);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Session, Throw, sha256};

    fn entries() -> Vec<Entry> {
        let throw = |m: Option<f64>, note: Option<&str>| {
            let note = note.map(str::to_owned);
            Throw { plane: "Scow".into(), distance_m: m, note, ..Throw::default() }.into()
        };
        let session = Session { place: "boat hall ä".into(), ..Session::default() };
        let all = [throw(Some(5.25), None), throw(None, Some("12")), session.into()];
        let at = |(k, r)| Entry::new(&format!("2026-11-0{}T10:00:00.000Z", k + 1), None, r, 0);
        all.into_iter().enumerate().map(at).collect()
    }

    /// Kept as it was when pyarrow 26 and duckdb 2 read a notebook written so, every cell with its type
    /// (`scripts/read-parquet.py`): what changes these bytes is to be read by them again.
    #[test]
    fn the_file_is_written_as_data_tools_read_it() {
        let file = to_parquet(&entries());
        assert!(file.starts_with(MAGIC) && file.ends_with(MAGIC));
        let end = file.len() - 8;
        let meta = u32::from_le_bytes(file[end..end + 4].try_into().unwrap()) as usize;
        assert!(meta < end);
        assert_eq!(&sha256(&file)[..16], "429b1a6d4bc8d1b6");
    }

    #[test]
    fn small_and_large_numbers_are_packed_as_the_protocol_says() {
        // Examples of the Thrift compact protocol specification: zigzag of 0, -1, 1, -2 and a varint
        // of 50399.
        let mut t = Thrift::default();
        for v in [0, -1, 1, -2] {
            t.element(v);
        }
        assert_eq!(t.out, [0, 1, 2, 3]);
        let mut out = Vec::new();
        varint(&mut out, 50_399);
        assert_eq!(out, [0xdf, 0x89, 0x03]);
    }
}
