//! Changed car files: values, lines, tables and bytes of the bundled cars.

use axletree_vehicle::{BUNDLED, DECLARATIONS, Declaration, EntryShape};
use rand::RngExt;
use rand::seq::{IndexedRandom, SliceRandom};
use rand_chacha::ChaCha8Rng;

/// The most changes of one file.
const MOST_CHANGES: usize = 12;

/// Units of every dimension that entries have, and some of none.
const UNITS: [&str; 44] = [
    "mm",
    "m",
    "cm",
    "in",
    "ft",
    "deg",
    "rad",
    "kg",
    "lb",
    "lbf",
    "N",
    "kN",
    "kN/m",
    "N/mm",
    "lbf/in",
    "N*m/deg",
    "N*m",
    "lbf*ft",
    "psi",
    "kPa",
    "bar",
    "GPa",
    "deg/m",
    "1/m",
    "%",
    "rpm",
    "rad/s",
    "m/s",
    "mph",
    "km/h",
    "kN*s/m",
    "N*s/m",
    "kg*m^2",
    "mm/kN",
    "deg/(kN*m)",
    "N/mm^2",
    "m^2",
    "ms",
    "s",
    "kW",
    "hp",
    "furlong",
    "m^",
    "(m",
];

/// Pieces that a parser of TOML or of numbers may trip over.
const PIECES: [&str; 38] = [
    "\"",
    "\"\"\"",
    "'",
    "'''",
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "=",
    ",",
    ".",
    "#",
    "\\",
    "\\u0000",
    "\\U0010ffff",
    "\r",
    "\r\n",
    "\n",
    "\t",
    "\0",
    "\u{1b}[31m",
    "\u{7f}",
    "\u{85}",
    "\u{feff}",
    "\u{202e}",
    "\u{2028}",
    "\u{e9}",
    "\u{1f697}",
    "-",
    "+",
    "e",
    "_",
    "nan",
    "inf",
    "0x",
    "1979-05-27",
];

/// Numbers at and beyond the ends of what a number can be.
const NUMBERS: [&str; 22] = [
    "0",
    "-0",
    "1",
    "-1",
    "1e308",
    "-1e308",
    "1e309",
    "5e-324",
    "1e-400",
    "nan",
    "-inf",
    "inf",
    "9223372036854775807",
    "9223372036854775808",
    "0x1f",
    "0b1",
    "1_000",
    "1__0",
    ".5",
    "5.",
    "+3",
    "00012",
];

/// A car file with some changes.
pub fn car_text(rng: &mut ChaCha8Rng) -> String {
    let mut text = bundled(rng).to_owned();
    let mut changes = 1;
    while changes < MOST_CHANGES && rng.random_bool(0.4) {
        changes += 1;
    }
    for _ in 0..changes {
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        match rng.random_range(0..20) {
            // Entries that mean something: most of these files are read to the end.
            0..6 => move_number(&mut lines, rng),
            6..10 => set(&mut lines, rng),
            10..12 => replace_value(&mut lines, rng),
            12..15 => change_lines(&mut lines, rng),
            15 => change_tables(&mut lines, rng),
            16 => rename(&mut lines, rng),
            17 => nest(&mut lines, rng),
            _ => {
                text = changed_bytes(&lines.join("\n"), rng);
                continue;
            }
        }
        text = lines.join("\n");
    }
    text
}

fn bundled(rng: &mut ChaCha8Rng) -> &'static str {
    BUNDLED.choose(rng).expect("bundled cars").1
}

/// A value for a declared entry: mostly allowed, at an end of its range, or just beyond.
pub fn declared_value(declaration: &Declaration, rng: &mut ChaCha8Rng) -> String {
    match declaration.shape {
        EntryShape::Choice(words) => format!("\"{}\"", words.choose(rng).expect("words")),
        EntryShape::Text { .. } => format!("\"{}\"", "x\u{e9}".repeat(rng.random_range(0..40))),
        EntryShape::Quantity { unit, low, high } => {
            let number = match rng.random_range(0..8) {
                0 => low,
                1 => high,
                2 => low - 1e-9 * (high - low),
                3 => 0.0,
                4 => low + (high - low) * rng.random_range(0.0..1e-3),
                _ => rng.random_range(low..=high),
            };
            let digits = rng.random_range(0..17);
            let number = match rng.random_range(0..3) {
                0 => format!("{number}"),
                1 => format!("{number:.digits$}"),
                _ => format!("{number:.digits$e}"),
            };
            let space = ["", " ", "  "].choose(rng).expect("spaces");
            if unit.is_empty() && rng.random_bool(0.5) {
                number
            } else {
                format!("\"{number}{space}{unit}\"")
            }
        }
    }
}

