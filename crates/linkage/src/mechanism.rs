//! The parts as constraints on the pose of the carrier and the angles of the hinged members.
//!
//! The unknowns are the pose of the carrier (six, as a small displacement and a small turn about its
//! center) and one angle for each member. With `p_a` and `p_b` the two points of a part,
//!
//! ```text
//! rod of length L:              g = |p_b - p_a| - L
//! guide with direction d:       g = d.(p_b - p_a)            d turns with the guide
//! ```
//!
//! A point of the carrier moves with `v + w x (p - c)`, a point of a member in addition with its
//! angle's rate times `a x (p - h)`, with a the hinge's axis and h a point of it. So the derivative of
//! a rod's g is the force of a unit tension, written as a row: force, moment about the center, moment
//! about each hinge. The same row serves statics.
//!
//! Travel is given by drivers: the height of the center and, for an axle, the sine of its roll
//! (`n_z`, the height of the wheel axis's unit vector).

use axletree_scalar::{Mat3, Real, Vec3};

use crate::check::{check_different, check_length, check_names, check_point, direction, sleeve_of};
use crate::error::{LinkageError, Names, Travel};
use crate::parts::{Attachment, Frame, Joint, Link, Linkage, Member, Triple};
use crate::pose::Pose;

/// Most hinged members.
pub const MEMBERS: usize = 4;
/// Most unknowns.
pub const UNKNOWNS: usize = 6 + MEMBERS;

/// A derivative by displacement of the center, turn about it, and member angles.
pub type Row<T> = [T; UNKNOWNS];

/// Pose of the carrier and angles of the members.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State<T> {
    /// The carrier.
    pub pose: Pose<T>,
    /// The members [rad, about the hinge from its first to its second point].
    pub angle: [T; MEMBERS],
}

/// One equation.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Constraint {
    Rod {
        a: (Frame, Vec3<f64>),
        b: (Frame, Vec3<f64>),
        length: f64,
    },
    Plane {
        guide: Frame,
        guided: Frame,
        at: Vec3<f64>,
        direction: Vec3<f64>,
    },
}

/// The hinge of a member at static.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Hinge {
    pub on: Frame,
    pub at: Vec3<f64>,
    pub axis: Vec3<f64>,
}

/// Which of the drivers hold the carrier.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Carried {
    /// One wheel: its center's height is given.
    Wheel,
    /// An axle: its center's height and its roll are given.
    Axle,
}

impl Carried {
    /// Number of drivers.
    pub const fn drivers(self) -> usize {
        match self {
            Carried::Wheel => 1,
            Carried::Axle => 2,
        }
    }
}

/// A linkage ready to be solved.
#[derive(Clone, Debug)]
pub struct Mechanism {
    /// The parts it was made from.
    pub parts: Linkage,
    /// What it carries.
    pub carried: Carried,
    /// The carrier's center at static [m, b].
    pub center: Vec3<f64>,
    pub(crate) constraints: Vec<Constraint>,
    /// Name of the part each constraint belongs to.
    pub(crate) owner: Vec<String>,
    /// Rate of each constraint when it yields [N/m].
    pub(crate) rate: Vec<f64>,
    pub(crate) hinges: Vec<Hinge>,
}

/// One body as it stands.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Placed<T> {
    pub turn: Mat3<T>,
    pub origin: Vec3<T>,
    about: Vec3<T>,
}

impl<T: Real> Placed<T> {
    #[inline(always)]
    pub fn point(&self, at: Vec3<T>) -> Vec3<T> {
        self.origin + self.turn * (at - self.about)
    }
}

/// All bodies as they stand.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bodies<T> {
    carrier: Placed<T>,
    member: [Placed<T>; MEMBERS],
    axis: [Vec3<T>; MEMBERS],
    rack: T,
}

pub(crate) fn v3(p: Triple) -> Vec3<f64> {
    Vec3(p)
}

#[inline(always)]
pub(crate) fn lift<T: Real>(v: Vec3<f64>) -> Vec3<T> {
    Vec3([T::c(v.0[0]), T::c(v.0[1]), T::c(v.0[2])])
}

impl<T: Real> Bodies<T> {
    /// Orientation of a body.
    #[inline(always)]
    pub fn turn(&self, frame: Frame) -> Mat3<T> {
        match frame {
            Frame::Carrier => self.carrier.turn,
            Frame::Member(k) => self.member[k].turn,
            _ => Mat3::identity(),
        }
    }

    /// Where a point given at static is.
    #[inline(always)]
    pub fn point(&self, frame: Frame, at: Vec3<f64>) -> Vec3<T> {
        let at = lift(at);
        match frame {
            Frame::Carrier => self.carrier.point(at),
            Frame::Member(k) => self.member[k].point(at),
            Frame::Rack => at + Vec3([T::zero(), self.rack, T::zero()]),
            _ => at,
        }
    }

