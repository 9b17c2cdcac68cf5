//! Entries of the tires, the same at both ends.
//!
//! Defaults follow the stand-in tire of the tire crate where that is proportional to nothing; what
//! scales with load must be given.

use super::key::{EndKey, EntryTable};
use super::row::{EntryRow, Place, index_of, q, row};
use super::shape::{EntryNeed, default};

const BOTH: Place = Place::Both;
const PRACTICE: &str = "common practice, no source";

/// The rows, in the order of a file.
pub(super) const ROWS: &[EntryRow] = &[
    row(
        BOTH,
        "wheel.spin_inertia",
        q("kg*m^2", 0.05, 20.0),
        EntryNeed::Required,
        "Moment of inertia of one wheel with tire and brake disc, and its share of what turns with \
         it, about its axis",
    ),
    row(
        BOTH,
        "tire.pressure",
        q("kPa", 50.0, 600.0),
        EntryNeed::Required,
        "Inflation pressure above the atmosphere",
    ),
    row(
        BOTH,
        "tire.unloaded_radius",
        q("mm", 150.0, 600.0),
        EntryNeed::Required,
        "Radius of the inflated tire without load",
    ),
    row(
        BOTH,
        "tire.nominal_load",
        q("kN", 0.5, 30.0),
        EntryNeed::Required,
        "Load at which the other tire entries are given",
    ),
    row(
        BOTH,
        "tire.nominal_pressure",
        q("kPa", 50.0, 600.0),
        default("220 kPa", "a usual placard pressure, 32 lbf/in^2"),
        "Pressure at which the other tire entries are given",
    ),
    row(
        BOTH,
        "tire.vertical_stiffness",
        q("kN/m", 20.0, 2000.0),
        EntryNeed::Required,
        "Radial stiffness at the nominal pressure",
    ),
    row(
        BOTH,
        "tire.vertical_damping",
        q("N*s/m", 0.0, 5000.0),
        default(
            "200 N*s/m",
            "about one hundredth of critical; common practice, no source",
        ),
        "Radial damping",
    ),
    row(
        BOTH,
        "tire.vertical_stiffness_pressure",
        q("", -2.0, 2.0),
        default(
            "0.7",
            "air carries most of the load, the carcass the rest; common practice, no source",
        ),
        "Relative growth of the radial stiffness per relative growth of pressure",
    ),
    row(
        BOTH,
        "tire.radius_fraction",
        q("", 0.0, 1.0),
        default("0.33", "a tread pressed into its chord: one third"),
        "Share of the radial deflection by which the rolling radius is below the unloaded one",
    ),
    row(
        BOTH,
        "tire.lateral.friction",
        q("", 0.1, 3.0),
        EntryNeed::Required,
        "Largest lateral force over load at the nominal load and the pressure of best grip",
    ),
    row(
        BOTH,
        "tire.lateral.friction_fall",
        q("", -0.3, 0.8),
        default("0.1", "SAE 870421 (1987), about 0.096 at 4 kN; from memory"),
        "Relative fall of that friction when the load rises by one nominal load",
    ),
    row(
        BOTH,
        "tire.lateral.stiffness",
        q("kN/deg", 0.05, 10.0),
        EntryNeed::Required,
        "Cornering stiffness at the nominal load and pressure",
    ),
    row(
        BOTH,
        "tire.lateral.stiffness_peak_load",
        q("kN", 0.5, 100.0),
        EntryNeed::Required,
        "Load at which the cornering stiffness is largest",
    ),
    row(
        BOTH,
        "tire.lateral.stiffness_pressure",
        q("", -3.0, 3.0),
        default("0.3", PRACTICE),
        "Relative growth of the largest cornering stiffness per relative growth of pressure",
    ),
    row(
        BOTH,
        "tire.lateral.peak_load_pressure",
        q("", -3.0, 3.0),
        default("1.1", PRACTICE),
        "Relative growth of the load of largest cornering stiffness per relative growth of pressure",
    ),
    row(
        BOTH,
        "tire.lateral.shape",
        q("", 1.01, 1.99),
        default(
            "1.3",
            "Bakker, Nyborg and Pacejka, SAE 870421 (1987); from memory",
        ),
        "Shape factor of the lateral force curve: sin(pi C/2) of the largest force is left in full \
         sliding",
    ),
    row(
        BOTH,
        "tire.lateral.curvature",
        q("", -20.0, 0.99),
        default("-0.7", "SAE 870421 (1987) at 4 kN; from memory"),
        "Curvature of the lateral force curve: the more negative, the sharper the bend at the peak",
    ),
    row(
        BOTH,
        "tire.lateral.carcass_stiffness",
        q("kN/m", 10.0, 2000.0),
        EntryNeed::Required,
        "Lateral stiffness of the standing tire between rim and road",
    ),
    row(
        BOTH,
        "tire.longitudinal.friction",
        q("", 0.1, 3.0),
        EntryNeed::Required,
        "Largest longitudinal force over load at the nominal load and the pressure of best grip",
    ),
    row(
        BOTH,
        "tire.longitudinal.friction_fall",
        q("", -0.3, 0.8),
        default("0.08", "SAE 870421 (1987) at 4 kN; from memory"),
        "Relative fall of that friction when the load rises by one nominal load",
    ),
    row(
        BOTH,
        "tire.longitudinal.stiffness",
        q("kN", 5.0, 1000.0),
        EntryNeed::Required,
        "Slip stiffness at the nominal load and pressure: force per unit of slip",
    ),
    row(
        BOTH,
        "tire.longitudinal.stiffness_peak_load",
        q("kN", 0.5, 100.0),
        default(
            "20 kN",
            "far above the loads of a car: the stiffness grows with load (SAE 870421)",
        ),
        "Load at which the slip stiffness is largest",
    ),
    row(
        BOTH,
        "tire.longitudinal.stiffness_pressure",
        q("", -3.0, 3.0),
        default("0", "its sign differs from tire to tire"),
        "Relative growth of the largest slip stiffness per relative growth of pressure",
    ),
    row(
        BOTH,
        "tire.longitudinal.peak_load_pressure",
        q("", -3.0, 3.0),
        default("0", "its sign differs from tire to tire"),
        "Relative growth of the load of largest slip stiffness per relative growth of pressure",
    ),
    row(
        BOTH,
        "tire.longitudinal.shape",
        q("", 1.01, 1.99),
        default("1.65", "SAE 870421 (1987); from memory"),
        "Shape factor of the longitudinal force curve",
    ),
    row(
        BOTH,
        "tire.longitudinal.curvature",
        q("", -20.0, 0.99),
        default("0.6", "SAE 870421 (1987) at 4 kN; from memory"),
        "Curvature of the longitudinal force curve",
    ),
    row(
        BOTH,
        "tire.longitudinal.carcass_stiffness",
        q("kN/m", 20.0, 5000.0),
        EntryNeed::Required,
        "Longitudinal stiffness of the standing tire between rim and road",
    ),
    row(
        BOTH,
        "tire.grip_pressure",
        q("kPa", 50.0, 600.0),
        default("220 kPa", "the default nominal pressure"),
        "Pressure of best grip",
    ),
    row(
        BOTH,
        "tire.grip_pressure_loss",
        q("", 0.0, 10.0),
        default(
            "0.25",
            "one percent lost at 20 percent off; common practice, no source",
        ),
        "Loss of friction away from that pressure, times the square of the relative difference",
    ),
    row(
        BOTH,
        "tire.camber_thrust",
        q("1/rad", -2.0, 5.0),
        default(
            "0.57 1/rad",
            "one percent of the load per degree; common practice, no source",
        ),
        "Camber thrust over load and inclination",
    ),
    row(
        BOTH,
        "tire.camber_grip_loss",
        q("1/rad^2", 0.0, 100.0),
        default(
            "3 1/rad^2",
            "three percent at six degrees; common practice, no source",
        ),
        "Loss of lateral friction with the square of the inclination",
    ),
    row(
        BOTH,
        "tire.camber_stiffness_loss",
        q("1/rad^2", 0.0, 100.0),
        default(
            "5 1/rad^2",
            "five percent at six degrees; common practice, no source",
        ),
        "Loss of cornering stiffness with the square of the inclination",
    ),
    row(
        BOTH,
        "tire.trail",
        q("mm", 0.0, 150.0),
        default(
            "30 mm",
            "a fifth of a usual contact length; common practice, no source",
        ),
        "Pneumatic trail at zero slip, nominal load and pressure",
    ),
    row(
        BOTH,
        "tire.trail_reach",
        q("", 0.1, 10.0),
        default("1", "as the brush model"),
        "Slip at which the trail vanishes, relative to the brush model",
    ),
    row(
        BOTH,
        "tire.carcass_pressure",
        q("", -2.0, 2.0),
        default("0.5", PRACTICE),
        "Relative growth of both carcass stiffnesses per relative growth of pressure",
    ),
    row(
        BOTH,
        "tire.carcass_damping_time",
        q("ms", 0.0, 100.0),
        default("0 ms", "small beside the suspension's damping"),
        "Damping of the carcass over its stiffness",
    ),
    row(
        BOTH,
        "tire.relaxation_floor",
        q("mm", 5.0, 500.0),
        default("100 mm", "half a contact length"),
        "Smallest relaxation length, what is left of it on a lifted wheel",
    ),
    row(
        BOTH,
        "tire.rolling_resistance",
        q("", 0.0, 0.2),
        default(
            "0.012",
            "a usual radial street tire; common practice, no source",
        ),
        "Rolling resistance over load at the nominal pressure",
    ),
    row(
        BOTH,
        "tire.rolling_pressure_exponent",
        q("", -2.0, 2.0),
        default("-0.4", PRACTICE),
        "Exponent of the relative pressure in the rolling resistance",
    ),
];

/// `wheel.spin_inertia`: moment of inertia of one wheel with tire and brake disc about its axis.
pub const WHEEL_SPIN_INERTIA: EndKey<f64> = tire_key("wheel.spin_inertia");
/// `tire.pressure`: inflation pressure above the atmosphere.
pub const TIRE_PRESSURE: EndKey<f64> = tire_key("tire.pressure");
/// `tire.unloaded_radius`: radius of the inflated tire without load.
pub const TIRE_UNLOADED_RADIUS: EndKey<f64> = tire_key("tire.unloaded_radius");

/// The key of a number in the table of the tires, by its path below the end. Evaluated in a
/// constant, it does not compile where the table has no such path.
pub const fn tire_key(path: &str) -> EndKey<f64> {
    let index = index_of(ROWS, path);
    let _ = ROWS[index as usize].keyed::<f64>();
    EndKey::of(EntryTable::Tire, index)
}
