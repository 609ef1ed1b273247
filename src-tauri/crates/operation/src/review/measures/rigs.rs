//! The rig: how it changed, what was checked and signed, and what of that stood at each moment of movement.

use super::{Measured, seconds};
use crate::event::Payload;
use crate::motion::Motion;
use crate::state::{CheckState, RigState, State, standing_of};
use rig::findings::Verdict;
use rig::model::Rig;
use serde::Serialize;
use ts_rs::TS;

/// A change of the rig the team is on, or of its state.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct RigChange {
    /// Entry number.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// Name of the rig.
    pub rig: String,
    /// `entered`, `changed` (a rig of this name was there) or `used` (the team went to another rig or state).
    pub what: String,
    /// Id of the state the team is on then.
    pub state: String,
    /// What the load was doing.
    pub motion: String,
}

/// A check that was made.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct CheckMade {
    /// Entry number.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// Name of the rig.
    pub rig: String,
    /// Its worst verdict, as stored.
    pub verdict: Verdict,
    /// Critical parts it named in the state it looked at first.
    pub critical: u64,
    /// Who signed it.
    pub signed_by: Vec<String>,
    /// Findings of it that somebody accepted.
    pub accepted: u64,
}

/// What the rig had of checks, worst first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, TS)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// No rig was entered.
    #[default]
    NoRig,
    /// Never checked.
    NeverChecked,
    /// Changed since its last check.
    Changed,
    /// The check found what falls short or is critical in this state, and nobody accepted it.
    FallsShort,
    /// Nothing is known to fall short, and something reads not checked in this state.
    NotChecked,
    /// What falls short was accepted by a person with a reason, all else holds.
    Accepted,
    /// All that was checked in this state holds.
    Holds,
}

impl Standing {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Standing::NoRig => "no rig entered",
            Standing::NeverChecked => "never checked",
            Standing::Changed => "changed since the check",
            Standing::FallsShort => "falls short",
            Standing::NotChecked => "not checked in part",
            Standing::Accepted => "falls short, accepted",
            Standing::Holds => "holds",
        }
    }
}

/// A stretch of movement over which rig, check and signatures stayed what they were.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct MovingSpell {
    /// From.
    pub from_ms: i64,
    /// To.
    pub to_ms: i64,
    /// How long, s.
    pub length_s: f64,
    /// `lowering` or `raising`.
    pub motion: String,
    /// Name of the rig in use; `None`: none was entered.
    pub rig: Option<String>,
    /// Id of its state.
    pub state: Option<String>,
    /// Entry of its last check.
    pub check_seq: Option<u64>,
    /// What that says of the state.
    pub standing: Standing,
    /// Findings that fall short or are critical, and nobody accepted.
    pub short: u64,
    /// Findings that fall short and somebody accepted.
    pub accepted: u64,
    /// Findings that read not checked.
    pub not_checked: u64,
    /// Who signed that check, if the rig is still what was checked: role and person.
    pub signed: Vec<(String, String)>,
}

/// One minute of the operation in which the load moved.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct MovingMinute {
    /// Minute of the operation, from 0.
    pub minute: i64,
    /// When it begins.
    pub at_ms: i64,
    /// How much of it the load moved, s.
    pub moving_s: f64,
    /// The worst that stood in it.
    pub standing: Standing,
    /// Whether it moved on a signature all the time.
    pub signed: bool,
}

/// How long the load moved on what.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct StandingTime {
    /// What stood.
    pub standing: Standing,
    /// Whether it was signed.
    pub signed: bool,
    /// How long, s.
    pub length_s: f64,
}

/// The rig.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct RigMeasures {
    /// Changes, oldest first.
    pub changes: Vec<RigChange>,
    /// Checks, oldest first.
    pub checks: Vec<CheckMade>,
    /// Movement, oldest first.
    pub moving: Vec<MovingSpell>,
    /// The same by minute of the operation.
    pub minutes: Vec<MovingMinute>,
    /// How long the load moved on what, worst first.
    pub totals: Vec<StandingTime>,
}

/// What the team was on from a moment.
struct OnRig<'a> {
    from_ms: i64,
    name: &'a str,
    rig_seq: u64,
    rig: &'a Rig,
    state: String,
}

