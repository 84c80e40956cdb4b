//! The little of JSON that cargo's own answers need.

/// The last text under a key anywhere in a document, `None` when there is none.
///
/// Enough for keys that appear once, or whose last value is the one wanted; not a parser.
pub(crate) fn text(document: &str, key: &str) -> Option<String> {
    let (_, after) = document.rsplit_once(&format!("\"{key}\":\""))?;
    let mut found = String::new();
    let mut letters = after.chars();
    loop {
        match letters.next()? {
            '"' => return Some(found),
            '\\' => found.push(letters.next()?),
            letter => found.push(letter),
        }
    }
}

/// The last number under a key anywhere in a document, `None` when there is none.
pub(crate) fn number(document: &str, key: &str) -> Option<f64> {
    let (_, after) = document.rsplit_once(&format!("\"{key}\":"))?;
    let end = after.find([',', '}', ']', '\n']).unwrap_or(after.len());
    after[..end].trim().parse().ok()
}

#[cfg(test)]
mod tests {
    use super::{number, text};

    #[test]
    fn text_is_found_and_unescaped() {
        let document = r#"{"a":1,"target_directory":"/tmp/a \"quoted\" \\ place","version":1}"#;
        assert_eq!(text(document, "target_directory").unwrap(), r#"/tmp/a "quoted" \ place"#);
    }

    #[test]
    fn what_is_not_text_is_not_found() {
        assert_eq!(text(r#"{"executable":null}"#, "executable"), None);
        assert_eq!(text(r#"{"executable":"cut"#, "executable"), None);
    }

    #[test]
    fn numbers_are_read() {
        assert_eq!(number("{\"a\":1.5,\"b\":-2}", "a"), Some(1.5));
        assert_eq!(number("{\"a\":1.5,\"b\": -2}", "b"), Some(-2.0));
        assert_eq!(number("{\"a\":\"one\"}", "a"), None);
        assert_eq!(number("{}", "a"), None);
    }
}
