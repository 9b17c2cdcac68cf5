//! Kane's equations: the mass matrix, the forces on the coordinates, and their solution.
//!
//! Unknowns are the accelerations `w' = (v', w', s'')`. A body with center c, partial velocities
//! `c_i`, partial angular velocities `W_i`, mass m and inertia J adds
//!
//! ```text
//! M_vv = m 1      M_vw = -[m c]x       M_vs = m c_i
//!                 M_ww = m (c.c 1 - c c^T) + J      M_ws = c x m c_i + J W_i
//!                                      M_ss = m c_i . c_j + W_i . J W_j
//! ```
//!
//! and, on the right-hand side, minus the same products with its bias acceleration (gravity counted
//! as an upward acceleration g k), with `J w' + w x J w` and the couple that turns its spinning
//! wheels, `I_s Omega (w x n)`. Kane and Levinson, *Dynamics: Theory and Applications*, 1985, ch. 4
//! and 6 (from memory). Only travels of the same axle couple directly, so the four of them are
//! eliminated first, in blocks of two, and a 6 x 6 system remains.

use axletree_scalar::{Mat3, Real, Vec3};

use super::carrier::Carrier;
use super::frame::BodyFrame;
use super::numbers::{Sprung, Unsprung};

/// Mass matrix and right-hand side, summed over the bodies.
#[derive(Clone, Copy, Debug)]
pub struct Equations<T> {
    mass: T,
    /// First moment of mass about O `[kg*m]`.
    first: Vec3<T>,
    /// Second moment about O: xx, yy, zz, xy, xz, yz `[kg*m^2]`.
    second: [T; 6],
    /// Coupling of each travel with the velocity and with the rate of the body.
    to_velocity: [Vec3<T>; 4],
    to_rate: [Vec3<T>; 4],
    /// Travels among themselves: the diagonal, and left with right (or heave with roll) of each
    /// end.
    diagonal: [T; 4],
    off_diagonal: [T; 2],
    force: Vec3<T>,
    moment: Vec3<T>,
    on_travel: [T; 4],
}

/// Accelerations of the coordinates.
#[derive(Clone, Copy, Debug)]
pub struct Accelerations<T> {
    /// Time derivative of the body-axes velocity of O `[m/s^2]`.
    pub velocity: Vec3<T>,
    /// Of the body's angular velocity `[rad/s^2]`.
    pub rate: Vec3<T>,
    /// Of the travel rates `[m/s^2 or rad/s^2]`.
    pub travel: [T; 4],
}

impl<T: Real> Equations<T> {
    /// The sprung body alone.
    #[inline(always)]
    pub fn sprung(frame: &BodyFrame<T>, body: &Sprung<T>, gravity: T) -> Self {
        let c = Vec3(body.center);
        let m = body.mass;
        let (v, w) = (frame.velocity, frame.rate);
        let bias = frame.up.times_plus(gravity, w.cross(v + w.cross(c)));
        let [xx, yy, zz, xy, xz, yz] = body.inertia;
        let h = Mat3([Vec3([xx, xy, xz]), Vec3([xy, yy, yz]), Vec3([xz, yz, zz])]) * w;
        let pull = bias.times(m);
        let zero = T::zero();
        let mut equations = Equations {
            mass: m,
            first: c.times(m),
            second: body.inertia,
            to_velocity: [Vec3::zero(); 4],
            to_rate: [Vec3::zero(); 4],
            diagonal: [zero; 4],
            off_diagonal: [zero; 2],
            force: -pull,
            moment: -(c.cross(pull) + w.cross(h)),
            on_travel: [zero; 4],
        };
        equations.add_second_moment(c, m);
        equations
    }

    #[inline(always)]
    fn add_second_moment(&mut self, c: Vec3<T>, m: T) {
        let [x, y, z] = c.0;
        let (mx, my, mz) = (m * x, m * y, m * z);
        let (yy, zz) = (my * y, mz * z);
        let [jx, jy, jz, xy, xz, yz] = self.second;
        self.second = [
            jx + (yy + zz),
            mx.mul_add(x, jy + zz),
            mx.mul_add(x, jz + yy),
            (-mx).mul_add(y, xy),
            (-mx).mul_add(z, xz),
            (-my).mul_add(z, yz),
        ];
    }

