//! Findings: what departs from the guidelines first, then what was good. Each names its rule with its source, the entries it
//! rests on and how sure it is. What a person found, agreed with or set aside is told apart from what the record shows.

mod calls;
mod flags;
mod good;
mod people;
mod rules;
mod said;

pub use said::Said;
pub(crate) use said::key_of;

use super::measures::{Measures, measures};
use crate::state::State;
use serde::Serialize;
use ts_rs::TS;

/// How sure a finding is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "snake_case")]
pub enum Sure {
    /// What was said and entered, as it stands in the record.
    #[default]
    Recorded,
    /// Measured from the times of entries.
    Measured,
    /// Rests on what is not in the record: it may have been done and not written.
    NotRecorded,
    /// What a person says.
    Opinion,
}

impl Sure {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Sure::Recorded => "as recorded",
            Sure::Measured => "measured from the entries’ times, as exact as they were written",
            Sure::NotRecorded => "not in the record: it may have been done and not written",
            Sure::Opinion => "what a person says",
        }
    }
}

/// A finding.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Finding {
    /// Its name for `agree` and `set_aside`: rule and entry ("silent:42").
    pub id: String,
    /// Departs; false: was good.
    pub departs: bool,
    /// Bold words.
    pub words: String,
    /// What follows.
    pub detail: String,
    /// Mark (`silent`, `wrong`, `stop`, `late`, `zone`, `vacant`, `stale`, `good` …).
    pub mark: &'static str,
    /// Entry numbers.
    pub entries: Vec<u64>,
    /// When.
    pub at_ms: i64,
    /// The rule it is held against, in words.
    pub rule: String,
    /// Where the rule comes from, or “common practice”.
    pub source: String,
    /// How sure it is.
    pub sure: Sure,
    /// Who found it; `None`: a rule that read the record. What a person found is an opinion and no fact.
    pub by: Option<String>,
    /// What people said to it, oldest first.
    pub said: Vec<Said>,
    /// Someone set it aside and has not agreed with it since. It stays in the list.
    pub set_aside: bool,
}

impl Finding {
    /// A departure from a rule, that rests on an entry first of all.
    fn of(state: &State, rule: &str, key: u64, at_ms: i64) -> Finding {
        let (words, source) = rules::rule(state, rule);
        Finding {
            id: format!("{rule}:{key}"),
            departs: true,
            mark: "departs",
            at_ms,
            rule: words,
            source,
            sure: rules::sure(rule),
            ..Finding::default()
        }
    }

    /// The rule's name: findings of one rule are of one kind.
    pub fn kind(&self) -> &str {
        let rule = self.id.split(':').next().unwrap_or_default();
        rule.split('-').next().unwrap_or_default()
    }

    /// Which findings are read first where there is no room for all: 0 before 1 before 2.
    pub fn turn(&self) -> u8 {
        rules::turn(self.kind())
    }

    fn saying(self, words: String) -> Finding {
        Finding { words, ..self }
    }
}

/// All findings, departures first, each group by time; what was set aside after the others of its group.
pub fn findings(state: &State, now_ms: i64) -> Vec<Finding> {
    findings_with(state, &measures(state, now_ms), now_ms)
}

/// The same, from measures that were taken already.
pub fn findings_with(state: &State, measured: &Measures, now_ms: i64) -> Vec<Finding> {
    let mut list = vec![];
    calls::unheard(state, &mut list);
    calls::wrong(state, &mut list);
    calls::stops(state, &mut list);
    flags::from_flags(state, now_ms, &mut list);
    flags::pars(state, now_ms, &mut list);
    people::findings(state, now_ms, &mut list);
    good::good(state, measured, &mut list);
    said::added(state, &mut list);
    own_names(&mut list);
    said::say(state, &mut list);
    list.sort_by_key(|f| (!f.departs, f.set_aside, f.at_ms));
    list
}

/// Two findings of one rule on one entry are told apart.
fn own_names(list: &mut [Finding]) {
    let mut had = std::collections::HashMap::<String, usize>::new();
    for f in list {
        let n = had.entry(f.id.clone()).or_default();
        *n += 1;
        if *n > 1 {
            f.id = f.id.replacen(':', &format!("-{n}:"), 1);
        }
    }
}

fn at(state: &State, seq: u64) -> i64 {
    state.at(seq).map_or(0, |k| k.happened_ms)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn findings_of_one_rule_are_of_one_kind_and_what_put_someone_at_risk_is_read_first() {
        let of = |id: &str| Finding { id: id.into(), ..Finding::default() };
        for (id, kind, turn) in [
            ("drop_zone_occupied:12", "drop_zone_occupied", 0),
            ("drop_zone_occupied-3:12", "drop_zone_occupied", 0),
            ("silent:42", "silent", 1),
            ("span_of_control-2:7", "span_of_control", 2),
            ("of_a_later_program:1", "of_a_later_program", 1),
            ("", "", 1),
        ] {
            assert_eq!((of(id).kind(), of(id).turn()), (kind, turn), "{id}");
        }
    }
}
