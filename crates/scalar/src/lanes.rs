//! Several numbers side by side in one vector register.
//!
//! All arithmetic of the equations goes through operations that IEEE 754 rounds exactly
//! ([`Real::mul_add`] once, everywhere), so a lane computes the same bits as a lone `f64` does, on
//! every machine.
//!
//! The lane types are private to this crate. A caller implements [`LaneTask`] and gets it run with
//! the type that fits by [`dispatch`](crate::dispatch()); a value of such a type exists only on a
//! processor that has its instructions. Everything below [`LaneTask::run`] must be
//! `#[inline(always)]`: only code inlined there is compiled for those instructions. For the same
//! reason code on lone numbers that should fuse its products and sums cheaply is a [`FusedTask`],
//! run by [`fused`](crate::fused).
//!
//! Own types because the width is chosen at run time, within operators and traits that the
//! equations share with `f64` and dual numbers: crates of portable vectors fix the width when
//! compiling, or hand out a token that operators cannot carry.

use crate::dual::Slope;
use crate::real::Real;

/// Cars, or whatever runs side by side, that are handled together: the widest lanes there are.
/// Narrower lanes take several turns.
pub const LANES: usize = 8;

/// One quantity of each of [`LANES`] cars.
pub type LaneRow = [f64; LANES];

/// Numbers side by side: one a car, or one a direction of the derivatives of a number.
pub trait Lanes: Real + Slope<f64> + Send + Sync + 'static {
    /// Number of numbers.
    const WIDTH: usize;
    /// The first [`Self::WIDTH`] numbers of a slice.
    fn load(from: &[f64]) -> Self;
    /// Writes the numbers to the front of a slice.
    fn store(self, to: &mut [f64]);
}

impl Lanes for f64 {
    const WIDTH: usize = 1;
    #[inline(always)]
    fn load(from: &[f64]) -> Self {
        from[0]
    }
    #[inline(always)]
    fn store(self, to: &mut [f64]) {
        to[0] = self;
    }
}

/// A computation generic over the width of lanes, run by [`dispatch`](crate::dispatch()).
pub trait LaneTask {
    /// Its result.
    type Out;
    /// Computes it; to be `#[inline(always)]`.
    fn run<T: Lanes>(self) -> Self::Out;
}

/// A computation on lone numbers, run by [`fused`](crate::fused) in code compiled for a processor
/// that fuses products and sums.
pub trait FusedTask {
    /// Its result.
    type Out;
    /// Computes it; to be `#[inline(always)]`.
    fn run(self) -> Self::Out;
}
