//! Files spoilt in every way that comes to mind, always in the same way for the same file.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// A file that is no longer what it was.
pub struct Spoilt {
    /// What was done to it.
    pub how: String,
    /// What is in it now.
    pub bytes: Vec<u8>,
}

fn spoilt(how: impl Into<String>, bytes: impl Into<Vec<u8>>) -> Spoilt {
    Spoilt { how: how.into(), bytes: bytes.into() }
}

/// The file cut at every 1/64 of its length, from nothing to nearly all.
pub fn cuts(sound: &[u8]) -> Vec<Spoilt> {
    let cut = |part: usize| {
        spoilt(
            format!("cut at {part}/64"),
            &sound[..(sound.len() as u128 * part as u128 / 64) as usize],
        )
    };
    (0..64).map(cut).collect()
}

/// Bytes changed at random places: one bit, one whole byte, or a run of 16 bytes, in turn.
pub fn flips(sound: &[u8], seed: u64, count: usize) -> Vec<Spoilt> {
    let mut draws = Pcg64Mcg::seed_from_u64(seed);
    let mut one = |number: usize| {
        let mut bytes = sound.to_vec();
        let at = draws.random_range(0..bytes.len());
        match number % 3 {
            0 => bytes[at] ^= 1 << draws.random_range(0..8),
            1 => bytes[at] = draws.random(),
            _ => bytes.iter_mut().skip(at).take(16).for_each(|byte| *byte = draws.random()),
        }
        spoilt(format!("flip {number} of seed {seed} at byte {at}"), bytes)
    };
    (0..count).map(&mut one).collect()
}

/// The same flips within the first bytes, where binary formats keep what the rest hangs on.
pub fn header_flips(sound: &[u8], header: usize, seed: u64, count: usize) -> Vec<Spoilt> {
    let (head, rest) = sound.split_at(header.min(sound.len()));
    let whole = |mut one: Spoilt| {
        one.bytes.extend_from_slice(rest);
        one.how.push_str(" of the header");
        one
    };
    flips(head, seed, count).into_iter().map(whole).collect()
}

/// What editors, spreadsheets and transfers do to any text.
pub fn as_text(sound: &str) -> Vec<Spoilt> {
    let utf_16 = |order: fn(u16) -> [u8; 2]| -> Vec<u8> {
        std::iter::once(0xFEFF).chain(sound.encode_utf16()).flat_map(order).collect()
    };
    let latin_1 = sound.chars().map(|letter| u8::try_from(u32::from(letter)).unwrap_or(b'?'));
    let middle = sound.floor_char_boundary(sound.len() / 2);
    let with_in_the_middle =
        |what: &[u8]| [&sound.as_bytes()[..middle], what, &sound.as_bytes()[middle..]].concat();
    vec![
        spoilt("empty", ""),
        spoilt("blanks alone", " \t\n\r\n  \n"),
        spoilt("a byte order mark alone", "\u{feff}"),
        spoilt("a byte order mark in front", format!("\u{feff}{sound}")),
        spoilt("two byte order marks", format!("\u{feff}\u{feff}{sound}")),
        spoilt("lines that end in CR LF", sound.replace('\n', "\r\n")),
        spoilt("lines that end in CR", sound.replace('\n', "\r")),
        spoilt("UTF-16, little end first", utf_16(u16::to_le_bytes)),
        spoilt("UTF-16, big end first", utf_16(u16::to_be_bytes)),
        spoilt("Latin-1", [latin_1.collect(), vec![0xE9, 0xFC, b'\n']].concat()),
        spoilt("NUL in front", format!("\0{sound}")),
        spoilt("NUL in the middle", with_in_the_middle(b"\0\0\0\0")),
        spoilt("NUL at the end", format!("{sound}\0")),
        spoilt("NUL alone", vec![0; 4096]),
        spoilt("bytes that are no UTF-8 in the middle", with_in_the_middle(&[0xC3, 0x28, 0xFF])),
        spoilt("a very long line", format!("{sound}\n{}\n", "x".repeat(1 << 20))),
        spoilt("a very long line in front", format!("{}\n{sound}", "y,".repeat(1 << 18))),
        spoilt("control characters", with_in_the_middle(b"\x1b[31m\x07\x08")),
        spoilt("the text twice", format!("{sound}\n{sound}")),
        spoilt("an open quotation mark", with_in_the_middle(b"\"")),
        spoilt("one line", sound.replace('\n', " ")),
        spoilt("upper case", sound.to_uppercase()),
        spoilt("backwards", sound.chars().rev().collect::<String>()),
        spoilt("another kind of file", "%PDF-1.7\n%\u{e2}\u{e3}\n1 0 obj\n<<>>\nendobj\n"),
        spoilt("an archive", &b"PK\x03\x04\x14\0\0\0\x08\0"[..]),
    ]
}

