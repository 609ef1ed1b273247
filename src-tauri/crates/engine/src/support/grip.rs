//! How a device or hitch grips its rope: by its class, its state, and what the hands on it do.

use super::model::{HandMode, Lost};
use super::{Hold, Model};
use rig::model::{DeviceClass, DeviceState};

/// What a hand must do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verb {
    /// Let the handle or hitch close.
    Releases,
    /// Grip the rope.
    Grips,
    /// Keep holding.
    KeepsHold,
}

impl Verb {
    /// As it stands after the role ("rope two operator releases").
    pub fn words(self) -> &'static str {
        match self {
            Verb::Releases => "releases",
            Verb::Grips => "grips",
            Verb::KeepsHold => "keeps hold",
        }
    }
}

/// A hand and what it must do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Act {
    /// The hand by index.
    pub hand: usize,
    /// What it must do.
    pub verb: Verb,
}

/// How a part grips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Grip {
    /// How surely.
    pub hold: Hold,
    /// Who must act for it.
    pub act: Option<Act>,
    /// Tied off: no slip.
    pub tied_off: bool,
}

const fn plain(hold: Hold) -> Grip {
    Grip { hold, act: None, tied_off: false }
}

impl Model<'_> {
    /// How a part grips its rope; `None` when it is nothing that grips. `disturbed`: another rope that
    /// carried no longer does, so that the rope through this part takes its load at once.
    pub(super) fn grip(&self, part: usize, lost: &Lost, disturbed: bool) -> Option<Grip> {
        let own = &self.rig.parts[part];
        let device = own.device.as_ref()?;
        let Some(state) = self.state.devices.get(&own.id).copied() else {
            // A state that does not say how a device is leaves it unknown.
            return Some(plain(Hold::Unknown));
        };
        if state == DeviceState::TiedOff {
            return Some(Grip { tied_off: true, ..plain(Hold::Held) });
        }
        if self.misfits(part) {
            return Some(plain(Hold::Unknown));
        }
        let operators = &self.operators[part];
        let frozen = operators.iter().copied().find(|h| lost.hand(*h) == HandMode::Frozen);
        let minding = operators.iter().copied().find(|h| lost.hand(*h) == HandMode::Works);
        let acts = |hand, verb| {
            let hold = if verb == Verb::Releases { Hold::IfActs } else { Hold::IfGrips };
            Grip { act: Some(Act { hand, verb }), ..plain(hold) }
        };
        let closed = state == DeviceState::Closed;
        let mechanical = match device.class {
            DeviceClass::SelfClosing | DeviceClass::FrictionHitch => match (frozen, minding) {
                (Some(_), _) => plain(Hold::Not),
                (None, Some(hand)) if !closed && disturbed => acts(hand, Verb::Releases),
                _ => plain(Hold::Held),
            },
            // Over-pulled it closes, half open it does not: which of the two a frozen hand does is unknown.
            DeviceClass::SelfClosingPanic => match (frozen, minding) {
                (Some(_), _) => plain(Hold::Unknown),
                (None, Some(hand)) if !closed && disturbed => acts(hand, Verb::Releases),
                _ => plain(Hold::Held),
            },
            DeviceClass::Passive => match (frozen, minding) {
                (Some(hand), _) => acts(hand, Verb::KeepsHold),
                (None, Some(hand)) => acts(hand, Verb::Grips),
                (None, None) => plain(Hold::Not),
            },
            DeviceClass::SnatchLocking => match (frozen, closed) {
                (Some(_), _) => plain(Hold::Not),
                (None, true) => plain(Hold::Held),
                (None, false) => plain(Hold::Unknown),
            },
        };
        if mechanical.hold >= Hold::IfGrips {
            return Some(mechanical);
        }
        let tailer = self.tailers[part].iter().copied().find(|h| lost.hand(*h) != HandMode::Off);
        let by_hand = tailer.map(|hand| acts(hand, Verb::Grips));
        Some(by_hand.filter(|grip| grip.hold > mechanical.hold).unwrap_or(mechanical))
    }
}
