//! JSON Schemas of what goes in and out, for other programs.

use crate::wire::Trouble;
use operation::Payload;
use operation::step::{Act, FORMAT as SCRIPT_FORMAT};
use rig::guidelines::Guidelines;
use rig::model::Rig;
use schemars::{JsonSchema, Schema, schema_for};
use serde_json::{Value, json};

/// Names of the schemas.
pub const NAMES: [&str; 5] = ["script", "rig", "guidelines", "event", "record"];

/// The schema of one of [`NAMES`].
///
/// # Errors
/// Another name.
pub fn schema(name: &str) -> Result<Value, Trouble> {
    match name {
        "script" => Ok(script()),
        "rig" => Ok(plain::<Rig>("Ledgebook rig")),
        "guidelines" => Ok(plain::<Guidelines>("Ledgebook guidelines")),
        "event" => {
            Ok(plain::<Payload>("Ledgebook event: kind and payload, as in the columns of the same names"))
        }
        "record" => Ok(record()),
        other => {
            let remedy = format!("name one of: {}", NAMES.join(", "));
            Err(Trouble::new("bad_argument", format!("there is no schema “{other}”"), "schema", remedy))
        }
    }
}

fn plain<T: JsonSchema>(title: &str) -> Value {
    let mut schema: Schema = schema_for!(T);
    schema.insert("title".into(), title.into());
    schema.to_value()
}

/// A line of a record as `export --to jsonl`, the mirror and a report hold it: the stored columns under their names.
fn record() -> Value {
    let text = |words: &str| json!({ "type": "string", "description": words });
    let hex = |words: &str| json!({ "type": "string", "pattern": "^[0-9a-f]{64}$", "description": words });
    let or_null = |mut of: Value| {
        of["type"] = json!(["string", "null"]);
        of
    };
    let time = |words: &str| json!({ "type": "string", "format": "date-time", "description": words });
    let number =
        |least: u64, words: &str| json!({ "type": "integer", "minimum": least, "description": words });
    let columns = [
        "seq",
        "id",
        "station",
        "station_seq",
        "session",
        "boot_ms",
        "recorded_at",
        "happened_at",
        "author",
        "kind",
        "version",
        "payload",
        "corrects",
    ];
    let proof = ["hash", "salt", "payload_digest", "prev"];
    let whole: Vec<&str> = columns.iter().chain(&proof).copied().collect();
    let without: Vec<&str> = columns.iter().copied().chain(["names"]).collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Ledgebook record: one line",
        "type": "object",
        "additionalProperties": false,
        "anyOf": [{ "required": whole }, { "required": without }],
        "properties": {
            "seq": number(1, "number in the file"),
            "id": text("UUIDv7"),
            "station": text("name of the station that wrote it"),
            "station_seq": number(1, "number within the station’s chain"),
            "session": text("one start of the program"),
            "boot_ms": { "type": "integer", "description": "the machine’s boot clock, ms; runs on through suspend" },
            "recorded_at": time("when it was written"),
            "happened_at": time("when it happened"),
            "author": or_null(text("who wrote it, if known")),
            "kind": text("kind of event: ledgebook schema event"),
            "version": number(0, "version of the payload’s shape"),
            "payload": or_null(text("what it says, as stored: JSON in a text; null once erased by law")),
            "corrects": or_null(text("id of the entry it corrects")),
            "hash": hex("its hash in the station’s chain"),
            "salt": or_null(hex("salt of the payload’s digest; null once erased")),
            "payload_digest": hex("SHA-256 of salt and payload"),
            "prev": hex("hash of the station’s entry before"),
            "names_not_found": text("on the first line of a record without names: what may still name somebody"),
            "names": { "const": "removed", "description": "names were replaced; then nothing that proves the line is in it" }
        }
    })
}

/// A script: head, and steps made of the common fields and those of their `do`.
fn script() -> Value {
    let mut act = plain::<Act>("Step");
    let defs = act.as_object_mut().and_then(|map| map.remove("$defs")).unwrap_or_else(|| json!({}));
    let mut steps = act.get("oneOf").cloned().unwrap_or_else(|| json!([]));
    let common = json!({
        "at": { "type": "string", "description": "ISO 8601 duration from start; scripts only", "examples": ["PT12M3S"] },
        "label": { "type": "string", "description": "a name for “of”" },
        "happened": { "type": "string", "description": "when it happened, for a late entry: a duration from start, HH:MM[:SS], or RFC 3339" },
        "by": { "type": "string", "description": "channel, voice, whistle or hand" }
    });
    for step in steps.as_array_mut().into_iter().flatten() {
        open_up(step, &defs, &common);
    }
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Ledgebook script",
        "type": "object",
        "required": ["format", "start", "steps"],
        "additionalProperties": false,
        "properties": {
            "format": { "const": SCRIPT_FORMAT },
            "start": { "type": "string", "format": "date-time", "description": "local time with offset" },
            "station": { "type": "string", "default": "top" },
            "seed": { "type": "integer", "minimum": 0, "default": 0 },
            "steps": { "type": "array", "minItems": 1, "items": { "oneOf": steps } }
        },
        "$defs": defs
    })
}

/// Puts the fields a step refers to in place, with the common ones beside them.
fn open_up(step: &mut Value, defs: &Value, common: &Value) {
    let target =
        step.get("$ref").and_then(Value::as_str).and_then(|r| r.strip_prefix("#/$defs/")).map(str::to_string);
    if let (Some(name), Some(map)) = (target, step.as_object_mut())
        && let Some(definition) = defs.get(&name)
    {
        map.remove("$ref");
        for (key, value) in definition.as_object().into_iter().flatten() {
            match (map.get_mut(key), value) {
                (Some(Value::Object(mine)), Value::Object(theirs)) => mine.extend(theirs.clone()),
                (Some(Value::Array(mine)), Value::Array(theirs)) => mine.extend(theirs.clone()),
                (Some(_), _) => {}
                (None, value) => {
                    map.insert(key.clone(), value.clone());
                }
            }
        }
    }
    if let Some(map) = step.as_object_mut() {
        let properties = map.entry("properties").or_insert_with(|| json!({}));
        if let (Value::Object(properties), Value::Object(common)) = (properties, common) {
            properties.extend(common.clone());
        }
        let required = map.entry("required").or_insert_with(|| json!(["do"]));
        if let Value::Array(required) = required {
            required.push("at".into());
        }
    }
}
