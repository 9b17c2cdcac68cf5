//! A number that counts what is done with it.
//!
//! For tests and benches that state how much work an evaluation is: the equations run on [`Count`] do
//! what they do on `f64`, to the last bit, and every operation is added to a tally of the thread.

// Counting is a sum inside every operator.
#![allow(clippy::suspicious_arithmetic_impl)]

use std::cell::Cell;
use std::ops::{Add, AddAssign, Div, Mul, MulAssign, Neg, Sub, SubAssign};

use crate::elementary::{self, Lane};
use crate::real::Real;

/// Floating-point operations done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Sums and differences.
    pub sums: u64,
    /// Products.
    pub products: u64,
    /// Products with a sum, rounded once.
    pub fused: u64,
    /// Quotients.
    pub quotients: u64,
    /// Square roots.
    pub roots: u64,
}

impl Tally {
    /// All of them, a fused product and sum as two.
    pub fn operations(&self) -> u64 {
        self.sums + self.products + 2 * self.fused + self.quotients + self.roots
    }
}

thread_local! {
    static TALLY: Cell<Tally> = const { Cell::new(Tally { sums: 0, products: 0, fused: 0, quotients: 0, roots: 0 }) };
}

/// What a piece of work does on this thread.
pub fn counted<R>(work: impl FnOnce() -> R) -> (R, Tally) {
    TALLY.set(Tally::default());
    let result = work();
    (result, TALLY.take())
}

fn add(change: impl FnOnce(&mut Tally)) {
    let mut tally = TALLY.get();
    change(&mut tally);
    TALLY.set(tally);
}

/// A number that counts. Comparisons, choices, changes of sign and constants count nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Count(pub f64);

impl Add for Count {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        add(|t| t.sums += 1);
        Count(self.0 + o.0)
    }
}
impl Sub for Count {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        add(|t| t.sums += 1);
        Count(self.0 - o.0)
    }
}
impl Mul for Count {
    type Output = Self;
    fn mul(self, o: Self) -> Self {
        add(|t| t.products += 1);
        Count(self.0 * o.0)
    }
}
impl Div for Count {
    type Output = Self;
    fn div(self, o: Self) -> Self {
        add(|t| t.quotients += 1);
        Count(self.0 / o.0)
    }
}
impl Neg for Count {
    type Output = Self;
    fn neg(self) -> Self {
        Count(-self.0)
    }
}
impl AddAssign for Count {
    fn add_assign(&mut self, o: Self) {
        *self = *self + o;
    }
}
impl SubAssign for Count {
    fn sub_assign(&mut self, o: Self) {
        *self = *self - o;
    }
}
impl MulAssign for Count {
    fn mul_assign(&mut self, o: Self) {
        *self = *self * o;
    }
}

impl Real for Count {
    type Mask = bool;
    fn c(x: f64) -> Self {
        Count(x)
    }
    fn lt(self, other: Self) -> bool {
        self.0 < other.0
    }
    fn sel(mask: bool, a: Self, b: Self) -> Self {
        if mask { a } else { b }
    }
    fn mul_add(self, a: Self, b: Self) -> Self {
        self.fma(a, b)
    }
    fn sqrt(self) -> Self {
        add(|t| t.roots += 1);
        Count(self.0.sqrt())
    }
    fn sin_cos(self) -> (Self, Self) {
        elementary::sin_cos(self)
    }
    fn atan(self) -> Self {
        elementary::atan(self)
    }
    fn exp(self) -> Self {
        elementary::exp(self)
    }
    fn tanh(self) -> Self {
        elementary::tanh(self)
    }
}

impl Lane for Count {
    type Mask = bool;
    fn splat(x: f64) -> Self {
        Count(x)
    }
    fn fma(self, a: Self, b: Self) -> Self {
        add(|t| t.fused += 1);
        Count(self.0.mul_add(a.0, b.0))
    }
    fn less(self, other: Self) -> bool {
        self.0 < other.0
    }
    fn blend(mask: bool, a: Self, b: Self) -> Self {
        if mask { a } else { b }
    }
    fn with_sign_of(self, s: Self) -> Self {
        Count(self.0.copysign(s.0))
    }
    fn magnitude(self) -> Self {
        Count(self.0.abs())
    }
    fn exp2_whole(k: Self) -> Self {
        Count(<f64 as Lane>::exp2_whole(k.0))
    }
    fn odd(k: Self) -> bool {
        <f64 as Lane>::odd(k.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_operation_counts_once_and_the_bits_are_those_of_f64() {
        let work = |x: Count, y: Count| (x + y) * x.mul_add(y, x) / y.sqrt() - x.abs();
        let (got, tally) = counted(|| work(Count(0.3), Count(0.7)));
        let want = (0.3 + 0.7) * 0.3f64.mul_add(0.7, 0.3) / 0.7f64.sqrt() - 0.3;
        assert_eq!(got.0.to_bits(), want.to_bits());
        let each = Tally {
            sums: 2,
            products: 1,
            fused: 1,
            quotients: 1,
            roots: 1,
        };
        assert_eq!(tally, each);
        assert_eq!(tally.operations(), 7);
        let (sine, tally) = counted(|| Count(1.2).sin());
        assert_eq!(sine.0.to_bits(), Real::sin(1.2).to_bits());
        assert!(tally.fused > 10);
    }
}
