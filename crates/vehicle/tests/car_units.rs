//! Numbers with units: the forms in which they may be written, and that writing loses nothing.
#![expect(
    clippy::float_cmp,
    reason = "equal values must be the same number, to the bit"
)]

use axletree_scalar::elementary::powi;
use axletree_vehicle::unit::{QuantityError, Unit, quantity, split_quantity, write};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

fn si(text: &str) -> f64 {
    quantity(text).unwrap_or_else(|e| panic!("{text}: {e:?}")).0
}

#[test]
fn decimal_units_are_exact() {
    // 22 mm is the number 0.022, not one next to it.
    assert_eq!(si("22 mm"), 0.022);
    for i in 1..2000 {
        let value = f64::from(i);
        let literal: f64 = format!("{i}e-3").parse().unwrap();
        assert_eq!(si(&format!("{i} mm")), literal);
        assert_eq!(si(&format!("{i} ms")), literal);
        assert_eq!(si(&format!("{i} kN/m")), value * 1000.0);
    }
    assert_eq!(si("1 in"), 0.0254);
    assert_eq!(si("180 deg"), std::f64::consts::PI);
    assert_eq!(si("50 %"), 0.5);
}

#[test]
fn one_quantity_may_be_written_in_many_ways() {
    for forms in [
        &[
            "24 mm",
            "24mm",
            "2.4 cm",
            "0.024 m",
            "24 millimeter",
            " +24.0 mm ",
            "2.4e1 mm",
            "24 millimetre",
        ][..],
        &[
            "1.2 kN*s/m",
            "1.2 kN s/m",
            "1.2 kN\u{b7}s/m",
            "1200 N*s/m",
            "1200 newton * second / meter",
        ],
        &[
            "0.4 deg/(kN*m)",
            "0.4 deg/kN/m",
            "0.4 degree / (kilonewton * meter)",
            "0.4 \u{b0}/(kN m)",
        ],
        &[
            "5 m^2",
            "5 m2",
            "5 m\u{b2}",
            "5 m**2",
            "5 meter ** 2",
            "5 m*m",
            "5 m^3/m",
        ],
        &["10 1/m", "10 m^-1", "10 m**-1", "0.01 1/mm", "10 / m"],
        &["-2.5 deg", "\u{2212}2.5 deg", "-2.5 degrees"],
        &["0.6 deg/deg", "0.6", "60 %", "0.6 rad/rad"],
        &["9 m per s", "9 m/s", "32.4 km/h", "32.4 kph"],
    ] {
        let (want, dimension) = (si(forms[0]), quantity(forms[0]).unwrap().2.dimension);
        for form in forms {
            let (got, _, unit) = quantity(form).unwrap_or_else(|e| panic!("{form}: {e:?}"));
            assert!(
                (got / want - 1.0).abs() < 1e-14,
                "{form}: {got} against {want}"
            );
            assert_eq!(unit.dimension, dimension, "{form}");
        }
    }
}

#[test]
fn what_is_no_quantity_is_told_apart() {
    use QuantityError as E;
    for (text, check) in [
        ("mm", (|e| matches!(e, E::NotANumber)) as fn(&E) -> bool),
        ("", |e| matches!(e, E::NotANumber)),
        ("-", |e| matches!(e, E::NotANumber)),
        (".", |e| matches!(e, E::NotANumber)),
        ("1.2.3 mm", |e| matches!(e, E::NotANumber)),
        ("1,5 mm", |e| matches!(e, E::NotANumber)),
        ("--1 mm", |e| matches!(e, E::NotANumber)),
        ("NaN mm", |e| matches!(e, E::NotFinite)),
        ("inf", |e| matches!(e, E::NotFinite)),
        ("-Infinity m", |e| matches!(e, E::NotFinite)),
        ("1e999 m", |e| matches!(e, E::NotFinite)),
        (
            "3 furlongs",
            |e| matches!(e, E::UnknownUnit(name, _) if name == "furlongs"),
        ),
        ("3 Mm", |_| false),
        (
            "3 mmm",
            |e| matches!(e, E::UnknownUnit(_, Some(near)) if near == "mm"),
        ),
        ("3 m^", |e| matches!(e, E::Malformed(_))),
        ("3 m^99", |e| matches!(e, E::Malformed(_))),
        ("3 m/", |e| matches!(e, E::Malformed(_))),
        ("3 (m", |e| matches!(e, E::Malformed(_))),
        ("3 m)", |e| matches!(e, E::Malformed(_))),
        ("3 m//s", |e| matches!(e, E::Malformed(_))),
        // Exponents that no dimension holds, also where they cancel.
        ("3 ((m^6)^6)^6", |e| matches!(e, E::Malformed(_))),
        ("3 (((m^6)^6)^4)/(((m^6)^6)^4)", |e| {
            matches!(e, E::Malformed(_))
        }),
        ("3 ((((((((((((((((((((((((((((((((((((((((m", |e| {
            matches!(e, E::Malformed(_))
        }),
    ] {
        match quantity(text) {
            // A megameter is a length.
            Ok((value, ..)) => assert_eq!((text, value), ("3 Mm", 3e6)),
            Err(error) => assert!(check(&error), "{text}: {error:?}"),
        }
    }
    // A unit may begin with e where no exponent is meant.
    assert_eq!(split_quantity("3e mm").unwrap(), (3.0, "e mm"));
    assert_eq!(split_quantity("3e2mm").unwrap(), (300.0, "mm"));
}

