//! Every kind of fault has its place, its item, what was found and a remedy.

use super::*;

/// What is asked of a problem: line and column, the end of its item, a word of what was found and one of
/// the remedy.
type Told = ((usize, usize), &'static str, &'static str, &'static str);

fn check(kind: &str, problem: &Problem, (place, item, found, remedy): Told) {
    assert_eq!(problem.place, Some(place), "{kind}: {problem}");
    assert!(problem.item.ends_with(item), "{kind}: {problem}");
    assert!(problem.found.contains(found), "{kind}: {problem}");
    assert!(problem.remedy.contains(remedy), "{kind}: {problem}");
    assert!(problem.is_error() && !problem.expected.is_empty(), "{kind}: {problem}");
    assert!(problem.file.is_some(), "{kind}: {problem}");
}

/// Rows of a lab sheet that begins with a sound row, so they stand in line 3.
const LAB_ROWS: [(&str, &str, Told); 38] = [
    ("blank tree", ",2026-12-20,900,20", ((3, 1), "tree_id", "nothing", "fill")),
    ("no date", "A1,,900,20", ((3, 2), "`A1`, date", "nothing", "season")),
    (
        "date in another form",
        "A2,20/12/2026,900,20",
        ((3, 2), "date", "20/12/2026", "year-month-day"),
    ),
    ("no such day", "A3,2027-02-30,900,20", ((3, 2), "date", "no day of the calendar", "month")),
    ("no DHA", "A4,2026-12-20,,20", ((3, 3), "dha", "nothing", "fill")),
    ("negative DHA", "A5,2026-12-20,-9,20", ((3, 3), "dha", "-9 of DHA", "<5")),
    ("no DHA found", "A6,2026-12-20,0,20", ((3, 3), "dha", "0 of DHA", "limit")),
    ("not detected", "A7,2026-12-20,n.d.,20", ((3, 3), "dha", "n.d.", "`<5`")),
    ("below a limit not told", "A8,2026-12-20,<LOD,20", ((3, 3), "dha", "<LOD", "`<5`")),
    ("above the range", "A9,2026-12-20,>9000,20", ((3, 3), "dha", ">9000", "thinned")),
    ("decimal comma", "B1,2026-12-20,\"900,5\",20", ((3, 3), "dha", "900,5", "`900.5`")),
    ("separator of thousands", "B2,2026-12-20,\"3,500\",20", ((3, 3), "dha", "3,500", "`3500`")),
    ("blank for thousands", "B3,2026-12-20,3 500,20", ((3, 3), "dha", "3 500", "`3500`")),
    ("unit in the cell", "B4,2026-12-20,900 mg/kg,20", ((3, 3), "dha", "900 mg/kg", "heading")),
    ("percent sign", "B5,2026-12-20,900,20%", ((3, 4), "sugar", "20%", "% w/w")),
    ("not a number", "B6,2026-12-20,NaN,20", ((3, 3), "dha", "NaN", "digits")),
    ("infinite", "B7,2026-12-20,900,inf", ((3, 4), "sugar", "inf", "digits")),
    ("too large to hold", "B8,2026-12-20,1e999,20", ((3, 3), "dha", "1e999", "digits")),
    ("no sugar", "C1,2026-12-20,900,", ((3, 4), "sugar", "nothing", "fill")),
    ("sugar of 0", "C2,2026-12-20,900,0", ((3, 4), "sugar", "0 of sugar", "nectar")),
    ("negative sugar", "C3,2026-12-20,900,-20", ((3, 4), "sugar", "-20 of sugar", "nectar")),
    ("over 100 °Brix", "C4,2026-12-20,900,200", ((3, 4), "sugar", "200.0 °Brix", "report")),
    ("sugar below a limit", "C5,2026-12-20,900,<2", ((3, 4), "sugar", "<2", "take the row out")),
    ("more DHA than sugar", "C6,2026-12-20,300000,20", ((3, 3), "dha", "1.500 mg DHA", "units")),
    ("pool by its number", "D1,2026-12-20,900,20,L9,10", ((3, 6), "trees", "10 trees", "singly")),
    ("pool by its name", "D2+D3,2026-12-20,900,20", ((3, 1), "tree_id", "a pool", "singly")),
    ("pool by a range", "D2 to D9,2026-12-20,900,20", ((3, 1), "tree_id", "a pool", "singly")),
    ("pool by a word", "pooled D,2026-12-20,900,20", ((3, 1), "tree_id", "a pool", "singly")),
    ("no number of trees", "D4,2026-12-20,900,20,L9,one", ((3, 6), "trees", "`one`", "write 1")),
    ("no tree in it", "D5,2026-12-20,900,20,L9,0", ((3, 6), "trees", "`0`", "write 1")),
    (
        "the same sample again",
        "T01,2026-12-20,900,20,L1",
        ((3, 1), "tree_id", "`L1` again, as in row 2", "take one of the rows out"),
    ),
    (
        "one coordinate",
        "E1,2026-12-20,900,20,L9,1,1800000,",
        ((3, 8), "northing_m", "no coordinate", "where the tree stands"),
    ),
    (
        "longitude and latitude",
        "E2,2026-12-20,900,20,L9,1,176.2,-39.1",
        ((3, 7), "easting_m", "longitude and latitude", "longitude_deg"),
    ),
    (
        "a coordinate that is none",
        "E3,2026-12-20,900,20,L9,1,1800000,north",
        ((3, 8), "northing_m", "`north`", "digits"),
    ),
    (
        "a coordinate off the earth",
        "E4,2026-12-20,900,20,L9,1,1e12,5600000",
        ((3, 7), "easting_m", "`1e12`", "went out"),
    ),
    (
        "a cell too many",
        "E5,2026-12-20,900,20,L9,1,1800000,5600000,ridge",
        ((3, 9), "row", "`ridge` beyond", "quotation"),
    ),
    (
        "a number parted by its comma",
        "E7,2026-12-20,900,5,20,L9,1,1800000,",
        ((3, 9), "row", "a blank cell beyond", "decimals with a point"),
    ),
    ("a tilde for about", "E6,2026-12-20,~900,20", ((3, 3), "dha", "~900", "digits")),
];

const SOUND: &str = "T01,2026-12-20,2640,20,L1,1,1800000,5600000\n";

#[test]
fn faults_of_lab_rows() {
    for (kind, row, told) in LAB_ROWS {
        let problems = lab(&format!("{LAB}{SOUND}{row}\n")).unwrap_err();
        assert_eq!(problems.len(), 1, "{kind}: {problems:?}");
        check(kind, &problems[0], told);
    }
}

#[test]
fn all_faults_of_a_sheet_are_told_at_once() {
    let rows: Vec<&str> = LAB_ROWS.iter().map(|(_, row, _)| *row).collect();
    let problems = lab(&format!("{LAB}{SOUND}{}\n", rows.join("\n"))).unwrap_err();
    assert_eq!(problems.len(), LAB_ROWS.len(), "{problems:?}");
    let lines: Vec<usize> = problems.iter().map(|problem| problem.place.unwrap().0).collect();
    assert_eq!(lines, (3..3 + LAB_ROWS.len()).collect::<Vec<_>>());
    let problems = lab("tree_id,date,dha (mg/kg),sugar (°Brix)\n,today,x,-1\n").unwrap_err();
    assert_eq!(problems.len(), 4, "four cells of one row: {problems:?}");
}

/// Whole lab sheets.
const LAB_SHEETS: [(&str, &str, Told); 30] = [
    ("empty", "", ((1, 1), "lab sheet", "no sample", "laboratory sent")),
    ("blank lines alone", "\n\n", ((1, 1), "lab sheet", "no sample", "laboratory sent")),
    (
        "first row alone",
        "tree_id,date,dha (mg/kg),brix\n",
        ((1, 1), "lab sheet", "no sample", "laboratory sent"),
    ),
    (
        "a missing column",
        "tree_id,dha (mg/kg),brix\nA,9,20\n",
        ((1, 1), "column `date`", "nothing", "add it to the first row"),
    ),
    (
        "an unknown column",
        "tre_id,date,tree_id,ratio_mg_per_mg\nA,2026-12-20,A,0.01\n",
        ((1, 1), "column `tre_id`", "unknown column", "`tree_id`"),
    ),
    (
        "a column like none",
        "tree_id,date,ratio_mg_per_mg,weather\nA,2026-12-20,0.01,fine\n",
        ((1, 4), "column `weather`", "unknown column", "`note`"),
    ),
    (
        "a column again",
        "tree_id,date,ratio_mg_per_mg,date\nA,2026-12-20,0.01,2026-12-20\n",
        ((1, 4), "column `date`", "again", "take one"),
    ),
    (
        "two columns of one figure",
        "tree_id,date,dha (mg/kg),sugar (°Brix),brix\nA,2026-12-20,900,20,20\n",
        ((1, 5), "column `brix`", "another column of `sugar`", "take one"),
    ),
    (
        "no column of DHA",
        "tree_id,date,sugar (°Brix)\nA,2026-12-20,20\n",
        ((1, 1), "column `dha`", "nothing", "`dha (mg/kg)`"),
    ),
    (
        "no column of sugar",
        "tree_id,date,dha (mg/kg)\nA,2026-12-20,900\n",
        ((1, 1), "column `sugar`", "nothing", "`sugar (°Brix)`"),
    ),
    (
        "DHA without a unit",
        "tree_id,date,dha,sugar (°Brix)\nA,2026-12-20,900,20\n",
        ((1, 3), "column `dha`", "no unit", "never guessed"),
    ),
    (
        "sugar without a unit",
        "tree_id,date,dha (mg/kg),sugar\nA,2026-12-20,900,20\n",
        ((1, 4), "column `sugar`", "no unit", "never guessed"),
    ),
    (
        "an unknown unit in the heading",
        "tree_id,date,dha (mmol/L),sugar (°Brix)\nA,2026-12-20,900,20\n",
        ((1, 3), "column `dha`", "`mmol/L`", "convert"),
    ),
    (
        "a unit that may be two",
        "tree_id,date,dha (ppm),sugar (°Brix)\nA,2026-12-20,900,20\n",
        ((1, 3), "column `dha`", "mg/kg or mg/L", "ask the laboratory"),
    ),
    (
        "DHA in °Brix",
        "tree_id,date,dha (°Brix),sugar (°Brix)\nA,2026-12-20,900,20\n",
        ((1, 3), "column `dha`", "°Brix", "DHA"),
    ),
    (
        "a unit told twice",
        "tree_id,date,dha (mg/kg),dha_unit,sugar (°Brix)\nA,2026-12-20,900,mg/kg,20\n",
        ((1, 3), "column `dha`", "dha_unit", "take the unit out"),
    ),
    (
        "an unknown unit in a row",
        "tree_id,date,dha,dha_unit,sugar (°Brix)\nA,2026-12-20,900,mg/pound,20\n",
        ((2, 4), "dha_unit", "`mg/pound`", "convert"),
    ),
    (
        "no unit in a row",
        "tree_id,date,dha,dha_unit,sugar (°Brix)\nA,2026-12-20,900,,20\n",
        ((2, 4), "dha_unit", "no unit", "never guessed"),
    ),
    (
        "DHA in °Brix in a row",
        "tree_id,date,dha,dha_unit,sugar (°Brix)\nA,2026-12-20,900,Brix,20\n",
        ((2, 4), "dha_unit", "°Brix", "DHA"),
    ),
    (
        "DHA by weight and sugar by volume",
        "tree_id,date,dha (mg/kg),sugar (g/L)\nA,2026-12-20,900,200\n",
        ((2, 3), "dha", "by weight and sugar by volume", "density"),
    ),
    (
        "sugar of one row by something else",
        "tree_id,date,dha,dha_unit,sugar,sugar_unit\nA,2026-12-20,900,mg/kg,20,brix\n\
         B,2026-12-20,900,mg/L,200,g/L\n",
        ((3, 6), "sugar_unit", "by volume, and by weight in row 2", "split the sheet"),
    ),
    (
        "sugars of one row by different things",
        "tree_id,date,dha (mg/kg),glucose (g/kg),fructose (g/L)\nA,2026-12-20,900,100,100\n",
        ((2, 5), "fructose", "by weight and by volume", "density"),
    ),
    (
        "more sugar than a litre holds",
        "tree_id,date,dha (mg/L),sugar (g/L)\nA,2026-12-20,900,2000\n",
        ((2, 4), "sugar", "2000 g/L", "unit"),
    ),
    (
        "one sugar missing in a row",
        "tree_id,date,dha (mg/kg),glucose (g/kg),fructose (g/kg)\nA,2026-12-20,900,100,\n",
        ((2, 5), "fructose", "nothing", "fill"),
    ),
    (
        "a main sugar not measured",
        "tree_id,date,dha (mg/kg),glucose (g/kg)\nA,2026-12-20,900,100\n",
        ((1, 1), "column `fructose`", "nothing", "total"),
    ),
    (
        "sugar and its parts",
        "tree_id,date,dha (mg/kg),brix,sucrose (g/kg)\nA,2026-12-20,900,20,3\n",
        ((1, 5), "column `sucrose`", "beside `sugar`", "parts"),
    ),
    (
        "ratio and DHA",
        "tree_id,date,dha (mg/kg),brix,ratio_mg_per_mg\nA,2026-12-20,900,20,0.01\n",
        ((1, 5), "column `ratio_mg_per_mg`", "beside `dha`", "all but one"),
    ),
    (
        "a decimal comma between semicolons",
        "tree_id;date;dha (mg/kg);brix\nA;2026-12-20;900;20,5\n",
        ((2, 4), "sugar", "`20,5`", "`20.5`, with a point, whether commas or semicolons"),
    ),
    (
        "a ratio above 1",
        "tree_id,date,normalised_mg_per_kg\nA,2026-12-20,900000\n",
        ((2, 3), "normalised_mg_per_kg", "1.125 mg DHA", "units"),
    ),
    (
        "easting without northing",
        "tree_id,date,ratio_mg_per_mg,easting_m\nA,2026-12-20,0.01,\n",
        ((1, 1), "column `northing_m`", "nothing", "add the column"),
    ),
];

#[test]
fn faults_of_whole_lab_sheets() {
    for (kind, text, told) in LAB_SHEETS {
        let problems = lab(text).unwrap_err();
        assert_eq!(problems.len(), 1, "{kind}: {problems:?}");
        check(kind, &problems[0], told);
    }
}

/// Rows of a field sheet that begins with a sound row, so they stand in line 3.
const FIELD_ROWS: [(&str, &str, Told); 17] = [
    ("blank tree", ",1800000,5600000", ((3, 1), "tree_id", "nothing", "fill")),
    ("a tree again", "T01,1800000,5600000", ((3, 1), "tree_id", "as in row 2", "take one")),
    ("no easting", "A1,,5600000", ((3, 2), "easting_m", "no coordinate", "stands")),
    ("no northing", "A2,1800000,", ((3, 3), "northing_m", "no coordinate", "stands")),
    ("degrees", "A3,176.2,-39.1", ((3, 2), "easting_m", "longitude", "longitude_deg")),
    (
        "decimal comma",
        "A4,\"1800000,5\",5600000",
        ((3, 2), "easting_m", "1800000,5", "`1800000.5`"),
    ),
    ("separators", "A5,1 800 000,5600000", ((3, 2), "easting_m", "1 800 000", "`1800000`")),
    ("score of 6", "A6,1800000,5600000,6", ((3, 4), "vigour", "`6`", "digits")),
    ("score of 0", "A7,1800000,5600000,5,0", ((3, 5), "form", "`0`", "digits")),
    (
        "score with a fraction",
        "A8,1800000,5600000,5,5,4.5",
        ((3, 6), "flower_number", "`4.5`", "fraction"),
    ),
    (
        "score in words",
        "A9,1800000,5600000,5,5,5,good",
        ((3, 7), "flower_quality", "`good`", "digits"),
    ),
    (
        "capsules",
        "B1,1800000,5600000,5,5,5,5,1000001",
        ((3, 8), "seed_capsules", "1000001", "digits"),
    ),
    ("signed capsules", "B2,1800000,5600000,5,5,5,5,+9", ((3, 8), "seed_capsules", "`+9`", "sign")),
    ("disease of 6", "B3,1800000,5600000,5,5,5,5,9,6", ((3, 9), "disease", "`6`", "digits")),
    ("permission", "B4,1800000,5600000,5,5,5,5,9,0,ask", ((3, 10), "permission", "`ask`", "`yes`")),
    (
        "permission as a mark",
        "B5,1800000,5600000,5,5,5,5,9,0,x",
        ((3, 10), "permission", "`x`", "`no`"),
    ),
    (
        "a cell too many",
        "B6,1800000,5600000,5,5,5,5,9,0,y,wet,cold",
        ((3, 12), "row", "`cold` beyond", "quotation"),
    ),
];

#[test]
fn faults_of_field_rows() {
    let sound = "T01,1800000,5600000\n";
    for (kind, row, told) in FIELD_ROWS {
        let problems = field(&format!("{FIELD}{sound}{row}\n")).unwrap_err();
        assert_eq!(problems.len(), 1, "{kind}: {problems:?}");
        check(kind, &problems[0], told);
    }
    let rows: Vec<&str> = FIELD_ROWS.iter().map(|(_, row, _)| *row).collect();
    let problems = field(&format!("{FIELD}{sound}{}\n", rows.join("\n"))).unwrap_err();
    assert_eq!(problems.len(), FIELD_ROWS.len(), "{problems:?}");
}

/// Whole field sheets.
const FIELD_SHEETS: [(&str, &str, Told); 5] = [
    ("empty", "", ((1, 1), "field sheet", "no tree", "came back")),
    ("first row alone", FIELD, ((1, 1), "field sheet", "no tree", "came back")),
    (
        "no northing",
        "tree_id,easting_m\nA,1800000\n",
        ((1, 1), "column `northing_m`", "nothing", "add it"),
    ),
    (
        "an unknown column",
        "tree_id,easting_m,northing_m,vigor\nA,1800000,5600000,3\n",
        ((1, 4), "column `vigor`", "unknown column", "`vigour`"),
    ),
    (
        "a column again",
        "tree_id,easting_m,northing_m,form,form\nA,1800000,5600000,3,3\n",
        ((1, 5), "column `form`", "again", "take one"),
    ),
];

#[test]
fn faults_of_whole_field_sheets() {
    for (kind, text, told) in FIELD_SHEETS {
        let problems = field(text).unwrap_err();
        assert_eq!(problems.len(), 1, "{kind}: {problems:?}");
        check(kind, &problems[0], told);
    }
}

/// A file that cannot be read as text is told by its name, not by a row.
#[test]
fn files_that_are_no_sheets() {
    type Read = fn(&Path) -> Option<Vec<Problem>>;
    let readers: [(Read, &str); 2] =
        [(|file| read_lab(file).err(), "samples"), (|file| read_field(file).err(), "field sheet")];
    for (read, word) in readers {
        let room = tempfile::tempdir().unwrap();
        let folder = read(room.path()).unwrap();
        assert!(folder[0].found == "a folder" && folder[0].remedy.contains(word), "{}", folder[0]);
        let missing = read(&room.path().join("lost.csv")).unwrap();
        assert!(missing[0].remedy.contains("CSV file"), "{}", missing[0]);
        assert!(missing[0].file.as_ref().unwrap().ends_with("lost.csv"), "{}", missing[0]);
        let other = with_file(b"tree_id,date\nT\xff1,2026-12-20\n", read).unwrap();
        assert_eq!((other[0].place, other[0].item.as_str()), (Some((2, 2)), "text"));
        assert!(other[0].found.contains("not UTF-8") && other[0].remedy.contains("UTF-8"));
        let binary = with_file(b"PK\x03\x04\x14\x00\x06\x00\xff\xfe", read).unwrap();
        assert_eq!((binary.len(), binary[0].item.as_str()), (1, "text"));
        let large = with_file(&vec![b'\n'; (64 << 20) + 1], read).unwrap();
        assert!(large[0].found.contains("larger") && large[0].expected.contains("64 MB"));
    }
}