/// A number moved by up to a third, its unit kept.
fn move_number(lines: &mut [String], rng: &mut ChaCha8Rng) {
    let Some(at) = entry(lines, rng) else { return };
    let Some((key, value)) = lines[at].rsplit_once('=') else {
        return;
    };
    let value = value.trim_start();
    let (quote, value) = match value.strip_prefix('"') {
        Some(value) => ("\"", value),
        None => ("", value),
    };
    let end = value.find([' ', '"', ',', '}']).unwrap_or(value.len());
    if let Ok(number) = value[..end].parse::<f64>() {
        let number = number * rng.random_range(0.7..1.4);
        lines[at] = format!("{key}= {quote}{number}{}", &value[end..]);
    }
}

/// Writes a declared entry into its table, which is made where it is missing.
fn set(lines: &mut Vec<String>, rng: &mut ChaCha8Rng) {
    let declaration = DECLARATIONS.list.choose(rng).expect("declarations");
    let value = declared_value(declaration, rng);
    let names: Vec<&str> = declaration.path.split('.').collect();
    let depth = (names.len() - 1).min(2);
    let (table, name) = (names[..depth].join("."), names[depth..].join("."));
    let at = if table.is_empty() {
        0
    } else {
        let header = format!("[{table}]");
        if let Some(at) = lines.iter().position(|line| *line == header) {
            at + 1
        } else {
            lines.push(header);
            lines.len()
        }
    };
    let end = lines[at..].iter().position(|line| line.starts_with('['));
    let end = end.map_or(lines.len(), |length| at + length);
    let written = format!("{name} = {value}");
    let key = format!("{name} =");
    match lines[at..end]
        .iter()
        .position(|line| line.starts_with(&key))
    {
        Some(found) => lines[at + found] = written,
        None => lines.insert(at, written),
    }
}

/// Another value behind a key: a number, a unit, another type.
fn replace_value(lines: &mut [String], rng: &mut ChaCha8Rng) {
    let Some(at) = entry(lines, rng) else { return };
    let Some((key, value)) = lines[at].split_once('=') else {
        return;
    };
    let number = *NUMBERS.choose(rng).expect("numbers");
    let unit = *UNITS.choose(rng).expect("units");
    let old = value.trim().trim_matches('"');
    let value = match rng.random_range(0..10) {
        0 => number.to_owned(),
        1 => format!("\"{number} {unit}\""),
        2 => format!("\"{} {unit}\"", old.split(' ').next().unwrap_or("")),
        3 => format!("[{value}, {number}]"),
        4 => format!("{{ x = {value}, y = {number} }}"),
        5 => "true".to_owned(),
        6 => "1979-05-27T07:32:00Z".to_owned(),
        7 => format!("'''\n{old}'''"),
        8 => format!(
            "\"{}{old}{}\"",
            PIECES.choose(rng).expect("pieces"),
            PIECES.choose(rng).expect("pieces")
        ),
        _ => format!("\"{}\"", old.repeat(rng.random_range(0..50))),
    };
    lines[at] = format!("{key}= {value}");
}

/// A line with an entry.
fn entry(lines: &[String], rng: &mut ChaCha8Rng) -> Option<usize> {
    let entries: Vec<usize> = (0..lines.len())
        .filter(|i| lines[*i].contains('='))
        .collect();
    entries.choose(rng).copied()
}

/// Lines left out, doubled, exchanged, taken from another car, cut off, in another order.
fn change_lines(lines: &mut Vec<String>, rng: &mut ChaCha8Rng) {
    if lines.is_empty() {
        return;
    }
    let at = rng.random_range(0..lines.len());
    let other = rng.random_range(0..lines.len());
    match rng.random_range(0..8) {
        0 | 1 => {
            lines.remove(at);
        }
        2 => lines.insert(other, lines[at].clone()),
        3 => lines.swap(at, other),
        4 => {
            let from: Vec<&str> = bundled(rng).lines().collect();
            (*from.choose(rng).expect("lines")).clone_into(&mut lines[at]);
        }
        5 => lines.truncate(at),
        6 => {
            let copied: Vec<String> = lines[at..(at + 20).min(lines.len())].to_vec();
            for _ in 0..rng.random_range(1..20) {
                lines.extend_from_slice(&copied);
            }
        }
        _ => {
            let end = (at + 30).min(lines.len());
            lines[at..end].shuffle(rng);
        }
    }
}

