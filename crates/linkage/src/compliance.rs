//! How a linkage yields under forces at the wheels, quasi-statically.
//!
//! Carrier, hinged members and, where there is one, the subframe are rigid bodies with six small
//! displacements each, joined by the rates of the bushings at static:
//!
//! - a link is a spring along its length, its two ends in series;
//! - the hinge of a member holds with both its bushings, against displacement and turn;
//! - a joint holds in its blocked directions (a pivot all round) and against turn;
//! - a subframe hangs on its mounts, in series with all that is fixed to it.
//!
//! The travel is held: the height of the wheel center, or height and roll of the axle, relative to the
//! body. With the stiffness matrix K, the rows A of what is held, and a load f,
//!
//! ```text
//! [K A^T; A 0] [x; reaction] = [f; 0]
//! ```
//!
//! gives every yield per unit load. Loads: lateral and longitudinal force at the patch fixed to the
//! carrier (brakes on the carrier), longitudinal force at the wheel center (a wheel that passes no
//! torque to its carrier: drive with the differential on the body, rolling resistance), aligning
//! moment, brake torque. Displacements are those of the point the force acts on, so that matrices of
//! the same point are symmetric (Maxwell).

use axletree_scalar::Vec3;
use nalgebra::{DMatrix, DVector};

use crate::bushing::Bushing;
use crate::curves::{AxleLinkage, CornerLinkage};
use crate::error::LinkageError;
use crate::mechanism::v3;
use crate::network::Network;
use crate::parts::Triple;
use crate::solve::Solver;

/// One mount of a subframe.
#[derive(Clone, Debug, PartialEq)]
pub struct Mount {
    /// Its name.
    pub name: String,
    /// Where it is [m, b].
    pub at: Triple,
    /// How it yields.
    pub bushing: Bushing,
    /// Direction of its sleeve [-, b].
    pub sleeve: Triple,
}

/// A subframe that carries both corners of an end.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Subframe {
    /// Its mounts on the body, both sides.
    pub mounts: Vec<Mount>,
}

/// A matrix `[of wheel][by wheel]`, left first.
pub type ByWheel = [[f64; 2]; 2];

/// How one end yields. Axes of the body: forces and displacements forward and left, moments and
/// angles by the right-hand rule, so that toe is positive to the left and tilt positive with the top
/// to the right on both sides.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct EndCompliance {
    /// Toe by lateral force at the patch [rad/N].
    pub toe_lateral: ByWheel,
    /// Toe by longitudinal force at the wheel center [rad/N].
    pub toe_longitudinal: ByWheel,
    /// Toe by aligning moment [rad/(N m)].
    pub toe_aligning: ByWheel,
    /// Toe by brake torque, positive when it slows a wheel that rolls forward [rad/(N m)].
    pub toe_brake: ByWheel,
    /// Tilt by lateral force at the patch [rad/N].
    pub tilt_lateral: ByWheel,
    /// Tilt by longitudinal force at the wheel center [rad/N].
    pub tilt_longitudinal: ByWheel,
    /// Lateral displacement of the patch by lateral force there [m/N].
    pub lateral: ByWheel,
    /// Longitudinal displacement of the wheel center by longitudinal force there [m/N].
    pub longitudinal: ByWheel,
    /// Toe by longitudinal force at the patch fixed to the carrier [rad/N].
    pub toe_patch: ByWheel,
    /// Longitudinal displacement of the patch fixed to the carrier by force there [m/N].
    pub longitudinal_patch: ByWheel,
    /// Wind-up: turn about the wheels' axis of what carries the differential, per torque about it: of
    /// an axle on its links, or of a subframe on its mounts; zero for corners on the body
    /// [rad/(N m)].
    pub windup: f64,
}

