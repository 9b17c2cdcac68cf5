//! A road asked with the machine's own arithmetic.
//!
//! The equations ask a road through a pointer, so that it is compiled apart from them, for the baseline processor,
//! where every fused product and sum is a call. This wrapper compiles it for processors that fuse; the bits
//! are the same.

use axletree_scalar::lanes::{Work, fused};
use axletree_vehicle::model::{Patch, Road};

/// A road behind it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quick<R>(pub R);

struct Asking<'a, R> {
    road: &'a R,
    wheel: usize,
    position: [f64; 2],
    velocity: [f64; 2],
}

impl<R: Road<f64>> Work for Asking<'_, R> {
    type Out = Patch<f64>;
    #[inline(always)]
    fn run(self) -> Patch<f64> {
        self.road.under(self.wheel, self.position, self.velocity)
    }
}

impl<R: Road<f64>> Road<f64> for Quick<R> {
    fn under(&self, wheel: usize, position: [f64; 2], velocity: [f64; 2]) -> Patch<f64> {
        fused(Asking {
            road: &self.0,
            wheel,
            position,
            velocity,
        })
    }
}