    /// Adds a carrier whose first travel is number `first`, with the spin momentum of its wheels
    /// (`I_s Omega`, summed) about its axis `[N*m*s]`.
    #[inline(always)]
    pub fn add_carrier<const D: usize>(
        &mut self,
        frame: &BodyFrame<T>,
        carrier: &Carrier<T, D>,
        body: &Unsprung<T>,
        spin_momentum: T,
        gravity: T,
        first: usize,
    ) {
        let (c, n, m) = (carrier.center, carrier.axis, body.mass);
        let (jd, ja) = (body.inertia_diametral, body.inertia_axial);
        let axial = ja - jd;

        let pull = frame
            .up
            .times_plus(gravity, carrier.bias_acceleration)
            .times(m);
        let w = carrier.rate;
        let couple = inertia_times(carrier.bias_turn, n, jd, axial)
            + w.cross(n.times_plus(spin_momentum, inertia_times(w, n, jd, axial)));
        self.force -= pull;
        self.moment -= c.cross(pull) + couple;

        self.mass += m;
        self.first = c.times_plus(m, self.first);
        self.add_second_moment(c, m);
        let [nx, ny, nz] = n.0;
        let (kx, ky, kz) = (axial * nx, axial * ny, axial * nz);
        let [xx, yy, zz, xy, xz, yz] = self.second;
        self.second = [
            kx.mul_add(nx, xx + jd),
            ky.mul_add(ny, yy + jd),
            kz.mul_add(nz, zz + jd),
            kx.mul_add(ny, xy),
            kx.mul_add(nz, xz),
            ky.mul_add(nz, yz),
        ];

        for i in 0..D {
            let (ci, wi) = (carrier.center_by[i], carrier.turn_by[i]);
            let (mc, jw) = (ci.times(m), inertia_times(wi, n, jd, axial));
            self.to_velocity[first + i] = mc;
            self.to_rate[first + i] = c.cross(mc) + jw;
            self.diagonal[first + i] = mc.dot(ci) + jw.dot(wi);
            self.on_travel[first + i] -= pull.dot(ci) + couple.dot(wi);
            if i == 1 {
                self.off_diagonal[first / 2] =
                    mc.dot(carrier.center_by[0]) + jw.dot(carrier.turn_by[0]);
            }
        }
    }

    /// Adds a force at a carrier's center `[N]` and a moment on it `[N*m]`.
    #[inline(always)]
    pub fn load_carrier<const D: usize>(
        &mut self,
        carrier: &Carrier<T, D>,
        force: Vec3<T>,
        moment: Vec3<T>,
        first: usize,
    ) {
        self.load_body(carrier.center, force, moment);
        for i in 0..D {
            self.on_travel[first + i] +=
                force.dot(carrier.center_by[i]) + moment.dot(carrier.turn_by[i]);
        }
    }

    /// Adds a force at a point of the body `[N]` and a moment on it `[N*m]`.
    #[inline(always)]
    pub fn load_body(&mut self, at: Vec3<T>, force: Vec3<T>, moment: Vec3<T>) {
        self.force += force;
        self.moment += at.cross(force) + moment;
    }

    /// Adds a force on a travel, between body and carrier `[N or N*m]`.
    #[inline(always)]
    pub fn load_travel(&mut self, travel: usize, force: T) {
        self.on_travel[travel] += force;
    }

