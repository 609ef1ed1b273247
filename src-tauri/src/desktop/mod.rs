//! The window: commands of a line or two, each handed to the one writer thread.

mod bench;
mod commander;
mod commands;
mod desk;
mod leaving;

use crate::display;
use desk::Desk;
use leaving::{Leaving, Wish};
use std::path::PathBuf;
use std::process::ExitCode;
use tauri::{
    AppHandle, CloseRequestApi, Manager, PhysicalSize, RunEvent, Runtime, WebviewWindow, WindowEvent,
};

/// Opens the window, with `file` if one was named, and stays until it is closed.
pub fn run(file: Option<PathBuf>) -> ExitCode {
    if let Err(words) = display::present(|name| std::env::var_os(name)) {
        eprintln!("{words}");
        return ExitCode::from(4);
    }
    #[cfg(target_os = "linux")]
    crate::card::paint_without_one();
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
        .manage(Leaving::default())
        .setup(|app| {
            app.webview_windows().values().for_each(fit);
            Ok(())
        })
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
            commands::sifted,
            commands::templates,
            commands::rig_preview,
            commands::rig_drawing,
            commands::rig_draft,
            commands::rig_beside,
            commands::reckon_check,
            commands::sums,
            commands::sum,
            commands::review,
            commands::compare,
            commands::records,
            commands::report,
            commands::doctor,
            commands::mirror_places,
            commands::mirror,
            commander::told,
            commander::commander_window,
            leaving::unsaved,
            leaving::leave,
        ])
        .build(tauri::generate_context!());
    match app {
        Ok(app) => {
            if let Err(error) = leaving::hear_signals(app.handle().clone()) {
                eprintln!("The end of the program by the system will not be heard: {error}.");
            }
            app.run(on_event);
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("The window cannot start: {error}. `ledgebook --help` lists what works without it.");
            ExitCode::from(4)
        }
    }
}

/// On a screen that is smaller than the window the window takes the whole screen, or its foot would lie below it.
fn fit<R: Runtime>(window: &WebviewWindow<R>) {
    let (Ok(Some(monitor)), Ok(size)) = (window.current_monitor(), window.inner_size()) else { return };
    let screen = monitor.work_area().size;
    if size.width <= screen.width && size.height <= screen.height {
        return;
    }
    // Where the system does not let it be moved or sized it stays as it is: nothing depends on it.
    let _ = window.set_position(monitor.work_area().position);
    let _ = window.set_size(PhysicalSize::new(size.width.min(screen.width), size.height.min(screen.height)));
}

fn on_event<R: Runtime>(app: &AppHandle<R>, event: RunEvent) {
    match event {
        RunEvent::WindowEvent { label, event, .. } if label == commander::SCRIBES => match event {
            WindowEvent::CloseRequested { api, .. } => close_requested(app, &api),
            // Nobody writes any more: the commander's window does not stay behind.
            WindowEvent::Destroyed => app.exit(0),
            _ => {}
        },
        RunEvent::WindowEvent { event: WindowEvent::Destroyed, .. } => commander::gone(app),
        RunEvent::Exit => app.state::<Desk>().shut(),
        _ => {}
    }
}

fn close_requested<R: Runtime>(app: &AppHandle<R>, api: &CloseRequestApi) {
    match app.state::<Leaving>().wish() {
        Wish::Granted => {}
        // Told again while the question stands: a window that has nothing to ask any more closes.
        Wish::Ask | Wish::Asked => {
            api.prevent_close();
            leaving::tell(app, "ledgebook-close");
        }
    }
}
