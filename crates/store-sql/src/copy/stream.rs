//! What does the stream look like, and how is a bad one told?

use crate::db::Value;
use crate::fault::Fault;
use crate::tables::{Column, Kind, Table};
use record::ContentHash;
use sha2::{Digest, Sha256};
use std::io::{Read, Write};
use store::StoreError;

const MAGIC: &[u8; 8] = b"TIEBCOPY";
pub const VERSION: u32 = 1;

/// No part is larger: a file, or a row with all it holds.
const MOST: u64 = 4 << 30;
/// Rows are gathered up to about this many bytes.
pub const ROWS: usize = 1 << 20;
const MOST_COLUMNS: u16 = 1000;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    Head = 1,
    Table = 2,
    Rows = 3,
    File = 4,
    End = 5,
}

impl Part {
    fn from_byte(byte: u8) -> Option<Self> {
        [Part::Head, Part::Table, Part::Rows, Part::File, Part::End]
            .into_iter()
            .find(|part| *part as u8 == byte)
    }
}

pub struct Writer<'w> {
    out: &'w mut (dyn Write + Send),
    all: Sha256,
}

impl<'w> Writer<'w> {
    pub fn begin(out: &'w mut (dyn Write + Send), layout: i64) -> Result<Self, Fault> {
        let mut writer = Self {
            out,
            all: Sha256::new(),
        };
        writer.say(MAGIC)?;
        let head = [&VERSION.to_le_bytes()[..], &layout.to_le_bytes()].concat();
        writer.part(Part::Head, &[&head])?;
        Ok(writer)
    }

    fn say(&mut self, bytes: &[u8]) -> Result<(), Fault> {
        self.all.update(bytes);
        Ok(self.out.write_all(bytes)?)
    }

    pub fn part(&mut self, kind: Part, body: &[&[u8]]) -> Result<(), Fault> {
        let length: u64 = body.iter().map(|b| b.len() as u64).sum();
        if length > MOST {
            let detail = format!("a part of {length} bytes; {MOST} at most");
            let doing = "write the copy";
            return Err(StoreError::Failed { doing, detail }.into());
        }
        let mut own = Sha256::new();
        let head = [&[kind as u8][..], &length.to_le_bytes()].concat();
        for bytes in [&head[..]].iter().chain(body) {
            own.update(bytes);
            self.say(bytes)?;
        }
        self.say(&own.finalize())
    }

    pub fn end(mut self, rows: u64, files: u64) -> Result<(), Fault> {
        let all: [u8; 32] = self.all.clone().finalize().into();
        let counts = [rows.to_le_bytes(), files.to_le_bytes()].concat();
        self.part(Part::End, &[&counts, &all])?;
        Ok(self.out.flush()?)
    }
}

pub fn table_bytes(table: &Table) -> Vec<u8> {
    let mut bytes = Vec::new();
    let name = |bytes: &mut Vec<u8>, name: &str| {
        // Names of ours are short; a longer one would not come back and is refused by the reader.
        bytes.push(u8::try_from(name.len()).unwrap_or(u8::MAX));
        bytes.extend_from_slice(name.as_bytes());
    };
    name(&mut bytes, &table.name);
    let count = u16::try_from(table.columns.len()).unwrap_or(u16::MAX);
    bytes.extend_from_slice(&count.to_le_bytes());
    for column in &table.columns {
        name(&mut bytes, &column.name);
        bytes.push(match column.kind {
            Kind::Number => 1,
            Kind::Text => 2,
            Kind::Bytes => 3,
        });
    }
    bytes
}

pub fn add_cell(bytes: &mut Vec<u8>, cell: &Value) -> Result<(), Fault> {
    let (tag, long) = match cell {
        Value::Number(Some(number)) => {
            bytes.push(1);
            bytes.extend_from_slice(&number.to_le_bytes());
            return Ok(());
        }
        Value::Text(Some(text)) => (2, text.as_bytes()),
        Value::Bytes(Some(raw)) => (3, &raw[..]),
        Value::Number(None) | Value::Text(None) | Value::Bytes(None) => {
            bytes.push(0);
            return Ok(());
        }
    };
    let length = u32::try_from(long.len()).map_err(|_| StoreError::Failed {
        doing: "write the copy",
        detail: "a cell of more than 4 GiB".into(),
    })?;
    bytes.push(tag);
    bytes.extend_from_slice(&length.to_le_bytes());
    bytes.extend_from_slice(long);
    Ok(())
}

/// One sentence for a stream that is not a whole copy.
pub fn bad(found: impl Into<String>) -> Fault {
    StoreError::BadCopy {
        found: found.into(),
    }
    .into()
}

pub struct Reader<'r> {
    from: &'r mut (dyn Read + Send),
    all: Sha256,
    number: u64,
}

impl<'r> Reader<'r> {
    /// Answers also with the layout of the records in it.
    pub fn begin(from: &'r mut (dyn Read + Send)) -> Result<(Self, i64), Fault> {
        let mut reader = Self {
            from,
            all: Sha256::new(),
            number: 0,
        };
        let mut magic = [0; MAGIC.len()];
        reader.fill(&mut magic)?;
        if &magic != MAGIC {
            return Err(bad("another file"));
        }
        let (kind, body) = reader.part()?;
        let mut cells = Cut::of(&body, 1);
        let version = u32::from_le_bytes(cells.array()?);
        if kind != Part::Head || version != VERSION {
            return Err(bad(format!(
                "version {version} where this program reads {VERSION}"
            )));
        }
        let layout = i64::from_le_bytes(cells.array()?);
        cells.is_over()?;
        Ok((reader, layout))
    }

