//! How a rope is held after a loss: by its device, by the hands that work it, by a tailer behind it.

use super::of_rig::{Instead, Making, not};
use super::parameter::At;
use super::setting::{Hold, Tailer};
use crate::statics::RopeRun;
use crate::support::HandMode;
use rig::model::{Device, DeviceClass, DeviceState, HandTask, PartKind};

impl Making<'_, '_> {
    fn hand(&self, part: usize, tasks: &[HandTask], mode: HandMode) -> Option<usize> {
        let hands = self.model.hands_on(part, tasks);
        hands.into_iter().find(|hand| self.after.loss.lost.hand(*hand) == mode)
    }

    pub(super) fn hold(&mut self, rope: &RopeRun) -> Result<Hold, Instead> {
        let label = &self.model.rig.parts[rope.part].label;
        let Some(part) = rope.ends_at else {
            // Made fast at its far end, or in the hands of a haul team.
            let fast = rope.path.last().is_some_and(|point| self.model.rig.points[*point].fixed);
            let hauled = self.model.hands_on(rope.part, &[HandTask::Haul]).first().copied();
            let in_hand = (0..self.model.rig.hands.len()).any(|hand| {
                let own = &self.model.rig.hands[hand];
                own.task == HandTask::Haul && self.after.case.outcome.hands[hand]
            });
            return if fast && !in_hand && hauled.is_none() {
                Ok(Hold::TiedOff)
            } else {
                Err(not(format!("what the haul team holds of {label} is not known")))
            };
        };
        let own = &self.model.rig.parts[part];
        if own.kind == PartKind::HaulHitch {
            return Err(not(format!("what the haul team holds of {label} is not known")));
        }
        let Some(device) = &own.device else { return Ok(Hold::TiedOff) };
        let Some(state) = self.model.state.devices.get(&own.id).copied() else {
            return Err(not(format!("the state does not say how {} is", own.label)));
        };
        let minds = [HandTask::Operator, HandTask::HitchMinder];
        let works = self.hand(part, &minds, HandMode::Works);
        let frozen = self.hand(part, &minds, HandMode::Frozen);
        let let_go = self.hand(part, &minds, HandMode::Off);
        let rules = self.rules;
        let closed = self.closed(part, device);
        Ok(match (state, device.class) {
            (DeviceState::TiedOff, _) => Hold::TiedOff,
            (_, DeviceClass::SnatchLocking) if state != DeviceState::Closed => {
                return Err(not(format!("whether {} locks is not known", own.label)));
            }
            (_, _) if frozen.is_some() => Hold::Open,
            (_, DeviceClass::Passive) => match works {
                Some(hand) => self.gripped(part, device, hand)?,
                None => Hold::Open,
            },
            (DeviceState::Closed, _) => Hold::Closed(closed),
            (DeviceState::Feeding, _) | (DeviceState::Open, DeviceClass::FrictionHitch) => Hold::Fed {
                feeds: self.parameters.spread(
                    "feeding",
                    "what the belay resists while it is fed",
                    "N",
                    &rules.feeding_n,
                ),
                grabs: self.parameters.spread("grab", "time until the belay grabs", "s", &rules.grab_s),
                to: closed,
            },
            (DeviceState::Open, _) => Hold::Closes {
                // A handle that was let go, or that nobody holds, closes by itself.
                after: works.filter(|_| let_go.is_none()).map(|hand| self.reaction(hand)),
                within: self.parameters.spread(
                    "closing",
                    "time in which a handle closes",
                    "s",
                    &rules.closing_s,
                ),
                to: closed,
            },
        })
    }

    fn closed(&mut self, part: usize, device: &Device) -> At {
        let own = &self.model.rig.parts[part];
        let label = format!("force at which {} slips, closed", own.label);
        self.parameters.force(&format!("closed_{}", own.id), &label, &device.closed)
    }

    fn reaction(&mut self, hand: usize) -> At {
        let own = &self.model.rig.hands[hand];
        let label = format!("reaction of {}", own.role);
        self.parameters.spread(&format!("reaction_{}", own.id), &label, "s", &self.rules.reaction_s)
    }

    fn gain(&mut self, part: usize) -> Option<At> {
        let own = &self.model.rig.parts[part];
        let gain = own.device.as_ref()?.gain.as_ref()?;
        let label = format!("resistance of {} over a hand’s grip", own.label);
        Some(self.parameters.ratio(&format!("gain_{}", own.id), &label, gain))
    }

    fn gripped(&mut self, part: usize, device: &Device, hand: usize) -> Result<Hold, Instead> {
        let own = &self.model.rig.parts[part];
        let holds = &self.model.rig.hands[hand];
        let unknown = || not(format!("what {} holds through {} is not known", holds.role, own.label));
        let residual = device.residual.as_ref().ok_or_else(unknown)?;
        let grip = holds.grip.as_ref().ok_or_else(unknown)?;
        let label = format!("what {} resists, open", own.label);
        let residual = self.parameters.force(&format!("residual_{}", own.id), &label, residual);
        let label = format!("grip of {}", holds.role);
        Ok(Hold::Gripped {
            after: self.reaction(hand),
            within: self.parameters.spread(
                "closing",
                "time in which a hand grips",
                "s",
                &self.rules.closing_s,
            ),
            residual,
            gain: self.gain(part).ok_or_else(unknown)?,
            grip: self.parameters.force(&format!("grip_{}", holds.id), &label, grip),
        })
    }

    /// A hand behind an open device; without its grip known it counts for nothing.
    pub(super) fn tailer(&mut self, rope: &RopeRun) -> Option<Tailer> {
        let part = rope.ends_at?;
        let hand = self.hand(part, &[HandTask::Tailer], HandMode::Works)?;
        let own = &self.model.rig.hands[hand];
        let grip = own.grip.as_ref()?;
        let gain = self.gain(part)?;
        let label = format!("grip of {}", own.role);
        Some(Tailer {
            after: self.parameters.spread(
                &format!("reaction_{}", own.id),
                &format!("time until {} holds", own.role),
                "s",
                &self.rules.tailer_s,
            ),
            gain,
            grip: self.parameters.force(&format!("grip_{}", own.id), &label, grip),
        })
    }
}
