//! Every recorded channel, declared once.
//!
//! Columns, labels, unit tables and documentation come from these declarations, each a
//! [`Quantity`]. A channel is read either from the motion alone (state and its rate, known at every
//! step), or from a snapshot of the car with everything that one evaluation of the equations finds;
//! or a maneuver fills it in.
//!
//! Signs follow ISO 8855 (x forward, y left, z up), but for the slip angles, whose sign is that of
//! the force.

#![expect(
    clippy::redundant_closure_for_method_calls,
    reason = "a method of a borrowed moment is no pointer to a function of every lifetime; a closure is"
)]

use std::fmt;

use axletree_report::Quantity;
use axletree_scalar::{FusedTask, Vec3, fused, lone};
use axletree_vehicle::model::layout::{
    ATTITUDE, ENGINE, Inputs, POSITION, RATE, STATES, THROTTLE, TRAVEL, VELOCITY, WINDUP,
};
use axletree_vehicle::model::{Evaluation, Observation, heading_axes};

/// The car at one moment.
#[derive(Clone, Copy, Debug)]
pub struct Moment<'a> {
    /// Time `[s]`.
    pub time: f64,
    /// State.
    pub state: &'a [f64; STATES],
    /// Its rate.
    pub rate: &'a [f64; STATES],
    /// Inputs.
    pub inputs: &'a Inputs<f64>,
}

impl Moment<'_> {
    /// Horizontal speed of O `[m/s]`.
    pub fn speed(&self) -> f64 {
        lone::hypot(self.rate[POSITION], self.rate[POSITION + 1])
    }

    /// Angle of O's horizontal velocity from the heading `[rad, left positive]`.
    pub fn sideslip(&self) -> f64 {
        let (s, c) = lone::sin_cos(self.state[ATTITUDE]);
        let (x, y) = (self.rate[POSITION], self.rate[POSITION + 1]);
        lone::atan2(c * y - s * x, c * x + s * y)
    }

    /// Inertial acceleration of O in heading axes: forward, left, up `[m/s^2]`.
    pub fn acceleration(&self) -> [f64; 3] {
        fused(AccelerationOf {
            state: self.state,
            rate: self.rate,
        })
    }
}

/// Inertial acceleration of O, see [`Moment::acceleration`].
struct AccelerationOf<'a> {
    state: &'a [f64; STATES],
    rate: &'a [f64; STATES],
}

impl FusedTask for AccelerationOf<'_> {
    type Out = [f64; 3];
    #[inline(always)]
    fn run(self) -> [f64; 3] {
        let (s, d) = (self.state, self.rate);
        let velocity = Vec3([s[VELOCITY], s[VELOCITY + 1], s[VELOCITY + 2]]);
        let rate = Vec3([s[RATE], s[RATE + 1], s[RATE + 2]]);
        let body = Vec3([d[VELOCITY], d[VELOCITY + 1], d[VELOCITY + 2]]) + rate.cross(velocity);
        heading_axes(s[ATTITUDE + 1], s[ATTITUDE + 2], body.0)
    }
}

/// Snapshot of the car: all that one evaluation of the equations finds, and the observation drawn
/// from it.
#[derive(Clone, Copy, Debug)]
pub struct Snapshot {
    /// Motion in heading axes.
    pub observation: Observation<f64>,
    /// Contacts, forces, parts.
    pub evaluation: Evaluation<f64>,
}

/// Origin of a channel's values.
#[derive(Clone, Copy)]
pub enum ChannelSource {
    /// The motion.
    Motion(fn(&Moment<'_>) -> f64),
    /// A snapshot of the car.
    Observed(fn(&Snapshot) -> f64),
    /// The maneuver, which fills the column itself.
    Maneuver,
}

/// A channel: its declaration and where its values come from.
#[derive(Clone, Copy)]
pub struct Channel {
    /// Name, unit, frame and meaning; its frame is "earth", "body", "heading" (x along the
    /// horizontal projection of the car's x axis), "road at the wheel", "path" or "-".
    pub quantity: Quantity,
    /// Origin of its values.
    pub source: ChannelSource,
}

impl Channel {
    /// Name, snake case.
    pub const fn name(&self) -> &'static str {
        self.quantity.key
    }
}

impl fmt::Debug for Channel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.quantity)
    }
}

impl PartialEq for Channel {
    fn eq(&self, other: &Self) -> bool {
        self.name() == other.name()
    }
}

