//! Texts that are shown: one line, no control characters, not endless.

use axletree_vehicle::{CarError, FaultKind};

/// Longest message of a fault `[characters]`: path, what was read and the kind's own words.
const LONGEST_MESSAGE: usize = 800;

/// Whether a text can be shown in one line.
#[track_caller]
pub fn is_shown(text: &str) {
    let acts =
        |c: char| c.is_control() || matches!(c, '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    assert!(!text.contains(acts), "{text:?}");
    assert!(text.chars().count() <= LONGEST_MESSAGE, "{text}");
}

/// Every fault has its place and a text.
#[track_caller]
pub fn faults_are_shown(error: &CarError, lines: usize) {
    assert!((1..=101).contains(&error.faults.len()));
    let shown = error.to_string();
    for fault in &error.faults {
        let message = fault.to_string();
        assert!(!message.is_empty() && shown.contains(&message));
        is_shown(&message);
        is_shown(&fault.path);
        for text in fault.read.iter().chain(&fault.unit) {
            is_shown(text);
        }
        assert!(
            fault.line.is_none_or(|line| (1..=lines).contains(&line)),
            "{message}"
        );
        for limit in fault.allowed.into_iter().flatten() {
            assert!(limit.is_finite(), "{message}");
        }
        let of_file = matches!(
            fault.kind,
            FaultKind::Syntax { .. }
                | FaultKind::TooDeep { .. }
                | FaultKind::TooLarge { .. }
                | FaultKind::Duplicate
                | FaultKind::More { .. }
        );
        // An unknown key may itself be empty.
        let may_be_empty = of_file || matches!(fault.kind, FaultKind::UnknownKey { .. });
        assert!(may_be_empty || !fault.path.is_empty(), "{message}");
        let of_nan = matches!(fault.kind, FaultKind::NotFinite);
        assert!(of_nan || !message.contains("NaN"), "{message}");
    }
    // One line each, and the one above them.
    assert_eq!(shown.lines().count(), error.faults.len() + 1, "{shown}");
}
