//! Options of chores that go on for a time: how long, and what to take.

/// Reads a number above 0 after `option`, or `usual` without it, and names.
pub(crate) fn parse(options: &[&str], option: &str, usual: u32) -> Option<(u32, Vec<String>)> {
    let (mut lasting, mut names) = (usual, Vec::new());
    let mut words = options.iter();
    while let Some(word) = words.next() {
        match *word {
            word if word == option => lasting = words.next()?.parse().ok().filter(|n| *n > 0)?,
            word if word.starts_with('-') => return None,
            name => names.push(name.to_owned()),
        }
    }
    Some((lasting, names))
}
