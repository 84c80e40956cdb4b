//! The ranking as a page to read and print.

use palette::escaped;

use super::curve::curve;
use super::rows::{RankRow, SeedRank, TraitRow};
use super::summary::{chance_words, label};
use crate::units::thousands;
use crate::write::{PAGE_END, UPRIGHT, page_head, put};

/// What this page adds to the style of upright ones.
const STYLE: &str = "tr.on td{background:#eef3e6}\
svg{width:100%;height:auto;break-inside:avoid}";

/// The page, UTF-8.
pub(super) fn page(rank: &SeedRank) -> String {
    let site = escaped(&rank.site);
    let title = format!("{site}: mother trees ranked");
    let mut page = page_head(&title, &[UPRIGHT, STYLE], &title);
    let seasons: Vec<String> = rank.seasons.iter().map(i32::to_string).collect();
    put(
        &mut page,
        format_args!(
            "<p>{} trees of {} stands, {} samples, flowering seasons {}</p>",
            rank.trees.len(),
            rank.stands,
            rank.samples,
            seasons.join(", "),
        ),
    );
    nectar(&mut page, rank);
    choice(&mut page, rank);
    seed(&mut page, rank);
    honey(&mut page, rank);
    mothers(&mut page, rank);
    page += "<h2>Before you go</h2>\n<ul>\n";
    for caution in &rank.cautions {
        put(&mut page, format_args!("{}", caution.item()));
    }
    page + "</ul>\n" + PAGE_END
}

/// A whole number with commas between thousands.
pub(super) fn whole(number: f64) -> String {
    let text = thousands(number.abs().round_ties_even() as u64);
    if number < 0.0 && text != "0" { format!("−{text}") } else { text }
}

/// A number as tables have it: whole from a hundred up.
fn figure(number: f64, is_large: bool) -> String {
    if is_large { whole(number) } else { format!("{number:.2}").replace('-', "−") }
}

fn nectar(page: &mut String, rank: &SeedRank) {
    page.push_str(
        "<h2>Where the differences lie</h2>\n<table><thead><tr><th>trait</th><th>unit</th>\
         <th class=\"n\">records</th><th class=\"n\">mean</th><th class=\"n\">between<br>trees</th>\
         <th class=\"n\">stands</th><th class=\"n\">years</th><th class=\"n\">rest</th>\
         <th class=\"n\">repeat-<br>ability</th></tr></thead><tbody>\n",
    );
    for row in &rank.traits {
        trait_line(page, row);
    }
    page.push_str("</tbody></table>\n<p class=\"note\">Standard deviations, by restricted maximum likelihood. ");
    page.push_str("A dash: the sheet cannot tell; a star: repeatability is the site's own, for no tree has two records.</p>\n");
    if let Some(one) = &rank.dha_sugar {
        put(
            page,
            format_args!(
                "<p>DHA and sugar go together with r = {:.2} (95 %: {:.2} to {:.2}, {} trees).</p>",
                one.r, one.low, one.high, one.trees
            ),
        );
    }
    let out = &rank.outstanding;
    put(
        page,
        format_args!(
            "<p>Trees that are truly above {} mg DHA/kg at 80 °Brix: {:.1} to expect among those tested; the chance \
         that there is none at all is {}. Samples alone would have named {}.</p>",
            whole(out.from_mg_per_kg),
            out.expected,
            chance_words(out.chance_of_none),
            out.by_samples
        ),
    );
}

fn trait_line(page: &mut String, row: &TraitRow) {
    let is_large = row.mean.abs() >= 100.0;
    let some =
        |number: Option<f64>| number.map_or_else(|| "–".to_owned(), |one| figure(one, is_large));
    put(
        page,
        format_args!(
            "<tr><td>{}</td><td>{}</td><td class=\"n\">{}</td><td class=\"n\">{} ± {}</td>\
         <td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td>\
         <td class=\"n\">{:.2}{}</td></tr>",
            escaped(&label(&row.name)),
            escaped(row.unit),
            row.records,
            figure(row.mean, is_large),
            figure(row.mean_error, is_large),
            some(row.tree_sd),
            some(row.stand_sd),
            some(row.year_sd),
            figure(row.error_sd, is_large),
            row.repeatability,
            if row.repeatability_from == "site" { "*" } else { "" },
        ),
    );
}

