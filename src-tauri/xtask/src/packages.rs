//! System packages: which are needed, which are missing, and installing those.

use crate::host::{self, Host};
use crate::process::{Done, command, output, run};

/// To build the command line alone.
pub const COMMAND_LINE: &[&str] = &["build-essential", "pkg-config"];
/// To build and open the window.
pub const WINDOW: &[&str] = &["build-essential", "pkg-config", "libwebkit2gtk-4.1-dev", "fonts-dejavu-core"];
/// To check everything: the window on a display of its own, driven from outside; the report read back.
pub const TESTS: &[&str] = &[
    "build-essential",
    "pkg-config",
    "libwebkit2gtk-4.1-dev",
    "fonts-dejavu-core",
    "webkit2gtk-driver",
    "xvfb",
    "xauth",
    "qpdf",
    "poppler-utils",
];

/// Installs what is missing of `needed`, saying which; on a system it does not know it says what is
/// needed and goes on with what is there.
///
/// # Errors
/// When Rust's or Node's tools are not there, or the installer fails.
pub fn ensure(needed: &[&str], node: bool) -> Done {
    if node && !host::has("npm") {
        return Err("The screens need Node.js 20.19 or newer with npm, and npm is not on the path. Install it and start this again.".into());
    }
    let host = Host::here();
    if !host.debian {
        println!(
            "This is {}. System packages are installed by this program on Debian 12 or newer only; elsewhere \
             install, under the names your system has for them: {}. Going on with what is there.",
            host.name,
            needed.join(" ")
        );
        return Ok(());
    }
    let missing = missing(needed);
    if missing.is_empty() {
        println!("system packages: all there ({})", needed.join(" "));
        return Ok(());
    }
    println!("system packages missing, installing them: {}", missing.join(" "));
    install(&missing)
}

fn missing<'a>(needed: &[&'a str]) -> Vec<&'a str> {
    let mut query = vec!["-W", "-f", "${Package} ${db:Status-Status}\n"];
    query.extend(needed);
    not_installed(needed, &output("dpkg-query", &query).unwrap_or_default())
}

/// Those of `needed` that `listing` (one `NAME STATUS` a line) does not show as installed.
fn not_installed<'a>(needed: &[&'a str], listing: &str) -> Vec<&'a str> {
    let there = |name: &str| listing.lines().any(|line| line.trim() == format!("{name} installed"));
    needed.iter().copied().filter(|name| !there(name)).collect()
}

fn install(missing: &[&str]) -> Done {
    let apt = |args: &[&str]| {
        let as_root = host::is_root();
        if !as_root && !host::has("sudo") {
            return Err(format!(
                "Installing needs root, and there is no sudo. As root: apt-get install --no-install-recommends {}",
                missing.join(" ")
            ));
        }
        let mut words = vec!["apt-get"];
        words.extend(args);
        if !as_root {
            words.insert(0, "sudo");
        }
        run(command("env", &["DEBIAN_FRONTEND=noninteractive"]).args(&words).stdin(if as_root {
            std::process::Stdio::null()
        } else {
            std::process::Stdio::inherit()
        }))
    };
    // An old list may still serve what is missing, so a failed update is not the end.
    if let Err(words) = apt(&["update", "-qq"]) {
        eprintln!("{words}; trying with the package lists that are there");
    }
    let mut args = vec!["install", "-y", "-qq", "--no-install-recommends"];
    args.extend(missing);
    apt(&args)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_package_counts_only_when_it_is_wholly_installed() {
        let listing = "qpdf installed\nxvfb config-files\nxauth half-installed\npkg-config installed\n";
        let needed = ["qpdf", "xvfb", "xauth", "pkg-config", "poppler-utils"];
        assert_eq!(not_installed(&needed, listing), ["xvfb", "xauth", "poppler-utils"]);
        assert_eq!(not_installed(&["qpdf"], ""), ["qpdf"], "no dpkg-query: everything is missing");
        assert_eq!(
            not_installed(&["qpdf"], "libqpdf29 installed\n"),
            ["qpdf"],
            "a longer name is another package"
        );
    }

    #[test]
    fn the_tests_need_all_that_the_window_needs() {
        assert!(WINDOW.iter().all(|name| TESTS.contains(name)));
        assert!(COMMAND_LINE.iter().all(|name| WINDOW.contains(name)));
    }
}
