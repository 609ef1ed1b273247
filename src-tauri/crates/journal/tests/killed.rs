//! A writer that is killed at any moment: every entry it acknowledged is there, and the record goes on.

mod common;

use common::{event, stamp};
use journal::{Durability, Journal};
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

const TIMES: u64 = 24;

/// The writer: this test program started again with the file in its environment. Not a test by itself.
#[test]
fn writer_until_it_is_killed() {
    let Some(path) = std::env::var_os("LEDGEBOOK_KILLED_FILE") else { return };
    let path = Path::new(&path);
    let mut journal = if path.exists() {
        Journal::open(path, "a writer").unwrap()
    } else {
        Journal::create(path, "a writer", Durability::EachEntry).unwrap()
    };
    let mut out = std::io::stdout();
    writeln!(out, "begin").unwrap();
    loop {
        let n = journal.last_seq() + 1;
        let (ack, _) = journal.append("top", &event(n), &stamp(n)).unwrap();
        writeln!(out, "ack {} {}", ack.seq, ack.hash).unwrap();
        out.flush().unwrap();
    }
}

#[test]
fn every_acknowledged_entry_outlives_the_writer() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.ledge");
    let mut acknowledged: Vec<(u64, String)> = Vec::new();
    let mut left = 0;
    for round in 0..TIMES {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "writer_until_it_is_killed", "--nocapture"])
            .env("LEDGEBOOK_KILLED_FILE", &path)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let pid = child.id();
        // Rounds differ in when the blow falls: some while the file is opened, most between two acknowledgements.
        let (begun, wait) = std::sync::mpsc::channel::<()>();
        let blow = std::thread::spawn(move || {
            if round % 6 != 5 {
                let _ = wait.recv_timeout(Duration::from_secs(20));
            }
            std::thread::sleep(Duration::from_millis(7 * (round * 7 % TIMES)));
            Command::new("kill").args(["-9", &pid.to_string()]).status().unwrap();
        });
        for line in lines.map_while(Result::ok) {
            let words: Vec<&str> = line.split(' ').collect();
            if line.ends_with("begin") {
                let _ = begun.send(());
            }
            if let ["ack", seq, hash] = words[..]
                && hash.len() == 64
            {
                acknowledged.push((seq.parse().unwrap(), hash.to_string()));
            }
        }
        blow.join().unwrap();
        child.wait().unwrap();
        if !path.exists() {
            continue; // killed before it made the file
        }
        match Journal::open(&path, "the test") {
            Ok(journal) => {
                left += u64::from(journal.left_by().is_some());
                let entries = journal.entries().unwrap();
                for (seq, hash) in &acknowledged {
                    let entry = entries.get(usize::try_from(*seq).unwrap() - 1);
                    assert_eq!(entry.map(|e| &e.hash), Some(hash), "round {round}: entry {seq} is lost");
                }
                assert_eq!(journal.verify().unwrap().head, journal.head());
                journal.close().unwrap();
            }
            // Killed while the file was being made, before anything could be acknowledged.
            Err(error) => {
                assert!(acknowledged.is_empty(), "round {round}: {error}");
                std::fs::remove_file(&path).unwrap();
            }
        }
    }
    assert!(acknowledged.len() > 100, "the writer got to write: {}", acknowledged.len());
    assert!(left > TIMES / 2, "the holder that ended without closing is seen: {left} of {TIMES}");
}
