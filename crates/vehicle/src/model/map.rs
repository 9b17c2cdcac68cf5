//! Everything an evaluation finds, number by number: lanes to rows, rows to one car.

use axletree_scalar::Vec3;
use axletree_tire::TireForce;

use super::contact::Contact;
use super::evaluate::{DriveTorques, Evaluation, PartForces};

impl<A: Copy> Evaluation<A> {
    /// Every number through a function.
    #[inline(always)]
    pub fn map<B>(&self, f: &mut impl FnMut(A) -> B) -> Evaluation<B> {
        Evaluation {
            rate: self.rate.map(&mut *f),
            frame: self.frame.map(f),
            acceleration: Vec3(self.acceleration.0.map(&mut *f)),
            contacts: self.contacts.map(|contact| contact.map(f)),
            tire_forces: self.tire_forces.map(|force| TireForce {
                fx: f(force.fx),
                fy: f(force.fy),
                mz: f(force.mz),
                utilization: f(force.utilization),
                normalized_slip: f(force.normalized_slip),
            }),
            slips: self.slips.map(|slip| slip.map(&mut *f)),
            steering_moment: f(self.steering_moment),
            part_forces: PartForces {
                spring: self.part_forces.spring.map(&mut *f),
                damper: self.part_forces.damper.map(&mut *f),
                bar: self.part_forces.bar.map(&mut *f),
            },
            drive: DriveTorques {
                shafts: self.drive.shafts.map(&mut *f),
                sum: f(self.drive.sum),
                engine: f(self.drive.engine),
                clutch: f(self.drive.clutch),
            },
        }
    }
}

impl<A: Copy> Contact<A> {
    /// Every number through a function.
    #[inline(always)]
    pub fn map<B>(&self, f: &mut impl FnMut(A) -> B) -> Contact<B> {
        Contact {
            axis: Vec3(self.axis.0.map(&mut *f)),
            forward: Vec3(self.forward.0.map(&mut *f)),
            left: Vec3(self.left.0.map(&mut *f)),
            arm: Vec3(self.arm.0.map(&mut *f)),
            deflection: f(self.deflection),
            load: f(self.load),
            inclination: f(self.inclination),
            sliding: self.sliding.map(&mut *f),
            rolling: f(self.rolling),
            forward_speed: f(self.forward_speed),
            climb: f(self.climb),
        }
    }
}
