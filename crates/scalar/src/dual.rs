//! Forward-mode derivatives.

#![expect(
    clippy::suspicious_arithmetic_impl,
    reason = "the product and quotient rules use other operators than the one they define"
)]

use std::ops::{Add, AddAssign, Div, Mul, MulAssign, Neg, Sub, SubAssign};

use crate::real::Real;

/// Numbers that can be derivatives of a value of type `T`: a `T` itself, or several side by side,
/// each along a direction of its own.
pub trait Slope<T: Real>: Real {
    /// The same in every direction.
    fn of(x: T) -> Self;
    /// `a` where the value's mask is set, `b` elsewhere.
    fn pick(mask: T::Mask, a: Self, b: Self) -> Self;
}

impl<T: Real> Slope<T> for T {
    #[inline(always)]
    fn of(x: T) -> Self {
        x
    }
    #[inline(always)]
    fn pick(mask: T::Mask, a: Self, b: Self) -> Self {
        T::sel(mask, a, b)
    }
}

/// A value with its first derivatives along `N` directions, or along `N` times as many as `D` has
/// lanes.
///
/// Every operation applies the chain rule, so the derivatives are exact to rounding. Dual numbers
/// nest: the value may itself be any [`Real`]. A lane of a derivative gets the same bits as a lone
/// derivative.
///
/// ```
/// use axletree_scalar::{Dual, Real};
///
/// // d/dx and d/dy of x sin y at (2, 0.5).
/// let [x, y] = [2.0, 0.5];
/// let f = Dual::<f64, 2>::variable(x, 0) * Dual::variable(y, 1).sin();
/// assert_eq!(f.d, [Real::sin(y), x * Real::cos(y)]);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dual<T, const N: usize, D = T> {
    /// The value.
    pub re: T,
    /// Its derivatives.
    pub d: [D; N],
}

impl<T: Real, const N: usize, D: Slope<T>> Dual<T, N, D> {
    /// The `i`-th independent variable, with value `re`.
    #[inline(always)]
    pub fn variable(re: T, i: usize) -> Self {
        let mut d = [D::zero(); N];
        d[i] = D::one();
        Dual { re, d }
    }

    /// A number that depends on nothing.
    #[inline(always)]
    pub fn constant(re: T) -> Self {
        Dual {
            re,
            d: [D::zero(); N],
        }
    }

    /// The function with value `f` and slope `slope` at `self.re`.
    #[inline(always)]
    fn chain(self, f: T, slope: T) -> Self {
        let slope = D::of(slope);
        let mut d = self.d;
        // A loop of one turn, thousands of times in one function, takes the compiler minutes.
        if N == 1 {
            d[0] *= slope;
        } else {
            let mut i = 0;
            while i < N {
                d[i] *= slope;
                i += 1;
            }
        }
        Dual { re: f, d }
    }

    #[inline(always)]
    fn zip(self, other: Self, re: T, f: impl Fn(D, D) -> D) -> Self {
        let mut d = self.d;
        if N == 1 {
            d[0] = f(d[0], other.d[0]);
        } else {
            let mut i = 0;
            while i < N {
                d[i] = f(d[i], other.d[i]);
                i += 1;
            }
        }
        Dual { re, d }
    }
}

impl<T: Real, const N: usize, D: Slope<T>> Add for Dual<T, N, D> {
    type Output = Self;
    #[inline(always)]
    fn add(self, o: Self) -> Self {
        self.zip(o, self.re + o.re, |a, b| a + b)
    }
}
impl<T: Real, const N: usize, D: Slope<T>> Sub for Dual<T, N, D> {
    type Output = Self;
    #[inline(always)]
    fn sub(self, o: Self) -> Self {
        self.zip(o, self.re - o.re, |a, b| a - b)
    }
}
impl<T: Real, const N: usize, D: Slope<T>> Mul for Dual<T, N, D> {
    type Output = Self;
    #[inline(always)]
    fn mul(self, o: Self) -> Self {
        let (x, y) = (D::of(self.re), D::of(o.re));
        self.zip(o, self.re * o.re, |a, b| a * y + x * b)
    }
}
impl<T: Real, const N: usize, D: Slope<T>> Div for Dual<T, N, D> {
    type Output = Self;
    #[inline(always)]
    fn div(self, o: Self) -> Self {
        let r = o.re.recip();
        let q = self.re * r;
        let (slope, quotient) = (D::of(r), D::of(q));
        self.zip(o, q, |a, b| (a - quotient * b) * slope)
    }
}
impl<T: Real, const N: usize, D: Slope<T>> Neg for Dual<T, N, D> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        self.chain(-self.re, -T::one())
    }
}
impl<T: Real, const N: usize, D: Slope<T>> AddAssign for Dual<T, N, D> {
    #[inline(always)]
    fn add_assign(&mut self, o: Self) {
        *self = *self + o;
    }
}
impl<T: Real, const N: usize, D: Slope<T>> SubAssign for Dual<T, N, D> {
    #[inline(always)]
    fn sub_assign(&mut self, o: Self) {
        *self = *self - o;
    }
}
impl<T: Real, const N: usize, D: Slope<T>> MulAssign for Dual<T, N, D> {
    #[inline(always)]
    fn mul_assign(&mut self, o: Self) {
        *self = *self * o;
    }
}

