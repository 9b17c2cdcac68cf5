//! Entries of the whole car.

use super::key::TextKind;
use super::row::{LINE, LINES, q, table};
use super::shape::{EntryNeed, REQUIRED, default, optional};

const WEIGHED: EntryNeed =
    optional("absent where the corner weights are not known; all four or none");

table! {
    /// The rows, in the order of a file.
    ROWS in Whole by Index;

    whole NAME: TextKind = "name", LINE, REQUIRED,
        "Name of the car";
    whole NOTE: TextKind = "note", LINES, default("", "no remarks"),
        "Remarks on this description";
    whole WHEELBASE: f64 = "wheelbase", q("m", 1.5, 4.5), REQUIRED,
        "Distance between the axle lines";
    whole COMPLIANCE_LAG: f64 = "compliance_lag", q("ms", 0.1, 20.0),
        default("0.5 ms", "well below the lag of a carcass (relaxation length over speed, 15 ms \
         and more): halving it moves no metric of a step steer by 0.1 % or by its floor"),
        "Time constant with which toe, camber and steering twist follow the loads that cause them";
    whole BODY_WIDTH: f64 = "body.width", q("m", 1.0, 2.5), REQUIRED,
        "Overall width without mirrors";
    whole BODY_NOSE: f64 = "body.nose", q("m", 0.0, 2.0), REQUIRED,
        "Distance of the foremost point of the car ahead of the front axle line";
    whole BODY_TAIL: f64 = "body.tail", q("m", 0.0, 2.5), REQUIRED,
        "Distance of the rearmost point of the car behind the rear axle line";
    whole CHASSIS_MASS: Option<f64> = "chassis.mass", q("kg", 200.0, 5000.0),
        optional("follows from the corner weights"),
        "Mass of the sprung car with driver and fuel, without the rear end's sprung parts";
    whole CHASSIS_CENTER_BEHIND_FRONT_AXLE: Option<f64> = "chassis.center_behind_front_axle",
        q("m", -0.5, 4.0),
        optional("follows from the corner weights"),
        "Its center of gravity behind the front axle line";
    whole CHASSIS_CENTER_LEFT: Option<f64> = "chassis.center_left", q("mm", -500.0, 500.0),
        optional("follows from the corner weights; without them, on the center plane"),
        "Its center of gravity left of the center plane";
    whole CHASSIS_CENTER_HEIGHT: f64 = "chassis.center_height", q("mm", 100.0, 1500.0), REQUIRED,
        "Its center of gravity above the road at ride height";
    whole CHASSIS_ROLL_INERTIA: f64 = "chassis.roll_inertia", q("kg*m^2", 10.0, 5000.0), REQUIRED,
        "Its moment of inertia about the longitudinal axis through its center of gravity";
    whole CHASSIS_PITCH_INERTIA: f64 = "chassis.pitch_inertia", q("kg*m^2", 50.0, 20000.0),
        REQUIRED,
        "Its moment of inertia about the lateral axis through its center of gravity";
    whole CHASSIS_YAW_INERTIA: f64 = "chassis.yaw_inertia", q("kg*m^2", 50.0, 20000.0), REQUIRED,
        "Its moment of inertia about the vertical axis through its center of gravity";
    whole CHASSIS_ROLL_YAW_PRODUCT: f64 = "chassis.roll_yaw_product", q("kg*m^2", -1000.0, 1000.0),
        default("0 kg*m^2", "a principal axis along the car; small in most cars"),
        "Its product of inertia, the sum of mass times forward times upward distance from its \
         center of gravity";
    whole CHASSIS_CROSS_WEIGHT: Option<f64> = "chassis.cross_weight", q("", 0.3, 0.7),
        optional("the same share of each axle's load on its left wheel"),
        "Share of the car's weight on the front right and rear left wheels, set by spring perches";
    whole WEIGHTS_FRONT_LEFT: Option<f64> = "weights.front_left", q("kg", 20.0, 3000.0), WEIGHED,
        "Scale reading under the front left wheel, with driver and fuel";
    whole WEIGHTS_FRONT_RIGHT: Option<f64> = "weights.front_right", q("kg", 20.0, 3000.0), WEIGHED,
        "Scale reading under the front right wheel";
    whole WEIGHTS_REAR_LEFT: Option<f64> = "weights.rear_left", q("kg", 20.0, 3000.0), WEIGHED,
        "Scale reading under the rear left wheel";
    whole WEIGHTS_REAR_RIGHT: Option<f64> = "weights.rear_right", q("kg", 20.0, 3000.0), WEIGHED,
        "Scale reading under the rear right wheel";
    whole AIR_DENSITY: f64 = "air.density", q("kg/m^3", 0.5, 1.6),
        default("1.2 kg/m^3", "dry air at 20 degrees Celsius and sea level"),
        "Density of the air";
    whole AIR_DRAG_AREA: f64 = "air.drag_area", q("m^2", 0.0, 5.0), REQUIRED,
        "Drag coefficient times frontal area";
    whole AIR_DRAG_HEIGHT: f64 = "air.drag_height", q("mm", 0.0, 2000.0),
        default("500 mm", "near the middle of the frontal area; common practice, no source"),
        "Height above the road at which the drag acts";
    whole AIR_FRONT_LIFT_AREA: f64 = "air.front_lift_area", q("m^2", -5.0, 5.0),
        default("0 m^2", "small beside the weight at the speeds of coned courses"),
        "Lift coefficient of the front axle times frontal area, upward positive";
    whole AIR_REAR_LIFT_AREA: f64 = "air.rear_lift_area", q("m^2", -5.0, 5.0),
        default("0 m^2", "small beside the weight at the speeds of coned courses"),
        "Lift coefficient of the rear axle times frontal area, upward positive";
    whole STEERING_RATIO: f64 = "steering.ratio", q("", 4.0, 40.0), REQUIRED,
        "Angle of the steering wheel over the mean angle of the road wheels, as turn plates show \
         them with the car at rest";
    whole STEERING_ACKERMANN: f64 = "steering.ackermann", q("", -1.0, 2.0),
        default("0.5", "between parallel steering (0) and common turn center (1); common \
         practice, no source"),
        "Share s of the Ackermann geometry: cot(outer) - cot(inner) = s (front track)/wheelbase of \
         the angles of the road wheels. At 1 the axes of wheels that turn about their centers meet \
         on the rear axle line, at 0 both angles are the same";
    whole STEERING_STIFFNESS: f64 = "steering.stiffness", q("N*m/deg", 20.0, 1e5),
        default("350 N*m/deg", "about one degree of steer lost per g on a 1300 kg car; common \
         practice, no source"),
        "Moment about both steering axes together per mean angle of the road wheels, steering \
         wheel held: column, box and rack in series";
    whole BRAKES_FRONT_SHARE: f64 = "brakes.front_share", q("", 0.0, 1.0), REQUIRED,
        "Share of the brake torque on the front wheels";
}
