//! What must never stand in a source.

use super::paths::Said;

/// What a core crate may not reach: clock, chance, environment, files, network, threads.
pub const OUTSIDE_WORLD: &[&str] = &[
    "std::env",
    "std::fs",
    "std::net",
    "std::os",
    "std::process",
    "std::thread",
    "std::io::stdin",
    "std::io::stdout",
    "std::io::stderr",
    "std::path::Path::exists",
    "std::time::Instant",
    "std::time::SystemTime",
    "chrono::Local",
    "rand",
    "getrandom",
    "println",
    "eprintln",
];

/// Words that bring the outside world in by another way, wherever they end a path.
pub const OUTSIDE_WORDS: &[&str] = &[
    "Utc::now",
    "Local::now",
    "Instant::now",
    "SystemTime::now",
    "new_v4",
    "now_v7",
    "thread_rng",
    "RandomState",
];

/// Lines of `said` that reach the outside world.
pub fn reaches_outside(said: &Said) -> Vec<String> {
    // Threads that end where they begin, each with its own share of the same sums: nothing comes in by them.
    let within = |path: &str| path == "std::thread::scope";
    let outside = |path: &str| {
        !within(path)
            && (OUTSIDE_WORLD.iter().any(|root| starts(path, root))
                || OUTSIDE_WORDS.iter().any(|end| ends(path, end)))
    };
    found(said.paths.iter().filter(|(_, path)| outside(path)))
}

/// Lines of `said` that use something of crate `name`.
pub fn names_crate(said: &Said, name: &str) -> Vec<String> {
    found(
        said.paths
            .iter()
            .filter(|(_, path)| path.strip_prefix(name).is_some_and(|rest| rest.starts_with("::"))),
    )
}

/// Lines of `said` with a text that reads as SQL.
pub fn speaks_sql(said: &Said) -> Vec<String> {
    const SQL: &[&str] = &[
        "SELECT ",
        "INSERT INTO ",
        "INSERT OR ",
        "CREATE TABLE ",
        "CREATE TRIGGER ",
        "DELETE FROM ",
        "DROP TABLE ",
        "PRAGMA ",
        "VACUUM",
        "ATTACH ",
        "UPDATE event",
    ];
    found(said.texts.iter().filter(|(_, text)| SQL.iter().any(|word| text.contains(word))))
}

/// Lines of `text` where "safe" stands as a word of ours; `allowed` are phrases where it may.
pub fn says_safe(text: &str, allowed: &[&str]) -> Vec<String> {
    let mut lines = Vec::new();
    for (number, line) in text.lines().enumerate() {
        let mut rest = line.to_lowercase();
        for phrase in allowed {
            rest = rest.replace(&phrase.to_lowercase(), "");
        }
        let word = |word: &str| ["safe", "safely", "unsafe"].contains(&word);
        if rest.split(|c: char| !c.is_alphanumeric() && c != '_').any(word) {
            lines.push(format!("{}: {}", number + 1, line.trim()));
        }
    }
    lines
}

fn found<'a>(lines: impl Iterator<Item = &'a (usize, String)>) -> Vec<String> {
    lines.map(|(line, what)| format!("{line}: {what}")).collect()
}

fn starts(path: &str, root: &str) -> bool {
    path.strip_prefix(root).is_some_and(|rest| rest.is_empty() || rest.starts_with("::"))
}

fn ends(path: &str, end: &str) -> bool {
    path.strip_suffix(end).is_some_and(|rest| rest.is_empty() || rest.ends_with("::"))
}
