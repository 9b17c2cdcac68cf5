//! Places of wheel centers, rounded.

/// A place to the nanometer. Every entry of a car moves the wheel centers a little, by the loads;
/// the links are not solved again for a move smaller than this.
pub(super) fn to_nanometer(place: f64) -> f64 {
    (place * 1e9).round() / 1e9
}
