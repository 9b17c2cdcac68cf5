//! Entries of the whole car.

use super::{Need, Place, Row, Shape, default, q, row};

const WHOLE: Place = Place::Whole;
const WEIGHED: Need =
    Need::Optional("absent where the corner weights are not known; all four or none");

/// The rows, in the order of a file.
pub(super) const ROWS: &[Row] = &[
    row(
        WHOLE,
        "name",
        Shape::Text,
        Need::Required,
        "Name of the car",
    ),
    row(
        WHOLE,
        "note",
        Shape::Text,
        default("", "nothing to say"),
        "Anything worth knowing about this description",
    ),
    row(
        WHOLE,
        "wheelbase",
        q("m", 1.5, 4.5),
        Need::Required,
        "Distance between the axle lines",
    ),
    row(
        WHOLE,
        "compliance_lag",
        q("ms", 0.1, 20.0),
        default(
            "0.5 ms",
            "well below the lag of a carcass (relaxation length over speed, 15 ms and more): halving it \
             moves no metric of a step steer by 0.1 % or by its floor",
        ),
        "Time constant with which toe, camber and steering twist follow the loads that cause them",
    ),
    row(
        WHOLE,
        "body.width",
        q("m", 1.0, 2.5),
        Need::Required,
        "Overall width without mirrors",
    ),
    row(
        WHOLE,
        "body.nose",
        q("m", 0.0, 2.0),
        Need::Required,
        "Foremost point of the car ahead of the front axle line",
    ),
    row(
        WHOLE,
        "body.tail",
        q("m", 0.0, 2.5),
        Need::Required,
        "Rearmost point of the car behind the rear axle line",
    ),
    row(
        WHOLE,
        "chassis.mass",
        q("kg", 200.0, 5000.0),
        Need::Optional("follows from the corner weights"),
        "Mass of the sprung car with driver and fuel, without the rear end's sprung parts",
    ),
    row(
        WHOLE,
        "chassis.center_behind_front_axle",
        q("m", -0.5, 4.0),
        Need::Optional("follows from the corner weights"),
        "Its center of gravity behind the front axle line",
    ),
    row(
        WHOLE,
        "chassis.center_left",
        q("mm", -500.0, 500.0),
        Need::Optional("follows from the corner weights; without them, on the center plane"),
        "Its center of gravity left of the center plane",
    ),
    row(
        WHOLE,
        "chassis.center_height",
        q("mm", 100.0, 1500.0),
        Need::Required,
        "Its center of gravity above the road at ride height",
    ),
    row(
        WHOLE,
        "chassis.roll_inertia",
        q("kg*m^2", 10.0, 5000.0),
        Need::Required,
        "Its moment of inertia about the longitudinal axis through its center of gravity",
    ),
    row(
        WHOLE,
        "chassis.pitch_inertia",
        q("kg*m^2", 50.0, 20000.0),
        Need::Required,
        "Its moment of inertia about the lateral axis through its center of gravity",
    ),
    row(
        WHOLE,
        "chassis.yaw_inertia",
        q("kg*m^2", 50.0, 20000.0),
        Need::Required,
        "Its moment of inertia about the vertical axis through its center of gravity",
    ),
    row(
        WHOLE,
        "chassis.roll_yaw_product",
        q("kg*m^2", -1000.0, 1000.0),
        default(
            "0 kg*m^2",
            "a principal axis along the car; small in most cars",
        ),
        "Its product of inertia, the sum of mass times forward times upward distance from its \
         center of gravity",
    ),
    row(
        WHOLE,
        "chassis.cross_weight",
        q("", 0.3, 0.7),
        Need::Optional("the same share of each axle's load on its left wheel"),
        "Share of the car's weight on the front right and rear left wheels, set by spring perches",
    ),
    row(
        WHOLE,
        "weights.front_left",
        q("kg", 20.0, 3000.0),
        WEIGHED,
        "Scale reading under the front left wheel, with driver and fuel",
    ),
    row(
        WHOLE,
        "weights.front_right",
        q("kg", 20.0, 3000.0),
        WEIGHED,
        "Scale reading under the front right wheel",
    ),
    row(
        WHOLE,
        "weights.rear_left",
        q("kg", 20.0, 3000.0),
        WEIGHED,
        "Scale reading under the rear left wheel",
    ),
    row(
        WHOLE,
        "weights.rear_right",
        q("kg", 20.0, 3000.0),
        WEIGHED,
        "Scale reading under the rear right wheel",
    ),
    row(
        WHOLE,
        "air.density",
        q("kg/m^3", 0.5, 1.6),
        default("1.2 kg/m^3", "dry air at 20 degrees Celsius and sea level"),
        "Density of the air",
    ),
    row(
        WHOLE,
        "air.drag_area",
        q("m^2", 0.0, 5.0),
        Need::Required,
        "Drag coefficient times frontal area",
    ),
    row(
        WHOLE,
        "air.drag_height",
        q("mm", 0.0, 2000.0),
        default(
            "500 mm",
            "near the middle of the frontal area; common practice, no source",
        ),
        "Height above the road at which the drag acts",
    ),
    row(
        WHOLE,
        "air.front_lift_area",
        q("m^2", -5.0, 5.0),
        default(
            "0 m^2",
            "small beside the weight at the speeds of coned courses",
        ),
        "Lift coefficient of the front axle times frontal area, upward positive",
    ),
    row(
        WHOLE,
        "air.rear_lift_area",
        q("m^2", -5.0, 5.0),
        default(
            "0 m^2",
            "small beside the weight at the speeds of coned courses",
        ),
        "Lift coefficient of the rear axle times frontal area, upward positive",
    ),
    row(
        WHOLE,
        "steering.ratio",
        q("", 4.0, 40.0),
        Need::Required,
        "Angle of the steering wheel over the mean angle of the road wheels",
    ),
    row(
        WHOLE,
        "steering.ackermann",
        q("", -1.0, 2.0),
        default(
            "0.5",
            "between parallel steering (0) and common turn center (1); common practice, no source",
        ),
        "Share of the Ackermann geometry: 1 where the wheel axes meet on the rear axle line",
    ),
    row(
        WHOLE,
        "steering.stiffness",
        q("N*m/deg", 20.0, 1e5),
        default(
            "350 N*m/deg",
            "about one degree of steer lost per g on an 1300 kg car; common practice, no source",
        ),
        "Moment about both steering axes together per mean angle of the road wheels, steering wheel \
         held: column, box and rack in series",
    ),
    row(
        WHOLE,
        "brakes.front_share",
        q("", 0.0, 1.0),
        Need::Required,
        "Share of the brake torque on the front wheels",
    ),
];
