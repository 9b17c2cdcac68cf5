//! The ranges a description must keep.

use crate::error::Fault;
use crate::spec::{DirectionSpec, TireSpec};

/// A field of the description with its unit and the range it must keep, ends excluded where open.
struct Range {
    low: f64,
    high: f64,
    low_allowed: bool,
    unit: &'static str,
}

/// Above `low`, up to and with `high`.
const fn above(low: f64, high: f64, unit: &'static str) -> Range {
    Range {
        low,
        high,
        low_allowed: false,
        unit,
    }
}

/// From `low` to `high`, both allowed.
const fn within(low: f64, high: f64, unit: &'static str) -> Range {
    Range {
        low,
        high,
        low_allowed: true,
        unit,
    }
}

/// Collects faults.
struct Checker(Vec<Fault>);

impl Checker {
    fn field(&mut self, field: &'static str, value: f64, range: &Range) {
        let low_ok = if range.low_allowed {
            value >= range.low
        } else {
            value > range.low
        };
        if !(low_ok && value <= range.high) {
            self.0.push(Fault::Range {
                field,
                value,
                unit: range.unit,
                low: range.low,
                high: range.high,
                low_allowed: range.low_allowed,
            });
        }
    }

    fn factor(&mut self, field: &'static str, coefficient: f64, dp: f64, pressure: f64) {
        let factor = 1.0 + coefficient * dp;
        if factor < LEAST_FACTOR {
            self.0.push(Fault::Pressure {
                field,
                coefficient,
                pressure,
                factor,
                least: LEAST_FACTOR,
            });
        }
    }
}

/// The least factor that a pressure may leave of a stiffness or a load.
const LEAST_FACTOR: f64 = 0.05;

impl TireSpec {
    /// Whether every input is in its range; all faults together.
    pub fn check(&self) -> Result<(), Vec<Fault>> {
        let faults = self.faults_at(self.nominal_pressure);
        if faults.is_empty() {
            Ok(())
        } else {
            Err(faults)
        }
    }

    /// The faults of the description and of a pressure.
    pub(crate) fn faults_at(&self, pressure: f64) -> Vec<Fault> {
        let mut c = Checker(Vec::new());
        for (field, value, range) in [
            (
                "unloaded_radius",
                self.unloaded_radius,
                above(0.0, 2.0, "m"),
            ),
            ("nominal_load", self.nominal_load, above(0.0, 1e5, "N")),
            (
                "nominal_pressure",
                self.nominal_pressure,
                above(0.0, 2e6, "Pa"),
            ),
            (
                "vertical_stiffness",
                self.vertical_stiffness,
                above(0.0, 1e7, "N/m"),
            ),
            (
                "vertical_damping",
                self.vertical_damping,
                within(0.0, 1e5, "N s/m"),
            ),
            (
                "radius_fraction",
                self.radius_fraction,
                within(0.0, 1.0, "-"),
            ),
            ("grip_pressure", self.grip_pressure, above(0.0, 2e6, "Pa")),
            (
                "grip_pressure_loss",
                self.grip_pressure_loss,
                within(0.0, 10.0, "-"),
            ),
            (
                "camber_thrust",
                self.camber_thrust,
                within(-2.0, 5.0, "1/rad"),
            ),
            (
                "camber_grip_loss",
                self.camber_grip_loss,
                within(0.0, 100.0, "1/rad^2"),
            ),
            (
                "camber_stiffness_loss",
                self.camber_stiffness_loss,
                within(0.0, 100.0, "1/rad^2"),
            ),
            ("trail", self.trail, within(0.0, 0.5, "m")),
            ("trail_reach", self.trail_reach, within(0.1, 10.0, "-")),
            (
                "carcass_damping_time",
                self.carcass_damping_time,
                within(0.0, 0.1, "s"),
            ),
            (
                "relaxation_floor",
                self.relaxation_floor,
                above(0.0, 2.0, "m"),
            ),
            (
                "rolling_resistance",
                self.rolling_resistance,
                within(0.0, 0.5, "-"),
            ),
            (
                "rolling_pressure_exponent",
                self.rolling_pressure_exponent,
                change_range(),
            ),
            (
                "vertical_stiffness_pressure",
                self.vertical_stiffness_pressure,
                change_range(),
            ),
            ("carcass_pressure", self.carcass_pressure, change_range()),
        ] {
            c.field(field, value, &range);
        }
        check_direction(&mut c, &self.longitudinal, &LONGITUDINAL);
        check_direction(&mut c, &self.lateral, &LATERAL);

        c.field("pressure", pressure, &above(0.0, 2e6, "Pa"));
        let dp = pressure / self.nominal_pressure - 1.0;
        c.factor(
            "vertical_stiffness_pressure",
            self.vertical_stiffness_pressure,
            dp,
            pressure,
        );
        c.factor("carcass_pressure", self.carcass_pressure, dp, pressure);
        for (d, names) in [
            (&self.longitudinal, &LONGITUDINAL),
            (&self.lateral, &LATERAL),
        ] {
            c.factor(names[4], d.stiffness_pressure, dp, pressure);
            c.factor(names[5], d.peak_load_pressure, dp, pressure);
        }
        c.0
    }
}

/// The range of coefficients of pressure.
fn change_range() -> Range {
    within(-5.0, 5.0, "-")
}

/// The paths of a direction's inputs, in the order of declaration.
type Names = [&'static str; 9];
const LONGITUDINAL: Names = [
    "longitudinal.friction",
    "longitudinal.friction_fall",
    "longitudinal.stiffness",
    "longitudinal.stiffness_peak_load",
    "longitudinal.stiffness_pressure",
    "longitudinal.peak_load_pressure",
    "longitudinal.shape",
    "longitudinal.curvature",
    "longitudinal.carcass_stiffness",
];
const LATERAL: Names = [
    "lateral.friction",
    "lateral.friction_fall",
    "lateral.stiffness",
    "lateral.stiffness_peak_load",
    "lateral.stiffness_pressure",
    "lateral.peak_load_pressure",
    "lateral.shape",
    "lateral.curvature",
    "lateral.carcass_stiffness",
];

fn check_direction(c: &mut Checker, d: &DirectionSpec, names: &Names) {
    let values = [
        d.friction,
        d.friction_fall,
        d.stiffness,
        d.stiffness_peak_load,
        d.stiffness_pressure,
        d.peak_load_pressure,
        d.shape,
        d.curvature,
        d.carcass_stiffness,
    ];
    let ranges = [
        above(0.0, 10.0, "-"),
        within(-0.5, 0.9, "-"),
        above(0.0, 1e7, "N/rad"),
        above(0.0, 1e7, "N"),
        change_range(),
        change_range(),
        within(1.01, 1.99, "-"),
        within(-100.0, 0.99, "-"),
        above(0.0, 1e8, "N/m"),
    ];
    for ((name, value), range) in names.iter().zip(values).zip(&ranges) {
        c.field(name, value, range);
    }
}
