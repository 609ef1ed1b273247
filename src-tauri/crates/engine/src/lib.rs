//! What a rig does: statics, support, loss, advantage, checks. No clock, no file, no screen.
