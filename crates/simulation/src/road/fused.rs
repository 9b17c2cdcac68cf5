//! A road compiled for FMA: `mul_add` is one instruction instead of a library call; the bits are
//! the same.
//!
//! The equations of the car evaluate a road through a pointer, so that it is compiled apart from
//! them, for the baseline processor. This wrapper compiles it for processors with FMA and chooses
//! at run time.

use axletree_scalar::{FusedTask, fused};
use axletree_vehicle::model::{Patch, Road};

/// A road, evaluated in code compiled for FMA where the processor has it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FusedRoad<R>(pub R);

struct RoadEvaluation<'a, R> {
    road: &'a R,
    wheel: usize,
    position: [f64; 2],
    velocity: [f64; 2],
}

impl<R: Road<f64>> FusedTask for RoadEvaluation<'_, R> {
    type Out = Patch<f64>;
    #[inline(always)]
    fn run(self) -> Patch<f64> {
        self.road.under(self.wheel, self.position, self.velocity)
    }
}

impl<R: Road<f64>> Road<f64> for FusedRoad<R> {
    fn under(&self, wheel: usize, position: [f64; 2], velocity: [f64; 2]) -> Patch<f64> {
        fused(RoadEvaluation {
            road: &self.0,
            wheel,
            position,
            velocity,
        })
    }
}