/// Lines taken out, doubled and changed with the next, some 20 of each, evenly over the file.
pub fn lines(sound: &str) -> Vec<Spoilt> {
    let lines: Vec<&str> = sound.lines().collect();
    let step = (lines.len() / 20).max(1);
    let joined = |lines: Vec<&str>| lines.join("\n") + "\n";
    let mut all = Vec::new();
    for at in (0..lines.len()).step_by(step) {
        let line = at + 1;
        let without = [&lines[..at], &lines[at + 1..]].concat();
        all.push(spoilt(format!("without line {line}"), joined(without)));
        let twice = [&lines[..=at], &lines[at..]].concat();
        all.push(spoilt(format!("line {line} twice"), joined(twice)));
        if at + 1 < lines.len() {
            let mut turned = lines.clone();
            turned.swap(at, at + 1);
            all.push(spoilt(
                format!("lines {line} and {} changed about", line + 1),
                joined(turned),
            ));
        }
    }
    all
}

/// What stands in the place of a TOML value: other types, and numbers that no one can mean.
const TOML_VALUES: [&str; 16] = [
    "nan",
    "inf",
    "-inf",
    "1e308",
    "-1",
    "0",
    "9223372036854775807",
    "-9223372036854775808",
    "0.0000001",
    "\"\"",
    "\"../../../../etc/passwd\"",
    "true",
    "[]",
    "{}",
    "[[[1]]]",
    "1979-05-27T07:32:00Z",
];

/// A TOML text whose values are of other types or absurd (each value meets four of them in turn), whose keys come
/// twice or are misspelt, and that is nested deep.
pub fn toml(sound: &str) -> Vec<Spoilt> {
    let lines: Vec<&str> = sound.lines().collect();
    let mut all = Vec::new();
    let mut turn = 0;
    for (at, line) in lines.iter().enumerate() {
        let Some((key, _)) = line.split_once(" = ").filter(|(key, _)| !key.starts_with('#')) else {
            continue;
        };
        let with = |new: String| {
            let mut lines = lines.clone();
            lines[at] = &new;
            lines.join("\n") + "\n"
        };
        for _ in 0..4 {
            let value = TOML_VALUES[turn % TOML_VALUES.len()];
            turn += 1;
            all.push(spoilt(
                format!("line {}: {key} = {value}", at + 1),
                with(format!("{key} = {value}")),
            ));
        }
        all.push(spoilt(
            format!("line {}: {key} misspelt", at + 1),
            with(format!("{line}\n{}x = 1", key.trim())),
        ));
    }
    let deep = 100_000;
    all.extend([
        spoilt(
            "arrays nested deep",
            format!("{sound}\ndeep = {}1{}\n", "[".repeat(deep), "]".repeat(deep)),
        ),
        spoilt("arrays nested deep and left open", format!("{sound}\ndeep = {}", "[".repeat(deep))),
        spoilt(
            "tables nested deep",
            format!("{sound}\ndeep = {}{}\n", "{a=".repeat(deep), "}".repeat(deep)),
        ),
        spoilt("a key of many parts", format!("{sound}\n{}a = 1\n", "a.".repeat(deep))),
        spoilt("a header of many parts", format!("{sound}\n[{}a]\nx = 1\n", "a.".repeat(deep))),
        spoilt("a table twice", format!("[site]\nname = \"x\"\n{sound}")),
        spoilt("many empty tables", format!("{sound}\n{}", "[[more]]\n".repeat(10_000))),
        spoilt(
            "many keys",
            format!(
                "{sound}\n[more]\n{}",
                (0..10_000).map(|at| format!("k{at} = 1")).collect::<Vec<_>>().join("\n")
            ),
        ),
        spoilt("a text left open", format!("{sound}\nx = \"\"\"\nnever")),
    ]);
    all
}

/// What stands in the place of a cell.
const CELLS: [&str; 18] = [
    "",
    " ",
    "NaN",
    "inf",
    "-inf",
    "1e400",
    "-1",
    "-0",
    "1e-320",
    "99999999999999999999",
    "1,5",
    "0x10",
    "١٢",
    "=1+1",
    "\"",
    "yes",
    "2023-02-30",
    "T\u{304}",
];

