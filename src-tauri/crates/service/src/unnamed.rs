//! Names removed: each person becomes “Person 7” wherever the name stands, in whatever letters it was typed.
//!
//! A name is found as it was entered and by each of its words, without regard to case or accents. Words of the trade are
//! never taken for a name, so an order stays an order. Who sees to a lesson is taken for one where every word of it begins large;
//! begun small, it may be a person or “gear officer”, and goes as a whole wherever it stands, none of its words alone. A patient is
//! taken over by whom the words after “to” or “by” name, as far as they begin large.
//! What cannot be found: a nickname, a misspelling, and the name of somebody no entry names as a person, such as a patient, above all
//! where it is written small. Numbers go by the order people first stand in the record.

use operation::event::{Call, Payload};
use operation::state::{Kept, State};
use report::input::ReportInput;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// Words between names that belong to nobody.
const PARTICLES: [&str; 24] = [
    "abu", "and", "bin", "das", "del", "den", "der", "des", "dos", "ibn", "las", "les", "los", "mac", "san",
    "ten", "ter", "the", "van", "vom", "von", "y", "zum", "zur",
];
/// Whom a call may come from or go to without being a role or a name.
const NOBODY: [&str; 5] = ["all", "everyone", "everybody", "team", "patient"];
/// Words that no name has: what they stand in tells of whoever it may be.
const OF_NOBODY: [&str; 32] = [
    "a", "an", "any", "anybody", "anyone", "both", "crew", "each", "either", "every", "for", "from", "he",
    "her", "his", "i", "in", "me", "my", "next", "nobody", "of", "officer", "our", "she", "somebody",
    "someone", "the", "their", "us", "we", "who",
];
/// Words for those who take a patient over that are nobody's name.
const OF_A_SERVICE: [&str; 16] = [
    "air",
    "ambulance",
    "doctor",
    "dr",
    "emergency",
    "ems",
    "fire",
    "helicopter",
    "hospital",
    "medic",
    "medical",
    "nurse",
    "paramedic",
    "paramedics",
    "police",
    "station",
];
/// Fields that hold words of the program, ids and digests.
const NOT_WORDS: [&str; 20] = [
    "kind",
    "motion",
    "zone",
    "head",
    "format",
    "engine",
    "program",
    "rig_digest",
    "guidelines_digest",
    "verdict",
    "mode",
    "id",
    "of",
    "corrects",
    "hash",
    "session",
    "lost",
    "path",
    "what",
    "station",
];

/// Fields of a rig and of a check that hold people's words; the rest are ids, classes and numbers.
const RIG_WORDS: [&str; 12] = [
    "title",
    "label",
    "words",
    "how",
    "found",
    "source",
    "rule",
    "assumptions",
    "value",
    "caution",
    "serial",
    "name",
];

/// Who is called what.
#[derive(Clone, Debug, Default)]
pub struct Names {
    /// Words of each name with its number, the longest first.
    whole: Vec<(Vec<String>, usize)>,
    /// One word of a name; `None`: several people have it.
    parts: BTreeMap<String, Option<usize>>,
    /// Signs that stand before or after the words of a name as it was entered, with the name: an emoji tells who it is too.
    signed: Vec<(String, String)>,
    /// Names made of nothing but words of the trade, as they were written: taken for a name only where they stand alone.
    alone: BTreeMap<String, usize>,
}

/// A word of a text with its place.
struct Word {
    key: String,
    start: usize,
    end: usize,
}

/// Without case and accents; what has no other form stays.
fn key(word: &str) -> String {
    let plain = deunicode::deunicode(word).trim().to_lowercase();
    if plain.is_empty() { word.to_lowercase() } else { plain }
}

fn words(text: &str) -> Vec<Word> {
    let inside = |c: char| c.is_alphanumeric() || matches!(c, '\u{0300}'..='\u{036F}');
    let mut out = Vec::new();
    let mut start = None;
    for (at, c) in text.char_indices().chain([(text.len(), ' ')]) {
        match (start, inside(c)) {
            (None, true) => start = Some(at),
            (Some(from), false) => {
                out.push(Word { key: key(&text[from..at]), start: from, end: at });
                start = None;
            }
            _ => {}
        }
    }
    out
}

