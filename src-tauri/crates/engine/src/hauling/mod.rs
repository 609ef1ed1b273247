//! Hauling: tension traced through the rope from the load to the haulers, how the load travels meanwhile, and what a whole
//! team does to a load that is jammed.

mod beside;
mod travel;

pub use travel::{Travel, travel};

use crate::case::Case;
use crate::statics::{self, HaulForce, Scene, kn};
use crate::support::Model;
use beside::Ground;
use rig::findings::{HaulTravel, Hauling, Jammed, PartFinding, PulleyUsed, Strand};
use rig::guidelines::Guidelines;
use rig::model::{Hand, HandTask, Line, Part, PartKind, Sliding};

/// People that a force takes at this pull a person, N.
fn people(force: f64, person: f64) -> u32 {
    // Saturates far over any team.
    libm::ceil(force / person - 1e-9) as u32
}

/// The team at work that hauls, in a state in which the load is raised.
fn team<'a>(model: &Model<'a>) -> Option<&'a Hand> {
    if model.state.motion != Sliding::Raising {
        return None;
    }
    model.rig.hands.iter().find(|h| h.task == HandTask::Haul && model.state.hands.contains(&h.id))
}

/// What hauling takes and does in this state; `None` when nobody hauls.
///
/// `parts` are the findings of the same state: strengths come from there.
///
/// # Errors
/// In words: why it could not be traced.
pub fn hauling(
    model: &Model<'_>,
    guidelines: &Guidelines,
    intact: &Case,
    parts: &[PartFinding],
) -> Option<Result<Hauling, String>> {
    let team = team(model)?;
    Some(traced(model, guidelines, intact, parts, team))
}

fn traced(
    model: &Model<'_>,
    guidelines: &Guidelines,
    intact: &Case,
    parts: &[PartFinding],
    team: &Hand,
) -> Result<Hauling, String> {
    let scene = intact.scene.as_ref().map_err(Clone::clone)?;
    let forces = intact.forces.as_ref().map_err(Clone::clone)?;
    let works = |part: usize| team.works.contains(&model.rig.parts[part].id);
    let rope = scene.ropes.iter().position(|r| r.ends_at.is_none() && works(r.part));
    let rope = rope.ok_or_else(|| format!("{} works no rope that carries", team.role))?;
    let force = statics::haul(model, scene, rope, Sliding::Raising)?;
    let line = scene.ropes[rope].line;
    let person = guidelines.pull_per_person_kn.value * 1000.0;
    let full = f64::from(team.people) * person;
    // Whatever stops the haul, no part bears less than while it ran: a jam never reads better than hauling.
    let jammed = statics::jammed(model, &intact.outcome, scene, rope, full).ok().map(|found| {
        let worse = |(jam, now): (&[f64; 3], &[f64; 3])| [jam[0], jam[1].max(now[1]), jam[2].max(now[2])];
        found.iter().zip(&forces.parts).map(worse).collect::<Vec<_>>()
    });
    let under = |part: usize| {
        let jam = jammed
            .as_ref()
            .map(|found| if of_load(model, part) { caught(model, found) } else { found[part] });
        let strength = parts.get(part).and_then(|finding| finding.strength_kn);
        Jammed {
            id: model.rig.parts[part].id.clone(),
            label: model.rig.parts[part].label.clone(),
            hauling_kn: kn(&forces.parts[part]),
            jammed_kn: jam.map(|f| kn(&f)),
            margin: jam.and_then(|f| Some(strength? / (f[2] / 1000.0))),
        }
    };
    let bears = |part: usize| jammed.as_ref().is_some_and(|found| found[part][2] > 1e-6);
    // How the load is caught is unknown: what bears a body alone is not counted.
    let counted = |part: usize| !model.rig.parts[part].always_critical || of_load(model, part);
    let efficiencies = efficiencies(model, line);
    let travel = travel::travel(model, scene, rope);
    let loaded =
        scene.ropes.iter().find(|r| r.from_load && r.line == line).ok_or("no rope hauls the load")?;
    let load = forces.parts[loaded.part];
    Ok(Hauling {
        theoretical: force.theoretical,
        practical: force.practical,
        pulleys: pulleys(model, line),
        haul_kn: kn(&[force.low, force.nominal, force.high]),
        without_edge_kn: force.without_edge / 1000.0,
        people: team.people,
        needed: [people(force.nominal, person), people(force.high, person)],
        pull_per_person_kn: guidelines.pull_per_person_kn.value,
        travel: travel.as_ref().ok().and_then(|t| told(model, t, force.theoretical)),
        strands: strands(model, scene, &force, line),
        anchors: (0..model.parts())
            .filter(|p| model.rig.parts[*p].kind == PartKind::Anchor)
            .map(under)
            .collect(),
        jammed: (0..model.parts()).filter(|p| bears(*p) && counted(*p)).map(under).collect(),
        full_haul_kn: full / 1000.0,
        beside: beside::beside(&Ground {
            load: [load[1], load[2]],
            efficiency: efficiencies,
            person,
            team: full,
            height: model.rig.edge.height.to_metres(),
            room: travel.ok().and_then(|t| t.room),
        }),
    })
}

