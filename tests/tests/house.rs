//! What must never be, held here: each rule is run on the repository and on a bad sample of its own.

use ledgebook_tests::house::manifests::{self, Arrows};
use ledgebook_tests::house::paths::{Said, said};
use ledgebook_tests::house::rules;
use ledgebook_tests::house::sources::{Source, tree};
use ledgebook_tests::house::supply::{self, Outside};
use ledgebook_tests::place::{files, root};
use quote::ToTokens;

/// Crates that are handed time, ids and files, and fetch none.
const CORE: &[&str] = &["rig", "engine", "operation", "drawing", "report"];
const ALL: &[&str] = &["rig", "engine", "operation", "journal", "drawing", "report", "service"];

/// Longest file for one sitting.
const LONGEST: usize = 500;

fn sources(name: &str) -> Vec<Source> {
    tree(&root().join("src-tauri/crates").join(name).join("src/lib.rs"))
}

fn sample(source: &str) -> Said {
    let file: syn::File = syn::parse_str(source).unwrap();
    said(file.into_token_stream())
}

/// What `rule` finds in `crates`, with the file.
fn breaches(crates: &[&str], rule: impl Fn(&Said) -> Vec<String>) -> Vec<String> {
    let all = crates.iter().flat_map(|name| sources(name));
    all.flat_map(|source| {
        let file = source.file.strip_prefix(root()).unwrap_or(&source.file).display().to_string();
        rule(&source.said).into_iter().map(move |line| format!("{file}:{line}"))
    })
    .collect()
}

