//! Junk, absurd sizes, random bytes and random changes of a good file: every one ends in a car or
//! in faults, and nothing panics.

use allocation_counter::measure;
use axletree_vehicle::{Car, CarError, EntryValue, FaultKind, bundled};

/// A solid axle by coefficients.
fn good() -> &'static str {
    include_str!("../cars/bramble-solid-by-coefficients.toml")
}

fn error(text: &str) -> CarError {
    Car::from_toml(text, Some("junk.toml")).expect_err("a broken file")
}

/// Lines with that many keys that no car has.
fn many_keys(count: usize) -> String {
    use std::fmt::Write as _;
    let mut lines = String::new();
    for i in 0..count {
        let _ = writeln!(lines, "k{i} = {i}");
    }
    lines
}

/// What is wrong, for a file with one fault.
#[track_caller]
fn only_kind(text: &str) -> FaultKind {
    let error = error(text);
    assert_eq!(error.faults.len(), 1, "{error}");
    error.faults[0].kind.clone()
}

#[test]
fn junk_ends_in_a_fault() {
    let deep = "a = ".to_owned() + &"[".repeat(100_000) + &"]".repeat(100_000);
    let tables = "[".to_owned() + &"a.".repeat(50) + "a]\nb = 1";
    let inline = "rear = ".to_owned() + &"{ rear = ".repeat(500) + "1" + &" }".repeat(500);
    let chain = "rear = { bar = { ".to_owned() + &"x = { ".repeat(20) + "y = 1" + &" }".repeat(22);
    let lines = many_keys(20_000);
    let same = "name = 1\n".repeat(20_000);
    let noise: String = (0..200_000u32)
        .map(|i| char::from(32 + (i.wrapping_mul(2_654_435_761) >> 25) as u8 % 95))
        .collect();
    for text in [
        String::new(),
        "\n\n\n".to_owned(),
        "\u{0}\u{1}\u{2}".to_owned(),
        "\u{feff}".to_owned() + "name = 3",
        "[".to_owned(),
        "= =".to_owned(),
        "\"".repeat(10_001),
        "'''".repeat(3),
        "[[rear]]\n[[rear]]\n".to_owned(),
        "rear = 5\n[rear]\n".to_owned(),
        "[rear]\n[rear]\n".to_owned(),
        "rear = { type = \"solid\", type = \"open\" }".to_owned(),
        deep,
        tables,
        inline,
        chain,
        lines,
        same,
        noise,
    ] {
        let error = error(&text);
        assert!(!error.faults.is_empty());
        assert!(error.faults.len() <= 101);
        assert!(
            error.to_string().len() < 100_000,
            "{}",
            error.to_string().len()
        );
    }
}

#[test]
fn deep_tables_and_long_lists_of_faults_are_cut() {
    let chain = format!("{}\n[rear.bar.bump.x]\ny = 1", good());
    assert!(!error(&chain).faults.is_empty());
    let lines = many_keys(500);
    let error = error(&lines);
    assert!(matches!(error.faults.last().unwrap().kind, FaultKind::More { more } if more >= 400));
}

