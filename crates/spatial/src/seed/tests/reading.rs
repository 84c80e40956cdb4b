//! Sound sheets are read as they are written.

use std::fmt::Write as _;
use std::time::Instant;

use sourcing::amount::Basis;

use super::*;

fn near(one: f64, other: f64) -> bool {
    (one / other - 1.0).abs() < 1e-12
}

#[test]
fn samples_are_read_as_they_are_written() {
    let text = format!(
        "\u{feff}{LAB}T01,2026-12-20,2640,20,L1,1,1800000.5,5600000\n\nT01,2027-01-10,2000,25,L2,,,\n\
         ,,,,,,,\nT 02,2026-12-20,<8,20\n"
    );
    let sheet = lab(&text).unwrap();
    let [first, again, low] = sheet.samples.as_slice() else { panic!("{sheet:?}") };
    assert_eq!(
        (first.tree_id.as_str(), first.row, first.at),
        ("T01", 2, Some([1_800_000.5, 5_600_000.0]))
    );
    assert!(near(first.ratio, 0.0132) && !first.below_limit);
    assert_eq!(first.sugar, Some((200_000.0, Basis::Weight)));
    assert_eq!((again.row, again.at, again.date.to_string().as_str()), (4, None, "2027-01-10"));
    assert_eq!((first.season, again.season), (2027, 2027));
    assert!(near(again.ratio, 0.008));
    assert_eq!((low.tree_id.as_str(), low.row, low.below_limit), ("T 02", 6, true));
    assert!(near(low.ratio, 4.0 / 200_000.0));
    let [warning] = sheet.warnings.as_slice() else { panic!("{:?}", sheet.warnings) };
    assert_eq!((warning.place, warning.is_error()), (Some((6, 3)), false));
    assert!(
        warning.found.contains("<8") && warning.remedy.contains("half of the limit, 4,"),
        "{warning}"
    );
    assert!(warning.file.as_ref().unwrap().ends_with("sheet.csv"));
}

/// The same sample (2,640 mg/kg beside 200 g/kg, or 30 µg beside 3 mg in a flower) in many forms.
#[test]
fn one_sample_in_many_forms() {
    for (columns, row, ratio) in [
        ("dha (mg/kg),brix", "2640,20", 0.0132),
        ("dha [mg/kg],sugar (°Brix)", "2640,20", 0.0132),
        ("dha_mg_per_kg,sugar_g_per_kg", "2640,200", 0.0132),
        ("DHA (µg/g),Brix", "2640,20", 0.0132),
        ("dha (% w/w),sugar (g/100g)", "0.264,20", 0.0132),
        ("dha,dha_unit,sugar,sugar_unit", "2640,ug/g,200,mg/g", 0.0132),
        (
            "dha (mg/kg),glucose (g/kg),fructose (g/100g),sucrose (mg/kg)",
            "2640,90,10,10000",
            0.0132,
        ),
        ("dha (mg/kg),glucose,fructose,sugar_unit", "2640,9,11,brix", 0.0132),
        ("dha (mg/kg),glucose,glucose_unit,fructose (g/kg)", "2640,9,%w/w,110", 0.0132),
        ("ratio_mg_per_mg", "0.0132", 0.0132),
        ("ratio_mg_per_mg,brix", "0.0132,20", 0.0132),
        ("normalised_mg_per_kg", "10560", 0.0132),
        ("dha (mg/L),sugar (mg/mL)", "2640,200", 0.0132),
        ("dha (µg/flower),sugar (mg/flower)", "30,3", 0.01),
        ("dha (ug/sample),sugar (mg/sample)", "30,3", 0.01),
    ] {
        for separator in [";", "\t"] {
            let text = format!("tree_id,date,{columns}\nT01,2026-12-20,{row}\n");
            let one = lab(&text).unwrap();
            assert!(near(one.samples[0].ratio, ratio), "{columns}: {one:?}");
            assert!(one.warnings.is_empty(), "{columns}: {:?}", one.warnings);
            assert_eq!(
                lab(&text.replace(',', separator)).unwrap().samples,
                one.samples,
                "{columns}"
            );
        }
    }
}

#[test]
fn sugar_is_told_where_the_sheet_has_it() {
    let text = "tree_id,date,ratio_mg_per_mg,brix\nA,2026-12-20,0.01,20\nB,2026-12-20,0.01,\n";
    let samples = lab(text).unwrap().samples;
    assert_eq!(samples[0].sugar, Some((200_000.0, Basis::Weight)));
    assert_eq!(samples[1].sugar, None);
}

