//! A rig, a check's findings and guidelines stand whole in entries of format 1, so their shapes are as frozen as those of the
//! entries (`format.rs`), but for one thing: they may grow by fields that an old record need not have. `tests/fixtures/own-shapes.json`
//! holds them as they are known; a field is added to it knowingly, by the command that the failing test names.

use rig::findings::CheckReport;
use rig::guidelines::Guidelines;
use rig::model::Rig;
use schemars::schema_for;
use serde_json::{Map, Value, json};
use std::path::{Path, PathBuf};

/// Set to write down what was added; it never writes down what an old record cannot be read with.
const KNOW: &str = "LEDGEBOOK_KNOW_FIELDS";

fn known_file() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../tests/fixtures/own-shapes.json")
}

/// A shape without its words. What lies under `properties` and `$defs` are names and no words.
fn plain(shape: &Value, names: bool) -> Value {
    match shape {
        Value::Object(map) => {
            let words = ["description", "title", "examples", "$schema"];
            let kept = map.iter().filter(|(key, _)| names || !words.contains(&key.as_str()));
            let plain = kept.map(|(key, value)| {
                (key.clone(), plain(value, !names && ["properties", "$defs"].contains(&key.as_str())))
            });
            let mut plain: Map<String, Value> = plain.collect();
            if let Some(Value::Array(choices)) = plain.get_mut("oneOf") {
                gather_words(choices);
            }
            Value::Object(plain)
        }
        Value::Array(list) => Value::Array(list.iter().map(|value| plain(value, false)).collect()),
        other => other.clone(),
    }
}

/// Choices that are one word each, together: whether a word has a description of its own is not stored.
fn gather_words(choices: &mut Vec<Value>) {
    let mut words: Vec<String> = Vec::new();
    choices.retain(|choice| {
        let one = choice.get("const").and_then(Value::as_str);
        let some: Vec<&str> = one.into_iter().chain(texts(choice.get("enum"))).collect();
        words.extend(some.iter().map(ToString::to_string));
        some.is_empty()
    });
    if !words.is_empty() {
        words.sort();
        choices.push(json!({ "enum": words, "type": "string" }));
    }
}

fn now() -> Value {
    let shapes = [
        ("Rig", schema_for!(Rig).to_value()),
        ("CheckReport", schema_for!(CheckReport).to_value()),
        ("Guidelines", schema_for!(Guidelines).to_value()),
    ];
    Value::Object(shapes.into_iter().map(|(name, shape)| (name.to_string(), plain(&shape, false))).collect())
}

/// What became of a shape.
#[derive(Debug, Default, PartialEq)]
struct Grown {
    /// What an old record can be read with all the same.
    added: Vec<String>,
    /// What it cannot.
    broken: Vec<String>,
}

fn texts(list: Option<&Value>) -> Vec<&str> {
    list.and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_str).collect()
}

/// The first of a shape.
fn short(shape: &Value) -> String {
    let text = shape.to_string();
    match text.char_indices().nth(90) {
        Some((end, _)) => format!("{} …", &text[..end]),
        None => text,
    }
}

impl Grown {
    fn compare(&mut self, old: &Value, new: &Value, at: &str) {
        let (Value::Object(was), Value::Object(is)) = (old, new) else {
            if old != new {
                self.broken.push(format!("{at}: {} became {}", short(old), short(new)));
            }
            return;
        };
        for (key, value) in was {
            let now = is.get(key);
            match (key.as_str(), now) {
                ("properties" | "$defs", Some(now)) => self.compare_fields(value, now, key, is, at),
                ("required", now) => {
                    let (before, now) = (texts(Some(value)), texts(now));
                    let free = before.iter().filter(|field| !now.contains(field));
                    self.added.extend(free.map(|field| format!("{at}: “{field}” need not be there")));
                    let new_fields = now.iter().filter(|field| !before.contains(field));
                    self.broken.extend(new_fields.map(|field| format!("{at}: “{field}” must be there")));
                }
                ("enum" | "oneOf" | "anyOf", Some(Value::Array(now))) => self.compare_choices(value, now, at),
                (_, Some(now)) => self.compare(value, now, &format!("{at}.{key}")),
                (_, None) => self.broken.push(format!("{at}: “{key}” is gone")),
            }
        }
        for key in is.keys().filter(|key| !was.contains_key(*key)) {
            match key.as_str() {
                // The first field that need not be there, or the first shape that others name.
                "properties" | "$defs" => self.compare_fields(&json!({}), &is[key], key, is, at),
                _ => self.broken.push(format!("{at}: “{key}” is new: {}", short(&is[key]))),
            }
        }
    }

    fn compare_fields(&mut self, old: &Value, new: &Value, key: &str, whole: &Map<String, Value>, at: &str) {
        let none = Map::new();
        let (old, new) = (old.as_object().unwrap_or(&none), new.as_object().unwrap_or(&none));
        let fields = key == "properties";
        for (name, shape) in old {
            match new.get(name) {
                Some(now) => self.compare(shape, now, &format!("{at}.{name}")),
                None if fields => self.broken.push(format!("{at}: “{name}” is gone")),
                // A shape that nobody names any more; who named it tells.
                None => self.added.push(format!("{at}: the shape “{name}” is not used")),
            }
        }
        let required = texts(whole.get("required"));
        for name in new.keys().filter(|name| !old.contains_key(*name)) {
            if fields && required.contains(&name.as_str()) {
                self.broken.push(format!("{at}: “{name}” is new and must be there"));
            } else {
                self.added.push(format!("{at}: “{name}” is new"));
            }
        }
    }

