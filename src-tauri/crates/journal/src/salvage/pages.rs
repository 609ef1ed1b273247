//! The rows of a damaged database, read without SQLite: every place of every page where a row of ours could begin is tried,
//! in the file and in its write-ahead log, and what is found must prove itself by its own hash. So nothing has
//! to be right about the pages around it: no tree, no page header, no count.
//!
//! After the file format description of SQLite (<https://sqlite.org/fileformat2.html>), sections 1.5 to 2.1 and 4.1.

use crate::stored::Stored;
use operation::Entry;
use std::collections::BTreeMap;

/// Columns of a row.
const COLUMNS: usize = 17;
/// The page size of every file this program made; what the file says is tried if it can be.
const PAGE: usize = 4096;
/// The longest row that is put together.
const LONGEST: u64 = crate::line::LONGEST as u64;

/// The pages of a database and of its log.
pub(crate) struct Pages<'a> {
    size: usize,
    usable: usize,
    file: &'a [u8],
    /// By page number, oldest first, all that the log holds of it.
    log: BTreeMap<u32, Vec<&'a [u8]>>,
}

impl<'a> Pages<'a> {
    /// Takes a file and its log as they lie.
    pub fn new(file: &'a [u8], log: &'a [u8]) -> Pages<'a> {
        let said = match file.get(16..18).map(|b| usize::from(u16::from_be_bytes([b[0], b[1]]))) {
            Some(1) => 65536,
            Some(size) if size.is_power_of_two() && size >= 512 => size,
            _ => PAGE,
        };
        let reserved = file.get(20).map_or(0, |b| usize::from(*b));
        let usable = if said - reserved >= 480 { said - reserved } else { said };
        Pages { size: said, usable, file, log: frames(log) }
    }

    /// Every row that proves itself, with the number it is stored under. One row may come more than once.
    pub fn rows(&self) -> Vec<Stored> {
        let mut rows = Vec::new();
        let of_log = self.log.values().flatten().copied();
        for page in self.file.chunks(self.size).chain(of_log) {
            for at in 0..page.len() {
                if let Some(row) = self.row(page, at) {
                    rows.push(row);
                }
            }
        }
        rows
    }

    fn row(&self, page: &[u8], at: usize) -> Option<Stored> {
        let mut cell = page.get(at..)?;
        let (length, number) = (varint(&mut cell)?, varint(&mut cell)?);
        let (local, whole) = self.local(length)?;
        let begin = cell.get(..local)?;
        let mut header = begin;
        let types = types(&mut header)?;
        if whole {
            return read(number, &types, begin).filter(proves_itself);
        }
        let first = cell.get(local..local + 4).map(be32)?;
        // The newest of each page first; then as the file alone has them.
        [true, false].into_iter().find_map(|newest| {
            let record = self.overflow(begin, first, length, newest)?;
            read(number, &types, &record).filter(proves_itself)
        })
    }

    /// How much of a row stands in its own page, and whether that is all.
    fn local(&self, length: u64) -> Option<(usize, bool)> {
        let length = usize::try_from(length).ok().filter(|n| *n as u64 <= LONGEST && *n > COLUMNS)?;
        if length <= self.usable - 35 {
            return Some((length, true));
        }
        let least = (self.usable - 12) * 32 / 255 - 23;
        let some = least + (length - least) % (self.usable - 4);
        Some((if some <= self.usable - 35 { some } else { least }, false))
    }

    fn page(&self, number: u32, newest: bool) -> Option<&'a [u8]> {
        let of_log = if newest { self.log.get(&number).and_then(|versions| versions.last()) } else { None };
        if let Some(page) = of_log {
            return Some(page);
        }
        let from = usize::try_from(number).ok()?.checked_sub(1)?.checked_mul(self.size)?;
        self.file.get(from..from.checked_add(self.size)?)
    }

    fn overflow(&self, begin: &[u8], first: u32, length: u64, newest: bool) -> Option<Vec<u8>> {
        let length = usize::try_from(length).ok()?;
        let mut record = begin.to_vec();
        let mut next = first;
        while record.len() < length {
            // Each page brings at least one byte nearer to the end: a ring of pages ends too.
            let page = self.page(next, newest)?;
            let take = (length - record.len()).min(self.usable - 4);
            record.extend_from_slice(page.get(4..4 + take)?);
            next = be32(page);
        }
        Some(record)
    }
}

