//! The fields of each `do` word, so that what is missing or unknown can be named with its place.

use super::StepError;
use serde_json::{Map, Value};

/// Word, fields it must have, fields it may have; a test holds this equal to the shapes in `act`.
const FIELDS: [(&str, &[&str], &[&str]); 32] = [
    ("open", &["name", "purpose"], &["place", "edge_height", "guidelines"]),
    ("close", &[], &[]),
    ("check_in", &["person"], &["qualifications", "agency"]),
    ("check_out", &["person"], &["qualifications", "agency"]),
    ("assign", &["role", "person"], &[]),
    ("relieve", &["role", "person"], &[]),
    ("zone", &["person", "zone"], &["tied_in", "partner"]),
    ("rig", &[], &["name", "template", "set", "rig"]),
    ("use", &["rig"], &["state"]),
    ("check", &[], &["rig"]),
    ("sign", &["role", "person"], &["rig"]),
    ("accept", &["check", "person", "reason"], &["rig"]),
    ("order", &["from", "to", "text"], &["cause"]),
    ("readback", &["from", "of", "text"], &[]),
    ("answer", &["from", "of", "text"], &[]),
    ("report", &["from", "text"], &["metres"]),
    ("note", &["from", "text"], &["metres"]),
    ("signal", &["from"], &["count", "text"]),
    ("correct", &["of"], &[]),
    ("par", &["count"], &["of", "missing"]),
    ("patient", &["mark"], &["text", "vitals"]),
    ("benchmark", &["name"], &["text"]),
    ("hazard", &["text"], &["control"]),
    ("exercise", &["lose", "text"], &[]),
    ("erase", &["of", "person", "reason"], &[]),
    ("finding", &["person", "text"], &["good", "entries"]),
    ("agree", &["of", "person"], &["text"]),
    ("set_aside", &["of", "person", "reason"], &[]),
    ("quarantine", &["gear", "person", "reason"], &[]),
    ("return_to_service", &["gear", "person", "reason"], &[]),
    ("seal", &["person", "reason"], &[]),
    ("lesson", &["what", "person", "text"], &["who", "by_when"]),
];

/// Refuses a step that lacks a field or has one that its word does not know.
pub(super) fn check(word: &str, map: &Map<String, Value>, place: &str) -> Result<(), StepError> {
    let Some((_, required, optional)) = FIELDS.iter().find(|(w, ..)| *w == word) else { return Ok(()) };
    if let Some(missing) = required.iter().find(|n| map.get(**n).is_none_or(Value::is_null)) {
        return Err(StepError::new(
            format!("{word} has no “{missing}”"),
            format!("{place}, {missing}"),
            format!("add \"{missing}\"; {word} needs: {}", required.join(", ")),
        ));
    }
    if word == "correct" {
        return Ok(());
    }
    let known = |n: &str| n == "do" || required.contains(&n) || optional.contains(&n);
    if let Some(unknown) = map.keys().find(|n| !known(n)) {
        let all: Vec<&str> = required.iter().chain(*optional).chain(&super::COMMON).copied().collect();
        return Err(StepError::new(
            format!("unknown field “{unknown}” in {word}"),
            format!("{place}, {unknown}"),
            format!("take it out or spell it right; {word} knows: {}", all.join(", ")),
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::FIELDS;
    use crate::step::{Act, DO_WORDS};
    use serde_json::Value;
    use std::collections::BTreeSet;

    /// The table above and the shapes that are read say the same.
    #[test]
    fn the_table_is_the_schema() {
        let schema = schemars::schema_for!(Act).to_value();
        let resolve = |v: &Value| -> Value {
            match v.get("$ref").and_then(Value::as_str) {
                Some(path) => schema.pointer(path.trim_start_matches('#')).cloned().unwrap(),
                None => v.clone(),
            }
        };
        let mut seen = vec![];
        for branch in schema["oneOf"].as_array().unwrap() {
            let word = branch["properties"]["do"]["const"].as_str().unwrap().to_string();
            let shape = resolve(branch);
            let names = |v: &Value| -> BTreeSet<String> {
                match v {
                    Value::Object(m) => m.keys().cloned().collect(),
                    Value::Array(a) => a.iter().map(|n| n.as_str().unwrap().to_string()).collect(),
                    _ => BTreeSet::new(),
                }
            };
            let merged = |key: &str| -> BTreeSet<String> {
                let mut all = names(&branch[key]);
                all.extend(names(&shape[key]));
                all.remove("do");
                all
            };
            let (_, required, optional) = FIELDS.iter().find(|(w, ..)| *w == word).unwrap();
            let set = |a: &[&str]| a.iter().map(|s| (*s).to_string()).collect::<BTreeSet<String>>();
            assert_eq!(merged("required"), set(required), "{word}");
            let mut all = set(required);
            all.extend(set(optional));
            assert_eq!(merged("properties"), all, "{word}");
            seen.push(word);
        }
        assert_eq!(seen, DO_WORDS);
    }
}
