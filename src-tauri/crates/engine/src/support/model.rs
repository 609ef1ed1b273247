//! A rig in one state, made ready for the support rules: ids become indices.

use super::{Hold, Lost as Loss};
use crate::case::Survivors;
use crate::statics::Forces;
use rig::Rig;
use rig::model::{HandTask, Line, Part, PartKind, Rope, State, Support};
use std::cell::RefCell;
use std::collections::BTreeMap;

/// A support rule over indices.
#[derive(Clone, Debug, PartialEq)]
pub enum Rule {
    /// The ground.
    Ground,
    /// A part holds.
    Part(usize),
    /// A hand holds.
    Hand(usize),
    /// All hold.
    All(Vec<Rule>),
    /// Any holds.
    Any(Vec<Rule>),
    /// The first that holds bears; numbered through the rig.
    Backup(usize, Vec<Rule>),
}

/// How a hand is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum HandMode {
    /// At work.
    #[default]
    Works,
    /// Lets go.
    Off,
    /// Freezes on.
    Frozen,
}

/// What is lost together.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Lost {
    /// Parts by index.
    pub parts: Vec<usize>,
    /// Hands by index.
    pub hands: Vec<(usize, HandMode)>,
}

impl Lost {
    /// Whether a part is lost.
    pub fn part(&self, part: usize) -> bool {
        self.parts.contains(&part)
    }
    /// How a hand is.
    pub fn hand(&self, hand: usize) -> HandMode {
        self.hands.iter().find(|(h, _)| *h == hand).map_or(HandMode::Works, |(_, mode)| *mode)
    }
}

/// What a rope meets at one point of its path.
#[derive(Debug)]
pub(super) struct Station {
    /// Pulleys there.
    pub pulleys: Vec<usize>,
    /// What may grip it there and end its run.
    pub grips: Vec<usize>,
}

/// What a rope meets past its load end, in order.
#[derive(Debug)]
pub(super) struct Stations {
    /// The rope.
    pub part: usize,
    /// Point by point.
    pub stations: Vec<Station>,
}

/// A rig in one state.
#[derive(Debug)]
pub struct Model<'a> {
    /// The rig.
    pub rig: &'a Rig,
    /// The state.
    pub state: &'a State,
    /// Index of each part.
    pub index: BTreeMap<&'a str, usize>,
    /// Index of each hand.
    pub hand_index: BTreeMap<&'a str, usize>,
    pub(super) rules: Vec<Rule>,
    pub(super) load: Rule,
    pub(super) backups: usize,
    pub(super) at_work: Vec<bool>,
    /// Parts that are ropes.
    pub ropes: Vec<usize>,
    /// What each rope meets past its load end.
    pub(super) stations: Vec<Stations>,
    /// Knots that join each rope in its run, by part: it holds no longer than they do.
    pub(crate) joints: Vec<Vec<usize>>,
    /// Ropes that each knot joins, by part.
    pub(super) joins: Vec<Vec<usize>>,
    /// Ropes that pass each gripping part, by part.
    pub(super) grips_rope: Vec<Vec<usize>>,
    /// Who operates or minds each gripping part, by part.
    pub(super) operators: Vec<Vec<usize>>,
    /// Who tails the ropes that pass it, by part.
    pub(super) tailers: Vec<Vec<usize>>,
    /// Gripping parts with a rope through them of a diameter that their maker does not name, by part.
    misfit: Vec<bool>,
    /// Parts that hang from a rope, by part.
    below: Vec<bool>,
    /// Every part, what a rule names before what it holds as far as there is no cycle: few passes then reach the fixpoint.
    pub(super) order: Vec<usize>,
    /// Parts that never count as holding: harness points without a rating, and what is not there in this state.
    pub(super) counts_for_nothing: Vec<bool>,
    /// Parts that are not there in this state.
    pub absent: Vec<bool>,
    /// Bodies of the load, each with what it must be held by.
    pub(super) bodies: Vec<Rule>,
    /// Ropes the load hangs on while nothing is lost.
    pub carriers: Vec<usize>,
    /// How surely each part is held while nothing is lost.
    pub(crate) whole: Vec<Hold>,
    /// Forces of survivors that were solved already.
    pub(crate) solved: RefCell<Vec<(Survivors, Result<Forces, String>)>>,
}