    /// Solves for the accelerations.
    #[inline(always)]
    pub fn solve(&self) -> Accelerations<T> {
        let z = T::zero();
        let m = self.mass;
        let [sx, sy, sz] = self.first.0;
        let [xx, yy, zz, xy, xz, yz] = self.second;
        // Lower triangle, rows (v, w).
        let mut a = [
            [m, z, z, z, z, z],
            [z, m, z, z, z, z],
            [z, z, m, z, z, z],
            [z, -sz, sy, xx, z, z],
            [sz, z, -sx, xy, yy, z],
            [-sy, sx, z, xz, yz, zz],
        ];
        let mut b = six(self.force, self.moment);

        // Eliminate the travels of each end: X = D^-1 B^T with D the 2 x 2 block.
        let mut column = [[z; 6]; 4];
        let mut scaled = [[z; 6]; 4];
        let mut free = [z; 4];
        for end in 0..2 {
            let (i, j) = (2 * end, 2 * end + 1);
            let (p, q, r) = (self.diagonal[i], self.off_diagonal[end], self.diagonal[j]);
            let inverse = p.mul_add(r, -(q * q)).recip();
            let (ip, iq, ir) = (r * inverse, -q * inverse, p * inverse);
            let ci = six(self.to_velocity[i], self.to_rate[i]);
            let cj = six(self.to_velocity[j], self.to_rate[j]);
            for k in 0..6 {
                scaled[i][k] = ip.mul_add(ci[k], iq * cj[k]);
                scaled[j][k] = iq.mul_add(ci[k], ir * cj[k]);
            }
            let (fi, fj) = (self.on_travel[i], self.on_travel[j]);
            free[i] = ip.mul_add(fi, iq * fj);
            free[j] = iq.mul_add(fi, ir * fj);
            column[i] = ci;
            column[j] = cj;
        }
        for i in 0..6 {
            for t in 0..4 {
                let from = -column[t][i];
                b[i] = from.mul_add(free[t], b[i]);
                for j in 0..=i {
                    a[i][j] = from.mul_add(scaled[t][j], a[i][j]);
                }
            }
        }

        let x = solve_symmetric(a, b);
        let mut travel = free;
        for t in 0..4 {
            for k in 0..6 {
                travel[t] = (-scaled[t][k]).mul_add(x[k], travel[t]);
            }
        }
        Accelerations {
            velocity: Vec3([x[0], x[1], x[2]]),
            rate: Vec3([x[3], x[4], x[5]]),
            travel,
        }
    }
}

/// Inertia of a body of revolution times a vector: `J x = J_d x + (J_a - J_d) n (n . x)`.
#[inline(always)]
fn inertia_times<T: Real>(x: Vec3<T>, n: Vec3<T>, diametral: T, axial_excess: T) -> Vec3<T> {
    n.times_plus(axial_excess * n.dot(x), x.times(diametral))
}

#[inline(always)]
fn six<T: Real>(a: Vec3<T>, b: Vec3<T>) -> [T; 6] {
    [a.x(), a.y(), a.z(), b.x(), b.y(), b.z()]
}

/// Solves `a x = b` for a symmetric positive definite `a` given by its lower triangle: L D L^T.
#[inline(always)]
fn solve_symmetric<T: Real, const N: usize>(mut a: [[T; N]; N], mut b: [T; N]) -> [T; N] {
    let mut inverse = [T::zero(); N];
    for j in 0..N {
        // Column j below the diagonal holds L D until it is scaled.
        for k in 0..j {
            let factor = -(a[j][k] * inverse[k]);
            for i in j..N {
                a[i][j] = a[i][k].mul_add(factor, a[i][j]);
            }
        }
        inverse[j] = a[j][j].recip();
    }
    // a[i][k] = L[i][k] D[k]; forward, then backward.
    for i in 0..N {
        for k in 0..i {
            b[i] = a[i][k].mul_add(-(b[k] * inverse[k]), b[i]);
        }
    }
    for i in (0..N).rev() {
        let mut sum = b[i];
        for k in i + 1..N {
            sum = a[k][i].mul_add(-b[k], sum);
        }
        b[i] = sum * inverse[i];
    }
    b
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn val_symmetric_solution_agrees_with_nalgebra() {
        let g = nalgebra::SMatrix::<f64, 6, 6>::from_fn(|i, j| {
            Real::sin((7 * i + 3 * j * j + 1) as f64 * 0.37) + if i == j { 2.0 } else { 0.0 }
        });
        let m = g * g.transpose();
        let rhs = nalgebra::SVector::<f64, 6>::from_fn(|i, _| i as f64 - 2.3);
        let want = m.cholesky().unwrap().solve(&rhs);
        let lower = std::array::from_fn(|i| std::array::from_fn(|j| m[(i, j)]));
        let got = solve_symmetric(lower, rhs.into());
        for i in 0..6 {
            assert!((got[i] - want[i]).abs() < 1e-12 * want.amax(), "{i}");
        }
    }
}
