//! Elementary functions from a few primitive operations.
//!
//! Argument reduction and polynomials only, without branches on values, so that the same formulas
//! serve one number or several side by side and give the same digits on every platform. The tests
//! of this module compare them with the standard library: at most 4 units in the last place over
//! the ranges given there. NaN in gives NaN out.
//!
//! Own code because the digits must be the same on every machine, in every lane and under dual
//! numbers: `libm` computes one number at a time, and bindings to vector libraries are unsafe code
//! that chooses kernels by processor.
//!
//! ```
//! use axletree_scalar::elementary;
//!
//! assert_eq!(elementary::powi(2.0, 10), 1024.0);
//! assert!((elementary::exp(1.0) - std::f64::consts::E).abs() < 1e-15);
//! ```
//!
//! - Sine and cosine: the argument less the nearest multiple of pi/2 (pi/2 in three parts, after
//!   Cody and Waite, *Software Manual for the Elementary Functions*, 1980), then Taylor series with
//!   a remainder below 1e-18 on |r| <= pi/4.
//! - Exponential: 2^k e^r with |r| <= ln(2)/2, Taylor series to r^13.
//! - Arctangent: reduced to |t| <= tan(pi/8) by the addition theorem, then a polynomial in t^2
//!   fitted at Chebyshev points with 40 digits (largest error 1.3e-18).
//! - Hyperbolic tangent: m/(m + 2) with m = e^(2x) - 1 computed without cancellation.
//! - Logarithm: x = 2^k (1 + f) with 1 + f in [sqrt(1/2), sqrt(2)), then ln(1 + f) = f - f^2/2 + s
//!   (f^2/2 + R(s^2)), s = f/(2 + f), R the series of the inverse hyperbolic tangent with a
//!   remainder below 1e-17. For one number only.

use crate::real::Real;

/// A number that can use the elementary functions of this module: one, or several side by side.
///
/// It adds to [`Real`] the few operations on the representation that the functions need.
pub trait Elementary: Real {
    /// The magnitude of `self` with the sign of `s`, zeros and NaN included.
    fn with_sign_of(self, s: Self) -> Self;
    /// Magnitude, zeros and NaN included.
    fn magnitude(self) -> Self;
    /// Two to the power `k`, for whole `k` in -1022..=1023.
    fn exp2_whole(k: Self) -> Self;
    /// Whether the whole number `k` is odd.
    fn is_odd(k: Self) -> Self::Mask;
}

/// Adding and subtracting 1.5 * 2^52 rounds a double below 2^51 to the nearest whole number, and
/// leaves that number in the low bits of the sum.
pub(crate) const ROUND: f64 = 6_755_399_441_055_744.0;

/// The nearest whole number, for magnitudes below 2^51.
#[inline(always)]
fn nearest<L: Elementary>(x: L) -> L {
    (x + L::c(ROUND)) - L::c(ROUND)
}

/// Horner's rule, highest coefficient first.
#[inline(always)]
fn horner<L: Elementary, const N: usize>(x: L, coefficients: [f64; N]) -> L {
    let mut sum = L::c(coefficients[0]);
    let mut i = 1;
    while i < N {
        sum = sum.mul_add(x, L::c(coefficients[i]));
        i += 1;
    }
    sum
}

// pi/2 in three parts: the first two have trailing zeros enough that a multiple below 2^20 is
// exact.
const HALF_PI_1: f64 = 1.570_796_326_734_125_6;
const HALF_PI_2: f64 = 6.077_100_506_303_966e-11;
const HALF_PI_3: f64 = 2.022_266_248_795_950_6e-21;

