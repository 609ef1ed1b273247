//! Times as steps write them: ISO 8601 durations and clock times, in whole milliseconds.

use chrono::DateTime;
use jiff::Span;

/// A month is as long as an operation can be; past it a script has a slip of the pen.
const LONGEST_MS: i128 = 31 * 86_400_000;

/// Milliseconds of an ISO 8601 duration without years and months, from 0 to 31 days; `None` when it cannot be read.
/// The last of hours, minutes and seconds may have a fraction, with a point or a comma; what is finer than a
/// millisecond is rounded to the nearest, for a stamp has no more.
pub fn duration_ms(text: &str) -> Option<i64> {
    let text = text.trim();
    // Words, signs and small letters are read by the library too; a script has one way to write a time.
    if !text.starts_with('P')
        || text.contains(|c: char| c.is_ascii_lowercase() || matches!(c, '+' | '-' | ' '))
    {
        return None;
    }
    let span: Span = text.parse().ok()?;
    if span.get_years() != 0 || span.get_months() != 0 {
        return None;
    }
    let days = i128::from(span.get_weeks()) * 7 + i128::from(span.get_days());
    let minutes = (days * 24 + i128::from(span.get_hours())) * 60 + i128::from(span.get_minutes());
    let micros = i128::from(span.get_milliseconds()) * 1000 + i128::from(span.get_microseconds());
    let nanos = (minutes * 60 + i128::from(span.get_seconds())) * 1_000_000_000
        + micros * 1000
        + i128::from(span.get_nanoseconds());
    let ms = (nanos + 500_000).div_euclid(1_000_000);
    if !(0..=LONGEST_MS).contains(&ms) {
        return None;
    }
    i64::try_from(ms).ok()
}

/// The same, or with a `-` before it: before the start.
pub fn signed_duration_ms(text: &str) -> Option<i64> {
    match text.trim().strip_prefix('-') {
        Some(back) if back.starts_with('P') => duration_ms(back).map(|ms| -ms),
        Some(_) => None,
        None => duration_ms(text),
    }
}

/// Whether `happened` can be read: a duration from the start, a whole time, or a clock time.
pub(super) fn readable(text: &str) -> bool {
    signed_duration_ms(text).is_some()
        || DateTime::parse_from_rfc3339(text).is_ok()
        || clock_time(text).is_some()
}

/// Seconds after midnight of `HH:MM` or `HH:MM:SS`.
pub fn clock_time(text: &str) -> Option<i64> {
    let parts: Vec<&str> = text.trim().split(':').collect();
    let digits = |p: &&str| !p.is_empty() && p.len() <= 2 && p.chars().all(|c| c.is_ascii_digit());
    if !(2..=3).contains(&parts.len()) || !parts.iter().all(digits) {
        return None;
    }
    let n: Vec<i64> = parts.iter().map(|p| p.parse().ok()).collect::<Option<_>>()?;
    let s = n.get(2).copied().unwrap_or(0);
    ((0..24).contains(&n[0]) && (0..60).contains(&n[1]) && (0..60).contains(&s))
        .then_some(n[0] * 3600 + n[1] * 60 + s)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn durations_are_read_to_the_millisecond() {
        for (text, ms) in [
            ("PT0S", 0),
            ("PT12M3S", 723_000),
            ("PT1.5S", 1500),
            ("PT0,25S", 250),
            ("PT0.5M", 30_000),
            ("PT0.1H", 360_000),
            ("P1DT2H", 93_600_000),
            ("P2W", 1_209_600_000),
            ("P1W1D", 691_200_000),
            ("PT90M", 5_400_000),
            ("PT86399.999S", 86_399_999),
            ("P30DT23H59M59.999S", 2_678_399_999),
            ("PT1H1M1.001S", 3_661_001),
            ("PT2678399.001S", 2_678_399_001),
            ("PT1.0004S", 1000),
            ("PT1.0005S", 1001),
            ("P31D", 2_678_400_000),
        ] {
            assert_eq!(duration_ms(text), Some(ms), "{text}");
        }
        for text in [
            "",
            "P",
            "PT",
            "12M",
            "PT3S2M",
            "PT1.5M3S",
            "PTS",
            "PT.5S",
            "PT5",
            "P1H",
            "PT1D",
            "PT1.2.3S",
            "PT+5S",
            "PT99999999999999999999S",
            "PT9223372036854775807S",
            "P32D",
            "PT2678400.001S",
            "pt5s",
            "P1DT",
            "P1M",
            "P1Y",
            "-PT5S",
            "PT-5S",
            "PT5é",
            "5 minutes",
            "P5 minutes",
            "PT 5S",
            "+PT5S",
            "PT1e3S",
            "PT1S1S",
        ] {
            assert_eq!(duration_ms(text), None, "{text}");
        }
        for (text, ms) in [
            ("-PT5S", Some(-5000)),
            ("PT5S", Some(5000)),
            ("--PT5S", None),
            ("-14:02", None),
            ("- PT5S", None),
        ] {
            assert_eq!(signed_duration_ms(text), ms, "{text}");
        }
    }

    #[test]
    fn every_millisecond_of_a_long_script_is_itself() {
        // A step prime to all sizes, so that every digit of a fraction comes up.
        for ms in (0..2_678_400_000_i64).step_by(1_234_567) {
            let whole = format!("PT{}.{:03}S", ms / 1000, ms % 1000);
            let clock = format!(
                "P{}DT{}H{}M{}.{:03}S",
                ms / 86_400_000,
                ms / 3_600_000 % 24,
                ms / 60_000 % 60,
                ms / 1000 % 60,
                ms % 1000
            );
            assert_eq!((duration_ms(&whole), duration_ms(&clock)), (Some(ms), Some(ms)), "{whole} {clock}");
        }
    }

    #[test]
    fn clock_times_are_times_of_a_day() {
        for (text, s) in [
            ("14:02", Some(50_520)),
            ("00:00:01", Some(1)),
            ("9:05", Some(32_700)),
            ("24:00", None),
            ("14", None),
            ("14:60", None),
            ("1:2:3:4", None),
            ("+1:02", None),
        ] {
            assert_eq!(clock_time(text), s, "{text}");
        }
    }
}
