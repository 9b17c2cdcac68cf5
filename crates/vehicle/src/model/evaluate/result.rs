//! The result of one evaluation.

use axletree_scalar::{Vec3, numbers};
use axletree_tire::TireForce;

use crate::model::contact::RoadContact;
use crate::model::frame::BodyFrame;
use crate::model::layout::STATES;

numbers! {
    /// Rates of the state and all intermediate quantities of one evaluation.
    pub struct Evaluation {
        /// Time derivative of the state.
        pub rate: [T; STATES],
        /// Pose and velocities of the body.
        pub frame: BodyFrame<T>,
        /// Inertial acceleration of O `[m/s^2, b]`.
        pub acceleration: Vec3<T>,
        /// Contacts of the wheels with the road.
        pub contacts: [RoadContact<T>; 4],
        /// Forces and moments of the road on the tires.
        pub tire_forces: [TireForce<T>; 4],
        /// Slip at the contacts: forward, left `[rad]`.
        pub slips: [[T; 2]; 4],
        /// Moment of the road and the brakes about the steering axes, by mean steer: positive
        /// steers to the left `[N*m]`.
        pub steering_moment: T,
        /// Forces along springs, dampers and bars.
        pub part_forces: PartForces<T>,
        /// Torques of the driveline.
        pub drive: DriveTorques<T>,
    }

    /// Torques of the driveline, forward positive.
    pub struct DriveTorques {
        /// Of the half shafts on the rear wheels: left, right `[N*m]`.
        pub shafts: [T; 2],
        /// Of both together `[N*m]`.
        pub sum: T,
        /// Of the engine `[N*m]`.
        pub engine: T,
        /// In the clutch `[N*m]`.
        pub clutch: T,
    }

    /// Forces in the parts, compressive positive.
    pub struct PartForces {
        /// Springs `[N]`.
        pub spring: [T; 4],
        /// Dampers and stops `[N]`.
        pub damper: [T; 4],
        /// Bars, front and rear: the force at the left end `[N]`.
        pub bar: [T; 2],
    }
}
