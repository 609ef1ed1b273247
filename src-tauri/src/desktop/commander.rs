//! The commander's window: a second one, for another display. It is told what stands and can do nothing else: its page
//! may call [`told`] alone, and it takes no keys, so that the scribe's window never loses them to it.

use super::desk::{Answer, Desk};
use super::leaving::{Leaving, tell};
use crate::beside::{Area, Place, WIDEST, place};
use service::wire::{Told, Trouble};
use tauri::{
    AppHandle, LogicalPosition, LogicalSize, Manager, Monitor, PhysicalPosition, PhysicalSize, Runtime,
    State, WebviewUrl, WebviewWindowBuilder,
};

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

/// Whole on another display, if there is one; else a window beside the scribe's, where it can be seen.
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
        None => match beside_the_scribes(app)? {
            Some(place) => builder
                .position(place.area.x, place.area.y)
                .inner_size(place.area.w, place.area.h)
                .always_on_top(place.over),
            None => builder.inner_size(WIDEST, WIDEST * 9.0 / 16.0),
        },
    };
    builder.build()?;
    if let Some(scribes) = app.get_webview_window(SCRIBES) {
        // Where the window system gave the keys to the new window all the same.
        let _ = scribes.set_focus();
    }
    Ok(())
}

/// A place on the one display there is; the scribe's window makes room for it where it can.
fn beside_the_scribes<R: Runtime>(app: &AppHandle<R>) -> tauri::Result<Option<Place>> {
    let Some(scribes) = app.get_webview_window(SCRIBES) else { return Ok(None) };
    let Some(display) = scribes.current_monitor()? else { return Ok(None) };
    let scale = display.scale_factor();
    let area = |at: &PhysicalPosition<i32>, size: &PhysicalSize<u32>| {
        let (at, size) = (at.to_logical::<f64>(scale), size.to_logical::<f64>(scale));
        Area { x: at.x, y: at.y, w: size.width, h: size.height }
    };
    let first = area(&scribes.outer_position()?, &scribes.outer_size()?);
    let place = place(first, area(display.position(), display.size()));
    if let Some(x) = place.first_x {
        scribes.set_position(LogicalPosition::new(x, first.y))?;
    }
    Ok(Some(place))
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