    fn fill(&mut self, bytes: &mut [u8]) -> Result<(), Fault> {
        use std::io::ErrorKind::UnexpectedEof;
        match self.from.read_exact(bytes) {
            Ok(()) => {
                self.all.update(&*bytes);
                Ok(())
            }
            Err(e) if e.kind() == UnexpectedEof => Err(self.cut_off()),
            Err(e) => Err(e.into()),
        }
    }

    fn cut_off(&self) -> Fault {
        bad(format!("an end in the middle, at part {}", self.number))
    }

    /// The next part, once its digest is seen to hold.
    pub fn part(&mut self) -> Result<(Part, Vec<u8>), Fault> {
        self.number += 1;
        let number = self.number;
        let so_far: [u8; 32] = self.all.clone().finalize().into();
        let mut head = [0; 9];
        self.fill(&mut head)?;
        let length = u64::from_le_bytes(std::array::from_fn(|n| head[n + 1]));
        let kind = Part::from_byte(head[0]).filter(|_| length <= MOST);
        let Some(kind) = kind else {
            return Err(bad(format!("a part {number} of unknown kind or length")));
        };
        // Grows with what is really there: a length alone claims no memory.
        let mut body = Vec::new();
        (&mut self.from).take(length).read_to_end(&mut body)?;
        if body.len() as u64 != length {
            return Err(self.cut_off());
        }
        self.all.update(&body);
        let mut digest = [0; 32];
        self.fill(&mut digest)?;
        let own: [u8; 32] = Sha256::new()
            .chain_update(head)
            .chain_update(&body)
            .finalize()
            .into();
        if own != digest {
            return Err(bad(format!("a part {number} that was changed")));
        }
        if kind == Part::End {
            let whole = body.len() == 48 && body[16..] == so_far;
            let more = self.from.read(&mut [0])?;
            if !whole || more > 0 {
                return Err(bad("parts missing, moved or added"));
            }
        }
        Ok((kind, body))
    }

    pub fn number(&self) -> u64 {
        self.number
    }
}

/// Reads a body from its beginning.
pub struct Cut<'b> {
    rest: &'b [u8],
    number: u64,
}

impl<'b> Cut<'b> {
    pub fn of(body: &'b [u8], number: u64) -> Self {
        Self { rest: body, number }
    }

    fn wrong(&self) -> Fault {
        bad(format!("a part {} that does not read back", self.number))
    }

    fn bytes(&mut self, length: usize) -> Result<&'b [u8], Fault> {
        let (bytes, rest) = self
            .rest
            .split_at_checked(length)
            .ok_or_else(|| self.wrong())?;
        self.rest = rest;
        Ok(bytes)
    }

    pub fn array<const N: usize>(&mut self) -> Result<[u8; N], Fault> {
        self.bytes(N)?.try_into().map_err(|_| self.wrong())
    }

    pub fn is_over(&self) -> Result<(), Fault> {
        match self.rest {
            [] => Ok(()),
            _ => Err(self.wrong()),
        }
    }

    fn text(&mut self, length: usize) -> Result<String, Fault> {
        let bytes = self.bytes(length)?;
        String::from_utf8(bytes.to_vec()).map_err(|_| self.wrong())
    }

    pub fn content(&mut self) -> Result<ContentHash, Fault> {
        let name = self.text(64)?;
        let content = name.parse::<ContentHash>().map_err(|_| self.wrong())?;
        match content.to_string() == name {
            true => Ok(content),
            false => Err(self.wrong()),
        }
    }

    fn name(&mut self) -> Result<String, Fault> {
        let [length] = self.array()?;
        self.text(usize::from(length))
    }

    /// Name and columns of a table.
    pub fn table(&mut self) -> Result<(String, Vec<Column>), Fault> {
        let name = self.name()?;
        let count = u16::from_le_bytes(self.array()?);
        if count > MOST_COLUMNS {
            return Err(self.wrong());
        }
        let mut columns = Vec::new();
        for _ in 0..count {
            let name = self.name()?;
            let kind = match self.array()? {
                [1] => Kind::Number,
                [2] => Kind::Text,
                [3] => Kind::Bytes,
                _ => return Err(self.wrong()),
            };
            columns.push(Column { name, kind });
        }
        Ok((name, columns))
    }

    pub fn cell(&mut self, kind: Kind) -> Result<Value, Fault> {
        let [tag] = self.array()?;
        match (tag, kind) {
            (0, Kind::Number) => Ok(Value::Number(None)),
            (0, Kind::Text) => Ok(Value::Text(None)),
            (0, Kind::Bytes) => Ok(Value::Bytes(None)),
            (1, Kind::Number) => Ok(Value::Number(Some(i64::from_le_bytes(self.array()?)))),
            (2, Kind::Text) => {
                let length = u32::from_le_bytes(self.array()?);
                Ok(Value::Text(Some(self.text(length as usize)?)))
            }
            (3, Kind::Bytes) => {
                let length = u32::from_le_bytes(self.array()?);
                Ok(Value::Bytes(Some(self.bytes(length as usize)?.to_vec())))
            }
            _ => Err(self.wrong()),
        }
    }
}
