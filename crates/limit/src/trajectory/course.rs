//! Definition of a trajectory search by a maneuver: the course for one car, the driver's decisions,
//! observations and results.

use axletree_numerics::spline::UniformSpline;
use axletree_simulation::channels::Moment;
use axletree_simulation::drive::{Drive, split_states};
use axletree_simulation::driver::Hands;
use axletree_simulation::driver::speed_of;
use axletree_simulation::{Ending, Outcome};
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{Inputs, STATES};
use axletree_vehicle::trim::Trim;

/// States of car and hands.
pub(crate) const JOINT: usize = STATES + 1;

/// A course for one car, driven with the steering of a design.
pub(crate) trait SplineCourse {
    /// The driver's decisions.
    type Design: Clone;
    /// Observations of a drive up to some moment.
    type Log: Clone;
    /// Result of a whole drive.
    type Result: Clone;

    /// A sample of a recorded drive every so many steps.
    const SAMPLE_STRIDE: usize;

    /// The car.
    fn model(&self) -> &Model;

    /// Limits of the driver's hands.
    fn hands(&self) -> Hands;

    /// Longest step of the integration `[s]`.
    fn step(&self) -> f64;

    /// Longest time that a drive may take `[s]`: the same for every design, so that all take the
    /// same steps.
    fn longest(&self) -> f64;

    /// Distance of the steering's knots `[m]`.
    fn knot_spacing(&self) -> f64;

    /// Steering-wheel angle per value of the spline: 1, or -1 on a mirrored course `[-]`.
    fn side(&self) -> f64;

    /// Coefficients of a design's steering `[rad]`.
    fn steering<'d>(&self, design: &'d Self::Design) -> &'d [f64];

    /// Equilibrium from which a design starts; an outcome says why there is none.
    fn equilibrium(&self, design: &Self::Design) -> Result<Trim, Outcome>;

    /// Whether two designs start from the same equilibrium.
    fn same_equilibrium(&self, a: &Self::Design, b: &Self::Design) -> bool;

    /// State of the car at the start.
    fn start(&self, design: &Self::Design, equilibrium: &Trim) -> [f64; STATES];

    /// Station and lateral position of O on the course `[m]`.
    fn place(&self, car: &[f64; STATES]) -> [f64; 2];

    /// Throttle at a station `[-, 0 to 1]`.
    fn throttle(&self, design: &Self::Design, equilibrium: &Inputs<f64>, station: f64) -> f64;

    /// A log with no observation.
    fn empty_log(&self) -> Self::Log;

    /// Takes the next moment of a drive; returns an outcome where the drive ends.
    fn observe(&self, log: &mut Self::Log, moment: &Moment<'_>, place: [f64; 2])
    -> Option<Outcome>;

    /// Result of a drive.
    fn result(&self, design: &Self::Design, log: &Self::Log, drive: &Drive<JOINT>) -> Self::Result;

    /// Station up to which two designs agree in everything but the steering `[m]`; none where they
    /// differ from the start.
    fn other_common_station(&self, a: &Self::Design, b: &Self::Design) -> Option<f64>;

    /// Station up to which two designs are the same drive `[m]`; minus infinity where they differ
    /// from the start.
    fn common_station(&self, a: &Self::Design, b: &Self::Design) -> f64 {
        let Some(other) = self.other_common_station(a, b) else {
            return f64::NEG_INFINITY;
        };
        let pairs = self.steering(a).iter().zip(self.steering(b));
        UniformSpline::same_until(pairs, self.knot_spacing()).min(other)
    }
}

/// Ending of a drive: a car that used up its time before the end of the course has stopped.
pub(crate) fn ending_of(drive: &Drive<JOINT>, arrived: bool) -> Ending {
    let mut ending = drive.ending;
    if ending.outcome.is_completed() && !arrived {
        let car = split_states::<1, JOINT>(&drive.state).0;
        ending.outcome = Outcome::Stopped {
            speed: speed_of(car),
        };
    }
    ending
}
