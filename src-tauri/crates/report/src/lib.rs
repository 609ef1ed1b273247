//! The after-action report as a PDF: the same bytes for the same record, the record attached, every
//! verdict printed as it was stored.

pub mod input;

pub use input::ReportInput;
