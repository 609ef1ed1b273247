//! All operations of a folder: what they were, hours by person and role, the use of ropes and devices, and a search in what was
//! said. Read from the records alone; nothing is kept beside them.

mod gear;
mod search;

use crate::review;
use crate::wire::{PersonHours, RecordedOperation, Records, Trouble, Unread};
use operation::review::Measures;
use operation::review::measures::measures;
use operation::state::State;
use operation::step::Purpose;
use operation::{Entry, Payload};
use rig::guidelines::Guidelines;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Most files that are read.
const MOST: usize = 500;

/// One operation as it is read.
struct Read {
    file: PathBuf,
    state: State,
    measured: Measures,
    trouble: Option<Trouble>,
}

impl Read {
    fn of(file: &Path) -> Result<Read, Trouble> {
        let (rows, trouble) = review::entries(file)?;
        let entries: Vec<Entry> = rows.into_iter().map(|row| row.entry).collect();
        let state = State::replay(Guidelines::defaults(), &entries);
        let measured = measures(&state, state.last_line_ms());
        Ok(Read { file: file.into(), state, measured, trouble })
    }

    fn when(&self) -> String {
        self.state.opened_at().map(|at| at.format("%Y-%m-%d %H:%M").to_string()).unwrap_or_default()
    }

    fn name(&self) -> String {
        match self.state.facts.name.as_str() {
            "" => self.file.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default(),
            name => name.into(),
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
    let (all, unread) = read(folder)?;
    let (hits, more_hits) = search::find(&all, find);
    Ok(Records {
        folder: folder.display().to_string(),
        how: HOW.into(),
        people: people(&all),
        gear: gear::gear(&all),
        operations: all.iter().map(operation).collect(),
        unread,
        hits,
        more_hits,
    })
}

fn read(folder: &Path) -> Result<(Vec<Read>, Vec<Unread>), Trouble> {
    let listed = std::fs::read_dir(folder).map_err(|e| Trouble::of_file(folder, &e))?;
    let mut files: Vec<PathBuf> = listed
        .filter_map(Result::ok)
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|end| end == "ledge"))
        .collect();
    files.sort();
    let (mut all, mut unread) = (Vec::<Read>::new(), vec![]);
    for file in files.iter().take(MOST) {
        match Read::of(file) {
            Ok(read) => {
                // The first entry names an operation, whatever its file is called.
                let first = |r: &Read| r.state.written().first().map(|k| k.id.clone());
                let same = all.iter_mut().find(|had| first(had).is_some() && first(had) == first(&read));
                match same {
                    Some(had) if had.state.count() < read.state.count() => *had = read,
                    Some(_) => {}
                    None => all.push(read),
                }
            }
            Err(trouble) => unread.push(Unread { file: file.display().to_string(), why: trouble.what }),
        }
    }
    if let Some(left) = files.len().checked_sub(MOST).filter(|n| *n > 0) {
        let why = format!("{left} more files are not read");
        unread.push(Unread { file: folder.display().to_string(), why });
    }
    all.sort_by_key(|r| std::cmp::Reverse(r.measured.from_ms));
    Ok((all, unread))
}

fn operation(r: &Read) -> RecordedOperation {
    let (facts, m) = (&r.state.facts, &r.measured);
    RecordedOperation {
        file: r.file.display().to_string(),
        name: r.name(),
        place: facts.place.clone(),
        purpose: match facts.purpose {
            Some(Purpose::Drill) => "drill".into(),
            Some(Purpose::Rescue) => "rescue".into(),
            None => "never opened".into(),
        },
        when: r.when(),
        closed: facts.closed_ms.is_some(),
        entries: r.state.count() as u64,
        lasted_s: (m.to_ms - m.from_ms).max(0) as f64 / 1000.0,
        people: r.state.people.iter().filter(|p| p.in_ms.is_some()).count() as u64,
        stops: m.stops.value.count,
        trouble: r.trouble.as_ref().map(|t| t.what.clone()),
    }
}

/// Seconds that each person was checked in, coming and going counted.
fn here(r: &Read) -> BTreeMap<String, f64> {
    let mut since: BTreeMap<&str, i64> = BTreeMap::new();
    let mut all: BTreeMap<String, f64> = BTreeMap::new();
    let mut add = |person: &str, from: i64, to: i64| {
        *all.entry(person.into()).or_default() += (to - from).max(0) as f64 / 1000.0;
    };
    for kept in r.state.happened().iter().filter_map(|seq| r.state.at(*seq)) {
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
    since.iter().for_each(|(person, from)| add(person, *from, r.measured.to_ms));
    all
}

fn people(all: &[Read]) -> Vec<PersonHours> {
    let mut people: BTreeMap<String, PersonHours> = BTreeMap::new();
    for r in all {
        for (person, seconds) in here(r) {
            let p = people
                .entry(person.clone())
                .or_insert_with(|| PersonHours { person, ..PersonHours::default() });
            p.operations += 1;
            p.here_s += seconds;
        }
        for e in &r.measured.exposure.value {
            if let Some(p) = people.get_mut(&e.person) {
                p.on_rope_s += e.on_rope_s;
            }
        }
        for spell in &r.measured.roles.value.held {
            let Some(p) = people.get_mut(&spell.person) else { continue };
            match p.roles.iter_mut().find(|(role, _)| *role == spell.role) {
                Some((_, seconds)) => *seconds += spell.length_s,
                None => p.roles.push((spell.role.clone(), spell.length_s)),
            }
        }
    }
    let mut list: Vec<PersonHours> = people.into_values().collect();
    list.iter_mut().for_each(|p| p.roles.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.cmp(&b.0))));
    list.sort_by(|a, b| b.here_s.total_cmp(&a.here_s).then_with(|| a.person.cmp(&b.person)));
    list
}
