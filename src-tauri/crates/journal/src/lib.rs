//! The record on disk: an append-only SQLite table with a hash chain for each station.