/// Slip angle of a wheel, from the velocity of its contact to the wheel's plane `[rad]`.
///
/// Positive in the sense of the force that it causes, a positive angle pushes to the left: the sign
/// is opposite to ISO 8855. Below 0.1 m/s the speed counts as 0.1 m/s, so that it is zero at rest.
pub fn slip_angle(evaluation: &Evaluation<f64>, wheel: usize) -> f64 {
    let contact = &evaluation.contacts[wheel];
    lone::atan2(-contact.sliding[1], contact.forward_speed.abs().max(0.1))
}

macro_rules! channels {
    ($( $id:ident = $name:literal [$unit:literal, $frame:literal] $kind:ident $read:expr, $meaning:literal; )*) => {
        $(
            #[doc = concat!($meaning, " `[", $unit, ", ", $frame, "]`")]
            pub static $id: Channel = Channel {
                quantity: Quantity::new($name, $unit, $meaning).in_frame($frame),
                source: ChannelSource::$kind($read),
            };
        )*
        /// Every channel that can be read from a car, in the order of a full trace.
        pub static ALL: &[&Channel] = &[$(&$id),*];
    };
}

channels! {
    STEERING_WHEEL_ANGLE = "steering_wheel_angle" ["rad", "-"] Motion |m| m.inputs.steering_wheel,
        "Steering-wheel angle, to the left positive.";
    STEERING_WHEEL_RATE = "steering_wheel_rate" ["rad/s", "-"] Motion |m| m.inputs.steering_wheel_rate,
        "Rate of the steering-wheel angle, to the left positive.";
    YAW_RATE = "yaw_rate" ["rad/s", "earth"] Motion |m| m.rate[ATTITUDE],
        "Rate of the heading angle, to the left positive.";
    LATERAL_ACCELERATION = "lateral_acceleration" ["m/s^2", "heading"] Motion |m| m.acceleration()[1],
        "Inertial acceleration of O across the heading, horizontal, to the left positive.";
    ROLL_ANGLE = "roll_angle" ["rad", "heading"] Motion |m| m.state[ATTITUDE + 2],
        "Roll angle of the body, right side down positive.";
    SIDESLIP = "sideslip" ["rad", "heading"] Motion |m| m.sideslip(),
        "Angle of the horizontal velocity of O from the heading, to the left positive.";
    SPEED = "speed" ["m/s", "earth"] Motion |m| m.speed(),
        "Horizontal speed of O.";
    LONGITUDINAL_ACCELERATION = "longitudinal_acceleration" ["m/s^2", "heading"] Motion |m| m.acceleration()[0],
        "Inertial acceleration of O along the heading, horizontal, forward positive.";
    X = "x" ["m", "earth"] Motion |m| m.state[POSITION],
        "Position of O along x.";
    Y = "y" ["m", "earth"] Motion |m| m.state[POSITION + 1],
        "Position of O along y.";
    Z = "z" ["m", "earth"] Motion |m| m.state[POSITION + 2],
        "Height of O above the road's datum.";
    YAW_ANGLE = "yaw_angle" ["rad", "earth"] Motion |m| m.state[ATTITUDE],
        "Heading angle, to the left positive.";
    PITCH_ANGLE = "pitch_angle" ["rad", "heading"] Motion |m| m.state[ATTITUDE + 1],
        "Pitch angle of the body, nose down positive.";
    ROLL_RATE = "roll_rate" ["rad/s", "body"] Motion |m| m.state[RATE],
        "Angular velocity of the body about its x axis.";
    TRAVEL_FRONT_LEFT = "travel_front_left" ["m", "body"] Motion |m| m.state[TRAVEL],
        "Travel of the front left wheel from the static position, bump positive.";
    TRAVEL_FRONT_RIGHT = "travel_front_right" ["m", "body"] Motion |m| m.state[TRAVEL + 1],
        "Travel of the front right wheel from the static position, bump positive.";
    DRIVE_TORQUE = "drive_torque" ["N*m", "-"] Motion |m| m.inputs.drive_torque,
        "Torque of the driveline on both rear wheels together, forward positive.";
    BRAKE_TORQUE = "brake_torque" ["N*m", "-"] Motion |m| m.inputs.brake_torque,
        "Torque of the brakes on all wheels together.";
    RIM_SPEED_REAR_LEFT = "rim_speed_rear_left" ["m/s", "-"] Observed |o| o.evaluation.contacts[2].rolling,
        "Rolling speed of the rear left wheel: its spin times its effective radius.";
    RIM_SPEED_REAR_RIGHT = "rim_speed_rear_right" ["m/s", "-"] Observed |o| o.evaluation.contacts[3].rolling,
        "Rolling speed of the rear right wheel: its spin times its effective radius.";
    SHAFT_TORQUE_LEFT = "shaft_torque_left" ["N*m", "-"] Observed |o| o.evaluation.drive.shafts[0],
        "Torque of the left half shaft on its wheel, forward positive.";
    SHAFT_TORQUE_RIGHT = "shaft_torque_right" ["N*m", "-"] Observed |o| o.evaluation.drive.shafts[1],
        "Torque of the right half shaft on its wheel, forward positive.";
    ENGINE_SPEED = "engine_speed" ["rad/s", "-"] Motion |m| m.state[ENGINE],
        "Speed of the engine; zero where it is not simulated.";
    THROTTLE_FELT = "throttle_felt" ["-", "-"] Motion |m| m.state[THROTTLE],
        "Throttle at the engine, behind the pedal by its lag.";
    CLUTCH_SHARE = "clutch_share" ["-", "-"] Motion |m| m.inputs.clutch,
        "Share of the clutch's capacity that is used.";
    WINDUP_ANGLE = "windup_angle" ["rad", "-"] Motion |m| m.state[WINDUP],
        "Rotation of the rear housing on its mounts, pinion nose down positive.";
    STEERING_WHEEL_TORQUE = "steering_wheel_torque" ["N*m", "-"] Observed |o| o.observation.steering_wheel_torque,
        "Torque of the hands on the steering wheel, to the left positive.";
    LOAD_FRONT_LEFT = "load_front_left" ["N", "road at the wheel"] Observed |o| o.evaluation.contacts[0].load,
        "Vertical load of the front left wheel.";
    LOAD_FRONT_RIGHT = "load_front_right" ["N", "road at the wheel"] Observed |o| o.evaluation.contacts[1].load,
        "Vertical load of the front right wheel.";
    LOAD_REAR_LEFT = "load_rear_left" ["N", "road at the wheel"] Observed |o| o.evaluation.contacts[2].load,
        "Vertical load of the rear left wheel.";
    LOAD_REAR_RIGHT = "load_rear_right" ["N", "road at the wheel"] Observed |o| o.evaluation.contacts[3].load,
        "Vertical load of the rear right wheel.";
    FORCE_X_FRONT_LEFT = "force_x_front_left" ["N", "road at the wheel"] Observed |o| o.evaluation.tire_forces[0].fx,
        "Force of the road on the front left tire along the wheel, forward positive.";
    FORCE_X_FRONT_RIGHT = "force_x_front_right" ["N", "road at the wheel"] Observed |o| o.evaluation.tire_forces[1].fx,
        "Force of the road on the front right tire along the wheel, forward positive.";
    FORCE_X_REAR_LEFT = "force_x_rear_left" ["N", "road at the wheel"] Observed |o| o.evaluation.tire_forces[2].fx,
        "Force of the road on the rear left tire along the wheel, forward positive.";
    FORCE_X_REAR_RIGHT = "force_x_rear_right" ["N", "road at the wheel"] Observed |o| o.evaluation.tire_forces[3].fx,
        "Force of the road on the rear right tire along the wheel, forward positive.";
    FORCE_Y_FRONT_LEFT = "force_y_front_left" ["N", "road at the wheel"] Observed |o| o.evaluation.tire_forces[0].fy,
        "Force of the road on the front left tire across the wheel, to the left positive.";
    FORCE_Y_FRONT_RIGHT = "force_y_front_right" ["N", "road at the wheel"] Observed |o| o.evaluation.tire_forces[1].fy,
        "Force of the road on the front right tire across the wheel, to the left positive.";
    FORCE_Y_REAR_LEFT = "force_y_rear_left" ["N", "road at the wheel"] Observed |o| o.evaluation.tire_forces[2].fy,
        "Force of the road on the rear left tire across the wheel, to the left positive.";
    FORCE_Y_REAR_RIGHT = "force_y_rear_right" ["N", "road at the wheel"] Observed |o| o.evaluation.tire_forces[3].fy,
        "Force of the road on the rear right tire across the wheel, to the left positive.";
    SLIP_Y_FRONT_LEFT = "slip_y_front_left" ["-", "road at the wheel"] Observed |o| o.evaluation.slips[0][1],
        "Lateral slip at the front left contact, in the sense of the force: the sign is opposite to that of an ISO 8855 slip angle.";
    SLIP_Y_FRONT_RIGHT = "slip_y_front_right" ["-", "road at the wheel"] Observed |o| o.evaluation.slips[1][1],
        "Lateral slip at the front right contact, in the sense of the force: the sign is opposite to that of an ISO 8855 slip angle.";
    SLIP_Y_REAR_LEFT = "slip_y_rear_left" ["-", "road at the wheel"] Observed |o| o.evaluation.slips[2][1],
        "Lateral slip at the rear left contact, in the sense of the force: the sign is opposite to that of an ISO 8855 slip angle.";
    SLIP_Y_REAR_RIGHT = "slip_y_rear_right" ["-", "road at the wheel"] Observed |o| o.evaluation.slips[3][1],
        "Lateral slip at the rear right contact, in the sense of the force: the sign is opposite to that of an ISO 8855 slip angle.";
    SLIP_ANGLE_FRONT_LEFT = "slip_angle_front_left" ["rad", "road at the wheel"] Observed |o| slip_angle(&o.evaluation, 0),
        "Slip angle of the front left tire, from the velocity of its contact to the wheel's plane, in the sense of the force that it causes: the sign is opposite to ISO 8855. The tire's lag comes after it.";
    SLIP_ANGLE_FRONT_RIGHT = "slip_angle_front_right" ["rad", "road at the wheel"] Observed |o| slip_angle(&o.evaluation, 1),
        "Slip angle of the front right tire, from the velocity of its contact to the wheel's plane, in the sense of the force that it causes: the sign is opposite to ISO 8855. The tire's lag comes after it.";
    SLIP_ANGLE_REAR_LEFT = "slip_angle_rear_left" ["rad", "road at the wheel"] Observed |o| slip_angle(&o.evaluation, 2),
        "Slip angle of the rear left tire, from the velocity of its contact to the wheel's plane, in the sense of the force that it causes: the sign is opposite to ISO 8855. The tire's lag comes after it.";
    SLIP_ANGLE_REAR_RIGHT = "slip_angle_rear_right" ["rad", "road at the wheel"] Observed |o| slip_angle(&o.evaluation, 3),
        "Slip angle of the rear right tire, from the velocity of its contact to the wheel's plane, in the sense of the force that it causes: the sign is opposite to ISO 8855. The tire's lag comes after it.";
    SLIP_X_FRONT_LEFT = "slip_x_front_left" ["-", "road at the wheel"] Observed |o| o.evaluation.slips[0][0],
        "Longitudinal slip at the front left contact, in the sense of the force.";
    SLIP_X_FRONT_RIGHT = "slip_x_front_right" ["-", "road at the wheel"] Observed |o| o.evaluation.slips[1][0],
        "Longitudinal slip at the front right contact, in the sense of the force.";
    SLIP_X_REAR_LEFT = "slip_x_rear_left" ["-", "road at the wheel"] Observed |o| o.evaluation.slips[2][0],
        "Longitudinal slip at the rear left contact, in the sense of the force.";
    SLIP_X_REAR_RIGHT = "slip_x_rear_right" ["-", "road at the wheel"] Observed |o| o.evaluation.slips[3][0],
        "Longitudinal slip at the rear right contact, in the sense of the force.";
    INCLINATION_FRONT_LEFT = "inclination_front_left" ["rad", "road at the wheel"] Observed |o| lone::asin(o.evaluation.contacts[0].inclination),
        "Inclination of the front left wheel from the road's normal, top to the right positive.";
    INCLINATION_FRONT_RIGHT = "inclination_front_right" ["rad", "road at the wheel"] Observed |o| lone::asin(o.evaluation.contacts[1].inclination),
        "Inclination of the front right wheel from the road's normal, top to the right positive.";
    INCLINATION_REAR_LEFT = "inclination_rear_left" ["rad", "road at the wheel"] Observed |o| lone::asin(o.evaluation.contacts[2].inclination),
        "Inclination of the rear left wheel from the road's normal, top to the right positive.";
    INCLINATION_REAR_RIGHT = "inclination_rear_right" ["rad", "road at the wheel"] Observed |o| lone::asin(o.evaluation.contacts[3].inclination),
        "Inclination of the rear right wheel from the road's normal, top to the right positive.";
    UTILIZATION_FRONT_LEFT = "utilization_front_left" ["-", "road at the wheel"] Observed |o| o.evaluation.tire_forces[0].utilization.sqrt(),
        "Force of the front left tire over the largest that it could give in that direction.";
    UTILIZATION_FRONT_RIGHT = "utilization_front_right" ["-", "road at the wheel"] Observed |o| o.evaluation.tire_forces[1].utilization.sqrt(),
        "Force of the front right tire over the largest that it could give in that direction.";
    UTILIZATION_REAR_LEFT = "utilization_rear_left" ["-", "road at the wheel"] Observed |o| o.evaluation.tire_forces[2].utilization.sqrt(),
        "Force of the rear left tire over the largest that it could give in that direction.";
    UTILIZATION_REAR_RIGHT = "utilization_rear_right" ["-", "road at the wheel"] Observed |o| o.evaluation.tire_forces[3].utilization.sqrt(),
        "Force of the rear right tire over the largest that it could give in that direction.";
}

