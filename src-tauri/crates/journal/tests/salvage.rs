//! Salvage: whatever was done to a file, every entry that is whole comes over, and the gaps are named.

mod common;

use common::{event, file_of, stamp};
use journal::{CopyAnswer, Durability, Gap, Head, Journal, JournalError, Stored, beside, line, salvage};
use operation::NewEvent;
use std::path::{Path, PathBuf};

const PAGE: usize = 4096;

/// The n-th event; some are longer than a page, as rigs and findings are.
fn large(n: u64) -> NewEvent {
    let times = if n.is_multiple_of(9) { 900 * (n as usize % 5 + 1) } else { 3 };
    NewEvent { payload: format!("{{\"text\":\"{}\"}}", "ü note".repeat(times)), ..event(n) }
}

fn large_file(path: &Path, entries: u64) -> Vec<Stored> {
    let mut journal = Journal::create(path, "a test", Durability::AtClose).unwrap();
    for n in 1..=entries {
        journal.append("top", &large(n), &stamp(n)).unwrap();
    }
    journal.close().unwrap();
    Journal::open_read_only(path).unwrap().stored().unwrap()
}

/// As the service words it; the chain needs the gaps alone.
fn told(gaps: &[Gap]) -> NewEvent {
    let gaps: Vec<String> =
        gaps.iter().map(|g| format!("{{\"after\":{},\"before\":{}}}", g.after, g.before)).collect();
    NewEvent { kind: "salvaged".into(), payload: format!("{{\"gaps\":[{}]}}", gaps.join(",")), ..event(1) }
}

fn salvaged(file: &Path, out: &Path) -> Result<(Vec<Stored>, Vec<Gap>, Head), JournalError> {
    let found = salvage::find(file)?;
    let journal = salvage::write(&found, out, "a test", &told(&found.gaps), &stamp(9999))?;
    journal.close().unwrap();
    let mut journal = Journal::open(out, "a test").unwrap();
    let verified = journal.verify().unwrap();
    assert!(verified.salvaged);
    assert_eq!(verified.gaps, found.gaps);
    let n = journal.last_seq() + 1;
    journal.append("top", &event(n), &Stamp::of(n)).unwrap();
    let head = journal.head();
    journal.close().unwrap();
    Ok((found.rows, found.gaps, head))
}

/// A stamp that no entry of these files has.
struct Stamp;
impl Stamp {
    fn of(n: u64) -> journal::Stamp {
        stamp(20_000 + n)
    }
}

struct Place {
    dir: tempfile::TempDir,
    next: u32,
}

impl Place {
    fn new() -> Place {
        Place { dir: tempfile::tempdir().unwrap(), next: 0 }
    }
    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }
    fn out(&mut self) -> PathBuf {
        self.next += 1;
        self.path(&format!("out-{}.ledge", self.next))
    }
}

#[test]
fn a_file_with_nothing_wrong_comes_over_whole() {
    let mut place = Place::new();
    let rows = large_file(&place.path("a.ledge"), 60);
    let out = place.out();
    let (found, gaps, head) = salvaged(&place.path("a.ledge"), &out).unwrap();
    assert_eq!((found == rows, gaps, head.count), (true, vec![], 62));
    let error = salvaged(&place.path("a.ledge"), &out).unwrap_err();
    assert_eq!(error.code(), "file_exists", "never written over");
}

