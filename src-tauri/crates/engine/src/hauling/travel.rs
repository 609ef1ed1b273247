//! How a haul travels, by virtual work: for each metre of load, how far each pulley that moves travels, how much rope comes
//! in, and how far the load rises until two things meet. Lengths alone count here, no force: so that it stands beside what
//! the traced tensions say of the same layout.

use crate::statics::Scene;
use crate::support::Model;
use rig::model::{Part, PartKind, Rope};

type Way = (f64, f64);

/// How a haul travels for a metre of load.
#[derive(Clone, Debug, PartialEq)]
pub struct Travel {
    /// Rope hauled in for a metre of load, m.
    pub rope: f64,
    /// How far the load rises until two things meet, m, and the points where that is.
    pub throw: Option<(f64, [usize; 2])>,
    /// How far what travels with the load can travel, m, whatever else meets before.
    pub room: Option<f64>,
}

/// A hitch that travels with the rope it grips, with the pulley that pulls it.
struct Mover {
    /// Where it grips, and where its pulley sits.
    points: [usize; 2],
    way: Way,
}

/// How the team's rope (by its place in the scene) and all that hangs on it travel.
///
/// # Errors
/// In words: what of the layout does not say how it travels.
pub fn travel(model: &Model<'_>, scene: &Scene, team: usize) -> Result<Travel, String> {
    let line = scene.ropes[team].line;
    let ropes: Vec<&Rope> = scene
        .ropes
        .iter()
        .filter(|run| run.line == line)
        .filter_map(|run| model.rig.rope(&model.rig.parts[run.part].id))
        .collect();
    let movers = movers(model, scene, &ropes)?;
    let loaded =
        ropes.iter().find(|r| starts_at_load(model, r)).ok_or("no rope of the haul ends at the load")?;
    let speeds = speeds(model, scene, &ropes, loaded, &movers)?;
    let speed = |point: usize| -> Way {
        let own = movers.iter().zip(&speeds).find(|(m, _)| m.points.contains(&point));
        own.map_or((0.0, 0.0), |(m, s)| (m.way.0 * s, m.way.1 * s))
    };
    let hauled =
        model.rig.rope(&model.rig.parts[scene.ropes[team].part].id).ok_or("the haul rope is no rope")?;
    let last = grips(scene, hauled, &movers).last().map_or(0, |(place, _)| *place);
    let stretches = stretches(model, scene, hauled)?;
    let taken_up = |from: usize| stretches[from..].iter().map(|s| -s.grows(&speed)).sum::<f64>();
    // A rope that nothing travelling grips is hauled from its first end: its own end at the load, or one that is made fast.
    let own_end = if starts_at_load(model, hauled) && last == 0 { 1.0 } else { 0.0 };
    let rope = own_end + taken_up(last);
    let mut closing: Vec<(f64, f64, [usize; 2])> = Vec::new();
    // The haulers walk with the end they hold.
    let haulers = hauled.path.last().and_then(|id| scene.point(id));
    for rope in &ropes {
        let first = grips(scene, rope, &movers).first().map_or(0, |(place, _)| *place);
        let first = if starts_at_load(model, rope) { first } else { 0 };
        for stretch in self::stretches(model, scene, rope)?.iter().skip(first) {
            let closes = -stretch.grows(&speed);
            if closes > 1e-9 && Some(stretch.to) != haulers {
                closing.push((stretch.length / closes, closes, [stretch.from, stretch.to]));
            }
        }
    }
    let soonest = |list: &mut dyn Iterator<Item = &(f64, f64, [usize; 2])>| {
        list.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(load, _, which)| (*load, *which))
    };
    Ok(Travel {
        rope,
        throw: soonest(&mut closing.iter()),
        room: soonest(&mut closing.iter().filter(|(_, closes, _)| *closes < 1.5)).map(|(load, _)| load),
    })
}

fn starts_at_load(model: &Model<'_>, rope: &Rope) -> bool {
    rope.path.first().is_some_and(|first| model.rig.load.points.contains(first))
}

/// Haul hitches that are there on these ropes, each with the way it is pulled.
fn movers(model: &Model<'_>, scene: &Scene, ropes: &[&Rope]) -> Result<Vec<Mover>, String> {
    let on_rope = |p: &Part| p.at.first().is_some_and(|at| ropes.iter().any(|r| r.path.contains(at)));
    let parts = model
        .rig
        .parts
        .iter()
        .enumerate()
        .filter(|(i, p)| p.kind == PartKind::HaulHitch && !model.absent[*i] && on_rope(p));
    parts
        .map(|(_, hitch)| {
            let [grip, pulley] = hitch.at.as_slice() else {
                return Err(format!("{} ties no pulley", hitch.label));
            };
            let (Some(a), Some(b)) = (scene.point(grip), scene.point(pulley)) else {
                return Err(format!("{} is nowhere", hitch.label));
            };
            let way = direction(model, a, b).ok_or_else(|| format!("{} has no length", hitch.label))?.0;
            Ok(Mover { points: [a, b], way })
        })
        .collect()
}