impl Names {
    /// Everyone an operation names as a person.
    pub fn of(state: &State) -> Names {
        let mut people: Vec<String> = Vec::new();
        let roles = roles(state);
        let mut name = |text: &str| {
            let text = text.trim();
            if !text.is_empty() && !roles.contains(&text.to_lowercase()) && !people.iter().any(|p| p == text)
            {
                people.push(text.to_string());
            }
        };
        state.people.iter().for_each(|person| name(&person.name));
        let mut perhaps: Vec<&str> = Vec::new();
        for kept in state.written() {
            each_name(kept, &mut name);
            perhaps.extend(may_be_a_name(kept));
        }
        let trade = trade(state);
        let mut names = Names::new(&people, &trade);
        perhaps.iter().for_each(|text| names.as_a_whole(text, &trade));
        names
    }

    /// Takes in what may be a name: as a whole, and none of its words alone.
    fn as_a_whole(&mut self, text: &str, trade: &BTreeSet<String>) {
        let keys: Vec<String> = words(text).into_iter().map(|word| word.key).collect();
        let nobody = |key: &String| NOBODY.contains(&key.as_str()) || OF_NOBODY.contains(&key.as_str());
        let known = keys.iter().any(|key| self.parts.contains_key(key));
        if keys.is_empty() || known || keys.iter().any(nobody) || keys.iter().all(|key| trade.contains(key)) {
            return;
        }
        let numbers = self.whole.iter().map(|(_, number)| *number).chain(self.alone.values().copied());
        let next = numbers.max().unwrap_or(0) + 1;
        if !self.whole.iter().any(|(whole, _)| *whole == keys) {
            self.whole.push((keys, next));
            self.whole.sort_by_key(|(keys, _)| std::cmp::Reverse(keys.len()));
        }
    }

    fn new(people: &[String], trade: &BTreeSet<String>) -> Names {
        let mut names = Names::default();
        let mut numbers: BTreeMap<Vec<String>, usize> = BTreeMap::new();
        for person in people {
            let keys: Vec<String> = words(person).into_iter().map(|word| word.key).collect();
            let next = numbers.len() + 1;
            let number = *numbers.entry(keys.clone()).or_insert(next);
            if keys.is_empty() || keys.iter().all(|key| trade.contains(key)) {
                names.alone.insert(person.clone(), number);
                continue;
            }
            for key in &keys {
                let short = key.chars().count() < 3 && key.is_ascii();
                if short || trade.contains(key) || PARTICLES.contains(&key.as_str()) {
                    continue;
                }
                let part = names.parts.entry(key.clone()).or_insert(Some(number));
                if *part != Some(number) {
                    *part = None;
                }
            }
            if !names.whole.iter().any(|(known, _)| *known == keys) {
                names.whole.push((keys, number));
            }
            let bare = person.trim_matches(|c: char| !c.is_alphanumeric());
            if bare != person.trim() && !bare.is_empty() {
                names.signed.push((person.trim().to_string(), bare.to_string()));
            }
        }
        names.whole.sort_by_key(|(keys, _)| std::cmp::Reverse(keys.len()));
        names
    }

    /// A text with numbers for names.
    pub fn hide(&self, text: &str) -> String {
        if let Some(number) = self.alone.get(text.trim()) {
            return called(Some(*number));
        }
        let mut bare = std::borrow::Cow::Borrowed(text);
        for (signed, name) in self.signed.iter().filter(|(signed, _)| text.contains(signed.as_str())) {
            bare = bare.replace(signed.as_str(), name).into();
        }
        let text = bare.as_ref();
        let words = words(text);
        let mut out = String::with_capacity(text.len());
        let (mut at, mut done) = (0, 0);
        let mut before: Option<Option<usize>> = None;
        while let Some(word) = words.get(at) {
            let whole = self.whole.iter().find(|(keys, _)| {
                words
                    .get(at..at + keys.len())
                    .is_some_and(|run| run.iter().zip(keys).all(|(w, k)| w.key == *k))
            });
            let found = match whole {
                Some((keys, number)) => Some((keys.len(), Some(*number))),
                None => self.parts.get(&word.key).map(|number| (1, *number)),
            };
            let Some((taken, number)) = found else {
                before = None;
                at += 1;
                continue;
            };
            let between = &text[done..word.start];
            let joined = before == Some(number) && between.chars().all(|c| c.is_whitespace() || c == '-');
            if !joined {
                out.push_str(between);
                out.push_str(&called(number));
            }
            at += taken;
            done = words[at - 1].end;
            before = Some(number);
        }
        out.push_str(&text[done..]);
        out
    }

