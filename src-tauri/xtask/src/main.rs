//! `cargo xtask …`: everything a person does with the repository, on a bare machine too.

mod bench;
mod build;
mod counts;
mod host;
mod packages;
mod process;
mod run;
mod test;
mod verify;

use std::process::ExitCode;

const USAGE: &str = "\
cargo xtask run [FILE.ledge]      install what is missing, build, open the window (no display: rehearse the demonstration)
cargo xtask test [--only STAGE]   install what is missing and check everything; ends with `N passed, N failed`
cargo xtask build [--release]     the screens and the one binary, target/debug|release/ledgebook
cargo xtask codegen [--check]     TypeScript shapes and marks in ui/src/wire from the Rust ones; --check only compares
cargo xtask torture …             every promise of the record put to the trial; [--minutes N] [--seed S] [--only NAME] [--runs N]
cargo xtask verify …              the engine beside SciPy, PyNiteFEA and NetworkX; [--seed S] [--cases N]; needs Python
cargo xtask bench calls           an append beside a bare insert; completion, parts of the line; key to paint in the real window
cargo xtask bench rig             all checks of a state, by its number of parts, beside SciPy and NetworkX; needs Python
cargo xtask bench loss            a band of 4 000 runs of a fall, beside SciPy on the same runs; needs Python
cargo xtask bench record          an append beside a bare insert; verify, and open with every view, of 100 000 entries
cargo xtask bench folder          records of a folder of 200 operations, with a search, and one beside the last of its team
cargo xtask bench report          a report of 5 000 calls; its log beside the same table by ReportLab and Typst; needs Python";

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = args.iter().map(String::as_str).collect();
    let done = match words.as_slice() {
        ["run"] => run::run(None),
        ["run", file] => run::run(Some(file)),
        ["test"] => return test::all(),
        ["test", "--only", stage] => return test::only(stage),
        ["build"] => build::whole(false),
        ["build", "--release"] => build::whole(true),
        ["codegen"] => build::codegen(false),
        ["codegen", "--check"] => build::codegen(true),
        ["bench", "calls"] => bench::calls(),
        ["bench", "record"] => bench::record(),
        ["bench", "folder"] => bench::folder(),
        ["bench", "rig"] => bench::rig(),
        ["bench", "loss"] => bench::loss(),
        ["bench", "report"] => bench::report(),
        ["torture", rest @ ..] => build::torture(rest),
        ["verify", rest @ ..] => verify::verify(rest),
        _ => {
            eprintln!("{USAGE}\nstages: {}", test::names().join(" "));
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(words) => {
            eprintln!("{words}");
            ExitCode::FAILURE
        }
    }
}
