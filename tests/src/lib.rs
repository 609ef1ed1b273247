//! Tests of the whole: published checks, whole operations, the house rules, the real window.
