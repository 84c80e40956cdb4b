//! A point or a polygon as well-known text (OGC 06-103r4, Simple Feature Access, part 1).

use crate::Shape;
use crate::write::plain;

/// The text of a shape: `POINT (3 4)`, `POLYGON ((0 0, 9 0, 9 9, 0 0))`.
pub(crate) fn written(shape: &Shape) -> String {
    match shape {
        Shape::Point(position) => format!("POINT ({})", pair(position)),
        Shape::Polygon(rings) => {
            let ring = |ring: &Vec<[f64; 2]>| {
                format!("({})", ring.iter().map(pair).collect::<Vec<_>>().join(", "))
            };
            format!("POLYGON ({})", rings.iter().map(ring).collect::<Vec<_>>().join(", "))
        }
    }
}

fn pair([x, y]: &[f64; 2]) -> String {
    format!("{} {}", plain(*x), plain(*y))
}

/// The shape of a text; `None` when it is no point or polygon in the plane, or not sound.
pub(crate) fn parsed(text: &str) -> Option<Shape> {
    let text = text.trim();
    let open = text.find('(')?;
    let word = text.get(..open)?.trim();
    let body = text.get(open..)?;
    let shape = if word.eq_ignore_ascii_case("POINT") {
        Shape::Point(position(inside(body)?)?)
    } else if word.eq_ignore_ascii_case("POLYGON") {
        Shape::Polygon(rings(inside(body)?)?)
    } else {
        return None;
    };
    shape.is_sound().then_some(shape)
}

/// What stands between a first and a last bracket.
fn inside(text: &str) -> Option<&str> {
    text.trim().strip_prefix('(')?.strip_suffix(')')
}

/// Rings: `(…), (…)`.
fn rings(text: &str) -> Option<Vec<Vec<[f64; 2]>>> {
    let mut rings = Vec::new();
    let mut rest = text.trim();
    loop {
        let end = rest.find(')')? + 1;
        let ring = inside(rest.get(..end)?)?;
        rings.push(ring.split(',').map(position).collect::<Option<_>>()?);
        rest = rest.get(end..)?.trim();
        if rest.is_empty() {
            return Some(rings);
        }
        rest = rest.strip_prefix(',')?.trim();
    }
}

fn position(text: &str) -> Option<[f64; 2]> {
    let mut numbers = text.split_whitespace().map(|word| word.parse::<f64>().ok());
    let position = [numbers.next()??, numbers.next()??];
    numbers.next().is_none().then_some(position)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Texts after the examples of OGC 06-103r4, table 6 (from memory).
    #[test]
    fn texts_of_the_standard_are_read() {
        assert_eq!(parsed("Point (10 10)"), Some(Shape::Point([10.0, 10.0])));
        let square = vec![[10.0, 10.0], [10.0, 20.0], [20.0, 20.0], [20.0, 15.0], [10.0, 10.0]];
        let text = "Polygon ((10 10, 10 20, 20 20, 20 15, 10 10))";
        assert_eq!(parsed(text), Some(Shape::Polygon(vec![square])));
        let holed = "POLYGON((0 0,9 0,9 9,0 0),( 3 1 , 4 1 , 4 2 , 3 1 ))";
        assert!(matches!(parsed(holed), Some(Shape::Polygon(rings)) if rings.len() == 2));
    }

    #[test]
    fn anything_else_is_refused() {
        for text in [
            "",
            "POINT",
            "POINT EMPTY",
            "POINT (1)",
            "POINT (1 2 3)",
            "POINT Z (1 2 3)",
            "POINT (1 nan)",
            "POINT (1, 2)",
            "POINT (1 2",
            "LINESTRING (1 2, 3 4)",
            "POLYGON ()",
            "POLYGON (())",
            "POLYGON ((0 0, 9 0, 9 9))",
            "POLYGON ((0 0, 9 0, 9 9, 1 1))",
            "POLYGON ((0 0, 9 0, 9 9, 0 0),)",
            "POLYGON ((0 0, 9 0, 9 9, 0 0) (0 0, 9 0, 9 9, 0 0))",
            "POLYGON ((0 0, (9 0), 9 9, 0 0))",
        ] {
            assert_eq!(parsed(text), None, "{text}");
        }
    }
}
