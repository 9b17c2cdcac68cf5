//! Texts of users as they are repeated in messages: short, and safe for a terminal.

use std::borrow::Cow;
use std::fmt::Write as _;

/// The start of a text, with control characters escaped, so that a megabyte of junk is not repeated
/// and no part of it can color, move or break the line that repeats it.
///
/// ```
/// use axletree_vehicle::excerpt;
///
/// assert_eq!(excerpt("22 mm", 60), "22 mm");
/// assert_eq!(excerpt("a\u{1b}[31m\nb", 60), "a\\u{1b}[31m\\nb");
/// assert_eq!(excerpt("abcdef", 3), "abc...");
/// ```
pub fn excerpt(text: &str, longest: usize) -> String {
    match text.char_indices().nth(longest) {
        None => printable(text).into_owned(),
        Some((end, _)) => format!("{}...", printable(&text[..end])),
    }
}

/// A text with control characters escaped.
pub(crate) fn printable(text: &str) -> Cow<'_, str> {
    if !text.contains(is_control) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for character in text.chars() {
        if is_control(character) {
            // Writing to a text cannot fail.
            let _ = write!(out, "{}", character.escape_default());
        } else {
            out.push(character);
        }
    }
    Cow::Owned(out)
}

/// Whether a character acts on the text around it in place of being seen: control characters, line
/// and paragraph separators, and marks that turn the direction of writing (Unicode Standard,
/// sections 23.1 and 23.2 and annex 9).
pub(crate) fn is_control(character: char) -> bool {
    character.is_control()
        || matches!(
            character,
            '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}'
        )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn control_characters_are_escaped_and_others_are_not() {
        assert!(matches!(
            printable("\u{b0} \u{e9}\u{2603} \\n"),
            Cow::Borrowed(_)
        ));
        let text: String = ('\0'..='\u{ff}')
            .chain("\u{202e}\u{2028}\u{2066}".chars())
            .collect();
        assert_eq!(text.chars().filter(|c| is_control(*c)).count(), 65 + 3);
        let out = printable(&text);
        assert!(!out.contains(is_control), "{out}");
        // What is escaped once stays as it is.
        assert_eq!(printable(&out), out);
    }

    #[test]
    fn excerpts_count_characters() {
        assert_eq!(excerpt(&"\u{e9}".repeat(5), 5), "\u{e9}".repeat(5));
        assert_eq!(excerpt(&"\u{e9}".repeat(6), 5), "\u{e9}".repeat(5) + "...");
        assert_eq!(excerpt("", 0), "");
    }
}