/// Sine and cosine of an angle in radians; meaningful up to about 1e5 rad.
#[inline(always)]
pub fn sin_cos<L: Elementary>(x: L) -> (L, L) {
    let k = nearest(x * L::c(std::f64::consts::FRAC_2_PI));
    let r = k.mul_add(
        L::c(-HALF_PI_3),
        k.mul_add(L::c(-HALF_PI_2), k.mul_add(L::c(-HALF_PI_1), x)),
    );
    let u = r * r;
    let s = r + r
        * u
        * horner(
            u,
            [
                1.0 / 355_687_428_096_000.0,
                -1.0 / 1_307_674_368_000.0,
                1.0 / 6_227_020_800.0,
                -1.0 / 39_916_800.0,
                1.0 / 362_880.0,
                -1.0 / 5_040.0,
                1.0 / 120.0,
                -1.0 / 6.0,
            ],
        );
    let c = L::c(1.0)
        + u * horner(
            u,
            [
                1.0 / 20_922_789_888_000.0,
                -1.0 / 87_178_291_200.0,
                1.0 / 479_001_600.0,
                -1.0 / 3_628_800.0,
                1.0 / 40_320.0,
                -1.0 / 720.0,
                1.0 / 24.0,
                -0.5,
            ],
        );
    // Quadrant k mod 4: odd k swaps the two, bit 1 of k negates the sine, bit 1 of k + 1 the
    // cosine.
    let odd = L::is_odd(k);
    let (sine, cosine) = (L::sel(odd, c, s), L::sel(odd, s, c));
    let half = nearest(k.mul_add(L::c(0.5), L::c(-0.25)));
    let half_next = nearest(k.mul_add(L::c(0.5), L::c(0.25)));
    (
        L::sel(L::is_odd(half), -sine, sine),
        L::sel(L::is_odd(half_next), -cosine, cosine),
    )
}

/// tan(pi/8), the bound of the polynomial of the arctangent.
const TAN_PI_8: f64 = std::f64::consts::SQRT_2 - 1.0;

/// Arctangent, in (-pi/2, pi/2).
#[expect(
    clippy::excessive_precision,
    clippy::unreadable_literal,
    reason = "the coefficients stand as the fit with 40 digits gave them"
)]
#[inline(always)]
pub fn atan<L: Elementary>(x: L) -> L {
    let a = x.magnitude();
    let one = L::c(1.0);
    let small = a.lt(L::c(TAN_PI_8));
    let middle = a.lt(L::c(1.0 / TAN_PI_8));
    // atan a = a | pi/4 + atan((a - 1)/(a + 1)) | pi/2 + atan(-1/a): one division for all three.
    let numerator = L::sel(small, a, L::sel(middle, a - one, -one));
    let denominator = L::sel(small, one, L::sel(middle, a + one, a));
    let offset = L::sel(
        small,
        L::c(0.0),
        L::sel(
            middle,
            L::c(std::f64::consts::FRAC_PI_4),
            L::c(std::f64::consts::FRAC_PI_2),
        ),
    );
    let t = numerator / denominator;
    let u = t * t;
    let p = horner(
        u,
        [
            -0.017805397205419445228,
            0.037965257453865936236,
            -0.050351024566015518428,
            0.058468782973308725201,
            -0.066629518136291900881,
            0.076920453309022249521,
            -0.090908968090640270761,
            0.11111110744919658237,
            -0.14285714279250244942,
            0.19999999999940891462,
            -0.33333333333333121163,
        ],
    );
    (offset + (t * u).mul_add(p, t)).with_sign_of(x)
}

const LN_2_HIGH: f64 = 0.693_147_180_369_123_8;
const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;

/// e^x - 1 = 2^k (e^r - 1) + (2^k - 1): returns (e^r - 1, 2^k).
#[inline(always)]
fn exp_parts<L: Elementary>(x: L) -> (L, L) {
    let bound = L::c(708.0);
    let low = L::sel(x.lt(-bound), -bound, x);
    let x = L::sel(bound.lt(low), bound, low);
    let k = nearest(x * L::c(std::f64::consts::LOG2_E));
    let r = k.mul_add(L::c(-LN_2_LOW), k.mul_add(L::c(-LN_2_HIGH), x));
    let p = horner(
        r,
        [
            1.0 / 6_227_020_800.0,
            1.0 / 479_001_600.0,
            1.0 / 39_916_800.0,
            1.0 / 3_628_800.0,
            1.0 / 362_880.0,
            1.0 / 40_320.0,
            1.0 / 5_040.0,
            1.0 / 720.0,
            1.0 / 120.0,
            1.0 / 24.0,
            1.0 / 6.0,
            0.5,
        ],
    );
    ((r * r).mul_add(p, r), L::exp2_whole(k))
}

