//! Leaving with entries that are not on the disk: the window asks before it closes, and tries once more to write them when
//! the system ends the program.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::{Duration, Instant};
use tauri::{AppHandle, Manager, Runtime, State};

/// How long the end of the program waits for a last try.
const LAST_TRY: Duration = Duration::from_secs(3);

/// What the window holds that no disk has yet.
#[derive(Default)]
pub struct Leaving {
    unsaved: AtomicUsize,
    /// The window has put its question on the screen.
    asking: AtomicBool,
    /// The question was sent and not seen by the window yet.
    sent: AtomicBool,
}

/// What becomes of a wish to close the window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wish {
    /// It closes.
    Granted,
    /// The window is to ask first.
    Ask,
    /// The question stands.
    Asked,
}

impl Leaving {
    /// What the window says of itself.
    pub fn hear(&self, unsaved: usize, asking: bool) {
        self.unsaved.store(unsaved, Ordering::Release);
        self.asking.store(asking, Ordering::Release);
        if asking {
            self.sent.store(false, Ordering::Release);
        }
    }

    /// Entries that are not on the disk.
    pub fn unsaved(&self) -> usize {
        self.unsaved.load(Ordering::Acquire)
    }

    /// Someone wishes to close the window. A window that did not put the question up when it was first asked does not
    /// answer any more: the second wish is granted.
    pub fn wish(&self) -> Wish {
        if self.unsaved() == 0 {
            Wish::Granted
        } else if self.asking.load(Ordering::Acquire) {
            Wish::Asked
        } else if self.sent.swap(true, Ordering::AcqRel) {
            Wish::Granted
        } else {
            Wish::Ask
        }
    }
}

/// How many entries the window holds that are not on the disk, and whether its question stands.
#[tauri::command]
pub fn unsaved(leaving: State<'_, Leaving>, count: usize, asking: bool) {
    leaving.hear(count, asking);
}

/// Closes the window; what is not on the disk is lost, and the scribe said so.
#[tauri::command]
pub fn leave<R: Runtime>(app: AppHandle<R>) {
    app.exit(0);
}

/// Tells the scribe's window something it listens for.
pub fn tell<R: Runtime>(app: &AppHandle<R>, event: &str) {
    if let Some(window) = app.get_webview_window(super::commander::SCRIBES) {
        // A window that is gone hears nothing, and holds nothing.
        let _ = window.eval(format!("window.dispatchEvent(new Event('{event}'))"));
    }
}

/// From now on the end of the program by the system (TERM, INT, HUP) is heard: the window tries once more to write what is
/// not on the disk, the file is put away cleanly, and the program ends.
///
/// # Errors
/// When the system gives no thread or no handler.
pub fn hear_signals<R: Runtime>(app: AppHandle<R>) -> std::io::Result<()> {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    let mut signals = signal_hook::iterator::Signals::new([SIGTERM, SIGINT, SIGHUP])?;
    let ends = std::thread::Builder::new().name("signals".into());
    ends.spawn(move || {
        if signals.forever().next().is_some() {
            app.exit(last_try(&app));
        }
    })?;
    Ok(())
}

/// Waits for the window's last try; answers the exit code.
fn last_try<R: Runtime>(app: &AppHandle<R>) -> i32 {
    let leaving = app.state::<Leaving>();
    if leaving.unsaved() == 0 {
        return 0;
    }
    tell(app, "ledgebook-last-try");
    let until = Instant::now() + LAST_TRY;
    while leaving.unsaved() > 0 && Instant::now() < until {
        std::thread::sleep(Duration::from_millis(20));
    }
    match leaving.unsaved() {
        0 => 0,
        n => {
            let entries = if n == 1 { "entry" } else { "entries" };
            eprintln!("Ended by the system; {n} {entries} could not be written, and will be missing.");
            4
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_window_closes_at_once_when_all_is_on_the_disk_and_asks_once_when_not() {
        let leaving = Leaving::default();
        assert_eq!(leaving.wish(), Wish::Granted);
        leaving.hear(2, false);
        assert_eq!(leaving.wish(), Wish::Ask);
        leaving.hear(2, true);
        assert_eq!((leaving.wish(), leaving.wish()), (Wish::Asked, Wish::Asked));
        // “Stay”, and again.
        leaving.hear(2, false);
        assert_eq!(leaving.wish(), Wish::Ask);
        leaving.hear(0, true);
        assert_eq!(leaving.wish(), Wish::Granted, "saved meanwhile");
    }

    #[test]
    fn a_window_that_does_not_answer_closes_at_the_second_wish() {
        let leaving = Leaving::default();
        leaving.hear(1, false);
        assert_eq!((leaving.wish(), leaving.wish()), (Wish::Ask, Wish::Granted));
    }
}
