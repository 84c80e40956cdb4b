//! Work over the months of years.