/// Exponential, saturating outside +-708.
#[inline(always)]
pub fn exp<L: Elementary>(x: L) -> L {
    let (m, scale) = exp_parts(x);
    scale.mul_add(m, scale)
}

/// Hyperbolic tangent.
#[inline(always)]
pub fn tanh<L: Elementary>(x: L) -> L {
    let a = x.magnitude();
    // Above 20 the result is 1 to the last digit.
    let a = L::sel(L::c(20.0).lt(a), L::c(20.0), a);
    let (m, scale) = exp_parts(a + a);
    let m = scale.mul_add(m, scale - L::c(1.0));
    (m / (m + L::c(2.0))).with_sign_of(x)
}

/// Terms of the inverse hyperbolic tangent's series beyond the first: 2/(2 i + 1), highest first.
const ATANH: [f64; 11] = [
    2.0 / 23.0,
    2.0 / 21.0,
    2.0 / 19.0,
    2.0 / 17.0,
    2.0 / 15.0,
    2.0 / 13.0,
    2.0 / 11.0,
    2.0 / 9.0,
    2.0 / 7.0,
    2.0 / 5.0,
    2.0 / 3.0,
];

/// Natural logarithm: minus infinity at zero, NaN below.
#[inline(always)]
pub(crate) fn ln(x: f64) -> f64 {
    if x.is_nan() || x < 0.0 {
        return f64::NAN;
    }
    if x == 0.0 {
        return f64::NEG_INFINITY;
    }
    if x == f64::INFINITY {
        return x;
    }
    // Numbers without a leading one are scaled up first.
    let tiny = x < f64::MIN_POSITIVE;
    let scaled = if tiny {
        x * 18_014_398_509_481_984.0
    } else {
        x
    };
    let bits = scaled.to_bits();
    let mut k = (bits >> 52) as f64 - if tiny { 1077.0 } else { 1023.0 };
    let mut m = f64::from_bits(bits & 0x000f_ffff_ffff_ffff | 0x3ff0_0000_0000_0000);
    if m > std::f64::consts::SQRT_2 {
        m *= 0.5;
        k += 1.0;
    }
    let f = m - 1.0;
    let s = f / (2.0 + f);
    let z = s * s;
    let half = 0.5 * f * f;
    let r = z * horner(z, ATANH);
    k * LN_2_HIGH - ((half - (s * (half + r) + k * LN_2_LOW)) - f)
}

/// `x` to the power `y` for `x` not below zero: `exp(y ln x)`, good to about `|y ln x|` units in
/// the last place; zero to a positive power is zero.
#[inline(always)]
pub(crate) fn pow(x: f64, y: f64) -> f64 {
    if x == 0.0 && y > 0.0 {
        return 0.0;
    }
    exp(y * ln(x))
}

/// `x` to the whole power `n`, by repeated squares.
pub fn powi(x: f64, n: i32) -> f64 {
    let (mut product, mut square, mut left) = (1.0, x, n.unsigned_abs());
    while left > 0 {
        if left & 1 == 1 {
            product *= square;
        }
        square *= square;
        left >>= 1;
    }
    if n < 0 { 1.0 / product } else { product }
}

/// Arcsine, in [-pi/2, pi/2]; NaN outside [-1, 1].
#[inline(always)]
pub(crate) fn asin(x: f64) -> f64 {
    Real::atan2(x, ((1.0 - x) * (1.0 + x)).sqrt())
}