/// Walks through rigs entered and used, as they happened.
fn history(state: &State) -> (Vec<OnRig<'_>>, Vec<RigChange>) {
    let (mut on, mut changes) = (Vec::<OnRig>::new(), vec![]);
    let mut last: std::collections::BTreeMap<&str, (u64, &Rig, String)> = Default::default();
    for kept in state.happened().iter().filter_map(|seq| state.at(*seq)) {
        let (name, what) = match kept.now.as_deref() {
            Some(Payload::RigSet(set)) => {
                let before = last.get(set.name.as_str()).map(|b| b.2.clone());
                let what = if before.is_some() { "changed" } else { "entered" };
                let first = || set.rig.states.first().map(|s| s.id.clone()).unwrap_or_default();
                let stays = before.filter(|b| set.rig.states.iter().any(|s| s.id == *b));
                last.insert(&set.name, (kept.seq, &set.rig, stays.unwrap_or_else(first)));
                (set.name.as_str(), what)
            }
            Some(Payload::Use(u)) => {
                let Some(of) = last.get_mut(u.rig.as_str()) else { continue };
                if let Some(s) = &u.state {
                    of.2.clone_from(s);
                }
                let same = on.last().is_some_and(|o| o.name == u.rig && o.state == of.2);
                if same {
                    continue;
                }
                (u.rig.as_str(), "used")
            }
            _ => continue,
        };
        let Some((rig_seq, rig, in_state)) = last.get(name).cloned() else { continue };
        changes.push(RigChange {
            seq: kept.seq,
            at_ms: kept.happened_ms,
            rig: name.into(),
            what: what.into(),
            state: in_state.clone(),
            motion: motion_at(state, kept.happened_ms).word().into(),
        });
        on.push(OnRig { from_ms: kept.happened_ms, name, rig_seq, rig, state: in_state });
    }
    (on, changes)
}

fn motion_at(state: &State, at_ms: i64) -> Motion {
    let place = state.spans.partition_point(|s| s.from_ms <= at_ms);
    place.checked_sub(1).and_then(|i| state.spans.get(i)).map_or(Motion::AtRest, |s| s.motion)
}

/// Roles that control and the rig in use asked for, from when to when.
pub(super) fn roles_needed(state: &State, end: i64) -> Vec<(i64, i64, Vec<String>)> {
    let (on, _) = history(state);
    let roles = |rig: Option<&Rig>| {
        let mut roles = vec!["control".to_string()];
        for h in rig.iter().flat_map(|r| &r.hands) {
            if !roles.contains(&h.role) {
                roles.push(h.role.clone());
            }
        }
        roles
    };
    let first = on.first().map_or(end, |o| o.from_ms);
    let mut list = vec![(i64::MIN, first, roles(None))];
    for (i, o) in on.iter().enumerate() {
        list.push((o.from_ms, on.get(i + 1).map_or(end, |next| next.from_ms), roles(Some(o.rig))));
    }
    list
}

fn checks(state: &State) -> Vec<CheckMade> {
    let mut list: Vec<CheckMade> = state
        .rigs
        .iter()
        .flat_map(|(name, r)| r.checks.iter().map(move |c| (name, r, c)))
        .map(|(name, r, c)| CheckMade {
            seq: c.seq,
            at_ms: c.at_ms,
            rig: name.clone(),
            verdict: c.report.verdict,
            critical: c.report.main.critical_parts.len() as u64,
            signed_by: r
                .signed
                .iter()
                .filter(|s| s.check_seq == Some(c.seq))
                .map(|s| s.person.clone())
                .collect(),
            accepted: r.accepted.iter().filter(|a| a.check_seq == Some(c.seq)).count() as u64,
        })
        .collect();
    list.sort_by_key(|c| (c.at_ms, c.seq));
    list
}

/// What stood in a stretch that begins at `from_ms` and in which nothing of the rig changed.
fn spell(state: &State, on: Option<&OnRig>, motion: Motion, (from_ms, to_ms): (i64, i64)) -> MovingSpell {
    let mut s = MovingSpell {
        from_ms,
        to_ms,
        length_s: seconds(from_ms, to_ms),
        motion: motion.word().into(),
        ..MovingSpell::default()
    };
    let Some(on) = on else { return s };
    (s.rig, s.state) = (Some(on.name.into()), Some(on.state.clone()));
    let rig: Option<&RigState> = state.rigs.get(on.name);
    let made = |r: &'_ RigState| r.checks.iter().rposition(|c| c.at_ms <= from_ms);
    let check: Option<(&RigState, &CheckState)> = rig.and_then(|r| made(r).map(|i| (r, &r.checks[i])));
    let Some((rig, check)) = check else {
        s.standing = Standing::NeverChecked;
        return s;
    };
    s.check_seq = Some(check.seq);
    if check.rig_seq != on.rig_seq {
        s.standing = Standing::Changed;
        return s;
    }
    let accepted: Vec<_> = rig.accepted.iter().filter(|a| a.at_ms <= from_ms).cloned().collect();
    (s.short, s.accepted, s.not_checked) = standing_of(check, &accepted, &on.state);
    s.standing = match (s.short, s.not_checked, s.accepted) {
        (0, 0, 0) => Standing::Holds,
        (0, 0, _) => Standing::Accepted,
        (0, ..) => Standing::NotChecked,
        _ => Standing::FallsShort,
    };
    let signed = rig.signed.iter().filter(|x| x.check_seq == Some(check.seq) && x.at_ms <= from_ms);
    s.signed = signed.map(|x| (x.role.clone(), x.person.clone())).collect();
    s
}

