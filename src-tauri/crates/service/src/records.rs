//! All operations of a folder: what they were, hours by person and role, the use of ropes and devices, and a search in what was
//! said. Read from the records alone; nothing is kept beside them.

mod gear;
mod search;

use crate::abreast;
use crate::lean;
use crate::review;
use crate::wire::{PersonHours, RecordedOperation, Records, Trouble, Unread};
use operation::Payload;
use operation::review::measures::measures;
use operation::review::{Measures, Quarantine, quarantined};
use operation::state::State;
use operation::step::Purpose;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Most files that are read.
const MOST: usize = 500;

/// What one operation adds to the records. Its entries, of which what checks stored is by far the most, are let go once it is
/// known: a folder of operations need not lie in memory.
#[derive(Debug)]
struct Read {
    /// Its first entry names an operation, whatever its file is called.
    first: Option<String>,
    from_ms: i64,
    operation: RecordedOperation,
    /// Seconds that each person was checked in.
    here: BTreeMap<String, f64>,
    /// Seconds that people were on rope.
    on_rope: Vec<(String, f64)>,
    /// Person, role, seconds.
    held: Vec<(String, String, f64)>,
    used: Vec<gear::Used>,
    out_of_use: Vec<Quarantine>,
    found: search::Found,
}

impl Read {
    fn of(file: &Path, asked: &[String]) -> Result<Read, Trouble> {
        let (rows, trouble) = review::entries(file)?;
        let state = lean::state(rows.iter().map(|row| row.entry.lent()));
        drop(rows);
        Ok(Read::of_state(file, &state, trouble, asked))
    }

    fn of_state(file: &Path, state: &State, trouble: Option<Trouble>, asked: &[String]) -> Read {
        let measured = measures(state, state.last_line_ms());
        let operation = operation(file, state, &measured, trouble);
        let exposed = measured.exposure.value.iter();
        let held = measured.roles.value.held.iter();
        Read {
            first: state.written().first().map(|k| k.id.to_string()),
            from_ms: measured.from_ms,
            here: here(state, measured.to_ms),
            on_rope: exposed.map(|e| (e.person.clone(), e.on_rope_s)).collect(),
            held: held.map(|spell| (spell.person.clone(), spell.role.clone(), spell.length_s)).collect(),
            used: gear::used(state, &measured),
            out_of_use: quarantined(state),
            found: search::find(state, &operation, asked),
            operation,
        }
    }
}

const HOW: &str = "hours: from check-in to check-out, what did not end to the close; gear is told apart by the name it has in its rig, \
    so a rope needs a name of its own there; metres: what the load travelled by the heights that were called while a rig with it was in \
    use; beyond the guidelines: it carried the load in movement while the stored check said that its margin fell short, accepted or not";

/// The operations of a folder, newest first, with what `find` asks for (empty: nothing). A copy of an operation counts once, its
/// longest one.
///
/// # Errors
/// When the folder cannot be read.
pub fn records(folder: &Path, find: &str) -> Result<Records, Trouble> {
    let (all, unread) = read(folder, &search::words(find))?;
    let (people, gear) = (people(&all), gear::gear(&all));
    let (mut operations, mut found) = (Vec::with_capacity(all.len()), search::Found::default());
    for read in all {
        operations.push(read.operation);
        found.add(read.found);
    }
    let (folder, how) = (folder.display().to_string(), HOW.into());
    Ok(Records { folder, how, operations, people, gear, unread, hits: found.hits, more_hits: found.more })
}

fn read(folder: &Path, asked: &[String]) -> Result<(Vec<Read>, Vec<Unread>), Trouble> {
    let listed = std::fs::read_dir(folder).map_err(|e| Trouble::of_file(folder, &e))?;
    let mut files: Vec<PathBuf> = listed
        .filter_map(Result::ok)
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|end| end == "ledge"))
        .collect();
    files.sort();
    let (mut all, mut unread) = (Vec::<Read>::new(), vec![]);
    let looked_at = &files[..files.len().min(MOST)];
    for (file, read) in looked_at.iter().zip(abreast::each(looked_at, |file| Read::of(file, asked))) {
        match read {
            Ok(read) => match all.iter_mut().find(|had| had.first.is_some() && had.first == read.first) {
                Some(had) if had.operation.entries < read.operation.entries => *had = read,
                Some(_) => {}
                None => all.push(read),
            },
            Err(trouble) => unread.push(Unread { file: file.display().to_string(), why: trouble.what }),
        }
    }
    if let Some(left) = files.len().checked_sub(MOST).filter(|n| *n > 0) {
        let why = format!("{left} more files are not read");
        unread.push(Unread { file: folder.display().to_string(), why });
    }
    all.sort_by_key(|r| std::cmp::Reverse(r.from_ms));
    Ok((all, unread))
}

