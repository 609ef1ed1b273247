//! JSON as people hand it in: a name that stands twice is refused, for one of the two would be lost unseen.

use serde::de::{Deserialize, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Number, Value};
use std::fmt;

/// Reads JSON in which no object has a name twice.
///
/// # Errors
/// Text that is not JSON, or has a name twice, with line and column.
pub fn read(text: &str) -> Result<Value, serde_json::Error> {
    serde_json::from_str::<Once>(text).map(|once| once.0)
}

/// The error's words without the line, which is told apart.
pub fn words(error: &serde_json::Error) -> String {
    let text = error.to_string();
    text.rfind(" at line ").map_or_else(|| text.clone(), |cut| text[..cut].to_string())
}

struct Once(Value);

impl<'de> Deserialize<'de> for Once {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(Anything).map(Once)
    }
}

struct Anything;

impl<'de> Visitor<'de> for Anything {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }
    fn visit_unit<E: Error>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }
    fn visit_bool<E: Error>(self, value: bool) -> Result<Value, E> {
        Ok(value.into())
    }
    fn visit_i64<E: Error>(self, value: i64) -> Result<Value, E> {
        Ok(value.into())
    }
    fn visit_u64<E: Error>(self, value: u64) -> Result<Value, E> {
        Ok(value.into())
    }
    fn visit_f64<E: Error>(self, value: f64) -> Result<Value, E> {
        Number::from_f64(value).map(Value::Number).ok_or_else(|| E::custom("the number is out of range"))
    }
    fn visit_str<E: Error>(self, value: &str) -> Result<Value, E> {
        Ok(value.into())
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Value, A::Error> {
        let mut all = Vec::new();
        while let Some(Once(value)) = list.next_element()? {
            all.push(value);
        }
        Ok(Value::Array(all))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let mut map = Map::new();
        while let Some(name) = entries.next_key::<String>()? {
            if map.contains_key(&name) {
                return Err(A::Error::custom(format!("“{name}” stands twice")));
            }
            let Once(value) = entries.next_value()?;
            map.insert(name, value);
        }
        Ok(Value::Object(map))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_reads_what_the_library_reads_but_for_names_that_stand_twice() {
        for text in
            [r#"{"a":[1,-2,2.5e3,null,true,"é\n"],"b":{"a":{}}}"#, "7", "\"x\"", "18446744073709551615"]
        {
            assert_eq!(read(text).unwrap(), serde_json::from_str::<Value>(text).unwrap(), "{text}");
        }
        for (text, says) in [
            (r#"{"a":1,"a":1}"#, "“a” stands twice"),
            (r#"{"b":[{"set":{"x":1,"x":2}}]}"#, "“x” stands twice"),
            (r#"{"a":1"#, "EOF"),
            ("{} {}", "trailing"),
            ("1e999", "out of range"),
        ] {
            let error = read(text).unwrap_err();
            assert!(words(&error).contains(says), "{text}: {error}");
            assert_eq!(error.line(), 1, "{text}");
        }
    }
}