/// Each page in turn is lost: what stood on no lost page comes over, under its own number and hash.
#[test]
fn whatever_page_is_lost_the_entries_of_the_others_come_over() {
    let mut place = Place::new();
    let rows = large_file(&place.path("a.ledge"), 60);
    let whole = std::fs::read(place.path("a.ledge")).unwrap();
    let damaged = place.path("damaged.ledge");
    let (mut fewest, mut with_gap) = (rows.len(), 0);
    for page in 0..whole.len() / PAGE {
        for byte in [0x00, 0xA5] {
            let mut bytes = whole.clone();
            bytes[page * PAGE..(page + 1) * PAGE].fill(byte);
            std::fs::write(&damaged, &bytes).unwrap();
            let (found, gaps, _) = salvaged(&damaged, &place.out()).unwrap();
            assert!(found.iter().all(|row| rows.contains(row)), "page {page}: only what was written");
            fewest = fewest.min(found.len());
            with_gap += usize::from(!gaps.is_empty());
            assert!(std::fs::read(&damaged).unwrap() == bytes, "the damaged file is left as it is");
        }
    }
    assert!(fewest >= rows.len() - 40 && fewest < rows.len(), "a page holds some entries: {fewest}");
    assert!(with_gap > 0);
}

/// A file cut off anywhere gives back what is before the cut; noise never brings in what was not written.
#[test]
fn cut_or_strewn_with_noise_only_what_was_written_comes_over() {
    let mut place = Place::new();
    let rows = large_file(&place.path("a.ledge"), 60);
    let whole = std::fs::read(place.path("a.ledge")).unwrap();
    let damaged = place.path("damaged.ledge");
    let mut last = 0;
    for cut in (1..whole.len()).step_by(whole.len() / 37) {
        std::fs::write(&damaged, &whole[..cut]).unwrap();
        let found = salvaged(&damaged, &place.out()).map_or(0, |(found, ..)| found.len());
        assert!(found >= last, "more is left, more comes over");
        last = found;
    }
    assert!(last > 50, "{last}");
    let mut random = 0x9E37_79B9_7F4A_7C15u64;
    for round in 0..60 {
        let mut bytes = whole.clone();
        for _ in 0..1 + round * 4 {
            random ^= random << 13;
            random ^= random >> 7;
            random ^= random << 17;
            let place = random as usize % bytes.len();
            bytes[place] ^= 1 << (random >> 60 & 7);
        }
        std::fs::write(&damaged, &bytes).unwrap();
        if let Ok((found, ..)) = salvaged(&damaged, &place.out()) {
            assert!(found.iter().all(|row| rows.contains(row)), "round {round}");
        }
    }
}

#[test]
fn entries_in_the_log_alone_come_over_and_a_missing_log_is_counted() {
    let mut place = Place::new();
    let (path, left) = (place.path("a.ledge"), place.path("left.ledge"));
    file_of(&path, 4);
    let mut journal = Journal::open(&path, "a test").unwrap();
    (5..=9).for_each(|n| drop(journal.append("top", &event(n), &stamp(n)).unwrap()));
    for end in ["", "-wal", ".lock"] {
        let with = |path: &Path| PathBuf::from(format!("{}{end}", path.display()));
        std::fs::copy(with(&path), with(&left)).unwrap();
    }
    assert_eq!(salvage::find(&path).unwrap_err().code(), "file_locked", "not while it is written");
    journal.close().unwrap();
    let (found, gaps, _) = salvaged(&left, &place.out()).unwrap();
    assert_eq!((found.len(), gaps), (9, vec![]));
    std::fs::remove_file(place.path("left.ledge-wal")).unwrap();
    let found = salvage::find(&left).unwrap();
    assert_eq!((found.rows.len(), found.at_least), (4, Some(9)));
    assert!(found.why.contains("write-ahead log is gone"), "{}", found.why);
}

