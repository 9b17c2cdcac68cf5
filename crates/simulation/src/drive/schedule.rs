//! Times, integrator and limits of a drive.

use super::integrator::Integrator;

/// The times of a drive and how it is integrated between them.
#[derive(Clone, Copy, Debug)]
pub struct Schedule<'a> {
    /// Start, every time at which an input has a jump or a kink, end, rising `[s]`.
    pub breaks: &'a [f64],
    /// Longest step of the time grid `[s]`; between two breaks the steps are equal.
    pub longest_step: f64,
    /// Number of steps between two recorded samples; every break is recorded too.
    pub sample_every: usize,
    /// Integrator between two points of the time grid.
    pub integrator: Integrator,
}

/// Limits beyond which a run ends: the model is no longer valid there, or the run is pointless.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Validity {
    /// Largest magnitude of the sideslip angle `[rad]`.
    pub sideslip: f64,
    /// Largest magnitude of the roll angle `[rad]`.
    pub roll: f64,
    /// Least speed `[m/s]`.
    pub speed: f64,
    /// Time for which both wheels of a side may be off the road `[s]`: a bump throws them up for a
    /// moment.
    pub lift: f64,
}

impl Default for Validity {
    fn default() -> Self {
        Validity {
            // Beyond it no driver recovers the car; common practice, no source.
            sideslip: 60f64.to_radians(),
            // The suspension's curves do not cover a car that lies half on its side.
            roll: 40f64.to_radians(),
            // Angles of a car that hardly moves are meaningless.
            speed: 1.0,
            lift: 0.0,
        }
    }
}
