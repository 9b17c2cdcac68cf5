//! Quantities: numbers with units.

use axletree_scalar::elementary::powi;
use axletree_vehicle::unit::{Dimension, QuantityError, Unit, quantity, write};
use rand::RngExt;
use rand::seq::IndexedRandom;
use rand_chacha::ChaCha8Rng;

use crate::cases::{self, Ended};
use crate::shown::is_shown;

/// Cases of the bounded test.
const CASES: u64 = 60_000;

/// Names with their factors to SI and their dimensions: length, mass, time, angle. Written down
/// here once more, from the definitions of NIST Special Publication 811.
const NAMES: [(&str, f64, [i32; 4]); 24] = [
    ("m", 1.0, [1, 0, 0, 0]),
    ("mm", 1e-3, [1, 0, 0, 0]),
    ("kilometre", 1e3, [1, 0, 0, 0]),
    ("in", 0.0254, [1, 0, 0, 0]),
    ("feet", 0.3048, [1, 0, 0, 0]),
    ("mile", 1609.344, [1, 0, 0, 0]),
    ("kg", 1.0, [0, 1, 0, 0]),
    ("g", 1e-3, [0, 1, 0, 0]),
    ("lb", 0.453_592_37, [0, 1, 0, 0]),
    ("s", 1.0, [0, 0, 1, 0]),
    ("ms", 1e-3, [0, 0, 1, 0]),
    ("min", 60.0, [0, 0, 1, 0]),
    ("hour", 3600.0, [0, 0, 1, 0]),
    ("rad", 1.0, [0, 0, 0, 1]),
    ("deg", std::f64::consts::PI / 180.0, [0, 0, 0, 1]),
    ("\u{b0}", std::f64::consts::PI / 180.0, [0, 0, 0, 1]),
    ("rpm", std::f64::consts::PI / 30.0, [0, 0, -1, 1]),
    ("N", 1.0, [1, 1, -2, 0]),
    ("kN", 1e3, [1, 1, -2, 0]),
    ("lbf", 4.448_221_615_260_5, [1, 1, -2, 0]),
    ("psi", 6_894.757_293_168_361, [-1, 1, -2, 0]),
    ("mph", 0.44704, [1, 0, -1, 0]),
    ("%", 0.01, [0, 0, 0, 0]),
    ("hp", 745.699_871_582_270_2, [2, 1, -3, 0]),
];

/// A unit as written, with its meaning.
struct Meant {
    text: String,
    factor: f64,
    /// Bound of the digits of its numerator and of its denominator: a number holds 308.
    digits: f64,
    /// Exponents; nothing where one of them passes what a dimension holds on the way.
    dimension: Option<[i32; 4]>,
}

impl Meant {
    fn held(dimension: [i32; 4]) -> Option<[i32; 4]> {
        dimension
            .iter()
            .all(|e| i8::try_from(*e).is_ok())
            .then_some(dimension)
    }

    /// A name or a group, perhaps with an exponent.
    fn factor(rng: &mut ChaCha8Rng, depth: usize) -> Meant {
        let mut meant = if depth > 0 && rng.random_bool(0.3) {
            let inner = Meant::product(rng, depth - 1);
            Meant {
                text: format!("({})", inner.text),
                ..inner
            }
        } else {
            let (name, factor, dimension) = *NAMES.choose(rng).expect("names");
            Meant {
                text: name.to_owned(),
                factor,
                digits: 7.0,
                dimension: Some(dimension),
            }
        };
        if rng.random_bool(0.4) {
            let exponent: i32 = rng.random_range(-6..=6);
            let size = exponent.unsigned_abs();
            let (mark, exponent) = match rng.random_range(0..4) {
                0 if (2..=4).contains(&size) => (
                    ["\u{b2}", "\u{b3}", "\u{2074}"][size as usize - 2].to_owned(),
                    exponent.abs(),
                ),
                1 => (format!("{size}"), exponent.abs()),
                2 => (format!("**{exponent}"), exponent),
                _ => (format!("^{exponent}"), exponent),
            };
            meant.text += &mark;
            meant.factor = powi(meant.factor, exponent);
            meant.digits *= f64::from(size);
            meant.dimension = meant
                .dimension
                .and_then(|d| Meant::held(d.map(|e| e * exponent)));
        }
        meant
    }

    /// Factors with their operators.
    fn product(rng: &mut ChaCha8Rng, depth: usize) -> Meant {
        let mut meant = Meant::factor(rng, depth);
        while rng.random_bool(0.45) {
            let (operator, sign) = *[
                ("*", 1),
                (" ", 1),
                (" \u{b7} ", 1),
                ("\u{d7}", 1),
                ("/", -1),
                (" / ", -1),
                (" per ", -1),
            ]
            .choose(rng)
            .expect("operators");
            let factor = Meant::factor(rng, depth);
            meant.text = format!("{}{operator}{}", meant.text, factor.text);
            meant.factor *= powi(factor.factor, sign);
            meant.digits += factor.digits;
            meant.dimension = meant
                .dimension
                .zip(factor.dimension)
                .and_then(|(a, b)| Meant::held(std::array::from_fn(|i| a[i] + sign * b[i])));
        }
        meant
    }
}

