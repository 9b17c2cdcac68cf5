//! A mechanism from its parts, with all faults of the parts.

use axletree_scalar::Vec3;

use crate::error::LinkageError;
use crate::mechanism::bodies::Hinge;
use crate::mechanism::check::{
    axis_direction, check_bodies, check_length, check_point, repeated_names, sleeve_of,
};
use crate::mechanism::constraint::Constraint;
use crate::mechanism::equations::Mechanism;
use crate::mechanism::state::{Carried, MEMBERS};
use crate::parts::{BodyId, Joint, Link, Linkage, Member, Triple};

impl Mechanism {
    /// Checks the parts and turns them into equations; `center` is the carrier's at static
    /// `[m, b]`.
    ///
    /// # Errors
    /// The fault of the parts, or [`LinkageError::Several`] with all of them.
    pub fn new(parts: Linkage, carried: Carried, center: Triple) -> Result<Self, LinkageError> {
        let count = parts.members.len();
        if count > MEMBERS {
            return Err(LinkageError::TooManyMembers {
                count,
                most: MEMBERS,
            });
        }
        let mut build = Build {
            faults: repeated_names(&parts),
            mechanism: Mechanism {
                carried,
                center: Vec3(center),
                constraints: Vec::with_capacity(12),
                owner: Vec::with_capacity(12),
                stiffness: Vec::with_capacity(12),
                hinges: Vec::with_capacity(count),
                parts: Linkage::default(),
            },
        };
        build.accepts(check_point("the center of the carrier", center));
        for member in &parts.members {
            build.add_member(member);
        }
        for link in &parts.links {
            build.add_link(link, count);
        }
        for joint in &parts.joints {
            build.add_joint(joint, count);
        }
        match LinkageError::all(build.faults) {
            Some(fault) => Err(fault),
            None => Ok(Mechanism {
                parts,
                ..build.mechanism
            }),
        }
    }
}

/// A mechanism being built, with the faults found so far.
struct Build {
    mechanism: Mechanism,
    faults: Vec<LinkageError>,
}

impl Build {
    /// The value of a check that passed; the fault of one that failed is kept.
    fn accepts<T>(&mut self, check: Result<T, LinkageError>) -> Option<T> {
        check.map_err(|fault| self.faults.push(fault)).ok()
    }

    fn add_member(&mut self, member: &Member) {
        let name = &member.name;
        for b in &member.bushings {
            self.accepts(b.check(name));
        }
        if !matches!(member.on, BodyId::Body | BodyId::Subframe | BodyId::Carrier) {
            self.faults.push(LinkageError::Direction {
                name: name.clone(),
                reason: "a member is hinged on the body, a subframe or the carrier",
            });
        }
        let axis = Vec3(member.hinge[1]) - Vec3(member.hinge[0]);
        let points = member.hinge.map(|p| self.accepts(check_point(name, p)));
        if points.iter().all(Option::is_some)
            && self.accepts(check_length(name, axis.norm())).is_some()
        {
            self.mechanism.hinges.push(Hinge {
                on: member.on,
                at: Vec3(member.hinge[0]),
                axis: axis.unit(),
            });
        }
    }

    fn add_link(&mut self, link: &Link, members: usize) {
        let name = &link.name;
        let [a, b] = &link.ends;
        let mut sound = true;
        for end in [a, b] {
            sound &= self.accepts(check_point(name, end.point.at)).is_some();
            self.accepts(end.bushing.check(name));
        }
        self.accepts(check_bodies(name, [a.point.on, b.point.on], members));
        let apart = Vec3(b.point.at) - Vec3(a.point.at);
        let length = link.length.unwrap_or(apart.norm());
        sound = sound
            && self.accepts(check_length(name, apart.norm())).is_some()
            && self.accepts(check_length(name, length)).is_some();
        if !sound {
            return;
        }
        let u = apart.unit();
        let mut compliance = 0.0;
        for end in [a, b] {
            if let Some(sleeve) = self.accepts(sleeve_of(name, end.sleeve, u)) {
                compliance += end.bushing.compliance_along(sleeve, u);
            }
        }
        let rod = Constraint::Rod {
            a: (a.point.on, Vec3(a.point.at)),
            b: (b.point.on, Vec3(b.point.at)),
            length,
        };
        self.add(name, rod, 1.0 / compliance);
    }

    fn add_joint(&mut self, joint: &Joint, members: usize) {
        let name = &joint.name;
        self.accepts(check_point(name, joint.at));
        self.accepts(joint.bushing.check(name));
        self.accepts(check_bodies(name, [joint.guide, joint.guided], members));
        self.accepts(check_blocked(joint));
        let sleeve = axis_direction(name, joint.sleeve, "the sleeve has no length");
        let Some(sleeve) = self.accepts(sleeve) else {
            return;
        };
        for d in &joint.blocked {
            let direction = Vec3(*d);
            let plane = Constraint::Plane {
                guide: joint.guide,
                guided: joint.guided,
                at: Vec3(joint.at),
                direction,
            };
            let compliance = joint.bushing.compliance_along(sleeve, direction);
            self.add(name, plane, 1.0 / compliance);
        }
    }

    fn add(&mut self, name: &str, constraint: Constraint, stiffness: f64) {
        self.mechanism.constraints.push(constraint);
        self.mechanism.owner.push(name.to_owned());
        self.mechanism.stiffness.push(stiffness);
    }
}

/// Checks that the blocked directions of a joint are one to three, of unit length and square to
/// each other.
fn check_blocked(joint: &Joint) -> Result<(), LinkageError> {
    let fault = |reason| {
        Err(LinkageError::Direction {
            name: joint.name.clone(),
            reason,
        })
    };
    if joint.blocked.is_empty() || joint.blocked.len() > 3 {
        return fault("a joint blocks one to three directions");
    }
    for (i, d) in joint.blocked.iter().enumerate() {
        let d = Vec3(*d);
        if (d.norm() - 1.0).abs() > 1e-6 || d.norm().is_nan() {
            return fault("a blocked direction is not of unit length");
        }
        if joint.blocked[..i]
            .iter()
            .any(|other| Vec3(*other).dot(d).abs() > 1e-6)
        {
            return fault("the blocked directions are not square to each other");
        }
    }
    Ok(())
}
