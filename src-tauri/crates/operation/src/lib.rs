//! What happened: steps, events, apply, roles, calls, motion, clocks; and its review.
//! No clock, no file, no random number: stamps and “now” are handed in.

pub mod change_over;
pub mod clock;
pub mod decide;
pub mod event;
pub mod flags;
pub mod free_line;
pub mod judge;
pub mod line;
pub mod meant;
pub mod motion;
pub mod phase;
pub mod review;
mod short;
pub mod sift;
pub mod state;
pub mod step;
pub mod suggest;
pub mod watch;
pub mod words;

pub use decide::{Computed, NewEvent, decide};
pub use event::{Entry, Payload};
pub use flags::Flag;
pub use motion::Motion;
pub use state::State;
pub use step::{Act, Script, Step, StepError};
