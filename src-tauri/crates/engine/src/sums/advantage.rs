//! Mechanical advantage, traced through the rope sheave by sheave from the haulers to the load.

use super::SumError;
use rig::quantity::{Force, Ratio};

/// How a system is built up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SystemKind {
    /// All moving pulleys travel with the load.
    Simple,
    /// A simple system pulls on another one.
    Compound,
    /// Neither: not computed.
    Complex,
}

/// What a system gives.
#[derive(Clone, Debug, PartialEq)]
pub struct Advantage {
    /// With perfect pulleys.
    pub theoretical: f64,
    /// With the pulleys’ efficiency.
    pub practical: f64,
    /// Force on the haul line.
    pub haul: Force,
    /// Tension of each strand on the load or on the stage it pulls, as a share of the pull into its stage, haulers’ side first.
    pub strands: Vec<Vec<f64>>,
}

/// Stages of a system, nearest the haulers first, each a simple one.
fn stages(n: u32, kind: SystemKind) -> Result<Vec<u32>, SumError> {
    match kind {
        SystemKind::Simple => Ok(vec![n]),
        SystemKind::Compound => {
            let mut rest = n;
            let mut stages = Vec::new();
            let mut factor = 2;
            while rest > 1 {
                while rest.is_multiple_of(factor) {
                    stages.push(factor);
                    rest /= factor;
                }
                factor += 1;
            }
            if stages.len() < 2 {
                return Err(SumError::Unknown(format!(
                    "{n}:1 is no product of simple systems: it cannot be compound"
                )));
            }
            Ok(stages)
        }
        SystemKind::Complex => Err(SumError::Unknown(format!("a complex {n}:1 is not computed yet"))),
    }
}

/// Advantage of an `n:1` system and the haul force for a load; each sheave passes `efficiency` of the
/// tension, a change of direction on the haul line costs one more sheave.
///
/// A simple n:1 gives 1 + η + … + ηⁿ⁻¹; a compound one the product of its stages.
///
/// ```
/// use engine::{SystemKind, advantage};
/// use rig::quantity::{Force, Ratio};
/// let load = Force::newtons(2000.0).unwrap();
/// let sum = advantage("3:1", SystemKind::Simple, Ratio::new(0.9).unwrap(), 0, load).unwrap();
/// assert!((sum.practical - 2.71).abs() < 1e-12); // 1 + 0.9 + 0.81
/// ```
///
/// # Errors
/// A system that is no `n:1` from 1:1 to 24:1, a compound one that is prime, a complex one, an
/// efficiency outside 0 to 1.
pub fn advantage(
    system: &str,
    kind: SystemKind,
    efficiency: Ratio,
    redirects: u32,
    load: Force,
) -> Result<Advantage, SumError> {
    let n = system
        .trim()
        .strip_suffix(":1")
        .and_then(|n| n.trim().parse::<u32>().ok())
        .filter(|n| (1..=24).contains(n))
        .ok_or_else(|| SumError::Range(format!("“{system}”"), "1:1 to 24:1"))?;
    let eta = efficiency.value();
    if !(eta > 0.0 && eta <= 1.0) {
        return Err(SumError::Range(format!("efficiency {eta}"), "more than 0, at most 1"));
    }
    if redirects > 24 {
        return Err(SumError::Range(format!("{redirects} redirects"), "0 to 24"));
    }
    let stages = stages(n, kind)?;
    let trace = |eta: f64| {
        let pulled_in = (0..redirects).fold(1.0, |tension, _| tension * eta);
        let mut strands = Vec::new();
        let total = stages.iter().fold(pulled_in, |pull, stage| {
            let mut tension = 1.0;
            let mut own = Vec::new();
            for _ in 0..*stage {
                own.push(tension);
                tension *= eta;
            }
            let sum: f64 = own.iter().sum();
            strands.push(own);
            pull * sum
        });
        (total, strands)
    };
    let (practical, strands) = trace(eta);
    let haul = Force::newtons(load.to_newtons() / practical).ok_or(SumError::NotFinite)?;
    Ok(Advantage { theoretical: trace(1.0).0, practical, haul, strands })
}