    /// Every text in a value, but those of fields that hold none of people's words.
    pub fn hide_in(&self, value: &mut Value) {
        match value {
            Value::String(text) => *text = self.hide(text),
            Value::Array(list) => list.iter_mut().for_each(|value| self.hide_in(value)),
            Value::Object(fields) if is_rig(fields) => {
                fields.iter_mut().for_each(|(name, value)| self.hide_in_rig(name, value));
            }
            Value::Object(fields) => {
                let of_people = fields.iter_mut().filter(|(name, _)| !NOT_WORDS.contains(&name.as_str()));
                of_people.for_each(|(_, value)| self.hide_in(value));
            }
            _ => {}
        }
    }

    /// The same within a rig or a check, whose ids point at each other.
    fn hide_in_rig(&self, field: &str, value: &mut Value) {
        match value {
            Value::String(text) if RIG_WORDS.contains(&field) => *text = self.hide(text),
            Value::Array(list) => list.iter_mut().for_each(|value| self.hide_in_rig(field, value)),
            Value::Object(fields) => {
                fields.iter_mut().for_each(|(name, value)| self.hide_in_rig(name, value));
            }
            _ => {}
        }
    }

    /// What a report prints, without names and with nothing attached.
    ///
    /// # Errors
    /// When it cannot be put together again, which is a fault of this program.
    pub fn hide_report(&self, input: ReportInput) -> Result<ReportInput, serde_json::Error> {
        let (paper, patient_page, units) = (input.paper, input.patient_page, input.units);
        let mut value = serde_json::to_value(&input)?;
        self.hide_in(&mut value);
        let mut hidden: ReportInput = serde_json::from_value(value)?;
        hidden.names_removed = true;
        (hidden.paper, hidden.patient_page, hidden.units) = (paper, patient_page, units);
        Ok(hidden)
    }
}

fn is_rig(fields: &serde_json::Map<String, Value>) -> bool {
    let format = fields.get("format").and_then(Value::as_str).unwrap_or_default();
    format.starts_with("ledgebook-rig/") || format.starts_with("ledgebook-check/")
}

fn called(number: Option<usize>) -> String {
    number.map_or_else(|| "a person".into(), |number| format!("Person {number}"))
}

/// Names of roles, long and short, and of no one.
fn roles(state: &State) -> BTreeSet<String> {
    let of_guidelines =
        state.guidelines.roles.iter().flat_map(|role| [role.role.as_str(), role.short.as_str()]);
    let held = state.duties.iter().map(|duty| duty.role.as_str());
    of_guidelines.chain(held).chain(NOBODY).map(str::to_lowercase).collect()
}

/// Words of the trade: all of the guidelines', of the roles, and what parts of the rigs are called, where they begin small.
fn trade(state: &State) -> BTreeSet<String> {
    fn take(value: &Value, out: &mut BTreeSet<String>) {
        match value {
            Value::String(text) => {
                let small = |word: &&Word| text[word.start..].starts_with(char::is_lowercase);
                out.extend(words(text).iter().filter(small).map(|word| word.key.clone()));
            }
            Value::Array(list) => list.iter().for_each(|value| take(value, out)),
            Value::Object(fields) => fields.values().for_each(|value| take(value, out)),
            _ => {}
        }
    }
    let mut out: BTreeSet<String> =
        roles(state).iter().flat_map(|role| words(role)).map(|word| word.key).collect();
    take(&serde_json::to_value(&state.guidelines.words).unwrap_or_default(), &mut out);
    for rig in state.rigs.values() {
        rig.rig.parts.iter().for_each(|part| take(&Value::from(part.label.as_str()), &mut out));
    }
    out
}

/// Who sees to a lesson may be a person or “whoever keeps the ropes”: a name is each of whose words begins large.
fn looks_like_a_name(text: &str) -> bool {
    let mut words =
        text.split_whitespace().filter(|word| !PARTICLES.contains(&key(word).as_str())).peekable();
    words.peek().is_some() && words.all(|word| !word.starts_with(begins_small))
}

