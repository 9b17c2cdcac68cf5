//! The inputs of a tire: the one table of their units, ranges, usual values and meanings.
//!
//! Usual values are those of a street tire of 4 kN nominal load and 0.3 m radius. Curves and load
//! effects are those of the tire of SAE 870421 (Bakker, Nyborg and Pacejka, *Tyre Modelling for Use
//! in Vehicle Dynamics Studies*, 1987) at 4 kN; its coefficients are from memory. Ranges are wide
//! enough for every tire of a road or racing car and narrow enough to catch a wrong unit (our
//! choice).

use std::f64::consts::PI;

use crate::input::{Input, InputUnit, Scaling};

/// Units of the table.
const UNITS: [InputUnit; 10] = [
    InputUnit::new("", "", 1.0, 1.0),
    InputUnit::new("mm", "m", 1.0, 1000.0),
    InputUnit::new("ms", "s", 1.0, 1000.0),
    InputUnit::new("kN", "N", 1000.0, 1.0),
    InputUnit::new("kPa", "Pa", 1000.0, 1.0),
    InputUnit::new("kN/m", "N/m", 1000.0, 1.0),
    InputUnit::new("kN/deg", "N/rad", 180_000.0, PI),
    InputUnit::new("N*s/m", "N*s/m", 1.0, 1.0),
    InputUnit::new("1/rad", "1/rad", 1.0, 1.0),
    InputUnit::new("1/rad^2", "1/rad^2", 1.0, 1.0),
];

/// The unit with a name.
const fn unit(name: &str) -> InputUnit {
    let mut i = 0;
    while i < UNITS.len() {
        if same(UNITS[i].name.as_bytes(), name.as_bytes()) {
            return UNITS[i];
        }
        i += 1;
    }
    panic!("no unit of the table has this name")
}

const PRACTICE: &str = "common practice, no source";

/// Inflation pressures that a tire can be used at. `[kPa]`
const PRESSURE: [f64; 2] = [50.0, 600.0];

/// Least and largest inflation pressure above the atmosphere that a tire can be used at. `[Pa]`
pub const PRESSURE_RANGE: [f64; 2] = [
    unit("kPa").to_si(PRESSURE[0]),
    unit("kPa").to_si(PRESSURE[1]),
];

/// One entry of the table: path, unit, range, usual value, its reason, meaning.
macro_rules! declare {
    (@key $a:ident) => { stringify!($a) };
    (@key $a:ident . $b:ident) => { concat!(stringify!($a), ".", stringify!($b)) };
    (@text $usual:literal, "") => { concat!($usual) };
    (@text $usual:literal, $unit:tt) => { concat!($usual, " ", $unit) };
    ($($path:ident).+, $unit:tt, $range:expr, $usual:literal, $reason:expr, $meaning:expr $(,)?) => {
        Input {
            key: declare!(@key $($path).+),
            entry: concat!("tire.", declare!(@key $($path).+)),
            unit: unit($unit),
            range: $range,
            usual: $usual as f64,
            usual_text: declare!(@text $usual, $unit),
            reason: $reason,
            scaling: Scaling::None,
            required: false,
            pressure_factor: false,
            meaning: $meaning,
            get: |spec| spec.$($path).+,
            set: |spec, value| spec.$($path).+ = value,
        }
    };
}

