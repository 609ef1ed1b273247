//! What kind of machine this is.

use std::path::Path;

/// The system as `/etc/os-release` names it.
#[derive(Debug, PartialEq)]
pub struct Host {
    /// Its name for people.
    pub name: String,
    /// Whether its packages can be had by `apt-get` under the names of Debian 12.
    pub debian: bool,
}

impl Host {
    /// This machine.
    pub fn here() -> Self {
        match std::fs::read_to_string("/etc/os-release") {
            Ok(text) => Self::read(&text),
            Err(_) => Self { name: std::env::consts::OS.into(), debian: false },
        }
    }

    fn read(text: &str) -> Self {
        let value = |key: &str| {
            let line = text.lines().find_map(|line| line.strip_prefix(key)?.strip_prefix('='));
            line.map(|value| value.trim().trim_matches('"').to_string())
        };
        let debian = value("ID").is_some_and(|id| id == "debian")
            && value("VERSION_ID").and_then(|version| version.parse().ok()).is_some_and(|v: u32| v >= 12);
        Self { name: value("PRETTY_NAME").unwrap_or_else(|| "an unnamed system".into()), debian }
    }
}

/// Whether this person may install packages without asking another.
pub fn is_root() -> bool {
    crate::process::output("id", &["-u"]).is_some_and(|id| id.trim() == "0")
}

/// Whether there is a display to open a window on.
pub fn has_display() -> bool {
    let named = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    named("DISPLAY") || named("WAYLAND_DISPLAY")
}

/// Whether `program` is on the path.
pub fn has(program: &str) -> bool {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path).any(|dir| Path::new(&dir).join(program).is_file())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn knows_a_debian_it_can_install_on() {
        let debian = |text: &str| Host::read(text).debian;
        assert!(debian("PRETTY_NAME=\"Debian GNU/Linux 12 (bookworm)\"\nVERSION_ID=\"12\"\nID=debian\n"));
        assert!(debian("ID=debian\nVERSION_ID=\"13\"\n"));
        assert!(!debian("ID=debian\nVERSION_ID=\"11\"\n"));
        assert!(!debian("ID=debian\n"), "testing has no number: not known");
        assert!(!debian("ID=fedora\nVERSION_ID=41\nPRETTY_NAME=\"Some Linux 41\"\n"));
        assert_eq!(Host::read("PRETTY_NAME=\"Some Linux 41\"\n").name, "Some Linux 41");
    }
}
