//! The stretches of a rope and the tension of each: a rope that hauls changes its tension at every sheave.

use super::Sheet;
use super::layout::At;
use super::ropes::{SHEAVE, has_pulley, stretch};
use crate::list::Seg;
use ::rig::findings::PartFinding;
use ::rig::model::{Hand, HandTask, Part, PartKind, Rope};
use ::rig::quantity::BandKn;

/// A place that a rope runs over.
pub struct Stop<'a> {
    /// Id of the point.
    pub id: &'a str,
    /// Where it is drawn.
    pub at: At,
    /// Radius that the rope turns at there, mm; 0 where it does not run round anything.
    pub radius: f64,
}

/// Where a rope runs: over what is rigged in this state. A device that is not there yet does not bend it.
pub fn stops<'a>(sheet: &Sheet<'a>, rope: &'a Rope) -> Vec<Stop<'a>> {
    let here = |id: &str| {
        let mut sits = sheet.rig.parts.iter().filter(|p| p.at.first().is_some_and(|at| at == id)).peekable();
        sits.peek().is_none() || sits.any(|p| !sheet.absent.contains(p.id.as_str()))
    };
    // The way to the team is gone with the pulleys that led there.
    let hauls = |hand: &&Hand| hand.task == HandTask::Haul && hand.works.contains(&rope.id);
    let at_work = |hand: &Hand| sheet.layout.state.is_none_or(|s| s.hands.contains(&hand.id));
    let idle = sheet.rig.hands.iter().find(hauls).is_some_and(|hand| !at_work(hand));
    let gone = rope.path.iter().any(|id| !here(id));
    let last = rope.path.last().filter(|_| idle && gone);
    let radius = |id: &str| if has_pulley(sheet, id) { SHEAVE } else { 0.0 };
    let ids = rope.path.iter().filter(|id| here(id) && last != Some(id));
    ids.filter_map(|id| Some(Stop { id, at: sheet.layout.stand(id, rope.line)?, radius: radius(id) }))
        .collect()
}

/// The tension of each stretch between the stops of a rope that takes part in hauling, from the findings;
/// `None` where nobody hauls or a stretch was not traced.
pub fn hauled(sheet: &Sheet<'_>, rope: &Rope, stops: &[Stop<'_>]) -> Option<Vec<Option<BandKn>>> {
    let strands = &sheet.state.hauling.as_ref()?.strands;
    let place = |id: &str| rope.path.iter().position(|at| at == id);
    let scale = after_loss(sheet, rope)?;
    // A rope may pass a point twice: places are counted on from the last.
    let mut from = 0;
    let mut spans: Vec<(usize, usize, BandKn)> = Vec::new();
    for strand in strands.iter().filter(|s| s.rope == rope.id) {
        let next = |id: &str, past: usize| {
            rope.path.iter().enumerate().skip(past).find(|(_, at)| *at == id).map(|(i, _)| i)
        };
        let (a, b) = (next(&strand.between[0], from)?, next(&strand.between[1], from + 1)?);
        spans.push((a, b, strand.force_kn));
        from = b;
    }
    if spans.is_empty() {
        return None;
    }
    let mut at = stops.first().and_then(|s| place(s.id))?;
    let mut out = Vec::new();
    for stop in stops.iter().skip(1) {
        let to = (at + 1..rope.path.len()).find(|i| rope.path.get(*i).is_some_and(|id| id == stop.id))?;
        let found = spans.iter().find(|(a, b, _)| *a <= at && *b >= to).map(|(_, _, force)| scale(*force));
        // Past what grips it the rope lies slack.
        let slack = (at >= from).then_some(BandKn { low: 0.0, nominal: 0.0, high: 0.0 });
        out.push(found.or(slack));
        at = to;
    }
    Some(out)
}

/// What a traced tension becomes after a loss: the same system passes on the same shares of what its moving
/// pulley takes then. `None` where that is not known.
fn after_loss<'a>(sheet: &Sheet<'a>, rope: &Rope) -> Option<Box<dyn Fn(BandKn) -> BandKn + 'a>> {
    if sheet.options.lost.is_none() {
        return Some(Box::new(|force| force));
    }
    let pulley = sheet.parts().find(|p| p.kind == PartKind::Pulley && p.line == rope.line)?;
    let force = |of: Option<&PartFinding>| of.and_then(|f| f.force_kn);
    let (was, is) = (force(sheet.now.get(pulley.id.as_str()).copied())?, force(sheet.finding(&pulley.id))?);
    let share = |was: f64, is: f64| if was.abs() > 1e-9 { is / was } else { 0.0 };
    let by = [share(was.low, is.low), share(was.nominal, is.nominal), share(was.high, is.high)];
    Some(Box::new(move |f| BandKn { low: f.low * by[0], nominal: f.nominal * by[1], high: f.high * by[2] }))
}

/// What holds a rope above the edge, by its place on the rope: devices and friction hitches that are rigged, from the load on,
/// each with the force it takes.
pub fn holders<'a>(sheet: &Sheet<'a>, rope: &Rope, stops: &[Stop<'_>]) -> Vec<(usize, Option<BandKn>)> {
    let holds =
        |p: &&'a Part| matches!(p.kind, PartKind::Device | PartKind::FrictionHitch) && p.line == rope.line;
    let mut out: Vec<(usize, Option<BandKn>)> = Vec::new();
    for part in sheet.parts().filter(holds) {
        let at = stops.iter().position(|stop| part.at.first().is_some_and(|id| id == stop.id));
        out.extend(at.map(|at| (at, sheet.finding(&part.id).and_then(|f| f.force_kn))));
    }
    out.sort_by_key(|(at, _)| *at);
    out
}

/// Tension of each stretch above the edge, from the stop `from` on: all that the holders further on take. Past the last of
/// them the rope lies slack; where nothing holds it there it is the rope's own.
pub fn above(
    holders: &[(usize, Option<BandKn>)],
    from: usize,
    count: usize,
    own: Option<BandKn>,
) -> Vec<Option<BandKn>> {
    let zero = BandKn { low: 0.0, nominal: 0.0, high: 0.0 };
    let add = |a: BandKn, b: BandKn| BandKn {
        low: a.low + b.low,
        nominal: a.nominal + b.nominal,
        high: a.high + b.high,
    };
    let past = |at: usize| {
        let mut further = holders.iter().filter(|(place, _)| *place > at).map(|(_, force)| *force);
        further.try_fold(zero, |sum, force| force.map(|force| add(sum, force)))
    };
    (from..from + count).map(|at| if holders.is_empty() { own } else { past(at) }).collect()
}

/// A way cut where its tension changes; the cuts lie where the rope leaves a pulley, so that the turn
/// belongs to the stretch before it.
pub fn split(points: &[(At, f64)], forces: &[Option<BandKn>]) -> Vec<(Vec<Seg>, Option<BandKn>)> {
    let same = |a: Option<BandKn>, b: Option<BandKn>| match (a, b) {
        (Some(a), Some(b)) => (a.nominal - b.nominal).abs() < 1e-9 && (a.high - b.high).abs() < 1e-9,
        (None, None) => true,
        _ => false,
    };
    let mut out = Vec::new();
    let mut from = 0;
    for i in 0..points.len().saturating_sub(1) {
        let force = forces.get(i).copied().flatten();
        let goes_on = i + 2 < points.len() && same(force, forces.get(i + 1).copied().flatten());
        if !goes_on {
            out.push((stretch(points, from, i + 1), force));
            from = i + 1;
        }
    }
    out
}
