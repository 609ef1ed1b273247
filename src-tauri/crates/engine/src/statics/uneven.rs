//! What the shares of legs beside each other rest on: how stiff each is, and how equally they were tied. Neither is ever known
//! well, so a range is given: each leg in turn a little shorter and a little longer than drawn, stiffer and softer than the rest.

use super::network::{Network, Tie};
use crate::support::Model;
use rig::model::{Material, Part, PartKind};

/// How much shorter or longer than drawn a leg may have been tied, as a share of its length: an assumption.
pub const TIED: f64 = 0.01;

/// One way in which one tie is unlike the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Uneven {
    /// As drawn, all at their most likely stiffness.
    Not,
    /// Tied shorter than drawn.
    Short(usize),
    /// Tied longer than drawn.
    Long(usize),
    /// At the high end of its stiffness, the others at the low end.
    Stiff(usize),
    /// At the low end of its stiffness, the others at the high end.
    Soft(usize),
}

/// Stiffness EA of a tie, N: low, most likely, high; and where it comes from.
pub fn stiffness(part: &Part) -> ([f64; 3], String) {
    if let Some(own) = &part.stiffness {
        let band = [own.low.to_newtons(), own.nominal.to_newtons(), own.high.to_newtons()];
        return (band, format!("{} ({})", own.cited.words, own.cited.standing.words()));
    }
    let (low, nominal, high) = match (part.kind, part.material) {
        (PartKind::Strut, _) | (_, Some(Material::Steel | Material::Aluminium)) => (5e6, 1e7, 2e7),
        (PartKind::Connector, _) => (5e6, 1e7, 2e7),
        (_, Some(Material::Hmpe | Material::Aramid)) => (60e3, 150e3, 400e3),
        (_, Some(Material::Nylon)) => (15e3, 30e3, 60e3),
        (_, Some(Material::Polyester)) => (50e3, 100e3, 200e3),
        _ => (15e3, 80e3, 400e3),
    };
    ([low, nominal, high], "class of material (assumed)".into())
}

/// Whether hands tie it to a length.
fn is_tied_by_hand(part: &Part) -> bool {
    let kinds = [PartKind::Tether, PartKind::BackupCord, PartKind::Guy];
    part.kind.is_leg() || kinds.contains(&part.kind)
}

/// All ways that count for these ties.
pub fn ways(model: &Model<'_>, ties: &[usize]) -> Vec<Uneven> {
    let mut ways = vec![Uneven::Not];
    for (n, part) in ties.iter().enumerate() {
        let own = &model.rig.parts[*part];
        if is_tied_by_hand(own) {
            ways.extend([Uneven::Short(n), Uneven::Long(n)]);
        }
        ways.extend([Uneven::Stiff(n), Uneven::Soft(n)]);
    }
    ways
}

impl Uneven {
    /// The network with this unlikeness.
    pub fn of(self, mut network: Network, bands: &[[f64; 3]]) -> Network {
        let length = |network: &Network, tie: &Tie| {
            let (low, high) = (network.points[tie.low], network.points[tie.high]);
            libm::hypot(high.0 - low.0, high.1 - low.1)
        };
        match self {
            Uneven::Not => {}
            Uneven::Short(n) => {
                let by = TIED * length(&network, &network.ties[n]);
                network.ties[n].gap -= by;
            }
            Uneven::Long(n) => {
                let by = TIED * length(&network, &network.ties[n]);
                network.ties[n].gap += by;
            }
            Uneven::Stiff(n) | Uneven::Soft(n) => {
                let (own, others) = if matches!(self, Uneven::Stiff(_)) { (2, 0) } else { (0, 2) };
                for (i, (tie, band)) in network.ties.iter_mut().zip(bands).enumerate() {
                    tie.stiffness = band[if i == n { own } else { others }];
                }
            }
        }
        network
    }
}