impl<T: Real, const N: usize, D: Slope<T>> Real for Dual<T, N, D> {
    type Mask = T::Mask;

    #[inline(always)]
    fn c(x: f64) -> Self {
        Self::constant(T::c(x))
    }
    #[inline(always)]
    fn lt(self, other: Self) -> Self::Mask {
        self.re.lt(other.re)
    }
    #[inline(always)]
    fn sel(mask: Self::Mask, a: Self, b: Self) -> Self {
        a.zip(b, T::sel(mask, a.re, b.re), |x, y| D::pick(mask, x, y))
    }
    #[inline(always)]
    fn mul_add(self, a: Self, b: Self) -> Self {
        let (x, y) = (D::of(self.re), D::of(a.re));
        let mut d = b.d;
        if N == 1 {
            d[0] = self.d[0].mul_add(y, x.mul_add(a.d[0], d[0]));
        } else {
            let mut i = 0;
            while i < N {
                d[i] = self.d[i].mul_add(y, x.mul_add(a.d[i], d[i]));
                i += 1;
            }
        }
        Dual {
            re: self.re.mul_add(a.re, b.re),
            d,
        }
    }
    #[inline(always)]
    fn scale(self, k: f64) -> Self {
        let k = T::c(k);
        self.chain(self.re * k, k)
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        let s = self.re.sqrt();
        self.chain(s, T::c(0.5) / s)
    }
    #[inline(always)]
    fn sin_cos(self) -> (Self, Self) {
        let (s, c) = self.re.sin_cos();
        (self.chain(s, c), self.chain(c, -s))
    }
    #[inline(always)]
    fn atan(self) -> Self {
        self.chain(self.re.atan(), (self.re * self.re + T::one()).recip())
    }
    #[inline(always)]
    fn exp(self) -> Self {
        let e = self.re.exp();
        self.chain(e, e)
    }
    #[inline(always)]
    fn tanh(self) -> Self {
        let t = self.re.tanh();
        self.chain(t, T::one() - t * t)
    }
}

#[cfg(test)]
#[expect(
    clippy::disallowed_methods,
    clippy::float_cmp,
    clippy::unreadable_literal,
    reason = "the platform's functions are what is compared with; figures stand as their sources print them; small whole products are exact"
)]
mod tests {
    use super::*;
    use num_dual::{Dual64, DualNum};

    type D = Dual<f64, 2>;

    /// Squire and Trapp, SIAM Review 40 (1998): f = e^x / sqrt(sin^3 x + cos^3 x) at 1.5; figures
    /// recomputed with 40 digits (validation case N6, tolerance 1e-12 relative).
    #[test]
    fn val_n6_squire_trapp() {
        let x: Dual<Dual<f64, 1>, 1> = Dual {
            re: Dual::variable(1.5, 0),
            d: [Dual::constant(1.0)],
        };
        let (s, c) = x.sin_cos();
        let f = x.exp() / (s * s * s + c * c * c).sqrt();
        for (got, want) in [
            (f.re.re, 4.4977800539462),
            (f.re.d[0], 4.0534278938986),
            (f.d[0].d[0], 9.4630736815966),
        ] {
            assert!((got / want - 1.0).abs() < 1e-12, "{got} against {want}");
        }
    }

    /// Rosenbrock's function, the product of four numbers and atan2 (case N6).
    #[test]
    fn val_n6_gradients() {
        let (x, y) = (D::variable(-1.2, 0), D::variable(1.0, 1));
        let f = (y - x.sq()).sq().scale(100.0) + (D::one() - x).sq();
        assert!((f.re - 24.2).abs() < 1e-12);
        assert!((f.d[0] + 215.6).abs() < 1e-11 && (f.d[1] + 88.0).abs() < 1e-11);

        let v: [Dual<f64, 4>; 4] =
            std::array::from_fn(|i| Dual::variable([1.0, 2.0, 3.0, 4.0][i], i));
        assert_eq!((v[0] * v[1] * v[2] * v[3]).d, [24.0, 12.0, 8.0, 6.0]);

        let a = D::variable(4.0, 1).atan2(D::variable(3.0, 0));
        assert!((a.re - 4f64.atan2(3.0)).abs() < 1e-15);
        assert!((a.d[0] + 0.16).abs() < 1e-14 && (a.d[1] - 0.12).abs() < 1e-14);
    }

    #[test]
    fn val_agrees_with_a_general_purpose_library() {
        let reference = |x: Dual64, y: Dual64| {
            ((x * y).sin() + x.exp() / (y * y + 1.0).sqrt()).tanh() * (x / y).atan()
        };
        let own = |x: D, y: D| {
            ((x * y).sin() + x.exp() / (y * y + D::one()).sqrt()).tanh() * (x / y).atan()
        };
        for i in 0..50 {
            let (a, b) = (-1.5 + 0.063 * f64::from(i), 2.0 - 0.031 * f64::from(i));
            let got = own(D::variable(a, 0), D::variable(b, 1));
            let (x, y) = (Dual64::from_re(a), Dual64::from_re(b));
            for (k, want) in [reference(x.derivative(), y), reference(x, y.derivative())]
                .into_iter()
                .enumerate()
            {
                assert!((got.re - want.re).abs() < 3e-15);
                assert!((got.d[k] - want.eps).abs() < 1e-13 * (1.0 + want.eps.abs()));
            }
        }
    }
}
