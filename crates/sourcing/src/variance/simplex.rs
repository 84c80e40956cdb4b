//! The lowest point of a smooth function of a few variables, without its slope.

/// A point and the function there.
type Corner = (Vec<f64>, f64);

/// Searches from a point by reflecting, stretching and shrinking a simplex, and starts anew from what it
/// found until that gains nothing. Finds a lowest point nearby; for several, start from several.
///
/// Source: Nelder & Mead 1965, The Computer Journal 7:308 (from memory).
pub(super) fn lowest(f: &dyn Fn(&[f64]) -> f64, start: &[f64], size: f64) -> Corner {
    let mut best = search(f, start, size);
    for _ in 0..8 {
        let next = search(f, &best.0, size / 8.0);
        let gained = best.1 - next.1;
        if next.1 <= best.1 {
            best = next;
        }
        if gained < 1e-11 {
            break;
        }
    }
    best
}

fn search(f: &dyn Fn(&[f64]) -> f64, start: &[f64], size: f64) -> Corner {
    /// Steps after which it gives up; a hundred suffice for three variables.
    const MOST_STEPS: usize = 600;
    let at = |point: Vec<f64>| {
        let value = f(&point);
        (point, if value.is_nan() { f64::INFINITY } else { value })
    };
    let mut corners = vec![at(start.to_vec())];
    for axis in 0..start.len() {
        let mut point = start.to_vec();
        point[axis] += size;
        corners.push(at(point));
    }
    for _ in 0..MOST_STEPS {
        corners.sort_by(|a, b| a.1.total_cmp(&b.1));
        let (first, last) = (&corners[0], &corners[corners.len() - 1]);
        let wide = |(a, b): (&f64, &f64)| (a - b).abs() <= 1e-9 * (1.0 + a.abs());
        if last.1 - first.1 <= 1e-13 * (1.0 + first.1.abs())
            && first.0.iter().zip(&last.0).all(wide)
        {
            break;
        }
        step(&mut corners, &at);
    }
    corners.sort_by(|a, b| a.1.total_cmp(&b.1));
    corners.swap_remove(0)
}

/// Moves the worst corner, or all towards the best.
fn step(corners: &mut [Corner], at: &dyn Fn(Vec<f64>) -> Corner) {
    let worst = corners.len() - 1;
    let middle: Vec<f64> = (0..worst)
        .map(|axis| {
            corners[..worst].iter().map(|corner| corner.0[axis]).sum::<f64>() / worst as f64
        })
        .collect();
    let towards = |by: f64| {
        let from = &corners[worst].0;
        at(middle.iter().zip(from).map(|(middle, from)| middle + by * (from - middle)).collect())
    };
    let reflected = towards(-1.0);
    let next = if reflected.1 < corners[0].1 {
        let stretched = towards(-2.0);
        Some(if stretched.1 < reflected.1 { stretched } else { reflected })
    } else if reflected.1 < corners[worst.saturating_sub(1)].1 {
        Some(reflected)
    } else {
        let inside = reflected.1 >= corners[worst].1;
        let drawn_in = towards(if inside { 0.5 } else { -0.5 });
        (drawn_in.1 < corners[worst].1.min(reflected.1)).then_some(drawn_in)
    };
    if let Some(next) = next {
        corners[worst] = next;
        return;
    }
    let best = corners[0].0.clone();
    for corner in &mut corners[1..] {
        let halfway = corner.0.iter().zip(&best).map(|(one, best)| f64::midpoint(*one, *best));
        *corner = at(halfway.collect());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: Rosenbrock 1960, The Computer Journal 3:175, lowest at (1, 1) (from memory).
    #[test]
    fn a_bent_valley_is_followed_to_its_end() {
        let valley = |at: &[f64]| 100.0 * (at[1] - at[0] * at[0]).powi(2) + (1.0 - at[0]).powi(2);
        let (at, value) = lowest(&valley, &[-1.2, 1.0], 0.5);
        assert!(
            value < 1e-12 && (at[0] - 1.0).abs() < 1e-5 && (at[1] - 1.0).abs() < 1e-5,
            "{at:?}"
        );
    }

    #[test]
    fn one_variable_and_a_function_that_is_not_everywhere() {
        let f = |at: &[f64]| if at[0] < 0.0 { f64::NAN } else { (at[0] - 0.25).powi(2) };
        assert!((lowest(&f, &[3.0], 1.0).0[0] - 0.25).abs() < 1e-5);
    }
}
