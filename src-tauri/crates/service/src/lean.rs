//! A stored check read for what movement, gear and a search ask of it: verdicts, names, margins and what is critical.
//!
//! Nine tenths of a record are stored checks, and nine tenths of a check tell how its figures were got and how far the load falls.
//! Who goes through a folder of records asks for neither. Both are cut out of the stored text before the state reads it, so that it
//! reads what is left as it reads any check: each field that stays is refused where it always is, each that is unknown too.
//!
//! What is cut out is not looked into. A check that a whole reading would refuse for what stands inside its falls is read here, and
//! counted. That misleads nobody to trust a rig: of a check, what goes through a folder takes only which parts fall short and are
//! critical, so it can ask for one inspection too many and for none too few; no screen or paper says of a rig that it holds from this
//! reading. It takes a chain that fits around a text that this program never wrote.

use operation::event::Lent;
use operation::state::{Filing, State};
use rig::guidelines::Guidelines;

/// Fields of a check that nobody asks for here, and what stands for each: as little as its shape lets be said.
const CUT: [(&str, &str); 10] = [
    ("falls", "[]"),
    ("hauling", "null"),
    ("how", "[]"),
    ("source", "\"\""),
    ("path", "[]"),
    ("weakest", "null"),
    ("force_kN", "null"),
    ("strength_kN", "null"),
    ("assumptions", "[]"),
    ("caution", "\"\""),
];

/// The state after all these entries, in the order they were written.
pub fn state<'a>(entries: impl ExactSizeIterator<Item = Lent<'a>>) -> State {
    let mut filing = Filing::new(Guidelines::defaults(), entries.len());
    entries.for_each(|entry| file(&mut filing, entry));
    filing.done()
}

/// Files an entry; of a check, what is left of it.
pub fn file(filing: &mut Filing, entry: Lent<'_>) {
    let check = entry.payload.filter(|_| entry.kind == "rig_checked");
    let left = check.and_then(left_of);
    filing.file(Lent { payload: left.as_deref().or(entry.payload), ..entry });
}

/// The text of a check without the fields of [`CUT`], wherever they stand; `None` where it ends too early to be one.
///
/// A field is a text with a colon right behind it, as the program writes it; where a space stands between, it is left as it is.
fn left_of(check: &str) -> Option<String> {
    let bytes = check.as_bytes();
    let mut left = String::with_capacity(check.len() / 3);
    let (mut at, mut copied) = (0, 0);
    while at < bytes.len() {
        if bytes[at] != b'"' {
            at += 1;
            continue;
        }
        let end = end_of_text(bytes, at)?;
        let name = &check[at + 1..end - 1];
        at = end;
        if bytes.get(at) != Some(&b':') {
            continue;
        }
        at += 1;
        if let Some((_, instead)) = CUT.iter().find(|(cut, _)| *cut == name) {
            left.push_str(&check[copied..at]);
            left.push_str(instead);
            at = end_of_value(bytes, at)?;
            copied = at;
        }
    }
    left.push_str(&check[copied..]);
    Some(left)
}

/// The place behind the text that begins at `start` with its quotation mark.
fn end_of_text(bytes: &[u8], start: usize) -> Option<usize> {
    let mut at = start + 1;
    loop {
        at += bytes.get(at..)?.iter().position(|b| matches!(b, b'"' | b'\\'))?;
        match bytes[at] {
            b'"' => return Some(at + 1),
            // Whatever it stands before is not the end.
            _ => at += 2,
        }
    }
}