/// A table in CSV with columns changed about, taken out, doubled and renamed, cells that cannot be (each of some 12
/// rows and every column meets one in turn), and other separators.
pub fn csv(sound: &str) -> Vec<Spoilt> {
    let rows: Vec<Vec<&str>> = sound.lines().map(|line| line.split(',').collect()).collect();
    let width = rows[0].len();
    let text =
        |rows: Vec<Vec<&str>>| rows.iter().map(|row| row.join(",") + "\n").collect::<String>();
    let mut all = Vec::new();
    for column in 0..width {
        let each = |change: &dyn Fn(&mut Vec<&str>)| {
            let mut rows = rows.clone();
            rows.iter_mut().filter(|row| row.len() == width).for_each(change);
            text(rows)
        };
        let next = (column + 1) % width;
        let name = rows[0][column];
        all.push(spoilt(format!("`{name}` changed about"), each(&|row| row.swap(column, next))));
        all.push(spoilt(
            format!("without `{name}`"),
            each(&|row| {
                row.remove(column);
            }),
        ));
        all.push(spoilt(format!("`{name}` twice"), each(&|row| row.insert(column, row[column]))));
        let mut headed = rows.clone();
        headed.swap(0, rows.len() / 2);
        all.push(spoilt(format!("first row elsewhere, `{name}`"), text(headed)));
        let mut renamed = rows.clone();
        renamed[0][column] = "nam\u{65}\u{301}";
        all.push(spoilt(format!("`{name}` renamed"), text(renamed)));
    }
    let step = (rows.len() / 12).max(1);
    let mut turn = 0;
    for at in (1..rows.len()).step_by(step) {
        for column in 0..rows[at].len() {
            let cell = CELLS[turn % CELLS.len()];
            turn += 1;
            let mut rows = rows.clone();
            rows[at][column] = cell;
            all.push(spoilt(
                format!("row {}, column {}: `{cell}`", at + 1, column + 1),
                text(rows),
            ));
        }
    }
    let quoted = |line: &str| format!("\"{}\"", line.replace(',', "\",\""));
    let header = rows[0].join(",");
    all.extend([
        spoilt("semicolons", sound.replace(',', ";")),
        spoilt("tabs", sound.replace(',', "\t")),
        spoilt("bars", sound.replace(',', "|")),
        spoilt("a header alone", format!("{header}\n")),
        spoilt(
            "a cell too few in each row",
            sound
                .lines()
                .map(|line| line.rsplit_once(',').map_or("", |cut| cut.0).to_owned() + "\n")
                .collect::<String>(),
        ),
        spoilt("a cell too many in each row", sound.replace('\n', ",9\n")),
        spoilt(
            "every cell quoted",
            sound.lines().map(quoted).collect::<Vec<_>>().join(
                "
",
            ),
        ),
        spoilt(
            "rows of commas",
            format!("{header}\n{}", format!("{}\n", ",".repeat(width - 1)).repeat(1_000)),
        ),
        spoilt("many columns", format!("{header}{}\n", ",x".repeat(50_000))),
        spoilt("one column many times over", format!("{}\n", vec![rows[0][0]; 1_000].join(","))),
        spoilt("blank lines between", sound.replace('\n', "\n\n\n")),
    ]);
    all
}

/// What stands in the place of a JSON value.
const JSON_VALUES: [&str; 16] = [
    "null",
    "true",
    "-1",
    "0",
    "1e308",
    "-1e308",
    "1e400",
    "18446744073709551616",
    "NaN",
    "\"\"",
    "\"Z999\"",
    "[]",
    "{}",
    "[null]",
    "\"\\ud800\"",
    "0.1",
];

/// A JSON text whose values are of other types or absurd (some 200 of them, evenly), with keys doubled, renamed, and
/// nested deep. `sound` is one value a line, as the program writes it.
pub fn json(sound: &str) -> Vec<Spoilt> {
    let lines: Vec<&str> = sound.lines().collect();
    let told = |line: &&str| line.contains("\": ");
    let places: Vec<usize> = (0..lines.len()).filter(|at| told(&lines[*at])).collect();
    let step = (places.len() / 200).max(1);
    let mut all = Vec::new();
    for (turn, at) in places.iter().step_by(step).enumerate() {
        let line = lines[*at];
        let Some((key, value)) = line.split_once("\": ") else { continue };
        let with = |new: &str| {
            let mut lines = lines.clone();
            lines[*at] = new;
            lines.join("\n") + "\n"
        };
        // The rest of what opens on this line stays where it is and is left over.
        let end = if value.ends_with(',') { "," } else { "" };
        let new = JSON_VALUES[turn % JSON_VALUES.len()];
        all.push(spoilt(
            format!("line {}: {}: {new}", at + 1, key.trim()),
            with(&format!("{key}\": {new}{end}")),
        ));
        if turn % 4 == 0 {
            all.push(spoilt(format!("line {} twice", at + 1), with(&format!("{line}\n{line}"))));
            all.push(spoilt(
                format!("line {} renamed", at + 1),
                with(&format!("{key}x\": {value}")),
            ));
        }
    }
    let deep = 100_000;
    let open = sound.trim_end().trim_end_matches('}');
    all.extend([
        spoilt("arrays nested deep", "[".repeat(deep) + &"]".repeat(deep)),
        spoilt("arrays nested deep and left open", "[".repeat(deep)),
        spoilt("objects nested deep", "{\"a\":".repeat(deep) + "1" + &"}".repeat(deep)),
        spoilt(
            "nested deep inside",
            format!("{open},\"deep\": {}{}}}", "[".repeat(deep), "]".repeat(deep)),
        ),
        spoilt("an array", "[]"),
        spoilt("a number", "1"),
        spoilt("null", "null"),
        spoilt("a text", "\"plan\""),
        spoilt("an empty object", "{}"),
        spoilt("more after the end", format!("{sound}{{}}")),
    ]);
    all
}
