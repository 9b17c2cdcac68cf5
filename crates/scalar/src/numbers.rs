//! Structs of numbers that can be lifted from `f64` to another number type.
//!
//! A model is assembled in `f64`; the equations may run on dual numbers or on several cars side by
//! side. [`numbers!`](crate::numbers!) declares a struct generic over its number `T` together with
//! the maps between number types and the dotted path of every number. The macro is exported,
//! against the habit of the house, because the alternative is every parameter's name written five
//! times.
//!
//! - [`Lift`]: from `f64` to another number type.
//! - [`MapNumbers`]: from any number type to any other.
//! - [`Named`], [`FromNamed`]: to and from numbers by their dotted paths.

use std::marker::PhantomData;

use crate::vector::{Mat3, Vec3};

/// Lifts every number of a value from `f64` to `U`, in the order of declaration.
pub trait Lift<U> {
    /// The same shape over `U`.
    type Out;
    /// Applies `f` to every number, in the order of declaration.
    fn lift(&self, f: &mut dyn FnMut(f64) -> U) -> Self::Out;
}

impl<U> Lift<U> for f64 {
    type Out = U;
    fn lift(&self, f: &mut dyn FnMut(f64) -> U) -> U {
        f(*self)
    }
}

impl<U, S: Lift<U>, const N: usize> Lift<U> for [S; N] {
    type Out = [S::Out; N];
    fn lift(&self, f: &mut dyn FnMut(f64) -> U) -> Self::Out {
        std::array::from_fn(|i| self[i].lift(f))
    }
}

/// Maps every number `A` of a value to a number `B`, in the order of declaration.
///
/// `Place` says where the numbers are: the value [itself](Itself), its [items](Items), its
/// [members](Members). It keeps the implementations apart where `A` is an array; it is always
/// inferred.
pub trait MapNumbers<A, B, Place> {
    /// The same shape over `B`.
    type Out;
    /// Applies `f` to every number.
    fn map_numbers(&self, f: &mut impl FnMut(&A) -> B) -> Self::Out;
    /// Applies `f` to every number together with its counterpart in `other`.
    fn zip_numbers(&mut self, other: &Self::Out, f: &mut impl FnMut(&mut A, &B));
}

/// [`MapNumbers`]: the value is the number.
pub struct Itself;
/// [`MapNumbers`]: the numbers are in the items of an array, at `P` of each.
pub struct Items<P>(PhantomData<P>);
/// [`MapNumbers`]: the numbers are in the members of a struct.
pub struct Members;

impl<A: Copy, B: Copy> MapNumbers<A, B, Itself> for A {
    type Out = B;
    #[inline(always)]
    fn map_numbers(&self, f: &mut impl FnMut(&A) -> B) -> B {
        f(self)
    }
    #[inline(always)]
    fn zip_numbers(&mut self, other: &B, f: &mut impl FnMut(&mut A, &B)) {
        f(self, other);
    }
}

impl<A, B, P, S: MapNumbers<A, B, P>, const N: usize> MapNumbers<A, B, Items<P>> for [S; N] {
    type Out = [S::Out; N];
    #[inline(always)]
    fn map_numbers(&self, f: &mut impl FnMut(&A) -> B) -> Self::Out {
        std::array::from_fn(
            #[inline(always)]
            |i| self[i].map_numbers(f),
        )
    }
    #[inline(always)]
    fn zip_numbers(&mut self, other: &Self::Out, f: &mut impl FnMut(&mut A, &B)) {
        for (own, other) in self.iter_mut().zip(other) {
            own.zip_numbers(other, f);
        }
    }
}

/// Lists every number of a value with its dotted path.
pub trait Named {
    /// Calls `each` with the path and the value of every number, in the order of declaration.
    fn named(&self, path: &str, each: &mut dyn FnMut(&str, f64));
}

impl Named for f64 {
    fn named(&self, path: &str, each: &mut dyn FnMut(&str, f64)) {
        each(path, *self);
    }
}

