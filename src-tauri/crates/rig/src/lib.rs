//! What a rig is: quantities with units, parts, ropes, hands, states, templates, catalogue,
//! guidelines, findings. Plain data; what a rig *does* is computed in `engine`.

pub mod catalogue;
pub mod edit;
pub mod error;
pub mod findings;
pub mod guidelines;
pub mod json;
pub mod model;
pub mod quantity;
mod read;
pub mod templates;
pub mod units;
mod validate;

pub use error::RigError;
pub use model::Rig;
pub use read::{read, write};
pub use validate::validate;
