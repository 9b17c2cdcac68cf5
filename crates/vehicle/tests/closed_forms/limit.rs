//! Checks that a sequence of cars tends to a limit.

use axletree_scalar::Real;

/// Asserts that the values found at growing `scales` tend to the expected ones in inverse
/// proportion to the scale: the difference falls by the ratio of the scales, and the value that the
/// last two scales extrapolate to (what is in inverse proportion removed) is the expected one
/// within `tolerance`, relative. Returns the differences.
pub fn assert_limit(
    what: &str,
    expected: &[f64],
    scales: &[f64],
    tolerance: f64,
    find: impl Fn(f64) -> Vec<f64>,
) -> Vec<f64> {
    let found: Vec<Vec<f64>> = scales.iter().map(|s| find(*s)).collect();
    let differences: Vec<f64> = found.iter().map(|v| difference(v, expected)).collect();
    for i in 1..scales.len() {
        let asked = scales[i - 1] / scales[i];
        let seen = differences[i] / differences[i - 1];
        assert!(
            (seen / asked - 1.0).abs() < 0.25,
            "{what}: differences {differences:?} at scales {scales:?} do not fall in proportion\n\
             found {found:?}\nexpected {expected:?}"
        );
    }
    // The set-up must not be at the limit already.
    assert!(differences[0] > 3.0 * tolerance, "{what}: {differences:?}");
    let (near, far) = (&found[scales.len() - 1], &found[scales.len() - 2]);
    let ratio = scales[scales.len() - 1] / scales[scales.len() - 2];
    for (i, want) in expected.iter().enumerate() {
        let reached = (ratio * near[i] - far[i]) / (ratio - 1.0);
        assert!(
            (reached - want).abs() <= tolerance * want.abs(),
            "{what}: value {i} tends to {reached}, expected {want}, relative difference {:e}\n\
             differences {differences:?}",
            (reached - want) / want
        );
    }
    println!("{what}: {differences:?} at {scales:?}");
    differences
}

/// Root mean square of the relative differences.
pub fn difference(found: &[f64], expected: &[f64]) -> f64 {
    assert_eq!(found.len(), expected.len());
    let sum: f64 = found
        .iter()
        .zip(expected)
        .map(|(f, e)| Real::sq((f - e) / e))
        .sum();
    (sum / expected.len() as f64).sqrt()
}

/// Asserts agreement within a relative tolerance, value by value.
pub fn assert_close(what: &str, found: &[f64], expected: &[f64], tolerance: f64) {
    assert_eq!(found.len(), expected.len(), "{what}");
    for (i, (f, e)) in found.iter().zip(expected).enumerate() {
        assert!(
            (f - e).abs() <= tolerance * e.abs(),
            "{what}: value {i} is {f}, expected {e}, relative difference {:e}",
            (f - e) / e
        );
    }
    println!("{what}: {:e}", difference(found, expected));
}