/// What a unit says is what its words say, computed a second time.
#[test]
fn units_mean_the_product_of_their_names() {
    let mut refused = 0;
    let mut held = 0;
    for case in 0..20_000 {
        let rng = &mut cases::generator(case);
        let meant = Meant::product(rng, 3);
        let text = format!("1 {}", meant.text);
        match (quantity(&text), meant.dimension) {
            (Err(QuantityError::Malformed(_)), dimension) => {
                assert!(meant.text.len() > 80 || dimension.is_none(), "{text}");
                refused += 1;
            }
            // Numerator or denominator may leave what a number holds.
            (_, Some(_)) if meant.digits > 300.0 => {}
            (Ok((si, _, unit)), Some(dimension)) => {
                let off = si / meant.factor - 1.0;
                assert!(off.abs() < 1e-12, "{text}: {si} against {}", meant.factor);
                assert_eq!(unit.dimension.0.map(i32::from), dimension, "{text}");
                held += 1;
            }
            (other, _) => panic!("{text}: {other:?}"),
        }
    }
    assert!(
        held > 15_000 && refused > 200,
        "{held} held, {refused} refused"
    );
}

/// Quantities as people and programs write them, changed letter by letter.
fn quantity_text(rng: &mut ChaCha8Rng) -> String {
    let number = [
        "24",
        "-2.5",
        "1e3",
        "\u{2212}7",
        "+.5",
        "1e999",
        "nan",
        "-inf",
        "0",
        "1,5",
        "5e-324",
        "3e",
    ];
    let pieces = [
        "m",
        "mm",
        "e",
        "k",
        "\u{b5}",
        "deg",
        "N",
        "lbf",
        "per ",
        "^",
        "**",
        "2",
        "-",
        "(",
        ")",
        "*",
        "/",
        " ",
        "\t",
        "\n",
        "\u{b7}",
        "\u{b2}",
        "\u{b0}",
        "%",
        "_",
        "1",
        ".",
        ".0",
        "\u{0}",
        "\u{1b}[31m",
        "\u{202e}",
        "\u{e9}",
        "\u{1f697}",
        "\u{85}",
        "\u{a0}",
        "'",
        "\"",
        ",",
        "m^9",
        "in",
        "rad",
        "inf",
    ];
    let mut text = (*number.choose(rng).expect("numbers")).to_owned();
    if rng.random_bool(0.6) {
        text += " ";
        text += &Meant::product(rng, 2).text;
    }
    for _ in 0..rng.random_range(0..5) {
        let places: Vec<usize> = (0..=text.len())
            .filter(|i| text.is_char_boundary(*i))
            .collect();
        let at = *places.choose(rng).expect("places");
        if rng.random_bool(0.3) && at < text.len() {
            text.remove(at);
        } else {
            text.insert_str(at, pieces.choose(rng).expect("pieces"));
        }
    }
    if rng.random_bool(0.01) {
        text = text.repeat(rng.random_range(1..3000));
    }
    text
}

#[test]
fn mutated_quantities_are_read_exactly_or_refused() {
    let counts = cases::run(
        "quantities",
        CASES,
        quantity_text,
        |text, _| match quantity(text) {
            Ok((si, unit_text, unit)) => {
                assert!(si.is_finite(), "{text}: {si}");
                assert_eq!(Unit::parse(unit_text), Ok(unit), "{text}");
                // Written in its unit, or in SI units, it reads back as the same number and dimension.
                let writable = unit.dimension.0.iter().all(|e| e.abs() <= 6);
                if writable {
                    for name in [unit_text, unit.dimension.si_unit().as_str()] {
                        let written = write(si, name);
                        let (back, _, again) = quantity(&written)
                            .unwrap_or_else(|e| panic!("{text} as {written}: {e:?}"));
                        assert_eq!(back.to_bits(), si.to_bits(), "{text} as {written}");
                        assert_eq!(again.dimension, unit.dimension, "{text} as {written}");
                    }
                }
                is_shown(&unit.dimension.to_string());
                Ended::Accepted
            }
            Err(error) => {
                match error {
                    QuantityError::UnknownUnit(name, near) => {
                        is_shown(&name);
                        if let Some(near) = &near {
                            is_shown(near);
                        }
                    }
                    QuantityError::Malformed(part) => {
                        is_shown(&part);
                    }
                    QuantityError::NotANumber | QuantityError::NotFinite => {}
                }
                Ended::Refused
            }
        },
    );
    if cases::are_usual() {
        assert!(
            counts.accepted > CASES / 6 && counts.refused > CASES / 3,
            "{counts:?}"
        );
    }
    assert_eq!(Dimension::NONE.si_unit(), "");
}