fn choice(page: &mut String, rank: &SeedRank) {
    let choice = &rank.choice;
    put(
        page,
        format_args!(
            "<h2>Mothers: gain against diversity</h2>\n<p>{} mothers of {} trees that may be; status number {:.1}; an \
         allele of frequency 0.05 is held with a chance of {}.</p>",
            choice.mothers,
            choice.eligible,
            choice.status_number,
            chance_words(choice.allele_chance)
        ),
    );
    page.push_str(&curve(&rank.trade_off));
    page.push_str(
        "<table><thead><tr><th>trait</th><th>unit</th><th class=\"n\">gain to expect</th><th class=\"n\">from</th>\
         <th class=\"n\">to</th></tr></thead><tbody>\n",
    );
    for gain in &choice.gains {
        let is_large = gain.high.abs() >= 100.0;
        put(
            page,
            format_args!(
                "<tr><td>{}</td><td>{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td>\
             <td class=\"n\">{}</td></tr>",
                escaped(&label(&gain.name)),
                escaped(gain.unit),
                figure(gain.expected, is_large),
                figure(gain.low, is_large),
                figure(gain.high, is_large)
            ),
        );
    }
    page.push_str(
        "</tbody></table>\n<p class=\"note\">Of open-pollinated seed beside seed of all trees: half of what the mothers \
         have. From half the heritability to the most that repeatability allows, with 95 % of what samples \
         leave open. Nobody has published how much of nectar DHA is handed down.</p>\n",
    );
}

fn seed(page: &mut String, rank: &SeedRank) {
    let raising = &rank.raising;
    put(
        page,
        format_args!(
            "<h2>Seed and seedlings</h2>\n<p>{} capsules, within the harvest limit of each mother, give about {} seedlings \
         ({:.1} seeds, {:.1} of them alive, for each that can be planted). Gathered {} to {}, sown {} to {}: plants for \
         the winter of {}. Sowing may slip by {} months; a lost year means {}; by the lead time that contract \
         nurseries ask for it is {}.</p>",
            whole(raising.capsules as f64),
            whole(raising.seedlings as f64),
            raising.seeds_per_seedling,
            raising.live_seeds_per_seedling,
            raising.gather[0],
            raising.gather[1],
            raising.sow[0],
            raising.sow[1],
            raising.first_winter,
            raising.slack_months,
            raising.after_a_lost_year,
            raising.by_contract
        ),
    );
    if rank.winters.is_empty() {
        return;
    }
    page.push_str(
        "<table><thead><tr><th>winter of the plan</th><th class=\"n\">local plants ordered</th>\
         <th class=\"n\">this seed gives</th><th class=\"n\">share</th><th class=\"n\">after a lost year</th></tr></thead><tbody>\n",
    );
    for row in &rank.winters {
        put(
            page,
            format_args!(
                "<tr><td>{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{:.0} %</td><td class=\"n\">{}</td></tr>",
                row.winter.map_or_else(|| "any".to_owned(), |winter| winter.to_string()),
                whole(row.wanted as f64),
                whole(row.supplied as f64),
                row.supplied_share * 100.0,
                whole(row.supplied_after_a_lost_year as f64)
            ),
        );
    }
    page.push_str("</tbody></table>\n");
}

fn honey(page: &mut String, rank: &SeedRank) {
    let Some(honey) = &rank.honey else { return };
    put(
        page,
        format_args!(
            "<h2>What honey it points to</h2>\n<p>DHA of fresh honey {} to {}, MGO once it has settled {} to {} \
         mg/kg. Honey of this nectar alone could not pass {}. Ranges, because:</p>\n<ul>",
            whole(honey.fresh_dha_mg_per_kg[0]),
            whole(honey.fresh_dha_mg_per_kg[1]),
            whole(honey.settled_mgo_mg_per_kg[0]),
            whole(honey.settled_mgo_mg_per_kg[1]),
            whole(honey.ceiling_mgo_mg_per_kg)
        ),
    );
    for reason in &honey.reasons {
        put(page, format_args!("<li>{}</li>", escaped(reason)));
    }
    page.push_str("</ul>\n");
}

fn mothers(page: &mut String, rank: &SeedRank) {
    page.push_str(
        "<h2>Mothers</h2>\n<table><thead><tr><th>tree</th><th>stand</th><th class=\"n\">easting, northing, m</th>\
         <th class=\"n\">DHA, mg/kg<br>at 80 °Brix</th><th>band</th><th class=\"n\">samples</th><th class=\"n\">capsules<br>to take</th>\
         <th class=\"n\">share of<br>the seed</th><th>allowed</th></tr></thead><tbody>\n",
    );
    for tree in rank.trees.iter().filter(|tree| tree.mother == "yes") {
        mother(page, tree);
    }
    page.push_str("</tbody></table>\n<p class=\"note\">Bag seed of each mother by itself, with tree, place, date and weight.</p>\n");
}

fn mother(page: &mut String, tree: &RankRow) {
    put(
        page,
        format_args!(
            "<tr><td><b>{}</b></td><td>{}</td><td class=\"n\">{:.0}, {:.0}</td><td class=\"n\">{} ± {}</td><td>{}</td>\
         <td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{:.1} %</td><td>{}</td></tr>",
            escaped(&tree.tree_id),
            escaped(tree.stand_id.as_deref().unwrap_or("–")),
            tree.easting_m,
            tree.northing_m,
            whole(tree.dha_value),
            whole(tree.dha_error),
            tree.band,
            tree.samples,
            tree.take_capsules,
            tree.seed_share * 100.0,
            tree.permission.unwrap_or("ask")
        ),
    );
}
