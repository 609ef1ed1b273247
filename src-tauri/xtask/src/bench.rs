//! `cargo xtask bench`: how fast, measured side by side in one run.

use crate::process::{Done, cargo, run, target};
use crate::{build, packages, test, verify};

/// An append beside a bare insert of the same row; completion and parts of the line with 20 000 entries; then key to paint in
/// the real window.
///
/// # Errors
/// When a step fails.
pub fn calls() -> Done {
    run(&mut cargo(&["run", "--release", "--package", "journal", "--example", "bench_calls"]))?;
    run(&mut cargo(&["run", "--release", "--package", "service", "--example", "bench_lines"]))?;
    in_the_window("key_to_paint")
}

/// An example that measures in the real window, with the program as it is handed out.
fn in_the_window(example: &str) -> Done {
    packages::ensure(packages::TESTS, true)?;
    build::screens()?;
    build::program(true)?;
    let measure = ["run", "--package", "ledgebook-tests", "--features", "window", "--example", example];
    run(&mut test::on_a_display(&measure, true)?)
}

/// The record alone: an append beside a bare insert of the same row, and a long record gone through and opened.
///
/// # Errors
/// When a step fails.
pub fn record() -> Done {
    for (package, example) in [("journal", "bench_calls"), ("service", "bench_record")] {
        run(&mut cargo(&["run", "--release", "--package", package, "--example", example]))?;
    }
    Ok(())
}

/// The records of a folder of 200 operations, with a search, and one of them beside the last of its team.
///
/// # Errors
/// When a step fails.
pub fn folder() -> Done {
    run(&mut cargo(&["run", "--release", "--package", "service", "--example", "bench_folder"]))
}

/// All checks of one state by the number of parts, beside the same sums in SciPy and NetworkX: answers are compared first.
///
/// # Errors
/// When a step fails, Python or its packages cannot be had, or an answer differs.
pub fn rig() -> Done {
    let python = verify::environment()?;
    verify::judged("bench_rig", &[], &python, "bench_rig.py")
}

/// A band of 4 000 runs of four losses, beside SciPy on a sample of the same runs: answers are compared first. Then how soon a fall
/// is seen in the real window.
///
/// # Errors
/// When a step fails, Python or its packages cannot be had, or an answer differs.
pub fn loss() -> Done {
    let python = verify::environment()?;
    verify::judged("bench_loss", &[], &python, "bench_loss.py")?;
    in_the_window("first_picture")
}

/// A report of 5 000 calls: seconds, memory, and its log's table beside the same table by ReportLab and Typst. The rows on
/// the pages are counted first. Then how soon the review of 20 000 entries stands in the real window.
///
/// # Errors
/// When a step fails, Python, its packages or pdftotext cannot be had, or a table lacks a row.
pub fn report() -> Done {
    let python = verify::environment_of("requirements-report.txt", "verify-report")?;
    let folder = target().join("bench-report");
    std::fs::create_dir_all(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    let folder = folder.display().to_string();
    let judged = verify::judged_of("service", "bench_report", &["5000", &folder], &python, "bench_report.py");
    in_the_window("review_opens").and(judged)
}
