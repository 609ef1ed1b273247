//! Whether there is a graphics card to paint the window with, and how it is painted where there is none.

use std::fs::{self, OpenOptions};
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::Command;

/// Where Linux lists the graphics cards a program may draw with.
const CARDS: &str = "/dev/dri";

/// Tells the toolkit to paint its pages on the processor and hand over what changed.
const PAINT_ON_PROCESSOR: (&str, &str) = ("WEBKIT_DISABLE_DMABUF_RENDERER", "1");

/// Begins this program anew with `PAINT_ON_PROCESSOR` where no graphics card can be used: left to itself the toolkit
/// would act a card out on the processor and put together the whole window for each row, at two to three times the time
/// from a key to its row. Nothing happens where there is a card, where somebody set it already, or where it cannot be done.
pub fn paint_without_one() {
    if has_card(Path::new(CARDS)) || std::env::var_os(PAINT_ON_PROCESSOR.0).is_some() {
        return;
    }
    // The toolkit reads the environment of the whole program; to change it in a running one is not sound, to begin anew is.
    if let Ok(program) = std::env::current_exe() {
        let (name, value) = PAINT_ON_PROCESSOR;
        // It returns only when it failed: the window then opens as it would have.
        let _failed = Command::new(program).args(std::env::args_os().skip(1)).env(name, value).exec();
    }
}

/// Whether `cards` has one to draw with (`renderD…`) that this person may use.
fn has_card(cards: &Path) -> bool {
    let listed = fs::read_dir(cards).into_iter().flatten().flatten();
    listed
        .filter(|card| card.file_name().to_string_lossy().starts_with("renderD"))
        .any(|card| OpenOptions::new().read(true).write(true).open(card.path()).is_ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_card_is_one_to_draw_with_that_may_be_used() {
        let dir = tempfile::tempdir().unwrap();
        assert!(!has_card(&dir.path().join("none")), "no such folder");
        assert!(!has_card(dir.path()), "an empty one");
        fs::write(dir.path().join("card0"), "").unwrap();
        assert!(!has_card(dir.path()), "one that only shows");
        fs::create_dir(dir.path().join("renderD129")).unwrap();
        assert!(!has_card(dir.path()), "one that cannot be opened");
        fs::write(dir.path().join("renderD128"), "").unwrap();
        assert!(has_card(dir.path()));
    }
}
