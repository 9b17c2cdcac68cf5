//! The lane types of x86-64 and their dispatch: the only module with `unsafe`.
//!
//! Two rules make it sound, and both are local to this file:
//!
//! 1. A function with the attribute `target_feature` is called only after a test that the processor
//!    has these features: [`dispatch`] and [`fused`] make the test, and nothing else calls.
//! 2. The vector instructions inside the operators of [`Four`] and [`Eight`] run only on a
//!    processor that has them. The types are named nowhere outside this file; they reach other code
//!    only as the type parameter of a [`LaneTask`] that one of the functions of rule 1 runs. So
//!    where a value of them exists, the test was made.
//!
//! Loads and stores go through slices that were checked to be long enough.
#![expect(
    unsafe_code,
    reason = "vector instructions and functions compiled for them; sound by the two rules above"
)]

use std::arch::x86_64::{
    __m256d, __m512d, __mmask8, _CMP_LT_OQ, _mm256_add_pd, _mm256_and_pd, _mm256_andnot_pd,
    _mm256_blendv_pd, _mm256_castpd_si256, _mm256_castsi256_pd, _mm256_cmp_pd, _mm256_div_pd,
    _mm256_fmadd_pd, _mm256_loadu_pd, _mm256_mul_pd, _mm256_or_pd, _mm256_set1_epi64x,
    _mm256_set1_pd, _mm256_slli_epi64, _mm256_sqrt_pd, _mm256_storeu_pd, _mm256_sub_pd,
    _mm256_xor_pd, _mm512_add_pd, _mm512_and_pd, _mm512_andnot_pd, _mm512_castpd_si512,
    _mm512_castsi512_pd, _mm512_cmp_pd_mask, _mm512_div_pd, _mm512_fmadd_pd, _mm512_loadu_pd,
    _mm512_mask_blend_pd, _mm512_mul_pd, _mm512_or_pd, _mm512_set1_epi64, _mm512_set1_pd,
    _mm512_slli_epi64, _mm512_sqrt_pd, _mm512_storeu_pd, _mm512_sub_pd, _mm512_test_epi64_mask,
    _mm512_xor_pd,
};
use std::ops::{Add, AddAssign, Div, Mul, MulAssign, Neg, Sub, SubAssign};

use crate::dual::Slope;
use crate::elementary::{self, Elementary, ROUND};
use crate::lanes::{FusedTask, LaneTask, Lanes};
use crate::real::Real;
use crate::width::Width;

/// Whether the processor has the instructions of [`Four`] and [`fused`], and they are in use.
pub(crate) fn has_four() -> bool {
    is_x86_feature_detected!("avx2")
        && is_x86_feature_detected!("fma")
        && Width::allowed() >= Width::Four
}

/// Whether the processor has the instructions of [`Eight`], and they are in use.
pub(crate) fn has_eight() -> bool {
    has_four()
        && is_x86_feature_detected!("avx512f")
        && is_x86_feature_detected!("avx512dq")
        && Width::allowed() >= Width::Eight
}

/// See [`crate::dispatch()`].
pub(crate) fn dispatch<K: LaneTask>(width: Width, task: K) -> Result<K::Out, K> {
    if width == Width::Eight && has_eight() {
        // SAFETY: rule 1; the condition is the test.
        Ok(unsafe { run_eight(task) })
    } else if width == Width::Four && has_four() {
        // SAFETY: rule 1; the condition is the test.
        Ok(unsafe { run_four(task) })
    } else {
        Err(task)
    }
}

/// See [`crate::fused`].
pub(crate) fn fused<W: FusedTask>(work: W) -> W::Out {
    if has_four() {
        // SAFETY: rule 1; the condition is the test.
        unsafe { run_fused(work) }
    } else {
        work.run()
    }
}

#[target_feature(enable = "avx2,fma,avx512f,avx512dq")]
fn run_eight<K: LaneTask>(task: K) -> K::Out {
    task.run::<Eight>()
}

