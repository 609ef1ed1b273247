//! What a step needs worked out before it becomes an entry.

use super::Session;
use crate::rig_look::Checking;
use crate::rigs;
use crate::wire::Trouble;
use operation::{Act, Computed};

impl Session {
    /// What a check of this rig (`None`: the one in use) would be of: to be worked out elsewhere, and handed back by
    /// [`Session::ready`]. `None` when there is no such rig.
    pub fn to_check(&self, rig: Option<&str>) -> Option<Checking> {
        rigs::named(&self.state, rig).map(|rig| Checking::of(&self.state, rig))
    }

    /// A check that was worked out ahead: the next check takes it, if nothing it rests on has changed since.
    pub fn ready(&mut self, checking: Checking) {
        self.ready = Some(checking);
    }

    pub(super) fn computed(&self, act: &Act) -> Result<Computed, Trouble> {
        Ok(match act {
            Act::Rig(wanted) => Computed::Rig(Box::new(rigs::make(&self.state, wanted)?)),
            Act::Check(asked) => match self.to_check(asked.rig.as_deref()) {
                Some(wanted) => {
                    let ready = self.ready.as_ref().and_then(|ready| ready.serves(&wanted));
                    Computed::Check(ready.unwrap_or_else(|| wanted.report()))
                }
                // `decide` says which rigs there are.
                None => Computed::None,
            },
            Act::Seal(_) => self.sealed()?,
            _ => Computed::None,
        })
    }
}