impl<S: Named, const N: usize> Named for [S; N] {
    fn named(&self, path: &str, each: &mut dyn FnMut(&str, f64)) {
        for (i, item) in self.iter().enumerate() {
            item.named(&join_path(path, &i.to_string()), each);
        }
    }
}

/// Builds a value from its numbers by their dotted paths, the inverse of [`Named`].
pub trait FromNamed: Sized {
    /// Calls `number` with the path of every number, in the order of declaration.
    fn from_named(path: &str, number: &mut dyn FnMut(&str) -> f64) -> Self;
}

impl FromNamed for f64 {
    fn from_named(path: &str, number: &mut dyn FnMut(&str) -> f64) -> f64 {
        number(path)
    }
}

impl<S: FromNamed, const N: usize> FromNamed for [S; N] {
    fn from_named(path: &str, number: &mut dyn FnMut(&str) -> f64) -> Self {
        std::array::from_fn(|i| S::from_named(&join_path(path, &i.to_string()), number))
    }
}

/// Vectors and matrices are arrays of their components.
macro_rules! arrays {
    ($($name:ident)*) => {$(
        impl<U> Lift<U> for $name<f64> {
            type Out = $name<U>;
            fn lift(&self, f: &mut dyn FnMut(f64) -> U) -> $name<U> {
                $name(self.0.lift(f))
            }
        }

        impl<A: Copy, B: Copy> MapNumbers<A, B, Members> for $name<A> {
            type Out = $name<B>;
            #[inline(always)]
            fn map_numbers(&self, f: &mut impl FnMut(&A) -> B) -> $name<B> {
                $name(self.0.map_numbers(f))
            }
            #[inline(always)]
            fn zip_numbers(&mut self, other: &$name<B>, f: &mut impl FnMut(&mut A, &B)) {
                self.0.zip_numbers(&other.0, f);
            }
        }

        impl Named for $name<f64> {
            fn named(&self, path: &str, each: &mut dyn FnMut(&str, f64)) {
                self.0.named(path, each);
            }
        }

        impl FromNamed for $name<f64> {
            fn from_named(path: &str, number: &mut dyn FnMut(&str) -> f64) -> Self {
                $name(FromNamed::from_named(path, number))
            }
        }
    )*};
}

arrays! { Vec3 Mat3 }

/// A path one step longer.
pub fn join_path(path: &str, step: &str) -> String {
    if path.is_empty() {
        step.to_owned()
    } else {
        format!("{path}.{step}")
    }
}

