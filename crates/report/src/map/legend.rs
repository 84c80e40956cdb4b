//! What colours and patterns stand for, beside a map.

use palette::{BORDER, Class, Pattern, escaped};

use crate::font::{MM, Metrics};
use crate::form::Form;
use crate::text::put;

/// Size of the words of an entry.
const WORDS_PT: f64 = 7.65;
/// Where they begin, from the left of the swatch.
const WORDS_AT_MM: f64 = 11.0;
/// Height of an entry, and of each further line.
const ROW_MM: f64 = 5.9;
const LINE_MM: f64 = 3.2;
/// Height of a heading, and room after a group.
const TITLE_MM: f64 = 4.6;
const AFTER_MM: f64 = 4.0;

/// An entry: how it is drawn, its letter, what it is, and how much there is of it.
pub(super) struct Entry {
    /// Fill of the swatch: a colour or `url(#…)`.
    pub(super) fill: String,
    /// Stroke of the swatch.
    pub(super) stroke: String,
    /// Dashes of the stroke, as SVG has them; `None`: a thin line.
    pub(super) dashes: Option<&'static str>,
    /// Letter on the swatch and its ink.
    pub(super) letter: Option<(String, String)>,
    /// What it is.
    pub(super) words: String,
    /// How much, hectares of map; `None`: not told.
    pub(super) ha: Option<f64>,
}

impl Entry {
    pub(super) fn of_class(paint: String, class: &Class, ha: Option<f64>) -> Self {
        let plain = Self::plain(class, ha);
        // A letter is read on plain colour alone.
        let letter = plain.letter.filter(|_| class.pattern == Pattern::Plain);
        Self { fill: paint, letter, ..plain }
    }

    /// A class drawn in its colour alone, with its letter on it.
    pub(super) fn plain(class: &Class, ha: Option<f64>) -> Self {
        Self {
            fill: class.colour.to_string(),
            stroke: BORDER.to_string(),
            dashes: None,
            letter: Some((class.letter.clone(), class.ink().to_string())),
            words: format!("{}  {}", class.letter, class.label),
            ha,
        }
    }

    /// How much, in words.
    fn amount(&self) -> String {
        self.ha.map_or_else(String::new, |ha| format!("{} ha", Form::Fixed(1).words(&ha.into())))
    }

    /// What it is, in lines that leave room for how much.
    fn lines(&self, wide_mm: f64, metrics: &Metrics<'_>) -> Vec<String> {
        let amount = metrics.width_mm(&self.amount(), WORDS_PT);
        let room = wide_mm - WORDS_AT_MM - if amount > 0.0 { amount + 2.0 } else { 0.0 };
        metrics.lines_at_most(&self.words, WORDS_PT, room, 2)
    }

    /// Its height.
    pub(super) fn high_mm(&self, wide_mm: f64, metrics: &Metrics<'_>) -> f64 {
        ROW_MM + (self.lines(wide_mm, metrics).len() - 1) as f64 * LINE_MM
    }

    /// At a place.
    pub(super) fn svg(&self, [x, y]: [f64; 2], wide_mm: f64, metrics: &Metrics<'_>) -> String {
        let (width, dashes) = match self.dashes {
            Some(dashes) => (".8", format!(" stroke-dasharray=\"{dashes}\"")),
            None => (".3", String::new()),
        };
        let mut svg = format!(
            "<rect x=\"{x}\" y=\"{y:.2}\" width=\"9\" height=\"4.6\" fill=\"{}\" stroke=\"{}\" \
             stroke-width=\"{width}\"{dashes}/>",
            self.fill, self.stroke
        );
        if let Some((letter, ink)) = &self.letter {
            put(
                &mut svg,
                format_args!(
                    "<text x=\"{:.2}\" y=\"{:.2}\" font-size=\"3\" font-weight=\"700\" text-anchor=\"middle\" \
                     fill=\"{ink}\">{}</text>",
                    x + 4.5,
                    y + 3.4,
                    escaped(letter)
                ),
            );
        }
        for (at, line) in self.lines(wide_mm, metrics).iter().enumerate() {
            put(
                &mut svg,
                format_args!(
                    "<text x=\"{:.2}\" y=\"{:.2}\" font-size=\"{:.3}\">{}</text>",
                    x + WORDS_AT_MM,
                    y + 3.3 + at as f64 * LINE_MM,
                    WORDS_PT * MM,
                    escaped(line)
                ),
            );
        }
        let amount = self.amount();
        if !amount.is_empty() {
            put(
                &mut svg,
                format_args!(
                    "<text x=\"{:.2}\" y=\"{:.2}\" font-size=\"{:.3}\" text-anchor=\"end\">{amount}</text>",
                    x + wide_mm,
                    y + 3.3,
                    WORDS_PT * MM
                ),
            );
        }
        svg + "\n"
    }
}

/// Entries under a heading.
pub(super) struct Group {
    title: String,
    entries: Vec<Entry>,
    /// Entries for which there was no room.
    more: usize,
}

