//! Which trees to take seed from.