/// The place behind the value that begins at `start`.
fn end_of_value(bytes: &[u8], start: usize) -> Option<usize> {
    let (mut at, mut deep) = (start, 0_usize);
    loop {
        match bytes.get(at)? {
            b'"' => at = end_of_text(bytes, at)?,
            b'{' | b'[' => {
                deep += 1;
                at += 1;
            }
            // The end of what it stands in: a number or a word was the value.
            b'}' | b']' | b',' if deep == 0 => return Some(at),
            b'}' | b']' => {
                deep -= 1;
                at += 1;
            }
            _ => {
                at += 1;
                continue;
            }
        }
        if deep == 0 {
            return Some(at);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use operation::Payload;
    use operation::event::RigChecked;
    use rig::findings::{CheckReport, StateFindings};
    use serde_json::{Value, json};
    use std::collections::BTreeMap;

    fn cut(check: &Value) -> Value {
        serde_json::from_str(&left_of(&check.to_string()).expect("a whole text"))
            .expect("what is left is JSON")
    }

    #[test]
    fn fields_are_cut_and_nothing_that_only_looks_like_one() {
        let check = json!({
            "label": "how", "words": "\"how\":[1] \\", "how": ["a \"quoted\" ] step", "}\\"], "id": "falls", "list": ["source", "path"],
            "force_kN": {"low": 1.0, "nominal": [2, {"x": "]"}], "high": -3e5}, "strength_kN": 22.5, "weakest": null,
            "hauling": {"force_kN": 1}, "falls": [[[]], {}], "caution": "…ü", "deep": {"assumptions": [], "kept": true, "source": "x"}
        });
        let left = json!({
            "label": "how", "words": "\"how\":[1] \\", "how": [], "id": "falls", "list": ["source", "path"],
            "force_kN": null, "strength_kN": null, "weakest": null,
            "hauling": null, "falls": [], "caution": "", "deep": {"assumptions": [], "kept": true, "source": ""}
        });
        assert_eq!(cut(&check), left);
        assert_eq!(left_of("{\"how\" :[1]}").as_deref(), Some("{\"how\" :[1]}"));
        for torn in ["{\"how\":", "{\"how\":[1", "{\"how\":[\"]", "{\"ho", "{\"label\":\"a\\\""] {
            assert_eq!(left_of(torn), None, "{torn}");
        }
        assert_eq!(left_of(""), Some(String::new()));
    }

    /// A check as it is left when its fields are cut one by one from what was read whole.
    fn by_hand(mut read: RigChecked) -> RigChecked {
        let findings = |f: &mut StateFindings| {
            (f.hauling, f.falls) = (None, vec![]);
            for part in &mut f.parts {
                (part.force_kn, part.strength_kn, part.how) = (None, None, vec![]);
                part.source.clear();
            }
            for loss in &mut f.losses {
                (loss.weakest, loss.path) = (None, vec![]);
            }
            f.checks.iter_mut().for_each(|rule| rule.source.clear());
        };
        let CheckReport { main, other_states, assumptions, caution, .. } = &mut *read.report;
        findings(main);
        other_states.iter_mut().for_each(findings);
        assumptions.clear();
        caution.clear();
        read
    }

    #[test]
    fn what_is_left_of_a_check_of_each_template_is_what_a_whole_reading_has_there() {
        for template in rig::templates::list() {
            let rig = rig::templates::make(template.name, &BTreeMap::new()).expect("made of its defaults");
            // Falls take a second a rig here; they are cut whole, and the records of `records::tests` hold them too.
            let report = match template.name {
                "twin-lower-two-knots" => {
                    crate::rigs::check(&rig, &Guidelines::defaults(), None, &engine::falls::Called::default())
                }
                _ => crate::rigs::check_without_falls(&rig, &Guidelines::defaults(), None),
            };
            let check = RigChecked { rig: "a".into(), rig_seq: 3, bound: vec![], report: Box::new(report) };
            let text = Payload::RigChecked(check).write().expect("written");
            let read = |text: &str| match Payload::read("rig_checked", 1, text) {
                Some(Payload::RigChecked(read)) => read,
                other => panic!("{other:?}"),
            };
            let left = left_of(&text).expect("a whole text");
            assert!(left.len() * 2 < text.len(), "{}: {} of {}", template.name, left.len(), text.len());
            assert_eq!(read(&left), by_hand(read(&text)), "{}", template.name);
        }
    }
}
