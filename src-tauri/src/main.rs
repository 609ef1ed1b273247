//! Ledgebook: the desktop window and the command line over one library.
fn main() {}
