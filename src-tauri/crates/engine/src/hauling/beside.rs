//! Other systems beside the one that is rigged, for the same load, edge and crew.

use super::{people, resets};
use rig::findings::SystemBeside;

/// What all systems share.
pub struct Ground {
    /// Tension at the load's side of the haul, past the edge, N: nominal and high.
    pub load: [f64; 2],
    /// What every pulley passes on: low, nominal, high; `None`: there is none to go by.
    pub efficiency: Option<[f64; 3]>,
    /// Pull of one person, N.
    pub person: f64,
    /// Pull of the whole team, N.
    pub team: f64,
    /// Height of the edge, m.
    pub height: f64,
    /// Room of the first moving pulley, m; `None`: unknown.
    pub room: Option<f64>,
}

/// Stages of a system, nearest the load first, each a simple one in which the load's own rope is hauled.
const SYSTEMS: &[(&str, &[i32])] = &[("3:1", &[3]), ("5:1", &[5]), ("9:1 compound", &[3, 3])];

/// 3:1, 5:1 and 9:1 side by side; nothing where it is not known what the pulleys would pass.
pub fn beside(ground: &Ground) -> Vec<SystemBeside> {
    let Some(efficiency) = ground.efficiency else { return Vec::new() };
    SYSTEMS.iter().map(|(name, stages)| system(name, stages, efficiency, ground)).collect()
}

/// Load over haul: each stage 1 + η + η² and so on, and stages multiply.
fn advantage(stages: &[i32], eta: f64) -> f64 {
    stages.iter().map(|n| (0..*n).map(|i| libm::pow(eta, f64::from(i))).sum::<f64>()).product()
}

fn system(name: &str, stages: &[i32], [low, eta, high]: [f64; 3], ground: &Ground) -> SystemBeside {
    let (theoretical, practical) = (advantage(stages, 1.0), advantage(stages, eta));
    let haul = [ground.load[0] / practical, ground.load[1] / advantage(stages, low)];
    // What the last stage hauls travels as far as the stages before it multiply: with as much room it is there sooner.
    let before: i32 = stages[..stages.len() - 1].iter().product();
    let throw = ground.room.filter(|room| *room > 1e-3).map(|room| room / f64::from(before));
    let resets = throw.map(|throw| resets(ground.height, throw));
    // The whole system in balance: the load pulls one way, haul and anchor the other.
    let anchor = [ground.load[0] - haul[0], ground.load[1] - ground.load[1] / advantage(stages, high)];
    SystemBeside {
        system: name.into(),
        theoretical,
        practical,
        efficiency: eta,
        haul_kn: haul.map(|f| f / 1000.0),
        needed: haul.map(|f| people(f, ground.person)),
        resets,
        rope_m: theoretical * ground.height,
        anchor_kn: anchor.map(|f| f / 1000.0),
        jammed_kn: [practical, theoretical].map(|a| a * ground.team / 1000.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// No team is compared with perfect pulleys that it does not have.
    #[test]
    fn without_a_pulley_to_go_by_nothing_is_compared() {
        let ground = |efficiency| Ground {
            load: [2000.0, 3000.0],
            efficiency,
            person: 222.0,
            team: 888.0,
            height: 20.0,
            room: None,
        };
        assert_eq!(beside(&ground(None)), Vec::new());
        let three = &beside(&ground(Some([0.85, 0.9, 0.95])))[0];
        assert!((three.practical - 2.71).abs() < 1e-12 && three.needed == [4, 6], "{three:?}");
    }
}