impl<'a> Model<'a> {
    /// Makes a rig ready.
    pub fn new(rig: &'a Rig, state: &'a State) -> Model<'a> {
        let index: BTreeMap<&str, usize> =
            rig.parts.iter().enumerate().map(|(i, p)| (p.id.as_str(), i)).collect();
        let hand_index: BTreeMap<&str, usize> =
            rig.hands.iter().enumerate().map(|(i, h)| (h.id.as_str(), i)).collect();
        let mut backups = 0;
        let mut rule = |support: &Support| compile(support, &index, &hand_index, &mut backups);
        let rules = rig.parts.iter().map(|p| rule(&p.held_by)).collect();
        let load = rule(&rig.load.held_by);
        let bodies: Vec<Rule> = rig.load.bodies.iter().map(|body| rule(&body.held_by)).collect();
        let load = if bodies.is_empty() {
            load
        } else {
            Rule::All(std::iter::once(load).chain(bodies.iter().cloned()).collect())
        };
        let absent: Vec<bool> = rig.parts.iter().map(|p| state.without.contains(&p.id)).collect();
        let rope_parts = rig.ropes.iter().filter_map(|r| index.get(r.id.as_str()).copied()).collect();
        let mut model = Model {
            rig,
            state,
            rules,
            load,
            backups,
            at_work: rig.hands.iter().map(|h| state.hands.contains(&h.id)).collect(),
            ropes: rope_parts,
            stations: rig.ropes.iter().filter_map(|r| stations(rig, &index, r)).collect(),
            grips_rope: rig.parts.iter().map(|p| passing(rig, &index, p)).collect(),
            joints: rig.parts.iter().map(|p| joining(rig, &index, &absent, p)).collect(),
            joins: Vec::new(),
            operators: Vec::new(),
            tailers: Vec::new(),
            misfit: Vec::new(),
            below: Vec::new(),
            order: Vec::new(),
            counts_for_nothing: rig
                .parts
                .iter()
                .zip(&absent)
                // The point that the ropes end at is there, rated or not; a second one counts only with a rating.
                .map(|(p, absent)| {
                    let at_ropes = p.at.iter().any(|at| rig.load.points.contains(at));
                    *absent || (p.kind == PartKind::HarnessPoint && p.strength.is_none() && !at_ropes)
                })
                .collect(),
            absent,
            bodies,
            carriers: Vec::new(),
            whole: Vec::new(),
            solved: RefCell::default(),
            index,
            hand_index,
        };
        model.made_ready();
        let whole = model.solve(&Loss::default());
        model.carriers = model.ropes.iter().copied().filter(|rope| whole.path[*rope]).collect();
        model.whole = whole.parts;
        model
    }

    /// What follows from the rig and the state alone, looked up at every loss.
    fn made_ready(&mut self) {
        let each = 0..self.parts();
        let joined = |knot: usize| each.clone().filter(|rope| self.joints[*rope].contains(&knot)).collect();
        let joins = each.clone().map(joined).collect();
        let gripping = |part: usize, tasks: &[HandTask]| match self.rig.parts[part].device {
            Some(_) => self.hands_on(part, tasks),
            None => Vec::new(),
        };
        let operators =
            each.clone().map(|p| gripping(p, &[HandTask::Operator, HandTask::HitchMinder])).collect();
        let tailers = each.clone().map(|p| gripping(p, &[HandTask::Tailer])).collect();
        let misfit = each.clone().map(|part| misfits(self.rig, part)).collect();
        let below = each.map(|part| self.hangs_from_a_rope(part)).collect();
        let order = order(&self.rules);
        (self.joins, self.operators, self.tailers) = (joins, operators, tailers);
        (self.misfit, self.below, self.order) = (misfit, below, order);
    }

    /// Whether a rope of a diameter that its maker does not name runs through a device: then how it grips is unknown.
    pub(crate) fn misfits(&self, part: usize) -> bool {
        self.misfit[part]
    }

    /// How many parts there are.
    pub fn parts(&self) -> usize {
        self.rules.len()
    }

    /// Hands at work in this state.
    pub fn hands_at_work(&self) -> impl Iterator<Item = usize> + '_ {
        self.at_work.iter().enumerate().filter(|(_, at_work)| **at_work).map(|(i, _)| i)
    }

    /// Hands of a task that work a part, or a rope that passes it.
    pub(crate) fn hands_on(&self, part: usize, tasks: &[HandTask]) -> Vec<usize> {
        let ids: Vec<&str> = std::iter::once(part)
            .chain(self.grips_rope[part].iter().copied())
            .map(|i| self.rig.parts[i].id.as_str())
            .collect();
        self.hands_at_work()
            .filter(|h| tasks.contains(&self.rig.hands[*h].task))
            .filter(|h| self.rig.hands[*h].works.iter().any(|id| ids.contains(&id.as_str())))
            .collect()
    }

    /// The backups of a part's own rule, by their number through the rig.
    pub(crate) fn backups_of(&self, part: usize) -> Vec<usize> {
        fn gather(rule: &Rule, into: &mut Vec<usize>) {
            match rule {
                Rule::Ground | Rule::Part(_) | Rule::Hand(_) => {}
                Rule::All(rules) | Rule::Any(rules) => rules.iter().for_each(|r| gather(r, into)),
                Rule::Backup(id, rules) => {
                    into.push(*id);
                    rules.iter().for_each(|r| gather(r, into));
                }
            }
        }
        let mut found = Vec::new();
        gather(&self.rules[part], &mut found);
        found
    }

    /// Whether a part's own rule names a hand.
    pub fn rests_on_hand(&self, part: usize, hand: usize) -> bool {
        fn names(rule: &Rule, hand: usize) -> bool {
            match rule {
                Rule::Hand(own) => *own == hand,
                Rule::Ground | Rule::Part(_) => false,
                Rule::All(rules) | Rule::Any(rules) | Rule::Backup(_, rules) => {
                    rules.iter().any(|r| names(r, hand))
                }
            }
        }
        names(&self.rules[part], hand)
    }

    /// Whether a part is, or rests on, another.
    pub fn hangs_on(&self, part: usize, other: usize) -> bool {
        let mut open = vec![part];
        let mut seen = vec![false; self.parts()];
        while let Some(next) = open.pop() {
            if next == other {
                return true;
            }
            if !std::mem::replace(&mut seen[next], true) {
                named(&self.rules[next], &mut open);
            }
        }
        false
    }

    /// Masses of the bodies that a part bears, kg: of all when the load is one body.
    pub fn borne_mass(&self, part: usize) -> f64 {
        if self.bodies.is_empty() {
            return self.rig.load.mass.to_kilograms();
        }
        self.borne_bodies(part).map(|body| self.rig.load.bodies[body].mass.to_kilograms()).sum()
    }

    /// The bodies that a part bears, by their place in the load.
    pub fn borne_bodies(&self, part: usize) -> impl Iterator<Item = usize> + '_ {
        let bears = move |rule: &Rule| {
            let mut open = Vec::new();
            named(rule, &mut open);
            open.into_iter().any(|own| self.hangs_on(own, part))
        };
        (0..self.bodies.len()).filter(move |body| bears(&self.bodies[*body]))
    }

    /// Names of the bodies that nothing holds.
    pub fn unheld_bodies(&self, outcome: &super::Outcome, lost: &Loss) -> Vec<&str> {
        let labels = self.rig.load.bodies.iter().map(|body| body.label.as_str());
        let held = |rule: &Rule| self.value(rule, &outcome.parts, lost) > Hold::Not;
        labels.zip(&self.bodies).filter(|(_, rule)| !held(rule)).map(|(label, _)| label).collect()
    }

    /// Whether a part hangs from a rope: the load's side of it.
    pub fn below_rope(&self, part: usize) -> bool {
        self.below[part]
    }

    fn hangs_from_a_rope(&self, part: usize) -> bool {
        let mut seen = vec![false; self.parts()];
        let mut open = vec![part];
        while let Some(next) = open.pop() {
            if std::mem::replace(&mut seen[next], true) {
                continue;
            }
            if next != part && self.ropes.contains(&next) {
                return true;
            }
            named(&self.rules[next], &mut open);
        }
        false
    }

    /// Ropes that a part hangs from among those that carry.
    pub fn ropes_above(&self, part: usize, carrying: &[bool]) -> Vec<usize> {
        let mut seen = vec![false; self.parts()];
        let mut open = vec![part];
        let mut found = Vec::new();
        while let Some(next) = open.pop() {
            if !carrying[next] || std::mem::replace(&mut seen[next], true) {
                continue;
            }
            if self.ropes.contains(&next) {
                found.push(next);
            } else {
                named(&self.rules[next], &mut open);
            }
        }
        found.sort_unstable();
        found
    }

    /// Parts that nothing holds though they name each other: an unfounded cycle, or a part lost above.
    pub fn unheld(&self) -> Vec<usize> {
        let whole = self.solve(&Loss::default());
        let mut wanted = Vec::new();
        named(&self.load, &mut wanted);
        let mut seen = vec![false; self.parts()];
        let mut found = Vec::new();
        while let Some(part) = wanted.pop() {
            if whole.parts[part] == Hold::Not && !std::mem::replace(&mut seen[part], true) {
                found.push(part);
                named(&self.rules[part], &mut wanted);
            }
        }
        found.sort_unstable();
        found
    }
}

