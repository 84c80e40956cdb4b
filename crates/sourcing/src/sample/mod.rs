//! Where to look: a spatially balanced sample of candidate mother trees.