/// Whether a letter is a small one of a script that has large ones too. Georgian counts its letters as small and writes names with
/// them; Arabic, Thai or Japanese have one kind of letter alone.
fn begins_small(c: char) -> bool {
    c.is_lowercase() && !is_georgian(c)
}

/// Whether a name may begin so: with a large letter, or with one of a script that has no such.
fn begins_large(c: char) -> bool {
    c.is_alphabetic() && (!c.is_lowercase() || is_georgian(c))
}

fn is_georgian(c: char) -> bool {
    matches!(c, '\u{10D0}'..='\u{10FF}')
}

/// Who sees to a lesson, where it is written so that it may be a name or not.
fn may_be_a_name(kept: &Kept) -> impl Iterator<Item = &str> {
    let payloads = [&kept.first, &kept.now].into_iter().flatten();
    payloads.filter_map(|payload| match &**payload {
        Payload::Lesson(l) => l.who.as_deref(),
        Payload::Corrected(c) => c.fields.get("who").and_then(Value::as_str),
        _ => None,
    })
}

/// Whom a patient was handed over to: the words after “to” or “by” that begin large (“to Marta Lind, ambulance”).
fn taken_over_by(text: &str) -> Option<&str> {
    let all = words(text);
    let after = all.iter().position(|word| ["to", "by"].contains(&word.key.as_str()))?;
    let of_a_service = |word: &&Word| OF_A_SERVICE.contains(&word.key.as_str());
    let large = |word: &&Word| text[word.start..].starts_with(begins_large) && !of_a_service(word);
    let named = all[after + 1..].iter().skip_while(of_a_service).take_while(large);
    let (mut named, mut end) = (named.peekable(), 0);
    let start = named.peek()?.start;
    for word in named {
        let between = if end == 0 { " " } else { &text[end..word.start] };
        if !between.chars().all(|c| c.is_whitespace() || c == '-') {
            break;
        }
        end = word.end;
    }
    Some(&text[start..end])
}

/// Hands on each text of an entry that stands for a person, as first written and as it stands now.
fn each_name(kept: &Kept, name: &mut impl FnMut(&str)) {
    for payload in [&kept.first, &kept.now].into_iter().flatten() {
        match &**payload {
            Payload::CheckIn(p) => name(&p.person),
            Payload::CheckOut(p) => name(&p.person),
            Payload::Assign(p) | Payload::Relieve(p) => name(&p.person),
            Payload::Zone(zone) => {
                name(&zone.person);
                zone.partner.iter().for_each(|partner| name(partner));
            }
            Payload::RigChecked(check) => check.bound.iter().for_each(|(_, person)| name(person)),
            Payload::Signed(s) => name(&s.person),
            Payload::Accepted(a) => name(&a.person),
            Payload::Erased(e) => name(&e.person),
            Payload::Finding(f) => name(&f.person),
            Payload::Agreed(j) | Payload::SetAside(j) => name(&j.person),
            Payload::Quarantined(g) | Payload::ReturnedToService(g) => name(&g.person),
            Payload::Sealed(s) => name(&s.person),
            Payload::Lesson(l) => {
                name(&l.person);
                l.who.iter().filter(|who| looks_like_a_name(who)).for_each(|who| name(who));
            }
            Payload::Patient(p) if p.mark == "handed_over" => {
                p.text.as_deref().and_then(taken_over_by).iter().for_each(|whom| name(whom));
            }
            Payload::Par(par) => par.missing.iter().for_each(|person| name(person)),
            Payload::Corrected(c) => {
                let who = c.fields.get("who").and_then(Value::as_str);
                who.into_iter().filter(|who| looks_like_a_name(who)).for_each(&mut *name);
                for field in ["person", "partner", "from", "to", "missing"] {
                    match c.fields.get(field) {
                        Some(Value::String(text)) => name(text),
                        Some(Value::Array(list)) => {
                            list.iter().filter_map(Value::as_str).for_each(&mut *name)
                        }
                        _ => {}
                    }
                }
            }
            other => {
                if let Some(call) = other.call() {
                    of_call(call, name);
                }
            }
        }
    }
}

fn of_call(call: &Call, name: &mut impl FnMut(&str)) {
    name(&call.from);
    call.from_people.iter().chain(&call.to).for_each(|person| name(person));
}

#[cfg(test)]
mod tests;
