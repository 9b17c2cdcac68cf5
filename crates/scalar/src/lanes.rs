//! Several numbers side by side in one vector register.
//!
//! The widest lanes that the processor has are found at run time, so that a build for the baseline
//! processor uses them: eight with AVX-512, four with AVX2, else none. All of the equations' arithmetic
//! goes through operations that IEEE 754 rounds exactly ([`Real::mul_add`] once, everywhere), so a lane
//! computes the same bits as a lone `f64` does, on every machine.
//!
//! The lane types are private: whoever wants them hands a [`Task`] to [`dispatch`] and gets it run with
//! the type that fits. A value of such a type exists only on a processor that has its instructions.
//! Everything below [`Task::run`] must be `#[inline(always)]`: only what is inlined there is compiled
//! for those instructions. For the same reason code on lone numbers that should fuse its products and
//! sums cheaply is run as a [`Work`] by [`fused`].

use std::sync::LazyLock;

use crate::dual::Slope;
use crate::real::Real;

/// Cars, or whatever runs side by side, that are handled together: the widest lanes there are. Narrower
/// lanes take several turns.
pub const LANES: usize = 8;

/// One quantity of each of [`LANES`] cars.
pub type Row = [f64; LANES];

/// Environment variable that narrows the lanes to 4 or 1, fused instructions included where it is 1. Results are
/// the same bits; tests use it to show that.
pub const WIDTH_VARIABLE: &str = "AXLETREE_WIDTH";

/// Numbers side by side: of as many cars, or derivatives of one number along as many directions.
pub trait Lanes: Real + Slope<f64> + Send + Sync + 'static {
    /// How many.
    const WIDTH: usize;
    /// The first [`Self::WIDTH`] numbers of a slice.
    fn load(from: &[f64]) -> Self;
    /// Writes them to the front of a slice.
    fn store(self, to: &mut [f64]);
}

impl Lanes for f64 {
    const WIDTH: usize = 1;
    #[inline(always)]
    fn load(from: &[f64]) -> Self {
        from[0]
    }
    #[inline(always)]
    fn store(self, to: &mut [f64]) {
        to[0] = self;
    }
}

/// What is to be done with lanes of whatever width.
pub trait Task {
    /// What it gives.
    type Out;
    /// Does it; to be `#[inline(always)]`.
    fn run<T: Lanes>(self) -> Self::Out;
}

/// What is to be done with lone numbers on a processor that fuses products and sums.
pub trait Work {
    /// What it gives.
    type Out;
    /// Does it; to be `#[inline(always)]`.
    fn run(self) -> Self::Out;
}

/// How many numbers an instruction of this machine can take.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Width {
    /// One.
    One,
    /// Four (AVX2 with FMA).
    Four,
    /// Eight (AVX-512).
    Eight,
}

impl Width {
    /// The widest in use: that of the machine, or the narrower one that the environment variable
    /// [`WIDTH_VARIABLE`] gives.
    pub fn best() -> Self {
        #[cfg(target_arch = "x86_64")]
        if crate::x86::has_eight() {
            return Width::Eight;
        } else if crate::x86::has_four() {
            return Width::Four;
        }
        Width::One
    }

    /// Every width in use, narrowest first.
    pub fn all() -> Vec<Self> {
        let best = Self::best();
        Self::EVERY.into_iter().filter(|w| *w <= best).collect()
    }

    /// Every width there is, narrowest first.
    pub const EVERY: [Width; 3] = [Width::One, Width::Four, Width::Eight];

    /// The widest that [`WIDTH_VARIABLE`] allows; read once. Anything but the number of a width allows all.
    pub(crate) fn allowed() -> Self {
        static ALLOWED: LazyLock<Width> = LazyLock::new(|| {
            let asked = std::env::var(WIDTH_VARIABLE).ok();
            Width::EVERY
                .into_iter()
                .find(|w| asked.as_deref() == Some(w.count().to_string().as_str()))
                .unwrap_or(Width::Eight)
        });
        *ALLOWED
    }

    /// As a number [-].
    pub fn count(self) -> usize {
        match self {
            Width::One => 1,
            Width::Four => 4,
            Width::Eight => 8,
        }
    }
}

/// Runs a task with lanes of a width. Gives it back where the width is one or the machine has less: what
/// is then done with lone numbers is the caller's.
pub fn dispatch<K: Task>(width: Width, task: K) -> Result<K::Out, K> {
    #[cfg(target_arch = "x86_64")]
    {
        crate::x86::dispatch(width, task)
    }
    #[cfg(not(target_arch = "x86_64"))]
    {
        let _ = width;
        Err(task)
    }
}

/// Runs a task with the widest lanes there are, with lone numbers where there are none.
pub fn dispatch_any<K: Task>(task: K) -> K::Out {
    match dispatch(Width::best(), task) {
        Ok(out) => out,
        Err(task) => task.run::<f64>(),
    }
}

/// Runs work on lone numbers, compiled for a processor that fuses products and sums where this is one.
pub fn fused<W: Work>(work: W) -> W::Out {
    #[cfg(target_arch = "x86_64")]
    {
        crate::x86::fused(work)
    }
    #[cfg(not(target_arch = "x86_64"))]
    {
        work.run()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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

    struct Each<'a>([&'a Row; 3]);

    impl Task for Each<'_> {
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

    impl Work for Alone {
        type Out = [f64; 22];
        #[inline(always)]
        fn run(self) -> [f64; 22] {
            all(self.0[0], self.0[1], self.0[2])
        }
    }

    /// A number with every bit drawn by a 64-bit linear congruential generator (Knuth's constants), or
    /// one of moderate size.
    fn draw(seed: &mut u64) -> f64 {
        *seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let bits = *seed ^ (*seed >> 29);
        if bits.is_multiple_of(3) {
            f64::from_bits(bits.rotate_left(17))
        } else {
            ((bits >> 11) as f64 / (1u64 << 53) as f64 - 0.5) * 40.0
        }
    }

    /// Lanes of every width against lone numbers, with the processor's fused instruction and with the
    /// function that stands in for it: the same bits.
    #[test]
    fn law_lanes_compute_what_lone_numbers_do() {
        let mut seed = 7;
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
                *x = draw(&mut seed);
                if round < 200 && seed.is_multiple_of(2) {
                    *x = special[(seed >> 40) as usize % special.len()];
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
