//! Springs in series: bushings and links with what they hold.
use axletree_scalar::Real;

/// Rate of springs in series, `1 / sum(1/k)`; an absent one does not yield [N/m].
pub fn in_series(rates: &[Option<f64>]) -> f64 {
    let compliance: f64 = rates.iter().flatten().map(|rate| rate.recip()).sum();
    compliance.recip()
}

/// Rate along a direction that makes an angle [rad] with a link of the given axial rate [N/m]: the
/// link takes `F / cos` and moves by `cos` of its own yield, so `k cos^2`. [N/m]
pub fn across(axial_rate: f64, angle: f64) -> f64 {
    axial_rate * Real::sq(Real::cos(angle))
}
