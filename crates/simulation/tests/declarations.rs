//! Channels and metrics as they are declared.

use std::collections::BTreeSet;

use axletree_report::Quantity;
use axletree_simulation::channels;
use axletree_simulation::metrics::list;

/// Whether a unit is spelled as `m/s^2`: factors joined by `*` and `/`, powers by `^`.
fn spelled(unit: &str) -> bool {
    const KNOWN: [&str; 8] = ["-", "1", "m", "s", "rad", "N", "Hz", "kg"];
    unit.split(['*', '/', '(', ')'])
        .filter(|factor| !factor.is_empty())
        .all(|factor| {
            let (base, power) = factor.split_once('^').unwrap_or((factor, "2"));
            KNOWN.contains(&base) && matches!(power, "2" | "3" | "4")
        })
}

fn check(quantities: &[Quantity]) {
    let keys: BTreeSet<&str> = quantities.iter().map(|q| q.key).collect();
    assert_eq!(keys.len(), quantities.len(), "a key is there twice");
    for q in quantities {
        assert!(spelled(q.unit), "{}: {}", q.key, q.unit);
        assert!(q.meaning.ends_with('.'), "{}: {}", q.key, q.meaning);
        let snake = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
        assert!(q.key.chars().all(snake), "{}", q.key);
    }
}

/// Keys are unique, units spelled in one way, meanings are sentences. The control: another spelling
/// is found.
#[test]
fn law_declarations_are_uniform() {
    let all: Vec<Quantity> = channels::ALL.iter().map(|c| c.quantity).collect();
    check(&all);
    let all: Vec<Quantity> = list::ALL.iter().map(|m| m.quantity).collect();
    check(&all);
    for wrong in ["m/s2", "rad*s2/m", "Nm", "N m", "m/s^5"] {
        assert!(!spelled(wrong), "{wrong}");
    }
}

/// The meaning of every slip angle says that its sign is not that of ISO 8855.
#[test]
fn law_slip_angles_say_their_sign() {
    let slips = channels::ALL
        .iter()
        .filter(|c| c.name().starts_with("slip_angle"));
    let mut count = 0;
    for channel in slips {
        let meaning = channel.quantity.meaning;
        assert!(meaning.contains("opposite to ISO 8855"), "{meaning}");
        count += 1;
    }
    assert_eq!(count, 4);
}
