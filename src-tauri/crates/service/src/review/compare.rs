//! This operation beside the last ones of the same team: times, closed loop, reaction.

use crate::abreast;
use crate::lean;
use crate::wire::{CompareView, ComparedOperation, ComparedRow, Trouble};
use drawing::charts::trend;
use journal::Journal;
use operation::State;
use operation::review::measures::{Measures, measures};
use operation::state::Filing;
use rig::guidelines::Guidelines;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Operations beside each other, this one too.
const MOST: usize = 5;
/// Operations gone through at most, those that began last: the others may be of other teams.
const LOOKED_AT: usize = 40;
/// How many are gone through before it is asked whether there are enough.
const AT_ONCE: usize = 4;
/// Size of a small picture, mm.
const PICTURE: (f64, f64) = (30.0, 7.0);

/// One operation as it is compared.
struct Then {
    file: PathBuf,
    state: State,
    measured: Measures,
    people: BTreeSet<String>,
}

impl Then {
    fn of(file: &Path) -> Option<Then> {
        let journal = Journal::open_read_only(file).ok()?;
        let (chain, state) = journal
            .go_through(|entries| {
                let mut filing = Filing::new(Guidelines::defaults(), entries.about());
                entries.each_batch(|some| some.each(|entry| lean::file(&mut filing, entry)));
                filing.done()
            })
            .ok()?;
        // What was altered is no witness of how a team did.
        chain.ok()?;
        state.is_open().then(|| Then::from(file, state))
    }

    fn from(file: &Path, state: State) -> Then {
        let measured = measures(&state, state.last_line_ms());
        let came = state.people.iter().filter(|p| p.in_ms.is_some()).map(|p| p.name.clone());
        Then { file: file.into(), people: came.collect(), measured, state }
    }

    /// The first entry names an operation, whatever its file is called: a copy of it is the same one.
    fn first(&self) -> Option<&str> {
        self.state.written().first().map(|k| &*k.id)
    }
}

/// Whether two rosters are one team: half of the smaller one was there both times, and two people at least.
fn one_team(a: &BTreeSet<String>, b: &BTreeSet<String>) -> bool {
    let both = a.intersection(b).count();
    both >= 2 && 2 * both >= a.len().min(b.len())
}

/// What is compared: words, unit, and where it stands in the measures.
type Row = (&'static str, &'static str, fn(&Measures) -> Option<f64>);

const ROWS: [Row; 5] = [
    ("readback, 9 in 10", "s", |m| m.closed_loop.value.all.p90_s),
    ("read back as ordered", "%", |m| m.closed_loop.value.all.rate.map(|r| r * 100.0)),
    ("STOP to all stopped, slowest", "s", slowest_stop),
    ("opened to load first moved", "min", |m| since_opening(m, "first_moved").map(|s| s / 60.0)),
    ("load first moved to its end", "min", |m| {
        let (from, to) = (since_opening(m, "first_moved")?, since_opening(m, "at_the_end")?);
        Some((to - from) / 60.0).filter(|t| *t >= 0.0)
    }),
];

/// The slowest of the stops that all reported; `None` when one was never reported by all, or none was called.
fn slowest_stop(m: &Measures) -> Option<f64> {
    let each: Option<Vec<f64>> = m.stops.value.list.iter().map(|s| s.all_stopped_s).collect();
    each?.into_iter().reduce(f64::max)
}

fn since_opening(m: &Measures, id: &str) -> Option<f64> {
    let at = m.milestones.value.iter().find(|x| x.id == id)?.at_ms?;
    Some((at - m.from_ms) as f64 / 1000.0)
}

/// The operation of a file beside the last ones of its team in the same folder, of the same purpose, oldest first.
///
/// # Errors
/// When the file cannot be read, is altered, or was never opened.
pub fn compare(file: &Path) -> Result<CompareView, Trouble> {
    // A file that is not there, or none of ours, is told as such.
    drop(Journal::open_read_only(file)?);
    let this = Then::of(file).ok_or_else(|| {
        let what = "the operation cannot be compared: it cannot be read, is altered, or was never opened";
        Trouble::new(
            "not_comparable",
            what,
            file.display().to_string(),
            "look at it with `ledgebook log verify`",
        )
    })?;
    let folder = file.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut others: Vec<Then> = vec![];
    // Those that began last are gone through first, some beside each other, until there are enough.
    for some in begun_before(folder, &this).chunks(AT_ONCE) {
        let read = abreast::each(some, |copies| {
            let read = copies.iter().filter_map(|path| Then::of(path)).filter(|then| before(then, &this));
            // Of copies the longest one says most.
            read.max_by_key(|then| then.state.count())
        });
        others.extend(read.into_iter().flatten());
        if others.len() >= MOST - 1 {
            break;
        }
    }
    others.sort_by_key(|t| t.measured.from_ms);
    let mut all: Vec<&Then> = others.iter().rev().take(MOST - 1).rev().collect();
    all.push(&this);
    Ok(view(&all))
}

/// Whether an operation came before this one, for the same purpose, by the same team.
fn before(then: &Then, this: &Then) -> bool {
    then.first() != this.first()
        && then.state.facts.purpose == this.state.facts.purpose
        && then.measured.from_ms < this.measured.from_ms
        && one_team(&then.people, &this.people)
}

/// Operations of a folder that began before this one by their first entry, the last of them first, each with all its copies.
fn begun_before(folder: &Path, this: &Then) -> Vec<Vec<PathBuf>> {
    let Ok(entries) = std::fs::read_dir(folder) else { return vec![] };
    let mut files: Vec<PathBuf> = entries
        .filter_map(Result::ok)
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|end| end == "ledge"))
        .collect();
    files.sort();
    let begins = abreast::each(&files, |file| {
        let first = Journal::open_read_only(file).ok()?.stored_after(0, 1).ok()?.pop()?.entry;
        Some((first.happened_ms(), first.id))
    });
    let own = this.first();
    let mut found: BTreeMap<(i64, String), Vec<PathBuf>> = BTreeMap::new();
    for (file, begin) in files.into_iter().zip(begins) {
        let Some((at, id)) = begin.filter(|(at, id)| *at < this.measured.from_ms && Some(id.as_str()) != own)
        else {
            continue;
        };
        found.entry((at, id)).or_default().push(file);
    }
    found.into_values().rev().take(LOOKED_AT).collect()
}

fn view(all: &[&Then]) -> CompareView {
    let rows = ROWS.iter().map(|(words, unit, of)| {
        let values: Vec<Option<f64>> = all.iter().map(|t| of(&t.measured)).collect();
        ComparedRow {
            words: (*words).into(),
            unit: (*unit).into(),
            picture: trend(&values, PICTURE.0, PICTURE.1),
            values,
        }
    });
    let operations = all.iter().map(|t| ComparedOperation {
        file: t.file.display().to_string(),
        name: t.state.facts.name.clone(),
        when: t.state.opened_at().map(|at| at.format("%Y-%m-%d %H:%M").to_string()).unwrap_or_default(),
    });
    CompareView {
        how: format!(
            "the last {MOST} operations of this folder at most, of the same purpose, in which two people at least and half of the \
             smaller team were there both times (an assumption of this program), looked for among the {LOOKED_AT} that began last before this one; a gap: not measured"
        ),
        operations: operations.collect(),
        rows: rows.collect(),
    }
}
