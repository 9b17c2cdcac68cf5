//! One number.

use crate::elementary::{self, Elementary, ROUND};
use crate::real::Real;

impl Real for f64 {
    type Mask = bool;

    #[inline(always)]
    fn c(x: f64) -> Self {
        x
    }
    #[inline(always)]
    fn lt(self, other: Self) -> bool {
        self < other
    }
    #[inline(always)]
    fn sel(mask: bool, a: Self, b: Self) -> Self {
        if mask { a } else { b }
    }
    #[inline(always)]
    fn mul_add(self, a: Self, b: Self) -> Self {
        f64::mul_add(self, a, b)
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }
    #[inline(always)]
    fn sin_cos(self) -> (Self, Self) {
        elementary::sin_cos(self)
    }
    #[inline(always)]
    fn atan(self) -> Self {
        elementary::atan(self)
    }
    #[inline(always)]
    fn exp(self) -> Self {
        elementary::exp(self)
    }
    #[inline(always)]
    fn tanh(self) -> Self {
        elementary::tanh(self)
    }
}

impl Elementary for f64 {
    #[inline(always)]
    fn with_sign_of(self, s: Self) -> Self {
        self.copysign(s)
    }
    #[inline(always)]
    fn magnitude(self) -> Self {
        f64::abs(self)
    }
    #[inline(always)]
    fn exp2_whole(k: Self) -> Self {
        // The low bits of k + 1023 + 1.5 * 2^52 are the biased exponent.
        f64::from_bits((k + (ROUND + 1023.0)).to_bits() << 52)
    }
    #[inline(always)]
    fn is_odd(k: Self) -> bool {
        (k + ROUND).to_bits() & 1 == 1
    }
}
