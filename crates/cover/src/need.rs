//! When a target is reached, and what it takes to reach it.

/// Most plants a hectare that are asked for: a metre apart. Closer is not planted on hill country (common
/// practice, no source).
pub const MOST_PER_HA: f64 = 10_000.0;

/// First of the years in which a share that never falls reaches a target; `None`: in none of them.
///
/// ```
/// assert_eq!(cover::first_year(2027..=2040, 0.5, |year| f64::from(year - 2027) / 10.0), Some(2032));
/// ```
#[must_use]
pub fn first_year(
    years: impl IntoIterator<Item = i32>,
    target: f64,
    share: impl Fn(i32) -> f64,
) -> Option<i32> {
    years.into_iter().find(|year| share(*year) >= target)
}

/// Fewest plants a hectare, to within one, at which a share that never falls with them reaches a
/// target; `None` where [`MOST_PER_HA`] does not.
#[must_use]
pub fn plants_needed(target: f64, share: impl Fn(f64) -> f64) -> Option<f64> {
    if share(0.0) >= target {
        return Some(0.0);
    }
    if share(MOST_PER_HA) < target {
        return None;
    }
    let (mut short, mut enough) = (0.0, MOST_PER_HA);
    while enough - short > 0.5 {
        let middle = f64::midpoint(short, enough);
        if share(middle) >= target { enough = middle } else { short = middle }
    }
    Some(enough.ceil().min(MOST_PER_HA))
}
