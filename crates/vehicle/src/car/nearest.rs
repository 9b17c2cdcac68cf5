//! The known name nearest to a mistyped one.

/// The name among `known` with the fewest edits to `name`, if few enough to be a slip.
pub fn nearest<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // Nobody mistypes a name of this length; the distance would only cost time.
    if name.len() > 100 {
        return None;
    }
    let allowed = (name.chars().count() / 3).clamp(1, 4);
    known
        .into_iter()
        .map(|candidate| (distance(name, candidate, allowed), candidate))
        .filter(|(edits, _)| *edits <= allowed)
        .min_by_key(|(edits, _)| *edits)
        .map(|(_, candidate)| candidate)
}

/// Insertions, deletions, replacements and swaps of neighbors (Damerau, 1964, restricted); more than
/// `limit` where the lengths alone say so. Letter case counts nothing.
fn distance(a: &str, b: &str, limit: usize) -> usize {
    let a: Vec<char> = a.to_lowercase().chars().collect();
    let b: Vec<char> = b.to_lowercase().chars().collect();
    if a.len().abs_diff(b.len()) > limit {
        return limit + 1;
    }
    let mut before: Vec<usize> = Vec::new();
    let mut above: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let replace = above[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut best = replace.min(above[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(before[j - 2] + 1);
            }
            row.push(best);
        }
        before = std::mem::replace(&mut above, row);
    }
    above[b.len()]
}
