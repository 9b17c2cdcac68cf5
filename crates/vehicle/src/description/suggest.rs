//! Names and paths nearest to a mistyped one.

use super::declare::declarations::DECLARATIONS;
use super::nearest::nearest;

/// The declared path nearest to a mistyped one: by the whole path, else by its last name.
pub(super) fn nearest_path(path: &str) -> Option<String> {
    let known = || DECLARATIONS.list.iter().map(|d| d.path.as_str());
    if let Some(path) = nearest(path, known()) {
        return Some(path.to_owned());
    }
    let last = path.rsplit('.').next()?;
    known()
        .find(|known| known.rsplit('.').next() == Some(last))
        .map(str::to_owned)
}

/// Whether some declared path lies below this one.
pub(super) fn is_table(path: &str) -> bool {
    DECLARATIONS.list.iter().any(|d| {
        d.path
            .strip_prefix(path)
            .is_some_and(|rest| rest.starts_with('.'))
    })
}
