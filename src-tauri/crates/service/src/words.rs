//! Entries in words, for lists and tables.

use operation::{Payload, State};

/// What an entry says, in one line, with the names and roles that the operation gives what it names.
pub fn in_state(state: &State, payload: &Payload) -> String {
    let Payload::Accepted(a) = payload else { return of(payload) };
    let (what, roles) = operation::line::accepted_as(state, a);
    let role = if roles.is_empty() { String::new() } else { format!(", {},", roles.join(", ")) };
    format!("{}{role} accepts “{what}” of rig “{}”: {}", a.person, a.rig, a.reason)
}

/// What an entry says, in one line.
pub fn of(payload: &Payload) -> String {
    let with = |head: &str, text: &Option<String>| match text {
        Some(text) => format!("{head}: {text}"),
        None => head.to_string(),
    };
    match payload {
        Payload::SessionBegan(b) => operation::line::began(b),
        Payload::Salvaged(s) => operation::line::salvaged(s),
        Payload::Slept(s) => format!("the machine slept for {}", operation::state::span_words(s.ms)),
        Payload::Open(o) if o.place.trim().is_empty() => format!("operation opened: {}", o.name),
        Payload::Open(o) => format!("operation opened: {}, {}", o.name, o.place),
        Payload::Close(_) => "operation closed".into(),
        Payload::RigSet(r) => format!("rig “{}”: {}", r.name, r.rig.title),
        Payload::Use(u) => {
            with(&format!("on rig “{}”", u.rig), &u.state.as_ref().map(|s| s.replace('_', " ")))
        }
        Payload::RigChecked(c) => format!("rig “{}” checked: {}", c.rig, check(&c.report)),
        Payload::Signed(s) => {
            let covers =
                s.check_seq.map_or_else(|| "nothing was checked".to_string(), |seq| format!("check {seq}"));
            format!("{} signs rig “{}” as {} ({covers})", s.person, s.rig, s.role)
        }
        Payload::Accepted(a) => {
            format!("{} accepts “{}” of rig “{}”: {}", a.person, a.check.replace('_', " "), a.rig, a.reason)
        }
        Payload::Order(c)
        | Payload::Readback(c)
        | Payload::Answer(c)
        | Payload::Report(c)
        | Payload::Note(c)
        | Payload::Signal(c) => {
            let cause = c.cause.as_ref().map(|cause| format!(" ({cause})")).unwrap_or_default();
            format!("{}{cause}", c.text)
        }
        Payload::Corrected(c) => {
            let fields: Vec<String> =
                c.fields.iter().map(|(name, value)| format!("{name} → {}", plain(value))).collect();
            format!("corrects {}: {}", c.of_seq, fields.join(", "))
        }
        Payload::Par(p) => counted(p),
        Payload::Patient(p) => {
            let vitals = p.vitals.as_ref().map(|v| format!(" ({v})")).unwrap_or_default();
            format!("{}{vitals}", with(&p.mark.replace('_', " "), &p.text))
        }
        Payload::Benchmark(b) => with(&b.name, &b.text),
        Payload::Hazard(h) => match &h.control {
            Some(control) => format!("{} (control: {control})", h.text),
            None => h.text.clone(),
        },
        Payload::Exercise(e) if e.lose.trim().is_empty() => e.text.clone(),
        Payload::Exercise(e) => format!("lost, in words only: {}: {}", e.lose, e.text),
        Payload::CheckIn(_)
        | Payload::CheckOut(_)
        | Payload::Assign(_)
        | Payload::Relieve(_)
        | Payload::Zone(_) => of_person(payload),
        Payload::Erased(e) => {
            format!("{} erased the words of an entry by law: {}", e.person, e.reason)
        }
        Payload::Finding(_)
        | Payload::Agreed(_)
        | Payload::SetAside(_)
        | Payload::Quarantined(_)
        | Payload::ReturnedToService(_)
        | Payload::Sealed(_)
        | Payload::Lesson(_) => {
            let (person, words) = operation::review::said(payload);
            format!("{person} {words}")
        }
    }
}

fn counted(p: &operation::step::Par) -> String {
    let missing =
        if p.missing.is_empty() { String::new() } else { format!(", missing: {}", p.missing.join(", ")) };
    p.of.map_or_else(|| format!("{}{missing}", p.count), |of| format!("{} of {of}{missing}", p.count))
}

/// What an entry about a person says.
fn of_person(payload: &Payload) -> String {
    match payload {
        Payload::CheckIn(c) => {
            let agency = c.agency.as_ref().map(|a| format!(", {a}")).unwrap_or_default();
            let may = if c.qualifications.is_empty() {
                String::new()
            } else {
                format!(" ({})", c.qualifications.join(", "))
            };
            format!("{}{agency} checked in{may}", c.person)
        }
        Payload::CheckOut(c) => format!("{} checked out", c.person),
        Payload::Assign(a) => format!("{} takes the role {}", a.person, a.role),
        Payload::Relieve(a) => format!("{} leaves the role {}", a.person, a.role),
        Payload::Zone(z) => {
            let tied = match z.tied_in {
                Some(true) => ", tied in",
                Some(false) => ", not tied in",
                None => "",
            };
            let partner = z.partner.as_ref().map(|p| format!(", checked by {p}")).unwrap_or_default();
            format!("{}: {}{tied}{partner}", z.person, z.zone.words())
        }
        _ => String::new(),
    }
}

/// A check in words: its verdict and what stands out.
pub fn check(report: &rig::findings::CheckReport) -> String {
    use rig::findings::Verdict;
    let verdict = match report.verdict {
        Verdict::Holds => "holds",
        Verdict::FallsShort => "falls short",
        Verdict::NotChecked => "not everything is checked",
    };
    let count = |n: usize, one: &str, many: &str| match n {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {many}")),
    };
    let more: Vec<String> = [
        count(report.main.critical_parts.len(), "critical part", "critical parts"),
        count(report.main.unknown_parts.len(), "loss not checked", "losses not checked"),
    ]
    .into_iter()
    .flatten()
    .collect();
    if more.is_empty() { verdict.to_string() } else { format!("{verdict}; {}", more.join(", ")) }
}

fn plain(value: &serde_json::Value) -> String {
    match value {
        serde_json::Value::String(text) => format!("“{text}”"),
        serde_json::Value::Array(list) => list.iter().map(plain).collect::<Vec<_>>().join(", "),
        other => other.to_string(),
    }
}