/// Declares structs of numbers generic over `T`, each with [`Lift`], [`MapNumbers`], [`Named`],
/// [`FromNamed`] and a method `map`.
///
/// ```
/// use axletree_scalar::{Lift, numbers, numbers::Named};
///
/// numbers! {
///     /// A spring.
///     pub struct Coil {
///         /// Stiffness `[N/m]`.
///         pub rate: T,
///         /// Free and solid length `[m]`.
///         pub length: [T; 2],
///     }
/// }
///
/// let coil = Coil { rate: 30e3, length: [0.32, 0.11] };
/// let pair: Coil<[f64; 2]> = coil.lift(&mut |x| [x, 2.0 * x]);
/// assert_eq!(pair.length[1], [0.11, 0.22]);
/// assert_eq!(pair.map(|x| x[0]), coil);
/// let mut paths = Vec::new();
/// coil.named("front", &mut |path, _| paths.push(path.to_owned()));
/// assert_eq!(paths, ["front.rate", "front.length.0", "front.length.1"]);
/// ```
#[macro_export]
macro_rules! numbers {
    ($(
        $(#[$meta:meta])*
        pub struct $name:ident {
            $( $(#[$field_meta:meta])* pub $field:ident : $ty:ty ),* $(,)?
        }
    )*) => {$(
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub struct $name<T> {
            $( $(#[$field_meta])* pub $field: $ty, )*
        }

        impl<T: Copy> $name<T> {
            /// Every number through a function, in the order of declaration.
            #[inline(always)]
            pub fn map<U: Copy>(&self, mut f: impl FnMut(&T) -> U) -> $name<U> {
                $crate::numbers::MapNumbers::map_numbers(self, &mut f)
            }
        }

        impl<T: Copy, U: Copy> $crate::numbers::MapNumbers<T, U, $crate::numbers::Members>
            for $name<T>
        {
            type Out = $name<U>;
            #[inline(always)]
            fn map_numbers(&self, f: &mut impl FnMut(&T) -> U) -> $name<U> {
                $name { $( $field: $crate::numbers::MapNumbers::map_numbers(&self.$field, f), )* }
            }
            #[inline(always)]
            fn zip_numbers(&mut self, other: &$name<U>, f: &mut impl FnMut(&mut T, &U)) {
                $( $crate::numbers::MapNumbers::zip_numbers(
                    &mut self.$field,
                    &other.$field,
                    f,
                ); )*
            }
        }

        impl<U> $crate::numbers::Lift<U> for $name<f64> {
            type Out = $name<U>;
            fn lift(&self, f: &mut dyn FnMut(f64) -> U) -> $name<U> {
                $name { $( $field: $crate::numbers::Lift::lift(&self.$field, f), )* }
            }
        }

        impl $crate::numbers::Named for $name<f64> {
            fn named(&self, path: &str, each: &mut dyn FnMut(&str, f64)) {
                $( $crate::numbers::Named::named(
                    &self.$field,
                    &$crate::numbers::join_path(path, stringify!($field)),
                    each,
                ); )*
            }
        }

        impl $crate::numbers::FromNamed for $name<f64> {
            fn from_named(path: &str, number: &mut dyn FnMut(&str) -> f64) -> Self {
                $name { $( $field: $crate::numbers::FromNamed::from_named(
                    &$crate::numbers::join_path(path, stringify!($field)),
                    number,
                ), )* }
            }
        }
    )*};
}

#[cfg(test)]
mod tests {
    use super::*;

    numbers! {
        /// Inner.
        pub struct Inner {
            /// A pair.
            pub pair: [T; 2],
        }
        /// Outer.
        pub struct Outer {
            /// One number.
            pub one: T,
            /// Two structs.
            pub inner: [Inner<T>; 2],
        }
    }

    #[test]
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a count: whole, small, not negative"
    )]
    #[expect(clippy::float_cmp, reason = "the same bits are meant")]
    fn lifts_in_order_and_names() {
        let a = Outer {
            one: 1.0,
            inner: [Inner { pair: [2.0, 3.0] }, Inner { pair: [4.0, 5.0] }],
        };
        let mut seen = Vec::new();
        let b: Outer<f32> = a.lift(&mut |x| {
            seen.push(x);
            x as f32
        });
        assert_eq!(seen, [1.0, 2.0, 3.0, 4.0, 5.0]);
        assert_eq!(b.inner[1].pair[1], 5.0f32);
        let mut names = Vec::new();
        a.named("", &mut |path, _| names.push(path.to_owned()));
        assert_eq!(names[3], "inner.1.pair.0");
        // Back from the paths.
        let again = Outer::from_named("", &mut |path| {
            names.iter().position(|name| name == path).unwrap() as f64 + 1.0
        });
        assert_eq!(again, a);
    }

    #[test]
    #[expect(clippy::float_cmp, reason = "the same bits are meant")]
    fn maps_and_zips_numbers_that_are_arrays_themselves() {
        let mut rows = Outer {
            one: [1.0; 4],
            inner: [Inner {
                pair: [[2.0; 4], [3.0; 4]],
            }; 2],
        };
        let car = rows.map(|row| row[0]);
        assert_eq!(car.inner[1].pair, [2.0, 3.0]);
        assert_eq!(rows.inner[0].map(|row| row[3]), car.inner[0]);
        let doubled = car.map(|x| 2.0 * x);
        rows.zip_numbers(&doubled, &mut |row: &mut [f64; 4], x| row[3] = *x);
        assert_eq!(rows.inner[0].pair[1], [3.0, 3.0, 3.0, 6.0]);
        assert_eq!(rows.one, [1.0, 1.0, 1.0, 2.0]);
    }
}
