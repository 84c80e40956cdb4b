//! From capsules to seedlings.