/// An entry that was tampered with does not come over; what was erased stays erased, also where an old page has the words.
#[test]
fn what_was_edited_is_a_gap_and_what_was_erased_stays_so() {
    let mut place = Place::new();
    let path = place.path("a.ledge");
    file_of(&path, 6);
    let before = std::fs::read(&path).unwrap();
    let mut journal = Journal::open(&path, "a test").unwrap();
    let erased = NewEvent { kind: "erased".into(), corrects: Some(stamp(2).id), ..event(7) };
    journal.erase("top", &erased, &stamp(7)).unwrap();
    journal.close().unwrap();
    let mut bytes = std::fs::read(&path).unwrap();
    let at = bytes.windows(7).position(|w| w == b"note 4 ").unwrap();
    bytes[at + 5] = b'9';
    // Pages of before lie behind the end, as on a disk that kept them.
    bytes.extend_from_slice(&before[PAGE..]);
    let damaged = place.path("damaged.ledge");
    std::fs::write(&damaged, &bytes).unwrap();
    let (found, ..) = salvaged(&damaged, &place.out()).unwrap();
    let seen: Vec<(u64, bool)> = found.iter().map(|r| (r.entry.seq, r.entry.payload.is_some())).collect();
    assert_eq!(
        seen,
        [(1, true), (2, false), (3, true), (4, true), (5, true), (6, true), (7, true)],
        "the old page still has entry 4 as it was written"
    );
    bytes.truncate(bytes.len() - (before.len() - PAGE));
    std::fs::write(&damaged, &bytes).unwrap();
    let (_, gaps, _) = salvaged(&damaged, &place.out()).unwrap();
    assert_eq!(gaps, [Gap { after: 3, before: 5 }]);
    // What a report of the salvaged file says is a witness for it like any other.
    let out = place.out();
    let (.., head) = salvaged(&damaged, &out).unwrap();
    let verified = Journal::open_read_only(&out).unwrap().verify().unwrap();
    for (hex, count, fits) in [(head.hex.clone(), head.count, true), (head.hex, head.count - 1, false)] {
        let witness = journal::Witness { head: hex, count };
        let complete = journal::against(&verified, &witness) == journal::WitnessAnswer::Complete { since: 0 };
        assert_eq!(complete, fits);
    }
}

#[test]
fn a_mirror_with_lines_that_cannot_be_read_gives_back_the_others() {
    let mut place = Place::new();
    let rows = large_file(&place.path("a.ledge"), 20);
    let mut lines = Vec::new();
    rows.iter().for_each(|row| line::write(row, &mut lines));
    let text = String::from_utf8(lines).unwrap();
    let mirror = place.path("a.ledge.jsonl");
    std::fs::write(&mirror, &text).unwrap();
    let (found, gaps, _) = salvaged(&mirror, &place.out()).unwrap();
    assert_eq!((found == rows, gaps), (true, vec![]));
    let torn: Vec<String> = (1..)
        .zip(text.lines())
        .map(|(n, line)| if [1, 7, 8, 20].contains(&n) { line[..line.len() / 2].into() } else { line.into() })
        .collect();
    std::fs::write(&mirror, torn.join("\n")).unwrap();
    let (found, gaps, _) = salvaged(&mirror, &place.out()).unwrap();
    assert_eq!(found.len(), 16);
    assert_eq!(gaps, [Gap { after: 0, before: 2 }, Gap { after: 6, before: 9 }]);
    for nothing in [&b"{"[..], b"the radio plan", b"{}\n{}\n"] {
        std::fs::write(&mirror, nothing).unwrap();
        assert_eq!(salvage::find(&mirror).unwrap_err().code(), "file_damaged");
    }
}

/// A gap that the `salvaged` entry does not name is an alteration, and so is an entry taken out beside a named one.
#[test]
fn only_the_gaps_that_are_named_are_forgiven() {
    let place = Place::new();
    let rows = large_file(&place.path("a.ledge"), 12);
    let without = |gone: &[u64]| -> Vec<Stored> {
        rows.iter().filter(|row| !gone.contains(&row.entry.seq)).cloned().collect()
    };
    for (gone, named, first) in [
        (vec![5], vec![], Some(6)),
        (vec![5], vec![(4, 6)], None),
        (vec![5, 9], vec![(4, 6)], Some(10)),
        (vec![5, 6], vec![(4, 6)], Some(7)),
        (vec![5], vec![(4, 6), (7, 9)], None),
    ] {
        let gaps: Vec<Gap> =
            named.iter().map(|(after, before)| Gap { after: *after, before: *before }).collect();
        let found =
            salvage::Salvage { rows: without(&gone), gaps: gaps.clone(), at_least: None, why: String::new() };
        let out = place.path("out.ledge");
        let written = salvage::write(&found, &out, "a test", &told(&gaps), &stamp(9999));
        match (written, first) {
            (Ok(journal), None) => {
                journal.close().unwrap();
                std::fs::remove_file(&out).unwrap();
            }
            (Err(JournalError::Altered { seq, .. }), Some(first)) => {
                assert_eq!(seq, first, "{gone:?} {named:?}");
                assert!(!out.exists());
            }
            (other, _) => panic!("{gone:?} {named:?}: {other:?}"),
        }
    }
}

