//! What pulls in a network that settles: ties, chains of ties as one, and ropes cut where something grips them.

use super::super::network::{Contact, Network, Run, Vec2};
use super::{Lengths, Rest, length};

/// Something that pulls along a chain of points: the stretch of each pair of points counts by its weight.
pub(super) struct Element {
    /// Pairs of points with their weights: what the rope's contacts make of its tension there.
    pub stretches: Vec<(usize, usize, f64)>,
    pub law: Law,
    pub of: Of,
}

pub(super) enum Law {
    /// It pulls with this tension, N.
    Tension(f64),
    /// It pulls by its stiffness when longer than its natural length; a strut pushes too.
    Elastic(Elastic),
}

pub(super) struct Elastic {
    pieces: Vec<Piece>,
    /// How much its length by weights is of its length.
    weight: f64,
    strut: bool,
}

/// One of what lies behind each other.
struct Piece {
    /// Length as placed, m.
    placed: f64,
    /// What must be taken up before it bears, m; below 0: it is tied shorter than it is placed.
    gap: f64,
    /// Length that it keeps under its tension, m.
    drawn: f64,
    /// Natural length by weights, m.
    natural: f64,
    /// EA, N.
    stiffness: f64,
    /// EA by which it is reckoned, N.
    now: f64,
}

impl Piece {
    fn new(placed: f64, gap: f64, stiffness: f64) -> Piece {
        // What is tied shorter keeps some length.
        let gap = gap.max(-0.9 * placed);
        let drawn = placed + gap;
        Piece { placed, gap, drawn, natural: drawn, stiffness, now: stiffness }
    }
}

pub(super) enum Of {
    /// Ties behind each other, and the points from end to end.
    Ties(Vec<usize>, Vec<usize>),
    /// A rope, and the first of its stretches.
    Run(usize, usize),
}

impl Elastic {
    fn natural(&self) -> f64 {
        self.pieces.iter().map(|p| p.natural).sum()
    }
}

impl Element {
    pub fn length(&self, points: &[Vec2], smooth: f64) -> f64 {
        self.stretches.iter().map(|(a, b, weight)| weight * length(points, *a, *b, smooth)).sum()
    }

    /// Energy, tension and how the tension grows with the length.
    pub fn pulls(&self, length: f64) -> (f64, f64, f64) {
        match &self.law {
            Law::Tension(tension) => (tension * length, *tension, 0.0),
            Law::Elastic(own) => {
                let stretch = length - own.natural();
                if stretch <= 0.0 && !own.strut {
                    return (0.0, 0.0, 0.0);
                }
                let gives: f64 = own.pieces.iter().map(|p| p.natural / p.now).sum();
                (0.5 * stretch * stretch / gives, stretch / gives, 1.0 / gives)
            }
        }
    }

    /// Whether it stretches and bears more than `least`, N.
    pub fn bears(&self, points: &[Vec2], least: f64) -> bool {
        matches!(self.law, Law::Elastic(_)) && self.pulls(self.length(points, 0.0)).1.abs() > least
    }

    /// The tension it is given, N, at most; 0 where it follows.
    pub fn given(&self) -> f64 {
        let Law::Tension(tension) = self.law else { return 0.0 };
        self.stretches.iter().fold(0.0, |a, (_, _, weight)| a.max(tension * weight))
    }

    /// The lengths it begins with, no stiffer than `stiff`, N.
    pub fn begin(&mut self, stiff: f64, lengths: Lengths<'_>) {
        let Law::Elastic(own) = &mut self.law else { return };
        for (n, piece) in own.pieces.iter_mut().enumerate() {
            piece.now = piece.stiffness.min(stiff);
            let tension = match (lengths, &self.of) {
                (Lengths::Loaded { ties, .. }, Of::Ties(own, _)) => ties[own[n]],
                (Lengths::Loaded { runs, .. }, Of::Run(run, first)) => runs[*run][*first],
                _ => 0.0,
            };
            let bears = tension > 0.0 || own.strut;
            // What bears in the loaded shape has taken up what there was.
            piece.drawn = if bears && tension != 0.0 { piece.placed } else { piece.placed + piece.gap };
            let strain = if bears { (tension / piece.now).max(-0.1) } else { 0.0 };
            piece.natural = piece.drawn * own.weight / (1.0 + strain);
        }
    }

    /// Gives what is taut the natural length by which, at its tension here, it is as long as drawn, where that differs by more than
    /// `near`; by how much, as a share. What is slack is no longer than drawn.
    pub fn lengthen(&mut self, points: &[Vec2], near: f64) -> f64 {
        let tension = self.pulls(self.length(points, 0.0)).1;
        let long: f64 = self.stretches.iter().map(|(a, b, _)| length(points, *a, *b, 0.0)).sum();
        let by_tie = matches!(self.of, Of::Ties(..));
        let Law::Elastic(own) = &mut self.law else { return 0.0 };
        let wanted = |piece: &Piece| match (tension == 0.0, by_tie) {
            (true, _) => piece.drawn * own.weight,
            (false, true) => piece.drawn / (1.0 + tension / piece.now),
            // Along a rope whose tension changes at contacts, only its length as a whole counts.
            (false, false) => piece.natural * piece.drawn / long,
        };
        let next: Vec<f64> = own.pieces.iter().map(wanted).collect();
        let before = own.natural();
        let change = (next.iter().sum::<f64>() - before).abs() / before;
        if change > near {
            own.pieces.iter_mut().zip(next).for_each(|(piece, natural)| piece.natural = natural);
        }
        change
    }