/// Arccosine, in [0, pi]; NaN outside [-1, 1].
#[inline(always)]
pub(crate) fn acos(x: f64) -> f64 {
    Real::atan2(((1.0 - x) * (1.0 + x)).sqrt(), x)
}

#[cfg(test)]
#[expect(
    clippy::disallowed_methods,
    clippy::float_cmp,
    reason = "the platform's functions are what is compared with; special values are exact"
)]
mod tests {
    use super::*;

    /// Largest error in units of the last place of the reference, over evenly spaced points.
    fn worst(f: impl Fn(f64) -> f64, reference: impl Fn(f64) -> f64, from: f64, to: f64) -> f64 {
        let n = 200_001;
        (0..n)
            .map(|i| {
                let x = from + (to - from) * f64::from(i) / f64::from(n - 1);
                let (y, r) = (f(x), reference(x));
                let ulp = f64::from_bits(r.abs().max(1e-300).to_bits() + 1) - r.abs().max(1e-300);
                (y - r).abs() / ulp
            })
            .fold(0.0, f64::max)
    }

    #[test]
    fn val_functions_agree_with_the_standard_library() {
        for (name, error) in [
            ("sin", worst(|x| sin_cos(x).0, f64::sin, -3.1, 3.1)),
            ("cos", worst(|x| sin_cos(x).1, f64::cos, -3.1, 3.1)),
            (
                "sin far",
                worst(|x| sin_cos(x).0, f64::sin, -1000.3, 1000.0),
            ),
            (
                "cos far",
                worst(|x| sin_cos(x).1, f64::cos, -1000.3, 1000.0),
            ),
            ("atan", worst(atan, f64::atan, -0.5, 0.5)),
            ("atan middle", worst(atan, f64::atan, -50.0, 50.0)),
            ("atan far", worst(atan, f64::atan, -1e6, 1e6)),
            ("exp", worst(exp, f64::exp, -700.0, 700.0)),
            ("tanh small", worst(tanh, f64::tanh, -0.01, 0.01)),
            ("tanh", worst(tanh, f64::tanh, -25.0, 25.0)),
            ("ln", worst(ln, f64::ln, 1e-3, 3.0)),
            ("ln far", worst(ln, f64::ln, 3.0, 1e9)),
            ("asin", worst(asin, f64::asin, -1.0, 1.0)),
            ("acos", worst(acos, f64::acos, -0.999, 0.999)),
            ("pow", worst(|x| pow(x, 0.7), |x| x.powf(0.7), 0.01, 50.0)),
            ("powi", worst(|x| powi(x, 3), |x| x * x * x, -4.0, 4.0)),
        ] {
            assert!(error <= 4.0, "{name}: {error} units in the last place");
        }
    }

    #[test]
    fn ends_and_nan() {
        assert_eq!(exp(-1e9), exp(-708.0));
        assert!(exp(f64::NAN).is_nan() && tanh(f64::NAN).is_nan());
        assert!(atan(f64::NAN).is_nan() && sin_cos(f64::NAN).0.is_nan());
        assert_eq!(tanh(1e9), 1.0);
        assert_eq!(atan(0.0), 0.0);
        assert_eq!(sin_cos(0.0), (0.0, 1.0));
        assert_eq!(tanh(0.0), 0.0);
        assert_eq!((ln(1.0), ln(0.0)), (0.0, f64::NEG_INFINITY));
        assert!(ln(-1.0).is_nan() && ln(f64::NAN).is_nan());
        assert!((ln(1e-310) + 713.801_378_828_154).abs() < 1e-9);
        assert_eq!((asin(1.0), acos(1.0)), (std::f64::consts::FRAC_PI_2, 0.0));
        assert!(asin(1.1).is_nan() && acos(-1.1).is_nan());
        assert_eq!(
            (pow(0.0, 0.5), powi(10.0, 22), powi(2.0, -3)),
            (0.0, 1e22, 0.125)
        );
    }
}
