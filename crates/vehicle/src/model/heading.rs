//! From body axes to heading axes.

use axletree_scalar::Real;

/// A vector of body axes in heading axes: level, x along the heading, y to the left, z up.
///
/// Roll first, then pitch: with `d = y sin(roll) + z cos(roll)`,
///
/// ```text
/// forward = x cos(pitch) + d sin(pitch)
/// left    = y cos(roll) - z sin(roll)
/// up      = d cos(pitch) - x sin(pitch)
/// ```
///
/// ```
/// use axletree_vehicle::model::heading_axes;
///
/// // A car that climbs along its own axis, nose up by 0.1 rad, goes forward and up.
/// let [forward, left, up] = heading_axes(-0.1, 0.0, [10.0, 0.0, 0.0]);
/// assert!((forward - 9.95).abs() < 1e-3 && left == 0.0 && (up - 0.998).abs() < 1e-3);
/// ```
#[inline(always)]
pub fn heading_axes<T: Real>(pitch: T, roll: T, [x, y, z]: [T; 3]) -> [T; 3] {
    let (sp, cp) = pitch.sin_cos();
    let (sr, cr) = roll.sin_cos();
    let down = sr * y + cr * z;
    [cp * x + sp * down, cr * y - sr * z, cp * down - sp * x]
}