/// Movement cut wherever the rig, its checks, signatures or acceptances changed.
fn moving(state: &State, on: &[OnRig], end: i64) -> Vec<MovingSpell> {
    let of_rigs = state.rigs.values();
    let mut cuts: Vec<i64> = on.iter().map(|o| o.from_ms).collect();
    for r in of_rigs {
        cuts.extend(r.checks.iter().map(|c| c.at_ms));
        cuts.extend(r.signed.iter().map(|c| c.at_ms));
        cuts.extend(r.accepted.iter().map(|c| c.at_ms));
    }
    cuts.sort_unstable();
    cuts.dedup();
    let mut list: Vec<MovingSpell> = vec![];
    for span in state.spans.iter().filter(|s| s.motion.moves()) {
        let to = span.to_ms.unwrap_or(end);
        let inner = cuts.iter().copied().filter(|c| *c > span.from_ms && *c < to);
        let edges: Vec<i64> = std::iter::once(span.from_ms).chain(inner).chain([to]).collect();
        for (from, to) in edges.iter().zip(edges.iter().skip(1)).filter(|(from, to)| from < to) {
            let place = on.partition_point(|o| o.from_ms <= *from).checked_sub(1);
            let one = spell(state, place.and_then(|i| on.get(i)), span.motion, (*from, *to));
            match list.last_mut().filter(|was| goes_on(was, &one)) {
                Some(was) => {
                    was.to_ms = one.to_ms;
                    was.length_s += one.length_s;
                }
                None => list.push(one),
            }
        }
    }
    list
}

/// Whether one stretch follows another and nothing differs but its time.
fn goes_on(was: &MovingSpell, one: &MovingSpell) -> bool {
    let then = MovingSpell { from_ms: one.from_ms, to_ms: one.to_ms, length_s: one.length_s, ..was.clone() };
    was.to_ms == one.from_ms && then == *one
}

/// The minutes of the operation in which the load moved.
fn minutes(moving: &[MovingSpell], start: i64) -> Vec<MovingMinute> {
    const MINUTE: i64 = 60_000;
    let mut list: Vec<MovingMinute> = vec![];
    for s in moving {
        let mut from = s.from_ms;
        while from < s.to_ms {
            let minute = (from - start).div_euclid(MINUTE);
            let to = s.to_ms.min(start + (minute + 1) * MINUTE);
            let (moving_s, signed) = (seconds(from, to), !s.signed.is_empty());
            match list.last_mut().filter(|m| m.minute == minute) {
                Some(m) => {
                    m.moving_s += moving_s;
                    m.standing = m.standing.min(s.standing);
                    m.signed &= signed;
                }
                None => list.push(MovingMinute {
                    minute,
                    at_ms: start + minute * MINUTE,
                    moving_s,
                    standing: s.standing,
                    signed,
                }),
            }
            from = to;
        }
    }
    list
}

/// Changes of the rig, checks, and what stood at each moment of movement.
pub(super) fn rig(state: &State, end: i64) -> Measured<RigMeasures> {
    let (on, changes) = history(state);
    let moving = moving(state, &on, end);
    let mut totals: Vec<StandingTime> = vec![];
    for s in &moving {
        let signed = !s.signed.is_empty();
        match totals.iter_mut().find(|t| t.standing == s.standing && t.signed == signed) {
            Some(t) => t.length_s += s.length_s,
            None => totals.push(StandingTime { standing: s.standing, signed, length_s: s.length_s }),
        }
    }
    totals.sort_by_key(|t| (t.standing, t.signed));
    Measured {
        how: "movement: while the load was lowered or raised, cut wherever rig, state, check, acceptance or signature changed; what \
              stood is the last check’s stored verdicts for the state the team was on then, acceptances and signatures of that \
              check counted from when they were made; nothing is checked anew"
            .into(),
        value: RigMeasures {
            minutes: minutes(&moving, state.facts.opened_ms),
            changes,
            checks: checks(state),
            moving,
            totals,
        },
    }
}