/// All inputs, in the order of a car file.
pub const TIRE_INPUTS: &[Input] = &[
    declare!(
        unloaded_radius,
        "mm",
        [150.0, 600.0],
        300,
        "the reference tire",
        "Radius of the inflated tire without load",
    )
    .required()
    .scaled(Scaling::Radius),
    declare!(
        nominal_load,
        "kN",
        [0.5, 30.0],
        4,
        "the reference tire",
        "Load at which the other tire entries are given",
    )
    .required()
    .scaled(Scaling::Load),
    declare!(
        nominal_pressure,
        "kPa",
        PRESSURE,
        220,
        "a usual placard pressure, 32 lbf/in^2",
        "Pressure at which the other tire entries are given",
    ),
    declare!(
        vertical_stiffness,
        "kN/m",
        [20.0, 2000.0],
        200,
        "20 mm of deflection under the nominal load; common practice, no source",
        "Radial stiffness at the nominal pressure",
    )
    .required()
    .scaled(Scaling::Load),
    declare!(
        vertical_damping,
        "N*s/m",
        [0.0, 5000.0],
        200,
        "about one hundredth of critical; common practice, no source",
        "Radial damping",
    )
    .scaled(Scaling::Load),
    declare!(
        vertical_stiffness_pressure,
        "",
        [-2.0, 2.0],
        0.7,
        "air carries most of the load, the carcass the rest; common practice, no source",
        "Relative growth of the radial stiffness per relative growth of pressure",
    )
    .of_pressure(),
    declare!(
        radius_fraction,
        "",
        [0.0, 1.0],
        0.33,
        "a tread pressed into its chord: one third",
        "Share of the radial deflection by which the rolling radius is below the unloaded one",
    ),
    declare!(
        lateral.friction,
        "",
        [0.1, 3.0],
        0.9226,
        "SAE 870421 (1987), 3690 N at 4 kN; from memory",
        "Largest lateral force over load at the nominal load and the pressure of best grip",
    )
    .required(),
    declare!(
        lateral.friction_fall,
        "",
        [-0.3, 0.8],
        0.1,
        "SAE 870421 (1987), about 0.096 at 4 kN; from memory",
        "Relative fall of that friction when the load rises by one nominal load",
    ),
    declare!(
        lateral.stiffness,
        "kN/deg",
        [0.05, 10.0],
        1.027,
        "SAE 870421 (1987), 1027 N/deg at 4 kN; from memory",
        "Cornering stiffness at the nominal load and pressure",
    )
    .required()
    .scaled(Scaling::Load),
    declare!(
        lateral.stiffness_peak_load,
        "kN",
        [0.5, 100.0],
        5.6,
        "SAE 870421 (1987), largest at 5.6 kN; from memory",
        "Load at which the cornering stiffness is largest",
    )
    .required()
    .scaled(Scaling::Load),
    declare!(
        lateral.stiffness_pressure,
        "",
        [-3.0, 3.0],
        0.3,
        PRACTICE,
        "Relative growth of the largest cornering stiffness per relative growth of pressure",
    )
    .of_pressure(),
    declare!(
        lateral.peak_load_pressure,
        "",
        [-3.0, 3.0],
        1.1,
        PRACTICE,
        "Relative growth of the load of largest cornering stiffness per relative growth of pressure",
    )
    .of_pressure(),
    declare!(
        lateral.shape,
        "",
        [1.01, 1.99],
        1.3,
        "Bakker, Nyborg and Pacejka, SAE 870421 (1987); from memory",
        "Shape factor of the lateral force curve: sin(pi C/2) of the largest force is left in full \
         sliding",
    ),
    declare!(
        lateral.curvature,
        "",
        [-20.0, 0.99],
        -0.7,
        "SAE 870421 (1987) at 4 kN; from memory",
        "Curvature of the lateral force curve: the more negative, the sharper the bend at the peak",
    ),
    declare!(
        lateral.carcass_stiffness,
        "kN/m",
        [10.0, 2000.0],
        120,
        "a relaxation length of half a meter; common practice, no source",
        "Lateral stiffness of the standing tire between rim and road",
    )
    .required()
    .scaled(Scaling::Load),
    declare!(
        longitudinal.friction,
        "",
        [0.1, 3.0],
        1.059,
        "SAE 870421 (1987), 4235 N at 4 kN; from memory",
        "Largest longitudinal force over load at the nominal load and the pressure of best grip",
    )
    .required(),
    declare!(
        longitudinal.friction_fall,
        "",
        [-0.3, 0.8],
        0.08,
        "SAE 870421 (1987) at 4 kN; from memory",
        "Relative fall of that friction when the load rises by one nominal load",
    ),
    declare!(
        longitudinal.stiffness,
        "kN",
        [5.0, 1000.0],
        128.8,
        "SAE 870421 (1987), 1288 N per percent of slip at 4 kN; from memory",
        "Slip stiffness at the nominal load and pressure: force per unit of slip",
    )
    .required()
    .scaled(Scaling::Load),
    declare!(
        longitudinal.stiffness_peak_load,
        "kN",
        [0.5, 100.0],
        20,
        "far above the loads of a car: the stiffness grows with load (SAE 870421)",
        "Load at which the slip stiffness is largest",
    )
    .scaled(Scaling::Load),
    declare!(
        longitudinal.stiffness_pressure,
        "",
        [-3.0, 3.0],
        0,
        "its sign differs from tire to tire",
        "Relative growth of the largest slip stiffness per relative growth of pressure",
    )
    .of_pressure(),
    declare!(
        longitudinal.peak_load_pressure,
        "",
        [-3.0, 3.0],
        0,
        "its sign differs from tire to tire",
        "Relative growth of the load of largest slip stiffness per relative growth of pressure",
    )
    .of_pressure(),
    declare!(
        longitudinal.shape,
        "",
        [1.01, 1.99],
        1.65,
        "SAE 870421 (1987); from memory",
        "Shape factor of the longitudinal force curve",
    ),
    declare!(
        longitudinal.curvature,
        "",
        [-20.0, 0.99],
        0.6,
        "SAE 870421 (1987) at 4 kN; from memory",
        "Curvature of the longitudinal force curve",
    ),
    declare!(
        longitudinal.carcass_stiffness,
        "kN/m",
        [20.0, 5000.0],
        400,
        "three to four times the lateral; common practice, no source",
        "Longitudinal stiffness of the standing tire between rim and road",
    )
    .required()
    .scaled(Scaling::Load),
    declare!(
        grip_pressure,
        "kPa",
        PRESSURE,
        220,
        "the default nominal pressure",
        "Pressure of best grip",
    ),
    declare!(
        grip_pressure_loss,
        "",
        [0.0, 10.0],
        0.25,
        "one percent lost at 20 percent off; common practice, no source",
        "Loss of friction away from that pressure, times the square of the relative difference",
    ),
    declare!(
        camber_thrust,
        "1/rad",
        [-2.0, 5.0],
        0.57,
        "one percent of the load per degree; common practice, no source",
        "Camber thrust over load and inclination",
    ),
    declare!(
        camber_grip_loss,
        "1/rad^2",
        [0.0, 100.0],
        3,
        "three percent at six degrees; common practice, no source",
        "Loss of lateral friction with the square of the inclination",
    ),
    declare!(
        camber_stiffness_loss,
        "1/rad^2",
        [0.0, 100.0],
        5,
        "five percent at six degrees; common practice, no source",
        "Loss of cornering stiffness with the square of the inclination",
    ),
    declare!(
        trail,
        "mm",
        [0.0, 150.0],
        30,
        "a fifth of a usual contact length; common practice, no source",
        "Pneumatic trail at zero slip, nominal load and pressure",
    )
    .scaled(Scaling::Radius),
    declare!(
        trail_reach,
        "",
        [0.1, 10.0],
        1,
        "as the brush model",
        "Slip at which the trail vanishes, relative to the brush model",
    ),
    declare!(
        carcass_pressure,
        "",
        [-2.0, 2.0],
        0.5,
        PRACTICE,
        "Relative growth of both carcass stiffnesses per relative growth of pressure",
    )
    .of_pressure(),
    declare!(
        carcass_damping_time,
        "ms",
        [0.0, 100.0],
        0,
        "small beside the suspension's damping",
        "Damping of the carcass over its stiffness",
    ),
    declare!(
        relaxation_floor,
        "mm",
        [5.0, 500.0],
        100,
        "half a contact length",
        "Smallest relaxation length, what is left of it on a lifted wheel",
    ),
    declare!(
        rolling_resistance,
        "",
        [0.0, 0.2],
        0.012,
        "a usual radial street tire; common practice, no source",
        "Rolling resistance over load at the nominal pressure",
    ),
    declare!(
        rolling_pressure_exponent,
        "",
        [-2.0, 2.0],
        -0.4,
        PRACTICE,
        "Exponent of the relative pressure in the rolling resistance",
    ),
];

/// The declaration of an input by its key.
///
/// # Panics
///
/// For a key that no input has; in a constant, that is an error of compilation.
pub const fn input(key: &str) -> &'static Input {
    let mut i = 0;
    while i < TIRE_INPUTS.len() {
        if same(TIRE_INPUTS[i].key.as_bytes(), key.as_bytes()) {
            return &TIRE_INPUTS[i];
        }
        i += 1;
    }
    panic!("no input of a tire has this key")
}

/// Whether two texts are the same, for constants.
const fn same(a: &[u8], b: &[u8]) -> bool {
    if a.len() != b.len() {
        return false;
    }
    let mut i = 0;
    while i < a.len() {
        if a[i] != b[i] {
            return false;
        }
        i += 1;
    }
    true
}
