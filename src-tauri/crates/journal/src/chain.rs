//! The chain: how an entry's hash and the head of a file are made, told exactly enough that a stranger
//! with `sqlite3` and `sha256sum` can do it again.
//!
//! # An entry
//!
//! ```text
//! field(x) = length of x in bytes as 8 bytes, big-endian, then the bytes of x
//!            (text as UTF-8, a whole number as its decimal text, a blob as it is);
//!            NULL is eight bytes FF and nothing after them
//!
//! payload_digest = SHA-256( salt ‖ payload )                       both verbatim, no length before them
//!
//! hash = SHA-256( field("ledgebook-entry/0") ‖ field(id) ‖ field(station) ‖ field(station_seq)
//!               ‖ field(session) ‖ field(boot_ms) ‖ field(recorded_at) ‖ field(happened_at)
//!               ‖ field(author) ‖ field(kind) ‖ field(version) ‖ field(payload_digest)
//!               ‖ field(corrects) ‖ field(prev) )
//! ```
//! `prev` is the `hash` of the entry before it of the same station, 32 zero bytes for the first. Columns
//! are hashed as stored, so there is no canonical form to argue about. `seq` is local to the file and
//! not hashed. A payload erased by law leaves NULL in `payload` and `salt`; `payload_digest` stays and
//! so does the chain.
//!
//! # A file
//!
//! ```text
//! head of the file = SHA-256( field("ledgebook-head/0")
//!                           ‖ for each station, sorted by its bytes:
//!                             field(station) ‖ field(count of its entries) ‖ field(hash of its last entry) )
//! ```
//!
//! The `/0` of the tags counts changes of this scheme, not of the file's format: files of format 0 and 1 are hashed alike.
//! A file that was salvaged misses entries: the entry after a gap is hashed over the `prev` of one that is not there,
//! and the entry `salvaged` names the gap. `count` is then the number within the chain of the last entry there is.
//!
//! # By hand
//!
//! [`PREIMAGE_SQL`] writes, for each entry, its number, the hash it carries and in hexadecimal what that
//! hash is the hash of:
//!
//! ```text
//! sqlite3 -separator ' ' NAME.ledge "$SQL" | while read -r seq hash preimage; do
//!   echo "$preimage" | xxd -r -p | sha256sum | cut -d' ' -f1 | grep -qix "$hash" || echo "$seq does not fit"
//! done
//! ```

use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// A SHA-256.
pub type Hash = [u8; 32];

/// `prev` of the first entry of a station.
pub const FIRST_PREV: Hash = [0; 32];

const ENTRY_TAG: &str = "ledgebook-entry/0";
const HEAD_TAG: &str = "ledgebook-head/0";

/// What each entry's hash is the hash of, written in SQL alone: the second path by which a stranger, and
/// a test, makes the chain again.
pub const PREIMAGE_SQL: &str = "\
WITH f(seq, hash, n, x) AS (
  SELECT seq, hash, 0, CAST('ledgebook-entry/0' AS BLOB) FROM event
  UNION ALL SELECT seq, hash, 1, CAST(id AS BLOB) FROM event
  UNION ALL SELECT seq, hash, 2, CAST(station AS BLOB) FROM event
  UNION ALL SELECT seq, hash, 3, CAST(CAST(station_seq AS TEXT) AS BLOB) FROM event
  UNION ALL SELECT seq, hash, 4, CAST(session AS BLOB) FROM event
  UNION ALL SELECT seq, hash, 5, CAST(CAST(boot_ms AS TEXT) AS BLOB) FROM event
  UNION ALL SELECT seq, hash, 6, CAST(recorded_at AS BLOB) FROM event
  UNION ALL SELECT seq, hash, 7, CAST(happened_at AS BLOB) FROM event
  UNION ALL SELECT seq, hash, 8, CAST(author AS BLOB) FROM event
  UNION ALL SELECT seq, hash, 9, CAST(kind AS BLOB) FROM event
  UNION ALL SELECT seq, hash, 10, CAST(CAST(version AS TEXT) AS BLOB) FROM event
  UNION ALL SELECT seq, hash, 11, payload_digest FROM event
  UNION ALL SELECT seq, hash, 12, CAST(corrects AS BLOB) FROM event
  UNION ALL SELECT seq, hash, 13, prev FROM event
), g(seq, hash, n, field) AS (
  SELECT seq, hash, n, CASE WHEN x IS NULL THEN 'FFFFFFFFFFFFFFFF'
    ELSE printf('%016X', length(x)) || hex(x) END FROM f ORDER BY seq, n
)
SELECT seq, lower(hex(hash)), group_concat(field, '') FROM g GROUP BY seq ORDER BY seq";

