//! Edits of a valid input: of what it means, where it is JSON, and of its bytes. A list of them shrinks.

use proptest::prelude::*;
use serde_json::{Value, json};

/// One change.
#[derive(Clone, Debug)]
pub enum Edit {
    /// The value at a place becomes an odd one.
    Odd(usize, usize),
    /// The value at a place becomes a copy of another.
    Copy(usize, usize),
    /// The value at a place is left out.
    Leave(usize),
    /// The list at a place gets one of its members so many times more.
    Repeat(usize, usize),
    /// A member of the longest list moves to another place in it.
    Move(usize, usize),
    /// A field gets another's name.
    Rename(usize, usize),
    /// A byte becomes another.
    Byte(usize, u8),
    /// All after this is gone.
    Cut(usize),
    /// Bytes come in between.
    Insert(usize, Vec<u8>),
    /// A block of this many bytes is copied over another.
    Block(usize, usize, usize),
}

/// Lists of edits of JSON text: mostly of its meaning.
pub fn of_json() -> impl Strategy<Value = Vec<Edit>> {
    let at = any::<usize>;
    let edit = prop_oneof![
        6 => (at(), at()).prop_map(|(place, odd)| Edit::Odd(place, odd)),
        3 => (at(), at()).prop_map(|(place, from)| Edit::Copy(place, from)),
        2 => at().prop_map(Edit::Leave),
        1 => (at(), 2usize..300).prop_map(|(place, times)| Edit::Repeat(place, times)),
        3 => (at(), at()).prop_map(|(place, from)| Edit::Move(place, from)),
        1 => (at(), at()).prop_map(|(place, from)| Edit::Rename(place, from)),
        1 => of_bytes(),
    ];
    proptest::collection::vec(edit, 0..4)
}

/// Lists of edits of bytes.
pub fn of_file() -> impl Strategy<Value = Vec<Edit>> {
    proptest::collection::vec(of_bytes(), 0..8)
}

fn of_bytes() -> impl Strategy<Value = Edit> {
    let at = any::<usize>;
    let bytes = proptest::collection::vec(any::<u8>(), 1..40);
    let block = prop_oneof![Just(1usize), Just(24), Just(512), Just(4096)];
    prop_oneof![
        6 => (at(), any::<u8>()).prop_map(|(place, byte)| Edit::Byte(place, byte)),
        1 => at().prop_map(Edit::Cut),
        2 => (at(), bytes).prop_map(|(place, bytes)| Edit::Insert(place, bytes)),
        2 => (at(), at(), block).prop_map(|(from, to, length)| Edit::Block(from, to, length)),
    ]
}

/// Texts that are valid somewhere, or nearly, or never.
const TEXTS: &[&str] = &[
    "",
    " ",
    "0",
    "-1",
    "1e308kN",
    "-1e308kN",
    "1e-320m",
    "0kg",
    "-0m",
    "NaNkN",
    "infm",
    "1kN/0",
    "999999999999999999999kg",
    "0deg",
    "90deg",
    "180deg",
    "360deg",
    "1e300deg",
    "P1Y",
    "PT0S",
    "-PT1S",
    "PT99999999999999999999S",
    "PT1H61M",
    "9999-12-31T23:59:59+18:00",
    "0000-01-01T00:00:00Z",
    "2026-05-14T13:02:00+02:00",
    "25:61",
    "13:02",
    "all",
    "control",
    "rope one operator",
    "\u{0}",
    "\u{202e}abc",
    "a\u{300}\u{300}\u{300}",
    "🪢",
    "..",
    "/",
    "stop",
    "lower",
    "raise slow",
    "stop, lower, tied off",
];

/// Numbers at the edges.
const NUMBERS: &[f64] = &[0.0, -1.0, 1.0, -0.0, 1e308, -1e308, 5e-324, 0.1, 1e12, 2.5, 4_294_967_296.0, 1e19];

fn odd(which: usize) -> Value {
    let which = which % (TEXTS.len() + NUMBERS.len() + 10);
    if let Some(text) = TEXTS.get(which) {
        return json!(text);
    }
    if let Some(number) = NUMBERS.get(which - TEXTS.len()) {
        return json!(number);
    }
    match which - TEXTS.len() - NUMBERS.len() {
        0 => Value::Null,
        1 => json!(true),
        2 => json!([]),
        3 => json!({}),
        4 => json!("long ".repeat(20_000)),
        5 => (0..100).fold(json!(1), |inner, _| json!([inner])),
        6 => (0..100).fold(json!("x"), |inner, _| json!({ "a": inner })),
        7 => json!(u64::MAX),
        8 => json!(i64::MIN),
        _ => Value::Array(vec![json!("rope one operator"); 5_000]),
    }
}

