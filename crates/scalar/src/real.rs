//! The trait of the numbers that the equations run on.

use std::ops::{Add, AddAssign, Div, Mul, MulAssign, Neg, Sub, SubAssign};

/// A number that the equations can run on.
///
/// There is no ordering that yields `bool`: a branch on a value is a [`Real::lt`] that gives a mask
/// and a [`Real::sel`] that picks between two computed values. Both sides are always computed, so
/// each must be free of `0/0` and of square roots of negative numbers.
///
/// ```
/// use axletree_scalar::{Dual, Real};
///
/// /// Force of a spring that pushes but never pulls.
/// fn stop<T: Real>(stiffness: f64, deflection: T) -> T {
///     deflection.positive().scale(stiffness)
/// }
///
/// assert_eq!(stop(2e5, 0.01), 2e3);
/// // The same function, with its exact derivative.
/// let force = stop(2e5, Dual::<f64, 1>::variable(0.01, 0));
/// assert_eq!((force.re, force.d[0]), (2e3, 2e5));
/// ```
pub trait Real:
    Copy
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + AddAssign
    + SubAssign
    + MulAssign
{
    /// The result of a comparison: `bool`, or one of them a lane.
    type Mask: Copy;

    /// A constant.
    fn c(x: f64) -> Self;
    /// `self < other`; false where either is NaN.
    fn lt(self, other: Self) -> Self::Mask;
    /// `a` where the mask is set, `b` elsewhere.
    fn sel(mask: Self::Mask, a: Self, b: Self) -> Self;
    /// `self * a + b`, rounded once, on every machine and in every lane, so that all agree to the
    /// last bit. A processor without such an instruction computes it by a slow function; where this
    /// one has it, code run by [`dispatch`](crate::dispatch()) and [`fused`](crate::fused) uses it.
    fn mul_add(self, a: Self, b: Self) -> Self;
    /// Square root.
    fn sqrt(self) -> Self;
    /// Sine and cosine of an angle in radians; meaningful up to about 1e5 rad.
    fn sin_cos(self) -> (Self, Self);
    /// Arctangent, in (-pi/2, pi/2).
    fn atan(self) -> Self;
    /// Exponential, saturating outside +-708.
    fn exp(self) -> Self;
    /// Hyperbolic tangent.
    fn tanh(self) -> Self;

    /// Zero.
    #[inline(always)]
    fn zero() -> Self {
        Self::c(0.0)
    }
    /// One.
    #[inline(always)]
    fn one() -> Self {
        Self::c(1.0)
    }
    /// Sine.
    #[inline(always)]
    fn sin(self) -> Self {
        self.sin_cos().0
    }
    /// Cosine.
    #[inline(always)]
    fn cos(self) -> Self {
        self.sin_cos().1
    }
    /// Tangent.
    #[inline(always)]
    fn tan(self) -> Self {
        let (s, c) = self.sin_cos();
        s / c
    }
    /// Length of the hypotenuse over `self` and `other`; their squares must not overflow.
    #[inline(always)]
    fn hypot(self, other: Self) -> Self {
        self.mul_add(self, other * other).sqrt()
    }
    /// Square.
    #[inline(always)]
    fn sq(self) -> Self {
        self * self
    }
    /// Reciprocal.
    #[inline(always)]
    fn recip(self) -> Self {
        Self::one() / self
    }
    /// Times a constant.
    #[inline(always)]
    fn scale(self, k: f64) -> Self {
        self * Self::c(k)
    }
    /// The smaller; the second where either is NaN.
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        Self::sel(self.lt(other), self, other)
    }
    /// The larger; the second where either is NaN.
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        Self::sel(other.lt(self), self, other)
    }
    /// Magnitude.
    #[inline(always)]
    fn abs(self) -> Self {
        Self::sel(self.lt(Self::zero()), -self, self)
    }
    /// The angle of the point (`x`, `self`), in (-pi, pi]; zero for the origin.
    #[inline(always)]
    fn atan2(self, x: Self) -> Self {
        let zero = Self::zero();
        // One quotient of the smaller by the larger, so that it never overflows.
        let (ax, ay) = (x.abs(), self.abs());
        let steep = ax.lt(ay);
        let large = Self::sel(steep, ay, ax);
        let origin = large.lt(Self::c(f64::MIN_POSITIVE));
        let safe = Self::sel(origin, Self::one(), large);
        let t = (Self::sel(steep, ax, ay) / safe).atan();
        let quarter = Self::sel(steep, Self::c(std::f64::consts::FRAC_PI_2) - t, t);
        let half = Self::sel(x.lt(zero), Self::c(std::f64::consts::PI) - quarter, quarter);
        Self::sel(self.lt(zero), -half, half)
    }
    /// `self` where it is above zero, else zero.
    #[inline(always)]
    fn positive(self) -> Self {
        Self::sel(Self::zero().lt(self), self, Self::zero())
    }
}