#[target_feature(enable = "avx2,fma")]
fn run_four<K: LaneTask>(task: K) -> K::Out {
    task.run::<Four>()
}

#[target_feature(enable = "avx2,fma")]
fn run_fused<W: FusedTask>(work: W) -> W::Out {
    work.run()
}

/// Four numbers.
#[derive(Clone, Copy, Debug)]
struct Four(__m256d);

/// Eight numbers.
#[derive(Clone, Copy, Debug)]
struct Eight(__m512d);

/// An instruction on lanes.
macro_rules! vector {
    // SAFETY: rule 2; loads and stores check their slices.
    ($($operation:tt)*) => { unsafe { $($operation)* } };
}

/// The implementations of both types, by the names of their instructions.
macro_rules! lanes {
    ($name:ident, $width:literal, $mask:ty, $set:ident, $add:ident, $sub:ident, $mul:ident,
     $div:ident, $fma:ident, $sqrt:ident, $and:ident, $and_not:ident, $or:ident, $xor:ident, $load:ident,
     $store:ident, $less:expr, $blend:ident, $shift:ident, $odd:ident, $all:ident) => {
        impl Add for $name {
            type Output = Self;
            #[inline(always)]
            fn add(self, o: Self) -> Self {
                $name(vector!($add(self.0, o.0)))
            }
        }
        impl Sub for $name {
            type Output = Self;
            #[inline(always)]
            fn sub(self, o: Self) -> Self {
                $name(vector!($sub(self.0, o.0)))
            }
        }
        impl Mul for $name {
            type Output = Self;
            #[inline(always)]
            fn mul(self, o: Self) -> Self {
                $name(vector!($mul(self.0, o.0)))
            }
        }
        impl Div for $name {
            type Output = Self;
            #[inline(always)]
            fn div(self, o: Self) -> Self {
                $name(vector!($div(self.0, o.0)))
            }
        }
        impl Neg for $name {
            type Output = Self;
            #[inline(always)]
            fn neg(self) -> Self {
                $name(vector!($xor(self.0, $set(-0.0))))
            }
        }
        impl AddAssign for $name {
            #[inline(always)]
            fn add_assign(&mut self, o: Self) {
                *self = *self + o;
            }
        }
        impl SubAssign for $name {
            #[inline(always)]
            fn sub_assign(&mut self, o: Self) {
                *self = *self - o;
            }
        }
        impl MulAssign for $name {
            #[inline(always)]
            fn mul_assign(&mut self, o: Self) {
                *self = *self * o;
            }
        }

        impl Elementary for $name {
            #[inline(always)]
            fn with_sign_of(self, s: Self) -> Self {
                $name(vector!({
                    let sign = $set(-0.0);
                    $or($and(sign, s.0), $and_not(sign, self.0))
                }))
            }
            #[inline(always)]
            fn magnitude(self) -> Self {
                $name(vector!($and_not($set(-0.0), self.0)))
            }
            #[inline(always)]
            fn exp2_whole(k: Self) -> Self {
                $name(vector!($shift($add(k.0, $set(ROUND + 1023.0)))))
            }
            #[inline(always)]
            fn is_odd(k: Self) -> $mask {
                vector!($odd($add(k.0, $set(ROUND))))
            }
        }

        impl Real for $name {
            type Mask = $mask;
            #[inline(always)]
            fn c(x: f64) -> Self {
                $name(vector!($set(x)))
            }
            #[inline(always)]
            fn lt(self, other: Self) -> $mask {
                vector!($less(self.0, other.0))
            }
            #[inline(always)]
            fn sel(mask: $mask, a: Self, b: Self) -> Self {
                $name(vector!($blend(mask, a.0, b.0)))
            }
            #[inline(always)]
            fn mul_add(self, a: Self, b: Self) -> Self {
                $name(vector!($fma(self.0, a.0, b.0)))
            }
            #[inline(always)]
            fn sqrt(self) -> Self {
                $name(vector!($sqrt(self.0)))
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

        impl Slope<f64> for $name {
            #[inline(always)]
            fn of(x: f64) -> Self {
                Real::c(x)
            }
            #[inline(always)]
            fn pick(mask: bool, a: Self, b: Self) -> Self {
                Real::sel($all(mask), a, b)
            }
        }

        impl Lanes for $name {
            const WIDTH: usize = $width;
            #[inline(always)]
            fn load(from: &[f64]) -> Self {
                let from = &from[..$width];
                // SAFETY: also, the slice has the width.
                $name(vector!($load(from.as_ptr())))
            }
            #[inline(always)]
            fn store(self, to: &mut [f64]) {
                let to = &mut to[..$width];
                // SAFETY: also, the slice has the width.
                vector!($store(to.as_mut_ptr(), self.0));
            }
        }
    };
}

/// `a` where the sign bit of the mask is set.
#[inline(always)]
unsafe fn blend_four(mask: __m256d, a: __m256d, b: __m256d) -> __m256d {
    vector!(_mm256_blendv_pd(b, a, mask))
}

/// The low bits as an exponent.
#[inline(always)]
unsafe fn shift_four(x: __m256d) -> __m256d {
    vector!(_mm256_castsi256_pd(_mm256_slli_epi64::<52>(
        _mm256_castpd_si256(x)
    )))
}

/// The lowest bit as a sign bit.
#[inline(always)]
unsafe fn odd_four(x: __m256d) -> __m256d {
    vector!(_mm256_castsi256_pd(_mm256_slli_epi64::<63>(
        _mm256_castpd_si256(x)
    )))
}

/// The same in every lane.
#[inline(always)]
fn all_four(mask: bool) -> __m256d {
    vector!(_mm256_castsi256_pd(_mm256_set1_epi64x(-i64::from(mask))))
}

/// `a` where the mask is set.
#[inline(always)]
unsafe fn blend_eight(mask: __mmask8, a: __m512d, b: __m512d) -> __m512d {
    vector!(_mm512_mask_blend_pd(mask, b, a))
}

/// The low bits as an exponent.
#[inline(always)]
unsafe fn shift_eight(x: __m512d) -> __m512d {
    vector!(_mm512_castsi512_pd(_mm512_slli_epi64::<52>(
        _mm512_castpd_si512(x)
    )))
}

/// Whether the lowest bit is set.
#[inline(always)]
unsafe fn odd_eight(x: __m512d) -> __mmask8 {
    vector!(_mm512_test_epi64_mask(
        _mm512_castpd_si512(x),
        _mm512_set1_epi64(1)
    ))
}

/// The same in every lane.
#[inline(always)]
fn all_eight(mask: bool) -> __mmask8 {
    u8::from(mask).wrapping_neg()
}

lanes!(
    Four,
    4,
    __m256d,
    _mm256_set1_pd,
    _mm256_add_pd,
    _mm256_sub_pd,
    _mm256_mul_pd,
    _mm256_div_pd,
    _mm256_fmadd_pd,
    _mm256_sqrt_pd,
    _mm256_and_pd,
    _mm256_andnot_pd,
    _mm256_or_pd,
    _mm256_xor_pd,
    _mm256_loadu_pd,
    _mm256_storeu_pd,
    _mm256_cmp_pd::<_CMP_LT_OQ>,
    blend_four,
    shift_four,
    odd_four,
    all_four
);

lanes!(
    Eight,
    8,
    __mmask8,
    _mm512_set1_pd,
    _mm512_add_pd,
    _mm512_sub_pd,
    _mm512_mul_pd,
    _mm512_div_pd,
    _mm512_fmadd_pd,
    _mm512_sqrt_pd,
    _mm512_and_pd,
    _mm512_andnot_pd,
    _mm512_or_pd,
    _mm512_xor_pd,
    _mm512_loadu_pd,
    _mm512_storeu_pd,
    _mm512_cmp_pd_mask::<_CMP_LT_OQ>,
    blend_eight,
    shift_eight,
    odd_eight,
    all_eight
);
