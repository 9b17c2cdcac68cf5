//! States of car and controls as one array, and the end of a drive.

use axletree_vehicle::model::layout::STATES;

use crate::outcome::Ending;

/// End of a drive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drive<const N: usize> {
    /// Outcome and time.
    pub ending: Ending,
    /// The last finite state of car and controls.
    pub state: [f64; N],
    /// Steps of the time grid taken; a fixed one costs four evaluations.
    pub steps: usize,
}

/// State of car and controls as one array.
///
/// # Panics
/// If N is not the sum of the two lengths.
pub fn join_states<const K: usize, const N: usize>(
    car: &[f64; STATES],
    own: &[f64; K],
) -> [f64; N] {
    assert_eq!(N, STATES + K);
    let mut x = [0.0; N];
    x[..STATES].copy_from_slice(car);
    x[STATES..].copy_from_slice(own);
    x
}

/// The two parts of a joined state.
#[inline(always)]
#[expect(
    clippy::missing_panics_doc,
    reason = "a wrong call is a mistake of the caller"
)]
pub fn split_states<const K: usize, const N: usize>(x: &[f64; N]) -> (&[f64; STATES], &[f64; K]) {
    let (car, own) = x.split_at(STATES);
    let both = (car.try_into(), own.try_into());
    match both {
        (Ok(car), Ok(own)) => (car, own),
        _ => panic!("{N} states are not {STATES} of a car and {K} of controls"),
    }
}
