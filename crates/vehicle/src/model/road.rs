//! The road under a wheel.

use axletree_scalar::Real;

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
