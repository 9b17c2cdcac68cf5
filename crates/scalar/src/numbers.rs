//! Structs of numbers that can be lifted from `f64` to another number type.
//!
//! A model is assembled in `f64`; the equations may run on dual numbers or on several cars side by
//! side. [`numbers!`](crate::numbers) declares a struct generic over its number `T` together with the
//! map from its `f64` form. It is exported, against the house habit for macros, because the
//! alternative is every parameter's name written three times.

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

/// Declares structs of numbers generic over `T`, each with its [`Lift`] from `f64` and a `named`
/// method that lists every number with its dotted path.
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
                    &$crate::numbers::join(path, stringify!($field)),
                    each,
                ); )*
            }
        }
    )*};
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
            item.named(&join(path, &i.to_string()), each);
        }
    }
}

/// A path one step longer.
pub fn join(path: &str, step: &str) -> String {
    if path.is_empty() {
        step.to_owned()
    } else {
        format!("{path}.{step}")
    }
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
    }
}
