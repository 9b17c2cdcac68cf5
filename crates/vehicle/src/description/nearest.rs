//! The known name nearest to a mistyped one.

use std::borrow::Cow;

use strsim::osa_distance;

/// Longest name that is compared with others `[bytes]`: a longer one is no slip of the keyboard.
const LONGEST_NAME: usize = 100;

/// The name among `known` with the fewest edits to `name`, if few enough to be a slip: insertions,
/// deletions, replacements and swaps of neighbors (Damerau, 1964, restricted), letter case aside.
pub fn nearest<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if name.len() > LONGEST_NAME {
        return None;
    }
    let allowed = (name.chars().count() / 3).clamp(1, 4);
    let name = name.to_lowercase();
    let length = name.chars().count();
    known
        .into_iter()
        // The lengths alone tell that most names are too far.
        .filter(|candidate| candidate.chars().count().abs_diff(length) <= allowed)
        .map(|candidate| (osa_distance(&name, &lower(candidate)), candidate))
        .filter(|(edits, _)| *edits <= allowed)
        .min_by_key(|(edits, _)| *edits)
        .map(|(_, candidate)| candidate)
}

/// A known name in lower case; nearly all of them are.
fn lower(name: &str) -> Cow<'_, str> {
    if name.chars().any(char::is_uppercase) {
        name.to_lowercase().into()
    } else {
        name.into()
    }
}

#[cfg(test)]
mod tests {
    use super::nearest;

    /// Each kind of edit counts one; swapped neighbors too; letter case counts nothing.
    #[test]
    fn slips_are_found_and_others_are_not() {
        let known = ["spring.rate", "spring.mount_rate", "bar.wall"];
        let near = |name: &str| nearest(name, known);
        assert_eq!(near("spring.rat"), Some("spring.rate"));
        assert_eq!(near("Spring.Rate"), Some("spring.rate"));
        assert_eq!(near("spirng.rtae"), Some("spring.rate"));
        assert_eq!(near("bar.wal"), Some("bar.wall"));
        assert_eq!(near("bar.wxyz"), None);
        assert_eq!(near("b"), None);
        assert_eq!(near(&"spring.rate".repeat(10)), None);
        // Two replacements make a swap that strings of three letters are not allowed.
        assert_eq!(nearest("abc", ["bca"]), None);
        assert_eq!(nearest("abc", ["acb"]), Some("acb"));
    }
}