/// Pulleys and grips along a rope.
fn stations(rig: &Rig, index: &BTreeMap<&str, usize>, rope: &Rope) -> Option<Stations> {
    let at = |id: &String, wanted: &dyn Fn(&Part) -> bool| {
        let here = rig.parts.iter().enumerate().filter(|(_, p)| p.at.contains(id) && wanted(p));
        here.map(|(i, _)| i).collect::<Vec<_>>()
    };
    let grips = |p: &Part, id: &String| {
        p.device.is_some() && p.kind != PartKind::HaulHitch && p.at.first() == Some(id)
    };
    let serves = |p: &Part| p.line == rope.line || p.line == Line::Shared || rope.line == Line::Shared;
    let station = |id: &String| Station {
        pulleys: at(id, &|p| p.kind == PartKind::Pulley && serves(p)),
        grips: at(id, &|p| grips(p, id)),
    };
    Some(Stations {
        part: index.get(rope.id.as_str()).copied()?,
        stations: rope.path.iter().skip(1).map(station).collect(),
    })
}

/// Knots in the run of a rope that are there. How much rope has run is not known, so each is taken to lie where it bears.
fn joining(rig: &Rig, index: &BTreeMap<&str, usize>, absent: &[bool], part: &Part) -> Vec<usize> {
    let joints = rig.rope(&part.id).map_or(&[][..], |rope| &rope.joints);
    let knots = joints.iter().filter_map(|joint| index.get(joint.knot.as_str()).copied());
    knots.filter(|knot| !absent[*knot]).collect()
}

