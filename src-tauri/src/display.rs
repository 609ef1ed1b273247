//! Whether there is a display to open a window on. Asked first: the window toolkit ends the whole
//! program when there is none.

use std::ffi::OsString;

/// `Ok` if `look` (the environment) names an X11 or Wayland display, else what to tell the person.
pub fn present(look: impl Fn(&str) -> Option<OsString>) -> Result<(), String> {
    let named = |name| look(name).is_some_and(|value| !value.is_empty());
    if named("DISPLAY") || named("WAYLAND_DISPLAY") {
        return Ok(());
    }
    Err("There is no display to open the window on (neither DISPLAY nor WAYLAND_DISPLAY is set). \
         Start Ledgebook from a desktop session, or use the command line: `ledgebook --help`."
        .into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_display_must_be_named_and_not_empty() {
        let with = |set: &'static [(&str, &str)]| {
            present(move |name| set.iter().find(|(n, _)| *n == name).map(|(_, v)| v.into()))
        };
        assert!(with(&[("DISPLAY", ":0")]).is_ok());
        assert!(with(&[("WAYLAND_DISPLAY", "wayland-0")]).is_ok());
        assert!(with(&[("DISPLAY", "")]).is_err());
        assert!(with(&[]).unwrap_err().contains("DISPLAY"));
    }
}
