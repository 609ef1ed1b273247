//! How many tests ran, read off the runners' own closing lines.

use std::ops::AddAssign;

/// Tests by outcome.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Ran and passed.
    pub passed: usize,
    /// Ran and failed.
    pub failed: usize,
    /// Did not run.
    pub skipped: usize,
}

impl AddAssign for Counts {
    fn add_assign(&mut self, other: Self) {
        self.passed += other.passed;
        self.failed += other.failed;
        self.skipped += other.skipped;
    }
}

impl std::fmt::Display for Counts {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} passed, {} failed", self.passed, self.failed)?;
        if self.skipped > 0 {
            write!(f, ", {} skipped", self.skipped)?;
        }
        Ok(())
    }
}

/// What `line` says, if it is a closing line of cargo's or the front end's test runner.
pub fn closing_line(line: &str) -> Option<Counts> {
    let plain = without_colour(line);
    let words = plain.trim();
    let rest = match words.strip_prefix("test result:") {
        Some(rest) => rest,
        None => words.strip_prefix("Tests ")?.split_once('(')?.0,
    };
    let mut counts = Counts::default();
    let words: Vec<&str> = rest.split([' ', ';', '|', '.']).filter(|word| !word.is_empty()).collect();
    for pair in words.windows(2) {
        let Ok(count) = pair[0].parse::<usize>() else { continue };
        match pair[1] {
            "passed" => counts.passed += count,
            "failed" => counts.failed += count,
            "ignored" | "skipped" | "todo" => counts.skipped += count,
            _ => {}
        }
    }
    Some(counts)
}

fn without_colour(line: &str) -> String {
    let mut plain = String::new();
    let mut rest = line;
    while let Some((before, after)) = rest.split_once('\u{1b}') {
        plain.push_str(before);
        rest = after.split_once('m').map_or("", |(_, after)| after);
    }
    plain + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_the_closing_lines_of_both_runners() {
        let counts = |passed, failed, skipped| Some(Counts { passed, failed, skipped });
        let cases = [
            (
                "test result: ok. 3 passed; 0 failed; 1 ignored; 0 measured; 2 filtered out; finished in 0.00s",
                counts(3, 0, 1),
            ),
            (
                "test result: FAILED. 1 passed; 2 failed; 0 ignored; 0 measured; 0 filtered out; finished in 1.20s",
                counts(1, 2, 0),
            ),
            ("      Tests  167 passed (167)", counts(167, 0, 0)),
            ("      Tests  1 failed | 11 passed | 2 skipped (14)", counts(11, 1, 2)),
            (
                "\u{1b}[2m      Tests \u{1b}[22m \u{1b}[1m\u{1b}[32m12 passed\u{1b}[39m\u{1b}[22m\u{1b}[90m (12)\u{1b}[39m",
                counts(12, 0, 0),
            ),
            (" Test Files  9 passed (9)", None),
            ("test rope::is_named ... ok", None),
            ("12 passed, 0 failed", None),
        ];
        for (line, expected) in cases {
            assert_eq!(closing_line(line), expected, "{line}");
        }
    }

    #[test]
    fn says_what_did_not_run() {
        assert_eq!(Counts { passed: 4, failed: 0, skipped: 0 }.to_string(), "4 passed, 0 failed");
        assert_eq!(Counts { passed: 4, failed: 1, skipped: 2 }.to_string(), "4 passed, 1 failed, 2 skipped");
    }
}