impl Network<'_> {
    /// Yields of the two wheels: which body carries each, its center and its patch.
    /// `housing` is the body that carries the differential.
    fn compliance(
        &self,
        wheels: [(usize, Triple); 2],
        housing: Option<usize>,
    ) -> Result<EndCompliance, LinkageError> {
        // Loads of each wheel: lateral, longitudinal at center, at patch, aligning, brake.
        const KINDS: usize = 5;
        let n = self.row().len();
        let mut loads = DMatrix::zeros(n, 2 * KINDS + 1);
        let forward = Vec3([1.0, 0.0, 0.0]);
        let left = Vec3([0.0, 1.0, 0.0]);
        let up = Vec3([0.0, 0.0, 1.0]);
        let points =
            wheels.map(|(body, center)| (body, v3(center), v3([center[0], center[1], 0.0])));
        for (w, &(body, center, patch)) in points.iter().enumerate() {
            let on = Some(body);
            let mut kinds: [DVector<f64>; KINDS] = std::array::from_fn(|_| self.row());
            self.force(&mut kinds[0], on, patch, left, 1.0);
            self.force(&mut kinds[1], on, center, forward, 1.0);
            self.force(&mut kinds[2], on, patch, forward, 1.0);
            Self::moment(&mut kinds[3], on, up, 1.0);
            // The brake slows the wheel and turns its carrier forward, about +y.
            Self::moment(&mut kinds[4], on, left, 1.0);
            for (k, column) in kinds.iter().enumerate() {
                loads.set_column(KINDS * w + k, column);
            }
        }
        let mut torque = self.row();
        Self::moment(&mut torque, housing, left, 1.0);
        loads.set_column(2 * KINDS, &torque);
        let x = self.solve(&loads)?;
        let mut c = EndCompliance {
            windup: housing.map_or(0.0, |body| x[(6 * body + 4, 2 * KINDS)]),
            ..EndCompliance::default()
        };
        for i in 0..2 {
            let (body, center, patch) = points[i];
            for j in 0..2 {
                let turn = |kind: usize, axis: usize| x[(6 * body + 3 + axis, KINDS * j + kind)];
                let at = |kind: usize, p: Vec3<f64>, axis: usize| {
                    let column = KINDS * j + kind;
                    let v = Vec3(std::array::from_fn(|a| x[(6 * body + a, column)]));
                    let w = Vec3(std::array::from_fn(|a| x[(6 * body + 3 + a, column)]));
                    (v + w.cross(p - self.about[body])).0[axis]
                };
                c.toe_lateral[i][j] = turn(0, 2);
                c.toe_longitudinal[i][j] = turn(1, 2);
                c.toe_patch[i][j] = turn(2, 2);
                c.toe_aligning[i][j] = turn(3, 2);
                c.toe_brake[i][j] = turn(4, 2);
                c.tilt_lateral[i][j] = turn(0, 0);
                c.tilt_longitudinal[i][j] = turn(1, 0);
                c.lateral[i][j] = at(0, patch, 1);
                c.longitudinal[i][j] = at(1, center, 0);
                c.longitudinal_patch[i][j] = at(2, patch, 0);
            }
        }
        Ok(c)
    }
}

impl AxleLinkage {
    /// How the axle yields.
    pub fn compliance(&self, solver: &Solver) -> Result<EndCompliance, LinkageError> {
        let net = Network::new(&[solver], None)?;
        let wheel = |side: f64| {
            let mut p = self.center;
            p[1] += side * self.half_track;
            (0, p)
        };
        net.compliance([wheel(1.0), wheel(-1.0)], Some(0))
    }
}

impl CornerLinkage {
    /// How this corner (left) and its mirror image yield, on a subframe if there is one.
    pub fn compliance(
        &self,
        solver: &Solver,
        subframe: Option<&Subframe>,
    ) -> Result<EndCompliance, LinkageError> {
        let right = self.mirrored();
        let other = right.solver()?;
        let net = Network::new(&[solver, &other], subframe)?;
        let wheels = [(net.first[0], self.center), (net.first[1], right.center)];
        net.compliance(wheels, net.subframe)
    }
}
