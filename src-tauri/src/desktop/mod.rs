//! The window: commands of a line or two, each handed to the one writer thread.

mod bench;
mod commands;
mod desk;

use crate::display;
use desk::Desk;
use std::path::PathBuf;
use std::process::ExitCode;

/// Opens the window, with `file` if one was named, and stays until it is closed.
pub fn run(file: Option<PathBuf>) -> ExitCode {
    if let Err(words) = display::present(|name| std::env::var_os(name)) {
        eprintln!("{words}");
        return ExitCode::from(4);
    }
    let desk = match Desk::open(file) {
        Ok(desk) => desk,
        Err(error) => {
            eprintln!(
                "The window cannot start: no thread for writing the log ({error}). Close other programs and try again."
            );
            return ExitCode::from(4);
        }
    };
    let app = tauri::Builder::default()
        .manage(desk)
        .invoke_handler(tauri::generate_handler![
            commands::start,
            commands::new_operation,
            commands::open_operation,
            commands::close_file,
            commands::view,
            commands::act,
            commands::take_over,
            commands::complete,
            commands::rows,
            commands::templates,
            commands::rig_preview,
            commands::rig_drawing,
            commands::rig_draft,
            commands::review,
            commands::report,
            commands::doctor,
            commands::mirror_places,
            commands::mirror,
        ])
        .build(tauri::generate_context!());
    match app {
        Ok(app) => {
            app.run(|app, event| {
                if let tauri::RunEvent::Exit = event {
                    tauri::Manager::state::<Desk>(app).shut();
                }
            });
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("The window cannot start: {error}. `ledgebook --help` lists what works without it.");
            ExitCode::from(4)
        }
    }
}