#[track_caller]
fn none(broken: &[String]) {
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn crates_use_each_other_along_the_arrows_only() {
    none(&manifests::broken(&manifests::arrows()));
}

#[test]
fn a_crate_against_the_arrows_is_found() {
    let mut arrows: Arrows = manifests::arrows();
    arrows.entry("engine".into()).or_default().push("drawing".into());
    arrows.entry("report".into()).or_default().push("engine".into());
    arrows.entry("service".into()).or_default().push("tauri".into());
    arrows.remove("rig");
    let broken = manifests::broken(&arrows);
    for words in ["engine uses drawing", "report uses engine", "there is no crate rig"] {
        assert!(broken.iter().any(|line| line == words), "{words}: {broken:?}");
    }
    assert!(broken.iter().any(|line| line.starts_with("service uses tauri")), "{broken:?}");
}

#[test]
fn the_core_reaches_no_clock_chance_environment_or_file() {
    none(&breaches(CORE, rules::reaches_outside));
}

#[test]
fn a_reach_outside_is_found_however_it_is_written() {
    let bad = [
        "fn f() { let t = std::time::Instant::now(); }",
        "use std::{fs::File, io::Read};",
        "use chrono::{Local, DateTime};",
        "fn f() { chrono::Utc::now() }",
        "fn f() { println!(\"{:?}\", std::env::var(\"HOME\")) }",
        "fn f() { uuid::Uuid::new_v4() }",
        "use rand::Rng;",
    ];
    for source in bad {
        assert!(!rules::reaches_outside(&sample(source)).is_empty(), "not found: {source}");
    }
    let good = "/// Like std::fs::read.\nfn f(operand: u8, env: u8) { include_str!(\"a\"); env!(\"CARGO_PKG_VERSION\"); }";
    none(&rules::reaches_outside(&sample(good)));
}

#[test]
fn the_window_toolkit_stands_in_the_program_only() {
    none(&breaches(ALL, |said| rules::names_crate(said, "tauri")));
    assert!(!rules::names_crate(&sample("use tauri::State;"), "tauri").is_empty());
}

#[test]
fn sql_stands_in_the_journal_only() {
    let others: Vec<&str> = ALL.iter().copied().filter(|name| *name != "journal").collect();
    none(&breaches(&others, rules::speaks_sql));
    none(&breaches(&others, |said| rules::names_crate(said, "rusqlite")));
    // The torture may use the library (`MAY_USE`) for its failing disk, and speaks no SQL all the same.
    let torture = tree(&root().join("tests/torture/src/lib.rs"));
    none(&torture.iter().flat_map(|source| rules::speaks_sql(&source.said)).collect::<Vec<_>>());
    let reaches = |source: &&Source| !rules::names_crate(&source.said, "rusqlite").is_empty();
    let reaching: Vec<_> = torture.iter().filter(reaches).map(|source| source.file.clone()).collect();
    assert!(
        reaching.iter().all(|file| file.parent().is_some_and(|folder| folder.ends_with("faults"))),
        "{reaching:?}"
    );
    let program = tree(&root().join("src-tauri/src/main.rs"));
    none(&program.iter().flat_map(|source| rules::speaks_sql(&source.said)).collect::<Vec<_>>());
    assert!(!rules::speaks_sql(&sample("fn f() { db(\"SELECT 1\") }")).is_empty());
    none(&rules::speaks_sql(&sample("// SELECT 1\nfn f() { say(\"Select a rig\") }")));
}

#[test]
fn the_pdf_library_stands_in_the_report_only() {
    let others: Vec<&str> = ALL.iter().copied().filter(|name| *name != "report").collect();
    none(&breaches(&others, |said| rules::names_crate(said, "printpdf")));
    assert!(!rules::names_crate(&sample("fn f() { printpdf::Mm(1.0) }"), "printpdf").is_empty());
}

#[test]
fn the_report_prints_verdicts_and_the_engine_knows_no_log() {
    none(&breaches(&["report"], |said| rules::names_crate(said, "engine")));
    none(&breaches(&["engine"], |said| rules::names_crate(said, "operation")));
}

#[test]
fn every_file_is_one_sitting() {
    let mut long = Vec::new();
    for file in files() {
        let counts = [".rs", ".ts", ".svelte"].iter().any(|end| file.ends_with(end))
            && !file.starts_with("ui/src/wire/");
        let lines = std::fs::read_to_string(root().join(&file)).map_or(0, |text| text.lines().count());
        if counts && lines > LONGEST {
            long.push(format!("{file}: {lines} lines"));
        }
    }
    none(&long);
}

#[test]
fn no_file_names_a_machine_or_a_registry() {
    // Written in two halves, so that this file does not break its own rule.
    let never = [
        concat!("/wo", "rk/"),
        concat!("crates", ".io/"),
        concat!("static.crates", ".io"),
        concat!("pypi", ".org"),
        concat!("registry.npm", "js"),
        concat!("deb.deb", "ian.org"),
    ];
    let mut named = Vec::new();
    for file in files() {
        // Cargo writes its index's address into its lock file and nowhere else.
        if file == "Cargo.lock" {
            continue;
        }
        let bytes = std::fs::read(root().join(&file)).unwrap_or_default();
        let text = String::from_utf8_lossy(&bytes);
        named.extend(never.iter().filter(|word| text.contains(**word)).map(|word| format!("{file}: {word}")));
    }
    none(&named);
}

/// Where the word may stand: it denies the verdict.
const MAY_SAY: &[&str] = &["never says safe"];

#[test]
fn nothing_people_read_says_safe() {
    let mut said = Vec::new();
    for name in ALL {
        for source in sources(name) {
            let file = source.file.display().to_string();
            let texts = source.said.texts.iter().flat_map(|(_, text)| rules::says_safe(text, MAY_SAY));
            said.extend(texts.map(|line| format!("{file}: {line}")));
        }
    }
    for file in files()
        .iter()
        .filter(|file| file.starts_with("ui/src/") && (file.ends_with(".svelte") || file.ends_with(".ts")))
    {
        let text = std::fs::read_to_string(root().join(file)).unwrap_or_default();
        let shown = without_line_comments(&text);
        said.extend(rules::says_safe(&shown, MAY_SAY).into_iter().map(|line| format!("{file}:{line}")));
    }
    none(&said);
    assert_eq!(rules::says_safe("The rig is safe.", MAY_SAY).len(), 1);
    none(&rules::says_safe("safety officer, failsafe", MAY_SAY));
}

fn without_line_comments(text: &str) -> String {
    let quiet = |line: &str| ["//", "*", "/*", "<!--"].iter().any(|mark| line.trim_start().starts_with(mark));
    text.lines().map(|line| if quiet(line) { "" } else { line }).collect::<Vec<_>>().join("\n")
}

#[test]
fn the_window_may_call_our_commands_and_nothing_else() {
    let read = |file: &str| -> serde_json::Value {
        serde_json::from_str(&std::fs::read_to_string(root().join(file)).unwrap()).unwrap()
    };
    let granted = read("src-tauri/capabilities/main.json");
    let rooms = ["commands", "commander", "leaving"].map(|room| format!("src-tauri/src/desktop/{room}.rs"));
    let commands = rooms.map(|room| std::fs::read_to_string(root().join(room)).unwrap()).concat();
    for permission in granted["permissions"].as_array().unwrap() {
        let name = permission.as_str().and_then(|name| name.strip_prefix("allow-")).unwrap_or("");
        let name = name.replace('-', "_");
        let ours = |said: &str| {
            let begins = format!("#[tauri::command]\npub {said} {name}");
            commands.contains(&format!("{begins}(")) || commands.contains(&format!("{begins}<"))
        };
        assert!(ours("async fn") || ours("fn"), "{permission} is no command of ours");
    }
    assert_eq!(granted["windows"], serde_json::json!(["main"]));
    assert!(granted.get("remote").is_none(), "no remote page may call anything");
    let commanders = read("src-tauri/capabilities/commander.json");
    assert_eq!(commanders["windows"], serde_json::json!(["commander"]));
    assert_eq!(
        commanders["permissions"],
        serde_json::json!(["allow-told"]),
        "the commander's window reads only"
    );
    assert!(commanders.get("remote").is_none());
    let config = read("src-tauri/tauri.conf.json");
    let policy = config["app"]["security"]["csp"].as_str().unwrap();
    assert!(policy.starts_with("default-src 'none'"), "{policy}");
    for word in ["unsafe-inline", "unsafe-eval", "https:", "*", "data:"] {
        assert!(!policy.contains(word), "{word} in {policy}");
    }
    assert!(config["build"].get("devUrl").is_none());
}

#[test]
fn a_new_crate_from_outside_is_a_visible_decision() {
    let read = |file: &str| std::fs::read_to_string(root().join(file)).unwrap();
    let locked = supply::locked(&read("Cargo.lock"));
    let allowed = supply::allowed(&read("tests/crates-allowed.txt"));
    assert!(locked.len() > 100 && !locked.contains("ledgebook"), "{} crates", locked.len());
    let new = locked.difference(&allowed).map(|name| {
        format!("{name} is not in tests/crates-allowed.txt: look at its age, upkeep and licence, then add it")
    });
    let gone =
        allowed.difference(&locked).map(|name| format!("{name} is used no more: take it off the list"));
    none(&new.chain(gone).collect::<Vec<_>>());
    let lock = "[[package]]\nname = \"a\"\nsource = \"x\"\n\n[[package]]\nname = \"ours\"\n";
    assert_eq!(supply::locked(lock), supply::allowed("# list\na # why\n"));
}

#[test]
fn crates_come_from_one_registry_under_licences_that_may_be() {
    let crates = supply::outside();
    assert!(crates.len() > 100, "{} crates", crates.len());
    none(&supply::wrong(&crates));
    let good = Outside {
        name: "a".into(),
        licence: "(MIT OR GPL-3.0-only) AND Zlib".into(),
        source: "registry+a".into(),
    };
    none(&supply::wrong(std::slice::from_ref(&good)));
    for (licence, source) in [
        ("GPL-3.0-only", "registry+a"),
        ("MIT AND GPL-3.0-only", "registry+a"),
        ("", "registry+a"),
        ("MIT", "git+a"),
        ("MIT", "registry+b"),
    ] {
        let bad = Outside { licence: licence.into(), source: source.into(), ..good.clone() };
        assert_eq!(supply::wrong(&[good.clone(), bad]).len(), 1, "{licence} {source}");
    }
}

#[test]
fn the_window_has_no_shell_no_plugin_and_no_remote_page() {
    let manifest = std::fs::read_to_string(root().join("src-tauri/Cargo.toml")).unwrap();
    assert!(!manifest.contains("tauri-plugin"), "a plugin brings commands of its own");
    // What this platform builds; the lock file names more.
    let never = ["tauri-plugin-", "reqwest", "rustls", "native-tls", "openssl"];
    let brought: Vec<String> = supply::outside()
        .into_iter()
        .map(|one| one.name)
        .filter(|name| never.iter().any(|begins| name.starts_with(begins)))
        .collect();
    none(&brought);
    let config: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(root().join("src-tauri/tauri.conf.json")).unwrap())
            .unwrap();
    assert!(config.get("plugins").is_none());
    assert_eq!(config["app"]["withGlobalTauri"], false);
    assert_eq!(config["app"]["security"]["freezePrototype"], true);
    for window in config["app"]["windows"].as_array().unwrap() {
        assert!(window.get("url").is_none(), "the window shows the screens inside the program");
    }
    let policy = config["app"]["security"]["csp"].as_str().unwrap();
    let hosts: Vec<&str> = policy.split([' ', ';']).filter(|word| word.contains("://")).collect();
    assert_eq!(hosts, ["http://ipc.localhost"], "the way to the program itself, and no other");
    let folder = std::fs::read_dir(root().join("src-tauri/capabilities")).unwrap();
    assert_eq!(folder.count(), 2, "one capability for each window");
}