/// Headers doubled, renamed, made arrays; whole tables left out or taken from another car.
fn change_tables(lines: &mut Vec<String>, rng: &mut ChaCha8Rng) {
    let headers: Vec<usize> = (0..lines.len())
        .filter(|i| lines[*i].starts_with('['))
        .collect();
    let Some(&at) = headers.choose(rng) else {
        return;
    };
    let end = headers
        .iter()
        .copied()
        .find(|i| *i > at)
        .unwrap_or(lines.len());
    match rng.random_range(0..5) {
        0 => lines.insert(at, lines[at].clone()),
        1 => lines[at] = format!("[{}]", lines[at]),
        2 => {
            lines.drain(at..end);
        }
        3 => {
            let from: Vec<String> = bundled(rng).lines().map(str::to_owned).collect();
            let start = from.iter().position(|line| *line == lines[at]);
            if let Some(start) = start {
                let length = from[start + 1..]
                    .iter()
                    .position(|line| line.starts_with('['));
                let length = length.map_or(from.len() - start, |length| length + 1);
                lines.splice(at..end, from[start..start + length].iter().cloned());
            }
        }
        _ => {
            let declaration = DECLARATIONS.list.choose(rng).expect("declarations");
            lines[at] = format!("[{}]", declaration.path);
        }
    }
}

/// A key with letters exchanged, left out or added, or a path of another entry.
fn rename(lines: &mut [String], rng: &mut ChaCha8Rng) {
    let Some(at) = entry(lines, rng) else { return };
    let Some((key, value)) = lines[at].split_once('=') else {
        return;
    };
    let mut letters: Vec<char> = key.trim().chars().collect();
    let place = rng.random_range(0..=letters.len());
    let key = match rng.random_range(0..4) {
        0 if place < letters.len() => {
            letters.remove(place);
            letters.into_iter().collect()
        }
        1 => {
            letters.insert(place, char::from(rng.random_range(b'a'..=b'z')));
            letters.into_iter().collect()
        }
        2 => format!("\"{}{}\"", key.trim(), PIECES.choose(rng).expect("pieces")),
        _ => DECLARATIONS
            .list
            .choose(rng)
            .expect("declarations")
            .path
            .clone(),
    };
    lines[at] = format!("{key} ={value}");
}

/// Keys, arrays and tables within each other, and many of the same.
fn nest(lines: &mut Vec<String>, rng: &mut ChaCha8Rng) {
    let depth = [1, 5, 79, 80, 81, 200, 2000]
        .choose(rng)
        .copied()
        .expect("depths");
    let key = format!("k{}", rng.random_range(0..100));
    let line = match rng.random_range(0..6) {
        0 => format!("{}b = 1", format!("{key}.").repeat(depth)),
        1 => format!("{key} = {}{}", "[".repeat(depth), "]".repeat(depth)),
        2 => format!("{key} = {}1{}", "{ a = ".repeat(depth), " }".repeat(depth)),
        3 => format!("[{}b]", format!("{key}.").repeat(depth)),
        4 => {
            let lines: Vec<String> = (0..depth).map(|i| format!("{key}_{i} = {i}\n")).collect();
            lines.concat()
        }
        _ => PIECES.choose(rng).expect("pieces").repeat(depth),
    };
    lines.insert(rng.random_range(0..=lines.len()), line);
}

/// Bytes changed, left out and added; text that is no UTF-8 is replaced.
fn changed_bytes(text: &str, rng: &mut ChaCha8Rng) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..rng.random_range(1..6) {
        let at = rng.random_range(0..=bytes.len());
        match rng.random_range(0..4) {
            0 if at < bytes.len() => bytes[at] = rng.random(),
            1 if at < bytes.len() => {
                bytes.remove(at);
            }
            2 => bytes.insert(at, rng.random()),
            _ => {
                let piece = PIECES.choose(rng).expect("pieces").bytes();
                bytes.splice(at..at, piece);
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}
