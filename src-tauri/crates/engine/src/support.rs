//! Support logic: what is held, from the ground upwards, when some things are lost.
//!
//! Plain connectivity is wrong for ropes (a rope over a directional pulley makes a false second path),
//! so each part is held if its rule holds, a rule being any/all over other parts; the least fixpoint is
//! taken from the ground, so that parts that only hold each other are not held.

mod grip;
mod model;
mod wide;

pub use grip::{Act, Grip, Verb};
pub use model::{HandMode, Lost, Model, Rule};

/// How surely something is held; the order is the order of trust.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hold {
    /// Not held.
    Not,
    /// Cannot be said.
    Unknown,
    /// Held by the strength of a hand.
    IfGrips,
    /// Held if a person acts: releases a handle or a hitch.
    IfActs,
    /// Held.
    Held,
}

/// What is held after a loss.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// How surely each part is held, by its index.
    pub parts: Vec<Hold>,
    /// How each gripping part grips, by its index.
    pub grips: Vec<Option<Grip>>,
    /// How surely the load is held.
    pub load: Hold,
    /// Parts the load hangs on.
    pub path: Vec<bool>,
    /// Ropes that carry, or run along to take over at once.
    pub alive: Vec<bool>,
    /// Parts that carry something: the path, ropes that run along, and what their pulleys hang on.
    pub carrying: Vec<bool>,
    /// For each `Backup` rule that the load hangs on, which alternative bears.
    pub borne: Vec<Option<usize>>,
    /// Hands whose hold the load hangs on, by index.
    pub hands: Vec<bool>,
}

