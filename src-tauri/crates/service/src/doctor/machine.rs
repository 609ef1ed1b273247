//! Clock, fonts, display and versions.

use super::{Finding, Standing, finding};
use crate::session::PROGRAM;
use chrono::{DateTime, Datelike, FixedOffset};

/// What only the program itself can read.
#[derive(Clone, Debug)]
pub struct Outside {
    /// Local time.
    pub now: DateTime<FixedOffset>,
    /// By how much the time of day ran differently from the boot clock while it was looked at, ms.
    pub drift_ms: i64,
    /// For how long it was looked at, ms.
    pub looked_ms: i64,
    /// Whether the machine tells a clock that runs on through sleep.
    pub boot_clock: bool,
    /// Whether the machine knows itself again, so that a record says when it went on elsewhere.
    pub known: bool,
    /// The display, or why no window can open.
    pub display: Result<String, String>,
    /// Version of what draws the screens; `None`: built without a window.
    pub web_view: Option<String>,
}

/// A time of day before this year is a clock that lost its battery.
const FIRST_YEAR: i32 = 2026;
const LAST_YEAR: i32 = 2100;
/// As the guidelines' tolerance: more apart while it was looked at is a clock being set, ms.
const APART_MS: i64 = 2000;

/// Whether the clock can be right, and runs as it should.
pub fn clock(outside: &Outside) -> Vec<Finding> {
    let now = outside.now;
    let zone = now.format("UTC%:z");
    let told = format!("it is {} ({zone})", now.format("%Y-%m-%d %H:%M:%S"));
    let mut found = vec![];
    found.push(if !(FIRST_YEAR..LAST_YEAR).contains(&now.year()) {
        let words = format!("{told}: that cannot be");
        finding("clock", Standing::Trouble(4), words, "set the clock before you begin")
    } else {
        let words = format!("{told}; whether it is right to the minute nobody here can check");
        finding("clock", Standing::InOrder, words, "hold it against a watch")
    });
    if outside.drift_ms.abs() > APART_MS {
        let words = format!("the clock was set by {} ms while it was looked at", outside.drift_ms);
        found.push(finding("clock", Standing::Look, words, "wait until it stands, then look again"));
    } else if outside.boot_clock {
        let words = format!("it runs evenly: looked at for {} ms", outside.looked_ms);
        found.push(finding("clock", Standing::InOrder, words, ""));
    } else {
        let words = "the machine tells no clock that runs on through sleep: a clock that is set is noticed only while the machine is awake";
        found.push(finding("clock", Standing::Look, words, "do not let the machine sleep"));
    }
    if !outside.known {
        let words =
            "the machine has no id of its own: a record cannot say that it went on on another machine";
        found.push(finding("clock", Standing::Look, words, ""));
    }
    found
}

/// What the report and the drawings must be able to set.
const NEEDED: &str = "AZaz09 ≥ ≤ ° ½ × · – “ ” ’ → ✓ ⚠ ⌀ ‹ ›";

/// Letters of names that are promised: Latin with its marks, Greek, Cyrillic, by their ranges in Unicode.
const PROMISED: [(char, char); 5] = [('A', 'z'), ('À', 'ſ'), ('Ḁ', 'ỹ'), ('Ά', 'ώ'), ('Ѐ', 'џ')];

/// Whether the fonts inside the program have what drawings and reports need.
pub fn fonts() -> Finding {
    let letters = PROMISED.iter().flat_map(|(from, to)| (*from..=*to).filter(|c| c.is_alphabetic()));
    let all: String = NEEDED.chars().chain(letters).collect();
    let missing: Vec<String> = drawing::metrics::missing(&all).iter().map(char::to_string).collect();
    if missing.is_empty() {
        let words = "the fonts of drawings and reports are inside the program and have all letters of Latin, Greek and Cyrillic names; names in other scripts stand there by rough sound between ‹ ›, and as written in the record; on the screens they need a font of this machine, which was not looked for";
        return finding("fonts", Standing::InOrder, words, "");
    }
    let words = format!("the program's fonts lack {}", missing.join(" "));
    finding("fonts", Standing::Trouble(4), words, "install the program again")
}

/// Whether a window can open.
pub fn display(outside: &Outside) -> Finding {
    match &outside.display {
        Ok(words) => finding("display", Standing::InOrder, words, ""),
        Err(words) => finding("display", Standing::Trouble(4), words, ""),
    }
}

/// What the program is made of.
pub fn versions(outside: &Outside) -> Finding {
    let screens = match &outside.web_view {
        Some(version) => format!("WebView {version}"),
        None => "without a window".into(),
    };
    let words = format!("Ledgebook {PROGRAM}, SQLite {}, {screens}", journal::sqlite_version());
    finding("versions", Standing::InOrder, words, "")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outside(now: &str) -> Outside {
        Outside {
            now: DateTime::parse_from_rfc3339(now).unwrap(),
            drift_ms: 0,
            looked_ms: 200,
            boot_clock: true,
            known: true,
            display: Ok(":0".into()),
            web_view: None,
        }
    }

    #[test]
    fn a_clock_that_cannot_be_right_is_told() {
        for (now, drift_ms, boot_clock, standings) in [
            ("2026-05-14T13:00:00+02:00", 0, true, [Standing::InOrder, Standing::InOrder]),
            ("1970-01-01T00:00:09+00:00", 0, true, [Standing::Trouble(4), Standing::InOrder]),
            ("2026-05-14T13:00:00+02:00", -3_600_000, true, [Standing::InOrder, Standing::Look]),
            ("2026-05-14T13:00:00+02:00", 0, false, [Standing::InOrder, Standing::Look]),
        ] {
            let found = clock(&Outside { drift_ms, boot_clock, ..outside(now) });
            let got: Vec<Standing> = found.iter().map(|f| f.standing).collect();
            assert_eq!(got, standings, "{now} {drift_ms}");
        }
        let found = clock(&outside("2026-05-14T13:00:00+02:00"));
        assert!(found[0].words.contains("UTC+02:00"), "{}", found[0].words);
    }

    #[test]
    fn the_fonts_have_what_is_needed() {
        assert_eq!(fonts().standing, Standing::InOrder, "{}", fonts().words);
        // What it says of other scripts holds too: they are not drawn as written, and not as boxes.
        for name in ["山田", "김", "שרה", "नीमा", "ไผ่"] {
            assert!(!drawing::metrics::missing(name).is_empty(), "{name}");
            let shown = drawing::metrics::clean(name, drawing::Face::Regular);
            assert!(shown.starts_with('‹') && shown.ends_with('›') && shown.len() > 6, "{name}: {shown}");
        }
    }
}
