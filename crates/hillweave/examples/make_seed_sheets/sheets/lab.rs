//! The sheet of the laboratory: two flowering seasons, a stand a day.

use std::collections::BTreeMap;
use std::fmt::Write;

use rand::RngExt;
use rand_pcg::Pcg64Mcg;
use spatial::seed::TreeRow;

use super::nectar::{Nectar, Sample};
use super::normal::{normals, some};
use super::truth;

/// Year in which each season begins.
const SEASONS: [i32; 2] = [2024, 2025];
/// Days from 8 December on which stands are visited.
const DAYS: u32 = 36;

/// The sheet.
pub(crate) fn sheet(trees: &[TreeRow], nectar: &[Nectar], chance: &mut Pcg64Mcg) -> String {
    let sampled: Vec<usize> = (0..trees.len()).filter(|at| nectar[*at].is_sampled).collect();
    let pick = |from: &[usize], count, chance: &mut Pcg64Mcg| -> Vec<usize> {
        let mut picked: Vec<usize> =
            some(count, from.len(), chance).into_iter().map(|at| from[at]).collect();
        picked.sort_unstable();
        picked
    };
    let again = pick(&sampled, truth::SAMPLED_AGAIN, chance);
    let of_seasons = normals(SEASONS.len(), chance);
    let mut text = String::from("tree_id,date,lab_id,dha_ug_per_flower,sugar_mg_per_flower\n");
    for ((year, trees_of), beside) in SEASONS.into_iter().zip([&sampled, &again]).zip(of_seasons) {
        let twice = pick(trees_of, truth::TWICE_A_DAY, chance);
        let mut days: BTreeMap<&str, u32> = BTreeMap::new();
        for at in trees_of {
            days.entry(&trees[*at].stand_id).or_insert_with(|| chance.random_range(0..DAYS));
        }
        let mut visits: Vec<(u32, usize)> =
            trees_of.iter().map(|at| (days[trees[*at].stand_id.as_str()], *at)).collect();
        visits.sort_unstable();
        let mut number = 0;
        for (day, at) in visits {
            for _ in 0..if twice.contains(&at) { 2 } else { 1 } {
                number += 1;
                let sample = nectar[at].sample(truth::YEAR_SD * beside, chance);
                put(&mut text, &trees[at].tree_id, (year, day, number), &sample);
            }
        }
    }
    text
}

fn put(text: &mut String, tree: &str, (year, day, number): (i32, u32, u32), sample: &Sample) {
    let date = match day + 8 {
        december if december <= 31 => format!("{year}-12-{december:02}"),
        january => format!("{}-01-{:02}", year + 1, january - 31),
    };
    let dha = match sample.dha_ug {
        little if little < truth::LIMIT_UG => format!("<{}", truth::LIMIT_UG),
        found => format!("{found:.2}"),
    };
    let season = (year + 1) % 100;
    // Writing to a String cannot fail.
    let _ = writeln!(text, "{tree},{date},KF{season}-{number:03},{dha},{:.3}", sample.sugar_mg);
}
