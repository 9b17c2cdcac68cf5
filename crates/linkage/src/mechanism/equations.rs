//! The parts as equations for the pose of the carrier and the angles of the hinged members.
//!
//! The unknowns are the pose of the carrier (six, as a small displacement and a small turn about
//! its center) and one angle for each member. With `p_a` and `p_b` the two points of a part,
//!
//! ```text
//! rod of length L:              g = |p_b - p_a| - L
//! guide with direction d:       g = d.(p_b - p_a)            d turns with the guide
//! ```
//!
//! A point of the carrier moves with `v + w x (p - c)`, a point of a member in addition with its
//! angle's rate times `a x (p - h)`, with a the hinge's axis and h a point of it. The derivative of
//! a rod's g is therefore the force of a unit tension, written as a row: force, moment about the
//! center, moment about each hinge. The same row serves statics.
//!
//! The travel is given by drivers: the height of the center and, for an axle, the sine of its roll
//! (`n_z`, the vertical component of the wheel axis).

use axletree_scalar::{Real, Vec3};

use crate::error::PartNames;
use crate::mechanism::bodies::{Bodies, Hinge};
use crate::mechanism::constraint::Constraint;
use crate::mechanism::state::{Carried, MEMBERS, MechanismState, PerUnknown, UNKNOWNS};
use crate::parts::{Attachment, Linkage};
use crate::pose::Pose;
use crate::travel::Travel;

/// A linkage as equations.
#[derive(Clone, Debug)]
pub struct Mechanism {
    /// Parts it was made from.
    pub parts: Linkage,
    /// Kind of carrier.
    pub carried: Carried,
    /// Center of the carrier at static `[m, b]`.
    pub center: Vec3<f64>,
    pub(crate) constraints: Vec<Constraint>,
    /// Name of the part of each constraint.
    pub(crate) owner: Vec<String>,
    /// Stiffness of each constraint's bushings `[N/m]`.
    pub(crate) stiffness: Vec<f64>,
    pub(crate) hinges: Vec<Hinge>,
}

impl Mechanism {
    /// Number of unknowns.
    pub fn unknowns(&self) -> usize {
        6 + self.hinges.len()
    }

    /// Whether there are more constraints and drivers than unknowns, so that the linkage moves only
    /// by deflection of its link ends.
    pub fn over_constrained(&self) -> bool {
        self.constraints.len() + self.carried.drivers() > self.unknowns()
    }

    /// State at static as described, before the lengths of the links are met.
    pub(crate) fn described(&self) -> MechanismState<f64> {
        MechanismState {
            pose: Pose::level(self.center),
            angle: [0.0; MEMBERS],
        }
    }

    /// Names of all parts with a constraint.
    pub(crate) fn all_names(&self) -> PartNames {
        let mut names = self.owner.clone();
        names.dedup();
        PartNames(names)
    }

    /// All bodies in a state.
    #[inline(always)]
    pub(crate) fn bodies<T: Real>(&self, state: &MechanismState<T>, rack: T) -> Bodies<T> {
        Bodies::new(self.center, &self.hinges, state, rack)
    }

    /// Value and row of one constraint.
    #[inline(always)]
    pub(crate) fn constraint<T: Real>(&self, bodies: &Bodies<T>, i: usize) -> (T, PerUnknown<T>) {
        self.constraints[i].value_and_row(&self.hinges, bodies)
    }

    /// Value of one driver less the travel asked for, and its row.
    #[inline(always)]
    pub(crate) fn driver<T: Real>(
        &self,
        state: &MechanismState<T>,
        want: Travel,
        j: usize,
    ) -> (T, PerUnknown<T>) {
        let mut row = [T::zero(); UNKNOWNS];
        if j == 0 {
            row[2] = T::one();
            let z = state.pose.center.z() - T::c(self.center.z() + want.heave);
            (z, row)
        } else {
            let n = state.pose.axis();
            // (w x n)_z = w_x n_y - w_y n_x.
            row[3] = n.y();
            row[4] = -n.x();
            (n.z() - T::c(Real::sin(want.roll)), row)
        }
    }

    /// Position of an attachment in a state `[m, b]`.
    pub fn place(&self, state: &MechanismState<f64>, rack: f64, a: Attachment) -> Vec3<f64> {
        self.bodies(state, rack).point(a.on, Vec3(a.at))
    }

    /// Velocity of an attachment for given rates of the unknowns.
    pub fn velocity(
        &self,
        state: &MechanismState<f64>,
        rack: f64,
        rates: &PerUnknown<f64>,
        a: Attachment,
    ) -> Vec3<f64> {
        let bodies = self.bodies(state, rack);
        let p = bodies.point(a.on, Vec3(a.at));
        Vec3(std::array::from_fn(|i| {
            let mut row = [0.0; UNKNOWNS];
            let mut f = Vec3::zero();
            f.0[i] = 1.0;
            bodies.add_force(&self.hinges, &mut row, a.on, p, f);
            row.iter().zip(rates).map(|(r, q)| r * q).sum()
        }))
    }
}
