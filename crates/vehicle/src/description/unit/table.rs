//! The table of units: the only place with conversion factors.
//!
//! Exact definitions (NIST Special Publication 811, 2008, Appendix B): inch 25.4 mm, pound
//! 0.45359237 kg, standard acceleration of free fall 9.80665 m/s^2, horsepower 550 ft lbf/s. A
//! factor is a numerator over a denominator, so that 22 mm is 22/1000 m, which rounds to the same
//! number as 0.022 does.

/// Standard acceleration of free fall, CGPM 1901 `[m/s^2]`.
pub const FREE_FALL: f64 = 9.80665;

/// One inch `[m]`, as a numerator over a denominator.
const INCH: (f64, f64) = (254.0, 10_000.0);
/// One foot `[m]`.
const FOOT: (f64, f64) = (3048.0, 10_000.0);
/// One pound `[kg]`.
const POUND: (f64, f64) = (0.453_592_37, 1.0);
/// One pound-force `[N]`.
const POUND_FORCE: (f64, f64) = (0.453_592_37 * FREE_FALL, 1.0);

/// A unit: names, numerator and denominator of its factor to SI, exponents of length, mass, time,
/// angle; whether it takes SI prefixes.
pub(super) struct UnitRow {
    pub names: &'static [&'static str],
    pub factor: (f64, f64),
    pub dimension: [i8; 4],
    pub prefixes: bool,
}

const fn row(
    names: &'static [&'static str],
    factor: (f64, f64),
    dimension: [i8; 4],
    prefixes: bool,
) -> UnitRow {
    UnitRow {
        names,
        factor,
        dimension,
        prefixes,
    }
}

const LENGTH: [i8; 4] = [1, 0, 0, 0];
const MASS: [i8; 4] = [0, 1, 0, 0];
const TIME: [i8; 4] = [0, 0, 1, 0];
const ANGLE: [i8; 4] = [0, 0, 0, 1];
const SPEED: [i8; 4] = [1, 0, -1, 0];
const FORCE: [i8; 4] = [1, 1, -2, 0];
const PRESSURE: [i8; 4] = [-1, 1, -2, 0];
const ENERGY: [i8; 4] = [2, 1, -2, 0];
const POWER: [i8; 4] = [2, 1, -3, 0];

/// All units. A name with `prefixes` also takes each prefix: `mm`, `kN`, `MPa`, `millimeter`
pub(super) const UNITS: &[UnitRow] = &[
    row(
        &["m", "meter", "metre", "meters", "metres"],
        (1.0, 1.0),
        LENGTH,
        true,
    ),
    row(&["in", "inch", "inches"], INCH, LENGTH, false),
    row(&["ft", "foot", "feet"], FOOT, LENGTH, false),
    row(&["yd", "yard", "yards"], (9144.0, 10_000.0), LENGTH, false),
    row(
        &["mi", "mile", "miles"],
        (1_609_344.0, 1000.0),
        LENGTH,
        false,
    ),
    // Its own row, so that SI values pass unchanged.
    row(
        &["kg", "kilogram", "kilograms", "kgs"],
        (1.0, 1.0),
        MASS,
        false,
    ),
    row(&["g", "gram", "gramme", "grams"], (1.0, 1000.0), MASS, true),
    row(&["t", "tonne", "metric_ton"], (1000.0, 1.0), MASS, false),
    row(&["lb", "lbm", "lbs", "pound", "pounds"], POUND, MASS, false),
    row(
        &["slug", "slugs"],
        (POUND_FORCE.0 * 10_000.0, 3048.0),
        MASS,
        false,
    ),
    row(&["s", "sec", "second", "seconds"], (1.0, 1.0), TIME, true),
    row(&["min", "minute", "minutes"], (60.0, 1.0), TIME, false),
    row(&["h", "hr", "hour", "hours"], (3600.0, 1.0), TIME, false),
    row(&["rad", "radian", "radians"], (1.0, 1.0), ANGLE, true),
    row(
        &["deg", "\u{b0}", "degree", "degrees"],
        (std::f64::consts::PI, 180.0),
        ANGLE,
        false,
    ),
    row(
        &["rev", "revolution", "turn"],
        (2.0 * std::f64::consts::PI, 1.0),
        ANGLE,
        false,
    ),
    row(
        &["rpm", "revolutions_per_minute"],
        (2.0 * std::f64::consts::PI, 60.0),
        [0, 0, -1, 1],
        false,
    ),
    row(&["Hz", "hertz"], (1.0, 1.0), [0, 0, -1, 0], true),
    row(&["N", "newton", "newtons"], (1.0, 1.0), FORCE, true),
    row(
        &["lbf", "pound_force", "force_pound"],
        POUND_FORCE,
        FORCE,
        false,
    ),
    row(
        &["kgf", "kilogram_force", "force_kilogram", "kp"],
        (FREE_FALL, 1.0),
        FORCE,
        false,
    ),
    row(&["Pa", "pascal", "pascals"], (1.0, 1.0), PRESSURE, true),
    row(&["bar"], (100_000.0, 1.0), PRESSURE, true),
    row(
        &["psi", "pound_force_per_square_inch"],
        (POUND_FORCE.0, 0.0254 * 0.0254),
        PRESSURE,
        true,
    ),
    row(&["J", "joule", "joules"], (1.0, 1.0), ENERGY, true),
    row(&["W", "watt", "watts"], (1.0, 1.0), POWER, true),
    row(
        &["hp", "horsepower"],
        (550.0 * POUND_FORCE.0 * 3048.0, 10_000.0),
        POWER,
        false,
    ),
    row(
        &["PS", "metric_horsepower"],
        (75.0 * FREE_FALL, 1.0),
        POWER,
        false,
    ),
    row(
        &["mph", "mile_per_hour", "miles_per_hour"],
        (1_609_344.0, 3_600_000.0),
        SPEED,
        false,
    ),
    row(
        &["kph", "kmh", "kilometer_per_hour"],
        (10.0, 36.0),
        SPEED,
        false,
    ),
    row(&["%", "percent"], (1.0, 100.0), [0; 4], false),
    row(&["1", "-", "dimensionless"], (1.0, 1.0), [0; 4], false),
];

/// SI prefixes: symbol, name, power of ten.
pub(super) const PREFIXES: &[(&str, &str, i32)] = &[
    ("k", "kilo", 3),
    ("M", "mega", 6),
    ("G", "giga", 9),
    ("m", "milli", -3),
    ("c", "centi", -2),
    ("d", "deci", -1),
    ("u", "micro", -6),
    ("\u{b5}", "micro", -6),
    ("\u{3bc}", "micro", -6),
    ("n", "nano", -9),
];