#[test]
fn what_is_doubtful_is_warned_of_with_its_row() {
    let text = "tree_id,date,dha (%),glucose (g/kg),fructose (g/kg)\n\
        A,2026-12-20,0.2,100,<2\nB,2026-12-20,1.2,100,100\n";
    let sheet = lab(text).unwrap();
    let told: Vec<_> = sheet.warnings.iter().map(|one| (one.place.unwrap(), &*one.found)).collect();
    assert_eq!(
        told,
        [
            ((1, 3), "`%`, taken as % w/w"),
            ((2, 5), "`<2`, below what the laboratory can tell"),
            ((3, 3), "0.0600 mg DHA to a mg of sugar"),
        ]
    );
    assert!(near(sheet.samples[0].ratio, 2_000.0 / 101_000.0));
    assert!(!sheet.samples[0].below_limit, "its DHA was measured");
    let text = "tree_id,date,dha,dha_unit,brix\nA,2026-12-20,0.2,%,20\nB,2026-12-20,0.2,%,20\n";
    let warnings = lab(text).unwrap().warnings;
    assert_eq!((warnings.len(), warnings[0].place), (1, Some((2, 4))), "once: {warnings:?}");
}

#[test]
fn samples_of_one_day_are_told_apart_by_the_laboratory() {
    let rows = "T01,2026-12-20,2640,20,L1\nT01,2026-12-20,2600,20,L2\n";
    assert_eq!(lab(&format!("{LAB}{rows}")).unwrap().samples.len(), 2);
    let problems =
        lab(&format!("{LAB}{}", rows.replace(",L1", "").replace(",L2", ""))).unwrap_err();
    assert!(problems[0].found.contains("no `lab_id`"), "{}", problems[0]);
}

#[test]
fn trees_are_read_as_they_are_written() {
    let text = format!(
        "\u{feff}{FIELD}T01,1800000,5600000,5,4,3,2,1000000,0,Y,\"steep, wet\"\n\nT02,1800001.5,5600000\n\
         T03,1800002,5600000,,,,,0,5,no,\n"
    );
    let sheet = field(&text).unwrap();
    let [first, bare, last] = sheet.trees.as_slice() else { panic!("{sheet:?}") };
    let scores =
        [first.vigour, first.form, first.flower_number, first.flower_quality, first.disease];
    assert_eq!(scores, [Some(5), Some(4), Some(3), Some(2), Some(0)]);
    assert_eq!(
        (first.seed_capsules, first.permission, first.row),
        (Some(1_000_000), Some(true), 2)
    );
    assert_eq!((bare.vigour, bare.seed_capsules, bare.permission), (None, None, None));
    assert_eq!((bare.row, bare.at), (4, [1_800_001.5, 5_600_000.0]));
    assert_eq!(
        (last.seed_capsules, last.disease, last.permission),
        (Some(0), Some(5), Some(false))
    );
    let every: Vec<&str> = super::super::columns::field_columns().collect();
    let cells = every.iter().map(|name| match *name {
        "tree_id" => "T01",
        "easting_m" => "1800000",
        "northing_m" => "5600000",
        _ => "",
    });
    let text = format!("{}\n{}\n", every.join(";"), cells.collect::<Vec<_>>().join(";"));
    assert_eq!(field(&text).unwrap().trees[0].at, [1_800_000.0, 5_600_000.0]);
}

/// Rows of a long sheet: fewer where the code is not made fast.
const LONG: usize = if cfg!(debug_assertions) { 10_000 } else { 100_000 };

/// Not a benchmark, which would be true of one machine: what long sheets hold is checked, and the times
/// are printed for who asks (`--release -- long_sheets --nocapture`).
#[test]
fn long_sheets_are_read_and_joined() {
    let mut text = LAB.to_owned();
    for row in 0..LONG {
        let (tree, day, dha) = (row / 2, 1 + row % 2, 900 + row % 5_000);
        let east = 1_800_000 + tree;
        writeln!(text, "S001-T{tree:05},2026-12-{day:02},{dha},20.5,L{row},1,{east},5600000")
            .unwrap();
    }
    let mut trees = FIELD.to_owned();
    for tree in 0..LONG / 2 {
        let east = 1_800_000 + tree;
        writeln!(trees, "S001-T{tree:05},{east},5600000,3,3,3,3,2000,0,y,").unwrap();
    }
    let start = Instant::now();
    let sheet = lab(&text).unwrap();
    println!("{LONG} samples, {} bytes: {:?}", text.len(), start.elapsed());
    let start = Instant::now();
    let field = field(&trees).unwrap();
    println!("{} trees, {} bytes: {:?}", LONG / 2, trees.len(), start.elapsed());
    let start = Instant::now();
    let joined = join(&sheet, &field).unwrap();
    println!("joined: {:?}", start.elapsed());
    let last = sheet.samples.last().unwrap();
    assert_eq!((sheet.samples.len(), last.row), (LONG, LONG + 1));
    assert!(near(last.ratio, f64::from(900 + (LONG as u32 - 1) % 5_000) / 205_000.0));
    assert_eq!(joined.trees.len(), LONG / 2);
    assert!(joined.trees.iter().all(|tree| tree.samples.len() == 2) && joined.warnings.is_empty());
}
