//! The use of each rope and device, from operation to operation.

use super::Read;
use crate::wire::GearUse;
use operation::Payload;
use operation::review::Measures;
use operation::review::measures::MovingSpell;
use operation::state::State;
use rig::findings::Verdict;
use rig::model::{PartKind, Rig};

/// A rope or a device of a rig.
struct Piece {
    what: &'static str,
    id: String,
    label: String,
}

fn pieces(rig: &Rig) -> Vec<Piece> {
    let rope = |r: &rig::model::Rope| Piece { what: "rope", id: r.id.clone(), label: r.label.clone() };
    let device = |p: &rig::model::Part| Piece { what: "device", id: p.id.clone(), label: p.label.clone() };
    let devices = rig.parts.iter().filter(|p| p.kind == PartKind::Device).map(device);
    rig.ropes.iter().map(rope).chain(devices).collect()
}

/// Whether the stored check said that a part falls short in the state the team moved it in.
fn beyond(state: &State, s: &MovingSpell, id: &str) -> bool {
    let rig = s.rig.as_ref().and_then(|name| state.rigs.get(name));
    let check = rig.and_then(|r| r.checks.iter().find(|c| Some(c.seq) == s.check_seq));
    let Some(check) = check else { return false };
    let states = std::iter::once(&check.report.main).chain(&check.report.other_states);
    let mut found = states.filter(|f| Some(&f.state) == s.state.as_ref()).flat_map(|f| &f.parts);
    found.any(|p| p.id == id && p.verdict == Verdict::FallsShort)
}

/// Metres that the load travelled while a rig was in use, by the heights that were called.
fn metres(measured: &Measures, rig: &str) -> f64 {
    let used = |at: i64| {
        let changes = &measured.rig.value.changes;
        let place = changes.partition_point(|c| c.at_ms <= at);
        place.checked_sub(1).and_then(|i| changes.get(i)).is_some_and(|c| c.rig == rig)
    };
    let speeds = measured.speeds.value.iter().filter(|s| used(s.from_ms));
    speeds.map(|s| (s.to_m - s.from_m).abs()).sum()
}

/// Losses called into a drill, in words, that name a part.
fn losses(state: &State, piece: &Piece) -> u64 {
    let named = |text: &str| {
        let text = text.trim().to_lowercase().replace('_', " ");
        text == piece.label.to_lowercase() || text == piece.id.replace('_', " ").to_lowercase()
    };
    let said = state.written().iter().filter_map(|k| k.now.as_deref());
    said.filter(|p| matches!(p, Payload::Exercise(e) if named(&e.lose))).count() as u64
}

fn row<'a>(list: &'a mut Vec<GearUse>, what: &str, label: &str) -> &'a mut GearUse {
    let same = |g: &GearUse| g.what == what && g.gear.eq_ignore_ascii_case(label.trim());
    let place = list.iter().position(same).unwrap_or_else(|| {
        list.push(GearUse { what: what.into(), gear: label.trim().into(), ..GearUse::default() });
        list.len() - 1
    });
    &mut list[place]
}

/// What one operation did to a rope or a device.
#[derive(Debug)]
pub(super) struct Used {
    what: &'static str,
    label: String,
    metres: f64,
    losses: u64,
    /// The check that said that its margin fell short, before it carried the load.
    pub(super) short: Option<u64>,
}

/// Each rope and device that carried a load in movement, rig by rig.
pub(super) fn used(state: &State, measured: &Measures) -> Vec<Used> {
    let moving = &measured.rig.value.moving;
    let mut list = vec![];
    for (name, of) in &state.rigs {
        let spells: Vec<&MovingSpell> = moving.iter().filter(|s| s.rig.as_ref() == Some(name)).collect();
        if spells.is_empty() {
            continue;
        }
        let run = metres(measured, name);
        list.extend(pieces(&of.rig).into_iter().map(|piece| {
            let short = spells.iter().find(|s| beyond(state, s, &piece.id));
            Used {
                short: short.map(|s| s.check_seq.unwrap_or(0)),
                losses: losses(state, &piece),
                what: piece.what,
                label: piece.label,
                metres: run,
            }
        }));
    }
    list
}

/// The use of each over all operations, and whatever is in quarantine; what is to be inspected first.
pub(super) fn gear(all: &[Read]) -> Vec<GearUse> {
    let mut list: Vec<GearUse> = vec![];
    for r in all.iter().rev() {
        let (when, name) = (&r.operation.when, &r.operation.name);
        for used in &r.used {
            let g = row(&mut list, used.what, &used.label);
            // Two rigs of one operation are one use of the rope.
            if g.last != *when {
                g.operations += 1;
            }
            g.last.clone_from(when);
            g.metres += used.metres;
            g.losses += used.losses;
            if let Some(check) = used.short {
                g.beyond += 1;
                g.inspect.push(format!(
                    "{when}, {name}: carried the load while check {check} said that its margin fell short"
                ));
            }
        }
    }
    out_of_use(all, &mut list);
    list.sort_by(|a, b| {
        let worst = b.quarantined.cmp(&a.quarantined).then(b.inspect.len().cmp(&a.inspect.len()));
        worst.then(b.metres.total_cmp(&a.metres)).then_with(|| a.gear.cmp(&b.gear))
    });
    list
}

/// What was taken out of use in any operation and has not come back in that one.
fn out_of_use(all: &[Read], list: &mut Vec<GearUse>) {
    for r in all.iter().rev() {
        let (when, name) = (&r.operation.when, &r.operation.name);
        for q in &r.out_of_use {
            let known = list.iter().position(|g| g.gear.eq_ignore_ascii_case(q.gear.trim()));
            let g = match known {
                Some(place) => &mut list[place],
                None => row(list, "gear", &q.gear),
            };
            g.quarantined = true;
            g.inspect.push(format!("{when}, {name}: out of use by {}: {}", q.person, q.reason));
        }
    }
}