/// The channels that step-response metrics need, in this order.
pub static FOR_METRICS: &[&Channel] = &[
    &STEERING_WHEEL_ANGLE,
    &STEERING_WHEEL_RATE,
    &YAW_RATE,
    &LATERAL_ACCELERATION,
    &ROLL_ANGLE,
    &SIDESLIP,
    &SPEED,
];

macro_rules! filled_in {
    ($( $id:ident = $name:literal [$unit:literal, $frame:literal], $meaning:literal; )*) => {
        $(
            #[doc = concat!($meaning, " `[", $unit, ", ", $frame, "]`")]
            pub static $id: Channel = Channel {
                quantity: Quantity::new($name, $unit, $meaning).in_frame($frame),
                source: ChannelSource::Maneuver,
            };
        )*
    };
}

filled_in! {
    PATH_DEVIATION = "path_deviation" ["m", "path"],
        "Distance of O from the path, to the left positive.";
    FREQUENCY = "frequency" ["Hz", "-"],
        "Frequency of the steering wheel.";
    YAW_RATE_RESPONSE_GAIN = "yaw_rate_response_gain" ["1/s", "-"],
        "Amplitude of the yaw rate over that of the steering-wheel angle.";
    YAW_RATE_RESPONSE_PHASE = "yaw_rate_response_phase" ["rad", "-"],
        "Phase of the yaw rate from the steering-wheel angle, negative where it lags.";
    LATERAL_ACCELERATION_RESPONSE_GAIN = "lateral_acceleration_response_gain" ["m/(s^2*rad)", "-"],
        "Amplitude of the lateral acceleration over that of the steering-wheel angle.";
    LATERAL_ACCELERATION_RESPONSE_PHASE = "lateral_acceleration_response_phase" ["rad", "-"],
        "Phase of the lateral acceleration from the steering-wheel angle, negative where it lags.";
    ROLL_ANGLE_RESPONSE_GAIN = "roll_angle_response_gain" ["-", "-"],
        "Amplitude of the roll angle over that of the steering-wheel angle.";
    ROLL_ANGLE_RESPONSE_PHASE = "roll_angle_response_phase" ["rad", "-"],
        "Phase of the roll angle from the steering-wheel angle, negative where it lags.";
    SIDESLIP_RESPONSE_GAIN = "sideslip_response_gain" ["-", "-"],
        "Amplitude of the sideslip angle over that of the steering-wheel angle.";
    SIDESLIP_RESPONSE_PHASE = "sideslip_response_phase" ["rad", "-"],
        "Phase of the sideslip angle from the steering-wheel angle, negative where it lags.";
    ACCELERATION_DIRECTION = "acceleration_direction" ["rad", "path"],
        "Direction of the acceleration from that of the velocity, toward the corner's side.";
    ACCELERATION_ALONG = "acceleration_along" ["m/s^2", "path"],
        "Rate of the speed at the edge.";
    ACCELERATION_ACROSS = "acceleration_across" ["m/s^2", "path"],
        "Centripetal acceleration at the edge, toward the corner's side positive.";
    LIMITING_WHEEL = "limiting_wheel" ["-", "-"],
        "Wheel that slides most: 0 front left, 1 front right, 2 rear left, 3 rear right.";
}
