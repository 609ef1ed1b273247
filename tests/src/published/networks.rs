//! Networks drawn in the data, solved by the engine.

use engine::statics::network::{Contact, Network, Run, Tie};
use serde::Deserialize;

/// A network.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drawn {
    points: Vec<Place>,
    free: Vec<usize>,
    #[serde(default)]
    ties: Vec<Leg>,
    #[serde(default)]
    runs: Vec<Rope>,
    #[serde(default)]
    pulls: Vec<Pull>,
}

/// Across and up in m, or from the origin by an angle from the vertical, right positive.
#[derive(Clone, Debug, Deserialize)]
#[serde(untagged, deny_unknown_fields)]
enum Place {
    At([f64; 2]),
    Polar { deg: f64, m: f64 },
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Leg {
    from: usize,
    to: usize,
    #[serde(rename = "EA_kN")]
    stiffness: Option<f64>,
    #[serde(default)]
    gap_m: f64,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(untagged)]
enum Meets {
    Ratio(f64),
    /// "grip".
    Grip(String),
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Rope {
    path: Vec<usize>,
    contacts: Vec<Meets>,
    #[serde(rename = "tension_N")]
    tension: Option<f64>,
    natural_m: Option<f64>,
    #[serde(rename = "EA_kN")]
    stiffness: Option<f64>,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Pull {
    at: usize,
    deg: f64,
    #[serde(rename = "N")]
    newtons: f64,
}

impl Drawn {
    fn network(&self) -> Result<Network, String> {
        let place = |place: &Place| match place {
            Place::At([x, y]) => (*x, *y),
            Place::Polar { deg, m } => (m * deg.to_radians().sin(), m * deg.to_radians().cos()),
        };
        let contact = |meets: &Meets| match meets {
            Meets::Ratio(ratio) => Ok(Contact::Ratio(*ratio)),
            Meets::Grip(word) if word == "grip" => Ok(Contact::Grip),
            Meets::Grip(other) => Err(format!("nothing is met by “{other}”")),
        };
        let tie = |leg: &Leg| {
            let plain = Tie::plain(leg.from, leg.to);
            Tie {
                stiffness: leg.stiffness.map_or(plain.stiffness, |kn| kn * 1000.0),
                gap: leg.gap_m,
                ..plain
            }
        };
        let mut runs = Vec::new();
        for rope in &self.runs {
            let contacts = rope.contacts.iter().map(contact).collect::<Result<_, _>>()?;
            runs.push(Run::over(rope.path.clone(), contacts, rope.tension));
        }
        let pull =
            |p: &Pull| (p.at, (p.newtons * p.deg.to_radians().sin(), p.newtons * p.deg.to_radians().cos()));
        Ok(Network {
            points: self.points.iter().map(place).collect(),
            fixed: (0..self.points.len()).map(|point| !self.free.contains(&point)).collect(),
            ties: self.ties.iter().map(tie).collect(),
            runs,
            forces: self.pulls.iter().map(pull).collect(),
        })
    }

    /// What is asked for, N: `tie 0`, `across tie 0`, `run 0.1` (a stretch of it), `stretch of run 0` (by how much longer it is than
    /// its natural length).
    pub fn give(&self, what: &str) -> Result<f64, String> {
        let network = self.network()?;
        let solution = network.solve_placed().map_err(|e| format!("not solved: {e:?}"))?;
        let unknown = || format!("nothing is called “{what}”");
        let number = |text: &str| text.parse::<usize>().map_err(|_| unknown());
        if let Some(n) = what.strip_prefix("across tie ") {
            let n = number(n)?;
            return Ok(solution.ties[n] * solution.along[n].0.abs());
        }
        if let Some(n) = what.strip_prefix("tie ") {
            return Ok(solution.ties[number(n)?]);
        }
        if let Some(n) = what.strip_prefix("stretch of run ") {
            let rope = &self.runs[number(n)?];
            let (Some(natural), Some(stiffness)) = (rope.natural_m, rope.stiffness) else {
                return Err(unknown());
            };
            let at = |point: usize| network.points[point];
            let length: f64 =
                rope.path.windows(2).map(|e| (at(e[0]).0 - at(e[1]).0).hypot(at(e[0]).1 - at(e[1]).1)).sum();
            return Ok(stiffness * 1000.0 * (length / natural - 1.0));
        }
        let (run, stretch) = what.strip_prefix("run ").and_then(|n| n.split_once('.')).ok_or_else(unknown)?;
        Ok(solution.runs[number(run)?][number(stretch)?])
    }
}