/// What bridle and litter bear when they are what is caught: all that the end knots pass on together.
fn caught(model: &Model<'_>, jammed: &[[f64; 3]]) -> [f64; 3] {
    let knots = model.rig.parts.iter().zip(jammed).filter(|(p, _)| p.kind == PartKind::EndKnot);
    knots.fold([0.0; 3], |sum, (_, f)| [sum[0] + f[0], sum[1] + f[1], sum[2] + f[2]])
}

/// Bridle and litter pass the rope's pull on to whatever holds the load fast.
fn of_load(model: &Model<'_>, part: usize) -> bool {
    matches!(model.rig.parts[part].kind, PartKind::Bridle | PartKind::Litter)
}

/// Pulleys that the hauled ropes of a line may run over.
fn on_line<'m>(model: &'m Model<'_>, line: Line) -> impl Iterator<Item = &'m Part> {
    let there = model.rig.parts.iter().enumerate().filter(|(i, _)| !model.absent[*i]).map(|(_, p)| p);
    there.filter(move |p| p.kind == PartKind::Pulley && (p.line == line || p.line == Line::Shared))
}

fn pulleys(model: &Model<'_>, line: Line) -> Vec<PulleyUsed> {
    let used = |p: &Part| {
        p.efficiency.as_ref().map(|e| PulleyUsed { id: p.id.clone(), efficiency: e.nominal.value() })
    };
    on_line(model, line).filter_map(used).collect()
}

/// What every pulley of a system beside this one is taken to pass: the least of these pulleys, and the widest range of them;
/// `None` where there is no pulley, or one of unknown loss.
fn efficiencies(model: &Model<'_>, line: Line) -> Option<[f64; 3]> {
    let own = on_line(model, line).map(|p| p.efficiency.as_ref());
    let own: Vec<[f64; 3]> =
        own.map(|e| Some([e?.low.value(), e?.nominal.value(), e?.high.value()])).collect::<Option<_>>()?;
    own.into_iter().reduce(|was, now| [was[0].min(now[0]), was[1].min(now[1]), was[2].max(now[2])])
}

/// How the load travels, told only where lengths and tensions say the same advantage.
fn told(model: &Model<'_>, travel: &Travel, theoretical: f64) -> Option<HaulTravel> {
    let (throw, [a, b]) = travel.throw?;
    if (travel.rope - theoretical).abs() > 0.01 * theoretical || throw < 1e-3 {
        return None;
    }
    let height = model.rig.edge.height.to_metres();
    Some(HaulTravel {
        rope_per_metre: travel.rope,
        throw_m: throw,
        meets: format!("{} and {}", at(model, a), at(model, b)),
        resets: resets(height, throw),
        rope_m: height * travel.rope,
    })
}

/// How often the system is set back until the load has risen so high.
fn resets(height: f64, throw: f64) -> u32 {
    (libm::ceil(height / throw - 1e-9) - 1.0).max(0.0) as u32
}

/// What sits at a point, by its name.
fn at(model: &Model<'_>, point: usize) -> String {
    let id = &model.rig.points[point].id;
    let here = |p: &&Part| p.at.first() == Some(id);
    let named =
        |p: &&Part| matches!(p.kind, PartKind::Pulley | PartKind::HaulHitch | PartKind::ProgressCapture);
    let parts = || model.rig.parts.iter().filter(here);
    parts().find(named).or_else(|| parts().next()).map_or_else(|| id.clone(), |p| p.label.clone())
}

/// Every stretch of every rope of the hauled line, past the load's end.
fn strands(model: &Model<'_>, scene: &Scene, force: &HaulForce, line: Line) -> Vec<Strand> {
    let id = |point: usize| model.rig.points[point].id.clone();
    let ropes = scene.ropes.iter().zip(&force.runs).filter(|(run, _)| run.line == line);
    ropes
        .flat_map(|(run, tensions)| {
            run.path.windows(2).zip(tensions).map(|(ends, tension)| Strand {
                rope: model.rig.parts[run.part].id.clone(),
                between: [id(ends[0]), id(ends[1])],
                force_kn: kn(tension),
            })
        })
        .collect()
}
