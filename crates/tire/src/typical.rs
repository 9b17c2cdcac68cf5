//! A stand-in description, each value with its reason.

use crate::spec::{DirectionSpec, TireSpec};

impl TireSpec {
    /// A street tire of a radius [m] and nominal load [N], for want of anything better.
    ///
    /// Curves and load effects are those of the tire of SAE 870421 (Bakker, Nyborg and Pacejka, 1987)
    /// at 4 kN, in proportion to load; the coefficients are from memory. Other values are common
    /// practice without a source where the line says so. Replace what you know, and sweep the rest.
    pub fn typical(unloaded_radius: f64, nominal_load: f64) -> TireSpec {
        TireSpec {
            unloaded_radius,
            nominal_load,
            // 32 lbf/in2, a usual placard pressure.
            nominal_pressure: 220e3,
            // 20 mm of deflection under the nominal load; common practice.
            vertical_stiffness: nominal_load / 0.020,
            // One hundredth of critical for the load as a mass on the tire; common practice: tires
            // damp little, and rolling takes most of what they have.
            vertical_damping: 0.02 * nominal_load / (9.80665_f64 * 0.020).sqrt(),
            // Pressure carries most of the load, the carcass the rest; size of the effect from common
            // practice.
            vertical_stiffness_pressure: 0.70,
            // A tread pressed into its chord; see the module on the vertical direction.
            radius_fraction: 1.0 / 3.0,
            longitudinal: DirectionSpec {
                // 4235 N and -21.3 N/kN^2 at 4 kN.
                friction: 1.059,
                friction_fall: 0.080,
                // 1288 N per percent of slip at 4 kN.
                stiffness: 32.2 * nominal_load,
                // Its stiffness grows with load throughout the table.
                stiffness_peak_load: 5.0 * nominal_load,
                // Signs differ from tire to tire: none.
                stiffness_pressure: 0.0,
                peak_load_pressure: 0.0,
                shape: 1.65,
                // At 4 kN.
                curvature: 0.614,
                // Three to four times the lateral; common practice.
                carcass_stiffness: 100.0 * nominal_load,
            },
            lateral: DirectionSpec {
                // 3690 N and -22.1 N/kN^2 at 4 kN.
                friction: 0.9226,
                friction_fall: 0.096,
                // 1027 N/deg at 4 kN.
                stiffness: 14.7 * nominal_load,
                // Largest at 5.6 kN.
                stiffness_peak_load: 1.4 * nominal_load,
                // Stiffer at high load, softer at low load with more pressure; sizes from common
                // practice.
                stiffness_pressure: 0.30,
                peak_load_pressure: 1.10,
                shape: 1.30,
                // At 4 kN.
                curvature: -0.709,
                // A relaxation length of half a meter; common practice.
                carcass_stiffness: 30.0 * nominal_load,
            },
            // Best at the placard pressure, 1 % lost at 20 % off; common practice.
            grip_pressure: 220e3,
            grip_pressure_loss: 0.25,
            // 0.01 of the load per degree, a radial tire; common practice.
            camber_thrust: 0.57,
            // 3 % of grip at 6 degrees; common practice.
            camber_grip_loss: 3.0,
            // 5 % of stiffness at 6 degrees; common practice.
            camber_stiffness_loss: 5.0,
            // About 30 mm on a car tire, in proportion to size; common practice.
            trail: 0.1 * unloaded_radius,
            // As the brush model.
            trail_reach: 1.0,
            // Less than the radial stiffness, the sidewalls' own share being larger; common practice.
            carcass_pressure: 0.5,
            // Small beside the suspension's damping at standstill, none at speed: left out.
            carcass_damping_time: 0.0,
            // Half a contact length, what a tire with a rigid carcass would have.
            relaxation_floor: 0.1,
            // A usual radial street tire; common practice.
            rolling_resistance: 0.012,
            // The order found by coastdown on drums; common practice.
            rolling_pressure_exponent: -0.4,
        }
    }
}