    /// Adds the row of a force `f` at the current point `p` of a body.
    #[inline(always)]
    fn force(&self, hinges: &[Hinge], row: &mut Row<T>, frame: Frame, p: Vec3<T>, f: Vec3<T>) {
        let mut on = frame;
        if let Frame::Member(k) = frame {
            row[6 + k] += self.axis[k].dot((p - self.member[k].origin).cross(f));
            on = hinges[k].on;
        }
        if on == Frame::Carrier {
            let m = (p - self.carrier.origin).cross(f);
            for i in 0..3 {
                row[i] += f.0[i];
                row[3 + i] += m.0[i];
            }
        }
    }

    /// Adds the row of a moment `m` on a body.
    #[inline(always)]
    fn moment(&self, hinges: &[Hinge], row: &mut Row<T>, frame: Frame, m: Vec3<T>) {
        let mut on = frame;
        if let Frame::Member(k) = frame {
            row[6 + k] += self.axis[k].dot(m);
            on = hinges[k].on;
        }
        if on == Frame::Carrier {
            for i in 0..3 {
                row[3 + i] += m.0[i];
            }
        }
    }
}

impl Mechanism {
    /// Checks the parts and turns them into equations.
    pub fn new(parts: Linkage, carried: Carried, center: Triple) -> Result<Self, LinkageError> {
        let count = parts.members.len();
        if count > MEMBERS {
            return Err(LinkageError::TooManyMembers {
                count,
                most: MEMBERS,
            });
        }
        check_point("the center of the carrier", center)?;
        check_names(&parts)?;
        let mut m = Mechanism {
            carried,
            center: v3(center),
            constraints: Vec::with_capacity(12),
            owner: Vec::with_capacity(12),
            rate: Vec::with_capacity(12),
            hinges: Vec::with_capacity(count),
            parts: Linkage::default(),
        };
        for member in &parts.members {
            m.add_member(member)?;
        }
        for link in &parts.links {
            m.add_link(link)?;
        }
        for joint in &parts.joints {
            m.add_joint(joint)?;
        }
        m.parts = parts;
        Ok(m)
    }

    fn add_member(&mut self, member: &Member) -> Result<(), LinkageError> {
        let name = &member.name;
        for p in member.hinge {
            check_point(name, p)?;
        }
        for b in &member.bushings {
            b.check(name)?;
        }
        if !(member.on.is_fixed() || member.on == Frame::Carrier) || member.on == Frame::Rack {
            return Err(LinkageError::Direction {
                name: name.clone(),
                reason: "a member is hinged on the body, a subframe or the carrier",
            });
        }
        let axis = v3(member.hinge[1]) - v3(member.hinge[0]);
        check_length(name, axis.norm())?;
        self.hinges.push(Hinge {
            on: member.on,
            at: v3(member.hinge[0]),
            axis: axis.unit(),
        });
        Ok(())
    }

    fn add_link(&mut self, link: &Link) -> Result<(), LinkageError> {
        let name = &link.name;
        let [a, b] = &link.ends;
        for end in [a, b] {
            check_point(name, end.point.at)?;
            end.bushing.check(name)?;
            self.check_frame(name, end.point.on)?;
        }
        check_different(name, a.point.on, b.point.on)?;
        let apart = v3(b.point.at) - v3(a.point.at);
        check_length(name, apart.norm())?;
        let length = link.length.unwrap_or(apart.norm());
        check_length(name, length)?;
        let u = apart.unit();
        let mut give = 0.0;
        for end in [a, b] {
            give += end.bushing.yield_along(sleeve_of(name, end.sleeve, u)?, u);
        }
        self.constraints.push(Constraint::Rod {
            a: (a.point.on, v3(a.point.at)),
            b: (b.point.on, v3(b.point.at)),
            length,
        });
        self.owner.push(name.clone());
        self.rate.push(1.0 / give);
        Ok(())
    }

    fn add_joint(&mut self, joint: &Joint) -> Result<(), LinkageError> {
        let name = &joint.name;
        check_point(name, joint.at)?;
        joint.bushing.check(name)?;
        self.check_frame(name, joint.guide)?;
        self.check_frame(name, joint.guided)?;
        check_different(name, joint.guide, joint.guided)?;
        let fault = |reason| LinkageError::Direction {
            name: name.clone(),
            reason,
        };
        let sleeve = direction(joint.sleeve).ok_or_else(|| fault("the sleeve has no length"))?;
        if joint.blocked.is_empty() || joint.blocked.len() > 3 {
            return Err(fault("a joint blocks one to three directions"));
        }
        for (i, d) in joint.blocked.iter().enumerate() {
            let d = v3(*d);
            if (d.norm() - 1.0).abs() > 1e-6 || d.norm().is_nan() {
                return Err(fault("a blocked direction is not of unit length"));
            }
            if joint.blocked[..i]
                .iter()
                .any(|other| v3(*other).dot(d).abs() > 1e-6)
            {
                return Err(fault("blocked directions are not square to each other"));
            }
            self.constraints.push(Constraint::Plane {
                guide: joint.guide,
                guided: joint.guided,
                at: v3(joint.at),
                direction: d,
            });
            self.owner.push(name.clone());
            self.rate.push(1.0 / joint.bushing.yield_along(sleeve, d));
        }
        Ok(())
    }