/// The hashed columns of an entry, as stored.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs)]
pub struct Columns<'a> {
    pub id: &'a str,
    pub station: &'a str,
    pub station_seq: u64,
    pub session: &'a str,
    pub boot_ms: i64,
    pub recorded_at: &'a str,
    pub happened_at: Option<&'a str>,
    pub author: Option<&'a str>,
    pub kind: &'a str,
    pub version: i64,
    pub payload_digest: &'a [u8],
    pub corrects: Option<&'a str>,
    pub prev: &'a [u8],
}

/// Adds one field with its length before it.
fn field(sum: &mut Vec<u8>, bytes: &[u8]) {
    sum.extend((bytes.len() as u64).to_be_bytes());
    sum.extend(bytes);
}

/// Adds a text that may be NULL.
fn field_or_null(sum: &mut Vec<u8>, text: Option<&str>) {
    match text {
        Some(text) => field(sum, text.as_bytes()),
        None => sum.extend([0xFF; 8]),
    }
}

/// Adds a whole number as its decimal text.
fn number(sum: &mut Vec<u8>, number: impl std::fmt::Display) {
    use std::io::Write as _;
    let begins = sum.len();
    sum.extend([0; 8]);
    // Writing into memory does not fail.
    let _ = write!(sum, "{number}");
    let length = (sum.len() - begins - 8) as u64;
    sum[begins..begins + 8].copy_from_slice(&length.to_be_bytes());
}

/// The hash of an entry.
pub fn entry_hash(columns: &Columns<'_>) -> Hash {
    // Of one piece: a hash that is given many small ones takes longer.
    let mut sum = Vec::with_capacity(512);
    field(&mut sum, ENTRY_TAG.as_bytes());
    field(&mut sum, columns.id.as_bytes());
    field(&mut sum, columns.station.as_bytes());
    number(&mut sum, columns.station_seq);
    field(&mut sum, columns.session.as_bytes());
    number(&mut sum, columns.boot_ms);
    field(&mut sum, columns.recorded_at.as_bytes());
    field_or_null(&mut sum, columns.happened_at);
    field_or_null(&mut sum, columns.author);
    field(&mut sum, columns.kind.as_bytes());
    number(&mut sum, columns.version);
    field(&mut sum, columns.payload_digest);
    field_or_null(&mut sum, columns.corrects);
    field(&mut sum, columns.prev);
    Sha256::digest(&sum).into()
}

/// What stands in the chain in place of payload and salt.
pub fn payload_digest(salt: &[u8], payload: &str) -> Hash {
    let mut sum = Sha256::new();
    sum.update(salt);
    sum.update(payload.as_bytes());
    sum.finalize().into()
}

/// Last hash and number of entries of each station: what the head of a file is made from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Heads {
    stations: BTreeMap<String, (u64, Hash)>,
}

impl Heads {
    /// Number and hash of a station's last entry; 0 and zeros before its first.
    pub fn of(&self, station: &str) -> (u64, Hash) {
        self.stations.get(station).copied().unwrap_or((0, FIRST_PREV))
    }

    /// Takes a station's next entry.
    pub fn push(&mut self, station: &str, station_seq: u64, hash: Hash) {
        match self.stations.get_mut(station) {
            Some(head) => *head = (station_seq, hash),
            None => {
                self.stations.insert(station.to_string(), (station_seq, hash));
            }
        }
    }

