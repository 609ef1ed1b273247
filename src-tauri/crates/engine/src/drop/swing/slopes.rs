//! How what pulls in a fall that swings changes with each thing that moves.

use super::Place;
use super::implicit::{Slopes, State};
use super::pulling::{By, Does, End, Line, Pulling, dot, first};

impl<const P: usize, const M: usize, const T: usize> Pulling<P, M, T> {
    /// How the rates change.
    pub fn slopes(&self, by: &By, t: f64, at: &State<P, M>) -> Slopes<P, M> {
        let mut slopes = Slopes::NONE;
        for n in (0..self.ties).filter(|n| by.ties >> n & 1 == 1) {
            let tie = &self.tie[n];
            let line = Self::between(&tie.ends, at);
            let force = tie.k * (line.long - tie.natural) + tie.c * line.grows;
            if force > 0.0 {
                self.slope(&mut slopes, &tie.ends, &line, [force, tie.k, tie.c]);
            }
        }
        for n in 0..self.ropes {
            let line = self.line(n, at);
            let (does, _) = self.rope_does(n, by, t, &line, at);
            self.rope_slope(&mut slopes, n, by, &line, &does);
        }
        if by.stands {
            (slopes.by_place[0], slopes.by_rest[0], slopes.by_time[0]) = ([0.0; P], [0.0; M], 0.0);
        }
        slopes
    }

    /// What each end that moves does to the vector of a line.
    fn moves(ends: &[End; 2]) -> [(usize, Place); 4] {
        let mut all = [(usize::MAX, (0.0, 0.0)); 4];
        for (n, (end, sign)) in ends.iter().zip([-1.0, 1.0]).enumerate() {
            match *end {
                End::Node(node) => {
                    all[2 * n] = (first(node), (sign, 0.0));
                    all[2 * n + 1] = (first(node) + 1, (0.0, sign));
                }
                End::Load(_) => all[2 * n] = (0, (0.0, -sign)),
                End::Ground(_) => {}
            }
        }
        all
    }

    /// A force along a line, how it grows with the line, and with how fast that grows.
    fn slope(&self, slopes: &mut Slopes<P, M>, ends: &[End; 2], line: &Line, [force, k, c]: [f64; 3]) {
        let moves = Self::moves(ends);
        let turns = force / line.long;
        for (d, u) in moves.iter().filter(|(d, _)| *d < P) {
            let along = dot(line.way, *u);
            let per = self.per_mass[*d];
            for (e, w) in moves.iter().filter(|(e, _)| *e < P) {
                let other = dot(line.way, *w);
                slopes.by_place[*d][*e] -= per
                    * (along * (k * other + c * dot(line.side, *w)) + turns * (dot(*u, *w) - along * other));
                slopes.by_rest[*d][*e] -= per * along * c * other;
            }
        }
    }