/// Where hitches grip a rope: place in its path, and which mover.
fn grips(scene: &Scene, rope: &Rope, movers: &[Mover]) -> Vec<(usize, usize)> {
    let at = |id: &String| scene.point(id).and_then(|point| movers.iter().position(|m| m.points[0] == point));
    rope.path.iter().enumerate().filter_map(|(place, id)| at(id).map(|mover| (place, mover))).collect()
}

/// Speed of each mover, for a metre of load: rope between two places that hold it keeps its length.
fn speeds(
    model: &Model<'_>,
    scene: &Scene,
    ropes: &[&Rope],
    loaded: &Rope,
    movers: &[Mover],
) -> Result<Vec<f64>, String> {
    let mut rows: Vec<Vec<f64>> = Vec::new();
    let unknown = || vec![0.0; movers.len() + 1];
    if let Some((_, first)) = grips(scene, loaded, movers).first() {
        let mut row = unknown();
        (row[*first], row[movers.len()]) = (1.0, 1.0);
        rows.push(row);
    }
    for rope in ropes {
        let mut held: Vec<usize> = grips(scene, rope, movers).iter().map(|(place, _)| *place).collect();
        if !starts_at_load(model, rope) {
            held.insert(0, 0);
        }
        let all = stretches(model, scene, rope)?;
        for ends in held.windows(2).filter(|ends| ends[0] < ends[1]) {
            let mut row = unknown();
            for stretch in &all[ends[0]..ends[1]] {
                for (mover, own) in movers.iter().enumerate() {
                    row[mover] +=
                        stretch.grows(&|p| if own.points.contains(&p) { own.way } else { (0.0, 0.0) });
                }
            }
            rows.push(row);
        }
    }
    solve(rows, movers.len()).ok_or_else(|| "the layout does not say how its pulleys travel".into())
}

/// A stretch of rope between two points of its path.
struct Stretch {
    from: usize,
    to: usize,
    length: f64,
    way: Way,
}

impl Stretch {
    /// How fast it grows when its ends travel so.
    fn grows(&self, speed: &dyn Fn(usize) -> Way) -> f64 {
        let (a, b) = (speed(self.from), speed(self.to));
        (b.0 - a.0) * self.way.0 + (b.1 - a.1) * self.way.1
    }
}

fn stretches(model: &Model<'_>, scene: &Scene, rope: &Rope) -> Result<Vec<Stretch>, String> {
    rope.path
        .windows(2)
        .map(|ends| {
            let place = |id: &String| {
                scene.point(id).ok_or_else(|| format!("{} runs over no point “{id}”", rope.label))
            };
            let (from, to) = (place(&ends[0])?, place(&ends[1])?);
            // Two points in one place: nothing between them grows, as far as can be said.
            let (way, length) = direction(model, from, to).unwrap_or(((0.0, 0.0), 0.0));
            Ok(Stretch { from, to, length, way })
        })
        .collect()
}

fn direction(model: &Model<'_>, from: usize, to: usize) -> Option<(Way, f64)> {
    let (a, b) = (&model.rig.points[from], &model.rig.points[to]);
    let (dx, dy) = (b.x.to_metres() - a.x.to_metres(), b.y.to_metres() - a.y.to_metres());
    let length = libm::hypot(dx, dy);
    (length > 1e-9).then(|| ((dx / length, dy / length), length))
}

/// Solves `rows` (coefficients, then the right side); `None` when they do not say each unknown, or contradict.
fn solve(mut rows: Vec<Vec<f64>>, unknowns: usize) -> Option<Vec<f64>> {
    for n in 0..unknowns {
        let best = (n..rows.len()).max_by(|a, b| rows[*a][n].abs().total_cmp(&rows[*b][n].abs()))?;
        if rows[best][n].abs() < 1e-9 {
            return None;
        }
        rows.swap(n, best);
        let pivot = rows[n].clone();
        for (_, row) in rows.iter_mut().enumerate().filter(|(i, _)| *i != n) {
            let share = row[n] / pivot[n];
            row.iter_mut().zip(&pivot).for_each(|(cell, own)| *cell -= share * own);
        }
    }
    let agrees = rows[unknowns..].iter().all(|row| row[unknowns].abs() < 1e-6);
    agrees.then(|| (0..unknowns).map(|n| rows[n][unknowns] / rows[n][n]).collect())
}
