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
//! gives every displacement per unit load. Loads: lateral and longitudinal force at the contact
//! (brakes on the carrier), longitudinal force at the wheel center (a wheel that passes no torque
//! to its carrier: drive with the differential on the body, rolling resistance), aligning moment
//! about the vertical, brake torque about the wheel's axis. Displacements are those of the
//! carrier's point that the force acts on, so that matrices of the same point are symmetric
//! (Maxwell). Toe and tilt are the angles of the wheel's axis, which the carrier turns from the
//! static alignment.

use axletree_scalar::Vec3;
use nalgebra::{DMatrix, DVector};

use crate::axle_linkage::AxleLinkage;
use crate::compliance::matrices::{ByWheel, Compliance, EndCompliance};
use crate::compliance::network::Network;
use crate::corner_linkage::CornerLinkage;
use crate::error::LinkageError;
use crate::parts::Subframe;
use crate::pose::Angles;
use crate::solve::Solver;

/// Loads of each wheel: lateral, longitudinal at the center, longitudinal at the patch, aligning
/// moment, brake torque.
const LOADS: usize = 5;

/// A wheel of the network.
#[derive(Clone, Copy)]
struct LoadedWheel {
    /// Index of the body that carries it.
    body: usize,
    center: Vec3<f64>,
    contact: Vec3<f64>,
    /// Unit vector along its axis, to the left.
    axis: Vec3<f64>,
}

/// Load vectors of both wheels, then the torque on the housing of the differential.
fn load_columns(net: &Network, wheels: &[LoadedWheel; 2], housing: Option<usize>) -> DMatrix<f64> {
    let mut loads = DMatrix::zeros(net.row().len(), 2 * LOADS + 1);
    let forward = Vec3([1.0, 0.0, 0.0]);
    let left = Vec3([0.0, 1.0, 0.0]);
    let up = Vec3([0.0, 0.0, 1.0]);
    for (w, wheel) in wheels.iter().enumerate() {
        let on = Some(wheel.body);
        let mut columns: [DVector<f64>; LOADS] = std::array::from_fn(|_| net.row());
        net.add_force(&mut columns[0], on, wheel.contact, left, 1.0);
        net.add_force(&mut columns[1], on, wheel.center, forward, 1.0);
        net.add_force(&mut columns[2], on, wheel.contact, forward, 1.0);
        Network::add_moment(&mut columns[3], on, up, 1.0);
        // The brake slows the wheel and turns its carrier forward.
        Network::add_moment(&mut columns[4], on, wheel.axis, 1.0);
        for (k, column) in columns.iter().enumerate() {
            loads.set_column(LOADS * w + k, column);
        }
    }
    let mut torque = net.row();
    Network::add_moment(&mut torque, housing, left, 1.0);
    loads.set_column(2 * LOADS, &torque);
    loads
}

/// Compliance of two wheels; `housing` is the body that carries the differential.
fn end_compliance(
    net: &Network,
    wheels: &[LoadedWheel; 2],
    housing: Option<usize>,
) -> Result<EndCompliance, LinkageError> {
    let x = net.solve(&load_columns(net, wheels, housing))?;
    // Displacement of the center and turn of a body by a load.
    let part = |row: usize, load: usize| Vec3(std::array::from_fn(|a| x[(row + a, load)]));
    let by_wheel = |f: &dyn Fn(&LoadedWheel, usize) -> f64| -> ByWheel {
        std::array::from_fn(|i| std::array::from_fn(|j| f(&wheels[i], LOADS * j)))
    };
    let angles = |load: usize, of: &dyn Fn(Angles<f64>) -> f64| {
        by_wheel(&|wheel, first| {
            let turn = part(6 * wheel.body + 3, first + load);
            of(Angles::rates(wheel.axis, turn))
        })
    };
    let toe = |load: usize| angles(load, &|turned| turned.yaw);
    let tilt = |load: usize| angles(load, &|turned| turned.roll);
    let displacement = |load: usize, at_contact: bool, axis: usize| {
        by_wheel(&|wheel, first| {
            let at = if at_contact {
                wheel.contact
            } else {
                wheel.center
            };
            let [v, w] = [0, 3].map(|at| part(6 * wheel.body + at, first + load));
            (v + w.cross(at - net.about[wheel.body])).0[axis]
        })
    };
    Ok(EndCompliance {
        wheels: Compliance {
            toe_lateral: toe(0),
            toe_longitudinal: toe(1),
            toe_aligning: toe(3),
            toe_brake: toe(4),
            tilt_lateral: tilt(0),
            lateral: displacement(0, true, 1),
            longitudinal: displacement(1, false, 0),
        },
        tilt_longitudinal: tilt(1),
        toe_patch: toe(2),
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
        let [x, y, z] = self.center;
        let wheels = [self.half_track, -self.half_track].map(|left| LoadedWheel {
            body: 0,
            center: Vec3([x, y + left, z]),
            contact: Vec3([x, y + left, 0.0]),
            axis: Vec3([0.0, 1.0, 0.0]),
        });
        end_compliance(&net, &wheels, Some(0))
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
        let corners = [(self, solver), (&right, &other)];
        let wheels = [0, 1].map(|i| {
            let (corner, solver) = corners[i];
            LoadedWheel {
                body: net.first[i],
                center: Vec3(corner.center),
                contact: Vec3(corner.contact()),
                axis: corner.wheel(&solver.start).axis(),
            }
        });
        end_compliance(&net, &wheels, net.subframe)
    }
}
