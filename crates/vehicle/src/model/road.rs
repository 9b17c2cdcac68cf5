//! The road under the wheels.

use axletree_scalar::{LANES, Lanes, Real};

/// Height and rise of the road under one wheel. The road's normal is taken vertical: its heights
/// are small against their wavelengths.
#[derive(Clone, Copy, Debug)]
pub struct Patch<T> {
    /// Height above the datum `[m]`.
    pub height: T,
    /// Rate at which the height under the moving wheel rises `[m/s]`.
    pub rise: T,
}

/// A road surface.
pub trait Road<T: Real> {
    /// The road under wheel number `wheel` (order of [`WHEELS`](super::layout::WHEELS)), whose
    /// center is over `position` `[m, e]` and moves with `velocity` `[m/s, e]`.
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

/// The roads of cars side by side from lane `first` on, each evaluated for its own car; flat where
/// there are none.
#[derive(Clone, Copy)]
pub(super) struct LaneRoads<'a> {
    pub roads: Option<&'a [&'a dyn Road<f64>; LANES]>,
    pub first: usize,
}

impl<T: Lanes> Road<T> for LaneRoads<'_> {
    #[inline(always)]
    fn under(&self, wheel: usize, position: [T; 2], velocity: [T; 2]) -> Patch<T> {
        let Some(roads) = self.roads else {
            return Flat.under(wheel, position, velocity);
        };
        let mut points = [[0.0; LANES]; 4];
        for (row, value) in
            points
                .iter_mut()
                .zip([position[0], position[1], velocity[0], velocity[1]])
        {
            value.store(row);
        }
        let [height, rise] = patches(&roads[self.first..], wheel, &points, T::WIDTH);
        Patch {
            height: T::load(&height),
            rise: T::load(&rise),
        }
    }
}

/// Heights and rises under one wheel of `width` cars. Not inlined: the roads are scalar code.
#[inline(never)]
fn patches(
    roads: &[&dyn Road<f64>],
    wheel: usize,
    [x, y, vx, vy]: &[[f64; LANES]; 4],
    width: usize,
) -> [[f64; LANES]; 2] {
    let mut rows = [[0.0; LANES]; 2];
    for (i, road) in roads.iter().enumerate().take(width) {
        let patch = road.under(wheel, [x[i], y[i]], [vx[i], vy[i]]);
        rows[0][i] = patch.height;
        rows[1][i] = patch.rise;
    }
    rows
}
