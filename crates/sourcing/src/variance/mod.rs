//! What differs: between trees, stands and years.
