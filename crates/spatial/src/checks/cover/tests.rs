//! Checks of cover on made-up ground.
