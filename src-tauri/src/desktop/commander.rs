//! The commander's window: a second one, for another display. It is told what stands and can do nothing else: its page
//! may call [`told`] alone, and it takes no keys, so that the scribe's window never loses them to it.

use super::desk::{Answer, Desk};
use super::leaving::{Leaving, tell};
use service::wire::{Told, Trouble};
use tauri::{AppHandle, LogicalSize, Manager, Monitor, Runtime, State, WebviewUrl, WebviewWindowBuilder};

/// The scribe's window.
pub const SCRIBES: &str = "main";
/// The commander's.
pub const LABEL: &str = "commander";

/// What stands in the open operation, how much of it is not on the disk yet, and how long the scribe's window has been silent.
#[tauri::command]
pub async fn told(desk: State<'_, Desk>, leaving: State<'_, Leaving>) -> Answer<Told> {
    let unsaved = leaving.unsaved();
    desk.ask(move |bench| Ok(bench.told(unsaved))).await
}

/// Opens the commander's window, or closes it when it is open; answers whether it is open now.
#[tauri::command]
pub async fn commander_window<R: Runtime>(app: AppHandle<R>) -> Answer<bool> {
    if let Some(window) = app.get_webview_window(LABEL) {
        window.destroy().map_err(|error| trouble(&error))?;
        return Ok(false);
    }
    open(&app).map_err(|error| trouble(&error))?;
    Ok(true)
}

/// Whole on another display, if there is one; else a window beside the scribe's.
fn open<R: Runtime>(app: &AppHandle<R>) -> tauri::Result<()> {
    let builder = WebviewWindowBuilder::new(app, LABEL, WebviewUrl::App("commander.html".into()))
        .title("Ledgebook: commander")
        .focused(false)
        .focusable(false)
        .min_inner_size(640.0, 360.0);
    let builder = match other_display(app)? {
        Some(display) => {
            let at = display.position().to_logical::<f64>(display.scale_factor());
            let size: LogicalSize<f64> = display.size().to_logical(display.scale_factor());
            builder.position(at.x, at.y).inner_size(size.width, size.height).decorations(false)
        }
        None => builder.inner_size(960.0, 540.0),
    };
    builder.build()?;
    if let Some(scribes) = app.get_webview_window(SCRIBES) {
        // Where the window system gave the keys to the new window all the same.
        let _ = scribes.set_focus();
    }
    Ok(())
}

/// A display that the scribe's window is not on.
fn other_display<R: Runtime>(app: &AppHandle<R>) -> tauri::Result<Option<Monitor>> {
    let Some(scribes) = app.get_webview_window(SCRIBES) else { return Ok(None) };
    let own = scribes.current_monitor()?.map(|display| *display.position());
    Ok(scribes
        .available_monitors()?
        .into_iter()
        .find(|display| own.is_some_and(|own| own != *display.position())))
}

/// The commander's window is gone, by whatever hand: the scribe's says so.
pub fn gone<R: Runtime>(app: &AppHandle<R>) {
    tell(app, "ledgebook-commander-gone");
}

fn trouble(error: &tauri::Error) -> Trouble {
    Trouble::new(
        "could_not",
        format!("the commander’s window does not open or close: {error}"),
        "",
        "everything else goes on; try it again",
    )
}
