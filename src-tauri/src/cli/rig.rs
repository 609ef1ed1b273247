//! `ledgebook rig templates | catalogue | make | check | loss`.

use super::args::RigCommand;
use super::{Done, print};
use serde_json::json;
use service::findings::{
    CheckReport, FallFinding, FallOutcome, FallParameter, LossFinding, LossVerdict, StateFindings,
    SystemFall, Verdict,
};
use service::rigs::{self, Checked};
use service::wire::Trouble;
use std::collections::BTreeMap;

/// Runs one of the rig commands.
pub fn run(command: RigCommand, json: bool) -> Done {
    match command {
        RigCommand::Templates => templates(json),
        RigCommand::Catalogue => catalogue(json),
        RigCommand::Make { template, set } => {
            print::out(&rigs::made(&template, &pairs(&set)?)?)?;
            Ok(0)
        }
        RigCommand::Check { rig, state, guidelines } => {
            let checked = rigs::check_file(&rig, state.as_deref(), guidelines.as_deref())?;
            if json {
                print::json(&checked.report)?;
            } else {
                print::out(&check_words(&checked))?;
            }
            Ok(exit_of(&checked.report))
        }
        RigCommand::Loss { rig, lose, state, guidelines } => {
            let checked = rigs::check_file(&rig, state.as_deref(), guidelines.as_deref())?;
            loss(&checked, &lose, json)
        }
    }
}

/// `name=value` pairs.
fn pairs(set: &[String]) -> Result<BTreeMap<String, String>, Trouble> {
    let mut pairs = BTreeMap::new();
    for pair in set {
        let Some((name, value)) = pair.split_once('=') else {
            return Err(Trouble::new(
                "bad_argument",
                format!("“{pair}” sets nothing"),
                "--set",
                "write --set load=250kg",
            ));
        };
        if pairs.insert(name.trim().to_string(), value.trim().to_string()).is_some() {
            return Err(Trouble::new(
                "bad_argument",
                format!("“{}” is set twice", name.trim()),
                "--set",
                "set it once",
            ));
        }
    }
    Ok(pairs)
}

fn templates(json: bool) -> Done {
    let templates = rigs::templates();
    if json {
        print::json(&json!({ "templates": templates }))?;
        return Ok(0);
    }
    let mut text = String::new();
    for template in &templates {
        text.push_str(&format!("{}\n  {}. {}\n", template.name, template.title, template.about));
        let rows: Vec<Vec<String>> = template
            .parameters
            .iter()
            .map(|p| {
                let range = if p.choices.is_empty() {
                    format!("{} to {}", p.low, p.high)
                } else {
                    p.choices.join(" | ")
                };
                let default = if p.default.is_empty() { "unset".into() } else { p.default.clone() };
                vec![format!("  {}", p.name), default, range, p.label.clone()]
            })
            .collect();
        text.push_str(&print::table(&["  set", "default", "range", "what"], &rows, &[]));
        text.push('\n');
    }
    print::out(&text)?;
    Ok(0)
}

fn catalogue(json: bool) -> Done {
    let catalogue = service::catalogue::whole();
    if json {
        print::json(&catalogue)?;
        return Ok(0);
    }
    let mut text = format!("catalogue {}\n", catalogue.version);
    for (heading, rows) in catalogue.rows() {
        let rows: Vec<Vec<String>> = rows.into_iter().map(Vec::from).collect();
        text.push_str(&format!("\n{}", print::table(&[&heading, "", "source", "standing"], &rows, &[])));
    }
    print::out(&format!("{text}\n{}\n", service::findings::CAUTION))?;
    Ok(0)
}

/// 1 when something falls short or is critical in any state, 3 when something is not checked, else 0.
fn exit_of(report: &CheckReport) -> u8 {
    let states = || std::iter::once(&report.main).chain(&report.other_states);
    let has = |s: &StateFindings, verdict: Verdict| {
        s.parts.iter().any(|p| p.verdict == verdict)
            || s.checks.iter().any(|c| c.verdict == verdict)
            || s.hands_off.verdict == verdict
    };
    if report.verdict == Verdict::FallsShort
        || states().any(|s| has(s, Verdict::FallsShort) || !s.critical_parts.is_empty())
    {
        return 1;
    }
    let unknown = states().any(|s| has(s, Verdict::NotChecked) || !s.unknown_parts.is_empty());
    if report.verdict == Verdict::NotChecked || unknown { 3 } else { 0 }
}

fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::FallsShort => "FALLS SHORT",
        Verdict::NotChecked => "not checked",
        Verdict::Holds => "holds",
    }
}

