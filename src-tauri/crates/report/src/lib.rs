//! The PDF report.