impl Group {
    pub(super) fn new(title: &str, entries: Vec<Entry>) -> Self {
        Self { title: title.to_owned(), entries, more: 0 }
    }

    /// Its height with what follows it.
    fn high_mm(&self, wide_mm: f64, metrics: &Metrics<'_>) -> f64 {
        let entries = self.entries.iter().map(|entry| entry.high_mm(wide_mm, metrics));
        TITLE_MM + entries.sum::<f64>() + if self.more > 0 { ROW_MM } else { 0.0 } + AFTER_MM
    }

    /// Leaves out the entry with the least ground, the last of those where none is told.
    fn leave_out_one(&mut self) {
        let least = self.entries.iter().enumerate().rev().min_by(|(_, one), (_, other)| {
            one.ha.unwrap_or(0.0).total_cmp(&other.ha.unwrap_or(0.0))
        });
        if let Some((at, _)) = least {
            self.entries.remove(at);
            self.more += 1;
        }
    }

    /// From a place on down.
    fn svg(&self, [x, top]: [f64; 2], wide_mm: f64, metrics: &Metrics<'_>) -> String {
        let mut svg = format!(
            "<text x=\"{x}\" y=\"{:.2}\" font-size=\"3.6\" font-weight=\"700\">{}</text>\n",
            top + 2.0,
            escaped(&self.title)
        );
        let mut y = top + TITLE_MM;
        for entry in &self.entries {
            svg += &entry.svg([x, y], wide_mm, metrics);
            y += entry.high_mm(wide_mm, metrics);
        }
        if self.more > 0 {
            put(
                &mut svg,
                format_args!(
                    "<text x=\"{:.2}\" y=\"{:.2}\" font-size=\"{:.3}\">and {} more, of less ground</text>\n",
                    x + WORDS_AT_MM,
                    y + 3.3,
                    WORDS_PT * MM,
                    self.more
                ),
            );
        }
        svg
    }
}

/// Groups one below the other, with their height. Where there is no room for all, the longest group leaves out its
/// least and says how many.
pub(super) fn column(
    mut groups: Vec<Group>,
    [x, top]: [f64; 2],
    [wide_mm, room_mm]: [f64; 2],
    metrics: &Metrics<'_>,
) -> (String, f64) {
    let high = |groups: &[Group]| -> f64 {
        groups.iter().map(|group| group.high_mm(wide_mm, metrics)).sum()
    };
    while high(&groups) > room_mm {
        let longest = groups.iter_mut().max_by_key(|group| group.entries.len());
        match longest {
            Some(group) if group.entries.len() > 1 => group.leave_out_one(),
            _ => break,
        }
    }
    let mut svg = String::new();
    let mut y = top;
    for group in &groups {
        svg += &group.svg([x, y], wide_mm, metrics);
        y += group.high_mm(wide_mm, metrics);
    }
    (svg, y - top)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry(words: &str, ha: f64) -> Entry {
        let legend = palette::lines([("key", "name", "A")]);
        Entry { words: words.to_owned(), ..Entry::plain(&legend.classes[0], Some(ha)) }
    }

    #[test]
    fn long_names_leave_room_for_the_amount() {
        let metrics = &Metrics::both().unwrap()[0];
        let long = "Averylongnamewithoutanyplacetopartit".repeat(4);
        for words in [
            long.as_str(),
            "A name of many words that goes on and on for as long as anybody has the breath to say it",
        ] {
            let entry = entry(words, 1234.5);
            let lines = entry.lines(82.0, metrics);
            let amount = metrics.width_mm("1,234.5 ha", WORDS_PT);
            assert_eq!(lines.len(), 2);
            for line in &lines {
                let end = WORDS_AT_MM + metrics.width_mm(line, WORDS_PT);
                assert!(end < 82.0 - amount, "{line} ends at {end}");
            }
        }
    }

    #[test]
    fn a_column_ends_where_its_room_does_and_counts_what_it_leaves_out() {
        let metrics = &Metrics::both().unwrap()[0];
        let lines: Vec<_> = (0..30).map(|at| entry(&format!("Line {at}"), f64::from(at))).collect();
        let groups = || {
            vec![
                Group::new(
                    "Lines",
                    (0..30).map(|at| entry(&format!("Line {at}"), f64::from(at))).collect(),
                ),
                Group::new("Others", vec![entry("left", 0.0)]),
            ]
        };
        let (svg, high) = column(groups(), [0.0, 0.0], [82.0, 120.0], metrics);
        assert!(high <= 120.0, "{high}");
        let shown = svg.matches("Line ").count();
        assert!(svg.contains(&format!("and {} more", lines.len() - shown)), "{svg}");
        assert!(svg.contains("Line 29<") && !svg.contains("Line 0<") && svg.contains("left"));
        let (svg, _) = column(groups(), [0.0, 0.0], [82.0, 400.0], metrics);
        assert!(!svg.contains("more"));
    }
}