fn loss_word(verdict: LossVerdict) -> &'static str {
    match verdict {
        LossVerdict::Dropped => "DROPPED",
        LossVerdict::Overloaded => "OVERLOADED",
        LossVerdict::NotChecked => "not checked",
        LossVerdict::HeldIfActs => "held only if",
        LossVerdict::Moves => "moves",
        LossVerdict::Held => "held",
    }
}

fn check_words(checked: &Checked) -> String {
    let report = &checked.report;
    let mut text = format!("{}: {}\n", checked.title, service::words::check(report));
    for state in std::iter::once(&report.main).chain(&report.other_states) {
        text.push_str(&format!("\nState: {}\n", state.state.replace('_', " ")));
        text.push_str(&state_words(state));
    }
    text.push_str("\nRests on\n");
    for assumption in &report.assumptions {
        text.push_str(&format!("  {assumption}\n"));
    }
    text.push_str(&format!("\n{}\n", report.caution));
    text
}

fn state_words(state: &StateFindings) -> String {
    let number = |n: Option<f64>, digits: usize| n.map_or_else(|| "–".to_string(), |n| floor(n, digits));
    let mut parts: Vec<_> = state.parts.iter().collect();
    // As the table shows them, so that what rounding leaves of a sum orders nothing.
    let shown = |margin: Option<f64>| margin.map_or(0.0, |margin| (margin * 10.0).floor());
    parts.sort_by(|a, b| a.verdict.cmp(&b.verdict).then(shown(a.margin).total_cmp(&shown(b.margin))));
    let rows: Vec<Vec<String>> = parts
        .iter()
        .map(|p| {
            let force = p
                .force_kn
                .map_or_else(|| "–".into(), |f| format!("{:.2} – {:.2} – {:.2}", f.low, f.nominal, f.high));
            vec![
                word(p.verdict).into(),
                p.label.clone(),
                force,
                number(p.strength_kn, 1),
                number(p.margin, 1),
                number(p.required, 1),
                p.words.clone(),
            ]
        })
        .collect();
    let head = ["verdict", "part", "force kN", "strength kN", "margin", "required", "rests on"];
    let mut text = print::table(&head, &rows, &[2, 3, 4, 5]);
    let label = |id: &String| {
        state.parts.iter().find(|p| p.id == *id).map_or_else(|| id.clone(), |p| p.label.clone())
    };
    let named = |ids: &[String]| {
        if ids.is_empty() { "none".to_string() } else { ids.iter().map(label).collect::<Vec<_>>().join("; ") }
    };
    text.push_str(&format!("\nCritical parts: {}\n", named(&state.critical_parts)));
    text.push_str(&format!("Losses not checked: {}\n", named(&state.unknown_parts)));
    text.push_str(&format!("Always critical: {}\n", named(&state.always_critical)));
    let pairs: Vec<String> =
        state.critical_pairs.iter().map(|[a, b]| format!("{} with {}", label(a), label(b))).collect();
    text.push_str(&format!(
        "Critical pairs: {}\n",
        if pairs.is_empty() {
            "none by support; forces of pairs are not solved".into()
        } else {
            pairs.join("; ")
        }
    ));
    text.push_str(&format!("Hands off: {}, {}\n\n", word(state.hands_off.verdict), state.hands_off.words));
    text.push_str(&losses_words(&state.losses));
    let mut rules: Vec<_> = state.checks.iter().collect();
    rules.sort_by_key(|rule| rule.verdict);
    let rows: Vec<Vec<String>> =
        rules.iter().map(|r| vec![word(r.verdict).into(), r.rule.clone(), r.found.clone()]).collect();
    text.push('\n');
    text.push_str(&print::table(&["verdict", "rule", "found"], &rows, &[]));
    text
}

fn losses_words(losses: &[LossFinding]) -> String {
    let mut losses: Vec<_> = losses.iter().collect();
    losses.sort_by_key(|loss| loss.verdict);
    let rows: Vec<Vec<String>> = losses
        .iter()
        .map(|l| {
            let weakest = l
                .weakest
                .as_ref()
                .map_or_else(|| "–".into(), |w| format!("{} {}", w.label, floor(w.margin, 1)));
            let moves = if l.moves { "yes" } else { "no" };
            vec![loss_word(l.verdict).into(), l.label.clone(), moves.into(), weakest, l.words.clone()]
        })
        .collect();
    print::table(&["verdict", "lost", "moves", "weakest survivor", "what becomes of the load"], &rows, &[])
}

/// Rounded down: a margin is never made better than it is.
fn floor(value: f64, digits: usize) -> String {
    let scale = 10f64.powi(i32::try_from(digits).unwrap_or(0));
    format!("{:.digits$}", (value * scale + 1e-9).floor() / scale)
}