/// The input with all edits done, in order.
pub fn apply(base: &[u8], edits: &[Edit]) -> Vec<u8> {
    let mut bytes = base.to_vec();
    for edit in edits {
        match edit {
            Edit::Byte(..) | Edit::Cut(_) | Edit::Insert(..) | Edit::Block(..) => in_bytes(&mut bytes, edit),
            _ => {
                if let Ok(mut value) = serde_json::from_slice::<Value>(&bytes) {
                    in_meaning(&mut value, edit);
                    bytes = serde_json::to_vec(&value).unwrap_or(bytes);
                }
            }
        }
        bytes.truncate(4 << 20);
    }
    bytes
}

fn in_bytes(bytes: &mut Vec<u8>, edit: &Edit) {
    let length = bytes.len();
    if length == 0 {
        return;
    }
    match edit {
        Edit::Byte(place, byte) => bytes[place % length] = *byte,
        Edit::Cut(place) => bytes.truncate(place % length),
        Edit::Insert(place, new) => {
            let place = place % length;
            bytes.splice(place..place, new.iter().copied());
        }
        Edit::Block(from, to, block) => {
            let (from, to) = (from % length / block * block, to % length / block * block);
            let size = (*block).min(length - from).min(length - to);
            bytes.copy_within(from..from + size, to);
        }
        _ => {}
    }
}

fn in_meaning(root: &mut Value, edit: &Edit) {
    let mut places = Vec::new();
    walk(root, &mut Vec::new(), &mut places);
    let of = |n: usize| places[n % places.len()].clone();
    match edit {
        Edit::Odd(place, which) => put(root, &of(*place), odd(*which)),
        Edit::Copy(place, from) => {
            let copied = find(root, &of(*from)).cloned().unwrap_or_default();
            put(root, &of(*place), copied);
        }
        Edit::Leave(place) => leave(root, &of(*place)),
        Edit::Repeat(place, times) => {
            if let Some(Value::Array(list)) = find(root, &of(*place))
                && !list.is_empty()
            {
                let member = list[times % list.len()].clone();
                // Copies of copies would fill the memory by our own doing.
                let times = (200_000 / member.to_string().len().max(1)).min(*times);
                list.extend(std::iter::repeat_n(member, times));
            }
        }
        Edit::Move(place, from) => {
            let length = |path: &Vec<Step>| look(root, path).as_array().map_or(0, Vec::len);
            let longest = places.iter().max_by_key(|path| length(path)).cloned().unwrap_or_default();
            if let Some(Value::Array(list)) = find(root, &longest)
                && !list.is_empty()
            {
                let member = list.remove(from % list.len());
                list.insert(place % (list.len() + 1), member);
            }
        }
        Edit::Rename(place, from) => {
            let new = of(*from).last().map_or_else(|| "x".into(), Step::name);
            rename(root, &of(*place), new);
        }
        _ => {}
    }
}

/// A step down from a value.
#[derive(Clone, Debug)]
enum Step {
    Field(String),
    Member(usize),
}

impl Step {
    fn name(&self) -> String {
        match self {
            Step::Field(name) => name.clone(),
            Step::Member(number) => number.to_string(),
        }
    }
}

fn walk(value: &Value, here: &mut Vec<Step>, places: &mut Vec<Vec<Step>>) {
    places.push(here.clone());
    let mut below = |step: Step, inner: &Value| {
        here.push(step);
        walk(inner, here, places);
        here.pop();
    };
    match value {
        Value::Object(map) => map.iter().for_each(|(name, inner)| below(Step::Field(name.clone()), inner)),
        Value::Array(list) => list.iter().enumerate().for_each(|(n, inner)| below(Step::Member(n), inner)),
        _ => {}
    }
}

fn look<'a>(root: &'a Value, path: &[Step]) -> &'a Value {
    path.iter().fold(root, |value, step| match step {
        Step::Field(name) => &value[name],
        Step::Member(number) => &value[*number],
    })
}

fn find<'a>(root: &'a mut Value, path: &[Step]) -> Option<&'a mut Value> {
    path.iter().try_fold(root, |value, step| match step {
        Step::Field(name) => value.get_mut(name),
        Step::Member(number) => value.get_mut(number),
    })
}

fn put(root: &mut Value, path: &[Step], new: Value) {
    if let Some(value) = find(root, path) {
        *value = new;
    }
}

fn leave(root: &mut Value, path: &[Step]) {
    let Some((last, above)) = path.split_last() else { return };
    match (find(root, above), last) {
        (Some(Value::Object(map)), Step::Field(name)) => {
            map.remove(name);
        }
        (Some(Value::Array(list)), Step::Member(number)) if *number < list.len() => {
            list.remove(*number);
        }
        _ => {}
    }
}

fn rename(root: &mut Value, path: &[Step], new: String) {
    let Some((Step::Field(name), above)) = path.split_last() else { return };
    if let Some(Value::Object(map)) = find(root, above)
        && let Some(value) = map.remove(name)
    {
        map.insert(new, value);
    }
}
