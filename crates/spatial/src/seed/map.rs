//! A plain map of stands, tracks and places, as SVG inside the page that is printed.

use geo::{BoundingRect, Coord, MultiPolygon};
use palette::escaped;

use super::rows::SeedSites;
use crate::write::Paper;

/// Room for the drawing, millimetres: a page in landscape less its heading.
const ROOM_MM: [f64; 2] = [272.0, 158.0];

/// Paper on which a round fits; `None` when it has no extent.
fn paper(round: &SeedSites) -> Option<Paper> {
    let stands = round.drawn.stands.iter().filter_map(|(_, shape)| shape.bounding_rect());
    let places = round.trees.iter().map(|tree| {
        let at = Coord { x: tree.easting_m, y: tree.northing_m };
        geo::Rect::new(at, at)
    });
    Paper::over(stands.chain(places), ROOM_MM)
}

/// The map with its key, scale bar and north arrow; empty where nothing has an extent.
pub(super) fn map_svg(round: &SeedSites) -> String {
    let Some(paper) = paper(round) else { return String::new() };
    let [width, height] = paper.size_mm;
    let foot = height + 13.0;
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.1}mm\" height=\"{foot:.1}mm\" \
         viewBox=\"0 0 {width:.1} {foot:.1}\" role=\"img\" aria-label=\"Map of stands, tracks and \
         places\">\n<defs><clipPath id=\"frame\"><rect width=\"{width:.1}\" height=\"{height:.1}\"/>\
         </clipPath></defs>\n<g clip-path=\"url(#frame)\" fill=\"none\" stroke-linejoin=\"round\">\n"
    );
    let drawn = &round.drawn;
    let boundary = paper.area(&drawn.boundary);
    put(&mut svg, &format!("<path d=\"{boundary}\" stroke=\"#999\" stroke-width=\".3\"/>"));
    for (_, shape) in drawn_stands(round) {
        let area = paper.area(shape);
        put(
            &mut svg,
            &format!(
                "<path d=\"{area}\" fill=\"#dfe8d8\" fill-rule=\"evenodd\" stroke=\"#56704a\" \
                 stroke-width=\".25\"/>"
            ),
        );
    }
    for (_, shape) in &drawn.ask {
        let area = paper.area(shape);
        put(
            &mut svg,
            &format!(
                "<path d=\"{area}\" stroke=\"#b00020\" stroke-width=\".35\" stroke-dasharray=\"1 1\"/>"
            ),
        );
    }
    for track in &drawn.tracks {
        let line = paper.path(track);
        put(
            &mut svg,
            &format!(
                "<path d=\"{line}\" stroke=\"#7a4a1e\" stroke-width=\".6\" stroke-dasharray=\"3 1\"/>"
            ),
        );
    }
    svg += "</g>\n";
    svg += &names(round, &paper);
    put(
        &mut svg,
        &format!(
            "<rect width=\"{width:.1}\" height=\"{height:.1}\" fill=\"none\" stroke=\"#000\" \
             stroke-width=\".3\"/>"
        ),
    );
    svg += &foot_line(round, &paper);
    svg + "</svg>\n"
}

fn put(svg: &mut String, element: &str) {
    svg.push_str(element);
    svg.push('\n');
}

/// Names of the stands that are visited, above each; then a dot and a name for each place, to its right, or
/// to its left near the eastern edge.
fn names(round: &SeedSites, paper: &Paper) -> String {
    let mut svg = String::from("<g font-family=\"sans-serif\" font-size=\"2.6\">\n");
    let is_visited = |id: &str| round.stands.iter().any(|one| one.stand_id == id && one.drawn > 0);
    for (id, shape) in drawn_stands(round).filter(|(id, _)| is_visited(id)) {
        let Some(around) = shape.bounding_rect() else { continue };
        let [x, y] = paper.at(Coord { x: around.center().x, y: around.max().y });
        svg += &label([x, (y - 0.8).max(3.0)], "middle", "#3c5233", id);
    }
    for tree in &round.trees {
        let [x, y] = paper.at(Coord { x: tree.easting_m, y: tree.northing_m });
        let (side, anchor) =
            if x > paper.size_mm[0] - 14.0 { (-1.6, "end") } else { (1.6, "start") };
        put(&mut svg, &format!("<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"1\"/>"));
        svg += &label([x + side, y + 0.9], anchor, "#000", short_name(&tree.tree_id));
    }
    svg + "</g>\n"
}

fn drawn_stands(round: &SeedSites) -> impl Iterator<Item = (&str, &MultiPolygon<f64>)> {
    round.drawn.stands.iter().map(|(id, shape)| (id.as_str(), shape))
}

/// A text over a white rim, so that it is read on any ground.
fn label([x, y]: [f64; 2], anchor: &str, colour: &str, text: &str) -> String {
    let text = escaped(text);
    let place = format!("<text x=\"{x:.2}\" y=\"{y:.2}\" text-anchor=\"{anchor}\"");
    format!(
        "{place} fill=\"#fff\" stroke=\"#fff\" stroke-width=\".7\">{text}</text>{place} \
         fill=\"{colour}\">{text}</text>\n"
    )
}

/// `T007` is 7 on the map; names of listed trees are as they are.
fn short_name(id: &str) -> &str {
    match id.strip_prefix('T').map(|rest| rest.trim_start_matches('0')) {
        Some(number) if !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()) => number,
        _ => id,
    }
}

/// Key, scale bar and north arrow below the frame.
fn foot_line(round: &SeedSites, paper: &Paper) -> String {
    let top = paper.size_mm[1] + 4.0;
    let mut key = vec![
        "<tspan fill=\"#56704a\">&#9632;</tspan> stands sampled".to_owned(),
        "<tspan>&#9679;</tspan> place to look at".to_owned(),
        "<tspan fill=\"#999\">&#9472;</tspan> boundary".to_owned(),
    ];
    if !round.drawn.tracks.is_empty() {
        key.push("<tspan fill=\"#7a4a1e\">&#9476;&#9476;</tspan> track".to_owned());
    }
    if !round.drawn.ask.is_empty() {
        let mut names: Vec<&str> = round.drawn.ask.iter().map(|(name, _)| name.as_str()).collect();
        names.dedup();
        let names = escaped(&names.join(", "));
        key.push(format!("<tspan fill=\"#b00020\">&#9480;&#9480;</tspan> ask first: {names}"));
    }
    format!(
        "<g font-family=\"sans-serif\" font-size=\"3\">{}<text x=\"1\" y=\"{:.2}\">{}</text></g>\n",
        paper.scale_and_north(),
        top + 7.5,
        key.join("&#160;&#160;&#160;"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_places_are_short() {
        assert_eq!(
            ["T007", "T100", "Tōtara", "T", "T0"].map(short_name),
            ["7", "100", "Tōtara", "T", "T0"]
        );
    }
}