    fn rope_slope(&self, slopes: &mut Slopes<P, M>, n: usize, by: &By, line: &Line, does: &Does) {
        let rope = &self.rope[n];
        let taut = |bits: u32| f64::from(u8::from(bits >> n & 1 == 1));
        let (q, u) = (P + 2 * n, P + 2 * n + 1);
        let grows = by.grip[n].1;
        // What is held grows with the line, and with how fast that grows.
        let upper = if rope.edge.is_some() { &rope.above } else { &rope.below };
        let on = if rope.edge.is_some() { taut(by.above) } else { taut(by.below) };
        let (k, c) = (on * upper.k, on * upper.c);
        let [on_load, at_device, over, through] = does.by;
        self.slope(slopes, &rope.ends, line, [does.at_device, at_device[1] * k, at_device[1] * c]);
        let moves = Self::moves(&rope.ends);
        // A row of the rates by what it takes of the part below, of the part above, and of the grip.
        let mut row = |row: usize, of: [f64; 3], line_too: bool| {
            if rope.edge.is_some() {
                let on = taut(by.below);
                slopes.by_place[row][0] += of[0] * on * rope.below.k;
                slopes.by_rest[row][0] += of[0] * on * rope.below.c;
                slopes.by_rest[row][q] += of[1] * k - of[0] * on * rope.below.k;
            }
            slopes.by_rest[row][u] -= of[1] * k;
            slopes.by_time[row] += of[2] * grows;
            for (d, w) in moves.iter().filter(|(d, _)| line_too && *d < P) {
                slopes.by_place[row][*d] += of[1] * (k * dot(line.way, *w) + c * dot(line.side, *w));
                slopes.by_rest[row][*d] += of[1] * c * dot(line.way, *w);
            }
        };
        row(q, over, true);
        row(u, through, true);
        let scaled = |of: [f64; 3], by: f64| of.map(|own| own * by);
        row(0, scaled(on_load, -self.per_mass[0]), true);
        for (d, w) in moves.iter().filter(|(d, _)| *d < P) {
            row(*d, scaled(at_device, -self.per_mass[*d] * dot(line.way, *w)), false);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{At, Node, Rope, Swing, Tie};
    use super::{By, Pulling, State};
    use crate::drop::{Drop, Edge, Grip};

    const P: usize = 5;
    const M: usize = 9;

    /// Two points between two ties to the ground and one between them, each with a device: one rope over an edge, one without.
    fn swing() -> Swing {
        let drop = |edge: Option<Edge>| Drop {
            mass: 200.0,
            gravity: 9.81,
            speed: 0.3,
            stiffness: 3e4,
            damping: 0.03,
            below: 10.0,
            edge,
            slack: 0.0,
            carried: 900.0,
            grip: Grip::constant(2000.0),
        };
        let tie = |ends: [At; 2], natural: f64| Tie { ends, natural, stiffness: 2e5, damping: 2e-3 };
        let [one, other] = [At::Node(0), At::Node(1)];
        let over = Some(Edge { ratio: 1.5, above: 4.0 });
        Swing {
            nodes: vec![Node { place: (-4.0, 0.5), mass: 1.2 }, Node { place: (0.2, 1.0), mass: 0.8 }],
            ties: vec![
                tie([one, At::Ground((-5.0, 2.0))], 1.79),
                tie([one, other], 4.21),
                tie([At::Ground((0.5, 2.5)), other], 1.52),
            ],
            ropes: vec![
                Rope { drop: drop(over), device: one, from: (0.0, 0.0) },
                Rope { drop: drop(None), device: other, from: (0.1, -10.0) },
            ],
        }
    }

    fn alike(found: [f64; M], wanted: [f64; M], of: &str) {
        let near = found.iter().zip(&wanted).all(|(a, b)| (a - b).abs() < 1e-4 * (1.0 + b.abs()));
        assert!(near, "{of}: {found:?} {wanted:?}");
    }

    /// Every slope is what the rates differ by, a little to either side: while the rope over its edge sticks, runs, runs back and
    /// slips, and whatever is slack.
    #[test]
    fn the_slopes_are_those_of_the_rates() {
        let pulling = Pulling::<P, M, 4>::new(&swing());
        let mut modes = Vec::new();
        for (n, grip) in
            [(0, 3000.0), (1, 3000.0), (2, 400.0), (3, 900.0), (4, 3000.0), (5, 1500.0), (6, 700.0)]
        {
            let by = By {
                grip: [(grip, 500.0); 4],
                ties: [0b111, 0b101][n % 2],
                below: 0b11,
                above: [0b1, 0b1, 0b1, 0b0][n % 4],
                stands: n == 6,
            };
            let shift = |k: usize| 0.01 * libm::sin(7.0 * n as f64 + 3.0 * k as f64);
            let at = State {
                place: [0.2 + shift(0), -3.99 + shift(1), 0.49 + shift(2), 0.21 + shift(3), 0.97 + shift(4)],
                rest: std::array::from_fn(|k| if k < P { 60.0 * shift(k + 5) } else { 6.0 * shift(k + 9) }),
            };
            modes.push(pulling.pulls(&by, 0.001, &at).1.mode);
            let slopes = pulling.slopes(&by, 0.001, &at);
            let differs = |change: &dyn Fn(&mut State<P, M>, f64), step: f64| -> [f64; M] {
                let [more, less] = [step, -step].map(|by_so_much| {
                    let mut own = at;
                    change(&mut own, by_so_much);
                    pulling.rates(&by, 0.001, &own)
                });
                std::array::from_fn(|row| (more[row] - less[row]) / (2.0 * step))
            };
            for k in 0..M {
                let wanted = differs(&|own, so_much| own.rest[k] += so_much, 1e-6);
                alike(slopes.by_rest.map(|row| row[k]), wanted, &format!("{n} by {k}"));
            }
            for k in 0..P {
                let wanted = differs(&|own, so_much| own.place[k] += so_much, 1e-7);
                alike(slopes.by_place.map(|row| row[k]), wanted, &format!("{n} by place {k}"));
            }
            let [later, sooner] = [0.001 + 1e-6, 0.001 - 1e-6].map(|t| pulling.rates(&by, t, &at));
            alike(slopes.by_time, std::array::from_fn(|row| (later[row] - sooner[row]) / 2e-6), "by time");
        }
        // Not one way to go over and over.
        modes.sort_unstable();
        modes.dedup();
        assert!(modes.len() >= 5, "{modes:?}");
    }
}
