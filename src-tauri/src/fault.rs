//! What is said when the program meets a fault of its own: where in the program, never what it was about. A panic's
//! words may hold a name, a place or a call; they go nowhere.

use std::panic::PanicHookInfo;

/// From here on a fault is told so, on every thread.
pub fn install() {
    std::panic::set_hook(Box::new(|info| eprintln!("{}", words(info))));
}

fn words(info: &PanicHookInfo<'_>) -> String {
    let at = info.location().map_or_else(
        || "an unknown place".to_string(),
        |place| format!("{}:{}", place.file().rsplit('/').next().unwrap_or_default(), place.line()),
    );
    format!(
        "Ledgebook {} met a fault of its own ({at}). All that was shown as saved is on the disk; nothing of it stands in this message.",
        service::PROGRAM
    )
}

#[cfg(test)]
mod tests {
    use std::process::Command;

    const NAME: &str = "Odile Marn";
    const CALL: &str = "patient slipped at Tern Ledge";

    #[test]
    #[ignore = "planted: run by the test below in a process of its own"]
    fn planted() {
        super::install();
        // On a thread of its own, as the writer is; the test itself goes well.
        let writer = std::thread::spawn(|| {
            let entry: Vec<String> = vec![format!("{NAME}: {CALL}")];
            assert_eq!(entry, ["something else"], "{NAME} said {CALL}");
        });
        assert!(writer.join().is_err());
        let _ = std::panic::take_hook();
    }

    #[test]
    fn a_fault_tells_nothing_of_the_operation() {
        let ran = Command::new(std::env::current_exe().unwrap())
            .args(["--ignored", "--exact", "fault::tests::planted", "--nocapture"])
            .env("RUST_BACKTRACE", "full")
            .output()
            .unwrap();
        let told = String::from_utf8_lossy(&ran.stderr).into_owned() + &String::from_utf8_lossy(&ran.stdout);
        assert!(told.contains("met a fault of its own (fault.rs:"), "{told}");
        for word in [NAME, "Marn", CALL, "slipped", "Tern"] {
            assert!(!told.contains(word), "{word} in: {told}");
        }
    }
}
