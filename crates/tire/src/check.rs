//! The check of a description against the table of inputs.

use crate::error::TireFault;
use crate::input::Input;
use crate::inputs::{PRESSURE_RANGE, TIRE_INPUTS};
use crate::spec::TireSpec;

/// The least factor that a pressure may leave of a stiffness or a load. `[-]`
const LEAST_FACTOR: f64 = 0.05;

impl TireSpec {
    /// Checks that every input is in its range.
    ///
    /// # Errors
    ///
    /// All faults together: inputs out of range, and coefficients of pressure that leave too little
    /// at the nominal pressure.
    ///
    /// ```
    /// use axletree_tire::TireSpec;
    ///
    /// let mut tire = TireSpec::typical(0.31, 4000.0);
    /// tire.lateral.friction = 12.0;
    /// let faults = tire.check().unwrap_err();
    /// assert_eq!(faults[0].to_string(), "lateral.friction = 12 is out of range (allowed: 0.1 to 3)");
    /// ```
    pub fn check(&self) -> Result<(), Vec<TireFault>> {
        let faults = self.faults_at(self.nominal_pressure);
        if faults.is_empty() {
            Ok(())
        } else {
            Err(faults)
        }
    }

    /// The faults of the description and of its use at a pressure `[Pa]`.
    pub(crate) fn faults_at(&self, pressure: f64) -> Vec<TireFault> {
        let ranges = TIRE_INPUTS.iter().filter_map(|input| {
            out_of_range(
                input.key,
                (input.get)(self),
                input.unit.si,
                input.range_si(),
            )
        });
        let used_at = out_of_range("pressure", pressure, "Pa", PRESSURE_RANGE);
        let dp = pressure / self.nominal_pressure - 1.0;
        let factors = TIRE_INPUTS
            .iter()
            .filter(|input| input.pressure_factor)
            .filter_map(|input| lost_factor(input, (input.get)(self), dp, pressure));
        ranges.chain(used_at).chain(factors).collect()
    }
}

/// Whether every coefficient of pressure leaves enough over a range of pressures `[Pa]`; the
/// factors are straight lines, so the ends decide.
pub(crate) fn leaves_enough(spec: &TireSpec, pressures: [f64; 2]) -> bool {
    pressures.iter().all(|pressure| {
        let dp = pressure / spec.nominal_pressure - 1.0;
        TIRE_INPUTS
            .iter()
            .filter(|input| input.pressure_factor)
            .all(|input| lost_factor(input, (input.get)(spec), dp, *pressure).is_none())
    })
}

/// The fault of a value outside its range or not a number.
fn out_of_range(
    field: &'static str,
    value: f64,
    unit: &'static str,
    [low, high]: [f64; 2],
) -> Option<TireFault> {
    (!(low..=high).contains(&value)).then_some(TireFault::Range {
        field,
        value,
        unit,
        low,
        high,
    })
}

/// The fault of a coefficient of pressure that leaves too little.
fn lost_factor(input: &Input, coefficient: f64, dp: f64, pressure: f64) -> Option<TireFault> {
    let factor = 1.0 + coefficient * dp;
    (factor < LEAST_FACTOR).then_some(TireFault::Pressure {
        field: input.key,
        coefficient,
        pressure,
        factor,
        least: LEAST_FACTOR,
    })
}
