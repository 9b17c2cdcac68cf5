//! Compliance of an axle or a pair of corners, quasi-static.
//!
//! Carrier, hinged members and the subframe, where there is one, are rigid bodies with six small
//! displacements each, connected by the stiffnesses of the bushings at static:
//!
//! - a link is a spring along its length, its two ends in series;
//! - both bushings of a member's hinge resist displacement and turn;
//! - a joint resists displacement in its blocked directions (a pivot in all directions) and turn;
//! - a subframe is supported by its mounts, in series with all that is fixed to it.
//!
//! The travel is held: the height of the wheel center, or height and roll of the axle, relative to
//! the body. With the stiffness matrix K, the rows A of the coordinates held, and a load f,
//!
//! ```text
//! [K A^T; A 0] [x; reaction] = [f; 0]
//! ```
//!
//! gives every displacement per unit load. Loads: lateral and longitudinal force at the patch fixed
//! to the carrier (brakes on the carrier), longitudinal force at the wheel center (a wheel that
//! passes no torque to its carrier: drive with the differential on the body, rolling resistance),
//! aligning moment, brake torque. Displacements are those of the point the force acts on, so that
//! matrices of the same point are symmetric (Maxwell).

use axletree_scalar::Vec3;
use nalgebra::{DMatrix, DVector};

use crate::axle_linkage::AxleLinkage;
use crate::compliance::matrices::{Compliance, EndCompliance};
use crate::compliance::network::Network;
use crate::corner_linkage::CornerLinkage;
use crate::error::LinkageError;
use crate::parts::{Subframe, Triple};
use crate::solve::Solver;

/// Loads of each wheel: lateral, longitudinal at the center, longitudinal at the patch, aligning
/// moment, brake torque.
const LOADS: usize = 5;

/// A wheel: the index of the body that carries it, its center, its patch.
type LoadedWheel = (usize, Vec3<f64>, Vec3<f64>);

/// Load vectors of both wheels, then the torque on the housing of the differential.
fn load_columns(net: &Network, wheels: &[LoadedWheel; 2], housing: Option<usize>) -> DMatrix<f64> {
    let mut loads = DMatrix::zeros(net.row().len(), 2 * LOADS + 1);
    let forward = Vec3([1.0, 0.0, 0.0]);
    let left = Vec3([0.0, 1.0, 0.0]);
    let up = Vec3([0.0, 0.0, 1.0]);
    for (w, &(body, center, patch)) in wheels.iter().enumerate() {
        let on = Some(body);
        let mut columns: [DVector<f64>; LOADS] = std::array::from_fn(|_| net.row());
        net.add_force(&mut columns[0], on, patch, left, 1.0);
        net.add_force(&mut columns[1], on, center, forward, 1.0);
        net.add_force(&mut columns[2], on, patch, forward, 1.0);
        Network::add_moment(&mut columns[3], on, up, 1.0);
        // The brake slows the wheel and turns its carrier forward, about +y.
        Network::add_moment(&mut columns[4], on, left, 1.0);
        for (k, column) in columns.iter().enumerate() {
            loads.set_column(LOADS * w + k, column);
        }
    }
    let mut torque = net.row();
    Network::add_moment(&mut torque, housing, left, 1.0);
    loads.set_column(2 * LOADS, &torque);
    loads
}

/// Compliance of two wheels, given by the indices of the bodies that carry them and their centers;
/// `housing` is the body that carries the differential.
fn end_compliance(
    net: &Network,
    wheels: [(usize, Triple); 2],
    housing: Option<usize>,
) -> Result<EndCompliance, LinkageError> {
    let wheels =
        wheels.map(|(body, center)| (body, Vec3(center), Vec3([center[0], center[1], 0.0])));
    let x = net.solve(&load_columns(net, &wheels, housing))?;
    // Turn of a wheel by a load of a wheel, and displacement of a point of it.
    let by_wheel = |f: &dyn Fn(LoadedWheel, usize) -> f64| -> [[f64; 2]; 2] {
        std::array::from_fn(|i| std::array::from_fn(|j| f(wheels[i], LOADS * j)))
    };
    let turn = |load: usize, axis: usize| {
        by_wheel(&|(body, _, _), first| x[(6 * body + 3 + axis, first + load)])
    };
    let displacement = |load: usize, at_patch: bool, axis: usize| {
        by_wheel(&|(body, center, patch), first| {
            let p = if at_patch { patch } else { center };
            let v = Vec3(std::array::from_fn(|a| x[(6 * body + a, first + load)]));
            let w = Vec3(std::array::from_fn(|a| x[(6 * body + 3 + a, first + load)]));
            (v + w.cross(p - net.about[body])).0[axis]
        })
    };
    Ok(EndCompliance {
        wheels: Compliance {
            toe_lateral: turn(0, 2),
            toe_longitudinal: turn(1, 2),
            toe_aligning: turn(3, 2),
            toe_brake: turn(4, 2),
            tilt_lateral: turn(0, 0),
            lateral: displacement(0, true, 1),
            longitudinal: displacement(1, false, 0),
        },
        tilt_longitudinal: turn(1, 0),
        toe_patch: turn(2, 2),
        longitudinal_patch: displacement(2, true, 0),
        windup: housing.map_or(0.0, |body| x[(6 * body + 4, 2 * LOADS)]),
    })
}

impl AxleLinkage {
    /// Compliance of the axle.
    ///
    /// # Errors
    /// [`LinkageError::NoStiffness`] for bushings that leave a motion without stiffness.
    pub fn compliance(&self, solver: &Solver) -> Result<EndCompliance, LinkageError> {
        let net = Network::new(&[solver], None)?;
        let wheel = |side: f64| {
            let mut p = self.center;
            p[1] += side * self.half_track;
            (0, p)
        };
        end_compliance(&net, [wheel(1.0), wheel(-1.0)], Some(0))
    }
}

impl CornerLinkage {
    /// Compliance of this corner (left) and its mirror image, on a subframe if there is one.
    ///
    /// # Errors
    /// [`LinkageError::NoStiffness`] for bushings that leave a motion without stiffness; errors of
    /// the subframe's mounts.
    pub fn compliance(
        &self,
        solver: &Solver,
        subframe: Option<&Subframe>,
    ) -> Result<EndCompliance, LinkageError> {
        let right = self.mirrored();
        let other = right.solver()?;
        let net = Network::new(&[solver, &other], subframe)?;
        let wheels = [(net.first[0], self.center), (net.first[1], right.center)];
        end_compliance(&net, wheels, net.subframe)
    }
}
