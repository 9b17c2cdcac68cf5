//! Bodies of a mechanism in one state, and the forces on them.

use axletree_scalar::{Mat3, Real, Vec3};

use crate::mechanism::state::{MEMBERS, MechanismState, PerUnknown};
use crate::parts::BodyId;

/// Hinge of a member at static.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Hinge {
    /// The body it is on.
    pub on: BodyId,
    /// A point of its axis.
    pub at: Vec3<f64>,
    /// Unit vector along its axis.
    pub axis: Vec3<f64>,
}

/// Position and orientation of one body.
#[derive(Clone, Copy, Debug)]
struct Placed<T> {
    turn: Mat3<T>,
    origin: Vec3<T>,
    about: Vec3<T>,
}

impl<T: Real> Placed<T> {
    #[inline(always)]
    fn point(&self, at: Vec3<T>) -> Vec3<T> {
        self.origin + self.turn * (at - self.about)
    }
}

/// A constant vector of any number type.
#[inline(always)]
pub(crate) fn lift<T: Real>(v: Vec3<f64>) -> Vec3<T> {
    Vec3([T::c(v.0[0]), T::c(v.0[1]), T::c(v.0[2])])
}

/// All bodies in one state.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bodies<T> {
    carrier: Placed<T>,
    member: [Placed<T>; MEMBERS],
    axis: [Vec3<T>; MEMBERS],
    rack: T,
}

impl<T: Real> Bodies<T> {
    /// Bodies of a mechanism whose carrier has its center at `center` at static.
    #[inline(always)]
    pub fn new(center: Vec3<f64>, hinges: &[Hinge], state: &MechanismState<T>, rack: T) -> Self {
        let carrier = Placed {
            turn: state.pose.turn,
            origin: state.pose.center,
            about: lift(center),
        };
        let fixed = Placed {
            turn: Mat3::identity(),
            origin: Vec3::zero(),
            about: Vec3::zero(),
        };
        let mut bodies = Bodies {
            carrier,
            member: [fixed; MEMBERS],
            axis: [Vec3::zero(); MEMBERS],
            rack,
        };
        for (k, hinge) in hinges.iter().enumerate() {
            let parent = if hinge.on == BodyId::Carrier {
                carrier
            } else {
                fixed
            };
            let own: Vec3<T> = lift(hinge.axis);
            bodies.member[k] = Placed {
                turn: parent.turn * Mat3::about(own, state.angle[k]),
                origin: parent.point(lift(hinge.at)),
                about: lift(hinge.at),
            };
            bodies.axis[k] = parent.turn * own;
        }
        bodies
    }

    /// Orientation of a body.
    #[inline(always)]
    pub fn turn(&self, body: BodyId) -> Mat3<T> {
        match body {
            BodyId::Carrier => self.carrier.turn,
            BodyId::Member(k) => self.member[k].turn,
            _ => Mat3::identity(),
        }
    }

    /// Present position of a point given at static.
    #[inline(always)]
    pub fn point(&self, body: BodyId, at: Vec3<f64>) -> Vec3<T> {
        let at = lift(at);
        match body {
            BodyId::Carrier => self.carrier.point(at),
            BodyId::Member(k) => self.member[k].point(at),
            BodyId::Rack => at + Vec3([T::zero(), self.rack, T::zero()]),
            _ => at,
        }
    }

    /// Adds to a row the force `f` at the present point `p` of a body.
    #[inline(always)]
    pub fn add_force(
        &self,
        hinges: &[Hinge],
        row: &mut PerUnknown<T>,
        body: BodyId,
        p: Vec3<T>,
        f: Vec3<T>,
    ) {
        let mut on = body;
        if let BodyId::Member(k) = body {
            row[6 + k] += self.axis[k].dot((p - self.member[k].origin).cross(f));
            on = hinges[k].on;
        }
        if on == BodyId::Carrier {
            let m = (p - self.carrier.origin).cross(f);
            for i in 0..3 {
                row[i] += f.0[i];
                row[3 + i] += m.0[i];
            }
        }
    }

    /// Adds to a row the moment `m` on a body.
    #[inline(always)]
    pub fn add_moment(&self, hinges: &[Hinge], row: &mut PerUnknown<T>, body: BodyId, m: Vec3<T>) {
        let mut on = body;
        if let BodyId::Member(k) = body {
            row[6 + k] += self.axis[k].dot(m);
            on = hinges[k].on;
        }
        if on == BodyId::Carrier {
            for i in 0..3 {
                row[3 + i] += m.0[i];
            }
        }
    }
}