fn loss(checked: &Checked, lose: &[String], json: bool) -> Done {
    let state = &checked.report.main;
    let (losses, falls): (Vec<LossFinding>, Vec<FallFinding>) = if lose.is_empty() {
        (state.losses.clone(), state.falls.clone())
    } else {
        let each = lose.iter().enumerate().map(|(n, id)| {
            checked.lose(id).map(|(loss, fall)| (LossFinding { fall: Some(n), ..loss }, fall))
        });
        each.collect::<Result<Vec<_>, _>>()?.into_iter().unzip()
    };
    // The one that was asked for, or the deepest.
    let first = falls.iter().reduce(|a, b| if deep(b) > deep(a) { b } else { a });
    if json {
        print::json(&json!({
            "losses": losses, "falls": falls,
            "fall_m": first.and_then(|f| f.fall_m), "peak_force_kN": first.and_then(|f| f.peak_force_kn),
            "never_stops": first.and_then(|f| f.never_stops), "free_length_m": first.and_then(|f| f.free_length_m),
            "parameters": first.map(|f| &f.parameters), "runs": first.map(|f| f.runs), "seed": first.map(|f| f.seed),
            "systems": checked.beside(),
            "assumptions": checked.report.assumptions, "caution": checked.report.caution,
        }))?;
    } else {
        let beside = beside_words(&checked.beside());
        let text =
            format!("{}\n{}{beside}{}\n", losses_words(&losses), falls_words(&falls), checked.report.caution);
        print::out(&text)?;
    }
    let worst = losses.iter().map(|l| l.verdict).min();
    let hits = |f: &FallFinding| f.reaches.is_some_and(|reaches| reaches > 0.0);
    Ok(match worst {
        Some(LossVerdict::Dropped | LossVerdict::Overloaded) => 1,
        _ if falls.iter().any(hits) => 1,
        Some(LossVerdict::NotChecked) => 3,
        _ if falls.iter().any(|f| f.outcome == FallOutcome::NotComputed) => 3,
        _ => 0,
    })
}

/// How far nine of ten runs drop, m; where nothing stops them, farther than any; -1 where no band is reckoned.
fn deep(fall: &FallFinding) -> f64 {
    fall.fall_m.map_or(-1.0, |fall| fall.p90.unwrap_or(f64::INFINITY))
}

/// Each fall with what it is the fall of, and what moves it most.
fn falls_words(falls: &[FallFinding]) -> String {
    let mut text = String::from("How far it drops\n");
    for fall in falls {
        text.push_str(&format!("  {}\n    {}\n", fall.of.join("; "), fall.words));
        if !fall.swing.is_empty() {
            text.push_str(&format!("    {}\n", fall.swing));
        }
        if let Some(words) = fall.reaches_words(&|m| format!("{m:.1} m")) {
            text.push_str(&format!("    {words}\n"));
        }
        if fall.fall_m.is_some() {
            let most: Vec<String> = fall.parameters.iter().take(3).map(moved).collect();
            let assumed = fall.parameters.iter().filter(|p| p.assumed).count();
            text.push_str(&format!(
                "    moved most by {}; {assumed} of its {} ranges are assumptions; {} runs\n",
                most.join(", "),
                fall.parameters.len(),
                fall.runs
            ));
        }
    }
    text
}

/// The same site and load on other systems.
fn beside_words(systems: &[SystemFall]) -> String {
    if systems.is_empty() {
        return String::new();
    }
    let metres = |m: Option<f64>| m.map_or("does not stop".to_string(), |m| format!("{m:.2}"));
    let rows = systems.iter().map(|s| {
        let f = s.fall_m;
        let note = if s.note.is_empty() { String::new() } else { format!(" ({})", s.note) };
        format!("  {}: {} – {} – {} m{note}\n", s.label, metres(f.p10), metres(f.p50), metres(f.p90))
    });
    format!("This site and load on other systems, a loaded rope lost\n{}", rows.collect::<String>())
}

/// "reaction of rope two operator (0.3 to 1 s: 1.15 to 1.70 m)".
fn moved(parameter: &FallParameter) -> String {
    let metres = |m: Option<f64>| m.map_or("does not stop".to_string(), |m| format!("{m:.2} m"));
    let [low, high] = parameter.moves_m;
    let unit = if parameter.unit.is_empty() { String::new() } else { format!(" {}", parameter.unit) };
    format!(
        "{} ({} to {}{unit}: {} to {})",
        parameter.label,
        parameter.low,
        parameter.high,
        metres(low),
        metres(high)
    )
}

#[cfg(test)]
mod tests {
    use super::floor;

    #[test]
    fn no_margin_is_rounded_up() {
        assert_eq!(floor(9.99, 1), "9.9");
        assert_eq!(floor(10.0, 1), "10.0");
        assert_eq!(floor(0.96, 1), "0.9");
    }
}
