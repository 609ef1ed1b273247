//! Each promise in its short form, with fixed seeds. `cargo xtask torture` runs the whole.

#![cfg(unix)]

use ledgebook_torture::day::CALLS;
use ledgebook_torture::fuzz;
use ledgebook_torture::kills::WRITER;
use ledgebook_torture::part::short;
use ledgebook_torture::promise::PROMISES;
use std::sync::atomic::Ordering;

/// A test for each promise.
macro_rules! promises {
    ($($test:ident: $name:literal,)*) => {
        $(#[test]
        fn $test() {
            let _ = WRITER.set(env!("CARGO_BIN_EXE_torture").into());
            CALLS.store(3_000, Ordering::Relaxed);
            println!("{:?}", short($name));
        })*

        #[test]
        fn each_promise_has_its_short_form() {
            let here = [$($name),*];
            let all: Vec<&str> = PROMISES.iter().map(|promise| promise.name).collect();
            assert_eq!(here.to_vec(), all);
        }
    };
}

promises! {
    killed_while_it_appends: "kill-append",
    killed_in_the_program: "kill-serve",
    killed_while_it_closes: "kill-close",
    killed_while_it_makes_a_file: "kill-create",
    killed_while_it_erases: "kill-erase",
    killed_while_it_mirrors: "kill-mirror",
    a_disk_that_fails: "faults",
    each_operation_of_a_disk: "faults-each",
    a_byte_of_a_closed_file: "flip-closed",
    a_byte_of_a_file_left_open: "flip-open",
    the_record_beside_a_list: "model",
    noise_in_operation_files: "fuzz-file",
    noise_in_files_to_salvage: "fuzz-salvage",
    noise_in_scripts: "fuzz-script",
    noise_in_rigs: "fuzz-rig",
    noise_in_guidelines: "fuzz-guidelines",
    noise_in_steps: "fuzz-steps",
    noise_in_mirrors: "fuzz-mirror",
    a_day_of_calls: "day",
}

#[test]
fn what_once_failed_is_read_again() {
    for kind in fuzz::KINDS {
        let kept = fuzz::replay(kind).unwrap_or_else(|broken| panic!("{broken}"));
        println!("{kind}: {kept} kept inputs");
    }
}