    /// The head of the file over all entries taken so far.
    pub fn head(&self) -> Head {
        let mut sum = Vec::new();
        field(&mut sum, HEAD_TAG.as_bytes());
        let mut count = 0;
        for (station, (entries, hash)) in &self.stations {
            field(&mut sum, station.as_bytes());
            number(&mut sum, entries);
            field(&mut sum, hash);
            count += entries;
        }
        Head { count, hex: hex::encode(Sha256::digest(&sum)) }
    }
}

/// What stands on every report: how many entries there are, and the one hash over all of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Head {
    /// Number of entries.
    pub count: u64,
    /// Head of the file, 64 hexadecimal digits.
    pub hex: String,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sha(bytes: &[u8]) -> String {
        hex::encode(Sha256::digest(bytes))
    }

    /// FIPS 180 and RFC 6962 examples: the hash function is the one it says.
    #[test]
    fn the_hash_is_sha_256() {
        for (input, expected) in [
            ("", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
            ("abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
            (
                "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
                "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
            ),
        ] {
            assert_eq!(sha(input.as_bytes()), expected, "{input:?}");
        }
    }

    /// One entry whose preimage is written out by hand, byte by byte.
    #[test]
    fn an_entry_is_hashed_as_the_module_says() {
        let digest = payload_digest(b"salt", "{}");
        assert_eq!(hex::encode(digest), sha(b"salt{}"));
        let columns = Columns {
            id: "a",
            station: "top",
            station_seq: 1,
            session: "s",
            boot_ms: -5,
            recorded_at: "t",
            happened_at: None,
            author: Some(""),
            kind: "note",
            version: 12,
            payload_digest: &digest,
            corrects: None,
            prev: &FIRST_PREV,
        };
        let mut bytes = Vec::new();
        bytes.extend(b"\0\0\0\0\0\0\0\x11ledgebook-entry/0");
        bytes.extend(b"\0\0\0\0\0\0\0\x01a\0\0\0\0\0\0\0\x03top\0\0\0\0\0\0\0\x011");
        bytes.extend(b"\0\0\0\0\0\0\0\x01s\0\0\0\0\0\0\0\x02-5\0\0\0\0\0\0\0\x01t");
        bytes.extend(b"\xFF\xFF\xFF\xFF\xFF\xFF\xFF\xFF\0\0\0\0\0\0\0\0");
        bytes.extend(b"\0\0\0\0\0\0\0\x04note\0\0\0\0\0\0\0\x0212\0\0\0\0\0\0\0\x20");
        bytes.extend(digest);
        bytes.extend(b"\xFF\xFF\xFF\xFF\xFF\xFF\xFF\xFF\0\0\0\0\0\0\0\x20");
        bytes.extend([0; 32]);
        assert_eq!(hex::encode(entry_hash(&columns)), sha(&bytes));
    }

    #[test]
    fn the_head_goes_over_stations_in_order_of_their_names() {
        let mut heads = Heads::default();
        assert_eq!(heads.head().hex, sha(b"\0\0\0\0\0\0\0\x10ledgebook-head/0"));
        heads.push("top", 1, [1; 32]);
        heads.push("base", 1, [2; 32]);
        heads.push("top", 2, [3; 32]);
        let mut bytes = b"\0\0\0\0\0\0\0\x10ledgebook-head/0".to_vec();
        bytes.extend(b"\0\0\0\0\0\0\0\x04base\0\0\0\0\0\0\0\x011\0\0\0\0\0\0\0\x20");
        bytes.extend([2; 32]);
        bytes.extend(b"\0\0\0\0\0\0\0\x03top\0\0\0\0\0\0\0\x012\0\0\0\0\0\0\0\x20");
        bytes.extend([3; 32]);
        assert_eq!(heads.head(), Head { count: 3, hex: sha(&bytes) });
    }
}
