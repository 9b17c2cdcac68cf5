//! Elementary functions of plain `f64` numbers, for code outside a task.
//!
//! The same functions as those of [`Real`], with the same bits. [`Real`]'s are inlined: in code
//! compiled for the baseline processor every product with its sum then becomes a slow call. These
//! are calls themselves, compiled for fused products and sums where the processor has them. Inside a
//! [`LaneTask`](crate::LaneTask) or a [`FusedTask`], [`Real`]'s are faster.
//!
//! ```
//! use axletree_scalar::{Real, lone};
//!
//! assert_eq!(lone::sin(0.5), Real::sin(0.5_f64));
//! assert_eq!(lone::hypot(3.0, 4.0), 5.0);
//! assert!((lone::pow(2.0, 0.5) - 2.0_f64.sqrt()).abs() < 1e-15);
//! ```

use crate::dispatch::fused;
use crate::elementary;
use crate::lanes::FusedTask;
use crate::real::Real;

/// Functions by their arguments and their inlined form.
macro_rules! functions {
    ($($(#[$about:meta])* $name:ident($($x:ident),+) -> $out:ty = $value:expr;)+) => {$(
        $(#[$about])*
        pub fn $name($($x: f64),+) -> $out {
            struct Call { $($x: f64),+ }
            impl FusedTask for Call {
                type Out = $out;
                #[inline(always)]
                fn run(self) -> $out {
                    let Call { $($x),+ } = self;
                    $value
                }
            }
            fused(Call { $($x),+ })
        }
    )+};
}

functions! {
    /// Sine of an angle `[rad]`.
    sin(x) -> f64 = Real::sin(x);
    /// Cosine of an angle `[rad]`.
    cos(x) -> f64 = Real::cos(x);
    /// Sine and cosine of an angle `[rad]`.
    sin_cos(x) -> (f64, f64) = Real::sin_cos(x);
    /// Arcsine, in [-pi/2, pi/2]; NaN outside [-1, 1].
    asin(x) -> f64 = elementary::asin(x);
    /// Arccosine, in [0, pi]; NaN outside [-1, 1].
    acos(x) -> f64 = elementary::acos(x);
    /// Arctangent, in [-pi/2, pi/2].
    atan(x) -> f64 = Real::atan(x);
    /// Angle of the point (x, y) from the x axis, in [-pi, pi].
    atan2(y, x) -> f64 = Real::atan2(y, x);
    /// Length of the hypotenuse over two sides; their squares must not overflow.
    hypot(x, y) -> f64 = Real::hypot(x, y);
    /// Exponential.
    exp(x) -> f64 = Real::exp(x);
    /// Natural logarithm: minus infinity at zero, NaN below.
    ln(x) -> f64 = elementary::ln(x);
    /// `x` to the power `y` for `x` not below zero: `exp(y ln x)`, good to about `|y ln x|` units in
    /// the last place; zero to a positive power is zero.
    pow(x, y) -> f64 = elementary::pow(x, y);
}