/// Suggestions are looked for among the faults that are listed: also the last of them has its own,
/// and a path that is cut for the list is compared whole.
#[test]
fn listed_faults_have_their_suggestions() {
    let mut lines = many_keys(99);
    lines.push_str("whelbase = \"2.5 m\"\n");
    lines.push_str(&many_keys(200).replace('k', "q"));
    let error = error(&lines);
    assert_eq!(error.faults.len(), 101);
    let suggestion = |path: &str| {
        let fault = error.faults.iter().find(|f| f.path == path).expect(path);
        match &fault.kind {
            FaultKind::UnknownKey { nearest } => nearest.clone(),
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(suggestion("whelbase").as_deref(), Some("wheelbase"));
    assert_eq!(suggestion("k0"), None);
    let long = format!("{}.outer_diameter", "x".repeat(200));
    let car = bundled("bramble-solid").unwrap().unwrap();
    let fault = car.edit([(&long, 0.02)]).unwrap_err().faults.remove(0);
    assert!(fault.path.len() < long.len());
    let nearest = Some("front.bar.outer_diameter".to_owned());
    assert_eq!(fault.kind, FaultKind::UnknownKey { nearest });
}

#[test]
fn sizes_and_files() {
    let huge = "#".repeat(10_000_000);
    assert!(matches!(
        only_kind(&huge),
        FaultKind::TooLarge {
            bytes: 10_000_000,
            ..
        }
    ));

    let dir = std::env::temp_dir().join(format!("axletree-car-{}", std::process::id()));
    std::fs::create_dir_all(&dir).unwrap();
    let path = dir.join("car.toml");
    let kind = |error: CarError| error.faults[0].kind.clone();

    let missing = Car::load(dir.join("none.toml")).unwrap_err();
    assert!(missing.to_string().contains("none.toml"));
    assert!(matches!(kind(missing), FaultKind::Unreadable { .. }));
    assert!(matches!(
        kind(Car::load(&dir).unwrap_err()),
        FaultKind::Unreadable { .. }
    ));

    std::fs::write(&path, b"name = \"\xff\xfe\"").unwrap();
    assert!(matches!(
        kind(Car::load(&path).unwrap_err()),
        FaultKind::NotText { byte: 8 }
    ));
    std::fs::write(&path, vec![b' '; 3_000_000]).unwrap();
    assert!(matches!(
        kind(Car::load(&path).unwrap_err()),
        FaultKind::TooLarge {
            bytes: 3_000_000,
            ..
        }
    ));
    std::fs::remove_dir_all(&dir).unwrap();
}

/// Work and memory of the worst texts are bounded: in allocations, so that no clock decides.
#[test]
fn hostile_texts_cost_little() {
    let limit = 1 << 17;
    let repeated = |unit: &str| unit.repeat(limit / unit.len());
    let numbered = |line: &dyn Fn(usize) -> String| {
        let mut text = String::new();
        for i in 0.. {
            let next = line(i);
            if text.len() + next.len() > limit {
                return text;
            }
            text += &next;
        }
        text
    };
    for (what, text) in [
        ("dots", repeated(".")),
        ("carriage returns", repeated("\r")),
        ("equal signs", repeated("=")),
        ("commas", format!("a=[{}", &repeated(",")[3..])),
        ("brackets", repeated("[")),
        ("arrays", format!("a={}", &repeated("[")[2..])),
        ("inline tables", repeated("a={")),
        ("names", repeated("a.")),
        (
            "unknown keys",
            numbered(&|i| format!("unknown_entry_number_{i} = 1\n")),
        ),
        ("short unknown keys", numbered(&|i| format!("k{i}=1\n"))),
        ("unknown tables", numbered(&|i| format!("[a{i}]\n"))),
        (
            "keys between broken lines",
            numbered(&|i| format!("k{i}=1\n=\n")),
        ),
        ("the same key", repeated("name=1\n")),
    ] {
        let mut faults = 0;
        let counted = measure(|| faults = error(&text).faults.len());
        assert!((1..=101).contains(&faults), "{what}: {faults}");
        assert!(
            counted.bytes_max < 100 << 20,
            "{what}: {} bytes",
            counted.bytes_max
        );
        let per_byte = counted.count_total as f64 / text.len() as f64;
        assert!(per_byte < 8.0, "{what}: {per_byte} allocations per byte");
    }
    // One byte more is not parsed at all.
    let large = repeated(".") + ".";
    let counted = measure(|| assert!(matches!(only_kind(&large), FaultKind::TooLarge { .. })));
    assert!(counted.count_total < 100 && counted.bytes_max < 1 << 20);
}

/// Whatever car there is can be saved and loaded: the largest that can be written is no larger than
/// what is read.
#[test]
fn the_largest_car_is_read() {
    for name in [
        "bramble-solid",
        "bramble-independent",
        "bramble-independent-by-coefficients",
    ] {
        let car = bundled(name).unwrap().unwrap();
        let long = |entry: axletree_vehicle::Entry| {
            let text = match entry.value? {
                EntryValue::Number(_) => {
                    // As many zeros as are allowed behind the number.
                    let written = entry.written?;
                    let (number, unit) = written.split_once(' ').unwrap_or((&written, ""));
                    let point = if number.contains(['.', 'e']) { "" } else { "." };
                    let zeros = 100 - (number.len() + point.len() + 1 + unit.chars().count());
                    let zeros = "0".repeat(if number.contains('e') { 0 } else { zeros });
                    format!("{number}{point}{zeros} {unit}")
                }
                EntryValue::Text(_) if entry.path == "name" => "\u{1f697}".repeat(200),
                EntryValue::Text(_) if entry.path == "note" => "\u{1f697}".repeat(10_000),
                EntryValue::Text(word) => word,
            };
            Some((entry.path, text))
        };
        let largest = car.edit(car.paths().into_iter().filter_map(long)).unwrap();
        let text = largest.to_toml();
        assert!(text.len() > 50_000, "{}", text.len());
        assert_eq!(Car::from_toml(&text, None).unwrap(), largest);
    }
}

mod random {
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::{FileFailurePersistence, RngSeed};

    /// The same cases in every run; cases that once failed are kept beside this file and run first.
    fn config() -> ProptestConfig {
        ProptestConfig {
            cases: 300,
            rng_seed: RngSeed::Fixed(0x00c0_ffee),
            failure_persistence: Some(Box::new(FileFailurePersistence::Direct(concat!(
                env!("CARGO_MANIFEST_DIR"),
                "/tests/car_junk.regressions"
            )))),
            ..ProptestConfig::default()
        }
    }

    proptest! {
        #![proptest_config(config())]

        #[test]
        fn bytes_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
            let text = String::from_utf8_lossy(&bytes);
            prop_assert!(Car::from_toml(&text, None).is_err());
        }

        #[test]
        fn toml_like_text_never_panics(text in "([a-z\\[\\]{}.=\"' 0-9\n#,+-]|rear|bar|front|mm|nan){0,200}") {
            prop_assert!(Car::from_toml(&text, None).is_err());
        }

        #[test]
        fn quantities_never_panic(text in "\\PC{0,40}", number in -1e9..1e9, unit in "[a-zA-Z/*^() 0-9.²·°%-]{0,20}") {
            let car = bundled("bramble-solid").unwrap().unwrap();
            for value in [text, format!("{number} {unit}"), format!("{number}{unit}")] {
                let _ = car.edit([("rear.bar.outer_diameter", value.as_str()), ("rear.links.lower.body.x", value.as_str())]);
            }
        }

        /// A good file with some bytes changed is a car, or ends in faults; a car then assembles.
        #[test]
        fn mutations_never_panic(changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>(), 0usize..3), 1..6)) {
            let mut bytes = good().as_bytes().to_vec();
            for (at, byte, how) in changes {
                let i = at.index(bytes.len());
                match how {
                    0 => bytes[i] = byte & 0x7f,
                    1 => { bytes.remove(i); }
                    _ => bytes.insert(i, b"0123456789.-e\"\n[]=k"[byte as usize % 19]),
                }
            }
            let text = String::from_utf8_lossy(&bytes);
            match Car::from_toml(&text, None) {
                Ok(car) => prop_assert!(car.assemble().is_ok()),
                Err(error) => prop_assert!(!error.to_string().is_empty()),
            }
        }
    }
}
