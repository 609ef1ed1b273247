//! The use of each rope and device, from operation to operation.

use super::Read;
use crate::wire::GearUse;
use operation::Payload;
use operation::review::measures::MovingSpell;
use operation::review::quarantined;
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
fn metres(r: &Read, rig: &str) -> f64 {
    let used = |at: i64| {
        let changes = &r.measured.rig.value.changes;
        let place = changes.partition_point(|c| c.at_ms <= at);
        place.checked_sub(1).and_then(|i| changes.get(i)).is_some_and(|c| c.rig == rig)
    };
    let speeds = r.measured.speeds.value.iter().filter(|s| used(s.from_ms));
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

/// Each rope and device that carried a load in movement, and whatever is in quarantine; what is to be inspected first.
pub(super) fn gear(all: &[Read]) -> Vec<GearUse> {
    let mut list: Vec<GearUse> = vec![];
    for r in all.iter().rev() {
        let moving = &r.measured.rig.value.moving;
        for (name, of) in &r.state.rigs {
            let spells: Vec<&MovingSpell> = moving.iter().filter(|s| s.rig.as_ref() == Some(name)).collect();
            if spells.is_empty() {
                continue;
            }
            let run = metres(r, name);
            for piece in pieces(&of.rig) {
                let short = spells.iter().find(|s| beyond(&r.state, s, &piece.id));
                let lost = losses(&r.state, &piece);
                let g = row(&mut list, piece.what, &piece.label);
                // Two rigs of one operation are one use of the rope.
                if g.last != r.when() {
                    g.operations += 1;
                }
                g.last = r.when();
                g.metres += run;
                g.losses += lost;
                if let Some(s) = short {
                    g.beyond += 1;
                    g.inspect.push(format!(
                        "{}, {}: carried the load while check {} said that its margin fell short",
                        r.when(),
                        r.name(),
                        s.check_seq.unwrap_or(0)
                    ));
                }
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
        for q in quarantined(&r.state) {
            let known = list.iter().position(|g| g.gear.eq_ignore_ascii_case(q.gear.trim()));
            let g = match known {
                Some(place) => &mut list[place],
                None => row(list, "gear", &q.gear),
            };
            g.quarantined = true;
            g.inspect.push(format!("{}, {}: out of use by {}: {}", r.when(), r.name(), q.person, q.reason));
        }
    }
}
