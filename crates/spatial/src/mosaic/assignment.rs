//! What the mosaic answers.

/// Shares of zones given to lines, with proof of how good they are.
#[derive(Debug, Clone, PartialEq)]
pub struct Assignment {
    /// `[zone][line]`, each 0 or from `min_share` to 1; what a zone's shares lack to 1 is left.
    pub shares: Vec<Vec<f64>>,
    /// Σ area × share × worth reached.
    pub objective: f64,
    /// No assignment can do better.
    pub bound: f64,
    /// (bound − objective) / bound; 0 when the bound is 0.
    pub gap: f64,
    /// Whether the search ended without proving the gap that was asked for.
    pub stopped_early: bool,
    /// The limits that bind, in the order of lines, supply before cap.
    pub binding: Vec<Binding>,
}

impl Assignment {
    /// Nothing assigned to some zones, because nothing was asked to be.
    #[must_use]
    pub fn none(zones: usize) -> Self {
        Self {
            shares: vec![Vec::new(); zones],
            objective: 0.0,
            bound: 0.0,
            gap: 0.0,
            stopped_early: false,
            binding: Vec::new(),
        }
    }
}

/// A limit that binds, and what one more unit of it is worth.
///
/// Prices are those of the programme without least shares (its linear relaxation), good for small
/// changes; where several prices fit, the lower are given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Binding {
    /// The line, counted from 0.
    pub line: usize,
    /// What binds.
    pub limit: LimitKind,
    /// Worth of one more plant (supply) or one more hectare (cap), 0 or more.
    pub shadow_price: f64,
}

/// What limits a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LimitKind {
    /// Plants that can be had.
    Supply,
    /// Share of the ground that one line may take.
    Cap,
}
