//! What the program asks of the machine around it for `doctor`, and where operations are kept.

use crate::display;
use crate::stamp::Clock;
use chrono::Local;
use service::doctor::Outside;
use service::wire::Trouble;
use std::ffi::OsString;
use std::path::PathBuf;
use std::time::Duration;

/// How long the clocks are looked at.
const LOOK: Duration = Duration::from_millis(100);

/// Where operations are kept unless a file elsewhere is opened: `Ledgebook` in the home folder, or
/// here when there is none.
pub fn home_folder(look: impl Fn(&str) -> Option<OsString>) -> PathBuf {
    let home = look("HOME").filter(|home| !home.is_empty()).map(PathBuf::from);
    home.unwrap_or_default().join("Ledgebook")
}

/// What only the program can read: clocks, display, versions.
///
/// # Errors
/// When the system gives no random numbers.
pub fn outside() -> Result<Outside, Trouble> {
    let clock = Clock::start()?;
    let (wall, boot) = clock.both_ms();
    std::thread::sleep(LOOK);
    let (wall_then, boot_then) = clock.both_ms();
    Ok(Outside {
        now: Local::now().fixed_offset(),
        drift_ms: (wall_then - wall) - (boot_then - boot),
        looked_ms: boot_then - boot,
        boot_clock: clock.has_boot_clock(),
        known: clock.knows_itself(),
        display: screen(),
        web_view: web_view(),
    })
}

fn screen() -> Result<String, String> {
    display::present(|name| std::env::var_os(name))
        .map(|()| "a display is named; a window can be tried".into())
}

#[cfg(feature = "window")]
fn web_view() -> Option<String> {
    tauri::webview_version().ok()
}

#[cfg(not(feature = "window"))]
fn web_view() -> Option<String> {
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    #[test]
    fn operations_are_kept_in_the_home_folder() {
        let at = |home: Option<&'static str>| home_folder(move |_| home.map(Into::into));
        assert_eq!(at(Some("/home/kim")), Path::new("/home/kim/Ledgebook"));
        assert_eq!(at(Some("")), Path::new("Ledgebook"));
        assert_eq!(at(None), Path::new("Ledgebook"));
    }
}
