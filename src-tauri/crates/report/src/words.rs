//! Times, numbers and lists in the words of the report.

use crate::kit::Rich;
use chrono::{DateTime, Datelike, FixedOffset, Timelike};
use drawing::metrics::Lead;
use rig::units::{Kind, Side, Units};

const DAYS: [&str; 7] = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];
const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Local time of the operation.
#[derive(Clone, Copy, Debug)]
pub struct Clock {
    offset_min: i32,
}

impl Clock {
    /// A clock that many minutes ahead of UTC.
    pub fn new(offset_min: i32) -> Self {
        Clock { offset_min: offset_min.clamp(-1439, 1439) }
    }

    fn at(self, ms: i64) -> DateTime<FixedOffset> {
        let zone = FixedOffset::east_opt(self.offset_min * 60).unwrap_or(UTC);
        DateTime::from_timestamp_millis(ms).unwrap_or_default().with_timezone(&zone)
    }

    /// "15:58:20".
    pub fn hms(self, ms: i64) -> String {
        self.at(ms).format("%H:%M:%S").to_string()
    }

    /// "15:58".
    pub fn hm(self, ms: i64) -> String {
        self.at(ms).format("%H:%M").to_string()
    }

    /// Hour of the day.
    pub fn hour(self, ms: i64) -> u32 {
        self.at(ms).hour()
    }

    /// "Saturday 17 October 2026".
    pub fn date(self, ms: i64) -> String {
        let at = self.at(ms);
        let (day, month) = (at.weekday().num_days_from_monday() as usize, at.month0() as usize);
        format!("{} {} {} {}", DAYS[day], at.day(), MONTHS[month], at.year())
    }

    /// "Sat 17 Oct 2026".
    pub fn short_date(self, ms: i64) -> String {
        let at = self.at(ms);
        let (day, month) = (at.weekday().num_days_from_monday() as usize, at.month0() as usize);
        format!("{} {} {} {}", &DAYS[day][..3], at.day(), &MONTHS[month][..3], at.year())
    }

    /// Whether two times lie on one day.
    pub fn same_day(self, a: i64, b: i64) -> bool {
        self.at(a).date_naive() == self.at(b).date_naive()
    }

    /// "+02:00".
    pub fn zone(self) -> String {
        let (sign, min) =
            if self.offset_min < 0 { ('−', -self.offset_min) } else { ('+', self.offset_min) };
        format!("{sign}{:02}:{:02}", min / 60, min % 60)
    }
}

/// UTC, as an offset.
const UTC: FixedOffset = match FixedOffset::east_opt(0) {
    Some(zone) => zone,
    None => panic!("UTC exists"),
};

/// A count with its thousands apart: "10 001" (a thin space that does not break).
pub fn count(n: u64) -> String {
    let digits = n.to_string();
    if digits.len() < 5 {
        return digits;
    }
    let mut out = String::new();
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push('\u{202f}');
        }
        out.push(c);
    }
    out
}

/// "1 entry", "188 entries".
pub fn several(n: u64, one: &str, many: &str) -> String {
    format!("{} {}", count(n), if n == 1 { one } else { many })
}

/// Entry numbers as ranges: "entries 83–86, 103"; "entry 71". Empty for none.
pub fn entries(numbers: &[u64]) -> String {
    let ranges = ranges(numbers);
    match numbers.len() {
        0 => String::new(),
        1 => format!("entry {ranges}"),
        _ => format!("entries {ranges}"),
    }
}

/// Numbers as ranges: "83–86, 103"; three in a row make a range.
pub fn ranges(numbers: &[u64]) -> String {
    let range = |(from, to): (u64, u64)| if from == to { from.to_string() } else { format!("{from}–{to}") };
    runs(numbers).into_iter().map(range).collect::<Vec<_>>().join(", ")
}

/// First and last of each range; a number alone is both. Sorted, each number once.
fn runs(numbers: &[u64]) -> Vec<(u64, u64)> {
    let mut sorted = numbers.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    let mut out: Vec<(u64, u64)> = Vec::new();
    let mut i = 0;
    while i < sorted.len() {
        let mut j = i;
        while j + 1 < sorted.len() && sorted[j + 1] == sorted[j] + 1 {
            j += 1;
        }
        if j >= i + 2 {
            out.push((sorted[i], sorted[j]));
        } else {
            out.extend(sorted[i..=j].iter().map(|n| (*n, *n)));
        }
        i = j + 1;
    }
    out
}

