//! Springs in series: springs with their mounts.

/// Rate of springs in series, `1 / sum(1/k)`; an absent one is rigid `[N/m]`.
pub fn in_series(rates: &[Option<f64>]) -> f64 {
    let compliance: f64 = rates.iter().flatten().map(|rate| rate.recip()).sum();
    compliance.recip()
}
