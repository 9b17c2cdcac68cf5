//! The linear single-track car: m(v' + V r) = F_f + F_r; I r' = a F_f - b F_r.
//!
//! Equations: Rajamani, *Vehicle Dynamics and Control*, 2nd ed. 2012, section 2.3; Abe, *Vehicle
//! Handling Dynamics*, ch. 3; Pacejka, *Tire and Vehicle Dynamics*, ch. 1 (from memory).

use axletree_scalar::Real;
use nalgebra::{Complex, DMatrix, DVector};

/// Parameters.
#[derive(Clone, Copy, Debug)]
pub struct SingleTrack {
    /// Mass `[kg]`.
    pub mass: f64,
    /// Yaw inertia `[kg*m^2]`.
    pub yaw_inertia: f64,
    /// Distance from the center of mass to the front axle `[m]`.
    pub a: f64,
    /// Distance from the center of mass to the rear axle `[m]`.
    pub b: f64,
    /// Cornering stiffness of the front axle `[N/rad]`.
    pub front: f64,
    /// Cornering stiffness of the rear axle `[N/rad]`.
    pub rear: f64,
}

/// After Rajamani 2012, ch. 2-3 (recalled).
pub const RAJAMANI: SingleTrack = SingleTrack {
    mass: 1573.0,
    yaw_inertia: 2873.0,
    a: 1.10,
    b: 1.58,
    front: 160_000.0,
    rear: 160_000.0,
};

/// After Abe 2009/2015, ch. 3 (recalled).
pub const ABE: SingleTrack = SingleTrack {
    mass: 1500.0,
    yaw_inertia: 2500.0,
    a: 1.10,
    b: 1.60,
    front: 110_000.0,
    rear: 120_000.0,
};

impl SingleTrack {
    /// Wheelbase `[m]`.
    pub fn wheelbase(&self) -> f64 {
        self.a + self.b
    }

    /// Understeer gradient: steer = L/R + K a_y [rad s^2/m].
    pub fn understeer(&self) -> f64 {
        self.mass * (self.b * self.rear - self.a * self.front)
            / (self.wheelbase() * self.front * self.rear)
    }

    /// States (v_y, r), input road-wheel angle.
    pub fn matrices(&self, v: f64) -> (DMatrix<f64>, DVector<f64>) {
        let Self {
            mass: m,
            yaw_inertia: i,
            a,
            b,
            front: cf,
            rear: cr,
        } = *self;
        (
            DMatrix::from_row_slice(
                2,
                2,
                &[
                    -(cf + cr) / (m * v),
                    -v - (a * cf - b * cr) / (m * v),
                    -(a * cf - b * cr) / (i * v),
                    -(a * a * cf + b * b * cr) / (i * v),
                ],
            ),
            DVector::from_row_slice(&[cf / m, a * cf / i]),
        )
    }

    /// With a first-order lag of the tires of relaxation length sigma: states (v_y, r, F_f, F_r).
    pub fn with_lag(&self, v: f64, sigma: f64) -> (DMatrix<f64>, DVector<f64>) {
        let (m, i, a, b) = (self.mass, self.yaw_inertia, self.a, self.b);
        let (cf, cr, w) = (self.front, self.rear, v / sigma);
        (
            DMatrix::from_row_slice(
                4,
                4,
                &[
                    0.0,
                    -v,
                    1.0 / m,
                    1.0 / m,
                    0.0,
                    0.0,
                    a / i,
                    -b / i,
                    -w * cf / v,
                    -w * cf * a / v,
                    -w,
                    0.0,
                    -w * cr / v,
                    w * cr * b / v,
                    0.0,
                    -w,
                ],
            ),
            DVector::from_row_slice(&[0.0, 0.0, w * cf, 0.0]),
        )
    }

    /// Steady (v_y, r) per road-wheel angle.
    #[expect(
        clippy::missing_panics_doc,
        reason = "a wrong call is a mistake of the caller"
    )]
    pub fn steady(&self, v: f64) -> [f64; 2] {
        let (a, b) = self.matrices(v);
        let x = a.lu().solve(&-b).unwrap();
        [x[0], x[1]]
    }
}

/// Gain and phase `[deg]` of `c x + d u` for x' = A x + B u.
#[expect(
    clippy::missing_panics_doc,
    reason = "a wrong call is a mistake of the caller"
)]
pub fn response(a: &DMatrix<f64>, b: &DVector<f64>, c: &[f64], d: f64, hertz: f64) -> (f64, f64) {
    let n = a.nrows();
    let s = Complex::new(0.0, std::f64::consts::TAU * hertz);
    let system = DMatrix::from_fn(n, n, |i, j| {
        (if i == j { s } else { Complex::new(0.0, 0.0) }) - a[(i, j)]
    });
    let x = system.lu().solve(&b.map(|v| Complex::new(v, 0.0))).unwrap();
    let y = c
        .iter()
        .zip(x.iter())
        .map(|(c, x)| x * *c)
        .sum::<Complex<f64>>()
        + d;
    (
        Real::hypot(y.re, y.im),
        Real::atan2(y.im, y.re).to_degrees(),
    )
}

/// Eigenvalues with non-negative imaginary part, largest real part first.
pub fn modes(a: &DMatrix<f64>) -> Vec<(f64, f64)> {
    let mut m: Vec<(f64, f64)> = a
        .complex_eigenvalues()
        .iter()
        .filter(|e| e.im >= -1e-9)
        .map(|e| (e.re, e.im))
        .collect();
    m.sort_by(|p, q| q.0.total_cmp(&p.0));
    m
}
