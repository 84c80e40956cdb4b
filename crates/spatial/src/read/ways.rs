//! Ways from one coordinate system to another, kept by the thread that found them: finding one takes PROJ some milliseconds,
//! going it no time.

use std::cell::RefCell;

use gdal::errors::Result;
use gdal::spatial_ref::CoordTransform;

/// As many as a property with layers in several systems needs.
const KEPT: usize = 8;

struct Way {
    ends: [String; 2],
    transform: CoordTransform,
}

thread_local! {
    static WAYS: RefCell<Vec<Way>> = const { RefCell::new(Vec::new()) };
}

/// Goes the way between two systems, by their definitions; `find` finds it where it is not known.
///
/// # Errors
/// Those of `find` and of `go`.
pub(super) fn along<T>(
    ends: [&str; 2],
    find: impl FnOnce() -> Result<CoordTransform>,
    go: impl FnOnce(&CoordTransform) -> Result<T>,
) -> Result<T> {
    WAYS.with_borrow_mut(|ways| {
        let known = ways.iter().position(|way| way.ends == ends);
        let way = match known {
            Some(at) => ways.remove(at),
            None => Way { ends: ends.map(str::to_owned), transform: find()? },
        };
        let gone = go(&way.transform);
        // The latest last, so that the first is the one that goes.
        ways.push(way);
        if ways.len() > KEPT {
            ways.remove(0);
        }
        gone
    })
}

#[cfg(test)]
mod tests {
    use gdal::spatial_ref::SpatialRef;

    use super::*;

    #[test]
    fn a_way_is_found_once_and_the_longest_unused_is_forgotten() {
        let system = SpatialRef::from_epsg(2193).unwrap();
        let mut found = 0;
        let mut go = |name: &str| {
            let find = || {
                found += 1;
                CoordTransform::new(&system, &system)
            };
            along([name, "there"], find, |_| Ok(())).unwrap();
            found
        };
        assert_eq!([go("a"), go("a"), go("b"), go("a")], [1, 1, 2, 2]);
        for name in 0..KEPT - 1 {
            go(&name.to_string());
        }
        let all = go("a");
        assert_eq!(all, KEPT + 1, "`a` was used later than `b`");
        assert_eq!(go("b"), all + 1);
    }
}
