//! `ledgebook rehearse | state | report | schema`.

use super::{Done, print};
use serde_json::json;
use service::read_text;
use std::path::Path;

/// Plays a script.
pub fn rehearse(script: &Path, out: &Path, json: bool) -> Done {
    let text = read_text(script)?;
    let done = service::rehearse::rehearse(&text, out).map_err(|trouble| in_file(trouble, script))?;
    let (operation, report) = (done.operation.display().to_string(), done.report.display().to_string());
    if json {
        print::json(&json!({
            "operation": operation, "report": report, "count": done.head.count, "head": done.head.hex, "pages": done.pages,
        }))?;
    } else {
        let words = format!(
            "{} entries, head {}\n{operation}\n{report} ({} pages)",
            done.head.count, done.head.hex, done.pages
        );
        print::out(&words)?;
    }
    Ok(0)
}

/// A place within a file is named with it.
fn in_file(mut trouble: service::wire::Trouble, file: &Path) -> service::wire::Trouble {
    if matches!(trouble.code.as_str(), "bad_step" | "bad_rig" | "bad_time" | "bad_script") {
        trouble.place = format!("{}: {}", file.display(), trouble.place);
    }
    trouble
}

/// “3:05”.
fn seconds(s: f64) -> String {
    let s = s.round() as u64;
    format!("{}:{:02}", s / 60, s % 60)
}

/// The last roll call and the patient's course, where there are any.
fn roll_and_patient(state: &service::state_at::StateAt) -> String {
    let mut text = String::new();
    if let Some(roll) = &state.roll_call {
        let said = |who: &[String]| if who.is_empty() { "nobody".into() } else { who.join(", ") };
        text.push_str(&format!(
            "\nRoll call\n  {} “{}”, {} ago; answered: {}; not answered: {}\n",
            roll.order,
            roll.text,
            seconds(roll.ago_s),
            said(&roll.answered),
            said(&roll.silent)
        ));
    }
    if !state.patient.is_empty() {
        text.push_str("\nPatient\n");
    }
    for mark in &state.patient {
        text.push_str(&format!("  {} {}, {} ago\n", mark.entry, mark.words, seconds(mark.ago_s)));
    }
    text
}

/// Metres out and what is left of each rope, where a rig was entered or metres were called.
fn ropes(state: &service::state_at::StateAt) -> String {
    let mut text = String::new();
    if state.metres_out.is_some() || !state.rope_left.is_empty() {
        text.push_str("\nRope\n");
    }
    if let Some(out) = &state.metres_out {
        text.push_str(&format!("  {} m out, called {} ago\n", out.metres, seconds(out.ago_s)));
    }
    for rope in &state.rope_left {
        let near = if rope.near { ", less than is asked to spare" } else { "" };
        text.push_str(&format!("  {}: {}{near}\n", rope.label, rope.words));
    }
    if state.metres_out.is_some() && state.rope_left.is_empty() {
        text.push_str("  rope left not checked: no rope of a rig in use ends at the load\n");
    }
    text
}

/// What stood at a time.
pub fn state(file: &Path, at: Option<&str>, json: bool) -> Done {
    let state = service::state_at::of_file(file, at)?;
    if json {
        print::json(&state)?;
        return Ok(0);
    }
    let mut text = format!("{} for {}\n", state.motion.replace('_', " "), seconds(state.since_s));
    if let Some(phase) = &state.phase {
        text.push_str(&format!("{} for {}\n", phase.words, seconds(phase.since_s)));
    }
    text.push_str(&ropes(&state));
    text.push_str("\nNot read back\n");
    for order in &state.unanswered {
        text.push_str(&format!(
            "  {} “{}”: {}, {}\n",
            order.order,
            order.text,
            order.waiting_for.join(", "),
            seconds(order.since_s)
        ));
    }
    if state.unanswered.is_empty() {
        text.push_str("  nothing\n");
    }
    text.push_str(&roll_and_patient(&state));
    text.push_str("\nWhere\n");
    for (zone, people) in state.zones.iter().filter(|(_, people)| !people.is_empty()) {
        text.push_str(&format!("  {}: {}\n", zone.replace('_', " "), people.join(", ")));
    }
    text.push_str("\nRoles\n");
    let roles: Vec<Vec<String>> =
        state.roles.iter().map(|(role, people)| vec![format!("  {role}"), people.join(", ")]).collect();
    for line in print::table(&["", ""], &roles, &[]).lines().skip(1) {
        text.push_str(line);
        text.push('\n');
    }
    text.push_str("\nFlags\n");
    for flag in &state.flags {
        let entries: Vec<String> = flag.entries.iter().map(ToString::to_string).collect();
        text.push_str(&format!(
            "  {}: {} (entries {})\n",
            flag.id.replace('_', " "),
            flag.words,
            entries.join(", ")
        ));
    }
    if state.flags.is_empty() {
        text.push_str("  none\n");
    }
    print::out(&text.lines().map(print::plain).collect::<Vec<_>>().join("\n"))?;
    Ok(0)
}

/// Writes the report; of a record that does not fit as a whole too, and says so.
pub fn report(file: &Path, pdf: &Path, asked: &service::paper::Asked, json: bool) -> Done {
    let made = service::paper::report(file, asked)?;
    service::rehearse::write_apart(file, pdf, &made.bytes)?;
    let (pdf, pages) = (pdf.display().to_string(), made.pages);
    if json {
        let told = json!({ "report": pdf, "pages": pages, "whole": made.left_out.is_none() });
        print::json(&super::export::with_names(told, asked))?;
    } else {
        print::out(&format!("{pdf} ({pages} pages){}", super::export::names_words(asked)))?;
    }
    match made.left_out {
        None => Ok(0),
        Some(trouble) => Err(trouble),
    }
}

/// Prints a schema.
pub fn schema(name: &str) -> Done {
    print::json(&service::schema::schema(name)?)?;
    Ok(0)
}