fn operation(file: &Path, state: &State, m: &Measures, trouble: Option<Trouble>) -> RecordedOperation {
    let facts = &state.facts;
    let name = match facts.name.as_str() {
        "" => file.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default(),
        name => name.into(),
    };
    RecordedOperation {
        file: file.display().to_string(),
        name,
        place: facts.place.clone(),
        purpose: match facts.purpose {
            Some(Purpose::Drill) => "drill".into(),
            Some(Purpose::Rescue) => "rescue".into(),
            None => "never opened".into(),
        },
        when: state.opened_at().map(|at| at.format("%Y-%m-%d %H:%M").to_string()).unwrap_or_default(),
        closed: facts.closed_ms.is_some(),
        entries: state.count() as u64,
        lasted_s: (m.to_ms - m.from_ms).max(0) as f64 / 1000.0,
        people: state.people.iter().filter(|p| p.in_ms.is_some()).count() as u64,
        stops: m.stops.value.count,
        trouble: trouble.map(|t| t.what),
    }
}

/// Seconds that each person was checked in, coming and going counted.
fn here(state: &State, end: i64) -> BTreeMap<String, f64> {
    let mut since: BTreeMap<&str, i64> = BTreeMap::new();
    let mut all: BTreeMap<String, f64> = BTreeMap::new();
    let mut add = |person: &str, from: i64, to: i64| {
        *all.entry(person.into()).or_default() += (to - from).max(0) as f64 / 1000.0;
    };
    for kept in state.happened().iter().filter_map(|seq| state.at(*seq)) {
        match kept.now.as_deref() {
            Some(Payload::CheckIn(c)) => {
                since.entry(&c.person).or_insert(kept.happened_ms);
            }
            Some(Payload::CheckOut(c)) => {
                if let Some(from) = since.remove(c.person.as_str()) {
                    add(&c.person, from, kept.happened_ms);
                }
            }
            _ => {}
        }
    }
    since.iter().for_each(|(person, from)| add(person, *from, end));
    all
}

fn people(all: &[Read]) -> Vec<PersonHours> {
    let mut people: BTreeMap<String, PersonHours> = BTreeMap::new();
    for r in all {
        for (person, seconds) in &r.here {
            let p = people
                .entry(person.clone())
                .or_insert_with(|| PersonHours { person: person.clone(), ..PersonHours::default() });
            p.operations += 1;
            p.here_s += seconds;
        }
        for (person, seconds) in &r.on_rope {
            if let Some(p) = people.get_mut(person) {
                p.on_rope_s += seconds;
            }
        }
        for (person, held, length) in &r.held {
            let Some(p) = people.get_mut(person) else { continue };
            match p.roles.iter_mut().find(|(role, _)| role == held) {
                Some((_, seconds)) => *seconds += length,
                None => p.roles.push((held.clone(), *length)),
            }
        }
    }
    let mut list: Vec<PersonHours> = people.into_values().collect();
    list.iter_mut().for_each(|p| p.roles.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.cmp(&b.0))));
    list.sort_by(|a, b| b.here_s.total_cmp(&a.here_s).then_with(|| a.person.cmp(&b.person)));
    list
}

#[cfg(test)]
mod tests {
    use super::*;
    use operation::Entry;
    use rig::guidelines::Guidelines;

    /// The operations of `tests/operations`, of which some move on checks that fall short, are accepted and are made again.
    #[test]
    fn a_lean_reading_of_a_record_adds_what_a_whole_one_does() {
        let scripts = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../tests/operations");
        let dir = tempfile::tempdir().expect("a folder");
        let (mut compared, mut short) = (0, 0);
        for script in std::fs::read_dir(scripts).expect("scripts").filter_map(Result::ok).map(|e| e.path()) {
            if script.extension().is_none_or(|end| end != "json") {
                continue;
            }
            let out = dir.path().join(script.file_stem().expect("a name"));
            let text = std::fs::read_to_string(&script).expect("a script");
            crate::rehearse::rehearse(&text, &out).expect("rehearsed");
            let file = out.join(crate::rehearse::OPERATION);
            // Every entry is a hit, with its words.
            let asked = search::words("e");
            let (rows, trouble) = review::entries(&file).expect("a record");
            let entries: Vec<Entry> = rows.into_iter().map(|row| row.entry).collect();
            let whole = State::replay(Guidelines::defaults(), &entries);
            let lean = lean::state(entries.iter().map(Entry::lent));
            let flags = |state: &State| format!("{:?}", operation::flags::flags(state, state.last_line_ms()));
            assert_eq!(flags(&lean), flags(&whole), "{}", file.display());
            let all = |state: &State| format!("{:?}", measures(state, state.last_line_ms()));
            assert_eq!(all(&lean), all(&whole), "{}", file.display());
            let (read, from_whole) =
                (Read::of(&file, &asked).expect("read"), Read::of_state(&file, &whole, trouble, &asked));
            assert_eq!(format!("{read:#?}"), format!("{from_whole:#?}"), "{}", file.display());
            compared += usize::from(entries.iter().any(|e| e.kind == "rig_checked"));
            short += read.used.iter().filter(|used| used.short.is_some()).count();
        }
        assert!(compared >= 2 && short > 0, "{compared} records with checks, {short} pieces beyond");
    }
}