    /// Writes down what it carries, and where the points within it lie: in line.
    pub fn tell(&self, found: &mut Rest) {
        let tension = self.pulls(self.length(&found.points, 0.0)).1;
        match (&self.of, &self.law) {
            (Of::Ties(ties, points), Law::Elastic(own)) => {
                let (Some(first), Some(last)) = (points.first(), points.last()) else { return };
                let (a, b) = (found.points[*first], found.points[*last]);
                let long = |p: &Piece| p.natural * (1.0 + tension / p.now);
                let whole: f64 = own.pieces.iter().map(long).sum();
                let mut so_far = 0.0;
                for (piece, point) in own.pieces.iter().zip(&points[1..points.len() - 1]) {
                    so_far += long(piece) / whole;
                    found.points[*point] = (a.0 + so_far * (b.0 - a.0), a.1 + so_far * (b.1 - a.1));
                }
                ties.iter().for_each(|tie| found.ties[*tie] = tension);
            }
            (Of::Run(run, first), _) => {
                for (n, (_, _, weight)) in self.stretches.iter().enumerate() {
                    found.runs[*run][first + n] = tension * weight;
                }
            }
            (Of::Ties(..), Law::Tension(_)) => {}
        }
    }
}

/// Forces that stay as they are: from outside, and what the load pulls on the points that its ropes hang it on.
pub(super) fn forces(network: &Network, free: &[bool]) -> Vec<(usize, Vec2)> {
    let mut all = network.forces.clone();
    for run in &network.runs {
        let (Some(tension), [end, next, ..]) = (run.tension, run.path.as_slice()) else { continue };
        let (from, to) = (network.points[*next], network.points[*end]);
        let long = libm::hypot(to.0 - from.0, to.1 - from.1);
        if long > 0.0 && (free[*next] || !network.fixed[*next]) {
            all.push((*next, (tension * (to.0 - from.0) / long, tension * (to.1 - from.1) / long)));
        }
    }
    all
}

/// What pulls, and which points lie within a chain of ties, which is one element.
pub(super) fn of(network: &Network, free: &[bool], rope: f64) -> (Vec<Element>, Vec<bool>) {
    let mut inner = vec![false; free.len()];
    let mut all = chains(network, free, &mut inner);
    for (n, run) in network.runs.iter().enumerate() {
        cut(network, n, run, rope, &mut all);
    }
    (all, inner)
}

/// Ties, those that lie behind each other with nothing else at their points as one.
fn chains(network: &Network, free: &[bool], inner: &mut [bool]) -> Vec<Element> {
    let mut at: Vec<Vec<usize>> = vec![Vec::new(); free.len()];
    for (n, tie) in network.ties.iter().enumerate() {
        at[tie.low].push(n);
        at[tie.high].push(n);
    }
    let mut plain: Vec<bool> = (0..free.len())
        .map(|p| free[p] && at[p].len() == 2 && !at[p].iter().any(|t| network.ties[*t].strut))
        .collect();
    network.forces.iter().for_each(|(p, _)| plain[*p] = false);
    network.runs.iter().flat_map(|run| &run.path).for_each(|p| plain[*p] = false);
    let mut used = vec![false; network.ties.len()];
    let mut all = Vec::new();
    for start in 0..network.ties.len() {
        if used[start] {
            continue;
        }
        used[start] = true;
        let mut ties = vec![start];
        let mut points = vec![network.ties[start].low, network.ties[start].high];
        // On from its high end, then, turned about, from its low end.
        for _ in 0..2 {
            while let Some(end) = points.last().copied().filter(|p| plain[*p])
                && let Some(next) = at[end].iter().copied().find(|t| !used[*t])
            {
                used[next] = true;
                ties.push(next);
                points.push(network.ties[next].low + network.ties[next].high - end);
            }
            ties.reverse();
            points.reverse();
        }
        let (first, last) = (points[0], points[points.len() - 1]);
        points[1..points.len() - 1].iter().for_each(|p| inner[*p] = true);
        // One that comes back to where it began bears nothing.
        if first != last {
            let piece = |tie: &usize| {
                let own = &network.ties[*tie];
                Piece::new(length(&network.points, own.low, own.high, 0.0), own.gap, own.stiffness)
            };
            let pieces = ties.iter().map(piece).collect();
            all.push(Element {
                stretches: vec![(first, last, 1.0)],
                law: Law::Elastic(Elastic { pieces, weight: 1.0, strut: network.ties[start].strut }),
                of: Of::Ties(ties, points),
            });
        }
    }
    all
}

/// A rope, cut where something grips it; what leaves the load is one of the forces.
fn cut(network: &Network, n: usize, run: &Run, rope: f64, all: &mut Vec<Element>) {
    let mut known = run.tension;
    let mut first = 0;
    let mut stretches = Vec::new();
    let (mut weight, mut spare) = (1.0, 0.0);
    for (i, ends) in run.path.windows(2).enumerate() {
        if i > 0 || run.tension.is_none() {
            stretches.push((ends[0], ends[1], weight));
            spare += run.spare.get(i).copied().unwrap_or(0.0);
        } else {
            first = 1;
        }
        if let Some(Contact::Ratio(ratio)) = run.contacts.get(i) {
            weight *= ratio;
            continue;
        }
        if !stretches.is_empty() {
            let by_weight: f64 =
                stretches.iter().map(|(a, b, w)| w * length(&network.points, *a, *b, 0.0)).sum();
            let placed: f64 = stretches.iter().map(|(a, b, _)| length(&network.points, *a, *b, 0.0)).sum();
            let held = || {
                let pieces = vec![Piece::new(placed, spare, rope)];
                Law::Elastic(Elastic { pieces, weight: by_weight / placed, strut: false })
            };
            let law = known.map_or_else(held, Law::Tension);
            all.push(Element { stretches: std::mem::take(&mut stretches), law, of: Of::Run(n, first) });
        }
        (known, first, weight, spare) = (None, i + 1, 1.0, 0.0);
    }
}
