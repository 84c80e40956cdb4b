//! The field sheet as a crew fills it in.

use std::error::Error;

use rand::RngExt;
use rand_pcg::Pcg64Mcg;
use spatial::seed::columns::BLANK;

use super::nectar::Nectar;
use super::normal::{normal, some};
use super::truth;

/// What a crew writes of one tree.
#[derive(Default, Clone)]
struct Seen {
    vigour: Option<u8>,
    form: Option<u8>,
    flower_number: Option<u8>,
    flower_quality: Option<u8>,
    seed_capsules: Option<u32>,
    disease: Option<u8>,
    permission: &'static str,
    note: &'static str,
}

/// Fills the blank columns in.
pub(crate) fn filled(
    blank: &str,
    nectar: &[Nectar],
    chance: &mut Pcg64Mcg,
) -> Result<String, Box<dyn Error>> {
    let mut rows = csv::Reader::from_reader(blank.as_bytes());
    let header = rows.headers()?.clone();
    let rows: Vec<csv::StringRecord> = rows.records().collect::<Result<_, _>>()?;
    let mut seen = see(nectar, chance);
    let first_blank = header.len() - BLANK.len();
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record(&header)?;
    for (row, seen) in rows.iter().zip(&mut seen) {
        let near_the_site = row.iter().any(|cell| cell.contains("recorded site"));
        if near_the_site {
            (seen.permission, seen.note) = ("no", "near the recorded site: not agreed to");
        }
        let photo = format!("{}.jpg", row.get(0).unwrap_or_default());
        let place = row.iter().take(first_blank).map(str::to_owned);
        out.write_record(place.chain(seen.cells(photo)))?;
    }
    Ok(String::from_utf8(out.into_inner()?)?)
}

/// Scores of every tree.
fn see(nectar: &[Nectar], chance: &mut Pcg64Mcg) -> Vec<Seen> {
    let mut seen: Vec<Seen> = nectar.iter().map(|nectar| one(nectar, chance)).collect();
    // The first are stunted, the next diseased, then single cells that were forgotten.
    let odd = some(2 * truth::POOR + 5, seen.len(), chance);
    let (poor, forgotten) = odd.split_at(2 * truth::POOR);
    let (stunted, diseased) = poor.split_at(truth::POOR);
    for at in stunted {
        let capsules = seen[*at].seed_capsules.map(|count| (count / 4).max(100));
        let low = Some(1);
        seen[*at] = Seen {
            vigour: low,
            form: low,
            seed_capsules: capsules,
            note: "stunted",
            ..seen[*at].clone()
        };
    }
    for at in diseased {
        (seen[*at].disease, seen[*at].note) = (Some(4), "branches dying back");
    }
    for (at, what) in forgotten.iter().zip(0..) {
        match what {
            0 => seen[*at].vigour = None,
            1 => seen[*at].flower_quality = None,
            2 => seen[*at].disease = None,
            3 => seen[*at].permission = "",
            _ => seen[*at].seed_capsules = None,
        }
    }
    seen
}

fn one(nectar: &Nectar, chance: &mut Pcg64Mcg) -> Seen {
    let size = normal(chance); // what makes a tree large shows in all its scores
    let mut score = |mean: f64, by_size: f64, least: f64| {
        let found = mean + by_size * size + 0.7 * normal(chance);
        Some(found.round().clamp(least, 5.0) as u8)
    };
    // The poorest vigour is for the stunted alone.
    let (vigour, form) = (score(3.3, 0.7, 2.0), score(3.1, 0.4, 1.0));
    let (flower_number, flower_quality) = (score(3.2, 0.5, 1.0), score(3.2, 0.2, 1.0));
    // Some hundred to several thousand, in tens.
    let capsules = 1_900.0 + 800.0 * size + 500.0 * normal(chance);
    let seed_capsules = Some((capsules / 10.0).round().clamp(30.0, 600.0) as u32 * 10);
    let disease = Some(u8::from(chance.random_bool(0.25)) + u8::from(chance.random_bool(0.1)));
    let note = if nectar.is_sampled { "" } else { "no open flower in reach" };
    Seen {
        vigour,
        form,
        flower_number,
        flower_quality,
        seed_capsules,
        disease,
        permission: "yes",
        note,
    }
}

impl Seen {
    /// The cells, in the order of the blank columns.
    fn cells(&self, photo: String) -> [String; BLANK.len()] {
        let score = |score: Option<u8>| score.map(|one| one.to_string()).unwrap_or_default();
        [
            score(self.vigour),
            score(self.form),
            score(self.flower_number),
            score(self.flower_quality),
            self.seed_capsules.map(|count| count.to_string()).unwrap_or_default(),
            score(self.disease),
            photo,
            self.permission.to_owned(),
            self.note.to_owned(),
        ]
    }
}
