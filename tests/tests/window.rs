//! The real window.
