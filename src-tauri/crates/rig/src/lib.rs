//! What a rig is: quantities with units, parts, ropes, hands, states, templates, catalogue,
//! guidelines, findings. Plain data; what a rig *does* is computed in `engine`.

pub mod findings;
pub mod guidelines;
pub mod model;
pub mod quantity;

pub use model::Rig;
