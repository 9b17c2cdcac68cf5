//! The force curve along one direction.
//!
//! The sine version of the Magic Formula (Bakker, Nyborg and Pacejka, *Tyre Modelling for Use in
//! Vehicle Dynamics Studies*, SAE 870421, 1987; Pacejka, *Tire and Vehicle Dynamics*, 3rd ed. 2012,
//! section 4.3.1), relative to the largest force D and without shifts:
//!
//! ```text
//! f(s) = sin(C atan(B s - E (B s - atan(B s))))        C shape, E curvature
//! ```
//!
//! The slip s is normalized to be 1 at the peak, which fixes B: the argument of the sine is pi/2
//! there,
//!
//! ```text
//! B (1 - E) + E atan B = tan(pi/(2 C))                 C > 1, E < 1
//! ```
//!
//! With slip stiffness K, the physical slip is sigma = s B C D/K, so that dF/dsigma = K at zero
//! slip whatever the shape. The curve is odd; it carries no shifts for ply steer and conicity,
//! which differ between tires of one kind and with the side they are mounted on.

use axletree_scalar::Real;

use crate::numbers::Direction;

impl<T: Real> Direction<T> {
    /// The force relative to its largest, f(s), at a normalized slip s, 1 at the peak. `[-]`
    #[inline(always)]
    pub fn curve(&self, s: T) -> T {
        let x = self.steepness * s;
        let bent = (-self.curvature).mul_add(x - x.atan(), x);
        (self.shape * bent.atan()).sin()
    }
}

/// The factor B for which the curve of shape C and curvature E has its peak at slip 1. `[-]`
///
/// The left side of the condition has the slope 1 - E B^2/(1 + B^2) > 0 in B, so there is one root.
/// For E < 0 it lies below tan(pi/(2 C)), else below tan(pi/(2 C))/(1 - E). Newton's method, kept
/// in that bracket, finds it.
///
/// ```
/// use axletree_tire::steepness;
///
/// // Without curvature, B = tan(pi/(2 C)).
/// assert!((steepness(1.5, 0.0) - 3.0_f64.sqrt()).abs() < 1e-14);
/// ```
pub fn steepness(shape: f64, curvature: f64) -> f64 {
    let target = Real::tan(std::f64::consts::FRAC_PI_2 / shape);
    let (mut low, mut high) = (0.0, target / (1.0 - curvature.max(0.0)));
    let mut b = high;
    for _ in 0..200 {
        let value = b * (1.0 - curvature) + curvature * Real::atan(b) - target;
        if value > 0.0 {
            high = b;
        } else {
            low = b;
        }
        let slope = 1.0 - curvature * b * b / (1.0 + b * b);
        let newton = b - value / slope;
        let next = if newton > low && newton < high {
            newton
        } else {
            0.5 * (low + high)
        };
        if (next - b).abs() <= 1e-15 * b {
            return next;
        }
        b = next;
    }
    b
}
