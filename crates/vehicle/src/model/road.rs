//! The road under a wheel.

use axletree_scalar::{LANES, Lanes, Real};

/// What a wheel finds under it. The road's normal is taken vertical: its heights are small.
#[derive(Clone, Copy, Debug)]
pub struct Patch<T> {
    /// Height above the datum [m].
    pub height: T,
    /// Rate at which the height under the moving wheel rises [m/s].
    pub rise: T,
}

/// A road surface.
pub trait Road<T: Real> {
    /// The road under wheel `wheel` (order of [`super::layout::WHEELS`]) whose center stands over
    /// `(x, y)` [m, e] and moves with `(vx, vy)` [m/s, e].
    fn under(&self, wheel: usize, position: [T; 2], velocity: [T; 2]) -> Patch<T>;
}

/// A flat road at height zero.
#[derive(Clone, Copy, Debug, Default)]
pub struct Flat;

impl<T: Real> Road<T> for Flat {
    #[inline]
    fn under(&self, _: usize, _: [T; 2], _: [T; 2]) -> Patch<T> {
        Patch {
            height: T::zero(),
            rise: T::zero(),
        }
    }
}

/// The roads of cars side by side from lane `first` on, each asked for its own car; flat where there are
/// none.
#[derive(Clone, Copy)]
pub(super) struct Beside<'a> {
    pub roads: Option<&'a [&'a dyn Road<f64>; LANES]>,
    pub first: usize,
}

impl<T: Lanes> Road<T> for Beside<'_> {
    #[inline(always)]
    fn under(&self, wheel: usize, position: [T; 2], velocity: [T; 2]) -> Patch<T> {
        let Some(roads) = self.roads else {
            return Flat.under(wheel, position, velocity);
        };
        let mut asked = [[0.0; LANES]; 4];
        for (row, value) in
            asked
                .iter_mut()
                .zip([position[0], position[1], velocity[0], velocity[1]])
        {
            value.store(row);
        }
        let [height, rise] = ask(&roads[self.first..], wheel, &asked, T::WIDTH);
        Patch {
            height: T::load(&height),
            rise: T::load(&rise),
        }
    }
}

/// Heights and their rates under one wheel of so many cars.
#[inline(never)]
fn ask(
    roads: &[&dyn Road<f64>],
    wheel: usize,
    [x, y, vx, vy]: &[[f64; LANES]; 4],
    width: usize,
) -> [[f64; LANES]; 2] {
    let mut found = [[0.0; LANES]; 2];
    for (i, road) in roads.iter().enumerate().take(width) {
        let patch = road.under(wheel, [x[i], y[i]], [vx[i], vy[i]]);
        found[0][i] = patch.height;
        found[1][i] = patch.rise;
    }
    found
}