impl Model<'_> {
    /// What is held when `lost` is lost.
    pub fn solve(&self, lost: &Lost) -> Outcome {
        let first = self.fixpoint(lost, &vec![false; self.parts()]);
        let out = self.outcome(lost, first);
        let disturbed = self.disturbed(&out);
        if disturbed.contains(&true) { self.outcome(lost, self.fixpoint(lost, &disturbed)) } else { out }
    }

    /// Which gripping parts take over from another rope that no longer carries: an open handle then
    /// holds only if its operator acts.
    fn disturbed(&self, now: &Outcome) -> Vec<bool> {
        let gone: Vec<usize> = self.carriers.iter().copied().filter(|rope| !now.alive[*rope]).collect();
        let mut disturbed = vec![false; self.parts()];
        for (part, ropes) in self.grips_rope.iter().enumerate() {
            // A rope that let its load go and is held itself takes it again after a drop, through its own handle.
            disturbed[part] = gone.iter().any(|rope| !ropes.contains(rope) || now.parts[*rope] > Hold::Not);
        }
        disturbed
    }

    fn fixpoint(&self, lost: &Lost, disturbed: &[bool]) -> (Vec<Hold>, Vec<Option<Grip>>) {
        let mut held = vec![Hold::Not; self.parts()];
        let grips: Vec<Option<Grip>> =
            (0..self.parts()).map(|part| self.grip(part, lost, disturbed[part])).collect();
        loop {
            let mut changed = false;
            for part in self.order.iter().copied() {
                let unjoined = self.joints[part].iter().any(|knot| lost.part(*knot));
                if lost.part(part) || unjoined || self.counts_for_nothing[part] {
                    continue;
                }
                let mut value = self.value(&self.rules[part], &held, lost);
                if let Some(grip) = &grips[part] {
                    value = value.min(grip.hold);
                }
                if value > held[part] {
                    held[part] = value;
                    changed = true;
                }
            }
            if !changed {
                return (held, grips);
            }
        }
    }

    fn value(&self, rule: &Rule, held: &[Hold], lost: &Lost) -> Hold {
        let each = |rules: &'_ [Rule], best: fn(Hold, Hold) -> Hold| {
            rules.iter().map(|r| self.value(r, held, lost)).reduce(best).unwrap_or(Hold::Not)
        };
        match rule {
            Rule::Ground => Hold::Held,
            Rule::Part(part) => held[*part],
            Rule::Hand(hand) if self.at_work[*hand] && lost.hand(*hand) != HandMode::Off => Hold::IfGrips,
            Rule::Hand(_) => Hold::Not,
            Rule::All(rules) => each(rules, Hold::min),
            Rule::Any(rules) | Rule::Backup(_, rules) => each(rules, Hold::max),
        }
    }

    fn outcome(&self, lost: &Lost, (parts, grips): (Vec<Hold>, Vec<Option<Grip>>)) -> Outcome {
        let mut out = Outcome {
            load: self.value(&self.load, &parts, lost),
            path: Vec::new(),
            alive: Vec::new(),
            carrying: Vec::new(),
            borne: vec![None; self.backups],
            hands: vec![false; self.at_work.len()],
            parts,
            grips,
        };
        let mut seen = vec![false; out.parts.len()];
        self.walk(&self.load, lost, &mut out, &mut seen, false);
        out.path.clone_from(&seen);
        let mut along = vec![false; out.parts.len()];
        self.walk(&self.load, lost, &mut out, &mut along, true);
        // A rope that carried and is now only what a slack tether leads to has let its load go: it bears after a drop.
        for rope in self.carriers.iter().filter(|rope| !out.path[**rope]) {
            along[*rope] = false;
        }
        for rope in &self.ropes {
            if along[*rope] {
                self.walk(&Rule::Part(*rope), lost, &mut out, &mut seen, false);
            }
        }
        for rope in self.stations.iter().filter(|rope| along[rope.part]) {
            for station in &rope.stations {
                if station.grips.iter().any(|grip| seen[*grip]) {
                    break;
                }
                for pulley in &station.pulleys {
                    self.walk(&Rule::Part(*pulley), lost, &mut out, &mut seen, false);
                }
            }
        }
        out.alive = along;
        out.carrying = seen;
        out
    }

    /// Marks what a rule rests on; with `along`, also what a backup has ready behind what bears.
    fn walk(&self, rule: &Rule, lost: &Lost, out: &mut Outcome, seen: &mut [bool], along: bool) {
        match rule {
            Rule::Ground => {}
            Rule::Hand(hand) => out.hands[*hand] = true,
            Rule::Part(part) => {
                if out.parts[*part] > Hold::Not && !seen[*part] {
                    seen[*part] = true;
                    self.joints[*part].iter().for_each(|knot| seen[*knot] = true);
                    self.walk(&self.rules[*part], lost, out, seen, along);
                }
            }
            Rule::All(rules) => rules.iter().for_each(|r| self.walk(r, lost, out, seen, along)),
            Rule::Any(rules) => {
                let relied = self.relied_on(rules, lost, out);
                for rule in rules.iter().zip(relied).filter(|(_, relied)| *relied).map(|(r, _)| r) {
                    self.walk(rule, lost, out, seen, along);
                }
            }
            Rule::Backup(id, rules) => {
                let Some(bears) = self.relied_on(rules, lost, out).iter().position(|r| *r) else { return };
                out.borne[*id] = Some(bears);
                self.walk(&rules[bears], lost, out, seen, along);
                if along {
                    for rule in &rules[bears + 1..] {
                        if self.value(rule, &out.parts, lost) > Hold::Not {
                            self.walk(rule, lost, out, seen, along);
                        }
                    }
                }
            }
        }
    }

    /// Which alternatives are relied on: those that hold as surely as with nothing lost, and the surest.
    fn relied_on(&self, rules: &[Rule], lost: &Lost, out: &Outcome) -> Vec<bool> {
        let now: Vec<Hold> = rules.iter().map(|r| self.value(r, &out.parts, lost)).collect();
        let surest = now.iter().copied().max().unwrap_or(Hold::Not);
        rules
            .iter()
            .zip(now)
            .map(|(rule, now)| {
                let before =
                    if self.whole.is_empty() { now } else { self.value(rule, &self.whole, &Lost::default()) };
                now > Hold::Not && (now == surest || now >= before)
            })
            .collect()
    }
}
