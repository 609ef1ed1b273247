//! Too much of everything.

use super::*;
use rig::findings::{LossMode, LossVerdict, StateFindings, Verdict};

/// A name of `n` characters.
pub fn long_name(n: usize) -> String {
    "Wolfsteinhohenauer-Papandreadaki ".chars().cycle().take(n).collect::<String>().trim_end().to_string()
        + "x"
}

/// Everything too much at once: people, names, texts, parts, stops.
pub fn stress() -> ReportInput {
    let mut input = operation();
    input.operation.name = "Gemeinsame Übung der Bergrettung an der Nordwand ".repeat(9);
    input.operation.place = "Nordwand, dritter Absatz, beim alten Steinbruch; ".repeat(11);
    input.people.clear();
    input.duties.clear();
    for i in 0..60 {
        let name = match i % 10 {
            0 => long_name(80),
            1 => "Θάλασσα Παπαδημητρίου".to_string(),
            2 => "Аграфена Невзорова".to_string(),
            3 => "山田 花子".to_string(),
            4 => "مريم ال".to_string(),
            5 => "W".repeat(80),
            6 => "Sam\u{0}\u{1b}[31m \u{202e}Okonkwo\u{ad}\t\u{200b}🧗".to_string(),
            _ => "Anne".to_string(),
        };
        let name = format!("{name} {i}");
        let role =
            if i < 40 { "haul team".to_string() } else { format!("role {i} of the second party below") };
        input.people.push(Person {
            name: name.clone(),
            qualifications: vec!["rope technician".into(), long_name(if i % 7 == 0 { 90 } else { 12 })],
            roles: vec![role.clone()],
            in_ms: Some(at(13, 4, 0)),
            ..Person::default()
        });
        input.zones.push(ZoneStay {
            person: name.clone(),
            zone: "on_rope".into(),
            from_ms: at(13, 20, 0),
            to_ms: Some(at(13, 20, 0) + i64::from(i) * 5000),
        });
        let from_ms = at(13, 10, 0) + i64::from(i % 13) * 500_000;
        let to_ms = (i % 3 == 0).then_some(from_ms + 20_000);
        input.duties.push(Duty { role, person: Some(name), from_ms, to_ms });
    }
    input.site.push(("a label of a fact that is too long".into(), "said at length, ".repeat(120)));
    for i in 0..100 {
        let stop = Stop {
            seq: 45,
            at_ms: at(13, 46, 0) + i * 30_000,
            from: "edge attendant".into(),
            cause: if i % 2 == 0 { "rock from above the third ledge ".repeat(6) } else { String::new() },
            stopped_s: vec![("rope one operator".into(), (i % 4 != 0).then_some(1.0 + i as f64))],
            held_s: (i % 5 != 0).then_some(4000.0),
            ..Stop::default()
        };
        input.review.stops.push(stop);
        let words = format!("Finding {i} with words that go on for quite a while and then some");
        let detail = ": and a detail that is longer than the words before it, by far, to see it wrap.".into();
        let entries = (0..i as u64).map(|n| n * 3 + 1).collect();
        input.review.findings.push(Finding {
            departs: i % 3 != 0,
            words,
            detail,
            entries,
            people: if i % 2 == 0 { String::new() } else { format!("{} sets it aside", long_name(60)) },
            rule: "who is exposed is heard of within thirty minutes, said at length".into(),
            source: "common practice".into(),
            sure: "measured from the entries’ times, as exact as they were written".into(),
            by: (i % 5 == 0).then(|| long_name(70)),
            set_aside: i % 2 == 1,
            ..Finding::default()
        });
    }
    stress_log(&mut input);
    stress_rigs(&mut input);
    input
}

fn stress_log(input: &mut ReportInput) {
    let mut log = Log { rows: std::mem::take(&mut input.log) };
    let said = "the litter swings left and the edge attendant asks to hold, ".repeat(34);
    log.add(at(14, 50, 0), "report", "edge attendant", &["control"], &said[..2000]);
    log.add(at(14, 50, 0), "note", &long_name(80), &[&long_name(60), &long_name(60)], &"x".repeat(2000));
    log.add(at(14, 50, 0), "note", "scribe", &[], "");
    log.add(
        at(14, 50, 0),
        "note",
        "scribe",
        &[],
        "two\nlines\r\nand\ttab \u{7} 山 **not bold** ~~not struck~~",
    );
    for i in 0..30 {
        let to: Vec<(String, Option<f64>)> = (0..i % 9 + 1)
            .map(|k| (format!("role {k}"), (k % 2 == 0).then_some(1.5 * f64::from(k))))
            .collect();
        let to: Vec<(&str, Option<f64>)> = to.iter().map(|(role, s)| (role.as_str(), *s)).collect();
        log.order(at(15, 0, 0) + i64::from(i) * 60_000, "hold and report what you see at the lip", &to);
    }
    input.log = log.rows;
}

fn stress_rigs(input: &mut ReportInput) {
    let mut state = lower_state(true);
    for i in 0..64 {
        let mut part = lower_parts()[i % 16].clone();
        part.id = format!("part_{i}");
        part.label = if i % 5 == 0 { long_name(70) } else { format!("part {i}") };
        part.words =
            if i % 9 == 0 { "rests on a long story about its origin ".repeat(4) } else { part.words };
        state.losses.push(loss(
            &part.id,
            &part.label,
            LossMode::Part,
            LossVerdict::Overloaded,
            "overloads rope one",
        ));
        state.critical_parts.push(part.id.clone());
        for k in 0..6 {
            state.critical_pairs.push([part.id.clone(), format!("part_{k}")]);
        }
        state.parts.push(part);
    }
    for i in 0..30 {
        state.checks.push(rule(
            &format!("r{i}"),
            Verdict::FallsShort,
            "a rule of some length",
            &long_name(200),
        ));
    }
    let others: Vec<StateFindings> = (0..4).map(|_| state.clone()).collect();
    for i in 0..5 {
        let mut rig = input.rigs[0].clone();
        rig.name = format!("{} {i}", long_name(60));
        rig.stale = i == 1;
        rig.checks[1].report = check_report(state.clone(), others.clone());
        if i == 2 {
            rig.checks.clear();
        }
        if i == 3 {
            rig.signed.clear();
        }
        input.rigs.push(rig);
    }
}

/// So many calls over the operation, an order and what it got in turn.
pub fn calls(n: usize) -> ReportInput {
    let mut input = operation();
    let mut log = Log { rows: std::mem::take(&mut input.log) };
    let mut t = at(14, 50, 0);
    while log.rows.len() < n {
        t += 25_000;
        let said = ["lower slow", "match rope one, then equal", "hold", "slack on rope two, one metre"];
        let never = log.rows.len().is_multiple_of(7);
        let two = if never { None } else { Some(2.6) };
        log.order(
            t,
            said[log.rows.len() % 4],
            &[("rope one operator", Some(1.9)), ("rope two operator", two)],
        );
        log.add(
            t + 9_000,
            "report",
            "litter attendant",
            &["control"],
            "clear of the lip, both ropes on rollers",
        );
    }
    input.record.last_ms = t + 10_000;
    input.operation.closed_ms = Some(t + 10_000);
    input.log = log.rows;
    input
}
