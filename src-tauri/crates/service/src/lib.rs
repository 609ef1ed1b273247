//! The use cases: one function in, one view out. No window toolkit here.

pub mod wire;
