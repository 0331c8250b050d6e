//! From a survey to everything that follows from it, in one call. The survey, the rack and the shop are
//! the ground state; all else is derived, can be thrown away, and comes out the same again.