/// [`entries`], each number leading to its entry; of more than `most` the first, and how many there are.
pub fn entries_leading(numbers: &[u64], most: usize) -> Rich {
    let shown = &numbers[..numbers.len().min(most)];
    let mut out = match numbers.len() {
        0 => return Rich::new(),
        1 => Rich::from("entry "),
        _ => Rich::from("entries "),
    };
    for (i, (from, to)) in runs(shown).into_iter().enumerate() {
        let gap = if i > 0 { ", " } else { "" };
        out = out.plain(gap).leading(from.to_string(), Lead::Entry(from));
        if from != to {
            out = out.plain("–").leading(to.to_string(), Lead::Entry(to));
        }
    }
    if numbers.len() > most { out.plain(format!(" … {} in all", numbers.len())) } else { out }
}

/// "a, b and c".
pub fn list<S: AsRef<str>>(items: &[S]) -> String {
    match items {
        [] => String::new(),
        [one] => one.as_ref().to_string(),
        [before @ .., last] => {
            let before: Vec<&str> = before.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", before.join(", "), last.as_ref())
        }
    }
}

/// First digits of a hash in groups of four: "055f 80e5 4242 …".
pub fn first_digits(hex: &str, groups: usize) -> String {
    let mut parts: Vec<String> = grouped(hex, 4).into_iter().take(groups).collect();
    parts.push("…".into());
    parts.join(" ")
}

/// A hash cut into groups of `size` digits.
pub fn grouped(hex: &str, size: usize) -> Vec<String> {
    let digits: Vec<char> = hex.chars().collect();
    digits.chunks(size.max(1)).map(|c| c.iter().collect()).collect()
}

/// A number as people write it: no more decimals than it has, three at most.
pub fn number(value: f64) -> String {
    let text = format!("{value:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}

/// A height to a tenth of a metre, "17.4 m", in the units asked for.
pub fn metres(units: Units, value: f64) -> String {
    units.told(Kind::Length, value, &number((value * 10.0).round() / 10.0), Side::Near)
}

/// A mass as it was entered, "250 kg", in the units asked for; one that was entered in other units to a tenth ("272.2 kg" for
/// 600 lb): more digits than that nobody weighed.
pub fn mass(units: Units, kilograms: f64) -> String {
    units.told(Kind::Mass, kilograms, &number((kilograms * 10.0).round() / 10.0), Side::Near)
}

/// What stands before the colon of "reached: awake, talking", in words.
pub fn head(text: &str) -> String {
    text.split_once(": ").map_or(text, |(head, _)| head).replace('_', " ")
}

/// The first letter large.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_a_known_day() {
        // 2026-10-17T15:04:00+02:00, a Saturday.
        let ms = 1_792_242_240_000;
        let clock = Clock::new(120);
        assert_eq!(clock.hms(ms), "15:04:00");
        assert_eq!(clock.date(ms), "Saturday 17 October 2026");
        assert_eq!(clock.short_date(ms), "Sat 17 Oct 2026");
        assert_eq!(clock.zone(), "+02:00");
        assert_eq!(Clock::new(-570).zone(), "−09:30");
        assert!(clock.same_day(ms, ms + 3_600_000) && !clock.same_day(ms, ms + 9 * 3_600_000));
    }

    #[test]
    fn numbers_and_lists() {
        assert_eq!(count(188), "188");
        assert_eq!(count(10_001), "10\u{202f}001");
        assert_eq!(entries(&[103, 83, 84, 85, 86, 86]), "entries 83–86, 103");
        assert_eq!(entries(&[71]), "entry 71");
        assert_eq!(ranges(&[1, 2]), "1, 2");
        for (numbers, most, words) in [
            (&[103, 83, 84, 85, 86, 86][..], 9, "entries 83–86, 103"),
            (&[71], 9, "entry 71"),
            (&[], 9, ""),
            (&[1, 2, 3, 4, 9], 4, "entries 1–4 … 5 in all"),
        ] {
            assert_eq!(entries_leading(numbers, most).words(), words);
        }
        assert_eq!(list(&["a", "b", "c"]), "a, b and c");
        assert_eq!(first_digits("055f80e542421111", 3), "055f 80e5 4242 …");
        assert_eq!(number(38.0), "38");
        assert_eq!(number(22.5), "22.5");
        assert_eq!((metres(Units::Si, 17.3736), metres(Units::Si, 34.0)), ("17.4 m".into(), "34 m".into()));
        assert_eq!((metres(Units::Us, 17.3736), metres(Units::Us, 34.0)), ("57 ft".into(), "112 ft".into()));
        assert_eq!((mass(Units::Si, 250.0), mass(Units::Us, 250.0)), ("250 kg".into(), "551 lb".into()));
        // 600 lb of 0.453 592 37 kg each are 272.155 422 kg.
        assert_eq!(mass(Units::Si, 272.155_422), "272.2 kg");
        assert_eq!((head("reached: awake"), head("packaged")), ("reached".into(), "packaged".into()));
    }
}