#[test]
fn dimensions_have_names() {
    for (unit, name) in [
        ("mm", "a length"),
        ("lb", "a mass"),
        ("lbf", "a force"),
        ("lbf/in", "a stiffness (force per length)"),
        ("N*m/deg", "an angular stiffness (torque per angle)"),
        ("deg/m", "an angle per length"),
        ("1/m", "a number per length"),
        ("deg/deg", "a pure number"),
        ("psi", "a pressure"),
        ("kg^2*s", "kg^2*s"),
    ] {
        assert_eq!(
            Unit::parse(unit).unwrap().dimension.to_string(),
            name,
            "{unit}"
        );
    }
    // An angle per length is not a number per length.
    assert_ne!(
        Unit::parse("deg/m").unwrap().dimension,
        Unit::parse("1/m").unwrap().dimension
    );
}

#[test]
fn law_writing_and_reading_back_is_exact() {
    let mut rng = ChaCha8Rng::seed_from_u64(1);
    for unit in [
        "mm",
        "deg",
        "psi",
        "kN/m",
        "deg/(kN*m)",
        "lbf/in",
        "mph",
        "kg*m^2",
        "",
        "1/m",
    ] {
        for _ in 0..500 {
            // Random numbers over many magnitudes.
            let value = rng.random_range(-1.0..1.0) * powi(10.0, rng.random_range(-6..7));
            let text = write(value, unit);
            assert_eq!(quantity(&text).unwrap().0, value, "{value} as {text}");
        }
    }
    assert_eq!(write(0.022, "mm"), "22 mm");
    // Where no number of the unit reads back exactly, in SI units.
    let odd = -0.03007715756447825;
    assert_eq!(write(odd, "deg/deg"), "-0.03007715756447825");
    let mut in_si = 0;
    for unit in [
        "deg/deg",
        "%",
        "deg",
        "kN/deg",
        "psi",
        "deg/(kN*m)",
        "lbf/in",
        "kg*m^2/s^3*deg",
    ] {
        for i in 0..4000 {
            let value = odd * (1.0 + 1e-3 * f64::from(i));
            let text = write(value, unit);
            assert_eq!(quantity(&text).unwrap().0, value, "{text}");
            assert_eq!(text.trim(), text);
            if !text.ends_with(unit) {
                in_si += 1;
                assert!(!text.contains("^1"), "{text}");
                let dimension = quantity(&text).unwrap().2.dimension;
                assert_eq!(dimension, Unit::parse(unit).unwrap().dimension, "{text}");
            }
        }
    }
    assert!(in_si > 10, "{in_si}");
    // Numbers of many digits have an exponent, and read back.
    for value in [1e-300, -5e-324, 2.5e-9, 1e22, f64::MAX, f64::MIN_POSITIVE] {
        for unit in ["m", ""] {
            let text = write(value, unit);
            assert!(text.len() < 30, "{text}");
            assert_eq!(quantity(&text).unwrap().0, value, "{text}");
        }
    }
    assert_eq!(write(std::f64::consts::FRAC_PI_2, "deg"), "90 deg");
    assert_eq!(write(0.5, ""), "0.5");
}
