//! The way to the lanes of this machine.
//!
//! The widest lanes that the processor has are found at run time, so that a build for the baseline
//! processor uses them: eight with AVX-512, four with AVX2, else none. Other processors than x86-64
//! compute with lone numbers, and so do builds with debug assertions: the equations are then
//! compiled for one number type less in each width, which saves minutes, and the bits are the same.

use crate::lanes::{FusedTask, LaneTask};
use crate::width::Width;

impl Width {
    /// The widest in use: that of the machine, or the narrower one that
    /// [`WIDTH_VARIABLE`](crate::WIDTH_VARIABLE) gives.
    pub fn best() -> Self {
        #[cfg(all(target_arch = "x86_64", not(debug_assertions)))]
        if crate::x86::has_eight() {
            return Width::Eight;
        } else if crate::x86::has_four() {
            return Width::Four;
        }
        Width::One.min(Width::allowed())
    }

    /// Every width in use, narrowest first.
    pub fn all() -> Vec<Self> {
        let best = Self::best();
        Self::EVERY.into_iter().filter(|w| *w <= best).collect()
    }
}

/// Runs a task with lanes of a width.
///
/// ```
/// use axletree_scalar::{LANES, Lanes, Real, LaneRow, LaneTask, Width, dispatch, dispatch_any};
///
/// /// Square roots of a row.
/// struct Roots<'a>(&'a LaneRow);
///
/// impl LaneTask for Roots<'_> {
///     type Out = LaneRow;
///     #[inline(always)]
///     fn run<T: Lanes>(self) -> LaneRow {
///         let mut roots = [0.0; LANES];
///         for first in (0..LANES).step_by(T::WIDTH) {
///             T::load(&self.0[first..]).sqrt().store(&mut roots[first..]);
///         }
///         roots
///     }
/// }
///
/// let squares: LaneRow = std::array::from_fn(|i| (i * i) as f64);
/// assert_eq!(dispatch_any(Roots(&squares))[5], 5.0);
/// assert!(dispatch(Width::One, Roots(&squares)).is_err());
/// ```
///
/// # Errors
///
/// The task itself, where the width is one or the machine has less: the caller then computes with
/// lone numbers.
pub fn dispatch<K: LaneTask>(width: Width, task: K) -> Result<K::Out, K> {
    #[cfg(all(target_arch = "x86_64", not(debug_assertions)))]
    {
        crate::x86::dispatch(width, task)
    }
    #[cfg(not(all(target_arch = "x86_64", not(debug_assertions))))]
    {
        let _ = width;
        Err(task)
    }
}

/// Runs a task with the widest lanes of the machine, with lone numbers where it has none.
pub fn dispatch_any<K: LaneTask>(task: K) -> K::Out {
    match dispatch(Width::best(), task) {
        Ok(out) => out,
        Err(task) => task.run::<f64>(),
    }
}

/// Runs work on lone numbers, in code compiled for fused products and sums where the processor has
/// them.
pub fn fused<W: FusedTask>(work: W) -> W::Out {
    #[cfg(all(target_arch = "x86_64", not(debug_assertions)))]
    {
        crate::x86::fused(work)
    }
    #[cfg(not(all(target_arch = "x86_64", not(debug_assertions))))]
    {
        work.run()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lanes::{LANES, LaneRow, Lanes};
    use crate::real::Real;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// Every operation and function of three numbers, each once.
    #[inline(always)]
    fn all<T: Real>(a: T, b: T, c: T) -> [T; 22] {
        let (s, d) = a.sin_cos();
        [
            a + b,
            a - b,
            a * b,
            a / b,
            -a,
            a.mul_add(b, c),
            a.abs().sqrt(),
            s,
            d,
            a.atan(),
            a.exp(),
            a.tanh(),
            a.min(b),
            a.max(b),
            a.abs(),
            a.positive(),
            a.atan2(b),
            a.recip(),
            a.scale(0.3),
            T::sel(a.lt(b), c, a),
            T::sel(T::c(0.25).lt(c), b, a),
            a.sq() - c.sq() * T::c(1.0 / 3.0),
        ]
    }

    struct Each<'a>([&'a LaneRow; 3]);

    impl LaneTask for Each<'_> {
        type Out = Vec<[f64; 22]>;
        #[inline(always)]
        fn run<T: Lanes>(self) -> Vec<[f64; 22]> {
            let mut out = vec![[0.0; 22]; LANES];
            for first in (0..LANES).step_by(T::WIDTH) {
                let [a, b, c] = self.0.map(|row| T::load(&row[first..]));
                for (k, value) in all(a, b, c).into_iter().enumerate() {
                    let mut row = [0.0; LANES];
                    value.store(&mut row);
                    for i in 0..T::WIDTH {
                        out[first + i][k] = row[i];
                    }
                }
            }
            out
        }
    }

    struct Alone([f64; 3]);

    impl FusedTask for Alone {
        type Out = [f64; 22];
        #[inline(always)]
        fn run(self) -> [f64; 22] {
            all(self.0[0], self.0[1], self.0[2])
        }
    }

    /// A number with every bit random, or one of moderate size.
    fn draw(random: &mut ChaCha8Rng) -> f64 {
        if random.random_ratio(1, 3) {
            f64::from_bits(random.random())
        } else {
            random.random_range(-20.0..20.0)
        }
    }

    /// Lanes of every width against lone numbers, with the processor's fused instruction and with
    /// the function that stands in for it: the same bits.
    #[test]
    fn law_lanes_compute_what_lone_numbers_do() {
        let mut random = ChaCha8Rng::seed_from_u64(7);
        let mut special = vec![
            0.0,
            -0.0,
            1.0,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NAN,
            1e-310,
        ];
        special.extend([f64::MAX, -1e300, 0.25, 20.0, 710.0, -710.0]);
        let mut finite = 0;
        for round in 0..4000 {
            let mut rows = [[0.0; LANES]; 3];
            for x in rows.iter_mut().flatten() {
                *x = draw(&mut random);
                if round < 200 && random.random() {
                    *x = special[random.random_range(0..special.len())];
                }
            }
            let [a, b, c] = &rows;
            for i in 0..LANES {
                let alone = fused(Alone([a[i], b[i], c[i]]));
                let plain = all(a[i], b[i], c[i]);
                let mut seen = vec![plain];
                for width in Width::all() {
                    if let Ok(lanes) = dispatch(width, Each([a, b, c])) {
                        seen.push(lanes[i]);
                    }
                }
                for (k, want) in alone.iter().enumerate() {
                    finite += usize::from(want.is_finite());
                    for got in &seen {
                        // NaN is NaN, whatever it carries.
                        let same =
                            got[k].to_bits() == want.to_bits() || got[k].is_nan() && want.is_nan();
                        assert!(
                            same,
                            "operation {k} of {}, {}, {}: {} and {want}",
                            a[i], b[i], c[i], got[k]
                        );
                    }
                }
            }
        }
        assert!(finite > 400_000, "{finite}");
    }

    #[test]
    fn a_width_that_is_not_there_gives_the_task_back() {
        assert!(dispatch(Width::One, Each([&[1.0; LANES]; 3])).is_err());
        assert!(Width::all().contains(&Width::best()));
    }
}
