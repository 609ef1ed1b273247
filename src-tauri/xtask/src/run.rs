//! `cargo xtask run`: from a bare machine to the open window, or to a report where there is no display.

use crate::process::{Done, command, root, run as start, target};
use crate::{build, host, packages};

/// Installs, builds and opens the window, with `file` if one is named.
///
/// # Errors
/// When a step fails.
pub fn run(file: Option<&str>) -> Done {
    if !host::has_display() {
        println!(
            "There is no display (neither DISPLAY nor WAYLAND_DISPLAY is set): the demonstration operation is rehearsed instead."
        );
        return rehearse();
    }
    build::whole(false)?;
    let program = target().join("debug/ledgebook");
    let mut window = command(&program.to_string_lossy(), &[]);
    if let Some(file) = file {
        let here = std::env::current_dir().map_err(|error| error.to_string())?;
        window.arg(here.join(file));
    }
    start(&mut window)
}

fn rehearse() -> Done {
    packages::ensure(packages::COMMAND_LINE, false)?;
    let program = build::command_line()?;
    let out = target().join("demonstration");
    let script = root().join("tests/operations/demonstration.json");
    start(command(&program.to_string_lossy(), &["rehearse"]).arg(script).arg("--out").arg(&out))?;
    println!("The report of the demonstration lies in {}", out.join("report.pdf").display());
    Ok(())
}