/// A salvaged record and the whole one are told apart by what is missing, not as if one of them were rewritten.
#[test]
fn beside_a_whole_mirror_a_salvaged_record_lacks_entries_and_is_not_rewritten() {
    let place = Place::new();
    let rows = large_file(&place.path("a.ledge"), 14);
    let whole = |until: usize| journal::verify(&rows[..until]).unwrap();
    let came: Vec<Stored> =
        rows[..12].iter().filter(|row| ![4, 5, 9].contains(&row.entry.seq)).cloned().collect();
    let gaps = vec![Gap { after: 3, before: 6 }, Gap { after: 8, before: 10 }];
    let found = salvage::Salvage { rows: came, gaps: gaps.clone(), at_least: None, why: String::new() };
    let out = place.path("out.ledge");
    let mut journal = salvage::write(&found, &out, "a test", &told(&gaps), &stamp(9999)).unwrap();
    journal.append("top", &event(14), &Stamp::of(14)).unwrap();
    let record = journal.verify().unwrap();
    journal.close().unwrap();
    // Entries 13 and 14 of the mirror were lost with the end; the numbers stand for others here.
    let lacks =
        |missing: &[(u64, u64)], both, own| CopyAnswer::Lacks { missing: missing.to_vec(), both, own };
    assert_eq!(beside(&record, &whole(14)), lacks(&[(4, 5), (9, 9), (13, 14)], 9, 2));
    assert_eq!(beside(&record, &whole(12)), lacks(&[(4, 5), (9, 9)], 9, 2));
    assert_eq!(beside(&record, &whole(3)), CopyAnswer::Complete { since: 8 });
    assert_eq!(beside(&record, &record), CopyAnswer::Complete { since: 0 });
    // The other way round: what was written after the salvage is what the whole record lacks.
    assert_eq!(beside(&whole(14), &record), lacks(&[(14, 14)], 9, 5));
    // An entry that both have and that is not the same.
    let other = place.path("other.ledge");
    let mut anew = Journal::create(&other, "a test", Durability::AtClose).unwrap();
    for n in 1..=14 {
        let said = if n < 7 { large(n) } else { event(n + 100) };
        anew.append("top", &said, &stamp(n)).unwrap();
    }
    assert_eq!(beside(&record, &anew.verify().unwrap()), CopyAnswer::Differs { seq: 7 });
    // A head alone: before the gap it shows, within it and after it nobody knows, and one of the same length that is another is told.
    let head = |rows: &[Stored]| journal::verify(rows).unwrap().head;
    let seen = |head: Head| journal::Witness { head: head.hex, count: head.count };
    use journal::WitnessAnswer::{Complete, InGap, Rewritten};
    for (head, answer) in [
        (head(&rows[..3]), Complete { since: 11 }),
        (head(&rows[..4]), InGap),
        (head(&rows[..7]), Complete { since: 7 }),
        (head(&rows[..13]), InGap),
        (record.head.clone(), Complete { since: 0 }),
        (anew.head(), InGap),
        (Head { count: 12, ..anew.head() }, Rewritten),
    ] {
        assert_eq!(journal::against(&record, &seen(head.clone())), answer, "{}", head.count);
    }
}
