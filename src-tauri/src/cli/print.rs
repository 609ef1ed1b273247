//! Readable output: aligned tables, and one way out.

use service::wire::Trouble;
use std::io::Write;

/// Prints to standard output.
///
/// # Errors
/// When it cannot be written; a reader that left early is none.
pub fn out(text: &str) -> Result<(), Trouble> {
    let mut out = std::io::stdout().lock();
    let written = out
        .write_all(text.as_bytes())
        .and_then(|()| if text.ends_with('\n') { Ok(()) } else { out.write_all(b"\n") });
    match written.and_then(|()| out.flush()) {
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
        Err(error) => Err(Trouble::new(
            "disk",
            format!("the answer could not be written ({error})"),
            "standard output",
            "free space",
        )),
        Ok(()) => Ok(()),
    }
}

/// Prints a value as one JSON document.
///
/// # Errors
/// As [`out`].
pub fn json<T: serde::Serialize>(value: &T) -> Result<(), Trouble> {
    let text = serde_json::to_string_pretty(value).map_err(|e| {
        Trouble::new(
            "fault",
            format!("the answer cannot be written as JSON: {e}"),
            "",
            "report this as a fault",
        )
    })?;
    out(&text)
}

/// Columns aligned with two spaces between them; those named in `right` to the right.
pub fn table(head: &[&str], rows: &[Vec<String>], right: &[usize]) -> String {
    let all = || {
        std::iter::once(head.iter().map(ToString::to_string).collect::<Vec<_>>()).chain(rows.iter().cloned())
    };
    let columns = head.len();
    let mut widths = vec![0; columns];
    for row in all() {
        for (width, cell) in widths.iter_mut().zip(&row) {
            *width = (*width).max(cell.chars().count());
        }
    }
    let mut text = String::new();
    for row in all() {
        let mut line = String::new();
        for (i, cell) in row.iter().enumerate().take(columns) {
            let pad = " ".repeat(widths[i].saturating_sub(cell.chars().count()));
            if i > 0 {
                line.push_str("  ");
            }
            if right.contains(&i) {
                line.push_str(&pad);
                line.push_str(cell);
            } else {
                line.push_str(cell);
                line.push_str(&pad);
            }
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// A text without what would move the terminal's cursor or colours, or turn the writing round.
pub fn plain(text: &str) -> String {
    let turns = |c: char| matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}');
    text.chars().map(|c| if c.is_control() || turns(c) { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up() {
        let rows =
            vec![vec!["1".into(), "größer".into(), "x".into()], vec!["10".into(), "a".into(), "y".into()]];
        assert_eq!(table(&["n", "word", "z"], &rows, &[0]), " n  word    z\n 1  größer  x\n10  a       y\n");
        assert_eq!(plain("a\x1b[31mb\nc\u{202e}d"), "a [31mb c d");
    }
}
