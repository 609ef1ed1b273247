//! What happened: steps, events, apply, roles, calls, motion, clocks; and its review.