/// The pages in a write-ahead log, whatever their checksums: a row proves itself.
fn frames(log: &[u8]) -> BTreeMap<u32, Vec<&[u8]>> {
    let mut pages: BTreeMap<u32, Vec<&[u8]>> = BTreeMap::new();
    let Some(header) = log.get(..32) else { return pages };
    let size = match be32(&header[8..12]) as usize {
        size if size.is_power_of_two() && (512..=65536).contains(&size) => size,
        _ => PAGE,
    };
    for frame in log[32..].chunks_exact(24 + size) {
        pages.entry(be32(frame)).or_default().push(&frame[24..]);
    }
    pages
}

fn be32(bytes: &[u8]) -> u32 {
    bytes.get(..4).map_or(0, |b| u32::from_be_bytes([b[0], b[1], b[2], b[3]]))
}

fn varint(bytes: &mut &[u8]) -> Option<u64> {
    let mut value = 0u64;
    for n in 0..9 {
        let (byte, rest) = bytes.split_first()?;
        *bytes = rest;
        if n == 8 {
            return Some(value << 8 | u64::from(*byte));
        }
        value = value << 7 | u64::from(byte & 0x7F);
        if byte & 0x80 == 0 {
            break;
        }
    }
    Some(value)
}

/// The types of a row's columns, when they are those of a row of ours.
fn types(header: &mut &[u8]) -> Option<[u64; COLUMNS]> {
    let before = header.len();
    let length = varint(header)?;
    if !(18..=120).contains(&length) {
        return None;
    }
    let mut types = [0; COLUMNS];
    for each in &mut types {
        *each = varint(header)?;
    }
    let text = |t: u64| t >= 13 && t % 2 == 1;
    let number = |t: u64| matches!(t, 1..=6 | 8 | 9);
    let hash = 12 + 2 * 32;
    let fits = (before - header.len()) as u64 == length
        && types[0] == 0
        && [1, 2, 4, 6, 7, 9].iter().all(|n| text(types[*n]))
        && [3, 5, 10].iter().all(|n| number(types[*n]))
        && [8, 11, 14].iter().all(|n| types[*n] == 0 || text(types[*n]))
        && [13, 15, 16].iter().all(|n| types[*n] == hash)
        && (types[12] == 0 || (types[12] >= 12 && types[12] % 2 == 0));
    fits.then_some(types)
}

/// A row out of its record.
fn read(number: u64, types: &[u64; COLUMNS], record: &[u8]) -> Option<Stored> {
    let mut header = record;
    let length = usize::try_from(varint(&mut header)?).ok()?;
    let mut body = record.get(length..)?;
    let mut take = |n: usize| -> Option<&[u8]> {
        let size = match types[n] {
            0 | 8 | 9 => 0,
            t @ 1..=4 => t as usize,
            5 => 6,
            6 => 8,
            t => usize::try_from((t - 12) / 2).ok()?,
        };
        let (value, rest) = body.split_at_checked(size)?;
        body = rest;
        Some(value)
    };
    let columns: Vec<&[u8]> = (0..COLUMNS).map(&mut take).collect::<Option<_>>()?;
    let text = |n: usize| String::from_utf8(columns[n].to_vec()).ok();
    let or_null = |n: usize| if types[n] == 0 { Some(None) } else { text(n).map(Some) };
    let number_in = |n: usize| match types[n] {
        8 => 0,
        9 => 1,
        _ => columns[n]
            .iter()
            .fold(if columns[n][0] & 0x80 == 0 { 0 } else { -1 }, |all: i64, b| all << 8 | i64::from(*b)),
    };
    Some(Stored {
        entry: Entry {
            seq: number,
            id: text(1)?,
            station: text(2)?,
            station_seq: u64::try_from(number_in(3)).ok()?,
            session: text(4)?,
            boot_ms: number_in(5),
            recorded_at: text(6)?,
            happened_at: text(7)?,
            author: or_null(8)?,
            kind: text(9)?,
            version: u32::try_from(number_in(10)).ok()?,
            payload: or_null(11)?,
            corrects: or_null(14)?,
            hash: hex::encode(columns[16]),
        },
        salt: (types[12] != 0).then(|| columns[12].to_vec()),
        payload_digest: columns[13].to_vec(),
        prev: columns[15].to_vec(),
    })
}

/// Whether a row is one that was written: its hash is that of its columns, its digest that of its words.
pub(crate) fn proves_itself(row: &Stored) -> bool {
    let words = match (&row.salt, &row.entry.payload) {
        (Some(salt), Some(payload)) => {
            crate::chain::payload_digest(salt, payload)[..] == row.payload_digest[..]
        }
        (None, None) => true,
        _ => false,
    };
    words && row.carries(&row.computed_hash())
}
