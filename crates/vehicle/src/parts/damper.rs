//! A digressive damper with an adjuster.
//!
//! Force against its speed v, compression positive, with one set of figures for bump and one for
//! rebound:
//!
//! ```text
//! F = c_high v + (c_low - c_high) v / sqrt(1 + (v/v_knee)^2)
//! ```
//!
//! The slope is `c_low` at rest and tends to `c_high`; a click of the adjuster scales the whole
//! curve of its sense. The shape is our own choice of a smooth digressive curve.

/// One sense of a damper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DamperCurve {
    /// Slope at small speed `[N*s/m]`.
    pub low: f64,
    /// Slope at large speed `[N*s/m]`.
    pub high: f64,
    /// Speed at which the slope turns `[m/s]`.
    pub knee: f64,
}

impl DamperCurve {
    /// The curve after some clicks that each change the force by a share `[-]`.
    pub fn set(self, clicks: f64, per_click: f64) -> Self {
        let factor = 1.0 + clicks * per_click;
        DamperCurve {
            low: self.low * factor,
            high: self.high * factor,
            knee: self.knee,
        }
    }

    /// The force at a speed `[m/s]`. `[N]`
    pub fn force(&self, speed: f64) -> f64 {
        let ratio = speed / self.knee;
        self.high * speed + (self.low - self.high) * speed / (1.0 + ratio * ratio).sqrt()
    }
}
