//! The display the window stands on: its close button, which WebDriver does not have.

use std::error::Error;
use x11rb::connection::Connection;
use x11rb::protocol::xproto::{Atom, AtomEnum, ClientMessageEvent, ConnectionExt, EventMask, Window};

/// Asks the window of this title to close, as the desktop's close button does.
///
/// # Errors
/// When there is no display or no such window.
pub fn close_window(title: &str) -> Result<(), Box<dyn Error>> {
    let (display, screen) = x11rb::connect(None)?;
    let atom =
        |name: &[u8]| -> Result<Atom, Box<dyn Error>> { Ok(display.intern_atom(false, name)?.reply()?.atom) };
    let (protocols, delete) = (atom(b"WM_PROTOCOLS")?, atom(b"WM_DELETE_WINDOW")?);
    let root = display.setup().roots[screen].root;
    let mut open = vec![root];
    while let Some(window) = open.pop() {
        // A window may go between being named and being looked at.
        if is_titled(&display, window, title).unwrap_or(false)
            && listens(&display, window, protocols).unwrap_or(false)
        {
            let close =
                ClientMessageEvent::new(32, window, protocols, [delete, x11rb::CURRENT_TIME, 0, 0, 0]);
            display.send_event(false, window, EventMask::NO_EVENT, close)?;
            // A server that finds the connection hung up before it reads drops what was sent: hang up once it answers.
            display.get_input_focus()?.reply()?;
            return Ok(());
        }
        open.extend(display.query_tree(window)?.reply().map(|tree| tree.children).unwrap_or_default());
    }
    Err(format!("no window titled {title:?}").into())
}

/// Whether a window of this title is on the display.
///
/// # Errors
/// When there is no display.
pub fn has_window(title: &str) -> Result<bool, Box<dyn Error>> {
    let (display, screen) = x11rb::connect(None)?;
    let mut open = vec![display.setup().roots[screen].root];
    while let Some(window) = open.pop() {
        // One that went between being named and being looked at is gone: that is no trouble of the display.
        if is_titled(&display, window, title).unwrap_or(false) {
            return Ok(true);
        }
        open.extend(display.query_tree(window)?.reply().map(|tree| tree.children).unwrap_or_default());
    }
    Ok(false)
}

/// The title of the window that the keys go to; empty: none.
///
/// # Errors
/// When there is no display.
pub fn focused_title() -> Result<String, Box<dyn Error>> {
    let (display, _) = x11rb::connect(None)?;
    let mut window = display.get_input_focus()?.reply()?.focus;
    // The focus lies in a part of the window; its title stands further out. 0 and 1 are none and the display's own.
    while window > 1 {
        let named = display.get_property(false, window, AtomEnum::WM_NAME, AtomEnum::ANY, 0, 256)?.reply()?;
        if !named.value.is_empty() {
            return Ok(String::from_utf8_lossy(&named.value).into_owned());
        }
        window = display.query_tree(window)?.reply()?.parent;
    }
    Ok(String::new())
}

fn is_titled(display: &impl Connection, window: Window, title: &str) -> Result<bool, Box<dyn Error>> {
    let named = display.get_property(false, window, AtomEnum::WM_NAME, AtomEnum::ANY, 0, 256)?.reply()?;
    Ok(named.value == title.as_bytes())
}

fn listens(display: &impl Connection, window: Window, protocols: Atom) -> Result<bool, Box<dyn Error>> {
    Ok(display.get_property(false, window, protocols, AtomEnum::ATOM, 0, 32)?.reply()?.value_len > 0)
}