    /// Each choice there was is there, or one that it grew into.
    fn compare_choices(&mut self, old: &Value, new: &[Value], at: &str) {
        let old = old.as_array().cloned().unwrap_or_default();
        let mut taken = vec![false; new.len()];
        for choice in &old {
            let grown =
                new.iter().enumerate().filter(|(place, _)| !taken[*place]).find_map(|(place, now)| {
                    let mut grown = Grown::default();
                    grown.compare(choice, now, at);
                    grown.broken.is_empty().then_some((place, grown))
                });
            match grown {
                Some((place, grown)) => {
                    taken[place] = true;
                    self.added.extend(grown.added);
                }
                None => self.broken.push(format!("{at}: the choice {} is gone", short(choice))),
            }
        }
        let more = new.iter().zip(&taken).filter(|(_, taken)| !**taken);
        self.added.extend(more.map(|(choice, _)| format!("{at}: the choice {} is new", short(choice))));
    }
}

#[test]
fn rigs_findings_and_guidelines_only_grow_and_knowingly() {
    let now = now();
    let known: Value = serde_json::from_slice(&std::fs::read(known_file()).unwrap()).unwrap();
    let mut grown = Grown::default();
    for (name, shape) in now.as_object().unwrap() {
        match known.get(name) {
            Some(old) => grown.compare(old, shape, name),
            None => grown.added.push(format!("the shape “{name}”")),
        }
    }
    assert!(
        grown.broken.is_empty(),
        "a record of format 1 cannot be read with this, or would mean something else:\n  {}\nGive a new field a default that \
         means what its absence meant (`#[serde(default)]`); a field that changes takes another name, and reading both is \
         written and tried on the fixtures of tests/fixtures/format-1.",
        grown.broken.join("\n  ")
    );
    if std::env::var_os(KNOW).is_some() {
        let text = serde_json::to_string_pretty(&now).unwrap() + "\n";
        std::fs::write(known_file(), text).unwrap();
        return;
    }
    assert!(
        now == known,
        "rigs, findings or guidelines have what tests/fixtures/own-shapes.json does not know:\n  {}\nIf an old record without it \
         means what it meant, and an older program may refuse a new one: write it down with\n  \
         {KNOW}=1 cargo test -p service --test own_shapes\nand commit the file with your change.",
        grown.added.join("\n  ")
    );
}

/// The comparison itself: what only grows and what breaks.
#[test]
fn what_breaks_an_old_record_is_told_from_what_adds_to_it() {
    let old = json!({"type": "object", "properties": {"a": {"type": "number"}, "title": {"$ref": "#/$defs/T"}}, "required": ["a"],
        "$defs": {"T": {"oneOf": [{"const": "x"}, {"type": "object", "properties": {"k": {"const": "y"}}, "required": ["k"]}]}}});
    let changed = |pointer: &str, value: Value| {
        let mut new = old.clone();
        *new.pointer_mut(pointer).unwrap() = value;
        new
    };
    let add = |pointer: &str, key: &str, value: Value| {
        let mut new = old.clone();
        new.pointer_mut(pointer).unwrap()[key] = value;
        new
    };
    let number = || json!({"type": "number"});
    for (new, added, broken) in [
        (old.clone(), 0, 0),
        (add("/properties", "b", number()), 1, 0),
        (changed("/required", json!([])), 1, 0),
        (add("/$defs/T/oneOf/1/properties", "more", number()), 1, 0),
        (
            changed("/$defs/T/oneOf", json!([{"const": "z"}, old["$defs"]["T"]["oneOf"][1], {"const": "x"}])),
            1,
            0,
        ),
        (changed("/properties/a", json!({"type": "string"})), 0, 1),
        (changed("/required", json!(["a", "title"])), 0, 1),
        (changed("/properties", json!({"a": number()})), 0, 1),
        (changed("/$defs/T/oneOf", json!([{"const": "x"}])), 0, 1),
        (changed("/$defs/T/oneOf/0", json!({"const": "w"})), 1, 1),
        (add("/properties/a", "default", json!(2)), 0, 1),
        (add("", "additionalProperties", json!(false)), 0, 1),
    ] {
        let mut grown = Grown::default();
        grown.compare(&old, &new, "");
        assert_eq!((grown.added.len(), grown.broken.len()), (added, broken), "{new}: {grown:?}");
    }
    let mut must = add("/properties", "b", number());
    must["required"] = json!(["a", "b"]);
    let mut grown = Grown::default();
    grown.compare(&old, &must, "");
    assert!(!grown.broken.is_empty());
    assert_eq!(
        plain(&json!({"title": "words", "properties": {"title": {"title": "words"}}}), false),
        json!({"properties": {"title": {}}})
    );
    let told = json!({"oneOf": [{"const": "b", "description": "words"}, {"enum": ["c", "a"]}]});
    assert_eq!(plain(&told, false), json!({"oneOf": [{"enum": ["a", "b", "c"], "type": "string"}]}));
}
