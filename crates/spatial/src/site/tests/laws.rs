//! Laws: no text makes the reading panic, and every problem can be found and mended.

use proptest::prelude::*;

use super::super::starter_files;
use super::{LEAST, read};

fn assert_sane(text: &str) {
    let (problems, sound) = match read(text) {
        Ok((_, warnings)) => (warnings, true),
        Err(problems) => (problems, false),
    };
    assert!(sound != problems.iter().any(crate::problem::Problem::is_error));
    let lines = text.matches('\n').count() + 1;
    for problem in &problems {
        assert!(!problem.item.is_empty() && !problem.found.is_empty(), "{problem}");
        assert!(!problem.remedy.is_empty(), "{problem}");
        if let Some((line, column)) = problem.place {
            assert!((1..=lines).contains(&line), "{problem}");
            let longest = text.lines().nth(line - 1).unwrap_or("").chars().count() + 1;
            assert!((1..=longest).contains(&column), "{problem} past column {longest}");
        }
    }
}

fn edited(text: &str, at: usize, length: usize, by: &str) -> String {
    let letters: Vec<char> = text.chars().collect();
    let start = at % (letters.len() + 1);
    let end = (start + length).min(letters.len());
    let before = letters[..start].iter().collect::<String>();
    before + by + &letters[end..].iter().collect::<String>()
}

/// The starter with every key in use.
fn in_use() -> String {
    starter_files("").remove(0).1.replace("\n#", "\n").replace("\n ", "\n# ")
}

#[test]
fn the_text_that_is_mutated_is_itself_sound() {
    assert!(read(&in_use()).is_ok());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_text_is_read_or_refused(text in "\\PC{0,200}") {
        assert_sane(&text);
    }

    #[test]
    fn any_toml_like_text_is_read_or_refused(
        text in "([a-z_]{1,8}(\\.[a-z]{1,4})? ?= ?([0-9.e+-]{1,6}|\"[^\"]{0,9}\"|\\[[0-9, ]{0,9}\\]|nan|inf|\\{\\})\n|\\[{1,2}(site|zones|layers|layers.cover|layers.cover.class|density|density.rule|keep_clear|mosaic)\\]{1,2}\n){0,20}"
    ) {
        assert_sane(&text);
    }

    #[test]
    fn any_edit_of_the_starter_is_read_or_refused(
        edits in proptest::collection::vec((any::<usize>(), 0_usize..30, "[a-z0-9=\\[\\]{}\"'.,#\n _-]{0,6}"), 1..6)
    ) {
        let text = edits.iter().fold(in_use(), |text, (at, length, by)| edited(&text, *at, *length, by));
        assert_sane(&text);
    }

    /// Values of every kind under every key.
    #[test]
    fn any_value_under_any_key_is_read_or_refused(
        index in any::<prop::sample::Index>(),
        value in prop_oneof![
            Just("nan".to_owned()), Just("-inf".to_owned()), Just("1e308".to_owned()),
            Just("9223372036854775807".to_owned()), Just("-1".to_owned()), Just("true".to_owned()),
            Just("1979-05-27T07:32:00Z".to_owned()), Just("[[1], \"a\"]".to_owned()),
            Just("{ a = { b = [] } }".to_owned()), Just("[{ code = 1 }, 2]".to_owned()),
            Just("\"\"".to_owned()), Just("\"\\u0000\"".to_owned()), Just("\"\"\"a\nb\"\"\"".to_owned()),
        ]
    ) {
        let text = in_use();
        let lines: Vec<&str> = text.lines().collect();
        let keys: Vec<usize> = (0..lines.len())
            .filter(|line| lines[*line].contains(" = ") && !lines[*line].starts_with('#'))
            .collect();
        let line = keys[index.index(keys.len())];
        let key = lines[line].split(" = ").next().unwrap();
        assert_sane(&text.replacen(lines[line], &format!("{key} = {value}"), 1));
    }

    #[test]
    fn reading_is_the_same_each_time(at in any::<usize>(), by in "[a-z0-9=\\[\\]\"\n]{0,6}") {
        let text = edited(&in_use(), at, 3, &by);
        prop_assert_eq!(read(&text), read(&text));
    }
}

#[test]
fn deep_nesting_is_refused_and_does_not_end_the_program() {
    let deep = 100_000;
    assert_sane(&format!("a = {}", "[".repeat(deep)));
    assert_sane(&format!("a = {}{}", "[".repeat(deep), "]".repeat(deep)));
    assert_sane(&format!("a = {}", "{ a = ".repeat(deep)));
    assert_sane(&format!("{LEAST}{}a = 1", "a.".repeat(deep)));
    assert_sane(&format!("{LEAST}[{}a]", "a.".repeat(deep)));
}

#[test]
fn a_flood_of_faults_is_cut_short() {
    let keys: Vec<String> = (0..100_000).map(|key| format!("key_{key} = 1\n")).collect();
    let flood = keys.concat();
    let problems = read(&format!("{flood}{LEAST}")).unwrap_err();
    assert_eq!(problems.len(), 201);
    assert_eq!(problems[200].found, "99800 more faults, not listed");
}
