//! The record on disk: one SQLite file an operation, one append-only table in it, one hash chain a station.
//!
//! An entry that [`Journal::append`] has acknowledged is on the disk. Nothing is edited or deleted: triggers and
//! an authorizer stop it from inside, the chain ([`chain`]) shows it when it was done from outside. The
//! file is in WAL mode while it is open for writing and has no journal beside it after a clean close, so
//! that it can be copied alone. It is never opened by plain file calls: closing those would drop SQLite's locks.

mod again;
pub mod chain;
mod create;
mod erase;
mod error;
mod insert;
mod journal;
pub mod line;
mod lock;
mod migrate;
pub mod mirror;
mod open;
pub mod private;
pub mod salvage;
mod schema;
pub mod seal;
mod stored;
mod through;
mod verify;
mod witness;

pub use chain::{Head, Heads};
pub use error::JournalError;
pub use journal::{Ack, Closed, Durability, Journal, Stamp};
pub use lock::held_by;
pub use mirror::{Mirror, MirrorState};
pub use schema::{APPLICATION_ID, FORMAT};
pub use stored::Stored;
pub use through::{Batch, Entries};
pub use verify::{Gap, Misfit, Verified, Verifier, verify};
pub use witness::{CopyAnswer, Witness, WitnessAnswer, against, beside};

/// Version of the SQLite inside.
pub fn sqlite_version() -> &'static str {
    rusqlite::version()
}