    fn check_frame(&self, name: &str, frame: Frame) -> Result<(), LinkageError> {
        match frame {
            Frame::Member(index) if index >= self.hinges.len() => Err(LinkageError::NoMember {
                name: name.to_owned(),
                index,
                count: self.hinges.len(),
            }),
            _ => Ok(()),
        }
    }

    /// Number of unknowns.
    pub fn unknowns(&self) -> usize {
        6 + self.hinges.len()
    }

    /// Whether links and drivers are more than the unknowns, so that only yielding links fit.
    pub fn over_constrained(&self) -> bool {
        self.constraints.len() + self.carried.drivers() > self.unknowns()
    }

    /// The pose at static as drawn.
    pub fn drawn(&self) -> State<f64> {
        State {
            pose: Pose::level(self.center),
            angle: [0.0; MEMBERS],
        }
    }

    /// Names of all parts that hold the carrier.
    pub(crate) fn all_names(&self) -> Names {
        let mut names = self.owner.clone();
        names.dedup();
        Names(names)
    }

    #[inline(always)]
    pub(crate) fn bodies<T: Real>(&self, state: &State<T>, rack: T) -> Bodies<T> {
        let carrier = Placed {
            turn: state.pose.turn,
            origin: state.pose.center,
            about: lift(self.center),
        };
        let still = Placed {
            turn: Mat3::identity(),
            origin: Vec3::zero(),
            about: Vec3::zero(),
        };
        let mut bodies = Bodies {
            carrier,
            member: [still; MEMBERS],
            axis: [Vec3::zero(); MEMBERS],
            rack,
        };
        for (k, hinge) in self.hinges.iter().enumerate() {
            let parent = if hinge.on == Frame::Carrier {
                carrier
            } else {
                still
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

    /// One constraint: its value and its row.
    #[inline(always)]
    pub(crate) fn constraint<T: Real>(&self, bodies: &Bodies<T>, i: usize) -> (T, Row<T>) {
        let mut row = [T::zero(); UNKNOWNS];
        let h = &self.hinges;
        match self.constraints[i] {
            Constraint::Rod { a, b, length } => {
                let (pa, pb) = (bodies.point(a.0, a.1), bodies.point(b.0, b.1));
                let apart = pb - pa;
                let l = apart.norm();
                let u = apart.times(l.recip());
                bodies.force(h, &mut row, b.0, pb, u);
                bodies.force(h, &mut row, a.0, pa, -u);
                (l - T::c(length), row)
            }
            Constraint::Plane {
                guide,
                guided,
                at,
                direction,
            } => {
                let (pa, pb) = (bodies.point(guide, at), bodies.point(guided, at));
                let d = bodies.turn(guide) * lift(direction);
                let apart = pb - pa;
                bodies.force(h, &mut row, guided, pb, d);
                bodies.force(h, &mut row, guide, pa, -d);
                // The direction turns with the guide: (w x d).e = w.(d x e).
                bodies.moment(h, &mut row, guide, d.cross(apart));
                (d.dot(apart), row)
            }
        }
    }

    /// Derivative of one constraint by the displacement of the rack.
    pub(crate) fn by_rack(&self, bodies: &Bodies<f64>, i: usize) -> f64 {
        let on_rack = |frame: Frame| if frame == Frame::Rack { 1.0 } else { 0.0 };
        match self.constraints[i] {
            Constraint::Rod { a, b, .. } => {
                let u = (bodies.point(b.0, b.1) - bodies.point(a.0, a.1)).unit();
                u.y() * (on_rack(b.0) - on_rack(a.0))
            }
            Constraint::Plane {
                guide,
                guided,
                direction,
                ..
            } => (bodies.turn(guide) * direction).y() * (on_rack(guided) - on_rack(guide)),
        }
    }

    /// One driver: its value less what is wanted, and its row.
    #[inline(always)]
    pub(crate) fn driver<T: Real>(&self, state: &State<T>, want: Travel, j: usize) -> (T, Row<T>) {
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

    /// Where an attachment is at a state.
    pub fn place(&self, state: &State<f64>, rack: f64, a: Attachment) -> Vec3<f64> {
        self.bodies(state, rack).point(a.on, v3(a.at))
    }

    /// Velocity of an attachment for given rates of the unknowns.
    pub fn velocity(
        &self,
        state: &State<f64>,
        rack: f64,
        rates: &Row<f64>,
        a: Attachment,
    ) -> Vec3<f64> {
        let bodies = self.bodies(state, rack);
        let p = bodies.point(a.on, v3(a.at));
        Vec3(std::array::from_fn(|i| {
            let mut row = [0.0; UNKNOWNS];
            let mut f = Vec3::zero();
            f.0[i] = 1.0;
            bodies.force(&self.hinges, &mut row, a.on, p, f);
            row.iter().zip(rates).map(|(r, q)| r * q).sum()
        }))
    }
}