/// Whether a rope of a diameter that its maker does not name runs through a part.
fn misfits(rig: &Rig, part: usize) -> bool {
    let own = &rig.parts[part];
    let Some([low, high]) = own.device.as_ref().and_then(|d| d.takes) else { return false };
    let through = rig.ropes.iter().filter(|r| own.at.first().is_some_and(|at| r.path.contains(at)));
    through.into_iter().any(|rope| rope.diameter < low || rope.diameter > high)
}

/// Parts in an order in which what a rule names comes first; a cycle is cut where it was entered.
fn order(rules: &[Rule]) -> Vec<usize> {
    let mut order = Vec::with_capacity(rules.len());
    let mut seen = vec![false; rules.len()];
    // A part stands twice on the stack: to go through what it names, and then, marked, to be taken itself.
    let mut open: Vec<(usize, bool)> = (0..rules.len()).rev().map(|part| (part, false)).collect();
    while let Some((part, through)) = open.pop() {
        if through {
            order.push(part);
        } else if !std::mem::replace(&mut seen[part], true) {
            open.push((part, true));
            let mut own = Vec::new();
            named(&rules[part], &mut own);
            open.extend(own.into_iter().rev().filter(|next| !seen[*next]).map(|next| (next, false)));
        }
    }
    order
}

/// Every part that a rule names.
fn named(rule: &Rule, into: &mut Vec<usize>) {
    match rule {
        Rule::Ground | Rule::Hand(_) => {}
        Rule::Part(part) => into.push(*part),
        Rule::All(rules) | Rule::Any(rules) | Rule::Backup(_, rules) => {
            rules.iter().for_each(|r| named(r, into));
        }
    }
}

/// Ropes whose path runs through a gripping part's load end.
fn passing(rig: &Rig, index: &BTreeMap<&str, usize>, part: &Part) -> Vec<usize> {
    let (Some(_), Some(at)) = (&part.device, part.at.first()) else { return Vec::new() };
    rig.ropes
        .iter()
        .filter(|rope| rope.path.contains(at))
        .filter_map(|rope| index.get(rope.id.as_str()).copied())
        .collect()
}

fn compile(
    support: &Support,
    parts: &BTreeMap<&str, usize>,
    hands: &BTreeMap<&str, usize>,
    backups: &mut usize,
) -> Rule {
    let each = |list: &[Support], backups: &mut usize| {
        list.iter().map(|s| compile(s, parts, hands, backups)).collect::<Vec<_>>()
    };
    match support {
        Support::Ground => Rule::Ground,
        // An id that names nothing holds nothing: an empty `All` would hold, an empty `Any` does not.
        Support::Part(id) => match (parts.get(id.as_str()), hands.get(id.as_str())) {
            (Some(part), _) => Rule::Part(*part),
            (None, Some(hand)) => Rule::Hand(*hand),
            (None, None) => Rule::Any(Vec::new()),
        },
        Support::All(list) if list.is_empty() => Rule::Any(Vec::new()),
        Support::All(list) => Rule::All(each(list, backups)),
        Support::Any(list) => Rule::Any(each(list, backups)),
        Support::Backup(list) => {
            *backups += 1;
            let id = *backups - 1;
            Rule::Backup(id, each(list, backups))
        }
    }
}
